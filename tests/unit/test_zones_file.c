/* zones_file: the zones file read, written back, refused with its messages, and torn at random. Numbers without a
 * source are invented. */
#include "support/near.h"

#include "core/buf.h"
#include "core/file.h"
#include "measure/zones.h"
#include "measure/zones_file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FILE_NAME "salon/zones.json"

static wm_status add_json(wm_zones *zones, const char *json, wm_warnings *warnings, wm_error *err)
{
    return wm_zones_add_json(zones, json, strlen(json), FILE_NAME, warnings, err);
}

static wm_zones from_option(const char *option)
{
    wm_zones zones = { 0 };
    wm_error err = { 0 };
    if (wm_zones_add_option(&zones, option, NULL, &err))
        fail_msg("%s: %s", option, err.text);
    return zones;
}

/* ---- the file
 * -------------------------------------------------------------------------------------------------------------- */

static const char whole[] =
    "{ \"format\": 1, \"photo\": \"client.jpg\", \"zones\": ["
    "{\"kind\": \"root\", \"name\": \"crown\", \"rect\": [410, 300, 60, 40]},"
    "{\"kind\": \"mid\", \"rect\": [400, 500, 90, 80], \"gray_free\": true, \"place\": \"nape\"},"
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
    assert_int_equal(zones->items[1].place, WM_PLACE_NAPE);
    assert_int_equal(wm_zone_place(&zones->items[0]), WM_PLACE_CROWN); /* M26, by kind */
    assert_int_equal(wm_zone_place(&zones->items[1]), WM_PLACE_NAPE);
    assert_int_equal(wm_zone_place(&zones->items[2]), WM_PLACE_SIDE);
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
    wm_zones zones = { 0 }, again = { 0 };
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    wm_buf buf = { 0 }, second = { 0 };
    assert_int_equal(add_json(&zones, whole, &warnings, &err), WM_OK);
    assert_whole(&zones, "salon/target.txt");
    assert_int_equal(wm_zones_check(&zones, 1200, 1000, "photos/client.jpg", &warnings, &err), WM_OK);
    assert_int_equal(warnings.count, 0);
    wm_zones_write_json(&buf, &zones, NULL);
    assert_int_equal(wm_buf_status(&buf, &err), WM_OK);
    assert_int_equal(wm_zones_add_json(&again, buf.data, buf.size, NULL, &warnings, &err), WM_OK);
    assert_whole(&again, "salon/target.txt");
    assert_int_equal(warnings.count, 0);
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
    wm_zones zones = from_option("root=0.1,2.25,3.333333,1e2"), again = { 0 };
    wm_buf buf = { 0 };
    wm_error err = { 0 };
    wm_zones_write_json(&buf, &zones, "a \"b\".jpg");
    assert_non_null(strstr(buf.data, "\"rect\": [0.1, 2.25, 3.333333, 100]"));
    assert_int_equal(wm_zones_add_json(&again, buf.data, buf.size, NULL, NULL, &err), WM_OK);
    assert_string_equal(again.photo, "a \"b\".jpg");
    near("rect", again.items[0].points[2].x, zones.items[0].points[2].x, 1e-6);
    wm_buf_free(&buf);
    wm_zones_free(&zones);
    wm_zones_free(&again);
}

/* What is judged is what is written: outlines that hold together only behind the sixth decimal would be refused when
 * the book's zones are opened again. */
