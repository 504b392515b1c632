#include "measure/sample.h"

#include "colour/stats.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static const double ONE_STEP = 1.01 / 255.0; /* H6 */

/* ---- reading
 * --------------------------------------------------------------------------------------------------------------- */

static size_t pixels_of(const wm_window *window)
{
    return (size_t)window->box.width * (size_t)window->box.height;
}

static wm_status allocate(wm_window *window, wm_box box, wm_error *err)
{
    *window = (wm_window){ .box = box };
    if (box.width <= 0 || box.height <= 0)
        return wm_fail(err, WM_E_INPUT, "a zone covers no pixel of the photo; draw it larger");
    window->linear = calloc(pixels_of(window), sizeof *window->linear);
    window->flags = calloc(pixels_of(window), 1);
    return window->linear && window->flags ? WM_OK : wm_fail_memory(err);
}

/* G1 looks at the channels as an 8-bit file would hold them (250 and above, 3 and below); C15 at the channels as they
 * are. */
static unsigned file_flags(const double *encoded)
{
    double low = fmin(encoded[0], fmin(encoded[1], encoded[2])), high = fmax(encoded[0], fmax(encoded[1], encoded[2]));
    unsigned flags = 0;
    if (high * 255.0 >= 249.5 || high * 255.0 < 3.5)
        flags |= WM_PX_CLIPPED;
    if (high >= 0.98 || low <= 0.01)
        flags |= WM_PX_EXTREME;
    return flags;
}

/* H6: no colour to read, as in a black-and-white photo; its steps of 255 differ by one at most. */
static bool is_colourless(const double *encoded)
{
    return fabs(encoded[0] - encoded[1]) < ONE_STEP && fabs(encoded[1] - encoded[2]) < ONE_STEP;
}

typedef struct tally {
    size_t zone, extreme, colourless;
    double sum[3];
} tally;

static void read_row(wm_window *window, int row, const double *encoded, tally *t)
{
    unsigned char *flags = window->flags + (size_t)row * (size_t)window->box.width;
    for (int x = 0; x < window->box.width; x++, encoded += 3) {
        unsigned file = file_flags(encoded);
        bool inside = flags[x] != 0;
        flags[x] = (unsigned char)((inside ? WM_PX_ZONE : 0u) | file);
        if (!inside)
            continue;
        t->zone++;
        t->extreme += (file & WM_PX_EXTREME) != 0;
        t->colourless += is_colourless(encoded);
        for (int c = 0; c < 3; c++)
            t->sum[c] += encoded[c];
    }
}

wm_status wm_window_read(wm_window *out, const wm_photo *photo, const wm_zone *zone, wm_error *err)
{
    wm_photo_facts facts = wm_photo_facts_of(photo);
    wm_window window;
    tally t = { 0 };
    wm_status status = allocate(&window, wm_zone_box(zone, facts.width, facts.height), err);
    double *encoded = status ? NULL : malloc((size_t)window.box.width * 3 * sizeof *encoded);
    if (!status && !encoded)
        status = wm_fail_memory(err);
    for (int y = 0; !status && y < window.box.height; y++) {
        size_t start = (size_t)y * (size_t)window.box.width;
        wm_zone_row(zone, window.box.x, window.box.y + y, window.box.width, window.flags + start);
        wm_photo_read(photo, window.box.x, window.box.y + y, window.box.width, window.linear + start, encoded);
        read_row(&window, y, encoded, &t);
    }
    if (!status && t.zone == 0)
        status = wm_fail(err, WM_E_INPUT, "a zone covers no pixel of the photo; draw it larger");
    free(encoded);
    if (status) {
        wm_window_free(&window);
        return status;
    }
    double n = (double)t.zone;
    window.zone_pixels = t.zone;
    window.extreme_share = (double)t.extreme / n;
    window.colourless_share = (double)t.colourless / n;
    window.encoded_mean = (wm_rgb){ t.sum[0] / n, t.sum[1] / n, t.sum[2] / n };
    *out = window;
    return WM_OK;
}

wm_status wm_window_from_pixels(wm_window *out, const wm_rgb *pixels, int width, int height, wm_error *err)
{
    wm_window window;
    wm_status status = allocate(&window, (wm_box){ 0, 0, width, height }, err);
    if (status) {
        wm_window_free(&window);
        return status;
    }
    size_t count = pixels_of(&window);
    memcpy(window.linear, pixels, count * sizeof *pixels);
    memset(window.flags, WM_PX_ZONE, count);
    window.zone_pixels = count;
    double sum[3] = { 0 };
    size_t colourless = 0;
    for (size_t i = 0; i < count; i++) {
        const double encoded[3] = { wm_srgb_encode(pixels[i].r), wm_srgb_encode(pixels[i].g),
                                    wm_srgb_encode(pixels[i].b) };
        for (int c = 0; c < 3; c++)
            sum[c] += encoded[c];
        colourless += is_colourless(encoded);
    }
    const double n = (double)count;
    window.encoded_mean = (wm_rgb){ sum[0] / n, sum[1] / n, sum[2] / n };
    window.colourless_share = (double)colourless / n;
    *out = window;
    return WM_OK;
}

