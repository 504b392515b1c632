#include "measure/zones.h"

#include "core/buf.h"
#include "core/file.h"
#include "core/plain.h"
#include "measure/zone_internal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ZONE_PIXELS_MAX = 16000000 };
#define OVERLAP_PIXELS_MAX 2e8 /* looked at in all: far above any real photo's zones */

void wm_zones_shrink(wm_zones *zones, size_t count)
{
    while (zones->count > count)
        wm_zone_free(&zones->items[--zones->count]);
}

void wm_zones_free(wm_zones *zones)
{
    if (!zones)
        return;
    wm_zones_shrink(zones, 0);
    free(zones->items);
    free(zones->photo);
    *zones = (wm_zones){ 0 };
}

/* How messages call a zone: by its name, else by its place and kind. */
typedef struct zone_label {
    char text[200];
} zone_label;

static zone_label label_of(const wm_zone *zone, size_t index)
{
    zone_label label;
    if (zone->name && zone->name[0])
        snprintf(label.text, sizeof label.text, "zone '%s'", zone->name);
    else if (zone->code)
        snprintf(label.text, sizeof label.text, "zone %zu (swatch %s)", index + 1, zone->code);
    else
        snprintf(label.text, sizeof label.text, "zone %zu (%s)", index + 1, wm_zone_kind_name(zone->kind));
    return label;
}

static size_t points_in(const wm_zones *zones)
{
    size_t points = 0;
    for (size_t i = 0; i < zones->count; i++)
        points += zones->items[i].point_count;
    return points;
}

static const wm_zone *client_named(const wm_zones *zones, const char *name)
{
    for (size_t i = 0; i < zones->count; i++)
        if (wm_zone_is_client(zones->items[i].kind) && strcmp(zones->items[i].name, name) == 0)
            return &zones->items[i];
    return NULL;
}

wm_status wm_zones_append(wm_zones *zones, const wm_zone *zone, const char *file, wm_error *err)
{
    zone_label label = label_of(zone, zones->count);
    if (zones->count >= WM_ZONES_MAX)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "%s: there are more than %d zones; remove some", label.text,
                          (int)WM_ZONES_MAX);
    if (points_in(zones) + zone->point_count > WM_ZONE_POINTS_MAX)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0,
                          "%s: all zones together have more than %d points; draw them with fewer", label.text,
                          (int)WM_ZONE_POINTS_MAX);
    if (wm_zone_is_client(zone->kind) && client_named(zones, zone->name))
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "%s: two client zones have this name; give one of them another",
                          label.text);
    wm_zone *items = realloc(zones->items, (zones->count + 1) * sizeof *items);
    if (!items)
        return wm_fail_memory(err);
    zones->items = items;
    items[zones->count++] = *zone;
    return WM_OK;
}

const char *wm_zone_name_fault(const char *name)
{
    size_t size = strlen(name);
    if (size == 0)
        return "its name is empty; give a name or leave it out";
    if (size > WM_ZONE_NAME_MAX)
        return "its name is longer than 64 bytes; shorten it";
    if (!wm_utf8_valid(name, size))
        return "its name is not UTF-8; write it as plain text";
    if (!wm_plain_line(name))
        return "its name has a control character; write it as plain text";
    return NULL;
}

wm_hint wm_hint_of(const char *near, const char *otherwise)
{
    wm_hint hint;
    if (near)
        snprintf(hint.text, sizeof hint.text, "; did you mean '%s'?", near);
    else
        snprintf(hint.text, sizeof hint.text, "; %s", otherwise);
    return hint;
}

wm_hint wm_zone_kind_hint(const char *wrong)
{
    return wm_hint_of(wm_zone_near_kind(wrong), "kinds are root, mid, ends, gray, swatch, card and target");
}

/* ---- the option
 * ------------------------------------------------------------------------------------------------------------ */

static wm_status option_syntax(const char *option, wm_error *err)
{
    return wm_fail(
        err, WM_E_USAGE,
        "zone '%.100s' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40",
        option);
}

/* X,Y,W,H and nothing else. */
static bool parse_rect(const char *text, double rect[4])
{
    for (int i = 0; i < 4; i++) {
        char number[40];
        size_t size = strcspn(text, ",");
        bool last = text[size] == '\0';
        if (size >= sizeof number || last != (i == 3))
            return false;
        memcpy(number, text, size);
        number[size] = '\0';
        if (!wm_number_parse(number, &rect[i]))
            return false;
        text += size + 1;
    }
    return true;
}

static wm_status option_kind(const char *option, const char *word, wm_zone_kind *kind, wm_error *err)
{
    if (!wm_zone_kind_of(word, kind))
        return wm_fail(err, WM_E_INPUT, "zone '%.100s': unknown kind '%s'%s", option, word,
                       wm_zone_kind_hint(word).text);
    if (*kind == WM_ZONE_SWATCH || *kind == WM_ZONE_TARGET)
        return wm_fail(err, WM_E_INPUT,
                       "zone '%.100s': a %s can't be given in an option; write it into a zones file (--zones FILE)",
                       option, word);
    return WM_OK;
}

