/* rank_targets: what of the client is matched to what (M6, M7), from zones filled in by hand. Expected values are
 * worked from the rules in the comments beside them. */
#include "consult/rank_targets.h"
#include "support/near.h"
#include "support/measured.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 8 };

typedef struct head {
    wm_report_zone zones[MOST];
    wm_report report;
} head;

/* A zone of one colour, its gray not resolved. */
static wm_report_zone *add(head *h, wm_zone_kind kind, const char *name, wm_lab lab, double u)
{
    size_t i = h->report.zone_count++;
    assert_true(i < MOST);
    h->zones[i] = (wm_report_zone){ .kind = kind, .gray_status = WM_GRAY_NOT_RESOLVED };
    snprintf(h->zones[i].name, sizeof h->zones[i].name, "%s", name);
    h->zones[i].body = measured(lab, (wm_lab){ u, u / 2, u / 4 }, u);
    h->report.zones = h->zones;
    return &h->zones[i];
}

/* Gives a zone its two populations. */
static void split(wm_report_zone *zone, double share, wm_lab base, wm_lab gray, wm_gray_status status)
{
    zone->gray_status = status;
    zone->share = share;
    zone->base_known = zone->gray_known = true;
    zone->base = measured(base, (wm_lab){ 1, 1, 1 }, 1.1);
    zone->gray = measured(gray, (wm_lab){ 2, 2, 2 }, 2.2);
}

static wm_rank_targets goals_of(const head *h, bool hangs_free)
{
    wm_rank_targets targets;
    wm_error err = { 0 };
    if (wm_rank_targets_of(&targets, &h->report, hangs_free, &err))
        fail_msg("%s", err.text);
    return targets;
}

static void same_lab(const char *name, wm_lab got, wm_lab want)
{
    near(name, got.L, want.L, 1e-9);
    near(name, got.a, want.a, 1e-9);
    near(name, got.b, want.b, 1e-9);
}

static const wm_lab DARK = { 25, 5, 8 }, MIDDLE = { 35, 6, 12 }, LIGHT = { 50, 6, 18 }, SILVER = { 70, 1, 6 },
                    SMOKE = { 45, 4, 9 };

static void M6_weights_mid_ends_root_and_leaves_gray_zones_out(void **state)
{
    (void)state;
    head h = { 0 };
    add(&h, WM_ZONE_ROOT, "crown", DARK, 1);
    add(&h, WM_ZONE_GRAY, "temple", SILVER, 1);
    add(&h, WM_ZONE_MID, "left", MIDDLE, 2);
    add(&h, WM_ZONE_MID, "right", LIGHT, 2);
    add(&h, WM_ZONE_ENDS, "ends", LIGHT, 3);
    wm_rank_targets g = goals_of(&h, false);
    assert_int_equal(g.base_count, 4);
    const double weights[4] = { 0.25, 0.25, 0.25, 0.25 }; /* mid's half is shared by two */
    for (size_t i = 0; i < 4; i++)
        near("M6 weight", g.base_weights[i], weights[i], 1e-12);
    same_lab("M6 order is the file's", g.base[0].lab, DARK);
    near("u goes along", g.base[3].u_de00, 3, 0);
    wm_rank_targets_free(&g);
    g = goals_of(&h, true); /* for length: mid 0.4, ends 0.4, root 0.2 */
    near("M6 root", g.base_weights[0], 0.2, 1e-12);
    near("M6 each mid", g.base_weights[1], 0.2, 1e-12);
    near("M6 ends", g.base_weights[3], 0.4, 1e-12);
    wm_rank_targets_free(&g);
}

static void M6_renormalises_what_is_missing_or_refused(void **state)
{
    (void)state;
    head h = { 0 };
    add(&h, WM_ZONE_ROOT, "crown", DARK, 1);
    add(&h, WM_ZONE_MID, "mid", MIDDLE, 1)->refused = true;
    add(&h, WM_ZONE_ENDS, "ends", LIGHT, 1);
    wm_rank_targets g = goals_of(&h, false);
    assert_int_equal(g.base_count, 2);
    near("M6 root", g.base_weights[0], 0.5, 1e-12);
    near("M6 ends", g.base_weights[1], 0.5, 1e-12);
    assert_false(g.has_gray);
    wm_rank_targets_free(&g);
}

