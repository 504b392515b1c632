/* Constants that the code holds, seen from outside, against reference/constants.csv. */
#include "colour/colour.h"
#include "match/rank.h"
#include "support/constant.h"
#include "support/near.h"
#include "support/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static table *constants;

static int open_table(void **state)
{
    (void)state;
    constants = table_open("constants.csv");
    return 0;
}

static int close_table(void **state)
{
    (void)state;
    table_free(constants);
    return 0;
}

static void srgb_curve(void **state)
{
    (void)state;
    double encoded = constant(constants, "srgb", "encoded_break"), linear = constant(constants, "srgb", "linear_break");
    double slope = constant(constants, "srgb", "linear_slope"), offset = constant(constants, "srgb", "offset");
    double scale = constant(constants, "srgb", "scale"), gamma = constant(constants, "srgb", "gamma");
    near("decode at the break", wm_srgb_decode(encoded), encoded / slope, 0);
    near("encode at the break", wm_srgb_encode(linear), linear * slope, 0);
    near("decode above", wm_srgb_decode(encoded + 1e-9), pow((encoded + 1e-9 + offset) / scale, gamma), 1e-16);
    near("encode above", wm_srgb_encode(linear + 1e-9), scale * pow(linear + 1e-9, 1 / gamma) - offset, 1e-16);
    near("decode 0.5", wm_srgb_decode(.5), pow((.5 + offset) / scale, gamma), 1e-16);
}

static void cielab(void **state)
{
    (void)state;
    double epsilon = constant(constants, "cielab", "epsilon"), kappa = constant(constants, "cielab", "kappa");
    near("epsilon", epsilon, 216.0 / 24389.0, 1e-15);
    near("kappa", kappa, 24389.0 / 27.0, 1e-12);
    near("L at the join", wm_xyz_to_lab((wm_xyz){ 0, epsilon, 0 }, WM_D50).L,
         constant(constants, "cielab", "L_at_join"), 1e-12);
    near("L below", wm_xyz_to_lab((wm_xyz){ 0, epsilon / 2, 0 }, WM_D50).L, kappa * epsilon / 2, 1e-12);
    near("largest a", wm_xyz_to_lab((wm_xyz){ WM_D50.X, 0, 0 }, WM_D50).a, constant(constants, "cielab", "a_limit"),
         1e-9);
    near("largest b", wm_xyz_to_lab((wm_xyz){ 0, 1, 0 }, WM_D50).b, constant(constants, "cielab", "b_limit"), 1e-9);
}

/* Unit vectors through the adaptation give the columns of its matrix, printed to 10 digits; the cone matrix is the
 * whole of Bradford. */
static void bradford(void **state)
{
    (void)state;
    double x = constant(constants, "srgb", "white_x"), y = constant(constants, "srgb", "white_y");
    wm_xyz d65 = { x / y, 1, (1 - x - y) / y };
    for (int column = 0; column < 3; column++) {
        wm_xyz out = wm_bradford_adapt((wm_xyz){ column == 0, column == 1, column == 2 }, d65, WM_D50);
        near("row 1", out.X, constant_element(constants, "bradford", "d65_to_d50", 0, column), 1e-10);
        near("row 2", out.Y, constant_element(constants, "bradford", "d65_to_d50", 1, column), 1e-10);
        near("row 3", out.Z, constant_element(constants, "bradford", "d65_to_d50", 2, column), 1e-10);
    }
}

/* B1: the cones of a colour are the cone matrix times its XYZ, relative to those of white. */
static void cones(void **state)
{
    (void)state;
    wm_xyz xyz = { .31, .27, .08 };
    wm_cone cone = wm_lab_to_cone(wm_xyz_to_lab(xyz, WM_D50));
    for (int i = 0; i < 3; i++) {
        double m[3];
        for (int k = 0; k < 3; k++)
            m[k] = constant_element(constants, "bradford", "cone", i, k);
        double white = m[0] * WM_D50.X + m[1] * WM_D50.Y + m[2] * WM_D50.Z;
        near("cone", cone.c[i], (m[0] * xyz.X + m[1] * xyz.Y + m[2] * xyz.Z) / white, 1e-15);
    }
}

/* Matrix M of the calibration rules is a rounding of the exact one to another rounding of D50: 3e-4 at most. */
static void working_space(void **state)
{
    (void)state;
    worst_reset();
    for (int column = 0; column < 3; column++) {
        wm_xyz out = wm_rgb_to_xyz((wm_rgb){ column == 0, column == 1, column == 2 });
        near("row 1", out.X, constant_element(constants, "srgb", "rgb_to_xyzD50_icc", 0, column), 3e-4);
        near("row 2", out.Y, constant_element(constants, "srgb", "rgb_to_xyzD50_icc", 1, column), 3e-4);
        near("row 3", out.Z, constant_element(constants, "srgb", "rgb_to_xyzD50_icc", 2, column), 3e-4);
    }
    worst_print("matrix M against the exact one");
}

static void icc_white(void **state)
{
    (void)state;
    near("X", round(WM_D50.X * 65536), constant(constants, "icc_pcs_d50", "X_s15Fixed16"), 0);
    near("Y", round(WM_D50.Y * 65536), constant(constants, "icc_pcs_d50", "Y_s15Fixed16"), 0);
    near("Z", round(WM_D50.Z * 65536), constant(constants, "icc_pcs_d50", "Z_s15Fixed16"), 0);
}

/* M3: the limit of `match` is the acceptability threshold of dentistry (an analogy, not hair), the others are its
 * multiples. */
static void verdicts(void **state)
{
    (void)state;
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    table *thresholds = table_open("difference_thresholds.csv");
    size_t seen = 0;
    for (size_t i = 0; i < table_rows(thresholds); i++) {
        if (strcmp(table_text(thresholds, i, "name"), "dental_acceptability") != 0 ||
            strcmp(table_text(thresholds, i, "formula"), "CIEDE2000") != 0)
            continue;
        near("match", limits.match, table_number(thresholds, i, "value"), 0);
        seen++;
    }
    assert_int_equal(seen, 1);
    near("close", limits.close, 2 * limits.match, 0);
    near("visible", limits.visible, 4 * limits.match, 0);
    table_free(thresholds);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(srgb_curve),    cmocka_unit_test(cielab),
                                        cmocka_unit_test(bradford),      cmocka_unit_test(cones),
                                        cmocka_unit_test(working_space), cmocka_unit_test(icc_white),
                                        cmocka_unit_test(verdicts) };
    return cmocka_run_group_tests_name("constants", tests, open_table, close_table);
}
