#include "report/plot.h"

#include <math.h>
#include <string.h>
#include <stdlib.h>

#include "report/markup.h"

static double clamped(double value, double low, double high)
{
    return fmin(high, fmax(low, value));
}

/* ---- lightness, chroma, hue ---- */

static const struct {
    const char *name, *less, *more;
} PARTS[3] = { { "depth", "darker", "lighter" }, { "richness", "softer", "richer" }, { "tone", "redder", "golden" } };
static const double REACH = 6; /* dE00 shown to either side; beyond it an arrow */

/* A line with its middle, and the difference as a bar that ends in a dot, or in an arrow where it leaves the picture.
 */
static void draw_part(wm_buf *out, double middle, double y, double value)
{
    const double unit = 9, end = middle + unit * clamped(value, -REACH, REACH), side = value < 0 ? -1 : 1;
    wm_markup(out, "<path d=\"M%1 %1H%1\" stroke-opacity=\"0.45\"/><path d=\"M%1 %1v8\"/>", middle - unit * REACH, y,
              middle + unit * REACH, middle, y - 4);
    for (int i = -2; i <= 2; i++)
        wm_markup(out, "<path d=\"M%1 %1v4\" stroke-opacity=\"0.45\"/>", middle + 3 * unit * i, y - 2);
    wm_markup(out, "<path d=\"M%1 %1H%1\" stroke-width=\"3\"/>", middle, y, end);
    if (fabs(value) > REACH)
        wm_markup(out, "<path d=\"M%1 %1l%1 4l%1 4z\" fill=\"currentColor\"/>", end, y - 4, 5 * side, -5 * side);
    else
        wm_markup(out, "<circle cx=\"%1\" cy=\"%1\" r=\"3.5\" fill=\"currentColor\"/>", end, y);
}

void wm_plot_difference(wm_buf *out, const wm_report_match *match, bool with_words)
{
    const double values[3] = { match->d_lightness, match->d_chroma, match->d_hue };
    const int width = with_words ? 290 : 124, step = with_words ? 22 : 14, height = 3 * step;
    wm_markup(
        out,
        "<svg class=\"difference\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"none\" stroke=\"currentColor\"><title>",
        width, height, width, height);
    for (int i = 0; i < 3; i++)
        wm_markup(out, "%s%s %1 %s", i ? ", " : "", PARTS[i].name, fabs(values[i]),
                  values[i] < 0 ? PARTS[i].less : PARTS[i].more);
    wm_buf_text(out, "</title>");
    for (int i = 0; i < 3; i++) {
        double y = step * (i + 0.5), middle = width / 2.0;
        draw_part(out, middle, y, values[i]);
        if (with_words)
            wm_markup(
                out,
                "<g stroke=\"none\" fill=\"currentColor\" font-size=\"12\"><text x=\"%1\" y=\"%1\" text-anchor=\"end\">%s</text>"
                "<text x=\"%1\" y=\"%1\">%s</text></g>",
                middle - 66, y + 4, PARTS[i].less, middle + 66, y + 4, PARTS[i].more);
    }
    wm_buf_text(out, "</svg>");
}

/* ---- the aids ---- */

enum { PANEL = 232, PANEL_LEFT = 34, PANEL_TOP = 10, PANEL_SIDE = 188, MOST_NUMBERED = 12 };

typedef struct panel {
    double left, bottom, span;
} panel; /* what lies at the corner, and how far the sides reach */

static double panel_x(const panel *p, double value)
{
    return PANEL_LEFT + PANEL_SIDE * clamped((value - p->left) / p->span, 0, 1);
}

static double panel_y(const panel *p, double value)
{
    return PANEL_TOP + PANEL_SIDE * (1 - clamped((value - p->bottom) / p->span, 0, 1));
}

static void open_panel(wm_buf *out, const char *title, const char *across, const char *upwards)
{
    wm_markup(
        out,
        "<svg class=\"panel\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"currentColor\" font-size=\"12\"><title>%s</title>"
        "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"none\" stroke=\"currentColor\" stroke-opacity=\"0.45\"/>"
        "<text x=\"%d\" y=\"%d\" text-anchor=\"end\">%s</text>"
        "<text text-anchor=\"end\" transform=\"translate(22 %d) rotate(-90)\">%s</text>",
        PANEL, PANEL, PANEL, PANEL, title, PANEL_LEFT, PANEL_TOP, PANEL_SIDE, PANEL_SIDE, PANEL_LEFT + PANEL_SIDE,
        PANEL_TOP + PANEL_SIDE + 16, across, PANEL_TOP, upwards);
}

