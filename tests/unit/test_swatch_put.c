/* swatch_put: what becomes of a photo's swatches in the catalogue (C28, C31, C33, C35). All shades, photos and numbers
 * are invented. */
#include "consult/swatch_put.h"
#include "support/measured.h"
#include "support/near.h"
#include "support/rng.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "match/shades.h"

enum { RING = 12, MOST = 16 };
static const char *const CODES[RING] = { "ink",   "peat", "umber", "loam", "bark", "teak",
                                         "acorn", "moth", "hull",  "oat",  "fog",  "frost" };

static wm_swatch_reading reading(const char *code, wm_lab lab, double u)
{
    wm_swatch_reading r = { .zones = 1, .colour = measured(lab, (wm_lab){ u, u, u }, u), .u_frame = 6 };
    snprintf(r.code, sizeof r.code, "%s", code);
    return r;
}

static const wm_swatch_origin FIRST = { "a.jpg", "aaaaaaaa0000", WM_AIDS_CARD, "2025-05-01", false };
static const wm_swatch_origin SECOND = { "b.jpg", "bbbbbbbb0000", WM_AIDS_CARD, "2025-06-01", false };

static wm_sheet put(wm_swatch_put *out, wm_catalogue *catalogue, const wm_swatch_readings *readings,
                    const wm_swatch_origin *origin)
{
    wm_sheet sheet;
    wm_error err = { 0 };
    if (wm_swatches_put(out, &sheet, catalogue, readings, origin, &err))
        fail_msg("%s", err.text);
    return sheet;
}

/* --- beside known swatches: one reading, averaged by 1 / u^2 --- */

static wm_swatch_put put_oat(wm_catalogue *catalogue, wm_lab lab, double u, const wm_swatch_origin *origin)
{
    wm_swatch_reading one = reading("oat", lab, u);
    const wm_swatch_readings readings = { .items = &one, .count = 1, .by_known = true, .row = WM_KRIGE_SWATCH };
    wm_swatch_put out;
    const wm_sheet sheet = put(&out, catalogue, &readings, origin);
    assert_int_equal(sheet.part, WM_SHEET_BY_KNOWN);
    assert_string_equal(sheet.frame, "");
    return out;
}

static void a_first_measurement_is_a_new_row(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    assert_int_equal(put_oat(&c, (wm_lab){ 50, 5, 15 }, 1.0, &FIRST).outcome, WM_SWATCH_NEW);
    const wm_swatch *row = wm_catalogue_find(&c, "oat");
    assert_non_null(row);
    near("L", row->lab.L, 50, 1e-9);
    near("u", row->u, 1.0, 0.01); /* kept with two decimals */
    assert_string_equal(row->measured, "2025-05-01");
    assert_non_null(strstr(row->source, "a.jpg"));
    assert_string_equal(row->frame, "");
    wm_catalogue_free(&c);
}

/* Weights 1/u^2: of 50 (u 1) and 51 (u 2) the mean is (50 + 51 / 4) / 1.25 = 50.2. */
static void a_second_photo_is_averaged_by_its_uncertainty(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    put_oat(&c, (wm_lab){ 50, 5, 15 }, 1.0, &FIRST);
    wm_swatch_put second = put_oat(&c, (wm_lab){ 51, 5, 15 }, 2.0, &SECOND);
    assert_int_equal(second.outcome, WM_SWATCH_AVERAGED);
    near("mean L", second.lab.L, 50.2, 0.01);
    assert_true(second.u < 1.0); /* two say more than one */
    near("change", second.change_u, sqrt(5), 0.05);
    wm_catalogue_free(&c);
}

static void a_change_beyond_twice_its_uncertainty_is_drift(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    put_oat(&c, (wm_lab){ 50, 5, 15 }, 0.5, &FIRST);
    wm_swatch_put second = put_oat(&c, (wm_lab){ 56, 5, 15 }, 0.5, &SECOND);
    assert_int_equal(second.outcome, WM_SWATCH_DRIFTED);
    assert_true(second.change_de00 > 2 * second.change_u);
    near("C35, another lot: left as it was", wm_catalogue_find(&c, "oat")->lab.L, 50, 1e-9);
    near("and as sure", wm_catalogue_find(&c, "oat")->u, 0.5, 1e-9);
    wm_catalogue_free(&c);
}

static void the_same_photo_counts_once(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    put_oat(&c, (wm_lab){ 50, 5, 15 }, 1.0, &FIRST);
    assert_int_equal(put_oat(&c, (wm_lab){ 50, 5, 15 }, 1.0, &FIRST).outcome, WM_SWATCH_SEEN);
    near("u as it was", wm_catalogue_find(&c, "oat")->u, 1.0, 0.01);
    wm_catalogue_free(&c);
}

