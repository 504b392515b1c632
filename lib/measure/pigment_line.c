#include "measure/pigment_line.h"

#include <math.h>
#include <stdlib.h>

enum { LINE_BLOCK = 4 };     /* G12 */
enum { CELL_BLOCKS = 8 };    /* G12 */
enum { FEWEST_OF_CELL = 8 }; /* G12 */
enum { FEWEST_PAIRS = 20 };  /* G12 */

/* The two cones that pigment moves most apart. */
typedef struct cones {
    double green, blue;
} cones;

/* The window in squares of LINE_BLOCK pixels: a camera's chroma has no finer detail, and its noise is meant away. */
typedef struct blocks {
    int width, height;
    bool *kept; /* half of the pixels are */
    cones *at;  /* mean, then what it differs by from its cell's */
} blocks;

static bool is_kept(unsigned char flags)
{
    return (flags & WM_PX_ZONE) && !(flags & WM_PX_DROPPED);
}

static cones cones_of(wm_rgb colour)
{
    const wm_cone cone = wm_lab_to_cone(wm_rgb_to_lab(colour));
    return (cones){ cone.c[1], cone.c[2] };
}

static cones plus(cones a, double times, cones b)
{
    return (cones){ a.green + times * b.green, a.blue + times * b.blue };
}

/* Mean of the kept pixels of one square. */
static bool mean_of_block(cones *mean, const wm_window *window, int column, int row)
{
    wm_rgb sum = { 0, 0, 0 };
    int count = 0;
    for (int y = row * LINE_BLOCK; y < (row + 1) * LINE_BLOCK; y++)
        for (int x = column * LINE_BLOCK; x < (column + 1) * LINE_BLOCK; x++) {
            const size_t i = (size_t)y * (size_t)window->box.width + (size_t)x;
            if (is_kept(window->flags[i])) {
                sum = wm_rgb_add(sum, window->linear[i]);
                count++;
            }
        }
    if (2 * count < LINE_BLOCK * LINE_BLOCK)
        return false;
    *mean = cones_of(wm_rgb_scale(sum, 1.0 / count));
    return true;
}

static wm_status read_blocks(blocks *b, const wm_window *window, wm_error *err)
{
    b->width = window->box.width / LINE_BLOCK;
    b->height = window->box.height / LINE_BLOCK;
    const size_t count = (size_t)b->width * (size_t)b->height;
    b->kept = calloc(count + 1, sizeof *b->kept);
    b->at = calloc(count + 1, sizeof *b->at);
    if (!b->kept || !b->at)
        return wm_fail_memory(err);
    for (int row = 0; row < b->height; row++)
        for (int column = 0; column < b->width; column++) {
            const size_t i = (size_t)row * (size_t)b->width + (size_t)column;
            b->kept[i] = mean_of_block(&b->at[i], window, column, row);
        }
    return WM_OK;
}

static void free_blocks(blocks *b)
{
    free(b->kept);
    free(b->at);
}

/* Over the whole, each in parts of the mean. False: nothing is kept, or it is black. */
static bool in_parts_of_mean(blocks *b)
{
    cones mean = { 0, 0 };
    size_t count = 0;
    for (int i = 0; i < b->width * b->height; i++)
        if (b->kept[i]) {
            mean = plus(mean, 1, b->at[i]);
            count++;
        }
    if (!count || !(mean.green > 0) || !(mean.blue > 0))
        return false;
    for (int i = 0; i < b->width * b->height; i++)
        b->at[i] = (cones){ b->at[i].green * (double)count / mean.green, b->at[i].blue * (double)count / mean.blue };
    return true;
}

/* What a cell's blocks differ by from its mean: sheen and shadow reach over more than a cell. */
static void less_mean_of_cell(blocks *b, int left, int top)
{
    const int right = left + CELL_BLOCKS < b->width ? left + CELL_BLOCKS : b->width,
              bottom = top + CELL_BLOCKS < b->height ? top + CELL_BLOCKS : b->height;
    cones sum = { 0, 0 };
    int count = 0;
    for (int row = top; row < bottom; row++)
        for (int i = row * b->width + left; i < row * b->width + right; i++)
            if (b->kept[i]) {
                sum = plus(sum, 1, b->at[i]);
                count++;
            }
    for (int row = top; row < bottom; row++)
        for (int i = row * b->width + left; i < row * b->width + right; i++) {
            b->kept[i] = b->kept[i] && count >= FEWEST_OF_CELL;
            if (b->kept[i])
                b->at[i] = plus(b->at[i], -1.0 / count, sum);
        }
}

/* Means of the products of a block and the next along the fibres: noise is not the same in both, the fibres are. */
typedef struct together {
    double gg, gb, bb;
    size_t pairs;
} together;

static together along(const blocks *b, double direction_rad)
{
    const int right = (int)lround(-sin(direction_rad)), down = (int)lround(cos(direction_rad));
    together sum = { 0 };
    for (int row = 0; row < b->height; row++)
        for (int column = 0; column < b->width; column++) {
            const int x = column + right, y = row + down, i = row * b->width + column, next = y * b->width + x;
            if (x < 0 || y < 0 || x >= b->width || y >= b->height || !b->kept[i] || !b->kept[next] ||
                x / CELL_BLOCKS != column / CELL_BLOCKS || y / CELL_BLOCKS != row / CELL_BLOCKS)
                continue;
            sum.gg += b->at[i].green * b->at[next].green;
            sum.bb += b->at[i].blue * b->at[next].blue;
            sum.gb += (b->at[i].green * b->at[next].blue + b->at[i].blue * b->at[next].green) / 2;
            sum.pairs++;
        }
    const double n = (double)(sum.pairs ? sum.pairs : 1);
    return (together){ sum.gg / n, sum.gb / n, sum.bb / n, sum.pairs };
}

wm_pigment_way wm_pigment_way_of(wm_cone from, wm_cone to, wm_cone mixed)
{
    const double green = wm_pigment_moves(from.c[1], to.c[1], mixed.c[1]),
                 blue = wm_pigment_moves(from.c[2], to.c[2], mixed.c[2]);
    return (wm_pigment_way){ green, blue - green };
}

/* Light moves both cones by the same part. So much of it is taken off as leaves one line: a matrix of rank one. */
static wm_pigment_line without_light(together t)
{
    const double apart = t.gg + t.bb - 2 * t.gb, determinant = t.gg * t.bb - t.gb * t.gb;
    if (t.pairs < FEWEST_PAIRS || !(apart > 0) || !(determinant > 0))
        return (wm_pigment_line){ .known = false };
    const double light = determinant / apart, green = sqrt(fmax(t.gg - light, 0)),
                 blue = copysign(sqrt(fmax(t.bb - light, 0)), t.gb - light);
    return (wm_pigment_line){ true, atan2(blue - green, green), green * green + blue * blue };
}

wm_status wm_pigment_line_of(wm_pigment_line *out, const wm_window *window, double direction_rad, wm_error *err)
{
    blocks b = { 0 };
    wm_status status = read_blocks(&b, window, err);
    wm_pigment_line line = { .known = false };
    if (!status && in_parts_of_mean(&b)) {
        for (int top = 0; top < b.height; top += CELL_BLOCKS)
            for (int left = 0; left < b.width; left += CELL_BLOCKS)
                less_mean_of_cell(&b, left, top);
        line = without_light(along(&b, direction_rad));
    }
    free_blocks(&b);
    if (!status)
        *out = line;
    return status;
}
