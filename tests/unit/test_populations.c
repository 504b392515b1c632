/* populations (M22). Expected values: scipy.optimize.least_squares of the same residuals. Heads invented. */
#include "match/populations.h"
#include "support/near.h"

#include <math.h>

static const wm_lab SD = { 1.6, 0.83, 1.13 };
static const wm_cone USUAL = { { 0.38458648, 0.37195436, 0.31197632 } };

static wm_lab mixed(wm_lab base, double share)
{
    wm_cone c = wm_lab_to_cone(base);
    for (int i = 0; i < 3; i++)
        c.c[i] = (1 - share) * c.c[i] + share * USUAL.c[i];
    return wm_cone_to_lab(c);
}

/* What is expected is true, so that all is found as it was mixed, from far off, and a step more moves nothing. */
static void a_mixed_head_is_found_again(void **state)
{
    (void)state;
    const wm_lab own = { 50, 6, 19 };
    const wm_fit_zone zones[] = {
        { .counted = true, .body = own, .sd = SD },
        { .body = mixed(own, 0.6), .sd = SD, .share = 0.6, .share_sd = 0.3 },
        { .body = mixed(own, 0.3), .sd = SD, .share = 0, .of_grayest = 0.5, .share_sd = 0.2 },
    };
    const wm_fit_input in = { zones, 3, 1, USUAL };
    wm_populations fit = { .base = { 40, 2, 5 }, .share = { 0, 0.2, 0.2 } };
    wm_populations_fit(&fit, &in, 2 * WM_FIT_STEPS);
    near("L*", fit.base.L, own.L, 1e-6);
    near("a*", fit.base.a, own.a, 1e-6);
    near("b*", fit.base.b, own.b, 1e-6);
    near("temple", fit.share[1], 0.6, 1e-6);
    near("crown", fit.share[2], 0.3, 1e-6);
}

/* Held from both sides: a body of gray alone has 0.97 of it, no more; one darker than her own colour has none. */
static void shares_stay_within_what_leaves_a_base(void **state)
{
    (void)state;
    const wm_lab own = { 30, 6, 11 };
    wm_fit_zone zones[] = {
        { .counted = true, .body = own, .sd = SD },
        { .body = mixed(own, 1), .sd = SD, .share = 1, .share_sd = 0.3 },
    };
    const wm_fit_input in = { zones, 2, 2, USUAL };
    wm_populations fit = { .base = own, .share = { 0, 0.5 } };
    wm_populations_fit(&fit, &in, WM_FIT_STEPS);
    near("all gray", fit.share[1], 0.97, 1e-12);
    zones[1].body = (wm_lab){ 20, 4, 8 };
    zones[1].share = 0.1;
    wm_populations_fit(&fit, &in, WM_FIT_STEPS);
    near("darker", fit.share[1], 0, 1e-12);
}

/* A body of gray alone tells nothing of what is beneath: the fit stays where it stands. */
static void what_nothing_tells_stays(void **state)
{
    (void)state;
    const wm_fit_zone zones[] = { { .body = mixed((wm_lab){ 30, 6, 11 }, 1), .sd = SD, .share = 1, .share_sd = 0.1 } };
    const wm_fit_input in = { zones, 1, 1, USUAL };
    wm_populations fit = { .base = { 30, 6, 11 }, .share = { 1 } };
    wm_populations_fit(&fit, &in, WM_FIT_STEPS);
    near("L*", fit.base.L, 30, 1e-12);
    near("share", fit.share[0], 1, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mixed_head_is_found_again),
        cmocka_unit_test(shares_stay_within_what_leaves_a_base),
        cmocka_unit_test(what_nothing_tells_stays),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
