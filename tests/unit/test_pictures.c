/* The reduced pictures of a report, made from the sample client: sizes, formats, and the map of what counts as what. */
#include "support/near.h"

#include <math.h>
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/pictures.h"
#include "measure/zones_file.h"
#include "report/figure.h"

typedef struct sample {
    wm_photo *photo;
    wm_zones zones;
    wm_catalogue catalogue;
    wm_survey survey;
    wm_report_pictures pictures;
    png_image map;
    unsigned char *rgba;
} sample;

static const char *path_of(char out[600], const char *name)
{
    const char *folder = getenv("SAMPLES_DIR");
    snprintf(out, 600, "%s/%s", folder ? folder : "samples", name);
    return out;
}

static int set_up(void **state)
{
    sample *s = calloc(1, sizeof *s);
    char path[600];
    wm_warnings warnings = { 0 };
    wm_error err = { .text = "" };
    wm_status status = s ? wm_photo_open(&s->photo, path_of(path, "client.jpg"), NULL, &err) : WM_E_MEMORY;
    if (!status)
        status = wm_zones_add_file(&s->zones, path_of(path, "client.zones.json"), &warnings, &err);
    if (!status)
        status = wm_catalogue_load(&s->catalogue, path_of(path, "swatches.csv"), &warnings, &err);
    if (!status)
        status = wm_survey_zones(&s->survey, &(wm_survey_marked){ s->photo, &s->zones, &s->catalogue, NULL }, &err);
    if (!status)
        status = wm_pictures__of(&s->pictures, s->photo, &s->zones, &s->survey, &err);
    if (status)
        print_error("%s\n", err.text);
    wm_warnings_free(&warnings);
    *state = s;
    return (int)status;
}

static int tear_down(void **state)
{
    sample *s = *state;
    free(s->rgba);
    wm_report_pictures_free(&s->pictures);
    wm_survey_free(&s->survey);
    wm_catalogue_free(&s->catalogue);
    wm_zones_free(&s->zones);
    wm_photo_close(s->photo);
    free(s);
    return 0;
}

static void read_map(sample *s)
{
    if (s->rgba)
        return;
    s->map = (png_image){ .version = PNG_IMAGE_VERSION };
    assert_true(
        png_image_begin_read_from_memory(&s->map, s->pictures.gray_map_png.data, s->pictures.gray_map_png.size));
    assert_true(s->map.format & PNG_FORMAT_FLAG_ALPHA);
    s->map.format = PNG_FORMAT_RGBA;
    s->rgba = malloc(PNG_IMAGE_SIZE(s->map));
    assert_non_null(s->rgba);
    assert_true(png_image_finish_read(&s->map, NULL, s->rgba, 0, NULL));
}

static void pictures_are_reduced(void **state)
{
    sample *s = *state;
    wm_photo_facts facts = wm_photo_facts_of(s->photo);
    read_map(s);
    assert_memory_equal(s->pictures.photo_jpeg.data, "\xff\xd8\xff", 3);
    assert_int_equal(s->map.width, WM_PICTURE_SIDE);
    near("height", (double)s->map.height, (double)WM_PICTURE_SIDE * facts.height / facts.width, 1);
}

static void pictures_keep_the_zones(void **state)
{
    sample *s = *state;
    wm_zones again = { 0 };
    wm_warnings warnings = { 0 };
    const wm_bytes *json = &s->pictures.zones_json;
    assert_int_equal(wm_zones_add_json(&again, (const char *)json->data, json->size, "x", &warnings, NULL), WM_OK);
    assert_int_equal(again.count, s->zones.count);
    for (size_t i = 0; i < again.count; i++)
        assert_string_equal(again.items[i].name, s->zones.items[i].name);
    wm_warnings_free(&warnings);
    wm_zones_free(&again);
}

