/* zones: the option, the check against the photo and their messages. Numbers without a source are invented. */
#include "support/near.h"

#include <math.h>

#include "measure/zones.h"
#include "measure/zones_file.h"

#include <string.h>

static wm_zones from_option(const char *option)
{
    wm_zones zones = { 0 };
    wm_error err = { 0 };
    if (wm_zones_add_option(&zones, option, NULL, &err))
        fail_msg("%s: %s", option, err.text);
    return zones;
}

static wm_status add_json(wm_zones *zones, const char *json, wm_warnings *warnings, wm_error *err)
{
    return wm_zones_add_json(zones, json, strlen(json), NULL, warnings, err);
}

/* ---- the option
 * ------------------------------------------------------------------------------------------------------------ */

static void option_gives_kind_name_and_rect(void **state)
{
    (void)state;
    wm_zones zones = { 0 };
    wm_error err = { 0 };
    wm_lab white = { 95.0, 0.5, -1.0 };
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
    wm_lab card = { 0 };
    assert_true(wm_card_named(&card, "paper")); /* C29 */
    near("white paper", card.L, 94.3, 0.0);
    near("white paper", fabs(card.a) + fabs(card.b), 0.0, 0.0);
    assert_true(wm_card_named(&card, "gray"));
    near("gray card", card.L, 50.0, 0.0);
    assert_false(wm_card_named(&card, "Paper"));
    near("given card", zones.items[3].lab.b, -1.0, 0.0);
    wm_zones_free(&zones);
}

static void option_faults_have_their_status_and_words(void **state)
{
    (void)state;
    static const struct {
        const char *option;
        wm_status status;
        const char *words;
    } cases[] = { { "", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "=1,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,2,3", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,2,3,4,5", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,2,3,", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,2,3,4 ", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,5,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=nan,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,2,inf,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1e999,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=0x10,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "averyveryverylongkindindeed=1,2,3,4", WM_E_USAGE, "KIND=X,Y,W,H" },
                  { "root=1,2,0,4", WM_E_INPUT, "its rect is empty" },
                  { "root=1,2,3,-4", WM_E_INPUT, "its rect is empty" },
                  { "root=1,2,3,2000000", WM_E_INPUT, "above a million" },
                  { "end=1,2,3,4", WM_E_INPUT, "unknown kind 'end'; did you mean 'ends'?" },
                  { "fringe=1,2,3,4", WM_E_INPUT,
                    "unknown kind 'fringe'; kinds are root, mid, ends, gray, swatch, card and target" },
                  { "swatch=1,2,3,4", WM_E_INPUT, "a swatch can't be given in an option; write it into a zones file" },
                  { "target=1,2,3,4", WM_E_INPUT, "a target can't be given in an option" },
                  { "root:=1,2,3,4", WM_E_INPUT, "its name is empty" },
                  { "root:\xff=1,2,3,4", WM_E_INPUT, "its name is not UTF-8" },
                  { "root:a\xc2\x85=1,2,3,4", WM_E_INPUT, "its name has a control character" },
                  { "root:a\tb=1,2,3,4", WM_E_INPUT, "its name has a control character" },
                  { "root:a\xe2\x80\xae\x62=1,2,3,4", WM_E_INPUT, "its name has a control character" },
                  { "root:aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa=1,2,3,4", WM_E_INPUT,
                    "longer than 64 bytes" },
                  { "root:crown=1,2,3,4", WM_E_INPUT, "zone 'crown': two client zones have this name" } };
    wm_zones zones = from_option("mid:crown=0,0,5,5");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wm_error err = { 0 };
        wm_status status = wm_zones_add_option(&zones, cases[i].option, NULL, &err);
        if (status != cases[i].status || !strstr(err.text, cases[i].words))
            fail_msg("%s: %d %s", cases[i].option, (int)status, err.text);
        assert_int_equal(zones.count, 1);
    }
    wm_zones_free(&zones);
}

#define ZONE(inside) "{\"format\":1,\"zones\":[" inside "]}"

/* ---- against the photo
 * ----------------------------------------------------------------------------------------------------- */

#define ROOT "{\"kind\":\"root\",\"rect\":[0,0,9,9]},"

