#include "measure/fibre_row.h"

#include "core/wide.h"

#include <math.h>

/* How finely the row is worked out: results hang on none of these. */
enum {
    PER_NODE = 12, /* steps of a pixel's share from one node to the next */
    STEPS = PER_NODE * (WM_FIBRE_NODES - 1),
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
static double blur_of(wm_fibre_row *row, double togetherness)
{
    double low = NARROWEST, high = WIDEST;
    row->above = INFINITY;
    row->below = -INFINITY;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = sqrt(low * high), there = togetherness_of(middle);
        if (there > togetherness) {
            low = middle;
            row->above = there;
        } else {
            high = middle;
            row->below = there;
        }
    }
    return sqrt(low * high);
}

/* The pixel's middle lies so far into fibre 0. The fibres' parts end on whole steps, so that together they are the
 * pixel. Returns how many there are. */
static int part(unsigned char parts[WM_FIBRE_MOST], double place, double blur)
{
    const int reach = 1 + (int)(REACH * blur);
    int below = 0, fibres = 0;
    for (int k = -reach; k <= reach; k++) {
        const int above = k < reach ? (int)(STEPS * normal_below((k + 1 - place) / blur) + 0.5) : STEPS;
        if (above > below)
            parts[fibres++] = (unsigned char)(above - below);
        below = above;
    }
    return fibres;
}

static void lay(wm_fibre_row *row, double togetherness)
{
    const double blur = blur_of(row, togetherness);
    for (int phase = 0; phase < WM_FIBRE_PHASES; phase++)
        row->fibres[phase] = part(row->parts[phase], (phase + 0.5) / (2 * WM_FIBRE_PHASES), blur);
    row->known = true;
}

/* p[i]: chance of i steps of gray, none above `top`. One more fibre, which is so many steps of the pixel and gray with
 * the chance share. */
WM_WIDE_PART void add_fibre(double *out, const double *p, int top, int steps, double share)
{
    for (int i = 0; i < steps; i++)
        out[i] = (1.0 - share) * p[i];
    for (int i = steps; i <= top + steps; i++)
        out[i] = (1.0 - share) * p[i] + share * p[i - steps];
}

/* chance[i]: of i steps of gray, the mean over the phases. */
static void look(double *chance, const wm_fibre_row *row, double share);
WM_WIDE_BODY void look_body(double *chance, const wm_fibre_row *row, double share)
{
    for (int phase = 0; phase < WM_FIBRE_PHASES; phase++) {
        double room[2][STEPS + 1] = { { 1.0 } }, *p = room[0], *next = room[1];
        int top = 0;
        for (int k = 0; k < row->fibres[phase]; k++) {
            const int steps = row->parts[phase][k];
            double *const before = p;
            add_fibre(next, p, top, steps, share);
            p = next;
            next = before;
            top += steps;
        }
        for (int i = 0; i <= STEPS; i++)
            chance[i] += p[i] / WM_FIBRE_PHASES;
    }
}
WM_WIDE(look, (double *chance, const wm_fibre_row *row, double share), (chance, row, share))

void wm_fibre_row_weights(double weights[WM_FIBRE_NODES], wm_fibre_row *row, double share, double togetherness)
{
    double chance[STEPS + 1] = { 0 };
    if (!row->known || !(row->below <= togetherness && togetherness < row->above))
        lay(row, togetherness);
    look(chance, row, share);
    for (int j = 0; j < WM_FIBRE_NODES; j++)
        weights[j] = 0.0;
    for (int j = 0; j < WM_FIBRE_NODES - 1; j++)
        for (int i = 0; i < PER_NODE; i++) {
            const double towards = (double)i / PER_NODE;
            weights[j] += (1.0 - towards) * chance[j * PER_NODE + i];
            weights[j + 1] += towards * chance[j * PER_NODE + i];
        }
    weights[WM_FIBRE_NODES - 1] += chance[STEPS];
}
