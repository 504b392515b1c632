/* The door of the zones: any bytes as a zones file, and as the option that gives one zone. What is refused gets one
 * line and leaves the list as it was; what is taken lies within its limits, comes back from our own writing the same,
 * and every pixel of a photo gets one answer. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "measure/zones_file.h"

enum { WIDTH = 60, HEIGHT = 40, OPTION_SIZE = 300 };

const fuzz_seed fuzz_seeds[] = {
    SEED("{\"format\":1,\"photo\":\"a.jpg\",\"zones\":[{\"kind\":\"root\",\"name\":\"crown\",\"rect\":[7,1,10,9]},"
         "{\"kind\":\"gray\",\"rect\":[2.5,20,7.25,10],\"place\":\"side\",\"hair\":true},"
         "{\"kind\":\"mid\",\"polygon\":[[20,20],[30,20],[30,30],[20,30],[20,20]],\"gray_free\":true},"
         "{\"kind\":\"swatch\",\"code\":\"moth\",\"at\":\"crown\",\"rect\":[40,3,5,10]},"
         "{\"kind\":\"card\",\"rect\":[50,3,5,10],\"lab\":[50,0.5,-1]}]}"),
    SEED("{\"format\":1,\"zones\":[{\"kind\":\"target\",\"corners\":[[5,5],[50,8],[49,35],[4,30]],\"rows\":4,"
         "\"columns\":6,\"reference\":\"target.txt\"},{\"kind\":\"ends\",\"polygon\":[[1,1],[3,1],[2,3]]}]}"),
    SEED("gray:temple=12,8,20,16"),
    SEED("card=1.5,2,30,20"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "{",
                                   "}",
                                   "[",
                                   "]",
                                   ",",
                                   "\"kind\":",
                                   "\"root\"",
                                   "\"target\"",
                                   "\"swatch\"",
                                   "\"rect\":[1,1,2,2]",
                                   "\"polygon\":[[0,0],[9,0],[0,9]]",
                                   "\"corners\":",
                                   "\"rows\":100",
                                   "\"columns\":2",
                                   "\"reference\":\"../x\"",
                                   "\"at\":\"crown\"",
                                   "\"place\":\"nape\"",
                                   "\"lab\":[100,127,-128]",
                                   "\"name\":\"\\u202e\"",
                                   "\"format\":1",
                                   "1e6",
                                   "-1e-300",
                                   "0.5",
                                   "1000001",
                                   "1e999",
                                   "null",
                                   "true",
                                   "\\u0000",
                                   "\xff",
                                   "=",
                                   ":",
                                   "mid",
                                   NULL };

static void check_zone(const wm_zone *z)
{
    fuzz_check(z->name && z->point_count >= 3 && z->points, "a zone has a name and a shape");
    fuzz_check(wm_zone_is_client(z->kind) ? z->name[0] != '\0' : true, "a client zone is called something");
    fuzz_check((z->kind == WM_ZONE_SWATCH) == (z->code != NULL), "a swatch has a code and nothing else has");
    fuzz_check(z->kind != WM_ZONE_CARD || wm_lab_valid(z->lab), "a card has a colour");
    fuzz_check(z->kind != WM_ZONE_TARGET || (z->rows >= 2 && z->columns >= 2 && z->reference), "a target is whole");
    for (size_t i = 0; i < z->point_count; i++)
        fuzz_check(fabs(z->points[i].x) <= 2e6 && fabs(z->points[i].y) <= 2e6, "a coordinate is within its limit");
}

/* A row at once, from wherever it is begun, and pixel by pixel: the same; nothing outside the box. */
static void check_pixels(const wm_zone *z)
{
    const wm_box box = wm_zone_box(z, WIDTH, HEIGHT);
    unsigned char whole[WIDTH], part[WIDTH];
    fuzz_check(box.x >= 0 && box.y >= 0 && box.width >= 0 && box.height >= 0 && box.x + box.width <= WIDTH &&
                   box.y + box.height <= HEIGHT,
               "a box lies within the photo");
    for (int y = 0; y < HEIGHT; y++) {
        const int from = (y * 7) % WIDTH;
        wm_zone_row(z, 0, y, WIDTH, whole);
        wm_zone_row(z, from, y, WIDTH - from, part);
        fuzz_check(memcmp(whole + from, part, (size_t)(WIDTH - from)) == 0,
                   "a row is the same from wherever it is begun");
        fuzz_check(wm_zone_contains(z, from, y) == (whole[from] != 0), "so is a pixel");
        for (int x = 0; x < WIDTH; x++)
            fuzz_check(!whole[x] || (x >= box.x && x < box.x + box.width && y >= box.y && y < box.y + box.height),
                       "no pixel outside the box");
    }
}

static void check_patches(const wm_zone *z)
{
    wm_point points[4];
    for (int i = 0; z->kind == WM_ZONE_TARGET && i < z->rows * z->columns; i++)
        if (wm_zone_target_patch(z, i / z->columns, i % z->columns, points))
            for (int k = 0; k < 4; k++)
                fuzz_check(isfinite(points[k].x) && isfinite(points[k].y), "a patch lies somewhere");
}

/* What lies on the photo is looked at as a measurement would. */
static void check_on_photo(const wm_zones *zones)
{
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    wm_status status = wm_zones_check(zones, WIDTH, HEIGHT, "b.jpg", &warnings, &err);
    if (status)
        FUZZ_REFUSED(status, &err, WM_E_INPUT);
    for (size_t i = 0; i < zones->count; i++) {
        check_zone(&zones->items[i]);
        check_pixels(&zones->items[i]);
        if (!status)
            check_patches(&zones->items[i]);
    }
    wm_warnings_free(&warnings);
}

/* What the book keeps can be read again, and says the same. */
static void write_and_read(const wm_zones *zones)
{
    wm_buf once = { 0 }, twice = { 0 };
    wm_zones again = { 0 };
    wm_error err = { 0 };
    wm_zones_write_json(&once, zones, "a.jpg");
    if (wm_zones_add_json(&again, once.data, once.size, NULL, NULL, &err))
        fuzz_check(0, err.text);
    wm_zones_write_json(&twice, &again, "a.jpg");
    fuzz_check(again.count == zones->count && strcmp(once.data, twice.data) == 0, "our own file comes back the same");
    wm_zones_free(&again);
    wm_buf_free(&once);
    wm_buf_free(&twice);
}

static void try_file(const char *data, size_t size)
{
    wm_zones zones = { 0 };
    wm_warnings warnings = { 0 };
    wm_error err = { 0 };
    wm_status status = wm_zones_add_json(&zones, data, size, "fuzz.zones.json", &warnings, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_INPUT);
        fuzz_check(zones.count == 0 && !zones.photo, "a refusal leaves the list as it was");
    } else {
        check_on_photo(&zones);
        write_and_read(&zones);
    }
    wm_warnings_free(&warnings);
    wm_zones_free(&zones);
}

static void try_option(const char *data, size_t size)
{
    wm_zones zones = { 0 };
    wm_error err = { 0 };
    char *text = fuzz_text(data, size < OPTION_SIZE ? size : OPTION_SIZE);
    wm_status status = wm_zones_add_option(&zones, text, NULL, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_INPUT, WM_E_USAGE);
        fuzz_check(zones.count == 0, "a refusal leaves the list as it was");
    } else {
        check_on_photo(&zones);
        write_and_read(&zones);
    }
    free(text);
    wm_zones_free(&zones);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *copy = fuzz_exact(data, size);
    try_file(copy, size);
    try_option(copy, size);
    free(copy);
    return 0;
}
