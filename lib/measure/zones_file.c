#include "measure/zones_file.h"

#include "core/buf.h"
#include "core/file.h"
#include "core/json.h"
#include "measure/zone_internal.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILE_BYTES_MAX = 2 << 20, PATH_BYTES_MAX = 4000, TARGET_LINES_MAX = 100 };

/* ---- keys
 * ------------------------------------------------------------------------------------------------------------------ */

enum { KEYS_MAX = 8, UNKNOWN_KEYS_NOTED = 8 };

static const char *const client_keys[KEYS_MAX] = { "kind", "name", "rect", "polygon", "gray_free", "place", "hair" };
static const char *const swatch_keys[KEYS_MAX] = { "kind", "name", "rect", "polygon", "code", "at", "hair" };
static const char *const card_keys[KEYS_MAX] = { "kind", "name", "rect", "polygon", "lab" };
static const char *const target_keys[KEYS_MAX] = { "kind", "name", "corners", "rows", "columns", "reference" };
static const char *const file_keys[KEYS_MAX] = { "format", "photo", "zones" };

static const char *const *keys_of(wm_zone_kind kind)
{
    if (wm_zone_is_client(kind))
        return client_keys;
    return kind == WM_ZONE_SWATCH ? swatch_keys : kind == WM_ZONE_CARD ? card_keys : target_keys;
}

/* ---- reading
 * --------------------------------------------------------------------------------------------------------------- */

/* One zone of a file while it is read. */
typedef struct reader {
    const char *file;
    const wm_json *json;
    char label[200];
    wm_warnings *warnings;
    wm_error *err;
} reader;

static wm_status refuse(const reader *r, const char *format, ...) WM_PRINTF(2, 3);

static wm_status refuse(const reader *r, const char *format, ...)
{
    char text[500];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "%s: %s", r->label, text);
}

static wm_status wrong_type(const reader *r, const char *key, const wm_json *value, const char *wanted)
{
    if (!value)
        return refuse(r, "'%s' is missing; give %s", key, wanted);
    return refuse(r, "'%s' is %s; give %s", key, wm_json_kind_name(value), wanted);
}

/* An optional text: absent leaves *out NULL. */
static wm_status read_text(const reader *r, const char *key, char **out)
{
    const wm_json *value = wm_json_get(r->json, key);
    const char *text = wm_json_text(value);
    if (!value)
        return WM_OK;
    if (!text)
        return wrong_type(r, key, value, "a text");
    if (text[0] == '\0')
        return refuse(r, "'%s' is empty; fill it in or leave it out", key);
    if (strlen(text) > PATH_BYTES_MAX)
        return refuse(r, "'%s' is longer than %d bytes; shorten it", key, (int)PATH_BYTES_MAX);
    *out = wm_text_copy(text);
    return *out ? WM_OK : wm_fail_memory(r->err);
}

static wm_status read_needed_text(const reader *r, const char *key, char **out, const char *wanted)
{
    wm_status status = read_text(r, key, out);
    return status || *out ? status : wrong_type(r, key, NULL, wanted);
}

static wm_status read_flag(const reader *r, const char *key, bool *out)
{
    const wm_json *value = wm_json_get(r->json, key);
    wm_json_kind kind = wm_json_kind_of(value);
    if (!value)
        return WM_OK;
    if (kind != WM_JSON_TRUE && kind != WM_JSON_FALSE)
        return wrong_type(r, key, value, "true or false");
    *out = kind == WM_JSON_TRUE;
    return WM_OK;
}

static bool numbers(const wm_json *array, double *out, size_t count)
{
    if (wm_json_kind_of(array) != WM_JSON_ARRAY || wm_json_count(array) != count)
        return false;
    for (size_t i = 0; i < count; i++)
        if (!wm_json_number(wm_json_at(array, i), &out[i]))
            return false;
    return true;
}

static wm_status read_numbers(const reader *r, const char *key, double *out, size_t count, const char *wanted)
{
    const wm_json *value = wm_json_get(r->json, key);
    if (wm_json_kind_of(value) != WM_JSON_ARRAY)
        return wrong_type(r, key, value, wanted);
    return numbers(value, out, count) ? WM_OK : refuse(r, "'%s' is not %s; correct it", key, wanted);
}

