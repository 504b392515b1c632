/* zone: one shape and its pixels, patches of a target. Numbers without a source are invented. */
#include "support/near.h"

#include "measure/zone_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static size_t pixels_in(const wm_zone *zone, int width, int height)
{
    wm_box box = wm_zone_box(zone, width, height);
    size_t count = 0;
    for (int y = box.y; y < box.y + box.height; y++)
        for (int x = box.x; x < box.x + box.width; x++)
            count += wm_zone_contains(zone, x, y);
    return count;
}

/* A rect as the option gives it. */
static wm_zone rect(double x, double y, double w, double h)
{
    wm_zone zone = { .kind = WM_ZONE_ROOT };
    assert_true(wm_zone_set_rect(&zone, (double[4]){ x, y, w, h }));
    return zone;
}

/* ---- pixels
 * ---------------------------------------------------------------------------------------------------------------- */

static void rect_covers_width_times_height_pixels(void **state)
{
    (void)state;
    static const struct {
        int x, y, w, h;
    } cases[] = { { 0, 0, 1, 1 }, { 7, 9, 30, 4 }, { 99, 0, 1, 100 }, { 0, 0, 100, 100 } };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wm_zone zone = rect(cases[i].x, cases[i].y, cases[i].w, cases[i].h);
        wm_box box = wm_zone_box(&zone, 100, 100);
        assert_int_equal(box.x, cases[i].x);
        assert_int_equal(box.y, cases[i].y);
        assert_int_equal(box.width, cases[i].w);
        assert_int_equal(box.height, cases[i].h);
        assert_int_equal(pixels_in(&zone, 100, 100), cases[i].w * cases[i].h);
        assert_false(wm_zone_contains(&zone, cases[i].x - 1, cases[i].y));
        assert_false(wm_zone_contains(&zone, cases[i].x + cases[i].w, cases[i].y));
        assert_false(wm_zone_contains(&zone, cases[i].x, cases[i].y + cases[i].h));
        wm_zone_free(&zone);
    }
}

static void pixel_belongs_where_its_centre_lies(void **state)
{
    (void)state;
    wm_zone zone = rect(0.4, 0.4, 1.2, 1.2); /* 0.4 to 1.6 holds the centres 0.5 and 1.5 */
    assert_int_equal(pixels_in(&zone, 10, 10), 4);
    wm_zone_free(&zone);
    zone = rect(0.6, 0.6, 0.8, 0.8); /* between two centres */
    assert_int_equal(pixels_in(&zone, 10, 10), 0);
    assert_int_equal(wm_zone_box(&zone, 10, 10).width, 0);
    wm_zone_free(&zone);
    zone = rect(0.5, 0.5, 1, 1); /* centres on the left and upper edge are in, on the right and lower one out */
    assert_int_equal(pixels_in(&zone, 10, 10), 1);
    assert_true(wm_zone_contains(&zone, 0, 0));
    wm_zone_free(&zone);
}

static wm_zone polygon(wm_point *points, size_t count)
{
    return (wm_zone){ .kind = WM_ZONE_ROOT, .points = points, .point_count = count };
}

/* Triangles that fan out from a point and cover a square share no pixel and leave none out, edges through pixel centres
 * included. */
static void neighbours_share_no_pixel(void **state)
{
    (void)state;
    enum { SIZE = 40 };
    static const wm_point centres[] = { { 20, 20 }, { 20.5, 20.5 }, { 3.25, 31.5 }, { 0.5, 39.5 } };
    wm_point square[] = { { 0, 0 }, { 20.5, 0 }, { SIZE, 0 }, { SIZE, 11.5 }, { SIZE, SIZE }, { 0, SIZE } };
    for (size_t c = 0; c < sizeof centres / sizeof centres[0]; c++) {
        int owners[SIZE][SIZE] = { { 0 } };
        for (size_t i = 0; i < 6; i++) {
            wm_point corners[3] = { centres[c], square[i], square[(i + 1) % 6] };
            wm_zone triangle = polygon(corners, 3);
            for (int y = 0; y < SIZE; y++)
                for (int x = 0; x < SIZE; x++)
                    owners[y][x] += wm_zone_contains(&triangle, x, y);
        }
        for (int y = 0; y < SIZE; y++)
            for (int x = 0; x < SIZE; x++)
                assert_int_equal(owners[y][x], 1);
    }
}

static void rows_answer_as_single_pixels_do(void **state)
{
    (void)state;
    wm_point points[] = { { 3.2, 1.1 },   { 38.0, 6.5 }, { 25.5, 20.5 }, { 37.1, 33.9 },
                          { 12.5, 25.0 }, { 1.0, 38.0 }, { 9.7, 17.2 } };
    wm_zone zone = polygon(points, 7);
    unsigned char row[60];
    size_t inside = 0;
    for (int start = -9; start < 45; start += 9)
        for (int y = -3; y < 45; y++) {
            wm_zone_row(&zone, start, y, 60, row);
            for (int x = 0; x < 60; x++)
                assert_int_equal(row[x], wm_zone_contains(&zone, start + x, y));
        }
    for (int y = 0; y < 40; y++)
        for (int x = 0; x < 40; x++)
            inside += wm_zone_contains(&zone, x, y);
    double area = 0.0;
    for (size_t i = 0; i < 7; i++)
        area += points[i].x * points[(i + 1) % 7].y - points[(i + 1) % 7].x * points[i].y;
    near("pixels of a polygon against its area", (double)inside, fabs(area) / 2.0, 8.0);
}

