/* M11 to M13, M17: views and judgement of one stack, with the check values of section 6 of the matching rules.
 * Shades are invented. */
#include "support/near.h"
#include "support/measured.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "match/layers.h"
#include "measure/kriging.h"

static const wm_layers_settings SETTINGS = WM_LAYERS_SETTINGS_DEFAULT;
static const wm_lab BASE = { 27.5, 6.2, 14.1 };

/* A pack that makes tau come out as asked (B15): 2.76 is what an unknown pack gives. */
static wm_swatch shade(const char *code, wm_lab lab, double tau)
{
    wm_swatch swatch = wm_swatch_new(code, "", lab);
    if (fabs(tau - WM_TAU_DEFAULT) > 1e-9) {
        swatch.pieces_per_pack = 1;
        swatch.piece_width_cm = 30;
        swatch.length_cm = 50;
        swatch.pack_weight_g = 30 * tau / wm_tau_of_weft(30, 300, 500, WM_HAIR_DIAMETER_MM);
    }
    return swatch;
}

/* T = fibre mix (B5, phi 1) of share q of gray in the base. */
static wm_lab mix_target(wm_lab gray, double q)
{
    wm_part parts[] = { { wm_lab_to_cone(BASE), 1 - q }, { wm_lab_to_cone(gray), q } };
    wm_cone out;
    assert_int_equal(wm_mix(&out, parts, 2, 1, &SETTINGS.law, NULL), WM_OK);
    return wm_cone_to_lab(out);
}

static wm_layers_goal goal_at(wm_lab target)
{
    return (wm_layers_goal){ measured(target, (wm_lab){ 0.8, 0.5, 0.6 }, 1.0),
                             measured(BASE, (wm_lab){ 0.8, 0.5, 0.6 }, 1.0) };
}

typedef struct m12_row {
    double q, tau;
    wm_lab gray, target;
    double a, ab, aba, bab, tolerance[4];
} m12_row;

#define MIST                                                                                                           \
    {                                                                                                                  \
        68, 1.5, 5                                                                                                     \
    }
/* Tolerances follow the digits that the rule prints. */
static const m12_row ROWS[] = {
    { 0.1, 2.76, MIST, { 29.92, 5.84, 13.03 }, 1.9713, 25.06, 5.70, 25.37, { 5e-5, 5e-3, 5e-3, 5e-3 } },
    { 0.2, 2.76, MIST, { 32.46, 5.52, 12.14 }, 4.0455, 23.07, 3.6852, 23.38, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.3, 2.76, MIST, { 35.14, 5.21, 11.38 }, 6.2809, 20.89, 1.7443, 21.21, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.5, 2.76, MIST, { 41.20, 4.59, 10.05 }, 11.5341, 15.63, 4.3367, 15.92, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.7, 2.76, MIST, { 48.80, 3.87, 8.72 }, 18.68, 11.26, 11.50, 8.4526, { 5e-3, 5e-3, 5e-3, 5e-5 } },
    { 0.3, 2.76, { 55, 2, 6 }, { 33.71, 5.19, 11.52 }, 5.1499, 14.53, 0.6847, 14.73, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.3, 0.90, MIST, { 35.14, 5.21, 11.38 }, 6.2809, 9.60, 0.6511, 11.37, { 5e-5, 5e-3, 5e-5, 5e-3 } },
};

static double worst_of(const char *order, const wm_swatch *a, const wm_swatch *b, const wm_layers_goal *goal)
{
    const wm_swatch *layers[3];
    size_t count = strlen(order);
    for (size_t i = 0; i < count; i++)
        layers[i] = order[i] == 'A' ? a : b;
    wm_proposal proposal;
    wm_layers_judge(&proposal, layers, count, goal, &SETTINGS);
    return proposal.worst_de00;
}

static void m11_m12_check_values(void **state)
{
    (void)state;
    static const char *const orders[] = { "A", "AB", "ABA", "BAB" };
    worst_reset();
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        const m12_row *row = &ROWS[i];
        wm_swatch a = shade("a", BASE, row->tau), b = shade("b", row->gray, row->tau);
        wm_layers_goal goal = goal_at(mix_target(row->gray, row->q));
        near("T L", goal.target.lab.L, row->target.L, 5.0001e-3);
        near("T a", goal.target.lab.a, row->target.a, 5.0001e-3);
        near("T b", goal.target.lab.b, row->target.b, 5.0001e-3);
        const double want[] = { row->a, row->ab, row->aba, row->bab };
        for (int o = 0; o < 4; o++)
            near(orders[o], worst_of(orders[o], &a, &b, &goal), want[o], row->tolerance[o] * 1.0001);
    }
    worst_print("M12 worst (printed digits)");
}

