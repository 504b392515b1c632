/* The report as JSON: the contract's keys and their order, the round trip, documents that are damaged. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/json.h"
#include "report/json_out.h"
#include "support/comma.h"
#include "support/report_model.h"
#include "support/rng.h"

static wm_buf written(const model *m)
{
    wm_buf out = { 0 };
    assert_int_equal(wm_report_to_json(&out, &m->report, NULL), WM_OK);
    return out;
}

static wm_json_document *parsed(const wm_buf *json)
{
    wm_json_document *document = NULL;
    wm_error err;
    if (wm_json_parse(&document, json->data, json->size, "the report", WM_E_BOOK, &err))
        fail_msg("%s", err.text);
    return document;
}

/* ---- the contract: these keys, in this order; further ones of ours may stand between them ---- */

static void keys_in_order(const wm_json *object, const char *what, const char *keys)
{
    char key[64];
    size_t at = 0, count = wm_json_count(object);
    for (const char *k = keys; *k; k += strspn(k, " ")) {
        size_t size = strcspn(k, " ");
        snprintf(key, sizeof key, "%.*s", (int)size, k);
        while (at < count && strcmp(wm_json_key_at(object, at), key) != 0)
            at++;
        if (at == count)
            fail_msg("%s has no '%s' in its place", what, key);
        k += size;
    }
}

static const wm_json *get(const wm_json *object, const char *key)
{
    const wm_json *value = wm_json_get(object, key);
    if (!value)
        fail_msg("no '%s'", key);
    return value;
}

static void json_keys_of_the_contract(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_FULL);
    wm_buf json = written(&m);
    wm_json_document *document = parsed(&json);
    const wm_json *root = wm_json_root(document);
    keys_in_order(
        root, "the document",
        "format program made photo calibration zones rankings decision proposals scenarios stability plan warnings cautions");
    keys_in_order(get(root, "program"), "program", "name version lcms sqlite");
    keys_in_order(get(root, "made"), "made", "at");
    keys_in_order(get(root, "photo"), "photo",
                  "file sha256 width height orientation profile profile_assumed camera taken");
    keys_in_order(get(root, "calibration"), "calibration", "aid stage1 agreement dropped");
    keys_in_order(wm_json_at(get(get(root, "calibration"), "dropped"), 0), "dropped", "zone why");
    const wm_json *zone = wm_json_at(get(root, "zones"), 3), *ranking = wm_json_at(get(root, "rankings"), 0),
                  *proposal = wm_json_at(get(root, "proposals"), 0);
    keys_in_order(zone, "a zone", "kind name pixels kept lab sd sigma u_de00 claim gray");
    keys_in_order(get(zone, "gray"), "gray", "status share u_share base_lab gray_lab");
    keys_in_order(ranking, "a ranking", "target swatches");
    keys_in_order(wm_json_at(get(ranking, "swatches"), 0), "a swatch",
                  "code lab de00 d_lightness d_chroma d_hue words u_de00 verdict tied_with_best");
    keys_in_order(get(root, "decision"), "decision",
                  "assumed own_g added_g short_g layers layers_needed layers_load mg_per_hair mg_limit roles missing");
    keys_in_order(get(get(root, "decision"), "roles"), "roles", "base gray blend");
    keys_in_order(wm_json_at(get(get(get(root, "decision"), "roles"), "base"), 0), "a role's shade", "code de00");
    keys_in_order(proposal, "a proposal", "shades layers pieces rows gap far near verdict p best_in_10 why");
    keys_in_order(wm_json_at(get(proposal, "shades"), 0), "a shade", "code role");
    keys_in_order(get(proposal, "p"), "p", "match close visible");
    const wm_json *row = wm_json_at(get(proposal, "rows"), 0), *segment = wm_json_at(get(row, "segments"), 0);
    keys_in_order(row, "a row", "place arc_cm segments");
    keys_in_order(segment, "a segment", "place end length_cm sides target seen far near layers");
    keys_in_order(get(segment, "seen"), "seen", "down up");
    keys_in_order(wm_json_at(get(segment, "layers"), 0), "a layer", "code second second_share pieces piece_cm");
    keys_in_order(wm_json_at(get(root, "scenarios"), 0), "a scenario", "rise share change verdict p proposal");
    keys_in_order(wm_json_at(get(root, "warnings"), 0), "a warning", "code text");
    assert_int_equal(wm_json_kind_of(wm_json_at(get(root, "cautions"), 0)), WM_JSON_STRING);
    assert_string_equal(wm_json_text(get(wm_json_at(get(proposal, "shades"), 1), "role")), "gray");
    assert_string_equal(wm_json_text(get(segment, "place")), "side");
    wm_json_free(document);
    wm_buf_free(&json);
    model_free(&m);
}

