#include "paint.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

enum { SMOOTH = 8, MAX_POINTS = 64, SUB = 4 };

point frame_pixel(const frame *f, point p)
{
    return (point){ f->x0 + f->scale * p.x, f->y0 + f->scale * p.y };
}

static double blend4(double a, double b, double c, double d, double t)
{
    return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

/* Catmull-Rom through the points, closed, in canvas pixels. Returns the number of corners written. */
static int smooth(point *out, const frame *f, const point *p, int n)
{
    for (int i = 0; i < n; i++)
        for (int k = 0; k < SMOOTH; k++) {
            const point *a = &p[(i + n - 1) % n], *b = &p[i], *c = &p[(i + 1) % n], *d = &p[(i + 2) % n];
            double t = (double)k / SMOOTH;
            point q = { blend4(a->x, b->x, c->x, d->x, t), blend4(a->y, b->y, c->y, d->y, t) };
            out[i * SMOOTH + k] = frame_pixel(f, q);
        }
    return n * SMOOTH;
}

/* Adds to row[] the coverage of the polygon on the line y, in [0, width). */
static void cover_line(float *row, int width, const point *p, int n, double y, double weight)
{
    double cross[MAX_POINTS * SMOOTH];
    int count = 0;
    for (int i = 0; i < n; i++) {
        const point *a = &p[i], *b = &p[(i + 1) % n];
        if ((a->y <= y) == (b->y <= y))
            continue;
        double x = a->x + (y - a->y) / (b->y - a->y) * (b->x - a->x);
        int k = count++;
        for (; k > 0 && cross[k - 1] > x; k--)
            cross[k] = cross[k - 1];
        cross[k] = x;
    }
    for (int i = 0; i + 1 < count; i += 2) {
        double low = cross[i] < 0 ? 0 : cross[i], high = cross[i + 1] > width ? width : cross[i + 1];
        for (int x = (int)low; x < width && x < high; x++) {
            double a = low > x ? low : x, b = high < x + 1 ? high : x + 1;
            row[x] += (float)(weight * (b - a));
        }
    }
}

static void shape_rows(const point *p, int n, int height, int *first, int *end)
{
    double low = p[0].y, high = p[0].y;
    for (int i = 1; i < n; i++) {
        low = p[i].y < low ? p[i].y : low;
        high = p[i].y > high ? p[i].y : high;
    }
    *first = low < 0 ? 0 : (int)low;
    *end = high + 1 > height ? height : (int)high + 1;
}

static void paint_polygon(canvas *c, const point *p, int n, painter *paint, const void *context)
{
    int first, end;
    float *row = malloc((size_t)c->width * sizeof *row);
    shape_rows(p, n, c->height, &first, &end);
    for (int y = first; row && y < end; y++) {
        memset(row, 0, (size_t)c->width * sizeof *row);
        for (int k = 0; k < SUB; k++)
            cover_line(row, c->width, p, n, y + (k + 0.5) / SUB, 1.0 / SUB);
        for (int x = 0; x < c->width; x++) {
            float signal[3];
            if (row[x] <= 0)
                continue;
            paint(context, x + 0.5, y + 0.5, signal);
            canvas_paint(c, x, y, row[x], signal);
        }
    }
    free(row);
}

void paint_shape(canvas *c, const frame *f, const point *points, int n, painter *paint, const void *context)
{
    point corners[MAX_POINTS * SMOOTH];
    if (n >= 3 && n <= MAX_POINTS)
        paint_polygon(c, corners, smooth(corners, f, points, n), paint, context);
}

/* --- masks
 * ---------------------------------------------------------------------------------------------------------------------
 */

bool mask_make(mask *out, const canvas *c, const frame *f)
{
    out->step = f->scale / 200;
    out->width = (int)(c->width / out->step) + 2;
    out->height = (int)(c->height / out->step) + 2;
    out->v = calloc((size_t)out->width * (size_t)out->height, sizeof *out->v);
    return out->v != NULL;
}

void mask_free(mask *m)
{
    free(m->v);
    m->v = NULL;
}

static frame coarse_frame(const mask *m, const frame *f)
{
    return (frame){ f->scale / m->step, f->x0 / m->step, f->y0 / m->step };
}

static void mask_fill(mask *m, const point *corners, int n)
{
    int first, end;
    shape_rows(corners, n, m->height, &first, &end);
    for (int y = first; y < end; y++)
        cover_line(m->v + (size_t)y * (size_t)m->width, m->width, corners, n, y + 0.5, 1);
}

void mask_shape(mask *m, const frame *f, const point *points, int n)
{
    point corners[MAX_POINTS * SMOOTH];
    frame coarse = coarse_frame(m, f);
    if (n >= 3 && n <= MAX_POINTS)
        mask_fill(m, corners, smooth(corners, &coarse, points, n));
}

void mask_polygon(mask *m, const frame *f, const point *points, int n)
{
    point corners[MAX_POINTS];
    frame coarse = coarse_frame(m, f);
    for (int i = 0; i < n && i < MAX_POINTS; i++)
        corners[i] = frame_pixel(&coarse, points[i]);
    mask_fill(m, corners, n < MAX_POINTS ? n : MAX_POINTS);
}

static void blur_line(float *v, ptrdiff_t step, int n, int radius, float *line)
{
    for (int i = 0; i < n; i++)
        line[i] = v[i * step];
    for (int i = 0; i < n; i++) {
        float sum = 0;
        for (int k = -radius; k <= radius; k++)
            sum += line[i + k < 0 ? 0 : i + k >= n ? n - 1 : i + k];
        v[i * step] = sum / (float)(2 * radius + 1);
    }
}

void mask_blur(mask *m, const frame *f, double radius)
{
    int cells = (int)(radius * f->scale / m->step / 1.7 + 0.5);
    float *line = malloc((size_t)(m->width + m->height) * sizeof *line);
    for (int pass = 0; line && pass < 3; pass++) {
        for (int y = 0; y < m->height; y++)
            blur_line(m->v + (size_t)y * (size_t)m->width, 1, m->width, cells, line);
        for (int x = 0; x < m->width; x++)
            blur_line(m->v + x, m->width, m->height, cells, line);
    }
    free(line);
}

double mask_at(const mask *m, double px, double py)
{
    double x = px / m->step - 0.5, y = py / m->step - 0.5;
    x = x < 0 ? 0 : x > m->width - 2 ? m->width - 2 : x;
    y = y < 0 ? 0 : y > m->height - 2 ? m->height - 2 : y;
    int i = (int)x, j = (int)y;
    const float *v = m->v + (size_t)j * (size_t)m->width + (size_t)i;
    double top = (double)v[0] + (x - i) * (double)(v[1] - v[0]);
    v += m->width;
    double bottom = (double)v[0] + (x - i) * (double)(v[1] - v[0]);
    return top + (y - j) * (bottom - top);
}

/* --- boards
 * --------------------------------------------------------------------------------------------------------------------
 */

/* A projective map, here the unit square to quadrilateral (Heckbert, Fundamentals of Texture Mapping, 1989): (x, y, w)
 * = H (u, v, 1). */
typedef struct map {
    double m[3][3];
} map;

static map square_to_quad(const point p[4])
{
    double dx1 = p[1].x - p[2].x, dy1 = p[1].y - p[2].y, dx2 = p[3].x - p[2].x, dy2 = p[3].y - p[2].y;
    double sx = p[0].x - p[1].x + p[2].x - p[3].x, sy = p[0].y - p[1].y + p[2].y - p[3].y;
    double area = dx1 * dy2 - dx2 * dy1;
    double g = (sx * dy2 - dx2 * sy) / area, k = (dx1 * sy - sx * dy1) / area;
    return (map){ { { p[1].x - p[0].x + g * p[1].x, p[3].x - p[0].x + k * p[3].x, p[0].x },
                    { p[1].y - p[0].y + g * p[1].y, p[3].y - p[0].y + k * p[3].y, p[0].y },
                    { g, k, 1 } } };
}

static point apply(const map *by, double u, double v)
{
    const double(*h)[3] = by->m;
    double w = h[2][0] * u + h[2][1] * v + h[2][2];
    return (point){ (h[0][0] * u + h[0][1] * v + h[0][2]) / w, (h[1][0] * u + h[1][1] * v + h[1][2]) / w };
}

static map adjugate(const map *of)
{
    map out;
    const double(*m)[3] = of->m;
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            int a = (k + 1) % 3, b = (k + 2) % 3, c = (i + 1) % 3, d = (i + 2) % 3;
            out.m[i][k] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
        }
    return out;
}