/* M13: at 0.2 of gray A stays although ABA is nearer by 0.36; at 0.3 ABA earns its place. */
static void m13_what_earns_its_place(void **state)
{
    (void)state;
    for (int i = 1; i <= 2; i++) {
        const m12_row *row = &ROWS[i];
        wm_swatch a = shade("a", BASE, row->tau), b = shade("b", row->gray, row->tau);
        a.u = b.u = 0.3;
        const wm_swatch *one[] = { &a }, *three[] = { &a, &b, &a };
        wm_layers_goal goal = goal_at(mix_target(row->gray, row->q));
        wm_proposal held, other;
        wm_layers_judge(&held, one, 1, &goal, &SETTINGS);
        wm_layers_judge(&other, three, 3, &goal, &SETTINGS);
        wm_gain gain = wm_layers_gain(&held, &other, &goal, &SETTINGS);
        near("gain", gain.de00, row->a - row->aba, 1.1e-4);
        near("needed", gain.needed, fmax(0.5, gain.u_de00), 0);
        assert_int_equal(gain.earned, i == 2);
        wm_gain back = wm_layers_gain(&other, &held, &goal, &SETTINGS); /* either way */
        near("gain back", back.de00, -gain.de00, 1e-12);
        near("u back", back.u_de00, gain.u_de00, 1e-9);
        assert_false(back.earned);
        wm_gain none = wm_layers_gain(&held, &held, &goal, &SETTINGS);
        near("against itself nothing is uncertain", none.u_de00, 0, 1e-12);
    }
}

/* u_diff written out the long way for A against ABA: fifteen... T, the pile, A (in both), B: twelve numbers. */
static void m13_u_diff_the_long_way(void **state)
{
    (void)state;
    wm_swatch a = shade("a", BASE, 2.76), b = shade("b", (wm_lab)MIST, 2.76);
    a.u = 0.4;
    wm_layers_goal goal = goal_at((wm_lab){ 35, 5, 11 });
    goal.pile.sigma = (wm_lab){ 1.5, 0.4, 0.9 };
    double sum = 0;
    for (int k = 0; k < 12; k++) {
        double value[2];
        for (int side = 0; side < 2; side++) {
            wm_swatch ma = a, mb = b;
            wm_layers_goal mg = goal;
            wm_lab *lab[] = { &mg.target.lab, &mg.pile.lab, &ma.lab, &mb.lab };
            const double sigma[4][3] = { { 0.8, 0.5, 0.6 }, { 1.5, 0.4, 0.9 }, { 0.4, 0.2, 0.2 }, { 0.6, 0.3, 0.3 } };
            double *x = k % 3 == 0 ? &lab[k / 3]->L : k % 3 == 1 ? &lab[k / 3]->a : &lab[k / 3]->b;
            *x += side ? -sigma[k / 3][k % 3] : sigma[k / 3][k % 3];
            value[side] = worst_of("A", &ma, &mb, &mg) - worst_of("ABA", &ma, &mb, &mg);
        }
        sum += pow((value[0] - value[1]) / 2, 2);
    }
    const wm_swatch *one[] = { &a }, *three[] = { &a, &b, &a };
    wm_proposal held, other;
    wm_layers_judge(&held, one, 1, &goal, &SETTINGS);
    wm_layers_judge(&other, three, 3, &goal, &SETTINGS);
    near("u_diff", wm_layers_gain(&held, &other, &goal, &SETTINGS).u_de00, sqrt(sum), 1e-9);
    assert_true(sum > 0.01);
}