/* Splits KIND[:NAME]=X,Y,W,H. The name may hold any sign but is ended by the last '='. */
static wm_status option_zone(wm_zone *zone, const char *option, wm_error *err)
{
    const char *equals = strrchr(option, '=');
    size_t kind_size = strcspn(option, ":=");
    char word[20], name[WM_ZONE_NAME_MAX + 2];
    double rect[4];
    if (!equals || kind_size == 0 || kind_size >= sizeof word || !parse_rect(equals + 1, rect))
        return option_syntax(option, err);
    memcpy(word, option, kind_size);
    word[kind_size] = '\0';
    wm_status status = option_kind(option, word, &zone->kind, err);
    if (status)
        return status;

    bool named = option[kind_size] == ':';
    if (!named && option + kind_size != equals)
        return option_syntax(option, err);
    snprintf(name, sizeof name, "%s", wm_zone_is_client(zone->kind) ? word : "");
    if (named) {
        size_t size = (size_t)(equals - option) - kind_size - 1;
        snprintf(name, sizeof name, "%.*s", (int)(size < sizeof name ? size : sizeof name - 1), option + kind_size + 1);
    }
    wm_zone_keep_decimals(rect, 4);
    const char *fault = named ? wm_zone_name_fault(name) : NULL;
    if (!fault)
        fault = wm_zone_rect_fault(rect);
    if (fault)
        return wm_fail(err, WM_E_INPUT, "zone '%.100s': %s", option, fault);
    zone->name = wm_text_copy(name);
    return zone->name && wm_zone_set_rect(zone, rect) ? WM_OK : wm_fail_memory(err);
}

wm_status wm_zones_add_option(wm_zones *zones, const char *option, const wm_lab *card_lab, wm_error *err)
{
    wm_zone zone = { .lab = card_lab ? *card_lab : WM_GRAY_CARD };
    wm_status status = option_zone(&zone, option, err);
    if (!status)
        status = wm_zones_append(zones, &zone, NULL, err);
    if (status)
        wm_zone_free(&zone);
    return status;
}

/* ---- against the photo
 * ----------------------------------------------------------------------------------------------------- */

static wm_status check_inside(const wm_zone *zone, const char *label, int width, int height, wm_error *err)
{
    wm_point low, high;
    wm_zone_extent(zone, &low, &high);
    if (low.x >= 0.0 && low.y >= 0.0 && high.x <= width && high.y <= height)
        return WM_OK;
    bool touches = low.x < width && low.y < height && high.x > 0.0 && high.y > 0.0;
    char n[4][40];
    return wm_fail(
        err, WM_E_INPUT,
        "%s: it %s the photo (it spans x %s to %s, y %s to %s; the photo is %d x %d upright); move it inside", label,
        touches ? "reaches outside" : "lies outside", wm_number_text(n[0], low.x, 0), wm_number_text(n[1], high.x, 0),
        wm_number_text(n[2], low.y, 0), wm_number_text(n[3], high.y, 0), width, height);
}

static bool covers_a_pixel(const wm_zone *zone, wm_box box, unsigned char *row)
{
    for (int y = 0; y < box.height; y++) {
        wm_zone_row(zone, box.x, box.y + y, box.width, row);
        if (memchr(row, 1, (size_t)box.width))
            return true;
    }
    return false;
}

static wm_status check_area(const wm_zone *zone, const char *label, wm_box box, unsigned char *row, wm_error *err)
{
    if ((double)box.width * box.height > ZONE_PIXELS_MAX)
        return wm_fail(err, WM_E_INPUT, "%s: it spans more than %d megapixels; draw it smaller", label,
                       ZONE_PIXELS_MAX / 1000000);
    if (!covers_a_pixel(zone, box, row))
        return wm_fail(err, WM_E_INPUT, "%s: it is empty, no pixel's centre lies in it; draw it larger", label);
    return WM_OK;
}

/* Every patch must hold a pixel; the four corners alone don't say so. */
static wm_status check_target(const wm_zone *target, const char *label, wm_box photo, unsigned char *row, wm_error *err)
{
    for (int i = 0; i < target->rows * target->columns; i++) {
        wm_point points[4];
        wm_zone patch = { .kind = WM_ZONE_TARGET, .points = points, .point_count = 4 };
        char place[260];
        snprintf(place, sizeof place, "%.200s, patch %d,%d", label, i / target->columns + 1, i % target->columns + 1);
        if (!wm_zone_target_patch(target, i / target->columns, i % target->columns, points))
            return wm_fail(err, WM_E_INPUT,
                           "%s: its corners are seen from too steep; mark the centres of the corner patches again",
                           label);
        wm_status status = check_area(&patch, place, wm_zone_box(&patch, photo.width, photo.height), row, err);
        if (status)
            return status;
    }
    return WM_OK;
}

