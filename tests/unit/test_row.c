/* row: every step of the arithmetic by worked examples. Trade rules: common practice, no source. The catalogue is
 * invented. */
#include "plan/row.h"
#include "support/near.h"

#include <math.h>
#include <string.h>

static const wm_row_settings usual = WM_ROW_SETTINGS_DEFAULT;

static wm_row row_of(double arc_cm, int layers)
{
    wm_row row;
    wm_error err = { 0 };
    assert_int_equal(wm_row_of(&row, arc_cm, layers, &usual, &err), WM_OK);
    return row;
}

/* Common practice, no source. */
static void a_29_cm_arc_gives_a_24_cm_row_with_25_beads(void **state)
{
    (void)state;
    wm_row row = row_of(29, 3);
    near("row", row.row_cm, 24, 1e-12);                         /* 29 - 2 x 2.5 */
    near("weft", row.weft_cm, 72, 1e-12);                       /* 24 x 3 */
    assert_int_equal(row.beads, 25);                            /* floor(24 / 1.0) + 1 */
    assert_int_equal(wm_bead_reserve(row.beads, 10), 3);        /* ceil(2.5) */
    assert_int_equal(row.sections, 2);                          /* 24 / 10, rounded */
    near("thread cut, low", row.thread_cut_cm[0], 216, 1e-12);  /* 24 x (1 + 8) */
    near("thread cut, high", row.thread_cut_cm[1], 264, 1e-12); /* 24 x (1 + 10) */
    near("thread working, low", row.thread_working_cm[0], 108, 1e-12);
    near("thread working, high", row.thread_working_cm[1], 132, 1e-12);
    assert_true(row.grams < 0 && row.mg_per_hair < 0);
}

/* 0.1-steps that floating point can't hold: the quotient falls just short of a whole number. */
static void beads_are_counted_in_whole_steps(void **state)
{
    (void)state;
    wm_row_settings settings = { 0.1, 10, 0, { 8, 10 } };
    wm_row row;
    assert_int_equal(wm_row_of(&row, 29, 1, &(wm_row_settings){ 0.3, 10, 0, { 8, 10 } }, NULL), WM_OK);
    assert_int_equal(row.beads, 97);               /* 96.67 */
    for (int tenths = 10; tenths <= 700; tenths++) /* spacing 0.2 to 1.4 cm: tenths, in a row of n such steps */
        for (int step = 2; step <= 14; step++) {
            double arc = tenths / 10.0, spacing = step / 10.0;
            settings.bead_spacing_cm = spacing;
            if (arc < spacing)
                continue;
            assert_int_equal(wm_row_of(&row, arc, 1, &settings, NULL), WM_OK);
            assert_int_equal(row.beads, tenths / step + 1); /* whole-number arithmetic */
        }
    assert_int_equal(wm_bead_reserve(30, 10), 3);
    assert_int_equal(wm_bead_reserve(31, 10), 4);
    assert_int_equal(wm_bead_reserve(110, 10), 11); /* 110 x 0.1 is 11.000000000000002 the other way round */
    assert_int_equal(wm_bead_reserve(25, 0), 0);
    assert_int_equal(wm_bead_reserve(7, 100), 7);
}

static void sections_are_about_10_cm(void **state)
{
    (void)state;
    assert_int_equal(row_of(7, 1).sections, 1);  /* a row of 2 cm */
    assert_int_equal(row_of(19, 1).sections, 1); /* 14 */
    assert_int_equal(row_of(20, 1).sections, 2); /* 15: two of 7.5 */
    assert_int_equal(row_of(33, 1).sections, 3); /* 28: three of 9.3 */
}

