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

typedef struct picture {
    int width, height;
    float *L, *a, *b, *blurred, *wider, *widest, *spare; /* planes of one allocation */
    unsigned char *zone;
} picture;

static size_t area(const picture *p)
{
    return (size_t)p->width * (size_t)p->height;
}

static wm_status make_picture(picture *p, int width, int height, wm_error *err)
{
    *p = (picture){ .width = width, .height = height };
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
    free(p->L);
    free(p->zone);
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

static wm_status read_picture(picture *p, const wm_window *window, int halvings, wm_error *err)
{
    if (halvings == 0) {
        read_whole(p, window);
        return WM_OK;
    }
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

/* ---- H2: blurred planes
 * ------------------------------------------------------------------------------------------------- */

static int within(int i, int count)
{
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

/* [1 2 1] / 4 at a distance; the outer two are added first, so that a mirrored picture gives the same bits. */
static float three(float before, float here, float after)
{
    return 0.25F * (before + after) + 0.5F * here;
}

static void blur_down(const float *in, float *out, const picture *p, int distance)
{
    const size_t width = (size_t)p->width;
    for (int y = 0; y < p->height; y++) {
        const float *before = in + (size_t)within(y - distance, p->height) * width, *here = in + (size_t)y * width,
                    *after = in + (size_t)within(y + distance, p->height) * width;
        float *to = out + (size_t)y * width;
        for (size_t x = 0; x < width; x++)
            to[x] = three(before[x], here[x], after[x]);
    }
}

static void blur_across(const float *in, float *out, const picture *p, int distance)
{
    for (int y = 0; y < p->height; y++, in += p->width, out += p->width) {
        int x = 0;
        for (; x < p->width && x < distance; x++)
            out[x] = three(in[0], in[x], in[within(x + distance, p->width)]);
        for (; x < p->width - distance; x++)
            out[x] = three(in[x - distance], in[x], in[x + distance]);
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

static double square(double v)
{
    return v * v;
}

/* What a row of pixels adds to each sum, [WM_SUMS][width]; nothing outside the zone. */
typedef struct parts {
    double *of[WM_SUMS];
} parts;

/* Half differences at a distance, edges repeated. */
static void gradient_parts(double *const out[3], const float *plane, const picture *p, int y, int distance)
{
    const float *row = plane + (size_t)y * (size_t)p->width,
                *above = plane + (size_t)within(y - distance, p->height) * (size_t)p->width,
                *below = plane + (size_t)within(y + distance, p->height) * (size_t)p->width;
    for (int x = 0; x < p->width; x++)
        out[0][x] = 0.5 * (double)(row[x + distance < p->width ? x + distance : p->width - 1] -
                                   row[x > distance ? x - distance : 0]);
    for (int x = 0; x < p->width; x++) {
        const double gx = out[0][x], gy = 0.5 * (double)(below[x] - above[x]);
        out[0][x] = gx * gx;
        out[1][x] = gy * gy;
        out[2][x] = gx * gy;
    }
}

static void square_differences(double *out, const float *one, const float *other, int width)
{
    for (int x = 0; x < width; x++)
        out[x] = square((double)(one[x] - other[x]));
}

/* The only textures that H3 looks at. */
static void cut_parts(const parts *out, const picture *p, int y)
{
    const size_t start = (size_t)y * (size_t)p->width;
    square_differences(out->of[WM_SUM_MIDDLE], p->blurred + start, p->wider + start, p->width);
    gradient_parts(out->of + WM_SUM_GRADIENT_1, p->blurred, p, y, 1);
}

/* a and b are the blurred planes by now; their plain sums went into the blocks before (colour_parts). */
static void texture_parts(const parts *out, const picture *p, int y)
{
    const size_t start = (size_t)y * (size_t)p->width;
    const float *a = p->a + start, *b = p->b + start;
    cut_parts(out, p, y);
    square_differences(out->of[WM_SUM_FINE], p->L + start, p->blurred + start, p->width);
    square_differences(out->of[WM_SUM_COARSE], p->wider + start, p->widest + start, p->width);
    gradient_parts(out->of + WM_SUM_GRADIENT_2, p->wider, p, y, 2);
    for (int x = 0; x < p->width; x++) {
        out->of[WM_SUM_CHROMA][x] = (double)a[x];
        out->of[WM_SUM_CHROMA + 1][x] = (double)b[x];
        out->of[WM_SUM_CHROMA + 2][x] = square((double)a[x]) + square((double)b[x]);
    }
}

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

/* Some of the sums, and what makes their parts of a row of pixels. */
typedef struct pass {
    void (*make)(const parts *out, const picture *p, int y);
    int sums[WM_SUMS], count;
} pass;

static const pass COLOURS = { colour_parts, { WM_SUM_PIXELS, WM_SUM_L, WM_SUM_A, WM_SUM_B }, 4 };
static const pass OF_THE_CUT = { cut_parts,
                                 { WM_SUM_MIDDLE, WM_SUM_GRADIENT_1, WM_SUM_GRADIENT_1 + 1, WM_SUM_GRADIENT_1 + 2 },
                                 4 };
static const pass TEXTURES = { texture_parts,
                               { WM_SUM_FINE, WM_SUM_MIDDLE, WM_SUM_COARSE, WM_SUM_GRADIENT_1, WM_SUM_GRADIENT_1 + 1,
                                 WM_SUM_GRADIENT_1 + 2, WM_SUM_GRADIENT_2, WM_SUM_GRADIENT_2 + 1, WM_SUM_GRADIENT_2 + 2,
                                 WM_SUM_CHROMA, WM_SUM_CHROMA + 1, WM_SUM_CHROMA + 2 },
                               12 };

/* Adds the parts of a row of pixels to its row of blocks. */
static void add_parts(wm_hair_blocks *blocks, const picture *p, int y, const parts *part, const pass *by)
{
    const unsigned char *zone = p->zone + (size_t)y * (size_t)p->width;
    wm_hair_block *row = blocks->block + (size_t)blocks->row[y] * (size_t)blocks->width;
    for (int x = 0, end; x < p->width; x = end) {
        double *sum = row[blocks->column[x]].sum;
        for (end = x; end < p->width && blocks->column[end] == blocks->column[x];)
            end++;
        for (int i = 0; i < by->count; i++) {
            const double *of = part->of[by->sums[i]];
            double total = sum[by->sums[i]];
            for (int at = x; at < end; at++)
                total += zone[at] ? of[at] : 0.0;
            sum[by->sums[i]] = total;
        }
    }
}

static void add_pass(wm_hair_blocks *blocks, const picture *p, const parts *part, const pass *by)
{
    for (int y = 0; y < p->height; y++) {
        by->make(part, p, y);
        add_parts(blocks, p, y, part, by);
    }
}

static wm_status make_parts(parts *out, int width, wm_error *err)
{
    double *all = malloc((size_t)WM_SUMS * (size_t)width * sizeof *all);
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
    blocks->relief = blocks->for_cut ? NULL : malloc(area(p) * sizeof *blocks->relief);
    if (!blocks->column || !blocks->row || (!blocks->for_cut && !blocks->relief))
        return wm_fail_memory(err);
    blocks->pixel_width = p->width;
    blocks->pixel_height = p->height;
    blocks->width = place_blocks(blocks->column, p->width);
    blocks->height = place_blocks(blocks->row, p->height);
    blocks->block = calloc((size_t)blocks->width * (size_t)blocks->height, sizeof *blocks->block);
    return blocks->block ? WM_OK : wm_fail_memory(err);
}

static void sum_picture(wm_hair_blocks *blocks, picture *p, const parts *part)
{
    add_pass(blocks, p, part, &COLOURS);
    blur(p->L, p->blurred, p, 1);
    blur(p->blurred, p->wider, p, 2);
    if (blocks->for_cut) {
        add_pass(blocks, p, part, &OF_THE_CUT);
        return;
    }
    blur(p->wider, p->widest, p, 4);
    blur(p->a, p->a, p, 1);
    blur(p->b, p->b, p, 1);
    add_pass(blocks, p, part, &TEXTURES);
    for (size_t i = 0; i < area(p); i++)
        blocks->relief[i] = p->zone[i] ? p->blurred[i] - p->widest[i] : NAN;
}

wm_status wm_hair_blocks_make(wm_hair_blocks *out, const wm_window *window, int halvings, bool for_cut, wm_error *err)
{
    wm_hair_blocks blocks = { .halvings = halvings, .for_cut = for_cut };
    picture p = { 0 };
    parts part = { { NULL } };
    const int width = window->box.width >> halvings, height = window->box.height >> halvings;
    if (width <= 0 || height <= 0)
        return wm_fail(err, WM_E_BUG, "a zone was halved too often; please report this fault");
    wm_status status = make_picture(&p, width, height, err);
    if (!status)
        status = make_grid(&blocks, &p, err);
    if (!status)
        status = read_picture(&p, window, halvings, err);
    if (!status)
        status = make_parts(&part, width, err);
    if (!status) {
        sum_picture(&blocks, &p, &part);
        *out = blocks;
    } else {
        wm_hair_blocks_free(&blocks);
    }
    free_picture(&p);
    free(part.of[0]);
    return status;
}

void wm_hair_blocks_free(wm_hair_blocks *blocks)
{
    free(blocks->block);
    free(blocks->column);
    free(blocks->row);
    free(blocks->relief);
    *blocks = (wm_hair_blocks){ 0 };
}

/* ---- H2: windows of blocks
 * ---------------------------------------------------------------------------------------------- */

static void add_block(wm_hair_block *to, const wm_hair_block *from)
{
    for (int k = 0; k < WM_SUMS; k++)
        to->sum[k] += from->sum[k];
}

/* Sum over the neighbours within the radius along a line of blocks, cut at its ends. */
static void spread_line(const wm_hair_block *in, wm_hair_block *out, int count, int step, int radius)
{
    for (int i = 0; i < count; i++) {
        wm_hair_block sum = { { 0 } };
        for (int k = within(i - radius, count); k <= within(i + radius, count); k++)
            add_block(&sum, &in[k * step]);
        out[i * step] = sum;
    }
}

/* How parallel: hypot(A - C, 2D) / (A + C). */
static double coherence_of(const double gradient[3], double pixels)
{
    return hypot(gradient[0] - gradient[1], 2.0 * gradient[2]) / (gradient[0] + gradient[1] + GRADIENT_FLOOR * pixels);
}

static wm_hair_texture texture_of(const wm_hair_block *window)
{
    const double *sum = window->sum, n = fmax(sum[WM_SUM_PIXELS], 1.0), *chroma = sum + WM_SUM_CHROMA;
    const double fine = sqrt(sum[WM_SUM_FINE] / n), middle = sqrt(sum[WM_SUM_MIDDLE] / n),
                 coarse = sqrt(sum[WM_SUM_COARSE] / n), L = sum[WM_SUM_L] / n;
    return (wm_hair_texture){
        .L = L,
        .a = sum[WM_SUM_A] / n,
        .b = sum[WM_SUM_B] / n,
        .relative = middle / (L + LIGHTNESS_FLOOR),
        .fine_to_middle = fine / (middle + CONTRAST_FLOOR),
        .middle_to_coarse = middle / (coarse + CONTRAST_FLOOR),
        .coherence = coherence_of(sum + WM_SUM_GRADIENT_1, n),
        .wide_coherence = coherence_of(sum + WM_SUM_GRADIENT_2, n),
        .across_rad =
            0.5 * atan2(2.0 * sum[WM_SUM_GRADIENT_1 + 2], sum[WM_SUM_GRADIENT_1] - sum[WM_SUM_GRADIENT_1 + 1]),
        .chroma_spread = sqrt(fmax(chroma[2] / n - square(chroma[0] / n) - square(chroma[1] / n), 0.0)),
    };
}

wm_status wm_hair_textures(wm_hair_texture *out, const wm_hair_blocks *blocks, const unsigned char *set, int radius,
                           wm_error *err)
{
    const size_t count = (size_t)blocks->width * (size_t)blocks->height;
    wm_hair_block *own = calloc(count, sizeof *own), *down = malloc(count * sizeof *down);
    wm_status status = own && down ? WM_OK : wm_fail_memory(err);
    if (!status) {
        for (size_t i = 0; i < count; i++)
            if (set[i])
                own[i] = blocks->block[i];
        for (int x = 0; x < blocks->width; x++)
            spread_line(own + x, down + x, blocks->height, blocks->width, radius);
        for (int y = 0; y < blocks->height; y++)
            spread_line(down + (size_t)y * (size_t)blocks->width, own + (size_t)y * (size_t)blocks->width,
                        blocks->width, 1, radius);
        for (size_t i = 0; i < count; i++)
            out[i] = texture_of(&own[i]);
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
