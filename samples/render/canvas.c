#include "canvas.h"

#include <stdlib.h>

enum { TRUTH = 8 };

bool canvas_make(canvas *out, int width, int height)
{
    size_t pixels = (size_t)width * (size_t)height;
    *out = (canvas){ .width = width, .height = height };
    out->signal = calloc(pixels * 3, sizeof *out->signal);
    out->zone_of = calloc(pixels, 1);
    if (out->signal && out->zone_of)
        return true;
    canvas_free(out);
    return false;
}

void canvas_free(canvas *c)
{
    free(c->signal);
    free(c->zone_of);
    for (int i = 0; i < c->zones; i++)
        free(c->truth[i]);
    *c = (canvas){ 0 };
}

int canvas_watch(canvas *c, rect r)
{
    if (c->zones == MAX_ZONES || r.x < 0 || r.y < 0 || r.w < 1 || r.h < 1 || r.x + r.w > c->width ||
        r.y + r.h > c->height)
        return -1;
    for (int y = r.y; y < r.y + r.h; y++)
        for (int x = r.x; x < r.x + r.w; x++)
            if (c->zone_of[(size_t)y * (size_t)c->width + (size_t)x])
                return -1;
    float *truth = calloc((size_t)r.w * (size_t)r.h * TRUTH, sizeof *truth);
    if (!truth)
        return -1;
    int i = c->zones++;
    c->zone[i] = r;
    c->truth[i] = truth;
    for (int y = r.y; y < r.y + r.h; y++)
        for (int x = r.x; x < r.x + r.w; x++)
            c->zone_of[(size_t)y * (size_t)c->width + (size_t)x] = (unsigned char)(i + 1);
    return i;
}

static float *truth_at(canvas *c, int zone, int x, int y)
{
    const rect *r = &c->zone[zone];
    return c->truth[zone] + ((size_t)(y - r->y) * (size_t)r->w + (size_t)(x - r->x)) * TRUTH;
}

zone_truth canvas_truth(const canvas *c, int zone)
{
    zone_truth t = { 0 };
    rect r = c->zone[zone];
    const float *p = c->truth[zone];
    for (int y = r.y; y < r.y + r.h; y++)
        for (int x = r.x; x < r.x + r.w; x++, p += TRUTH) {
            const float *s = c->signal + ((size_t)y * (size_t)c->width + (size_t)x) * 3;
            t.pixels += 1;
            t.base_area += (double)p[0];
            t.gray_area += (double)p[1];
            for (int k = 0; k < 3; k++) {
                t.base_xyz.v[k] += (double)p[2 + k];
                t.gray_xyz.v[k] += (double)p[5 + k];
                t.signal.v[k] += (double)s[k];
            }
        }
    return t;
}

static void cover_truth(float *t, float alpha, const fibre_body *body)
{
    float keep = 1 - alpha;
    for (int k = 0; k < TRUTH; k++)
        t[k] *= keep;
    if (!body)
        return;
    float gray = alpha * body->gray, base = alpha - gray;
    t[0] += base;
    t[1] += gray;
    for (int k = 0; k < 3; k++) {
        t[2 + k] += base * body->xyz[k];
        t[5 + k] += gray * body->xyz[k];
    }
}

static void cover(canvas *c, int x, int y, float alpha, const float signal[3], const fibre_body *body)
{
    size_t at = (size_t)y * (size_t)c->width + (size_t)x;
    float *s = c->signal + at * 3;
    for (int k = 0; k < 3; k++)
        s[k] += alpha * (signal[k] - s[k]);
    if (c->zone_of[at])
        cover_truth(truth_at(c, c->zone_of[at] - 1, x, y), alpha, body);
}

void canvas_paint(canvas *c, int x, int y, float alpha, const float signal[3])
{
    if (x >= 0 && y >= 0 && x < c->width && y < c->height && alpha > 0)
        cover(c, x, y, alpha < 1 ? alpha : 1, signal, NULL);
}

void canvas_shade(canvas *c, int x, int y, float factor)
{
    if (x < 0 || y < 0 || x >= c->width || y >= c->height)
        return;
    float *s = c->signal + ((size_t)y * (size_t)c->width + (size_t)x) * 3;
    for (int k = 0; k < 3; k++)
        s[k] *= factor;
}

static float overlap(float low, float high, float pixel)
{
    float a = low > pixel ? low : pixel, b = high < pixel + 1 ? high : pixel + 1;
    return b > a ? b - a : 0;
}

/* Walks the rows (steep pieces) or columns (flat ones) whose centre lies in the piece: neighbours never paint a row
 * twice. */
void canvas_fibre(canvas *c, const fibre_end *a, const fibre_end *b, const fibre_body *body)
{
    float dx = b->x - a->x, dy = b->y - a->y;
    bool steep = fabsf(dy) >= fabsf(dx);
    float from = steep ? a->y : a->x, length = steep ? dy : dx;
    if (fabsf(length) < 1e-6F)
        return;
    float across = (steep ? dx : dy) / length, stretch = sqrtf(1 + across * across);
    float low = length > 0 ? from : from + length, high = length > 0 ? from + length : from;
    int limit = steep ? c->height : c->width, other = steep ? c->width : c->height;
    int first = (int)ceilf(low - 0.5F), end = (int)ceilf(high - 0.5F);
    first = first < 0 ? 0 : first;
    end = end > limit ? limit : end;
    for (int i = first; i < end; i++) {
        float along = ((float)i + 0.5F - from) / length;
        float centre = (steep ? a->x : a->y) + across * ((float)i + 0.5F - from);
        float half = 0.5F * stretch * (a->width + along * (b->width - a->width));
        float signal[3];
        for (int k = 0; k < 3; k++)
            signal[k] = a->signal[k] + along * (b->signal[k] - a->signal[k]);
        int j0 = (int)floorf(centre - half), j1 = (int)floorf(centre + half);
        j0 = j0 < 0 ? 0 : j0;
        j1 = j1 >= other ? other - 1 : j1;
        for (int j = j0; j <= j1; j++) {
            float alpha = overlap(centre - half, centre + half, (float)j);
            if (alpha > 0)
                cover(c, steep ? j : i, steep ? i : j, alpha, signal, body);
        }
    }
}