static void impossible_rows_are_refused(void **state)
{
    (void)state;
    static const double arcs[] = { (double)NAN, (double)INFINITY, -29, 0, 5, 5.5, 70.001, 1e300 };
    static const wm_row_settings settings[] = {
        { 0, 10, 2.5, { 8, 10 } },      { (double)NAN, 10, 2.5, { 8, 10 } }, { -1, 10, 2.5, { 8, 10 } },
        { 1e-300, 10, 2.5, { 8, 10 } }, { 1, -1, 2.5, { 8, 10 } },           { 1, 101, 2.5, { 8, 10 } },
        { 1, 10, -1, { 8, 10 } },       { 1, 10, (double)NAN, { 8, 10 } },   { 1, 10, 2.5, { 10, 8 } },
        { 1, 10, 2.5, { -1, 8 } },      { 1, 10, 2.5, { 8, (double)NAN } },
    };
    wm_row row = { .beads = -7 };
    for (size_t i = 0; i < sizeof arcs / sizeof arcs[0]; i++) {
        wm_error err = { 0 };
        assert_int_equal(wm_row_of(&row, arcs[i], 1, &usual, &err), WM_E_USAGE);
        assert_non_null(strstr(err.text, "an arc of "));
        assert_null(strstr(err.text, "nan"));
    }
    for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++) {
        wm_error err = { 0 };
        assert_int_equal(wm_row_of(&row, 29, 1, &settings[i], &err), WM_E_USAGE);
        assert_non_null(strstr(err.text, "salon set"));
    }
    assert_int_equal(wm_row_of(&row, 29, 0, &usual, NULL), WM_E_USAGE);
    assert_int_equal(wm_row_of(&row, 29, 4, &usual, NULL), WM_E_USAGE);
    assert_int_equal(row.beads, -7);
    wm_error err = { 0 };
    wm_row_of(&row, 5.5, 1, &usual, &err);
    assert_string_equal(
        err.text,
        "an arc of 5.5 cm (2.2 in) leaves no row between the margins at the hairline, 5.0 cm (2.0 in) in all; measure "
        "it again or set a smaller hairline_margin_cm");
}

/* Invented. */
static wm_swatch swatch(const char *code, double length_cm)
{
    wm_swatch s = { .kind = WM_SWATCH_HAIR,
                    .lab = { 27.5, 6.2, 14.1 },
                    .u = -1,
                    .length_cm = length_cm,
                    .pieces_per_pack = 3,
                    .piece_width_cm = 30,
                    .pack_weight_g = 90,
                    .pack_price_milli = 89900,
                    .cuttable = true,
                    .stock_packs = 2,
                    .gray_share = -1 };
    strcpy(s.code, code);
    return s;
}

static wm_strips strips;

/* Whole layers in rows of these widths; 0 ends them. */
static void lay(const char *code, int layers, const double *rows_cm)
{
    wm_stack stack = { .count = 0 };
    strips.count = 0;
    for (int i = 0; i < layers; i++)
        wm_stack_add(&stack, code);
    for (int i = 0; rows_cm[i] > 0; i++) {
        wm_design_row row = wm_design_row_whole(WM_PLACE_BACK, rows_cm[i], &stack);
        assert_int_equal(wm_strips_lay(&strips, i, &row, NULL), WM_OK);
    }
}
#define LAY(code, layers, ...) lay(code, layers, (const double[]){ __VA_ARGS__, 0 })

static wm_weft weft_of(wm_swatch *items, size_t count, double wanted_cm)
{
    wm_weft weft;
    wm_error err = { 0 };
    wm_catalogue catalogue = { .items = items, .count = count };
    wm_weft_request request = { &catalogue, strips.items[0].code, { .wanted_cm = fmax(0, wanted_cm) } };
    if (wm_weft_of(&weft, &strips, &request, &err))
        fail_msg("%s", err.text);
    return weft;
}

static void the_stocked_length_is_the_nearest_that_is_not_shorter(void **state)
{
    (void)state;
    wm_swatch items[] = { swatch("oat", 60), swatch("oat", 40), swatch("oat", 45), swatch("oat", 50),
                          swatch("rye", 42) };
    LAY("oat", 1, 24);
    near("stocked length", weft_of(items, 5, 41).length_cm, 45.0, 0);
    near("trim", weft_of(items, 5, 41).trim_cm, 4, 1e-12);
    near("stocked length", weft_of(items, 5, 45).length_cm, 45.0, 0); /* equal is not shorter */
    near("no trim", weft_of(items, 5, 45).trim_cm, 0, 0);
    items[2].stock_packs = 0;
    near("stocked length", weft_of(items, 5, 41).length_cm, 50.0, 0); /* 45 is out of stock */
    items[0].stock_packs = items[3].stock_packs = 0;
    near("stocked length", weft_of(items, 5, 41).length_cm, 45.0, 0); /* none is in stock: the shortest to order */
    wm_weft weft = weft_of(items, 5, 65);
    near("stocked length", weft.length_cm, 60, 0); /* too short: the longest */
    near("short by", weft.trim_cm, -5, 1e-12);
    items[1].length_cm = -1;
    assert_true(weft_of(items, 5, 65).length_cm < 0); /* of unknown length: it may do */
    assert_false(weft_of(items, 5, 65).has_trim);
    items[1].length_cm = 40;
    items[1].stock_packs = 1;
    weft = weft_of(items, 5, -1);
    near("stocked length", weft.length_cm, 40, 0);
    assert_false(weft.has_trim); /* no length wanted */
}

