/* record: nothing measured is lost or changed on its way into the report, and what is not known stays unknown there. */
#include "consult/record.h"
#include "support/near.h"
#include "support/stack.h"
#include "support/measured.h"

#include <stdlib.h>
#include <string.h>

static void same_lab(wm_lab got, wm_lab want)
{
    near("L", got.L, want.L, 0);
    near("a", got.a, want.a, 0);
    near("b", got.b, want.b, 0);
}

static wm_surveyed_zone zone_of(const wm_zone *shape, wm_gray_status status)
{
    wm_surveyed_zone z = { .zone = shape, .pixels = 900, .kept = 700, .base_known = true };
    z.body = (wm_measured){ { 30, 5, 10 }, { 1, 2, 3 }, 1.4, WM_CLAIM_RUNNER_UP, 900, 700 };
    z.base = measured((wm_lab){ 25, 6, 11 }, (wm_lab){ 1, 1, 1 }, 1.2);
    z.gray.body_sd = (wm_lab){ 4, 1, 2 };
    z.gray.status = status;
    z.gray.share = 0.3;
    z.gray.u_share = 0.05;
    z.gray.base_never_seen = true;
    return z;
}

static void zones_keep_their_numbers(void **state)
{
    (void)state;
    const struct {
        wm_gray_status status;
        bool share;
    } rows[] = { { WM_GRAY_NOT_MEASURED, false },
                 { WM_GRAY_NOT_RESOLVED, false },
                 { WM_GRAY_NONE_SEEN, true },
                 { WM_GRAY_LOW, true },
                 { WM_GRAY_MEASURED, true } };
    wm_zone shape = { .kind = WM_ZONE_ROOT, .name = (char *)(uintptr_t) "crown" };
    for (size_t i = 0; i < 5; i++) {
        wm_surveyed_zone z = zone_of(&shape, rows[i].status);
        wm_survey survey = { .zones = &z, .zone_count = 1 };
        wm_report report = { 0 };
        survey.calibration.aid = WM_AIDS_SWATCHES;
        survey.calibration.agreement = i ? 1.25 : -1;
        assert_int_equal(wm_record__survey(&report, &survey, NULL), WM_OK);
        const wm_report_zone *got = &report.zones[0];
        assert_string_equal(got->name, "crown");
        assert_int_equal(got->kind, WM_ZONE_ROOT);
        assert_int_equal(got->body.pixels, 900);
        assert_int_equal(got->body.kept, 700);
        same_lab(got->body.lab, z.body.lab);
        same_lab(got->body.sigma, z.body.sigma);
        same_lab(got->sd, z.gray.body_sd);
        near("u", got->body.u_de00, 1.4, 0);
        assert_int_equal(got->body.claim, WM_CLAIM_RUNNER_UP);
        assert_int_equal(got->gray_status, rows[i].status);
        assert_int_equal(got->has_share, rows[i].share); /* G9: null for the first two */
        near("share", got->share, rows[i].share ? 0.3 : 0, 0);
        assert_true(got->base_known && !got->gray_known && got->base_never_seen);
        assert_int_equal(report.calibration.aid, WM_AIDS_SWATCHES);
        assert_int_equal(report.calibration.has_agreement, i > 0);
        wm_report_free(&report);
    }
}

static void a_refused_zone_has_no_colour(void **state)
{
    (void)state;
    wm_zone shape = { .kind = WM_ZONE_MID, .name = (char *)(uintptr_t) "mid" };
    wm_surveyed_zone z = zone_of(&shape, WM_GRAY_MEASURED);
    wm_survey survey = { .zones = &z, .zone_count = 1 };
    wm_report report = { 0 };
    z.refused = true;
    assert_int_equal(wm_record__survey(&report, &survey, NULL), WM_OK);
    assert_true(report.zones[0].refused);
    assert_int_equal(report.zones[0].gray_status, WM_GRAY_NOT_MEASURED);
    assert_false(report.zones[0].has_share || report.zones[0].base_known);
    near("u", report.zones[0].body.u_de00, 0, 0);
    wm_report_free(&report);
}

static void aids_and_notes_go_along(void **state)
{
    (void)state;
    wm_used_aid used[2] = { { .name = "swatch oat", .measured = { 50, 5, 15 }, .reference = { 51, 5, 16 } },
                            { .name = "swatch ink" } };
    wm_dropped dropped[1] = { { "card", "uneven light" } };
    wm_survey survey = { 0 };
    wm_report report = { 0 };
    survey.calibration = (wm_calibration){ .used = used, .used_count = 2, .dropped = dropped, .dropped_count = 1 };
    survey.calibration.stage1.kind = WM_STAGE1_GAIN;
    wm_notes_add(&survey.notes, "too_dark", "too dark; %s", "go to a window");
    assert_int_equal(wm_record__survey(&report, &survey, NULL), WM_OK);
    assert_int_equal(report.calibration.used_count, 2);
    assert_string_equal(report.calibration.used[0].name, "swatch oat");
    same_lab(report.calibration.used[0].measured, used[0].measured);
    same_lab(report.calibration.used[0].reference, used[0].reference);
    assert_string_equal(report.calibration.dropped[0].why, "uneven light");
    assert_int_equal(report.calibration.stage1.kind, WM_STAGE1_GAIN);
    assert_int_equal(report.warnings.count, 1);
    assert_string_equal(report.warnings.items[0].text, "too dark; go to a window");
    wm_notes_free(&survey.notes);
    wm_report_free(&report);
}

