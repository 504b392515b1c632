/* hair: check values HV1 to HV8 of rules H1 to H6 (tolerance there: 0.002 on features, 0.01 on the score, exact
 * verdicts), and what each rule does beside them. Pictures are made by formulas. */
#include "support/near.h"

#include "measure/hair.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FEATURE 0.002
#define SCORE 0.01

enum { ROWS = 64, COLUMNS = 96, PIXELS = ROWS * COLUMNS };

static const wm_rgb brown = { 0.060, 0.036, 0.020 }, flesh = { 0.48, 0.28, 0.20 };

/* F: fibres along y, of seven levels in a pattern that does not repeat soon. */
static wm_rgb fibre(int x, int y)
{
    return wm_rgb_scale(brown, 0.6 + ((5 * (x / 3) + 3 * (y / 24)) % 7) / 8.0 + 0.1 * ((x + y / 2) % 3));
}

/* S: smooth skin. */
static wm_rgb skin(int x, int y)
{
    return wm_rgb_scale(flesh, 1.0 + 0.004 * (((5 * x + 3 * y) % 7) - 3));
}

/* N: checks of a knit. */
static wm_rgb knit(int x, int y)
{
    return wm_rgb_scale(brown, 0.6 + 0.8 * ((x / 2 + y / 2) % 2));
}

static wm_rgb skin_beside_fibres(int x, int y)
{
    return x < 28 ? skin(x, y) : fibre(x, y);
}

static wm_rgb mirrored(int x, int y)
{
    return skin_beside_fibres(COLUMNS - 1 - x, y);
}

static wm_rgb black_and_white(int x, int y)
{
    const double g = 3.0 * fibre(x, y).g;
    return (wm_rgb){ g, g, g };
}

static wm_rgb blue(int x, int y)
{
    const wm_rgb f = fibre(x, y);
    return wm_rgb_scale((wm_rgb){ f.b, f.g, f.r }, 2.0);
}

typedef wm_rgb painter(int x, int y);

static wm_hair_check judge(wm_window *window)
{
    wm_hair_check hair;
    wm_error err = { 0 };
    if (wm_hair_judge(&hair, window, &err))
        fail_msg("%s", err.text);
    return hair;
}

static wm_window paint(painter *p, int columns, int rows)
{
    wm_rgb *pixels = malloc((size_t)columns * (size_t)rows * sizeof *pixels);
    wm_window window;
    wm_error err = { 0 };
    for (int i = 0; i < columns * rows; i++)
        pixels[i] = p(i % columns, i / columns);
    assert_int_equal(wm_window_from_pixels(&window, pixels, columns, rows, &err), WM_OK);
    free(pixels);
    return window;
}

static wm_hair_check judge_painted(painter *p, int columns, int rows)
{
    wm_window window = paint(p, columns, rows);
    const wm_hair_check hair = judge(&window);
    wm_window_free(&window);
    return hair;
}

/* cut, rel, lo, q12, q23, c1, c2, sc, csd as the page lists them; NAN where it lists none. */
typedef struct expected {
    const char *name;
    painter *paint;
    wm_hair_verdict verdict;
    double score, value[9];
} expected;

static void assert_features(const expected *want, const wm_hair_check *got)
{
    const wm_hair_features *f = &got->features;
    const double values[] = { got->cut_share,    f->relative,         f->low_relative,
                              f->fine_to_middle, f->middle_to_coarse, f->coherence,
                              f->wide_coherence, f->chroma_spread,    f->coherence_sd };
    assert_int_equal(got->verdict, want->verdict);
    near(want->name, got->score, want->score, SCORE);
    for (size_t i = 0; i < 9; i++)
        near(want->name, values[i], want->value[i], FEATURE);
}

