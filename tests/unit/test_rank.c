/* M1 to M7 of the matching rules. Shades are invented; the thresholds of words and verdicts are the rules' own. */
#include "support/near.h"
#include "support/measured.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "match/rank.h"

static void m3_verdicts(void **state)
{
    (void)state;
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    static const struct {
        double de00;
        const char *name;
    } cases[] = { { 0, "match" },        { 1.8, "match" },   { 1.8001, "close" }, { 3.6, "close" },
                  { 3.6001, "visible" }, { 7.2, "visible" }, { 7.2001, "far" },   { 99, "far" } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(wm_verdict_name(wm_verdict_of(cases[i].de00, &limits)), cases[i].name);
}

static void m1_words(void **state)
{
    (void)state;
    static const struct {
        wm_lab hair, swatch;
        const char *words;
    } cases[] = {
        { { 50, 5, 20 }, { 50, 5, 20 }, "" },
        { { 50, 5, 20 }, { 50.49, 5, 20 }, "" },
        { { 50, 5, 20 }, { 50.5, 5, 20 }, "lighter" },
        { { 50, 5, 20 }, { 45, 5, 20 }, "darker" },
        { { 50, 5, 20 }, { 50, 6, 24 }, "richer" },
        { { 50, 5, 20 }, { 50, 4, 16 }, "softer" },
        { { 50, 5, 20 }, { 50, 9, 17.5 }, "redder" },      /* hue 62.8 after 76.0 */
        { { 50, 5, 20 }, { 50, 2, 20.5 }, "more golden" }, /* hue 84.4 */
        { { 50, 0.5, 20 }, { 50, -3, 20 }, "ashier" },     /* hue 98.5 after 88.6 */
        { { 50, 5, 20 }, { 50, -3, 20.4 }, "ashier" },     /* from the gold side beyond 95 degrees */
        { { 50, 5, 20 }, { 60, 4, 24 }, "lighter, richer, more golden" },
        { { 60, 5, 20 }, { 50, 7, 12 }, "darker, softer, redder" },
        { { 50, 3, -4.5 }, { 50, 4.2, 0 }, "more golden" }, /* hue 303.7 to 0: the short way round */
        { { 50, 4.2, 0 }, { 50, 3, -4.5 }, "redder" },
        { { 70, 1, 1 }, { 70, 1, 2 }, "richer, warmer" }, /* mean chroma 1.8: the hue angle means little */
        { { 70, 0, 3.2 }, { 70, 0, 2.8 }, "" },
        { { 70, 0, 3.5 }, { 60, 0.5, 1.5 }, "darker, softer, cooler" },
        { { 70, 0, 0 }, { 70, 0, 1 }, "richer, warmer" },
        { { 70, 3.9, 0 }, { 70, 3.75, 1.07 }, "warmer" },     /* mean chroma 3.9 */
        { { 70, 4.1, 0 }, { 70, 3.95, 1.1 }, "more golden" }, /* 4.1 */
        { { 50, 5, 20 }, { 50, -1.4, 20.5 }, "more golden" }, /* hue 93.9 */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char words[WM_WORDS_SIZE];
        wm_words(words, cases[i].hair, cases[i].swatch);
        if (strcmp(words, cases[i].words) != 0)
            fail_msg("case %zu: want '%s', got '%s'", i, cases[i].words, words);
    }
}

static wm_swatch shade(const char *code, double L, double a, double b)
{
    return wm_swatch_new(code, "", (wm_lab){ L, a, b });
}

static wm_measured hair_of(wm_lab lab)
{
    return measured(lab, (wm_lab){ 0.8, 0.5, 0.6 }, 1.0);
}

/* The distances of M6's check values come out of lightness steps: dE00 = dL / S_L, so L is searched for. */
static wm_lab lab_at(wm_lab from, double de00)
{
    double low = 0, high = 40;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        wm_lab there = { from.L + middle, from.a, from.b };
        if (wm_de00(there, from) < de00)
            low = middle;
        else
            high = middle;
    }
    return (wm_lab){ from.L + low, from.a, from.b };
}

static wm_ranked rank_of_one(const wm_swatch *swatch, wm_rank_target target)
{
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    const wm_swatch *items[] = { swatch };
    wm_shades shades = { .items = items, .count = 1 };
    wm_ranked ranked;
    wm_rank(&ranked, &shades, &target, &limits);
    return ranked;
}

