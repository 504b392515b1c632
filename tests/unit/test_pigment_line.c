/* pigment_line (G12) on drawn fibres: each of her own colour or of her gray, each in its own light, which runs slowly
 * along it; a pixel is a fibre. The true angle is that between the two colours drawn. */
#include "measure/pigment_line.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

enum { SIDE = 192 };

static double random_of(unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    return (double)(*state >> 8) / (1 << 24);
}

typedef struct fibres {
    double share, light, noise; /* of gray; of each fibre's own light and of each pixel, half widths */
    bool across;                /* they run from left to right */
} fibres;

static wm_pigment_line line_of(wm_rgb own, wm_rgb gray, fibres f, unsigned char cut)
{
    wm_rgb *pixels = malloc(SIDE * SIDE * sizeof *pixels);
    wm_window window = { 0 };
    wm_pigment_line line = { 0 };
    unsigned state = 7;
    assert_non_null(pixels);
    for (int column = 0; column < SIDE; column++) {
        const wm_rgb colour = random_of(&state) < f.share ? gray : own;
        const double lit = 1 + f.light * (2 * random_of(&state) - 1);
        for (int row = 0; row < SIDE; row++) {
            const double noise = f.noise * (2 * random_of(&state) - 1), shine = 1 + 0.3 * sin(row / 40.0);
            const int at = f.across ? column * SIDE + row : row * SIDE + column;
            pixels[at] = wm_rgb_scale(colour, lit * shine);
            pixels[at].b *= 1 + noise;
        }
    }
    assert_int_equal(wm_window_from_pixels(&window, pixels, SIDE, SIDE, NULL), WM_OK);
    for (int i = 0; i < SIDE * SIDE && cut; i++)
        window.flags[i] |= i % 5 ? cut : 0;
    assert_int_equal(wm_pigment_line_of(&line, &window, f.across ? acos(0) : 0, NULL), WM_OK);
    wm_window_free(&window);
    free(pixels);
    return line;
}

static double true_angle(wm_rgb own, wm_rgb gray, double share)
{
    const wm_rgb mixed = wm_rgb_add(wm_rgb_scale(own, 1 - share), wm_rgb_scale(gray, share));
    const wm_pigment_way way = wm_pigment_way_of(
        wm_lab_to_cone(wm_rgb_to_lab(own)), wm_lab_to_cone(wm_rgb_to_lab(gray)), wm_lab_to_cone(wm_rgb_to_lab(mixed)));
    return atan2(way.turn, way.green);
}

/* Light of a fifth either way on each fibre does not turn it; nor does which way the hair lies, nor noise. The share is
 * that of 192 fibres. */
static void the_way_to_gray_is_found_in_any_light(void **state)
{
    (void)state;
    const wm_lab owns[] = { { 25, 6, 8 }, { 50, 6, 19 }, { 60, 5, 22 } }, gray = { 68, 1, 8 };
    double worst = 0;
    for (size_t i = 0; i < sizeof owns / sizeof *owns; i++)
        for (int k = 0; k < 4; k++) {
            const fibres f = { 0.4, k & 1 ? 0.2 : 0.02, k & 1 ? 0.05 : 0, k & 2 };
            const wm_pigment_line line = line_of(wm_lab_to_rgb(owns[i]), wm_lab_to_rgb(gray), f, 0);
            assert_true(line.known);
            worst = fmax(worst, fabs(line.angle - true_angle(wm_lab_to_rgb(owns[i]), wm_lab_to_rgb(gray), 0.4)));
        }
    near("worst angle", worst, 0, 0.09);
}

/* By hand: to twice the green and three times the blue, seen from a mixture of half of both. */
static void the_way_between_two_colours(void **state)
{
    (void)state;
    const wm_cone own = { { 0.2, 0.2, 0.1 } }, gray = { { 0.4, 0.4, 0.3 } }, half = { { 0.3, 0.3, 0.2 } };
    const wm_pigment_way way = wm_pigment_way_of(own, gray, half);
    near("green", way.green, 2.0 / 3, 1e-12);
    near("turn", way.turn, 1.0 / 3, 1e-12);
}

