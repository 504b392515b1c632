#include "measure/zone.h"

#include "core/buf.h"
#include "core/file.h"
#include "core/json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Limits at the door: far above what a stylist draws, low enough that every check ends at once. */
enum {
    FILE_BYTES_MAX = 2 << 20,
    ZONES_MAX = 1000,
    POINTS_MAX = 10000,
    NAME_BYTES_MAX = 64,
    PATH_BYTES_MAX = 4000,
    TARGET_LINES_MAX = 100,
    ZONE_PIXELS_MAX = 16000000
};
#define COORDINATE_MAX 1e6

enum { KEYS_MAX = 8, UNKNOWN_KEYS_NOTED = 8 };

static const char *const kind_names[] = {"root", "mid", "ends", "gray", "swatch", "card", "target"};
enum { KIND_COUNT = sizeof kind_names / sizeof kind_names[0] };

static const char *const client_keys[KEYS_MAX] = {"kind", "name", "rect", "polygon", "gray_free"};
static const char *const swatch_keys[KEYS_MAX] = {"kind", "name", "rect", "polygon", "code", "at"};
static const char *const card_keys[KEYS_MAX] = {"kind", "name", "rect", "polygon", "lab"};
static const char *const target_keys[KEYS_MAX] = {"kind", "name", "corners", "rows", "columns", "reference"};
static const char *const file_keys[KEYS_MAX] = {"format", "photo", "zones"};

/* An 18.4 % gray card. */
static const wm_lab gray_card = {50.0, 0.0, 0.0};

bool wm_zone_is_client(wm_zone_kind kind)
{
    return kind <= WM_ZONE_GRAY;
}

const char *wm_zone_kind_name(wm_zone_kind kind)
{
    return kind_names[kind];
}

static const char *const *keys_of(wm_zone_kind kind)
{
    if (wm_zone_is_client(kind))
        return client_keys;
    return kind == WM_ZONE_SWATCH ? swatch_keys : kind == WM_ZONE_CARD ? card_keys : target_keys;
}

/* ---- shapes ---------------------------------------------------------------------------------------------------------------- */

static double cross(wm_point o, wm_point a, wm_point b)
{
    return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}

static int sign(double value)
{
    return (value > 0.0) - (value < 0.0);
}

static bool in_box(wm_point p, wm_point a, wm_point b)
{
    return p.x >= fmin(a.x, b.x) && p.x <= fmax(a.x, b.x) && p.y >= fmin(a.y, b.y) && p.y <= fmax(a.y, b.y);
}

/* True when the segments ab and cd share a point, ends included. */
static bool segments_meet(wm_point a, wm_point b, wm_point c, wm_point d)
{
    if (fmax(a.x, b.x) < fmin(c.x, d.x) || fmax(c.x, d.x) < fmin(a.x, b.x))
        return false;
    if (fmax(a.y, b.y) < fmin(c.y, d.y) || fmax(c.y, d.y) < fmin(a.y, b.y))
        return false;
    int sa = sign(cross(c, d, a)), sb = sign(cross(c, d, b)), sc = sign(cross(a, b, c)), sd = sign(cross(a, b, d));
    if (sa * sb < 0 && sc * sd < 0)
        return true;
    return (sa == 0 && in_box(a, c, d)) || (sb == 0 && in_box(b, c, d)) || (sc == 0 && in_box(c, a, b)) || (sd == 0 && in_box(d, a, b));
}

/* True when the outline turns straight back at b. */
static bool turns_back(wm_point a, wm_point b, wm_point c)
{
    return sign(cross(a, b, c)) == 0 && (a.x - b.x) * (c.x - b.x) + (a.y - b.y) * (c.y - b.y) > 0.0;
}

static bool crosses_itself(const wm_point *p, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (turns_back(p[i], p[(i + 1) % n], p[(i + 2) % n]))
            return true;
        for (size_t j = i + 2; j < n; j++)
            if ((j + 1) % n != i && segments_meet(p[i], p[i + 1], p[j], p[(j + 1) % n]))
                return true;
    }
    return false;
}

static double twice_area(const wm_point *p, size_t n)
{
    double sum = 0.0;
    for (size_t i = 1; i + 1 < n; i++)
        sum += cross(p[0], p[i], p[i + 1]);
    return fabs(sum);
}

