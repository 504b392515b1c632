/* load: how much hair is sewn (M25). Hair: reference/hair_facts.csv; what a scalp and a section hold: common practice,
 * no source; limits and goals: our own. Expected values are worked by hand, or come from an independent implementation
 * of the rule in Python (marked). */
#include "load/load.h"
#include "support/near.h"

static wm_load_input usual(void)
{
    return (wm_load_input){ .head = { WM_HAIR_MEDIUM, WM_AMOUNT_AVERAGE, false, 40 },
                            .goal = WM_GOAL_VOLUME,
                            .weft_g_per_cm = 50.0 / 60.0,
                            .row_cm = 24,
                            .medium_limit_mg = WM_LOAD_LIMIT_MG,
                            .max_layers = 3 };
}

/* Independent implementation in Python, check values DV4. */
static void three_heads_of_the_check_values(void **state)
{
    (void)state;
    wm_load_input input = usual();
    wm_load load = wm_load_of(&input);
    near("medium own", load.own_g, 203.1982, 5e-5);
    near("medium mg", load.mg_per_layer, 10.8333, 5e-5);
    near("medium limit", load.limit_mg, 35, 1e-12);
    assert_int_equal(load.layers_needed, 3);
    assert_int_equal(load.layers_load, 3);
    assert_int_equal(load.layers, 3);
    input.head = (wm_head){ WM_HAIR_FINE, WM_AMOUNT_THIN, false, 30 };
    load = wm_load_of(&input);
    near("fine own", load.own_g, 62.2035, 5e-5);
    near("fine mg", load.mg_per_layer, 13.5417, 5e-5);
    near("fine limit", load.limit_mg, 25, 1e-12);
    assert_int_equal(load.layers_needed, 1);
    assert_int_equal(load.layers_load, 1);
    assert_int_equal(load.layers, 1);
    input.head = (wm_head){ WM_HAIR_COARSE, WM_AMOUNT_THICK, false, 45 };
    input.goal = WM_GOAL_LENGTH;
    load = wm_load_of(&input);
    near("coarse own", load.own_g, 699.7898, 5e-5);
    near("coarse mg", load.mg_per_layer, 7.2222, 5e-5);
    near("coarse limit", load.limit_mg, 45, 1e-12);
    assert_int_equal(load.layers_needed, 14);
    assert_int_equal(load.layers_load, 6);
    assert_int_equal(load.layers, 3);
    assert_false(load.assumed);
}

/* By hand: 203.1982 g of her own. */
static void the_goal_says_how_much_is_needed(void **state)
{
    (void)state;
    wm_load_input input = usual();
    input.goal = WM_GOAL_COVERAGE;
    near("a tenth", wm_load_of(&input).needed_g, 20.3198, 5e-5);
    assert_int_equal(wm_load_of(&input).layers_needed, 2); /* one layer is 20.0 g: just too little */
    input.row_cm = 24.4;                                   /* 20.33 g */
    assert_int_equal(wm_load_of(&input).layers_needed, 1);
    input.goal = WM_GOAL_VOLUME;
    near("a fifth", wm_load_of(&input).needed_g, 40.6396, 5e-5);
    input.goal = WM_GOAL_LENGTH;
    near("two fifths", wm_load_of(&input).needed_g, 81.2793, 5e-5);
    input.row_cm = 48; /* two rows: 40 g a layer */
    assert_int_equal(wm_load_of(&input).layers_needed, 3);
}

static void the_load_is_per_held_hair_and_not_by_her_length(void **state)
{
    (void)state;
    near("100000 hairs on 650 cm2, 0.5 cm deep", wm_held_hairs_per_cm(WM_AMOUNT_AVERAGE), 76.923077, 1e-6);
    near("20 g on 24 cm", wm_load_mg(20, 24, WM_AMOUNT_AVERAGE), 10.833333, 1e-6);
    wm_load_input input = usual();
    input.head.natural_length_cm = 80;
    near("longer hair holds no more", wm_load_of(&input).mg_per_layer, 10.833333, 1e-6);
    near("nor is allowed more", wm_load_of(&input).limit_mg, 35, 1e-12);
    input.head.shedding = true;
    near("shedding", wm_load_of(&input).limit_mg, 24.5, 1e-12);
    assert_int_equal(wm_load_of(&input).layers_load, 2); /* 24.5 / 10.83 = 2.26 */
    input.head.hair = WM_HAIR_FINE;
    near("fine, shedding", wm_load_of(&input).limit_mg, 17.5, 1e-12);
    input.head.hair = WM_HAIR_COARSE;
    near("coarse, shedding", wm_load_of(&input).limit_mg, 31.5, 1e-12);
    input.medium_limit_mg = 70; /* the setting scales all three */
    near("coarse, shedding, twice the setting", wm_load_of(&input).limit_mg, 63, 1e-12);
}

