/* frame: C30 to C35 against the rules' own check values (CV15 to CV24) and against what they say in words. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>

#include "colour/difference.h"
#include "measure/frame.h"

static const double PRINTED = 5e-5; /* the check values are given to four decimals */
static const wm_lab LABS[4] = { { 20, 3, 2 }, { 30, 6, 10 }, { 50, 7, 20 }, { 75, 2, 8 } };

static void cv15_c30_own_u(void **state)
{
    (void)state;
    const double want[4] = { 1.0424, 1.0968, 1.4742, 1.4718 };
    for (int i = 0; i < 4; i++)
        near("CV15", wm_frame_own_u(WM_KRIGE_GRAY, LABS[i], (wm_lab){ 0, 0, 0 }), want[i], PRINTED);
    assert_true(wm_frame_own_u(WM_KRIGE_GRAY, LABS[1], (wm_lab){ 0.5, 0, 0 }) > want[1]);
}

static void cv16_c30_shared_u(void **state)
{
    (void)state;
    const double want[4] = { 6.6652, 6.2051, 6.5551, 6.3997 };
    for (int i = 0; i < 4; i++)
        near("CV16", wm_frame_shared_u(WM_KRIGE_GRAY, LABS[i], NULL, wm_frame_factor(WM_KRIGE_GRAY)), want[i], PRINTED);
    near("CV16 nothing", wm_frame_shared_u(WM_KRIGE_NONE, LABS[1], NULL, wm_frame_factor(WM_KRIGE_NONE)), 9.6171,
         PRINTED);
    const wm_kriged cv8 = { .lab = { 28.8791, 7.0545, 10.3101 }, .variance = { 1.4273, 0.5589, 0.6494 }, .s2 = 0.6883 };
    near("CV16 swatches", wm_frame_shared_u(WM_KRIGE_GRAY, cv8.lab, &cv8, 1), 0.8508, PRINTED);
}

static const wm_lab FRAME[12] = { { 19, 1.5, 0 }, { 23, 5, 5 },    { 27, 6, 9 },     { 30, 7.5, 13 },
                                  { 33, 7, 15 },  { 38, 7.5, 18 }, { 44, 7, 19.5 },  { 50, 5.5, 17 },
                                  { 55, 6, 19 },  { 61, 5.3, 20 }, { 68, 1.3, 6.6 }, { 81, 1, 5.8 } };
static const wm_lab SECOND[12] = { { 19.4, .6, .9 },    { 24, 4.4, 5.2 },    { 27.1, 4.8, 9.9 },  { 31.6, 6.7, 12.9 },
                                   { 33.4, 5.6, 16.1 }, { 40.4, 6.5, 18.1 }, { 45.3, 5.4, 20.9 }, { 53.1, 4.6, 17 },
                                   { 57.4, 4.4, 20.1 }, { 63.1, 4.2, 20.1 }, { 72, -.3, 7.1 },    { 85.1, -.9, 6.4 } };
/* What laying anew did to each, for CV17a. */
static const wm_lab LAID[12] = { { .5, -.6, .4 },  { -.9, .5, -.8 }, { .8, .9, .7 },   { -.6, -.8, .9 },
                                 { 1.2, .4, -1 },  { -1.1, .7, .6 }, { .9, -.9, 1.1 }, { -1.3, .6, -.7 },
                                 { 1.4, -.5, .8 }, { -1, .8, -.9 },  { 1.5, -.6, .5 }, { -1.4, .5, -.6 } };

static void cv17_c31_relaid(void **state)
{
    (void)state;
    wm_lab measured[12];
    wm_relaid relaid;
    for (int i = 0; i < 12; i++)
        measured[i] = SECOND[i];
    assert_true(wm_frame_relay(&relaid, measured, FRAME, 12));
    near("CV17 first L", measured[0].L, 19.1146, PRINTED), near("CV17 first a", measured[0].a, 1.5943, PRINTED),
        near("CV17 first b", measured[0].b, -0.0828, PRINTED);
    near("CV17 last L", measured[11].L, 80.6470, PRINTED), near("CV17 last a", measured[11].a, 0.7890, PRINTED),
        near("CV17 last b", measured[11].b, 6.0567, PRINTED);
    near("CV17 u1", relaid.u1, 0.5298, PRINTED);
    assert_false(relaid.laid_anew);
    for (int i = 0; i < 12; i++)
        measured[i] = (wm_lab){ FRAME[i].L + LAID[i].L, FRAME[i].a + LAID[i].a, FRAME[i].b + LAID[i].b };
    assert_true(wm_frame_relay(&relaid, measured, FRAME, 12));
    near("CV17a u1", relaid.u1, 0.9307, PRINTED);
    assert_true(relaid.laid_anew);
    assert_false(wm_frame_relay(&relaid, measured, FRAME, 9)); /* too few to tell */
    near("CV17 u of two", wm_frame_mean_u(1.08, 2), 0.8205, PRINTED);
    near("CV17 u of four", wm_frame_mean_u(1.08, 4), 0.6177, PRINTED);
    assert_true(wm_frame_laid_badly(3.2, 1) && !wm_frame_laid_badly(2.8, 1));
}

