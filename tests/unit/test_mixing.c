/* B1 to B19 of the blending rules with the check values BV1 to BV24 (section 7), the simulated mixes of section 7 [S],
 * and the exact consequences of the formulas [F]. Check values are given to four decimals: tolerance 5e-5, or one unit
 * more where a Lab went in rounded. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>

#include "colour/difference.h"
#include "match/mixing.h"

static const wm_lab A = { 27.5, 6.2, 14.1 }, B = { 76.5, 2.4, 1.4 }, M = { 52.5, 4.8, 21.3 };
static const wm_hair_law LAW = WM_HAIR_LAW_DEFAULT;
static const double FOUR = 5.0001e-5;

static void near3(const char *name, const double *got, double x, double y, double z)
{
    const double want[] = { x, y, z };
    for (int i = 0; i < 3; i++)
        near(name, got[i], want[i], FOUR);
}

static void near_lab(const char *name, wm_lab got, double L, double a, double b)
{
    const double values[] = { got.L, got.a, got.b };
    near3(name, values, L, a, b);
}

static wm_cone mixed(wm_lab first, wm_lab second, double p, double phi)
{
    wm_part parts[] = { { wm_lab_to_cone(first), p }, { wm_lab_to_cone(second), 1 - p } };
    wm_cone out;
    assert_int_equal(wm_mix(&out, parts, 2, phi, &LAW, NULL), WM_OK);
    return out;
}

/* B1, B2, B3 */
static void bv1_to_bv5_transforms(void **state)
{
    (void)state;
    near3("BV1", wm_lab_to_cone(A).c, 0.0607, 0.0482, 0.0276);
    near3("BV2", wm_lab_to_cone(B).c, 0.5168, 0.5001, 0.4937);
    near_lab("BV3", wm_cone_to_lab((wm_cone){ { 0.30, 0.25, 0.15 } }), 58.7424, 7.8044, 21.8015);
    const double z[] = { wm_absorb(0.05, 0.75), wm_absorb(0.30, 0.75), wm_absorb(0.60, 0.75) };
    near3("BV4", z, 2.1204, 0.3705, 0.0656);
    const double c[] = { wm_unabsorb(0.5, 0.75), wm_unabsorb(1.0, 0.75), wm_unabsorb(3.9, 0.75) };
    near3("BV5", c, 0.2476, 0.1390, 0.0016);
}

static void b1_pure_shades_are_neither_black_nor_white(void **state)
{
    (void)state;
    const wm_cone inside = wm_cone_clamped((wm_cone){ { 0, 0.5, 1 } });
    near("B1 black", inside.c[0], 1e-4, 1e-9);
    near("B1 between", inside.c[1], 0.5, 0);
    near("B1 white", inside.c[2], 0.999, 1e-9);
}

static void bv6_to_bv9_mixes(void **state)
{
    (void)state;
    near_lab("BV6", wm_cone_to_lab(mixed(A, B, 0.5, 1)), 42.3353, 4.7504, 9.7403);
    near_lab("BV7", wm_cone_to_lab(mixed(A, B, 0.5, 0)), 59.8790, 2.8225, 3.0085);
    near_lab("BV8", wm_cone_to_lab(mixed(A, B, 0.7, 0.4)), 45.4748, 3.8048, 6.1426);
    near_lab("BV9", wm_cone_to_lab(mixed(M, B, 0.33, 1)), 65.2319, 3.2696, 13.5433);
}

/* B7, B19, B15 */
static void bv10_bv11_bv14_fineness_and_thickness(void **state)
{
    (void)state;
    near("BV10 n 1", wm_phi_of_locks(1, 0.3), 1, FOUR);
    near("BV10 n 16", wm_phi_of_locks(16, 0.3), 0.7478, FOUR);
    near("BV10 n 100", wm_phi_of_locks(100, 0.3), 0.5038, FOUR);
    near("BV10 n 1000", wm_phi_of_locks(1000, 0.3), 0.1987, FOUR);
    near("BV11 (3, 1)", wm_phi_of_edge(3, 1), 0.8945, FOUR);
    near("BV11 (8, 8)", wm_phi_of_edge(8, 8), 0.5795, FOUR);
    near("B19 one shade", wm_phi_of_edge(8, 0), 1, 0);
    near("BV14", wm_tau_of_weft(30, 300, 500, WM_HAIR_DIAMETER_MM), 2.7559, FOUR);
    near("B9 equal diameters: the mass share", wm_share_from_mass(30, 0.07, 70, 0.07), 0.3, 1e-12);
    near("B9 finer fibres cover more", wm_share_from_mass(30, 0.035, 30, 0.07), 2.0 / 3, 1e-12);
}

