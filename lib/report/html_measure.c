/* The page's evidence: the photo and its warnings, the hair in numbers with the gray map, how the photo was read. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "colour/difference.h"
#include "report/figure.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"
#include "report/plot.h"

/* ---- the photo with what was marked on it ---- */

enum { MOST_LABELS = 64, LARGEST = 1000000 };

/* Where labels go, in the picture as small as paper shows it with names: at most 520 x 250 dots. */
typedef struct box {
    double x, y, width, height;
} box;
typedef struct labels {
    double width, height;       /* of the picture shown */
    box taken[3 * MOST_LABELS]; /* shapes, marks, names */
    size_t count;
} labels;

static bool has_photo(const wm_page *page)
{
    const wm_report_photo *photo = &page->report->photo;
    return page->in->pictures && page->in->pictures->photo_jpeg.size && photo->width > 0 && photo->width < LARGEST &&
           photo->height > 0 && photo->height < LARGEST;
}

static void write_points(wm_buf *out, const wm_zone *zone)
{
    for (size_t i = 0; i < zone->point_count; i++)
        wm_markup(out, "%s%1,%1", i ? " " : "", zone->points[i].x, zone->points[i].y);
}

/* Dark below, light above: seen on any hair. Aids are dashed. */
static void write_shape(wm_buf *out, const wm_zone *zone)
{
    const char *dashes = wm_zone_is_client(zone->kind) ? "" : " stroke-dasharray=\"6 5\"";
    wm_markup(
        out,
        "<g fill=\"none\" stroke-linejoin=\"round\"><title>%s %s</title><polygon stroke=\"#000\" stroke-width=\"4\" vector-effect=\"non-scaling-stroke\" points=\"",
        wm_zone_kind_name(zone->kind), zone->code ? zone->code : zone->name);
    write_points(out, zone);
    wm_buf_text(out, "\"/><polygon stroke=\"#fff\" stroke-width=\"2\" vector-effect=\"non-scaling-stroke\"");
    wm_buf_text(out, dashes);
    wm_buf_text(out, " points=\"");
    write_points(out, zone);
    wm_buf_text(out, "\"/></g>\n");
}

static bool is_free(const labels *l, box b)
{
    if (b.x < 0 || b.y < 0 || b.x + b.width > l->width || b.y + b.height > l->height)
        return false;
    for (size_t i = 0; i < l->count; i++) {
        const box *t = &l->taken[i];
        if (b.x < t->x + t->width && t->x < b.x + b.width && b.y < t->y + t->height && t->y < b.y + b.height)
            return false;
    }
    return true;
}

static void take(labels *l, box b)
{
    if (l->count < sizeof l->taken / sizeof l->taken[0])
        l->taken[l->count++] = b;
}

/* Numbers for hair, letters for aids; beyond z they begin again, doubled. */
static void mark_of(char out[8], const wm_zones *zones, size_t index)
{
    size_t n = 0;
    bool client = wm_zone_is_client(zones->items[index].kind);
    for (size_t i = 0; i < index; i++)
        n += wm_zone_is_client(zones->items[i].kind) == client;
    if (client)
        snprintf(out, 8, "%u", (unsigned)(n + 1) % 10000);
    else
        snprintf(out, 8, n < 26 ? "%c" : "%c%c", (int)('a' + n % 26), (int)('a' + n % 26));
}

static double columns_of(const char *text)
{
    double n = 0;
    for (; *text; text++)
        n += ((unsigned char)*text & 0xc0) != 0x80;
    return n;
}

static box shape_box(const labels *l, const wm_page *page, const wm_zone *zone)
{
    double x[2] = { INFINITY, -INFINITY }, y[2] = { INFINITY, -INFINITY };
    for (size_t i = 0; i < zone->point_count; i++) {
        x[0] = fmin(x[0], zone->points[i].x), x[1] = fmax(x[1], zone->points[i].x);
        y[0] = fmin(y[0], zone->points[i].y), y[1] = fmax(y[1], zone->points[i].y);
    }
    double across = l->width / page->report->photo.width, down = l->height / page->report->photo.height;
    return (box){ x[0] * across, y[0] * down, (x[1] - x[0]) * across, (y[1] - y[0]) * down };
}