/* Two rows of two layers, 24, 24, 28 and 28 cm: one length from each piece of 30, none joined. */
static void packs_are_counted_over_all_rows(void **state)
{
    (void)state;
    wm_swatch items[] = { swatch("oat", 60) };
    LAY("oat", 2, 24, 28);
    wm_weft weft = weft_of(items, 1, 55);
    near("needed", weft.needed_cm, 104, 1e-12); /* 2 x (24 + 28) */
    assert_int_equal(weft.pieces, 4);
    assert_int_equal(weft.joins, 0);
    assert_int_equal(weft.packs, 2);                    /* of 3 */
    assert_int_equal(weft.packs_to_order, 0);           /* 2 in stock */
    near("left of the pieces", weft.rest_cm, 16, 1e-9); /* 4 x 30 - 104 */
    assert_int_equal(weft.rest_pieces, 2);              /* 6 - 4 */
    near("folded", weft.folded_cm, 0, 0);
    assert_int_equal(weft.fold_layers, 1);
    near("trim", weft.trim_cm, 5, 1e-12);
    near("grams a cm", weft.grams_per_cm, 90.0 / 90.0 * 55.0 / 60.0, 1e-12);
    items[0].stock_packs = 0.5; /* an opened pack */
    assert_int_equal(weft_of(items, 1, 55).packs_to_order, 2);
    items[0].stock_packs = 1.5;
    assert_int_equal(weft_of(items, 1, 55).packs_to_order, 1);
    items[0].stock_packs = -1;
    assert_int_equal(weft_of(items, 1, 55).packs_to_order, -1);
}

/* 24 cm on pieces of 24 cm, 72 cm on one of 72: no piece more because of rounding. */
static void pieces_that_fit_exactly_leave_nothing(void **state)
{
    (void)state;
    wm_swatch items[] = { swatch("oat", 45) };
    static const double widths[] = { 24, 72, 4.8 };
    static const int pieces[] = { 3, 1, 15 };
    for (int i = 0; i < 3; i++) {
        items[0].piece_width_cm = widths[i];
        items[0].cuttable = true;
        LAY("oat", 3, 24);
        wm_weft weft = weft_of(items, 1, 40);
        assert_int_equal(weft.pieces, pieces[i]);
        near("rest", weft.rest_cm, 0, 0);
        items[0].cuttable = false;
        LAY("oat", 3, 24);
        weft = weft_of(items, 1, 40);
        assert_int_equal(weft.pieces, pieces[i]);
        near("fold", weft.folded_cm, 0, 0);
        assert_int_equal(weft.fold_layers, 1);
    }
    items[0].piece_width_cm = 3.3; /* 3 x 1.1 is 3.3000000000000003 */
    LAY("oat", 3, 1.1);
    assert_int_equal(weft_of(items, 1, 40).pieces, 1);
}

/* A shade that may not be cut: whole pieces, back and forth within each row, the rest doubled (B15: tau adds). */
static void what_is_not_cuttable_is_folded(void **state)
{
    (void)state;
    wm_swatch items[] = { swatch("oat", 50) };
    items[0].cuttable = false;
    LAY("oat", 1, 24, 28);
    wm_weft weft = weft_of(items, 1, 40);
    assert_int_equal(weft.pieces, 2);        /* one piece of 30 for 24, one for 28 */
    near("folded", weft.folded_cm, 8, 1e-9); /* 6 + 2 */
    assert_int_equal(weft.fold_layers, 2);
    near("rest", weft.rest_cm, 0, 0);
    assert_int_equal(weft.rest_pieces, 1);
    assert_int_equal(strips.items[0].piece, 0);
    near("tau of one layer", weft.tau, 2.7559, 5e-5); /* 30 g on 300 mm x 500 mm: BV14 */
    LAY("oat", 2, 24);
    weft = weft_of(items, 1, 40);
    assert_int_equal(weft.pieces, 2); /* 48 cm back and forth */
    near("folded twice", weft.folded_cm, 12, 1e-9);
    /* three layers of 24 from one piece of 100: 28 cm are left for 72 cm of layers, which lie double, never in three */
    items[0].piece_width_cm = 100;
    LAY("oat", 3, 24);
    weft = weft_of(items, 1, 40);
    assert_int_equal(weft.pieces, 1);
    near("folded over three layers", weft.folded_cm, 28, 1e-9);
    assert_int_equal(weft.fold_layers, 2);
    items[0].piece_width_cm = 60;
    LAY("oat", 1, 24);
    weft = weft_of(items, 1, 40);
    assert_int_equal(weft.pieces, 1);
    near("folded over and over", weft.folded_cm, 36, 1e-9);
    assert_int_equal(weft.fold_layers, 3); /* 24 + 24 + 12 */
    wm_fullness fullness;
    wm_head head = { WM_HAIR_MEDIUM, WM_AMOUNT_AVERAGE, false, 40 };
    wm_row row = row_of(29, 1);
    wm_fullness_of(&fullness, &row, 1, &(wm_hung){ &strips, &weft, 1 }, &head);
    near("the whole piece hangs there", row.grams, 30.0 * 40 / 50, 1e-9); /* a third of 90 g, cut from 50 to 40 cm */
    near("on each hair", row.mg_per_hair, 13, 1e-9);                      /* 24 g / 24 cm / 76.923 */
}