static wm_status read_lines(const reader *r, const char *key, int *out)
{
    const wm_json *value = wm_json_get(r->json, key);
    double number;
    if (!wm_json_number(value, &number))
        return wrong_type(r, key, value, "a whole number");
    if (number < 2.0 || number > TARGET_LINES_MAX || number > floor(number))
        return refuse(r, "'%s' must be a whole number from 2 to %d; mark the patches of a single line as cards", key,
                      (int)TARGET_LINES_MAX);
    *out = (int)number;
    return WM_OK;
}

static wm_status read_rect(const reader *r, wm_zone *zone)
{
    double rect[4];
    wm_status status = read_numbers(r, "rect", rect, 4, "[X, Y, width, height] in pixels");
    if (status)
        return status;
    wm_zone_keep_decimals(rect, 4);
    const char *fault = wm_zone_rect_fault(rect);
    if (fault)
        return refuse(r, "%s", fault);
    return wm_zone_set_rect(zone, rect) ? WM_OK : wm_fail_memory(r->err);
}

static bool same_point(wm_point a, wm_point b)
{
    return fabs(a.x - b.x) + fabs(a.y - b.y) < 1e-9;
}

/* Points in order, neighbours that repeat dropped (a finger that rests, an outline closed by its first point). */
static size_t without_repeats(wm_point *points, size_t count)
{
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || !same_point(points[i], points[kept - 1]))
            points[kept++] = points[i];
    while (kept > 1 && same_point(points[0], points[kept - 1]))
        kept--;
    return kept;
}

static wm_status read_points(const reader *r, const char *key, wm_zone *zone)
{
    const wm_json *value = wm_json_get(r->json, key);
    size_t count = wm_json_count(value);
    if (wm_json_kind_of(value) != WM_JSON_ARRAY)
        return wrong_type(r, key, value, "a list of points [[x, y], ...]");
    if (count > WM_ZONE_POINTS_MAX)
        return refuse(r, "'%s' has more than %d points; draw it with fewer", key, (int)WM_ZONE_POINTS_MAX);
    zone->points = calloc(count ? count : 1, sizeof *zone->points);
    if (!zone->points)
        return wm_fail_memory(r->err);
    for (size_t i = 0; i < count; i++) {
        double xy[2];
        if (!numbers(wm_json_at(value, i), xy, 2))
            return refuse(r, "point %zu of '%s' is not [x, y]; correct it", i + 1, key);
        if (fabs(xy[0]) > WM_ZONE_COORDINATE_MAX || fabs(xy[1]) > WM_ZONE_COORDINATE_MAX)
            return refuse(r, "point %zu of '%s' has a number above a million; give pixels of the photo", i + 1, key);
        wm_zone_keep_decimals(xy, 2);
        zone->points[i] = (wm_point){ xy[0], xy[1] };
    }
    zone->point_count = count;
    return WM_OK;
}

static wm_status read_polygon(const reader *r, wm_zone *zone)
{
    wm_status status = read_points(r, "polygon", zone);
    if (status)
        return status;
    zone->point_count = without_repeats(zone->points, zone->point_count);
    const char *fault = wm_zone_outline_fault(zone->points, zone->point_count);
    return fault ? refuse(r, "%s", fault) : WM_OK;
}

static wm_status read_corners(const reader *r, wm_zone *zone)
{
    wm_status status = read_points(r, "corners", zone);
    if (status)
        return status;
    if (zone->point_count != 4)
        return refuse(r, "'corners' has %zu points; give the centres of the four corner patches", zone->point_count);
    const char *fault = wm_zone_corners_fault(zone->points);
    return fault ? refuse(r, "%s", fault) : WM_OK;
}

static wm_status read_shape(const reader *r, wm_zone *zone)
{
    if (zone->kind == WM_ZONE_TARGET)
        return read_corners(r, zone);
    bool rect = wm_json_get(r->json, "rect") != NULL, polygon = wm_json_get(r->json, "polygon") != NULL;
    if (rect && polygon)
        return refuse(r, "it has both 'rect' and 'polygon'; keep one");
    if (!rect && !polygon)
        return refuse(r, "it has no shape; give 'rect' or 'polygon'");
    return rect ? read_rect(r, zone) : read_polygon(r, zone);
}