/* Share and u_share are null for the first two statuses, a population where it is not known. */
static void json_nulls_of_the_contract(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_FULL);
    m.report.zones[1].refused = true;
    m.report.has_plan = m.report.calibration.has_agreement = false;
    m.report.photo.camera[0] = m.report.photo.taken[0] = '\0';
    wm_buf json = written(&m);
    wm_json_document *document = parsed(&json);
    const wm_json *root = wm_json_root(document), *refused = wm_json_at(get(root, "zones"), 1),
                  *gray = get(wm_json_at(get(root, "zones"), 2), "gray");
    const wm_json *null[] = { get(refused, "lab"),
                              get(refused, "sd"),
                              get(refused, "sigma"),
                              get(refused, "u_de00"),
                              get(refused, "claim"),
                              get(gray, "share"),
                              get(gray, "u_share"),
                              get(gray, "base_lab"),
                              get(gray, "gray_lab"),
                              get(get(root, "decision"), "missing"),
                              get(root, "plan"),
                              get(get(root, "calibration"), "agreement"),
                              get(get(root, "photo"), "camera") };
    for (size_t i = 0; i < sizeof null / sizeof null[0]; i++)
        if (wm_json_kind_of(null[i]) != WM_JSON_NULL)
            fail_msg("value %zu is not null", i);
    assert_string_equal(wm_json_text(get(gray, "status")), "not resolved");
    wm_json_free(document);
    wm_buf_free(&json);
    model_free(&m);
}

/* `measure --json` ends after zones and warnings. */
static void json_of_measure(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_MEASURED);
    wm_buf json = written(&m);
    wm_json_document *document = parsed(&json);
    const wm_json *root = wm_json_root(document);
    keys_in_order(root, "the document", "format program made photo calibration zones warnings");
    assert_string_equal(wm_json_key_at(root, wm_json_count(root) - 1), "warnings");
    assert_null(wm_json_get(root, "rankings"));
    wm_json_free(document);
    wm_buf_free(&json);
    model_free(&m);
}

/* ---- bytes ---- */

static void json_fixed_decimals(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_FULL);
    m.report.zones[3].share = 0.3;
    m.report.zones[3].body.lab = (wm_lab){ 35, -1e-9, 11.40004 };
    m.report.proposals[0].far = 1.0 / 3;
    wm_buf json = written(&m);
    assert_non_null(strstr(json.data, "\"share\":0.3000"));
    assert_non_null(strstr(json.data, "\"lab\":[35.0000,0.0000,11.4000]")); /* no "-0" */
    assert_non_null(strstr(json.data, "\"far\":0.3333"));
    wm_buf_free(&json);
    model_free(&m);
}

static void json_read_back_is_the_same_bytes(void **state)
{
    (void)state;
    for (int kind = MODEL_FULL; kind <= MODEL_HOSTILE; kind++) {
        model m;
        wm_report *again = calloc(1, sizeof *again);
        wm_buf second = { 0 };
        wm_error err;
        assert_non_null(again);
        model_make(&m, (model_kind)kind);
        wm_buf first = written(&m);
        if (wm_report_from_json(again, first.data, first.size, "the report", &err))
            fail_msg("model %d: %s", kind, err.text);
        assert_int_equal(wm_report_to_json(&second, again, NULL), WM_OK);
        assert_int_equal(first.size, second.size);
        assert_memory_equal(first.data, second.data, first.size);
        assert_int_equal(wm_report_exit(again), wm_report_exit(&m.report));
        wm_report_free(again);
        free(again);
        wm_buf_free(&first);
        wm_buf_free(&second);
        model_free(&m);
    }
}