/* Where a mark may stand beside its shape, and to which side its name runs. */
typedef struct place {
    double x, y;
    bool name_left;
} place;

static box mark_box(place p)
{
    return (box){ p.x - 13, p.y - 12, 26, 24 };
}

static box name_box(place p, double wide)
{
    return (box){ p.name_left ? p.x - 14 - wide : p.x + 14, p.y - 10, wide, 20 };
}

/* Beside the shape with its name, beside it without, at last upon its corner. Hair is named at the left first, aids at
 * the right. */
static place find_place(const labels *l, box shape, bool client, double wide)
{
    const place left = { shape.x - 14, shape.y + 10, true },
                right = { shape.x + shape.width + 14, shape.y + 10, false };
    const place sides[] = { client ? left : right,
                            client ? right : left,
                            { shape.x + 10, shape.y - 14, false },
                            { shape.x + 10, shape.y + shape.height + 14, false } };
    for (int named = 1; named >= 0; named--)
        for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++)
            if (is_free(l, mark_box(sides[i])) && (!named || is_free(l, name_box(sides[i], wide))))
                return sides[i];
    return (place){ fmin(l->width - 12, fmax(12, shape.x)), fmin(l->height - 12, fmax(12, shape.y)), false };
}

static void write_label(wm_page *page, labels *l, size_t index)
{
    const wm_zone *zone = &page->zones.items[index];
    const char *name = zone->code ? zone->code : *zone->name ? zone->name : wm_zone_kind_name(zone->kind);
    bool client = wm_zone_is_client(zone->kind);
    double wide = 8 + 8 * columns_of(name);
    char mark[8];
    mark_of(mark, &page->zones, index);
    place p = find_place(l, shape_box(l, page, zone), client, wide);
    const double px = 100 * p.x / l->width, py = 100 * p.y / l->height;
    take(l, mark_box(p));
    if (is_free(l, name_box(p, wide))) {
        take(l, name_box(p, wide));
        wm_markup(
            page->out,
            "<text class=\"name\" x=\"%2%%\" y=\"%2%%\" dx=\"%d\" dy=\"4\" text-anchor=\"%s\" translate=\"%s\">%s</text>",
            px, py, p.name_left ? -16 : 16, p.name_left ? "end" : "start", zone->code ? "no" : "yes", name);
    }
    wm_markup(page->out,
              client ? "<circle cx=\"%2%%\" cy=\"%2%%\" r=\"11\"/>"
                     : "<rect x=\"%2%%\" y=\"%2%%\" width=\"20\" height=\"20\" transform=\"translate(-10 -10)\"/>",
              px, py);
    wm_markup(page->out, "<text class=\"mark\" x=\"%2%%\" y=\"%2%%\" dy=\"4.5\" text-anchor=\"middle\">%s</text>\n", px,
              py, mark);
}

/* The pixels once; every other place uses them from there. */
static void write_pixels(wm_page *page)
{
    const wm_report_pictures *pictures = page->in->pictures;
    int width = page->report->photo.width, height = page->report->photo.height;
    if (page->picture_written) {
        wm_buf_text(page->out, "<use href=\"#picture\"/>");
        return;
    }
    wm_markup(
        page->out,
        "<image id=\"picture\" width=\"%d\" height=\"%d\" preserveAspectRatio=\"none\" href=\"data:image/jpeg;base64,",
        width, height);
    wm_buf_base64(page->out, pictures->photo_jpeg.data, pictures->photo_jpeg.size);
    wm_buf_text(page->out, "\"/>");
    page->picture_written = true;
}

void wm_html__small_photo(wm_page *page)
{
    int width = page->report->photo.width, height = page->report->photo.height;
    if (!has_photo(page))
        return;
    wm_markup(
        page->out,
        "<figure class=\"hero\"><svg role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\"><title>The photo</title>",
        width, height, width, height);
    write_pixels(page);
    wm_buf_text(page->out, "</svg></figure>\n");
}

