/* sample: windows, G1 and G3 with the check value GV12 of the gray-share rules, flat areas (C19). Scenes are
 * invented. */
#include "support/near.h"
#include "support/pictures.h"

#include "core/file.h"
#include "measure/sample.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* B and G of the check values. */
static const wm_rgb base = { 0.040, 0.028, 0.022 }, gray = { 0.32, 0.30, 0.25 };

enum { SIDE = 128 };

/* Column x is gray if (x/4) mod 4 = 3, else base. */
static void stripes(wm_rgb *pixels)
{
    for (int y = 0; y < SIDE; y++)
        for (int x = 0; x < SIDE; x++)
            pixels[y * SIDE + x] = (x / 4) % 4 == 3 ? gray : base;
}

static wm_window window_of(const wm_rgb *pixels, int width, int height)
{
    wm_window window;
    wm_error err = { 0 };
    assert_int_equal(wm_window_from_pixels(&window, pixels, width, height, &err), WM_OK);
    return window;
}

static wm_cleaning clean(wm_window *window)
{
    wm_cleaning cleaning;
    wm_error err = { 0 };
    assert_int_equal(wm_window_clean(window, &cleaning, &err), WM_OK);
    return cleaning;
}

static size_t kept_count(const wm_window *window)
{
    wm_kept_pixels kept;
    wm_error err = { 0 };
    assert_int_equal(wm_window_kept(&kept, window, &err), WM_OK);
    free(kept.pixels);
    return kept.count;
}

static size_t kept_in_row(const wm_window *window, int y, int from, int to)
{
    size_t count = 0;
    for (int x = from; x < to; x++)
        count += !(window->flags[y * window->box.width + x] & WM_PX_DROPPED);
    return count;
}

static wm_photo *photo_of(const picture *p)
{
    char folder[] = "/tmp/sample-test-XXXXXX", path[64];
    wm_photo *photo = NULL;
    wm_error err = { 0 };
    wm_bytes png = png_make(p, &(png_how){ 0 });
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/p.png", folder);
    assert_int_equal(wm_file_write(path, png.data, png.size, 0, &err), WM_OK);
    if (wm_photo_open(&photo, path, NULL, &err))
        fail_msg("%s", err.text);
    remove(path);
    remove(folder);
    wm_bytes_free(&png);
    return photo;
}

static void paint(const picture *p, int x, int y, int r, int g, int b)
{
    uint16_t *pixel = picture_at(p, x, y);
    pixel[0] = (uint16_t)r;
    pixel[1] = (uint16_t)g;
    pixel[2] = (uint16_t)b;
}

/* A window over a triangle of a photo: its box, its pixels, G1 (any channel >= 250, or all <= 3) and C15 (any
 * >= 0.98, or all <= 0.01: blue alone is 0 in dark warm hair). */
