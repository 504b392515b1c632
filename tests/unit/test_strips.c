/* strips: designs laid out by hand. Invented shades; M26 and M27 give the lengths of ends and pieces. */
#include "plan/strips.h"
#include "support/near.h"

#include <string.h>

/* "A" a whole layer, "3X" three pieces of X that fill `share` of it. */
static wm_stack stack_of(const char *const *layers, size_t count, double share)
{
    wm_stack stack = { .count = count };
    for (size_t i = 0; i < count; i++) {
        wm_layer *layer = &stack.layers[i];
        bool pieces = layers[i][0] >= '1' && layers[i][0] <= '9';
        strcpy(layer->code, pieces ? "A" : layers[i]);
        if (pieces) {
            strcpy(layer->second, "X");
            layer->second_share = share;
            layer->pieces = layers[i][0] - '0';
        }
    }
    return stack;
}

static void assert_strip(const wm_strips *strips, size_t i, const char *code, const double start_length[2])
{
    assert_true(i < strips->count);
    assert_string_equal(strips->items[i].code, code);
    near("start", strips->items[i].start_cm, start_length[0], 1e-9);
    near("length", strips->items[i].length_cm, start_length[1], 1e-9);
}
#define STRIP(i, code, start, length) assert_strip(&strips, i, code, (const double[2]){ start, length })

static void whole_layers_are_one_strip_each(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_stack stack = stack_of((const char *const[]){ "A", "X", "A" }, 3, 0);
    wm_design_row row = wm_design_row_whole(WM_PLACE_BACK, 24, &stack);
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    assert_int_equal(strips.count, 3);
    STRIP(0, "A", 0, 24);
    STRIP(1, "X", 0, 24);
    STRIP(2, "A", 0, 24);
    assert_int_equal(strips.items[1].layer, 1);
}

/* Ends of 6 cm with a half of X in front and behind, a third within the 12 cm between: DV5's three layers. */
static void ends_are_mirrored_and_layers_take_turns(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_design_row row = { .place = WM_PLACE_BACK, .arc_cm = 29, .count = 2 };
    row.segments[0] =
        (wm_design_segment){ WM_PLACE_SIDE, "", 6, 2, stack_of((const char *const[]){ "1", "A", "1" }, 3, 0.5) };
    row.segments[1] =
        (wm_design_segment){ WM_PLACE_BACK, "", 12, 1, stack_of((const char *const[]){ "A", "1", "A" }, 3, 1.0 / 3) };
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    assert_int_equal(strips.count, 3 + 3 + 5);
    STRIP(0, "X", 0, 3); /* in front: gray at the hairline, both ends */
    STRIP(1, "A", 3, 18);
    STRIP(2, "X", 21, 3);
    STRIP(3, "A", 0, 6); /* between: its own pieces begin at the left of the middle, the first layer with any there */
    STRIP(4, "X", 6, 4);
    STRIP(5, "A", 10, 14);
    STRIP(6, "A", 0, 3); /* at the head: the other half of each end */
    STRIP(7, "X", 3, 3);
    STRIP(8, "A", 6, 12);
    STRIP(9, "X", 18, 3);
    STRIP(10, "A", 21, 3);
}

static void a_third_layer_lies_between_where_it_can(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_stack stack = stack_of((const char *const[]){ "1", "1", "1" }, 3, 1.0 / 3);
    wm_design_row row = wm_design_row_whole(WM_PLACE_SIDE, 6, &stack);
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    assert_int_equal(strips.count, 2 + 2 + 3);
    STRIP(0, "X", 0, 2);
    STRIP(3, "X", 4, 2);
    STRIP(5, "X", 2, 2); /* 2 cm of A on both sides: three beads */
    stack = stack_of((const char *const[]){ "1", "1", "1" }, 3, 0.5);
    row = wm_design_row_whole(WM_PLACE_SIDE, 6, &stack);
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    STRIP(4, "X", 0, 3); /* 1.5 cm on both sides would be too narrow: as in front */
}

/* Each gray temple with a design of its own, named in the zones' order: left, then right. */
static void both_ends_may_differ(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_design_row row = { .place = WM_PLACE_BACK, .arc_cm = 29, .count = 3 };
    row.segments[0] = (wm_design_segment){ WM_PLACE_SIDE, "left", 6, 1, stack_of((const char *const[]){ "A" }, 1, 0) };
    row.segments[1] = (wm_design_segment){ WM_PLACE_SIDE, "right", 6, 1, stack_of((const char *const[]){ "X" }, 1, 0) };
    row.segments[2] = (wm_design_segment){ WM_PLACE_BACK, "", 12, 1, stack_of((const char *const[]){ "A" }, 1, 0) };
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    assert_int_equal(strips.count, 2);
    STRIP(0, "A", 0, 18);
    STRIP(1, "X", 18, 6);
}

/* One design from end to end: pieces counted along the row, 24 cm with a sixth of X is one piece of 4 cm. */
static void a_design_all_along_is_laid_once(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_design_row row = { .place = WM_PLACE_BACK, .arc_cm = 29, .count = 2 };
    row.segments[0] =
        (wm_design_segment){ WM_PLACE_SIDE, "", 6, 2, stack_of((const char *const[]){ "1", "1" }, 2, 1.0 / 6) };
    row.segments[1] = row.segments[0];
    row.segments[1].place = WM_PLACE_BACK;
    row.segments[1].length_cm = 12;
    row.segments[1].sides = 1;
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    assert_int_equal(strips.count, 4);
    STRIP(0, "X", 0, 4);
    STRIP(3, "X", 20, 4);
}

/* Five sixths of X in three pieces on 12 cm would leave 0.7 cm between them: one strip of A stays, of 2 cm. */
static void no_strip_is_narrower_than_three_beads(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_stack stack = stack_of((const char *const[]){ "3" }, 1, 5.0 / 6);
    wm_design_row row = wm_design_row_whole(WM_PLACE_BACK, 12, &stack);
    strips.count = 0;
    assert_int_equal(wm_strips_lay(&strips, 0, &row, NULL), WM_OK);
    assert_int_equal(strips.count, 2);
    STRIP(0, "X", 0, 10);
    STRIP(1, "A", 10, 2);
}

static void too_many_strips_are_refused(void **state)
{
    (void)state;
    static wm_strips strips;
    wm_error err = { 0 };
    wm_stack stack = stack_of((const char *const[]){ "9", "9", "9" }, 3, 0.5);
    wm_design_row row = wm_design_row_whole(WM_PLACE_BACK, 60, &stack);
    strips.count = WM_MAX_STRIPS - 20;
    assert_int_equal(wm_strips_lay(&strips, 1, &row, &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "256 strips"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whole_layers_are_one_strip_each),
        cmocka_unit_test(ends_are_mirrored_and_layers_take_turns),
        cmocka_unit_test(a_third_layer_lies_between_where_it_can),
        cmocka_unit_test(both_ends_may_differ),
        cmocka_unit_test(a_design_all_along_is_laid_once),
        cmocka_unit_test(no_strip_is_narrower_than_three_beads),
        cmocka_unit_test(too_many_strips_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
