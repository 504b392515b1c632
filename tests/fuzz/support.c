/* What all targets share. */
#define _XOPEN_SOURCE 700 /* nftw */
#include "fuzz.h"

#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/plain.h"

static char folder[64];

void fuzz_check_refusal(wm_status status, const wm_error *err, const wm_status *codes, size_t count)
{
    bool among = false;
    for (size_t i = 0; i < count; i++)
        among = among || status == codes[i];
    if (!among)
        fprintf(stderr, "status %d: %s: %s\n", (int)status, err->file, err->text);
    fuzz_check(among, "a refusal has a code of this door");
    fuzz_check(err->code == status && err->text[0] && !strpbrk(err->text, "\r\n"), "a refusal is one line");
    fuzz_check(err->line >= 0 && err->column >= 0, "it stands somewhere");
}

char *fuzz_exact(const void *data, size_t size)
{
    char *copy = malloc(size ? size : 1);
    if (!copy)
        exit(EXIT_FAILURE);
    if (size)
        memcpy(copy, data, size);
    return copy;
}

char *fuzz_text(const void *data, size_t size)
{
    char *copy = calloc(size + 1, 1);
    if (!copy)
        exit(EXIT_FAILURE);
    if (size)
        memcpy(copy, data, size);
    return copy;
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *where)
{
    (void)info, (void)kind, (void)where;
    return remove(path);
}

static void remove_folder(void)
{
    nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

const char *fuzz_file(const char *name)
{
    static char path[sizeof folder + 64];
    if (!folder[0]) { /* in memory where the system has such a place: thousands of files a minute */
        snprintf(folder, sizeof folder, "%s/weftmatch-fuzz-XXXXXX",
                 access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
        fuzz_check(mkdtemp(folder) != NULL, "a folder");
        atexit(remove_folder);
    }
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

void fuzz_write(const char *path, const void *data, size_t size)
{
    FILE *f = fopen(path, "wb");
    fuzz_check(f && fwrite(data, 1, size, f) == size && fclose(f) == 0, "a file of our own is written");
}