static void window_of_a_photo_knows_its_pixels(void **state)
{
    (void)state;
    picture p = picture_new(20, 12, 3, 8);
    for (int y = 0; y < 12; y++)
        for (int x = 0; x < 20; x++)
            paint(&p, x, y, 100, 80, 60);
    paint(&p, 4, 3, 250, 80, 60);
    paint(&p, 5, 3, 249, 80, 60);
    paint(&p, 6, 3, 2, 2, 2);
    paint(&p, 7, 3, 3, 3, 4);
    paint(&p, 8, 3, 100, 80, 2);
    paint(&p, 9, 3, 3, 3, 3);
    wm_photo *photo = photo_of(&p);
    picture_free(&p);
    wm_point corners[] = { { 4, 3 }, { 14, 3 }, { 4, 8 } };
    wm_zone zone = { .kind = WM_ZONE_ROOT, .name = NULL, .points = corners, .point_count = 3 };
    wm_window window;
    wm_error err = { 0 };
    assert_int_equal(wm_window_read(&window, photo, &zone, &err), WM_OK);
    assert_int_equal(window.box.x, 4);
    assert_int_equal(window.box.y, 3);
    assert_int_equal(window.box.width, 10);
    assert_int_equal(window.box.height, 5);
    assert_int_equal(window.zone_pixels, 9 + 7 + 5 + 3 + 1);
    size_t inside = 0;
    for (int i = 0; i < 50; i++)
        inside += window.flags[i] & WM_PX_ZONE;
    assert_int_equal(inside, 25);
    static const unsigned char want[] = { WM_PX_ZONE | WM_PX_CLIPPED | WM_PX_EXTREME,
                                          WM_PX_ZONE,
                                          WM_PX_ZONE | WM_PX_CLIPPED | WM_PX_EXTREME,
                                          WM_PX_ZONE,
                                          WM_PX_ZONE,
                                          WM_PX_ZONE | WM_PX_CLIPPED };
    assert_memory_equal(window.flags, want, sizeof want);
    near("C15 extreme share", window.extreme_share, 2.0 / 25.0, 1e-12);
    near("encoded mean", window.encoded_mean.r, (100.0 * 20 + 250 + 249 + 2 + 3 + 3) / 25.0 / 255.0, 1e-6);
    near("linear", window.linear[25].g, wm_srgb_decode(80.0 / 255.0),
         0.001); /* D65 white adapted to D50: the primaries stay */
    wm_window_free(&window);

    wm_zone outside = { .kind = WM_ZONE_ROOT,
                        .points = (wm_point[]){ { 30, 30 }, { 40, 30 }, { 40, 40 } },
                        .point_count = 3 };
    assert_int_equal(wm_window_read(&window, photo, &outside, &err), WM_E_INPUT);
    wm_photo_close(photo);
}

/* G11: squares of the photo are the means of its pixels, clipped where one of them is; a zone cut out of
 * what was read around it is the zone as it is read alone. */
static void squares_of_a_photo_are_means(void **state)
{
    (void)state;
    picture p = picture_asymmetric(31, 22, 8);
    for (int y = 0; y < 22; y++)
        for (int x = 0; x < 31; x++)
            paint(&p, x, y, 3 * x + y + 20, 2 * x + 3 * y + 10, x + y + 5);
    paint(&p, 9, 6, 255, 80, 60);
    wm_photo *photo = photo_of(&p);
    picture_free(&p);
    wm_zone all = { .kind = WM_ZONE_ROOT,
                    .points = (wm_point[]){ { 3, 2 }, { 27, 2 }, { 27, 19 }, { 3, 19 } },
                    .point_count = 4 };
    wm_zone part = { .kind = WM_ZONE_ROOT,
                     .points = (wm_point[]){ { 8, 4 }, { 20, 4 }, { 20, 16 }, { 8, 16 } },
                     .point_count = 4 };
    wm_window alone, whole, cut, squares;
    wm_error err = { 0 };
    assert_int_equal(wm_window_read(&alone, photo, &part, &err), WM_OK);
    assert_int_equal(wm_window_read_halved(&whole, photo, &all, 0, &err), WM_OK);
    assert_int_equal(wm_window_within(&cut, &whole, &part, &err), WM_OK);
    assert_int_equal(cut.zone_pixels, 12 * 12);
    assert_memory_equal(&cut.box, &alone.box, sizeof cut.box);
    assert_memory_equal(cut.linear, alone.linear, 12 * 12 * sizeof *cut.linear);
    assert_memory_equal(cut.flags, alone.flags, 12 * 12);
    assert_int_equal(wm_window_read_halved(&squares, photo, &part, 2, &err), WM_OK);
    assert_int_equal(squares.zone_pixels, 3 * 3);
    for (int y = 0; y < 3; y++)
        for (int x = 0; x < 3; x++) {
            const int middle = (4 * y + 2) * 12 + 4 * x + 2;
            double sum = 0;
            for (int i = 0; i < 16; i++)
                sum += wm_srgb_encode(alone.linear[(4 * y + i / 4) * 12 + 4 * x + i % 4].g);
            assert_memory_equal(&squares.linear[3 * y + x], &alone.linear[middle], sizeof *alone.linear);
            assert_int_equal(squares.flags[3 * y + x], alone.flags[middle]);
            near("mean of a square", wm_srgb_encode(squares.mean[3 * y + x].g), sum / 16, 1e-4);
        }
    wm_window *const made[] = { &alone, &whole, &cut, &squares };
    for (size_t i = 0; i < sizeof made / sizeof *made; i++)
        wm_window_free(made[i]);
    wm_photo_close(photo);
}

