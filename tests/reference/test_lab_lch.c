/* XYZ to Lab to LCh against reference/lab_lch_points.csv (CIE 015:2018, printed to 8 decimals, hue to 6), and back. */
#include "colour/colour.h"
#include "support/near.h"
#include "support/table.h"

#include <stdio.h>
#include <string.h>

static void points_there_and_back(void **state)
{
    (void)state;
    table *t = table_open("lab_lch_points.csv");
    worst_reset();
    for (size_t i = 0; i < table_rows(t); i++) {
        char name[160];
        snprintf(name, sizeof name, "row %zu (%s)", i + 1, table_text(t, i, "note"));
        wm_xyz xyz = { table_number(t, i, "X_over_Xn") * WM_D50.X, table_number(t, i, "Y_over_Yn") * WM_D50.Y,
                       table_number(t, i, "Z_over_Zn") * WM_D50.Z };
        wm_lab lab = wm_xyz_to_lab(xyz, WM_D50);
        wm_lch lch = wm_lab_to_lch(lab);
        near(name, lab.L, table_number(t, i, "L"), 5.1e-9);
        near(name, lab.a, table_number(t, i, "a"), 5.1e-9);
        near(name, lab.b, table_number(t, i, "b"), 5.1e-9);
        near(name, lch.C, table_number(t, i, "C"), 5.1e-9);
        if (strcmp(table_text(t, i, "hue_defined"), "1") == 0)
            near(name, lch.h_deg, table_number(t, i, "h_deg"), 5.1e-7);
        wm_xyz back = wm_lab_to_xyz(lab, WM_D50);
        near(name, back.X, xyz.X, 1e-14);
        near(name, back.Y, xyz.Y, 1e-14);
        near(name, back.Z, xyz.Z, 1e-14);
    }
    worst_print("lab_lch_points.csv");
    table_free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(points_there_and_back) };
    return cmocka_run_group_tests_name("lab_lch", tests, NULL, NULL);
}
