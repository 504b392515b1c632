/* Several measured colours as one. */
#include "support/measured.h"
#include "support/near.h"

#include <math.h>

static void m6_mean_in_linear_light(void **state)
{
    (void)state;
    const wm_lab dark = { 25, 5, 8 }, light = { 70, 1, 6 };
    wm_measured two[] = { measured(dark, (wm_lab){ 3, 1, 2 }, 3), measured(light, (wm_lab){ 4, 1, 2 }, 4) };
    two[0].pixels = 100, two[0].kept = 90;
    two[1].pixels = 50, two[1].kept = 40;
    wm_measured mean = wm_measured_mean(two, NULL, 2);
    const wm_rgb a = wm_lab_to_rgb(dark), b = wm_lab_to_rgb(light), got = wm_lab_to_rgb(mean.lab);
    near("red light", got.r, (a.r + b.r) / 2, 1e-12);
    near("blue light", got.b, (a.b + b.b) / 2, 1e-12);
    near("sigma L", mean.sigma.L, sqrt(12.5), 1e-12);
    near("u", mean.u_de00, sqrt(12.5), 1e-12); /* between 3 and 4: the error is shared, no averaging helps */
    assert_int_equal(mean.claim, WM_CLAIM_FIVE);
    assert_int_equal(mean.pixels, 150);
    assert_int_equal(mean.kept, 130);
    const double weights[] = { 3, 1 };
    mean = wm_measured_mean(two, weights, 2);
    near("weighted green", wm_lab_to_rgb(mean.lab).g, 0.75 * a.g + 0.25 * b.g, 1e-12);
    near("weighted u", mean.u_de00, sqrt(0.75 * 9 + 0.25 * 16), 1e-12);
    mean = wm_measured_mean(two, NULL, 1);
    near("one colour is itself", wm_lab_to_rgb(mean.lab).r, a.r, 1e-12);
    near("with its u", mean.u_de00, 3, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(m6_mean_in_linear_light) };
    return cmocka_run_group_tests_name("measured", tests, NULL, NULL);
}