/* H2 by its features, H5 by its score. */
static void hv1_to_hv7_features_and_verdicts(void **state)
{
    (void)state;
    static const expected table[] = {
        { "HV1 fibres", fibre, WM_HAIR_YES, 3.221, { 0, .0386, .0367, 1.2515, 1.2411, .7802, .7813, .7787, .1262 } },
        { "HV2 skin", skin, WM_HAIR_NO, -22.574, { 0, .0001, .0001, 1.9024, .0941, .0836, .0003, .0027, .0062 } },
        { "HV3 knit", knit, WM_HAIR_NO, -31.341, { 0, .0135, .0104, 9.3136, 3.4229, .0635, 0, .1494, .0862 } },
        { "HV4 both",
          skin_beside_fibres,
          WM_HAIR_PARTLY,
          3.196,
          { .2982, .0386, .0367, 1.2515, 1.2545, .7902, .7928, .7725, .1255 } },
        { "HV5 mirrored",
          mirrored,
          WM_HAIR_PARTLY,
          3.196,
          { .2982, .0386, .0367, 1.2515, 1.2545, .7902, .7928, .7725, .1255 } },
        { "HV6 gray",
          black_and_white,
          WM_HAIR_NO,
          3.074,
          { 0, .0368, .0350, 1.2766, 1.2740, .7804, .7817, .0007, .1263 } },
        { "HV7 blue", blue, WM_HAIR_DOUBTFUL, -0.642, { 0, .0375, .0357, 1.2656, 1.2596, .7803, .7816, .9041, .1262 } },
    };
    worst_reset();
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        const wm_hair_check hair = judge_painted(table[i].paint, COLUMNS, ROWS);
        assert_features(&table[i], &hair);
        assert_int_equal(*hair.why == '\0', hair.verdict <= WM_HAIR_PARTLY);
    }
    worst_print("HV1 to HV7");
    near("HV7 ex", judge_painted(blue, COLUMNS, ROWS).features.colour_excess, 1.7503, FEATURE);
    assert_non_null(strstr(judge_painted(black_and_white, COLUMNS, ROWS).why, "black-and-white"));
}

static void hv8_too_small(void **state)
{
    (void)state;
    const wm_hair_check hair = judge_painted(fibre, 20, 16);
    assert_int_equal(hair.verdict, WM_HAIR_DOUBTFUL);
    assert_non_null(strstr(hair.why, "small"));
}

/* Which columns were cut as skin, first and last; every row alike. */
static void columns_cut(const wm_window *window, int *first, int *last)
{
    *first = COLUMNS, *last = -1;
    for (int i = 0; i < PIXELS; i++)
        if (window->flags[i] & WM_PX_SKIN) {
            const int x = i % COLUMNS;
            *first = x < *first ? x : *first;
            *last = x > *last ? x : *last;
            assert_true(window->flags[x] & WM_PX_SKIN);
        }
}

static void hv4_hv5_the_cut_is_mirrored_too(void **state)
{
    (void)state;
    int first, last;
    wm_window window = paint(skin_beside_fibres, COLUMNS, ROWS);
    const wm_hair_check hair = judge(&window);
    assert_true(hair.skin_cut);
    assert_false(hair.background_cut);
    columns_cut(&window, &first, &last);
    assert_int_equal(first, 0);
    assert_int_equal(last, 29); /* 30 columns: 28 of skin, and the rest of their block */
    wm_window_free(&window);
    window = paint(mirrored, COLUMNS, ROWS);
    judge(&window);
    columns_cut(&window, &first, &last);
    assert_int_equal(first, COLUMNS - 30);
    assert_int_equal(last, COLUMNS - 1);
    judge(&window); /* a second look cuts the same */
    columns_cut(&window, &first, &last);
    assert_int_equal(first, COLUMNS - 30);
    wm_window_free(&window);
}

static wm_rgb wall_beside_fibres(int x, int y)
{
    return x < 28 ? (wm_rgb){ 0.30, 0.34, 0.36 } : fibre(x, y);
}

static wm_rgb shadow_beside_fibres(int x, int y)
{
    return x < 28 ? wm_rgb_scale(brown, 0.35) : fibre(x, y);
}

static wm_rgb mostly_wall(int x, int y)
{
    return x < 66 ? (wm_rgb){ 0.30, 0.34, 0.36 } : fibre(x, y);
}

static void h3_background_goes_shadow_between_locks_stays(void **state)
{
    (void)state;
    wm_hair_check hair = judge_painted(wall_beside_fibres, COLUMNS, ROWS);
    assert_true(hair.background_cut);
    assert_false(hair.skin_cut);
    near("H3 wall", hair.cut_share, 28.0 / COLUMNS, 4.0 / COLUMNS);
    hair = judge_painted(shadow_beside_fibres, COLUMNS, ROWS);
    near("H3 shadow", hair.cut_share, 0.0, 0.0);
    hair = judge_painted(mostly_wall, COLUMNS, ROWS);
    assert_int_equal(hair.verdict, WM_HAIR_NO);
    assert_non_null(strstr(hair.why, "mostly background"));
}

