/* gray: check values GV1 to GV24 of the gray-share rules (tolerance there: 0.002 on shares and sd, 0.1 on Lab),
 * statuses, the picture. G5's weights and G8's level are our own (the rule book says why): the values that hang on them
 * come from a second implementation in Python, those that don't are the design's. */
#include "support/near.h"

#include "colour/difference.h"
#include "measure/gray.h"
#include "measure/sample.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SHARE 0.002
#define LAB 0.1

static const wm_rgb B = { 0.040, 0.028, 0.022 }, G = { 0.32, 0.30, 0.25 }, D = { 0.16, 0.105, 0.06 },
                    H = { 0.30, 0.19, 0.07 }, K = { 0.32, 0.27, 0.20 };

enum { N = 10000, SIDE = 128 };

static double ramp(int i)
{
    return 0.7 + 0.6 * ((i / 100) % 100) / 99.0;
}

/* Pixel i is `light` if (37 i) mod 100 < percent, else `dark`, times the ramp. */
static void mix(wm_rgb *pixels, wm_rgb dark, wm_rgb light, int percent)
{
    for (int i = 0; i < N; i++)
        pixels[i] = wm_rgb_scale((37 * i) % 100 < percent ? light : dark, ramp(i));
}

static wm_gray measure(const wm_gray_input *input)
{
    wm_gray result;
    wm_error err = { 0 };
    if (wm_gray_measure(&result, input, &err))
        fail_msg("%s", err.text);
    return result;
}

static wm_gray measure_mix(wm_rgb dark, wm_rgb light, int percent)
{
    static wm_rgb pixels[N];
    mix(pixels, dark, light, percent);
    return measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &dark });
}

static void near_lab(const char *name, wm_rgb got, wm_lab want)
{
    wm_lab lab = wm_rgb_to_lab(got);
    near(name, lab.L, want.L, LAB);
    near(name, lab.a, want.a, LAB);
    near(name, lab.b, want.b, LAB);
}

static double index_of(wm_rgb c)
{
    return (c.r - c.b) / wm_rgb_luminance(c);
}

static void gv1_constants(void **state)
{
    (void)state;
    near("GV1 Y(B)", wm_rgb_luminance(B), 0.030306, 5e-7);
    near("GV1 rho(B)", index_of(B), 0.59393, 5e-6);
    near("GV1 Y(G)", wm_rgb_luminance(G), 0.301419, 5e-7);
    near("GV1 rho(G)", index_of(G), 0.23223, 5e-6);
    near("GV1 Y(G0c)", wm_rgb_luminance(wm_lab_to_rgb((wm_lab){ 60.0, 0.5, 7.5 })), 0.28123, 5e-6);
}

/* G7: the share and its sd. */
static void gv2_share_without_ramp(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    for (int i = 0; i < N; i++)
        pixels[i] = (37 * i) % 100 < 30 ? G : B;
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &B });
    near("GV2 sL", g.mixture_share, 0.3000, SHARE);
    near("GV2 s", g.share, 0.3000, SHARE);
    near("GV2 sd", g.u_share, 0.0333, SHARE);
    near("GV2 R", g.contrast, 9.673, 0.002);
    near("GV2 rho(g)", g.index_rest, 0.2307, SHARE);
    near("GV2 B", g.mixture.base_y, 0.03077, 0.00002);
    near("GV2 G", g.mixture.gray_y, 0.29761, 0.00002);
    near("GV2 rho", g.mixture.togetherness, 0.999, 1e-9); /* no pixel holds both: the most there is */
    near("GV2 W0", g.mixture.pure_base, 0.700, SHARE);
    near("GV2 W1", g.mixture.pure_gray, 0.300, SHARE);
    near("GV2 m r", g.body.r, 0.1240, 0.00005);
    near("GV2 m g", g.body.g, 0.1096, 0.00005);
    near("GV2 m b", g.body.b, 0.0904, 0.00005);
    near_lab("GV2 base", g.base, (wm_lab){ 20.35, 3.75, 5.49 });
    near_lab("GV2 gray", g.gray, (wm_lab){ 61.70, 0.08, 6.95 });
    near("GV2 closure", g.closure_de00, 0.10, LAB);
    assert_int_equal(g.status, WM_GRAY_MEASURED);
    assert_int_equal(g.base_status, WM_POPULATION_MEASURED);
    assert_int_equal(g.gray_status, WM_POPULATION_MEASURED);
    assert_int_equal(g.kept, N);
}

static void assert_gv3(const char *name, const wm_gray *g)
{
    near(name, g->share, 0.3000, SHARE);
    near(name, g->u_share, 0.0332, SHARE);
    near(name, g->contrast, 9.914, 0.002);
    near(name, g->mixture.base_y, 0.02990, 0.00002);
    near(name, g->mixture.gray_y, 0.29645, 0.00002);
    near(name, g->mixture.pure_gray, 0.3000, SHARE);
    near_lab(name, g->gray, (wm_lab){ 61.82, 0.13, 7.00 });
    assert_int_equal(g->status, WM_GRAY_MEASURED);
}

static void gv3_share_with_ramp(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, G, 30);
    assert_gv3("GV3", &g);
    near("GV3 gaps", g.gap_share, 0.0, 0.0);
}

static void gv4_no_gray(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, G, 0);
    near("GV4 s", g.share, 0.0, SHARE);
    near("GV4 sd", g.u_share, 0.0368, SHARE);
    near("GV4 R", g.contrast, 9.411, 0.002);
    near("GV4 rho", g.mixture.togetherness, 0.04, 1e-9); /* the least */
    near("GV4 W0", g.mixture.pure_base, 1.0, SHARE);
    assert_int_equal(g.status, WM_GRAY_NONE_SEEN);
    assert_int_equal(g.gray_status, WM_POPULATION_NONE);
}

static void gv5_blind(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    mix(pixels, B, G, 30);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N });
    near("GV5 s", g.share, 0.3000, SHARE);
    near("GV5 sd", g.u_share, 0.0381, SHARE);
    near("GV5 R", g.contrast, 9.950, 0.002);
    near("GV5 B", g.mixture.base_y, 0.02979, 0.00002);
    assert_int_equal(g.status, WM_GRAY_MEASURED);
    assert_int_equal(g.base_status, WM_POPULATION_MEASURED);
    assert_true(g.blind);
    assert_false(g.reference_refused);
}

/* G10: the gray of a swatch in place of the prior. */
static void gv6_gray_swatch(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    mix(pixels, B, G, 30);
    wm_rgb swatch = wm_rgb_scale(G, 1.0 / 0.75);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &B, .gray_swatch = &swatch });
    near("GV6 s", g.share, 0.3000, SHARE);
    near("GV6 sd", g.u_share, 0.0332, SHARE);
    near("GV6 R", g.contrast, 9.937, 0.002);
    near("GV6 G", g.mixture.gray_y, 0.29716, 0.00002);
}

static void gv7_gaps_change_nothing(void **state)
{
    (void)state;
    static wm_rgb pixels[N + 2500];
    mix(pixels, B, G, 30);
    for (int i = N; i < N + 2500; i++)
        pixels[i] = wm_rgb_scale(B, 0.05);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N + 2500, .reference = &B });
    near("GV7 gap fraction", g.gap_share, 0.2000, 1e-9);
    assert_int_equal(g.kept, N);
    assert_gv3("GV7", &g);
}

static void gv8_bleached_fibres_are_not_gray(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, H, 30);
    near("GV8 sL", g.mixture_share, 0.3000, SHARE);
    near("GV8 s", g.share, 0.0, SHARE);
    near("GV8 rho(g)", g.index_rest, 1.1077, SHARE);
    near("GV8 sd", g.u_share, 0.0369, SHARE);
    near("GV8 R", g.contrast, 6.855, 0.002);
    assert_int_equal(g.status, WM_GRAY_NONE_SEEN);
    assert_true(g.bleached);
}

