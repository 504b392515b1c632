/* White points against reference/white_points.csv, and the spectral tables that the scene renderer uses against the
 * same whites: sums of cie1931_2deg_5nm.csv over daylight made of daylight_components_5nm.csv with the factors of
 * daylight_locus.csv. */
#include "colour/colour.h"
#include "support/constant.h"
#include "support/near.h"
#include "support/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static wm_xyz published(const table *t, size_t row, const char *suffix)
{
    char x[20], y[20], z[20];
    snprintf(x, sizeof x, "X_%s", suffix);
    snprintf(y, sizeof y, "Y_%s", suffix);
    snprintf(z, sizeof z, "Z_%s", suffix);
    return (wm_xyz){ table_number(t, row, x) / 100, table_number(t, row, y) / 100, table_number(t, row, z) / 100 };
}

static void near_xyz(const char *name, wm_xyz got, wm_xyz want, double tolerance)
{
    near(name, got.X, want.X, tolerance);
    near(name, got.Y, want.Y, tolerance);
    near(name, got.Z, want.Z, tolerance);
}

/* As published by the CIE to two decimals; the sums at 5 nm agree to the half unit. */
static void named_whites_are_the_published_ones(void **state)
{
    (void)state;
    table *t = table_open("white_points.csv");
    size_t seen = 0;
    for (size_t i = 0; i < table_rows(t); i++) {
        const char *name = table_text(t, i, "illuminant");
        wm_xyz white;
        if (strcmp(table_text(t, i, "observer_deg"), "2") != 0 || !*table_text(t, i, "X_cie") ||
            strcmp(name, "D50") == 0)
            continue;
        assert_true(wm_white_point(name, &white));
        near_xyz(name, white, published(t, i, "cie"), 1e-15);
        near_xyz(name, white, published(t, i, "sum5nm"),
                 strcmp(name, "E") == 0 ? 4e-4 : 5.1e-5); /* E is exact, its sums are not */
        double sum = white.X + white.Y + white.Z;
        near(name, white.X / sum, table_number(t, i, "x_cie"), 2e-5);
        near(name, white.Y / sum, table_number(t, i, "y_cie"), 2e-5);
        seen++;
    }
    assert_int_equal(seen, 6);
    table_free(t);
}

static void there_is_one_d50(void **state)
{
    (void)state;
    table *constants = table_open("constants.csv");
    wm_xyz white, icc = { constant(constants, "icc_pcs_d50", "X"), constant(constants, "icc_pcs_d50", "Y"),
                          constant(constants, "icc_pcs_d50", "Z") };
    assert_true(wm_white_point("D50", &white));
    near_xyz("named D50", white, WM_D50, 0);
    near_xyz("ICC D50", WM_D50, icc, 0);
    table_free(constants);
}

static void unknown_names_are_refused(void **state)
{
    (void)state;
    wm_xyz white = { 7, 7, 7 };
    const char *const bad[] = { "", "d65", "D60", "F2", "LED-B3" };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_false(wm_white_point(bad[i], &white));
    near_xyz("untouched", white, (wm_xyz){ 7, 7, 7 }, 0);
}

/* ---- spectra ---- */

typedef struct spectra {
    table *observer, *daylight;
} spectra;

static double daylight_at(const spectra *s, const char *nm, double m1, double m2)
{
    for (size_t i = 0; i < table_rows(s->daylight); i++)
        if (strcmp(table_text(s->daylight, i, "wavelength_nm"), nm) == 0)
            return table_number(s->daylight, i, "S0") + m1 * table_number(s->daylight, i, "S1") +
                   m2 * table_number(s->daylight, i, "S2");
    fail_msg("no daylight at %s nm", nm);
    return 0;
}

