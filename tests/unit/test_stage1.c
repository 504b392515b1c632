/* stage1: C2 to C5, C18. CV values are the calibration rules' own. */
#include "support/near.h"

#include <math.h>

#include "colour/difference.h"
#include "measure/stage1.h"

static const double PRINTED = 5e-5; /* values are printed to 4 decimals */

static wm_neutral neutral(double measured, double reference)
{
    return (wm_neutral){ { measured, measured, measured }, { reference, reference, reference } };
}

static void cv1_cv2_cv3_colours(void **state)
{
    (void)state;
    const wm_lab gray = wm_rgb_to_lab((wm_rgb){ 0.184, 0.184, 0.184 }),
                 dark = wm_rgb_to_lab((wm_rgb){ 0.05, 0.03, 0.02 });
    near("CV1 L", gray.L, 49.9777, PRINTED), near("CV1 a", gray.a, 0.0020, PRINTED),
        near("CV1 b", gray.b, -0.0142, PRINTED);
    near("CV1 L", dark.L, 21.5219, PRINTED), near("CV1 a", dark.a, 5.7181, PRINTED),
        near("CV1 b", dark.b, 8.9154, PRINTED);
    const wm_rgb rgb = wm_lab_to_rgb((wm_lab){ 30, 6, 10 });
    near("CV2 r", rgb.r, 0.088387, 5e-7), near("CV2 g", rgb.g, 0.056281, 5e-7), near("CV2 b", rgb.b, 0.038696, 5e-7);
    near("CV3", wm_de00((wm_lab){ 30, 6, 10 }, (wm_lab){ 32, 5, 12 }), 2.6491, PRINTED);
}

static void cv4_c2_gain_of_one_card(void **state)
{
    (void)state;
    const wm_neutral card = { { wm_srgb_decode(110 / 255.0), wm_srgb_decode(118 / 255.0), wm_srgb_decode(104 / 255.0) },
                              { 0.184, 0.184, 0.184 } };
    const wm_stage1 stage1 = wm_stage1_fit(&card, 1);
    assert_int_equal(stage1.kind, WM_STAGE1_GAIN);
    near("CV4 r", stage1.gain[0], 1.1800, PRINTED), near("CV4 g", stage1.gain[1], 1.0157, PRINTED),
        near("CV4 b", stage1.gain[2], 1.3292, PRINTED);
    const wm_rgb hair = { wm_srgb_decode(72 / 255.0), wm_srgb_decode(55 / 255.0), wm_srgb_decode(40 / 255.0) };
    const wm_lab lab = wm_rgb_to_lab(wm_stage1_apply(&stage1, hair));
    near("CV4 L", lab.L, 25.7257, PRINTED), near("CV4 a", lab.a, 9.4462, PRINTED),
        near("CV4 b", lab.b, 9.6055, PRINTED);
}

static void cv5_c3_curve(void **state)
{
    (void)state;
    const double e[3] = { 228 / 255.0, 118 / 255.0, 52 / 255.0 };
    const double R[3] = { wm_srgb_encode(0.88), wm_srgb_encode(0.184), wm_srgb_encode(0.035) };
    double a, b, g;
    assert_true(wm_stage1_fit_curve(e, R, 3, &a, &b, &g));
    near("CV5 a", a, 0.0139, PRINTED), near("CV5 b", b, 1.0489, PRINTED), near("CV5 g", g, 1.0783, PRINTED);

    wm_neutral neutrals[3];
    for (int i = 0; i < 3; i++)
        neutrals[i] = neutral(wm_srgb_decode(e[i]), wm_srgb_decode(R[i]));
    const wm_stage1 stage1 = wm_stage1_fit(neutrals, 3);
    assert_int_equal(stage1.kind, WM_STAGE1_CURVE);
    const double l = wm_srgb_decode(55 / 255.0);
    near("CV5 l'", wm_stage1_apply(&stage1, (wm_rgb){ l, l, l }).g, 0.037829, 5e-7);
}

/* Neutrals that are right already: hardly anything to correct. */
static void c3_leaves_a_right_photo_alone(void **state)
{
    (void)state;
    const wm_neutral neutrals[4] = { neutral(0.85, 0.85), neutral(0.36, 0.36), neutral(0.18, 0.18),
                                     neutral(0.03, 0.03) };
    const wm_stage1 stage1 = wm_stage1_fit(neutrals, 4);
    assert_int_equal(stage1.kind, WM_STAGE1_CURVE);
    near("hair", wm_stage1_apply(&stage1, (wm_rgb){ 0.05, 0.05, 0.05 }).r, 0.05,
         0.0005); /* the grid of g and the ridge */
}