static int times;

static wm_rgb large_fibres(int x, int y)
{
    return fibre(x / times, y / times);
}

/* H1 halves what is above a megapixel, H4 goes on until fibres are sharp: 2, 4, 8 and 16 times as large is the same.
 * Scores by the reference implementation of the design, in another language, but for its term of stripes (-1.8 here):
 * we ask whether the fibres are ruled, and three times as large this picture is, by 10.5 pixels. */
static void h4_finds_the_scale_of_fibres(void **state)
{
    (void)state;
    for (times = 2; times <= 16; times *= 2)
        near("H4 score", judge_painted(large_fibres, COLUMNS * times, ROWS * times).score, -0.8944 + 1.8, SCORE);
    times = 3;
    const wm_hair_check hair = judge_painted(large_fibres, COLUMNS * times, ROWS * times);
    near("H4 three times", hair.score, 0.8499 + 1.8 - 28 * (0.6359 - 0.45), SCORE);
    assert_int_equal(hair.verdict, WM_HAIR_NO);
}

/* Evenly distributed between -1 and 1, the same each run. */
static double noise(int i)
{
    const unsigned h = ((unsigned)i * 2654435761U) ^ 0x9e3779b9U;
    return (double)((h ^ (h >> 15)) * 2246822519U >> 8) / (double)(1U << 23) - 1.0;
}

/* Ribs of cloth: spacing in pixels, grain, and how far they wander from it. */
static struct {
    double spacing, slant, grain, wander;
} cloth;

static wm_rgb rib(int x, int y)
{
    const double across = x + cloth.slant * y + cloth.wander * sin(x / 9.0);
    return wm_rgb_scale(brown,
                        0.7 + 0.25 * sin(2 * acos(-1) * across / cloth.spacing) + cloth.grain * noise(y * 1000 + x));
}

static wm_hair_check judge_ribs(double spacing, double slant, double grain, double wander)
{
    cloth.spacing = spacing, cloth.slant = slant, cloth.grain = grain, cloth.wander = wander;
    return judge_painted(rib, COLUMNS, ROWS);
}

/* H4, H5: cloth comes back at one spacing, hair at none. Scores: H5 by hand from the features that are named. */
static void h5_ribs_of_cloth_are_refused(void **state)
{
    (void)state;
    wm_hair_check hair = judge_ribs(10, 0.3, 0.2, 0);
    near("H4 even ribs", hair.features.ruled, 0.917, FEATURE);
    near("H5 even ribs: coherence 0.918, 7 off", hair.score, 4.211 - 7, SCORE);
    assert_int_equal(hair.verdict, WM_HAIR_NO);
    hair = judge_ribs(10, 0.3, 0.2, 2);
    near("H4 wandering ribs", hair.features.ruled, 0.5295, FEATURE);
    near("H5 wandering ribs: coherence 0.913, 2.23 off", hair.score, 4.782 - 2.226, SCORE);
    hair = judge_ribs(10, 0.3, 0.45, 1);
    near("H4 grainy ribs", hair.features.ruled, 0.549, FEATURE);
    near("H5 grainy ribs: coherence 0.829, 0.58 of 2.78 off", hair.score, -5.442 - 1.611, SCORE);
    assert_true(judge_ribs(10, 0.3, 0.2, 3).features.ruled < 0.45);
    assert_int_equal(judge_ribs(10, 0.3, 0.2, 3).verdict, WM_HAIR_YES);
}

/* H4: the widest spacing that is sought; a picture of 50 rows is not halved. */
static void h4_ribs_further_apart_than_sixteen_pixels_are_not_sought(void **state)
{
    (void)state;
    cloth.slant = cloth.grain = cloth.wander = 0;
    cloth.spacing = 16;
    near("H4 sixteen", judge_painted(rib, COLUMNS, 50).features.ruled, 0.975, FEATURE);
    cloth.spacing = 18;
    near("H4 eighteen", judge_painted(rib, COLUMNS, 50).features.ruled, 0.601, FEATURE);
    cloth.spacing = 20;
    near("H4 twenty", judge_painted(rib, COLUMNS, 50).features.ruled, 0.039, FEATURE);
}

static double contrast;

static wm_rgb faint_fibre(int x, int y)
{
    return wm_rgb_scale(brown, 1 + contrast * (fibre(x, y).r / brown.r - 1));
}

