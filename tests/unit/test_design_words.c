/* design_words: sentences for designs made up by hand; the shades are invented. */
#include "plan/design_words.h"
#include "support/near.h"

#include <string.h>

static const wm_layer LOAM = { .code = "loam" }, FOG = { .code = "fog" }, THIRD = { "loam", "fog", 1.0 / 3, 1 },
                      HALF = { "loam", "fog", 0.5, 1 };

/* A row round the back: its ends are 6 cm, the rest lies between. */
static wm_design_row back(double row_cm, wm_stack sides, wm_stack middle)
{
    wm_design_row row = { .place = WM_PLACE_BACK, .arc_cm = row_cm + 5, .row_cm = row_cm, .count = 2 };
    row.segments[0] = (wm_design_segment){ WM_PLACE_SIDE, "", 6, 2, sides };
    row.segments[1] = (wm_design_segment){ WM_PLACE_BACK, "", row_cm - 12, 1, middle };
    return row;
}

static void says(const wm_design_row *rows, size_t count, const char *wanted)
{
    char words[WM_DESIGN_WORDS_SIZE];
    assert_string_equal(wm_design_words(words, rows, count, WM_UNITS_CM), wanted);
}

static void one_row(void **state)
{
    (void)state;
    wm_stack plain = { 1, { LOAM } }, gray = { 1, { FOG } }, mixed = { 1, { THIRD } };
    wm_design_row row = back(24, plain, plain);
    says(&row, 1, "loam all along");
    row = back(24, mixed, plain);
    says(&row, 1, "loam all along; at each side a piece of fog 2.0 cm long");
    row = back(24, gray, plain);
    says(&row, 1, "loam at the back; at both sides fog");
    row = back(24, mixed, mixed);
    says(&row, 1, "loam all along; 2 pieces of fog 4.0 cm long");
}

static void layers_are_named_from_the_front(void **state)
{
    (void)state;
    wm_stack plain = { 3, { LOAM, LOAM, LOAM } }, inner = { 3, { LOAM, FOG, LOAM } },
             outer = { 3, { HALF, LOAM, HALF } }, both = { 3, { HALF, FOG, HALF } };
    wm_design_row row = back(24, inner, plain);
    says(&row, 1, "loam all along; at both sides fog in the inner layer");
    row = back(24, outer, inner);
    says(&row, 1,
         "loam all along; at each side a piece of fog 3.0 cm long in each of the front and back layers; at the back "
         "fog in the inner layer");
    row = back(24, both, plain);
    says(&row, 1,
         "loam all along; at each side a piece of fog 3.0 cm long in each of the front and back layers, and fog in "
         "the inner layer");
    row = back(24, (wm_stack){ 2, { FOG, FOG } }, (wm_stack){ 2, { LOAM, LOAM } });
    says(&row, 1, "loam at the back; at both sides fog in both layers");
    row = back(24, (wm_stack){ 2, { HALF, HALF } }, (wm_stack){ 2, { LOAM, LOAM } });
    says(&row, 1, "loam all along; at each side a piece of fog 3.0 cm long in each layer");
}

static void several_rows(void **state)
{
    (void)state;
    wm_stack plain = { 1, { LOAM } }, gray = { 1, { FOG } };
    wm_design_row rows[4] = { back(24, gray, plain), back(22, gray, plain),
                              wm_design_row_whole(WM_PLACE_CROWN, 15, &gray),
                              wm_design_row_whole(WM_PLACE_NAPE, 17, &(wm_stack){ 1, { HALF } }) };
    says(rows, 2, "loam at the back, in both rows; at both sides fog");
    says(rows, 4,
         "loam but for what follows. Rows 1 and 2 (back): at both sides fog. Row 3 (crown): fog. Row 4 "
         "(nape): 3 pieces of fog 2.8 cm long");
    rows[2] = wm_design_row_whole(WM_PLACE_CROWN, 15, &plain);
    says(rows + 1, 2, "loam but for what follows. Row 1 (back): at both sides fog. Row 2 (crown): loam alone");
    rows[1] = rows[2];
    says(rows + 1, 2, "loam all along, in both rows");
}

static void a_row_of_unknown_length_tells_shares(void **state)
{
    (void)state;
    wm_design_row row = wm_design_row_whole(WM_PLACE_BACK, -1, &(wm_stack){ 1, { THIRD } });
    says(&row, 1, "loam all along; pieces of fog over 33 % of the length");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_row),
        cmocka_unit_test(layers_are_named_from_the_front),
        cmocka_unit_test(several_rows),
        cmocka_unit_test(a_row_of_unknown_length_tells_shares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