/* C4: two cards share one gain, the lighter one weighs more. */
static void c4_gain_of_two_cards(void **state)
{
    (void)state;
    const wm_neutral neutrals[2] = { neutral(0.60, 0.80), neutral(0.02, 0.04) };
    const wm_stage1 stage1 = wm_stage1_fit(neutrals, 2);
    assert_int_equal(stage1.kind, WM_STAGE1_GAIN);
    const double w1 = pow(0.8, 0.66), w2 = pow(0.04, 0.66); /* Y of the reference, here its level */
    near("C4", stage1.gain[1], exp((w1 * log(0.8 / 0.6) + w2 * log(2)) / (w1 + w2)),
         1e-6); /* M's rows add up to 1 within 1e-7 */
}

/* Three cards of one lightness can't tell a curve. */
static void c4_instead_of_a_curve_without_levels(void **state)
{
    (void)state;
    const wm_neutral same[3] = { neutral(0.20, 0.184), neutral(0.19, 0.184), neutral(0.21, 0.184) };
    assert_int_equal(wm_stage1_fit(same, 3).kind, WM_STAGE1_GAIN);
}

/* A curve that runs downwards (b <= 0) or has its bend at the end of the search is not trusted. */
static void c4_instead_of_a_bad_curve(void **state)
{
    (void)state;
    const wm_neutral falling[3] = { neutral(0.03, 0.80), neutral(0.18, 0.18), neutral(0.80, 0.03) };
    assert_int_equal(wm_stage1_fit(falling, 3).kind, WM_STAGE1_GAIN);
    const wm_neutral bent[3] = { neutral(0.80, 0.80), neutral(0.50, 0.02), neutral(0.45, 0.005) };
    assert_int_equal(wm_stage1_fit(bent, 3).kind, WM_STAGE1_GAIN);
}

static void c5_one_gain(void **state)
{
    (void)state;
    const double ratio[3] = { 0.5, 1, 4 };
    const wm_stage1 stage1 = wm_stage1_exposure(ratio, 3);
    assert_int_equal(stage1.kind, WM_STAGE1_EXPOSURE);
    near("C5", stage1.gain[0], cbrt(2), 1e-12);
    near("C5", stage1.gain[0] - stage1.gain[2], 0, 0);
    assert_int_equal(wm_stage1_exposure(ratio, 0).kind, WM_STAGE1_NONE);
}

static void c18_neutrals_must_rise(void **state)
{
    (void)state;
    const wm_neutral neutrals[4] = { neutral(0.3, 0.8), neutral(0.2, 0.05), neutral(0.1, 0.3), neutral(0.1, 0.301) };
    const double rises[4] = { 0.8, 0.2, 0.5, 0.499 }, falls[4] = { 0.8, 0.6, 0.5, 0.5 },
                 flat[4] = { 0.8, 0.495, 0.5, 0.5 };
    assert_true(wm_neutrals_rise(neutrals, rises, 4)); /* two patches of one level ask for no step */
    assert_false(wm_neutrals_rise(neutrals, falls, 4));
    assert_false(wm_neutrals_rise(neutrals, flat, 4)); /* less than 0.01 */
    assert_true(wm_neutrals_rise(neutrals, falls, 1));
}

/* C3: the ridge, from an independent implementation in numpy (least squares augmented by the ridge). */
static void c3_the_ridge_holds_the_curve_back(void **state)
{
    (void)state;
    const double e[3] = { 0.75, 0.45, 0.25 }, R[3] = { 0.92, 0.70, 0.48 };
    double a, b, g;
    assert_true(wm_stage1_fit_curve(e, R, 3, &a, &b, &g));
    near("a", a, 0.17653, 1e-5), near("b", b, 0.94823, 1e-5), near("g", g, 0.79770, 1e-5);
}

/* C3: where the curve ends: black is raised to its power from 0.00001 on, and nothing gets lighter than 1.5, encoded
 * (sRGB's own curve: ((1.5 + 0.055) / 1.055)^2.4). */
static void c3_both_ends_of_the_curve(void **state)
{
    (void)state;
    const wm_stage1 root = {
        .kind = WM_STAGE1_CURVE, .gain = { 1, 1, 1 }, .curve_b = { 1, 1, 1 }, .curve_g = { 0.5, 0.5, 0.5 }
    };
    near("black", wm_stage1_apply(&root, (wm_rgb){ 0, 0, 0 }).g, sqrt(1e-5) / 12.92, 1e-7);
    const wm_stage1 steep = {
        .kind = WM_STAGE1_CURVE, .gain = { 1, 1, 1 }, .curve_b = { 3, 3, 3 }, .curve_g = { 1, 1, 1 }
    };
    near("white", wm_stage1_apply(&steep, (wm_rgb){ 1, 1, 1 }).g, 2.53716, 1e-4);
}

