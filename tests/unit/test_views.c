/* M11: views of one stack, with check values worked out apart from this code. Shades are invented. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "match/views.h"

static const wm_hair_law LAW = WM_HAIR_LAW_DEFAULT;
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
    assert_int_equal(wm_mix(&out, parts, 2, 1, &LAW, NULL), WM_OK);
    return wm_cone_to_lab(out);
}

typedef struct views_row {
    double q, tau;
    wm_lab gray, target;
    double a, ab, aba, bab, tolerance[4];
} views_row;

#define MIST                                                                                                           \
    {                                                                                                                  \
        68, 1.5, 5                                                                                                     \
    }
/* Tolerances follow the digits that the rule prints. */
static const views_row ROWS[] = {
    { 0.1, 2.76, MIST, { 29.92, 5.84, 13.03 }, 1.9713, 25.06, 5.70, 25.37, { 5e-5, 5e-3, 5e-3, 5e-3 } },
    { 0.2, 2.76, MIST, { 32.46, 5.52, 12.14 }, 4.0455, 23.07, 3.6852, 23.38, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.3, 2.76, MIST, { 35.14, 5.21, 11.38 }, 6.2809, 20.89, 1.7443, 21.21, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.5, 2.76, MIST, { 41.20, 4.59, 10.05 }, 11.5341, 15.63, 4.3367, 15.92, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.7, 2.76, MIST, { 48.80, 3.87, 8.72 }, 18.68, 11.26, 11.50, 8.4526, { 5e-3, 5e-3, 5e-3, 5e-5 } },
    { 0.3, 2.76, { 55, 2, 6 }, { 33.71, 5.19, 11.52 }, 5.1499, 14.53, 0.6847, 14.73, { 5e-5, 5e-3, 5e-5, 5e-3 } },
    { 0.3, 0.90, MIST, { 35.14, 5.21, 11.38 }, 6.2809, 9.60, 0.6511, 11.37, { 5e-5, 5e-3, 5e-5, 5e-3 } },
};

/* The larger distance of the two views. */
static double worst_of(const char *order, const wm_swatch *a, const wm_swatch *b, wm_lab target)
{
    const wm_swatch *layers[3];
    const wm_sight sight = { WM_HAIR_LAW_DEFAULT, WM_VIEW_WEIGHTS_DEFAULT, BASE };
    size_t count = strlen(order);
    for (size_t i = 0; i < count; i++)
        layers[i] = order[i] == 'A' ? a : b;
    wm_views views = wm_views_of(layers, count, &sight);
    return fmax(wm_de00(target, views.down), wm_de00(target, views.up));
}

static void m11_check_values(void **state)
{
    (void)state;
    static const char *const orders[] = { "A", "AB", "ABA", "BAB" };
    worst_reset();
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        const views_row *row = &ROWS[i];
        wm_swatch a = shade("a", BASE, row->tau), b = shade("b", row->gray, row->tau);
        wm_lab target = mix_target(row->gray, row->q);
        near("T L", target.L, row->target.L, 5.0001e-3);
        near("T a", target.a, row->target.a, 5.0001e-3);
        near("T b", target.b, row->target.b, 5.0001e-3);
        const double want[] = { row->a, row->ab, row->aba, row->bab };
        for (int o = 0; o < 4; o++)
            near(orders[o], worst_of(orders[o], &a, &b, target), want[o], row->tolerance[o] * 1.0001);
    }
    worst_print("M11 worst (printed digits)");
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
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(m11_check_values), cmocka_unit_test(m11_views) };
    return cmocka_run_group_tests_name("views", tests, NULL, NULL);
}
