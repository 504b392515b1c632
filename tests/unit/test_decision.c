/* decision: what to sew, end to end. Heads and shades are invented; expected choices and gaps come from an independent
 * implementation in Python of the same rules (check values DV5 to DV9), unless marked. */
#include "match/decision.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

enum { SHADES = 24 };

/* Invented. stock is that of all; u 0.6. */
typedef struct row_of_catalogue {
    const char *code;
    wm_lab lab;
    double gray_share;
} row_of_catalogue;

static const row_of_catalogue USUAL[] = {
    { "fog", { 68.79, 1.25, 6.65 }, 0 },        { "frost", { 81.3, 0.95, 5.84 }, 0 },
    { "ink", { 18.75, 1.48, -0.24 }, 0 },       { "loam", { 28.83, 5.01, 9.89 }, 0 },
    { "moth", { 39.81, 5.16, 14.07 }, 0 },      { "pewter", { 60.2, 1.3, 7.17 }, 0 },
    { "thistle", { 55.74, 1.95, 6.46 }, 0.55 }, { "umber", { 26.28, 6.19, 9.12 }, 0 },
};

typedef struct shop {
    wm_swatch swatches[SHADES];
    const wm_swatch *items[SHADES];
    wm_shades shades;
} shop;

static void stock_shop(shop *s, const row_of_catalogue *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        s->swatches[i] = wm_swatch_new(rows[i].code, "", rows[i].lab);
        s->swatches[i].u = 0.6;
        s->swatches[i].stock_packs = 1;
        s->swatches[i].gray_share = rows[i].gray_share;
        s->items[i] = &s->swatches[i];
    }
    s->shades = (wm_shades){ .items = s->items, .count = count };
}

static wm_cone blended(wm_lab base, wm_lab gray, double share)
{
    wm_cone b = wm_lab_to_cone(base), g = wm_lab_to_cone(gray);
    for (int c = 0; c < 3; c++)
        b.c[c] = (1 - share) * b.c[c] + share * g.c[c];
    return b;
}

static wm_head_zone zone_of(wm_zone_kind kind, const char *name, double share)
{
    const wm_lab base = { 28, 6, 11 }, gray = { 66, 1.3, 7 };
    wm_head_zone zone = { .kind = kind,
                          .lab = wm_cone_to_lab(blended(base, gray, share)),
                          .sigma = { 1.25, 0.75, 0.85 },
                          .u_de00 = 1.2,
                          .has_share = true,
                          .share = share,
                          .u_share = 0.06,
                          .has_populations = share > 0,
                          .base = base,
                          .gray = gray };
    strcpy(zone.name, name);
    return zone;
}

static void what_to_sew_for_the_head_of_the_check_values(void **state)
{
    (void)state;
    shop here;
    stock_shop(&here, USUAL, 8);
    const wm_head_zone zones[] = { zone_of(WM_ZONE_ROOT, "crown", 0.24), zone_of(WM_ZONE_GRAY, "temple", 0.40),
                                   zone_of(WM_ZONE_MID, "mid", 0.12), zone_of(WM_ZONE_ENDS, "ends", 0) };
    wm_decision_input input = WM_DECISION_INPUT_INIT;
    wm_decision *decision = calloc(1, sizeof *decision);
    wm_error err = { 0 };
    input.zones = zones;
    input.zone_count = 4;
    input.hair = &here.shades;
    assert_int_equal(wm_decide(decision, &input, &err), WM_OK);
    assert_true(decision->has_proposal && decision->sewable && decision->load.assumed);
    assert_int_equal(decision->proposal.layers, 2);
    assert_string_equal(decision->proposal.shades[0].code, "loam");
    assert_string_equal(decision->proposal.shades[1].code, "fog");
    near("DV5, two layers: gap", decision->proposal.gap, 4.4895, 5e-5);
    assert_int_equal(decision->proposal.verdict, WM_VERDICT_VISIBLE);
    near("close", decision->proposal.within[1], 0.2812, 5e-5);
    assert_string_equal(decision->runner_up.shades[0].code, "umber");
    near("runner-up", decision->runner_up.gap, 3.9725, 5e-5);
    assert_int_equal(decision->scenario_count, 6);
    free(decision);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_to_sew_for_the_head_of_the_check_values),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