static wm_report *read_part(const wm_buf *json, const wm_report_part *part)
{
    wm_report *report = calloc(1, sizeof *report);
    assert_non_null(report);
    assert_int_equal(wm_report_from_json_part(report, json->data, json->size, part, "the report", NULL), WM_OK);
    return report;
}

static void free_part(wm_report *report)
{
    wm_report_free(report);
    free(report);
}

/* Written again it is what the model as it stands writes. */
static void assert_written_alike(const wm_report *report, const model *m)
{
    wm_buf got = { 0 }, expected = written(m);
    assert_int_equal(wm_report_to_json(&got, report, NULL), WM_OK);
    assert_string_equal(got.data, expected.data);
    wm_buf_free(&got);
    wm_buf_free(&expected);
}

static void json_read_without_some_lists_is_the_rest(void **state)
{
    (void)state;
    static const char *const LISTS[] = { "rankings", "nothing of that name", "scenarios", "plan", NULL };
    const wm_report_part part = { .without = LISTS };
    model m;
    model_make(&m, MODEL_FULL);
    wm_buf json = written(&m);
    wm_report *rest = read_part(&json, &part);
    const size_t rankings = m.report.ranking_count, scenarios = m.report.scenario_count;
    assert_true(rankings > 0 && scenarios > 0);
    assert_true(m.report.has_plan);
    m.report.ranking_count = m.report.scenario_count = 0;
    m.report.has_plan = false;
    assert_written_alike(rest, &m);
    m.report.has_plan = true;
    m.report.ranking_count = rankings;
    m.report.scenario_count = scenarios;
    free_part(rest);
    wm_buf_free(&json);
    model_free(&m);
}

/* What is sewn on is looked up in the first ranking; who is asked for and not there leaves no trace. */
static void json_read_in_part_keeps_the_shades_asked_for(void **state)
{
    (void)state;
    static const char *const LISTS[] = { "rankings", "scenarios", NULL };
    model m;
    model_make(&m, MODEL_FULL);
    wm_buf json = written(&m);
    const wm_report_ranking *first = &m.report.rankings[0];
    assert_true(first->count >= 2);
    const char *shades[] = { first->items[1].code, "nobody\"s", first->items[0].code };
    const wm_report_part part = { LISTS, shades, 3, 0 };
    wm_report *rest = read_part(&json, &part);
    assert_int_equal(rest->ranking_count, 1);
    assert_string_equal(rest->rankings[0].target, first->target);
    assert_int_equal(rest->rankings[0].count, 2);
    assert_string_equal(rest->rankings[0].items[0].code, first->items[1].code);
    near("its colour", rest->rankings[0].items[1].lab.L, first->items[0].lab.L, 1e-4);
    assert_int_equal(rest->proposal_count, m.report.proposal_count);
    free_part(rest);
    wm_buf_free(&json);
    model_free(&m);
}

/* The first of each ranking, all of those that are no longer. */
static void json_read_in_part_keeps_the_nearest(void **state)
{
    (void)state;
    static const char *const LISTS[] = { "rankings", NULL };
    for (size_t nearest = 1; nearest <= 4; nearest++) {
        const wm_report_part part = { .without = LISTS, .nearest = nearest };
        model m;
        model_make(&m, MODEL_FULL);
        wm_buf json = written(&m);
        wm_report *rest = read_part(&json, &part);
        size_t counts[8], cut = 0;
        assert_true(m.report.ranking_count <= 8);
        for (size_t i = 0; i < m.report.ranking_count; i++) {
            counts[i] = m.report.rankings[i].count;
            cut += counts[i] > nearest;
            m.report.rankings[i].count = counts[i] < nearest ? counts[i] : nearest;
        }
        assert_true(nearest > 1 || cut > 0);
        assert_written_alike(rest, &m);
        for (size_t i = 0; i < m.report.ranking_count; i++)
            m.report.rankings[i].count = counts[i];
        free_part(rest);
        wm_buf_free(&json);
        model_free(&m);
    }
}