static void gv9_dark_blond(void **state)
{
    (void)state;
    wm_gray g = measure_mix(D, G, 30);
    near("GV9 s", g.share, 0.2992, SHARE);
    near("GV9 sd", g.u_share, 0.0833, SHARE);
    near("GV9 R", g.contrast, 2.623, 0.002);
    near("GV9 W1", g.mixture.pure_gray, 0.2992, SHARE);
    near_lab("GV9 base", g.base, (wm_lab){ 40.07, 5.96, 15.81 });
    assert_int_equal(g.status, WM_GRAY_MEASURED);
}

static void even_mixture(wm_rgb *pixels)
{
    wm_rgb half = wm_rgb_scale(wm_rgb_add(B, G), 0.5);
    for (int i = 0; i < N; i++)
        pixels[i] = wm_rgb_scale(half, ramp(i));
}

static void gv10_base_never_seen(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    even_mixture(pixels);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &B });
    near("GV10 s", g.share, 0.7881, SHARE); /* GV10, GV11: by a second implementation */
    near("GV10 sd", g.u_share, 0.1572, SHARE);
    near("GV10 R", g.contrast, 6.626, 0.02);
    near("GV10 W0", g.mixture.pure_base, 0.0, SHARE);
    near("GV10 W1", g.mixture.pure_gray, 0.4797, 2 * SHARE);
    assert_true(g.base_never_seen);
    assert_int_equal(g.base_status, WM_POPULATION_ASSUMED);
}

static void gv11_blind_even_mixture_is_not_resolved(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    even_mixture(pixels);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N });
    near("GV11 sL", g.mixture_share, 0.4834, SHARE);
    near("GV11 sd", g.u_share, 0.4066, SHARE);
    near("GV11 R", g.contrast, 1.391, 0.002);
    assert_int_equal(g.status, WM_GRAY_NOT_RESOLVED);
    assert_int_equal(g.base_status, WM_POPULATION_UNKNOWN);
    assert_int_equal(g.gray_status, WM_POPULATION_UNKNOWN);
}

static wm_gray measure_picture(const wm_rgb *picture)
{
    wm_window window;
    wm_cleaning cleaning;
    wm_error err = { 0 };
    wm_kept_pixels kept;
    assert_int_equal(wm_window_from_pixels(&window, picture, SIDE, SIDE, &err), WM_OK);
    assert_int_equal(wm_window_clean(&window, &cleaning, &err), WM_OK);
    assert_int_equal(wm_window_kept(&kept, &window, &err), WM_OK);
    wm_gray g = measure(&(wm_gray_input){ .pixels = kept.pixels, .count = kept.count, .reference = &B });
    free(kept.pixels);
    wm_window_free(&window);
    return g;
}

static void stripes(wm_rgb *picture)
{
    for (int i = 0; i < SIDE * SIDE; i++)
        picture[i] = (i % SIDE / 4) % 4 == 3 ? G : B;
}

static void gv12_picture_with_sheen(void **state)
{
    (void)state;
    static wm_rgb picture[SIDE * SIDE];
    stripes(picture);
    for (int i = 52 * SIDE; i < 76 * SIDE; i++)
        picture[i] = wm_rgb_add(picture[i], (wm_rgb){ 0.15, 0.15, 0.15 });
    wm_gray g = measure_picture(picture);
    near("GV12 s", g.share, 0.2495, SHARE);
    near("GV12 sd", g.u_share, 0.0338, SHARE);
    near("GV12 R", g.contrast, 9.670, 0.002);
}

static void gv14_area_share(void **state)
{
    (void)state;
    near("GV14", wm_gray_area_share(0.30, 1.2), 0.3396, 0.00005);
    near("equal widths", wm_gray_area_share(0.42, 1.0), 0.42, 1e-15);
    near("all gray", wm_gray_area_share(1.0, 1.2), 1.0, 1e-15);
}

static void gv15_reference_colour(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    wm_rgb reference;
    wm_error err = { 0 };
    mix(pixels, B, G, 6);
    assert_int_equal(wm_gray_reference(&reference, pixels, N, &err), WM_OK);
    near("GV15 r", reference.r, 0.03787, 0.000005);
    near("GV15 g", reference.g, 0.02651, 0.000005);
    near("GV15 b", reference.b, 0.02083, 0.000005);
    near("GV15 Y", wm_rgb_luminance(reference), 0.02869, 0.000005);
    assert_int_equal(wm_gray_reference(&reference, pixels, 0, &err), WM_E_INPUT);
    wm_rgb two[2] = { { 0.01, 0.01, 0.01 }, { 1.0, 1.0, 1.0 } }; /* the median lies far above the dark one */
    assert_int_equal(wm_gray_reference(&reference, two, 2, &err), WM_OK);
    near("two pixels", reference.g, 0.011, 1e-12);
}

static void gv16_yellowed_gray(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, K, 30);
    near("GV16 s", g.share, 0.3000, SHARE);
    near("GV16 rho(g)", g.index_rest, 0.4339, SHARE);
    near("GV16 R", g.contrast, 9.121, 0.002);
    near_lab("GV16 gray", g.gray, (wm_lab){ 59.66, 1.99, 11.13 });
    assert_int_equal(g.status, WM_GRAY_MEASURED);
}

static void gv18_ten_percent(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, G, 10);
    near("GV18 s", g.share, 0.1000, SHARE);
    near("GV18 sd", g.u_share, 0.0351, SHARE);
    near("GV18 R", g.contrast, 9.902, 0.002);
    assert_int_equal(g.status, WM_GRAY_MEASURED);
}

/* G5: little gray in the ramp's light: both spreads are held at their least, each as its weight says. By the second
 * implementation. */
static void g5_spread_of_little_gray(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, G, 5);
    near("5 % s", g.share, 0.0500, SHARE);
    near("5 % R", g.contrast, 9.880, 0.002);
    near("5 % base's spread", g.mixture.base_spread, 0.1745, 0.0003);
    near("5 % gray's spread", g.mixture.gray_spread, 0.1521, 0.0003);
}

/* ---- G9: statuses
 * ---------------------------------------------------------------------------------------------------------- */

static void g9_few_pixels_are_not_measured(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    mix(pixels, B, G, 30);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = 999, .reference = &B });
    assert_int_equal(g.status, WM_GRAY_NOT_MEASURED);
    assert_int_equal(g.base_status, WM_POPULATION_UNKNOWN);
    g = measure(&(wm_gray_input){ .pixels = pixels, .count = 1000, .reference = &B });
    assert_int_equal(g.status, WM_GRAY_MEASURED);
    g = measure(&(wm_gray_input){ .pixels = pixels, .count = 1000, .zone_pixels = 10001, .reference = &B });
    assert_int_equal(g.status, WM_GRAY_NOT_MEASURED);
    g = measure(&(wm_gray_input){ .pixels = pixels, .count = 1000, .zone_pixels = 10000, .reference = &B });
    assert_int_equal(g.status, WM_GRAY_MEASURED);
    g = measure(&(wm_gray_input){ .pixels = pixels, .count = 1, .reference = &B });
    near("one pixel's sd", g.body_sd.L, 0.0, 0.0);
    wm_error err = { 0 };
    assert_int_equal(wm_gray_measure(&g, &(wm_gray_input){ .pixels = pixels, .count = 0 }, &err), WM_E_INPUT);
}

static void g9_sheen_everywhere_is_not_resolved(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    mix(pixels, B, G, 30);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &B, .sheen_everywhere = true });
    assert_int_equal(g.status, WM_GRAY_NOT_RESOLVED);
    assert_int_equal(g.gray_status, WM_POPULATION_UNKNOWN);
}