/* What is wrong with an outline and what to do, or NULL. */
static const char *outline_fault(const wm_point *p, size_t n)
{
    if (n < 3)
        return "its polygon is empty: it has fewer than three different corners; draw it again";
    if (twice_area(p, n) < 1e-9)
        return "its polygon is empty: its corners lie on one line; draw it again";
    if (crosses_itself(p, n))
        return "its polygon crosses or touches itself; draw it again as one simple outline";
    return NULL;
}

static const char *corners_fault(const wm_point *p)
{
    int turns = 0;
    for (int i = 0; i < 4; i++)
        turns += sign(cross(p[i], p[(i + 1) % 4], p[(i + 2) % 4]));
    if (abs(turns) != 4)
        return "its four corners make no four-sided shape; give the centre of the patch that the reference lists first, then along its row, "
               "then clockwise";
    return NULL;
}

/* First pixel whose centre is not left of (or above) the coordinate. */
static double first_pixel(double coordinate)
{
    return ceil(coordinate - 0.5);
}

static int clip_pixel(double pixel, int size)
{
    return pixel < 0.0 ? 0 : pixel > size ? size : (int)pixel;
}

static void extent(const wm_zone *zone, wm_point *low, wm_point *high)
{
    *low = *high = zone->points[0];
    for (size_t i = 1; i < zone->point_count; i++) {
        low->x = fmin(low->x, zone->points[i].x);
        low->y = fmin(low->y, zone->points[i].y);
        high->x = fmax(high->x, zone->points[i].x);
        high->y = fmax(high->y, zone->points[i].y);
    }
}

wm_box wm_zone_box(const wm_zone *zone, int width, int height)
{
    wm_point low, high;
    extent(zone, &low, &high);
    int x0 = clip_pixel(first_pixel(low.x), width), x1 = clip_pixel(first_pixel(high.x), width);
    int y0 = clip_pixel(first_pixel(low.y), height), y1 = clip_pixel(first_pixel(high.y), height);
    return (wm_box){x0, y0, x1 - x0, y1 - y0};
}

/* Even-odd rule; a centre exactly on an edge belongs to the shape on its right or below it, so that neighbours share no pixel. */
void wm_zone_row(const wm_zone *zone, int x, int y, int count, unsigned char *inside)
{
    double centre = y + 0.5;
    memset(inside, 0, (size_t)count);
    for (size_t i = 0; i < zone->point_count; i++) {
        wm_point a = zone->points[i], b = zone->points[(i + 1) % zone->point_count];
        if ((a.y <= centre) == (b.y <= centre))
            continue;
        if (a.y > b.y) { /* the same arithmetic for both owners of a shared edge */
            wm_point upper = b;
            b = a;
            a = upper;
        }
        double crossing = a.x + (centre - a.y) / (b.y - a.y) * (b.x - a.x);
        double first = fmax(first_pixel(crossing) - x, 0.0);
        if (first < count)
            inside[(int)first] ^= 1;
    }
    for (int i = 1; i < count; i++)
        inside[i] ^= inside[i - 1];
}

bool wm_zone_contains(const wm_zone *zone, int x, int y)
{
    unsigned char inside;
    wm_zone_row(zone, x, y, 1, &inside);
    return inside;
}

/* Projective map of the unit square (0,0) (1,0) (1,1) (0,1) to four corners: P. Heckbert, "Fundamentals of Texture Mapping and Image
 * Warping", 1989, section 2.2.3. */
typedef struct square_map { double a, b, c, d, e, f, g, h; } square_map;

static square_map square_to_corners(const wm_point *p)
{
    double sx = p[0].x - p[1].x + p[2].x - p[3].x, sy = p[0].y - p[1].y + p[2].y - p[3].y;
    double dx1 = p[1].x - p[2].x, dx2 = p[3].x - p[2].x, dy1 = p[1].y - p[2].y, dy2 = p[3].y - p[2].y;
    double det = dx1 * dy2 - dx2 * dy1;
    square_map m;
    m.g = (sx * dy2 - dx2 * sy) / det;
    m.h = (dx1 * sy - sx * dy1) / det;
    m.a = p[1].x - p[0].x + m.g * p[1].x;
    m.b = p[3].x - p[0].x + m.h * p[3].x;
    m.c = p[0].x;
    m.d = p[1].y - p[0].y + m.g * p[1].y;
    m.e = p[3].y - p[0].y + m.h * p[3].y;
    m.f = p[0].y;
    return m;
}