/* G11: what is read around a zone that was read is what would have been read at once; the part is copied as it is by
 * now, but for what was cut. */
static void a_window_around_is_read_beside_its_part(void **state)
{
    (void)state;
    picture p = picture_asymmetric(31, 22, 8);
    paint(&p, 5, 3, 255, 255, 255);
    paint(&p, 12, 8, 0, 0, 0);
    wm_photo *photo = photo_of(&p);
    picture_free(&p);
    const wm_zone all = { .kind = WM_ZONE_ROOT,
                          .points = (wm_point[]){ { 3.2, 2.4 }, { 27, 2 }, { 27, 19.7 }, { 3, 19 } },
                          .point_count = 4 };
    const wm_zone part = { .kind = WM_ZONE_ROOT,
                           .points = (wm_point[]){ { 8, 4 }, { 20, 4 }, { 14, 16 } },
                           .point_count = 3 };
    for (int halvings = 0; halvings < 3; halvings++) {
        wm_window inner, whole, around;
        assert_int_equal(wm_window_read_halved(&inner, photo, &part, halvings, NULL), WM_OK);
        assert_int_equal(wm_window_read_halved(&whole, photo, &all, halvings, NULL), WM_OK);
        inner.flags[0] |= WM_PX_SKIN | WM_PX_SHEEN;
        assert_int_equal(wm_window_read_around(&around, photo, &all, &inner, NULL), WM_OK);
        const size_t count = (size_t)whole.box.width * (size_t)whole.box.height;
        assert_memory_equal(&around.box, &whole.box, sizeof whole.box);
        assert_memory_equal(around.linear, whole.linear, count * sizeof *whole.linear);
        assert_memory_equal(around.mean, whole.mean, count * sizeof *whole.mean);
        assert_memory_equal(around.flags, whole.flags, count);
        assert_memory_equal(&around.encoded_mean, &inner.encoded_mean, sizeof inner.encoded_mean);
        wm_window_free(&inner);
        wm_window_free(&whole);
        wm_window_free(&around);
    }
    wm_photo_close(photo);
}

static int halvings_of(const wm_photo *photo, double width, double height)
{
    const wm_zone zone = { .kind = WM_ZONE_ROOT,
                           .points = (wm_point[]){ { 0, 0 }, { width, 0 }, { width, height }, { 0, height } },
                           .point_count = 4 };
    return wm_window_halvings(&zone, photo);
}

/* G1: 7000 pixels are left, 56 along the shorter side. */
static void large_zones_are_read_in_squares(void **state)
{
    (void)state;
    picture p = picture_asymmetric(400, 350, 8);
    wm_photo *photo = photo_of(&p);
    picture_free(&p);
    assert_int_equal(halvings_of(photo, 166, 168), 0);
    assert_int_equal(halvings_of(photo, 168, 168), 1);
    assert_int_equal(halvings_of(photo, 330, 338), 1);
    assert_int_equal(halvings_of(photo, 336, 336), 2);
    assert_int_equal(halvings_of(photo, 400, 110), 0);
    assert_int_equal(halvings_of(photo, 400, 112), 1);
    wm_photo_close(photo);
}

static wm_window rows_within(const wm_window *around, int width, int height)
{
    const wm_zone zone = { .kind = WM_ZONE_ROOT,
                           .points =
                               (wm_point[]){ { 5, 3 }, { 5 + width, 3 }, { 5 + width, 3 + height }, { 5, 3 + height } },
                           .point_count = 4 };
    wm_window window;
    assert_int_equal(wm_window_within(&window, around, &zone, NULL), WM_OK);
    for (int y = 0; y < window.box.height; y++)
        assert_memory_equal(window.linear + y * width,
                            around->linear + (3 + y * window.row_step) * around->box.width + 5,
                            (size_t)width * sizeof *window.linear);
    return window;
}

