#include "measure/sample.h"

#include "colour/stats.h"
#include "core/wide.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { BURNT_STEP = 250 };                   /* G1 */
enum { BLACK_STEP = 3 };                     /* G1 */
enum { ENOUGH_PIXELS = 7000 };               /* G1 */
enum { LEAST_SIDE = 56 };                    /* G1 */
enum { PIXELS_OF_A_TRY = 3000 };             /* G11 */
enum { MOST_ROW_STEP = 4 };                  /* G11 */
static const double ONE_STEP = 1.01 / 255.0; /* H6 */
static const double BLACK = 0.02;            /* our own: a clipped pixel above it is blown out, below it is black */

/* ---- reading
 * --------------------------------------------------------------------------------------------------------------- */

static size_t pixels_of(const wm_window *window)
{
    return (size_t)window->box.width * (size_t)window->box.height;
}

/* Free with wm_window_free, whatever comes back. */
static wm_status allocate(wm_window *window, wm_box box, int halvings, wm_error *err)
{
    *window = (wm_window){ .box = box, .halvings = halvings, .row_step = 1 };
    if (box.width <= 0 || box.height <= 0)
        return wm_fail(err, WM_E_INPUT, "a zone covers no pixel of the photo; draw it larger");
    window->linear = malloc(pixels_of(window) * sizeof *window->linear);
    window->mean = halvings ? malloc(pixels_of(window) * sizeof *window->mean) : window->linear;
    window->flags = calloc(pixels_of(window), 1);
    return window->linear && window->mean && window->flags ? WM_OK : wm_fail_memory(err);
}

/* G1 looks at the channels as an 8-bit file would hold them (250 and above, 3 and below); C15 at the channels as they
 * are. */
