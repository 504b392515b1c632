#include "texture.h"

#include <math.h>

#include "random.h"

static double corner(uint64_t seed, double x, double y)
{
    dice d = { seed ^ ((uint64_t)(int64_t)x * UINT64_C(0x9E3779B97F4A7C15)) ^
               ((uint64_t)(int64_t)y * UINT64_C(0xC2B2AE3D27D4EB4F)) };
    dice_bits(&d);
    return 2 * dice_unit(&d) - 1;
}

static double smoothstep(double t)
{
    return t * t * (3 - 2 * t);
}

double texture_noise(uint64_t seed, double x, double y)
{
    const double x0 = floor(x), y0 = floor(y), tx = smoothstep(x - x0), ty = smoothstep(y - y0);
    const double above = corner(seed, x0, y0) * (1 - tx) + corner(seed, x0 + 1, y0) * tx,
                 below = corner(seed, x0, y0 + 1) * (1 - tx) + corner(seed, x0 + 1, y0 + 1) * tx;
    return above * (1 - ty) + below * ty;
}

/* Pores of about two thousandths of the picture's height, and the softer unevenness below them. */
double texture_skin(uint64_t seed, double u, double v)
{
    return 1 + 0.035 * texture_noise(seed, 420 * u, 420 * v) + 0.025 * texture_noise(seed + 1, 130 * u, 130 * v);
}

/* Threads over and under each other, of uneven thickness. */
double texture_weave(uint64_t seed, double u, double v)
{
    const double turn = 6.283185307179586 * 140;
    return 1 + 0.10 * sin(turn * u) * sin(turn * v) + 0.08 * texture_noise(seed, 300 * u, 300 * v);
}

/* What a roller leaves. */
double texture_wall(uint64_t seed, double u, double v)
{
    return 1 + 0.015 * texture_noise(seed, 60 * u, 60 * v) + 0.015 * texture_noise(seed + 1, 260 * u, 260 * v);
}

double texture_flush(uint64_t seed, double u, double v)
{
    return 0.5 + 0.3 * texture_noise(seed + 2, 9 * u, 9 * v) + 0.2 * texture_noise(seed + 3, 28 * u, 28 * v);
}
