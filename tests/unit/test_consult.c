/* consult: the order of the whole work, on the sample client: what stands where in the report, what the wishes change,
 * what a failure leaves behind. The colours themselves are judged by tests/photo. */
#include "consult/consult.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

#include "measure/zones_file.h"
#include "report/json_out.h"

typedef struct salon {
    wm_photo *photo;
    wm_zones zones;
    wm_catalogue catalogue;
    wm_settings settings;
    wm_wishes wishes;
    wm_consult_input in;
} salon;

static void path_of(char *out, size_t size, const char *name)
{
    const char *folder = getenv("SAMPLES_DIR");
    snprintf(out, size, "%s/%s", folder ? folder : "samples", name);
}

static void open_salon(salon *s)
{
    char path[600];
    wm_error err = { 0 };
    *s = (salon){ .settings = wm_settings_default(), .wishes = WM_WISHES_INIT };
    path_of(path, sizeof path, "client.jpg");
    wm_status status = wm_photo_open(&s->photo, path, NULL, &err);
    path_of(path, sizeof path, "client.zones.json");
    if (!status)
        status = wm_zones_add_file(&s->zones, path, NULL, &err);
    path_of(path, sizeof path, "swatches.csv");
    if (!status)
        status = wm_catalogue_load(&s->catalogue, path, NULL, &err);
    if (status)
        fail_msg("%s: %s", err.file, err.text);
    s->in = (wm_consult_input){ .photo = s->photo,
                                .zones = &s->zones,
                                .catalogue = &s->catalogue,
                                .settings = &s->settings,
                                .wishes = &s->wishes,
                                .made_at = "2026-03-31T10:00:00Z",
                                .date = { 2026, 3, 31 },
                                .jobs = 2 };
}

static void close_salon(salon *s)
{
    wm_photo_close(s->photo);
    wm_zones_free(&s->zones);
    wm_catalogue_free(&s->catalogue);
}

static wm_report match(const salon *s)
{
    wm_report report;
    wm_error err = { 0 };
    if (wm_consult_match(&report, NULL, &s->in, &err))
        fail_msg("%s", err.text);
    return report;
}

static const wm_report_ranking *ranking(const wm_report *r, const char *target)
{
    for (size_t i = 0; i < r->ranking_count; i++)
        if (strcmp(r->rankings[i].target, target) == 0)
            return &r->rankings[i];
    fail_msg("no ranking %s", target);
    return NULL;
}

static void the_report_holds_everything_in_its_order(void **state)
{
    (void)state;
    static const char *const TARGETS[] = { "base", "gray_fibres", "bead", "crown", "temple", "mid", "ends" };
    salon s;
    open_salon(&s);
    s.in.client = "Anna Berg";
    snprintf(s.settings.salon_name, sizeof s.settings.salon_name, "Fern and Linen");
    s.wishes.rows[0] = (wm_wished_row){ WM_PLACE_BACK, 29 };
    s.wishes.row_count = 1;
    wm_report r;
    wm_report_pictures pictures = { 0 };
    wm_error err = { 0 };
    if (wm_consult_match(&r, &pictures, &s.in, &err))
        fail_msg("%s", err.text);
    assert_string_equal(r.made_at, "2026-03-31T10:00:00Z");
    assert_string_equal(r.client, "Anna Berg");
    assert_string_equal(r.salon, "Fern and Linen");
    assert_string_equal(r.photo.file, "client.jpg");
    assert_int_equal(r.zone_count, 4);
    assert_int_equal(r.ranking_count, 7);
    for (size_t i = 0; i < 7; i++)
        assert_string_equal(r.rankings[i].target, TARGETS[i]);
    assert_int_equal(ranking(&r, "base")->count, 30);
    assert_int_equal(ranking(&r, "bead")->count, 6);
    assert_int_equal(r.proposal_count, 2);             /* the choice and the runner-up */
    assert_int_equal(r.proposals[0].rows[0].count, 2); /* M26: sides and back */
    near("M26 sides", r.proposals[0].rows[0].segments[0].length_cm, 6, 0);
    assert_true(r.decision.roles[WM_ROLE_BASE].count > 0 && r.decision.roles[WM_ROLE_GRAY].count > 0);
    assert_true(r.decision.assumed_count > 0); /* goal, hair and amount were not given */
    assert_true(r.has_plan && r.plan.row_count == 1);
    assert_true(r.cautions.count > 0 && r.cautions.count == r.plan.caution_count);
    assert_int_equal(r.scenario_count, WM_SCENARIOS); /* M33: her gray is measured */
    near("M33 rises", r.scenarios[1].share - r.scenarios[0].share, 0.1, 1e-12);
    assert_true(pictures.photo_jpeg.size > 1000 && pictures.gray_map_png.size > 100 && pictures.zones_json.size > 100);
    assert_int_equal(r.change_count, 0);
    wm_report_pictures_free(&pictures);
    wm_report_free(&r);
    close_salon(&s);
}