static void what_is_taken_is_taken_again(void **state)
{
    (void)state;
    static const char *const files[] = {
        "{\"format\":1,\"zones\":[{\"kind\":\"gray\",\"rect\":[24,8,0.5201000001,10]}]}",
        "{\"format\":1,\"zones\":[{\"kind\":\"gray\",\"rect\":[24.0000004,8,0.0000004,10]}]}",
        "{\"format\":1,\"zones\":[{\"kind\":\"mid\",\"polygon\":[[0,0],[9,0],[9,9],[0.0000004,0.0000002],[0,9]]}]}"
    };
    size_t taken = 0;
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        wm_zones zones = { 0 }, again = { 0 };
        wm_buf once = { 0 }, twice = { 0 };
        if (wm_zones_add_json(&zones, files[i], strlen(files[i]), NULL, NULL, NULL))
            continue;
        wm_zones_write_json(&once, &zones, "a.jpg");
        assert_int_equal(wm_zones_add_json(&again, once.data, once.size, NULL, NULL, NULL), WM_OK);
        wm_zones_write_json(&twice, &again, "a.jpg");
        assert_string_equal(once.data, twice.data);
        wm_zones_free(&zones);
        wm_zones_free(&again);
        wm_buf_free(&once);
        wm_buf_free(&twice);
        taken++;
    }
    assert_int_equal(taken, 1); /* the others are empty or touch themselves once they are written */
}

static void resting_and_closing_points_are_dropped(void **state)
{
    (void)state;
    wm_zones zones = { 0 };
    wm_error err = { 0 };
    static const char json[] =
        "{\"format\":1,\"zones\":[{\"kind\":\"ends\",\"polygon\":[[0,0],[0,0],[9,0],[9,9],[9,9],[9,9],[0,9],[0,0]]}]}";
    assert_int_equal(add_json(&zones, json, NULL, &err), WM_OK);
    assert_int_equal(zones.items[0].point_count, 4);
    wm_zones_free(&zones);
}

#define ZONE(inside) "{\"format\":1,\"zones\":[" inside "]}"
#define TARGET(inside) ZONE("{\"kind\":\"target\"," inside "}")
#define SQUARE "\"corners\":[[0,0],[9,0],[9,9],[0,9]]"