/* Spaces where we write none: read as a whole rather than cut wrongly. */
static void json_of_another_hand_is_read_as_a_whole(void **state)
{
    (void)state;
    static const char *const LISTS[] = { "rankings", NULL };
    model m;
    wm_buf spaced = { 0 };
    model_make(&m, MODEL_FULL);
    wm_buf json = written(&m);
    const char *code = m.report.rankings[0].items[0].code, *at = strstr(json.data, "\"swatches\":[");
    const wm_report_part part = { LISTS, &code, 1, 0 };
    assert_non_null(at);
    wm_buf_bytes(&spaced, json.data, (size_t)(at - json.data));
    wm_buf_text(&spaced, "\"note\":\"\\\"swatches\\\":[\","); /* as a text within */
    wm_buf_text(&spaced, at);
    wm_report *rest = read_part(&spaced, &part);
    assert_true(rest->ranking_count >= 1);
    assert_string_equal(rest->rankings[0].items[0].code, code);
    free_part(rest);
    wm_buf_free(&json);
    wm_buf_free(&spaced);
    model_free(&m);
}

static void json_in_a_locale_with_commas(void **state)
{
    (void)state;
    model m;
    if (!comma_locale())
        skip();
    model_make(&m, MODEL_FULL);
    wm_buf after = written(&m);
    wm_report *again = calloc(1, sizeof *again);
    assert_int_equal(wm_report_from_json(again, after.data, after.size, "the report", NULL), WM_OK);
    near("far read back", again->proposals[0].far, 1.31, 1e-9);
    setlocale(LC_ALL, "C");
    wm_buf before = written(&m);
    assert_string_equal(before.data, after.data);
    wm_report_free(again);
    free(again);
    wm_buf_free(&before);
    wm_buf_free(&after);
    model_free(&m);
}

static void json_never_nan(void **state)
{
    (void)state;
    const double bad[] = { NAN, INFINITY, -INFINITY };
    for (size_t i = 0; i < 3; i++) {
        model m;
        wm_buf out = { 0 };
        model_make(&m, MODEL_SMALL);
        m.report.rankings[0].items[0].de00 = bad[i];
        assert_int_not_equal(wm_report_to_json(&out, &m.report, NULL), WM_OK);
        wm_buf_free(&out);
        model_free(&m);
    }
}

/* ---- documents that are damaged ---- */

/* WM_OK or WM_E_BOOK, with a line that says what is wrong; what was read can be written again and freed. */
static wm_status try_read(const char *json, size_t size)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_error err = { .text = "" };
    wm_status status = wm_report_from_json(report, json, size, "visit 3", &err);
    if (!status) {
        wm_buf again = { 0 };
        assert_int_equal(wm_report_to_json(&again, report, NULL), WM_OK);
        wm_buf_free(&again);
        wm_report_free(report);
    } else {
        assert_int_equal(status, WM_E_BOOK);
        assert_int_equal(err.code, WM_E_BOOK);
        assert_true(strlen(err.text) > 10);
        assert_string_equal(err.file, "visit 3");
        assert_int_equal(report->zone_count, 0); /* untouched */
    }
    free(report);
    return status;
}