bool wm_zone_target_patch(const wm_zone *target, int row, int column, wm_point points[4])
{
    static const double corner_u[4] = {-0.25, 0.25, 0.25, -0.25}, corner_v[4] = {-0.25, -0.25, 0.25, 0.25};
    if (target->rows < 2 || target->columns < 2 || corners_fault(target->points))
        return false;
    square_map m = square_to_corners(target->points);
    wm_point patch[4];
    for (int i = 0; i < 4; i++) {
        double u = (column + corner_u[i]) / (target->columns - 1), v = (row + corner_v[i]) / (target->rows - 1);
        double w = m.g * u + m.h * v + 1.0;
        if (!(w > 1e-6))
            return false;
        patch[i] = (wm_point){(m.a * u + m.b * v + m.c) / w, (m.d * u + m.e * v + m.f) / w};
    }
    memcpy(points, patch, sizeof patch);
    return true;
}

/* ---- the list -------------------------------------------------------------------------------------------------------------- */

static void free_zone(wm_zone *zone)
{
    free(zone->name);
    free(zone->points);
    free(zone->code);
    free(zone->at);
    free(zone->reference);
}

static void shrink(wm_zones *zones, size_t count)
{
    while (zones->count > count)
        free_zone(&zones->items[--zones->count]);
}

void wm_zones_free(wm_zones *zones)
{
    if (!zones)
        return;
    shrink(zones, 0);
    free(zones->items);
    free(zones->photo);
    *zones = (wm_zones){0};
}

/* How messages call a zone: by its name, else by its place and kind. */
typedef struct zone_label { char text[200]; } zone_label;

static zone_label label_of(const wm_zone *zone, size_t index)
{
    zone_label label;
    if (zone->name && zone->name[0])
        snprintf(label.text, sizeof label.text, "zone '%s'", zone->name);
    else if (zone->code)
        snprintf(label.text, sizeof label.text, "zone %zu (swatch %s)", index + 1, zone->code);
    else
        snprintf(label.text, sizeof label.text, "zone %zu (%s)", index + 1, kind_names[zone->kind]);
    return label;
}

static const wm_zone *client_named(const wm_zones *zones, const char *name)
{
    for (size_t i = 0; i < zones->count; i++)
        if (wm_zone_is_client(zones->items[i].kind) && strcmp(zones->items[i].name, name) == 0)
            return &zones->items[i];
    return NULL;
}

/* Takes the zone over on success. */
static wm_status append(wm_zones *zones, const wm_zone *zone, const char *file, wm_error *err)
{
    zone_label label = label_of(zone, zones->count);
    if (zones->count >= ZONES_MAX)
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "%s: there are more than %d zones; remove some", label.text, ZONES_MAX);
    if (wm_zone_is_client(zone->kind) && client_named(zones, zone->name))
        return wm_fail_at(err, WM_E_INPUT, file, 0, 0, "%s: two client zones have this name; give one of them another", label.text);
    wm_zone *items = realloc(zones->items, (zones->count + 1) * sizeof *items);
    if (!items)
        return wm_fail_memory(err);
    zones->items = items;
    items[zones->count++] = *zone;
    return WM_OK;
}

static bool set_points(wm_zone *zone, const wm_point *points, size_t count)
{
    zone->points = malloc(count * sizeof *points);
    if (!zone->points)
        return false;
    memcpy(zone->points, points, count * sizeof *points);
    zone->point_count = count;
    return true;
}

static bool set_rect(wm_zone *zone, const double rect[4])
{
    double x = rect[0], y = rect[1], right = x + rect[2], bottom = y + rect[3];
    zone->is_rect = true;
    return set_points(zone, (wm_point[]){{x, y}, {right, y}, {right, bottom}, {x, bottom}}, 4);
}

static const char *rect_fault(const double rect[4])
{
    for (int i = 0; i < 4; i++)
        if (fabs(rect[i]) > COORDINATE_MAX)
            return "its rect has a number above a million; give pixels of the photo";
    return rect[2] > 0.0 && rect[3] > 0.0 ? NULL : "its rect is empty; width and height must be above 0";
}