static void a_weft_too_heavy_leaves_nothing_to_sew(void **state)
{
    (void)state;
    wm_load_input input = usual();
    input.head = (wm_head){ WM_HAIR_FINE, WM_AMOUNT_THIN, true, 30 }; /* 17.5 mg on each of 61.5 hairs a cm */
    input.weft_g_per_cm = 1.1;
    wm_load load = wm_load_of(&input);
    assert_int_equal(load.layers_load, 0);
    assert_int_equal(load.layers, 0);
    near("one layer", load.mg_per_layer, 17.875, 1e-9);
    near("what would do", load.heaviest_weft_g_per_cm, 1.076923, 1e-6);
    input.weft_g_per_cm = load.heaviest_weft_g_per_cm; /* just does, whatever the rounding */
    assert_int_equal(wm_load_of(&input).layers, 1);
}

static void layers_that_divide_evenly_are_not_lost_to_rounding(void **state)
{
    (void)state;
    wm_load_input input = usual();
    for (int n = 1; n <= 3; n++) {
        input.weft_g_per_cm = wm_load_of(&input).heaviest_weft_g_per_cm / n;
        assert_int_equal(wm_load_of(&input).layers_load, n);
        input.weft_g_per_cm = 0.20 * wm_head_grams(&input.head) / input.row_cm / n;
        assert_int_equal(wm_load_of(&input).layers_needed, n);
    }
}

static void what_is_not_given_is_assumed_as_two_layers(void **state)
{
    (void)state;
    for (int missing = 0; missing < 3; missing++) {
        wm_load_input input = usual();
        if (missing == 0)
            input.row_cm = -1;
        if (missing == 1)
            input.weft_g_per_cm = -1;
        if (missing == 2)
            input.head.natural_length_cm = -1;
        wm_load load = wm_load_of(&input);
        assert_true(load.assumed);
        assert_int_equal(load.layers, 2);
        assert_int_equal(load.layers_needed, -1);
        assert_int_equal(load.layers_load, missing == 1 ? -1 : 3);
        input.max_layers = 1;
        assert_int_equal(wm_load_of(&input).layers, 1);
    }
    wm_load_input input = usual();
    input.max_layers = 2;
    assert_int_equal(wm_load_of(&input).layers, 2);
    input.max_layers = 5;
    input.head = (wm_head){ WM_HAIR_COARSE, WM_AMOUNT_THICK, false, 45 };
    assert_int_equal(wm_load_of(&input).layers, 3);
    input.weft_g_per_cm = 1e-300;
    assert_int_equal(wm_load_of(&input).layers, 3);
}

static void words_go_both_ways(void **state)
{
    (void)state;
    wm_hair hair = WM_HAIR_FINE;
    wm_amount amount = WM_AMOUNT_THIN;
    wm_goal goal = WM_GOAL_COVERAGE;
    assert_true(wm_hair_parse("coarse", &hair) && hair == WM_HAIR_COARSE);
    assert_true(wm_amount_parse("thick", &amount) && amount == WM_AMOUNT_THICK);
    assert_true(wm_goal_parse("length", &goal) && goal == WM_GOAL_LENGTH);
    assert_false(wm_hair_parse("Coarse", &hair) || wm_hair_parse("", &hair) || wm_hair_parse(NULL, &hair));
    assert_false(wm_amount_parse("much", &amount) || wm_amount_parse(NULL, &amount));
    assert_false(wm_goal_parse("curls", &goal));
    assert_string_equal(wm_hair_name(WM_HAIR_MEDIUM), "medium");
    assert_string_equal(wm_amount_name(WM_AMOUNT_AVERAGE), "average");
    assert_string_equal(wm_goal_name(WM_GOAL_VOLUME), "volume");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_heads_of_the_check_values),
        cmocka_unit_test(the_goal_says_how_much_is_needed),
        cmocka_unit_test(the_load_is_per_held_hair_and_not_by_her_length),
        cmocka_unit_test(a_weft_too_heavy_leaves_nothing_to_sew),
        cmocka_unit_test(layers_that_divide_evenly_are_not_lost_to_rounding),
        cmocka_unit_test(what_is_not_given_is_assumed_as_two_layers),
        cmocka_unit_test(words_go_both_ways),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