static void write_picture(wm_page *page)
{
    int width = page->report->photo.width, height = page->report->photo.height;
    double shrink = fmin(520.0 / width, 250.0 / height);
    labels l = { .width = width * shrink, .height = height * shrink };
    wm_markup(
        page->out,
        "<figure class=\"photo\"><svg role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\"><title>The photo, with the zones that were marked "
        "on it</title>",
        width, height, width, height);
    write_pixels(page);
    wm_buf_text(page->out, "\n");
    for (size_t i = 0; i < page->zones.count; i++)
        write_shape(page->out, &page->zones.items[i]);
    wm_buf_text(page->out, "</svg><svg class=\"labels\" aria-hidden=\"true\">");
    for (size_t i = 0; i < page->zones.count; i++)
        take(&l, shape_box(&l, page, &page->zones.items[i]));
    for (size_t i = 0; i < page->zones.count; i++)
        write_label(page, &l, i);
    wm_buf_text(page->out, "</svg></figure>\n");
}

static const wm_report_zone *measured(const wm_report *r, const char *name)
{
    for (size_t i = 0; i < r->zone_count; i++)
        if (strcmp(r->zones[i].name, name) == 0)
            return &r->zones[i];
    return NULL;
}

static void write_legend_hair(wm_page *page, const wm_zone *zone)
{
    const wm_report_zone *z = measured(page->report, zone->name);
    char depth[WM_PHRASE_SIZE];
    if (z && !z->refused)
        wm_figure_chip(page->out, z->body.lab, "Measured colour");
    wm_markup(page->out, "<span><b>%s</b>", zone->name);
    if (strcmp(zone->name, wm_zone_kind_name(zone->kind)) != 0)
        wm_markup(page->out, " (%s)", wm_zone_kind_name(zone->kind));
    if (!z || z->refused)
        wm_buf_text(page->out, "<small>could not be measured</small></span>");
    else
        wm_markup(page->out, "<small>%s, %s</small></span>", wm_phrase_depth(depth, z), wm_phrase_warmth(z));
}

static void write_legend_aid(wm_page *page, const wm_zone *zone)
{
    wm_markup(page->out, "<span><b>%s%s%s</b>", wm_zone_kind_name(zone->kind), zone->code || *zone->name ? " " : "",
              zone->code ? zone->code : zone->name);
    if (zone->at)
        wm_markup(page->out, "<small>held at %s</small>", zone->at);
    wm_buf_text(page->out, "</span>");
}

static void write_legend(wm_page *page)
{
    wm_buf_text(page->out, "<ul class=\"legend\">");
    for (size_t i = 0; i < page->zones.count; i++) {
        const wm_zone *zone = &page->zones.items[i];
        char mark[8];
        mark_of(mark, &page->zones, i);
        wm_markup(page->out, "<li><span class=\"%s\">%s</span>", wm_zone_is_client(zone->kind) ? "mark" : "mark aid",
                  mark);
        (wm_zone_is_client(zone->kind) ? write_legend_hair : write_legend_aid)(page, zone);
        wm_buf_text(page->out, "</li>\n");
    }
    wm_buf_text(page->out, "</ul>\n");
}

/* A warning reads "what is wrong; what to do; what it costs". */
static void write_warning(wm_page *page, const wm_warning *note)
{
    char part[3][sizeof note->text] = { "", "", "" };
    const char *rest = note->text;
    for (int i = 0; i < 3 && *rest; i++) {
        const char *end = i < 2 ? strstr(rest, "; ") : NULL;
        size_t size = end ? (size_t)(end - rest) : strlen(rest);
        memcpy(part[i], rest, size);
        part[i][size] = '\0';
        rest += size + (end ? 2 : 0);
    }
    wm_markup(page->out, "<li><b>%s</b>", part[0]);
    if (*part[1])
        wm_markup(page->out, "<p>To do: %s.</p>", part[1]);
    if (*part[2])
        wm_markup(page->out, "<p class=\"soft\">What it costs: %s.</p>", part[2]);
    wm_markup(page->out, "<code>%s</code></li>\n", note->code);
}

static void write_warnings(wm_page *page)
{
    const wm_warnings *warnings = &page->report->warnings;
    if (warnings->count == 0)
        return;
    wm_buf_text(page->out, "<h3>What would make it more certain</h3><ul class=\"warnings\">");
    for (size_t i = 0; i < warnings->count; i++)
        write_warning(page, &warnings->items[i]);
    wm_buf_text(page->out, "</ul>\n");
}