static void bv12_bv13_one_layer(void **state)
{
    (void)state;
    double R, T;
    wm_layer_reflect(0.05, 2, &LAW, &R, &T);
    near("BV12 R", R, 0.0485, FOUR);
    near("BV12 T", T, 0.1720, FOUR);
    wm_layer_reflect(0.60, 2, &LAW, &R, &T);
    near("BV13 R", R, 0.2578, FOUR);
    near("BV13 T", T, 0.6944, FOUR);
}

/* B14: a layer over what lies behind it. */
static wm_cone over(wm_lab shade, double tau, wm_cone behind)
{
    const wm_cone colour = wm_lab_to_cone(shade);
    for (int c = 0; c < 3; c++) {
        double R, T;
        wm_layer_reflect(colour.c[c], tau, &LAW, &R, &T);
        behind.c[c] = wm_layer_over(R, T, behind.c[c]);
    }
    return behind;
}

static wm_cone stacked(const wm_lab *shades, const double *tau, size_t count, wm_cone behind)
{
    while (count-- > 0)
        behind = over(shades[count], tau[count], behind);
    return behind;
}

/* B17, B18, B19 */
static void bv15_to_bv20_sandwich(void **state)
{
    (void)state;
    const wm_lab aba[] = { A, B, A };
    const double thin[] = { 1.5, 1, 1.5 }, thick[] = { 2.75, 2.75, 2.75 };
    wm_cone behind = wm_lab_to_cone(A), black = { { 0, 0, 0 } };
    wm_cone intact = stacked(aba, thin, 3, behind), parted = stacked(aba + 1, thin + 1, 2, behind);
    near_lab("BV15", wm_cone_to_lab(intact), 30.0792, 6.6229, 14.8203);
    near_lab("BV16", wm_cone_to_lab(stacked(aba, thin, 3, black)), 30.0248, 6.5484, 14.7462);
    near_lab("BV17", wm_cone_to_lab(stacked(aba, thick, 3, behind)), 28.1652, 6.6381, 14.6948);
    near_lab("BV18", wm_cone_to_lab(parted), 49.8173, 2.2058, 3.6716);
    wm_cone edge = mixed(A, B, 0.75, wm_phi_of_edge(3, 1)), seen;
    near_lab("BV19", wm_cone_to_lab(edge), 36.0164, 5.0682, 10.3307);
    for (int i = 0; i < 3; i++)
        seen.c[i] = 0.80 * intact.c[i] + 0.15 * parted.c[i] + 0.05 * edge.c[i];
    near_lab("BV20", wm_cone_to_lab(seen), 34.4068, 5.2915, 10.8771);
}

/* B10, each share with its fineness (B11) */
static void bv21_bv22_inverse(void **state)
{
    (void)state;
    static const struct {
        wm_lab target;
        double phi, q, de00;
    } cases[] = {
        { { 42.3353, 4.7504, 9.7403 }, 1, 0.5, 0 },         { { 42.3353, 4.7504, 9.7403 }, 0.5, 0.2514, 1.9188 },
        { { 42.3353, 4.7504, 9.7403 }, 0, 0.1537, 2.4652 }, { { 43.5, 5, 11 }, 1, 0.5267, 1.0244 },
        { { 43.5, 5, 11 }, 0.5, 0.2725, 2.9975 },           { { 43.5, 5, 11 }, 0, 0.1668, 3.5791 }
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wm_share_fit fit = wm_fit_share(A, B, cases[i].target, cases[i].phi, &LAW);
        near("BV21, BV22 q", fit.q, cases[i].q, FOUR);
        near("BV21, BV22 dE00", fit.de00, cases[i].de00, FOUR);
        assert_true(fit.q_low < fit.q && fit.q < fit.q_high);
        const double ends[] = { fit.q_low, fit.q_high };
        for (int e = 0; e < 2; e++)
            near("B10 interval ends 1 dE00 above the best",
                 wm_de00(wm_cone_to_lab(mixed(A, B, 1 - ends[e], cases[i].phi)), cases[i].target), fit.de00 + 1, 1e-6);
    }
    wm_share_fit pure = wm_fit_share(A, B, A, 1, &LAW);
    near("B10 at the end of the line", pure.q, 0, 1e-9);
    near("B10 interval stays within 0..1", pure.q_low, 0, 0);
}