/* G11: a try looks at every second row of 6000 pixels, at every fourth of 12000 and more. */
static void a_try_looks_at_some_rows(void **state)
{
    (void)state;
    enum { WIDE = 130, HIGH = 160 };
    static const struct {
        int width, height, step;
    } tries[] = { { 90, 66, 1 }, { 80, 76, 2 }, { 100, 88, 2 }, { 100, 119, 3 }, { 120, 101, 4 }, { 120, 150, 4 } };
    static wm_rgb pixels[WIDE * HIGH];
    wm_window around;
    for (int i = 0; i < WIDE * HIGH; i++)
        pixels[i] = (wm_rgb){ i % 97 / 97.0, i % 89 / 89.0, i % 83 / 83.0 };
    assert_int_equal(wm_window_from_pixels(&around, pixels, WIDE, HIGH, NULL), WM_OK);
    for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
        wm_window window = rows_within(&around, tries[i].width, tries[i].height);
        const int rows = (tries[i].height + tries[i].step - 1) / tries[i].step;
        assert_int_equal(window.row_step, tries[i].step);
        assert_int_equal(window.zone_pixels, rows * tries[i].width);
        wm_window_free(&window);
    }
    wm_window_free(&around);
}

static void gv12_sheen_bands_are_dropped(void **state)
{
    (void)state;
    static wm_rgb pixels[SIDE * SIDE];
    stripes(pixels);
    for (int i = 52 * SIDE; i < 76 * SIDE; i++) /* whole cells, counted from the centre (G3b) */
        pixels[i] = wm_rgb_add(pixels[i], (wm_rgb){ 0.15, 0.15, 0.15 });
    wm_window window = window_of(pixels, SIDE, SIDE);
    wm_cleaning cleaning = clean(&window);
    near("GV12 phi", cleaning.direction_rad, 0.0, 0.00005);
    near("GV12 dropped", cleaning.sheen_share + cleaning.shadow_share, 24.0 / SIDE, 0.00005);
    near("GV12 shadow", cleaning.shadow_share, 0.0, 0.0);
    assert_int_equal(kept_count(&window), (SIDE - 24) * SIDE);
    for (int y = 0; y < SIDE; y++)
        assert_int_equal(kept_in_row(&window, y, 0, SIDE), y >= 52 && y < 76 ? 0 : SIDE);
    assert_true(cleaning.coherence > 0.2);
    assert_false(cleaning.sheen_everywhere);

    wm_cleaning again = clean(&window); /* cleaning twice is cleaning once */
    near("second cleaning", again.sheen_share, cleaning.sheen_share, 0.0);
    assert_int_equal(kept_count(&window), (SIDE - 24) * SIDE);
    wm_window_free(&window);
}

enum { LARGE = 256 };

static double along_fibres(double phi, int x, int y)
{
    return -(x - 128) * sin(phi) + (y - 128) * cos(phi);
}

/* Parallel fibres whose across direction is phi, with a brighter band across them. */
static void slanted(wm_rgb *pixels, double phi, double band)
{
    for (int y = 0; y < LARGE; y++)
        for (int x = 0; x < LARGE; x++) {
            double across = (x - 128) * cos(phi) + (y - 128) * sin(phi);
            double level = 1.0 + 0.3 * sin(across * 1.1) + 0.2 * sin(across * 0.37 + 1.0);
            pixels[y * LARGE + x] = wm_rgb_scale(base, level * (fabs(along_fibres(phi, x, y)) < 24.0 ? band : 1.0));
        }
}

static double kept_share(const wm_window *window, double phi, double from, double to)
{
    double all = 0.0, kept = 0.0;
    for (int y = 0; y < LARGE; y++)
        for (int x = 0; x < LARGE; x++) {
            double along = fabs(along_fibres(phi, x, y));
            all += along >= from && along < to;
            kept += along >= from && along < to && !(window->flags[y * LARGE + x] & WM_PX_DROPPED);
        }
    return kept / all;
}

static void g3_follows_the_fibres(void **state)
{
    (void)state;
    static wm_rgb pixels[LARGE * LARGE];
    worst_reset();
    for (int turn = -3; turn <= 4; turn++) {
        double phi = turn * 0.3;
        slanted(pixels, phi, 1.0);
        wm_window window = window_of(pixels, LARGE, LARGE);
        wm_cleaning cleaning = clean(&window);
        near("G3 direction", remainder(cleaning.direction_rad - phi, 3.14159265358979323846), 0.0,
             0.05); /* differences see fine fibres a little turned */
        wm_window_free(&window);

        slanted(pixels, phi, 2.5);
        window = window_of(pixels, LARGE, LARGE);
        clean(&window);
        assert_true(kept_share(&window, phi, 0.0, 16.0) < 0.05);
        assert_true(kept_share(&window, phi, 32.0, 200.0) > 0.98);
        wm_window_free(&window);
    }
    worst_print("direction in radians");
}