/* The colour as it is: a full dot. As the photo showed it: an open square, joined to it. */
static void draw_aid(wm_buf *out, const double shown[2], const double is[2], wm_lab lab)
{
    wm_markup(out, "<path d=\"M%1 %1L%1 %1\" stroke=\"currentColor\"/>", shown[0], shown[1], is[0], is[1]);
    wm_markup(
        out,
        "<rect x=\"%1\" y=\"%1\" width=\"8\" height=\"8\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.5\"/>",
        shown[0] - 4, shown[1] - 4);
    wm_markup(out, "<circle cx=\"%1\" cy=\"%1\" r=\"5\" fill=\"%c\" stroke=\"currentColor\"/>", is[0], is[1], lab);
}

/* Numbers around their dots, where no other number stands and inside the panel; where all places are taken the list
 * below has to do. */
typedef struct numbers {
    double x[MOST_NUMBERED], y[MOST_NUMBERED];
    size_t count;
} numbers;

static bool is_clear(const numbers *n, double x, double y)
{
    if (x < PANEL_LEFT + 6 || x > PANEL_LEFT + PANEL_SIDE - 6 || y < PANEL_TOP + 8 || y > PANEL_TOP + PANEL_SIDE - 8)
        return false;
    for (size_t i = 0; i < n->count; i++)
        if (fabs(n->x[i] - x) < 16 && fabs(n->y[i] - y) < 14)
            return false;
    return true;
}

static void number_aid(wm_buf *out, numbers *n, const double at[2], size_t i)
{
    static const double AROUND[][2] = { { 14, 0 },   { -14, 0 },  { 0, -14 }, { 0, 14 },
                                        { 14, -14 }, { -14, 14 }, { 14, 14 }, { -14, -14 } };
    for (size_t k = 0; k < sizeof AROUND / sizeof AROUND[0] && n->count < MOST_NUMBERED; k++) {
        const double x = at[0] + AROUND[k][0], y = at[1] + AROUND[k][1];
        if (!is_clear(n, x, y))
            continue;
        wm_markup(out, "<text x=\"%1\" y=\"%1\" text-anchor=\"middle\">%z</text>", x, y + 4, i + 1);
        n->x[n->count] = x;
        n->y[n->count++] = y;
        return;
    }
}

/* Square around all of them, at least 16 wide. */
static panel chroma_panel(const wm_report_calibration *c)
{
    double low[2] = { INFINITY, INFINITY }, high[2] = { -INFINITY, -INFINITY };
    for (size_t i = 0; i < c->used_count; i++) {
        const wm_lab both[2] = { c->used[i].measured, c->used[i].reference };
        for (int k = 0; k < 2; k++) {
            low[0] = fmin(low[0], both[k].a), high[0] = fmax(high[0], both[k].a);
            low[1] = fmin(low[1], both[k].b), high[1] = fmax(high[1], both[k].b);
        }
    }
    double span = 1.2 * fmax(fmax(high[0] - low[0], high[1] - low[1]), 13);
    return (panel){ (low[0] + high[0] - span) / 2, (low[1] + high[1] - span) / 2, span };
}

static void draw_zero(wm_buf *out, const panel *p)
{
    if (p->left < 0 && p->left + p->span > 0)
        wm_markup(out, "<path d=\"M%1 %dv%d\" stroke=\"currentColor\" stroke-opacity=\"0.45\"/>", panel_x(p, 0),
                  PANEL_TOP, PANEL_SIDE);
    if (p->bottom < 0 && p->bottom + p->span > 0)
        wm_markup(out, "<path d=\"M%d %1h%d\" stroke=\"currentColor\" stroke-opacity=\"0.45\"/>", PANEL_LEFT,
                  panel_y(p, 0), PANEL_SIDE);
}

void wm_plot_aids_chroma(wm_buf *out, const wm_report_calibration *calibration)
{
    panel p = chroma_panel(calibration);
    numbers n = { .count = 0 };
    open_panel(out, "Aids by a* and b*: as the photo showed them and as they are", "a*: redder", "b*: more golden");
    draw_zero(out, &p);
    for (size_t i = 0; i < calibration->used_count; i++) {
        const wm_report_aid *aid = &calibration->used[i];
        const double shown[2] = { panel_x(&p, aid->measured.a), panel_y(&p, aid->measured.b) };
        const double is[2] = { panel_x(&p, aid->reference.a), panel_y(&p, aid->reference.b) };
        draw_aid(out, shown, is, aid->reference);
        if (calibration->used_count <= MOST_NUMBERED)
            number_aid(out, &n, is, i);
    }
    wm_buf_text(out, "</svg>");
}

