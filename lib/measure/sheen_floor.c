#include "measure/sheen_floor.h"

#include "colour/stats.h"

#include <math.h>
#include <stdlib.h>

enum { CELL_ACROSS = 64, CELL_ALONG = 8, CELL_LEAST = 60, CELLS_LEAST = 6 }; /* as the sheen bands of G3 */
static const double FLOOR_RANK = 0.30;                                       /* C10 */
static const double FLOOR_ABOVE = 0.10;                                      /* C10 */
static const double FLOOR_BELOW = 0.40;                                      /* C10 */

/* The window cut into cells across and along the fibres, counted from its centre. */
typedef struct mesh {
    double cosine, sine, x, y;
    int across, along; /* cells */
} mesh;

typedef struct cell {
    size_t first, count; /* of its pixels' luminance, in one array */
    wm_rgb sum;
    double median; /* negative: too few pixels */
} cell;

static mesh mesh_of(const wm_window *window, double direction_rad)
{
    const double width = window->box.width, height = window->box.height * window->row_step,
                 reach = hypot(width, height);
    return (
        mesh){ cos(direction_rad),           sin(direction_rad), width / 2, height / 2, (int)(reach / CELL_ACROSS) + 2,
               (int)(reach / CELL_ALONG) + 2 };
}

static int cell_at(const mesh *m, int px, int py)
{
    const double x = px - m->x, y = py - m->y;
    const int u = (int)floor((x * m->cosine + y * m->sine) / CELL_ACROSS + m->across / 2.0),
              v = (int)floor((y * m->cosine - x * m->sine) / CELL_ALONG + m->along / 2.0);
    return v * m->across + u;
}

static bool counts(const wm_window *window, size_t i, double gap_below_y)
{
    return (window->flags[i] & WM_PX_ZONE) && !(window->flags[i] & WM_PX_DROPPED) &&
           wm_rgb_luminance(window->linear[i]) >= gap_below_y;
}

/* Counting sort of the pixels' luminance by cell; the medians. */
static void fill(cell *cells, double *luminance, const wm_window *window, const mesh *m, double gap_below_y)
{
    const int width = window->box.width, count = m->across * m->along;
    size_t first = 0, i = 0;
    for (int y = 0; y < window->box.height; y++)
        for (int x = 0; x < width; x++, i++)
            if (counts(window, i, gap_below_y)) {
                cell *c = &cells[cell_at(m, x, y * window->row_step)];
                c->count++;
                c->sum = wm_rgb_add(c->sum, window->linear[i]);
            }
    for (int k = 0; k < count; k++) {
        cells[k].first = first;
        first += cells[k].count;
        cells[k].count = 0;
    }
    i = 0;
    for (int y = 0; y < window->box.height; y++)
        for (int x = 0; x < width; x++, i++)
            if (counts(window, i, gap_below_y)) {
                cell *c = &cells[cell_at(m, x, y * window->row_step)];
                luminance[c->first + c->count++] = wm_rgb_luminance(window->linear[i]);
            }
    for (int k = 0; k < count; k++)
        cells[k].median = cells[k].count * (size_t)window->row_step >= CELL_LEAST
                              ? wm_quantile(luminance + cells[k].first, cells[k].count, 0.5)
                              : -1;
}

static wm_rgb sheen_of(const cell *cells, int count, double *medians)
{
    size_t known = 0, all = 0, kept = 0;
    wm_rgb whole = { 0, 0, 0 }, floor_sum = { 0, 0, 0 };
    for (int k = 0; k < count; k++)
        if (cells[k].median >= 0)
            medians[known++] = cells[k].median;
    if (known < CELLS_LEAST)
        return (wm_rgb){ 0, 0, 0 };
    const double reference = wm_quantile(medians, known, FLOOR_RANK);
    for (int k = 0; k < count; k++) {
        all += cells[k].count;
        whole = wm_rgb_add(whole, cells[k].sum);
        if (cells[k].median < (1 - FLOOR_BELOW) * reference || cells[k].median > (1 + FLOOR_ABOVE) * reference)
            continue;
        kept += cells[k].count;
        floor_sum = wm_rgb_add(floor_sum, cells[k].sum);
    }
    const wm_rgb mean = wm_rgb_scale(whole, 1 / (double)all), low = wm_rgb_scale(floor_sum, 1 / (double)kept);
    return wm_rgb_luminance(low) < wm_rgb_luminance(mean) ? wm_rgb_add(mean, wm_rgb_scale(low, -1))
                                                          : (wm_rgb){ 0, 0, 0 };
}

wm_status wm_sheen_left(wm_rgb *out, const wm_window *window, double direction_rad, double gap_below_y, wm_error *err)
{
    const mesh m = mesh_of(window, direction_rad);
    const int count = m.across * m.along;
    cell *cells = calloc((size_t)count, sizeof *cells);
    double *medians = calloc((size_t)count, sizeof *medians);
    double *luminance = calloc((size_t)window->box.width * (size_t)window->box.height + 1, sizeof *luminance);
    wm_status status = cells && medians && luminance ? WM_OK : wm_fail_memory(err);
    if (!status) {
        fill(cells, luminance, window, &m, gap_below_y);
        *out = sheen_of(cells, count, medians);
    }
    free(cells);
    free(medians);
    free(luminance);
    return status;
}
