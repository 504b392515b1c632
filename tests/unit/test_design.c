/* design: patterns (M27), worked by hand; stacks of codes and back. Pieces of 2 to 4 cm: common practice, no source. */
#include "match/design.h"
#include "support/near.h"

#include <math.h>
#include <string.h>

static wm_pattern pattern_of(const char *sixths)
{
    wm_pattern pattern = { .layers = (int)strlen(sixths) };
    for (int i = 0; i < pattern.layers; i++)
        pattern.sixths[i] = (unsigned char)(sixths[i] - '0');
    return pattern;
}

static void a_length_allows_the_fractions_that_leave_pieces_of_2_cm(void **state)
{
    (void)state;
    wm_pattern all[WM_MAX_PATTERNS];
    assert_int_equal(wm_patterns_of(all, 1, 3.9), 2); /* all of one or all of the other */
    assert_int_equal(wm_patterns_of(all, 1, 4), 3);   /* a half: 2 cm and 2 cm */
    assert_int_equal(wm_patterns_of(all, 1, 5.99), 3);
    assert_int_equal(wm_patterns_of(all, 1, 6), 5); /* a third: 2 cm */
    assert_int_equal(wm_patterns_of(all, 1, 11.99), 5);
    assert_int_equal(wm_patterns_of(all, 1, 12), 7);   /* a sixth: 2 cm */
    assert_int_equal(wm_patterns_of(all, 2, 12), 29);  /* 4 whole, 5 of each of 5 fractions */
    assert_int_equal(wm_patterns_of(all, 3, 12), 103); /* 8 whole, 19 of each of 5 */
    assert_int_equal(wm_patterns_of(all, 3, 6), 65);   /* 8 whole, 19 of each of 3 */
    wm_pattern sixth = pattern_of("101"), third = pattern_of("026");
    assert_true(wm_pattern_fits(&sixth, 12) && !wm_pattern_fits(&sixth, 11.9));
    assert_true(wm_pattern_fits(&third, 6) && !wm_pattern_fits(&third, 5.9));
}

static void pieces_are_at_most_4_cm(void **state)
{
    (void)state;
    assert_int_equal(wm_layer_pieces(0, 24), 0);
    assert_int_equal(wm_layer_pieces(6, 24), 1);   /* a whole layer is one piece */
    assert_int_equal(wm_layer_pieces(2, 12), 1);   /* 4 cm */
    assert_int_equal(wm_layer_pieces(2, 12.1), 2); /* 4.03 cm */
    assert_int_equal(wm_layer_pieces(3, 12), 2);   /* 6 cm: two of 3 */
    assert_int_equal(wm_layer_pieces(3, 7.5), 1);  /* 3.75 cm */
    assert_int_equal(wm_layer_pieces(5, 24), 5);   /* 20 cm */
    wm_pattern pattern = pattern_of("361");
    assert_int_equal(wm_pattern_pieces(&pattern, 12), 4); /* 2, 1 and 1 */
}

static void fewer_pieces_come_first_then_the_smaller_fraction_in_front(void **state)
{
    (void)state;
    static const char *const ORDER[] = { "00", "02", "03", "04", "06", "20", "30", "40", "60", "22" };
    wm_pattern all[WM_MAX_PATTERNS];
    wm_patterns_of(all, 2, 6);
    for (size_t i = 0; i < 10; i++) {
        wm_pattern expected = pattern_of(ORDER[i]);
        assert_int_equal(wm_pattern_order(&all[i], &expected, false), 0);
        assert_int_equal(all[i].pieces, i == 0 ? 0 : i < 9 ? 1 : 2);
    }
}

static void pieces_in_all(void **state)
{
    (void)state;
    assert_int_equal(wm_pieces_limit(1), 8);
    assert_int_equal(wm_pieces_limit(2), 8);
    assert_int_equal(wm_pieces_limit(3), 12);
    assert_int_equal(wm_pieces_limit(4), 16);
}

static void the_second_shade_inside(void **state)
{
    (void)state;
    static const struct {
        const char *sixths;
        bool inside;
    } rows[] = { { "0", true },   { "3", false },  { "03", true },   { "30", false },
                 { "030", true }, { "060", true }, { "303", false }, { "033", false } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        wm_pattern pattern = pattern_of(rows[i].sixths);
        assert_int_equal(wm_pattern_is_inside(&pattern), rows[i].inside);
    }
}

static void a_pattern_becomes_a_stack_and_back(void **state)
{
    (void)state;
    wm_pattern all[WM_MAX_PATTERNS], back;
    size_t count = wm_patterns_of(all, 3, 12);
    for (size_t i = 0; i < count; i++) {
        wm_stack stack = wm_pattern_stack(&all[i], "loam", "fog", 12);
        assert_true(wm_stack_pattern(&back, &stack, "loam", "fog", 12));
        assert_int_equal(wm_pattern_order(&back, &all[i], true), 0);
    }
    wm_pattern mixed = pattern_of("206");
    wm_stack stack = wm_pattern_stack(&mixed, "loam", "fog", 12);
    assert_string_equal(stack.layers[0].code, "loam");
    assert_string_equal(stack.layers[0].second, "fog");
    near("a third", stack.layers[0].second_share, 1.0 / 3, 1e-12);
    assert_int_equal(stack.layers[0].pieces, 1);
    assert_string_equal(stack.layers[1].code, "loam");
    assert_int_equal(stack.layers[1].pieces, 0);
    assert_string_equal(stack.layers[2].code, "fog");
    assert_string_equal(stack.layers[2].second, "");
    assert_int_equal(stack.layers[2].pieces, 1);
    stack.layers[0].second_share = 0.3333; /* as a report has it */
    assert_true(wm_stack_pattern(&back, &stack, "loam", "fog", 12) && back.sixths[0] == 2);
    stack.layers[0].second_share = 0.4;
    assert_false(wm_stack_pattern(&back, &stack, "loam", "fog", 12));
    stack.layers[0].second_share = (double)NAN;
    assert_false(wm_stack_pattern(&back, &stack, "loam", "fog", 12));
    stack.layers[0].second_share = 0.5;
    assert_false(wm_stack_pattern(&back, &stack, "loam", "pewter", 12));
    assert_false(wm_stack_pattern(&back, &(wm_stack){ 0 }, "loam", "fog", 12));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_length_allows_the_fractions_that_leave_pieces_of_2_cm),
        cmocka_unit_test(pieces_are_at_most_4_cm),
        cmocka_unit_test(fewer_pieces_come_first_then_the_smaller_fraction_in_front),
        cmocka_unit_test(pieces_in_all),
        cmocka_unit_test(the_second_shade_inside),
        cmocka_unit_test(a_pattern_becomes_a_stack_and_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
