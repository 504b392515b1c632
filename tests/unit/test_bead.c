/* bead (M34). Expected values: check values DV8, from an independent implementation in Python; the rest by hand. Beads
 * invented. */
#include "match/bead.h"
#include "support/example_head.h"
#include "support/near.h"

#include <string.h>

static wm_bead bead_for(double root_share, wm_zone_kind kind, size_t bead_count)
{
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    wm_swatch swatches[] = { wm_swatch_new("coal", "", (wm_lab){ 18.66, 1.23, -0.41 }),
                             wm_swatch_new("nut", "", (wm_lab){ 29.65, 6.39, 11.91 }),
                             wm_swatch_new("tin", "", (wm_lab){ 57.18, 1.08, 6.68 }) };
    const wm_swatch *beads[] = { &swatches[0], &swatches[1], &swatches[2] };
    const wm_head_zone zones[] = { zone_of(WM_ZONE_MID, "mid", 0.1), zone_of(kind, "crown", root_share) };
    wm_drawn_head head = { 0 };
    assert_int_equal(wm_head_draw(&head, zones, 2, &law, NULL), WM_OK);
    wm_bead bead = wm_bead_of(&head, beads, bead_count);
    static char code[WM_CODE_SIZE];
    strcpy(code, bead.swatch ? bead.swatch->code : "");
    wm_drawn_head_free(&head);
    strcpy(bead.zone, code); /* the swatches end here: their code is handed on */
    bead.swatch = NULL;
    return bead;
}

static void beads_hide_in_the_base_at_the_root(void **state)
{
    (void)state;
    wm_bead bead = bead_for(0.24, WM_ZONE_ROOT, 3);
    assert_string_equal(bead.zone, "nut");
    assert_false(bead.to_gray);
    near("DV8", bead.de00, 1.4, 0.05);
    bead = bead_for(0.46, WM_ZONE_ROOT, 3);
    assert_string_equal(bead.zone, "nut");
    bead = bead_for(0.51, WM_ZONE_ROOT, 3);
    assert_string_equal(bead.zone, "tin");
    assert_true(bead.to_gray);
    bead = bead_for(0.6, WM_ZONE_ENDS, 3); /* no root zone: the first zone decides */
    assert_string_equal(bead.zone, "nut");
    bead = bead_for(0.24, WM_ZONE_ROOT, 0);
    assert_string_equal(bead.zone, "");
}

/* M5: equal in tenths, the one in stock; then the cheaper; then the code. */
static void of_equal_beads_stock_and_price_decide(void **state)
{
    (void)state;
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    wm_head_zone zone = zone_of(WM_ZONE_ROOT, "crown", 0);
    wm_drawn_head head = { 0 };
    wm_swatch a = wm_swatch_new("a", "", (wm_lab){ 29, 6, 11 }), b = wm_swatch_new("b", "", (wm_lab){ 29, 6, 11 });
    const wm_swatch *beads[] = { &b, &a };
    assert_int_equal(wm_head_draw(&head, &zone, 1, &law, NULL), WM_OK);
    assert_ptr_equal(wm_bead_of(&head, beads, 2).swatch, &a);
    b.pack_price_milli = 5;
    assert_ptr_equal(wm_bead_of(&head, beads, 2).swatch, &b);
    a.stock_packs = 1;
    assert_ptr_equal(wm_bead_of(&head, beads, 2).swatch, &a);
    wm_drawn_head_free(&head);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beads_hide_in_the_base_at_the_root),
        cmocka_unit_test(of_equal_beads_stock_and_price_decide),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
