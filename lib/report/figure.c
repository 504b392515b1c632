#include "report/figure.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "plan/strips.h"
#include "report/markup.h"

/* ---- the gray map ---- */

/* Light and dark alternate in the order base, mixed, gray, so that it reads without hue; what was left out is
 * patterned. */
static const struct {
    unsigned char ink[3], paper[3];
    const char *words;
} CLASSES[] = {
    [WM_CLASS_OUTSIDE] = { { 0, 0, 0 }, { 0, 0, 0 }, "outside the zone" },
    [WM_CLASS_BASE] = { { 20, 60, 110 }, { 20, 60, 110 }, "own colour" },
    [WM_CLASS_MIXED] = { { 95, 165, 205 }, { 95, 165, 205 }, "both within one pixel" },
    [WM_CLASS_GRAY] = { { 250, 240, 205 }, { 250, 240, 205 }, "gray" },
    [WM_CLASS_SHEEN] = { { 235, 150, 40 }, { 255, 225, 170 }, "sheen, left out" },
    [WM_CLASS_GAP] = { { 0, 0, 0 }, { 60, 60, 60 }, "gap or shadow, left out" },
    [WM_CLASS_SKIN] = { { 165, 60, 80 }, { 235, 190, 195 }, "skin, left out" },
    [WM_CLASS_BACKGROUND] = { { 70, 110, 70 }, { 205, 220, 200 }, "background, left out" },
    [WM_CLASS_CLIPPED] = { { 0, 0, 0 }, { 255, 255, 255 }, "blown out or black, left out" },
};

/* Stripes for sheen, fine dots for gaps, coarse dots for skin, a grid for background, squares for clipped. */
static bool has_ink(wm_pixel_class class, int x, int y)
{
    switch (class) {
    case WM_CLASS_SHEEN: return (x + y) % 4 < 2;
    case WM_CLASS_GAP: return x % 2 == 0 || y % 2 == 0;
    case WM_CLASS_SKIN: return x % 4 < 2 && y % 4 < 2;
    case WM_CLASS_BACKGROUND: return x % 4 == 0 || y % 4 == 0;
    case WM_CLASS_CLIPPED: return (x / 2 + y / 2) % 2 == 0;
    default: return true;
    }
}

void wm_figure_class(unsigned char rgba[4], wm_pixel_class class, int x, int y)
{
    memcpy(rgba, has_ink(class, x, y) ? CLASSES[class].ink : CLASSES[class].paper, 3);
    rgba[3] = class == WM_CLASS_OUTSIDE ? 0 : 255;
}

const char *wm_figure_class_words(wm_pixel_class class)
{
    return CLASSES[class].words;
}

void wm_figure_class_chip(wm_buf *out, wm_pixel_class class)
{
    enum { SIDE = 8 };
    const unsigned char *paper = CLASSES[class].paper, *ink = CLASSES[class].ink;
    wm_markup(
        out,
        "<svg class=\"key\" role=\"img\" viewBox=\"0 0 8 8\" width=\"24\" height=\"24\" shape-rendering=\"crispEdges\"><title>%s</title>",
        CLASSES[class].words);
    wm_buf_format(out, "<rect width=\"8\" height=\"8\" fill=\"#%02x%02x%02x\"/><path fill=\"#%02x%02x%02x\" d=\"",
                  paper[0], paper[1], paper[2], ink[0], ink[1], ink[2]);
    for (int y = 0; y < SIDE; y++)
        for (int x = 0; x < SIDE; x++)
            if (has_ink(class, x, y))
                wm_buf_format(out, "M%d %dh1v1h-1z", x, y);
    wm_buf_text(out, "\"/></svg>");
}

/* ---- chips ---- */

void wm_figure_chip(wm_buf *out, wm_lab lab, const char *title)
{
    wm_markup(out,
              "<svg class=\"chip\" role=\"img\" viewBox=\"0 0 40 40\" width=\"40\" height=\"40\"><title>%s</title>"
              "<rect width=\"40\" height=\"40\" fill=\"%c\"/></svg>",
              title, lab);
}

