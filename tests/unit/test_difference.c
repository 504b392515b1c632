/* difference (M1): the scalar's parts and symmetries, and the proof that the batch kernel stays within 1e-9 of the
 * scalar. The values themselves are held to published tables in tests/reference. */
#include "colour/difference.h"
#include "support/near.h"
#include "support/rng.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wm_lab at(double L, double chroma, double hue_deg)
{
    return wm_lch_to_lab((wm_lch){ L, chroma, hue_deg });
}

/* Check value CV3 of the calibration rules, printed there to 4 decimals. */
static void calibration_check_value(void **state)
{
    (void)state;
    near("CV3", wm_de00((wm_lab){ 30, 6, 10 }, (wm_lab){ 32, 5, 12 }), 2.6491, 6e-5);
}

static void parts_have_signs(void **state)
{
    (void)state;
    wm_difference d = wm_difference_between(at(40, 20, 60), at(45, 20, 60));
    near("lighter", d.d_lightness, 5, 1e-12);
    near("same chroma", d.d_chroma, 0, 1e-12);
    near("same hue", d.d_hue, 0, 1e-12);
    assert_true(wm_difference_between(at(40, 20, 60), at(40, 25, 60)).d_chroma > 0);
    assert_true(wm_difference_between(at(40, 20, 60), at(40, 20, 70)).d_hue > 0);
    assert_true(wm_difference_between(at(40, 20, 60), at(40, 20, 50)).d_hue < 0);
    assert_true(wm_difference_between(at(40, 20, 355), at(40, 20, 5)).d_hue > 0); /* over the seam */
    assert_true(wm_difference_between(at(40, 20, 5), at(40, 20, 355)).d_hue < 0);
}

static void parts_make_up_the_whole_of_a_gray_pair(void **state)
{
    (void)state;
    wm_difference d = wm_difference_between((wm_lab){ 50, 0, 0 }, (wm_lab){ 50, 0, 0 });
    near("same", d.de00, 0, 0);
    d = wm_difference_between((wm_lab){ 40, 0, 0 }, (wm_lab){ 60, 0, 0 }); /* mean L 50: S_L = 1 */
    near("gray", d.de00, 20, 1e-12);
    near("no hue", d.d_hue, 0, 0);
}

static void swapping_changes_only_signs(void **state)
{
    (void)state;
    rng r = { 1 };
    worst_reset();
    for (int i = 0; i < 100000; i++) {
        wm_lab a = { rng_between(&r, 0, 100), rng_between(&r, -100, 100), rng_between(&r, -100, 100) };
        wm_lab b = { rng_between(&r, 0, 100), rng_between(&r, -100, 100), rng_between(&r, -100, 100) };
        wm_difference one = wm_difference_between(a, b), two = wm_difference_between(b, a);
        near("dE00", one.de00, two.de00, 1e-12);
        near("dL'", one.d_lightness, -two.d_lightness, 0);
        near("dC'", one.d_chroma, -two.d_chroma, 0);
        near("dH'", one.d_hue, -two.d_hue, 1e-12);
    }
    worst_print("swapped pairs");
}

/* ---- the batch kernel ---- */

enum { MANY = 997 }; /* no multiple of its block */

typedef struct worst {
    double error;
    wm_lab first, second;
} worst;

static void compare(worst *w, wm_lab reference, const wm_lab *many, size_t count)
{
    static double got[MANY], baseline[MANY];
    wm_de00_batch(got, reference, many, count);
    wm_difference__batch_baseline(baseline, reference, many, count);
    assert_memory_equal(got, baseline, count * sizeof *got); /* the same bytes on every processor */
    for (size_t i = 0; i < count; i++) {
        double error = fabs(got[i] - wm_de00(reference, many[i]));
        if (!(error <= w->error))
            *w = (worst){ error, reference, many[i] };
    }
}

static void report(const char *what, const worst *w)
{
    printf("# batch kernel, %s: worst %.3g at (%.17g %.17g %.17g) (%.17g %.17g %.17g)\n", what, w->error, w->first.L,
           w->first.a, w->first.b, w->second.L, w->second.a, w->second.b);
    if (!(w->error <= 1e-9))
        fail_msg("%s: off by %.3g, tolerance 1e-9", what, w->error);
}

static void batch_on_random_pairs(void **state)
{
    (void)state;
    static wm_lab many[MANY];
    rng r = { 2 };
    worst w = { 0 };
    for (int round = 0; round < 1000; round++) { /* near a million pairs, from hair-like to far outside any gamut */
        double reach = round % 3 == 0 ? 160 : round % 3 == 1 ? 60 : 6;
        wm_lab reference = { rng_between(&r, 0, 100), rng_between(&r, -reach, reach), rng_between(&r, -reach, reach) };
        for (size_t i = 0; i < MANY; i++)
            many[i] =
                (wm_lab){ rng_between(&r, 0, 100), rng_between(&r, -reach, reach), rng_between(&r, -reach, reach) };
        compare(&w, reference, many, MANY);
    }
    report("random pairs", &w);
}