static void bv24_one_layer_over_another_shade(void **state)
{
    (void)state;
    near_lab("BV24", wm_cone_to_lab(over(A, 2.75, wm_lab_to_cone(B))), 28.6381, 7.0177, 15.1422);
}

/* [S]: the formula against the light simulation, within dE00 1.2. */
static void simulated_mixes(void **state)
{
    (void)state;
    static const struct {
        wm_lab first, second, seen;
        double p;
    } cases[] = { { { 27.66, 7.20, 14.25 }, { 82.75, 1.83, 8.98 }, { 43.90, 5.29, 11.01 }, 0.5 },
                  { { 38.36, 7.79, 20.33 }, { 76.56, 2.49, 1.47 }, { 46.21, 6.56, 16.86 }, 0.67 },
                  { { 16.11, 1.04, 0.69 }, { 63.78, 0.20, 2.18 }, { 33.40, 0.71, 0.85 }, 0.5 } };
    worst_reset();
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        near("[S]", wm_de00(wm_cone_to_lab(mixed(cases[i].first, cases[i].second, cases[i].p, 1)), cases[i].seen), 0,
             1.2);
    worst_print("formula against simulated mixes, dE00");
}

/* B4 [F], B8 [F]: over a grid of pairs and shares. */
static void mixes_stay_between_and_nest(void **state)
{
    (void)state;
    const wm_lab shades[] = { A, B, M, { 10, 0, 0 }, { 95, -2, 5 }, { 0, 0, 0 }, { 40, 30, 40 } };
    worst_reset();
    for (size_t i = 0; i < 7; i++) {
        for (size_t j = 0; j < 7; j++) {
            for (int k = 0; k <= 40; k++) {
                double p = (k % 21) / 20.0, phi = k < 21 ? 1 : 0.3;
                wm_cone a = mixed(shades[i], shades[i], 1, 1), b = mixed(shades[j], shades[j], 1, 1),
                        m = mixed(shades[i], shades[j], p, phi);
                for (int c = 0; c < 3; c++)
                    assert_true(m.c[c] >= fmin(a.c[c], b.c[c]) - 1e-12 && m.c[c] <= fmax(a.c[c], b.c[c]) + 1e-12);
            }
            wm_part parts[] = { { wm_lab_to_cone(shades[i]), 0.2 }, { mixed(shades[i], shades[j], 0.25, 1), 0.8 } };
            wm_cone nested, flat = mixed(shades[i], shades[j], 0.4, 1);
            assert_int_equal(wm_mix(&nested, parts, 2, 1, &LAW, NULL), WM_OK);
            for (int c = 0; c < 3; c++)
                near("B8 nesting at phi 1", nested.c[c], flat.c[c], 1e-12);
        }
    }
    worst_print("nesting");
}

/* How far `count` layers of A and B in turn, together 60 thick, are from the fibre mix in the worst channel. */
static double distance_from_mix(size_t count)
{
    wm_cone mix = mixed(A, B, 0.5, 1), out = mix;
    for (size_t i = 0; i < count; i++)
        out = over(i % 2 ? A : B, 60.0 / (double)count, out);
    double worst = 0;
    for (int c = 0; c < 3; c++)
        worst = fmax(worst, fabs(out.c[c] - mix.c[c]));
    return worst;
}

