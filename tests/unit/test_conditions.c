/* conditions (C16, C27). Expected values come from an independent implementation in numpy of the same maximum
 * likelihood, with the constants of the rule book. */
#include "support/near.h"

#include <math.h>

#include "measure/conditions.h"

/* Swatches of known colour through a camera whose contrast is `contrast` about mid-gray, with a card's gain of 1. */
static double contrast_found(double contrast)
{
    static const wm_lab IS[5] = { { 16, 3, 4 }, { 26, 6, 9 }, { 38, 8, 17 }, { 55, 7, 20 }, { 72, 3, 12 } };
    wm_seen_swatch swatches[5];
    wm_stage1 gain = wm_stage1_none();
    gain.kind = WM_STAGE1_GAIN;
    for (int i = 0; i < 5; i++) {
        const wm_rgb is = wm_lab_to_rgb(IS[i]);
        swatches[i] =
            (wm_seen_swatch){ .reference = IS[i],
                              .body = { 0.184 * pow(is.r / 0.184, contrast), 0.184 * pow(is.g / 0.184, contrast),
                                        0.184 * pow(is.b / 0.184, contrast) } };
    }
    return log(wm_conditions_stage1(&gain, WM_KRIGE_GRAY, swatches, 5).curve_g[0]);
}

/* C16: the prior holds the contrast back: of 0.372 and 0.405 the step at 0.35 is the most likely both times. A prior a
 * tenth narrower takes the step below for the first, one a tenth wider the step above for the second. */
static void c16_the_prior_holds_contrast_back(void **state)
{
    (void)state;
    near("1.45", contrast_found(1.45), -0.35, 1e-9);
    near("1.50", contrast_found(1.50), -0.35, 1e-9);
    near("0.60", contrast_found(0.60), 0.35, 1e-9);
    near("1.35", contrast_found(1.35), -0.30, 1e-9);
}

/* C27: three swatches whose light differs. */
static void c27_the_light_that_swatches_leave_possible(void **state)
{
    (void)state;
    const wm_krige_aid aids[3] = { { { 30, 6, 10 }, { 26, 6, 10 }, 0 },
                                   { { 45, 8, 16 }, { 46, 8, 16 }, 0 },
                                   { { 60, 5, 14 }, { 67, 5, 14 }, 0 } };
    const wm_point where[3] = { { 0, 0 }, { 0.6, 0 }, { 1.5, 0.5 } };
    wm_krige_set set = { .row = WM_KRIGE_GRAY, .aids = aids, .count = 3, .light = { .where = where } };
    near("three", wm_conditions_light(&set), 0.155218754, 1e-8);
    set.count = 2;
    near("too few", wm_conditions_light(&set), 0.15, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(c16_the_prior_holds_contrast_back),
                                        cmocka_unit_test(c27_the_light_that_swatches_leave_possible) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