static void g3_broad_shadow_is_dropped(void **state)
{
    (void)state;
    static wm_rgb pixels[SIDE * SIDE];
    stripes(pixels);
    for (int i = 20 * SIDE; i < 36 * SIDE; i++)
        pixels[i] = wm_rgb_scale(pixels[i], 0.4);
    wm_window window = window_of(pixels, SIDE, SIDE);
    wm_cleaning cleaning = clean(&window);
    near("shadow", cleaning.shadow_share, 16.0 / SIDE, 1e-12);
    near("sheen", cleaning.sheen_share, 0.0, 0.0);
    assert_int_equal(kept_in_row(&window, 20, 0, SIDE), 0);
    assert_int_equal(kept_in_row(&window, 35, 0, SIDE), 0);
    wm_window_free(&window);
}

/* One strip of 20 cells; its reference is the eighth smallest q. */
static void g3_sheen_everywhere_drops_nothing(void **state)
{
    (void)state;
    enum { WIDTH = 64, HEIGHT = 160 };
    static wm_rgb pixels[WIDTH * HEIGHT];
    wm_window window;
    for (int bright_rows = 96; bright_rows <= 112; bright_rows += 16) {
        for (int y = 0; y < HEIGHT; y++)
            for (int x = 0; x < WIDTH; x++)
                pixels[y * WIDTH + x] = wm_rgb_scale(base, (x / 4 % 2 ? 1.0 : 3.0) * (y < bright_rows ? 3.0 : 1.0));
        window = window_of(pixels, WIDTH, HEIGHT);
        for (int i = 96 * WIDTH; i < 144 * WIDTH; i++)
            if (i % WIDTH >= 8) /* thin out the dark cells: few pixels, yet at least 60 a cell */
                window.flags[i] = 0;
        window.zone_pixels = 0;
        for (int i = 0; i < WIDTH * HEIGHT; i++)
            window.zone_pixels += window.flags[i] & WM_PX_ZONE;
        size_t before = kept_count(&window);
        wm_cleaning cleaning = clean(&window);
        if (bright_rows == 96) { /* 12 bright, 8 dark cells: the reference is dark, 78 % of the pixels would go */
            assert_true(cleaning.sheen_everywhere);
            assert_int_equal(kept_count(&window), before);
        } else { /* 14 bright, 6 dark cells: the reference is bright, the dark cells are shadow */
            assert_false(cleaning.sheen_everywhere);
            assert_true(cleaning.shadow_share > 0.0);
        }
        wm_window_free(&window);
    }
}

/* Nothing but the zone's pixels is judged or kept, and tiny or thin windows are no trouble. */
static void windows_of_any_size_are_cleaned(void **state)
{
    (void)state;
    static const struct {
        int width, height;
    } sizes[] = { { 1, 1 }, { 2, 1 }, { 1, 9 }, { 3, 3 }, { 5, 400 }, { 700, 2 } };
    static wm_rgb pixels[2000];
    for (int i = 0; i < 2000; i++)
        pixels[i] = i % 7 ? base : gray;
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        wm_window window = window_of(pixels, sizes[i].width, sizes[i].height);
        wm_cleaning cleaning = clean(&window);
        assert_true(isfinite(cleaning.direction_rad) && isfinite(cleaning.coherence));
        assert_true(kept_count(&window) > 0);
        wm_window_free(&window);
    }
    wm_window window = window_of(pixels, 40, 40);
    memset(window.flags, 0, 1600);
    window.flags[820] = WM_PX_ZONE;
    window.zone_pixels = 1;
    clean(&window);
    assert_int_equal(kept_count(&window), 1);
    window.flags[820] = WM_PX_ZONE | WM_PX_CLIPPED;
    clean(&window);
    assert_int_equal(kept_count(&window), 0);
    wm_window_free(&window);
    wm_error err = { 0 };
    assert_int_equal(wm_window_from_pixels(&window, pixels, 0, 5, &err), WM_E_INPUT);
}