/* C31 from both sides of its limit: the same laying, stronger and weaker by a little. */
static void c31_limit_of_laying(void **state)
{
    (void)state;
    for (int k = 0; k < 2; k++) {
        const double strength = k ? 0.80 : 0.75; /* u1 0.778 and 0.738 */
        wm_lab measured[12];
        wm_relaid relaid;
        for (int i = 0; i < 12; i++)
            measured[i] = (wm_lab){ FRAME[i].L + strength * LAID[i].L, FRAME[i].a + strength * LAID[i].a,
                                    FRAME[i].b + strength * LAID[i].b };
        assert_true(wm_frame_relay(&relaid, measured, FRAME, 12));
        assert_int_equal(relaid.laid_anew, k);
    }
}

static void cv18_cv19_c34(void **state)
{
    (void)state;
    near("CV18", wm_frame_distance_u(1.5, 1.1, 1.2), 1.8666, PRINTED);
    near("CV18 far", wm_frame_distance_u(1.5, 1.1, 8), 2.1311, PRINTED);
    near("CV19", wm_frame_claim_u(1.2, 1.1 * 1.1), 1.5133, PRINTED);
    near("CV19 .62", wm_frame_claim_u(1.2, 0.62 * 0.62), 1.2101, PRINTED);
    near("CV19 .5", wm_frame_claim_u(1.2, 0.25), 1.2, PRINTED);
    near("CV19 1.5", wm_frame_claim_u(1.5, 1.1 * 1.1), 1.7607, PRINTED);
    near("C32 no better than an instrument", wm_frame_weakness(0.59), 0, 0);
    near("C32", wm_frame_weakness(1.1), 0.85, 1e-12);
}

static wm_krige_set join_set(wm_krige_aid *aids, const int *which, size_t count)
{
    for (size_t i = 0; i < count; i++)
        aids[i] = (wm_krige_aid){ SECOND[which[i]], FRAME[which[i]], 0 };
    return (wm_krige_set){ .row = WM_KRIGE_GRAY, .aids = aids, .count = count };
}

static void cv20_cv21_c33_join(void **state)
{
    (void)state;
    const int four[4] = { 1, 4, 7, 10 };
    wm_krige_aid aids[4];
    wm_joined joined;
    wm_krige_set set = join_set(aids, four, 4);
    assert_true(wm_frame_join(&joined, &set, SECOND[2]));
    near("CV20 L", joined.lab.L, 26.5984, PRINTED), near("CV20 a", joined.lab.a, 5.6365, PRINTED),
        near("CV20 b", joined.lab.b, 9.3891, PRINTED);
    near("CV20 s2", joined.disagreement, 0.7398, PRINTED);
    near("CV20 u", joined.u_de00, 1.3566, PRINTED);
    assert_true(wm_frame_spans(aids, 4) && wm_frame_spans(aids, 3));
    assert_false(wm_frame_spans(aids, 2));
    const int alike[3] = { 2, 3, 4 }; /* L* 27, 30, 33 */
    join_set(aids, alike, 3);
    assert_false(wm_frame_spans(aids, 3));
    assert_true(wm_frame_keeps(2.4) && !wm_frame_keeps(2.6));
}

/* The span of C33 from both sides: 12 L* from the darkest to the lightest, half of that either side of the one between.
 */
static void c33_span(void **state)
{
    (void)state;
    wm_krige_aid aids[3] = { { .reference = { 20, 5, 9 } },
                             { .reference = { 26.2, 5, 9 } },
                             { .reference = { 32.4, 5, 9 } } };
    assert_true(wm_frame_spans(aids, 3));
    aids[1].reference.L = 25.5, aids[2].reference.L = 31.2;
    assert_false(wm_frame_spans(aids, 3));
}

/* CV22: a lot beside the old swatch has changed beyond these distances, by one, two and four photos; one photo leaves a
 * swatch a u of 1.06 (C30, CV15), several the root of their number less. */
static void cv22_c35_lots(void **state)
{
    (void)state;
    const double want[3] = { 3.0000, 2.1213, 1.5000 }, u[3] = { 1.06, 0.75, 0.53 };
    for (int i = 0; i < 3; i++) {
        assert_true(wm_frame_drifted(1.02 * want[i], u[i], u[i]));
        assert_false(wm_frame_drifted(0.98 * want[i], u[i], u[i]));
    }
    assert_true(wm_frame_drifted(3.0, 1.0, 1.0) && !wm_frame_drifted(2.7, 1.0, 1.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(cv15_c30_own_u),  cmocka_unit_test(cv16_c30_shared_u),
                                        cmocka_unit_test(cv17_c31_relaid), cmocka_unit_test(c31_limit_of_laying),
                                        cmocka_unit_test(cv18_cv19_c34),   cmocka_unit_test(cv20_cv21_c33_join),
                                        cmocka_unit_test(c33_span),        cmocka_unit_test(cv22_c35_lots) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