/* Differences around a colour, from large to below rounding: cancellation must not eat small distances. */
static void batch_on_close_pairs(void **state)
{
    (void)state;
    static wm_lab many[MANY];
    rng r = { 3 };
    worst w = { 0 };
    for (int round = 0; round < 500; round++) {
        wm_lab reference = { rng_between(&r, 0, 100), rng_between(&r, -60, 60), rng_between(&r, -60, 60) };
        for (size_t i = 0; i < MANY; i++) {
            double size = pow(10, -(double)(i % 14));
            many[i] = (wm_lab){ reference.L + rng_between(&r, -size, size), reference.a + rng_between(&r, -size, size),
                                reference.b + rng_between(&r, -size, size) };
        }
        compare(&w, reference, many, MANY);
    }
    report("close pairs", &w);
}

/* Where the formula jumps: opposed hues, a mean hue of 360 degrees; approached to the last bit. G moves the hues, so
 * the offsets also scan across the true seam. */
static void batch_on_hue_seams(void **state)
{
    (void)state;
    static wm_lab many[MANY];
    rng r = { 4 };
    worst w = { 0 };
    for (int round = 0; round < 1000; round++) {
        double hue_deg = round % 4 == 0 ? 0 : round % 4 == 1 ? 90 * (round / 4 % 4) : rng_between(&r, 0, 360);
        wm_lab reference = at(rng_between(&r, 0, 100), rng_between(&r, 0, 120), hue_deg);
        for (size_t i = 0; i < MANY; i++) {
            double step = (i & 1 ? 1 : -1) * pow(10, -(double)(i / 2 % 17)), chroma = rng_between(&r, 0, 120);
            double seams[] = { hue_deg + 180, -hue_deg, hue_deg, 360 - hue_deg, 0, 90, 180, 270 };
            many[i] = at(rng_between(&r, 0, 100), chroma, seams[i % 8] + step);
            if (i % 5 == 0) /* exactly opposed, whatever G does */
                many[i] = (wm_lab){ reference.L + 1, -reference.a, -reference.b };
            if (i % 5 == 1) /* mean hue exactly 0 or 180 */
                many[i] = (wm_lab){ reference.L + 1, reference.a, -reference.b };
        }
        compare(&w, reference, many, MANY);
    }
    report("hue seams", &w);
}

static void batch_on_neutrals(void **state)
{
    (void)state;
    static wm_lab many[MANY];
    rng r = { 5 };
    worst w = { 0 };
    for (int round = 0; round < 500; round++) {
        double chroma = round % 2 ? 0 : pow(10, -rng_between(&r, 0, 200));
        wm_lab reference = at(rng_between(&r, 0, 100), chroma, rng_between(&r, 0, 360));
        for (size_t i = 0; i < MANY; i++) {
            double other = i % 3 == 0 ? 0 : i % 3 == 1 ? rng_between(&r, 0, 100) : pow(10, -rng_between(&r, 0, 200));
            many[i] = at(i % 7 == 0 ? 0 : rng_between(&r, 0, 100), other, rng_between(&r, 0, 360));
        }
        compare(&w, reference, many, MANY);
    }
    report("neutrals and blacks", &w);
}

/* All integer points of a coarse grid, many of them on seams. */
static void batch_on_a_grid(void **state)
{
    (void)state;
    static wm_lab many[9 * 9 * 9];
    size_t count = 0;
    for (int L = 0; L <= 100; L += 25)
        for (int a = -40; a <= 40; a += 10)
            for (int b = -40; b <= 40; b += 10)
                many[count++] = (wm_lab){ L, a, b };
    worst w = { 0 };
    for (size_t i = 0; i < count; i++)
        compare(&w, many[i], many, count);
    report("grid", &w);
}

/* A pair has one distance wherever it stands in the list (M16). */
static void batch_does_not_depend_on_place_or_count(void **state)
{
    (void)state;
    wm_lab many[40], same = { 35, 8, 17 }, reference = { 33, 7, 15 };
    double out[41];
    for (size_t i = 0; i < 40; i++)
        many[i] = same;
    wm_de00_batch(out, reference, many, 1);
    double one = out[0];
    for (size_t count = 1; count <= 40; count++) {
        out[count] = -1;
        wm_de00_batch(out, reference, many, count);
        for (size_t i = 0; i < count; i++)
            assert_memory_equal(&out[i], &one, sizeof one);
        near("not a value more", out[count], -1, 0);
    }
    wm_de00_batch(NULL, reference, NULL, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(calibration_check_value),
                                        cmocka_unit_test(parts_have_signs),
                                        cmocka_unit_test(parts_make_up_the_whole_of_a_gray_pair),
                                        cmocka_unit_test(swapping_changes_only_signs),
                                        cmocka_unit_test(batch_on_random_pairs),
                                        cmocka_unit_test(batch_on_close_pairs),
                                        cmocka_unit_test(batch_on_hue_seams),
                                        cmocka_unit_test(batch_on_neutrals),
                                        cmocka_unit_test(batch_on_a_grid),
                                        cmocka_unit_test(batch_does_not_depend_on_place_or_count) };
    return cmocka_run_group_tests_name("difference", tests, NULL, NULL);
}