static void g9_light_base_has_no_contrast(void **state)
{
    (void)state;
    wm_rgb light = { 0.30, 0.22, 0.12 };
    wm_gray g = measure_mix(light, G, 30);
    assert_int_equal(g.status, WM_GRAY_NOT_RESOLVED);
}

static void g9_little_gray_is_low(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, G, 5);
    near("5 %", g.share, 0.05, 0.01);
    assert_int_equal(g.status, WM_GRAY_LOW);
}

static void g9_interval_is_rounded_to_five_percent(void **state)
{
    (void)state;
    double low, high;
    wm_gray_interval(0.31, 0.05, &low, &high);
    near("low", low, 0.25, 1e-12);   /* 0.2275 */
    near("high", high, 0.40, 1e-12); /* 0.3925 */
    wm_gray_interval(0.02, 0.04, &low, &high);
    near("clipped low", low, 0.0, 0.0);
    wm_gray_interval(0.98, 0.04, &low, &high);
    near("clipped high", high, 1.0, 0.0);
}

static void statuses_have_the_words_of_the_json(void **state)
{
    (void)state;
    static const char *const words[] = { "not measured", "not resolved", "all over", "none seen", "low", "measured" };
    for (int i = 0; i < 6; i++)
        assert_string_equal(wm_gray_status_name((wm_gray_status)i), words[i]);
}

/* ---- our own limits
 * -------------------------------------------------------------------------------------------------------- */

/* A lighter length as reference of a dark root: the root's colour must not come from its few bright pixels. */
static void lighter_reference_is_refused(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    mix(pixels, B, G, 5);
    wm_gray blind = measure(&(wm_gray_input){ .pixels = pixels, .count = N });
    wm_rgb lighter = wm_rgb_scale(B, 8.0);
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &lighter });
    assert_true(g.reference_refused && g.blind);
    near("body as blind", wm_de00(wm_rgb_to_lab(g.body), wm_rgb_to_lab(blind.body)), 0.0, 1e-12);
    near("share as blind", g.share, blind.share, 1e-12);
}

static void never_a_nan(void **state)
{
    (void)state;
    static const wm_rgb colours[] = { { 0, 0, 0 }, { 1, 1, 1 }, { -0.1, 0.02, -0.3 }, { 1e-9, 0, 0 },
                                      { 0, 0, 3 }, { 5, 5, 5 }, { 0.3, -0.05, 0.01 } };
    enum { COUNT = sizeof colours / sizeof colours[0] };
    static wm_rgb pixels[2000];
    for (int a = 0; a < COUNT; a++)
        for (int b = 0; b < COUNT; b++)
            for (int way = 0; way < 4; way++) {
                for (int i = 0; i < 2000; i++)
                    pixels[i] = colours[i % 3 ? a : b];
                wm_gray_input input = { .pixels = pixels,
                                        .count = 2000,
                                        .reference = way & 1 ? &colours[b] : NULL,
                                        .gray_swatch = way & 2 ? &G : NULL };
                wm_gray g = measure(&input);
                double all[] = { g.body.r,      g.body.g, g.body.b,  g.body_sd.L, g.body_sd.a,  g.body_sd.b,
                                 g.gap_below_y, g.share,  g.u_share, g.contrast,  g.index_rest, g.base.r,
                                 g.base.g,      g.base.b, g.gray.r,  g.gray.g,    g.gray.b,     g.closure_de00 };
                for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
                    assert_true(isfinite(all[i]));
            }
    pixels[7].g = NAN;
    wm_gray g;
    wm_error err = { 0 };
    assert_int_equal(wm_gray_measure(&g, &(wm_gray_input){ .pixels = pixels, .count = 2000 }, &err), WM_E_BUG);
    assert_int_equal(
        wm_gray_measure(&g, &(wm_gray_input){ .pixels = pixels + 8, .count = 9, .gray_swatch = &colours[0] }, &err),
        WM_E_USAGE);
}

/* Above 250 000 pixels every second one is measured; the count stays the whole. */
static void many_pixels_are_halved(void **state)
{
    (void)state;
    enum { MANY = 300001 };
    wm_rgb *pixels = malloc(MANY * sizeof *pixels);
    assert_non_null(pixels);
    for (int i = 0; i < MANY; i++)
        pixels[i] = i % 2 ? (wm_rgb){ 9.0, 9.0, 9.0 } : wm_rgb_scale((37 * (i / 2)) % 100 < 30 ? G : B, ramp(i / 2));
    wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = MANY, .reference = &B });
    near("every second pixel", g.share, 0.2992, SHARE);
    assert_int_equal(g.kept, MANY);
    free(pixels);
}

/* ---- the picture
 * ----------------------------------------------------------------------------------------------------------- */

