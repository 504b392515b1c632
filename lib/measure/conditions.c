#include "measure/conditions.h"

#include <math.h>

enum { CONTRAST_STEPS = 12, LIGHT_STEPS = 20 }; /* either way from 1; from 0 */
static const double CONTRAST_STEP = 0.05;       /* of ln contrast: less than half of what is left unknown */
static const double CONTRAST_SD = 0.15;         /* C16 */
static const double LIGHT_SD = 0.15;            /* C27 */
static const double ZONES_ALIKE = 0.06;         /* C27 */
static const double ZONES_APART = 0.36;         /* C27 */
static const double APART_ODDS = 0.2;           /* C27 */
static const double LIGHT_STEP = 0.02;          /* of sd of ln light: up to 0.4, twice what a window does to a head */

static double ln_luminance(wm_lab lab)
{
    return log(fmax(wm_rgb_luminance(wm_lab_to_rgb(lab)), 1e-6));
}

/* The swatches after stage 1 with that contrast; the exposure is made anew. */
static wm_stage1 seen_through(wm_krige_aid *out, const wm_stage1 *stage1, double contrast,
                              const wm_seen_swatch *swatches, size_t count)
{
    wm_stage1 made = wm_stage1_with_contrast(stage1, contrast);
    if (count > WM_KRIGE_NEAREST)
        count = WM_KRIGE_NEAREST;
    if (stage1->kind == WM_STAGE1_EXPOSURE) {
        double ln_ratio = 0;
        for (size_t i = 0; i < count; i++)
            ln_ratio += log(wm_rgb_luminance(wm_lab_to_rgb(swatches[i].reference)) /
                            fmax(wm_rgb_luminance(wm_stage1_apply(&made, swatches[i].body)), 1e-6));
        for (int c = 0; c < 3; c++)
            made.gain[c] *= exp(ln_ratio / (double)count / contrast); /* the gain stands within the power */
    }
    for (size_t i = 0; i < count; i++)
        out[i] = (wm_krige_aid){ wm_rgb_to_lab(wm_stage1_apply(&made, swatches[i].body)), swatches[i].reference,
                                 swatches[i].weakness };
    return made;
}

/* Under each sd of the light, with its prior, as a logarithm; the most of them. */
static double under_light(double likelihood[LIGHT_STEPS + 1], const wm_krige_set *set)
{
    double most = -INFINITY;
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        wm_krige_set lit = *set;
        const double prior = i * LIGHT_STEP / LIGHT_SD;
        lit.light.sd = i * LIGHT_STEP;
        likelihood[i] = wm_krige_log_likelihood(&lit) - prior * prior / 2;
        most = fmax(most, likelihood[i]);
    }
    return most;
}

/* Over all that the light may be, each swatch in one of its own: what the light explains is no contrast. */
static double under_any_light(const wm_krige_set *set)
{
    double likelihood[LIGHT_STEPS + 1], sum = 0;
    const double most = under_light(likelihood, set);
    if (!isfinite(most))
        return most;
    for (int i = 0; i <= LIGHT_STEPS; i++)
        sum += exp(likelihood[i] - most);
    return most + log(sum);
}

/* C16. The kernel speaks of corrected colours; the light that errs lies in what the photo shows. So the likelihood is
 * that of what was seen, whose L* a power of linear light spreads by that power: without this a contrast below 1 is
 * found wherever the light differs, as it draws all errors together. */
wm_stage1 wm_conditions_stage1(const wm_stage1 *stage1, wm_krige_row row, const wm_seen_swatch *swatches, size_t count,
                               double *contrast_sd)
{
    wm_krige_aid aids[WM_KRIGE_NEAREST];
    double likelihood[2 * CONTRAST_STEPS + 1], most = -INFINITY, weights = 0, mean = 0, square = 0;
    *contrast_sd = 0;
    if (count < WM_CONDITIONS_LEAST)
        return *stage1;
    const wm_krige_set set = { .row = row, .aids = aids, .count = count < WM_KRIGE_NEAREST ? count : WM_KRIGE_NEAREST };
    for (int i = 0; i <= 2 * CONTRAST_STEPS; i++) {
        const double ln_contrast = (i - CONTRAST_STEPS) * CONTRAST_STEP, prior = ln_contrast / CONTRAST_SD;
        seen_through(aids, stage1, exp(ln_contrast), swatches, count);
        likelihood[i] = under_any_light(&set) - prior * prior / 2 + (double)set.count * ln_contrast;
        most = fmax(most, likelihood[i]);
    }
    if (!isfinite(most))
        return *stage1;
    for (int i = 0; i <= 2 * CONTRAST_STEPS; i++) {
        const double weight = exp(likelihood[i] - most);
        weights += weight;
        mean += weight * (i - CONTRAST_STEPS) * CONTRAST_STEP;
        square += weight * pow((i - CONTRAST_STEPS) * CONTRAST_STEP, 2);
    }
    *contrast_sd = sqrt(fmax(square / weights - pow(mean / weights, 2), 0));
    return seen_through(aids, stage1, exp(mean / weights), swatches, count);
}

static double rms_light(const double likelihood[LIGHT_STEPS + 1], double most)
{
    double weights = 0, squares = 0;
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        const double weight = exp(likelihood[i] - most), sd = i * LIGHT_STEP;
        weights += weight;
        squares += weight * sd * sd;
    }
    return sqrt(squares / weights);
}

double wm_conditions_light(const wm_krige_set *set)
{
    double likelihood[LIGHT_STEPS + 1];
    const double most = set->count < WM_CONDITIONS_LEAST ? -(double)INFINITY : under_light(likelihood, set);
    return isfinite(most) ? rms_light(likelihood, most) : LIGHT_SD;
}

/* Sum of squares of ln Y about its mean. */
static double spread_of(const wm_lab *own, size_t count)
{
    double mean = 0, sum = 0;
    for (size_t i = 0; i < count; i++)
        mean += ln_luminance(own[i]) / (double)count;
    for (size_t i = 0; i < count; i++)
        sum += pow(ln_luminance(own[i]) - mean, 2);
    return sum;
}

/* C27: normal likelihood of the spread, its mean left free; as a logarithm. */
static double spread_likelihood(double spread, size_t count, double variance)
{
    return -((double)(count - 1) * log(variance) + spread / variance) / 2;
}

double wm_conditions_light_of_zones(const wm_lab *own, size_t count)
{
    double likelihood[LIGHT_STEPS + 1], most = -INFINITY;
    if (count < 2)
        return LIGHT_SD;
    const double spread = spread_of(own, count);
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        const double light = pow(i * LIGHT_STEP, 2), prior = i * LIGHT_STEP / LIGHT_SD;
        const double alike = spread_likelihood(spread, count, light + ZONES_ALIKE * ZONES_ALIKE),
                     apart = spread_likelihood(spread, count, light + ZONES_APART * ZONES_APART),
                     larger = fmax(alike, apart);
        likelihood[i] =
            larger + log((1 - APART_ODDS) * exp(alike - larger) + APART_ODDS * exp(apart - larger)) - prior * prior / 2;
        most = fmax(most, likelihood[i]);
    }
    return rms_light(likelihood, most);
}
