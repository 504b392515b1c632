/* reference/README.md against the folder: every file has its checksum, a row that says what it is, and users that
 * really read it. */
#include "core/file.h"
#include "support/near.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BIG = 4 << 20 };

static wm_bytes readme;

static const char *in_reference(const char *name)
{
    static char path[1200];
    snprintf(path, sizeof path, "%s/%s", getenv("REFERENCE_DIR"), name);
    return path;
}

static wm_bytes read_or_fail(const char *path)
{
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    if (wm_file_read(&bytes, path, BIG, WM_E_INPUT, &err))
        fail_msg("%s: %s", path, err.text);
    return bytes;
}

static int open_readme(void **state)
{
    (void)state;
    readme = read_or_fail(in_reference("README.md"));
    return 0;
}

static int close_readme(void **state)
{
    (void)state;
    wm_bytes_free(&readme);
    return 0;
}

/* "64 hex digits, two blanks, name" as sha256sum writes it; NULL at the end. */
static const char *next_sum(const char *from, char hex[65], char name[200])
{
    for (const char *line = from; line; line = strchr(line, '\n')) {
        line += *line == '\n';
        int end = 0;
        if (sscanf(line, "%64[0-9a-f]  %199[^\n]%n", hex, name, &end) == 2 && strlen(hex) == 64)
            return line + end;
    }
    return NULL;
}

static void every_line_holds(void **state)
{
    (void)state;
    char hex[65], name[200], got[65];
    size_t lines = 0;
    for (const char *at = (const char *)readme.data; (at = next_sum(at, hex, name)); lines++) {
        wm_bytes bytes = read_or_fail(in_reference(name));
        wm_sha256_hex(got, bytes.data, bytes.size);
        wm_bytes_free(&bytes);
        if (strcmp(got, hex) != 0)
            fail_msg("%s changed: its SHA-256 is %s", name, got);
    }
    printf("# %zu checksums hold\n", lines);
    assert_true(lines > 40);
}

static bool has_line(const char *name)
{
    char hex[65], other[200];
    for (const char *at = (const char *)readme.data; (at = next_sum(at, hex, other));)
        if (strcmp(name, other) == 0)
            return true;
    return false;
}

static void check_folder(const char *folder, bool rows)
{
    DIR *dir = opendir(in_reference(folder));
    assert_non_null(dir);
    for (struct dirent *entry; (entry = readdir(dir));) {
        char name[300], row[320];
        if (!strchr(entry->d_name, '.') || entry->d_name[0] == '.' || strcmp(entry->d_name, "README.md") == 0)
            continue;
        snprintf(name, sizeof name, "%s%s%s", folder, *folder ? "/" : "", entry->d_name);
        if (!has_line(name))
            fail_msg("README.md has no checksum of %s", name);
        snprintf(row, sizeof row, "| `%s` |", name);
        if (rows && !strstr((const char *)readme.data, row))
            fail_msg("README.md does not say what %s is", name);
    }
    closedir(dir);
}

static void every_file_is_described(void **state)
{
    (void)state;
    check_folder("", true);
    check_folder("cgats", false);
}

/* The last cell of each row names the users: these files exist and read what the row is about. */
static void check_users(char *row)
{
    char file[100];
    assert_int_equal(sscanf(row, "| `%99[^`]`", file), 1);
    const char *wanted = strstr(file, "*.txt")             ? "expected.csv"
                         : strncmp(file, "cgats/", 6) == 0 ? "expected.csv"
                                                           : file;
    char *last = strrchr(row, '|');
    *last = '\0';
    size_t users = 0;
    for (char *at = strrchr(row, '|'); (at = strchr(at, '`')); users++) {
        char user[200], path[400];
        assert_int_equal(sscanf(at, "`%199[^`]`", user), 1);
        at += strlen(user) + 2;
        snprintf(path, sizeof path, "../%s", user);
        wm_bytes bytes = read_or_fail(in_reference(path));
        if (!strstr((const char *)bytes.data, wanted))
            fail_msg("%s does not use %s", user, file);
        wm_bytes_free(&bytes);
    }
    if (!users)
        fail_msg("nobody uses %s: remove it", file);
}

static void every_file_is_used(void **state)
{
    (void)state;
    size_t rows = 0;
    for (char *at = (char *)readme.data; (at = strstr(at, "\n| `")); rows++) {
        char *end = strchr(++at, '\n'), row[4000];
        assert_true(end && (size_t)(end - at) < sizeof row);
        memcpy(row, at, (size_t)(end - at));
        row[end - at] = '\0';
        check_users(row);
    }
    assert_true(rows > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(every_line_holds), cmocka_unit_test(every_file_is_described),
                                        cmocka_unit_test(every_file_is_used) };
    return cmocka_run_group_tests_name("checksums", tests, open_readme, close_readme);
}
