#include "photo/pixels.h"

#include "core/wide.h"

#include <math.h>
#include <string.h>

enum { BLOCK = 256 };

/* ---- What may be ---- */

static size_t up_to(int size, size_t multiple)
{
    return ((size_t)size + multiple - 1) / multiple * multiple;
}

/* A JPEG's planes are whole MCUs of at most 32 x 32, and each begins at a multiple of 16. */
size_t wm_pixels_room(int width, int height, int bits)
{
    return up_to(width, 32) * up_to(height, 32) * 3 * (size_t)bits / 8 + 64;
}

static bool plane_sound(const wm_pixels *p, const wm_plane *plane, size_t room)
{
    if (plane->across < 1 || plane->across > 4 || plane->down < 1 || plane->down > 4)
        return false;
    if (plane->width != (p->width + plane->across - 1) / plane->across ||
        plane->height != (p->height + plane->down - 1) / plane->down)
        return false;
    if (plane->stride < (size_t)plane->width || plane->stride > room || plane->at > room)
        return false;
    return (size_t)(plane->height - 1) <= (room - plane->at) / plane->stride &&
           (size_t)(plane->height - 1) * plane->stride + (size_t)plane->width <= room - plane->at;
}

/* From another process anything may stand where a truth value should. */
static bool truth_sound(const bool *value)
{
    unsigned char byte;
    memcpy(&byte, value, 1);
    return byte <= 1;
}

static bool matrix_sound(const wm_pixels *p)
{
    const wm_ycbcr *how = &p->ycbcr;
    if (!truth_sound(&p->is_ycbcr) || !truth_sound(&how->narrow))
        return false;
    return !p->is_ycbcr || (p->planes == 3 && how->kr > 0.1 && how->kr < 0.5 && how->kb > 0.01 && how->kb < 0.5);
}

bool wm_pixels_sound(const wm_pixels *p, size_t room)
{
    enum { MOST = 1 << 30 }; /* of which sums are still numbers */
    bool possible = p->width > 0 && p->height > 0 && p->width <= MOST && p->height <= MOST &&
                    (p->bits == 8 || p->bits == 16) &&
                    (p->planes == 0 || ((p->planes == 1 || p->planes == 3) && p->bits == 8)) && matrix_sound(p);
    if (possible && p->planes == 0)
        possible = (size_t)p->width * (size_t)p->height <= room / (3 * (size_t)p->bits / 8);
    for (int i = 0; possible && i < p->planes; i++)
        possible = plane_sound(p, &p->plane[i], room);
    return possible;
}

/* ---- Samples of a plane ---- */

/* The row that a stored row lies in, and the next nearest one. */
static const unsigned char *nearest_row(const wm_pixels *p, const wm_plane *plane, int y)
{
    return p->data + plane->at + (size_t)(y / plane->down) * plane->stride;
}

static const unsigned char *second_row(const wm_pixels *p, const wm_plane *plane, int y)
{
    int row = y / 2 + (y % 2 != 0 ? 1 : -1);
    row = row < 0 ? 0 : row >= plane->height ? plane->height - 1 : row;
    return p->data + plane->at + (size_t)row * plane->stride;
}

/* The samples of a row with half of them across that a run of pixels needs: from the one before the first pixel's to
 * the one behind the last's, the row's first and last repeated. */
enum { HALVES = BLOCK / 2 + 3 };

static int halves_of(const wm_pixel_run *run)
{
    return (run->x + run->count - 1) / 2 - run->x / 2 + 3;
}

/* The samples themselves, or where the row ends before them a copy of them in room. */
static const unsigned char *halves_from(unsigned char room[HALVES], const unsigned char *row, const wm_plane *plane,
                                        const wm_pixel_run *run)
{
    const int first = run->x / 2 - 1, count = halves_of(run);
    if (first >= 0 && first + count <= plane->width)
        return row + first;
    for (int i = 0; i < count; i++)
        room[i] = row[first + i < 0 ? 0 : first + i < plane->width ? first + i : plane->width - 1];
    return room;
}

/* Each pixel gets three parts of the sample it lies in and one of the next nearest, of 2^shift: two pixels a sample. */
static void spread_pairs(unsigned char *out, const uint16_t *halves, int pairs, int shift);
WM_WIDE_BODY void spread_pairs_body(unsigned char *restrict out, const uint16_t *restrict halves, int pairs, int shift)
{
    const unsigned round = 1u << (shift - 1);
    for (int i = 0; i < pairs; i++) {
        const unsigned own = 3u * halves[i + 1] + round;
        out[2 * i] = (unsigned char)((own + halves[i]) >> shift);
        out[2 * i + 1] = (unsigned char)((own + halves[i + 2]) >> shift);
    }
}
WM_WIDE(spread_pairs, (unsigned char *out, const uint16_t *halves, int pairs, int shift), (out, halves, pairs, shift))

/* A run may begin and end in the middle of a sample. */
static void spread_across(unsigned char *out, const uint16_t *halves, const wm_pixel_run *run, int shift)
{
    unsigned char pairs[2 * HALVES];
    spread_pairs(pairs, halves, halves_of(run) - 2, shift);
    memcpy(out, pairs + run->x % 2, (size_t)run->count);
}

