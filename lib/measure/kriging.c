#include "measure/kriging.h"

#include "colour/difference.h"
#include "colour/stats.h"

#include <math.h>

enum { OUTPUTS = 3 };
static const double AGREEMENT_PRIOR = 12;  /* C11 */
static const double AGREEMENT_LEAST = 0.4; /* C11 */

static const double LIGHT_SMOOTH = 0.7; /* C27 */

static const double WEAKNESS_SHARE[3] = { 1, 0.25, 0.25 }; /* C32 */

/* C8: a row for each way of stage 1, in it the outputs L, a, b; maximum likelihood on simulated photos, then rounded.
 */
enum { LEVEL, OF_L, OF_CHROMA, LOCAL, REACH, NOISE, ZONE, C8_COUNT }; /* the rule book's c0, cL, cC, s, ell, two sd */
static const double KRIGE_GRAY_L[C8_COUNT] = { 1.2, 3.2, 0.4, 0.9, 25, 1.2, 0.8 };                /* C8 */
static const double KRIGE_GRAY_A[C8_COUNT] = { 1.1, 1.1, 1.7, 0.7, 25, 0.7, 0.5 };                /* C8 */
static const double KRIGE_GRAY_B[C8_COUNT] = { 1.6, 2.1, 2.7, 1.0, 25, 0.7, 0.5 };                /* C8 */
static const double KRIGE_THREE_CARDS_L[C8_COUNT] = { 1.3, 1.6, 0.4, 0.9, 25, 1.2, 0.8 };         /* C8 */
static const double KRIGE_THREE_CARDS_A[C8_COUNT] = { 1.2, 1.1, 1.7, 0.7, 25, 0.7, 0.5 };         /* C8 */
static const double KRIGE_THREE_CARDS_B[C8_COUNT] = { 1.4, 2.0, 2.6, 1.0, 25, 0.7, 0.5 };         /* C8 */
static const double KRIGE_SWATCH_L[C8_COUNT] = { 10, 3.6, 0.7, 1.1, 25, 1.2, 0.8 };               /* C8 */
static const double KRIGE_SWATCH_A[C8_COUNT] = { 7, 2.4, 3.2, 0.7, 25, 0.7, 0.5 };                /* C8 */
static const double KRIGE_SWATCH_B[C8_COUNT] = { 6.5, 3.3, 3.4, 1.0, 25, 0.7, 0.5 };              /* C8 */
static const double KRIGE_TARGET_L[C8_COUNT] = { 2, 1.0, 1.5, 2, 50, 0.8, 1.4 };                  /* C8 */
static const double KRIGE_TARGET_A[C8_COUNT] = { 2, 0.6, 0.5, 2, 75, 0.7, 0.7 };                  /* C8 */
static const double KRIGE_TARGET_B[C8_COUNT] = { 2, 1.9, 3.0, 3, 75, 0.7, 0.85 };                 /* C8 */
static const double KRIGE_NONE_L[C8_COUNT] = { 6, 3.2, 0.4, 0.9, 25, 0, 0.8 };                    /* C8 */
static const double KRIGE_NONE_A[C8_COUNT] = { 5, 2.0, 1.7, 0.7, 25, 0, 0.5 };                    /* C8 */
static const double KRIGE_NONE_B[C8_COUNT] = { 6, 2.0, 2.7, 1.0, 25, 0, 0.5 };                    /* C8 */
static const double KRIGE_TARGET_AND_SWATCHES_L[C8_COUNT] = { 1.4, 0.5, 0.3, 0.8, 25, 1.2, 0.8 }; /* C8 */
static const double KRIGE_TARGET_AND_SWATCHES_A[C8_COUNT] = { 0.8, 0.4, 0.5, 0.7, 25, 0.7, 0.5 }; /* C8 */
static const double KRIGE_TARGET_AND_SWATCHES_B[C8_COUNT] = { 0.9, 0.5, 0.8, 0.9, 25, 0.7, 0.5 }; /* C8 */
static const double *const C8[][OUTPUTS] = {
    [WM_KRIGE_GRAY] = { KRIGE_GRAY_L, KRIGE_GRAY_A, KRIGE_GRAY_B },
    [WM_KRIGE_THREE_CARDS] = { KRIGE_THREE_CARDS_L, KRIGE_THREE_CARDS_A, KRIGE_THREE_CARDS_B },
    [WM_KRIGE_SWATCH] = { KRIGE_SWATCH_L, KRIGE_SWATCH_A, KRIGE_SWATCH_B },
    [WM_KRIGE_TARGET] = { KRIGE_TARGET_L, KRIGE_TARGET_A, KRIGE_TARGET_B },
    [WM_KRIGE_NONE] = { KRIGE_NONE_L, KRIGE_NONE_A, KRIGE_NONE_B },
    [WM_KRIGE_TARGET_AND_SWATCHES] = { KRIGE_TARGET_AND_SWATCHES_L, KRIGE_TARGET_AND_SWATCHES_A,
                                       KRIGE_TARGET_AND_SWATCHES_B },
};