/* C3: levels nearer than 0.05 are one, so that these are two, then three; a photo that is right already needs no curve
 * but shows which is taken. */
static void c3_levels_of_lightness(void **state)
{
    (void)state;
    for (int apart = 0; apart < 2; apart++) {
        const double level[3] = { 0.3, apart ? 0.3515 : 0.3485, 0.8 };
        wm_neutral neutrals[3];
        for (int i = 0; i < 3; i++)
            neutrals[i] = neutral(wm_srgb_decode(level[i]), wm_srgb_decode(level[i]));
        assert_int_equal(wm_stage1_fit(neutrals, 3).kind, apart ? WM_STAGE1_CURVE : WM_STAGE1_GAIN);
    }
}

/* C16: whatever the contrast, mid-gray stays as it is. */
static void c16_contrast_leaves_mid_gray(void **state)
{
    (void)state;
    wm_stage1 stage1 = wm_stage1_none();
    stage1.kind = WM_STAGE1_GAIN;
    for (int i = -1; i <= 1; i += 2) {
        const wm_stage1 made = wm_stage1_with_contrast(&stage1, exp(0.3 * i));
        near("mid-gray", wm_stage1_apply(&made, (wm_rgb){ 0.184, 0.184, 0.184 }).g, 0.184, 1e-9);
    }
}

/* C18 from both sides: a step of the reference of 0.02 is asked of the photo, and 0.01 is enough. */
static void c18_steps_of_the_photo(void **state)
{
    (void)state;
    static const struct {
        double reference, photo;
        bool rises;
    } steps[] = { { 0.1, 0.0105, true },
                  { 0.1, 0.0095, false },
                  { 0.019, -0.1, true }, /* too small to be asked */
                  { 0.021, -0.1, false } };
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        const wm_neutral neutrals[2] = { neutral(0.1, wm_srgb_decode(0.5)),
                                         neutral(0.1, wm_srgb_decode(0.5 + steps[i].reference)) };
        const double e_green[2] = { 0.4, 0.4 + steps[i].photo };
        assert_int_equal(wm_neutrals_rise(neutrals, e_green, 2), steps[i].rises);
    }
}

static void nothing_to_go_by(void **state)
{
    (void)state;
    assert_int_equal(wm_stage1_fit(NULL, 0).kind, WM_STAGE1_NONE);
    const wm_neutral dead = { { 0.2, 0.2, 0 }, { 0.184, 0.184, 0.184 } };
    assert_int_equal(wm_stage1_fit(&dead, 1).kind, WM_STAGE1_NONE);
    const wm_stage1 none = wm_stage1_none();
    const wm_rgb same = wm_stage1_apply(&none, (wm_rgb){ 0.1, 0.2, 0.3 });
    near("untouched", same.r, 0.1, 0), near("untouched", same.b, 0.3, 0);
    assert_true(wm_lab_is_neutral((wm_lab){ 50, 3, -3.9 }));
    assert_false(wm_lab_is_neutral((wm_lab){ 50, 3, -4 })); /* C3 */
}

/* C16: what was taken off a photo, contrast too, is put on again for a picture of it. */
static void c16_contrast_is_put_on_again(void **state)
{
    (void)state;
    const double ratio = 1.3;
    const wm_stage1 exposure = wm_stage1_exposure(&ratio, 1), made = wm_stage1_with_contrast(&exposure, 0.8);
    const wm_rgb is = { 0.21, 0.09, 0.004 }, again = wm_stage1_undo(&made, wm_stage1_apply(&made, is));
    near("red", again.r, is.r, 1e-12), near("green", again.g, is.g, 1e-12), near("blue", again.b, is.b, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(cv1_cv2_cv3_colours),
                                        cmocka_unit_test(cv4_c2_gain_of_one_card),
                                        cmocka_unit_test(cv5_c3_curve),
                                        cmocka_unit_test(c3_leaves_a_right_photo_alone),
                                        cmocka_unit_test(c4_gain_of_two_cards),
                                        cmocka_unit_test(c4_instead_of_a_curve_without_levels),
                                        cmocka_unit_test(c4_instead_of_a_bad_curve),
                                        cmocka_unit_test(c3_the_ridge_holds_the_curve_back),
                                        cmocka_unit_test(c3_both_ends_of_the_curve),
                                        cmocka_unit_test(c3_levels_of_lightness),
                                        cmocka_unit_test(c16_contrast_leaves_mid_gray),
                                        cmocka_unit_test(c18_steps_of_the_photo),
                                        cmocka_unit_test(c5_one_gain),
                                        cmocka_unit_test(c18_neutrals_must_rise),
                                        cmocka_unit_test(c16_contrast_is_put_on_again),
                                        cmocka_unit_test(nothing_to_go_by) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