static const struct {
    const char *json, *words;
} file_faults[] = {
    { "", "not valid JSON" },
    { "[]", "this is not a zones file: it holds a list" },
    { "7", "this is not a zones file" },
    { "{\"format\":1", "not valid JSON" },
    { "{}", "'format' is missing" },
    { "{\"format\":\"1\",\"zones\":[]}", "'format' is a text" },
    { "{\"format\":2,\"zones\":[]}", "newer format" },
    { "{\"format\":0,\"zones\":[]}", "not of format 1" },
    { "{\"format\":1}", "'zones' is missing" },
    { "{\"format\":1,\"zones\":{}}", "'zones' is an object" },
    { "{\"format\":1,\"photo\":5,\"zones\":[]}", "'photo' is a number" },
    { ZONE("7"), "zone 1: it is a number" },
    { ZONE("{}"), "zone 1: 'kind' is missing" },
    { ZONE("{\"kind\":7}"), "zone 1: 'kind' is a number" },
    { ZONE("{\"kind\":\"end\",\"rect\":[1,2,3,4]}"), "zone 1 (end): unknown kind 'end'; did you mean 'ends'?" },
    { ZONE("{\"kind\":\"Root\",\"rect\":[1,2,3,4]}"), "unknown kind 'Root'; did you mean 'root'?" },
    { ZONE("{\"kind\":\"fringe\",\"name\":\"front\"}"), "zone 'front': unknown kind 'fringe'; kinds are" },
    { ZONE("{\"kind\":\"root\"}"), "zone 1 (root): it has no shape" },
    { ZONE("{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[1,2,3,4],\"polygon\":[]}"), "zone 'crown': it has both" },
    { ZONE("{\"kind\":\"root\",\"name\":7,\"rect\":[1,2,3,4]}"), "zone 1 (root): 'name' is a number" },
    { ZONE("{\"kind\":\"root\",\"name\":\"\",\"rect\":[1,2,3,4]}"), "zone 1 (root): 'name' is empty" },
    { ZONE("{\"kind\":\"root\",\"name\":\"a\\nb\",\"rect\":[1,2,3,4]}"), "control character" },
    { ZONE("{\"kind\":\"root\",\"rect\":\"1,2,3,4\"}"), "zone 1 (root): 'rect' is a text" },
    { ZONE("{\"kind\":\"root\",\"rect\":null}"), "zone 1 (root): 'rect' is null" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3]}"), "'rect' is not [X, Y, width, height]" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,\"4\"]}"), "'rect' is not [X, Y, width, height]" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,1e400]}"), "not valid JSON" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,1e300]}"), "above a million" },
    { ZONE("{\"kind\":\"mid\",\"rect\":[1,2,3,4]},{\"kind\":\"root\",\"rect\":[1,2,0,4]}"),
      "zone 2 (root): its rect is empty" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,-4]}"), "its rect is empty" },
    { ZONE("{\"kind\":\"root\",\"polygon\":7}"), "'polygon' is a number" },
    { ZONE("{\"kind\":\"root\",\"polygon\":[]}"), "its polygon is empty" },
    { ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2]]}"), "fewer than three" },
    { ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2],[3,3]]}"), "lie on one line" },
    { ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2,2],[3,1]]}"), "point 2 of 'polygon' is not [x, y]" },
    { ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,true],[3,1]]}"), "point 2 of 'polygon' is not [x, y]" },
    { ZONE("{\"kind\":\"root\",\"polygon\":[[1,1],[2,2e6],[3,1]]}"),
      "point 2 of 'polygon' has a number above a million" },
    { ZONE("{\"kind\":\"gray\",\"name\":\"bow\",\"polygon\":[[0,0],[9,9],[9,0],[0,5]]}"),
      "zone 'bow': its polygon crosses or touches itself" },
    { ZONE("{\"kind\":\"gray\",\"polygon\":[[0,0],[9,0],[9,9],[5,0],[0,9]]}"), "crosses or touches itself" },
    { ZONE("{\"kind\":\"gray\",\"polygon\":[[0,0],[9,0],[9,9],[9,3],[0,3]]}"), "crosses or touches itself" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,4],\"gray_free\":\"yes\"}"),
      "'gray_free' is a text; give true or false" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,4],\"place\":\"top\"}"),
      "the place 'top' is not known; write side, back, crown or nape, or leave it out" },
    { ZONE(
          "{\"kind\":\"root\",\"name\":\"a\",\"rect\":[1,2,3,4]},{\"kind\":\"mid\",\"name\":\"a\",\"rect\":[1,2,3,4]}"),
      "zone 'a': two client zones have this name" },
    { ZONE("{\"kind\":\"root\",\"rect\":[1,2,3,4]},{\"kind\":\"root\",\"rect\":[9,2,3,4]}"),
      "zone 'root': two client zones" },
    { ZONE("{\"kind\":\"root\",\"kind\":\"mid\",\"rect\":[1,2,3,4]}"), "not valid JSON" },
    { ZONE("{\"kind\":\"swatch\",\"rect\":[1,2,3,4]}"), "zone 1 (swatch): 'code' is missing" },
    { ZONE("{\"kind\":\"swatch\",\"code\":5,\"rect\":[1,2,3,4]}"), "'code' is a number" },
    { ZONE("{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":5,\"rect\":[1,2,3,4]}"),
      "zone 1 (swatch oat): 'at' is a number" },
    { ZONE("{\"kind\":\"card\",\"rect\":[1,2,3,4],\"lab\":50}"), "zone 1 (card): 'lab' is a number" },
    { ZONE("{\"kind\":\"card\",\"rect\":[1,2,3,4],\"lab\":[50,0]}"), "'lab' is not [L, a, b]" },
    { ZONE("{\"kind\":\"card\",\"rect\":[1,2,3,4],\"lab\":[101,0,0]}"), "'lab' is outside" },
    { TARGET(SQUARE ",\"rows\":3,\"columns\":5"), "zone 1 (target): 'reference' is missing" },
    { TARGET(SQUARE ",\"rows\":3,\"reference\":\"t.txt\""), "'columns' is missing" },
    { TARGET(SQUARE ",\"rows\":1,\"columns\":5,\"reference\":\"t.txt\""),
      "'rows' must be a whole number from 2 to 100" },
    { TARGET(SQUARE ",\"rows\":2.5,\"columns\":5,\"reference\":\"t.txt\""), "'rows' must be a whole number" },
    { TARGET(SQUARE ",\"rows\":2,\"columns\":101,\"reference\":\"t.txt\""), "'columns' must be a whole number" },
    { TARGET("\"rows\":2,\"columns\":2,\"reference\":\"t.txt\""), "'corners' is missing" },
    { TARGET("\"corners\":[[0,0],[9,0],[9,9]],\"rows\":2,\"columns\":2,\"reference\":\"t.txt\""),
      "'corners' has 3 points" },
    { TARGET("\"corners\":[[0,0],[9,0],[0,9],[9,9]],\"rows\":2,\"columns\":2,\"reference\":\"t.txt\""),
      "make no four-sided shape" },
    { TARGET("\"corners\":[[0,0],[9,0],[4,4],[0,9]],\"rows\":2,\"columns\":2,\"reference\":7"),
      "'reference' is a number" }
};

