/* cgats: each refusal by exact place and text. */
#include "core/cgats.h"
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HEAD "CGATS.17\nNUMBER_OF_FIELDS 2\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\n"

static void refuse(const char *text, long line, long column, const char *message)
{
    wm_cgats table = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_cgats_parse(&table, text, strlen(text), "t.txt", NULL, &err), WM_E_INPUT);
    assert_null(table.text); /* outputs untouched */
    assert_string_equal(err.text, message);
    assert_string_equal(err.file, "t.txt");
    assert_int_equal(err.line, line);
    assert_int_equal(err.column, column);
    assert_int_equal(wm_cgats_parse(&table, text, strlen(text), "t.txt", NULL, NULL), WM_E_INPUT);
}

static void refusals(void **state)
{
    (void)state;
    refuse("", 1, 1, "the file is empty; it should be a CGATS.17 table");
    refuse("\nCGATS.17\n", 1, 1, "the first line is not CGATS.17; export the table as CGATS.17 (ISO 28178)");
    refuse("CGATS.17 x\n", 1, 10, "the first line goes on behind CGATS.17; put the rest on lines of its own");
    refuse("CGATS.17\nORIGINATOR \"a\n", 2, 12, "this quote is not closed on its line; close it");
    refuse("CGATS.17\nORIGINATOR \"a\"b\n", 2, 15,
           "text goes on behind the closing quote; put a space there, or write the quote twice");
    refuse("CGATS.17\n\"a\" b\n", 2, 1, "a quoted text where a keyword should be; begin the line with a keyword");
    refuse("CGATS.17\nKEYWORD\n", 2, 8, "KEYWORD names no keyword; write one behind it in quotes");
    refuse("CGATS.17\n", 2, 1, "there is no BEGIN_DATA_FORMAT; the file may be cut off");
    refuse("CGATS.17\nBEGIN_DATA\n", 2, 1, "BEGIN_DATA before the field names; write BEGIN_DATA_FORMAT first");
    refuse("CGATS.17\nBEGIN_DATA_FORMAT END_DATA_FORMAT\n", 2, 1, "the data format names no field; write the names");
    refuse("CGATS.17\nBEGIN_DATA_FORMAT A\n", 3, 1, "END_DATA_FORMAT is missing; write it behind the last field name");
    refuse("CGATS.17\nNUMBER_OF_SETS x\n", 2, 16, "NUMBER_OF_SETS needs a whole number above 0");
    refuse("CGATS.17\nNUMBER_OF_SETS 0\n", 2, 16, "NUMBER_OF_SETS needs a whole number above 0");
    refuse("CGATS.17\nNUMBER_OF_SETS 1\nNUMBER_OF_SETS 1\n", 3, 1, "NUMBER_OF_SETS stands a second time; remove one");
    refuse("CGATS.17\nBEGIN_DATA_FORMAT A END_DATA_FORMAT\nBEGIN_DATA\n1\nEND_DATA\n", 0, 0,
           "NUMBER_OF_FIELDS is missing; write NUMBER_OF_FIELDS 1 before the field names");
    refuse("CGATS.17\nNUMBER_OF_FIELDS 1\nBEGIN_DATA_FORMAT A END_DATA_FORMAT\nBEGIN_DATA\n1\nEND_DATA\n", 0, 0,
           "NUMBER_OF_SETS is missing; write NUMBER_OF_SETS 1 before BEGIN_DATA");
    refuse("CGATS.17\nBEGIN_DATA_FORMAT A END_DATA_FORMAT\nBEGIN_DATA_FORMAT B\n", 3, 1,
           "a second BEGIN_DATA_FORMAT; keep one table in a file");
    refuse("CGATS.17\x01\n", 1, 9, "the control byte 0x01 does not belong into a text file; remove it");
    refuse("CGATS.17\n# caf\xe9\n", 2, 6, "not UTF-8 text; save the file as UTF-8");
}