/* Chroma in half the samples, across and down: 3/4 of the nearer row or column and 1/4 of the next. */
static void row_2_by_2(unsigned char *out, const wm_pixels *p, const wm_plane *plane, const wm_pixel_run *run)
{
    unsigned char near_room[HALVES], far_room[HALVES];
    const unsigned char *near = halves_from(near_room, nearest_row(p, plane, run->y), plane, run),
                        *far = halves_from(far_room, second_row(p, plane, run->y), plane, run);
    const int count = halves_of(run);
    uint16_t halves[HALVES];
    for (int i = 0; i < count; i++)
        halves[i] = (uint16_t)(3 * near[i] + far[i]);
    spread_across(out, halves, run, 4);
}

static void row_2_across(unsigned char *out, const wm_pixels *p, const wm_plane *plane, const wm_pixel_run *run)
{
    unsigned char room[HALVES];
    const unsigned char *near = halves_from(room, nearest_row(p, plane, run->y), plane, run);
    const int count = halves_of(run);
    uint16_t halves[HALVES];
    for (int i = 0; i < count; i++)
        halves[i] = near[i];
    spread_across(out, halves, run, 2);
}

static void row_2_down(unsigned char *out, const wm_pixels *p, const wm_plane *plane, const wm_pixel_run *run)
{
    const unsigned char *near = nearest_row(p, plane, run->y), *far = second_row(p, plane, run->y);
    for (int i = 0; i < run->count; i++)
        out[i] = (unsigned char)((3 * near[run->x + i] + far[run->x + i] + 2) >> 2);
}

static void row_nearest(unsigned char *out, const wm_pixels *p, const wm_plane *plane, const wm_pixel_run *run)
{
    const unsigned char *near = nearest_row(p, plane, run->y);
    for (int i = 0; i < run->count; i++)
        out[i] = near[(run->x + i) / plane->across];
}

/* run->count pixels to the right. */
static void plane_row(unsigned char *out, const wm_pixels *p, const wm_plane *plane, const wm_pixel_run *run)
{
    if (plane->across == 1 && plane->down == 1)
        memcpy(out, nearest_row(p, plane, run->y) + run->x, (size_t)run->count);
    else if (plane->across == 2 && plane->down == 2)
        row_2_by_2(out, p, plane, run);
    else if (plane->across == 2 && plane->down == 1)
        row_2_across(out, p, plane, run);
    else if (plane->across == 1 && plane->down == 2)
        row_2_down(out, p, plane, run);
    else
        row_nearest(out, p, plane, run);
}

/* At most BLOCK pixels of a plane, whichever way they lie. */
static void plane_run(unsigned char *out, const wm_pixels *p, const wm_plane *plane, wm_pixel_run run)
{
    if (run.step_y == 0 && run.step_x == 1) {
        plane_row(out, p, plane, &run);
        return;
    }
    if (run.step_y == 0) {
        wm_pixel_run forward = { run.x - run.count + 1, run.y, 1, 0, run.count };
        plane_row(out, p, plane, &forward);
        for (int i = 0, k = run.count - 1; i < k; i++, k--) {
            unsigned char kept = out[i];
            out[i] = out[k];
            out[k] = kept;
        }
        return;
    }
    for (int i = 0; i < run.count; i++) {
        wm_pixel_run one = { run.x, run.y + i * run.step_y, 1, 0, 1 };
        plane_row(out + i, p, plane, &one);
    }
}

/* ---- Channel values ---- */

WM_WIDE_PART double clipped(double value)
{
    return value < 0.0 ? 0.0 : value > 1.0 ? 1.0 : value;
}

typedef unsigned char planes_block[3][BLOCK];
typedef double channels_block[3][BLOCK];

static void ycbcr_to_rgb(const wm_ycbcr *how, planes_block in, int count, channels_block out);
WM_WIDE_BODY void ycbcr_to_rgb_body(const wm_ycbcr *how, planes_block in, int count, channels_block out)
{
    double black = how->narrow ? 16.0 : 0.0, per_y = how->narrow ? 219.0 : 255.0, per_c = how->narrow ? 224.0 : 255.0;
    double of_cr = 2.0 * (1.0 - how->kr) / per_c, of_cb = 2.0 * (1.0 - how->kb) / per_c;
    double kg = 1.0 - how->kr - how->kb, r_of_g = how->kr / kg, b_of_g = how->kb / kg;
    for (int i = 0; i < count; i++) {
        double y = (in[0][i] - black) / per_y, red = of_cr * (in[2][i] - 128.0), blue = of_cb * (in[1][i] - 128.0);
        out[0][i] = clipped(y + red);
        out[1][i] = clipped(y - r_of_g * red - b_of_g * blue);
        out[2][i] = clipped(y + blue);
    }
}
WM_WIDE(ycbcr_to_rgb, (const wm_ycbcr *how, planes_block in, int count, channels_block out), (how, in, count, out))

