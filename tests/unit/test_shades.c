/* Looking up, filtering (M14) and comparing shades of a catalogue. Shades are invented. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "match/shades.h"

static wm_catalogue parsed(const char *text)
{
    wm_catalogue catalogue = { 0 };
    wm_error err = { 0 };
    if (wm_catalogue_parse_csv(&catalogue, text, strlen(text), "test.csv", NULL, &err))
        fail_msg("%ld:%ld: %s", err.line, err.column, err.text);
    return catalogue;
}

static const char STOCKED[] = "code,kind,L,a,b,length_cm,pack_price,stock\n"
                              "rye,hair,60,4,20,40,90,0\n"
                              "rye,hair,60,4,20,50,110,3\n"
                              "rye,hair,60,4,20,60,130,1\n"
                              "oat,hair,52,5,21,50,80,\n"
                              "peat,hair,27,6,14,,70,2\n"
                              "umber,bead,30,3,8,,1,9\n";

static void finds_codes(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(STOCKED);
    assert_ptr_equal(wm_catalogue_find(&catalogue, "rye"), &catalogue.items[0]);
    assert_null(wm_catalogue_find(&catalogue, "Rye"));
    assert_string_equal(wm_catalogue_near_miss(&catalogue, "peta"), "peat");
    assert_string_equal(wm_catalogue_near_miss(&catalogue, "Umbre"), "umber");
    assert_null(wm_catalogue_near_miss(&catalogue, "chestnut"));
    wm_catalogue_free(&catalogue);
}

static wm_shades shades_of(const wm_catalogue *catalogue, wm_swatch_kind kind, wm_filter filter)
{
    wm_shades shades = { 0 };
    assert_int_equal(wm_shades_of(&shades, catalogue, kind, &filter, NULL), WM_OK);
    return shades;
}

static void m14_filters_and_counts(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(STOCKED);
    wm_shades all = shades_of(&catalogue, WM_SWATCH_HAIR, (wm_filter){ 0 });
    assert_int_equal(all.count, 3); /* one a code, by code */
    assert_string_equal(all.items[0]->code, "oat");
    assert_string_equal(all.items[1]->code, "peat");
    assert_string_equal(all.items[2]->code, "rye");
    near("of the rows in stock the shorter one", all.items[2]->length_cm, 50, 0);
    assert_int_equal(all.removed[0].removed + all.removed[1].removed + all.removed[2].removed, 0);
    wm_shades_free(&all);

    wm_shades stocked = shades_of(&catalogue, WM_SWATCH_HAIR,
                                  (wm_filter){ .in_stock = true, .max_price_milli = 75000, .min_length_cm = 55 });
    assert_int_equal(stocked.count, 1); /* peat: its length is unknown, so it passes */
    assert_string_equal(stocked.items[0]->code, "peat");
    assert_string_equal(stocked.removed[0].name, "in stock");
    assert_int_equal(stocked.removed[0].removed, 1); /* oat: unknown stock is not in stock */
    assert_string_equal(stocked.removed[1].name, "price");
    assert_int_equal(stocked.removed[1].removed, 2);
    assert_string_equal(stocked.removed[2].name, "length");
    assert_int_equal(stocked.removed[2].removed, 1);
    wm_shades_free(&stocked);

    wm_shades longer =
        shades_of(&catalogue, WM_SWATCH_HAIR, (wm_filter){ .max_price_milli = 120000, .min_length_cm = 45 });
    assert_int_equal(longer.count, 3);
    near("a row must pass all filters at once", longer.items[2]->length_cm, 50, 0);
    wm_shades_free(&longer);

    wm_shades for_60 = shades_of(&catalogue, WM_SWATCH_HAIR, (wm_filter){ .wanted_cm = 55 });
    near("one that reaches the wanted length", for_60.items[2]->length_cm, 60, 0);
    wm_shades_free(&for_60);

    wm_shades beads = shades_of(&catalogue, WM_SWATCH_BEAD, (wm_filter){ 0 });
    assert_int_equal(beads.count, 1);
    wm_shades_free(&beads);
    wm_catalogue_free(&catalogue);
}

