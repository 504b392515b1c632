/* a consultation without memory: measuring, the whole match, the report to JSON and back, text and pages. A run of the
 * tests fails some of the allocations, `fault_consult_memory all` each. */
#include "consult/consult.h"
#include "measure/zones_file.h"
#include "report/html.h"
#include "report/json_out.h"
#include "report/text.h"
#include "starve.h"
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static long step_of_match = 397, step_of_report = 5;
/* Read and made while there is memory. */
static wm_photo *photo;
static wm_zones zones;
static wm_catalogue catalogue;
static wm_settings settings;
static wm_wishes wishes = WM_WISHES_INIT;
static wm_consult_input input;
static wm_report report;
static wm_report_pictures pictures;
static wm_buf json;

static bool measure(void)
{
    wm_report out = { .zone_count = 77 };
    wm_error err = { 0 };
    bool done = good(wm_consult_measure(&out, NULL, &input, &err), &err);
    if (done)
        wm_report_free(&out);
    else
        assert_int_equal(out.zone_count, 77);
    return done;
}

static bool match(void)
{
    wm_report out = { .zone_count = 77 };
    wm_report_pictures shown = { 0 };
    wm_error err = { 0 };
    bool done = good(wm_consult_match(&out, &shown, &input, &err), &err);
    if (done)
        wm_report_free(&out);
    else
        assert_int_equal(out.zone_count, 77);
    wm_report_pictures_free(&shown);
    return done;
}

static bool written(wm_status status, wm_buf *out, const wm_error *err)
{
    wm_error full = { 0 };
    bool done = good(status, err) && good(wm_buf_status(out, &full), &full);
    wm_buf_free(out);
    return done;
}

static bool write_json(void)
{
    wm_buf out = { 0 };
    wm_error err = { 0 };
    return written(wm_report_to_json(&out, &report, &err), &out, &err);
}

static bool read_json(void)
{
    wm_report out = { .zone_count = 77 };
    wm_error err = { 0 };
    bool done = good(wm_report_from_json(&out, json.data, json.size, "kept", &err), &err);
    if (done)
        wm_report_free(&out);
    else
        assert_int_equal(out.zone_count, 77);
    return done;
}

static bool write_page(void)
{
    wm_buf out = { 0 };
    wm_error err = { 0 };
    const wm_html_input in = { .report = &report, .pictures = &pictures };
    return written(wm_report_to_html(&out, &in, &err), &out, &err);
}

static bool write_client_page(void)
{
    wm_buf out = { 0 };
    wm_error err = { 0 };
    const wm_html_input in = { .report = &report, .pictures = &pictures };
    return written(wm_report_to_client_html(&out, &in, &err), &out, &err);
}

static wm_status read_sample(wm_error *err)
{
    const char *folder = getenv("SAMPLES_DIR");
    char path[3][600];
    static const char *const NAMES[] = { "client.jpg", "client.zones.json", "swatches.csv" };
    for (int i = 0; i < 3; i++)
        (void)snprintf(path[i], sizeof path[i], "%s/%s", folder ? folder : "samples", NAMES[i]);
    wm_status status = wm_photo_open(&photo, path[0], NULL, err);
    if (!status)
        status = wm_zones_add_file(&zones, path[1], NULL, err);
    if (!status)
        status = wm_catalogue_load(&catalogue, path[2], NULL, err);
    return status;
}

static int make_all(void **state)
{
    (void)state;
    wm_error err = { 0 };
    settings = wm_settings_default();
    wishes.rows[0] = (wm_wished_row){ WM_PLACE_BACK, 29 };
    wishes.row_count = 1;
    wm_status status = read_sample(&err);
    input = (wm_consult_input){ .photo = photo,
                                .zones = &zones,
                                .catalogue = &catalogue,
                                .settings = &settings,
                                .wishes = &wishes,
                                .made_at = "2026-03-31T10:00:00Z",
                                .date = { 2026, 3, 31 },
                                .jobs = 1 };
    if (!status)
        status = wm_consult_match(&report, &pictures, &input, &err);
    if (!status)
        status = wm_report_to_json(&json, &report, &err);
    if (status)
        print_error("%s\n", err.text);
    return (int)status;
}

static int free_all(void **state)
{
    (void)state;
    wm_buf_free(&json);
    wm_report_pictures_free(&pictures);
    wm_report_free(&report);
    wm_catalogue_free(&catalogue);
    wm_zones_free(&zones);
    wm_photo_close(photo);
    return 0;
}

static void consultations(void **state)
{
    (void)state;
    starve_every(step_of_match, "measure", measure);
    starve_every(step_of_match, "match", match);
}

static void reports(void **state)
{
    (void)state;
    starve_every(step_of_report, "report to JSON", write_json);
    starve_every(step_of_report, "report from JSON", read_json);
    starve_every(step_of_report, "page", write_page);
    starve_every(step_of_report, "client's page", write_client_page);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(consultations), cmocka_unit_test(reports) };
    if (argc > 1 && strcmp(argv[1], "all") == 0)
        step_of_match = step_of_report = 1;
    return cmocka_run_group_tests_name("consult_memory", tests, make_all, free_all);
}