bool wm_html__has_photo(const wm_page *page)
{
    return has_photo(page) || page->zones.count || page->report->warnings.count;
}

void wm_html__photo(wm_page *page)
{
    if (!wm_html__has_photo(page))
        return;
    wm_html__open(page, "photo", "The photo",
                  page->zones.count ? "Numbers mark hair, letters in dashed frames what it was measured by." : "");
    wm_buf_text(page->out, "<div class=\"photo-and-legend\">");
    if (has_photo(page))
        write_picture(page);
    write_legend(page);
    wm_buf_text(page->out, "</div>\n");
    write_warnings(page);
    wm_html__close(page);
}

/* ---- the hair in numbers ---- */

static void write_population(wm_page *page, const wm_measured *colour, const char *name)
{
    wm_buf_text(page->out, "<span class=\"population\">");
    wm_figure_chip(page->out, colour->lab, name);
    wm_markup(page->out, " %s %1 / %1 / %1</span> ", name, colour->lab.L, colour->lab.a, colour->lab.b);
}

static void write_zone_row(wm_page *page, const wm_report_zone *z)
{
    char gray[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<tr><th scope=\"row\"><div class=\"zone\">");
    if (!z->refused)
        wm_figure_chip(page->out, z->body.lab, "Measured colour");
    wm_markup(page->out, " <span>%s <small>%s</small></span></div></th>", z->name, wm_zone_kind_name(z->kind));
    if (z->refused) {
        wm_buf_text(page->out, "<td colspan=\"2\">could not be measured</td></tr>\n");
        return;
    }
    wm_markup(
        page->out,
        "<td>%1 / %1 / %1<small>\302\261 %1 dE00, %z of %z pixels</small></td><td>%s <span class=\"populations\">",
        z->body.lab.L, z->body.lab.a, z->body.lab.b, z->body.u_de00, z->body.kept, z->body.pixels,
        wm_phrase_gray(gray, z));
    if (z->base_known)
        write_population(page, &z->base, "base");
    if (z->gray_known)
        write_population(page, &z->gray, "gray");
    wm_buf_text(page->out, "</span></td></tr>\n");
}

static bool has_map(const wm_page *page)
{
    return has_photo(page) && page->in->pictures->gray_map_png.size;
}

static void open_crop(wm_page *page, const wm_zone *zone, const char *title)
{
    int width = page->report->photo.width, height = page->report->photo.height;
    wm_box b = wm_zone_box(zone, width, height);
    int margin = (b.width + b.height) / 16, longest = b.width > b.height ? b.width : b.height;
    double scale = 180.0 / (longest + 2 * margin);
    wm_markup(page->out, "<svg role=\"img\" viewBox=\"%d %d %d %d\" width=\"%0\" height=\"%0\"><title>%s</title>",
              b.x - margin, b.y - margin, b.width + 2 * margin, b.height + 2 * margin, scale * (b.width + 2 * margin),
              scale * (b.height + 2 * margin), title);
}

static void write_map_of(wm_page *page, const wm_zone *zone)
{
    wm_buf_text(page->out, "<figure class=\"map\"><div>");
    open_crop(page, zone, "The zone in the photo");
    wm_buf_text(page->out, "<use href=\"#picture\"/></svg>");
    open_crop(page, zone, "What its pixels count as");
    wm_markup(
        page->out,
        "<use href=\"#picture\" opacity=\"0.3\"/><use href=\"#map\"/></svg></div><figcaption>%s</figcaption></figure>\n",
        zone->name);
}

static bool lies_inside(const wm_page *page, const wm_zone *zone)
{
    wm_box b = wm_zone_box(zone, page->report->photo.width, page->report->photo.height);
    return b.width > 0 && b.height > 0;
}

