/* populations (M22). Expected values: scipy.optimize.least_squares of the same residuals. Heads invented. */
#include "match/populations.h"
#include "support/near.h"

#include <math.h>
#include <string.h>

static const wm_lab SD = { 1.6, 0.83, 1.13 };
static const wm_cone USUAL = { { 0.38458648, 0.37195436, 0.31197632 } };

static wm_lab mixed(wm_lab base, double share)
{
    wm_cone c = wm_lab_to_cone(base);
    for (int i = 0; i < 3; i++)
        c.c[i] = (1 - share) * c.c[i] + share * USUAL.c[i];
    return wm_cone_to_lab(c);
}

static const wm_lab EXPECTED_SD = { 6, 1.5, 3.5 };

static wm_lab usual(void)
{
    return wm_cone_to_lab(USUAL);
}

/* What is expected is true, so that all is found as it was mixed, from far off, and a step more moves nothing. */
static void a_mixed_head_is_found_again(void **state)
{
    (void)state;
    const wm_lab own = { 50, 6, 19 };
    const wm_fit_zone zones[] = {
        { .pure = true, .body = own, .sd = SD },
        { .body = mixed(own, 0.6), .sd = SD, .share = 0.6, .share_sd = 0.3 },
        { .body = mixed(own, 0.3), .sd = SD, .share = 0, .of_grayest = 0.5, .share_sd = 0.2 },
    };
    const wm_fit_input in = { zones, 3, 1, usual(), EXPECTED_SD };
    wm_populations fit = { .base = { 40, 2, 5 }, .gray = { 60, 2, 5 }, .share = { 0, 0.2, 0.2 } };
    wm_populations_fit(&fit, &in, 1, WM_FIT_STEPS);
    near("L*", fit.base.L, own.L, 1e-6);
    near("a*", fit.base.a, own.a, 1e-6);
    near("b*", fit.base.b, own.b, 1e-6);
    near("temple", fit.share[1], 0.6, 1e-6);
    near("crown", fit.share[2], 0.3, 1e-6);
    near("gray", fit.gray.L, usual().L, 1e-5);
}

/* Nothing is expected of the gray: what the zones leave, or what they tell, it is. */
static void gray_is_what_the_zones_leave(void **state)
{
    (void)state;
    const wm_lab own = { 50, 6, 19 }, nothing = { 1e4, 1e4, 1e4 };
    wm_fit_zone zones[] = {
        { .pure = true, .body = own, .sd = SD },
        { .body = mixed(own, 0.6), .sd = SD, .share = 0.6, .share_sd = 0.001 },
    };
    const wm_fit_input in = { zones, 2, 2, { 60, 3, 3 }, nothing };
    wm_populations fit = { .base = own, .gray = { 60, 3, 3 }, .share = { 0, 0.5 } };
    wm_populations_fit(&fit, &in, 1, WM_FIT_STEPS);
    near("L*", fit.gray.L, usual().L, 1e-3);
    near("b*", fit.gray.b, usual().b, 1e-3);
    zones[1].has_gray = true;
    zones[1].gray = (wm_lab){ 80, 0, 0 };
    zones[1].gray_sd = (wm_lab){ 1e-3, 1e-3, 1e-3 };
    wm_populations_fit(&fit, &in, 1, WM_FIT_STEPS);
    near("told", fit.gray.L, 80, 1e-2);
}

/* The way from her own colour to her gray says how much gray there is where nothing else does. */
static void the_line_says_where_gray_lies(void **state)
{
    (void)state;
    const wm_lab own = { 50, 6, 19 }, sure = { 1e-3, 1e-3, 1e-3 }, dark = { 1e3, 1e-3, 1e-3 };
    const wm_cone body = wm_lab_to_cone(mixed(own, 0.4)), base = wm_lab_to_cone(own);
    wm_fit_zone zones[] = {
        { .pure = true, .body = own, .sd = { 1e3, 1e3, 1e3 } },
        { .body = mixed(own, 0.4),
          .sd = sure,
          .share = 0.4,
          .share_sd = 1e-4,
          .has_base = true,
          .base = own,
          .base_sd = { 1e3, 1e-2, 1e-2 } },
    };
    const double green = (USUAL.c[1] - base.c[1]) / body.c[1], blue = (USUAL.c[2] - base.c[2]) / body.c[2];
    zones[1].line_rad = atan2(blue - green, green);
    zones[1].line_sd = 1e-3;
    const wm_fit_input in = { zones, 2, 2, usual(), dark };
    wm_populations fit = { .base = { 48, 6, 19 }, .gray = { 64, usual().a, usual().b }, .share = { 0, 0.4 } };
    wm_populations_fit(&fit, &in, 1, 2 * WM_FIT_STEPS);
    near("gray", fit.gray.L, usual().L, 0.05);
    near("own", fit.base.L, own.L, 0.05);
}

