/* The layers of a row as text and back, and against a catalogue. */
#include "support/near.h"
#include "support/stack.h"

#include <string.h>

#include "match/shades.h"

static void a_list_is_read_and_written(void **state)
{
    (void)state;
    static const struct {
        const char *text, *list, *said;
    } cases[] = { { "moth", "moth", "moth" },
                  { "moth,frost,moth", "moth,frost,moth", "moth / frost / moth" },
                  { "moth / frost / moth", "moth,frost,moth", "moth / frost / moth" },
                  { "6/27,5/4", "6/27,5/4", "6/27 / 5/4" }, /* codes with a slash stay whole */
                  { "6,27 / moth", "\"6,27\",moth", "6,27 / moth" },
                  { "\"6,27\"", "\"6,27\"", "6,27" }, /* and such with a comma */
                  { "\"a / b\",\"\"\"c\"", "\"a / b\",\"\"\"c\"", "a / b / \"c" },
                  { "11\",moth", "11\",moth", "11\" / moth" },
                  { "\"moth\",\"a / b\"", "\"moth\",\"a / b\"", "moth / a / b" }, /* the list begins with a quote */
                  { "\" a\",\"b \",\" \"", "\" a\",\"b \",\" \"", " a / b  /  " } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char list[WM_STACK_TEXT_SIZE], said[WM_STACK_TEXT_SIZE];
        wm_stack stack = stack_of(cases[i].text);
        assert_string_equal(wm_stack_text(list, &stack, ","), cases[i].list);
        assert_string_equal(wm_stack_text(said, &stack, " / "), cases[i].said);
        const wm_stack again = stack_of(list);
        assert_memory_equal(&again, &stack, sizeof stack);
    }
    char none[WM_STACK_TEXT_SIZE];
    assert_string_equal(wm_stack_text(none, &(wm_stack){ .count = 0 }, ","), "");
}

static void what_is_no_list_is_refused(void **state)
{
    (void)state;
    char longest[WM_CODE_SIZE], longer[WM_CODE_SIZE + 1];
    memset(longest, 'x', sizeof longest);
    memset(longer, 'x', sizeof longer);
    longest[sizeof longest - 1] = longer[sizeof longer - 1] = '\0';
    const char *const bad[] = { "",     ",",      "moth,",      ",moth",     "moth,,frost", "a,b,c,d", "a / b / c / d",
                                longer, "\"6,27", "\"moth\"\"", "\"moth\"x", "\"\"" };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        wm_stack stack = { .count = 7 };
        wm_error err = { 0 };
        assert_int_equal(wm_stack_parse(&stack, bad[i], &err), WM_E_USAGE);
        assert_true(err.text[0]);
        assert_int_equal(stack.count, 7); /* untouched */
    }
    assert_int_equal(stack_of(longest).count, 1);
}

static void pieces_of_a_second_shade_are_said(void **state)
{
    (void)state;
    char text[WM_STACK_TEXT_SIZE];
    const char *shades[2 * WM_MAX_LAYERS];
    wm_stack stack = stack_of("loam,loam,loam");
    wm_layer *inner = &stack.layers[1];
    strcpy(inner->second, "fog");
    inner->second_share = 1.0 / 3;
    inner->pieces = 1;
    assert_string_equal(wm_stack_text(text, &stack, " / "), "loam / loam with fog in 1 piece / loam");
    inner->pieces = 2;
    assert_string_equal(wm_stack_text(text, &stack, ","), "loam,loam with fog in 2 pieces,loam");
    assert_int_equal(wm_stack_shades(shades, &stack), 2);
    assert_string_equal(shades[0], "loam");
    assert_string_equal(shades[1], "fog");
}

/* The longest codes and the most pieces: nothing is cut, nothing overruns. */
static void the_longest_text_fits(void **state)
{
    (void)state;
    wm_stack stack = { .count = WM_MAX_LAYERS };
    for (size_t i = 0; i < WM_MAX_LAYERS; i++) {
        memset(stack.layers[i].code, 'x', WM_CODE_SIZE - 1);
        memset(stack.layers[i].second, 'y', WM_CODE_SIZE - 1);
        stack.layers[i].pieces = 99;
    }
    char text[WM_STACK_TEXT_SIZE];
    const size_t layer = 2 * (WM_CODE_SIZE - 1) + strlen(" with ") + strlen(" in 99 pieces");
    assert_int_equal(strlen(wm_stack_text(text, &stack, " / ")), 3 * layer + 2 * strlen(" / "));
}

