/* power: against the C library's exp and pow, which are within a unit of the last place (glibc's manual, "Known maximum
 * errors in math functions"). */
#include "colour/power.h"
#include "support/near.h"
#include "support/rng.h"

#include <math.h>

enum { MANY = 4099 }; /* no multiple of any register */

/* Worst relative distance of out from exact. */
static double worst(const double *out, const double *exact, size_t count)
{
    double most = 0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, fabs(out[i] / exact[i] - 1));
    return most;
}

static void exp_is_exp(void **state)
{
    (void)state;
    static double out[MANY], exact[MANY];
    rng r = { 4 };
    for (size_t i = 0; i < MANY; i++) {
        out[i] = i < 3 ? (double)i - 1 : rng_between(&r, -700, 700);
        exact[i] = exp(out[i]);
    }
    wm_exp_many(out, MANY);
    printf("# exp: worst %.1e\n", worst(out, exact, MANY));
    assert_true(worst(out, exact, MANY) < 1e-15);
    double ends[4] = { -1e6, 1e6, -INFINITY, INFINITY };
    wm_exp_many(ends, 4);
    assert_true(ends[0] > 0 && ends[0] < 1e-300 && ends[1] > 1e300 && isfinite(ends[1]));
    assert_memory_equal(&ends[0], &ends[2], sizeof *ends);
    assert_memory_equal(&ends[1], &ends[3], sizeof *ends);
}

static void log_is_log(void **state)
{
    (void)state;
    static double out[MANY], exact[MANY];
    rng r = { 6 };
    for (size_t i = 0; i < MANY; i++) {
        const double near_one = 1 + ((double)i - MANY / 2) * 1e-7, any = exp(rng_between(&r, -690, 700));
        out[i] = i % 2 ? near_one : any;
        exact[i] = log(out[i]);
    }
    wm_log_many(out, MANY);
    for (size_t i = 0; i < MANY; i++)
        near("logarithm", out[i], exact[i], 4e-16 * fmax(1, fabs(exact[i])));
}

static void power_is_pow(void **state)
{
    (void)state;
    static const double exponents[] = { 1, 0.5, 1 / 2.4, 2.4, 1.37, 0.7, 0.01, 8 };
    static double out[MANY], exact[MANY];
    rng r = { 5 };
    for (size_t e = 0; e < sizeof exponents / sizeof *exponents; e++) {
        for (size_t i = 0; i < MANY; i++) {
            const double near_one = 1 + (double)i * 1e-7, any = exp(rng_between(&r, -16, 3));
            out[i] = i % 2 ? near_one : any;
            exact[i] = pow(out[i], exponents[e]);
        }
        wm_power_many(out, MANY, exponents[e]);
        printf("# power %.3f: worst %.1e\n", exponents[e], worst(out, exact, MANY));
        assert_true(worst(out, exact, MANY) < 3e-14);
    }
    double little[5] = { 0, -0.0, -1, 1e-30, 1e-40 };
    wm_power_many(little, 5, 0.5);
    for (int i = 0; i < 5; i++)
        near("of next to nothing", little[i], i < 3 ? 0 : 1e-15, 1e-28);
}

/* What a value gives does not depend on where it stands, or on how many stand beside it. */
static void place_does_not_matter(void **state)
{
    (void)state;
    double values[9], alone;
    for (int i = 0; i < 9; i++)
        values[i] = 0.013 * (i + 1);
    wm_power_many(values, 9, 1.3);
    for (int i = 0; i < 9; i++) {
        alone = 0.013 * (i + 1);
        wm_power_many(&alone, 1, 1.3);
        assert_memory_equal(&alone, &values[i], sizeof alone);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(exp_is_exp), cmocka_unit_test(log_is_log),
                                        cmocka_unit_test(power_is_pow), cmocka_unit_test(place_does_not_matter) };
    return cmocka_run_group_tests_name("power", tests, NULL, NULL);
}