void wm_window_free(wm_window *window)
{
    if (!window)
        return;
    free(window->linear);
    free(window->flags);
    *window = (wm_window){ 0 };
}

/* ---- G3: sheen bands
 * ------------------------------------------------------------------------------------------------------- */

/* L* alone: a third of the work of a whole Lab. */
static double lightness_of(wm_rgb rgb)
{
    return wm_xyz_to_lab((wm_xyz){ 0.0, wm_rgb_luminance(rgb), 0.0 }, WM_D50).L;
}

/* [1 2 1]/4 along each row, edges repeated, in place. */
static void smooth_across(double *values, size_t width, size_t height)
{
    for (size_t y = 0; y < height; y++, values += width) {
        double before = values[0];
        for (size_t x = 0; x < width; x++) {
            double here = values[x], after = x + 1 < width ? values[x + 1] : here;
            values[x] = (before + 2.0 * here + after) / 4.0;
            before = here;
        }
    }
}

/* The same along each column, row by row for the cache's sake; before: room for one row. */
static void smooth_down(double *values, size_t width, size_t height, double *before)
{
    memcpy(before, values, width * sizeof *before);
    for (size_t y = 0; y < height; y++, values += width) {
        const double *after = y + 1 < height ? values + width : values;
        for (size_t x = 0; x < width; x++) {
            double here = values[x];
            values[x] = (before[x] + 2.0 * here + after[x]) / 4.0;
            before[x] = here;
        }
    }
}

static wm_status smooth(double *values, wm_box box, wm_error *err)
{
    size_t width = (size_t)box.width, height = (size_t)box.height;
    double *row = malloc(width * sizeof *row);
    if (!row)
        return wm_fail_memory(err);
    for (int pass = 0; pass < 2; pass++) {
        smooth_down(values, width, height, row);
        smooth_across(values, width, height);
    }
    free(row);
    return WM_OK;
}

/* G3a: the direction across the fibres from the gradients of the blurred L*. */
static void find_direction(const double *lightness, wm_box box, wm_cleaning *out)
{
    double A = 0.0, C = 0.0, D = 0.0;
    size_t width = (size_t)box.width;
    for (int y = 1; y + 1 < box.height; y++) {
        const double *row = lightness + (size_t)y * width;
        for (size_t x = 1; x + 1 < width; x++) {
            double gx = (row[x + 1] - row[x - 1]) / 2.0, gy = (row[x + width] - (row - width)[x]) / 2.0;
            A += gx * gx;
            C += gy * gy;
            D += gx * gy;
        }
    }
    out->direction_rad = 0.5 * atan2(2.0 * D, A - C);
    out->coherence = hypot(A - C, 2.0 * D) / (A + C + 1e-12);
}

enum { STRIP_WIDTH = 64, CELL_DEPTH = 8, CELL_PIXELS = 60, STRIP_CELLS = 6 };

/* G3b: cells of 64 px across and 8 px along the fibres. */
typedef struct grid {
    double cosine, sine, u_min, v_min;
    size_t strips, per_strip;
} grid;

static grid make_grid(double phi, wm_box box)
{
    grid g = { .cosine = cos(phi), .sine = sin(phi) };
    double u_max = 0.0, v_max = 0.0;
    for (int corner = 0; corner < 4; corner++) { /* u and v are linear: their extremes sit at the corners */
        double x = corner & 1 ? box.width - 1 : 0, y = corner & 2 ? box.height - 1 : 0;
        double u = x * g.cosine + y * g.sine, v = -x * g.sine + y * g.cosine;
        g.u_min = fmin(g.u_min, u);
        g.v_min = fmin(g.v_min, v);
        u_max = fmax(u_max, u);
        v_max = fmax(v_max, v);
    }
    g.strips = (size_t)((u_max - g.u_min) / STRIP_WIDTH) + 1;
    g.per_strip = (size_t)((v_max - g.v_min) / CELL_DEPTH) + 1;
    return g;
}