void wm_figure_shade(wm_buf *out, wm_lab lab, const char *code)
{
    wm_buf_text(out, "<span class=\"shade\" translate=\"no\">");
    wm_figure_chip(out, lab, code);
    wm_buf_text(out, "</span>");
}

void wm_figure_pair(wm_buf *out, wm_lab hair, wm_lab swatch, const char *title)
{
    wm_markup(
        out,
        "<svg class=\"pair\" role=\"img\" viewBox=\"0 0 80 40\" width=\"80\" height=\"40\" preserveAspectRatio=\"none\" "
        "shape-rendering=\"crispEdges\"><title>%s</title><rect width=\"40\" height=\"40\" fill=\"%c\"/>"
        "<rect x=\"40\" width=\"40\" height=\"40\" fill=\"%c\"/></svg>",
        title, hair, swatch);
}

/* ---- a section through the layers ---- */

enum { SECTION_WIDTH = 300, BAND_WIDTH = 144, BAND_HEIGHT = 30, BAND_TOP = 22 };

/* At most `most` characters of a code; the heading has it in full. */
static void short_code(wm_buf *out, const char *code, int most)
{
    char text[WM_CODE_SIZE];
    size_t size = 0;
    for (int n = 0; n < most && code[size]; n++) {
        size_t step = wm_utf8_step(code + size, strlen(code + size));
        size += step ? step : 1;
    }
    memcpy(text, code, size);
    text[size] = '\0';
    wm_markup(out, code[size] ? "%s\342\200\246" : "%s", text);
}

/* Fibres cut across: three rows of dots. */
static void band(wm_buf *out, const double from_to[2], int y, wm_lab lab)
{
    double x = from_to[0] * BAND_WIDTH, width = (from_to[1] - from_to[0]) * BAND_WIDTH;
    wm_markup(
        out,
        "<rect x=\"%1\" y=\"%d\" width=\"%1\" height=\"27\" fill=\"%c\"/>"
        "<path d=\"M%1 %dH%1M%1 %dH%1M%1 %dH%1\" stroke=\"%c\" stroke-width=\"7\" stroke-linecap=\"round\" stroke-dasharray=\"0 9\"/>",
        x, y, width, (wm_lab){ lab.L * 0.82, lab.a, lab.b }, x + 5, y + 5, x + width - 4, x + 9.5, y + 13,
        x + width - 2, x + 5, y + 21, x + width - 4, lab);
}

static wm_lab colour_of(const wm_report_proposal *p, const char *code)
{
    for (size_t i = 0; i < p->shade_count; i++)
        if (strcmp(p->shades[i].code, code) == 0)
            return p->shades[i].lab;
    return p->shades[0].lab;
}

static const char *place_of(size_t layer, size_t count)
{
    return count == 1 ? "the row" : layer == 0 ? "front" : layer == count - 1 ? "back" : "inner";
}

static const char BEHIND[] = "hangs behind"; /* what is no shade, but words */

static void label(wm_buf *out, int y, const wm_layer *layer, const char *place)
{
    const bool two = *layer->second != '\0'; /* smaller, so that both fit beside the band */
    wm_markup(out, "<text x=\"154\" y=\"%d\" font-size=\"%d\" font-weight=\"600\" translate=\"%s\">", y + 11,
              two ? 11 : 13, strcmp(place, BEHIND) == 0 ? "yes" : "no");
    short_code(out, layer->code, two ? 8 : 14);
    if (two) {
        wm_buf_text(out, " + ");
        short_code(out, layer->second, 8);
    }
    wm_markup(out, "</text><text x=\"154\" y=\"%d\" font-size=\"12\">%s</text>", y + 24, place);
}

