/* LittleCMS as an independent oracle on random pairs (seed 9): its CIEDE2000, CIELAB, LCh and Bradford against ours. */
#include "colour/difference.h"
#include "support/near.h"
#include "support/rng.h"

#include <lcms2.h>
#include <math.h>
#include <stdio.h>

enum { PAIRS = 100000 };

static wm_lab random_lab(rng *r, int i)
{
    double reach = i % 4 == 0 ? 100 : i % 4 == 1 ? 30 : i % 4 == 2 ? 3 : 0; /* every fourth is a gray */
    return (wm_lab){ rng_between(r, 0, 100), rng_between(r, -reach, reach), rng_between(r, -reach, reach) };
}

static cmsCIELab theirs(wm_lab lab)
{
    return (cmsCIELab){ lab.L, lab.a, lab.b };
}

static void name_pair(char *name, size_t size, wm_lab a, wm_lab b)
{
    snprintf(name, size, "(%.6f %.6f %.6f) (%.6f %.6f %.6f)", a.L, a.a, a.b, b.L, b.a, b.b);
}

static void ciede2000(void **state)
{
    (void)state;
    rng r = { 9 };
    worst_reset();
    for (int i = 0; i < PAIRS; i++) {
        wm_lab a = random_lab(&r, i), b = random_lab(&r, i / 4);
        cmsCIELab x = theirs(a), y = theirs(b);
        char name[160];
        name_pair(name, sizeof name, a, b);
        near(name, wm_de00(a, b), cmsCIE2000DeltaE(&x, &y, 1, 1, 1), 1e-9);
    }
    worst_print("CIEDE2000 against LittleCMS, 100000 pairs");
}

static void batch(void **state)
{
    (void)state;
    rng r = { 9 };
    static wm_lab many[PAIRS];
    static double got[PAIRS];
    wm_lab reference = random_lab(&r, 1);
    for (int i = 0; i < PAIRS; i++)
        many[i] = random_lab(&r, i);
    wm_de00_batch(got, reference, many, PAIRS);
    worst_reset();
    for (int i = 0; i < PAIRS; i++) {
        cmsCIELab x = theirs(reference), y = theirs(many[i]);
        char name[160];
        name_pair(name, sizeof name, reference, many[i]);
        near(name, got[i], cmsCIE2000DeltaE(&x, &y, 1, 1, 1), 1e-6);
    }
    worst_print("batch kernel against LittleCMS, 100000 pairs");
}

static void xyz_lab_lch(void **state)
{
    (void)state;
    rng r = { 10 };
    const cmsCIEXYZ white = { WM_D50.X, WM_D50.Y, WM_D50.Z };
    worst_reset();
    for (int i = 0; i < PAIRS; i++) {
        wm_xyz xyz = { rng_between(&r, 0, 1.2), rng_between(&r, 0, i % 3 ? 1.2 : .01),
                       rng_between(&r, 0, i % 5 ? 1.2 : .01) };
        cmsCIEXYZ from = { xyz.X, xyz.Y, xyz.Z }, back;
        cmsCIELab lab;
        cmsCIELCh lch;
        cmsXYZ2Lab(&white, &lab, &from);
        cmsLab2LCh(&lch, &lab);
        wm_lab ours = wm_xyz_to_lab(xyz, WM_D50);
        near("L", ours.L, lab.L, 1e-11);
        near("a", ours.a, lab.a, 1e-11);
        near("b", ours.b, lab.b, 1e-11);
        near("C", wm_lab_to_lch(ours).C, lch.C, 1e-11);
        near("h", remainder(wm_lab_to_lch(ours).h_deg - lch.h, 360), 0, 1e-9);
        cmsLab2XYZ(&white, &back, &lab);
        wm_xyz ours_back = wm_lab_to_xyz(ours, WM_D50);
        near("X", ours_back.X, back.X, 1e-13);
        near("Y", ours_back.Y, back.Y, 1e-13);
        near("Z", ours_back.Z, back.Z, 1e-13);
    }
    worst_print("XYZ, Lab, LCh against LittleCMS, 100000 colours");
}

static void bradford(void **state)
{
    (void)state;
    rng r = { 11 };
    wm_xyz d65;
    assert_true(wm_white_point("D65", &d65));
    const cmsCIEXYZ from_white = { d65.X, d65.Y, d65.Z }, to_white = { WM_D50.X, WM_D50.Y, WM_D50.Z };
    worst_reset();
    for (int i = 0; i < 1000; i++) {
        wm_xyz xyz = { rng_between(&r, 0, 1), rng_between(&r, 0, 1), rng_between(&r, 0, 1) };
        cmsCIEXYZ from = { xyz.X, xyz.Y, xyz.Z }, to;
        assert_true(cmsAdaptToIlluminant(&to, &from_white, &to_white, &from));
        wm_xyz ours = wm_bradford_adapt(xyz, d65, WM_D50);
        near("X", ours.X, to.X, 1e-14);
        near("Y", ours.Y, to.Y, 1e-14);
        near("Z", ours.Z, to.Z, 1e-14);
    }
    worst_print("Bradford against LittleCMS");
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(ciede2000), cmocka_unit_test(batch),
                                        cmocka_unit_test(xyz_lab_lch), cmocka_unit_test(bradford) };
    return cmocka_run_group_tests_name("lcms", tests, NULL, NULL);
}