static size_t cell_of(const grid *g, int x, int y)
{
    double u = x * g->cosine + y * g->sine - g->u_min, v = -x * g->sine + y * g->cosine - g->v_min;
    size_t strip = (size_t)(fmax(u, 0.0) / STRIP_WIDTH), depth = (size_t)(fmax(v, 0.0) / CELL_DEPTH);
    if (strip >= g->strips)
        strip = g->strips - 1;
    if (depth >= g->per_strip)
        depth = g->per_strip - 1;
    return strip * g->per_strip + depth;
}

static bool is_kept(unsigned char flags)
{
    return (flags & WM_PX_ZONE) && !(flags & WM_PX_DROPPED);
}

typedef struct cells {
    grid g;
    size_t *start;          /* [count + 1]: slice of each cell in `luminance` */
    double *luminance;      /* kept pixels, cell by cell */
    unsigned char *verdict; /* [count]: 0, WM_PX_SHEEN or WM_PX_SHADOW */
    double *quartile;       /* [count]: q of G3c, negative where there is none */
} cells;

static void free_cells(cells *c)
{
    free(c->start);
    free(c->luminance);
    free(c->verdict);
    free(c->quartile);
}

/* Counting sort of the kept pixels into their cells. */
static void fill_cells(cells *c, const wm_window *window)
{
    size_t count = c->g.strips * c->g.per_strip, i = 0;
    for (int y = 0; y < window->box.height; y++)
        for (int x = 0; x < window->box.width; x++, i++)
            if (is_kept(window->flags[i]))
                c->start[cell_of(&c->g, x, y) + 1]++;
    for (size_t k = 0; k < count; k++)
        c->start[k + 1] += c->start[k];
    i = 0;
    for (int y = 0; y < window->box.height; y++)
        for (int x = 0; x < window->box.width; x++, i++)
            if (is_kept(window->flags[i]))
                c->luminance[c->start[cell_of(&c->g, x, y)]++] = wm_rgb_luminance(window->linear[i]);
    memmove(c->start + 1, c->start, count * sizeof *c->start);
    c->start[0] = 0;
}

static wm_status make_cells(cells *c, const wm_window *window, double phi, wm_error *err)
{
    *c = (cells){ .g = make_grid(phi, window->box) };
    size_t count = c->g.strips * c->g.per_strip;
    c->start = calloc(count + 1, sizeof *c->start);
    c->luminance = malloc(pixels_of(window) * sizeof *c->luminance);
    c->verdict = calloc(count, 1);
    c->quartile = malloc(count * sizeof *c->quartile);
    if (!c->start || !c->luminance || !c->verdict || !c->quartile) {
        free_cells(c);
        return wm_fail_memory(err);
    }
    fill_cells(c, window);
    return WM_OK;
}

/* G3c for one strip. sorted: room for a strip of values. */
static void judge_strip(cells *c, size_t first, double *sorted)
{
    size_t known = 0;
    for (size_t i = first; i < first + c->g.per_strip; i++) {
        size_t n = c->start[i + 1] - c->start[i];
        c->quartile[i] = -1.0;
        if (n < CELL_PIXELS)
            continue;
        c->quartile[i] = fmax(wm_quantile(c->luminance + c->start[i], n, 0.25), 0.0);
        sorted[known++] = c->quartile[i];
    }
    if (known < STRIP_CELLS)
        return;
    double reference = wm_quantile(sorted, known, 0.35);
    for (size_t i = first; i < first + c->g.per_strip; i++) {
        if (c->quartile[i] > 1.5 * reference)
            c->verdict[i] = WM_PX_SHEEN;
        else if (c->quartile[i] >= 0.0 && c->quartile[i] < 0.55 * reference)
            c->verdict[i] = WM_PX_SHADOW;
    }
}

/* G3d. */
static void apply_verdicts(wm_window *window, const cells *c, wm_cleaning *out)
{
    size_t kept = 0, sheen = 0, shadow = 0, count = c->g.strips * c->g.per_strip;
    for (size_t i = 0; i < count; i++) {
        size_t n = c->start[i + 1] - c->start[i];
        kept += n;
        sheen += c->verdict[i] == WM_PX_SHEEN ? n : 0;
        shadow += c->verdict[i] == WM_PX_SHADOW ? n : 0;
    }
    if (sheen + shadow == 0)
        return;
    if ((double)(sheen + shadow) >= 0.7 * (double)kept) {
        out->sheen_everywhere = true;
        return;
    }
    size_t i = 0;
    for (int y = 0; y < window->box.height; y++)
        for (int x = 0; x < window->box.width; x++, i++)
            if (is_kept(window->flags[i]))
                window->flags[i] |= c->verdict[cell_of(&c->g, x, y)];
    out->sheen_share = (double)sheen / (double)window->zone_pixels;
    out->shadow_share = (double)shadow / (double)window->zone_pixels;
}