static const char *name_fault(const char *name)
{
    size_t size = strlen(name);
    if (size == 0)
        return "its name is empty; give a name or leave it out";
    if (size > NAME_BYTES_MAX)
        return "its name is longer than 64 bytes; shorten it";
    for (size_t i = 0; i < size; i++)
        if ((unsigned char)name[i] < 0x20 || name[i] == 0x7f)
            return "its name has a control character; write it as plain text";
    return wm_utf8_valid(name, size) ? NULL : "its name is not UTF-8; write it as plain text";
}

static bool kind_of(const char *text, wm_zone_kind *kind)
{
    for (int i = 0; i < KIND_COUNT; i++)
        if (strcmp(text, kind_names[i]) == 0) {
            *kind = (wm_zone_kind)i;
            return true;
        }
    return false;
}

/* "; did you mean 'x'?" or "; use a, b or c". */
typedef struct hint { char text[200]; } hint;

static hint near_hint(const char *wrong, const char *const *words, size_t count, const char *otherwise)
{
    hint h;
    const char *near = wm_near_miss(wrong, words, count);
    if (near)
        snprintf(h.text, sizeof h.text, "; did you mean '%s'?", near);
    else
        snprintf(h.text, sizeof h.text, "; %s", otherwise);
    return h;
}

static hint kind_hint(const char *wrong)
{
    return near_hint(wrong, kind_names, KIND_COUNT, "kinds are root, mid, ends, gray, swatch, card and target");
}

/* ---- the option ------------------------------------------------------------------------------------------------------------ */