static void M6_enters_with_the_base_population_where_gray_is_seen(void **state)
{
    (void)state;
    const struct {
        wm_gray_status status;
        const wm_lab *want;
    } rows[] = { { WM_GRAY_MEASURED, &DARK },
                 { WM_GRAY_LOW, &DARK },
                 { WM_GRAY_NONE_SEEN, &SMOKE },
                 { WM_GRAY_NOT_RESOLVED, &SMOKE },
                 { WM_GRAY_NOT_MEASURED, &SMOKE } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        head h = { 0 };
        split(add(&h, WM_ZONE_MID, "mid", SMOKE, 3), 0.3, DARK, SILVER, rows[i].status);
        wm_rank_targets g = goals_of(&h, false);
        same_lab("M6 colour", g.base[0].lab, *rows[i].want);
        near("M6 its own u", g.base[0].u_de00, rows[i].want == &DARK ? 1.1 : 3, 0);
        wm_rank_targets_free(&g);
    }
}

static void M7_takes_the_gray_fibres_or_says_that_the_body_stands_in(void **state)
{
    (void)state;
    const struct {
        wm_gray_status status;
        const wm_lab *want;
        const char *said;
    } rows[] = { { WM_GRAY_MEASURED, &SILVER, "" },
                 { WM_GRAY_NONE_SEEN, &SMOKE,
                   "The body colour of temple stands in: its gray fibres alone are not seen." },
                 { WM_GRAY_NOT_RESOLVED, &SMOKE,
                   "The body colour of temple stands in: its gray fibres alone are not resolved in this photo." } };
    for (size_t i = 0; i < 3; i++) {
        head h = { 0 };
        split(add(&h, WM_ZONE_GRAY, "temple", SMOKE, 2), 0.4, DARK, SILVER, rows[i].status);
        wm_rank_targets g = goals_of(&h, false);
        assert_true(g.has_gray);
        same_lab("M7 colour", g.gray.lab, *rows[i].want);
        assert_string_equal(g.gray_why, rows[i].said);
        assert_int_equal(g.base_count, 0);
        wm_rank_targets_free(&g);
    }
}

/* Two zones of one kind: mean of the linear colours, sigma and u as root mean squares. */
static void M6_averages_zones_of_one_kind_in_linear_light(void **state)
{
    (void)state;
    head h = { 0 };
    add(&h, WM_ZONE_GRAY, "left", DARK, 3);
    add(&h, WM_ZONE_GRAY, "right", SILVER, 4);
    wm_rank_targets g = goals_of(&h, false);
    wm_rgb a = wm_lab_to_rgb(DARK), b = wm_lab_to_rgb(SILVER);
    wm_lab want = wm_rgb_to_lab((wm_rgb){ (a.r + b.r) / 2, (a.g + b.g) / 2, (a.b + b.b) / 2 });
    same_lab("M7 several gray zones: their average", g.gray.lab, want);
    near("u", g.gray.u_de00, sqrt((9 + 16) / 2.0), 1e-12);
    near("sigma L", g.gray.sigma.L, sqrt((9 + 16) / 2.0), 1e-12);
    near("sigma b", g.gray.sigma.b, sqrt((9 + 16) / 2.0) / 4, 1e-12);
    /* brighter than the mean of the lightnesses, as light adds */
    assert_true(g.gray.lab.L > (DARK.L + SILVER.L) / 2);
    wm_rank_targets_free(&g);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(M6_weights_mid_ends_root_and_leaves_gray_zones_out),
        cmocka_unit_test(M6_renormalises_what_is_missing_or_refused),
        cmocka_unit_test(M6_enters_with_the_base_population_where_gray_is_seen),
        cmocka_unit_test(M7_takes_the_gray_fibres_or_says_that_the_body_stands_in),
        cmocka_unit_test(M6_averages_zones_of_one_kind_in_linear_light),
    };
    wm_rank_targets_free(NULL);
    return cmocka_run_group_tests_name("rank_targets", tests, NULL, NULL);
}
