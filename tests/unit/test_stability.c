/* stability (G11): ten slightly other markings of the sample client, one by one and in threads. */
#include "consult/consult.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

#include "measure/zones_file.h"

static void path_of(char *out, size_t size, const char *name)
{
    const char *folder = getenv("SAMPLES_DIR");
    snprintf(out, size, "%s/%s", folder ? folder : "samples", name);
}

static wm_report match(const char *zones_name, int jobs)
{
    char path[600];
    wm_error err = { 0 };
    wm_photo *photo = NULL;
    wm_zones zones = { 0 };
    wm_catalogue catalogue = { 0 };
    wm_settings settings = wm_settings_default();
    wm_wishes wishes = WM_WISHES_INIT;
    wm_report report;
    path_of(path, sizeof path, "client.jpg");
    assert_int_equal(wm_photo_open(&photo, path, NULL, &err), WM_OK);
    path_of(path, sizeof path, zones_name);
    assert_int_equal(wm_zones_add_file(&zones, path, NULL, &err), WM_OK);
    path_of(path, sizeof path, "swatches.csv");
    assert_int_equal(wm_catalogue_load(&catalogue, path, NULL, &err), WM_OK);
    const wm_consult_input in = { .photo = photo,
                                  .zones = &zones,
                                  .catalogue = &catalogue,
                                  .settings = &settings,
                                  .wishes = &wishes,
                                  .made_at = "2026-03-31T10:00:00Z",
                                  .date = { 2026, 3, 31 },
                                  .jobs = jobs };
    if (wm_consult_match(&report, NULL, &in, &err))
        fail_msg("%s", err.text);
    wm_photo_close(photo);
    wm_zones_free(&zones);
    wm_catalogue_free(&catalogue);
    return report;
}

static bool warned(const wm_report *report, const char *code)
{
    for (size_t i = 0; i < report->warnings.count; i++)
        if (strcmp(report->warnings.items[i].code, code) == 0)
            return true;
    return false;
}

static void a_good_marking_holds(void **state)
{
    (void)state;
    wm_report one = match("client.zones.json", 1), four = match("client.zones.json", 4);
    assert_int_equal(one.stability.tries, 10);
    assert_in_range(one.stability.held, 9, 10);
    assert_false(one.no_shade_named);
    assert_int_equal(four.stability.held, one.stability.held);
    assert_string_equal(four.stability.mend, one.stability.mend);
    assert_false(warned(&one, "answer_unstable"));
    wm_report_free(&one);
    wm_report_free(&four);
}

/* The temple's zone lies half on the skin: what is cut out depends on where it begins. */
static void an_answer_that_does_not_hold_names_no_shade(void **state)
{
    (void)state;
    wm_report report = match("marks/half-skin.zones.json", 2);
    assert_true(report.stability.held < 7);
    assert_string_equal(report.stability.mend, "temple");
    assert_true(report.no_shade_named);
    assert_int_equal(report.decision.claim, WM_CLAIM_ROUGH);
    assert_true(warned(&report, "answer_unstable"));
    wm_report_free(&report);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(a_good_marking_holds),
                                        cmocka_unit_test(an_answer_that_does_not_hold_names_no_shade) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
