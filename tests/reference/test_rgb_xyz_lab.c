/* 8-bit sRGB and Display P3 colours to XYZ and Lab against reference/rgb_xyz_lab.csv. The matrices to XYZ under D65 are
 * those of constants.csv: the library leaves primaries to LittleCMS (tests/photo) and has the curve, Bradford and
 * CIELAB itself. */
#include "colour/colour.h"
#include "support/constant.h"
#include "support/near.h"
#include "support/table.h"

#include <stdio.h>
#include <string.h>

static table *colours, *constants;

static int open_tables(void **state)
{
    (void)state;
    colours = table_open("rgb_xyz_lab.csv");
    constants = table_open("constants.csv");
    return 0;
}

static int close_tables(void **state)
{
    (void)state;
    table_free(colours);
    table_free(constants);
    return 0;
}

static bool is_srgb(size_t row)
{
    return strcmp(table_text(colours, row, "space"), "srgb") == 0;
}

static const char *name_of(size_t row)
{
    static char name[120];
    snprintf(name, sizeof name, "%s %s (%s)", table_text(colours, row, "space"), table_text(colours, row, "id"),
             table_text(colours, row, "note"));
    return name;
}

static wm_rgb linear_of(size_t row)
{
    return (wm_rgb){ wm_srgb_decode(table_number(colours, row, "R") / 255),
                     wm_srgb_decode(table_number(colours, row, "G") / 255),
                     wm_srgb_decode(table_number(colours, row, "B") / 255) };
}

static wm_lab icc_lab_of(size_t row)
{
    return (wm_lab){ table_number(colours, row, "L_iccD50"), table_number(colours, row, "a_iccD50"),
                     table_number(colours, row, "b_iccD50") };
}

static wm_xyz to_xyz_d65(size_t row)
{
    wm_rgb rgb = linear_of(row);
    double v[3];
    for (int i = 0; i < 3; i++)
        v[i] = constant_element(constants, is_srgb(row) ? "srgb" : "display_p3", "rgb_to_xyz_exact", i, 0) * rgb.r +
               constant_element(constants, is_srgb(row) ? "srgb" : "display_p3", "rgb_to_xyz_exact", i, 1) * rgb.g +
               constant_element(constants, is_srgb(row) ? "srgb" : "display_p3", "rgb_to_xyz_exact", i, 2) * rgb.b;
    return (wm_xyz){ v[0], v[1], v[2] };
}

static wm_xyz white_of(const char *x_name, const char *y_name)
{
    double x = constant(constants, "srgb", x_name), y = constant(constants, "srgb", y_name);
    return (wm_xyz){ x / y, 1, (1 - x - y) / y };
}

/* Printed to 9 decimals; the matrix has 10. */
static void decoded_values_reach_xyz(void **state)
{
    (void)state;
    worst_reset();
    for (size_t i = 0; i < table_rows(colours); i++) {
        wm_xyz xyz = to_xyz_d65(i);
        near(name_of(i), xyz.X, table_number(colours, i, "X_D65"), 6e-10);
        near(name_of(i), xyz.Y, table_number(colours, i, "Y_D65"), 6e-10);
        near(name_of(i), xyz.Z, table_number(colours, i, "Z_D65"), 6e-10);
    }
    worst_print("XYZ under D65");
}

/* Lab printed to 6 decimals, hue to 4. */
static void bradford_reaches_lab(void **state)
{
    (void)state;
    wm_xyz white = white_of("white_x", "white_y");
    wm_xyz d50_by_xy = { .3457 / .3585, 1, (1 - .3457 - .3585) / .3585 };
    worst_reset();
    for (size_t i = 0; i < table_rows(colours); i++) {
        wm_xyz xyz = to_xyz_d65(i);
        wm_lab lab = wm_xyz_to_lab(wm_bradford_adapt(xyz, white, WM_D50), WM_D50), want = icc_lab_of(i);
        near(name_of(i), lab.L, want.L, 1e-6);
        near(name_of(i), lab.a, want.a, 1e-6);
        near(name_of(i), lab.b, want.b, 1e-6);
        wm_lch lch = wm_lab_to_lch(lab);
        near(name_of(i), lch.C, table_number(colours, i, "C_iccD50"), 1e-6);
        if (lch.C > .1)
            near(name_of(i), lch.h_deg, table_number(colours, i, "h_iccD50_deg"), 6e-5);
        lab = wm_xyz_to_lab(wm_bradford_adapt(xyz, white, d50_by_xy),
                            d50_by_xy); /* the other D50, which we never use, as a second white */
        near(name_of(i), lab.L, table_number(colours, i, "L_xyD50"), 1e-6);
        near(name_of(i), lab.a, table_number(colours, i, "a_xyD50"), 1e-6);
        near(name_of(i), lab.b, table_number(colours, i, "b_xyD50"), 1e-6);
    }
    worst_print("Lab under ICC D50");
}

/* Matrix M of the calibration rules is rounded and has the white (0.96422, 1, 0.82521): a working space, exact both
 * ways, but what enters it as sRGB directly comes out up to 0.03 off in Lab. Photos enter through XYZ instead. */
static void working_space_is_near(void **state)
{
    (void)state;
    worst_reset();
    for (size_t i = 0; i < table_rows(colours); i++) {
        if (!is_srgb(i) || icc_lab_of(i).L < 1)
            continue;
        wm_lab lab = wm_rgb_to_lab(linear_of(i)), want = icc_lab_of(i);
        near(name_of(i), lab.L, want.L, .03);
        near(name_of(i), lab.a, want.a, .03);
        near(name_of(i), lab.b, want.b, .03);
    }
    worst_print("matrix M against exact sRGB");
}

static void chips_show_the_right_code(void **state)
{
    (void)state;
    for (size_t i = 0; i < table_rows(colours); i++) {
        if (!is_srgb(i))
            continue;
        wm_srgb8 chip = wm_lab_to_srgb8(icc_lab_of(i));
        near(name_of(i), chip.r, table_number(colours, i, "R"), 0);
        near(name_of(i), chip.g, table_number(colours, i, "G"), 0);
        near(name_of(i), chip.b, table_number(colours, i, "B"), 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(decoded_values_reach_xyz),
                                        cmocka_unit_test(bradford_reaches_lab), cmocka_unit_test(working_space_is_near),
                                        cmocka_unit_test(chips_show_the_right_code) };
    return cmocka_run_group_tests_name("rgb_xyz_lab", tests, open_tables, close_tables);
}
