/* colour: check values of the calibration rules, inverses, seams, and every pair of spaces there and back. Published
 * tables are in tests/reference. */
#include "colour/colour.h"
#include "support/near.h"
#include "support/rng.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

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
    near_lab("CV1 gray", wm_rgb_to_lab((wm_rgb){ .184, .184, .184 }), (wm_lab){ 49.9777, .0020, -.0142 }, 6e-5);
    near_lab("CV1 brown", wm_rgb_to_lab((wm_rgb){ .05, .03, .02 }), (wm_lab){ 21.5219, 5.7181, 8.9154 }, 6e-5);
    wm_rgb rgb = wm_lab_to_rgb((wm_lab){ 30, 6, 10 });
    near("CV2 r", rgb.r, .088387, 6e-7);
    near("CV2 g", rgb.g, .056281, 6e-7);
    near("CV2 b", rgb.b, .038696, 6e-7);
}

/* ---- there and back ---- */

typedef struct triple {
    double v[3];
} triple;

static wm_xyz xyz_of(triple t)
{
    return (wm_xyz){ t.v[0], t.v[1], t.v[2] };
}
static triple of_xyz(wm_xyz c)
{
    return (triple){ { c.X, c.Y, c.Z } };
}

static wm_xyz from_xyz(triple t)
{
    return xyz_of(t);
}
static triple to_xyz(wm_xyz c)
{
    return of_xyz(c);
}

static wm_xyz from_lab(triple t)
{
    return wm_lab_to_xyz((wm_lab){ t.v[0], t.v[1], t.v[2] }, WM_D50);
}
static triple to_lab(wm_xyz c)
{
    wm_lab lab = wm_xyz_to_lab(c, WM_D50);
    return (triple){ { lab.L, lab.a, lab.b } };
}

static wm_xyz from_lch(triple t)
{
    return wm_lab_to_xyz(wm_lch_to_lab((wm_lch){ t.v[0], t.v[1], t.v[2] }), WM_D50);
}
static triple to_lch(wm_xyz c)
{
    wm_lch lch = wm_lab_to_lch(wm_xyz_to_lab(c, WM_D50));
    return (triple){ { lch.L, lch.C, lch.h_deg } };
}

static wm_xyz from_rgb(triple t)
{
    return wm_rgb_to_xyz((wm_rgb){ t.v[0], t.v[1], t.v[2] });
}
static triple to_rgb(wm_xyz c)
{
    wm_rgb rgb = wm_xyz_to_rgb(c);
    return (triple){ { rgb.r, rgb.g, rgb.b } };
}

static wm_xyz from_encoded(triple t)
{
    return wm_rgb_to_xyz((wm_rgb){ wm_srgb_decode(t.v[0]), wm_srgb_decode(t.v[1]), wm_srgb_decode(t.v[2]) });
}
static triple to_encoded(wm_xyz c)
{
    wm_rgb rgb = wm_xyz_to_rgb(c);
    return (triple){ { wm_srgb_encode(rgb.r), wm_srgb_encode(rgb.g), wm_srgb_encode(rgb.b) } };
}

static wm_xyz from_cone(triple t)
{
    return wm_lab_to_xyz(wm_cone_to_lab((wm_cone){ { t.v[0], t.v[1], t.v[2] } }), WM_D50);
}
static triple to_cone(wm_xyz c)
{
    wm_cone cone = wm_lab_to_cone(wm_xyz_to_lab(c, WM_D50));
    return (triple){ { cone.c[0], cone.c[1], cone.c[2] } };
}

static wm_xyz d65(void)
{
    wm_xyz white;
    assert_true(wm_white_point("D65", &white));
    return white;
}
static wm_xyz from_d65(triple t)
{
    return wm_bradford_adapt(xyz_of(t), d65(), WM_D50);
}
static triple to_d65(wm_xyz c)
{
    return of_xyz(wm_bradford_adapt(c, WM_D50, d65()));
}

static const struct space {
    const char *name;
    wm_xyz (*from)(triple);
    triple (*to)(wm_xyz);
} SPACES[] = { { "XYZ D50", from_xyz, to_xyz },
               { "Lab", from_lab, to_lab },
               { "LCh", from_lch, to_lch },
               { "linear RGB", from_rgb, to_rgb },
               { "encoded RGB", from_encoded, to_encoded },
               { "cones", from_cone, to_cone },
               { "XYZ D65", from_d65, to_d65 } };
enum { SPACE_COUNT = sizeof SPACES / sizeof *SPACES };