/* M11: a view is the area mean in linear light of its three colours; up is the reversed stack seen down. */
static void m11_views(void **state)
{
    (void)state;
    wm_swatch a = shade("a", BASE, 1.5), b = shade("b", (wm_lab){ 76.5, 2.4, 1.4 }, 1.0),
              c = shade("c", (wm_lab){ 45, 8, 20 }, 2);
    const wm_sight sight = { WM_HAIR_LAW_DEFAULT, WM_VIEW_WEIGHTS_DEFAULT, BASE };
    const wm_swatch *aba[] = { &a, &b, &a }, *abc[] = { &a, &b, &c }, *cba[] = { &c, &b, &a }, *ab[] = { &a, &b },
                    *ba[] = { &b, &a };
    wm_views views = wm_views_of(aba, 3, &sight);
    near("BV15 L", views.intact.L, 30.0792, 5.0001e-5);
    near("BV18 L", views.moved.L, 49.8173, 5.0001e-5);
    near("BV19 L", views.edge.L, 36.0164, 5.0001e-5);
    near("BV20 L", views.down.L, 34.4068, 5.0001e-5);
    near("BV20 a", views.down.a, 5.2915, 5.0001e-5);
    near("BV20 b", views.down.b, 10.8771, 5.0001e-5);
    near("a sandwich looks the same from both sides", wm_de00(views.down, views.up), 0, 0);
    wm_views forth = wm_views_of(ab, 2, &sight), back = wm_views_of(ba, 2, &sight);
    near("up is the reverse", wm_de00(forth.up, back.down) + wm_de00(forth.down, back.up), 0, 0);
    assert_true(wm_de00(forth.down, forth.up) > 5);
    wm_views three = wm_views_of(abc, 3, &sight),
             three_back = wm_views_of(cba, 3, &sight); /* was installed, is judged */
    near("three shades, up is the reverse", wm_de00(three.up, three_back.down), 0, 0);
    wm_proposal judged;
    wm_layers_goal goal = goal_at((wm_lab){ 40, 5, 12 });
    wm_layers_judge(&judged, abc, 3, &goal, &SETTINGS);
    assert_int_equal(judged.shade_count, 3);
    wm_layers_judge(&judged, aba, 3, &goal, &SETTINGS);
    assert_int_equal(judged.shade_count, 2);
    assert_int_equal(judged.of_each[0], 2);
    assert_int_equal(judged.of_each[1], 1);
}

/* A single opaque layer over a pile of itself is that shade: M2's u is then that of a plain distance. */
static void m2_u_of_a_proposal(void **state)
{
    (void)state;
    wm_swatch a = shade("a", BASE, 25);
    a.u = 0.8;
    const wm_swatch *one[] = { &a };
    wm_layers_goal goal = { measured((wm_lab){ 29, 6, 13 }, (wm_lab){ 0.5, 0.5, 0.5 }, 0.9),
                            measured(BASE, (wm_lab){ 0, 0, 0 }, 0) };
    wm_layers_settings settings = SETTINGS;
    settings.weights = (wm_view_weights){ 1, 0, 0 };
    wm_proposal proposal;
    wm_layers_judge(&proposal, one, 1, &goal, &settings);
    near("colour", wm_de00(proposal.views.down, BASE), 0, 0.02);
    double own = wm_sigma_to_u(BASE, (wm_lab){ 0.8, 0.4, 0.4 });
    near("u", proposal.u_de00, hypot(0.9, own), 0.01);
}

static void m12_views_that_count(void **state)
{
    (void)state;
    near("both", wm_worst_of(2, 3, WM_WORN_BOTH), 3, 0);
    near("down", wm_worst_of(2, 3, WM_WORN_DOWN), 2, 0);
    near("up", wm_worst_of(2, 3, WM_WORN_UP), 3, 0);
    near("up", wm_worst_of(4, 3, WM_WORN_UP), 3, 0);
}

static void m17_target_at_a_share(void **state)
{
    (void)state;
    const wm_lab gray = MIST;
    near("0", wm_de00(wm_target_at_share(BASE, gray, 0), BASE), 0, 1e-6);
    near("1", wm_de00(wm_target_at_share(BASE, gray, 1), gray), 0, 1e-6);
    near("clamped", wm_de00(wm_target_at_share(BASE, gray, 1.2), gray), 0, 1e-6);
    wm_lab t = wm_target_at_share(BASE, gray, 0.3);
    double y = 0.7 * wm_lab_to_xyz(BASE, WM_D50).Y + 0.3 * wm_lab_to_xyz(gray, WM_D50).Y;
    near("linear in light", wm_lab_to_xyz(t, WM_D50).Y, y, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(m11_m12_check_values),    cmocka_unit_test(m13_what_earns_its_place),
        cmocka_unit_test(m13_u_diff_the_long_way), cmocka_unit_test(m11_views),
        cmocka_unit_test(m2_u_of_a_proposal),      cmocka_unit_test(m12_views_that_count),
        cmocka_unit_test(m17_target_at_a_share),
    };
    return cmocka_run_group_tests_name("layers", tests, NULL, NULL);
}
