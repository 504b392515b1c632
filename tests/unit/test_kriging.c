/* kriging: C6 to C8, C11, C12. Values CV6 to CV11 are the calibration rules' own; the independent check solves the same
 * system by Gauss-Jordan elimination. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "colour/difference.h"
#include "measure/kriging.h"

static const double LAB_TOLERANCE = 5e-5; /* CV values are printed to 4 decimals */

static void near_lab(const char *name, wm_lab got, double L, double a, double b)
{
    char text[80];
    snprintf(text, sizeof text, "%s L", name), near(text, got.L, L, LAB_TOLERANCE);
    snprintf(text, sizeof text, "%s a", name), near(text, got.a, a, LAB_TOLERANCE);
    snprintf(text, sizeof text, "%s b", name), near(text, got.b, b, LAB_TOLERANCE);
}

/* sqrt(s2 V), without the zone's own scatter (the check values have none). */
static double u_of(const wm_kriged *k)
{
    wm_lab sigma = { sqrt(k->s2 * k->variance[0]), sqrt(k->s2 * k->variance[1]), sqrt(k->s2 * k->variance[2]) };
    return wm_sigma_to_u(k->lab, sigma);
}

static const wm_krige_aid CV8_AIDS[2] = { { { 27, 7, 10 }, { 26, 6, 8.5 }, 0 }, { { 33, 9, 15 }, { 31.5, 8, 13 }, 0 } };
static const wm_lab CV8_ZONE = { 30, 8, 12 };

static void cv6_kernel(void **state)
{
    (void)state;
    const wm_lab p = { 30, 6, 10 }, q = { 40, 8, 16 };
    near("CV6 L", wm_krige_kernel(WM_KRIGE_GRAY, 0, p, q), 5.4525, LAB_TOLERANCE);
    near("CV6 a", wm_krige_kernel(WM_KRIGE_GRAY, 1, p, q), 6.0769, LAB_TOLERANCE);
    near("CV6 b", wm_krige_kernel(WM_KRIGE_GRAY, 2, p, q), 15.1242, LAB_TOLERANCE);
}

/* C8: what each constant does alone, worked by hand from the calibration rules' table: the kernel of one colour with
 * itself at L* 50 and no chroma, at L* 75, at a* 12; of two grays with a chroma of 50 apart; an aid's and a zone's own
 * scatter. */
static const struct {
    wm_krige_row row;
    int output;
    double same, lighter, coloured, apart, noise, zone;
} C8_ROWS[] = {
    { WM_KRIGE_GRAY, 0, 2.2500, 12.4900, 2.4100, 1.5496, 1.2, 0.8 },
    { WM_KRIGE_GRAY, 1, 1.7000, 2.9100, 4.5900, 1.2763, 0.7, 0.5 },
    { WM_KRIGE_GRAY, 2, 3.5600, 7.9700, 10.8500, 2.6953, 0.7, 0.5 },
    { WM_KRIGE_THREE_CARDS, 0, 2.5000, 5.0600, 2.6600, 1.7996, 1.2, 0.8 },
    { WM_KRIGE_THREE_CARDS, 1, 1.9300, 3.1400, 4.8200, 1.5063, 0.7, 0.5 },
    { WM_KRIGE_THREE_CARDS, 2, 2.9600, 6.9600, 9.7200, 2.0953, 0.7, 0.5 },
    { WM_KRIGE_SWATCH, 0, 101.2100, 114.1700, 101.7000, 100.1638, 1.2, 0.8 },
    { WM_KRIGE_SWATCH, 1, 49.4900, 55.2500, 59.7300, 49.0663, 0.7, 0.5 },
    { WM_KRIGE_SWATCH, 2, 43.2500, 54.1400, 54.8100, 42.3853, 0.7, 0.5 },
    { WM_KRIGE_TARGET, 0, 8.0000, 9.0000, 10.2500, 5.4715, 0.8, 1.4 },
    { WM_KRIGE_TARGET, 1, 8.0000, 8.3600, 8.2500, 6.0537, 0.7, 0.7 },
    { WM_KRIGE_TARGET, 2, 13.0000, 16.6100, 22.0000, 8.6208, 0.7, 0.85 },
    { WM_KRIGE_NONE, 0, 36.8100, 47.0500, 36.9700, 36.1096, 0, 0.8 },
    { WM_KRIGE_NONE, 1, 25.4900, 29.4900, 28.3800, 25.0663, 0, 0.5 },
    { WM_KRIGE_NONE, 2, 37.0000, 41.0000, 44.2900, 36.1353, 0, 0.5 },
    { WM_KRIGE_TARGET_AND_SWATCHES, 0, 2.6000, 2.8500, 2.6900, 2.0466, 1.2, 0.8 },
    { WM_KRIGE_TARGET_AND_SWATCHES, 1, 1.1300, 1.2900, 1.3800, 0.7063, 0.7, 0.5 },
    { WM_KRIGE_TARGET_AND_SWATCHES, 2, 1.6200, 1.8700, 2.2600, 0.9196, 0.7, 0.5 },
};