static uint32_t random_step(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

/* Columns of fibres of the given width, a share of them gray, each with its own light, seen through a small blur. */
static void draw_hair(wm_rgb *picture, double width, double share, uint32_t seed)
{
    enum { FINE = 8 };
    static double gray_part[SIDE * FINE], light[SIDE * FINE];
    double next = 0.0, g = 0.0, k = 1.0;
    for (int i = 0; i < SIDE * FINE; i++) {
        if (i >= next * FINE) {
            next += width;
            g = random_step(&seed) % 1000 < 1000.0 * share;
            k = 0.85 + 0.3 * (random_step(&seed) % 1000) / 1000.0;
        }
        gray_part[i] = g;
        light[i] = k;
    }
    for (int y = 0; y < SIDE; y++)
        for (int x = 0; x < SIDE; x++) {
            wm_rgb sum = { 0.0, 0.0, 0.0 };
            for (int i = 0; i < FINE; i++)
                sum = wm_rgb_add(sum, wm_rgb_scale(gray_part[x * FINE + i] > 0.5 ? G : B, light[x * FINE + i] / FINE));
            picture[y * SIDE + x] = sum;
        }
}

static void picture_agrees_with_the_share(void **state)
{
    (void)state;
    static wm_rgb picture[SIDE * SIDE];
    static unsigned char classes[SIDE * SIDE];
    static const double widths[] = { 0.6, 1.2, 2.5 }, shares[] = { 0.15, 0.4, 0.7 };
    worst_reset();
    for (int w = 0; w < 3; w++)
        for (int s = 0; s < 3; s++) {
            wm_window window;
            wm_error err = { 0 };
            draw_hair(picture, widths[w], shares[s], (uint32_t)(7 + w * 3 + s));
            assert_int_equal(wm_window_from_pixels(&window, picture, SIDE, SIDE, &err), WM_OK);
            wm_gray g = measure(&(wm_gray_input){ .pixels = picture, .count = SIDE * SIDE, .reference = &B });
            wm_gray_classify(&window, &g, classes);
            double count[8] = { 0 };
            for (int i = 0; i < SIDE * SIDE; i++)
                count[classes[i]]++;
            double hair = count[WM_CLASS_BASE] + count[WM_CLASS_MIXED] + count[WM_CLASS_GRAY];
            char name[80];
            snprintf(name, sizeof name, "width %.1f share %.2f", widths[w], shares[s]);
            if (g.status == WM_GRAY_MEASURED)
                near(name, (count[WM_CLASS_GRAY] + 0.5 * count[WM_CLASS_MIXED]) / hair, g.share, 0.10);
            wm_window_free(&window);
        }
    worst_print("picture against share");
}

static void picture_shows_what_was_dropped(void **state)
{
    (void)state;
    static wm_rgb picture[SIDE * SIDE];
    static unsigned char classes[SIDE * SIDE];
    wm_window window;
    wm_error err = { 0 };
    stripes(picture);
    picture[6] = (wm_rgb){ 0.001, 0.001, 0.001 };
    assert_int_equal(wm_window_from_pixels(&window, picture, SIDE, SIDE, &err), WM_OK);
    static const unsigned char flags[] = { 0,
                                           WM_PX_ZONE | WM_PX_CLIPPED | WM_PX_SKIN,
                                           WM_PX_ZONE | WM_PX_SKIN,
                                           WM_PX_ZONE | WM_PX_SHEEN,
                                           WM_PX_ZONE | WM_PX_SHADOW,
                                           WM_PX_ZONE | WM_PX_EXTREME };
    static const unsigned char want[] = { WM_CLASS_OUTSIDE, WM_CLASS_CLIPPED, WM_CLASS_SKIN, WM_CLASS_SHEEN,
                                          WM_CLASS_GAP,     WM_CLASS_BASE,    WM_CLASS_GAP };
    memcpy(window.flags, flags, sizeof flags);
    wm_gray g = measure(&(wm_gray_input){ .pixels = picture, .count = SIDE * SIDE, .reference = &B });
    wm_gray_classify(&window, &g, classes);
    assert_memory_equal(classes, want, sizeof want);
    assert_int_equal(classes[12], WM_CLASS_GRAY);
    g.status = WM_GRAY_NOT_RESOLVED; /* no gray is claimed: all hair is base */
    wm_gray_classify(&window, &g, classes);
    assert_int_equal(classes[12], WM_CLASS_BASE);
    wm_window_free(&window);
}

/* ---- G4, G7a, G9: gray against light
 * ---------------------------------------------------------------------------------------- */

enum { THIRDS_SIDE = 96 };

/* Light that falls off down the zone. */
static wm_rgb lit(wm_rgb colour, int y)
{
    return wm_rgb_scale(colour, 1.0 - 0.5 * y / 95.0);
}

static wm_rgb gray_along_fibres(int x, int y)
{
    return lit(x % 10 < 3 ? G : B, y);
}

static wm_rgb sheen_in_a_band(int x, int y)
{
    return lit(x % 10 < 6 && y < 40 ? G : B, y);
}

/* turn: 0 as it is, 1 mirrored, 2 upside down */
static wm_gray_light light_on(wm_rgb (*paint)(int x, int y), int turn)
{
    static wm_rgb pixels[THIRDS_SIDE * THIRDS_SIDE];
    wm_hair_light lit;
    wm_gray_light light;
    wm_window window;
    /* bright: Y above 0.071682 = 0.75 sqrt(Y(B) Y(G)) */
    const wm_gray gray = { .mixture = { .base_y = 0.75 * 0.030306, .gray_y = 0.75 * 0.301419 } };
    for (int y = 0; y < THIRDS_SIDE; y++)
        for (int x = 0; x < THIRDS_SIDE; x++)
            pixels[y * THIRDS_SIDE + x] = paint(turn == 1 ? 95 - x : x, turn == 2 ? 95 - y : y);
    assert_int_equal(wm_window_from_pixels(&window, pixels, THIRDS_SIDE, THIRDS_SIDE, NULL), WM_OK);
    lit = wm_hair_light_of(&window);
    assert_int_equal(wm_hair_light_cells(&lit, &window, 0.0, NULL), WM_OK);
    light = wm_gray_light_of(&gray, &lit);
    wm_hair_light_free(&lit);
    wm_window_free(&window);
    return light;
}

static void gv20_gv21_thirds(void **state)
{
    (void)state;
    for (int turn = 0; turn < 3; turn++) {
        wm_gray_light light = light_on(gray_along_fibres, turn);
        assert_true(light.thirds.known);
        near("GV20 nd", light.thirds.dark, 0.3167, 0.0005);
        near("GV20 nh", light.thirds.light, 0.3167, 0.0005);
        near("GV20 V", light.thirds.spread, 0.2203, 0.0005);
        near("GV20 Q", light.thirds.within, 0.9402, 0.0005);
        near("GV20 rho", light.dark_index, 0.5939, 0.0005);
        light = light_on(sheen_in_a_band, turn);
        near("GV21 nd", light.thirds.dark, 0.0, 0.0005);
        near("GV21 nh", light.thirds.light, 0.6333, 0.0005);
        near("GV21 V", light.thirds.spread, 0.2283, 0.0005);
        near("GV21 Q", light.thirds.within, 0.4051, 0.0005);
        near("GV21 rho", light.dark_index, 0.5939, 0.0005);
    }
}

typedef struct settled {
    wm_gray_status before;
    double index_rest, hue_apart, contrast;
    wm_gray_light light;
    wm_gray_status after;
} settled;

/* dark, light, spread, within; index and warmth of the dark quarter; lightness */
#define LIGHT(dark, light, spread, within, index, warmer, lightness)                                                   \
    {                                                                                                                  \
        { true, dark, light, spread, within }, index, warmer, lightness                                                \
    }

/* GV24, and each limit of G9 from both sides. */
static void gv24_statuses_by_light(void **state)
{
    (void)state;
    const wm_gray_status measured = WM_GRAY_MEASURED, unresolved = WM_GRAY_NOT_RESOLVED, all_over = WM_GRAY_ALL_OVER,
                         low = WM_GRAY_LOW;
    const settled table[] = {
        { measured, .3, .3, 5, LIGHT(.30, .32, .2, .8, .6, .4, 40), measured }, /* GV24 */
        { measured, .3, .3, 5, LIGHT(.05, .60, .2, .8, .6, .4, 40), unresolved },
        { unresolved, .3, .3, 5, LIGHT(.5, .9, .3, .8, .15, .1, 70), all_over },
        { measured, .3, .3, 5, { { false, 0, 0, 0, 0 }, .6, .4, 40 }, unresolved }, /* no thirds */
        { measured, .3, .3, 5, LIGHT(.37, 1, .2, .8, .6, .4, 40), measured },       /* nd against nh */
        { measured, .3, .3, 5, LIGHT(.35, 1, .2, .8, .6, .4, 40), unresolved },
        { measured, .3, .3, 5, LIGHT(.5, .9, .3, .56, .5, .4, 40), measured }, /* side by side */
        { measured, .3, .3, 5, LIGHT(.5, .9, .3, .54, .5, .4, 40), unresolved },
        { measured, .365, -.2, 5, LIGHT(.5, .9, .3, .8, .5, .4, 40), measured }, /* the colour of gray */
        { measured, .375, -.2, 5, LIGHT(.5, .9, .3, .8, .5, .4, 40), unresolved },
        { measured, .605, .4, 5, LIGHT(.5, .9, .3, .8, .5, .4, 40), measured },
        { measured, .615, .4, 5, LIGHT(.5, .9, .3, .8, .5, .4, 40), unresolved },
        { measured, .3, .095, 3.1, LIGHT(.5, .9, .3, .8, .5, .4, 40), measured }, /* more than shade makes */
        { measured, .3, .095, 2.9, LIGHT(.5, .9, .3, .8, .5, .4, 40), unresolved },
        { measured, .3, .105, 2.9, LIGHT(.5, .9, .3, .8, .5, .4, 40), measured },
        { low, .3, .3, 5, LIGHT(.1, .2, .64, .8, .41, .155, 48.5), all_over }, /* pale all over */
        { low, .3, .3, 5, LIGHT(.1, .2, .66, .8, .41, .155, 48.5), low },
        { low, .3, .3, 5, LIGHT(.1, .2, .64, .8, .43, .155, 48.5), low },
        { low, .3, .3, 5, LIGHT(.1, .2, .64, .8, .41, .165, 48.5), low },
        { low, .3, .3, 5, LIGHT(.1, .2, .64, .8, .41, .155, 47.5), low },
        { WM_GRAY_NONE_SEEN, .3, .3, 5, { { false, 0, 0, 0, 0 }, .1, .1, 60 }, all_over },
        { WM_GRAY_NOT_MEASURED, .3, .3, 5, LIGHT(.1, .2, .3, .8, .1, .1, 60), WM_GRAY_NOT_MEASURED },
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        const settled *t = &table[i];
        const wm_gray gray = {
            .status = t->before, .index_rest = t->index_rest, .hue_apart = t->hue_apart, .contrast = t->contrast
        };
        if (wm_gray_settled_status(&gray, &t->light) != t->after)
            fail_msg("row %zu: %s", i, wm_gray_status_name(wm_gray_settled_status(&gray, &t->light)));
    }
}

/* G9: light hair with dark gaps between its locks holds no gray: the gaps have its own hue. Blond and what a third of
 * its light leaves of it, and the same blond among fibres of base. */
static void g9_shade_between_light_locks_is_no_base(void **state)
{
    (void)state;
    static wm_rgb pixels[THIRDS_SIDE * THIRDS_SIDE];
    const wm_rgb blond = { 0.36, 0.29, 0.20 }, shade = wm_rgb_scale(blond, 0.2);
    for (int gray_hair = 0; gray_hair < 2; gray_hair++) {
        wm_hair_light lit;
        wm_window window;
        for (int i = 0; i < THIRDS_SIDE * THIRDS_SIDE; i++) {
            const bool dark = i % 10 < 4;
            pixels[i] = gray_hair ? (dark ? B : G) : dark ? shade : blond;
        }
        assert_int_equal(wm_window_from_pixels(&window, pixels, THIRDS_SIDE, THIRDS_SIDE, NULL), WM_OK);
        lit = wm_hair_light_of(&window);
        assert_int_equal(wm_hair_light_cells(&lit, &window, 0.0, NULL), WM_OK);
        wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = THIRDS_SIDE * THIRDS_SIDE });
        const wm_gray_light light = wm_gray_light_of(&g, &lit);
        assert_int_equal(g.status, WM_GRAY_MEASURED);
        near("hue apart", g.hue_apart, gray_hair ? log(0.040 / 0.022) - log(0.32 / 0.25) : 0.0, 0.01);
        wm_gray_settle(&g, &light);
        assert_int_equal(g.status, gray_hair ? WM_GRAY_MEASURED : WM_GRAY_NOT_RESOLVED);
        wm_hair_light_free(&lit);
        wm_window_free(&window);
    }
}

