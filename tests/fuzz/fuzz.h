/* fuzz: what a target gives to the engine. With an engine (meson option fuzz_engine) only the first is used; without
 * one, driver.c mutates the seeds, so that every normal test run fuzzes a little. */
#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

/** Feeds one input to the target; ends the program (abort) when something that must hold does not. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct fuzz_seed {
    const char *data;
    size_t size;
} fuzz_seed;
/** Good inputs to start from, and pieces that mean something in them. Both end with a NULL. */
extern const fuzz_seed fuzz_seeds[];
extern const char *const fuzz_words[];

/** Aborts with a message unless holds. */
void fuzz_check(int holds, const char *what);

#endif