static void file_faults_name_the_zone_and_add_nothing(void **state)
{
    (void)state;
    wm_zones zones = from_option("root:kept=0,0,5,5");
    for (size_t i = 0; i < sizeof file_faults / sizeof file_faults[0]; i++) {
        wm_error err = { 0 };
        wm_warnings warnings = { 0 };
        wm_status status = add_json(&zones, file_faults[i].json, &warnings, &err);
        if (status != WM_E_INPUT || !strstr(err.text, file_faults[i].words))
            fail_msg("%s: %d %s", file_faults[i].json, (int)status, err.text);
        assert_string_equal(err.file, FILE_NAME);
        assert_null(strchr(err.text, '\n'));
        assert_int_equal(zones.count, 1);
        assert_null(zones.photo);
        wm_warnings_free(&warnings);
    }
    assert_int_equal(add_json(&zones, "[]", NULL, NULL), WM_E_INPUT);
    wm_zones_free(&zones);
}

static void unknown_keys_are_notes(void **state)
{
    (void)state;
    wm_zones zones = { 0 };
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    static const char json[] =
        "{\"format\":1,\"zone\":[],\"zones\":[{\"kind\":\"root\",\"rect\":[0,0,9,9],\"grey_free\":true,\"lab\":[1,2,3]},"
        "{\"kind\":\"card\",\"rect\":[20,20,9,9],\"colour\":1}]}";
    assert_int_equal(add_json(&zones, json, &warnings, &err), WM_OK);
    assert_int_equal(warnings.count, 4);
    for (size_t i = 0; i < warnings.count; i++)
        assert_string_equal(warnings.items[i].code, "unknown_key");
    assert_non_null(
        strstr(warnings.items[0].text,
               "zone 1 (root): the key 'grey_free' means nothing here and is ignored; did you mean 'gray_free'?"));
    assert_non_null(strstr(warnings.items[1].text, "the key 'lab'"));
    assert_non_null(strstr(warnings.items[2].text, "zone 2 (card): the key 'colour'"));
    assert_non_null(strstr(warnings.items[3].text,
                           "zones file: the key 'zone' means nothing here and is ignored; did you mean 'zones'?"));
    assert_false(zones.items[0].gray_free);
    wm_warnings_free(&warnings);
    wm_zones_free(&zones);
}

