/* json: what is refused, with its place, and accessors that never trip. */
#include "core/json.h"
#include "support/comma.h"
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int plain_locale(void **state)
{
    (void)state;
    setlocale(LC_ALL, "C");
    return 0;
}

static wm_json_document *parse(const char *text)
{
    wm_json_document *document = NULL;
    wm_error err = { 0 };
    if (wm_json_parse(&document, text, strlen(text), "t.json", WM_E_INPUT, &err))
        fail_msg("%s: %ld:%ld: %s", text, err.line, err.column, err.text);
    return document;
}

static void refuse(const char *text, size_t size, long line, long column)
{
    wm_json_document *document = NULL;
    wm_error err = { 0 };
    char *exact = malloc(size ? size : 1); /* a sanitizer sees a byte read too far */
    assert_non_null(exact);
    memcpy(exact, text, size);
    if (!wm_json_parse(&document, exact, size, "t.json", WM_E_BOOK, &err))
        fail_msg("accepted: %s", text);
    free(exact);
    assert_null(document);
    assert_int_equal(err.code, WM_E_BOOK); /* the caller's code */
    assert_string_equal(err.file, "t.json");
    assert_true(strncmp(err.text, "not valid JSON (", 16) == 0 || strstr(err.text, "; "));
    if (err.line != line || err.column != column)
        fail_msg("%s: want %ld:%ld, got %ld:%ld (%s)", text, line, column, err.line, err.column, err.text);
}

static void refusals_name_line_and_column(void **state)
{
    (void)state;
    const struct {
        const char *text;
        long line, column;
    } bad[] = { { "", 1, 0 },
                { "{", 1, 1 },
                { "{\"a\":1,}", 1, 8 },
                { "[1 2]", 1, 4 },
                { "{\"a\":1,\n \"b\":2,\n \"a\":3}", 3, 4 },
                { "nul", 1, 3 },
                { "'a'", 1, 1 },
                { "[1.]", 1, 3 },
                { "[01]", 1, 2 },
                { "[.5]", 1, 2 },
                { "[+1]", 1, 2 },
                { "[NaN]", 1, 4 },
                { "[1e999]", 1, 6 },
                { "[\"\\x\"]", 1, 4 },
                { "[\"a\nb\"]", 1, 3 },
                { "[1] x", 1, 5 },
                { "\"\\u0000\"", 1, 8 },
                { "[\"\xff\"]", 1, 2 },
                { "[\"\\ud800\"]", 1, 9 },
                { "/* c */ 1", 1, 1 },
                { "{1:2}", 1, 2 } };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        refuse(bad[i].text, strlen(bad[i].text), bad[i].line, bad[i].column);
}

static void nul_bytes_are_refused(void **state)
{
    (void)state;
    refuse("[1]\0", 4, 1, 4);
}

static void depth_is_limited(void **state)
{
    (void)state;
    enum { DEPTH = 100000 };
    char *deep = malloc(DEPTH + 1);
    assert_non_null(deep);
    memset(deep, '[', DEPTH);
    deep[DEPTH] = '\0';
    wm_json_document *document = NULL;
    wm_error err = { 0 };
    assert_int_equal(wm_json_parse(&document, deep, DEPTH, "t.json", WM_E_INPUT, &err), WM_E_INPUT);
    assert_string_equal(err.text, "nested too deeply for any file of ours; correct the JSON here");
    assert_int_equal(err.line, 1);
    free(deep);
}

static void an_object_with_endless_keys_is_refused(void **state)
{
    (void)state;
    static char text[200000];
    strcpy(text, "[{");
    char *end = text + 2;
    for (int i = 0; i < 5000; i++)
        end += sprintf(end, "%s\"k%d\":%d", i ? "," : "", i, i);
    strcpy(end, "}]");
    wm_json_document *document = NULL;
    wm_error err = { 0 };
    assert_int_equal(wm_json_parse(&document, text, strlen(text), "t.json", WM_E_INPUT, &err), WM_E_INPUT);
    assert_string_equal(err.text, "an object has more than 4096 keys; this is not a weftmatch file");
}

static void every_truncation_is_refused(void **state)
{
    (void)state;
    const char *whole = "{\"a\":[1,-2.5e3,\"caf\xc3\xa9\\n\"],\"b\":{\"c\":null,\"d\":true}}";
    for (size_t size = 0; size < strlen(whole); size++) {
        wm_json_document *document = NULL;
        char *exact = malloc(size ? size : 1);
        assert_non_null(exact);
        memcpy(exact, whole, size);
        assert_int_equal(wm_json_parse(&document, exact, size, "t.json", WM_E_INPUT, NULL), WM_E_INPUT);
        free(exact);
    }
    wm_json_free(parse(whole));
}

