/* stats: against sorting, and against products written out. */
#include "colour/stats.h"
#include "support/near.h"
#include "support/rng.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 300 };

static void fill(double *values, size_t count, int kind, rng *r)
{
    for (size_t i = 0; i < count; i++) {
        double x = rng_between(r, -5, 5);
        double kinds[] = {
            x, floor(x), (double)i, -(double)i, 3, i % 2 ? 1.0 : 2.0, i == count / 2 ? 9 : 0.0, (double)(i * 7 % 11)
        };
        values[i] = kinds[kind];
    }
}

static int ascending(const void *a, const void *b)
{
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

static void sort_doubles(double *values, size_t count)
{
    qsort(values, count, sizeof *values, ascending);
}

/* Random, with ties, sorted both ways, all equal, two values, one outlier, a sawtooth. */
static void quantile_agrees_with_sorting(void **state)
{
    (void)state;
    rng r = { 6 };
    static const double fractions[] = { -1, 0, .1, .25, .5, .75, .9, .999999, 1, 2 };
    for (size_t count = 1; count <= MOST; count += count < 20 ? 1 : 37) {
        for (int kind = 0; kind < 8; kind++) {
            double values[MOST], sorted[MOST], work[MOST];
            fill(values, count, kind, &r);
            memcpy(sorted, values, sizeof sorted);
            sort_doubles(sorted, count);
            for (size_t i = 1; i < count; i++)
                assert_true(sorted[i - 1] <= sorted[i]);
            for (size_t f = 0; f < sizeof fractions / sizeof *fractions; f++) {
                memcpy(work, values, sizeof work);
                size_t rank = fractions[f] <= 0 ? 0 : (size_t)(fractions[f] * (double)count);
                near("quantile", wm_quantile(work, count, fractions[f]), sorted[rank < count ? rank : count - 1], 0);
                sort_doubles(work, count); /* only reordered */
                assert_memory_equal(work, sorted, count * sizeof *work);
            }
        }
    }
}

static void means(void **state)
{
    (void)state;
    const double values[] = { 2, 4, 4, 4, 5, 5, 7, 9 };
    near("mean", wm_mean(values, 8), 5, 1e-15);
    near("mean of none", wm_mean(values, 0), 0, 0);
}

static void cholesky_solves(void **state)
{
    (void)state;
    rng r = { 7 };
    worst_reset();
    for (int n = 1; n <= 16; n++) {
        double root[256], matrix[256], factor[256], x[16], b[16];
        for (int i = 0; i < n * n; i++)
            root[i] = rng_between(&r, -1, 1);
        for (int i = 0; i < n; i++) {
            x[i] = rng_between(&r, -3, 3);
            for (int j = 0; j < n; j++) { /* root root^T + I */
                matrix[i * n + j] = i == j;
                for (int k = 0; k < n; k++)
                    matrix[i * n + j] += root[i * n + k] * root[j * n + k];
            }
        }
        for (int i = 0; i < n; i++) {
            b[i] = 0;
            for (int j = 0; j < n; j++)
                b[i] += matrix[i * n + j] * x[j];
        }
        memcpy(factor, matrix, sizeof factor);
        assert_true(wm_cholesky(factor, n));
        wm_cholesky_solve(factor, n, b);
        for (int i = 0; i < n; i++)
            near("solution", b[i], x[i], 1e-12);
    }
    worst_print("Cholesky, n up to 16");
}

/* C25 refuses by this. */
static void cholesky_refuses(void **state)
{
    (void)state;
    double singular[] = { 1, 1, 1, 1 }, indefinite[] = { 1, 2, 2, 1 }, tiny[] = { 1e-9 }, just[] = { 1.05e-9 },
           bad[] = { (double)NAN };
    assert_false(wm_cholesky(singular, 2));
    assert_false(wm_cholesky(indefinite, 2));
    assert_false(wm_cholesky(tiny, 1));
    assert_true(wm_cholesky(just, 1));
    assert_false(wm_cholesky(bad, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(quantile_agrees_with_sorting), cmocka_unit_test(means),
                                        cmocka_unit_test(cholesky_solves), cmocka_unit_test(cholesky_refuses) };
    return cmocka_run_group_tests_name("stats", tests, NULL, NULL);
}
