/* swatch_add: what becomes of a measurement in the catalogue. All shades, photos and numbers are invented. */
#include "consult/swatch_add.h"
#include "support/near.h"
#include "support/measured.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "match/shades.h"

static wm_swatch_reading reading(wm_lab lab, double u)
{
    return (wm_swatch_reading){ .code = "oat", .zones = 1, .colour = measured(lab, (wm_lab){ u, u, u }, u) };
}

static const wm_swatch_origin FIRST = { "a.jpg", "aaaaaaaa0000", WM_AIDS_TARGET, "2025-05-01", false };
static const wm_swatch_origin SECOND = { "b.jpg", "bbbbbbbb0000", WM_AIDS_TARGET, "2025-06-01", false };

static wm_swatch_put put(wm_catalogue *catalogue, wm_swatch_reading r, const wm_swatch_origin *origin)
{
    wm_swatch_put out;
    wm_error err = { 0 };
    if (wm_swatch_put_reading(&out, catalogue, &r, origin, &err))
        fail_msg("%s", err.text);
    return out;
}

static void a_first_measurement_is_a_new_row(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    assert_int_equal(put(&c, reading((wm_lab){ 50, 5, 15 }, 1.0), &FIRST).outcome, WM_SWATCH_NEW);
    const wm_swatch *row = wm_catalogue_find(&c, "oat");
    assert_non_null(row);
    near("L", row->lab.L, 50, 1e-9);
    near("u", row->u, 1.0, 0.01); /* kept with two decimals */
    assert_string_equal(row->measured, "2025-05-01");
    assert_non_null(strstr(row->source, "a.jpg"));
    wm_catalogue_free(&c);
}

/* Weights 1/u^2: of 50 (u 1) and 51 (u 2) the mean is (50 + 51 / 4) / 1.25 = 50.2. */
static void a_second_photo_is_averaged_by_its_uncertainty(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    put(&c, reading((wm_lab){ 50, 5, 15 }, 1.0), &FIRST);
    wm_swatch_put second = put(&c, reading((wm_lab){ 51, 5, 15 }, 2.0), &SECOND);
    assert_int_equal(second.outcome, WM_SWATCH_AVERAGED);
    near("mean L", second.lab.L, 50.2, 0.01);
    assert_true(second.u < 1.0); /* two say more than one */
    near("change", second.change_u, sqrt(5), 0.05);
    wm_catalogue_free(&c);
}

static void a_change_beyond_twice_its_uncertainty_is_drift(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    put(&c, reading((wm_lab){ 50, 5, 15 }, 0.5), &FIRST);
    wm_swatch_put second = put(&c, reading((wm_lab){ 56, 5, 15 }, 0.5), &SECOND);
    assert_int_equal(second.outcome, WM_SWATCH_DRIFTED);
    assert_true(second.change_de00 > 2 * second.change_u);
    assert_true(second.u > 2); /* the new u reaches to both */
    wm_catalogue_free(&c);
}

static void the_same_photo_counts_once(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    put(&c, reading((wm_lab){ 50, 5, 15 }, 1.0), &FIRST);
    assert_int_equal(put(&c, reading((wm_lab){ 50, 5, 15 }, 1.0), &FIRST).outcome, WM_SWATCH_SEEN);
    near("u as it was", wm_catalogue_find(&c, "oat")->u, 1.0, 0.01);
    wm_catalogue_free(&c);
}

static void replacing_takes_the_new_one_alone(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    wm_swatch_origin origin = SECOND;
    origin.replace = true;
    put(&c, reading((wm_lab){ 50, 5, 15 }, 0.5), &FIRST);
    assert_int_equal(put(&c, reading((wm_lab){ 56, 5, 15 }, 1.5), &origin).outcome, WM_SWATCH_REPLACED);
    near("L", wm_catalogue_find(&c, "oat")->lab.L, 56, 1e-9);
    wm_catalogue_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(a_first_measurement_is_a_new_row),
                                        cmocka_unit_test(a_second_photo_is_averaged_by_its_uncertainty),
                                        cmocka_unit_test(a_change_beyond_twice_its_uncertainty_is_drift),
                                        cmocka_unit_test(the_same_photo_counts_once),
                                        cmocka_unit_test(replacing_takes_the_new_one_alone) };
    return cmocka_run_group_tests_name("swatch_add", tests, NULL, NULL);
}