static void m6_check_values(void **state)
{
    (void)state;
    wm_swatch oat = shade("oat", 40, 6, 18);
    const wm_zone_kind kinds[] = { WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT };
    const wm_zone_kind fewer[] = { WM_ZONE_MID, WM_ZONE_ROOT };
    double weight[3];
    wm_base_weights(weight, kinds, 3, false);
    wm_measured three[] = { hair_of(lab_at(oat.lab, 2)), hair_of(lab_at(oat.lab, 4)), hair_of(lab_at(oat.lab, 1)) };
    near("M6 mid 2, ends 4, root 1", rank_of_one(&oat, (wm_rank_target){ three, weight, 3 }).de00, 2.5, 5e-5);
    wm_base_weights(weight, fewer, 2, false);
    wm_measured two[] = { hair_of(lab_at(oat.lab, 2)), hair_of(lab_at(oat.lab, 1)) };
    const wm_rank_target target = { two, weight, 2 };
    near("M6 mid 2, root 1", rank_of_one(&oat, target).de00, 1.7321, 5e-5);
    weight[0] *= 7;
    weight[1] *= 7;
    near("M6 weights are renormalised", rank_of_one(&oat, target).de00, 1.7321, 5e-5);
    two[0].u_de00 = 2;
    two[1].u_de00 = 1;
    near("M6 u likewise", wm_measured_mean(two, weight, 2).u_de00, 1.7321, 5e-5);
    near("M2 with the swatch's 0.6", rank_of_one(&oat, target).u_de00, hypot(sqrt(3.0), 0.6), 1e-9);
    oat.u = 0;
    near("M2 without", rank_of_one(&oat, target).u_de00, sqrt(3.0), 1e-9);
}

static void m6_m9_weights(void **state)
{
    (void)state;
    double w[6];
    const wm_zone_kind all[] = { WM_ZONE_ROOT, WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_GRAY, WM_ZONE_MID, WM_ZONE_CARD };
    wm_base_weights(w, all, 6, false);
    static const double near_roots[] = { 0.25, 0.25, 0.25, 0, 0.25, 0 }, free_length[] = { 0.2, 0.2, 0.4, 0, 0.2, 0 };
    for (size_t i = 0; i < 6; i++)
        near("M6", w[i], near_roots[i], 1e-12);
    wm_base_weights(w, all, 6, true);
    for (size_t i = 0; i < 6; i++)
        near("M6 hangs free", w[i], free_length[i], 1e-12);
    const wm_zone_kind ends[] = { WM_ZONE_ENDS, WM_ZONE_ENDS };
    wm_base_weights(w, ends, 2, false);
    near("zones of one kind share", w[0], 0.5, 1e-12);
    const wm_zone_kind gray[] = { WM_ZONE_GRAY };
    wm_base_weights(w, gray, 1, false);
    near("gray has none", w[0], 0, 0);
}

static void m5_order_and_ties(void **state)
{
    (void)state;
    const wm_lab hair = { 50, 5, 20 };
    wm_swatch far = shade("a-far", 70, 5, 20), near_one = shade("z-near", 51, 5, 20),
              dear = shade("m-dear", 51.02, 5, 20), stocked = shade("y-stock", 50.98, 5, 20),
              cheap = shade("x-cheap", 51.01, 5, 20);
    stocked.stock_packs = 1;
    cheap.pack_price_milli = 1000;
    dear.pack_price_milli = 2000;
    const wm_swatch *orders[2][5] = { { &far, &near_one, &dear, &stocked, &cheap },
                                      { &cheap, &stocked, &dear, &near_one, &far } };
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    const wm_measured one = hair_of(hair);
    const wm_rank_target target = { &one, NULL, 1 };
    static const char *const want[] = { "y-stock", "x-cheap", "m-dear", "z-near", "a-far" };
    for (int order = 0; order < 2; order++) {
        wm_shades shades = { .items = orders[order], .count = 5 };
        wm_ranked ranked[5];
        wm_rank(ranked, &shades, &target, &limits);
        for (int i = 0; i < 5; i++) {
            assert_string_equal(ranked[i].swatch->code, want[i]);
            assert_int_equal(ranked[i].tied_with_best, i < 4);
        }
        assert_string_equal(ranked[4].words, "lighter");
        assert_int_equal(ranked[4].verdict, WM_VERDICT_FAR);
        near("parts", ranked[4].d_lightness, 20, 1e-12);
    }
}

/* M2 written out the long way for one colour: twelve displaced pairs of distances. */
static double plain_u_diff(const wm_measured *g, wm_swatch a, wm_swatch b)
{
    double sum = 0;
    for (int which = 0; which < 3; which++) {
        for (int o = 0; o < 3; o++) {
            double value[2];
            for (int side = 0; side < 2; side++) {
                wm_lab lab[3] = { g->lab, a.lab, b.lab };
                const double sigma[3] = { g->sigma.L, g->sigma.a, g->sigma.b };
                double s = which == 0 ? sigma[o] : wm_swatch_u(which == 1 ? &a : &b) * (o == 0 ? 1 : 0.5);
                *(o == 0 ? &lab[which].L : o == 1 ? &lab[which].a : &lab[which].b) += side ? -s : s;
                value[side] = wm_de00(lab[0], lab[1]) - wm_de00(lab[0], lab[2]);
            }
            sum += pow((value[0] - value[1]) / 2, 2);
        }
    }
    return sqrt(sum);
}

