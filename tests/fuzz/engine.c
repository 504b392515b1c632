/* Stands beside a fuzz engine in place of driver.c: the engine keeps the input. */
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>

void fuzz_check(int holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "does not hold: %s\n", what);
    abort();
}