/* G9: how much is gray of fibres that are lighter and partly coloured can't be told. */
static void g9_lighter_fibres_give_no_number(void **state)
{
    (void)state;
    const wm_gray_light even = LIGHT(.5, .9, .3, .8, .5, .4, 40);
    wm_gray g = { .status = WM_GRAY_MEASURED, .index_rest = .3, .hue_apart = .3, .contrast = 5 };
    assert_int_equal(wm_gray_settled_status(&g, &even), WM_GRAY_MEASURED);
    g.bleached = true;
    assert_int_equal(wm_gray_settled_status(&g, &even), WM_GRAY_NOT_RESOLVED);
    g.status = WM_GRAY_NONE_SEEN; /* as little can it be said that there is none */
    assert_int_equal(wm_gray_settled_status(&g, &even), WM_GRAY_NOT_RESOLVED);
    g.status = WM_GRAY_NOT_MEASURED;
    assert_int_equal(wm_gray_settled_status(&g, &even), WM_GRAY_NOT_MEASURED);
}

/* What is no longer resolved is no longer said. */
static void g9_settling_takes_back(void **state)
{
    (void)state;
    wm_gray g = measure_mix(B, G, 30);
    const wm_gray_light in_a_band = LIGHT(.05, .60, .2, .8, .6, .4, 40);
    wm_gray_settle(&g, &in_a_band);
    assert_int_equal(g.status, WM_GRAY_NOT_RESOLVED);
    assert_int_equal(g.gray_status, WM_POPULATION_UNKNOWN);
    assert_int_equal(g.base_status, WM_POPULATION_MEASURED); /* the reference tells */
}

static void g4_reference_in_another_light(void **state)
{
    (void)state;
    const wm_gray_light plain = LIGHT(.30, .32, .2, .8, .6, .4, 40), gray_shows = LIGHT(.56, .9, .59, .56, .6, .4, 40),
                        uneven = LIGHT(.56, .9, .61, .56, .6, .4, 40);
    const double y = wm_rgb_luminance(B);
    wm_gray blind = { .dark_y = 1.55 * y };
    near("same light", wm_gray_reference_for(B, &blind, &plain).r, B.r, 0.0);
    blind.dark_y = 1.65 * y;
    near("lighter", wm_gray_reference_for(B, &blind, &plain).r, 1.65 * B.r, 1e-12);
    near("lighter by gray", wm_gray_reference_for(B, &blind, &gray_shows).r, B.r, 0.0);
    near("or in uneven light", wm_gray_reference_for(B, &blind, &uneven).r, 1.65 * B.r, 1e-12);
    blind.dark_y = y / 1.65;
    near("darker", wm_gray_reference_for(B, &blind, &plain).b, B.b / 1.65, 1e-12);
    blind.dark_y = y / 1.55;
    near("little darker", wm_gray_reference_for(B, &blind, &plain).b, B.b, 0.0);
}

static void g4_a_gray_zone_is_no_reference(void **state)
{
    (void)state;
    wm_gray g = { .status = WM_GRAY_MEASURED, .share = 0.125 };
    assert_false(wm_gray_is_free(&g));
    g.share = 0.115;
    assert_true(wm_gray_is_free(&g));
    g.status = WM_GRAY_ALL_OVER;
    assert_false(wm_gray_is_free(&g));
    g.status = WM_GRAY_LOW;
    assert_true(wm_gray_is_free(&g));
}

/* C, point 1 of the design: blown-out pixels are the gray ones. */
static void g1_burnt_out_pixels_count_in_the_body(void **state)
{
    (void)state;
    static wm_rgb pixels[N];
    mix(pixels, B, G, 30);
    size_t dark = 0, light = N;
    static wm_rgb sorted[N];
    for (int i = 0; i < N; i++)
        if ((37 * i) % 100 < 30 && (37 * i) % 100 >= 20)
            sorted[--light] = pixels[i]; /* a third of the gray is blown out, here at its own colour */
        else
            sorted[dark++] = pixels[i];
    const wm_gray all = measure(&(wm_gray_input){ .pixels = pixels, .count = N, .reference = &B }),
                  g = measure(&(wm_gray_input){ .pixels = sorted, .count = dark, .burnt = N - dark, .reference = &B });
    near("burnt: body", g.body.g, all.body.g, 1e-9);
    near("burnt: share", g.share, all.share, 0.005);
    near("burnt: pure gray", g.mixture.pure_gray, all.mixture.pure_gray, 0.005);
    near("burnt: gray", wm_rgb_to_lab(g.gray).L, wm_rgb_to_lab(all.gray).L, 0.5);
}

/* ---- each limit from both sides: where the answer changes, the number that decides it passes the rule's
 * ---------------------------------------------------------------------------------------------------- */

enum { PARTS = 4000 };

typedef wm_gray scene(int parts);
typedef bool is_said(const wm_gray *g);
typedef double number(const wm_gray *g);

/* Of a scene that changes with its parts, from `low` to `high`: where it comes to be said. */
static void changes_at(const char *name, scene *of, is_said *said, number *value, double limit, int low, int high)
{
    wm_gray before = of(low), after = of(high);
    assert_true(said(&before) != said(&after));
    while (high - low > 1) {
        const int middle = (low + high) / 2;
        const wm_gray g = of(middle);
        if (said(&g) == said(&before))
            low = middle, before = g;
        else
            high = middle, after = g;
    }
    assert_true((value(&before) < limit) != (value(&after) < limit));
    near(name, value(&before), limit, 0.05 * limit);
    near(name, value(&after), limit, 0.05 * limit);
}