static double square(double x)
{
    return x * x;
}

static double distance(wm_lab p, wm_lab q)
{
    return sqrt(square(p.L - q.L) + square(p.a - q.a) + square(p.b - q.b));
}

static double *output_of(wm_lab *lab, int o)
{
    return o == 0 ? &lab->L : o == 1 ? &lab->a : &lab->b;
}

double wm_krige_kernel(wm_krige_row row, int o, wm_lab p, wm_lab q)
{
    const double *c = C8[row][o];
    return square(c[LEVEL]) + square(c[OF_L] / 25) * (p.L - 50) * (q.L - 50) +
           square(c[OF_CHROMA] / 12) * (p.a * q.a + p.b * q.b) + square(c[LOCAL]) * exp(-distance(p, q) / c[REACH]);
}

double wm_krige_noise(wm_krige_row row, int o)
{
    return C8[row][o][NOISE];
}

double wm_krige_zone(wm_krige_row row, int o)
{
    return C8[row][o][ZONE];
}

double wm_light_to_lightness(double ln_light, double L)
{
    return ln_light * (L + 16) / 3;
}

/* C6: the nearest aids, ties by order. */
static void choose_nearest(wm_kriged *out, const wm_krige_set *set, wm_lab z)
{
    double far[WM_KRIGE_NEAREST];
    out->used = 0;
    for (size_t i = 0; i < set->count; i++) {
        double d = distance(set->aids[i].measured, z);
        if (out->used == WM_KRIGE_NEAREST && d >= far[WM_KRIGE_NEAREST - 1])
            continue;
        int at = out->used < WM_KRIGE_NEAREST ? out->used++ : WM_KRIGE_NEAREST - 1;
        for (; at > 0 && far[at - 1] > d; at--) {
            far[at] = far[at - 1];
            out->nearest[at] = out->nearest[at - 1];
        }
        far[at] = d;
        out->nearest[at] = (int)i;
    }
}

/* C27: how much of the light two places share: what falls on the head smoothly, by how near they are; what is of the
 * place itself, such as a shadow of the lock above, only there. */
static double shared_light(const wm_point *one, const wm_point *other)
{
    if (!one || !other)
        return 0;
    const double squared = square(one->x - other->x) + square(one->y - other->y);
    return squared > 0 ? LIGHT_SMOOTH * exp(-squared) : 1;
}

/* C27: covariance in L* of two colours in the same light. */
static double light_covariance(const wm_krige_light *light, double L1, double L2)
{
    return wm_light_to_lightness(light->sd, L1) * wm_light_to_lightness(light->sd, L2);
}

static const wm_point *where_is(const wm_krige_light *light, int aid)
{
    return light->where ? &light->where[aid] : NULL;
}

/* K_ij of C7 between the aids of rank i and j, with the light in L*. */
static double aid_covariance(const wm_kriged *out, const wm_krige_set *set, int o, int i, int j)
{
    const wm_lab p = set->aids[out->nearest[i]].measured, q = set->aids[out->nearest[j]].measured;
    const wm_point *here = where_is(&set->light, out->nearest[i]), *there = where_is(&set->light, out->nearest[j]);
    const double shared = i == j ? 1 : shared_light(here, there);
    const double light = o == 0 ? shared * light_covariance(&set->light, p.L, q.L) : 0;
    const double noise = square(C8[set->row][o][NOISE]) + set->aids[out->nearest[i]].weakness * WEAKNESS_SHARE[o];
    return wm_krige_kernel(set->row, o, p, q) + (i == j ? noise : 0) + light;
}

static void fill_covariance(double *K, const wm_kriged *out, const wm_krige_set *set, int o)
{
    for (int i = 0; i < out->used; i++)
        for (int j = 0; j < out->used; j++)
            K[i * out->used + j] = aid_covariance(out, set, o, i, j);
}