/* H6: faint fibres are hair where all else speaks for it. */
static void h6_faint_fibres_need_a_clear_score(void **state)
{
    (void)state;
    contrast = 0.24;
    wm_hair_check hair = judge_painted(faint_fibre, COLUMNS, ROWS);
    near("H6 faint", hair.features.relative, 0.0095, FEATURE);
    near("H6 clear score", hair.score, 1.069, SCORE);
    assert_int_equal(hair.verdict, WM_HAIR_YES);
    contrast = 0.23;
    hair = judge_painted(faint_fibre, COLUMNS, ROWS);
    near("H6 less clear", hair.score, 0.976, SCORE);
    assert_int_equal(hair.verdict, WM_HAIR_DOUBTFUL);
    assert_non_null(strstr(hair.why, "smooth"));
}

static wm_rgb grainy_fibre(int x, int y)
{
    return wm_rgb_scale(fibre(x / 2, y / 2), 1.0 + 0.6 * noise(y * 1000 + x));
}

static wm_rgb grainy_wall(int x, int y)
{
    return wm_rgb_scale((wm_rgb){ 0.05, 0.05, 0.06 }, 1.0 + 0.6 * noise(y * 1000 + x));
}

/* H6, our own: grain is as fine as the pixels; hair under it is not refused, and a wall under it is not accepted. */
static void h6_grain_is_no_ground_to_refuse(void **state)
{
    (void)state;
    wm_hair_check hair = judge_painted(grainy_fibre, 2 * COLUMNS, 2 * ROWS);
    printf("# grain on fibres: %s, score %.2f, q12 %.2f\n", wm_hair_verdict_name(hair.verdict), hair.score,
           hair.features.fine_to_middle);
    assert_true(hair.verdict != WM_HAIR_NO);
    hair = judge_painted(grainy_wall, 2 * COLUMNS, 2 * ROWS);
    printf("# grain on a wall: %s, score %.2f, q12 %.2f\n", wm_hair_verdict_name(hair.verdict), hair.score,
           hair.features.fine_to_middle);
    assert_true(hair.verdict >= WM_HAIR_DOUBTFUL);
}

/* Pixels outside the zone say nothing. */
static void only_zone_pixels_count(void **state)
{
    (void)state;
    wm_window window = paint(skin_beside_fibres, COLUMNS, ROWS);
    for (int i = 0; i < PIXELS; i++)
        if (i % COLUMNS < 32)
            window.flags[i] = 0;
    window.zone_pixels = (size_t)(COLUMNS - 32) * ROWS;
    const wm_hair_check hair = judge(&window);
    assert_int_equal(hair.verdict, WM_HAIR_YES);
    near("cut", hair.cut_share, 0.0, 0.0);
    for (int i = 0; i < PIXELS; i++)
        assert_int_equal(window.flags[i], i % COLUMNS < 32 ? 0 : WM_PX_ZONE);
    wm_window_free(&window);
}

static void windows_of_any_size_are_judged(void **state)
{
    (void)state;
    static const int sizes[][2] = { { 1, 1 }, { 2, 1 }, { 1, 9 }, { 3, 3 }, { 7, 2 }, { 1, 3000 }, { 1500, 3 } };
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++)
        assert_true(isfinite(judge_painted(fibre, sizes[i][0], sizes[i][1]).score));
    wm_window window = paint(fibre, COLUMNS, ROWS); /* a shape that holds no pixel of its box */
    memset(window.flags, 0, PIXELS);
    window.zone_pixels = 0;
    assert_int_equal(judge(&window).verdict, WM_HAIR_DOUBTFUL);
    wm_window_free(&window);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(hv1_to_hv7_features_and_verdicts),
                                        cmocka_unit_test(hv8_too_small),
                                        cmocka_unit_test(hv4_hv5_the_cut_is_mirrored_too),
                                        cmocka_unit_test(h3_background_goes_shadow_between_locks_stays),
                                        cmocka_unit_test(h4_finds_the_scale_of_fibres),
                                        cmocka_unit_test(h5_ribs_of_cloth_are_refused),
                                        cmocka_unit_test(h4_ribs_further_apart_than_sixteen_pixels_are_not_sought),
                                        cmocka_unit_test(h6_faint_fibres_need_a_clear_score),
                                        cmocka_unit_test(h6_grain_is_no_ground_to_refuse),
                                        cmocka_unit_test(only_zone_pixels_count),
                                        cmocka_unit_test(windows_of_any_size_are_judged) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
