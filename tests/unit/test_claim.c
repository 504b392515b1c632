/* claim: the table of C24 (M4) and CV13 of C14. */
#include "support/near.h"

#include <math.h>

#include "measure/claim.h"

static void cv13_c14_differences(void **state)
{
    (void)state;
    near("CV13 same photo", wm_difference_u(WM_PAIR_SAME_PHOTO, 1.2), 0.913, 5e-4);
    near("CV13 two photos", wm_difference_u(WM_PAIR_TWO_PHOTOS, 1.2), 2.405, 5e-4);
    near("CV13 curves", wm_difference_u(WM_PAIR_TWO_CURVES, 1.2), 1.508, 5e-4);
}

static void c24_claims(void **state)
{
    (void)state;
    const struct {
        double u;
        wm_claim claim;
        const char *name;
        int shades;
    } rows[] = { { 0, WM_CLAIM_NAME, "name", 1 },
                 { 1.2499, WM_CLAIM_NAME, "name", 1 },
                 { 1.25, WM_CLAIM_RUNNER_UP, "runner_up", 2 },
                 { 1.7499, WM_CLAIM_RUNNER_UP, "runner_up", 2 },
                 { 1.75, WM_CLAIM_THREE, "three", 3 },
                 { 2.4999, WM_CLAIM_THREE, "three", 3 },
                 { 2.5, WM_CLAIM_FIVE, "five", 5 },
                 { 4, WM_CLAIM_FIVE, "five", 5 },
                 { 4.0001, WM_CLAIM_ROUGH, "rough", 0 },
                 { NAN, WM_CLAIM_ROUGH, "rough", 0 } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(wm_claim_of(rows[i].u), rows[i].claim);
        assert_string_equal(wm_claim_name(rows[i].claim), rows[i].name);
        assert_int_equal(wm_claim_shades(rows[i].claim), rows[i].shades);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(cv13_c14_differences), cmocka_unit_test(c24_claims) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