static wm_status option_syntax(const char *option, wm_error *err)
{
    return wm_fail(err, WM_E_USAGE, "zone '%.100s' is not KIND=X,Y,W,H or KIND:NAME=X,Y,W,H in pixels; write for example root=410,300,60,40",
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
    if (!kind_of(word, kind))
        return wm_fail(err, WM_E_INPUT, "zone '%.100s': unknown kind '%s'%s", option, word, kind_hint(word).text);
    if (*kind == WM_ZONE_SWATCH || *kind == WM_ZONE_TARGET)
        return wm_fail(err, WM_E_INPUT, "zone '%.100s': a %s can't be given in an option; write it into a zones file (--zones FILE)", option, word);
    return WM_OK;
}

/* Splits KIND[:NAME]=X,Y,W,H. The name may hold any sign but is ended by the last '='. */
static wm_status option_zone(wm_zone *zone, const char *option, wm_error *err)
{
    const char *equals = strrchr(option, '=');
    size_t kind_size = strcspn(option, ":=");
    char word[20], name[NAME_BYTES_MAX + 2];
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
    const char *fault = named ? name_fault(name) : NULL;
    if (!fault)
        fault = rect_fault(rect);
    if (fault)
        return wm_fail(err, WM_E_INPUT, "zone '%.100s': %s", option, fault);
    zone->name = wm_text_copy(name);
    return zone->name && set_rect(zone, rect) ? WM_OK : wm_fail_memory(err);
}

wm_status wm_zones_add_option(wm_zones *zones, const char *option, const wm_lab *card_lab, wm_error *err)
{
    wm_zone zone = {.lab = card_lab ? *card_lab : gray_card};
    wm_status status = option_zone(&zone, option, err);
    if (!status)
        status = append(zones, &zone, NULL, err);
    if (status)
        free_zone(&zone);
    return status;
}

/* ---- the file -------------------------------------------------------------------------------------------------------------- */

/* One zone of a file while it is read. */
typedef struct reader {
    const char *file;
    const wm_json *json;
    char label[200];
    wm_notes *notes;
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
        return refuse(r, "'%s' must be a whole number from 2 to %d; mark the patches of a single line as cards", key, (int)TARGET_LINES_MAX);
    *out = (int)number;
    return WM_OK;
}

static wm_status read_rect(const reader *r, wm_zone *zone)
{
    double rect[4];
    wm_status status = read_numbers(r, "rect", rect, 4, "[X, Y, width, height] in pixels");
    if (status)
        return status;
    const char *fault = rect_fault(rect);
    if (fault)
        return refuse(r, "%s", fault);
    return set_rect(zone, rect) ? WM_OK : wm_fail_memory(r->err);
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
    if (count > POINTS_MAX)
        return refuse(r, "'%s' has more than %d points; draw it with fewer", key, (int)POINTS_MAX);
    zone->points = calloc(count ? count : 1, sizeof *zone->points);
    if (!zone->points)
        return wm_fail_memory(r->err);
    for (size_t i = 0; i < count; i++) {
        double xy[2];
        if (!numbers(wm_json_at(value, i), xy, 2))
            return refuse(r, "point %zu of '%s' is not [x, y]; correct it", i + 1, key);
        if (fabs(xy[0]) > COORDINATE_MAX || fabs(xy[1]) > COORDINATE_MAX)
            return refuse(r, "point %zu of '%s' has a number above a million; give pixels of the photo", i + 1, key);
        zone->points[i] = (wm_point){xy[0], xy[1]};
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
    const char *fault = outline_fault(zone->points, zone->point_count);
    return fault ? refuse(r, "%s", fault) : WM_OK;
}

static wm_status read_corners(const reader *r, wm_zone *zone)
{
    wm_status status = read_points(r, "corners", zone);
    if (status)
        return status;
    if (zone->point_count != 4)
        return refuse(r, "'corners' has %zu points; give the centres of the four corner patches", zone->point_count);
    const char *fault = corners_fault(zone->points);
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
    zone->lab = gray_card;
    if (!wm_json_get(r->json, "lab"))
        return WM_OK;
    wm_status status = read_numbers(r, "lab", lab, 3, "[L, a, b]");
    if (status)
        return status;
    zone->lab = (wm_lab){lab[0], lab[1], lab[2]};
    return wm_lab_valid(zone->lab) ? WM_OK : refuse(r, "'lab' is outside L 0 to 100, a and b -128 to 127; give the card's CIELAB colour");
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
    return status ? status : read_text(r, "at", &zone->at);
}

static wm_status read_name(const reader *r, wm_zone *zone)
{
    wm_status status = read_text(r, "name", &zone->name);
    if (status)
        return status;
    const char *fault = zone->name ? name_fault(zone->name) : NULL;
    if (fault)
        return refuse(r, "%s", fault);
    if (!zone->name)
        zone->name = wm_text_copy(wm_zone_is_client(zone->kind) ? kind_names[zone->kind] : "");
    return zone->name ? WM_OK : wm_fail_memory(r->err);
}

static wm_status read_own_keys(const reader *r, wm_zone *zone)
{
    switch (zone->kind) {
    case WM_ZONE_SWATCH: return read_swatch(r, zone);
    case WM_ZONE_CARD: return read_card(r, zone);
    case WM_ZONE_TARGET: return read_target(r, zone);
    default: return read_flag(r, "gray_free", &zone->gray_free);
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
            wm_notes_add(r->notes, "unknown_key", "%s: the key '%.60s' means nothing here and is ignored%s", r->label, key,
                near_hint(key, keys, known, "remove it").text);
    }
}

static wm_status read_kind(const reader *r, wm_zone_kind *kind)
{
    const wm_json *value = wm_json_get(r->json, "kind");
    const char *text = wm_json_text(value);
    if (!text)
        return wrong_type(r, "kind", value, "root, mid, ends, gray, swatch, card or target");
    return kind_of(text, kind) ? WM_OK : refuse(r, "unknown kind '%.60s'%s", text, kind_hint(text).text);
}

/* By its name, else by its place and what it says of itself: whatever of that can be read. */
static void label_json(reader *r, size_t index)
{
    const char *name = wm_json_text(wm_json_get(r->json, "name")), *kind = wm_json_text(wm_json_get(r->json, "kind"));
    const char *code = wm_json_text(wm_json_get(r->json, "code"));
    if (name && name[0])
        snprintf(r->label, sizeof r->label, "zone '%.100s'", name);
    else if (kind)
        snprintf(r->label, sizeof r->label, "zone %zu (%.40s%s%.60s)", index + 1, kind, code ? " " : "", code ? code : "");
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
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "'format' is %s; a zones file has \"format\": 1", wm_json_kind_name(value));
    if (format > 1.0)
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0,
            "this zones file has a newer format than 1, which is all that this version reads; update weftmatch or mark the zones again");
    return format < 1.0 ? wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "this zones file is not of format 1; mark the zones again") : WM_OK;
}