/* `parts` of 4000 pixels are of one colour, the others of another. */
static wm_gray two_colours(wm_rgb one, int parts, wm_rgb other, const wm_rgb *reference, const wm_rgb *swatch)
{
    static wm_rgb pixels[PARTS];
    for (int i = 0; i < PARTS; i++)
        pixels[i] = i < parts ? one : other;
    return measure(&(wm_gray_input){ .pixels = pixels, .count = PARTS, .reference = reference, .gray_swatch = swatch });
}

static wm_gray base_in_a_mixture(int parts)
{
    return two_colours(B, parts, wm_rgb_scale(wm_rgb_add(B, G), 0.5), &B, NULL);
}
static wm_gray base_in_gray_blind(int parts)
{
    return two_colours(B, parts, G, NULL, NULL);
}
static wm_gray gray_in_base(int parts)
{
    return two_colours(G, parts, B, &B, NULL);
}
static wm_gray bleached_in_base(int parts)
{
    return two_colours(H, parts, B, &B, NULL);
}
/* A base of Y 0.10 and fibres 1.9 times as light: the more of these, the less hangs on the base's level. */
static wm_gray little_contrast(int parts)
{
    const wm_rgb base = { 0.11, 0.10, 0.09 };
    return two_colours(wm_rgb_scale(base, 2.2), parts, base, NULL, NULL);
}
/* Half of the fibres one and a half to three times as light. */
static wm_gray more_contrast(int parts)
{
    const wm_rgb base = { 0.11, 0.10, 0.09 };
    return two_colours(wm_rgb_scale(base, 1.5 + 1.5 * parts / PARTS), PARTS / 2, base, &base, NULL);
}

static bool base_unseen(const wm_gray *g)
{
    return g->base_never_seen;
}
static bool base_measured(const wm_gray *g)
{
    return g->base_status == WM_POPULATION_MEASURED;
}
static bool gray_measured(const wm_gray *g)
{
    return g->gray_status == WM_POPULATION_MEASURED;
}
static bool none_seen(const wm_gray *g)
{
    return g->status == WM_GRAY_NONE_SEEN;
}
static bool has_number(const wm_gray *g)
{
    return g->status == WM_GRAY_MEASURED;
}
static bool not_resolved(const wm_gray *g)
{
    return g->status == WM_GRAY_NOT_RESOLVED;
}
static bool bleach_taken_off(const wm_gray *g)
{
    return g->share < g->mixture_share / 2;
}
static bool bleach_said(const wm_gray *g)
{
    return g->bleached;
}
static double pure_base(const wm_gray *g)
{
    return g->mixture.pure_base;
}
static double pure_gray(const wm_gray *g)
{
    return g->mixture.pure_gray;
}
static double share(const wm_gray *g)
{
    return g->share;
}
static double share_in_sd(const wm_gray *g)
{
    return g->share / g->u_share;
}
static double sd(const wm_gray *g)
{
    return g->u_share;
}
static double lighter_share(const wm_gray *g)
{
    return g->mixture_share;
}
static double taken_off(const wm_gray *g)
{
    return g->mixture_share - g->share;
}
/* GV1: usual gray has a Y of 0.28123. */
static double contrast(const wm_gray *g)
{
    return g->contrast;
}

static void g7_g9_where_the_answer_changes(void **state)
{
    (void)state;
    worst_reset();
    changes_at("base never seen", base_in_a_mixture, base_unseen, pure_base, 0.02, 0, PARTS);
    changes_at("base measured", base_in_a_mixture, base_measured, pure_base, 0.2, 0, PARTS);
    changes_at("base measured blind", base_in_gray_blind, base_measured, pure_base, 0.2, PARTS / 6, PARTS / 2);
    changes_at("gray measured", gray_in_base, gray_measured, pure_gray, 0.05, PARTS / 25, PARTS / 10);
    changes_at("none seen", gray_in_base, none_seen, share, 0.03, 0, PARTS / 10);
    changes_at("a number", gray_in_base, has_number, share_in_sd, 1.65, PARTS / 25, PARTS / 10);
    changes_at("contrast", more_contrast, not_resolved, contrast, 1.8, PARTS / 10, PARTS);
    changes_at("doubt", little_contrast, not_resolved, sd, 0.20, PARTS / 10, PARTS / 2);
    changes_at("asked for bleach", bleached_in_base, bleach_taken_off, lighter_share, 0.02, 0, PARTS / 10);
    changes_at("lighter fibres said", bleached_in_base, bleach_said, taken_off, 0.05, 0, PARTS / 4);
}

/* G7: of lighter fibres as much is gray as their index lies below 0.75, all from 0.50 down. */
static void g7_half_coloured_fibres_are_part_gray(void **state)
{
    (void)state;
    static const wm_rgb lighter[2] = { { 0.320, 0.305, 0.155 }, { 0.340, 0.300, 0.130 } };
    for (int i = 0; i < 2; i++) {
        const wm_gray g = two_colours(lighter[i], PARTS / 3, B, &B, NULL);
        assert_true(g.index_rest > 0.52 && g.index_rest < 0.73);
        near("part that is gray", g.share / g.mixture_share, 4 * (0.75 - g.index_rest), 1e-9);
    }
}

/* G9: gray of which nothing is seen is known within 5 L*, a base within 10, both the better the more of the hair they
 * are. */
static void g9_uncertainty_of_base_and_gray(void **state)
{
    (void)state;
    const wm_gray none = two_colours(B, PARTS, B, &B, NULL), third = two_colours(G, PARTS / 3, B, &B, NULL);
    near("a base that is all", none.base_doubt_L, 0.0, 0.01);
    near("a gray that is none", none.gray_doubt_L, 5.0, 0.01);
    near("a base of two thirds", third.base_doubt_L, 10.0 / 3, 0.1);
    near("a gray of a third", third.gray_doubt_L, 10.0 / 3, 0.1);
}

/* G6: gaps lie below 0.55 of the base's level. */
static void g6_where_gaps_begin(void **state)
{
    (void)state;
    const wm_gray g = measure_mix(B, G, 30); /* holds no gap: the mixture stays what it was */
    near("G6", g.gap_below_y / g.mixture.base_y, 0.55, 1e-9);
}

/* G6: hair of one hue, `parts` of 4000 pixels of it between gaps that are lit by two fifths. */
static wm_gray in_locks(wm_rgb hair, wm_rgb gap, int parts, bool on_head)
{
    static wm_rgb pixels[PARTS];
    for (int i = 0; i < PARTS; i++)
        pixels[i] = i < parts ? hair : gap;
    return measure(&(wm_gray_input){ .pixels = pixels, .count = PARTS, .in_locks = on_head });
}
static const wm_rgb BLOND = { 0.36, 0.29, 0.20 };
static wm_gray blond_locks(int parts)
{
    return in_locks(BLOND, wm_rgb_scale(BLOND, 0.4), parts, true);
}
/* Coloured hair over fibres that are the warmer the more parts; which of both it is can't be told where the hue allows.
 */
static wm_gray warmer_shade(int parts)
{
    const double warmer = exp(0.3 * parts / PARTS);
    const wm_rgb hair = { 0.38, 0.29, 0.15 };
    return in_locks(hair, (wm_rgb){ 0.4 * hair.r * warmer, 0.4 * hair.g, 0.4 * hair.b / warmer }, 2500, true);
}
static bool in_doubt(const wm_gray *g)
{
    return g->body_doubt_L > 0.0;
}
static double hue_apart(const wm_gray *g)
{
    return g->hue_apart;
}

