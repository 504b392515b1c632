/* zone: shapes, their pixels, the option, the zones file and its messages. Numbers without a source are invented. */
#include "support/near.h"

#include "core/buf.h"
#include "core/file.h"
#include "measure/zone.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FILE_NAME "salon/zones.json"

static wm_status add_json(wm_zones *zones, const char *json, wm_notes *notes, wm_error *err)
{
    return wm_zones_add_json(zones, json, strlen(json), FILE_NAME, notes, err);
}

static size_t pixels_in(const wm_zone *zone, int width, int height)
{
    wm_box box = wm_zone_box(zone, width, height);
    size_t count = 0;
    for (int y = box.y; y < box.y + box.height; y++)
        for (int x = box.x; x < box.x + box.width; x++)
            count += wm_zone_contains(zone, x, y);
    return count;
}

static wm_zones from_option(const char *option)
{
    wm_zones zones = {0};
    wm_error err = {0};
    if (wm_zones_add_option(&zones, option, NULL, &err))
        fail_msg("%s: %s", option, err.text);
    return zones;
}

/* ---- pixels ---------------------------------------------------------------------------------------------------------------- */

static void rect_covers_width_times_height_pixels(void **state)
{
    (void)state;
    static const struct { const char *option; int x, y, w, h; } cases[] = {
        {"root=0,0,1,1", 0, 0, 1, 1}, {"root=7,9,30,4", 7, 9, 30, 4}, {"mid=99,0,1,100", 99, 0, 1, 100}, {"ends=0,0,100,100", 0, 0, 100, 100}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wm_zones zones = from_option(cases[i].option);
        wm_box box = wm_zone_box(&zones.items[0], 100, 100);
        assert_int_equal(box.x, cases[i].x);
        assert_int_equal(box.y, cases[i].y);
        assert_int_equal(box.width, cases[i].w);
        assert_int_equal(box.height, cases[i].h);
        assert_int_equal(pixels_in(&zones.items[0], 100, 100), cases[i].w * cases[i].h);
        assert_false(wm_zone_contains(&zones.items[0], cases[i].x - 1, cases[i].y));
        assert_false(wm_zone_contains(&zones.items[0], cases[i].x + cases[i].w, cases[i].y));
        assert_false(wm_zone_contains(&zones.items[0], cases[i].x, cases[i].y + cases[i].h));
        wm_zones_free(&zones);
    }
}

static void pixel_belongs_where_its_centre_lies(void **state)
{
    (void)state;
    wm_zones zones = from_option("root=0.4,0.4,1.2,1.2"); /* 0.4 to 1.6 holds the centres 0.5 and 1.5 */
    assert_int_equal(pixels_in(&zones.items[0], 10, 10), 4);
    wm_zones_free(&zones);
    zones = from_option("root=0.6,0.6,0.8,0.8"); /* between two centres */
    assert_int_equal(pixels_in(&zones.items[0], 10, 10), 0);
    assert_int_equal(wm_zone_box(&zones.items[0], 10, 10).width, 0);
    wm_zones_free(&zones);
    zones = from_option("root=0.5,0.5,1,1"); /* centres on the left and upper edge are in, on the right and lower one out */
    assert_int_equal(pixels_in(&zones.items[0], 10, 10), 1);
    assert_true(wm_zone_contains(&zones.items[0], 0, 0));
    wm_zones_free(&zones);
}

static wm_zone polygon(wm_point *points, size_t count)
{
    return (wm_zone){.kind = WM_ZONE_ROOT, .points = points, .point_count = count};
}