static void box_is_clipped_to_the_photo(void **state)
{
    (void)state;
    wm_zone zone = rect(-5, -7, 30, 40);
    wm_box box = wm_zone_box(&zone, 20, 10);
    assert_int_equal(box.x, 0);
    assert_int_equal(box.y, 0);
    assert_int_equal(box.width, 20);
    assert_int_equal(box.height, 10);
    wm_zone_free(&zone);
}

/* ---- target patches
 * -------------------------------------------------------------------------------------------------------- */

/* A known homography of the patch grid; its corners are what the stylist marks. */
static wm_point seen(double column, double row)
{
    double w = 1.0 + 0.03 * column - 0.02 * row;
    return (wm_point){ (40.0 + 60.0 * column + 4.0 * row) / w, (25.0 - 3.0 * column + 50.0 * row) / w };
}

static void target_patches_follow_a_known_projection(void **state)
{
    (void)state;
    enum { ROWS = 4, COLUMNS = 6 };
    wm_point corners[4] = { seen(0, 0), seen(COLUMNS - 1, 0), seen(COLUMNS - 1, ROWS - 1), seen(0, ROWS - 1) };
    wm_zone target = { .kind = WM_ZONE_TARGET, .points = corners, .point_count = 4, .rows = ROWS, .columns = COLUMNS };
    worst_reset();
    for (int row = 0; row < ROWS; row++)
        for (int column = 0; column < COLUMNS; column++) {
            wm_point patch[4];
            assert_true(wm_zone_target_patch(&target, row, column, patch));
            static const double du[4] = { -0.25, 0.25, 0.25, -0.25 }, dv[4] = { -0.25, -0.25, 0.25, 0.25 };
            for (int i = 0; i < 4; i++) { /* the middle half of the cell */
                wm_point want = seen(column + du[i], row + dv[i]);
                near("patch x", patch[i].x, want.x, 1e-9);
                near("patch y", patch[i].y, want.y, 1e-9);
            }
        }
    worst_print("target patches");
}

static void target_patch_refuses_degenerate_corners(void **state)
{
    (void)state;
    wm_point line[4] = { { 0, 0 }, { 10, 10 }, { 20, 20 }, { 30, 30 } },
             bow[4] = { { 0, 0 }, { 10, 0 }, { 0, 10 }, { 10, 10 } };
    wm_point points[4] = { { -1, -1 }, { -1, -1 }, { -1, -1 }, { -1, -1 } };
    wm_zone target = { .kind = WM_ZONE_TARGET, .points = line, .point_count = 4, .rows = 3, .columns = 3 };
    assert_false(wm_zone_target_patch(&target, 0, 0, points));
    target.points = bow;
    assert_false(wm_zone_target_patch(&target, 0, 0, points));
    target.points = (wm_point[]){ { 0, 0 }, { 10, 0 }, { 10, 10 }, { 0, 10 } };
    target.rows = 1;
    assert_false(wm_zone_target_patch(&target, 0, 0, points));
    assert_true(points[0].x < 0.0);
}

/* Outer corners of a sheet, 2 rows of 3, seen straight on: cells of 100 x 100, of each the middle half. */
static void a_sheet_is_cut_into_even_cells(void **state)
{
    (void)state;
    const wm_point outline[4] = { { 10, 20 }, { 310, 20 }, { 310, 220 }, { 10, 220 } };
    wm_point cell[4];
    assert_true(wm_zone_grid_cell(outline, (int[2]){ 2, 3 }, 5, cell));
    near("left", cell[0].x, 10 + 200 + 25, 1e-9);
    near("top", cell[0].y, 20 + 100 + 25, 1e-9);
    near("right", cell[2].x, 10 + 300 - 25, 1e-9);
    near("bottom", cell[2].y, 20 + 200 - 25, 1e-9);
    assert_true(wm_zone_grid_cell(outline, (int[2]){ 1, 1 }, 0, cell));
    near("one cell", cell[2].x, 310 - 75, 1e-9);
    const wm_point crossed[4] = { { 10, 20 }, { 310, 220 }, { 310, 20 }, { 10, 220 } };
    assert_false(wm_zone_grid_cell(crossed, (int[2]){ 2, 3 }, 0, cell));
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(rect_covers_width_times_height_pixels),
                                        cmocka_unit_test(pixel_belongs_where_its_centre_lies),
                                        cmocka_unit_test(neighbours_share_no_pixel),
                                        cmocka_unit_test(rows_answer_as_single_pixels_do),
                                        cmocka_unit_test(box_is_clipped_to_the_photo),
                                        cmocka_unit_test(target_patches_follow_a_known_projection),
                                        cmocka_unit_test(target_patch_refuses_degenerate_corners),
                                        cmocka_unit_test(a_sheet_is_cut_into_even_cells) };
    return cmocka_run_group_tests_name("zone", tests, NULL, NULL);
}