static wm_status read_card(const reader *r, wm_zone *zone)
{
    double lab[3];
    zone->lab = WM_GRAY_CARD;
    if (!wm_json_get(r->json, "lab"))
        return WM_OK;
    wm_status status = read_numbers(r, "lab", lab, 3, "[L, a, b]");
    if (status)
        return status;
    zone->lab = (wm_lab){ lab[0], lab[1], lab[2] };
    return wm_lab_valid(zone->lab)
               ? WM_OK
               : refuse(r, "'lab' is outside L 0 to 100, a and b -128 to 127; give the card's CIELAB colour");
}

static wm_status read_target(const reader *r, wm_zone *zone)
{
    char *name = NULL;
    wm_status status = read_lines(r, "rows", &zone->rows);
    if (!status)
        status = read_lines(r, "columns", &zone->columns);
    if (!status)
        status = read_needed_text(r, "reference", &name, "the path of the CGATS.17 file that came with the target");
    if (!status) {
        zone->reference = r->file ? wm_file_relative_to(r->file, name) : wm_text_copy(name);
        if (!zone->reference)
            status = wm_fail_memory(r->err);
    }
    free(name);
    return status;
}

static wm_status read_swatch(const reader *r, wm_zone *zone)
{
    wm_status status = read_needed_text(r, "code", &zone->code, "the swatch's code in the catalogue");
    if (!status)
        status = read_text(r, "at", &zone->at);
    return status ? status : read_flag(r, "hair", &zone->is_hair);
}

static wm_status read_name(const reader *r, wm_zone *zone)
{
    wm_status status = read_text(r, "name", &zone->name);
    if (status)
        return status;
    const char *fault = zone->name ? wm_zone_name_fault(zone->name) : NULL;
    if (fault)
        return refuse(r, "%s", fault);
    if (!zone->name)
        zone->name = wm_text_copy(wm_zone_is_client(zone->kind) ? wm_zone_kind_name(zone->kind) : "");
    return zone->name ? WM_OK : wm_fail_memory(r->err);
}

static wm_status read_client(const reader *r, wm_zone *zone)
{
    char *place = NULL;
    wm_status status = read_flag(r, "gray_free", &zone->gray_free);
    if (!status)
        status = read_text(r, "place", &place);
    if (!status && place && !wm_place_parse(place, &zone->place))
        status = refuse(r, "the place '%.60s' is not known; write side, back, crown or nape, or leave it out", place);
    free(place);
    return status ? status : read_flag(r, "hair", &zone->is_hair);
}

static wm_status read_own_keys(const reader *r, wm_zone *zone)
{
    switch (zone->kind) {
    case WM_ZONE_SWATCH: return read_swatch(r, zone);
    case WM_ZONE_CARD: return read_card(r, zone);
    case WM_ZONE_TARGET: return read_target(r, zone);
    default: return read_client(r, zone);
    }
}

static void note_unknown_keys(const reader *r, const char *const *keys)
{
    size_t known = 0;
    while (known < KEYS_MAX && keys[known])
        known++;
    const char *key;
    int noted = 0;
    for (size_t i = 0; noted < UNKNOWN_KEYS_NOTED && (key = wm_json_key_at(r->json, i)) != NULL; i++) {
        size_t k = 0;
        while (k < known && strcmp(keys[k], key) != 0)
            k++;
        if (k == known && ++noted)
            wm_warnings_add(r->warnings, "unknown_key", "%s: the key '%.60s' means nothing here and is ignored%s",
                            r->label, key, wm_hint_of(wm_near_miss(key, keys, known), "remove it").text);
    }
}

static wm_status read_kind(const reader *r, wm_zone_kind *kind)
{
    const wm_json *value = wm_json_get(r->json, "kind");
    const char *text = wm_json_text(value);
    if (!text)
        return wrong_type(r, "kind", value, "root, mid, ends, gray, swatch, card or target");
    return wm_zone_kind_of(text, kind) ? WM_OK
                                       : refuse(r, "unknown kind '%.60s'%s", text, wm_zone_kind_hint(text).text);
}