void wm_plot_aids_lightness(wm_buf *out, const wm_report_calibration *calibration)
{
    panel p = { 0, 0, 100 };
    numbers n = { .count = 0 };
    open_panel(out, "Aids by L*: as the photo showed them against as they are", "L* as it is", "L* in the photo");
    wm_markup(out, "<path d=\"M%1 %1L%1 %1\" stroke=\"currentColor\" stroke-opacity=\"0.45\"/>", panel_x(&p, 0),
              panel_y(&p, 0), panel_x(&p, 100), panel_y(&p, 100));
    for (size_t i = 0; i < calibration->used_count; i++) {
        const wm_report_aid *aid = &calibration->used[i];
        const double shown[2] = { panel_x(&p, aid->reference.L), panel_y(&p, aid->measured.L) };
        const double is[2] = { shown[0], panel_y(&p, aid->reference.L) };
        draw_aid(out, shown, is, aid->reference);
        if (calibration->used_count <= MOST_NUMBERED)
            number_aid(out, &n, is, i);
    }
    wm_buf_text(out, "</svg>");
}

/* ---- gray share over time ---- */

enum {
    GRAY_WIDTH = 320,
    GRAY_LEFT = 46,
    GRAY_RIGHT = 308,
    GRAY_TOP = 12,
    GRAY_BOTTOM = 150,
    LEGEND_COLUMNS = 2,
    LEGEND_LETTERS = 15
};

/* What the picture reaches from and to. */
typedef struct frame {
    double from, to;  /* years */
    double top, step; /* of share */
} frame;

static double gray_x(const frame *f, double years)
{
    const double along = f->to > f->from ? (years - f->from) / (f->to - f->from) : 0.5;
    return GRAY_LEFT + 10 + (GRAY_RIGHT - GRAY_LEFT - 20) * clamped(along, 0, 1);
}

static double gray_y(const frame *f, double share)
{
    return GRAY_BOTTOM - (GRAY_BOTTOM - GRAY_TOP) * clamped(share / f->top, 0, 1);
}

static frame frame_of(const wm_plot_gray *g)
{
    frame f = { INFINITY, -INFINITY, 0.2, 0.1 };
    for (size_t i = 0; i < g->count; i++) {
        f.from = fmin(f.from, g->points[i].years);
        f.to = fmax(f.to, g->points[i].years);
        f.top = fmax(f.top, fmin(1, g->points[i].share + 2 * g->points[i].u));
    }
    f.step = f.top > 0.4 ? 0.25 : 0.1;
    f.top = f.step * ceil(f.top / f.step - 1e-9);
    return f;
}

static void draw_axes(wm_buf *out, const frame *f, const wm_plot_gray *g)
{
    for (double share = 0; share < f->top + f->step / 2; share += f->step)
        wm_markup(out,
                  "<path d=\"M%d %1H%d\" stroke=\"currentColor\" stroke-opacity=\"0.3\"/><text x=\"%d\" y=\"%1\" "
                  "text-anchor=\"end\">%0 %%</text>",
                  GRAY_LEFT, gray_y(f, share), GRAY_RIGHT, GRAY_LEFT - 6, gray_y(f, share) + 4, 100 * share);
    wm_markup(out, "<text x=\"%d\" y=\"%d\">%s</text>", GRAY_LEFT, GRAY_BOTTOM + 18, g->from);
    if (f->to > f->from)
        wm_markup(out, "<text x=\"%d\" y=\"%d\" text-anchor=\"end\">%s</text>", GRAY_RIGHT, GRAY_BOTTOM + 18, g->to);
}

static void draw_line(wm_buf *out, const frame *f, const wm_plot_share *line, size_t count)
{
    wm_buf_text(out, "<path fill-opacity=\"0.13\" d=\"");
    for (size_t i = 0; i < count; i++)
        wm_markup(out, "%s%1 %1", i ? "L" : "M", gray_x(f, line[i].years), gray_y(f, line[i].share + 2 * line[i].u));
    for (size_t i = count; i-- > 0;)
        wm_markup(out, "L%1 %1", gray_x(f, line[i].years), gray_y(f, line[i].share - 2 * line[i].u));
    wm_markup(out, "z\"/><path stroke=\"currentColor\" stroke-width=\"1.5\" d=\"M%1 %1L%1 %1\"/>",
              gray_x(f, line[0].years), gray_y(f, line[0].share), gray_x(f, line[count - 1].years),
              gray_y(f, line[count - 1].share));
}