/* G6: what lies below 0.55 of most of the hair is no base of it: not asked where it is half, sure from 0.7. */
static void g6_gaps_in_light_hair(void **state)
{
    (void)state;
    worst_reset();
    changes_at("gaps begin", blond_locks, in_doubt, lighter_share, 0.50, PARTS * 4 / 10, PARTS * 6 / 10);
    changes_at("surely gaps", blond_locks, in_doubt, lighter_share, 0.70, PARTS * 6 / 10, PARTS * 8 / 10);
    changes_at("warmer than shade", warmer_shade, in_doubt, hue_apart, 0.30, 0, PARTS);
    const wm_gray sure = blond_locks(PARTS * 8 / 10);
    near("hair alone", sure.body.g, BLOND.g, 1e-9);
    near("gaps", sure.gap_share, 0.2, 1e-9);
    near("below the hair", sure.gap_below_y / sure.mixture.gray_y, 0.55, 1e-9);
    near("a swatch is dense", in_locks(BLOND, wm_rgb_scale(BLOND, 0.4), PARTS * 8 / 10, false).body.g,
         BLOND.g * (0.8 + 0.2 * 0.4), 1e-9);
    near("gray over dark hair is no light over shade", in_locks(G, B, PARTS * 8 / 10, true).body.g,
         0.8 * G.g + 0.2 * B.g, 1e-9);
}

/* G6: between half and 0.7 the body lies between both, and its doubt is theirs: at equal odds half of what is between.
 */
static void g6_what_may_be_gaps_is_in_doubt(void **state)
{
    (void)state;
    int parts = PARTS / 2;
    while (blond_locks(parts).mixture_share < 0.6)
        parts++;
    const wm_gray g = blond_locks(parts);
    const wm_rgb all = in_locks(BLOND, wm_rgb_scale(BLOND, 0.4), parts, false).body;
    near("halfway", g.body.g, (all.g + BLOND.g) / 2, 0.001);
    near("its doubt", g.body_doubt_L, (wm_rgb_to_lab(BLOND).L - wm_rgb_to_lab(all).L) / 2, 0.05);
}

/* G6: blown-out hair is no gap. */
static void g6_burnt_out_hair_is_no_gap(void **state)
{
    (void)state;
    static wm_rgb pixels[PARTS];
    const wm_rgb bright = wm_rgb_scale(BLOND, 2.7);
    for (int i = 0; i < PARTS; i++)
        pixels[i] = i < PARTS * 2 / 10 ? wm_rgb_scale(BLOND, 0.4) : i < PARTS * 9 / 10 ? BLOND : bright;
    const wm_gray g =
        measure(&(wm_gray_input){ .pixels = pixels, .count = PARTS * 9 / 10, .burnt = PARTS / 10, .in_locks = true });
    near("an eighth is bright", g.body.g, (7 * BLOND.g + bright.g) / 8, 1e-9);
}

/* G8: usual gray where none is seen; what is seen counts for half at a squared share of 0.0073. */
static void g8_usual_gray_and_gray_that_is_seen(void **state)
{
    (void)state;
    const wm_lab usual = wm_rgb_to_lab(measure_mix(B, G, 0).gray);
    near("usual a", usual.a, 0.5, 0.02), near("usual b", usual.b, 7.5, 0.02);
    const wm_rgb bluish = { 0.28, 0.31, 0.33 };
    const wm_gray g = two_colours(bluish, 360, B, &B, NULL);
    const wm_rgb rest = wm_rgb_add(g.body, wm_rgb_scale(g.base, g.share - 1.0)),
                 of_usual = wm_lab_to_rgb((wm_lab){ usual.L, 0.5, 7.5 });
    const double seen = (rest.r - rest.b) / g.share, /* red less blue: the two tell each other apart */
        prior = (of_usual.r - of_usual.b) * g.mixture.gray_y / wm_rgb_luminance(of_usual),
                 part = (g.gray.r - g.gray.b - prior) / (seen - prior);
    assert_true(part > 0.3 && part < 0.7);
    near("G8 trust", g.share * g.share * (1.0 - part) / part, 0.0073, 1e-4);
}

/* G8: no channel of a gray below 0.3 or above 2.2 of its Y. */
static void g8_a_gray_is_no_colour(void **state)
{
    (void)state;
    static const wm_rgb cyan = { 0.02, 0.34, 0.30 }, blue = { 0.20, 0.20, 0.75 };
    for (int i = 0; i < 2; i++) {
        const wm_gray g = two_colours(i ? blue : cyan, PARTS / 2, B, &B, NULL);
        const wm_rgb rest = wm_rgb_add(g.body, wm_rgb_scale(g.base, g.share - 1.0)),
                     usual = wm_lab_to_rgb((wm_lab){ 60.0, 0.5, 7.5 });
        const double part = g.share * g.share / (g.share * g.share + 0.0073), y = wm_rgb_luminance(rest),
                     of_usual = (1.0 - part) * g.mixture.gray_y / wm_rgb_luminance(usual);
        const wm_rgb seen = wm_rgb_add(g.gray, wm_rgb_scale(usual, -of_usual));
        near(i ? "blue over green" : "red over green", (i ? seen.b : seen.r) / seen.g, (i ? 2.2 : 0.3) / (rest.g / y),
             0.001);
    }
}

/* G4: a reference begins at 0.55 of its median. */
static void g4_where_a_reference_begins(void **state)
{
    (void)state;
    const double level[5] = { 0.53, 0.57, 1, 1, 1 };
    wm_rgb pixels[5], reference;
    for (int i = 0; i < 5; i++)
        pixels[i] = wm_rgb_scale(B, level[i]);
    assert_int_equal(wm_gray_reference(&reference, pixels, 5, NULL), WM_OK);
    near("G4", reference.g / B.g, 1.1 * (0.57 + 3) / 4, 1e-9);
}

static void g4_gray_in_the_dark_from_both_sides(void **state)
{
    (void)state;
    const wm_gray blind = { .dark_y = 2 * wm_rgb_luminance(B) };
    const wm_gray_light shows = LIGHT(.56, .9, .3, .8, .6, .4, 40), hardly = LIGHT(.54, .9, .3, .8, .6, .4, 40);
    near("shows", wm_gray_reference_for(B, &blind, &shows).r, B.r, 0.0);
    near("hardly", wm_gray_reference_for(B, &blind, &hardly).r, 2 * B.r, 1e-12);
}

/* G5: the base without a reference: the level at the 15th percentile, at least 0.004; the hue of all up to 1.3 times
 * that. */
static void g5_blind_base(void **state)
{
    (void)state;
    const wm_rgb dark = { 0.025, 0.020, 0.016 }, red = { 0.040, 0.015, 0.010 };
    const double y = wm_rgb_luminance(dark);
    near("16 of 100", two_colours(dark, PARTS * 16 / 100, G, NULL, NULL).dark_y, y, 1e-12);
    near("14 of 100", two_colours(dark, PARTS * 14 / 100, G, NULL, NULL).dark_y, wm_rgb_luminance(G), 1e-12);
    near("black", two_colours((wm_rgb){ 1e-4, 1e-4, 1e-4 }, PARTS, G, NULL, NULL).dark_y, 0.004, 1e-12);
    const double own = dark.r / dark.g;
    for (int beyond = 0; beyond < 2; beyond++) {
        const wm_rgb lighter = wm_rgb_scale(red, (beyond ? 1.35 : 1.25) * y / wm_rgb_luminance(red));
        const wm_gray g = two_colours(dark, PARTS / 4, lighter, NULL, NULL);
        assert_int_equal(fabs(g.base.r / g.base.g - own) < 1e-6, beyond);
    }
}

