/* core without memory: each call fails cleanly at each of its allocations. WM_E_MEMORY, outputs untouched, nothing
 * lost. */
#include "core/buf.h"
#include "core/cgats.h"
#include "core/file.h"
#include "core/json.h"
#include "memory.h"
#include "starve.h"
#include "support/near.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char path[64];

static bool fill_buf(void)
{
    wm_buf buf = { 0 };
    wm_error err = { 0 };
    for (int i = 0; i < 2000; i++)
        wm_buf_format(&buf, "%d,", i);
    wm_buf_number(&buf, 1.5, 3);
    wm_buf_json_string(&buf, "a\n");
    wm_buf_html(&buf, "<");
    wm_buf_base64(&buf, "abc", 3);
    bool done = good(wm_buf_status(&buf, &err), &err);
    wm_buf_free(&buf);
    return done;
}

static bool add_warnings(void)
{
    wm_warnings warnings = { 0 };
    for (int i = 0; i < 5; i++)
        wm_warnings_add(&warnings, "code", "note %d", i);
    bool done = !warnings.failed;
    assert_true(done || warnings.count < 5);
    wm_warnings_free(&warnings);
    return done;
}

static bool copy_text(void)
{
    char *copy = wm_text_copy("oat"), *joined = wm_file_relative_to("a/zones.json", "b.jpg"),
         *same = wm_file_relative_to("z", "b.jpg");
    bool done = copy && joined && same;
    free(copy);
    free(joined);
    free(same);
    return done;
}

static bool parse_json(void)
{
    static const char text[] =
        "{\"format\": 1, \"zones\": [{\"kind\": \"root\", \"rect\": [1, 2.5, 3, 4]}, null, true, \"caf\\u00e9\"]}";
    wm_json_document *document = NULL;
    wm_error err = { 0 };
    bool done = good(wm_json_parse(&document, text, sizeof text - 1, "t.json", WM_E_INPUT, &err), &err);
    assert_true(done == (document != NULL));
    wm_json_free(document);
    return done;
}

static bool parse_cgats(void)
{
    static char text[9000] =
        "CGATS.17\nNUMBER_OF_FIELDS 2\nBEGIN_DATA_FORMAT SAMPLE_ID LAB_L END_DATA_FORMAT\nNUMBER_OF_SETS 200\nBEGIN_DATA\n";
    if (!strstr(text, "END_DATA\n")) {
        for (int i = 0; i < 200; i++)
            snprintf(text + strlen(text), 32, "%d \"5%d\"\n", i, i % 10);
        strcat(text, "END_DATA\n");
    }
    wm_cgats table = { 0 };
    wm_error err = { 0 };
    bool done = good(wm_cgats_parse(&table, text, strlen(text), "t.txt", NULL, &err), &err);
    assert_true(done == (table.rows == 200));
    wm_cgats_free(&table);
    return done;
}

static bool read_file(void)
{
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    bool done = good(wm_file_read(&bytes, path, 1000, WM_E_INPUT, &err), &err);
    assert_true(done == (bytes.data != NULL));
    wm_bytes_free(&bytes);
    return done;
}

/* A pipe's size is not known: the memory has to grow. */
static bool read_growing(void)
{
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    wm_status status = wm_file_read(&bytes, "/dev/zero", 20000, WM_E_INPUT, &err);
    return status == WM_E_INPUT ? true : good(status, &err); /* refused as too large once the memory is there */
}

static bool write_file(void)
{
    wm_error err = { 0 };
    bool done = good(wm_file_write(path, "new", 3, WM_FILE_FORCE, &err), &err);
    char content[8] = "";
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    assert_true(fread(content, 1, sizeof content - 1, f) > 0);
    fclose(f);
    assert_string_equal(content, done ? "new" : "old");
    return done;
}

static bool check_new(void)
{
    wm_error err = { 0 };
    return good(wm_file_check_new(path, true, &err), &err);
}

static int make_file(void **state)
{
    (void)state;
    strcpy(path, "/tmp/weftmatch-fault-XXXXXX");
    int fd = mkstemp(path);
    return fd >= 0 && write(fd, "old", 3) == 3 && close(fd) == 0 ? 0 : -1;
}

static int remove_file(void **state)
{
    (void)state;
    return remove(path);
}

static void text_in_memory(void **state)
{
    (void)state;
    starve("buf", fill_buf);
    starve("notes", add_warnings);
    starve("text", copy_text);
}

static void documents(void **state)
{
    (void)state;
    starve("json", parse_json);
    starve("cgats", parse_cgats);
}

static void files(void **state)
{
    (void)state;
    starve("file: read", read_file);
    starve("file: read a stream", read_growing);
    starve("file: check", check_new);
    starve("file: write", write_file);
}

int main(void)
{
    json_set_alloc_funcs(memory_take, memory_give);
    const struct CMUnitTest tests[] = { cmocka_unit_test(text_in_memory), cmocka_unit_test(documents),
                                        cmocka_unit_test_setup_teardown(files, make_file, remove_file) };
    return cmocka_run_group_tests_name("core_memory", tests, NULL, NULL);
}