void wm_figure_section(wm_buf *out, const wm_figure_part *part)
{
    const wm_report_segment *segment = part->segment;
    size_t count = segment->layer_count;
    int height = BAND_TOP + BAND_HEIGHT * ((int)count + 1);
    const char *seen = part->up ? "hair up, seen from beneath" : "worn down, seen from outside";
    const double whole[2] = { 0, 1 };
    wm_markup(
        out,
        "<svg class=\"section\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"currentColor\"><title>%s: ",
        SECTION_WIDTH, height, SECTION_WIDTH, height, seen);
    for (size_t i = 0; i < count; i++) {
        const wm_layer *layer = &segment->layers[part->up ? count - 1 - i : i].layer;
        wm_markup(out, *layer->second ? "%s with pieces of %s, " : "%s, ", layer->code, layer->second);
    }
    wm_markup(out,
              "then own hair</title><path d=\"M 66 3h12l-6 12z\"/><text x=\"84\" y=\"14\" font-size=\"12\">%s</text>",
              seen);
    for (size_t i = 0; i < count; i++) {
        size_t at = part->up ? count - 1 - i : i;
        const wm_layer *layer = &segment->layers[at].layer;
        int y = BAND_TOP + BAND_HEIGHT * (int)i;
        double first = *layer->second ? 1 - layer->second_share : 1;
        bool turned = at % 2 == 1; /* pieces of neighbouring layers take turns */
        double cuts[2][2] = { { 0, first }, { first, 1 } };
        if (turned)
            cuts[0][0] = 1 - first, cuts[0][1] = 1, cuts[1][0] = 0, cuts[1][1] = 1 - first;
        band(out, cuts[0], y, colour_of(part->proposal, layer->code));
        if (*layer->second)
            band(out, cuts[1], y, colour_of(part->proposal, layer->second));
        label(out, y, layer, place_of(at, count));
    }
    band(out, whole, height - BAND_HEIGHT, part->behind);
    label(out, height - BAND_HEIGHT, &(wm_layer){ .code = "own hair" }, BEHIND);
    wm_buf_text(out, "</svg>");
}

/* ---- a row from above ---- */

enum { ROW_WIDTH = 640, ROW_LAYER = 30, ROW_TOP = 26 };
#define CM_PER_IN 2.54

/* What a row is drawn with. */
typedef struct row_scale {
    double per_cm;
    wm_units units;
} row_scale;

static void strip_bar(wm_buf *out, const wm_strip *strip, const wm_lab *lab, const row_scale *scale, int y)
{
    double x = strip->start_cm * scale->per_cm, width = strip->length_cm * scale->per_cm;
    bool dark = lab->L < 55;
    wm_markup(out, "<rect x=\"%1\" y=\"%d\" width=\"%1\" height=\"26\" fill=\"%c\" stroke=\"#808080\"/>", x, y, width,
              *lab);
    if (width > 34)
        wm_markup(out, "<text x=\"%1\" y=\"%d\" font-size=\"12\" text-anchor=\"middle\" fill=\"%s\">%1</text>",
                  x + width / 2, y + 17, dark ? "#fff" : "#000",
                  strip->length_cm / (scale->units == WM_UNITS_IN ? CM_PER_IN : 1));
}

/* A row round the back goes from ear to ear. */
static void row_head(wm_buf *out, int height, wm_place place)
{
    const char *ear = place == WM_PLACE_BACK ? " ear" : "";
    wm_markup(
        out,
        "<svg class=\"row\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"currentColor\"><title>The row from "
        "above, true to length; the head is on top</title><text x=\"0\" y=\"16\" font-size=\"12\">left%s</text><text x=\"%d\" "
        "y=\"16\" font-size=\"12\" text-anchor=\"end\">right%s</text><text x=\"%d\" y=\"16\" font-size=\"12\" "
        "text-anchor=\"middle\">head</text>",
        ROW_WIDTH, height, ROW_WIDTH, height, ear, ROW_WIDTH - 90, ear, (ROW_WIDTH - 90) / 2);
}

