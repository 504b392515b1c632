/* fuzz: what a target gives to the engine. With an engine (meson option fuzz_engine) only the first is used; without
 * one, driver.c mutates the seeds, so that every normal test run fuzzes a little. */
#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

/** Feeds one input to the target; ends the program (abort) when something that must hold does not. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct fuzz_seed {
    const char *data;
    size_t size;
} fuzz_seed;
#define SEED(text)                                                                                                     \
    {                                                                                                                  \
        text, sizeof text - 1                                                                                          \
    }
/** Good inputs to start from, and pieces that mean something in them. Both end with a NULL. */
extern const fuzz_seed fuzz_seeds[];
extern const char *const fuzz_words[];

/** Aborts with a message unless holds. */
void fuzz_check(int holds, const char *what);
/** A refusal: one of the codes that this door gives, one line that a terminal may show. */
void fuzz_check_refusal(wm_status status, const wm_error *err, const wm_status *codes, size_t count);
#define FUZZ_REFUSED(status, err, ...)                                                                                 \
    fuzz_check_refusal(status, err, (const wm_status[]){ __VA_ARGS__ },                                                \
                       sizeof((const wm_status[]){ __VA_ARGS__ }) / sizeof(wm_status))

/** The bytes in a heap block of just their size, so that reading past them is seen; free(). Ends the run without
 * memory. */
char *fuzz_exact(const void *data, size_t size);
/** The same with a NUL behind. */
char *fuzz_text(const void *data, size_t size);
/** A file of that name in a folder that goes with the run; good until the next call. */
const char *fuzz_file(const char *name);
void fuzz_write(const char *path, const void *data, size_t size);

#endif