static void write_map(wm_page *page)
{
    const wm_bytes *png = &page->in->pictures->gray_map_png;
    wm_buf_text(
        page->out,
        "<h3>What counts as what</h3><p>Each pixel by its lightness alone, for orientation: the share above is estimated from all of "
        "them together.</p>\n<ul class=\"keys\">");
    for (int c = WM_CLASS_BASE; c <= WM_CLASS_CLIPPED; c++) {
        wm_buf_text(page->out, "<li>");
        wm_figure_class_chip(page->out, (wm_pixel_class)c);
        wm_markup(page->out, " %s</li>", wm_figure_class_words((wm_pixel_class)c));
    }
    wm_markup(
        page->out,
        "</ul>\n<svg class=\"store\" width=\"0\" height=\"0\" aria-hidden=\"true\"><image id=\"map\" width=\"%d\" height=\"%d\" "
        "preserveAspectRatio=\"none\" image-rendering=\"pixelated\" href=\"data:image/png;base64,",
        page->report->photo.width, page->report->photo.height);
    wm_buf_base64(page->out, png->data, png->size);
    wm_buf_text(page->out, "\"/></svg><div class=\"maps\">");
    for (size_t i = 0; i < page->zones.count; i++)
        if (wm_zone_is_client(page->zones.items[i].kind) && lies_inside(page, &page->zones.items[i]))
            write_map_of(page, &page->zones.items[i]);
    wm_buf_text(page->out, "</div>\n");
}

void wm_html__hair(wm_page *page)
{
    const wm_report *r = page->report;
    wm_html__open(page, "hair", "The hair, measured",
                  "L* is depth (0 black, 100 white), a* redness, b* gold. The gray share is of the visible area.");
    wm_buf_text(
        page->out,
        "<table class=\"zones\"><thead><tr><th scope=\"col\">Zone</th><th scope=\"col\">L* / a* / b*</th><th scope=\"col\">Gray</th></tr>"
        "</thead><tbody>\n");
    for (size_t i = 0; i < r->zone_count; i++)
        write_zone_row(page, &r->zones[i]);
    wm_buf_text(page->out, "</tbody></table>\n");
    if (has_map(page))
        write_map(page);
    wm_html__close(page);
}

/* ---- how the photo was read ---- */

static void write_used(wm_page *page, const wm_report_calibration *c)
{
    wm_buf_text(page->out, "<div class=\"plots\"><figure>");
    wm_plot_aids_chroma(page->out, c);
    wm_buf_text(page->out, "</figure><figure>");
    wm_plot_aids_lightness(page->out, c);
    wm_buf_text(
        page->out,
        "</figure></div><p class=\"soft\">Full dots: as the aids are. Open squares: as the photo showed them after the first correction; "
        "what is left between them is corrected for each zone.</p>\n");
    wm_buf_text(page->out, "<ol class=\"aids\">");
    for (size_t i = 0; i < c->used_count; i++)
        wm_markup(page->out, "<li>%s, %1 off</li>", c->used[i].name,
                  wm_de00(c->used[i].measured, c->used[i].reference));
    wm_buf_text(page->out, "</ol>\n");
}

static void write_dropped(wm_page *page, const wm_report_calibration *c)
{
    if (c->dropped_count == 0)
        return;
    wm_buf_text(page->out, "<h3>Left out</h3><ul class=\"plain\">");
    for (size_t i = 0; i < c->dropped_count; i++)
        wm_markup(page->out, "<li><b>%s</b>: %s</li>\n", c->dropped[i].zone, c->dropped[i].why);
    wm_buf_text(page->out, "</ul>\n");
}

void wm_html__reading(wm_page *page)
{
    static const char *const FIRST[] = { "none", "exposure only", "white balance and exposure",
                                         "white balance, exposure and contrast" };
    const wm_report_calibration *c = &page->report->calibration;
    char agreement[48];
    wm_html__open(page, "reading", "How the photo was read", "From what in it has a known colour.");
    wm_buf_text(page->out, "<dl class=\"facts\">");
    wm_html__fact(page, "Measured by", wm_phrase_aid(c));
    wm_html__fact(page, "First correction", FIRST[c->stage1.kind]);
    wm_html__fact(page, "How well the aids agree", c->has_agreement ? wm_number_text(agreement, c->agreement, 2) : "");
    wm_buf_text(page->out, "</dl>");
    if (c->has_agreement)
        wm_buf_text(page->out, "<p class=\"soft\">About 1 is usual; above 2 they contradict each other.</p>\n");
    if (c->used_count)
        write_used(page, c);
    write_dropped(page, c);
    wm_html__close(page);
}