void wm_figure_row(wm_buf *out, const wm_report_proposal *proposal, size_t row, wm_units units)
{
    wm_strips *strips = calloc(1, sizeof *strips);
    wm_design design;
    char length[WM_LENGTH_SIZE];
    double row_cm = proposal->rows[row].row_cm;
    if (!strips)
        out->failed = true;
    wm_report_design(&design, proposal);
    if (!out->failed && row_cm > 0 && !wm_strips_lay(strips, 0, &design.rows[row], NULL)) {
        int height = ROW_TOP + ROW_LAYER * proposal->layers + 22;
        row_scale scale = { (ROW_WIDTH - 90.0) / row_cm, units };
        row_head(out, height, design.rows[row].place);
        for (size_t i = 0; i < strips->count; i++) {
            const wm_strip *strip = &strips->items[i];
            wm_lab lab = colour_of(proposal, strip->code);
            strip_bar(out, strip, &lab, &scale, ROW_TOP + ROW_LAYER * (proposal->layers - 1 - strip->layer));
        }
        for (int layer = 0; layer < proposal->layers; layer++)
            wm_markup(out, "<text x=\"%d\" y=\"%d\" font-size=\"12\">%s</text>", ROW_WIDTH - 84,
                      ROW_TOP + ROW_LAYER * (proposal->layers - 1 - layer) + 17,
                      place_of((size_t)layer, (size_t)proposal->layers));
        wm_markup(out, "<text x=\"0\" y=\"%d\" font-size=\"12\">", height - 6);
        if (proposal->row_count > 1)
            wm_markup(out, "Row %d (%s): ", (int)row + 1, wm_place_name(design.rows[row].place));
        wm_markup(out, "%s in all; lengths in %s</text></svg>", wm_length_text(length, row_cm, units, 1),
                  units == WM_UNITS_IN ? "inches" : "cm");
    }
    free(strips);
}

/* ---- strands ---- */

enum { STRANDS = 120, DRAWN_WIDTH = 240, DRAWN_HEIGHT = 180 };

/* 0 to 1, the same for the same strand and purpose on every machine. */
static double chance(unsigned strand, unsigned purpose)
{
    uint32_t h = (strand + 1) * 2654435761u ^ (purpose + 1) * 2246822519u;
    h = (h ^ h >> 15) * 2654435761u;
    return (double)((h ^ h >> 13) >> 8) / 16777216.0;
}

/* How much of the second shade shows: what mix of both comes nearest to the colour that the row has from afar. */
static double second_seen(const wm_report_proposal *p, wm_lab seen)
{
    wm_rgb a = wm_lab_to_rgb(p->shades[0].lab), b = wm_lab_to_rgb(p->shades[p->shade_count - 1].lab),
           c = wm_lab_to_rgb(seen);
    double d[3] = { b.r - a.r, b.g - a.g, b.b - a.b };
    double long_way = d[0] * d[0] + d[1] * d[1] + d[2] * d[2];
    double way = d[0] * (c.r - a.r) + d[1] * (c.g - a.g) + d[2] * (c.b - a.b);
    return p->shade_count < 2 || long_way < 1e-9 ? 0 : fmin(fmax(way / long_way, 0), 1);
}

/* A shade as it hangs there: light that has passed through other layers shifts both alike. */
static wm_lab hung(wm_lab shade, wm_lab mean, wm_lab seen)
{
    return (wm_lab){ shade.L + seen.L - mean.L, shade.a + seen.a - mean.a, shade.b + seen.b - mean.b };
}

/* Own hair at the left, the row at the right; between 0.35 and 0.65 they run into each other. Both in their
 * populations. */
static wm_lab strand_colour(const wm_figure_part *part, unsigned strand, double at)
{
    const wm_report_proposal *p = part->proposal;
    const wm_report_segment *segment = part->segment;
    wm_lab seen = part->up ? segment->seen.up : segment->seen.down, lab;
    if (chance(strand, 2) * 0.3 + 0.35 > at) {
        lab = chance(strand, 1) < segment->target_share ? segment->target_gray : segment->target_base;
    } else {
        double second = second_seen(p, seen);
        wm_lab one = p->shades[0].lab, other = p->shades[p->shade_count - 1].lab;
        wm_lab mean = wm_rgb_to_lab(
            wm_rgb_add(wm_rgb_scale(wm_lab_to_rgb(one), 1 - second), wm_rgb_scale(wm_lab_to_rgb(other), second)));
        lab = hung(chance(strand, 1) < second ? other : one, mean, seen);
    }
    lab.L = fmin(100, fmax(0, lab.L * (0.90 + 0.20 * chance(strand, 3))));
    return lab;
}

/* The order in which strands lie over each other: a step through all of them, coprime to their number. */
static unsigned strand_at(unsigned i)
{
    return i * 37 % STRANDS;
}