static void m5_orders_by_stock_price_code_length(void **state)
{
    (void)state;
    wm_swatch a = wm_swatch_new("a", "", (wm_lab){ 50, 0, 0 }), b = wm_swatch_new("b", "", (wm_lab){ 50, 0, 0 });
    assert_true(wm_swatch_order(&a, &b) < 0);
    b.pack_price_milli = 5000; /* a known price goes before an unknown one */
    assert_true(wm_swatch_order(&a, &b) > 0);
    a.pack_price_milli = 4999;
    assert_true(wm_swatch_order(&a, &b) < 0);
    b.stock_packs = 0.5;
    assert_true(wm_swatch_order(&a, &b) > 0);
    b = a;
    b.length_cm = 40;
    assert_true(wm_swatch_order(&a, &b) < 0 && wm_swatch_order(&b, &a) > 0);
    assert_int_equal(wm_swatch_order(&a, &a), 0);
}

static void finds_twins(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(
        "code,kind,L,a,b,length_cm\noat,hair,52,5,21,40\noat,hair,52,5,21,50\nrye,hair,53,5,21,\nbran,hair,52,5.4,21.5,\n"
        "dusk,bead,52,5,21,\nmist,hair,80,5,21,\n");
    wm_twins twins = { 0 };
    assert_int_equal(wm_catalogue_twins(&twins, &catalogue, WM_TWIN_DE00, NULL), WM_OK);
    assert_int_equal(twins.count, 3); /* not oat with itself, not with the bead */
    assert_string_equal(twins.items[0].a->code, "bran");
    assert_string_equal(twins.items[0].b->code, "oat");
    near("distance", twins.items[0].de00, wm_de00((wm_lab){ 52, 5, 21 }, (wm_lab){ 52, 5.4, 21.5 }), 1e-12);
    assert_true(twins.items[1].de00 <= twins.items[2].de00);
    assert_false(twins.more);
    wm_twins_free(&twins);
    wm_catalogue_free(&catalogue);
}

/* The sweep stops early: it must miss no pair. */
static void twins_are_those_of_brute_force(void **state)
{
    (void)state;
    enum { COUNT = 300 };
    static wm_swatch items[COUNT];
    unsigned random = 12345;
    for (int i = 0; i < COUNT; i++) {
        double v[3];
        for (int j = 0; j < 3; j++) {
            random = random * 1664525u + 1013904223u;
            v[j] = (random >> 8) / 16777216.0;
        }
        char code[8];
        snprintf(code, sizeof code, "s%d", i);
        items[i] = wm_swatch_new(code, "", (wm_lab){ 100 * v[0], 20 * v[1] - 5, 30 * v[2] - 5 });
    }
    size_t brute = 0;
    for (int i = 0; i < COUNT; i++)
        for (int j = 0; j < i; j++)
            brute += wm_de00(items[i].lab, items[j].lab) < 3;
    wm_catalogue catalogue = { .items = items, .count = COUNT };
    wm_twins twins = { 0 };
    assert_int_equal(wm_catalogue_twins(&twins, &catalogue, 3, NULL), WM_OK);
    assert_true(brute > 100);
    assert_int_equal(twins.count, brute);
    wm_twins_free(&twins);
    for (int i = 0; i < COUNT; i++)
        items[i].lab = items[0].lab; /* 44850 twins */
    assert_int_equal(wm_catalogue_twins(&twins, &catalogue, 3, NULL), WM_OK);
    assert_int_equal(twins.count, 1000);
    assert_true(twins.more);
    wm_twins_free(&twins);
}

static double pack_cm(const wm_catalogue *catalogue, wm_filter filter)
{
    return wm_catalogue_pack(catalogue, "rye", &filter)->length_cm;
}

/* Rye is stocked in 40 (none left), 50 and 60 cm. */
static void a_row_of_a_code_is_sewn_from_one_pack(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(STOCKED);
    near("in stock before the shortest", pack_cm(&catalogue, (wm_filter){ .wanted_cm = 35 }), 50, 0);
    near("no length given", pack_cm(&catalogue, (wm_filter){ 0 }), 50, 0);
    near("exactly as long", pack_cm(&catalogue, (wm_filter){ .wanted_cm = 50 }), 50, 0);
    near("long enough", pack_cm(&catalogue, (wm_filter){ .wanted_cm = 50.5 }), 60, 0);
    near("none is: the longest", pack_cm(&catalogue, (wm_filter){ .wanted_cm = 70 }), 60, 0);
    near("dearer ones don't count", pack_cm(&catalogue, (wm_filter){ .wanted_cm = 35, .max_price_milli = 100000 }), 40,
         0);
    near("all too dear: as if none were asked", pack_cm(&catalogue, (wm_filter){ .max_price_milli = 1 }), 50, 0);
    assert_null(wm_catalogue_pack(&catalogue, "umber", &(wm_filter){ 0 }));
    wm_catalogue_free(&catalogue);
}

