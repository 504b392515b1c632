/* The plain main of a fuzz target: `fuzz_X [RUNS [SEED]]` mutates the seeds, `fuzz_X FILE..` runs the files, `fuzz_X
 * --seeds FOLDER` writes seeds and words there for an engine. Same runs, same inputs. */
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/rng.h"

enum { RUNS = 5000, LARGEST = 1 << 16, MUTATIONS = 4 };

static uint8_t input[LARGEST];
static size_t input_size;

static size_t below(rng *r, size_t limit)
{
    return (size_t)(rng_bits(r) % limit);
}

static size_t count_seeds(void)
{
    size_t n = 0;
    while (fuzz_seeds[n].data)
        n++;
    return n;
}

static size_t count_words(void)
{
    size_t n = 0;
    while (fuzz_words[n])
        n++;
    return n;
}

/* Replaces `gone` bytes at `at` by new ones. */
static void replace(size_t at, size_t gone, const void *bytes, size_t size)
{
    if (at > input_size || gone > input_size - at || input_size - gone + size > LARGEST)
        return;
    uint8_t held[LARGEST];
    if (size)
        memcpy(held, bytes, size); /* may come from the input itself */
    memmove(input + at + size, input + at + gone, input_size - at - gone);
    if (size)
        memcpy(input + at, held, size);
    input_size += size - gone;
}

static void mutate(rng *r)
{
    size_t at = below(r, input_size + 1), length = below(r, 1 + (input_size < 40 ? input_size : 40));
    uint8_t byte = (uint8_t)rng_bits(r);
    const char *word = fuzz_words[below(r, count_words())];
    fuzz_seed other = fuzz_seeds[below(r, count_seeds())];
    size_t from = below(r, other.size + 1), most = other.size - from < 60 ? other.size - from : 60;
    switch (below(r, 6)) {
    case 0: replace(at, at < input_size ? 1 : 0, &byte, 1); break;
    case 1: replace(at, 0, word, strlen(word)); break;
    case 2: replace(at, at < input_size ? 1 : 0, word, strlen(word)); break;
    case 3: replace(at, length, NULL, 0); break;
    case 4: replace(below(r, input_size + 1), 0, input + (at < input_size - length ? at : 0), length); break;
    default: replace(at, 0, other.data + from, most);
    }
}

static int run_file(const char *path)
{
    FILE *f = fopen(path, "rb");
    if (!f) {
        fprintf(stderr, "%s: can't be opened\n", path);
        return 1;
    }
    input_size = fread(input, 1, LARGEST, f);
    fclose(f);
    LLVMFuzzerTestOneInput(input, input_size);
    return 0;
}

static void write_seed(const char *folder, size_t i)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/seed-%02zu", folder, i);
    FILE *f = fopen(path, "wb");
    if (!f || fwrite(fuzz_seeds[i].data, 1, fuzz_seeds[i].size, f) != fuzz_seeds[i].size || fclose(f) != 0) {
        fprintf(stderr, "%s: can't be written\n", path);
        exit(EXIT_FAILURE);
    }
}

/* The words go to stdout, in the form of a dictionary that engines read. */
static int write_seeds(const char *folder)
{
    for (size_t i = 0; fuzz_seeds[i].data; i++)
        write_seed(folder, i);
    for (size_t i = 0; fuzz_words[i]; i++) {
        const unsigned char *p = (const unsigned char *)fuzz_words[i];
        if (!*p)
            continue;
        printf("\"");
        for (; *p; p++)
            printf("\\x%02x", *p);
        printf("\"\n");
    }
    return 0;
}

void fuzz_check(int holds, const char *what)
{
    if (holds)
        return;
    FILE *f = fopen("fuzz-failure", "wb"); /* may fail: the message counts */
    if (f) {
        fwrite(input, 1, input_size, f);
        fclose(f);
    }
    fprintf(stderr, "does not hold: %s; the input is in ./fuzz-failure\n", what);
    abort();
}

int main(int argc, char **argv)
{
    if (argc == 3 && strcmp(argv[1], "--seeds") == 0)
        return write_seeds(argv[2]);
    char *end = NULL;
    long runs = argc > 1 ? strtol(argv[1], &end, 10) : RUNS;
    if (end && *end) {
        for (int i = 1; i < argc; i++)
            if (run_file(argv[i]))
                return 1;
        return 0;
    }
    rng r = { argc > 2 ? strtoull(argv[2], NULL, 10) : 1 };
    size_t seeds = count_seeds();
    for (long run = 0; run < runs; run++) {
        fuzz_seed seed = fuzz_seeds[(size_t)run % seeds];
        input_size = seed.size;
        memcpy(input, seed.data, seed.size);
        if ((size_t)run >= seeds) /* each seed once as it is */
            for (size_t i = 1 + below(&r, MUTATIONS); i > 0; i--)
                mutate(&r);
        LLVMFuzzerTestOneInput(input, input_size);
    }
    printf("%ld inputs\n", runs);
    return 0;
}
