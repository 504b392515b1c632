/* conditions (C16, C27). Expected values come from an independent implementation in numpy of the same likelihoods, with
 * the constants of the rule book. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>

#include "measure/conditions.h"

/* Swatches of known colour through a camera whose contrast is `contrast` about mid-gray, with a card's gain of 1. */
static double contrast_found(double contrast, double *sd)
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
    return log(wm_conditions_stage1(&gain, WM_KRIGE_GRAY, swatches, 5, sd).curve_g[0]);
}

/* C16: the prior holds contrast back, kriging takes the rest. Its sd a tenth off moves the first by 0.020 or 0.017. Of
 * what is seen through no contrast next to none is found: a likelihood of corrected colours, and not of what was seen,
 * gives -0.033 here and -0.234 for 1.35. */
static void c16_the_prior_holds_contrast_back(void **state)
{
    (void)state;
    double sd;
    near("1.50", contrast_found(1.50, &sd), -0.263178156,
         2e-5); /* its matrices are those of colour.h to seven digits */
    near("1.35", contrast_found(1.35, &sd), -0.195186739, 2e-5);
    near("1.00", contrast_found(1.00, &sd), 0.003747464, 2e-5);
    near("0.70", contrast_found(0.70, &sd), 0.246982676, 2e-5);
}

/* C16: swatches of all levels tell the contrast, those of one leave the prior's 0.15 as it is. */
static void c16_what_the_swatches_leave_possible(void **state)
{
    (void)state;
    double sd;
    contrast_found(1.00, &sd);
    printf("# contrast sd by swatches of all levels %.3f\n", sd);
    assert_true(sd > 0.02 && sd < 0.12);
    wm_seen_swatch alike[3];
    wm_stage1 gain = wm_stage1_none();
    gain.kind = WM_STAGE1_EXPOSURE;
    for (int i = 0; i < 3; i++)
        alike[i] = (wm_seen_swatch){ .reference = { 40, 6, 10 + i }, .body = wm_lab_to_rgb((wm_lab){ 40, 6, 10 + i }) };
    wm_conditions_stage1(&gain, WM_KRIGE_SWATCH, alike, 3, &sd);
    near("of one level", sd, 0.15, 0.01);
    wm_conditions_stage1(&gain, WM_KRIGE_SWATCH, alike, 2, &sd);
    near("too few", sd, 0, 0);
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

/* C27: zones that are alike stand in one light, zones that differ perhaps not. Expected by numpy, the likelihood over
 * the same steps of the light; 0.06 a tenth off moves the first by 0.003, 0.36 the second by 0.012, a fifth by 0.003.
 */
static void c27_the_light_that_zones_leave_possible(void **state)
{
    (void)state;
    const wm_lab alike[] = { { 28, 6, 10 }, { 30, 7, 11 }, { 31, 6, 12 }, { 29, 6, 10 } },
                 apart[] = { { 20, 6, 10 }, { 30, 7, 11 }, { 40, 6, 12 }, { 25, 6, 10 } };
    near("alike", wm_conditions_light_of_zones(alike, 4), 0.096748, 1e-5);
    near("apart", wm_conditions_light_of_zones(apart, 4), 0.191981, 1e-5);
    near("too few", wm_conditions_light_of_zones(alike, 1), 0.15, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(c16_the_prior_holds_contrast_back),
                                        cmocka_unit_test(c16_what_the_swatches_leave_possible),
                                        cmocka_unit_test(c27_the_light_that_swatches_leave_possible),
                                        cmocka_unit_test(c27_the_light_that_zones_leave_possible) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