static void there_and_back(const struct space *first, const struct space *second, wm_lab start)
{
    triple here = first->to(wm_lab_to_xyz(start, WM_D50));
    triple there = second->to(first->from(here)), back = first->to(second->from(there));
    char name[120];
    snprintf(name, sizeof name, "%s to %s and back, Lab %g %g %g", first->name, second->name, start.L, start.a,
             start.b);
    if (first->to == to_lch) { /* an angle means less the smaller the chroma */
        double step = remainder(back.v[2] - here.v[2], 360);
        back.v[2] = here.v[2] + step * here.v[1] * 3.14159265358979 / 180;
    }
    /* The two linear parts of encoded RGB meet with a step below 1e-7 (IEC 61966-2-1 rounds its break). */
    double tolerance = first->to == to_encoded || second->to == to_encoded ? 1e-7 : 1e-11;
    for (int i = 0; i < 3; i++)
        near(name, back.v[i], here.v[i], tolerance);
}

/* Blacks, grays, hair, the whole of Lab and colours outside any gamut. */
static void every_pair_of_spaces_there_and_back(void **state)
{
    (void)state;
    worst_reset();
    for (int i = 0; i < SPACE_COUNT; i++)
        for (int j = 0; j < SPACE_COUNT; j++)
            for (double L = 0; L <= 110; L += L < 10 ? 2 : 12.5)
                for (double a = -128; a <= 128; a += 32)
                    for (double b = -128; b <= 128; b += 32)
                        there_and_back(&SPACES[i], &SPACES[j], (wm_lab){ L, a, b });
    worst_print("all pairs of spaces");
}

static void direct_ways_agree(void **state)
{
    (void)state;
    rng r = { 8 };
    for (int i = 0; i < 10000; i++) {
        wm_lab lab = { rng_between(&r, 5, 100), rng_between(&r, -5, 5), rng_between(&r, -5, 5) };
        near_lab("Lab to RGB to Lab", wm_rgb_to_lab(wm_lab_to_rgb(lab)), lab, 1e-11);
        wm_rgb rgb = wm_lab_to_rgb(lab);
        near("luminance", wm_rgb_luminance(rgb), wm_lab_to_xyz(lab, WM_D50).Y, 1e-15);
    }
}

/* ---- edges ---- */

static void hue_lies_between_0_and_360(void **state)
{
    (void)state;
    const struct {
        double a, b, hue_deg;
    } cases[] = { { 0, 0, 0 },       { -0.0, 0, 0 },   { -0.0, -0.0, 0 }, { 1, 0, 0 },
                  { 0, 1, 90 },      { -1, 0, 180 },   { -1, -0.0, 180 }, { 0, -1, 270 },
                  { 1, -1e-300, 0 }, { 1, -1e-17, 0 }, { 1, -1, 315 },    { DBL_MIN, DBL_MIN, 45 } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wm_lch lch = wm_lab_to_lch((wm_lab){ 50, cases[i].a, cases[i].b });
        near("hue", lch.h_deg, cases[i].hue_deg, 1e-12);
        assert_true(lch.h_deg >= 0 && lch.h_deg < 360);
    }
}

/* Section 2 of the calibration rules: channels are floored at 1e-6, so black has a colour and nothing becomes NaN. */
static void dark_channels_are_floored(void **state)
{
    (void)state;
    wm_lab floor = wm_rgb_to_lab((wm_rgb){ 1e-6, 1e-6, 1e-6 });
    near_lab("black", wm_rgb_to_lab((wm_rgb){ 0, 0, 0 }), floor, 0);
    near_lab("negative", wm_rgb_to_lab((wm_rgb){ -1, -.5, -1e-9 }), floor, 0);
    near_lab("NaN", wm_rgb_to_lab((wm_rgb){ (double)NAN, 0, 0 }), floor, 0);
    near("L of the floor", floor.L, 24389.0 / 27.0 * 1e-6, 1e-9);
}

static void srgb_curve(void **state)
{
    (void)state;
    for (int i = -100; i <= 300; i++) {
        double v = i / 200.0;
        near("encode(decode)", wm_srgb_encode(wm_srgb_decode(v)), v, 1e-7);
    }
    near("negative: linear part", wm_srgb_decode(-.5), -.5 / 12.92, 0);
    near("negative: linear part", wm_srgb_encode(-.5), -.5 * 12.92, 0);
}

static void chips_are_clipped_and_rounded(void **state)
{
    (void)state;
    for (int i = 0; i < 256; i++) {
        double linear = wm_srgb_decode(i / 255.0);
        wm_srgb8 chip = wm_rgb_to_srgb8((wm_rgb){ linear, linear, linear });
        assert_int_equal(chip.r, i);
    }
    wm_srgb8 out = wm_rgb_to_srgb8((wm_rgb){ -1, 7, (double)NAN });
    assert_int_equal(out.r, 0);
    assert_int_equal(out.g, 255);
    assert_int_equal(out.b, 0);
    wm_srgb8 white = wm_lab_to_srgb8((wm_lab){ 100, 0, 0 }), gray = wm_lab_to_srgb8((wm_lab){ 50, 0, 0 });
    assert_int_equal(white.r, 255);
    assert_int_equal(white.b, 255);
    assert_true(gray.r == gray.g && gray.g == gray.b && gray.r == 119);
}

