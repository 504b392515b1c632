#include "measure/hair_blocks.h"

#include "core/wide.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_SIDE = 4 };                    /* H1 */
static const double LIGHTNESS_FLOOR = 10.0; /* H2 */
static const double CONTRAST_FLOOR = 0.1;   /* H2 */
static const double GRADIENT_FLOOR = 0.001; /* H2 */

/* ---- H1: the picture, halved
 * -------------------------------------------------------------------------------------------- */

typedef struct wm_hair_picture {
    int width, height;
    float *L, *a, *b, *blurred, *wider, *widest, *spare; /* planes of one allocation */
    unsigned char *zone;
    bool whole; /* all of it is zone */
} picture;

static size_t area(const picture *p)
{
    return (size_t)p->width * (size_t)p->height;
}

static wm_status make_picture(picture **out, int width, int height, wm_error *err)
{
    picture *p = *out = calloc(1, sizeof *p);
    if (!p)
        return wm_fail_memory(err);
    p->width = width;
    p->height = height;
    const size_t n = area(p);
    p->L = malloc(7 * n * sizeof *p->L);
    p->zone = malloc(n);
    if (!p->L || !p->zone)
        return wm_fail_memory(err);
    p->a = p->L + n;
    p->b = p->a + n;
    p->blurred = p->b + n;
    p->wider = p->blurred + n;
    p->widest = p->wider + n;
    p->spare = p->widest + n;
    return WM_OK;
}

static void free_picture(picture *p)
{
    if (!p)
        return;
    free(p->L);
    free(p->zone);
    free(p);
}

/* A mean of means is the mean over a square of 2^halvings; in the zone where all of it is. */
static void read_row(wm_rgb *row, unsigned char *zone, const wm_window *window, int y, int halvings)
{
    const int side = 1 << halvings, width = window->box.width >> halvings;
    const double share = 1.0 / (side * side);
    for (int x = 0; x < width; x++) {
        wm_rgb sum = { 0.0, 0.0, 0.0 };
        zone[x] = WM_PX_ZONE;
        for (int i = 0; i < side; i++) {
            const size_t start = (size_t)(y * side + i) * (size_t)window->box.width + (size_t)(x * side);
            for (int k = 0; k < side; k++) {
                const wm_rgb *p = &window->mean[start + (size_t)k];
                sum = (wm_rgb){ sum.r + p->r, sum.g + p->g, sum.b + p->b };
                zone[x] &= window->flags[start + (size_t)k];
            }
        }
        row[x] = (wm_rgb){ sum.r * share, sum.g * share, sum.b * share };
    }
}

/* As it is: no mean to make. */
static void read_whole(picture *p, const wm_window *window)
{
    wm_rgb_to_lab_row(window->mean, area(p), p->L, p->a, p->b);
    for (size_t i = 0; i < area(p); i++)
        p->zone[i] = window->flags[i] & WM_PX_ZONE;
}

static wm_status read_halved(picture *p, const wm_window *window, int halvings, wm_error *err)
{
    wm_rgb *row = malloc((size_t)p->width * sizeof *row);
    if (!row)
        return wm_fail_memory(err);
    for (int y = 0; y < p->height; y++) {
        const size_t start = (size_t)y * (size_t)p->width;
        read_row(row, p->zone + start, window, y, halvings);
        wm_rgb_to_lab_row(row, (size_t)p->width, p->L + start, p->a + start, p->b + start);
    }
    free(row);
    return WM_OK;
}

static wm_status read_picture(picture *p, const wm_window *window, int halvings, wm_error *err)
{
    wm_status status = WM_OK;
    if (halvings == 0)
        read_whole(p, window);
    else
        status = read_halved(p, window, halvings, err);
    p->whole = !status && !memchr(p->zone, 0, area(p));
    return status;
}

/* ---- H2: blurred planes
 * ------------------------------------------------------------------------------------------------- */