static void what_the_catalogue_does_not_say_stays_unknown(void **state)
{
    (void)state;
    wm_swatch items[] = { swatch("oat", 45) };
    items[0].piece_width_cm = -1;
    LAY("oat", 1, 24);
    wm_weft weft = weft_of(items, 1, 40);
    assert_true(weft.pieces < 0 && weft.packs < 0 && weft.packs_to_order < 0 && weft.rest_pieces < 0 &&
                weft.rest_cm < 0);
    assert_true(weft.grams_per_cm < 0);
    near("needed all the same", weft.needed_cm, 24, 1e-12);
    items[0].piece_width_cm = 1e-9; /* a slip of the pen: no millions of pieces */
    assert_true(weft_of(items, 1, 40).pieces < 0);
    items[0].piece_width_cm = 30;
    items[0].pieces_per_pack = -1;
    weft = weft_of(items, 1, 40);
    assert_true(weft.pieces == 1 && weft.packs < 0 && weft.grams_per_cm < 0);
    wm_fullness fullness;
    wm_head head = { WM_HAIR_MEDIUM, WM_AMOUNT_AVERAGE, false, 40 };
    wm_row row = row_of(29, 1);
    wm_fullness_of(&fullness, &row, 1, &(wm_hung){ &strips, &weft, 1 }, &head);
    assert_true(fullness.added_grams < 0 && fullness.added_percent < 0 && row.grams < 0 && row.mg_per_hair < 0);
    assert_true(fullness.natural_grams > 0);
}

static void an_unknown_code_names_the_nearest(void **state)
{
    (void)state;
    wm_swatch items[] = { swatch("walnut", 45), swatch("bean", 45) };
    items[1].kind = WM_SWATCH_BEAD;
    wm_catalogue catalogue = { .items = items, .count = 2 };
    wm_weft weft = { .pieces = -7 };
    wm_error err = { 0 };
    LAY("walnit", 1, 24);
    assert_int_equal(wm_weft_of(&weft, &strips, &(wm_weft_request){ &catalogue, "walnit", { .wanted_cm = 40 } }, &err),
                     WM_E_INPUT);
    assert_string_equal(err.text, "the catalogue has no hair 'walnit'; did you mean 'walnut'?");
    assert_int_equal(wm_weft_of(&weft, &strips, &(wm_weft_request){ &catalogue, "bean", { .wanted_cm = 40 } }, &err),
                     WM_E_INPUT);
    assert_string_equal(err.text, "the catalogue has no hair 'bean'; `swatch list` shows its codes");
    assert_int_equal(weft.pieces, -7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_29_cm_arc_gives_a_24_cm_row_with_25_beads),
        cmocka_unit_test(beads_are_counted_in_whole_steps),
        cmocka_unit_test(sections_are_about_10_cm),
        cmocka_unit_test(impossible_rows_are_refused),
        cmocka_unit_test(the_stocked_length_is_the_nearest_that_is_not_shorter),
        cmocka_unit_test(packs_are_counted_over_all_rows),
        cmocka_unit_test(pieces_that_fit_exactly_leave_nothing),
        cmocka_unit_test(what_is_not_cuttable_is_folded),
        cmocka_unit_test(what_the_catalogue_does_not_say_stays_unknown),
        cmocka_unit_test(an_unknown_code_names_the_nearest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