static wm_buf matched_json(salon *s)
{
    wm_buf json = { 0 };
    wm_report report = match(s);
    assert_int_equal(wm_report_to_json(&json, &report, NULL), WM_OK);
    wm_report_free(&report);
    return json;
}

/* Opened for its zones alone, a photo gives the same answer; a picture of it is refused. With a target, whose patches
 * lie beyond its corners, all of it is opened. */
static void the_zones_are_all_that_is_looked_at(void **state)
{
    (void)state;
    char path[600];
    salon s;
    wm_photo *whole, *parts = NULL;
    wm_report_pictures pictures = { 0 };
    wm_report report = { 0 };
    open_salon(&s);
    whole = s.photo;
    path_of(path, sizeof path, "client.jpg");
    wm_buf of_all = matched_json(&s);
    assert_int_equal(wm_consult_open_photo(&parts, path, &s.zones, NULL, NULL), WM_OK);
    assert_false(wm_photo_has(parts, (wm_box){ 0, 0, wm_photo_width(parts), wm_photo_height(parts) }));
    s.in.photo = parts;
    wm_buf of_parts = matched_json(&s);
    assert_int_equal(of_parts.size, of_all.size);
    assert_memory_equal(of_parts.data, of_all.data, of_all.size);
    assert_int_equal(wm_consult_match(&report, &pictures, &s.in, NULL), WM_E_BUG);
    wm_photo_close(parts);
    s.zones.items[0].kind = WM_ZONE_TARGET;
    assert_int_equal(wm_consult_open_photo(&parts, path, &s.zones, NULL, NULL), WM_OK);
    assert_true(wm_photo_has(parts, (wm_box){ 0, 0, wm_photo_width(parts), wm_photo_height(parts) }));
    wm_photo_close(parts);
    wm_buf_free(&of_all);
    wm_buf_free(&of_parts);
    s.in.photo = whole;
    close_salon(&s);
}

static void measuring_ends_with_the_zones(void **state)
{
    (void)state;
    salon s;
    open_salon(&s);
    wm_report r;
    s.in.wishes = NULL;
    assert_int_equal(wm_consult_measure(&r, NULL, &s.in, NULL), WM_OK);
    assert_true(r.measured_only);
    assert_int_equal(r.zone_count, 4);
    assert_true(r.ranking_count == 0 && r.proposal_count == 0 && r.cautions.count == 0 && !r.has_plan);
    wm_report_free(&r);
    close_salon(&s);
}

static void the_same_bytes_with_any_number_of_threads(void **state)
{
    (void)state;
    salon s;
    wm_buf json[3] = { { 0 } };
    open_salon(&s);
    for (int i = 0; i < 3; i++) {
        s.in.jobs = (const int[]){ 1, 2, 7 }[i];
        wm_report r = match(&s);
        assert_int_equal(wm_report_to_json(&json[i], &r, NULL), WM_OK);
        wm_report_free(&r);
    }
    for (int i = 1; i < 3; i++)
        assert_string_equal(json[i].data, json[0].data);
    for (int i = 0; i < 3; i++)
        wm_buf_free(&json[i]);
    close_salon(&s);
}