/* Five packs of 100 g from 90 to 130, one of 1300: ten times its neighbours'. One of 400 is within their range of
 * lengths; one of 20 is none. */
static void a_slipped_decimal_point_is_found(void **state)
{
    (void)state;
    static const char *const LAST[] = { "z,hair,40,4,20,100,1300\n", "z,hair,40,4,20,100,400\n",
                                        "z,hair,40,4,20,100,20\n", "z,hair,40,4,20,1000,1100\n" };
    static const double TIMES[] = { 1300.0 / 110, 0, 20.0 / 110, 0 };
    for (size_t i = 0; i < 4; i++) {
        char text[400];
        wm_price_doubt *doubts = NULL;
        size_t count = 9;
        snprintf(text, sizeof text, "%s%s",
                 "code,kind,L,a,b,pack_weight_g,pack_price\na,hair,60,4,20,100,90\nb,hair,61,4,20,100,100\n"
                 "c,hair,62,4,20,100,110\nd,hair,63,4,20,100,120\ne,hair,64,4,20,100,130\n",
                 LAST[i]);
        wm_catalogue catalogue = parsed(text);
        assert_int_equal(wm_catalogue_price_doubts(&doubts, &count, &catalogue, NULL), WM_OK);
        assert_int_equal(count, TIMES[i] > 0);
        if (count) {
            assert_string_equal(doubts[0].row->code, "z");
            near("times", doubts[0].times, TIMES[i], 1e-9);
        }
        free(doubts);
        wm_catalogue_free(&catalogue);
    }
}

/* M14: codes that the salon avoids are left out whole: "rye" is not "ry". */
static void avoided_shades_are_left_out(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(STOCKED);
    wm_shades shades;
    wm_filter filter = { .avoided = "ry,oat" };
    assert_int_equal(wm_shades_of(&shades, &catalogue, WM_SWATCH_HAIR, &filter, NULL), WM_OK);
    assert_int_equal(shades.count, 2);
    assert_string_equal(shades.items[0]->code, "peat");
    assert_string_equal(shades.items[1]->code, "rye");
    wm_shades_free(&shades);
    wm_catalogue_free(&catalogue);
}

/* Rye comes in 40, 50 and 60 cm; lengths within half a centimetre are one. */
static void one_row_of_a_code(void **state)
{
    (void)state;
    wm_catalogue catalogue = parsed(STOCKED);
    const wm_swatch *row = NULL;
    wm_error err = { 0 };
    assert_int_equal(wm_catalogue_row(&row, &catalogue, "rye", 50.4, &err), WM_OK);
    near("length", row->length_cm, 50, 1e-9);
    assert_int_equal(wm_catalogue_row(&row, &catalogue, "oat", 0, &err), WM_OK);
    assert_string_equal(row->code, "oat");
    row = NULL;
    assert_int_equal(wm_catalogue_row(&row, &catalogue, "rye", 50.6, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "no 'rye' of that length"));
    assert_int_equal(wm_catalogue_row(&row, &catalogue, "rye", 0, &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "'rye' in 3 lengths"));
    assert_int_equal(wm_catalogue_row(&row, &catalogue, "rie", 50, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "did you mean 'rye'"));
    assert_null(row);
    assert_true(wm_same_length(-1, -1) && wm_same_length(40, 40.49) && wm_same_length(40.49, 40));
    assert_false(wm_same_length(-1, 40) || wm_same_length(40, -1) || wm_same_length(40, 40.51));
    wm_catalogue_free(&catalogue);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_row_of_a_code),
        cmocka_unit_test(a_slipped_decimal_point_is_found),
        cmocka_unit_test(avoided_shades_are_left_out),
        cmocka_unit_test(finds_codes),
        cmocka_unit_test(a_row_of_a_code_is_sewn_from_one_pack),
        cmocka_unit_test(m14_filters_and_counts),
        cmocka_unit_test(m5_orders_by_stock_price_code_length),
        cmocka_unit_test(finds_twins),
        cmocka_unit_test(twins_are_those_of_brute_force),
    };
    return cmocka_run_group_tests_name("shades", tests, NULL, NULL);
}