/* Held from both sides: a body of gray alone has 0.97 of it, no more; one darker than her own colour has none. */
static void shares_stay_within_what_leaves_a_base(void **state)
{
    (void)state;
    const wm_lab own = { 30, 6, 11 };
    wm_fit_zone zones[] = {
        { .pure = true, .body = own, .sd = SD },
        { .body = mixed(own, 1), .sd = SD, .share = 1, .share_sd = 0.1 },
    };
    const wm_fit_input in = { zones, 2, 2, usual(), { 0.1, 0.1, 0.1 } };
    wm_populations fit = { .base = own, .gray = usual(), .share = { 0, 0.5 } };
    wm_populations_fit(&fit, &in, 1, WM_FIT_STEPS);
    near("all gray", fit.share[1], 0.97, 1e-12);
    zones[1].body = (wm_lab){ 20, 4, 8 };
    zones[1].share = 0.1;
    wm_populations_fit(&fit, &in, 1, WM_FIT_STEPS);
    near("darker", fit.share[1], 0, 1e-12);
}

/* A body of gray alone tells nothing of what is beneath: the fit stays where it stands. */
static void what_nothing_tells_stays(void **state)
{
    (void)state;
    const wm_fit_zone zones[] = { { .body = mixed((wm_lab){ 30, 6, 11 }, 1), .sd = SD, .share = 1, .share_sd = 0.1 } };
    const wm_fit_input in = { zones, 1, 1, usual(), EXPECTED_SD };
    wm_populations fit = { .base = { 30, 6, 11 }, .gray = usual(), .share = { 1 } };
    wm_populations_fit(&fit, &in, 1, WM_FIT_STEPS);
    near("L*", fit.base.L, 30, 1e-12);
    near("share", fit.share[0], 1, 1e-12);
}

/* Each of many fits, one of which nothing is told and which stays, is to the bit what it is alone. */
static void side_by_side_each_is_as_alone(void **state)
{
    (void)state;
    enum { MANY = WM_FIT_LANES + 2, NOTHING = 2 };
    wm_fit_zone zones[MANY][2];
    wm_fit_input ins[MANY];
    wm_populations fits[MANY], alone;
    for (int k = 0; k < MANY; k++) {
        const double share = k == NOTHING ? 1 : 0.15 * k;
        for (int i = 0; i < 2; i++)
            zones[k][i] =
                (wm_fit_zone){ .body = mixed((wm_lab){ 30 + 3 * k, 6, 11 }, k == NOTHING ? 1 : share / (1 + i)),
                               .sd = SD,
                               .share = share,
                               .of_grayest = i ? 0.5 : 0,
                               .share_sd = 0.1,
                               .line_rad = -0.4 - 0.1 * k };
        ins[k] = (wm_fit_input){ zones[k], 2, 0, usual(), EXPECTED_SD };
        fits[k] = (wm_populations){ .base = { 30, 6, 11 }, .gray = usual(), .share = { k == NOTHING, k == NOTHING } };
    }
    for (int lines = 0; lines < 2; lines++) {
        wm_populations many[MANY];
        memcpy(many, fits, sizeof many);
        for (int k = 0; k < MANY; k++)
            zones[k][1].line_sd = lines ? 0.2 : 0;
        wm_populations_fit(many, ins, MANY, WM_FIT_STEPS);
        for (int k = 0; k < MANY; k++) {
            alone = fits[k];
            wm_populations_fit(&alone, &ins[k], 1, WM_FIT_STEPS);
            assert_memory_equal(&many[k], &alone, sizeof alone);
            assert_int_equal(!memcmp(&alone, &fits[k], sizeof alone), k == NOTHING);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mixed_head_is_found_again),   cmocka_unit_test(gray_is_what_the_zones_leave),
        cmocka_unit_test(the_line_says_where_gray_lies), cmocka_unit_test(shares_stay_within_what_leaves_a_base),
        cmocka_unit_test(what_nothing_tells_stays),      cmocka_unit_test(side_by_side_each_is_as_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
