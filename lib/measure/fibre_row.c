#include "measure/fibre_row.h"

#include "core/wide.h"

#include <math.h>

/* How finely the row is worked out: results hang on none of these. */
enum {
    STEPS = 120,  /* of a pixel's share */
    PHASES = 4,   /* places of a pixel's middle on half a fibre; the other half is alike */
    HALVINGS = 14 /* on the way to a blur */
};
static const double REACH = 3.5;                     /* of the blur: fibres beyond have no part */
static const double NARROWEST = 0.01, WIDEST = 10.0; /* blur, in fibre widths */
static const double ROOT_2 = 1.4142135623730951, ROOT_2_OVER_PI = 0.7978845608028654;

static double normal_below(double z)
{
    return 0.5 * (1.0 + erf(z / ROOT_2));
}

/* Of a blur of so many fibre widths (sd of a normal curve): the mean, over all places of the pixel, of the sum of the
 * squared parts that the fibres have in it. Two points of the blur lie d apart, which has the sd v, and in one fibre
 * with the chance 1 - |d|. */
static double togetherness_of(double blur)
{
    const double v = blur * ROOT_2;
    return 2.0 * normal_below(1.0 / v) - 1.0 - v * ROOT_2_OVER_PI * (1.0 - exp(-0.5 / (v * v)));
}

/* togetherness_of falls: halving on the logarithm. */
static double blur_of(double togetherness)
{
    double low = NARROWEST, high = WIDEST;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = sqrt(low * high);
        if (togetherness_of(middle) > togetherness)
            low = middle;
        else
            high = middle;
    }
    return sqrt(low * high);
}

/* p[i]: chance of i steps of gray, none above `top`. One more fibre, which is so many steps of the pixel and gray with
 * the chance share. */
static void add_fibre(double *out, const double *p, int top, int steps, double share);
WM_WIDE_BODY void add_fibre_body(double *out, const double *p, int top, int steps, double share)
{
    for (int i = 0; i < steps; i++)
        out[i] = (1.0 - share) * p[i];
    for (int i = steps; i <= top + steps; i++)
        out[i] = (1.0 - share) * p[i] + share * p[i - steps];
}
WM_WIDE(add_fibre, (double *out, const double *p, int top, int steps, double share), (out, p, top, steps, share))

/* The pixel's middle lies so far into fibre 0. The fibres' parts end on whole steps, so that together they are the
 * pixel. Chances pass from one row of p to the other; returns the last. */
static const double *look(double p[2][STEPS + 1], double place, double blur, double share)
{
    const int reach = 1 + (int)(REACH * blur);
    int below = 0, now = 0;
    for (int k = -reach; k <= reach; k++) {
        const int above = k < reach ? (int)(STEPS * normal_below((k + 1 - place) / blur) + 0.5) : STEPS;
        if (above > below) {
            add_fibre(p[1 - now], p[now], below, above - below, share);
            now = 1 - now;
        }
        below = above;
    }
    return p[now];
}

void wm_fibre_row_weights(double weights[WM_FIBRE_NODES], double share, double togetherness)
{
    const double blur = blur_of(togetherness);
    for (int j = 0; j < WM_FIBRE_NODES; j++)
        weights[j] = 0.0;
    for (int phase = 0; phase < PHASES; phase++) {
        double room[2][STEPS + 1] = { { 1.0 } };
        const double *p = look(room, (phase + 0.5) / (2 * PHASES), blur, share);
        for (int i = 0; i <= STEPS; i++) {
            const double at = (double)i * (WM_FIBRE_NODES - 1) / STEPS;
            const int j = at < WM_FIBRE_NODES - 1 ? (int)at : WM_FIBRE_NODES - 2;
            weights[j] += (j + 1 - at) * p[i] / PHASES;
            weights[j + 1] += (at - j) * p[i] / PHASES;
        }
    }
}