static wm_status drop_sheen(wm_window *window, wm_cleaning *out, wm_error *err)
{
    cells c;
    wm_status status = make_cells(&c, window, out->direction_rad, err);
    if (status)
        return status;
    double *sorted = malloc(c.g.per_strip * sizeof *sorted);
    if (!sorted)
        status = wm_fail_memory(err);
    for (size_t strip = 0; !status && strip < c.g.strips; strip++)
        judge_strip(&c, strip * c.g.per_strip, sorted);
    if (!status)
        apply_verdicts(window, &c, out);
    free(sorted);
    free_cells(&c);
    return status;
}

/* ---- cleaning
 * -------------------------------------------------------------------------------------------------------------- */

wm_status wm_window_clean(wm_window *window, wm_cleaning *out, wm_error *err)
{
    wm_cleaning cleaning = { 0 };
    size_t count = pixels_of(window);
    double *lightness = malloc(count * sizeof *lightness);
    wm_status status = lightness ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; !status && i < count; i++) {
        window->flags[i] &= (unsigned char)~(WM_PX_SHEEN | WM_PX_SHADOW);
        lightness[i] = lightness_of(window->linear[i]);
    }
    if (!status)
        status = smooth(lightness, window->box, err);
    if (!status) {
        find_direction(lightness, window->box, &cleaning);
        status = drop_sheen(window, &cleaning, err);
    }
    if (!status)
        *out = cleaning;
    free(lightness);
    return status;
}

wm_status wm_window_kept(const wm_window *window, wm_rgb **out, size_t *count, wm_error *err)
{
    size_t all = pixels_of(window), kept = 0, next = 0;
    for (size_t i = 0; i < all; i++)
        kept += is_kept(window->flags[i]);
    wm_rgb *pixels = kept ? malloc(kept * sizeof *pixels) : NULL;
    if (kept && !pixels)
        return wm_fail_memory(err);
    for (size_t i = 0; i < all; i++)
        if (is_kept(window->flags[i]))
            pixels[next++] = window->linear[i];
    *out = pixels;
    *count = kept;
    return WM_OK;
}

/* ---- flat areas
 * ------------------------------------------------------------------------------------------------------------ */

wm_flat_sample wm_window_flat(const wm_window *window)
{
    wm_flat_sample flat = { .pixels = window->zone_pixels };
    size_t count = pixels_of(window);
    double n = (double)flat.pixels, squares = 0.0;
    for (size_t i = 0; i < count; i++)
        if (window->flags[i] & WM_PX_ZONE)
            flat.mean = wm_rgb_add(flat.mean, window->linear[i]);
    flat.mean = wm_rgb_scale(flat.mean, 1.0 / n);
    double mean_y = wm_rgb_luminance(flat.mean);
    for (size_t i = 0; i < count; i++)
        if (window->flags[i] & WM_PX_ZONE) {
            double d = wm_rgb_luminance(window->linear[i]) - mean_y;
            squares += d * d;
        }
    if (flat.pixels > 1 && mean_y > 0.0)
        flat.relative_sd_y = sqrt(squares / (n - 1.0)) / mean_y;
    return flat;
}

/* Mean Y of the zone pixels in one corner of the box, a quarter of its width and height; false where there are none. */
static bool corner_luminance(const wm_window *window, int corner, double *out)
{
    int w = (window->box.width + 3) / 4, h = (window->box.height + 3) / 4;
    int x0 = corner & 1 ? window->box.width - w : 0, y0 = corner & 2 ? window->box.height - h : 0;
    double sum = 0.0;
    size_t n = 0;
    for (int y = y0; y < y0 + h; y++)
        for (int x = x0; x < x0 + w; x++) {
            size_t i = (size_t)y * (size_t)window->box.width + (size_t)x;
            if (window->flags[i] & WM_PX_ZONE) {
                sum += wm_rgb_luminance(window->linear[i]);
                n++;
            }
        }
    if (n)
        *out = sum / (double)n;
    return n > 0;
}

double wm_window_corner_spread(const wm_window *window)
{
    double low = INFINITY, high = -INFINITY, sum = 0.0;
    int found = 0;
    for (int corner = 0; corner < 4; corner++) {
        double y;
        if (!corner_luminance(window, corner, &y))
            continue;
        low = fmin(low, y);
        high = fmax(high, y);
        sum += y;
        found++;
    }
    return found && sum > 0.0 ? (high - low) / (sum / found) : 0.0;
}
