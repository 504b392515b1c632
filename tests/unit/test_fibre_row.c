/* fibre_row (G5): what pixels hold that look at a blurred row of fibres. Expected weights come from a simulation in
 * Python that lays two million pixels on a row of fibres, each gray by chance, and integrates the blur numerically. */
#include "support/near.h"

#include "measure/fibre_row.h"

#include <math.h>

static void moments(const double *weights, double *mean, double *variance)
{
    double sum = 0.0;
    *mean = *variance = 0.0;
    for (int j = 0; j < WM_FIBRE_NODES; j++) {
        sum += weights[j];
        *mean += weights[j] * j / 10.0;
    }
    for (int j = 0; j < WM_FIBRE_NODES; j++)
        *variance += weights[j] * (j / 10.0 - *mean) * (j / 10.0 - *mean);
    near("all pixels", sum, 1.0, 1e-12);
}

/* Tenths hold a share between two of them by halves, which adds up to 0.0025 to the variance. */
static void g5_mean_and_variance_are_what_was_asked(void **state)
{
    (void)state;
    static const double SHARES[] = { 0.01, 0.1, 0.3, 0.5, 0.8, 0.99 }, TOGETHER[] = { 0.04, 0.1, 0.3, 0.6, 0.9, 0.999 };
    worst_reset();
    for (int i = 0; i < 6; i++)
        for (int k = 0; k < 6; k++) {
            double weights[WM_FIBRE_NODES], mean = 0.0, variance = 0.0;
            wm_fibre_row row = { 0 };
            wm_fibre_row_weights(weights, &row, SHARES[i], TOGETHER[k]);
            moments(weights, &mean, &variance);
            near("mean", mean, SHARES[i], 1e-9);
            near("variance", variance, TOGETHER[k] * SHARES[i] * (1.0 - SHARES[i]), 0.004);
        }
}

static void g5_as_a_simulated_row(void **state)
{
    (void)state;
    static const struct {
        double share, togetherness, weights[WM_FIBRE_NODES];
    } rows[] = {
        { 0.1, 0.3, { 0.6507, 0.0966, 0.0606, 0.0649, 0.0826, 0.0274, 0.0057, 0.0082, 0.0023, 0.0009, 0.0001 } },
        { 0.5, 0.6, { 0.2156, 0.0718, 0.0824, 0.0577, 0.0490, 0.0469, 0.0489, 0.0577, 0.0826, 0.0720, 0.2155 } },
        { 0.3, 0.05, { 0.0043, 0.0697, 0.2566, 0.3563, 0.2279, 0.0726, 0.0118, 0.0009, 0.0000, 0.0000, 0.0000 } },
        { 0.02, 0.9, { 0.9739, 0.0025, 0.0013, 0.0010, 0.0009, 0.0009, 0.0009, 0.0010, 0.0013, 0.0025, 0.0140 } }
    };
    worst_reset();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double weights[WM_FIBRE_NODES];
        wm_fibre_row row = { 0 };
        wm_fibre_row_weights(weights, &row, rows[i].share, rows[i].togetherness);
        for (int j = 0; j < WM_FIBRE_NODES; j++)
            near("part of the pixels", weights[j], rows[i].weights[j], 0.012);
    }
}

/* A single gray fibre among others fills no pixel wholly, unless fibres are wide. */
static void g5_one_fibre_fills_no_pixel(void **state)
{
    (void)state;
    double weights[WM_FIBRE_NODES];
    wm_fibre_row row = { 0 };
    wm_fibre_row_weights(weights, &row, 0.05, 0.3);
    assert_true(weights[9] + weights[10] < 0.001 && weights[4] > 0.03);
    wm_fibre_row_weights(weights, &row, 0.05, 0.999);
    near("wide", weights[10], 0.05, 0.002);
}

static void g5_base_and_gray_exchanged(void **state)
{
    (void)state;
    double gray[WM_FIBRE_NODES], base[WM_FIBRE_NODES];
    wm_fibre_row row = { 0 };
    worst_reset();
    for (int k = 1; k < 10; k++) {
        wm_fibre_row_weights(gray, &row, 0.2, 0.1 * k);
        wm_fibre_row_weights(base, &row, 0.8, 0.1 * k);
        for (int j = 0; j < WM_FIBRE_NODES; j++)
            near("mirrored", gray[j], base[WM_FIBRE_NODES - 1 - j], 1e-12);
    }
}

/* Whatever the row was before, the weights are the same bytes: steps from far to hardly any. */
static void g5_weights_hang_on_no_row_before(void **state)
{
    (void)state;
    wm_fibre_row row = { 0 };
    double togetherness = 0.04;
    for (int k = 0; k < 400; k++) {
        double kept[WM_FIBRE_NODES], fresh[WM_FIBRE_NODES];
        wm_fibre_row none = { 0 };
        togetherness = k % 4 == 0 ? 0.04 + 0.959 * (k * 37 % 400) / 400.0 : togetherness * (1.0 + 1e-4 * (k % 4 - 2));
        wm_fibre_row_weights(kept, &row, 0.3, togetherness);
        wm_fibre_row_weights(fresh, &none, 0.3, togetherness);
        assert_memory_equal(kept, fresh, sizeof kept);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(g5_mean_and_variance_are_what_was_asked),
                                        cmocka_unit_test(g5_as_a_simulated_row),
                                        cmocka_unit_test(g5_one_fibre_fills_no_pixel),
                                        cmocka_unit_test(g5_base_and_gray_exchanged),
                                        cmocka_unit_test(g5_weights_hang_on_no_row_before) };
    return cmocka_run_group_tests_name("fibre_row", tests, NULL, NULL);
}
