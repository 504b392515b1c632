/* The objects of the public face. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "weftmatch/weftmatch.h"

static const char *sample(char out[400], const char *name)
{
    snprintf(out, 400, "%s/%s", getenv("SAMPLES_DIR"), name);
    return out;
}

static void zones_grow(void **state)
{
    (void)state;
    char path[400];
    wm_zones *zones = NULL;
    wm_error err = { .code = WM_OK };
    assert_int_equal(wm_zones_open(&zones, &err), WM_OK);
    assert_int_equal(wm_zones_count(zones), 0);
    assert_int_equal(wm_zones_add(zones, "gray:behind the ear=120,80,200,160", &err), WM_OK);
    assert_int_equal(wm_zones_add(zones, "gray:behind the ear", &err), WM_E_USAGE);
    assert_int_equal(wm_zones_load(zones, "none.json", NULL), WM_E_INPUT);
    assert_int_equal(wm_zones_count(zones), 1);
    assert_int_equal(wm_zones_load(zones, sample(path, "client.zones.json"), &err), WM_OK);
    assert_true(wm_zones_count(zones) > 5);
    wm_zones_close(zones);
    wm_zones_close(NULL);
}

static void a_catalogue_is_read_row_by_row(void **state)
{
    (void)state;
    char path[400];
    wm_catalogue *catalogue = NULL;
    wm_lab lab = { 7, 7, 7 };
    assert_int_equal(wm_catalogue_open(&catalogue, "none.csv", NULL), WM_E_INPUT);
    assert_null(catalogue);
    assert_int_equal(wm_catalogue_open(&catalogue, sample(path, "swatches.csv"), NULL), WM_OK);
    size_t count = wm_catalogue_count(catalogue);
    assert_true(count > 10 && wm_catalogue_code(catalogue, 0)[0] && wm_catalogue_name(catalogue, count - 1));
    assert_null(wm_catalogue_code(catalogue, count));
    assert_null(wm_catalogue_name(catalogue, count));
    assert_false(wm_catalogue_lab(catalogue, count, &lab));
    near("untouched", lab.L, 7, 0);
    assert_true(wm_catalogue_lab(catalogue, 0, &lab) && lab.L > 0 && lab.L < 100);
    wm_catalogue_close(catalogue);
    wm_catalogue_close(NULL);
}

static void settings_are_checked(void **state)
{
    (void)state;
    wm_settings *settings = NULL;
    wm_error err = { .code = WM_OK };
    assert_int_equal(wm_settings_open(&settings, NULL, &err), WM_OK);
    assert_int_equal(wm_settings_apply(settings, "currency", "CHF", &err), WM_OK);
    assert_int_equal(wm_settings_apply(settings, "curency", "CHF", &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "'currency'"));
    assert_non_null(wm_settings_photo_limits(settings));
    wm_settings_close(settings);
    wm_settings_close(NULL);
}

static void a_photo_has_its_size(void **state)
{
    (void)state;
    char path[400];
    wm_photo *photo = NULL;
    assert_int_equal(wm_photo_open(&photo, sample(path, "client.zones.json"), NULL, NULL), WM_E_PHOTO);
    assert_null(photo);
    assert_int_equal(wm_photo_open(&photo, sample(path, "client.jpg"), NULL, NULL), WM_OK);
    assert_true(wm_photo_width(photo) > 100 && wm_photo_height(photo) > 100);
    wm_photo_close(photo);
    wm_photo_close(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(zones_grow), cmocka_unit_test(a_catalogue_is_read_row_by_row),
                                        cmocka_unit_test(settings_are_checked),
                                        cmocka_unit_test(a_photo_has_its_size) };
    return cmocka_run_group_tests_name("objects", tests, NULL, NULL);
}
