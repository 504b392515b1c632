/* change: M17 and C14: between two reports filled by hand. */
#include "consult/change.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "measure/claim.h"

static wm_report_zone zone(const char *name, wm_lab lab, double u)
{
    wm_report_zone z = { .kind = WM_ZONE_MID, .body = { .lab = lab, .u_de00 = u } };
    snprintf(z.name, sizeof z.name, "%s", name);
    return z;
}

static wm_report_change one_change(wm_report_zone before, wm_report_zone now)
{
    wm_report a = { .zones = &before, .zone_count = 1 }, b = { .zones = &now, .zone_count = 1 };
    wm_report_change *items = NULL, change;
    size_t count = 0;
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    assert_int_equal(count, 1);
    change = items[0];
    free(items);
    return change;
}

static const wm_lab HAIR = { 30, 5, 10 };

static void M17_below_twice_its_u_nothing_is_claimed(void **state)
{
    (void)state;
    wm_report_change c = one_change(zone("mid", HAIR, 0.3), zone("mid", (wm_lab){ 32, 5, 10 }, 0.4));
    near("M17 d", c.de00, wm_de00(HAIR, (wm_lab){ 32, 5, 10 }), 1e-12);
    near("M17 u", c.u_de00, 0.5, 1e-12);
    assert_true(c.de00 > 1); /* more than twice 0.5 */
    assert_non_null(strstr(c.words, "lighter, dE00 1."));
    assert_non_null(strstr(c.words, " +- 0.5"));
    c = one_change(zone("mid", HAIR, 0.6), zone("mid", (wm_lab){ 32, 5, 10 }, 0.8));
    near("M17 u", c.u_de00, 1, 1e-12);
    assert_string_equal(c.words, "no measurable change");
    c = one_change(zone("mid", HAIR, 0), zone("mid", HAIR, 0)); /* nothing is not a change, however sure we are */
    assert_string_equal(c.words, "no measurable change");
    c = one_change(zone("mid", HAIR, 0.05),
                   zone("mid", (wm_lab){ 30.4, 5, 10 }, 0.05)); /* too little for a word of M1 */
    assert_string_equal(c.words, "dE00 0.3 +- 0.1");
}

/* M17 from both sides: a change of 2.05 and of 1.95 times its u. */
static void M17_from_both_sides(void **state)
{
    (void)state;
    const wm_lab lighter = { 32, 5, 10 };
    const double d = wm_de00(HAIR, lighter);
    for (int more = 0; more < 2; more++) {
        const double u = d / (more ? 2.05 : 1.95);
        const wm_report_change c = one_change(zone("mid", HAIR, 0.6 * u), zone("mid", lighter, 0.8 * u));
        near("u", c.u_de00, u, 1e-9);
        assert_int_equal(strcmp(c.words, "no measurable change") == 0, !more);
    }
}

static wm_report_change shares(double before, double now, double u)
{
    wm_report_zone a = zone("temple", HAIR, 2), b = zone("temple", HAIR, 2);
    a.has_share = b.has_share = true;
    a.share = before;
    b.share = now;
    a.u_share = b.u_share = u;
    return one_change(a, b);
}

static void M17_shares_are_told_in_steps_of_five_or_not_at_all(void **state)
{
    (void)state;
    wm_report_change c = shares(0.30, 0.52, 0.05);
    near("d", c.d_share, 0.22, 1e-12);
    near("u", c.u_share, sqrt(2) * 0.05, 1e-12);
    assert_string_equal(c.words, "no measurable change; gray up by about 20 points");
    assert_string_equal(shares(0.60, 0.30, 0.05).words, "no measurable change; gray down by about 30 points");
    assert_string_equal(shares(0.30, 0.40, 0.05).words, "no measurable change; gray: no measurable change");
    wm_report_zone a = zone("temple", HAIR, 2), b = a;
    a.has_share = true;
    c = one_change(a, b);
    assert_false(c.has_share); /* one visit alone has none to compare */
    assert_string_equal(c.words, "no measurable change");
}

static void only_zones_of_the_same_name_that_were_measured_both_times(void **state)
{
    (void)state;
    wm_report_zone before[3] = { zone("crown", HAIR, 1), zone("mid", HAIR, 1), zone("ends", HAIR, 1) };
    wm_report_zone now[4] = { zone("ends", HAIR, 1), zone("nape", HAIR, 1), zone("mid", HAIR, 1),
                              zone("crown", HAIR, 1) };
    before[1].refused = true;
    now[3].refused = true;
    wm_report a = { .zones = before, .zone_count = 3 }, b = { .zones = now, .zone_count = 4 };
    wm_report_change *items = NULL;
    size_t count = 99;
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    assert_int_equal(count, 1);
    assert_string_equal(items[0].zone, "ends");
    free(items);
    b.zone_count = 0;
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    assert_int_equal(count, 0);
    free(items);
}

