/* The CSV reader: RFC 4180, section 2, and the habits of spreadsheets. Places are checked, not only texts. */
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

#include "match/csv.h"

/* Every row as cell|cell|, rows ended by /, so that a case is one line. */
static void expect_rows(const char *data, const char *want)
{
    wm_csv csv;
    wm_error err = { 0 };
    char got[500] = "";
    assert_int_equal(wm_csv_open(&csv, data, strlen(data), "test.csv", &err), WM_OK);
    for (;;) {
        wm_status status = wm_csv_next(&csv, &err);
        if (status)
            fail_msg("%s: %s", data, err.text);
        if (csv.count == 0)
            break;
        for (size_t i = 0; i < csv.count; i++) {
            strcat(got, csv.cells[i].text);
            strcat(got, "|");
        }
        strcat(got, "/");
    }
    assert_string_equal(got, want);
    wm_csv_close(&csv);
}

static void reads_rfc_4180(void **state)
{
    (void)state;
    expect_rows("a,b\r\nc,d\r\n", "a|b|/c|d|/");
    expect_rows("a,b\nc,d", "a|b|/c|d|/");   /* the last line needs no end */
    expect_rows("a,b\rc,d\r", "a|b|/c|d|/"); /* old Macs */
    expect_rows("\"a\",\"b,c\"\n", "a|b,c|/");
    expect_rows("\"a\"\"b\",c\n", "a\"b|c|/");
    expect_rows("\"a\r\nb\",c\n", "a\r\nb|c|/");
    expect_rows("\"\",\n", ""); /* a row without any text is no row */
    expect_rows("a,,\n", "a|||/");
    expect_rows("\xef\xbb\xbf"
                "a,b\n",
                "a|b|/");
    expect_rows("\n\r\na\n,,\n\nb\n", "a|/b|/");
    expect_rows(" a , b c\t,\" d \" \n", "a|b c| d |/");
    expect_rows("", "");
}

static void tells_the_place_of_a_cell(void **state)
{
    (void)state;
    const char *data = "x,y\n\xc3\xa4,\"1\n2\", \"3\"\r\n4,5\n";
    wm_csv csv;
    assert_int_equal(wm_csv_open(&csv, data, strlen(data), "test.csv", NULL), WM_OK);
    assert_int_equal(wm_csv_next(&csv, NULL), WM_OK);
    assert_int_equal(wm_csv_next(&csv, NULL), WM_OK);
    assert_int_equal(csv.cells[1].line, 2);
    assert_int_equal(csv.cells[1].column, 3); /* characters: the umlaut is one */
    assert_int_equal(csv.cells[2].line, 3);
    assert_int_equal(csv.cells[2].column, 5);
    assert_int_equal(wm_csv_next(&csv, NULL), WM_OK);
    assert_int_equal(csv.cells[0].line, 4);
    wm_csv_close(&csv);
}

static void expect_fault(const char *data, size_t size, long line, long column, const char *text)
{
    wm_csv csv;
    wm_error err = { 0 };
    wm_status status = wm_csv_open(&csv, data, size, "test.csv", &err);
    while (!status && (status = wm_csv_next(&csv, &err)) == WM_OK && csv.count)
        continue;
    assert_int_equal(status, WM_E_INPUT);
    assert_string_equal(err.file, "test.csv");
    assert_int_equal(err.line, line);
    assert_int_equal(err.column, column);
    if (!strstr(err.text, text) || !strchr(err.text, ';'))
        fail_msg("'%s' lacks '%s' or what to do", err.text, text);
    wm_csv_close(&csv);
}

static void names_faults_with_their_place(void **state)
{
    (void)state;
    expect_fault("a,b\nc,\"d\n\n", 10, 2, 3, "never closed");
    expect_fault("a,\"b\"c\n", 7, 1, 6, "follows a closing quote");
    expect_fault("a,b\nc,d\"e\n", 10, 2, 4, "quote inside a cell");
    expect_fault("a\n\xff\xff\n", 5, 2, 0, "UTF-8");
    expect_fault("a\nb\0c\n", 6, 2, 0, "UTF-8");
    expect_fault("\xff\xfe"
                 "a\0",
                 4, 1, 1, "UTF-16");
}

static void limits_columns_and_cells(void **state)
{
    (void)state;
    char commas[WM_CSV_CELLS + 1];
    memset(commas, ',', sizeof commas);
    expect_fault(commas, sizeof commas, 1, WM_CSV_CELLS + 1, "200 columns");
    char *cell = malloc(WM_CSV_CELL_BYTES + 1);
    assert_non_null(cell);
    memset(cell, 'x', WM_CSV_CELL_BYTES + 1);
    expect_fault(cell, WM_CSV_CELL_BYTES + 1, 1, 1, "4096 bytes");
    free(cell);
}

static void writes_cells_that_read_back(void **state)
{
    (void)state;
    const char *const texts[] = { "plain", "a,b", "say \"oat\"", " padded", "two\r\nlines", "", "\xc3\xa4" };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        wm_buf buf = { 0 };
        wm_csv csv;
        wm_csv_write(&buf, texts[i]);
        wm_buf_text(&buf, ",end\n");
        assert_false(buf.failed);
        assert_int_equal(wm_csv_open(&csv, buf.data, buf.size, "test.csv", NULL), WM_OK);
        assert_int_equal(wm_csv_next(&csv, NULL), WM_OK);
        assert_int_equal(csv.count, 2);
        assert_string_equal(csv.cells[0].text, texts[i]);
        wm_csv_close(&csv);
        wm_buf_free(&buf);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_rfc_4180),
        cmocka_unit_test(tells_the_place_of_a_cell),
        cmocka_unit_test(names_faults_with_their_place),
        cmocka_unit_test(limits_columns_and_cells),
        cmocka_unit_test(writes_cells_that_read_back),
    };
    return cmocka_run_group_tests_name("csv", tests, NULL, NULL);
}