static void layers_are_found_in_a_catalogue(void **state)
{
    (void)state;
    wm_swatch items[] = { wm_swatch_new("moth", "", (wm_lab){ 20, 4, 6 }),
                          wm_swatch_new("fig", "", (wm_lab){ 30, 8, 9 }),
                          wm_swatch_new("frost", "", (wm_lab){ 80, 0, 8 }) };
    wm_catalogue catalogue = { .items = items, .count = 3 };
    const wm_swatch *found[WM_MAX_LAYERS] = { NULL };
    wm_error err = { 0 };
    wm_stack good = stack_of("moth,frost,moth"), unknown = stack_of("moth,fros"), three = stack_of("moth,frost,fig");
    assert_int_equal(wm_stack_swatches(found, &good, &catalogue, &err), WM_OK);
    assert_ptr_equal(found[0], &items[0]);
    assert_ptr_equal(found[1], &items[2]);
    assert_ptr_equal(found[2], &items[0]);
    assert_int_equal(wm_stack_swatches(found, &unknown, &catalogue, &err), WM_E_INPUT);
    assert_string_equal(err.text, "the catalogue has no shade 'fros'; did you mean 'frost'?");
    assert_int_equal(wm_stack_swatches(found, &three, &catalogue, &err), WM_E_USAGE);
    assert_ptr_equal(found[1], &items[2]); /* untouched */
    strcpy(good.layers[1].second, "fig");  /* the pieces' shade counts too */
    assert_int_equal(wm_stack_swatches(found, &good, &catalogue, &err), WM_E_USAGE);
}

/* A slash stands between layers only where it can't be part of a code. */
static void slashes_are_layers_where_the_catalogue_says_so(void **state)
{
    (void)state;
    wm_swatch items[] = { wm_swatch_new("moth", "", (wm_lab){ 40, 5, 12 }),
                          wm_swatch_new("frost", "", (wm_lab){ 70, 1, 8 }),
                          wm_swatch_new("moth/frost", "", (wm_lab){ 50, 1, 8 }) };
    wm_catalogue catalogue = { .items = items, .count = 3 };
    wm_stack stack;
    assert_int_equal(wm_stack_parse_known(&stack, "moth/frost/moth", &catalogue, NULL), WM_OK);
    assert_int_equal(stack.count, 3);
    assert_string_equal(stack.layers[1].code, "frost");
    assert_int_equal(wm_stack_parse_known(&stack, "moth/frost", &catalogue, NULL), WM_OK);
    assert_int_equal(stack.count, 1); /* a code of its own */
    assert_int_equal(wm_stack_parse_known(&stack, "moth/fog", &catalogue, NULL), WM_OK);
    assert_int_equal(stack.count, 2); /* fog is what is unknown */
    assert_string_equal(stack.layers[1].code, "fog");
    assert_int_equal(wm_stack_parse_known(&stack, "mist/fog", &catalogue, NULL), WM_OK);
    assert_int_equal(stack.count, 1); /* unknown either way: told as it was written */
    assert_int_equal(wm_stack_parse_known(&stack, "moth//moth", &catalogue, NULL), WM_OK);
    assert_int_equal(stack.count, 1);
    assert_int_equal(wm_stack_parse_known(&stack, "moth/moth/moth/moth", &catalogue, NULL), WM_E_USAGE); /* no row */
    assert_int_equal(wm_stack_parse_known(&stack, "moth, frost ,moth", &catalogue, NULL), WM_OK);
    assert_int_equal(stack.count, 3);
    assert_string_equal(stack.layers[1].code, "frost");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slashes_are_layers_where_the_catalogue_says_so),
        cmocka_unit_test(a_list_is_read_and_written),
        cmocka_unit_test(what_is_no_list_is_refused),
        cmocka_unit_test(pieces_of_a_second_shade_are_said),
        cmocka_unit_test(the_longest_text_fits),
        cmocka_unit_test(layers_are_found_in_a_catalogue),
    };
    return cmocka_run_group_tests_name("stack", tests, NULL, NULL);
}
