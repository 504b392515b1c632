#include "measure/conditions.h"

#include <math.h>

enum { CONTRAST_STEPS = 12, LIGHT_STEPS = 20 }; /* either way from 1; from 0 */
static const double CONTRAST_STEP = 0.05;       /* of ln contrast: fine enough to leave 0.3 L* */
static const double CONTRAST_SD = 0.2;          /* C16 */
static const double LIGHT_SD = 0.15;            /* C27 */
static const double LIGHT_STEP = 0.02;          /* of sd of ln light: up to 0.4, twice what a window does to a head */

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

/* Over all that the light may be, each swatch in one of its own: what the light explains is no contrast. */
static double best_likelihood(const wm_krige_set *set)
{
    double best = -INFINITY;
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        wm_krige_set lit = *set;
        lit.light = (wm_krige_light){ .sd = i * LIGHT_STEP };
        best = fmax(best, wm_krige_log_likelihood(&lit));
    }
    return best;
}

wm_stage1 wm_conditions_stage1(const wm_stage1 *stage1, wm_krige_row row, const wm_seen_swatch *swatches, size_t count)
{
    wm_krige_aid aids[WM_KRIGE_NEAREST];
    wm_stage1 best = *stage1;
    double most = -INFINITY;
    if (count < WM_CONDITIONS_LEAST)
        return best;
    const wm_krige_set set = { .row = row, .aids = aids, .count = count < WM_KRIGE_NEAREST ? count : WM_KRIGE_NEAREST };
    for (int i = -CONTRAST_STEPS; i <= CONTRAST_STEPS; i++) {
        const double ln_contrast = i * CONTRAST_STEP, prior = ln_contrast / CONTRAST_SD;
        const wm_stage1 tried = seen_through(aids, stage1, exp(ln_contrast), swatches, count);
        const double likelihood = best_likelihood(&set) - prior * prior / 2;
        if (likelihood > most)
            most = likelihood, best = tried;
    }
    return best;
}

double wm_conditions_light(const wm_krige_set *set)
{
    double likelihood[LIGHT_STEPS + 1], most = -INFINITY, weights = 0, squares = 0;
    if (set->count < WM_CONDITIONS_LEAST)
        return LIGHT_SD;
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        wm_krige_set lit = *set;
        const double prior = i * LIGHT_STEP / LIGHT_SD;
        lit.light.sd = i * LIGHT_STEP;
        likelihood[i] = wm_krige_log_likelihood(&lit) - prior * prior / 2;
        most = fmax(most, likelihood[i]);
    }
    if (!isfinite(most))
        return LIGHT_SD;
    for (int i = 0; i <= LIGHT_STEPS; i++) {
        const double weight = exp(likelihood[i] - most), sd = i * LIGHT_STEP;
        weights += weight;
        squares += weight * sd * sd;
    }
    return sqrt(squares / weights);
}
