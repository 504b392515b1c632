/* near: the one near-equality helper. Prints case, want, got, tolerance; keeps the worst error so that a test can print
 * it. (cmocka 1.1.5 compares floats, not doubles.) Include after the standard headers that cmocka needs; this header
 * includes them. */
#ifndef SUPPORT_NEAR_H
#define SUPPORT_NEAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <cmocka.h>

/* cmocka reports a skipped test as "not ok # SKIP", which meson counts as a failure. */
#undef skip
#define skip()                                                                                                         \
    do {                                                                                                               \
        printf("# skipped: %s\n", __func__);                                                                           \
        return;                                                                                                        \
    } while (0)

/** Fails the test unless |got - want| <= tolerance (NaN fails). `name` is the case, e.g. "CV8 L". */
void near(const char *name, double got, double want, double tolerance);

/** The worst |got - want| since the last call of worst_reset, and its case. */
void worst_reset(void);
double worst_error(void);
const char *worst_case(void);
/** Prints "# WHAT: worst ERROR at CASE" as a TAP comment. */
void worst_print(const char *what);

#endif