/* Triangles that fan out from a point and cover a square share no pixel and leave none out, edges through pixel centres included. */
static void neighbours_share_no_pixel(void **state)
{
    (void)state;
    enum { SIZE = 40 };
    static const wm_point centres[] = {{20, 20}, {20.5, 20.5}, {3.25, 31.5}, {0.5, 39.5}};
    wm_point square[] = {{0, 0}, {20.5, 0}, {SIZE, 0}, {SIZE, 11.5}, {SIZE, SIZE}, {0, SIZE}};
    for (size_t c = 0; c < sizeof centres / sizeof centres[0]; c++) {
        int owners[SIZE][SIZE] = {{0}};
        for (size_t i = 0; i < 6; i++) {
            wm_point corners[3] = {centres[c], square[i], square[(i + 1) % 6]};
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
    wm_point points[] = {{3.2, 1.1}, {38.0, 6.5}, {25.5, 20.5}, {37.1, 33.9}, {12.5, 25.0}, {1.0, 38.0}, {9.7, 17.2}};
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
    wm_zones zones = from_option("root=-5,-7,30,40");
    wm_box box = wm_zone_box(&zones.items[0], 20, 10);
    assert_int_equal(box.x, 0);
    assert_int_equal(box.y, 0);
    assert_int_equal(box.width, 20);
    assert_int_equal(box.height, 10);
    wm_zones_free(&zones);
}

/* ---- target patches -------------------------------------------------------------------------------------------------------- */

/* A known homography of the patch grid; its corners are what the stylist marks. */
static wm_point seen(double column, double row)
{
    double w = 1.0 + 0.03 * column - 0.02 * row;
    return (wm_point){(40.0 + 60.0 * column + 4.0 * row) / w, (25.0 - 3.0 * column + 50.0 * row) / w};
}

static void target_patches_follow_a_known_projection(void **state)
{
    (void)state;
    enum { ROWS = 4, COLUMNS = 6 };
    wm_point corners[4] = {seen(0, 0), seen(COLUMNS - 1, 0), seen(COLUMNS - 1, ROWS - 1), seen(0, ROWS - 1)};
    wm_zone target = {.kind = WM_ZONE_TARGET, .points = corners, .point_count = 4, .rows = ROWS, .columns = COLUMNS};
    worst_reset();
    for (int row = 0; row < ROWS; row++)
        for (int column = 0; column < COLUMNS; column++) {
            wm_point patch[4];
            assert_true(wm_zone_target_patch(&target, row, column, patch));
            static const double du[4] = {-0.25, 0.25, 0.25, -0.25}, dv[4] = {-0.25, -0.25, 0.25, 0.25};
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
    wm_point line[4] = {{0, 0}, {10, 10}, {20, 20}, {30, 30}}, bow[4] = {{0, 0}, {10, 0}, {0, 10}, {10, 10}};
    wm_point points[4] = {{-1, -1}, {-1, -1}, {-1, -1}, {-1, -1}};
    wm_zone target = {.kind = WM_ZONE_TARGET, .points = line, .point_count = 4, .rows = 3, .columns = 3};
    assert_false(wm_zone_target_patch(&target, 0, 0, points));
    target.points = bow;
    assert_false(wm_zone_target_patch(&target, 0, 0, points));
    target.points = (wm_point[]){{0, 0}, {10, 0}, {10, 10}, {0, 10}};
    target.rows = 1;
    assert_false(wm_zone_target_patch(&target, 0, 0, points));
    assert_true(points[0].x < 0.0);
}

/* ---- the option ------------------------------------------------------------------------------------------------------------ */

static void option_gives_kind_name_and_rect(void **state)
{
    (void)state;
    wm_zones zones = {0};
    wm_error err = {0};
    wm_lab white = {95.0, 0.5, -1.0};
    assert_int_equal(wm_zones_add_option(&zones, "root:left = right=410,300.5,60,40", NULL, &err), WM_OK);
    assert_int_equal(wm_zones_add_option(&zones, "gray=1,2,3,4", NULL, &err), WM_OK);
    assert_int_equal(wm_zones_add_option(&zones, "card=5,6,7,8", NULL, &err), WM_OK);
    assert_int_equal(wm_zones_add_option(&zones, "card=5,60,7,8", &white, &err), WM_OK);
    assert_int_equal(zones.count, 4);
    assert_string_equal(zones.items[0].name, "left = right");
    assert_true(zones.items[0].is_rect);
    near("x", zones.items[0].points[0].x, 410.0, 0.0);
    near("bottom", zones.items[0].points[2].y, 340.5, 0.0);
    assert_string_equal(zones.items[1].name, "gray");
    assert_int_equal(zones.items[1].kind, WM_ZONE_GRAY);
    assert_string_equal(zones.items[2].name, "");
    near("18.4 % gray card", zones.items[2].lab.L, 50.0, 0.0);
    near("given card", zones.items[3].lab.b, -1.0, 0.0);
    wm_zones_free(&zones);
}

static void option_faults_have_their_status_and_words(void **state)
{
    (void)state;
    static const struct { const char *option; wm_status status; const char *words; } cases[] = {
        {"", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"=1,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,2,3", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,2,3,4,5", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,2,3,", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,2,3,4 ", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,5,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=nan,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,2,inf,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1e999,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=0x10,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"averyveryverylongkindindeed=1,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H"},
        {"root=1,2,0,4", WM_E_INPUT, "its rect is empty"},
        {"root=1,2,3,-4", WM_E_INPUT, "its rect is empty"},
        {"root=1,2,3,2000000", WM_E_INPUT, "above a million"},
        {"end=1,2,3,4", WM_E_INPUT, "unknown kind 'end'; did you mean 'ends'?"},
        {"fringe=1,2,3,4", WM_E_INPUT, "unknown kind 'fringe'; kinds are root, mid, ends, gray, swatch, card and target"},
        {"swatch=1,2,3,4", WM_E_INPUT, "a swatch can't be given in an option; write it into a zones file"},
        {"target=1,2,3,4", WM_E_INPUT, "a target can't be given in an option"},
        {"root:=1,2,3,4", WM_E_INPUT, "its name is empty"},
        {"root:\xff=1,2,3,4", WM_E_INPUT, "its name is not UTF-8"},
        {"root:a\tb=1,2,3,4", WM_E_INPUT, "its name has a control character"},
        {"root:aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa=1,2,3,4", WM_E_INPUT, "longer than 64 bytes"},
        {"root:crown=1,2,3,4", WM_E_INPUT, "zone 'crown': two client zones have this name"}};
    wm_zones zones = from_option("mid:crown=0,0,5,5");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wm_error err = {0};
        wm_status status = wm_zones_add_option(&zones, cases[i].option, NULL, &err);
        if (status != cases[i].status || !strstr(err.text, cases[i].words))
            fail_msg("%s: %d %s", cases[i].option, (int)status, err.text);
        assert_int_equal(zones.count, 1);
    }
    wm_zones_free(&zones);
}

/* ---- the file -------------------------------------------------------------------------------------------------------------- */

static const char whole[] =
    "{ \"format\": 1, \"photo\": \"client.jpg\", \"zones\": ["
    "{\"kind\": \"root\", \"name\": \"crown\", \"rect\": [410, 300, 60, 40]},"
    "{\"kind\": \"mid\", \"rect\": [400, 500, 90, 80], \"gray_free\": true},"
    "{\"kind\": \"gray\", \"name\": \"left temple\", \"polygon\": [[612,340],[660,352],[650,420],[600,410]]},"
    "{\"kind\": \"swatch\", \"code\": \"oat\", \"at\": \"left temple\", \"rect\": [900, 300, 120, 60]},"
    "{\"kind\": \"card\", \"rect\": [30, 900, 80, 80], \"lab\": [92.5, -0.25, 1]},"
    "{\"kind\": \"target\", \"corners\": [[10,10],[310,12],[308,210],[12,208]], \"rows\": 3, \"columns\": 5, \"reference\": \"target.txt\"} ] }";

static void assert_whole(const wm_zones *zones, const char *reference)
{
    assert_int_equal(zones->count, 6);
    assert_string_equal(zones->photo, "client.jpg");
    assert_string_equal(zones->items[0].name, "crown");
    assert_string_equal(zones->items[1].name, "mid");
    assert_true(zones->items[1].gray_free);
    assert_false(zones->items[0].gray_free);
    assert_int_equal(zones->items[2].point_count, 4);
    assert_false(zones->items[2].is_rect);
    near("polygon", zones->items[2].points[3].x, 600.0, 0.0);
    assert_string_equal(zones->items[3].code, "oat");
    assert_string_equal(zones->items[3].at, "left temple");
    assert_string_equal(zones->items[3].name, "");
    near("card L", zones->items[4].lab.L, 92.5, 0.0);
    near("card a", zones->items[4].lab.a, -0.25, 0.0);
    assert_int_equal(zones->items[5].rows, 3);
    assert_int_equal(zones->items[5].columns, 5);
    assert_string_equal(zones->items[5].reference, reference);
}

static void file_of_every_kind_is_read_and_written_back(void **state)
{
    (void)state;
    wm_zones zones = {0}, again = {0};
    wm_notes notes = {0};
    wm_error err = {0};
    wm_buf buf = {0}, second = {0};
    assert_int_equal(add_json(&zones, whole, &notes, &err), WM_OK);
    assert_whole(&zones, "salon/target.txt");
    assert_int_equal(wm_zones_check(&zones, 1200, 1000, "photos/client.jpg", &notes, &err), WM_OK);
    assert_int_equal(notes.count, 0);
    wm_zones_write_json(&buf, &zones, NULL);
    assert_int_equal(wm_buf_status(&buf, &err), WM_OK);
    assert_int_equal(wm_zones_add_json(&again, buf.data, buf.size, NULL, &notes, &err), WM_OK);
    assert_whole(&again, "salon/target.txt");
    assert_int_equal(notes.count, 0);
    wm_zones_write_json(&second, &again, NULL);
    assert_string_equal(buf.data, second.data);
    wm_buf_free(&buf);
    wm_buf_free(&second);
    wm_zones_free(&again);
    wm_zones_free(&zones);
}

static void fractions_survive_writing(void **state)
{
    (void)state;
    wm_zones zones = from_option("root=0.1,2.25,3.333333,1e2"), again = {0};
    wm_buf buf = {0};
    wm_error err = {0};
    wm_zones_write_json(&buf, &zones, "a \"b\".jpg");
    assert_non_null(strstr(buf.data, "\"rect\": [0.1, 2.25, 3.333333, 100]"));
    assert_int_equal(wm_zones_add_json(&again, buf.data, buf.size, NULL, NULL, &err), WM_OK);
    assert_string_equal(again.photo, "a \"b\".jpg");
    near("rect", again.items[0].points[2].x, zones.items[0].points[2].x, 1e-6);
    wm_buf_free(&buf);
    wm_zones_free(&zones);
    wm_zones_free(&again);
}

static void resting_and_closing_points_are_dropped(void **state)
{
    (void)state;
    wm_zones zones = {0};
    wm_error err = {0};
    static const char json[] = "{\"format\":1,\"zones\":[{\"kind\":\"ends\",\"polygon\":[[0,0],[0,0],[9,0],[9,9],[9,9],[9,9],[0,9],[0,0]]}]}";
    assert_int_equal(add_json(&zones, json, NULL, &err), WM_OK);
    assert_int_equal(zones.items[0].point_count, 4);
    assert_int_equal(pixels_in(&zones.items[0], 20, 20), 81);
    wm_zones_free(&zones);
}

#define ZONE(inside) "{\"format\":1,\"zones\":[" inside "]}"
#define TARGET(inside) ZONE("{\"kind\":\"target\"," inside "}")
#define SQUARE "\"corners\":[[0,0],[9,0],[9,9],[0,9]]"

static const struct { const char *json, *words; } file_faults[] = {
    {"", "not valid JSON"},
    {"[]", "this is no zones file: it holds a list"},
    {"7", "this is no zones file"},
    {"{\"format\":1", "not valid JSON"},
    {"{}", "'format' is missing"},
    {"{\"format\":\"1\",\"zones\":[]}", "'format' is a text"},
    {"{\"format\":2,\"zones\":[]}", "newer format"},
    {"{\"format\":0,\"zones\":[]}", "not of format 1"},
    {"{\"format\":1}", "'zones' is missing"},
    {"{\"format\":1,\"zones\":{}}", "'zones' is an object"},
    {"{\"format\":1,\"photo\":5,\"zones\":[]}", "'photo' is a number"},
    {ZONE("7"), "zone 1: it is a number"},
    {ZONE("{}"), "zone 1: 'kind' is missing"},
    {ZONE("{\"kind\":7}"), "zone 1: 'kind' is a number"},
    {ZONE("{\"kind\":\"end\",\"rect\":[1,2,3,4]}"), "zone 1 (end): unknown kind 'end'; did you mean 'ends'?"},
    {ZONE("{\"kind\":\"Root\",\"rect\":[1,2,3,4]}"), "unknown kind 'Root'; did you mean 'root'?"},
    {ZONE("{\"kind\":\"fringe\",\"name\":\"front\"}"), "zone 'front': unknown kind 'fringe'; kinds are"},
    {ZONE("{\"kind\":\"root\"}"), "zone 1 (root): it has no shape"},
    {ZONE("{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[1,2,3,4],\"polygon\":[]}"), "zone 'crown': it has both"},
    {ZONE("{\"kind\":\"root\",\"name\":7,\"rect\":[1,2,3,4]}"), "zone 1 (root): 'name' is a number"},
    {ZONE("{\"kind\":\"root\",\"name\":\"\",\"rect\":[1,2,3,4]}"), "zone 1 (root): 'name' is empty"},
    {ZONE("{\"kind\":\"root\",\"name\":\"a\\nb\",\"rect\":[1,2,3,4]}"), "control character"},
    {ZONE("{\"kind\":\"root\",\"rect\":\"1,2,3,4\"}"), "zone 1 (root): 'rect' is a text"},
    {ZONE("{\"kind\":\"root\",\"rect\":null}"), "zone 1 (root): 'rect' is null"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3]}"), "'rect' is not [X, Y, width, height]"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,\"4\"]}"), "'rect' is not [X, Y, width, height]"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,1e400]}"), "not valid JSON"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,1e300]}"), "above a million"},
    {ZONE("{\"kind\":\"mid\",\"rect\":[1,2,3,4]},{\"kind\":\"root\",\"rect\":[1,2,0,4]}"), "zone 2 (root): its rect is empty"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,-4]}"), "its rect is empty"},
    {ZONE("{\"kind\":\"root\",\"polygon\":7}"), "'polygon' is a number"},
    {ZONE("{\"kind\":\"root\",\"polygon\":[]}"), "its polygon is empty"},
    {ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2]]}"), "fewer than three"},
    {ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2],[3,3]]}"), "lie on one line"},
    {ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2,2],[3,1]]}"), "point 2 of 'polygon' is not [x, y]"},
    {ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,true],[3,1]]}"), "point 2 of 'polygon' is not [x, y]"},
    {ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2e6],[3,1]]}"), "point 2 of 'polygon' has a number above a million"},
    {ZONE("{\"kind\":\"gray\",\"name\":\"bow\",\"polygon\":[[0,0],[9,9],[9,0],[0,5]]}"), "zone 'bow': its polygon crosses or touches itself"},
    {ZONE("{\"kind\":\"gray\",\"polygon\":[[0,0],[9,0],[9,9],[5,0],[0,9]]}"), "crosses or touches itself"},
    {ZONE("{\"kind\":\"gray\",\"polygon\":[[0,0],[9,0],[9,9],[9,3],[0,3]]}"), "crosses or touches itself"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,4],\"gray_free\":\"yes\"}"), "'gray_free' is a text; give true or false"},
    {ZONE("{\"kind\":\"root\",\"name\":\"a\",\"rect\":[1,2,3,4]},{\"kind\":\"mid\",\"name\":\"a\",\"rect\":[1,2,3,4]}"),
        "zone 'a': two client zones have this name"},
    {ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,4]},{\"kind\":\"root\",\"rect\":[9,2,3,4]}"), "zone 'root': two client zones"},
    {ZONE("{\"kind\":\"root\",\"kind\":\"mid\",\"rect\":[1,2,3,4]}"), "not valid JSON"},
    {ZONE("{\"kind\":\"swatch\",\"rect\":[1,2,3,4]}"), "zone 1 (swatch): 'code' is missing"},
    {ZONE("{\"kind\":\"swatch\",\"code\":5,\"rect\":[1,2,3,4]}"), "'code' is a number"},
    {ZONE("{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":5,\"rect\":[1,2,3,4]}"), "zone 1 (swatch oat): 'at' is a number"},
    {ZONE("{\"kind\":\"card\",\"rect\":[1,2,3,4],\"lab\":50}"), "zone 1 (card): 'lab' is a number"},
    {ZONE("{\"kind\":\"card\",\"rect\":[1,2,3,4],\"lab\":[50,0]}"), "'lab' is not [L, a, b]"},
    {ZONE("{\"kind\":\"card\",\"rect\":[1,2,3,4],\"lab\":[101,0,0]}"), "'lab' is outside"},
    {TARGET(SQUARE ",\"rows\":3,\"columns\":5"), "zone 1 (target): 'reference' is missing"},
    {TARGET(SQUARE ",\"rows\":3,\"reference\":\"t.txt\""), "'columns' is missing"},
    {TARGET(SQUARE ",\"rows\":1,\"columns\":5,\"reference\":\"t.txt\""), "'rows' must be a whole number from 2 to 100"},
    {TARGET(SQUARE ",\"rows\":2.5,\"columns\":5,\"reference\":\"t.txt\""), "'rows' must be a whole number"},
    {TARGET(SQUARE ",\"rows\":2,\"columns\":101,\"reference\":\"t.txt\""), "'columns' must be a whole number"},
    {TARGET("\"rows\":2,\"columns\":2,\"reference\":\"t.txt\""), "'corners' is missing"},
    {TARGET("\"corners\":[[0,0],[9,0],[9,9]],\"rows\":2,\"columns\":2,\"reference\":\"t.txt\""), "'corners' has 3 points"},
    {TARGET("\"corners\":[[0,0],[9,0],[0,9],[9,9]],\"rows\":2,\"columns\":2,\"reference\":\"t.txt\""), "make no four-sided shape"},
    {TARGET("\"corners\":[[0,0],[9,0],[4,4],[0,9]],\"rows\":2,\"columns\":2,\"reference\":7"), "'reference' is a number"}};