static void c8_every_constant(void **state)
{
    (void)state;
    const wm_lab middle = { 50, 0, 0 }, light = { 75, 0, 0 }, red = { 50, 12, 0 }, far = { 50, 30, 40 };
    for (size_t i = 0; i < sizeof C8_ROWS / sizeof *C8_ROWS; i++) {
        const wm_krige_row row = C8_ROWS[i].row;
        const int o = C8_ROWS[i].output;
        near("C8 c0 and s", wm_krige_kernel(row, o, middle, middle), C8_ROWS[i].same, LAB_TOLERANCE);
        near("C8 cL", wm_krige_kernel(row, o, light, light), C8_ROWS[i].lighter, LAB_TOLERANCE);
        near("C8 cC", wm_krige_kernel(row, o, red, red), C8_ROWS[i].coloured, LAB_TOLERANCE);
        near("C8 ell", wm_krige_kernel(row, o, middle, far), C8_ROWS[i].apart, LAB_TOLERANCE);
        near("C8 noise", wm_krige_noise(row, o), C8_ROWS[i].noise, 1e-9);
        near("C8 zone", wm_krige_zone(row, o), C8_ROWS[i].zone, 1e-9);
    }
}

/* Aids in a line away from the zone, only the nth off: the twelfth counts, the thirteenth doesn't. */
static void c6_twelve_aids_count(void **state)
{
    (void)state;
    for (size_t off = 11; off < 13; off++) {
        wm_krige_aid aids[14];
        wm_kriged k;
        for (size_t i = 0; i < 14; i++) {
            aids[i] = (wm_krige_aid){ { 30 + 2 * (double)i, 4, 10 }, { 30 + 2 * (double)i, 4, 10 }, 0 };
            if (i == off)
                aids[i].reference.L += 5;
        }
        assert_true(
            wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 14 }, (wm_lab){ 29, 4, 10 }));
        assert_int_equal(k.used, 12);
        assert_true(off == 11 ? fabs(k.lab.L - 29) > 1e-3 : fabs(k.lab.L - 29) < 1e-12);
    }
}

static void cv7_gray_card_only(void **state)
{
    (void)state;
    const wm_lab z = wm_rgb_to_lab((wm_rgb){ wm_srgb_decode(72 / 255.0) * 0.184 / wm_srgb_decode(110 / 255.0),
                                             wm_srgb_decode(55 / 255.0) * 0.184 / wm_srgb_decode(118 / 255.0),
                                             wm_srgb_decode(40 / 255.0) * 0.184 / wm_srgb_decode(104 / 255.0) });
    near_lab("CV4", z, 25.7257, 9.4462, 9.6055);
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = NULL, .count = 0 }, z));
    near("CV7 V L", k.variance[0], 12.7458, LAB_TOLERANCE);
    near("CV7 V a", k.variance[1], 6.7333, LAB_TOLERANCE);
    near("CV7 V b", k.variance[2], 17.1559, LAB_TOLERANCE);
    near("CV7 s2", k.s2, 1, 0);
    near("CV7 u", u_of(&k), 4.8156, LAB_TOLERANCE);
    near("CV7 u with f", 1.4 * u_of(&k), 6.7419, LAB_TOLERANCE);
}