static const wm_swatch
    OAT = { .code = "oat", .name = "medium blond", .lab = { 55, 6, 19 }, .u = 0.6, .stock_packs = 3, .length_cm = 50 },
    INK = { .code = "ink", .name = "", .lab = { 19, 1, 0 }, .u = 0.6, .stock_packs = 0, .length_cm = 50 };

static void rankings_are_copied_nearest_first(void **state)
{
    (void)state;
    const wm_swatch *items[2] = { &INK, &OAT };
    wm_shades shades = { .items = items, .count = 2 }, none = { 0 };
    const wm_lab one = { 1, 1, 1 };
    const wm_measured colours[2] = { measured((wm_lab){ 50, 6, 18 }, one, 1.2),
                                     measured((wm_lab){ 54, 6, 18 }, one, 1.2) };
    wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    wm_report report = { 0 };
    wm_ranking_request request = { "base", "", &shades, { colours, NULL, 2 }, &limits };
    assert_int_equal(wm_record__ranking(&report, &request, NULL), WM_OK);
    request = (wm_ranking_request){ "gray_fibres", "a reason", &shades, { colours, NULL, 1 }, &limits };
    assert_int_equal(wm_record__ranking(&report, &request, NULL), WM_OK);
    request =
        (wm_ranking_request){ "bead", "", &none, { colours, NULL, 1 }, &limits }; /* no beads, no ranking of them */
    assert_int_equal(wm_record__ranking(&report, &request, NULL), WM_OK);
    request = (wm_ranking_request){ "nothing", "", &shades, { colours, NULL, 0 }, &limits };
    assert_int_equal(wm_record__ranking(&report, &request, NULL), WM_OK);
    assert_int_equal(report.ranking_count, 2);
    const wm_report_ranking *base = &report.rankings[0];
    assert_string_equal(base->target, "base");
    assert_string_equal(report.rankings[1].said, "a reason");
    assert_int_equal(base->count, 2);
    assert_string_equal(base->items[0].code, "oat");
    assert_string_equal(base->items[0].name, "medium blond");
    same_lab(base->items[0].lab, OAT.lab);
    assert_true(base->items[0].in_stock && !base->items[1].in_stock);
    assert_true(base->items[0].de00 < base->items[1].de00);
    assert_int_equal(base->items[1].verdict, WM_VERDICT_FAR);
    assert_true(base->lab.L > 52 && base->lab.L < 54); /* the mean in linear light lies above that of 50 and 54, 52 */
    assert_int_equal(base->claim, WM_CLAIM_NAME);
    wm_report_free(&report);
}

static void proposals_are_copied_with_their_shares(void **state)
{
    (void)state;
    wm_proposals found = { .count = 1, .has_ideal_mix = true, .ideal = { &OAT, &INK } };
    wm_proposal *p = &found.items[0];
    *p = (wm_proposal){ .layer_count = 3,
                        .layers = { &OAT, &INK, &OAT },
                        .shade_count = 2,
                        .shades = { &OAT, &INK },
                        .of_each = { 2, 1 },
                        .worst_de00 = 3.1,
                        .u_de00 = 0.9,
                        .verdict = WM_VERDICT_CLOSE,
                        .down_de00 = 3.1,
                        .up_de00 = 2.2,
                        .why = "because" };
    p->views.down = (wm_lab){ 40, 4, 9 };
    found.ideal_fit.q = 0.3;
    found.ideal_fit.de00 = 1.5;
    for (int rough = 0; rough < 2; rough++) {
        wm_report report = { 0 };
        assert_int_equal(wm_record__proposals(&report, &found, rough ? WM_CLAIM_ROUGH : WM_CLAIM_THREE, NULL), WM_OK);
        const wm_report_proposal *got = &report.proposals[0];
        assert_int_equal(report.proposal_count, 1);
        assert_stack(&got->stack, "oat,ink,oat");
        near("share of the layers", got->shades[0].share, 2.0 / 3, 1e-15);
        near("share of the layers", got->shades[1].share, 1.0 / 3, 1e-15);
        assert_int_equal(got->shades[0].layers, 2);
        same_lab(got->views.down, p->views.down);
        near("up", got->up_de00, 2.2, 0);
        assert_string_equal(got->why, "because");
        near("ideal", report.ideal[0].share, 0.7, 1e-15);
        near("ideal", report.ideal_de00, 1.5, 0);
        assert_int_equal(report.no_shade_named, rough); /* M4 */
        assert_int_equal(wm_report_exit(&report), rough ? 1 : 0);
        wm_report_free(&report);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(zones_keep_their_numbers),
                                        cmocka_unit_test(a_refused_zone_has_no_colour),
                                        cmocka_unit_test(aids_and_notes_go_along),
                                        cmocka_unit_test(rankings_are_copied_nearest_first),
                                        cmocka_unit_test(proposals_are_copied_with_their_shares) };
    return cmocka_run_group_tests_name("record", tests, NULL, NULL);
}
