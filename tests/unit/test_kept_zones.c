/* kept_zones: a consultation with kept zones gives the bytes that it gives without, whatever was changed in between;
 * what is no longer used is dropped. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/consult.h"
#include "consult/kept_zones.h"
#include "measure/zones_file.h"
#include "report/json_out.h"

static wm_photo *photo;
static wm_catalogue catalogue;
static wm_settings settings;
static const wm_wishes WISHES = WM_WISHES_INIT;

static const char *sample(const char *name)
{
    static char out[400];
    snprintf(out, sizeof out, "%s/%s", getenv("SAMPLES_DIR"), name);
    return out;
}

static void read_zones(wm_zones *out)
{
    wm_warnings warnings = { 0 };
    wm_error err = { .code = WM_OK };
    *out = (wm_zones){ 0 };
    if (wm_zones_add_file(out, sample("client.zones.json"), &warnings, &err))
        fail_msg("%s", err.text);
    wm_warnings_free(&warnings);
}

static wm_consult_input question(const wm_zones *zones, wm_kept_zones *kept)
{
    return (wm_consult_input){ .photo = photo,
                               .zones = zones,
                               .catalogue = &catalogue,
                               .settings = &settings,
                               .wishes = &WISHES,
                               .made_at = "2025-05-14T00:00:00Z",
                               .date = { 2025, 5, 14 },
                               .kept = kept,
                               .jobs = 1 };
}

static void answer(wm_buf *json, const wm_zones *zones, wm_kept_zones *kept)
{
    const wm_consult_input input = question(zones, kept);
    wm_report report;
    wm_error err = { .code = WM_OK };
    if (wm_consult_measure(&report, NULL, &input, &err))
        fail_msg("%s", err.text);
    assert_int_equal(wm_report_to_json(json, &report, &err), WM_OK);
    wm_report_free(&report);
}

static void same_answer(const char *after, const wm_zones *zones, wm_kept_zones *kept)
{
    wm_buf with = { 0 }, without = { 0 };
    answer(&with, zones, kept);
    answer(&without, zones, NULL);
    if (with.size != without.size || memcmp(with.data, without.data, with.size) != 0)
        fail_msg("with kept zones another answer after: %s", after);
    wm_buf_free(&with);
    wm_buf_free(&without);
}

static void move(wm_zone *zone, double x, double y)
{
    for (size_t i = 0; i < zone->point_count; i++)
        zone->points[i] = (wm_point){ zone->points[i].x + x, zone->points[i].y + y };
}

enum { CROWN, TEMPLE, MID, ENDS, FIRST_SWATCH };

static void kept_zones_change_no_byte(void **state)
{
    (void)state;
    wm_zones zones;
    wm_kept_zones *kept = NULL;
    read_zones(&zones);
    wm_zone *z = zones.items;
    const size_t all = zones.count;
    assert_int_equal(wm_kept_zones_open(&kept, photo, NULL), WM_OK);
    same_answer("the first time", &zones, kept);
    same_answer("nothing", &zones, kept);
    move(&z[TEMPLE], 3, -2);
    same_answer("a zone was moved", &zones, kept);
    move(&z[MID], -4, 5);
    same_answer("the reference of the others was moved", &zones, kept);
    move(&z[MID], 4, -5);
    same_answer("it was moved back", &zones, kept);
    z[MID].gray_free = false;
    same_answer("there is no reference", &zones, kept);
    z[ENDS].gray_free = true;
    same_answer("another reference", &zones, kept);
    z[CROWN].is_hair = true;
    same_answer("a zone is said to be hair", &zones, kept);
    z[CROWN].kind = WM_ZONE_GRAY;
    same_answer("a zone of another kind", &zones, kept);
    move(&z[FIRST_SWATCH], 1, 1);
    same_answer("a swatch was moved", &zones, kept);
    zones.count = all - 2;
    same_answer("two swatches were taken off", &zones, kept);
    zones.count = FIRST_SWATCH;
    same_answer("all swatches were taken off", &zones, kept);
    zones.count = all;
    same_answer("they are back", &zones, kept);
    char *code = z[FIRST_SWATCH].code;
    z[FIRST_SWATCH].code = z[FIRST_SWATCH + 1].code;
    same_answer("a swatch has a wrong label", &zones, kept);
    z[FIRST_SWATCH].code = code;
    wm_kept_zones_close(kept);
    wm_zones_free(&zones);
}

static void what_two_surveys_did_not_use_is_dropped(void **state)
{
    (void)state;
    wm_zones zones;
    wm_kept_zones *kept = NULL;
    read_zones(&zones);
    const size_t all = zones.count;
    const wm_zone *last = &zones.items[all - 1];
    assert_int_equal(wm_kept_zones_open(&kept, photo, NULL), WM_OK);
    assert_null(wm_kept_zones_find_aid(kept, last));
    for (int unused = 0; unused < 3; unused++) {
        wm_buf json = { 0 };
        zones.count = unused ? all - 1 : all;
        answer(&json, &zones, kept);
        wm_buf_free(&json);
        if (unused == 1)
            continue; /* to look for it is to use it */
        assert_true((wm_kept_zones_find_aid(kept, last) != NULL) == (unused == 0));
        if (unused == 0) {
            answer(&json, &zones, kept);
            wm_buf_free(&json);
        }
    }
    zones.count = all;
    wm_kept_zones_close(kept);
    wm_kept_zones_close(NULL);
    wm_zones_free(&zones);
}

static void of_another_photo_is_refused(void **state)
{
    (void)state;
    wm_zones zones;
    wm_kept_zones *kept = NULL;
    wm_photo *other = NULL;
    wm_report report;
    wm_error err = { .code = WM_OK };
    read_zones(&zones);
    assert_int_equal(wm_photo_open(&other, sample("client.jpg"), NULL, &err), WM_OK);
    assert_int_equal(wm_kept_zones_open(&kept, other, NULL), WM_OK);
    const wm_consult_input input = question(&zones, kept);
    assert_int_equal(wm_consult_measure(&report, NULL, &input, &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "another photo"));
    wm_kept_zones_close(kept);
    wm_photo_close(other);
    wm_zones_free(&zones);
}

static int open_all(void **state)
{
    (void)state;
    wm_warnings warnings = { 0 };
    wm_error err = { .code = WM_OK };
    settings = wm_settings_default();
    assert_int_equal(wm_photo_open(&photo, sample("client.jpg"), NULL, &err), WM_OK);
    assert_int_equal(wm_catalogue_load(&catalogue, sample("swatches.csv"), &warnings, &err), WM_OK);
    wm_warnings_free(&warnings);
    return 0;
}

static int close_all(void **state)
{
    (void)state;
    wm_photo_close(photo);
    wm_catalogue_free(&catalogue);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(kept_zones_change_no_byte),
                                        cmocka_unit_test(what_two_surveys_did_not_use_is_dropped),
                                        cmocka_unit_test(of_another_photo_is_refused) };
    return cmocka_run_group_tests_name("kept_zones", tests, open_all, close_all);
}