static wm_status read_photo_name(const reader *r, char **photo)
{
    const wm_json *value = wm_json_get(r->json, "photo");
    const char *text = wm_json_text(value);
    if (!value)
        return WM_OK;
    if (!text)
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "'photo' is %s; give the photo's name", wm_json_kind_name(value));
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
        reader r = {.file = top->file, .json = wm_json_at(list, i), .notes = top->notes, .err = top->err};
        wm_zone zone = {0};
        label_json(&r, i);
        wm_status status = read_zone(&r, &zone);
        if (!status)
            status = append(zones, &zone, r.file, r.err);
        if (status) {
            free_zone(&zone);
            return status;
        }
    }
    return WM_OK;
}

static wm_status read_document(wm_zones *zones, const reader *r)
{
    char *photo = NULL;
    if (wm_json_kind_of(r->json) != WM_JSON_OBJECT)
        return wm_fail_at(r->err, WM_E_INPUT, r->file, 0, 0, "this is no zones file: it holds %s; save one from the marking page",
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

wm_status wm_zones_add_json(wm_zones *zones, const char *json, size_t size, const char *file, wm_notes *notes, wm_error *err)
{
    wm_json_document *document = NULL;
    size_t before = zones->count;
    wm_status status = wm_json_parse(&document, json, size, file, WM_E_INPUT, err);
    if (status)
        return status;
    reader r = {.file = file, .json = wm_json_root(document), .label = "zones file", .notes = notes, .err = err};
    status = read_document(zones, &r);
    if (status)
        shrink(zones, before);
    wm_json_free(document);
    return status;
}

wm_status wm_zones_add_file(wm_zones *zones, const char *path, wm_notes *notes, wm_error *err)
{
    wm_bytes bytes = {0};
    wm_status status = wm_file_read(&bytes, path, FILE_BYTES_MAX, WM_E_INPUT, err);
    if (!status)
        status = wm_zones_add_json(zones, (const char *)bytes.data, bytes.size, path, notes, err);
    wm_bytes_free(&bytes);
    return status;
}

/* ---- against the photo ----------------------------------------------------------------------------------------------------- */

static wm_status check_inside(const wm_zone *zone, const char *label, int width, int height, wm_error *err)
{
    wm_point low, high;
    extent(zone, &low, &high);
    if (low.x >= 0.0 && low.y >= 0.0 && high.x <= width && high.y <= height)
        return WM_OK;
    bool touches = low.x < width && low.y < height && high.x > 0.0 && high.y > 0.0;
    char n[4][40];
    return wm_fail(err, WM_E_INPUT, "%s: it %s the photo (it spans x %s to %s, y %s to %s; the photo is %d x %d upright); move it inside", label,
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
        return wm_fail(err, WM_E_INPUT, "%s: it spans more than %d megapixels; draw it smaller", label, ZONE_PIXELS_MAX / 1000000);
    if (!covers_a_pixel(zone, box, row))
        return wm_fail(err, WM_E_INPUT, "%s: it is empty, no pixel's centre lies in it; draw it larger", label);
    return WM_OK;
}

/* Every patch must hold a pixel; the four corners alone don't say so. */
static wm_status check_target(const wm_zone *target, const char *label, wm_box photo, unsigned char *row, wm_error *err)
{
    for (int i = 0; i < target->rows * target->columns; i++) {
        wm_point points[4];
        wm_zone patch = {.kind = WM_ZONE_TARGET, .points = points, .point_count = 4};
        char place[260];
        snprintf(place, sizeof place, "%.200s, patch %d,%d", label, i / target->columns + 1, i % target->columns + 1);
        if (!wm_zone_target_patch(target, i / target->columns, i % target->columns, points))
            return wm_fail(err, WM_E_INPUT, "%s: its corners are seen from too steep; mark the centres of the corner patches again", label);
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
    const char *names[ZONES_MAX];
    size_t count = 0;
    for (size_t i = 0; i < zones->count && count < ZONES_MAX; i++)
        if (wm_zone_is_client(zones->items[i].kind))
            names[count++] = zones->items[i].name;
    return wm_fail(err, WM_E_INPUT, "%s: it is held at '%.60s', but no client zone has that name%s", label, zone->at,
        near_hint(zone->at, names, count, "correct 'at' or leave it out").text);
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
    return (wm_box){x0, y0, x1 > x0 ? x1 - x0 : 0, y1 > y0 ? y1 - y0 : 0};
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
static wm_status note_overlaps(const wm_zones *zones, int width, int height, wm_notes *notes, wm_error *err)
{
    unsigned char *rows = malloc(2 * (size_t)width + 1);
    if (!rows)
        return wm_fail_memory(err);
    for (size_t i = 0; i < zones->count; i++) {
        const wm_zone *aid = &zones->items[i];
        wm_box box = wm_zone_box(aid, width, height);
        for (size_t j = 0; !wm_zone_is_client(aid->kind) && j < zones->count; j++) {
            const wm_zone *client = &zones->items[j];
            if (!wm_zone_is_client(client->kind))
                continue;
            wm_box common = common_box(box, wm_zone_box(client, width, height));
            if (share_a_pixel(aid, client, common, rows)) {
                wm_notes_add(notes, "zones_overlap", "%s covers part of %s, and its pixels count as hair; draw the two apart", label_of(aid, i).text,
                    label_of(client, j).text);
                break;
            }
        }
    }
    free(rows);
    return WM_OK;
}

wm_status wm_zones_check(const wm_zones *zones, int width, int height, const char *photo_name, wm_notes *notes, wm_error *err)
{
    bool any = false;
    for (size_t i = 0; i < zones->count; i++) {
        wm_status status = check_zone(zones, i, (wm_box){0, 0, width, height}, err);
        if (status)
            return status;
        any = any || wm_zone_is_client(zones->items[i].kind);
    }
    if (!any)
        return wm_fail(err, WM_E_INPUT, "no client zone is given; mark at least one of root, mid, ends or gray (--zone KIND=X,Y,W,H or --zones FILE)");
    if (zones->photo && photo_name && strcmp(wm_file_base_name(zones->photo), wm_file_base_name(photo_name)) != 0)
        wm_notes_add(notes, "other_photo", "the zones were drawn on '%.100s', not on '%.100s'; check that they sit where you mean them",
            wm_file_base_name(zones->photo), wm_file_base_name(photo_name));
    return note_overlaps(zones, width, height, notes, err);
}

/* ---- writing --------------------------------------------------------------------------------------------------------------- */

/* The fewest decimals that keep the number to a millionth. */
static void write_number(wm_buf *out, double value)
{
    double scaled = value;
    int decimals = 0;
    while (decimals < 6 && fabs(scaled - round(scaled)) > 1e-6) {
        scaled *= 10.0;
        decimals++;
    }
    wm_buf_number(out, value, decimals);
}

static void write_points(wm_buf *out, const char *key, const wm_zone *zone)
{
    wm_buf_format(out, ", \"%s\": [", key);
    for (size_t i = 0; i < zone->point_count; i++) {
        wm_buf_text(out, i ? ", [" : "[");
        write_number(out, zone->points[i].x);
        wm_buf_text(out, ", ");
        write_number(out, zone->points[i].y);
        wm_buf_text(out, "]");
    }
    wm_buf_text(out, "]");
}

static void write_list(wm_buf *out, const char *key, const double *values, int count)
{
    wm_buf_format(out, ", \"%s\": [", key);
    for (int i = 0; i < count; i++) {
        wm_buf_text(out, i ? ", " : "");
        write_number(out, values[i]);
    }
    wm_buf_text(out, "]");
}

static void write_shape(wm_buf *out, const wm_zone *zone)
{
    if (zone->kind == WM_ZONE_TARGET) {
        write_points(out, "corners", zone);
    } else if (zone->is_rect) {
        wm_point low = zone->points[0], high = zone->points[2];
        write_list(out, "rect", (double[]){low.x, low.y, high.x - low.x, high.y - low.y}, 4);
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
    wm_buf_format(out, "{\"kind\": \"%s\"", kind_names[zone->kind]);
    write_text(out, "name", zone->name);
    write_text(out, "code", zone->code);
    write_text(out, "at", zone->at);
    write_shape(out, zone);
    if (zone->gray_free)
        wm_buf_text(out, ", \"gray_free\": true");
    if (zone->kind == WM_ZONE_CARD)
        write_list(out, "lab", (double[]){zone->lab.L, zone->lab.a, zone->lab.b}, 3);
    if (zone->kind == WM_ZONE_TARGET)
        wm_buf_format(out, ", \"rows\": %d, \"columns\": %d", zone->rows, zone->columns);
    write_text(out, "reference", zone->reference);
    wm_buf_text(out, "}");
}

void wm_zones_write_json(struct wm_buf *out, const wm_zones *zones, const char *photo_name)
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
