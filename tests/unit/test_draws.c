/* draws (M21). Expected values: check values DV1, from an independent implementation in Python; the quantiles also
 * against the printed tables of the normal distribution (Abramowitz and Stegun, table 26.1). */
#include "match/draws.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

static void the_parts_are_those_of_the_check_values(void **state)
{
    (void)state;
    assert_true(wm_draws__hash("zones:L") == UINT64_C(0x9f6312d034add6da));
    uint64_t splitmix = 0;
    assert_true(wm_draws__next(&splitmix) == UINT64_C(0xe220a8397b1dcdaf));
    near("first", wm_draws__quantile(0.5 / 64), -2.4176, 5e-5);
    near("second", wm_draws__quantile(1.5 / 64), -1.9874, 5e-5);
    near("32nd", wm_draws__quantile(31.5 / 64), -0.0196, 5e-5);
    double z[WM_DRAW_ROWS];
    wm_draws_of(z, "zones:L");
    near("as measured", z[0], 0, 0);
    near("row 1", z[1], 1.1132, 5e-5);
    near("row 2", z[2], -0.0588, 5e-5);
    near("row 3", z[3], -2.4176, 5e-5);
    near("row 4", z[4], -0.8585, 5e-5);
}

static void quantiles_are_those_of_the_tables(void **state)
{
    (void)state;
    near("2.5 %", wm_draws__quantile(0.025), -1.959963985, 5e-9);
    near("97.5 %", wm_draws__quantile(0.975), 1.959963985, 5e-9);
    near("0.1 %", wm_draws__quantile(0.001), -3.090232306, 1e-8);
    near("half", wm_draws__quantile(0.5), 0, 1e-15);
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

/* 64 of them, each quantile once, whatever the key. */
static void every_key_has_the_same_draws_in_its_own_order(void **state)
{
    (void)state;
    double a[WM_DRAW_ROWS], b[WM_DRAW_ROWS];
    int moved = 0;
    assert_int_equal(WM_DRAWS, 64);
    wm_draws_of(a, "swatch:loam:L");
    wm_draws_of(b, "swatch:loam:a");
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        moved += a[k] < b[k] || a[k] > b[k];
    assert_true(moved > 50);
    near("mean", wm_draws_mean(a), 0, 1e-15);
    qsort(a + 1, WM_DRAWS, sizeof *a, compare);
    qsort(b + 1, WM_DRAWS, sizeof *b, compare);
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        near("the same", a[k], b[k], 0);
        near("in the middle of equal parts", wm_draws__quantile((k - 0.5) / 64), a[k], 1e-15);
    }
}

static void a_colour_has_three_keys(void **state)
{
    (void)state;
    wm_lab lab[WM_DRAW_ROWS];
    double b[WM_DRAW_ROWS];
    wm_draws_of_lab(lab, "zones");
    wm_draws_of(b, "zones:b");
    near("L", lab[1].L, 1.1132, 5e-5);
    for (int k = 0; k < WM_DRAW_ROWS; k++)
        near("b", lab[k].b, b[k], 0);
}

static void mean_and_share_leave_out_what_was_measured(void **state)
{
    (void)state;
    double values[WM_DRAW_ROWS] = { 1000 };
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        values[k] = k;
    near("mean of 1 to 64", wm_draws_mean(values), 32.5, 1e-12);
    near("16 of them", wm_draws_within(values, 16), 0.25, 0);
    near("15 of them", wm_draws_within(values, 15.999), 0.234375, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_parts_are_those_of_the_check_values),
        cmocka_unit_test(quantiles_are_those_of_the_tables),
        cmocka_unit_test(every_key_has_the_same_draws_in_its_own_order),
        cmocka_unit_test(a_colour_has_three_keys),
        cmocka_unit_test(mean_and_share_leave_out_what_was_measured),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