/* Each place has a mark of its own shape: no place is told by colour. */
static void draw_mark(wm_buf *out, size_t place, double x, double y)
{
    static const char *const SHAPES[] = { "<path d=\"M%1 %1h7v7h-7z\"/>",
                                          "<path d=\"M%1 %1l4.5 4.5-4.5 4.5-4.5-4.5z\"/>",
                                          "<path d=\"M%1 %1l4.5 8h-9z\"/>" };
    static const double OFF[][2] = { { -3.5, -3.5 }, { 0, -4.5 }, { 0, -5 } };
    const size_t shape = place % 4;
    if (place >= 4) /* the same again, hollow */
        wm_buf_text(out, "<g fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.5\">");
    if (shape == 0)
        wm_markup(out, "<circle cx=\"%1\" cy=\"%1\" r=\"4\"/>", x, y);
    else
        wm_markup(out, SHAPES[shape - 1], x + OFF[shape - 1][0], y + OFF[shape - 1][1]);
    if (place >= 4)
        wm_buf_text(out, "</g>");
}

/* Places of one visit stand a little beside each other. */
static void draw_shares(wm_buf *out, const frame *f, const wm_plot_gray *g)
{
    for (size_t i = 0; i < g->count; i++) {
        const wm_plot_share *p = &g->points[i];
        const double x = gray_x(f, p->years) + 6 * ((double)p->place - ((double)g->place_count - 1) / 2);
        wm_markup(out, "<path stroke=\"currentColor\" d=\"M%1 %1V%1\"/>", x, gray_y(f, p->share + 2 * p->u),
                  gray_y(f, p->share - 2 * p->u));
        draw_mark(out, p->place, x, gray_y(f, p->share));
    }
}

/* As much of a name as fits beside the next one. */
static void write_short(wm_buf *out, const char *name)
{
    char shown[4 * LEGEND_LETTERS + sizeof "\342\200\246"];
    size_t used = 0;
    for (size_t letters = 0; name[used] && letters < LEGEND_LETTERS; letters++) {
        size_t step = wm_utf8_step(name + used, strlen(name + used));
        memcpy(shown + used, name + used, step ? step : 1);
        used += step ? step : 1;
    }
    memcpy(shown + used, name[used] ? "\342\200\246" : "", name[used] ? 4 : 1);
    wm_markup(out, "%s", shown);
}

static void draw_legend(wm_buf *out, const wm_plot_gray *g)
{
    for (size_t i = 0; i < g->place_count; i++) {
        const double x = GRAY_LEFT + 135.0 * (double)(i % LEGEND_COLUMNS);
        const double y = GRAY_BOTTOM + 38 + 18.0 * (double)(i / LEGEND_COLUMNS);
        draw_mark(out, i, x + 5, y);
        wm_markup(out, "<text x=\"%1\" y=\"%1\">", x + 15, y + 4);
        write_short(out, g->places[i]);
        wm_buf_text(out, "</text>");
    }
}

void wm_plot_gray_shares(wm_buf *out, const wm_plot_gray *gray)
{
    const frame f = frame_of(gray);
    const int rows = (int)((gray->place_count + LEGEND_COLUMNS - 1) / LEGEND_COLUMNS);
    const int height = GRAY_BOTTOM + 28 + 18 * rows;
    if (!gray->count)
        return;
    wm_markup(
        out,
        "<svg class=\"gray-shares\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"currentColor\" font-size=\"12\"><title>"
        "Gray share from %s to %s",
        GRAY_WIDTH, height, GRAY_WIDTH, height, gray->from, gray->to);
    for (size_t i = 0; i < gray->count; i++)
        wm_markup(out, "%s%s %0 %%", i ? ", " : ": ", gray->places[gray->points[i].place], 100 * gray->points[i].share);
    wm_buf_text(out, "</title>");
    draw_axes(out, &f, gray);
    for (size_t i = 0; i < gray->place_count && gray->line_count; i++)
        draw_line(out, &f, gray->lines[i], gray->line_count);
    draw_shares(out, &f, gray);
    draw_legend(out, gray);
    wm_buf_text(out, "</svg>");
}

void wm_plot_gray_free(wm_plot_gray *gray)
{
    free(gray->points);
    *gray = (wm_plot_gray){ 0 };
}
