/* format1: a report as it was saved before format 2 (tests/data/report-format1.json, the demo of that day) still reads,
 * prints and shows what it said. */
#include "report/json_out.h"
#include "report/html.h"
#include "report/text.h"
#include "core/file.h"
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wm_report *read_saved(wm_bytes *json)
{
    char path[600];
    const char *folder = getenv("TEST_DATA_DIR");
    wm_report *report = calloc(1, sizeof *report);
    wm_error err = { .text = "" };
    snprintf(path, sizeof path, "%s/report-format1.json", folder ? folder : "tests/data");
    assert_int_equal(wm_file_read(json, path, 1 << 20, WM_E_INPUT, &err), WM_OK);
    if (wm_report_from_json(report, (const char *)json->data, json->size, "the saved report", &err))
        fail_msg("%s", err.text);
    return report;
}

static void says(const wm_buf *out, const char *words)
{
    if (!strstr(out->data, words))
        fail_msg("nowhere: %s\n%.3000s", words, out->data);
}

/* What was proposed, its distance with its uncertainty, rankings, plan, quote, scenarios: as it stood on the day. */
static const char *const SAID[] = { "moth / frost / moth",
                                    "without a visible edge",
                                    "moth in front and behind covers the lighter frost between",
                                    "reed",
                                    "slate / barley",
                                    "by fibre",
                                    "pewter",
                                    "chaff / soot / chaff",
                                    "Sew the layers in this order",
                                    "licensed practice" };

static void it_prints_what_it_said(void **state)
{
    (void)state;
    wm_bytes json = { 0 };
    wm_report *report = read_saved(&json);
    const wm_text_style style = { .utf8 = true, .lines = 10, .full = true, .zone_rankings = true };
    wm_buf out = { 0 };
    assert_int_equal(wm_report_to_text(&out, report, &style, NULL), WM_OK);
    for (char *p = out.data; *p; p++) /* words may be wrapped anywhere */
        *p = *p == '\n' ? ' ' : *p;
    for (char *p; (p = strstr(out.data, "  ")) != NULL;)
        memmove(p, p + 1, strlen(p));
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++)
        says(&out, SAID[i]);
    says(&out, "dE00 1.2 \302\2611.7");
    says(&out, "25 beads");
    wm_buf_free(&out);
    wm_report_free(report);
    free(report);
    wm_bytes_free(&json);
}

static void it_shows_what_it_said(void **state)
{
    (void)state;
    wm_bytes json = { 0 };
    wm_report *report = read_saved(&json);
    wm_html_input input = { .report = report, .zone_rankings = true };
    wm_buf out = { 0 };
    assert_int_equal(wm_report_to_html(&out, &input, NULL), WM_OK);
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++)
        says(&out, SAID[i]);
    says(&out, "dE00 1.2 \302\2611.7");
    wm_buf_free(&out);
    wm_report_free(report);
    free(report);
    wm_bytes_free(&json);
}

static void it_is_read_into_the_model(void **state)
{
    (void)state;
    wm_bytes json = { 0 };
    wm_report *report = read_saved(&json);
    wm_stack stack;
    char text[WM_STACK_TEXT_SIZE];
    assert_int_equal(report->proposal_count, 3);
    wm_report_stack(&stack, &report->proposals[0]);
    assert_string_equal(wm_stack_text(text, &stack, ","), "moth,frost,moth");
    assert_int_equal(report->proposals[0].verdict, WM_VERDICT_MATCH);
    assert_int_equal(report->scenario_count, 3);
    near("it rises", report->scenarios[2].rise, 0.2, 1e-9);
    assert_true(report->has_plan && report->plan.limit_mg < 0);
    assert_int_equal(wm_report_exit(report), 0);
    wm_report_free(report);
    free(report);
    wm_bytes_free(&json);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(it_is_read_into_the_model),
                                        cmocka_unit_test(it_prints_what_it_said),
                                        cmocka_unit_test(it_shows_what_it_said) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