static void cv8_two_swatches(void **state)
{
    (void)state;
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = CV8_AIDS, .count = 2 }, CV8_ZONE));
    near_lab("CV8", k.lab, 28.8791, 7.0545, 10.3101);
    near("CV8 V L", k.variance[0], 1.4273, LAB_TOLERANCE);
    near("CV8 V a", k.variance[1], 0.5589, LAB_TOLERANCE);
    near("CV8 V b", k.variance[2], 0.6494, LAB_TOLERANCE);
    near("CV8 s2", k.s2, 0.6883, LAB_TOLERANCE);
    near("CV8 u", u_of(&k), 1.1325, LAB_TOLERANCE);
}

static void cv9_far_zone(void **state)
{
    (void)state;
    wm_kriged k;
    assert_true(
        wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = CV8_AIDS, .count = 2 }, (wm_lab){ 60, 3, 14 }));
    near_lab("CV9", k.lab, 60.0007, 2.3829, 12.6957);
    near("CV9 u", u_of(&k), 2.5780, LAB_TOLERANCE);
}

static void cv10_one_swatch_alone(void **state)
{
    (void)state;
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_SWATCH, .aids = CV8_AIDS, .count = 1 }, CV8_ZONE));
    near_lab("CV10", k.lab, 29.0258, 6.9889, 10.4922);
    near("CV10 s2", k.s2, 0.8039, LAB_TOLERANCE);
    near("CV10 u", u_of(&k), 1.7783, LAB_TOLERANCE);
}

static void cv11_contradiction(void **state)
{
    (void)state;
    const wm_krige_aid aids[2] = { { { 27, 7, 10 }, { 20, 9, 2 }, 0 }, { { 33, 9, 15 }, { 38, 3, 20 }, 0 } };
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 2 }, CV8_ZONE));
    near_lab("CV11", k.lab, 28.5390, 6.0556, 10.3228);
    near("CV11 s2, C17", k.s2, 4, 0);
    near("CV11 u", u_of(&k), 2.7674, LAB_TOLERANCE);
}

/* CV24: CV8 with swatches of u 1.1 each: variance 1.1^2 - 0.6^2 in L*, a quarter in a* and b*. */
static void cv24_c32_weak_swatches(void **state)
{
    (void)state;
    const wm_krige_aid aids[2] = { { { 27, 7, 10 }, { 26, 6, 8.5 }, 0.85 }, { { 33, 9, 15 }, { 31.5, 8, 13 }, 0.85 } };
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 2 }, CV8_ZONE));
    near_lab("CV24", k.lab, 28.9267, 7.0699, 10.3187);
    near("CV24 V L", k.variance[0], 1.7715, LAB_TOLERANCE);
    near("CV24 V a", k.variance[1], 0.6524, LAB_TOLERANCE);
    near("CV24 V b", k.variance[2], 0.7488, LAB_TOLERANCE);
    near("CV24 s2", k.s2, 0.6828, LAB_TOLERANCE);
    near("CV24 u", u_of(&k), 1.2344, LAB_TOLERANCE);
}

/* C7: the likelihood of one aid is that of a normal variable: residual -1 -1 -1.5 with k + noise of row gray (CV6's
 * kernel at p = q, solved by hand here from C8). */
static void c7_likelihood(void **state)
{
    (void)state;
    const wm_krige_set set = { .row = WM_KRIGE_GRAY, .aids = CV8_AIDS, .count = 1 };
    const double r[3] = { -1, -1, -1.5 };
    double want = 0;
    for (int o = 0; o < 3; o++) {
        const double v = wm_krige_kernel(WM_KRIGE_GRAY, o, CV8_AIDS[0].measured, CV8_AIDS[0].measured) +
                         pow(wm_krige_noise(WM_KRIGE_GRAY, o), 2);
        want -= r[o] * r[o] / v / 2 + log(v) / 2;
    }
    near("log likelihood", wm_krige_log_likelihood(&set), want, 1e-12);
}

/* C6: of twenty aids the twelve nearest, nearest first, ties by order. */
static void c6_nearest_twelve(void **state)
{
    (void)state;
    wm_krige_aid aids[20];
    for (int i = 0; i < 20; i++) {
        double L = 30 + (i % 2 ? 1 : -1) * (20 - i); /* the later, the nearer to 30 */
        aids[i] = (wm_krige_aid){ { L, 5, 10 }, { L, 5, 10 }, 0 };
    }
    aids[3] = aids[18]; /* a tie: index 3 before 18 */
    wm_kriged k;
    assert_true(
        wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_TARGET, .aids = aids, .count = 20 }, (wm_lab){ 30, 5, 10 }));
    assert_int_equal(k.used, WM_KRIGE_NEAREST);
    const int want[WM_KRIGE_NEAREST] = { 19, 3, 18, 17, 16, 15, 14, 13, 12, 11, 10, 9 };
    assert_memory_equal(k.nearest, want, sizeof want);
}