static void check_names_the_zone_at_fault(void **state)
{
    (void)state;
    static const struct {
        const char *json, *words;
    } cases[] = {
        { ZONE(""), "no client zone is given" },
        { ZONE("{\"kind\":\"card\",\"rect\":[0,0,9,9]}"), "no client zone is given" },
        { ZONE("{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[95,0,9,9]}"),
          "zone 'crown': it reaches outside the photo (it spans x 95 to 104, y 0 to 9; the photo is 100 x 80 upright)" },
        { ZONE("{\"kind\":\"root\",\"rect\":[-1,0,9,9]}"), "zone 'root': it reaches outside" },
        { ZONE("{\"kind\":\"root\",\"rect\":[0,200,9,9]}"), "zone 'root': it lies outside" },
        { ZONE("{\"kind\":\"root\",\"polygon\":[[0,0],[9,0],[9,80.1]]}"), "it reaches outside" },
        { ZONE("{\"kind\":\"root\",\"rect\":[0.6,0,0.8,9]}"), "zone 'root': it is empty" },
        { ZONE(ROOT "{\"kind\":\"card\",\"rect\":[100,0,9,9]}"), "zone 2 (card): it lies outside" },
        { ZONE(ROOT "{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":\"roof\",\"rect\":[20,0,9,9]}"),
          "zone 2 (swatch oat): it is held at 'roof', but no client zone has that name; did you mean 'root'?" },
        { ZONE(ROOT "{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":\"neck\",\"rect\":[20,0,9,9]}"),
          "correct 'at' or leave it out" },
        { ZONE(
              ROOT
              "{\"kind\":\"target\",\"corners\":[[21,1],[101,1],[60,40],[21,40]],\"rows\":2,\"columns\":2,\"reference\":\"t\"}"),
          "zone 2 (target): it reaches outside" },
        { ZONE(
              ROOT
              "{\"kind\":\"target\",\"corners\":[[21,21],[24,21],[24,24],[21,24]],\"rows\":9,\"columns\":9,\"reference\":\"t\"}"),
          "zone 2 (target), patch 1,1: it is empty" },
        { ZONE(
              ROOT
              "{\"kind\":\"target\",\"corners\":[[45,20],[55,20],[99,70],[1,70]],\"rows\":2,\"columns\":2,\"reference\":\"t\"}"),
          "seen from too steep" }
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wm_zones zones = { 0 };
        wm_error err = { 0 };
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
    wm_error err = { 0 };
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
    wm_zones zones = { 0 };
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    static const char json[] =
        "{\"format\":1,\"photo\":\"old.jpg\",\"zones\":[{\"kind\":\"root\",\"polygon\":[[0,0],[30,0],[0,30]]},"
        "{\"kind\":\"mid\",\"rect\":[0,0,10,10]},{\"kind\":\"card\",\"rect\":[20,20,10,10]},"
        "{\"kind\":\"swatch\",\"code\":\"oat\",\"at\":\"root\",\"rect\":[10,10,9,9]}]}";
    assert_int_equal(add_json(&zones, json, &warnings, &err), WM_OK);
    assert_int_equal(wm_zones_check(&zones, 100, 80, "in/new.jpg", &warnings, &err), WM_OK);
    assert_int_equal(warnings.count, 2);
    assert_string_equal(warnings.items[0].code, "other_photo");
    assert_non_null(strstr(warnings.items[0].text, "'old.jpg', not on 'new.jpg'"));
    assert_string_equal(warnings.items[1].code, "zones_overlap"); /* the card only touches the triangle's box */
    assert_non_null(strstr(warnings.items[1].text, "zone 4 (swatch oat) covers part of zone 'root'"));
    wm_warnings_free(&warnings);
    wm_zones_free(&zones);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(option_gives_kind_name_and_rect),
                                        cmocka_unit_test(option_faults_have_their_status_and_words),
                                        cmocka_unit_test(check_names_the_zone_at_fault),
                                        cmocka_unit_test(check_refuses_a_zone_of_too_many_pixels),
                                        cmocka_unit_test(check_notes_another_photo_and_overlap) };
    return cmocka_run_group_tests_name("zones", tests, NULL, NULL);
}
