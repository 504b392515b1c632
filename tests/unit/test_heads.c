/* heads: zones of a report as the decision takes them (M22). Invented. */
#include "consult/heads.h"
#include "support/near.h"

#include <string.h>

static wm_report_zone zone_of(const char *name, wm_gray_status status)
{
    wm_report_zone zone = { .kind = WM_ZONE_GRAY,
                            .body = { .lab = { 60, 2, 8 }, .sigma = { 1, 0.5, 0.5 }, .u_de00 = 1.1 },
                            .gray_status = status,
                            .has_share = status == WM_GRAY_LOW || status == WM_GRAY_MEASURED,
                            .share = 0.4,
                            .u_share = 0.05,
                            .base_known = true,
                            .gray_known = true,
                            .base = { .lab = { 28, 6, 11 } },
                            .gray = { .lab = { 66, 1, 7 } } };
    strcpy(zone.name, name);
    return zone;
}

static void each_status_is_taken_as_what_it_says(void **state)
{
    (void)state;
    wm_report_zone zones[] = { zone_of("measured", WM_GRAY_MEASURED), zone_of("all over", WM_GRAY_ALL_OVER),
                               zone_of("not resolved", WM_GRAY_NOT_RESOLVED), zone_of("refused", WM_GRAY_MEASURED) };
    wm_head_zone out[4];
    zones[3].refused = true;
    wm_report report = { .zones = zones, .zone_count = 4 };
    assert_int_equal(wm_heads__of(out, &report), 3);
    assert_true(out[0].has_share && out[0].has_base && out[0].has_gray && !out[0].all_over);
    near("share", out[0].share, 0.4, 0);
    near("base", out[0].base.L, 28, 0);
    assert_true(out[1].all_over && !out[1].has_share && !out[1].has_base && !out[1].has_gray);
    assert_true(!out[2].all_over && !out[2].has_share && !out[2].has_base && !out[2].has_gray);
    near("no share", out[2].share, 0, 0);
    assert_string_equal(out[2].name, "not resolved");
}

static void what_she_wears_is_as_noted_else_as_proposed(void **state)
{
    (void)state;
    wm_report_proposal proposal = { .row_count = 1 };
    wm_report report = { .proposals = &proposal, .proposal_count = 1, .decision = { .layers = 1 } };
    wm_stack noted = { 0 };
    static wm_wears wears;
    proposal.rows[0] = (wm_report_row){ .row_cm = 24, .count = 1 };
    proposal.rows[0].segments[0] = (wm_report_segment){ .length_cm = 24, .sides = 1, .layer_count = 1 };
    strcpy(proposal.rows[0].segments[0].layers[0].layer.code, "oat");
    wm_heads__wears(&wears, &report, &noted);
    assert_int_equal(wears.stack.count, 0);
    assert_string_equal(wears.design.rows[0].segments[0].stack.layers[0].code, "oat");
    assert_true(wm_stack_add(&noted, "fog"));
    wm_heads__wears(&wears, &report, &noted);
    assert_int_equal(wears.design.row_count, 0);
    assert_string_equal(wears.stack.layers[0].code, "fog");
    report.decision.layers = 0; /* too heavy: was not sewn */
    wm_heads__wears(&wears, &report, NULL);
    assert_int_equal(wears.design.row_count + wears.stack.count, 0);
    proposal.rows[0].row_cm = -1; /* format 1: whole layers, the same everywhere */
    wm_heads__wears(&wears, &report, NULL);
    assert_int_equal(wears.design.row_count, 0);
    assert_string_equal(wears.stack.layers[0].code, "oat");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_status_is_taken_as_what_it_says),
        cmocka_unit_test(what_she_wears_is_as_noted_else_as_proposed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
