/* status: what an error may look like when it reaches a person. */
#include "core/status.h"
#include "core/buf.h"
#include "support/near.h"

#include <stdio.h>
#include <string.h>

static void failure_carries_code_text_and_place(void **state)
{
    (void)state;
    wm_error err = { 0 };
    assert_int_equal(wm_fail_at(&err, WM_E_INPUT, "zones.json", 3, 7, "zone '%s' is empty; draw it again", "crown"),
                     WM_E_INPUT);
    assert_int_equal(err.code, WM_E_INPUT);
    assert_string_equal(err.text, "zone 'crown' is empty; draw it again");
    assert_string_equal(err.file, "zones.json");
    assert_int_equal(err.line, 3);
    assert_int_equal(err.column, 7);
    assert_int_equal(wm_fail(&err, WM_E_USAGE, "other"), WM_E_USAGE); /* nothing of the first is left */
    assert_string_equal(err.file, "");
    assert_int_equal(err.line, 0);
    assert_int_equal(err.column, 0);
}

static void null_is_fine_everywhere(void **state)
{
    (void)state;
    assert_int_equal(wm_fail(NULL, WM_E_BOOK, "x"), WM_E_BOOK);
    assert_int_equal(wm_fail_at(NULL, WM_E_PHOTO, NULL, 0, 0, "x"), WM_E_PHOTO);
    assert_int_equal(wm_fail_memory(NULL), WM_E_MEMORY);
    wm_warnings_add(NULL, "code", "x");
    wm_warnings_free(NULL);
}

/* A file name must not move the cursor or recolour the terminal. */
static void control_bytes_become_question_marks(void **state)
{
    (void)state;
    wm_error err;
    wm_fail_at(&err, WM_E_INPUT, "a\x1b[31mb\n", 0, 0, "bad '%s'; rename it",
               "x\x07\x7f\xc2\x9b\xff"
               "caf\xc3\xa9");
    assert_string_equal(err.file, "a?[31mb?");
    assert_string_equal(err.text, "bad 'x????caf\xc3\xa9'; rename it");
}

static void long_texts_are_cut_between_characters(void **state)
{
    (void)state;
    char name[2000];
    for (size_t shift = 0; shift < 4; shift++) {
        memset(name, 'x', shift);
        for (size_t i = shift; i + 3 < sizeof name; i += 3)
            memcpy(name + i, "\xe2\x82\xac", 4); /* a three-byte character */
        wm_error err;
        wm_fail_at(&err, WM_E_INPUT, name, 0, 0, "%s", name);
        assert_true(wm_utf8_valid(err.text, strlen(err.text)) && wm_utf8_valid(err.file, strlen(err.file)));
        assert_null(strchr(err.text, '?'));
        assert_null(strchr(err.file, '?'));
        assert_true(strlen(err.text) >= sizeof err.text - 4);
    }
}

static void notes_keep_one_of_equals(void **state)
{
    (void)state;
    wm_warnings warnings = { 0 };
    wm_warnings_add(&warnings, "clipped", "%d %% of %s is clipped; expose less", 7, "crown");
    wm_warnings_add(&warnings, "clipped", "%d %% of %s is clipped; expose less", 7, "crown");
    wm_warnings_add(&warnings, "clipped", "%d %% of %s is clipped; expose less", 9, "fringe");
    assert_int_equal(warnings.count, 2);
    assert_false(warnings.failed);
    assert_string_equal(warnings.items[1].code, "clipped");
    assert_string_equal(warnings.items[1].text, "9 % of fringe is clipped; expose less");
    wm_warnings_free(&warnings);
    assert_int_equal(warnings.count, 0);
    wm_warnings_free(&warnings);
}

static void version_has_three_numbers(void **state)
{
    (void)state;
    int a, b, c, end = 0;
    assert_int_equal(sscanf(wm_version(), "%d.%d.%d%n", &a, &b, &c, &end), 3);
    assert_int_equal(wm_version()[end], '\0');
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(failure_carries_code_text_and_place),
                                        cmocka_unit_test(null_is_fine_everywhere),
                                        cmocka_unit_test(control_bytes_become_question_marks),
                                        cmocka_unit_test(long_texts_are_cut_between_characters),
                                        cmocka_unit_test(notes_keep_one_of_equals),
                                        cmocka_unit_test(version_has_three_numbers) };
    return cmocka_run_group_tests_name("status", tests, NULL, NULL);
}