static void file_faults_name_the_zone_and_add_nothing(void **state)
{
    (void)state;
    wm_zones zones = from_option("root:kept=0,0,5,5");
    for (size_t i = 0; i < sizeof file_faults / sizeof file_faults[0]; i++) {
        wm_error err = {0};
        wm_notes notes = {0};
        wm_status status = add_json(&zones, file_faults[i].json, &notes, &err);
        if (status != WM_E_INPUT || !strstr(err.text, file_faults[i].words))
            fail_msg("%s: %d %s", file_faults[i].json, (int)status, err.text);
        assert_string_equal(err.file, FILE_NAME);
        assert_null(strchr(err.text, '\n'));
        assert_int_equal(zones.count, 1);
        assert_null(zones.photo);
        wm_notes_free(&notes);
    }
    assert_int_equal(add_json(&zones, "[]", NULL, NULL), WM_E_INPUT);
    wm_zones_free(&zones);
}

static void unknown_keys_are_notes(void **state)
{
    (void)state;
    wm_zones zones = {0};
    wm_notes notes = {0};
    wm_error err = {0};
    static const char json[] = "{\"format\":1,\"zone\":[],\"zones\":[{\"kind\":\"root\",\"rect\":[0,0,9,9],\"grey_free\":true,\"lab\":[1,2,3]},"
                               "{\"kind\":\"card\",\"rect\":[20,20,9,9],\"colour\":1}]}";
    assert_int_equal(add_json(&zones, json, &notes, &err), WM_OK);
    assert_int_equal(notes.count, 4);
    for (size_t i = 0; i < notes.count; i++)
        assert_string_equal(notes.items[i].code, "unknown_key");
    assert_non_null(strstr(notes.items[0].text, "zone 1 (root): the key 'grey_free' means nothing here and is ignored; did you mean 'gray_free'?"));
    assert_non_null(strstr(notes.items[1].text, "the key 'lab'"));
    assert_non_null(strstr(notes.items[2].text, "zone 2 (card): the key 'colour'"));
    assert_non_null(strstr(notes.items[3].text, "zones file: the key 'zone' means nothing here and is ignored; did you mean 'zones'?"));
    assert_false(zones.items[0].gray_free);
    wm_notes_free(&notes);
    wm_zones_free(&zones);
}

