/* length: one way in, one way out, in centimetres and inches (1 in is 2.54 cm, exact by definition). */
#include "plan/length.h"
#include "support/near.h"

#include <math.h>
#include <string.h>

static double parsed(const char *text, wm_units units)
{
    wm_error err = { 0 };
    double cm = -7;
    assert_int_equal(wm_length_parse(&cm, text, units, &err), WM_OK);
    return cm;
}

static void takes_the_setting_or_the_own_suffix(void **state)
{
    (void)state;
    near("29 in cm", parsed("29", WM_UNITS_CM), 29, 0);
    near("29cm", parsed("29cm", WM_UNITS_IN), 29, 0);
    near("29 cm", parsed("29 cm", WM_UNITS_IN), 29, 0);
    near("10 in inches", parsed("10", WM_UNITS_IN), 25.4, 1e-12);
    near("11.5in", parsed("11.5in", WM_UNITS_CM), 29.21, 1e-12);
    near("29,5", parsed("29,5", WM_UNITS_CM), 29.5, 1e-12); /* as it is said where the comma is the point */
    near("290mm", parsed("290mm", WM_UNITS_IN), 29, 1e-12);
    near("11\"", parsed("11\"", WM_UNITS_CM), 27.94, 1e-12);
    near("11,5 in", parsed("11,5 in", WM_UNITS_CM), 29.21, 1e-12);
    near("200", parsed("200", WM_UNITS_CM), 200, 0);
}

static void refuses_what_is_no_length(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "",  "cm", "in",  "x",    "29m",      "29,", "nan",   "inf",  "1e999",
        "0", "-3", "201", "79in", "29 cm cm", " 29", "29cmx", "0x10", "1111111111111111111111111111111111111111111"
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        wm_error err = { 0 };
        double cm = -7;
        assert_int_equal(wm_length_parse(&cm, bad[i], WM_UNITS_CM, &err), WM_E_USAGE);
        near("untouched", cm, -7, 0);
        assert_non_null(strstr(err.text, "; give"));
        assert_null(strchr(err.text, '\n'));
    }
    double cm = 0;
    assert_int_equal(wm_length_parse(&cm, NULL, WM_UNITS_CM, NULL), WM_E_USAGE);
}

static void is_shown_in_either_unit(void **state)
{
    (void)state;
    char out[WM_LENGTH_SIZE];
    assert_string_equal(wm_length_text(out, 24.0, WM_UNITS_CM, 1), "24.0 cm");
    assert_string_equal(wm_length_text(out, 24.0, WM_UNITS_IN, 1), "9.4 in");
    assert_string_equal(wm_length_text(out, (double)NAN, WM_UNITS_CM, 1), "? cm");
    assert_string_equal(wm_length_range(out, (const double[2]){ 216, 264 }, WM_UNITS_CM, 0), "216 to 264 cm");
    assert_string_equal(wm_length_range(out, (const double[2]){ 1.37988, 1.72485 }, WM_UNITS_CM, 2), "1.38 to 1.72 cm");
    wm_units units = WM_UNITS_CM;
    assert_true(wm_units_parse("in", &units) && units == WM_UNITS_IN);
    assert_false(wm_units_parse("inch", &units) || wm_units_parse(NULL, &units));
    assert_string_equal(wm_units_name(WM_UNITS_CM), "cm");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_the_setting_or_the_own_suffix),
        cmocka_unit_test(refuses_what_is_no_length),
        cmocka_unit_test(is_shown_in_either_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