/* By its name, else by its place and what it says of itself: whatever of that can be read. */
static void label_json(reader *r, size_t index)
{
    const char *name = wm_json_text(wm_json_get(r->json, "name")), *kind = wm_json_text(wm_json_get(r->json, "kind"));
    const char *code = wm_json_text(wm_json_get(r->json, "code"));
    if (name && name[0])
        snprintf(r->label, sizeof r->label, "zone '%.100s'", name);
    else if (kind)
        snprintf(r->label, sizeof r->label, "zone %zu (%.40s%s%.60s)", index + 1, kind, code ? " " : "",
                 code ? code : "");
    else
        snprintf(r->label, sizeof r->label, "zone %zu", index + 1);
}

static wm_status read_zone(const reader *r, wm_zone *zone)
{
    if (wm_json_kind_of(r->json) != WM_JSON_OBJECT)
        return refuse(r, "it is %s; give an object {\"kind\": ...}", wm_json_kind_name(r->json));
    wm_status status = read_kind(r, &zone->kind);
    if (!status)
        status = read_name(r, zone);
    if (!status)
        status = read_own_keys(r, zone);
    if (!status)
        status = read_shape(r, zone);
    if (!status)
        note_unknown_keys(r, keys_of(zone->kind));
    return status;
}

static wm_status check_format(const reader *r)
{
    const wm_json *value = wm_json_get(r->json, "format");
    double format;
    if (!value)
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "'format' is missing; a zones file has \"format\": 1");
    if (!wm_json_number(value, &format))
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "'format' is %s; a zones file has \"format\": 1",
                          wm_json_kind_name(value));
    if (format > 1.0)
        return wm_fail_at(
            r->err, WM_E_INPUT, r->file, 0, 0,
            "this zones file has a newer format than 1, which is all that this version reads; update weftmatch or mark the zones again");
    return format < 1.0 ? wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0,
                                     "this zones file is not of format 1; mark the zones again")
                        : WM_OK;
}

static wm_status read_photo_name(const reader *r, char **photo)
{
    const wm_json *value = wm_json_get(r->json, "photo");
    const char *text = wm_json_text(value);
    if (!value)
        return WM_OK;
    if (!text)
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "'photo' is %s; give the photo's name",
                          wm_json_kind_name(value));
    *photo = wm_text_copy(text);
    return *photo ? WM_OK : wm_fail_memory(r->err);
}

static wm_status read_zones(wm_zones *zones, const reader *top)
{
    const wm_json *list = wm_json_get(top->json, "zones");
    if (wm_json_kind_of(list) != WM_JSON_ARRAY)
        return wm_fail_at(top->err, WM_E_INPUT, top->file, 0, 0, "'zones' is %s; give a list of zones",
                          list ? wm_json_kind_name(list) : "missing");
    for (size_t i = 0; i < wm_json_count(list); i++) {
        reader r = { .file = top->file, .json = wm_json_at(list, i), .warnings = top->warnings, .err = top->err };
        wm_zone zone = { 0 };
        label_json(&r, i);
        wm_status status = read_zone(&r, &zone);
        if (!status)
            status = wm_zones_append(zones, &zone, r.file, r.err);
        if (status) {
            wm_zone_free(&zone);
            return status;
        }
    }
    return WM_OK;
}

static wm_status read_document(wm_zones *zones, const reader *r)
{
    char *photo = NULL;
    if (wm_json_kind_of(r->json) != WM_JSON_OBJECT)
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0,
                          "this is not a zones file: it holds %s; save one from the marking page",
                          wm_json_kind_name(r->json));
    wm_status status = check_format(r);
    if (!status)
        status = read_photo_name(r, &photo);
    if (!status)
        status = read_zones(zones, r);
    if (status) {
        free(photo);
        return status;
    }
    note_unknown_keys(r, file_keys);
    if (photo) {
        free(zones->photo);
        zones->photo = photo;
    }
    return WM_OK;
}

wm_status wm_zones_add_json(wm_zones *zones, const char *json, size_t size, const char *file, wm_warnings *warnings,
                            wm_error *err)
{
    wm_json_document *document = NULL;
    size_t before = zones->count;
    wm_status status = wm_json_parse(&document, json, size, file, WM_E_INPUT, err);
    if (status)
        return status;
    reader r = {
        .file = file, .json = wm_json_root(document), .label = "zones file", .warnings = warnings, .err = err
    };
    status = read_document(zones, &r);
    if (status)
        wm_zones_shrink(zones, before);
    wm_json_free(document);
    return status;
}

