#include "match/draws.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

uint64_t wm_draws__hash(const char *key)
{
    uint64_t hash = UINT64_C(0xcbf29ce484222325);
    for (const unsigned char *byte = (const unsigned char *)key; *byte; byte++)
        hash = (hash ^ *byte) * UINT64_C(0x100000001b3);
    return hash;
}

uint64_t wm_draws__next(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
    return z ^ z >> 31;
}

/* P. J. Acklam, "An algorithm for computing the inverse normal cumulative distribution function", relative error below
 * 1.2e-9: two rational functions, one for the tail. The upper half mirrors the lower. */
double wm_draws__quantile(double p)
{
    static const double TAIL = 0.02425;
    static const double A[6] = { -3.969683028665376e+01, 2.209460984245205e+02,  -2.759285104469687e+02,
                                 1.383577518672690e+02,  -3.066479806614716e+01, 2.506628277459239e+00 };
    static const double B[5] = { -5.447609879822406e+01, 1.615858368580409e+02, -1.556989798598866e+02,
                                 6.680131188771972e+01, -1.328068155288572e+01 };
    static const double C[6] = { -7.784894002430293e-03, -3.223964580411365e-01, -2.400758277161838e+00,
                                 -2.549732539343734e+00, 4.374664141464968e+00,  2.938163982698783e+00 };
    static const double D[4] = { 7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00,
                                 3.754408661907416e+00 };
    if (p > 0.5)
        return -wm_draws__quantile(1 - p);
    if (p < TAIL) {
        double q = sqrt(-2 * log(p));
        return (((((C[0] * q + C[1]) * q + C[2]) * q + C[3]) * q + C[4]) * q + C[5]) /
               ((((D[0] * q + D[1]) * q + D[2]) * q + D[3]) * q + 1);
    }
    double q = p - 0.5, r = q * q;
    return (((((A[0] * r + A[1]) * r + A[2]) * r + A[3]) * r + A[4]) * r + A[5]) * q /
           (((((B[0] * r + B[1]) * r + B[2]) * r + B[3]) * r + B[4]) * r + 1);
}

/* Row 0, and the quantiles in their order. */
static void begin(double z[WM_DRAW_ROWS])
{
    z[0] = 0;
    for (int i = 0; i < WM_DRAWS / 2; i++) {
        double quantile = wm_draws__quantile((i + 0.5) / WM_DRAWS);
        z[1 + i] = quantile;
        z[WM_DRAWS - i] = -quantile;
    }
}

static void shuffle(double z[WM_DRAW_ROWS], const char *key)
{
    uint64_t state = wm_draws__hash(key);
    for (uint64_t i = WM_DRAWS - 1; i > 0; i--) {
        uint64_t j = wm_draws__next(&state) % (i + 1);
        double kept = z[1 + i];
        z[1 + i] = z[1 + j];
        z[1 + j] = kept;
    }
}

void wm_draws_of(double z[WM_DRAW_ROWS], const char *key)
{
    begin(z);
    shuffle(z, key);
}

void wm_draws_of_lab(wm_lab z[WM_DRAW_ROWS], const char *key)
{
    static const char *const COMPONENTS[3] = { "L", "a", "b" };
    double quantiles[WM_DRAW_ROWS], drawn[3][WM_DRAW_ROWS];
    begin(quantiles);
    for (int i = 0; i < 3; i++) {
        char whole[WM_DRAW_KEY_SIZE];
        snprintf(whole, sizeof whole, "%s:%s", key, COMPONENTS[i]);
        memcpy(drawn[i], quantiles, sizeof quantiles);
        shuffle(drawn[i], whole);
    }
    for (int k = 0; k < WM_DRAW_ROWS; k++)
        z[k] = (wm_lab){ drawn[0][k], drawn[1][k], drawn[2][k] };
}

double wm_draws_mean(const double values[WM_DRAW_ROWS])
{
    double sum = 0;
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        sum += values[k];
    return sum / WM_DRAWS;
}

double wm_draws_within(const double values[WM_DRAW_ROWS], double limit)
{
    int within = 0;
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        within += values[k] <= limit;
    return (double)within / WM_DRAWS;
}
