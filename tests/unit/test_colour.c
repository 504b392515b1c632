/* colour: the check values of the calibration and blending rules, exact inverses, seams. */
#include "colour/colour.h"
#include "support/near.h"

#include <math.h>

static void near_lab(const char *name, wm_lab got, wm_lab want, double tolerance)
{
    near(name, got.L, want.L, tolerance);
    near(name, got.a, want.a, tolerance);
    near(name, got.b, want.b, tolerance);
}

/* Check values CV1 and CV2 of the calibration rules, printed there to 4 and 6 decimals. */
static void calibration_check_values(void **state)
{
    (void)state;
    near_lab("CV1 gray", wm_rgb_to_lab((wm_rgb){.184, .184, .184}), (wm_lab){49.9777, .0020, -.0142}, 6e-5);
    near_lab("CV1 brown", wm_rgb_to_lab((wm_rgb){.05, .03, .02}), (wm_lab){21.5219, 5.7181, 8.9154}, 6e-5);
    wm_rgb rgb = wm_lab_to_rgb((wm_lab){30, 6, 10});
    near("CV2 r", rgb.r, .088387, 6e-7);
    near("CV2 g", rgb.g, .056281, 6e-7);
    near("CV2 b", rgb.b, .038696, 6e-7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(calibration_check_values)};
    return cmocka_run_group_tests_name("colour", tests, NULL, NULL);
}