/* The variance is what gray makes of it: none without. */
static void without_gray_there_is_hardly_any_variance(void **state)
{
    (void)state;
    const wm_rgb own = wm_lab_to_rgb((wm_lab){ 50, 6, 19 }), gray = wm_lab_to_rgb((wm_lab){ 68, 1, 8 });
    const wm_pigment_line none = line_of(own, gray, (fibres){ 0, 0.2, 0.05, false }, 0),
                          some = line_of(own, gray, (fibres){ 0.4, 0.2, 0.05, false }, 0);
    assert_true(some.known && some.variance > 0.02);
    assert_true(!none.known || none.variance < some.variance / 20);
}

/* Blocks of which a quarter is kept say nothing. */
static void what_is_cut_says_nothing(void **state)
{
    (void)state;
    const wm_rgb own = wm_lab_to_rgb((wm_lab){ 50, 6, 19 }), gray = wm_lab_to_rgb((wm_lab){ 68, 1, 8 });
    assert_false(line_of(own, gray, (fibres){ 0.4, 0.2, 0, false }, WM_PX_SHEEN).known);
    assert_false(line_of(own, gray, (fibres){ 0.4, 0.2, 0, false }, WM_PX_SKIN).known);
}

enum { SQUARE = 4, OF_CELL = 8 }; /* G12: pixels along a square, squares along a cell */

/* Squares that differ in light and in share of gray, each by its column and slowly along it; those that keep() leaves.
 */
static wm_pigment_line line_of_squares(int columns, int rows, bool (*keep)(int column, int row))
{
    const int width = columns * SQUARE, height = rows * SQUARE;
    const wm_rgb own = wm_lab_to_rgb((wm_lab){ 50, 6, 19 }), gray = wm_lab_to_rgb((wm_lab){ 68, 1, 8 });
    wm_rgb *pixels = malloc((size_t)(width * height) * sizeof *pixels);
    wm_window window = { 0 };
    wm_pigment_line line = { 0 };
    assert_non_null(pixels);
    for (int i = 0; i < width * height; i++) {
        const int column = i % width / SQUARE, row = i / width / SQUARE;
        const double turn = acos(-1) * (row / 4.0 + column / 2.0), share = 0.5 + 0.4 * cos(turn);
        pixels[i] =
            wm_rgb_scale(wm_rgb_add(wm_rgb_scale(own, 1 - share), wm_rgb_scale(gray, share)), 1 + 0.2 * sin(turn));
    }
    assert_int_equal(wm_window_from_pixels(&window, pixels, width, height, NULL), WM_OK);
    for (int i = 0; i < width * height; i++)
        window.flags[i] |= keep(i % width / SQUARE, i / width / SQUARE) ? 0 : WM_PX_SKIN;
    assert_int_equal(wm_pigment_line_of(&line, &window, 0, NULL), WM_OK);
    wm_window_free(&window);
    free(pixels);
    return line;
}

static bool all(int column, int row)
{
    (void)column, (void)row;
    return true;
}

static bool all_but_the_first(int column, int row)
{
    return column + row > 0;
}

static bool all_but_one_of_a_cell(int column, int row)
{
    (void)column;
    return row % OF_CELL < OF_CELL - 1;
}

/* Four columns of six squares are 20 pairs; without a square at an end they are 19. */
static void twenty_pairs_are_needed(void **state)
{
    (void)state;
    assert_true(line_of_squares(4, 6, all).known);
    assert_false(line_of_squares(4, 6, all_but_the_first).known);
}

/* One column: cells of eight squares (21 pairs in three), and of seven (24 pairs in four). */
static void eight_squares_of_a_cell_are_needed(void **state)
{
    (void)state;
    assert_true(line_of_squares(1, 3 * OF_CELL, all).known);
    assert_false(line_of_squares(1, 4 * OF_CELL, all_but_one_of_a_cell).known);
}

/* Expected: the rule in numpy, of the same pixels. Other squares and other cells give other numbers. */
static void squares_and_cells_are_of_their_size(void **state)
{
    (void)state;
    const wm_pigment_line line = line_of_squares(20, 21, all);
    assert_true(line.known);
    near("angle", line.angle, 0.359956, 2e-5);
    near("variance", line.variance, 0.0888511, 1e-5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_way_to_gray_is_found_in_any_light),
        cmocka_unit_test(the_way_between_two_colours),
        cmocka_unit_test(without_gray_there_is_hardly_any_variance),
        cmocka_unit_test(what_is_cut_says_nothing),
        cmocka_unit_test(twenty_pairs_are_needed),
        cmocka_unit_test(eight_squares_of_a_cell_are_needed),
        cmocka_unit_test(squares_and_cells_are_of_their_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
