/* noise: a known scatter is found, whatever else is in the picture. */
#include "photo/noise.h"
#include "support/near.h"
#include "support/rng.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 640, HEIGHT = 480 };

/* Near enough to normal: the sum of twelve (recalled from memory). */
static double normal(rng *r)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += rng_between(r, 0, 1);
    return sum;
}

/* Noise of a 16-bit picture with this scatter over a slope, or over lines that lie aslant, like hair. */
static double noise_of(double sd, bool lines, double level)
{
    rng r = { 11 };
    uint16_t *data = malloc((size_t)3 * WIDTH * HEIGHT * sizeof *data);
    assert_non_null(data);
    for (int i = 0; i < WIDTH * HEIGHT; i++) {
        const int x = i % WIDTH, y = i / WIDTH;
        const double pattern = lines ? 0.1 * sin((x + y) / 3.0) : 0.2 * x / WIDTH;
        for (int c = 0; c < 3; c++)
            data[3 * i + c] = (uint16_t)lround(65535 * fmin(fmax(level + pattern + sd * normal(&r), 0), 1));
    }
    wm_pixels pixels = { .width = WIDTH, .height = HEIGHT, .bits = 16, .data = (const unsigned char *)data };
    const double noise = wm_noise_of(&pixels);
    free(data);
    return noise;
}

/* The smoothest tenth of squares of 36 values lies below the mean of all: sd(estimate) is about 0.15 of it. */
static void a_known_scatter(void **state)
{
    (void)state;
    worst_reset();
    for (double sd = 0.005; sd < 0.05; sd *= 2)
        near("noise over its truth", noise_of(sd, false, 0.4) / sd, 0.8, 0.1);
    worst_print("noise over its truth");
}

static void what_is_no_noise(void **state)
{
    (void)state;
    near("slope", noise_of(0, false, 0.4), 0, 1e-4);
    near("black", noise_of(0.01, false, -0.5), 0, 0);
    near("blown out", noise_of(0.01, false, 1.5), 0, 0);
    assert_true(noise_of(0, true, 0.5) < 0.01); /* of lines with a swing of 0.1 */
}

/* Squares lie within the picture, from corner to corner. */
static void squares_lie_within(void **state)
{
    (void)state;
    static const int SIZES[][2] = { { 8, 8 }, { 9, 300 }, { 4000, 3000 }, { 5, 3 } };
    for (int s = 0; s < 4; s++) {
        const int width = SIZES[s][0], height = SIZES[s][1];
        for (int i = 0; i < WM_NOISE_SQUARES; i++) {
            const wm_box box = wm_noise_square(i, width, height);
            assert_true(box.x >= 0 && box.y >= 0 && box.x + box.width <= width && box.y + box.height <= height);
        }
        const wm_box last = wm_noise_square(WM_NOISE_SQUARES - 1, width, height);
        assert_true(last.x + last.width == width && last.y + last.height == height);
    }
    wm_pixels tiny = { .width = 5, .height = 3, .bits = 8 };
    near("too small", wm_noise_of(&tiny), 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(a_known_scatter), cmocka_unit_test(what_is_no_noise),
                                        cmocka_unit_test(squares_lie_within) };
    return cmocka_run_group_tests_name("noise", tests, NULL, NULL);
}
