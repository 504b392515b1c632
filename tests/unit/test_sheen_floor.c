/* sheen_floor: C10 on windows whose bands of sheen are known. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "measure/sheen_floor.h"

enum { WIDTH = 64, HEIGHT = 160 };

/* Flat hair with bands across it, 8 rows each: every `every`-th band is lighter by `more` of white light. */
static wm_rgb left_by(double more, int every, double gap_below_y)
{
    static wm_rgb pixels[WIDTH * HEIGHT];
    wm_window window;
    wm_rgb out = { -1, -1, -1 };
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            const double sheen = (y / 8) % every == 0 ? more : 0;
            pixels[y * WIDTH + x] = (wm_rgb){ 0.10 + sheen, 0.06 + sheen, 0.03 + sheen };
        }
    assert_int_equal(wm_window_from_pixels(&window, pixels, WIDTH, HEIGHT, NULL), WM_OK);
    assert_int_equal(wm_sheen_left(&out, &window, 0, gap_below_y, NULL), WM_OK);
    wm_window_free(&window);
    return out;
}

/* Bands of a quarter of the cells and half as light again: what the mean has of them is found, alike in all channels.
 */
static void c10_bands_are_found(void **state)
{
    (void)state;
    const wm_rgb left = left_by(0.03, 4, 0);
    near("a quarter of it", left.g, 0.03 / 4, 0.002);
    near("white", left.r, left.b, 1e-9);
    near("no band, no sheen", left_by(0, 4, 0).g, 0, 1e-12);
}

/* Its limit from both sides: hair that is lighter by less than a tenth is hair, by more it is sheen. */
static void c10_little_is_no_sheen(void **state)
{
    (void)state;
    near("6 %", left_by(0.0038, 4, 0).g, 0, 1e-12);
    assert_true(left_by(0.0105, 4, 0).g > 0.001); /* 16 % */
}

enum { ROWS_OF_CELLS = 100, TALL = 8 * ROWS_OF_CELLS };

/* A window of 100 rows of cells, all cells of a row alike: the first `dark` times `dark_level`, the last `light` times
 * `light_level`. What is left, as part of the plain hair's luminance. */
static double left_of(int dark, double dark_level, int light, double light_level)
{
    static wm_rgb pixels[WIDTH * TALL];
    const wm_rgb plain = { 0.10, 0.06, 0.03 };
    wm_window window;
    wm_rgb out = { -1, -1, -1 };
    for (int i = 0; i < WIDTH * TALL; i++) {
        const int row = i / WIDTH / 8;
        pixels[i] = wm_rgb_scale(plain, row < dark ? dark_level : row >= ROWS_OF_CELLS - light ? light_level : 1.0);
    }
    assert_int_equal(wm_window_from_pixels(&window, pixels, WIDTH, TALL, NULL), WM_OK);
    assert_int_equal(wm_sheen_left(&out, &window, 0, 0, NULL), WM_OK);
    wm_window_free(&window);
    return wm_rgb_luminance(out) / wm_rgb_luminance(plain);
}

/* C10, each limit from both sides, by hand. */
static void c10_limits_from_both_sides(void **state)
{
    (void)state;
    /* The floor lies where 30 of 100 cells are darker: with 31 plain ones it is the plain hair, with 29 what is half as
     * light again, which is then no sheen. */
    near("31 of 100", left_of(0, 1, 69, 1.5), 0.69 * 0.5, 1e-6);
    near("29 of 100", left_of(0, 1, 71, 1.5), 0, 1e-6);
    /* A tenth lighter is sheen, less is hair. */
    near("0.105 lighter", left_of(0, 1, 20, 1.105), 0.2 * 0.105, 1e-6);
    near("0.095 lighter", left_of(0, 1, 20, 1.095), 0, 1e-6);
    /* 10 of 100 darker by up to 0.4 belong to the floor: mean 1.062 less (70 + 10 x 0.62) / 80; darker ones do
     * not: 1.058 less 1. */
    near("0.38 darker", left_of(10, 0.62, 20, 1.5), 1.062 - 76.2 / 80, 1e-6);
    near("0.42 darker", left_of(10, 0.58, 20, 1.5), 0.058, 1e-6);
}

/* Where most is sheen the floor lies in it: nothing can be told. */
static void c10_mostly_sheen(void **state)
{
    (void)state;
    near("all", left_by(0.03, 1, 0).g, 0, 1e-12);
}

static void c10_too_small(void **state)
{
    (void)state;
    wm_rgb pixels[16 * 16], out = { -1, -1, -1 };
    wm_window window;
    for (int i = 0; i < 256; i++)
        pixels[i] = (wm_rgb){ 0.1 + 0.001 * i, 0.06, 0.03 };
    assert_int_equal(wm_window_from_pixels(&window, pixels, 16, 16, NULL), WM_OK);
    assert_int_equal(wm_sheen_left(&out, &window, 0.3, 0, NULL), WM_OK);
    near("too few cells", out.r, 0, 0);
    wm_window_free(&window);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(c10_bands_are_found), cmocka_unit_test(c10_little_is_no_sheen),
                                        cmocka_unit_test(c10_limits_from_both_sides),
                                        cmocka_unit_test(c10_mostly_sheen), cmocka_unit_test(c10_too_small) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
