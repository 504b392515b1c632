/* trend: her gray over all visits. Shares are invented; what the fit should say is worked out by hand beside each. */
#include "consult/trend.h"
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A visit of up to three zones. */
typedef struct seen {
    wm_report report;
    wm_report_zone zones[3];
} seen;

static void add_zone(seen *s, wm_zone_kind kind, const char *name, double share, double u)
{
    wm_report_zone *z = &s->zones[s->report.zone_count++];
    *z = (wm_report_zone){ .kind = kind, .has_share = true, .share = share, .u_share = u };
    snprintf(z->name, sizeof z->name, "%s", name);
    s->report.zones = s->zones;
}

static wm_trend trend_of(const seen *s, const char *const *dates, size_t count)
{
    wm_trend_visit visits[8];
    wm_trend out = { 0 };
    for (size_t i = 0; i < count; i++)
        visits[i] = (wm_trend_visit){ dates[i], &s[i].report };
    assert_int_equal(wm_trend_of(&out, visits, count, NULL), WM_OK);
    return out;
}

/* 12 points in a year, each share known to 4: change 12 +- 4 sqrt(2) = 5.7 from two visits says it, just. */
static void two_visits(void **state)
{
    (void)state;
    static const char *const DATES[] = { "2025-01-01", "2026-01-01" };
    seen s[2] = { 0 };
    char words[WM_TREND_WORDS_SIZE];
    add_zone(&s[0], WM_ZONE_GRAY, "temple", 0.20, 0.04);
    add_zone(&s[1], WM_ZONE_GRAY, "temple", 0.32, 0.04);
    wm_trend t = trend_of(s, DATES, 2);
    assert_true(t.known && t.measurable);
    near("years", t.years, 365 / 365.25, 1e-9);
    near("change", t.change, 0.12, 1e-9);
    near("its u", t.u_change, 0.04 * sqrt(2), 1e-9);
    near("on the last day", t.share, 0.32, 1e-9);
    near("which it knows as well as that photo", t.u_share, 0.04, 1e-9);
    assert_string_equal(wm_trend_words(words, &t), "up by 12 +- 6 points in 1.0 years, over 2 visits");
    wm_trend_free(&t);
}

/* M17: 12 points told twice as "no measurable change" by neighbours (6 +- 5.7 each) are measured over all three: the
 * ends alone carry the slope of evenly spaced visits, 12 +- 4 sqrt(2). Two zones that rise alike make it surer by
 * sqrt(2). */
static void what_each_visit_hides_all_of_them_show(void **state)
{
    (void)state;
    static const char *const DATES[] = { "2024-01-01", "2025-01-01", "2026-01-01" };
    seen s[3] = { 0 };
    for (int i = 0; i < 3; i++) {
        add_zone(&s[i], WM_ZONE_GRAY, i == 1 ? "temple left" : "temple", 0.20 + 0.06 * i, 0.04);
        add_zone(&s[i], WM_ZONE_ROOT, "crown", 0.05 + 0.06 * i, 0.04);
    }
    wm_trend t = trend_of(s, DATES, 3);
    assert_true(t.known && t.measurable);
    assert_int_equal(t.count, 6); /* paired by kind and place, whatever the name */
    near("change", t.change, 0.12, 1e-4);
    near("its u", t.u_change, 0.04 * sqrt(2) / sqrt(2), 1e-4);
    near("mean of both places", t.share, (0.32 + 0.17) / 2, 1e-4);
    wm_trend_free(&t);
}

/* A jump that no line explains makes the line less sure: residuals -0.1, +0.2, -0.1 of 0.03 have chi2 66.7 for one
 * free number, so u grows by 8.2. */
static void a_wild_one_widens_it(void **state)
{
    (void)state;
    static const char *const DATES[] = { "2024-01-01", "2025-01-01", "2026-01-01" };
    seen s[3] = { 0 };
    const double shares[] = { 0.2, 0.5, 0.2 };
    for (int i = 0; i < 3; i++)
        add_zone(&s[i], WM_ZONE_GRAY, "temple", shares[i], 0.03);
    wm_trend t = trend_of(s, DATES, 3);
    assert_false(t.measurable);
    near("u", t.u_change, 0.03 * sqrt(2) * sqrt(2 * 0.01 / 9e-4 + 0.04 / 9e-4), 2e-3);
    wm_trend_free(&t);
}