static void flat_areas_give_mean_and_spread(void **state)
{
    (void)state;
    static wm_rgb pixels[40 * 40];
    for (int i = 0; i < 1600; i++)
        pixels[i] = wm_rgb_scale((wm_rgb){ 0.2, 0.2, 0.2 }, i % 2 ? 1.1 : 0.9);
    wm_window window = window_of(pixels, 40, 40);
    wm_flat_sample flat = wm_window_flat(&window);
    assert_int_equal(flat.pixels, 1600);
    near("mean", flat.mean.g, 0.2, 1e-12);
    near("relative sd", flat.relative_sd_y, 0.1 * sqrt(1600.0 / 1599.0), 1e-9);
    near("even card", wm_window_corner_spread(&window), 0.0, 1e-12);
    wm_window_free(&window);

    static const double corner_y[4] = { 0.205, 0.198, 0.201, 0.193 }; /* CV14 of the calibration rules */
    for (int y = 0; y < 40; y++)
        for (int x = 0; x < 40; x++)
            pixels[y * 40 + x] = wm_rgb_scale((wm_rgb){ 1.0, 1.0, 1.0 }, corner_y[(y >= 20) * 2 + (x >= 20)]);
    window = window_of(pixels, 40, 40);
    near("CV14 spread", wm_window_corner_spread(&window), 0.0602, 0.00005);
    wm_window_free(&window);
}

/* ---- G3 and G7a on cells that are laid out by hand, each limit from both sides
 * ----------------------------------------------------------------------------------------------------- */

enum { MOST_CELLS = 101, ROWS_A_CELL = 8 };

/* One strip of an odd number of cells, 64 x 8 pixels each, fibres upright: columns by turns 1 and 3 times as light, so
 * that a quartile lies in the darker ones. */
typedef struct strip {
    wm_rgb pixels[64 * ROWS_A_CELL * MOST_CELLS];
    int cells;
    wm_window window;
} strip;

static bool dark_column(int x)
{
    return x / 4 % 2 == 0;
}

static strip *new_strip(int cells)
{
    strip *s = calloc(1, sizeof *s);
    assert_non_null(s);
    assert_true(cells % 2 == 1 && cells <= MOST_CELLS);
    s->cells = cells;
    for (int i = 0; i < 64 * ROWS_A_CELL * cells; i++)
        s->pixels[i] = wm_rgb_scale(base, dark_column(i % 64) ? 1.0 : 3.0);
    return s;
}

static void set_cells(strip *s, int from, int to, double level)
{
    for (int i = 64 * ROWS_A_CELL * from; i < 64 * ROWS_A_CELL * to; i++)
        s->pixels[i] = wm_rgb_scale(base, level * (dark_column(i % 64) ? 1.0 : 3.0));
}

/* Leaves so many pixels of a cell in the zone, every second one and then some, so that both kinds are left. */
static void thin_out(strip *s, int cell, int left)
{
    int kept = 0;
    for (int i = 0; i < 64 * ROWS_A_CELL; i++) {
        const int at = 64 * ROWS_A_CELL * cell + i;
        const bool stays = kept < left && i % 8 == 0;
        s->window.flags[at] = stays ? WM_PX_ZONE : 0;
        kept += stays;
    }
    assert_int_equal(kept, left);
    s->window.zone_pixels -= (size_t)(64 * ROWS_A_CELL - left);
}

static void open_strip(strip *s)
{
    s->window = window_of(s->pixels, 64, ROWS_A_CELL * s->cells);
}

static void free_strip(strip *s)
{
    wm_window_free(&s->window);
    free(s);
}

/* What becomes of one cell of 25 at a level. */
static unsigned fate_of_level(double level)
{
    strip *s = new_strip(25);
    set_cells(s, 10, 11, level);
    open_strip(s);
    clean(&s->window);
    const unsigned fate = s->window.flags[64 * ROWS_A_CELL * 10 + 70] & WM_PX_DROPPED;
    free_strip(s);
    return fate;
}