static void json_damaged_documents(void **state)
{
    (void)state;
    static const char *const BAD[] = { "",
                                       "{",
                                       "null",
                                       "[]",
                                       "{}",
                                       "7",
                                       "{\"format\":\"1\"}",
                                       "{\"format\":0}",
                                       "{\"format\":3}",
                                       "{\"format\":1,\"photo\":[]}",
                                       "{\"format\":1,\"zones\":{}}",
                                       "{\"format\":1,\"zones\":[7]}",
                                       "{\"format\":1,\"zones\":[{\"kind\":\"nose\"}]}",
                                       "{\"format\":1,\"zones\":[{\"lab\":[1,2]}]}",
                                       "{\"format\":1,\"zones\":[{\"lab\":[1,2,1e9]}]}",
                                       "{\"format\":1,\"zones\":[{\"pixels\":-1}]}",
                                       "{\"format\":1,\"zones\":[{\"pixels\":1.5}]}",
                                       "{\"format\":1,\"zones\":[{\"name\":7}]}",
                                       "{\"format\":1,\"rankings\":[{\"swatches\":7}]}",
                                       "{\"format\":1,\"proposals\":[{\"layers\":[\"a\",\"b\",\"c\",\"d\"]}]}",
                                       "{\"format\":1,\"proposals\":[{\"far\":null}]}",
                                       "{\"format\":1,\"plan\":7}",
                                       "{\"format\":1,\"plan\":{\"moveups\":{\"dates\":[\"2024-02-30\"]}}}",
                                       "{\"format\":1,\"warnings\":[7]}",
                                       "{\"format\":1,\"cautions\":[{}]}",
                                       "{\"format\":1,\"program\":[]}",
                                       "{\"format\":1,\"photo\":{\"width\":1e12}}" };
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++)
        if (try_read(BAD[i], strlen(BAD[i])) != WM_E_BOOK)
            fail_msg("taken: %s", BAD[i]);
    assert_int_equal(try_read("{\"format\":1}", 12), WM_OK); /* what is absent is empty */
}

static void json_damaged_at_any_byte(void **state)
{
    (void)state;
    model m;
    rng r = { 11 };
    size_t taken = 0, tried = 0;
    model_make(&m, MODEL_FULL);
    wm_buf json = written(&m);
    char *copy = malloc(json.size);
    assert_non_null(copy);
    for (int i = 0; i < 1500; i++, tried++) {
        static const char NASTY[] = "\0\"{}[],:-9eE\\ \x80\xff"
                                    "nt";
        size_t size = json.size;
        memcpy(copy, json.data, size);
        size_t at = (size_t)(rng_between(&r, 0, (double)size));
        if (i % 3 == 0)
            size = at;
        else
            copy[at] = NASTY[(size_t)(rng_between(&r, 0, (double)(sizeof NASTY - 1)))];
        taken += try_read(copy, size) == WM_OK;
    }
    print_message("# %zu of %zu damaged documents were still readable\n", taken, tried);
    assert_true(taken < tried);
    free(copy);
    wm_buf_free(&json);
    model_free(&m);
}

static void json_long_texts_are_cut_at_a_character(void **state)
{
    (void)state;
    wm_report *report = calloc(1, sizeof *report);
    wm_buf json = { 0 };
    wm_buf_text(&json, "{\"format\":1,\"zones\":[{\"name\":\"");
    for (int i = 0; i < 200; i++)
        wm_buf_text(&json, "\xc3\xa9");
    wm_buf_text(&json, "\"}]}");
    assert_int_equal(wm_report_from_json(report, json.data, json.size, "x", NULL), WM_OK);
    assert_true(strlen(report->zones[0].name) >= WM_LABEL_SIZE - 2);
    assert_true(wm_utf8_valid(report->zones[0].name, strlen(report->zones[0].name)));
    wm_report_free(report);
    free(report);
    wm_buf_free(&json);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(json_keys_of_the_contract),
                                        cmocka_unit_test(json_nulls_of_the_contract),
                                        cmocka_unit_test(json_of_measure),
                                        cmocka_unit_test(json_fixed_decimals),
                                        cmocka_unit_test(json_read_back_is_the_same_bytes),
                                        cmocka_unit_test(json_read_without_some_lists_is_the_rest),
                                        cmocka_unit_test(json_read_in_part_keeps_the_shades_asked_for),
                                        cmocka_unit_test(json_read_in_part_keeps_the_nearest),
                                        cmocka_unit_test(json_of_another_hand_is_read_as_a_whole),
                                        cmocka_unit_test(json_in_a_locale_with_commas),
                                        cmocka_unit_test(json_never_nan),
                                        cmocka_unit_test(json_damaged_documents),
                                        cmocka_unit_test(json_damaged_at_any_byte),
                                        cmocka_unit_test(json_long_texts_are_cut_at_a_character) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