static void replacing_takes_the_new_one_alone(void **state)
{
    (void)state;
    wm_catalogue c = { 0 };
    wm_swatch_origin origin = SECOND;
    origin.replace = true;
    put_oat(&c, (wm_lab){ 50, 5, 15 }, 0.5, &FIRST);
    assert_int_equal(put_oat(&c, (wm_lab){ 56, 5, 15 }, 1.5, &origin).outcome, WM_SWATCH_REPLACED);
    near("L", wm_catalogue_find(&c, "oat")->lab.L, 56, 1e-9);
    wm_catalogue_free(&c);
}

/* --- a ring of its own --- */

typedef struct ring {
    wm_swatch_reading items[MOST];
    wm_swatch_readings readings;
    wm_swatch_put out[MOST];
} ring;

static wm_lab ring_lab(int i)
{
    return (wm_lab){ 18 + 5.5 * i, 2 + (i % 4), 3 + 1.2 * i };
}

/* The ring as a photo shows it: a shift of all, and `lay` of each; order: first code, step through the ring. */
static void lay(ring *r, double shift, double lay_L, int step)
{
    rng dice = { (uint64_t)step * 77 + 5 };
    r->readings = (wm_swatch_readings){ .items = r->items, .count = RING, .row = WM_KRIGE_GRAY };
    for (int k = 0; k < RING; k++) {
        const int i = k * step % RING;
        wm_lab lab = ring_lab(i);
        lab.L += shift + lay_L * (i % 2 ? 1 : -1) * rng_between(&dice, 0.6, 1.4);
        lab.b += 0.5 * lay_L * ((i / 2) % 2 ? 1 : -1);
        r->items[k] = reading(CODES[i], lab, 1.1);
    }
}

static void a_sheet_opens_a_frame(void **state)
{
    (void)state;
    ring r;
    wm_catalogue c = { 0 };
    lay(&r, 0, 0, 1);
    const wm_sheet sheet = put(r.out, &c, &r.readings, &FIRST);
    assert_int_equal(sheet.part, WM_SHEET_OPENS_FRAME);
    assert_string_equal(sheet.frame, "aaaaaaaa"); /* C28 */
    const wm_swatch *oat = wm_catalogue_find(&c, "oat");
    assert_string_equal(oat->frame, "aaaaaaaa");
    assert_int_equal(oat->photos, 1);
    near("u_frame", oat->u_frame, 6, 0.01);
    assert_string_equal(wm_catalogue_frame(&c), "aaaaaaaa");
    wm_catalogue_free(&c);
}

/* C31: the shift of all is taken off, what is left is averaged; u of all rows is that of the laying. */
static void laid_anew_is_averaged(void **state)
{
    (void)state;
    ring r;
    wm_catalogue c = { 0 };
    lay(&r, 0, 0, 1);
    put(r.out, &c, &r.readings, &FIRST);
    lay(&r, 4, 2.5, 5);
    const wm_sheet sheet = put(r.out, &c, &r.readings, &SECOND);
    assert_int_equal(sheet.part, WM_SHEET_RELAID);
    assert_int_equal(sheet.photos, 2);
    assert_true(sheet.u1 > 0.75 && sheet.u1 < 2);
    for (int i = 0; i < RING; i++) {
        const wm_swatch *row = wm_catalogue_find(&c, CODES[i]);
        near("half of the laying", row->lab.L, ring_lab(i).L, 2);
        assert_int_equal(row->photos, 2);
        near("u of the mean", row->u, wm_frame_mean_u(sheet.u1, 2), 0.006);
        near("u_frame stays", row->u_frame, 6, 0.01);
    }
    wm_catalogue_free(&c);
}

/* A photo of the sheet as it lies says nothing new; shuffled swatches that fell much alike are believed, as unsure as
 * the least laying. */
static void not_laid_anew_is_left(void **state)
{
    (void)state;
    for (int step = 1; step <= 5; step += 4) {
        ring r;
        wm_catalogue c = { 0 };
        lay(&r, 0, 0, 1);
        put(r.out, &c, &r.readings, &FIRST);
        lay(&r, 4, 0.3, step);
        const wm_sheet sheet = put(r.out, &c, &r.readings, &SECOND);
        assert_int_equal(sheet.part, step == 1 ? WM_SHEET_NOT_LAID_ANEW : WM_SHEET_RELAID);
        assert_int_equal(wm_catalogue_find(&c, "oat")->photos, step == 1 ? 1 : 2);
        if (step > 1)
            near("u1", sheet.u1, 0.75, 1e-12);
        wm_catalogue_free(&c);
    }
}

static void a_badly_laid_one_is_not_averaged(void **state)
{
    (void)state;
    ring r;
    wm_catalogue c = { 0 };
    lay(&r, 0, 0, 1);
    put(r.out, &c, &r.readings, &FIRST);
    lay(&r, 0, 1.0, 5);
    r.items[3].colour.lab.L += 15;
    put(r.out, &c, &r.readings, &SECOND);
    assert_int_equal(r.out[3].outcome, WM_SWATCH_BADLY_LAID);
    assert_int_equal(wm_catalogue_find(&c, r.items[3].code)->photos, 1);
    assert_int_equal(r.out[0].outcome, WM_SWATCH_AVERAGED);
    wm_catalogue_free(&c);
}