static void g3_sheen_and_shadow_from_both_sides(void **state)
{
    (void)state;
    assert_int_equal(fate_of_level(1.53), WM_PX_SHEEN);
    assert_int_equal(fate_of_level(1.47), 0);
    assert_int_equal(fate_of_level(0.57), 0);
    assert_int_equal(fate_of_level(0.53), WM_PX_SHADOW);
}

/* The reference stands at rank 35 of 100: with 34 dark cells of 101 it is the light ones, with 37 the dark ones. */
static void g3_which_cell_stands_for_the_strip(void **state)
{
    (void)state;
    for (int dark = 34; dark <= 37; dark += 3) {
        strip *s = new_strip(101);
        set_cells(s, dark, 101, 2.0);
        open_strip(s);
        const wm_cleaning cleaning = clean(&s->window);
        near("shadow", cleaning.shadow_share, dark == 34 ? 34.0 / 101 : 0, 1e-9);
        near("sheen", cleaning.sheen_share, dark == 34 ? 0 : 64.0 / 101, 1e-9);
        free_strip(s);
    }
}

/* 70 or 71 of 101 cells would go, as sheen and as shadow: beyond 0.7 nothing goes. */
static void g3_nothing_goes_where_most_would(void **state)
{
    (void)state;
    for (int shadow = 20; shadow <= 21; shadow++) {
        strip *s = new_strip(101);
        set_cells(s, 0, shadow, 0.3);
        set_cells(s, 51, 101, 2.0);
        open_strip(s);
        assert_int_equal(clean(&s->window).sheen_everywhere, shadow == 21);
        free_strip(s);
    }
}

/* Cells of fewer than 60 pixels are not judged, strips of fewer than six such cells neither. */
static void g3_too_few_to_judge(void **state)
{
    (void)state;
    for (int pixels = 58; pixels <= 62; pixels += 4) {
        strip *s = new_strip(25);
        set_cells(s, 10, 11, 3.0);
        open_strip(s);
        thin_out(s, 10, pixels);
        assert_int_equal(clean(&s->window).sheen_share > 0, pixels > 60);
        free_strip(s);
    }
    for (int thin = 1; thin <= 2; thin++) {
        strip *s = new_strip(7);
        set_cells(s, 3, 4, 3.0);
        open_strip(s);
        for (int i = 0; i < thin; i++)
            thin_out(s, i, 20);
        assert_int_equal(clean(&s->window).sheen_share > 0, thin == 1);
        free_strip(s);
    }
}

/* A cell speaks by its lower quartile: of 64 columns 15 dark ones are not enough to hide its sheen, 17 are. */
static void g3_which_pixel_speaks_for_a_cell(void **state)
{
    (void)state;
    for (int dark = 15; dark <= 17; dark += 2) {
        strip *s = new_strip(25);
        int left = dark;
        for (int x = 0; x < 64; x++) {
            const bool stays = dark_column(x) && left > 0;
            left -= stays;
            for (int y = 0; y < ROWS_A_CELL; y++)
                s->pixels[64 * (ROWS_A_CELL * 10 + y) + x] = wm_rgb_scale(base, stays ? 1.0 : 3.0);
        }
        open_strip(s);
        assert_int_equal(clean(&s->window).sheen_share > 0, dark == 15);
        free_strip(s);
    }
}

/* Strips are 64 wide, counted from the middle: of three beside each other only the right one has a band of sheen, which
 * ends with it. */
static void g3_how_wide_a_strip_is(void **state)
{
    (void)state;
    enum { WIDE = 192, TALL = 200 };
    static wm_rgb pixels[WIDE * TALL];
    for (int y = 0; y < TALL; y++)
        for (int x = 0; x < WIDE; x++)
            pixels[y * WIDE + x] =
                wm_rgb_scale(base, (dark_column(x) ? 1.0 : 3.0) * (x >= 128 && y >= 80 && y < 88 ? 3.0 : 1.0));
    wm_window window = window_of(pixels, WIDE, TALL);
    clean(&window);
    assert_int_equal(kept_in_row(&window, 84, 0, 128), 128);
    assert_int_equal(kept_in_row(&window, 84, 128, WIDE), 0);
    wm_window_free(&window);
}