static void values_and_order(void **state)
{
    (void)state;
    wm_json_document *document = parse("\xef\xbb\xbf{\"z\":[1,2.5,\"t\"],\"a\":null,\"m\":{\"x\":false}}");
    const wm_json *root = wm_json_root(document);
    assert_int_equal(wm_json_kind_of(root), WM_JSON_OBJECT);
    assert_int_equal(wm_json_count(root), 3);
    assert_string_equal(wm_json_key_at(root, 0), "z"); /* the file's order */
    assert_string_equal(wm_json_key_at(root, 1), "a");
    assert_string_equal(wm_json_key_at(root, 2), "m");
    assert_null(wm_json_key_at(root, 3));
    const wm_json *list = wm_json_get(root, "z");
    double value = 0;
    assert_int_equal(wm_json_count(list), 3);
    assert_true(wm_json_number(wm_json_at(list, 0), &value));
    near("integer", value, 1, 0);
    assert_true(wm_json_number(wm_json_at(list, 1), &value));
    near("real", value, 2.5, 0);
    assert_string_equal(wm_json_text(wm_json_at(list, 2)), "t");
    assert_int_equal(wm_json_kind_of(wm_json_get(wm_json_get(root, "m"), "x")), WM_JSON_FALSE);
    wm_json_free(document);
}

/* A member is found by its brackets, as the text has it; what is in it is not looked at. */
static void a_member_is_found_without_reading(void **state)
{
    (void)state;
    static const struct {
        const char *text, *key, *value;
    } rows[] = { { "{\"a\":1,\"b\":2}", "a", "1" },
                 { " {\n\"a\" : [1, \"]\", {\"b\":2}] , \"b\":\"}\"}", "a", "[1, \"]\", {\"b\":2}] " },
                 { "{\"a\":[1],\"b\":\"x\\\"}\"}", "b", "\"x\\\"}\"" },
                 { "{\"a\":1,\n\"b\":[\n  {\"c\":2},\n  \"]\"],\n\"c\":3}", "b", "[\n  {\"c\":2},\n  \"]\"]" },
                 { "{\"a\":1,\n\"b\":[\n  {\"c\":2}],\n\"c\":3}\n", "c", "3" },
                 { "{\"a\":1,\n\"b\":\n", "b", NULL },
                 { "{\"a\":1,\n\"b\":[1,2", "b", NULL },
                 { "{\"a\":{\"b\":3}}", "b", NULL },
                 { "{\"ab\":1}", "a", NULL },
                 { "{\"a\":[1", "a", NULL },
                 { "{\"a\":\"1", "a", NULL },
                 { "[\"a\",1]", "a", NULL },
                 { "{}", "a", NULL },
                 { "{\"a\"}", "a", NULL },
                 { "", "a", NULL } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t start = 0, end = 0;
        const bool found = wm_json_member_lies(&start, &end, rows[i].text, strlen(rows[i].text), rows[i].key);
        assert_int_equal(found, rows[i].value != NULL);
        if (found) {
            assert_int_equal(end - start, strlen(rows[i].value));
            assert_memory_equal(rows[i].text + start, rows[i].value, end - start);
        }
    }
}

static void scalars_are_documents(void **state)
{
    (void)state;
    const struct {
        const char *text;
        wm_json_kind kind;
        const char *name;
    } all[] = { { "null", WM_JSON_NULL, "null" },     { "false", WM_JSON_FALSE, "false" },
                { "true", WM_JSON_TRUE, "true" },     { "1", WM_JSON_NUMBER, "a number" },
                { "\"\"", WM_JSON_STRING, "a text" }, { "[]", WM_JSON_ARRAY, "a list" },
                { "{}", WM_JSON_OBJECT, "an object" } };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        wm_json_document *document = parse(all[i].text);
        assert_int_equal(wm_json_kind_of(wm_json_root(document)), all[i].kind);
        assert_string_equal(wm_json_kind_name(wm_json_root(document)), all[i].name);
        wm_json_free(document);
    }
}

static void accessors_bear_null_and_the_wrong_kind(void **state)
{
    (void)state;
    wm_json_document *document = parse("[{\"a\":1},\"t\",5]");
    const wm_json *root = wm_json_root(document);
    const wm_json *values[] = { NULL, root, wm_json_at(root, 1), wm_json_at(root, 2) };
    for (size_t i = 0; i < 4; i++) {
        double value = 7;
        assert_null(wm_json_get(values[i], "a"));
        assert_null(wm_json_key_at(values[i], 0));
        assert_true(i == 2 || wm_json_text(values[i]) == NULL);
        assert_true(i == 3 || !wm_json_number(values[i], &value));
        assert_true(i == 1 || (wm_json_count(values[i]) == 0 && wm_json_at(values[i], 0) == NULL));
    }
    assert_null(wm_json_at(root, 3));
    assert_null(wm_json_get(wm_json_at(root, 0), "b"));
    assert_null(wm_json_root(NULL));
    wm_json_free(document);
    wm_json_free(NULL);
}

static void numbers_under_a_comma_locale(void **state)
{
    (void)state;
    if (!comma_locale())
        skip();
    wm_json_document *document = parse("[2.5]");
    double value = 0;
    assert_true(wm_json_number(wm_json_at(wm_json_root(document), 0), &value));
    near("2.5", value, 2.5, 0);
    wm_json_free(document);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(refusals_name_line_and_column),
                                        cmocka_unit_test(nul_bytes_are_refused),
                                        cmocka_unit_test(depth_is_limited),
                                        cmocka_unit_test(an_object_with_endless_keys_is_refused),
                                        cmocka_unit_test(every_truncation_is_refused),
                                        cmocka_unit_test(values_and_order),
                                        cmocka_unit_test(scalars_are_documents),
                                        cmocka_unit_test(a_member_is_found_without_reading),
                                        cmocka_unit_test(accessors_bear_null_and_the_wrong_kind),
                                        cmocka_unit_test_teardown(numbers_under_a_comma_locale, plain_locale) };
    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