/* C11: z_i is what leaving the aid out would say: (r_i - prediction of r_i from the others) / its standard deviation.
 */
static void c11_leave_one_out(void **state)
{
    (void)state;
    const wm_krige_aid aids[4] = { { { 27, 7, 10 }, { 26, 6, 8.5 }, 0 },
                                   { { 33, 9, 15 }, { 31.5, 8, 13 }, 0 },
                                   { { 55, 3, 14 }, { 56, 3, 12 }, 0 },
                                   { { 20, 2, 3 }, { 19, 2.5, 2 }, 0 } };
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 4 }, CV8_ZONE));
    const double zone2[3] = { 0.64, 0.25, 0.25 }, noise2[3] = { 1.44, 0.49, 0.49 }; /* C8, row gray */
    worst_reset();
    for (int at = 0; at < 4; at++) {
        const int left_out = k.nearest[at];
        wm_krige_aid others[3];
        for (int i = 0, n = 0; i < 4; i++)
            if (i != left_out)
                others[n++] = aids[i];
        wm_kriged rest;
        const wm_lab p = aids[left_out].measured, q = aids[left_out].reference;
        assert_true(wm_krige(&rest, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = others, .count = 3 }, p));
        const double residual[3] = { q.L - rest.lab.L, q.a - rest.lab.a, q.b - rest.lab.b };
        for (int o = 0; o < 3; o++)
            near("C11 z", k.z_score[at][o], residual[o] / sqrt(rest.variance[o] - zone2[o] + noise2[o]), 1e-9);
    }
    worst_print("C11 leave-one-out against refitting");
}

/* C16 with C27: light that may differ from swatch to swatch makes a swatch of another lightness less suspect, one of
 * another hue not. */
static void c27_light_is_noise_in_lightness(void **state)
{
    (void)state;
    wm_krige_aid aids[4] = { { { 30, 6, 10 }, { 30, 6, 10 }, 0 },
                             { { 34, 6, 12 }, { 34, 6, 12 }, 0 },
                             { { 26, 6, 8 }, { 26, 6, 8 }, 0 },
                             { { 32, 6, 11 }, { 38, 6, 19 }, 0 } };
    wm_kriged plain, light;
    assert_true(wm_krige(&plain, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 4 }, aids[3].measured));
    assert_true(wm_krige(&light,
                         &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 4, .light = { .sd = 0.12 } },
                         aids[3].measured));
    assert_int_equal(plain.nearest[0], 3);
    assert_true(light.z_score[0][0] < 0.65 * plain.z_score[0][0]);
    near("b", light.z_score[0][2], plain.z_score[0][2], 0);
    near("C27", wm_light_to_lightness(0.12, 44), 2.4, 1e-12);
}

/* C27: two swatches in lights of their own; a zone goes with the one that hangs at it, one between them with both, and
 * its lightness is less certain the farther it is from them. Two that hang at one place can only be averaged. */
static void c27_a_zone_shares_the_light_of_its_swatch(void **state)
{
    (void)state;
    const wm_krige_aid aids[2] = { { { 30, 6, 10 }, { 25, 6, 10 }, 0 }, { { 30, 6, 10 }, { 35, 6, 10 }, 0 } };
    const wm_point where[2] = { { 1, 1 }, { 3, 1 } }, zones[4] = { { 2, 1 }, { 1, 1 }, { 3, 1 }, { 9, 9 } };
    wm_krige_set set = { .row = WM_KRIGE_GRAY, .aids = aids, .count = 2, .light = { .sd = 0.2, .where = where } };
    double L[4], V[4];
    wm_kriged k;
    for (int here = 0; here < 4; here++) {
        set.light.zone = &zones[here];
        assert_true(wm_krige(&k, &set, (wm_lab){ 30, 6, 10 }));
        L[here] = k.lab.L, V[here] = k.variance[0];
    }
    near("between", L[0], 30, 1e-9);
    near("far off", L[3], 30, 1e-9);
    /* by an independent implementation in numpy */
    near("at the first", L[1], 25.6713994, 1e-6);
    near("at the second", L[2], 60 - 25.6713994, 1e-6);
    near("V at both", V[1], 1.94741130, 1e-6);
    near("V at both", V[2], 1.94741130, 1e-6);
    near("V between", V[0], 10.0344932, 1e-6);
    near("V far off", V[3], 13.4449803, 1e-6);
    const wm_point one[2] = { { 1, 1 }, { 1, 1 } };
    set.light.where = one;
    assert_true(wm_krige(&k, &set, (wm_lab){ 30, 6, 10 }));
    near("averaged", k.lab.L, 30, 1e-9);
    near("noise of C8", wm_krige_noise(WM_KRIGE_SWATCH, 0), 1.2, 0);
}