static unsigned file_flags(const double *encoded)
{
    double high = fmax(encoded[0], fmax(encoded[1], encoded[2]));
    unsigned flags = 0;
    if (high * 255.0 >= BURNT_STEP - 0.5 || high * 255.0 < BLACK_STEP + 0.5)
        flags |= WM_PX_CLIPPED;
    if (high >= 0.98 || high <= 0.01)
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

/* flags: whether inside the zone, before. */
static void read_row(unsigned char *flags, int width, const double *encoded, tally *t)
{
    for (int x = 0; x < width; x++, encoded += 3) {
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

static void settle_tally(wm_window *window, const tally *t)
{
    const double n = (double)t->zone;
    window->zone_pixels = t->zone;
    window->extreme_share = (double)t->extreme / n;
    window->colourless_share = (double)t->colourless / n;
    window->encoded_mean = (wm_rgb){ t->sum[0] / n, t->sum[1] / n, t->sum[2] / n };
}

int wm_window_halvings(const wm_zone *zone, const wm_photo *photo)
{
    const wm_photo_facts facts = wm_photo_facts_of(photo);
    const wm_box box = wm_zone_box(zone, facts.width, facts.height);
    const int side = box.width < box.height ? box.width : box.height;
    const size_t pixels = (size_t)box.width * (size_t)box.height;
    int halvings = 0;
    while (pixels >> 2 * (halvings + 1) >= ENOUGH_PIXELS && side >> (halvings + 1) >= LEAST_SIDE)
        halvings++;
    return halvings;
}

/* A row of squares in the making, all in one allocation. */
typedef struct square_row {
    double *encoded;       /* a row of the photo */
    double *picked, *mean; /* of each square: its middle pixel, the mean of all */
    unsigned char *inside; /* a row of the photo: in the zone */
} square_row;

static void mark_squares(wm_window *window, const wm_zone *zone, int y, square_row *row)
{
    const int h = window->halvings, middle = (1 << h) / 2;
    unsigned char *flags = window->flags + (size_t)y * (size_t)window->box.width;
    wm_zone_row(zone, window->box.x << h, ((window->box.y + y) << h) + middle, window->box.width << h, row->inside);
    for (int x = 0; x < window->box.width; x++)
        flags[x] = row->inside[(x << h) + middle] ? WM_PX_ZONE : 0;
}

static void pick_middles(square_row *row, int count, int halvings)
{
    for (int x = 0; x < count; x++) {
        const size_t at = ((size_t)x << halvings) + (size_t)(1 << halvings) / 2;
        memcpy(row->picked + 3 * (size_t)x, row->encoded + 3 * at, 3 * sizeof *row->picked);
    }
}

static void add_to_means(square_row *row, int count, int halvings)
{
    const double share = 1.0 / (double)(1 << 2 * halvings), *encoded = row->encoded;
    for (int x = 0; x < count; x++) {
        double *mean = row->mean + 3 * (size_t)x, r = mean[0], g = mean[1], b = mean[2];
        for (int i = 0; i < 1 << halvings; i++, encoded += 3) {
            r += share * encoded[0];
            g += share * encoded[1];
            b += share * encoded[2];
        }
        mean[0] = r;
        mean[1] = g;
        mean[2] = b;
    }
}

static void read_stretch(wm_window *window, const wm_photo *photo, int y, wm_stretch s, square_row *row)
{
    const int h = window->halvings, side = 1 << h;
    const size_t start = (size_t)y * (size_t)window->box.width + (size_t)s.from;
    if (s.count == 0)
        return;
    memset(row->mean, 0, 3 * (size_t)s.count * sizeof *row->mean);
    for (int i = 0; i < side; i++) {
        wm_photo_read(photo, (window->box.x + s.from) << h, ((window->box.y + y) << h) + i, s.count << h, NULL,
                      row->encoded);
        if (i == side / 2)
            pick_middles(row, s.count, h);
        if (h > 0)
            add_to_means(row, s.count, h);
    }
    wm_photo_to_linear(photo, window->linear + start, row->picked, s.count);
    if (h > 0)
        wm_photo_to_linear(photo, window->mean + start, row->mean, s.count);
}

void wm_window_beside(wm_stretch out[2], const wm_window *window, const wm_box *part, int y)
{
    const int row = window->box.y + y, width = window->box.width;
    out[0] = (wm_stretch){ 0, width };
    out[1] = (wm_stretch){ width, 0 };
    if (!part || row < part->y || row >= part->y + part->height)
        return;
    out[0].count = part->x - window->box.x;
    out[1].from = out[0].count + part->width;
    out[1].count = width - out[1].from;
}

/* known: squares that are not read; NULL: all are. */
static wm_status read_squares(wm_window *window, const wm_photo *photo, const wm_zone *zone, const wm_box *known,
                              wm_error *err)
{
    const size_t squares = (size_t)window->box.width, width = squares << window->halvings;
    double *room = malloc((3 * width + 6 * squares) * sizeof *room + width);
    tally t = { 0 };
    if (!room)
        return wm_fail_memory(err);
    square_row row = { room, room + 3 * width, room + 3 * width + 3 * squares,
                       (unsigned char *)(room + 3 * width + 6 * squares) };
    for (int y = 0; y < window->box.height; y++) {
        wm_stretch unknown[2];
        mark_squares(window, zone, y, &row);
        wm_window_beside(unknown, window, known, y);
        for (int i = 0; i < 2; i++) {
            read_stretch(window, photo, y, unknown[i], &row);
            read_row(window->flags + (size_t)y * squares + unknown[i].from, unknown[i].count, row.picked, &t);
        }
    }
    free(room);
    if (t.zone > 0)
        settle_tally(window, &t);
    return WM_OK;
}

/* The squares that lie in the zone's box as a whole. */
static wm_box squares_of(const wm_zone *zone, const wm_photo *photo, int halvings)
{
    const wm_photo_facts facts = wm_photo_facts_of(photo);
    const wm_box box = wm_zone_box(zone, facts.width, facts.height);
    const int x = box.x >> halvings, y = box.y >> halvings;
    return (wm_box){ x, y, ((box.x + box.width) >> halvings) - x, ((box.y + box.height) >> halvings) - y };
}

static wm_box unhalved(wm_box box, int halvings)
{
    return (wm_box){ box.x << halvings, box.y << halvings, box.width << halvings, box.height << halvings };
}

static wm_status read_window(wm_window *out, const wm_photo *photo, const wm_zone *zone, int halvings,
                             const wm_box *known, wm_error *err)
{
    wm_window window;
    const wm_box box = squares_of(zone, photo, halvings);
    wm_status status = allocate(&window, box, halvings, err);
    if (!status && !wm_photo_has(photo, unhalved(box, halvings)))
        status = wm_fail(err, WM_E_BUG, "a zone was read where the photo was not opened; open all of it");
    if (!status)
        status = read_squares(&window, photo, zone, known, err);
    if (status)
        wm_window_free(&window);
    else
        *out = window;
    return status;
}

wm_status wm_window_read_halved(wm_window *out, const wm_photo *photo, const wm_zone *zone, int halvings, wm_error *err)
{
    wm_window window;
    const wm_status status = read_window(&window, photo, zone, halvings, NULL, err);
    if (status)
        return status;
    if (window.zone_pixels == 0) {
        wm_window_free(&window);
        return wm_fail(err, WM_E_INPUT, "a zone covers no pixel of the photo; draw it larger");
    }
    *out = window;
    return WM_OK;
}

static void put_row(wm_window *out, const wm_window *part, int y)
{
    const size_t width = (size_t)part->box.width, from = (size_t)y * width,
                 to = (size_t)(part->box.y + y - out->box.y) * (size_t)out->box.width +
                      (size_t)(part->box.x - out->box.x);
    memcpy(out->linear + to, part->linear + from, width * sizeof *out->linear);
    if (out->mean != out->linear)
        memcpy(out->mean + to, part->mean + from, width * sizeof *out->mean);
    for (size_t x = 0; x < width; x++)
        out->flags[to + x] |= part->flags[from + x] & (WM_PX_CLIPPED | WM_PX_EXTREME);
}

wm_status wm_window_read_around(wm_window *out, const wm_photo *photo, const wm_zone *zone, const wm_window *part,
                                wm_error *err)
{
    const wm_status status = read_window(out, photo, zone, part->halvings, &part->box, err);
    if (status)
        return status;
    for (int y = 0; y < part->box.height; y++)
        put_row(out, part, y);
    out->extreme_share = part->extreme_share;
    out->colourless_share = part->colourless_share;
    out->encoded_mean = part->encoded_mean;
    return WM_OK;
}

wm_status wm_window_read(wm_window *out, const wm_photo *photo, const wm_zone *zone, wm_error *err)
{
    return wm_window_read_halved(out, photo, zone, 0, err);
}

wm_status wm_window_from_pixels(wm_window *out, const wm_rgb *pixels, int width, int height, wm_error *err)
{
    wm_window window;
    wm_status status = allocate(&window, (wm_box){ 0, 0, width, height }, 0, err);
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

/* The part of a zone's box that lies in the window around, in its pixels. */
static wm_box box_within(const wm_window *around, const wm_zone *zone)
{
    const int h = around->halvings, side = 1 << h;
    const wm_box all = around->box, box = wm_zone_box(zone, (all.x + all.width) << h, (all.y + all.height) << h);
    const int left = box.x >> h > all.x ? box.x >> h : all.x, top = box.y >> h > all.y ? box.y >> h : all.y;
    return (wm_box){ left, top, ((box.x + box.width + side - 1) >> h) - left,
                     ((box.y + box.height + side - 1) >> h) - top };
}

static void copy_row(wm_window *out, const wm_window *around, int y)
{
    const size_t width = (size_t)out->box.width, to = (size_t)y * width,
                 from = (size_t)(out->box.y + y * out->row_step - around->box.y) * (size_t)around->box.width +
                        (size_t)(out->box.x - around->box.x);
    memcpy(out->linear + to, around->linear + from, width * sizeof *out->linear);
    for (size_t x = 0; x < width; x++)
        out->flags[to + x] = around->flags[from + x] & (unsigned char)~WM_PX_ZONE;
}

/* In the zone where a pixel's centre is; inside: room for a row of the photo. */
static void mark_row(wm_window *out, const wm_zone *zone, int y, unsigned char *inside)
{
    const int h = out->halvings, middle = (1 << h) / 2;
    unsigned char *flags = out->flags + (size_t)y * (size_t)out->box.width;
    wm_zone_row(zone, out->box.x << h, ((out->box.y + y * out->row_step) << h) + middle, out->box.width << h, inside);
    for (int x = 0; x < out->box.width; x++)
        if (inside[(x << h) + middle]) {
            flags[x] |= WM_PX_ZONE;
            out->zone_pixels++;
        }
}

static int row_step_for(wm_box box)
{
    const int step = box.width * box.height / PIXELS_OF_A_TRY;
    return step < 1 ? 1 : step < MOST_ROW_STEP ? step : MOST_ROW_STEP;
}

wm_status wm_window_within(wm_window *out, const wm_window *around, const wm_zone *zone, wm_error *err)
{
    wm_window window;
    wm_box box = box_within(around, zone);
    const int step = row_step_for(box);
    box.height = (box.height + step - 1) / step;
    wm_status status = allocate(&window, box, 0, err);
    unsigned char *inside = status ? NULL : malloc((size_t)window.box.width << around->halvings);
    if (!status && !inside)
        status = wm_fail_memory(err);
    if (status) {
        wm_window_free(&window);
        return status;
    }
    window.halvings = around->halvings;
    window.row_step = step;
    for (int y = 0; y < window.box.height; y++) {
        copy_row(&window, around, y);
        mark_row(&window, zone, y, inside);
    }
    free(inside);
    window.extreme_share = around->extreme_share;
    window.colourless_share = around->colourless_share;
    window.encoded_mean = around->encoded_mean;
    *out = window;
    return WM_OK;
}

void wm_window_free(wm_window *window)
{
    if (!window)
        return;
    if (window->mean != window->linear)
        free(window->mean);
    free(window->linear);
    free(window->flags);
    *window = (wm_window){ 0 };
}

/* ---- G3: sheen bands
 * ------------------------------------------------------------------------------------------------------- */

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

enum { STRIP_WIDTH = 64 };                    /* G3 */
enum { CELL_DEPTH = 8 };                      /* G3 */
enum { CELL_PIXELS = 60 };                    /* G3 */
enum { STRIP_CELLS = 6 };                     /* G3 */
static const double CELL_QUANTILE = 0.25;     /* G3 */
static const double STRIP_QUANTILE = 0.35;    /* G3 */
static const double SHEEN_OVER_STRIP = 1.5;   /* G3 */
static const double SHADOW_OVER_STRIP = 0.55; /* G3 */
static const double SHEEN_EVERYWHERE = 0.7;   /* G3 */

/* G3b: cells across and along the fibres, counted from the centre of the box: a mirrored zone has mirrored cells. */
typedef struct grid {
    double cosine, sine, centre_x, centre_y, across, along;
    double strips_beside, cells_beside; /* on either side of the middle one: whole numbers */
    size_t strips, per_strip;
} grid;

/* Half away from 0, for |value| < 2^52. */
WM_WIDE_PART double rounded(double value)
{
    return trunc(value + copysign(0.5 - 0x1p-54, value));
}

/* Nearest whole number; the last bits of an angle decide no tie. */
WM_WIDE_PART double nearest(double value)
{
    return rounded(rounded(value * 1e9) / 1e9);
}

static grid make_grid(double phi, const wm_window *window, double across, double along)
{
    const wm_box box = window->box;
    grid g = { .cosine = cos(phi),
               .sine = sin(phi),
               .centre_x = (box.width - 1) / 2.0,
               .centre_y = (box.height - 1) * window->row_step / 2.0,
               .across = across,
               .along = along };
    const double x = g.centre_x, y = g.centre_y;
    g.strips_beside = nearest((fabs(x * g.cosine) + fabs(y * g.sine)) / across);
    g.cells_beside = nearest((fabs(x * g.sine) + fabs(y * g.cosine)) / along);
    g.strips = (size_t)(2 * g.strips_beside + 1);
    g.per_strip = (size_t)(2 * g.cells_beside + 1);
    return g;
}

WM_WIDE_PART double within(double i, double beside)
{
    return (i < -beside ? -beside : i > beside ? beside : i) + beside;
}

/* The cells of a row of pixels. */
static void cells_of_row(uint32_t *out, const grid *g, int row, int width);
WM_WIDE_BODY void cells_of_row_body(uint32_t *out, const grid *g, int row, int width)
{
    const double y = row - g->centre_y, per_strip = (double)g->per_strip;
    for (int column = 0; column < width; column++) {
        const double x = column - g->centre_x, u = nearest((x * g->cosine + y * g->sine) / g->across),
                     v = nearest((y * g->cosine - x * g->sine) / g->along);
        out[column] = (uint32_t)(within(u, g->strips_beside) * per_strip + within(v, g->cells_beside));
    }
}
WM_WIDE(cells_of_row, (uint32_t * out, const grid *g, int row, int width), (out, g, row, width))

static bool is_kept(unsigned char flags)
{
    return (flags & WM_PX_ZONE) && !(flags & WM_PX_DROPPED);
}

typedef struct cells {
    grid g;
    size_t row_step;        /* of the window: its pixels stand for so many */
    unsigned without;       /* flags of pixels that do not take part, WM_PX_NOT_HAIR among them */
    uint32_t *of;           /* [pixels of the window]: the cell of each */
    size_t *start;          /* [count + 1]: slice of each cell in `luminance` */
    double *luminance;      /* pixels that take part, cell by cell */
    unsigned char *verdict; /* [count]: 0, WM_PX_SHEEN or WM_PX_SHADOW */
    double *quartile;       /* [count]: q of G3c, negative where there is none */
} cells;

static void free_cells(cells *c)
{
    free(c->of);
    free(c->start);
    free(c->luminance);
    free(c->verdict);
    free(c->quartile);
}

static bool takes_part(const cells *c, unsigned char flags)
{
    return (flags & WM_PX_ZONE) && !(flags & c->without);
}

/* What may lie in a cell: blown-out ones too. */
static bool may_be_hair(unsigned char flags)
{
    return (flags & WM_PX_ZONE) && !(flags & WM_PX_NOT_HAIR);
}

/* Counting sort of the pixels into their cells. */
static void fill_cells(cells *c, const wm_window *window)
{
    size_t count = c->g.strips * c->g.per_strip, i;
    for (int y = 0; y < window->box.height; y++)
        cells_of_row(c->of + (size_t)y * (size_t)window->box.width, &c->g, y * window->row_step, window->box.width);
    for (i = 0; i < pixels_of(window); i++)
        c->start[c->of[i] + 1] += takes_part(c, window->flags[i]);
    for (size_t k = 0; k < count; k++)
        c->start[k + 1] += c->start[k];
    for (i = 0; i < pixels_of(window); i++)
        if (takes_part(c, window->flags[i]))
            c->luminance[c->start[c->of[i]]++] = wm_rgb_luminance(window->linear[i]);
    memmove(c->start + 1, c->start, count * sizeof *c->start);
    c->start[0] = 0;
}

/* Free with free_cells, whatever comes back. */
static wm_status make_cells(cells *c, const wm_window *window, grid g, unsigned without, wm_error *err)
{
    *c = (cells){ .g = g, .row_step = (size_t)window->row_step, .without = without };
    size_t count = c->g.strips * c->g.per_strip;
    c->of = malloc(pixels_of(window) * sizeof *c->of);
    c->start = calloc(count + 1, sizeof *c->start);
    c->luminance = malloc(pixels_of(window) * sizeof *c->luminance);
    c->verdict = calloc(count, 1);
    c->quartile = malloc(count * sizeof *c->quartile);
    if (!c->of || !c->start || !c->luminance || !c->verdict || !c->quartile)
        return wm_fail_memory(err);
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
        if (n * c->row_step < CELL_PIXELS)
            continue;
        c->quartile[i] = fmax(wm_quantile(c->luminance + c->start[i], n, CELL_QUANTILE), 0.0);
        sorted[known++] = c->quartile[i];
    }
    if (known < STRIP_CELLS)
        return;
    double reference = wm_quantile(sorted, known, STRIP_QUANTILE);
    for (size_t i = first; i < first + c->g.per_strip; i++) {
        if (c->quartile[i] > SHEEN_OVER_STRIP * reference)
            c->verdict[i] = WM_PX_SHEEN;
        else if (c->quartile[i] >= 0.0 && c->quartile[i] < SHADOW_OVER_STRIP * reference)
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
    if ((double)(sheen + shadow) >= SHEEN_EVERYWHERE * (double)kept) {
        out->sheen_everywhere = true;
        return;
    }
    for (size_t i = 0; i < pixels_of(window); i++)
        if (may_be_hair(window->flags[i]))
            window->flags[i] |= c->verdict[c->of[i]];
    out->sheen_share = (double)sheen / (double)window->zone_pixels;
    out->shadow_share = (double)shadow / (double)window->zone_pixels;
}

static wm_status drop_sheen(wm_window *window, wm_cleaning *out, wm_error *err)
{
    cells c;
    wm_status status =
        make_cells(&c, window, make_grid(out->direction_rad, window, STRIP_WIDTH, CELL_DEPTH), WM_PX_DROPPED, err);
    double *sorted = malloc(c.g.per_strip * sizeof *sorted);
    if (!status && !sorted)
        status = wm_fail_memory(err);
    for (size_t strip = 0; !status && strip < c.g.strips; strip++)
        judge_strip(&c, strip * c.g.per_strip, sorted);
    if (!status)
        apply_verdicts(window, &c, out);
    free(sorted);
    free_cells(&c);
    return status;
}

/* ---- G7a: bright pixels in the dark cells
 * -------------------------------------------------------------------------------- */

enum { THIRD_WIDTH = 24 };                 /* G7 */
enum { THIRD_DEPTH = 12 };                 /* G7 */
enum { THIRD_PIXELS = 40 };                /* G7 */
enum { FEWEST_CELLS = 6 };                 /* G7 */
enum { FEWEST_OF_THIRD = 3 };              /* G7 */
static const double LIGHT_QUANTILE = 0.15; /* G7 */
static const double DARKEST_CELL = 0.002;  /* as the histogram's end */

typedef struct lit_cell {
    double light; /* the 15th percentile of Y of its pixels */
    size_t place; /* in the window's cells */
} lit_cell;

struct wm_lit_cells {
    cells cells;
    lit_cell *lit; /* [count] by light */
    size_t count;
    double spread, within;
};

/* By light; cells alike in it keep their order. */
static int by_light(const void *a, const void *b)
{
    const lit_cell *x = a, *y = b;
    if (x->light < y->light || x->light > y->light)
        return x->light < y->light ? -1 : 1;
    return x->place < y->place ? -1 : x->place > y->place;
}

static size_t light_cells(lit_cell *out, const cells *c)
{
    size_t count = 0;
    for (size_t i = 0; i < c->g.strips * c->g.per_strip; i++) {
        const size_t n = c->start[i + 1] - c->start[i];
        if (n * c->row_step >= THIRD_PIXELS)
            out[count++] = (lit_cell){ wm_quantile(c->luminance + c->start[i], n, LIGHT_QUANTILE), i };
    }
    return count;
}

static double spread_of(const lit_cell *lit, size_t count)
{
    double mean = 0.0, squares = 0.0;
    for (size_t i = 0; i < count; i++)
        mean += log(fmax(lit[i].light, DARKEST_CELL)) / (double)count;
    for (size_t i = 0; i < count; i++) {
        const double d = log(fmax(lit[i].light, DARKEST_CELL)) - mean;
        squares += d * d;
    }
    return sqrt(squares / (double)count);
}

/* Gray fibres lie side by side in every cell, light differs from cell to cell. */
static double part_within(const cells *c, const lit_cell *lit, size_t count)
{
    double within = 0.0, mean = 0.0, squares = 0.0;
    for (size_t i = 0; i < count; i++) {
        const size_t first = c->start[lit[i].place], last = c->start[lit[i].place + 1];
        const double n = (double)(last - first);
        double sum = 0.0, square = 0.0;
        for (size_t k = first; k < last; k++) {
            const double q = log(fmax(c->luminance[k], DARKEST_CELL));
            sum += q;
            square += q * q;
        }
        within += square / n - sum / n * (sum / n);
        mean += sum / n / (double)count;
        squares += sum / n * (sum / n);
    }
    const double between = squares - (double)count * mean * mean;
    return within + between > 0.0 ? within / (within + between) : 0.0;
}

/* Share of a cell's pixels above bright_y. */
static double bright_share(const cells *c, size_t place, double bright_y)
{
    size_t bright = 0;
    for (size_t k = c->start[place]; k < c->start[place + 1]; k++)
        bright += c->luminance[k] > bright_y;
    return (double)bright / (double)(c->start[place + 1] - c->start[place]);
}

wm_thirds wm_lit_cells_thirds(const wm_lit_cells *l, double bright_y)
{
    const size_t third = l->count / 3 > FEWEST_OF_THIRD ? l->count / 3 : FEWEST_OF_THIRD;
    wm_thirds t = { .known = true, .spread = l->spread, .within = l->within };
    if (l->count < FEWEST_CELLS)
        return (wm_thirds){ 0 };
    for (size_t i = 0; i < third; i++) {
        t.dark += bright_share(&l->cells, l->lit[i].place, bright_y) / (double)third;
        t.light += bright_share(&l->cells, l->lit[l->count - 1 - i].place, bright_y) / (double)third;
    }
    return t;
}

void wm_lit_cells_free(wm_lit_cells *l)
{
    if (!l)
        return;
    free_cells(&l->cells);
    free(l->lit);
    free(l);
}

wm_status wm_window_lit_cells(wm_lit_cells **out, const wm_window *window, double direction_rad, wm_error *err)
{
    wm_lit_cells *l = calloc(1, sizeof *l);
    wm_status status = l ? make_cells(&l->cells, window, make_grid(direction_rad, window, THIRD_WIDTH, THIRD_DEPTH),
                                      WM_PX_CLIPPED | WM_PX_NOT_HAIR, err)
                         : wm_fail_memory(err);
    if (!status && !(l->lit = malloc(l->cells.g.strips * l->cells.g.per_strip * sizeof *l->lit)))
        status = wm_fail_memory(err);
    if (status) {
        wm_lit_cells_free(l);
        return status;
    }
    l->count = light_cells(l->lit, &l->cells);
    qsort(l->lit, l->count, sizeof *l->lit, by_light);
    l->spread = spread_of(l->lit, l->count);
    l->within = part_within(&l->cells, l->lit, l->count);
    free(l->cells.of); /* no pixel is looked up any more */
    l->cells.of = NULL;
    *out = l;
    return WM_OK;
}

/* ---- cleaning
 * -------------------------------------------------------------------------------------------------------------- */

wm_status wm_window_clean_along(wm_window *window, wm_cleaning *cleaning, wm_error *err)
{
    *cleaning = (wm_cleaning){ .direction_rad = cleaning->direction_rad, .coherence = cleaning->coherence };
    for (size_t i = 0; i < pixels_of(window); i++)
        window->flags[i] &= (unsigned char)~(WM_PX_SHEEN | WM_PX_SHADOW);
    return drop_sheen(window, cleaning, err);
}

wm_status wm_window_clean(wm_window *window, wm_cleaning *out, wm_error *err)
{
    wm_cleaning cleaning = { 0 };
    double *lightness = malloc(pixels_of(window) * sizeof *lightness);
    wm_status status = lightness ? WM_OK : wm_fail_memory(err);
    if (!status) {
        wm_rgb_to_lightness_row(window->mean, pixels_of(window), lightness);
        status = smooth(lightness, window->box, err);
    }
    if (!status) {
        find_direction(lightness, window->box, &cleaning);
        status = wm_window_clean_along(window, &cleaning, err);
    }
    if (!status)
        *out = cleaning;
    free(lightness);
    return status;
}

/* Burnt out, not black, and dropped for nothing else. */
static bool is_burnt(const wm_window *window, size_t i)
{
    const unsigned char flags = window->flags[i];
    return (flags & WM_PX_ZONE) && (flags & WM_PX_DROPPED) == WM_PX_CLIPPED &&
           wm_rgb_luminance(window->linear[i]) > BLACK;
}

wm_status wm_window_kept(wm_kept_pixels *out, const wm_window *window, wm_error *err)
{
    const size_t all = pixels_of(window);
    wm_kept_pixels kept = { 0 };
    for (size_t i = 0; i < all; i++) {
        kept.count += is_kept(window->flags[i]);
        kept.burnt += is_burnt(window, i);
    }
    if (kept.count + kept.burnt > 0 && !(kept.pixels = malloc((kept.count + kept.burnt) * sizeof *kept.pixels)))
        return wm_fail_memory(err);
    size_t next = 0, burnt = kept.count;
    for (size_t i = 0; i < all; i++) {
        if (is_kept(window->flags[i]))
            kept.pixels[next++] = window->linear[i];
        else if (is_burnt(window, i))
            kept.pixels[burnt++] = window->linear[i];
    }
    *out = kept;
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