static int within(int i, int count)
{
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

/* [1 2 1] / 4 at a distance; the outer two are added first, so that a mirrored picture gives the same bits. */
WM_WIDE_PART float three(float before, float here, float after)
{
    return 0.25F * (before + after) + 0.5F * here;
}

typedef struct neighbours {
    const float *before, *here, *after;
} neighbours;

static void threes(float *out, const neighbours *in, int count);
WM_WIDE_BODY void threes_body(float *restrict out, const neighbours *in, int count)
{
    const float *before = in->before, *here = in->here, *after = in->after;
    for (int x = 0; x < count; x++)
        out[x] = three(before[x], here[x], after[x]);
}
WM_WIDE(threes, (float *restrict out, const neighbours *in, int count), (out, in, count))

static void blur_down(const float *in, float *out, const picture *p, int distance)
{
    const size_t width = (size_t)p->width;
    for (int y = 0; y < p->height; y++) {
        const neighbours rows = { in + (size_t)within(y - distance, p->height) * width, in + (size_t)y * width,
                                  in + (size_t)within(y + distance, p->height) * width };
        threes(out + (size_t)y * width, &rows, p->width);
    }
}

static void blur_across(const float *in, float *out, const picture *p, int distance)
{
    for (int y = 0; y < p->height; y++, in += p->width, out += p->width) {
        int x = 0;
        for (; x < p->width && x < distance; x++)
            out[x] = three(in[0], in[x], in[within(x + distance, p->width)]);
        if (x < p->width - distance) {
            threes(out + x, &(neighbours){ in + x - distance, in + x, in + x + distance }, p->width - distance - x);
            x = p->width - distance;
        }
        for (; x < p->width; x++)
            out[x] = three(in[within(x - distance, p->width)], in[x], in[p->width - 1]);
    }
}

/* S_d: two passes, down then across. out may be in. */
static void blur(const float *in, float *out, picture *p, int distance)
{
    blur_down(in, p->spare, p, distance);
    blur_across(p->spare, out, p, distance);
    blur_down(out, p->spare, p, distance);
    blur_across(p->spare, out, p, distance);
}

/* ---- H2: sums
 * ----------------------------------------------------------------------------------------------------------- */

WM_WIDE_PART double square(double v)
{
    return v * v;
}

/* What a row of pixels adds to each sum, [WM_SUMS][width]; nothing outside the zone. */
typedef struct parts {
    double *of[WM_SUMS];
} parts;

typedef struct crossroads {
    const float *left, *right, *above, *below;
} crossroads;

static void gradients(double *const out[3], const crossroads *at, int count);
WM_WIDE_BODY void gradients_body(double *const out[3], const crossroads *at, int count)
{
    const crossroads c = *at;
    double *restrict xx = out[0], *restrict yy = out[1], *restrict xy = out[2];
    for (int x = 0; x < count; x++) {
        const double gx = 0.5 * (double)(c.right[x] - c.left[x]), gy = 0.5 * (double)(c.below[x] - c.above[x]);
        xx[x] = gx * gx;
        yy[x] = gy * gy;
        xy[x] = gx * gy;
    }
}
WM_WIDE(gradients, (double *const out[3], const crossroads *at, int count), (out, at, count))

/* Half differences at a distance, edges repeated. */
static void gradient_parts(double *const out[3], const float *plane, const picture *p, int y, int distance)
{
    const float *row = plane + (size_t)y * (size_t)p->width,
                *above = plane + (size_t)within(y - distance, p->height) * (size_t)p->width,
                *below = plane + (size_t)within(y + distance, p->height) * (size_t)p->width;
    const int last = p->width - distance;
    for (int x = 0, count; x < p->width; x += count) {
        count = x == distance && x < last ? last - x : 1;
        gradients((double *const[3]){ out[0] + x, out[1] + x, out[2] + x },
                  &(crossroads){ row + within(x - distance, p->width), row + within(x + distance, p->width), above + x,
                                 below + x },
                  count);
    }
}

static void square_differences(double *out, const float *one, const float *other, int width);
WM_WIDE_BODY void square_differences_body(double *restrict out, const float *one, const float *other, int width)
{
    for (int x = 0; x < width; x++)
        out[x] = square((double)(one[x] - other[x]));
}
WM_WIDE(square_differences, (double *restrict out, const float *one, const float *other, int width),
        (out, one, other, width))

static void colour_parts(const parts *out, const picture *p, int y)
{
    const size_t start = (size_t)y * (size_t)p->width;
    for (int x = 0; x < p->width; x++) {
        out->of[WM_SUM_PIXELS][x] = 1.0;
        out->of[WM_SUM_L][x] = (double)p->L[start + (size_t)x];
        out->of[WM_SUM_A][x] = (double)p->a[start + (size_t)x];
        out->of[WM_SUM_B][x] = (double)p->b[start + (size_t)x];
    }
}

/* What the cut and sharpness ask. */
static void first_parts(const parts *out, const picture *p, int y)
{
    const size_t start = (size_t)y * (size_t)p->width;
    colour_parts(out, p, y);
    square_differences(out->of[WM_SUM_FINE], p->L + start, p->blurred + start, p->width);
    square_differences(out->of[WM_SUM_MIDDLE], p->blurred + start, p->wider + start, p->width);
    gradient_parts(out->of + WM_SUM_GRADIENT_1, p->blurred, p, y, 1);
}

/* a and b are the blurred planes by now. */
static void other_parts(const parts *out, const picture *p, int y)
{
    const size_t start = (size_t)y * (size_t)p->width;
    const float *a = p->a + start, *b = p->b + start;
    square_differences(out->of[WM_SUM_COARSE], p->wider + start, p->widest + start, p->width);
    gradient_parts(out->of + WM_SUM_GRADIENT_2, p->wider, p, y, 2);
    for (int x = 0; x < p->width; x++) {
        out->of[WM_SUM_CHROMA][x] = (double)a[x];
        out->of[WM_SUM_CHROMA + 1][x] = (double)b[x];
        out->of[WM_SUM_CHROMA + 2][x] = square((double)a[x]) + square((double)b[x]);
    }
}

/* Sums one after the other, and what makes their parts of a row of pixels. */
typedef struct pass {
    void (*make)(const parts *out, const picture *p, int y);
    int from, to;
} pass;

static const pass FIRST = { first_parts, 0, WM_FIRST_SUMS };
static const pass OTHERS = { other_parts, WM_FIRST_SUMS, WM_SUMS };

/* One sum of a row of blocks, beside each other. Each block adds its pixels in their order: the same bits whatever the
 * width of a register. */
typedef struct row_sum {
    double *total;      /* of each block */
    const double *part; /* of each pixel */
} row_sum;

static void add_fours(const row_sum *sum, int blocks);
WM_WIDE_BODY void add_fours_body(const row_sum *sum, int blocks)
{
    double *restrict total = sum->total;
    const double *restrict part = sum->part;
    for (int i = 0; i < blocks; i++)
        total[i] = total[i] + part[4 * i] + part[4 * i + 1] + part[4 * i + 2] + part[4 * i + 3];
}
WM_WIDE(add_fours, (const row_sum *sum, int blocks), (sum, blocks))

/* Pixels of the row from x on that are one block. */
static int width_of_block(const wm_hair_blocks *blocks, int x)
{
    int end = x;
    while (end < blocks->pixel_width && blocks->column[end] == blocks->column[x])
        end++;
    return end - x;
}

/* So many blocks of four pixels follow from x on. */
static int count_fours(const wm_hair_blocks *blocks, int x)
{
    int count = 0;
    while (x + 4 * count < blocks->pixel_width && width_of_block(blocks, x + 4 * count) == 4)
        count++;
    return count;
}

/* Adds the parts of a row of pixels, [WM_SUMS][blocks of a row]. */
static void add_parts(double *totals, const wm_hair_blocks *blocks, const parts *part, const pass *by)
{
    for (int x = 0; x < blocks->pixel_width;) {
        const int fours = count_fours(blocks, x), end = x + (fours ? 4 * fours : width_of_block(blocks, x));
        for (int i = by->from; i < by->to; i++) {
            const row_sum sum = { totals + (size_t)i * (size_t)blocks->width + blocks->column[x], part->of[i] + x };
            if (fours)
                add_fours(&sum, fours);
            for (int k = 0; !fours && k < end - x; k++)
                *sum.total += sum.part[k];
        }
        x = end;
    }
}

static void leave_out(const parts *part, const unsigned char *zone, int width, const pass *by)
{
    for (int i = by->from; i < by->to; i++) {
        double *of = part->of[i];
        for (int x = 0; x < width; x++)
            of[x] = zone[x] ? of[x] : 0.0;
    }
}

static void store_totals(wm_hair_block *row, const double *totals, int width, const pass *by)
{
    for (int x = 0; x < width; x++)
        for (int i = by->from; i < by->to; i++)
            row[x].sum[i] = totals[(size_t)i * (size_t)width + (size_t)x];
}

static void add_pass(wm_hair_blocks *blocks, const picture *p, const parts *part, const pass *by)
{
    double *totals = part->of[0] + (size_t)WM_SUMS * (size_t)p->width; /* of one row of blocks */
    for (int y = 0; y < p->height; y++) {
        if (y == 0 || blocks->row[y] != blocks->row[y - 1])
            memset(totals, 0, (size_t)WM_SUMS * (size_t)blocks->width * sizeof *totals);
        by->make(part, p, y);
        if (!p->whole)
            leave_out(part, p->zone + (size_t)y * (size_t)p->width, p->width, by);
        add_parts(totals, blocks, part, by);
        if (y + 1 == p->height || blocks->row[y + 1] != blocks->row[y])
            store_totals(blocks->block + (size_t)blocks->row[y] * (size_t)blocks->width, totals, blocks->width, by);
    }
}

/* With room for the totals of a row of blocks behind them. */
static wm_status make_parts(parts *out, int width, int block_width, wm_error *err)
{
    double *all = malloc((size_t)WM_SUMS * (size_t)(width + block_width) * sizeof *all);
    for (int i = 0; i < WM_SUMS; i++)
        out->of[i] = all + (size_t)i * (size_t)width;
    return all ? WM_OK : wm_fail_memory(err);
}

/* H1: the grid is centred, so that a mirrored zone has mirrored blocks. Returns the count of blocks. */
static int place_blocks(int *of, int count)
{
    const int first = (int)round(-(count - 1) / 2.0 / BLOCK_SIDE);
    for (int i = 0; i < count; i++)
        of[i] = (int)round((i - (count - 1) / 2.0) / BLOCK_SIDE) - first;
    return of[count - 1] + 1;
}

static wm_status make_grid(wm_hair_blocks *blocks, const picture *p, wm_error *err)
{
    blocks->column = malloc((size_t)p->width * sizeof *blocks->column);
    blocks->row = malloc((size_t)p->height * sizeof *blocks->row);
    if (!blocks->column || !blocks->row)
        return wm_fail_memory(err);
    blocks->pixel_width = p->width;
    blocks->pixel_height = p->height;
    blocks->width = place_blocks(blocks->column, p->width);
    blocks->height = place_blocks(blocks->row, p->height);
    blocks->block = calloc((size_t)blocks->width * (size_t)blocks->height, sizeof *blocks->block);
    return blocks->block ? WM_OK : wm_fail_memory(err);
}

wm_status wm_hair_blocks_make(wm_hair_blocks *out, const wm_window *window, int halvings, wm_error *err)
{
    wm_hair_blocks blocks = { .halvings = halvings };
    parts part = { { NULL } };
    const int width = window->box.width >> halvings, height = window->box.height >> halvings;
    if (width <= 0 || height <= 0)
        return wm_fail(err, WM_E_BUG, "a zone was halved too often; please report this fault");
    wm_status status = make_picture(&blocks.picture, width, height, err);
    picture *p = blocks.picture;
    if (!status)
        status = make_grid(&blocks, p, err);
    if (!status)
        status = read_picture(p, window, halvings, err);
    if (!status)
        status = make_parts(&part, width, blocks.width, err);
    if (!status) {
        blur(p->L, p->blurred, p, 1);
        blur(p->blurred, p->wider, p, 2);
        add_pass(&blocks, p, &part, &FIRST);
        *out = blocks;
    } else {
        wm_hair_blocks_free(&blocks);
    }
    free(part.of[0]);
    return status;
}

wm_status wm_hair_blocks_complete(wm_hair_blocks *blocks, wm_error *err)
{
    picture *p = blocks->picture;
    parts part = { { NULL } };
    if (!p)
        return WM_OK;
    wm_status status = make_parts(&part, p->width, blocks->width, err);
    if (!status && !(blocks->relief = malloc(area(p) * sizeof *blocks->relief)))
        status = wm_fail_memory(err);
    if (!status) {
        blur(p->wider, p->widest, p, 4);
        blur(p->a, p->a, p, 1);
        blur(p->b, p->b, p, 1);
        add_pass(blocks, p, &part, &OTHERS);
        for (size_t i = 0; i < area(p); i++)
            blocks->relief[i] = p->zone[i] ? p->blurred[i] - p->widest[i] : NAN;
        free_picture(p);
        blocks->picture = NULL;
    }
    free(part.of[0]);
    return status;
}

void wm_hair_blocks_free(wm_hair_blocks *blocks)
{
    free_picture(blocks->picture);
    free(blocks->block);
    free(blocks->column);
    free(blocks->row);
    free(blocks->relief);
    *blocks = (wm_hair_blocks){ 0 };
}

/* ---- H2: windows of blocks
 * ---------------------------------------------------------------------------------------------- */

/* Sum over the neighbours within the radius along a line of blocks, cut at its ends; of the first `sums`. */
typedef struct line {
    int count, step, radius, sums;
} line;

static void spread_line(const wm_hair_block *in, wm_hair_block *out, const line *along)
{
    const line a = *along;
    for (int i = 0; i < a.count; i++) {
        wm_hair_block sum = { { 0 } };
        for (int k = within(i - a.radius, a.count); k <= within(i + a.radius, a.count); k++)
            for (int s = 0; s < a.sums; s++)
                sum.sum[s] += in[k * a.step].sum[s];
        out[i * a.step] = sum;
    }
}

/* How parallel: hypot(A - C, 2D) / (A + C). */
static double coherence_of(const double gradient[3], double pixels)
{
    return hypot(gradient[0] - gradient[1], 2.0 * gradient[2]) / (gradient[0] + gradient[1] + GRADIENT_FLOOR * pixels);
}

static wm_hair_texture first_texture(const wm_hair_block *window)
{
    const double *sum = window->sum, n = fmax(sum[WM_SUM_PIXELS], 1.0), L = sum[WM_SUM_L] / n,
                 fine = sqrt(sum[WM_SUM_FINE] / n), middle = sqrt(sum[WM_SUM_MIDDLE] / n);
    return (wm_hair_texture){ .L = L,
                              .a = sum[WM_SUM_A] / n,
                              .b = sum[WM_SUM_B] / n,
                              .relative = middle / (L + LIGHTNESS_FLOOR),
                              .fine_to_middle = fine / (middle + CONTRAST_FLOOR),
                              .coherence = coherence_of(sum + WM_SUM_GRADIENT_1, n) };
}

static void complete_texture(wm_hair_texture *texture, const wm_hair_block *window)
{
    const double *sum = window->sum, n = fmax(sum[WM_SUM_PIXELS], 1.0), *chroma = sum + WM_SUM_CHROMA,
                 middle = sqrt(sum[WM_SUM_MIDDLE] / n), coarse = sqrt(sum[WM_SUM_COARSE] / n);
    texture->middle_to_coarse = middle / (coarse + CONTRAST_FLOOR);
    texture->wide_coherence = coherence_of(sum + WM_SUM_GRADIENT_2, n);
    texture->across_rad =
        0.5 * atan2(2.0 * sum[WM_SUM_GRADIENT_1 + 2], sum[WM_SUM_GRADIENT_1] - sum[WM_SUM_GRADIENT_1 + 1]);
    texture->chroma_spread = sqrt(fmax(chroma[2] / n - square(chroma[0] / n) - square(chroma[1] / n), 0.0));
}

wm_status wm_hair_textures(wm_hair_texture *out, const wm_hair_blocks *blocks, const unsigned char *set, int radius,
                           wm_error *err)
{
    const bool complete = !blocks->picture;
    const size_t width = (size_t)blocks->width, count = width * (size_t)blocks->height;
    const int sums = complete ? WM_SUMS : WM_FIRST_SUMS;
    const line across = { blocks->width, 1, radius, sums }, along = { blocks->height, blocks->width, radius, sums };
    wm_hair_block *own = calloc(count, sizeof *own), *down = malloc(count * sizeof *down);
    wm_status status = own && down ? WM_OK : wm_fail_memory(err);
    if (!status) {
        for (size_t i = 0; i < count; i++)
            if (set[i])
                own[i] = blocks->block[i];
        for (size_t x = 0; x < width; x++)
            spread_line(own + x, down + x, &along);
        for (size_t at = 0; at < count; at += width)
            spread_line(down + at, own + at, &across);
        for (size_t i = 0; i < count; i++)
            if (set[i]) {
                out[i] = first_texture(&own[i]);
                if (complete)
                    complete_texture(&out[i], &own[i]);
            }
    }
    free(own);
    free(down);
    return status;
}

/* ---- H4: ruled patterns
 * ------------------------------------------------------------------------------------------------- */

enum { SPACING = 16 }; /* H4 */
enum { LAGS = 2 * SPACING };
enum { EVERY_OTHER = 2 }; /* a quarter of the pixels tells as much */

/* Sums of each lag: of products, of both squares. */
typedef struct lag_sums {
    double product[LAGS], here[LAGS], there[LAGS];
} lag_sums;

/* A pixel of the relief and the way across the fibres there. */
typedef struct crossing {
    const float *relief;
    int width, height;
    double x, y, dx, dy;
} crossing;

/* The relief at each lag, between pixels; NAN outside the zone and outside the picture. In three loops, because only
 * the looking up can't be done for many at once. */
static void reliefs_across(double out[LAGS], const crossing *of);
WM_WIDE_BODY void reliefs_across_body(double out[LAGS], const crossing *of)
{
    const crossing c = *of;
    const double right = c.width - 1, bottom = c.height - 1;
    double u[LAGS], v[LAGS], inside[LAGS];
    float upper[LAGS][2], lower[LAGS][2]; /* the corners around each */
    int at[LAGS];
    for (int i = 0; i < LAGS; i++) {
        const double x = c.x + (i + 1) * c.dx, y = c.y + (i + 1) * c.dy;
        double in = x >= 0 ? 1 : 0;
        in = x < right ? in : 0;
        in = y >= 0 ? in : 0;
        in = y < bottom ? in : 0;
        const int x0 = (int)(in > 0 ? x : 0), y0 = (int)(in > 0 ? y : 0);
        at[i] = y0 * c.width + x0;
        u[i] = x - x0;
        v[i] = y - y0;
        inside[i] = in;
    }
    for (int i = 0; i < LAGS; i++) {
        memcpy(upper[i], c.relief + at[i], sizeof upper[i]);
        memcpy(lower[i], c.relief + at[i] + c.width, sizeof lower[i]);
    }
    for (int i = 0; i < LAGS; i++) {
        const double above = (double)upper[i][0] + u[i] * (double)(upper[i][1] - upper[i][0]),
                     below = (double)lower[i][0] + u[i] * (double)(lower[i][1] - lower[i][0]),
                     there = above + v[i] * (below - above);
        out[i] = inside[i] > 0 ? there : (double)NAN;
    }
}
WM_WIDE(reliefs_across, (double out[LAGS], const crossing *of), (out, of))

/* As far as the zone reaches. */
static void add_lags(lag_sums *sums, const crossing *c, double here)
{
    double there[LAGS];
    int count = 0;
    reliefs_across(there, c);
    while (count < LAGS && !isnan(there[count]))
        count++;
    for (int i = 0; i < count; i++) {
        sums->product[i] += here * there[i];
        sums->here[i] += here * here;
        sums->there[i] += there[i] * there[i];
    }
}

/* Of one lag; there is none with no lag at all. */
static double correlation_at(const lag_sums *sums, int lag)
{
    const int i = lag - 1;
    return i >= 0 && sums->here[i] > 0 && sums->there[i] > 0 ? sums->product[i] / sqrt(sums->here[i] * sums->there[i])
                                                             : 0;
}

/* Correlation of the relief with itself so far across, between whole lags. */
static double correlation(const lag_sums *sums, double lag)
{
    const int i = (int)lag < LAGS ? (int)lag : LAGS - 1;
    const double before = correlation_at(sums, i);
    return before + (lag - i) * (correlation_at(sums, i + 1) - before);
}

double wm_hair_ruled(const wm_hair_blocks *blocks, const wm_hair_texture *textures, const unsigned char *set)
{
    lag_sums sums = { .here = { 0 } };
    const int width = blocks->pixel_width, height = blocks->pixel_height;
    crossing c = { .relief = blocks->relief, .width = width, .height = height };
    size_t turned = 0; /* one more than the block whose direction c has */
    double most = 0;
    if (width < 2 || height < 2)
        return 0;
    for (int y = 0; y < height; y += EVERY_OTHER)
        for (int x = 0; x < width; x += EVERY_OTHER) {
            const size_t at = (size_t)blocks->row[y] * (size_t)blocks->width + (size_t)blocks->column[x];
            const double here = (double)blocks->relief[(size_t)y * (size_t)width + (size_t)x];
            if (!set[at] || isnan(here))
                continue;
            if (at + 1 != turned) {
                c.dx = cos(textures[at].across_rad);
                c.dy = sin(textures[at].across_rad);
                turned = at + 1;
            }
            c.x = x;
            c.y = y;
            add_lags(&sums, &c, here);
        }
    for (double spacing = 3; spacing <= SPACING; spacing += 0.5)
        most = fmax(most, (correlation(&sums, spacing) + correlation(&sums, 2 * spacing) -
                           correlation(&sums, spacing / 2) - correlation(&sums, 1.5 * spacing)) /
                              4);
    return most;
}