static void limits_hold(void **state)
{
    (void)state;
    wm_zones zones = {0};
    wm_error err = {0};
    wm_buf buf = {0};
    wm_buf_text(&buf, "{\"format\":1,\"zones\":[");
    for (int i = 0; i < 1001; i++)
        wm_buf_format(&buf, "%s{\"kind\":\"card\",\"rect\":[%d,0,1,1]}", i ? "," : "", i);
    wm_buf_text(&buf, "]}");
    assert_int_equal(wm_zones_add_json(&zones, buf.data, buf.size, NULL, NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "more than 1000 zones"));
    assert_int_equal(zones.count, 0);
    wm_buf_free(&buf);
    wm_buf_text(&buf, "{\"format\":1,\"zones\":[{\"kind\":\"root\",\"polygon\":[");
    for (int i = 0; i < 10001; i++)
        wm_buf_format(&buf, "%s[%d,%d]", i ? "," : "", i, i * i % 97);
    wm_buf_text(&buf, "]}]}");
    assert_int_equal(wm_zones_add_json(&zones, buf.data, buf.size, NULL, NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "more than 10000 points"));
    wm_buf_free(&buf);
    wm_zones_free(&zones);
}

static void file_is_read_from_disk(void **state)
{
    (void)state;
    char folder[] = "/tmp/zone-test-XXXXXX", path[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/zones.json", folder);
    wm_zones zones = {0};
    wm_error err = {0};
    assert_int_equal(wm_zones_add_file(&zones, path, NULL, &err), WM_E_INPUT);
    assert_string_equal(err.file, path);
    assert_int_equal(wm_file_write(path, whole, sizeof whole - 1, 0, &err), WM_OK);
    assert_int_equal(wm_zones_add_file(&zones, path, NULL, &err), WM_OK);
    assert_int_equal(zones.count, 6);
    assert_memory_equal(zones.items[5].reference, folder, strlen(folder));
    wm_zones_free(&zones);
    remove(path);
    remove(folder);
}

/* ---- against the photo ----------------------------------------------------------------------------------------------------- */

#define ROOT "{\"kind\":\"root\",\"rect\":[0,0,9,9]},"

static void check_names_the_zone_at_fault(void **state)
{
    (void)state;
    static const struct { const char *json, *words; } cases[] = {
        {ZONE(""), "no client zone is given"},
        {ZONE("{\"kind\":\"card\",\"rect\":[0,0,9,9]}"), "no client zone is given"},
        {ZONE("{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[95,0,9,9]}"),
            "zone 'crown': it reaches outside the photo (it spans x 95 to 104, y 0 to 9; the photo is 100 x 80 upright)"},
        {ZONE("{\"kind\":\"root\",\"rect\":[-1,0,9,9]}"), "zone 'root': it reaches outside"},
        {ZONE("{\"kind\":\"root\",\"rect\":[0,200,9,9]}"), "zone 'root': it lies outside"},
        {ZONE("{\"kind\":\"root\",\"polygon\":[[0,0],[9,0],[9,80.1]]}"), "it reaches outside"},
        {ZONE("{\"kind\":\"root\",\"rect\":[0.6,0,0.8,9]}"), "zone 'root': it is empty"},
        {ZONE(ROOT "{\"kind\":\"card\",\"rect\":[100,0,9,9]}"), "zone 2 (card): it lies outside"},
        {ZONE(ROOT "{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":\"roof\",\"rect\":[20,0,9,9]}"),
            "zone 2 (swatch oat): it is held at 'roof', but no client zone has that name; did you mean 'root'?"},
        {ZONE(ROOT "{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":\"neck\",\"rect\":[20,0,9,9]}"), "correct 'at' or leave it out"},
        {ZONE(ROOT "{\"kind\":\"target\",\"corners\":[[21,1],[101,1],[60,40],[21,40]],\"rows\":2,\"columns\":2,\"reference\":\"t\"}"),
            "zone 2 (target): it reaches outside"},
        {ZONE(ROOT "{\"kind\":\"target\",\"corners\":[[21,21],[24,21],[24,24],[21,24]],\"rows\":9,\"columns\":9,\"reference\":\"t\"}"),
            "zone 2 (target), patch 1,1: it is empty"},
        {ZONE(ROOT "{\"kind\":\"target\",\"corners\":[[45,20],[55,20],[99,70],[1,70]],\"rows\":2,\"columns\":2,\"reference\":\"t\"}"),
            "seen from too steep"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wm_zones zones = {0};
        wm_error err = {0};
        if (add_json(&zones, cases[i].json, NULL, &err))
            fail_msg("%s: %s", cases[i].json, err.text);
        wm_status status = wm_zones_check(&zones, 100, 80, "x.jpg", NULL, &err);
        if (status != WM_E_INPUT || !strstr(err.text, cases[i].words))
            fail_msg("%s: %d %s", cases[i].json, (int)status, err.text);
        wm_zones_free(&zones);
    }
}

static void check_refuses_a_zone_of_too_many_pixels(void **state)
{
    (void)state;
    wm_zones zones = from_option("mid=0,0,4001,4000");
    wm_error err = {0};
    assert_int_equal(wm_zones_check(&zones, 5000, 4000, NULL, NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "more than 16 megapixels"));
    wm_zones_free(&zones);
    zones = from_option("mid=0,0,4000,4000");
    assert_int_equal(wm_zones_check(&zones, 5000, 4000, NULL, NULL, &err), WM_OK);
    wm_zones_free(&zones);
}

static void check_notes_another_photo_and_overlap(void **state)
{
    (void)state;
    wm_zones zones = {0};
    wm_notes notes = {0};
    wm_error err = {0};
    static const char json[] = "{\"format\":1,\"photo\":\"old.jpg\",\"zones\":[{\"kind\":\"root\",\"polygon\":[[0,0],[30,0],[0,30]]},"
                               "{\"kind\":\"mid\",\"rect\":[0,0,10,10]},{\"kind\":\"card\",\"rect\":[20,20,10,10]},"
                               "{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":\"root\",\"rect\":[10,10,9,9]}]}";
    assert_int_equal(add_json(&zones, json, &notes, &err), WM_OK);
    assert_int_equal(wm_zones_check(&zones, 100, 80, "in/new.jpg", &notes, &err), WM_OK);
    assert_int_equal(notes.count, 2);
    assert_string_equal(notes.items[0].code, "other_photo");
    assert_non_null(strstr(notes.items[0].text, "'old.jpg', not on 'new.jpg'"));
    assert_string_equal(notes.items[1].code, "zones_overlap"); /* the card only touches the triangle's box */
    assert_non_null(strstr(notes.items[1].text, "zone 4 (swatch oat) covers part of zone 'root'"));
    wm_notes_free(&notes);
    wm_zones_free(&zones);
}

/* ---- hostile bytes --------------------------------------------------------------------------------------------------------- */

static uint32_t random_step(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

/* Every mutation is either read into shapes that hold together or refused with one line about this file. */
static void mutated_files_are_read_or_refused_cleanly(void **state)
{
    (void)state;
    static const char *const pieces[] = {"0", "-1", "1e9", "1e-300", "null", "true", "[]", "{}", "\"\"", "\"end\"", "[[0,0]]", ",", "\\u0000", "\xff",
        "99999999999999999999", "\"swatch\"", "\"target\"", "\"polygon\"", "\"corners\""};
    enum { PIECES = sizeof pieces / sizeof pieces[0], TRIES = 6000 };
    uint32_t seed = 20240229u;
    size_t read = 0;
    for (int i = 0; i < TRIES; i++) {
        wm_buf buf = {0};
        size_t size = sizeof whole - 1, cut = random_step(&seed) % size, skip = random_step(&seed) % 12;
        bool token = random_step(&seed) % 2; /* replace a whole number, else tear anywhere */
        if (token) {
            cut += strcspn(whole + cut, "0123456789");
            skip = strspn(whole + cut, "0123456789");
        }
        size_t resume = cut + skip < size ? cut + skip : size;
        wm_buf_bytes(&buf, whole, cut);
        wm_buf_text(&buf, pieces[random_step(&seed) % PIECES]);
        wm_buf_bytes(&buf, whole + resume, size - resume);
        if (!token)
            buf.data[random_step(&seed) % buf.size] = "0123456789.,[]{}\":-e\x01"[random_step(&seed) % 21];
        wm_zones zones = {0};
        wm_notes notes = {0};
        wm_error err = {0};
        wm_status status = wm_zones_add_json(&zones, buf.data, buf.size, FILE_NAME, &notes, &err);
        if (status) {
            assert_int_equal(status, WM_E_INPUT);
            assert_true(err.text[0] && !strchr(err.text, '\n'));
            assert_int_equal(zones.count, 0);
        } else {
            status = wm_zones_check(&zones, 1200, 1000, "client.jpg", &notes, &err);
            assert_true(status == WM_OK || status == WM_E_INPUT);
            read++;
        }
        wm_zones_free(&zones);
        wm_notes_free(&notes);
        wm_buf_free(&buf);
    }
    printf("# %d mutated zones files, %zu still readable\n", TRIES, read);
    assert_true(read > TRIES / 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rect_covers_width_times_height_pixels),
        cmocka_unit_test(pixel_belongs_where_its_centre_lies),
        cmocka_unit_test(neighbours_share_no_pixel),
        cmocka_unit_test(rows_answer_as_single_pixels_do),
        cmocka_unit_test(box_is_clipped_to_the_photo),
        cmocka_unit_test(target_patches_follow_a_known_projection),
        cmocka_unit_test(target_patch_refuses_degenerate_corners),
        cmocka_unit_test(option_gives_kind_name_and_rect),
        cmocka_unit_test(option_faults_have_their_status_and_words),
        cmocka_unit_test(file_of_every_kind_is_read_and_written_back),
        cmocka_unit_test(fractions_survive_writing),
        cmocka_unit_test(resting_and_closing_points_are_dropped),
        cmocka_unit_test(file_faults_name_the_zone_and_add_nothing),
        cmocka_unit_test(unknown_keys_are_notes),
        cmocka_unit_test(limits_hold),
        cmocka_unit_test(file_is_read_from_disk),
        cmocka_unit_test(check_names_the_zone_at_fault),
        cmocka_unit_test(check_refuses_a_zone_of_too_many_pixels),
        cmocka_unit_test(check_notes_another_photo_and_overlap),
        cmocka_unit_test(mutated_files_are_read_or_refused_cleanly)};
    return cmocka_run_group_tests_name("zone", tests, NULL, NULL);
}
