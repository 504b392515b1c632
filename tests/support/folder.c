#define _XOPEN_SOURCE 700 /* nftw */
#include "support/near.h"

#include "support/folder.h"

#include <dirent.h>
#include <ftw.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static char folder[64];

int folder_make(void **state)
{
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/weftmatch-test-XXXXXX");
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *where)
{
    (void)info;
    (void)kind;
    (void)where;
    return remove(path);
}

int folder_remove(void **state)
{
    (void)state;
    return nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

const char *folder_file(const char *name)
{
    static char paths[8][400];
    static int turn;
    char *out = paths[turn++ % 8];
    snprintf(out, sizeof paths[0], "%s/%s", folder, name);
    return out;
}

void folder_write(const char *name, const void *data, size_t size)
{
    FILE *f = fopen(folder_file(name), "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(data, 1, size, f), size);
    assert_int_equal(fclose(f), 0);
}

wm_bytes folder_read(const char *name)
{
    wm_bytes bytes = { 0 };
    wm_error err = { 0 };
    if (wm_file_read(&bytes, folder_file(name), 1 << 28, WM_E_INPUT, &err))
        fail_msg("%s: %s", name, err.text);
    return bytes;
}

void folder_is(const char *name, const wm_bytes *want)
{
    wm_bytes got = folder_read(name);
    assert_int_equal(got.size, want->size);
    assert_memory_equal(got.data, want->data, want->size);
    wm_bytes_free(&got);
}

void folder_holds(const char *names)
{
    struct dirent **entries = NULL;
    char found[1000] = "";
    int count = scandir(folder, &entries, NULL, alphasort);
    for (int i = 0; i < count; i++) {
        size_t used = strlen(found);
        if (strcmp(entries[i]->d_name, ".") != 0 && strcmp(entries[i]->d_name, "..") != 0)
            snprintf(found + used, sizeof found - used, "%s%s", used ? " " : "", entries[i]->d_name);
        free(entries[i]);
    }
    free(entries);
    assert_string_equal(found, names);
}

unsigned folder_mode(const char *name)
{
    struct stat info;
    assert_int_equal(stat(folder_file(name), &info), 0);
    return info.st_mode & 07777;
}