/* Zones of another name belong together when they are the only ones of their kind and place; the rest is named. */
static void zones_without_a_partner_are_named(void **state)
{
    (void)state;
    wm_report_zone before[3] = { zone("crown", HAIR, 1), zone("temple", HAIR, 1), zone("fringe", HAIR, 1) };
    wm_report_zone now[3] = { zone("left temple", HAIR, 1), zone("nape", HAIR, 1), zone("crown", HAIR, 1) };
    before[0].kind = now[2].kind = WM_ZONE_ROOT;
    before[1].kind = now[0].kind = WM_ZONE_GRAY;
    before[2].kind = WM_ZONE_ENDS;
    now[1].kind = WM_ZONE_MID;
    wm_report a = { .zones = before, .zone_count = 3 }, b = { .zones = now, .zone_count = 3 };
    wm_report_change *items = NULL;
    wm_warnings unpaired = { 0 };
    size_t count = 0;
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    assert_int_equal(count, 2);
    assert_string_equal(items[0].zone, "left temple");
    assert_string_equal(items[0].then, "temple");
    wm_changes_unpaired(&unpaired, &a, &b);
    assert_int_equal(unpaired.count, 2);
    assert_string_equal(unpaired.items[0].text, "nape: not measured then");
    assert_string_equal(unpaired.items[1].text, "fringe: measured then, not now");
    wm_warnings_free(&unpaired);
    free(items);
}

static wm_report photo(wm_report_zone *z, const char *camera, const char *taken)
{
    wm_report r = { .zones = z, .zone_count = 1 };
    snprintf(r.photo.camera, sizeof r.photo.camera, "%s", camera);
    snprintf(r.photo.taken, sizeof r.photo.taken, "%s", taken);
    r.calibration.aid = WM_AIDS_NONE;
    return r;
}

static void C14_one_camera_within_the_hour_and_no_swatches(void **state)
{
    (void)state;
    wm_report_zone z = zone("mid", HAIR, 6);
    const struct {
        const char *camera, *first, *second;
        wm_aid_set aid;
        bool same;
    } rows[] = { { "Phone 1", "2026-03-31T10:00:00", "2026-03-31T11:00:00", WM_AIDS_NONE, true },
                 { "Phone 1", "2026-03-31T10:00:00", "2026-03-31T11:01:00", WM_AIDS_NONE, false },
                 { "Phone 1", "2026-03-31T23:40:00", "2026-04-01T00:10:00", WM_AIDS_CARD,
                   true }, /* over midnight and the month's end */
                 { "Phone 1", "2026-03-31T10:00:00", "2026-03-31T09:30:00", WM_AIDS_NONE, true }, /* in either order */
                 { "", "2026-03-31T10:00:00", "2026-03-31T10:01:00", WM_AIDS_NONE, false },
                 { "Phone 1", "", "", WM_AIDS_NONE, false },
                 { "Phone 1", "2026-03-31T10:00:00", "soon", WM_AIDS_NONE, false },
                 { "Phone 1", "2026-03-31T10:00:00", "2026-03-31T25:00:00", WM_AIDS_NONE, false },
                 { "Phone 1", "2026-03-31T10:00:00", "2026-03-31T10:10:00", WM_AIDS_SWATCHES, false },
                 { "Phone 1", "2026-03-31T10:00:00", "2026-03-31T10:10:00", WM_AIDS_TARGET, false } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        wm_report a = photo(&z, rows[i].camera, rows[i].first), b = photo(&z, rows[i].camera, rows[i].second);
        b.calibration.aid = rows[i].aid;
        if (wm_changes_same_session(&a, &b) != rows[i].same)
            fail_msg("row %zu: %s and %s", i, rows[i].first, rows[i].second);
    }
    wm_report a = photo(&z, "Phone 1", rows[0].first), b = photo(&z, "Phone 2", rows[0].second);
    assert_false(wm_changes_same_session(&a, &b));
}

static void C14_the_smaller_uncertainty_counts(void **state)
{
    (void)state;
    wm_report_zone before = zone("mid", HAIR, 6), now = zone("mid", (wm_lab){ 36, 5, 10 }, 6);
    wm_report a = photo(&before, "Phone 1", "2026-03-31T10:00:00"), b = photo(&now, "Phone 1", "2026-03-31T10:05:00");
    wm_report_change *items = NULL;
    size_t count = 0;
    double d = wm_de00(before.body.lab, now.body.lab);
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    near("C14 two photos", items[0].u_de00, wm_difference_u(WM_PAIR_TWO_PHOTOS, d), 1e-12);
    free(items);
    a.calibration.stage1.kind = b.calibration.stage1.kind = WM_STAGE1_CURVE;
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    near("C14 two curves", items[0].u_de00, wm_difference_u(WM_PAIR_TWO_CURVES, d), 1e-12);
    free(items);
    before.body.u_de00 = now.body.u_de00 = 0.1;
    assert_int_equal(wm_changes_between(&items, &count, &a, &b, NULL), WM_OK);
    near("surer by itself", items[0].u_de00, hypot(0.1, 0.1), 1e-12);
    free(items);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(M17_from_both_sides),
                                        cmocka_unit_test(M17_below_twice_its_u_nothing_is_claimed),
                                        cmocka_unit_test(zones_without_a_partner_are_named),
                                        cmocka_unit_test(M17_shares_are_told_in_steps_of_five_or_not_at_all),
                                        cmocka_unit_test(only_zones_of_the_same_name_that_were_measured_both_times),
                                        cmocka_unit_test(C14_one_camera_within_the_hour_and_no_swatches),
                                        cmocka_unit_test(C14_the_smaller_uncertainty_counts) };
    return cmocka_run_group_tests_name("change", tests, NULL, NULL);
}