/* G8: in light hair with fibres narrower than a pixel the darkest pixels hold gray: their hue is paler than her own. */
static void g8_gray_is_taken_off_the_hue_of_the_base(void **state)
{
    (void)state;
    enum { ACROSS = 4 };
    static wm_rgb pixels[PARTS];
    const wm_rgb own = wm_lab_to_rgb((wm_lab){ 42, 7, 20 }), gray = wm_lab_to_rgb((wm_lab){ 72, 1, 8 });
    unsigned random = 5;
    double dark_y = 0;
    for (int i = 0; i < PARTS; i++) {
        int grays = 0;
        for (int k = 0; k < ACROSS; k++) {
            random = random * 1664525u + 1013904223u;
            grays += random >> 16 < 0.6 * 65536;
        }
        const double share = (double)grays / ACROSS, light = 1 + 0.1 * sin(i);
        pixels[i] = wm_rgb_scale(wm_rgb_add(wm_rgb_scale(own, 1 - share), wm_rgb_scale(gray, share)), light);
    }
    const wm_gray g = measure(&(wm_gray_input){ .pixels = pixels, .count = PARTS });
    wm_rgb dark = { 0, 0, 0 };
    dark_y = g.dark_y;
    for (int i = 0; i < PARTS; i++)
        if (wm_rgb_luminance(pixels[i]) <= 1.3 * dark_y)
            dark = wm_rgb_add(dark, pixels[i]);
    const double hers = log(own.r / own.b), seen = log(dark.r / dark.b), said = log(g.base.r / g.base.b);
    assert_true(seen < 0.85 * hers); /* what the dark pixels show is paler */
    near("half of it is made good", fabs(said - hers) / (hers - seen), 0, 0.5);
}

/* G5: how far levels and spreads may go. */
static void g5_limits_of_the_mixture(void **state)
{
    (void)state;
    static wm_rgb pixels[PARTS];
    near("one level: base", two_colours(B, PARTS, B, &B, NULL).mixture.base_spread, 0.15, 1e-9);
    const wm_rgb dark = wm_rgb_scale(B, 0.3), white = { 1.3, 1.3, 1.3 }; /* a tenth of white is ten times as light */
    for (int i = 0; i < PARTS; i++)                                      /* ln Y evenly over 2.6: sd 0.75 */
        pixels[i] = wm_rgb_scale(dark, exp(-0.55 + 2.6 * i / PARTS));
    near("any level: base",
         measure(&(wm_gray_input){ .pixels = pixels, .count = PARTS, .reference = &dark, .gray_swatch = &white })
             .mixture.base_spread,
         0.50, 1e-9);
    const wm_rgb half = wm_rgb_scale(G, 0.5), swatch = wm_rgb_scale(half, 1 / 0.75);
    for (int i = 0; i < PARTS; i++) /* a seventh of the gray is six times as light: sd of ln 0.63 */
        pixels[i] = i % 2 ? B : i % 14 ? half : wm_rgb_scale(half, 6.0);
    near("any level: gray",
         measure(&(wm_gray_input){ .pixels = pixels, .count = PARTS, .reference = &B, .gray_swatch = &swatch })
             .mixture.gray_spread,
         0.40, 1e-9);
    const wm_rgb lighter = wm_rgb_scale(B, 3.0), light = { 0.4, 0.4, 0.4 };
    const wm_gray below = two_colours(B, PARTS, B, &lighter, NULL);
    assert_false(below.reference_refused);
    near("a third of the reference", below.mixture.base_y / wm_rgb_luminance(lighter), 0.5, 1e-9);
    near("lighter than usual gray", two_colours(light, PARTS, light, &light, NULL).contrast, 1.15, 1e-9);
}

/* G5: of more than 250 000 pixels every second one is looked at: here none of the gray ones. */
static void g5_every_second_pixel(void **state)
{
    (void)state;
    enum { MANY = 260000, FEWER = 240000 };
    wm_rgb *pixels = malloc(MANY * sizeof *pixels);
    assert_non_null(pixels);
    for (int i = 0; i < MANY; i++)
        pixels[i] = i % 2 ? G : B;
    assert_true(measure(&(wm_gray_input){ .pixels = pixels, .count = MANY, .reference = &B }).share < 0.01);
    assert_true(measure(&(wm_gray_input){ .pixels = pixels, .count = FEWER, .reference = &B }).share > 0.4);
    free(pixels);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(g5_every_second_pixel),
                                        cmocka_unit_test(g5_limits_of_the_mixture),
                                        cmocka_unit_test(g8_gray_is_taken_off_the_hue_of_the_base),
                                        cmocka_unit_test(g5_blind_base),
                                        cmocka_unit_test(g5_spread_of_little_gray),
                                        cmocka_unit_test(g4_gray_in_the_dark_from_both_sides),
                                        cmocka_unit_test(g4_where_a_reference_begins),
                                        cmocka_unit_test(g8_a_gray_is_no_colour),
                                        cmocka_unit_test(g8_usual_gray_and_gray_that_is_seen),
                                        cmocka_unit_test(g6_where_gaps_begin),
                                        cmocka_unit_test(g6_gaps_in_light_hair),
                                        cmocka_unit_test(g6_what_may_be_gaps_is_in_doubt),
                                        cmocka_unit_test(g6_burnt_out_hair_is_no_gap),
                                        cmocka_unit_test(g9_uncertainty_of_base_and_gray),
                                        cmocka_unit_test(g7_half_coloured_fibres_are_part_gray),
                                        cmocka_unit_test(g7_g9_where_the_answer_changes),
                                        cmocka_unit_test(gv20_gv21_thirds),
                                        cmocka_unit_test(gv24_statuses_by_light),
                                        cmocka_unit_test(g9_shade_between_light_locks_is_no_base),
                                        cmocka_unit_test(g9_lighter_fibres_give_no_number),
                                        cmocka_unit_test(g9_settling_takes_back),
                                        cmocka_unit_test(g4_reference_in_another_light),
                                        cmocka_unit_test(g4_a_gray_zone_is_no_reference),
                                        cmocka_unit_test(g1_burnt_out_pixels_count_in_the_body),
                                        cmocka_unit_test(gv1_constants),
                                        cmocka_unit_test(gv2_share_without_ramp),
                                        cmocka_unit_test(gv3_share_with_ramp),
                                        cmocka_unit_test(gv4_no_gray),
                                        cmocka_unit_test(gv5_blind),
                                        cmocka_unit_test(gv6_gray_swatch),
                                        cmocka_unit_test(gv7_gaps_change_nothing),
                                        cmocka_unit_test(gv8_bleached_fibres_are_not_gray),
                                        cmocka_unit_test(gv9_dark_blond),
                                        cmocka_unit_test(gv10_base_never_seen),
                                        cmocka_unit_test(gv11_blind_even_mixture_is_not_resolved),
                                        cmocka_unit_test(gv12_picture_with_sheen),
                                        cmocka_unit_test(gv14_area_share),
                                        cmocka_unit_test(gv15_reference_colour),
                                        cmocka_unit_test(gv16_yellowed_gray),
                                        cmocka_unit_test(gv18_ten_percent),
                                        cmocka_unit_test(g9_few_pixels_are_not_measured),
                                        cmocka_unit_test(g9_sheen_everywhere_is_not_resolved),
                                        cmocka_unit_test(g9_light_base_has_no_contrast),
                                        cmocka_unit_test(g9_little_gray_is_low),
                                        cmocka_unit_test(g9_interval_is_rounded_to_five_percent),
                                        cmocka_unit_test(statuses_have_the_words_of_the_json),
                                        cmocka_unit_test(lighter_reference_is_refused),
                                        cmocka_unit_test(never_a_nan),
                                        cmocka_unit_test(many_pixels_are_halved),
                                        cmocka_unit_test(picture_agrees_with_the_share),
                                        cmocka_unit_test(picture_shows_what_was_dropped) };
    return cmocka_run_group_tests_name("gray", tests, NULL, NULL);
}