static void what_says_nothing_of_gray_is_named(void **state)
{
    (void)state;
    static const char *const DATES[] = { "2025-01-01", "2026-01-01" };
    seen s[2] = { 0 };
    char words[WM_TREND_WORDS_SIZE];
    add_zone(&s[0], WM_ZONE_GRAY, "temple", 0.20, 0.04);
    add_zone(&s[0], WM_ZONE_ENDS, "ends", 0.60, 0.04);
    add_zone(&s[1], WM_ZONE_GRAY, "temple", 0.22, 0.04);
    add_zone(&s[1], WM_ZONE_ENDS, "ends", 0.10, 0.04);
    add_zone(&s[1], WM_ZONE_ROOT, "crown", 0.10, 0.04);
    wm_warnings_add(&s[0].report.warnings, "lighter_fibres", "ends: lighter, coloured fibres (not gray); ask");
    wm_trend t = trend_of(s, DATES, 2);
    assert_int_equal(t.count, 2);
    near("change", t.change, 0.02, 1e-9);
    assert_false(t.measurable);
    assert_int_equal(t.left_out_count, 3);
    assert_string_equal(t.left_out[0], "2025-01-01 ends: lighter fibres");
    assert_string_equal(t.left_out[1], "2026-01-01 ends: measured at one visit alone");
    assert_string_equal(t.left_out[2], "2026-01-01 root: measured at one visit alone");
    assert_string_equal(wm_trend_words(words, &t),
                        "no measurable change in 1.0 years, over 2 visits: between -9 and +13 points");
    wm_trend_free(&t);
    wm_warnings_free(&s[0].report.warnings);
}

static void one_visit_has_no_trend(void **state)
{
    (void)state;
    static const char *const DATES[] = { "2025-01-01" };
    seen s = { 0 };
    add_zone(&s, WM_ZONE_GRAY, "temple", 0.20, 0.04);
    wm_trend t = trend_of(&s, DATES, 1);
    assert_false(t.known);
    assert_false(t.measurable);
    wm_trend_free(&t);
    t = trend_of(&s, DATES, 0);
    assert_false(t.known);
    wm_trend_free(&t);
}

/* As drawn: a line through each place. Two visits a year apart, 20 and 32 +- 4: halfway 26 +- 4 / sqrt(2), at the ends
 * 4. A second place at 5 and 17 +- 4 rises alike: the slope is surer by sqrt(2), its u half of 4 a year to either side:
 * hypot(4 / sqrt(2), 2). */
static void it_can_be_drawn(void **state)
{
    (void)state;
    static const char *const DATES[] = { "2025-01-01", "2026-01-01" };
    seen s[2] = { 0 };
    wm_plot_gray plot = { 0 };
    add_zone(&s[0], WM_ZONE_GRAY, "temple", 0.20, 0.04);
    add_zone(&s[1], WM_ZONE_GRAY, "temple", 0.32, 0.04);
    for (int places = 1; places <= 2; places++) {
        const wm_trend_visit visits[] = { { DATES[0], &s[0].report }, { DATES[1], &s[1].report } };
        wm_trend t = trend_of(s, DATES, 2);
        assert_int_equal(wm_trend_plot(&plot, &t, visits, NULL), WM_OK);
        assert_int_equal(plot.place_count, places);
        assert_int_equal(plot.count, 2 * places);
        assert_string_equal(plot.places[0], "gray");
        assert_string_equal(plot.from, "2025-01-01");
        assert_string_equal(plot.to, "2026-01-01");
        near("at first", plot.lines[0][0].share, 0.20, 1e-9);
        near("at last", plot.lines[0][WM_PLOT_LINE - 1].share, 0.32, 1e-9);
        near("halfway", plot.lines[0][WM_PLOT_LINE / 2].share, 0.26, 1e-9);
        near("known best there", plot.lines[0][WM_PLOT_LINE / 2].u, 0.04 / sqrt(2), 1e-9);
        near("less well at the ends", plot.lines[0][0].u, places == 1 ? 0.04 : hypot(0.04 / sqrt(2), 0.02), 1e-9);
        wm_plot_gray_free(&plot);
        wm_trend_free(&t);
        add_zone(&s[0], WM_ZONE_ROOT, "crown", 0.05, 0.04);
        add_zone(&s[1], WM_ZONE_ROOT, "crown", 0.17, 0.04);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_visits),
        cmocka_unit_test(what_each_visit_hides_all_of_them_show),
        cmocka_unit_test(a_wild_one_widens_it),
        cmocka_unit_test(what_says_nothing_of_gray_is_named),
        cmocka_unit_test(one_visit_has_no_trend),
        cmocka_unit_test(it_can_be_drawn),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