/* C7 for one output over the aids chosen. */
static bool krige_output(wm_kriged *out, const wm_krige_set *set, int o, wm_lab z)
{
    const int n = out->used;
    const wm_point *here = set->light.zone;
    double K[WM_KRIGE_NEAREST * WM_KRIGE_NEAREST], alpha[WM_KRIGE_NEAREST], kz[WM_KRIGE_NEAREST],
        weight[WM_KRIGE_NEAREST];
    fill_covariance(K, out, set, o);
    for (int i = 0; i < n; i++) {
        wm_krige_aid aid = set->aids[out->nearest[i]];
        const double shared = o == 0 ? shared_light(here, where_is(&set->light, out->nearest[i])) : 0;
        alpha[i] = *output_of(&aid.reference, o) - *output_of(&aid.measured, o);
        kz[i] =
            wm_krige_kernel(set->row, o, z, aid.measured) + shared * light_covariance(&set->light, z.L, aid.measured.L);
        weight[i] = kz[i];
    }
    if (!wm_cholesky(K, n))
        return false;
    wm_cholesky_solve(K, n, alpha);
    wm_cholesky_solve(K, n, weight);

    double shift = 0, variance = wm_krige_kernel(set->row, o, z, z) + square(C8[set->row][o][ZONE]);
    if (o == 0 && here)
        variance += light_covariance(&set->light, z.L, z.L);
    for (int i = 0; i < n; i++) {
        shift += kz[i] * alpha[i];
        variance -= kz[i] * weight[i];
        double unit[WM_KRIGE_NEAREST] = { 0 };
        unit[i] = 1;
        wm_cholesky_solve(K, n, unit);
        out->z_score[i][o] = alpha[i] / sqrt(unit[i]); /* C11: leave-one-out for free */
    }
    *output_of(&out->lab, o) += shift;
    out->variance[o] = variance;
    return isfinite(shift) && isfinite(variance);
}

/* C11, without its limits. */
static double disagreement_of(const wm_kriged *kriged)
{
    if (kriged->used == 0)
        return 1;
    double sum = 0;
    for (int i = 0; i < kriged->used; i++)
        for (int o = 0; o < OUTPUTS; o++)
            sum += square(kriged->z_score[i][o]);
    return (AGREEMENT_PRIOR + sum) / (AGREEMENT_PRIOR + 3 * kriged->used);
}

bool wm_krige(wm_kriged *out, const wm_krige_set *set, wm_lab z)
{
    wm_kriged kriged = { .lab = z };
    choose_nearest(&kriged, set, z);
    for (int o = 0; o < OUTPUTS; o++)
        if (!krige_output(&kriged, set, o, z))
            return false;
    kriged.disagreement = fmax(disagreement_of(&kriged), AGREEMENT_LEAST);
    kriged.s2 = fmin(kriged.disagreement, (double)WM_KRIGE_S2_HIGH);
    *out = kriged;
    return true;
}

static wm_lab mean_measured(const wm_krige_set *set)
{
    wm_lab sum = { 0, 0, 0 };
    for (size_t i = 0; i < set->count; i++) {
        sum.L += set->aids[i].measured.L / (double)set->count;
        sum.a += set->aids[i].measured.a / (double)set->count;
        sum.b += set->aids[i].measured.b / (double)set->count;
    }
    return sum;
}

double wm_krige_log_likelihood(const wm_krige_set *set)
{
    wm_kriged nearest = { 0 };
    double sum = 0;
    choose_nearest(&nearest, set, mean_measured(set));
    for (int o = 0; o < OUTPUTS; o++) {
        double K[WM_KRIGE_NEAREST * WM_KRIGE_NEAREST], residual[WM_KRIGE_NEAREST], alpha[WM_KRIGE_NEAREST];
        fill_covariance(K, &nearest, set, o);
        if (!wm_cholesky(K, nearest.used))
            return -INFINITY;
        for (int i = 0; i < nearest.used; i++) {
            wm_krige_aid aid = set->aids[nearest.nearest[i]];
            alpha[i] = residual[i] = *output_of(&aid.reference, o) - *output_of(&aid.measured, o);
        }
        wm_cholesky_solve(K, nearest.used, alpha);
        for (int i = 0; i < nearest.used; i++)
            sum -= residual[i] * alpha[i] / 2 + log(K[i * nearest.used + i]);
    }
    return sum;
}

double wm_sigma_to_u(wm_lab lab, wm_lab sigma)
{
    double sum = 0;
    for (int o = 0; o < OUTPUTS; o++) {
        wm_lab up = lab, down = lab;
        *output_of(&up, o) += *output_of(&sigma, o);
        *output_of(&down, o) -= *output_of(&sigma, o);
        sum += square((wm_de00(lab, up) + wm_de00(lab, down)) / 2);
    }
    return sqrt(sum);
}