/* Sums from 380 to 780 nm, Y = 1. */
static wm_xyz white_of_daylight(const spectra *s, double m1, double m2)
{
    wm_xyz sum = { 0, 0, 0 };
    for (size_t i = 0; i < table_rows(s->observer); i++) {
        double nm = table_number(s->observer, i, "wavelength_nm");
        if (nm < 380 || nm > 780)
            continue;
        double power = daylight_at(s, table_text(s->observer, i, "wavelength_nm"), m1, m2);
        sum.X += power * table_number(s->observer, i, "xbar");
        sum.Y += power * table_number(s->observer, i, "ybar");
        sum.Z += power * table_number(s->observer, i, "zbar");
    }
    return (wm_xyz){ sum.X / sum.Y, 1, sum.Z / sum.Y };
}

/* Factors to three decimals, as CIE 015:2018 asks; D50 and D65 in print are tables rounded before the sum, hence 2e-6
 * more. */
static void daylight_sums_to_its_white(void **state)
{
    (void)state;
    spectra s = { table_open("cie1931_2deg_5nm.csv"), table_open("daylight_components_5nm.csv") };
    table *locus = table_open("daylight_locus.csv"), *whites = table_open("white_points.csv");
    size_t seen = 0;
    worst_reset();
    for (size_t i = 0; i < table_rows(locus); i++) {
        const char *name = table_text(locus, i, "nominal");
        if (!*name)
            continue;
        double m1 = round(table_number(locus, i, "M1") * 1000) / 1000,
               m2 = round(table_number(locus, i, "M2") * 1000) / 1000;
        for (size_t k = 0; k < table_rows(whites); k++) {
            if (strcmp(table_text(whites, k, "illuminant"), name) != 0 ||
                strcmp(table_text(whites, k, "observer_deg"), "2") != 0)
                continue;
            near_xyz(name, white_of_daylight(&s, m1, m2), published(whites, k, "sum5nm"), 2e-6);
            seen++;
        }
    }
    worst_print("daylight summed");
    assert_int_equal(seen, 4);
    table_free(whites);
    table_free(locus);
    table_free(s.daylight);
    table_free(s.observer);
}

/* The locus itself by the formulas whose factors constants.csv gives; M1 and M2 by the published closed form. */
static void daylight_locus_follows_its_formulas(void **state)
{
    (void)state;
    table *locus = table_open("daylight_locus.csv"), *c = table_open("constants.csv");
    worst_reset();
    for (size_t i = 0; i < table_rows(locus); i++) {
        double t = table_number(locus, i, "T_K");
        char name[40], term[4][8];
        snprintf(name, sizeof name, "%g K", t);
        for (int k = 0; k < 4; k++)
            snprintf(term[k], sizeof term[k], "%s_T%d", t <= constant(c, "daylight", "split_K") ? "lo" : "hi", k);
        double x = ((constant(c, "daylight", term[3]) / t + constant(c, "daylight", term[2])) / t +
                    constant(c, "daylight", term[1])) /
                       t +
                   constant(c, "daylight", term[0]);
        double y = (constant(c, "daylight", "y_x2") * x + constant(c, "daylight", "y_x1")) * x +
                   constant(c, "daylight", "y_x0");
        near(name, table_number(locus, i, "x_D"), x, 6e-9);
        near(name, table_number(locus, i, "y_D"), y, 6e-9);
        double m = 0.0241 + 0.2562 * x - 0.7341 * y;
        near(name, table_number(locus, i, "M1"), (-1.3515 - 1.7703 * x + 5.9114 * y) / m, 1e-6);
        near(name, table_number(locus, i, "M2"), (0.0300 - 31.4424 * x + 30.0717 * y) / m, 1e-6);
    }
    worst_print("daylight_locus.csv");
    table_free(c);
    table_free(locus);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(named_whites_are_the_published_ones),
                                        cmocka_unit_test(there_is_one_d50), cmocka_unit_test(unknown_names_are_refused),
                                        cmocka_unit_test(daylight_sums_to_its_white),
                                        cmocka_unit_test(daylight_locus_follows_its_formulas) };
    return cmocka_run_group_tests_name("white_points", tests, NULL, NULL);
}
