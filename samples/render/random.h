/* random: the renderer's own numbers, so that one seed gives one picture on every machine (splitmix64, public domain
 * algorithm by S. Vigna; nothing here depends on rand() or the clock). */
#ifndef RENDER_RANDOM_H
#define RENDER_RANDOM_H

#include <math.h>
#include <stdint.h>

typedef struct dice {
    uint64_t state;
} dice;

static inline uint64_t dice_bits(dice *d)
{
    uint64_t z = (d->state += UINT64_C(0x9E3779B97F4A7C15));
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

/** An independent stream for one purpose: what is added to one part of a scene leaves the other parts as they were. */
static inline dice dice_for(uint64_t seed, const char *purpose)
{
    uint64_t h = UINT64_C(1469598103934665603) ^ seed;
    for (const char *p = purpose; *p; p++)
        h = (h ^ (uint64_t)(unsigned char)*p) * UINT64_C(1099511628211);
    dice d = { h };
    dice_bits(&d);
    return d;
}

/** Uniform in [0, 1). */
static inline double dice_unit(dice *d)
{
    return (double)(dice_bits(d) >> 11) * 0x1p-53;
}

static inline double dice_between(dice *d, double low, double high)
{
    return low + (high - low) * dice_unit(d);
}

static inline int dice_below(dice *d, int n)
{
    return (int)(dice_unit(d) * n);
}

/** Standard normal: the sum of 12 uniforms would do for pictures, but tails matter for outliers, so Box-Muller. */
static inline double dice_normal(dice *d)
{
    double u = 1 - dice_unit(d);
    double v = dice_unit(d);
    return sqrt(-2 * log(u)) * cos(6.283185307179586 * v);
}

/** exp of a normal with the given sd: a factor around 1. */
static inline double dice_factor(dice *d, double sd)
{
    return exp(sd * dice_normal(d));
}

#endif