static void m2_ties_follow_u_diff(void **state)
{
    (void)state;
    const wm_measured one = hair_of((wm_lab){ 45, 7, 19 });
    const wm_rank_target target = { &one, NULL, 1 };
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    int tied = 0;
    for (int i = 0; i < 60; i++) {
        wm_swatch best = shade("best", 45.5, 7, 19.2),
                  other = shade("other", 46 + i * 0.1, 7 - i * 0.03, 19 + i * 0.04);
        other.u = 0.3 + 0.01 * i;
        const wm_swatch *items[] = { &other, &best };
        wm_shades shades = { .items = items, .count = 2 };
        wm_ranked ranked[2];
        wm_rank(ranked, &shades, &target, &limits);
        bool want = ranked[1].de00 - ranked[0].de00 < 2 * plain_u_diff(&one, best, other);
        assert_int_equal(ranked[1].tied_with_best, want);
        tied += want;
    }
    printf("# %d of 60 tied\n", tied);
    assert_true(tied > 5 && tied < 55);
}

/* C34 on shades of a frame: their own u takes part (CV19: 1.2 with u 1.1 is 1.5133, a runner-up; 1.2 with 0.6 a
 * name; 1.5 with 1.1 is 1.7607, a list of three), one photo allows no more than three, absolute colours change nothing,
 * and the sixth nearest has no part. */
static void c34_claim_among(void **state)
{
    (void)state;
    wm_swatch rows[6];
    const wm_swatch *items[6];
    const wm_shades shades = { .items = items, .count = 6 };
    const struct {
        double zone, u;
        int photos;
        bool framed;
        wm_claim claim;
    } CASES[] = { { 1.2, 1.1, 2, true, WM_CLAIM_RUNNER_UP }, { 1.2, 0.6, 2, true, WM_CLAIM_NAME },
                  { 1.5, 1.1, 2, true, WM_CLAIM_THREE },     { 1.2, 0.6, 1, true, WM_CLAIM_THREE },
                  { 1.2, 1.1, -1, false, WM_CLAIM_NAME },    { 2.6, 1.1, 2, true, WM_CLAIM_FIVE } };
    for (size_t k = 0; k < sizeof CASES / sizeof *CASES; k++) {
        for (int i = 0; i < 6; i++) {
            rows[i] = shade("oat", 40 + i, 5, 10);
            rows[i].u = i < 5 ? CASES[k].u : 9;
            rows[i].photos = CASES[k].photos;
            snprintf(rows[i].frame, sizeof rows[i].frame, "%s", CASES[k].framed ? "7e1fb084" : "");
            items[i] = &rows[i];
        }
        const wm_measured hair = measured((wm_lab){ 40, 5, 10 }, (wm_lab){ 1, 1, 1 }, CASES[k].zone);
        assert_int_equal(wm_claim_among(&hair, &shades), CASES[k].claim);
    }
    for (int i = 0; i < 6; i++) { /* the fifth has a part: sqrt(1.2^2 + (4 0.6^2 + 2^2) / 5 - 0.6^2) is 1.472 */
        rows[i].u = i < 4 ? 0.6 : i < 5 ? 2.0 : 9;
        rows[i].photos = 2;
        snprintf(rows[i].frame, sizeof rows[i].frame, "7e1fb084");
    }
    const wm_measured hair = measured((wm_lab){ 40, 5, 10 }, (wm_lab){ 1, 1, 1 }, 1.2);
    assert_int_equal(wm_claim_among(&hair, &shades), WM_CLAIM_RUNNER_UP);
}

/* C34: within a frame u of a distance has the sheet's contrast (CV18: zone 1.5, swatch 1.1). */
static void c34_distance_u(void **state)
{
    (void)state;
    wm_swatch row = shade("oat", 40, 5, 10);
    const wm_swatch *items[1] = { &row };
    const wm_shades shades = { .items = items, .count = 1 };
    const wm_measured hair = measured(lab_at(row.lab, 8), (wm_lab){ 1, 1, 1 }, 1.5);
    const wm_rank_target target = { &hair, NULL, 1 };
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    wm_ranked out;
    row.u = 1.1;
    snprintf(row.frame, sizeof row.frame, "7e1fb084");
    wm_rank(&out, &shades, &target, &limits);
    near("CV18 at 8", out.u_de00, 2.1311, 5e-5);
    row.frame[0] = '\0';
    wm_rank(&out, &shades, &target, &limits);
    near("M2", out.u_de00, hypot(1.5, 1.1), 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(c34_claim_among),   cmocka_unit_test(c34_distance_u),        cmocka_unit_test(m3_verdicts),
        cmocka_unit_test(m1_words),          cmocka_unit_test(m6_check_values),       cmocka_unit_test(m6_m9_weights),
        cmocka_unit_test(m5_order_and_ties), cmocka_unit_test(m2_ties_follow_u_diff),
    };
    return cmocka_run_group_tests_name("rank", tests, NULL, NULL);
}