static void wishes_change_what_is_asked(void **state)
{
    (void)state;
    salon s;
    open_salon(&s);
    wm_report plain = match(&s), other;
    s.wishes.worn = WM_WORN_UP;
    other = match(&s);
    assert_int_equal(other.worn, WM_WORN_UP);
    wm_report_free(&other);
    s.wishes.worn = WM_WORN_BOTH;
    s.wishes.filter.in_stock = true;
    other = match(&s);
    assert_int_equal(other.filter_count, 3); /* M14: each with what it took away */
    assert_string_equal(other.filters[0].name, "in stock");
    assert_true(other.filters[0].removed > 0 && other.filters[1].removed == 0 && other.filters[2].removed == 0);
    assert_int_equal(ranking(&other, "base")->count + other.filters[0].removed, 30);
    assert_int_equal(ranking(&other, "bead")->count, 6); /* beads are not filtered */
    wm_report_free(&other);
    s.settings.max_layers = 1;
    s.wishes.filter.in_stock = false;
    other = match(&s);
    for (size_t i = 0; i < other.proposal_count; i++)
        assert_int_equal(other.proposals[i].layers, 1);
    wm_report_free(&other);
    s.settings.max_layers = 3;
    s.wishes.gray_inside = true;
    s.wishes.goal = WM_GOAL_LENGTH, s.wishes.goal_given = true;
    s.wishes.head.natural_length_cm = 25;
    s.wishes.rows[0] = (wm_wished_row){ WM_PLACE_BACK, 29 }, s.wishes.row_count = 1;
    other = match(&s);
    assert_true(other.proposals[0].layers > 1);
    for (size_t i = 0; i < other.proposals[0].rows[0].count; i++) /* M27: the base in front */
        assert_string_equal(other.proposals[0].rows[0].segments[i].layers[0].layer.second, "");
    wm_report_free(&other);
    s.wishes.row_count = 0, s.wishes.gray_inside = false;
    s.settings.verdict = (wm_verdict_limits){ 0.1, 0.2, 0.3 };
    other = match(&s);
    assert_int_equal(other.proposals[0].verdict, WM_VERDICT_FAR);
    assert_int_equal(wm_report_exit(&other), 1);
    wm_report_free(&other);
    wm_report_free(&plain);
    close_salon(&s);
}

static void the_last_visit_is_compared(void **state)
{
    (void)state;
    salon s;
    open_salon(&s);
    wm_report first = match(&s);
    s.in.previous = &first;
    s.in.previous_date = "2026-01-02";
    wm_report second = match(&s);
    assert_string_equal(second.since_date, "2026-01-02");
    assert_int_equal(second.change_count, 4);
    for (size_t i = 0; i < 4; i++)
        near("M17 nothing changed", second.changes[i].de00, 0, 0);
    assert_true(strncmp(second.changes[0].words, "no measurable change", 20) == 0);
    wm_report_free(&second);
    wm_report_free(&first);
    close_salon(&s);
}

static void fails(const salon *s, wm_status status, const char *message)
{
    wm_report report;
    wm_report_pictures pictures;
    wm_error err = { 0 };
    memset(&report, 0x5a, sizeof report);
    memset(&pictures, 0x5a, sizeof pictures);
    wm_report before = report;
    assert_int_equal(wm_consult_match(&report, &pictures, &s->in, &err), status);
    assert_string_equal(err.text, message);
    assert_memory_equal(&report, &before, sizeof report); /* outputs untouched */
    assert_int_equal(pictures.photo_jpeg.size, (size_t)0x5a5a5a5a5a5a5a5aULL);
    assert_int_equal(wm_consult_match(&report, NULL, &s->in, NULL), status);
}

static void failures_leave_nothing_behind(void **state)
{
    (void)state;
    salon s;
    open_salon(&s);
    s.wishes.filter.max_price_milli = 1; /* no shade passes: no failure, but nothing to sew */
    wm_report none = match(&s);
    assert_int_equal(none.proposal_count, 0);
    assert_int_equal(wm_report_exit(&none), 1);
    wm_report_free(&none);
    s.wishes.filter.max_price_milli = 0;
    s.wishes.rows[0] = (wm_wished_row){ WM_PLACE_BACK, 2 };
    s.wishes.row_count = 1;
    fails(
        &s, WM_E_USAGE,
        "an arc of 2.0 cm (0.8 in) leaves no row between the margins at the hairline, 5.0 cm (2.0 in) in all; measure it again "
        "or set a smaller hairline_margin_cm");
    s.wishes.row_count = 0;
    wm_catalogue empty = { 0 };
    s.in.catalogue = &empty;
    wm_report report;
    assert_int_equal(wm_consult_match(&report, NULL, &s.in, NULL),
                     WM_E_INPUT); /* the swatches in the photo are unknown */
    close_salon(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(the_report_holds_everything_in_its_order),
                                        cmocka_unit_test(the_zones_are_all_that_is_looked_at),
                                        cmocka_unit_test(measuring_ends_with_the_zones),
                                        cmocka_unit_test(the_same_bytes_with_any_number_of_threads),
                                        cmocka_unit_test(wishes_change_what_is_asked),
                                        cmocka_unit_test(the_last_visit_is_compared),
                                        cmocka_unit_test(failures_leave_nothing_behind) };
    return cmocka_run_group_tests_name("consult", tests, NULL, NULL);
}
