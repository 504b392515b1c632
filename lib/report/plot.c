#include "report/plot.h"

#include <math.h>

#include "plan/calendar.h"
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

/* 0 to 1 by date; by order where the dates don't say. */
static double when(const wm_plot_share *shares, size_t count, size_t i)
{
    wm_date date;
    double days[3] = { 0, 0, 0 };
    const size_t asked[3] = { 0, i, count - 1 };
    bool dated = true;
    for (int k = 0; k < 3; k++) {
        dated = dated && wm_date_parse(&date, shares[asked[k]].at);
        days[k] = dated ? (double)wm_date_to_days(date) : 0;
    }
    if (!dated || days[2] <= days[0])
        return (double)i / (double)(count > 1 ? count - 1 : 1);
    return clamped((days[1] - days[0]) / (days[2] - days[0]), 0, 1);
}

void wm_plot_shares(wm_buf *out, const wm_plot_share *shares, size_t count)
{
    enum { WIDTH = 320, HEIGHT = 88, LEFT = 14, RIGHT = 306, TOP = 22, BOTTOM = 80 };
    double top = 0.2;
    for (size_t i = 0; i < count; i++)
        top = fmax(top, shares[i].share);
    wm_markup(
        out,
        "<svg class=\"shares\" role=\"img\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" fill=\"currentColor\" font-size=\"12\"><title>"
        "Gray share from %s to %s</title><path d=\"M%d %dH%d\" stroke=\"currentColor\" stroke-opacity=\"0.45\"/><path fill=\"none\" "
        "stroke=\"currentColor\" d=\"",
        WIDTH, HEIGHT, WIDTH, HEIGHT, shares[0].at, shares[count - 1].at, LEFT, BOTTOM, RIGHT);
    for (size_t i = 0; i < count; i++)
        wm_markup(out, "%s%1 %1", i ? "L" : "M", LEFT + (RIGHT - LEFT) * when(shares, count, i),
                  BOTTOM - (BOTTOM - TOP) * shares[i].share / top);
    wm_buf_text(out, "\"/>");
    for (size_t i = 0; i < count; i++) {
        double x = LEFT + (RIGHT - LEFT) * when(shares, count, i), y = BOTTOM - (BOTTOM - TOP) * shares[i].share / top;
        wm_markup(out, "<circle cx=\"%1\" cy=\"%1\" r=\"3.5\"/>", x, y);
        if (i == 0 || i == count - 1)
            wm_markup(out, "<text x=\"%1\" y=\"%1\" text-anchor=\"%s\">%0 %%</text>", i ? x + 6 : x - 6, y - 8,
                      i ? "end" : "start", 5 * round(20 * shares[i].share));
    }
    wm_buf_text(out, "</svg>");
}