/* The middle of the lock that a strand belongs to, in locks of uneven width. */
static double lock_of(double at)
{
    static const double EDGES[] = { 0, 0.14, 0.23, 0.40, 0.52, 0.60, 0.79, 0.88, 1 };
    size_t i = 1;
    while (at > EDGES[i])
        i++;
    return DRAWN_WIDTH * (EDGES[i - 1] + EDGES[i]) / 2;
}

/* Hanging straight, gathered a little towards the tips. */
static void strand_down(wm_buf *out, const wm_figure_part *part, unsigned strand)
{
    double at = (strand + 0.5) / STRANDS, x = at * DRAWN_WIDTH, lock = lock_of(at);
    double end = x + 0.45 * (lock - x) + 7 * (chance(strand, 4) - 0.5),
           wave = 3 * sin(9 * at) + 3 * (chance(strand, 5) - 0.5);
    double length = DRAWN_HEIGHT - 3 - 24 * chance(strand, 6) * chance(strand, 11) - 0.5 * fabs(x - lock);
    wm_markup(out, "<path d=\"M%1 -4C%1 %1 %1 %1 %1 %1\" stroke=\"%c\"/>", x, x + wave, length * 0.4, x - wave,
              length * 0.75, end, length, strand_colour(part, strand, at));
}

/* From all around, out of the picture, up to the knot. */
static void strand_up(wm_buf *out, const wm_figure_part *part, unsigned strand)
{
    const double middle = DRAWN_WIDTH / 2.0;
    double at = (strand + 0.5) / STRANDS, angle = acos(-1) * (1.16 - 1.32 * at), bend = 0.4 + 0.2 * chance(strand, 5);
    double x = middle + 190 * cos(angle), y = 60 + 190 * sin(angle), knot = middle + 16 * cos(angle);
    wm_markup(out, "<path d=\"M%1 %1Q%1 %1 %1 %1\" stroke=\"%c\"/>", x, y, middle + bend * 170 * cos(angle),
              40 + bend * 110 * sin(angle), knot, 40 + 4 * chance(strand, 6), strand_colour(part, strand, at));
}

static void strand_knot(wm_buf *out, const wm_figure_part *part, unsigned strand)
{
    double angle = 2 * acos(-1) * chance(strand, 7), radius = 26 * sqrt(chance(strand, 8)),
           reach = 0.9 + chance(strand, 9), x[2], y[2];
    for (int i = 0; i < 2; i++) {
        x[i] = DRAWN_WIDTH / 2.0 + 1.2 * radius * cos(angle + i * reach);
        y[i] = 38 + 0.9 * radius * sin(angle + i * reach);
    }
    wm_markup(out, "<path d=\"M%1 %1A%1 %1 0 0 1 %1 %1\" stroke=\"%c\"/>", x[0], y[0], 1.2 * radius, 0.9 * radius, x[1],
              y[1], strand_colour(part, strand, 0.5 + (x[0] + x[1] - DRAWN_WIDTH) / 140));
}

void wm_figure_strands(wm_buf *out, const wm_figure_part *part)
{
    wm_markup(
        out,
        "<svg class=\"strands\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"none\" stroke-width=\"3.6\" "
        "stroke-linecap=\"round\" preserveAspectRatio=\"%s slice\"><title>Drawn, not a photo: own hair at the left runs into the row at the "
        "right, %s</title>",
        DRAWN_WIDTH, DRAWN_HEIGHT, DRAWN_WIDTH, DRAWN_HEIGHT, part->up ? "xMidYMin" : "xMidYMax",
        part->up ? "hair up" : "worn down");
    wm_buf_text(out, part->up ? "<g stroke-width=\"7\">" : "<g stroke-width=\"4.6\">");
    for (unsigned i = 0; i < STRANDS; i++)
        (part->up ? strand_up : strand_down)(out, part, strand_at(i));
    wm_buf_text(out, "</g>");
    if (part->up)
        wm_markup(out, "<ellipse cx=\"120\" cy=\"38\" rx=\"30\" ry=\"22\" fill=\"%c\"/>", part->segment->seen.up);
    for (unsigned i = 0; part->up && i < STRANDS; i++)
        strand_knot(out, part, strand_at(i));
    wm_buf_text(out, "</svg>");
}