/* B13 [F]: ever thinner layers in turn tend to the fibre mix: half the thickness, half the distance. */
static void thin_layers_tend_to_the_mix(void **state)
{
    (void)state;
    for (size_t count = 2000; count <= 8000; count *= 2)
        near("B13 limit", distance_from_mix(count * 2) / distance_from_mix(count), 0.5, 0.005);
    near("B13 limit", distance_from_mix(16000), 0, 5e-4);
}

static void b4_refuses_what_is_out_of_its_domain(void **state)
{
    (void)state;
    const double bad_share[][2] = { { 0.5, 0.6 }, { -0.1, 1.1 }, { NAN, 1 }, { 0.5, 0.4999 } };
    const double bad_phi[] = { -0.01, 1.01, NAN };
    wm_cone out = { { 7, 7, 7 } }, nan = { { NAN, 0, 0 } };
    wm_part parts[2] = { { wm_lab_to_cone(A), 0.5 }, { wm_lab_to_cone(B), 0.5 } };
    for (size_t i = 0; i < sizeof bad_phi / sizeof *bad_phi; i++)
        assert_int_equal(wm_mix(&out, parts, 2, bad_phi[i], &LAW, NULL), WM_E_USAGE);
    for (size_t i = 0; i < sizeof bad_share / sizeof *bad_share; i++) {
        parts[0].share = bad_share[i][0];
        parts[1].share = bad_share[i][1];
        assert_int_equal(wm_mix(&out, parts, 2, 1, &LAW, NULL), WM_E_USAGE);
    }
    parts[0] = (wm_part){ nan, 1 };
    assert_int_equal(wm_mix(&out, parts, 1, 1, &LAW, NULL), WM_E_USAGE);
    near("outputs are untouched", out.c[0], 7, 0);
}

/* B12: a blend made by another law gives that law back. */
static void b12_finds_the_law(void **state)
{
    (void)state;
    worst_reset();
    for (int i = 0; i <= 10; i++) {
        double g = 0.4 + 0.05 * i;
        wm_hair_law law = wm_hair_law_of(g);
        near("k0", law.k0, 1.5 * (1 - g), 1e-12);
        wm_part parts[] = { { wm_lab_to_cone(A), 0.5 }, { wm_lab_to_cone(B), 0.5 } };
        wm_cone out;
        assert_int_equal(wm_mix(&out, parts, 2, 1, &law, NULL), WM_OK);
        wm_law_fit fit = wm_fit_hair_law(A, B, wm_cone_to_lab(out));
        near("g", fit.law.g, g, 1e-6);
        near("dE00", fit.de00, 0, 1e-5);
        assert_true(fit.g_low <= fit.law.g && fit.law.g <= fit.g_high && fit.g_high - fit.g_low < 0.3);
    }
    worst_print("B12 g");
    wm_law_fit usual = wm_fit_hair_law(A, B, (wm_lab){ 42.3353, 4.7504, 9.7403 });
    near("the default law leaves nothing at BV6", usual.default_de00, 0, 1e-4);
    wm_law_fit blind = wm_fit_hair_law(A, A, A);
    near("two equal shades tell nothing", blind.g_high - blind.g_low, 0.5, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bv1_to_bv5_transforms),
        cmocka_unit_test(b1_pure_shades_are_neither_black_nor_white),
        cmocka_unit_test(bv6_to_bv9_mixes),
        cmocka_unit_test(bv10_bv11_bv14_fineness_and_thickness),
        cmocka_unit_test(bv12_bv13_one_layer),
        cmocka_unit_test(bv15_to_bv20_sandwich),
        cmocka_unit_test(bv21_bv22_inverse),
        cmocka_unit_test(bv24_one_layer_over_another_shade),
        cmocka_unit_test(simulated_mixes),
        cmocka_unit_test(mixes_stay_between_and_nest),
        cmocka_unit_test(thin_layers_tend_to_the_mix),
        cmocka_unit_test(b4_refuses_what_is_out_of_its_domain),
        cmocka_unit_test(b12_finds_the_law),
    };
    return cmocka_run_group_tests_name("mixing", tests, NULL, NULL);
}