/* C11: twelve aids that agree wholly would have s2 = 12 / 48; it stays at 0.4. */
static void c11_agreement_proves_no_more_than_it_can(void **state)
{
    (void)state;
    wm_krige_aid aids[12];
    for (int i = 0; i < 12; i++)
        aids[i] = (wm_krige_aid){ { 20 + 3 * i, 5, 10 }, { 20 + 3 * i, 5, 10 }, 0 };
    wm_kriged k;
    assert_true(
        wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = 12 }, (wm_lab){ 30, 5, 10 }));
    near("C11", k.s2, 0.4, 1e-12);
}

/* An aid without noise would be met exactly; with it the zone at the aid moves most of the way, never past it. */
static void c7_pulls_towards_the_aid(void **state)
{
    (void)state;
    const wm_krige_aid aid = { { 30, 8, 12 }, { 36, 8, 12 }, 0 };
    wm_kriged k;
    assert_true(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_SWATCH, .aids = &aid, .count = 1 }, aid.measured));
    assert_true(k.lab.L > 35.5 && k.lab.L < 36);
    assert_true(k.variance[0] > 0.64 && k.variance[0] < 0.64 + 1.44); /* zone^2 and at most noise^2 */
}

static void u_is_zero_without_sigma(void **state)
{
    (void)state;
    near("C12", wm_sigma_to_u(CV8_ZONE, (wm_lab){ 0, 0, 0 }), 0, 0);
    const double up = wm_de00(CV8_ZONE, (wm_lab){ 32, 8, 12 }), down = wm_de00(CV8_ZONE, (wm_lab){ 28, 8, 12 });
    near("C12 L alone", wm_sigma_to_u(CV8_ZONE, (wm_lab){ 2, 0, 0 }), (up + down) / 2, 1e-12);
}

static void c25_nonsense_is_refused_not_passed_on(void **state)
{
    (void)state;
    const wm_krige_aid aid = { { INFINITY, 0, 0 }, { 50, 0, 0 }, 0 };
    wm_kriged k;
    memset(&k, 7, sizeof k);
    assert_false(wm_krige(&k, &(wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = &aid, .count = 1 }, CV8_ZONE));
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(cv6_kernel),
                                        cmocka_unit_test(c8_every_constant),
                                        cmocka_unit_test(c6_twelve_aids_count),
                                        cmocka_unit_test(cv7_gray_card_only),
                                        cmocka_unit_test(cv8_two_swatches),
                                        cmocka_unit_test(cv9_far_zone),
                                        cmocka_unit_test(cv10_one_swatch_alone),
                                        cmocka_unit_test(cv11_contradiction),
                                        cmocka_unit_test(cv24_c32_weak_swatches),
                                        cmocka_unit_test(c7_likelihood),
                                        cmocka_unit_test(c6_nearest_twelve),
                                        cmocka_unit_test(c11_leave_one_out),
                                        cmocka_unit_test(c27_light_is_noise_in_lightness),
                                        cmocka_unit_test(c27_a_zone_shares_the_light_of_its_swatch),
                                        cmocka_unit_test(c11_agreement_proves_no_more_than_it_can),
                                        cmocka_unit_test(c7_pulls_towards_the_aid),
                                        cmocka_unit_test(u_is_zero_without_sigma),
                                        cmocka_unit_test(c25_nonsense_is_refused_not_passed_on) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