static void limits_hold(void **state)
{
    (void)state;
    wm_zones zones = { 0 };
    wm_error err = { 0 };
    wm_buf buf = { 0 };
    wm_buf_text(&buf, "{\"format\":1,\"zones\":[");
    for (int i = 0; i < 1001; i++)
        wm_buf_format(&buf, "%s{\"kind\":\"card\",\"rect\":[%d,0,1,1]}", i ? "," : "", i);
    wm_buf_text(&buf, "]}");
    assert_int_equal(wm_zones_add_json(&zones, buf.data, buf.size, NULL, NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "more than 1000 zones"));
    assert_int_equal(zones.count, 0);
    wm_buf_free(&buf);
    wm_buf_text(&buf, "{\"format\":1,\"zones\":[{\"kind\":\"root\",\"polygon\":[");
    for (int i = 0; i < 20001; i++)
        wm_buf_format(&buf, "%s[%d,%d]", i ? "," : "", i, i * i % 97);
    wm_buf_text(&buf, "]}]}");
    assert_int_equal(wm_zones_add_json(&zones, buf.data, buf.size, NULL, NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "more than 20000 points"));
    wm_buf_free(&buf);
    wm_buf_text(&buf, "{\"format\":1,\"zones\":[");
    for (int zone = 0; zone < 3; zone++) {
        wm_buf_format(&buf, "%s{\"kind\":\"card\",\"polygon\":[[0,0],[0,9]", zone ? "," : "");
        for (int i = 0; i < 7000; i++)
            wm_buf_format(&buf, ",[%d,%d]", i + 1, 10 + i % 2);
        wm_buf_text(&buf, ",[8000,0]]}");
    }
    wm_buf_text(&buf, "]}");
    assert_int_equal(wm_zones_add_json(&zones, buf.data, buf.size, NULL, NULL, &err), WM_E_INPUT);
    assert_non_null(strstr(err.text, "zone 3 (card): all zones together have more than 20000 points"));
    wm_buf_free(&buf);
    wm_zones_free(&zones);
}

static void file_is_read_from_disk(void **state)
{
    (void)state;
    char folder[] = "/tmp/zone-test-XXXXXX", path[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/zones.json", folder);
    wm_zones zones = { 0 };
    wm_error err = { 0 };
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

/* ---- hostile bytes
 * --------------------------------------------------------------------------------------------------------- */

static uint32_t random_step(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

/* Every mutation is either read into shapes that hold together or refused with one line about this file. */
static void mutated_files_are_read_or_refused_cleanly(void **state)
{
    (void)state;
    static const char *const pieces[] = {
        "0",          "-1",         "1e9",         "1e-300",     "null",
        "true",       "[]",         "{}",          "\"\"",       "\"end\"",
        "[[0,0]]",    ",",          "\\u0000",     "\xff",       "99999999999999999999",
        "\"swatch\"", "\"target\"", "\"polygon\"", "\"corners\""
    };
    enum { PIECES = sizeof pieces / sizeof pieces[0], TRIES = 6000 };
    uint32_t seed = 20240229u;
    size_t read = 0;
    for (int i = 0; i < TRIES; i++) {
        wm_buf buf = { 0 };
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
        wm_zones zones = { 0 };
        wm_warnings warnings = { 0 };
        wm_error err = { 0 };
        wm_status status = wm_zones_add_json(&zones, buf.data, buf.size, FILE_NAME, &warnings, &err);
        if (status) {
            assert_int_equal(status, WM_E_INPUT);
            assert_true(err.text[0] && !strchr(err.text, '\n'));
            assert_int_equal(zones.count, 0);
        } else {
            status = wm_zones_check(&zones, 1200, 1000, "client.jpg", &warnings, &err);
            assert_true(status == WM_OK || status == WM_E_INPUT);
            read++;
        }
        wm_zones_free(&zones);
        wm_warnings_free(&warnings);
        wm_buf_free(&buf);
    }
    printf("# %d mutated zones files, %zu still readable\n", TRIES, read);
    assert_true(read > TRIES / 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(file_of_every_kind_is_read_and_written_back),
                                        cmocka_unit_test(fractions_survive_writing),
                                        cmocka_unit_test(what_is_taken_is_taken_again),
                                        cmocka_unit_test(resting_and_closing_points_are_dropped),
                                        cmocka_unit_test(file_faults_name_the_zone_and_add_nothing),
                                        cmocka_unit_test(unknown_keys_are_notes),
                                        cmocka_unit_test(limits_hold),
                                        cmocka_unit_test(file_is_read_from_disk),
                                        cmocka_unit_test(mutated_files_are_read_or_refused_cleanly) };
    return cmocka_run_group_tests_name("zones_file", tests, NULL, NULL);
}