static wm_status check_shape(const wm_zone *zone, const char *label, wm_box photo, wm_error *err)
{
    unsigned char *row = malloc((size_t)photo.width + 1);
    if (!row)
        return wm_fail_memory(err);
    wm_status status = check_inside(zone, label, photo.width, photo.height, err);
    if (!status)
        status = check_area(zone, label, wm_zone_box(zone, photo.width, photo.height), row, err);
    if (!status && zone->kind == WM_ZONE_TARGET)
        status = check_target(zone, label, photo, row, err);
    free(row);
    return status;
}

static wm_status check_at(const wm_zones *zones, const wm_zone *zone, const char *label, wm_error *err)
{
    if (!zone->at || client_named(zones, zone->at))
        return WM_OK;
    const char *names[WM_ZONES_MAX];
    size_t count = 0;
    for (size_t i = 0; i < zones->count && count < WM_ZONES_MAX; i++)
        if (wm_zone_is_client(zones->items[i].kind))
            names[count++] = zones->items[i].name;
    return wm_fail(err, WM_E_INPUT, "%s: it is held at '%.60s', but no client zone has that name%s", label, zone->at,
                   wm_hint_of(wm_near_miss(zone->at, names, count), "correct 'at' or leave it out").text);
}

static wm_status check_zone(const wm_zones *zones, size_t i, wm_box photo, wm_error *err)
{
    const wm_zone *zone = &zones->items[i];
    zone_label label = label_of(zone, i);
    wm_status status = check_shape(zone, label.text, photo, err);
    if (!status && wm_zone_is_client(zone->kind) && client_named(zones, zone->name) != zone)
        status = wm_fail(err, WM_E_INPUT, "%s: two client zones have this name; give one of them another", label.text);
    return status ? status : check_at(zones, zone, label.text, err);
}

static wm_box common_box(wm_box a, wm_box b)
{
    int x0 = a.x > b.x ? a.x : b.x, y0 = a.y > b.y ? a.y : b.y;
    int x1 = a.x + a.width < b.x + b.width ? a.x + a.width : b.x + b.width;
    int y1 = a.y + a.height < b.y + b.height ? a.y + a.height : b.y + b.height;
    return (wm_box){ x0, y0, x1 > x0 ? x1 - x0 : 0, y1 > y0 ? y1 - y0 : 0 };
}

/* True when a pixel belongs to both. rows: room for two rows of the photo. */
static bool share_a_pixel(const wm_zone *a, const wm_zone *b, wm_box box, unsigned char *rows)
{
    unsigned char *other = rows + box.width;
    for (int y = box.y; y < box.y + box.height; y++) {
        wm_zone_row(a, box.x, y, box.width, rows);
        wm_zone_row(b, box.x, y, box.width, other);
        for (int x = 0; x < box.width; x++)
            if (rows[x] && other[x])
                return true;
    }
    return false;
}

/* An aid over the hair spoils the zone's colour; the first client zone that each aid covers is named. */
static wm_status note_overlaps(const wm_zones *zones, int width, int height, wm_warnings *warnings, wm_error *err)
{
    unsigned char *rows = malloc(2 * (size_t)width + 1);
    double looked_at = 0.0;
    if (!rows)
        return wm_fail_memory(err);
    for (size_t i = 0; i < zones->count && looked_at < OVERLAP_PIXELS_MAX; i++) {
        const wm_zone *aid = &zones->items[i];
        wm_box box = wm_zone_box(aid, width, height);
        for (size_t j = 0; !wm_zone_is_client(aid->kind) && j < zones->count && looked_at < OVERLAP_PIXELS_MAX; j++) {
            const wm_zone *client = &zones->items[j];
            if (!wm_zone_is_client(client->kind))
                continue;
            wm_box common = common_box(box, wm_zone_box(client, width, height));
            looked_at += (double)common.width * common.height;
            if (share_a_pixel(aid, client, common, rows)) {
                wm_warnings_add(warnings, "zones_overlap",
                                "%s covers part of %s, and its pixels count as hair; draw the two apart",
                                label_of(aid, i).text, label_of(client, j).text);
                break;
            }
        }
    }
    free(rows);
    return WM_OK;
}

wm_status wm_zones_check(const wm_zones *zones, int width, int height, const char *photo_name, wm_warnings *warnings,
                         wm_error *err)
{
    bool any = false;
    for (size_t i = 0; i < zones->count; i++) {
        wm_status status = check_zone(zones, i, (wm_box){ 0, 0, width, height }, err);
        if (status)
            return status;
        any = any || wm_zone_is_client(zones->items[i].kind);
    }
    if (!any)
        return wm_fail(
            err, WM_E_INPUT,
            "no client zone is given; mark at least one of root, mid, ends or gray (--zone KIND=X,Y,W,H or --zones FILE)");
    if (zones->photo && photo_name && strcmp(wm_file_base_name(zones->photo), wm_file_base_name(photo_name)) != 0)
        wm_warnings_add(warnings, "other_photo",
                        "the zones were drawn on '%.100s', not on '%.100s'; check that they sit where you mean them",
                        wm_file_base_name(zones->photo), wm_file_base_name(photo_name));
    return note_overlaps(zones, width, height, warnings, err);
}