point board_point(const point corner[4], double u, double v)
{
    map h = square_to_quad(corner);
    return apply(&h, u, v);
}

void paint_board(canvas *c, const frame *f, const point corner[4], board_painter *paint, const void *context)
{
    point p[4];
    int first, end;
    for (int i = 0; i < 4; i++)
        p[i] = frame_pixel(f, corner[i]);
    map h = square_to_quad(p), back = adjugate(&h);
    shape_rows(p, 4, c->height, &first, &end);
    float *row = malloc((size_t)c->width * sizeof *row);
    for (int y = first; row && y < end; y++) {
        memset(row, 0, (size_t)c->width * sizeof *row);
        for (int k = 0; k < SUB; k++)
            cover_line(row, c->width, p, 4, y + (k + 0.5) / SUB, 1.0 / SUB);
        for (int x = 0; x < c->width; x++) {
            float sum[3] = { 0 }, one[3];
            if (row[x] <= 0)
                continue;
            for (int k = 0; k < SUB * SUB; k++) {
                point uv = apply(&back, x + (k % SUB + 0.5) / SUB, y + (k / SUB + 0.5) / SUB);
                paint(context, uv.x, uv.y, one);
                for (int ch = 0; ch < 3; ch++)
                    sum[ch] += one[ch] / (SUB * SUB);
            }
            canvas_paint(c, x, y, row[x], sum);
        }
    }
    free(row);
}