/* A photo, a catalogue or the marking page itself, given by mistake. */
static bool is_something_else(const wm_bytes *bytes)
{
    size_t i = 0;
    while (i < bytes->size && strchr(" \t\r\n", bytes->data[i]))
        i++;
    const bool utf16 = bytes->size > 1 && bytes->data[0] + bytes->data[1] == 0xff + 0xfe;
    return i < bytes->size && !utf16 && bytes->data[i] != '{' && bytes->data[i] != '[';
}

wm_status wm_zones_add_file(wm_zones *zones, const char *path, wm_warnings *warnings, wm_error *err)
{
    wm_bytes bytes = { 0 };
    wm_status status = wm_file_read(&bytes, path, FILE_BYTES_MAX, WM_E_INPUT, err);
    if (!status && is_something_else(&bytes))
        status = wm_fail_at(err, WM_E_INPUT, path, 0, 0,
                            "this is no zones file; give the one that the marking page saves (weftmatch mark PHOTO)");
    else if (!status)
        status = wm_zones_add_json(zones, (const char *)bytes.data, bytes.size, path, warnings, err);
    wm_bytes_free(&bytes);
    return status;
}

/* ---- writing
 * --------------------------------------------------------------------------------------------------------------- */

static void write_points(wm_buf *out, const char *key, const wm_zone *zone)
{
    wm_buf_format(out, ", \"%s\": [", key);
    for (size_t i = 0; i < zone->point_count; i++) {
        wm_buf_text(out, i ? ", [" : "[");
        wm_buf_short_number(out, zone->points[i].x, WM_ZONE_DECIMALS);
        wm_buf_text(out, ", ");
        wm_buf_short_number(out, zone->points[i].y, WM_ZONE_DECIMALS);
        wm_buf_text(out, "]");
    }
    wm_buf_text(out, "]");
}

static void write_list(wm_buf *out, const char *key, const double *values, int count)
{
    wm_buf_format(out, ", \"%s\": [", key);
    for (int i = 0; i < count; i++) {
        wm_buf_text(out, i ? ", " : "");
        wm_buf_short_number(out, values[i], WM_ZONE_DECIMALS);
    }
    wm_buf_text(out, "]");
}

static void write_shape(wm_buf *out, const wm_zone *zone)
{
    if (zone->kind == WM_ZONE_TARGET) {
        write_points(out, "corners", zone);
    } else if (zone->is_rect) {
        wm_point low = zone->points[0], high = zone->points[2];
        write_list(out, "rect", (double[]){ low.x, low.y, high.x - low.x, high.y - low.y }, 4);
    } else {
        write_points(out, "polygon", zone);
    }
}

static void write_text(wm_buf *out, const char *key, const char *text)
{
    if (!text || !text[0])
        return;
    wm_buf_format(out, ", \"%s\": ", key);
    wm_buf_json_string(out, text);
}

static void write_zone(wm_buf *out, const wm_zone *zone)
{
    wm_buf_format(out, "{\"kind\": \"%s\"", wm_zone_kind_name(zone->kind));
    write_text(out, "name", zone->name);
    write_text(out, "code", zone->code);
    write_text(out, "at", zone->at);
    write_shape(out, zone);
    if (zone->gray_free)
        wm_buf_text(out, ", \"gray_free\": true");
    write_text(out, "place", wm_place_name(zone->place));
    if (zone->is_hair)
        wm_buf_text(out, ", \"hair\": true");
    if (zone->kind == WM_ZONE_CARD)
        write_list(out, "lab", (double[]){ zone->lab.L, zone->lab.a, zone->lab.b }, 3);
    if (zone->kind == WM_ZONE_TARGET)
        wm_buf_format(out, ", \"rows\": %d, \"columns\": %d", zone->rows, zone->columns);
    write_text(out, "reference", zone->reference);
    wm_buf_text(out, "}");
}

void wm_zones_write_json(wm_buf *out, const wm_zones *zones, const char *photo_name)
{
    const char *photo = photo_name ? photo_name : zones->photo;
    wm_buf_text(out, "{\"format\": 1");
    write_text(out, "photo", photo);
    wm_buf_text(out, ", \"zones\": [");
    for (size_t i = 0; i < zones->count; i++) {
        wm_buf_text(out, i ? ",\n  " : "\n  ");
        write_zone(out, &zones->items[i]);
    }
    wm_buf_text(out, "]}\n");
}