static wm_thirds thirds_of_window(const wm_window *window, double bright_y)
{
    wm_lit_cells *cells = NULL;
    assert_int_equal(wm_window_lit_cells(&cells, window, 0, NULL), WM_OK);
    const wm_thirds thirds = wm_lit_cells_thirds(cells, bright_y);
    wm_lit_cells_free(cells);
    return thirds;
}

/* Seven cells of 24 x 12 pixels, the later the lighter; of each the first `bright` pixels are ten times as light. */
static wm_thirds thirds_of_seven(const int bright[7], int without, int last_pixels)
{
    enum { CELL = 24 * 12 };
    static wm_rgb pixels[7 * CELL];
    for (int i = 0; i < 7 * CELL; i++)
        pixels[i] = wm_rgb_scale(base, (1.0 + 0.1 * (i / CELL)) * (i % CELL < bright[i / CELL] ? 10.0 : 1.0));
    wm_window window = window_of(pixels, 24, 84);
    for (int i = 0; i < 7 * CELL; i++)
        if (i / CELL < without || (i / CELL == 6 && i % CELL >= last_pixels))
            window.flags[i] = 0;
    const wm_thirds thirds = thirds_of_window(&window, 3 * wm_rgb_luminance(base));
    wm_window_free(&window);
    return thirds;
}

static void g7_thirds_need_cells(void **state)
{
    (void)state;
    static const int bright[7] = { 0, 0, 72, 144, 144, 144, 144 };
    assert_true(thirds_of_seven(bright, 1, 288).known); /* six cells */
    assert_false(thirds_of_seven(bright, 2, 288).known);
    assert_true(thirds_of_seven(bright, 1, 42).known); /* the last of six has 42 of its pixels, then 38 */
    assert_false(thirds_of_seven(bright, 1, 38).known);
    const wm_thirds seven = thirds_of_seven(bright, 0, 288); /* a third of seven are at least three */
    near("dark third", seven.dark, 0.25 / 3, 1e-9);
    near("light third", seven.light, 0.5, 1e-9);
}

/* A cell's light is that of its 15th percentile: of 288 pixels 43.2. */
static void g7_the_light_of_a_cell(void **state)
{
    (void)state;
    enum { CELL = 24 * 12 };
    static wm_rgb pixels[7 * CELL];
    for (int dark = 41; dark <= 46; dark += 5) {
        for (int i = 0; i < 7 * CELL; i++)
            pixels[i] = wm_rgb_scale(base, i / CELL == 3 && i % CELL < dark ? 0.5 : 1.0);
        wm_window window = window_of(pixels, 24, 84);
        assert_int_equal(thirds_of_window(&window, 1).spread > 0.01, dark == 46);
        wm_window_free(&window);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(g7_the_light_of_a_cell),
                                        cmocka_unit_test(g7_thirds_need_cells),
                                        cmocka_unit_test(g3_how_wide_a_strip_is),
                                        cmocka_unit_test(g3_which_pixel_speaks_for_a_cell),
                                        cmocka_unit_test(g3_too_few_to_judge),
                                        cmocka_unit_test(g3_nothing_goes_where_most_would),
                                        cmocka_unit_test(g3_which_cell_stands_for_the_strip),
                                        cmocka_unit_test(g3_sheen_and_shadow_from_both_sides),
                                        cmocka_unit_test(window_of_a_photo_knows_its_pixels),
                                        cmocka_unit_test(squares_of_a_photo_are_means),
                                        cmocka_unit_test(a_window_around_is_read_beside_its_part),
                                        cmocka_unit_test(large_zones_are_read_in_squares),
                                        cmocka_unit_test(a_try_looks_at_some_rows),
                                        cmocka_unit_test(gv12_sheen_bands_are_dropped),
                                        cmocka_unit_test(g3_follows_the_fibres),
                                        cmocka_unit_test(g3_broad_shadow_is_dropped),
                                        cmocka_unit_test(g3_sheen_everywhere_drops_nothing),
                                        cmocka_unit_test(windows_of_any_size_are_cleaned),
                                        cmocka_unit_test(flat_areas_give_mean_and_spread) };
    return cmocka_run_group_tests_name("sample", tests, NULL, NULL);
}
