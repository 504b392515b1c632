/* Every file of reference/cgats/ against the verdict of its expected.csv, and the exact line of what is refused. */
#include "core/cgats.h"
#include "core/file.h"
#include "colour/colour.h"
#include "support/near.h"
#include "support/table.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BIG = 1 << 20 };

static wm_status parse_file(wm_cgats *out, const char *name, wm_warnings *warnings, wm_error *err)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/cgats/%s", getenv("REFERENCE_DIR"), name);
    wm_bytes bytes = { 0 };
    assert_int_equal(wm_file_read(&bytes, path, BIG, WM_E_INPUT, err), WM_OK);
    wm_status status = wm_cgats_parse(out, (const char *)bytes.data, bytes.size, name, warnings, err);
    wm_bytes_free(&bytes);
    return status;
}

/* What a reader of swatches and targets asks for: three numbers in range. */
static wm_status lab_of_row(const wm_cgats *data, size_t row, wm_lab *out, wm_error *err)
{
    static const char *const names[] = { "LAB_L", "LAB_A", "LAB_B" };
    double v[3];
    for (size_t i = 0; i < 3; i++) {
        long field = wm_cgats_field(data, names[i]);
        if (field < 0)
            return wm_fail(err, WM_E_INPUT, "no %s", names[i]);
        wm_status status = wm_cgats_number(data, row, (size_t)field, "f", &v[i], err);
        if (status)
            return status;
    }
    *out = (wm_lab){ v[0], v[1], v[2] };
    return wm_lab_valid(*out) ? WM_OK : wm_fail(err, WM_E_INPUT, "out of range");
}

/* The accepted samples all carry the same three colours. */
static void check_values(const char *name, const wm_cgats *data)
{
    static const wm_lab want[] = { { 20.50, 3.10, 4.20 }, { 41.00, 9.80, 18.70 }, { 72.25, 5.00, 27.30 } };
    assert_int_equal(data->rows, 3);
    for (size_t i = 0; i < 3; i++) {
        wm_lab got;
        assert_int_equal(lab_of_row(data, i, &got, NULL), WM_OK);
        near(name, got.L, want[i].L, 1e-12);
        near(name, got.a, want[i].a, 1e-12);
        near(name, got.b, want[i].b, 1e-12);
    }
}

static bool accepted(const char *name, wm_warnings *warnings, wm_error *err)
{
    wm_cgats data = { 0 };
    if (parse_file(&data, name, warnings, err))
        return false;
    bool good = true;
    for (size_t i = 0; i < data.rows && good; i++)
        good = lab_of_row(&data, i, &(wm_lab){ 0 }, err) == WM_OK;
    if (good)
        check_values(name, &data);
    wm_cgats_free(&data);
    return good;
}

static void every_listed_file(void **state)
{
    (void)state;
    table *expected = table_open("cgats/expected.csv");
    for (size_t i = 0; i < table_rows(expected); i++) {
        const char *name = table_text(expected, i, "file");
        bool want = strcmp(table_text(expected, i, "verdict"), "accept") == 0;
        wm_warnings warnings = { 0 };
        wm_error err = { 0 };
        if (accepted(name, &warnings, &err) != want)
            fail_msg("%s: want %s (%s), got: %s", name, want ? "accept" : "reject", table_text(expected, i, "reason"),
                     err.text);
        if (!want)
            printf("# %s:%ld:%ld: %s\n", name, err.line, err.column, err.text);
        assert_int_equal(warnings.count, strncmp(name, "warn_", 5) == 0 ? 1 : 0);
        wm_warnings_free(&warnings);
    }
    table_free(expected);
}

/* No sample may lie in the folder without a verdict. */
static void every_file_is_listed(void **state)
{
    (void)state;
    char path[1024];
    snprintf(path, sizeof path, "%s/cgats", getenv("REFERENCE_DIR"));
    DIR *folder = opendir(path);
    assert_non_null(folder);
    table *expected = table_open("cgats/expected.csv");
    size_t files = 0;
    for (struct dirent *entry; (entry = readdir(folder));) {
        if (!strstr(entry->d_name, ".txt"))
            continue;
        size_t i = 0;
        while (i < table_rows(expected) && strcmp(table_text(expected, i, "file"), entry->d_name) != 0)
            i++;
        if (i == table_rows(expected))
            fail_msg("%s has no verdict in expected.csv", entry->d_name);
        files++;
    }
    assert_int_equal(files, table_rows(expected));
    table_free(expected);
    closedir(folder);
}

static void quoted_names_arrive(void **state)
{
    (void)state;
    wm_cgats data = { 0 };
    assert_int_equal(parse_file(&data, "ok_quoted_names.txt", NULL, NULL), WM_OK);
    assert_string_equal(data.cells[1], "light ash 7");
    assert_string_equal(data.cells[data.fields + 1], "with # inside");
    assert_string_equal(data.cells[2 * data.fields + 1], "");
    wm_cgats_free(&data);
    assert_int_equal(parse_file(&data, "ok_doubled_quote.txt", NULL, NULL), WM_OK);
    assert_string_equal(data.cells[1], "the \"first\" one");
    wm_cgats_free(&data);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(every_listed_file), cmocka_unit_test(every_file_is_listed),
                                        cmocka_unit_test(quoted_names_arrive) };
    return cmocka_run_group_tests_name("cgats", tests, NULL, NULL);
}