/* Each pixel shows the class of the photo's pixel under its middle, and nothing outside of the zones. */
static void pictures_map_shows_the_classes(void **state)
{
    sample *s = *state;
    wm_photo_facts facts = wm_photo_facts_of(s->photo);
    unsigned char *want = calloc((size_t)facts.width * (size_t)facts.height, 1), rgba[4];
    read_map(s);
    for (size_t i = 0; i < s->survey.zone_count; i++) {
        const wm_surveyed_zone *zone = &s->survey.zones[i];
        const wm_box b = zone->window.box;
        unsigned char *classes = malloc((size_t)b.width * (size_t)b.height);
        wm_gray_classify(&zone->window, &zone->gray, classes);
        for (int y = 0; y < b.height; y++)
            for (int x = 0; x < b.width; x++)
                if (classes[y * b.width + x] != WM_CLASS_OUTSIDE)
                    want[(b.y + y) * facts.width + b.x + x] = classes[y * b.width + x];
        free(classes);
    }
    size_t painted = 0;
    for (int y = 0; y < (int)s->map.height; y++)
        for (int x = 0; x < (int)s->map.width; x++) {
            int px = (int)floor((x + 0.5) * facts.width / (double)s->map.width),
                py = (int)floor((y + 0.5) * facts.height / (double)s->map.height);
            wm_figure_class(rgba, (wm_pixel_class)want[py * facts.width + px], x, y);
            const unsigned char *got = s->rgba + 4 * ((size_t)y * s->map.width + (size_t)x);
            assert_int_equal(got[3], rgba[3]);
            if (rgba[3])
                assert_memory_equal(got, rgba, 4);
            painted += rgba[3] > 0;
        }
    print_message("# %zu of %u pixels painted\n", painted, s->map.width * s->map.height);
    assert_true(painted > 1000);
    free(want);
}

/* For orientation: gray plus half of mixed over base, mixed and gray comes near the share that was estimated. */
static void pictures_map_shows_about_the_share(void **state)
{
    sample *s = *state;
    double count[3] = { 0, 0, 0 };
    wm_photo_facts facts = wm_photo_facts_of(s->photo);
    read_map(s);
    const wm_surveyed_zone *gray = NULL;
    for (size_t i = 0; i < s->survey.zone_count; i++)
        if (s->survey.zones[i].zone->kind == WM_ZONE_GRAY)
            gray = &s->survey.zones[i];
    assert_non_null(gray);
    assert_int_equal(gray->gray.status, WM_GRAY_MEASURED);
    double scale = (double)s->map.width / facts.width;
    for (int y = (int)(gray->window.box.y * scale) + 1; y < (gray->window.box.y + gray->window.box.height) * scale - 1;
         y++)
        for (int x = (int)(gray->window.box.x * scale) + 1;
             x < (gray->window.box.x + gray->window.box.width) * scale - 1; x++)
            for (int c = WM_CLASS_BASE; c <= WM_CLASS_GRAY; c++) {
                unsigned char rgba[4];
                wm_figure_class(rgba, (wm_pixel_class)c, x, y);
                count[c - WM_CLASS_BASE] += memcmp(rgba, s->rgba + 4 * (y * (int)s->map.width + x), 4) == 0;
            }
    double shown = (count[2] + count[1] / 2) / (count[0] + count[1] + count[2]);
    print_message("# shown %.3f, estimated %.3f\n", shown, gray->gray.share);
    near("share", shown, gray->gray.share, 0.15);
}

static void pictures_are_deterministic(void **state)
{
    sample *s = *state;
    wm_report_pictures again = { 0 };
    assert_int_equal(wm_pictures__of(&again, s->photo, &s->zones, &s->survey, NULL), WM_OK);
    assert_int_equal(again.gray_map_png.size, s->pictures.gray_map_png.size);
    assert_memory_equal(again.gray_map_png.data, s->pictures.gray_map_png.data, again.gray_map_png.size);
    assert_memory_equal(again.photo_jpeg.data, s->pictures.photo_jpeg.data, again.photo_jpeg.size);
    wm_report_pictures_free(&again);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(pictures_are_reduced),
                                        cmocka_unit_test(pictures_keep_the_zones),
                                        cmocka_unit_test(pictures_map_shows_the_classes),
                                        cmocka_unit_test(pictures_map_shows_about_the_share),
                                        cmocka_unit_test(pictures_are_deterministic) };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
