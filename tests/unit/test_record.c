/* record: nothing measured is lost or changed on its way into the report, and what is not known stays unknown there. */
#include "consult/record.h"
#include "support/near.h"
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
    wm_warnings_add(&survey.warnings, "too_dark", "too dark; %s", "go to a window");
    assert_int_equal(wm_record__survey(&report, &survey, NULL), WM_OK);
    assert_int_equal(report.calibration.used_count, 2);
    assert_string_equal(report.calibration.used[0].name, "swatch oat");
    same_lab(report.calibration.used[0].measured, used[0].measured);
    same_lab(report.calibration.used[0].reference, used[0].reference);
    assert_string_equal(report.calibration.dropped[0].why, "uneven light");
    assert_int_equal(report.calibration.stage1.kind, WM_STAGE1_GAIN);
    assert_int_equal(report.warnings.count, 1);
    assert_string_equal(report.warnings.items[0].text, "too dark; go to a window");
    wm_warnings_free(&survey.warnings);
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

/* A decision made up by hand: oat all along, a piece of ink over a third of each side. */
static void a_decision_is_copied(void **state)
{
    (void)state;
    wm_decision *d = calloc(1, sizeof *d);
    assert_non_null(d);
    d->has_proposal = d->sewable = d->has_runner_up = true;
    d->load = (wm_load){
        .own_g = 203, .layers = 1, .layers_needed = 1, .layers_load = 3, .mg_per_layer = 11.6, .limit_mg = 35
    };
    wm_decision_proposal *p = &d->proposal;
    *p = (wm_decision_proposal){ .shade_count = 2,
                                 .layers = 1,
                                 .pieces = 1,
                                 .gap = 2.5,
                                 .far = 2.1,
                                 .near = 3.3,
                                 .verdict = WM_VERDICT_CLOSE,
                                 .within = { 0.2, 0.9, 1 },
                                 .best_in_10 = 4,
                                 .added_g = 20,
                                 .mg_per_hair = 11,
                                 .why = "because" };
    strcpy(p->shades[0].code, "oat");
    strcpy(p->shades[1].code, "ink");
    p->shades[1].role = WM_ROLE_GRAY;
    p->design.row_count = 1;
    p->design.rows[0] = (wm_design_row){ .place = WM_PLACE_BACK, .arc_cm = 29, .row_cm = 24, .count = 2 };
    p->design.rows[0].segments[0] =
        (wm_design_segment){ WM_PLACE_SIDE, "", 6, 2, { 1, { { "oat", "ink", 1.0 / 3, 1 } } } };
    p->design.rows[0].segments[1] = (wm_design_segment){ WM_PLACE_BACK, "", 12, 1, { 1, { { .code = "oat" } } } };
    p->looks[0][0].far = 2.1;
    p->looks[0][0].piece_cm[0] = 2;
    d->runner_up = *p;
    d->scenario_count = 2;
    d->scenarios[1] = (wm_decision_scenario){ .rise = 0.1, .share = 0.4, .change = "more ink", .proposal = *p };
    strcpy(d->missing, "no gray");
    for (int rough = 0; rough < 2; rough++) {
        wm_report report = { 0 };
        wm_design again;
        d->claim = rough ? WM_CLAIM_ROUGH : WM_CLAIM_THREE;
        assert_int_equal(wm_record__decision(&report, d, NULL), WM_OK);
        const wm_report_proposal *got = &report.proposals[0];
        assert_int_equal(report.proposal_count, 2);
        assert_int_equal(got->shades[1].role, WM_ROLE_GRAY);
        near("far of the sides", got->rows[0].segments[0].far, 2.1, 0);
        near("a piece", got->rows[0].segments[0].layers[0].piece_cm, 2, 0);
        near("close", got->p[1], 0.9, 0);
        assert_string_equal(got->why, "because");
        assert_int_equal(report.scenario_count, 2);
        assert_string_equal(report.scenarios[1].change, "more ink");
        assert_string_equal(report.decision.missing, "no gray");
        near("grams", report.decision.added_g, 20, 0);
        assert_int_equal(report.no_shade_named, rough); /* M4 */
        assert_int_equal(wm_report_exit(&report), rough ? 1 : 0);
        wm_report_design(&again, got);
        assert_int_equal(again.rows[0].count, 2);
        assert_string_equal(again.rows[0].segments[0].stack.layers[0].second, "ink");
        near("length", again.rows[0].segments[1].length_cm, 12, 0);
        wm_report_free(&report);
    }
    d->sewable = false; /* too heavy: nothing to sew, exit 1 */
    strcpy(d->heavy, "too heavy");
    d->claim = WM_CLAIM_NAME;
    wm_report report = { 0 };
    assert_int_equal(wm_record__decision(&report, d, NULL), WM_OK);
    near("of one layer", report.decision.mg_per_hair, 11.6, 0);
    assert_true(report.decision.added_g < 0);
    assert_int_equal(wm_report_exit(&report), 1);
    wm_report_free(&report);
    free(d);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(zones_keep_their_numbers),
                                        cmocka_unit_test(a_refused_zone_has_no_colour),
                                        cmocka_unit_test(aids_and_notes_go_along),
                                        cmocka_unit_test(rankings_are_copied_nearest_first),
                                        cmocka_unit_test(a_decision_is_copied) };
    return cmocka_run_group_tests_name("record", tests, NULL, NULL);
}