static void row_refusals(void **state)
{
    (void)state;
    refuse(HEAD "BEGIN_DATA\n1 2 3\nEND_DATA\n", 8, 5,
           "this row has more values than the 2 fields; remove what is too much");
    refuse(HEAD "BEGIN_DATA\n1\nEND_DATA\n", 8, 2, "this row has 1 of 2 values; fill in LAB_L");
    refuse(HEAD "BEGIN_DATA\n1 2\n", 9, 1,
           "END_DATA is missing; the file may be cut off: write it behind the last row");
    refuse(HEAD "BEGIN_DATA\n1 2\nEND_DATA\nmore\n", 10, 1, "more text behind END_DATA; keep one table in a file");
    refuse(HEAD "BEGIN_DATA\n1 2\n1 3\nEND_DATA\n", 6, 0,
           "NUMBER_OF_SETS is 1, but there are 2 rows; correct the number or add what is missing");
    refuse(HEAD "BEGIN_DATA\noat#1 2\nEND_DATA\n", 8, 4, "# in the middle of a word; put the whole word in quotes");
    refuse(HEAD "BEGIN_DATA\noat\"1 2\nEND_DATA\n", 8, 4, "\" in the middle of a word; put the whole word in quotes");
    refuse(
        "CGATS.17\nNUMBER_OF_FIELDS 1\nBEGIN_DATA_FORMAT SAMPLE_ID END_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\n  7\n 7\nEND_DATA\n",
        7, 2, "SAMPLE_ID 7 stands on line 6 already; give each row an id of its own");
}

static void accept(wm_cgats *table, const char *text)
{
    wm_error err = { 0 };
    if (wm_cgats_parse(table, text, strlen(text), "t.txt", NULL, &err))
        fail_msg("%ld:%ld: %s", err.line, err.column, err.text);
}

static void kindness(void **state)
{
    (void)state;
    wm_cgats table = { 0 };
    accept(&table, "\xef\xbb\xbf" HEAD "BEGIN_DATA\n1 2\nEND_DATA # done"); /* byte order mark, no last line end */
    wm_cgats_free(&table);
    accept(&table, HEAD "BEGIN_DATA\n\"c\xc3\xb4t\xc3\xa9\" 2\nEND_DATA\n");
    assert_string_equal(table.cells[0], "c\xc3\xb4t\xc3\xa9");
    assert_int_equal(table.cell_columns[1], 8); /* characters, not bytes */
    assert_int_equal(table.row_lines[0], 8);
    wm_cgats_free(&table);
    wm_cgats_free(&table);
    wm_cgats_free(NULL);
}

static void numbers_name_their_place(void **state)
{
    (void)state;
    wm_cgats table = { 0 };
    accept(&table, HEAD "BEGIN_DATA\n1   4,5\nEND_DATA\n");
    wm_error err = { 0 };
    double value = 7;
    assert_int_equal(wm_cgats_number(&table, 0, 1, "t.txt", &value, &err), WM_E_INPUT);
    near("untouched", value, 7, 0);
    assert_string_equal(err.text, "LAB_L: '4,5' is not a number; write a decimal point, not a comma");
    assert_int_equal(err.line, 8);
    assert_int_equal(err.column, 5);
    assert_int_equal(wm_cgats_field(&table, "LAB_A"), -1);
    assert_int_equal(wm_cgats_field(&table, "lab_l"), -1);
    wm_cgats_free(&table);
}

/* However many private keywords a file has, few warnings come of it. */
static void notes_are_limited(void **state)
{
    (void)state;
    static char text[40000];
    strcpy(text, "CGATS.17\n");
    for (int i = 0; i < 2000; i++)
        snprintf(text + strlen(text), 16, "K%d 1\n", i);
    wm_warnings warnings = { 0 };
    wm_cgats table = { 0 };
    assert_int_equal(wm_cgats_parse(&table, text, strlen(text), "t.txt", &warnings, NULL), WM_E_INPUT);
    assert_int_equal(warnings.count, 10);
    assert_string_equal(warnings.items[0].code, "undeclared_keyword");
    assert_string_equal(warnings.items[0].text,
                        "t.txt, line 2: the keyword K0 is not declared by a KEYWORD line; it is ignored");
    wm_warnings_free(&warnings);
}

/* Every cut of a good file is refused or the whole; none crashes. */
static void every_truncation(void **state)
{
    (void)state;
    const char *whole = HEAD "BEGIN_DATA\n\"o \"\"a\"\"\" 2\nEND_DATA\n";
    for (size_t size = 0; size <= strlen(whole); size++) {
        char *copy = malloc(size ? size : 1); /* exact size: a sanitizer sees a byte read too far */
        assert_non_null(copy);
        memcpy(copy, whole, size);
        wm_cgats table = { 0 };
        bool good = wm_cgats_parse(&table, copy, size, "t.txt", NULL, NULL) == WM_OK;
        assert_int_equal(good, size + 1 >= strlen(whole));
        wm_cgats_free(&table);
        free(copy);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(refusals),          cmocka_unit_test(row_refusals),
                                        cmocka_unit_test(kindness),          cmocka_unit_test(numbers_name_their_place),
                                        cmocka_unit_test(notes_are_limited), cmocka_unit_test(every_truncation) };
    return cmocka_run_group_tests_name("cgats", tests, NULL, NULL);
}