/* C33: four of the first sheet beside three new ones, in another light: the new ones get the first sheet's colours. */
static void new_swatches_join(void **state)
{
    (void)state;
    ring r;
    wm_catalogue c = { 0 };
    const int shared[4] = { 1, 4, 7, 10 };
    const wm_lab fresh[2] = { { 30, 5, 9 }, { 48, 4, 13 } };
    lay(&r, 0, 0, 1);
    put(r.out, &c, &r.readings, &FIRST);
    for (int k = 0; k < 4; k++) {
        wm_lab lab = ring_lab(shared[k]);
        r.items[k] = reading(CODES[shared[k]], (wm_lab){ lab.L + 3, lab.a, lab.b - 1 }, 1.1);
    }
    r.items[4] = reading("rye", (wm_lab){ fresh[0].L + 3, fresh[0].a, fresh[0].b - 1 }, 1.1);
    r.items[5] = reading("fig", (wm_lab){ fresh[1].L + 3, fresh[1].a, fresh[1].b - 1 }, 1.1);
    r.readings.count = 6;
    const wm_sheet sheet = put(r.out, &c, &r.readings, &SECOND);
    assert_int_equal(sheet.part, WM_SHEET_JOINED);
    assert_string_equal(sheet.frame, "aaaaaaaa");
    for (int k = 0; k < 4; k++)
        assert_int_equal(r.out[k].outcome, WM_SWATCH_KEPT);
    for (int k = 0; k < 2; k++) {
        const wm_swatch *row = wm_catalogue_find(&c, k ? "fig" : "rye");
        near("joined L", row->lab.L, fresh[k].L, 1.0);
        near("joined b", row->lab.b, fresh[k].b, 0.8);
        assert_string_equal(row->frame, "aaaaaaaa");
        assert_true(row->u > 0.8 && row->u < 2.5);
    }
    wm_catalogue_free(&c);
}

/* C35: a lot that changed by 8 dE00 is told, and its row left. */
static void a_changed_lot_is_told(void **state)
{
    (void)state;
    ring r;
    wm_catalogue c = { 0 };
    lay(&r, 0, 0, 1);
    put(r.out, &c, &r.readings, &FIRST);
    r.readings.count = 6;
    for (int k = 0; k < 6; k++) {
        wm_lab lab = ring_lab(2 * k);
        r.items[k] = reading(CODES[2 * k], (wm_lab){ lab.L + (k == 3 ? 9 : 0), lab.a, lab.b }, 1.1);
    }
    put(r.out, &c, &r.readings, &SECOND);
    for (int k = 0; k < 6; k++)
        assert_int_equal(r.out[k].outcome, k == 3 ? WM_SWATCH_DRIFTED : WM_SWATCH_KEPT);
    near("left", wm_catalogue_find(&c, CODES[6])->lab.L, ring_lab(6).L, 0.01);
    wm_catalogue_free(&c);
}

/* Two shared ones join nothing: what is new opens a frame of its own, what is known is left. */
static void too_few_shared_open_another(void **state)
{
    (void)state;
    ring r;
    wm_catalogue c = { 0 };
    lay(&r, 0, 0, 1);
    put(r.out, &c, &r.readings, &FIRST);
    r.items[2] = reading("rye", (wm_lab){ 30, 5, 9 }, 1.1);
    r.readings.count = 3;
    const wm_sheet sheet = put(r.out, &c, &r.readings, &SECOND);
    assert_int_equal(sheet.part, WM_SHEET_OPENS_FRAME);
    assert_true(sheet.another);
    assert_int_equal(r.out[0].outcome, WM_SWATCH_OTHER_SHEET);
    assert_string_equal(wm_catalogue_find(&c, "rye")->frame, "bbbbbbbb");
    wm_catalogue_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(a_first_measurement_is_a_new_row),
                                        cmocka_unit_test(a_second_photo_is_averaged_by_its_uncertainty),
                                        cmocka_unit_test(a_change_beyond_twice_its_uncertainty_is_drift),
                                        cmocka_unit_test(the_same_photo_counts_once),
                                        cmocka_unit_test(replacing_takes_the_new_one_alone),
                                        cmocka_unit_test(a_sheet_opens_a_frame),
                                        cmocka_unit_test(laid_anew_is_averaged),
                                        cmocka_unit_test(not_laid_anew_is_left),
                                        cmocka_unit_test(a_badly_laid_one_is_not_averaged),
                                        cmocka_unit_test(new_swatches_join),
                                        cmocka_unit_test(a_changed_lot_is_told),
                                        cmocka_unit_test(too_few_shared_open_another) };
    return cmocka_run_group_tests_name("swatch_put", tests, NULL, NULL);
}