static void planes_encoded(const wm_pixels *p, wm_pixel_run run, double *rgb)
{
    planes_block in;
    for (int i = 0; i < p->planes; i++)
        plane_run(in[i], p, &p->plane[i], run);
    if (p->is_ycbcr) {
        channels_block channels;
        ycbcr_to_rgb(&p->ycbcr, in, run.count, channels);
        for (int i = 0; i < run.count; i++, rgb += 3)
            for (int c = 0; c < 3; c++)
                rgb[c] = channels[c][i];
        return;
    }
    for (int i = 0; i < run.count; i++, rgb += 3)
        for (int c = 0; c < 3; c++)
            rgb[c] = in[p->planes == 3 ? c : 0][i] / 255.0;
}

static void interleaved_encoded(const wm_pixels *p, wm_pixel_run run, double *rgb)
{
    for (int i = 0; i < run.count; i++, rgb += 3) {
        int x = run.x + i * run.step_x, y = run.y + i * run.step_y;
        size_t at = 3 * ((size_t)y * (size_t)p->width + (size_t)x);
        for (size_t c = 0; c < 3; c++)
            rgb[c] =
                p->bits == 8 ? p->data[at + c] / 255.0 : ((const uint16_t *)(const void *)p->data)[at + c] / 65535.0;
    }
}

void wm_pixels_encoded(const wm_pixels *pixels, wm_pixel_run run, double *rgb)
{
    for (int left = run.count; left > 0; left -= BLOCK) {
        run.count = left < BLOCK ? left : BLOCK;
        if (pixels->planes > 0)
            planes_encoded(pixels, run, rgb);
        else
            interleaved_encoded(pixels, run, rgb);
        run.x += run.count * run.step_x;
        run.y += run.count * run.step_y;
        rgb += 3 * run.count;
    }
}

/* ---- Rows for pictures ---- */

/* YCbCr to 16-bit RGB in whole numbers of 1/4096 code. */
typedef struct fixed {
    int black, y, r_cr, g_cb, g_cr, b_cb;
} fixed;

static fixed fixed_of(const wm_ycbcr *how)
{
    double y = 65535.0 * 4096.0 / (how->narrow ? 219.0 : 255.0), c = 65535.0 * 4096.0 / (how->narrow ? 224.0 : 255.0),
           kg = 1.0 - how->kr - how->kb;
    double r = 2.0 * (1.0 - how->kr), b = 2.0 * (1.0 - how->kb);
    return (fixed){ how->narrow ? 16 : 0,
                    (int)lround(y),
                    (int)lround(c * r),
                    (int)lround(c * b * how->kb / kg),
                    (int)lround(c * r * how->kr / kg),
                    (int)lround(c * b) };
}

WM_WIDE_PART uint16_t fixed_code(int value)
{
    value = (value + 2048) >> 12;
    return (uint16_t)(value < 0 ? 0 : value > 65535 ? 65535 : value);
}

typedef uint16_t codes_block[3][BLOCK];

static void ycbcr_codes(const fixed *f, planes_block in, int count, codes_block out);
WM_WIDE_BODY void ycbcr_codes_body(const fixed *f, planes_block in, int count, codes_block out)
{
    for (int i = 0; i < count; i++) {
        const int y = f->y * (in[0][i] - f->black), cb = in[1][i] - 128, cr = in[2][i] - 128;
        out[0][i] = fixed_code(y + f->r_cr * cr);
        out[1][i] = fixed_code(y - f->g_cb * cb - f->g_cr * cr);
        out[2][i] = fixed_code(y + f->b_cb * cb);
    }
}
WM_WIDE(ycbcr_codes, (const fixed *f, planes_block in, int count, codes_block out), (f, in, count, out))

static void planes_row16(const wm_pixels *p, wm_pixel_run run, uint16_t *rgb)
{
    planes_block in;
    for (int i = 0; i < p->planes; i++)
        plane_run(in[i], p, &p->plane[i], run);
    if (p->is_ycbcr) {
        const fixed f = fixed_of(&p->ycbcr);
        codes_block codes;
        ycbcr_codes(&f, in, run.count, codes);
        for (int i = 0; i < run.count; i++, rgb += 3)
            for (int c = 0; c < 3; c++)
                rgb[c] = codes[c][i];
        return;
    }
    for (int i = 0; i < run.count; i++, rgb += 3)
        for (int c = 0; c < 3; c++)
            rgb[c] = (uint16_t)(in[p->planes == 3 ? c : 0][i] * 257);
}

void wm_pixels_row16(const wm_pixels *p, int row, uint16_t *rgb)
{
    size_t values = 3 * (size_t)p->width, at = (size_t)row * values;
    if (p->planes > 0) {
        for (int x = 0; x < p->width; x += BLOCK, rgb += (size_t)3 * BLOCK)
            planes_row16(p, (wm_pixel_run){ x, row, 1, 0, p->width - x < BLOCK ? p->width - x : BLOCK }, rgb);
    } else if (p->bits == 16) {
        memcpy(rgb, p->data + 2 * at, values * sizeof *rgb);
    } else {
        for (size_t i = 0; i < values; i++)
            rgb[i] = (uint16_t)(p->data[at + i] * 257);
    }
}