static void valid_lab(void **state)
{
    (void)state;
    assert_true(wm_lab_valid((wm_lab){ 0, -128, 127 }) && wm_lab_valid((wm_lab){ 100, 127, -128 }));
    const wm_lab bad[] = { { -.1, 0, 0 },
                           { 100.1, 0, 0 },
                           { 50, 127.1, 0 },
                           { 50, 0, -128.1 },
                           { (double)NAN, 0, 0 },
                           { 50, (double)NAN, 0 },
                           { 50, 0, (double)INFINITY },
                           { -(double)INFINITY, 0, 0 } };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_false(wm_lab_valid(bad[i]));
}

/* B1: white is (1, 1, 1), black (0, 0, 0), and adaptation only scales. */
static void cones_are_relative_to_white(void **state)
{
    (void)state;
    wm_cone white = wm_lab_to_cone((wm_lab){ 100, 0, 0 }), black = wm_lab_to_cone((wm_lab){ 0, 0, 0 });
    for (int i = 0; i < 3; i++) {
        near("white", white.c[i], 1, 1e-14);
        near("black", black.c[i], 0, 1e-17);
    }
    wm_xyz adapted = wm_bradford_adapt(WM_D50, WM_D50, d65());
    near("white to white X", adapted.X, d65().X, 1e-14);
    near("white to white Y", adapted.Y, d65().Y, 1e-14);
    near("white to white Z", adapted.Z, d65().Z, 1e-14);
}

/* From far below black to beyond white: the same as one at a time. */
static void many_cones_are_as_each(void **state)
{
    (void)state;
    enum { COUNT = 4096 };
    static wm_cone cones[COUNT];
    static wm_lab labs[COUNT];
    for (size_t i = 0; i < COUNT; i++)
        for (int c = 0; c < 3; c++)
            cones[i].c[c] = pow(10, -6.0 + (double)(i * 6 + (size_t)c * 237) / COUNT) * (i % 17 == 16 ? -1 : 1);
    wm_cone_to_lab_batch(labs, cones, COUNT);
    for (size_t i = 0; i < COUNT; i++) {
        wm_lab one = wm_cone_to_lab(cones[i]);
        near("L", labs[i].L, one.L, 1e-11);
        near("a", labs[i].a, one.a, 1e-11);
        near("b", labs[i].b, one.b, 1e-11);
    }
}

static void rgb_arithmetic(void **state)
{
    (void)state;
    wm_rgb sum = wm_rgb_add((wm_rgb){ 1, 2, 3 }, wm_rgb_scale((wm_rgb){ 1, 10, 100 }, 2));
    near("r", sum.r, 3, 0);
    near("g", sum.g, 22, 0);
    near("b", sum.b, 203, 0);
}

static void rows_are_as_their_pixels(void **state)
{
    (void)state;
    enum { N = 4000 };
    static wm_rgb rgb[N];
    static float L[N], a[N], b[N];
    for (int i = 0; i < N; i++) {
        const double level = pow(10.0, -7.0 + 7.5 * i / N);
        rgb[i] = (wm_rgb){ level, level * (0.2 + (i % 7) / 5.0), level * ((i % 11) / 8.0 - 0.1) };
    }
    wm_rgb_to_lab_row(rgb, N, L, a, b);
    worst_reset();
    for (int i = 0; i < N; i++)
        near_lab("row", (wm_lab){ (double)L[i], (double)a[i], (double)b[i] }, wm_rgb_to_lab(rgb[i]), 0.001);
    worst_print("rows against pixels");
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(calibration_check_values),
                                        cmocka_unit_test(every_pair_of_spaces_there_and_back),
                                        cmocka_unit_test(direct_ways_agree),
                                        cmocka_unit_test(hue_lies_between_0_and_360),
                                        cmocka_unit_test(dark_channels_are_floored),
                                        cmocka_unit_test(srgb_curve),
                                        cmocka_unit_test(chips_are_clipped_and_rounded),
                                        cmocka_unit_test(valid_lab),
                                        cmocka_unit_test(cones_are_relative_to_white),
                                        cmocka_unit_test(rows_are_as_their_pixels),
                                        cmocka_unit_test(many_cones_are_as_each),
                                        cmocka_unit_test(rgb_arithmetic) };
    return cmocka_run_group_tests_name("colour", tests, NULL, NULL);
}
