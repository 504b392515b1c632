#include "measure/zone_internal.h"

#include "core/buf.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const WM_ZONE_KIND_WORDS[] = { "root", "mid", "ends", "gray", "swatch", "card", "target", NULL };

static const double WHITE_PAPER[3] = { 94.3, 0, 0 }; /* C29 */

bool wm_card_named(wm_lab *out, const char *name)
{
    const bool paper = strcmp(name, "paper") == 0;
    if (!paper && strcmp(name, "gray") != 0)
        return false;
    *out = paper ? (wm_lab){ WHITE_PAPER[0], WHITE_PAPER[1], WHITE_PAPER[2] } : WM_GRAY_CARD;
    return true;
}

bool wm_zone_is_client(wm_zone_kind kind)
{
    return kind <= WM_ZONE_GRAY;
}

const char *wm_zone_kind_name(wm_zone_kind kind)
{
    return wm_word_of(WM_ZONE_KIND_WORDS, kind);
}

wm_place wm_zone_place(const wm_zone *zone)
{
    static const wm_place usual[] = { WM_PLACE_CROWN, WM_PLACE_BACK, WM_PLACE_BACK, WM_PLACE_SIDE }; /* M26 */
    return zone->place == WM_PLACE_BY_KIND && wm_zone_is_client(zone->kind) ? usual[zone->kind] : zone->place;
}

bool wm_zone_kind_of(const char *text, wm_zone_kind *kind)
{
    unsigned value = 0;
    bool found = wm_word_find(WM_ZONE_KIND_WORDS, text, &value);
    if (found)
        *kind = (wm_zone_kind)value;
    return found;
}

const char *wm_zone_near_kind(const char *wrong)
{
    return wm_near_miss(wrong, WM_ZONE_KIND_WORDS, WM_ZONE_KINDS);
}

void wm_zone_free(wm_zone *zone)
{
    free(zone->name);
    free(zone->points);
    free(zone->code);
    free(zone->at);
    free(zone->reference);
}

bool wm_zone_set_rect(wm_zone *zone, const double rect[4])
{
    double x = rect[0], y = rect[1], right = x + rect[2], bottom = y + rect[3];
    zone->points = malloc(4 * sizeof *zone->points);
    if (!zone->points)
        return false;
    memcpy(zone->points, (wm_point[]){ { x, y }, { right, y }, { right, bottom }, { x, bottom } },
           4 * sizeof *zone->points);
    zone->point_count = 4;
    zone->is_rect = true;
    return true;
}

/* ---- faults of a shape
 * ----------------------------------------------------------------------------------------------------- */

void wm_zone_keep_decimals(double *coordinates, size_t count)
{
    const double steps = 1e6; /* WM_ZONE_DECIMALS */
    for (size_t i = 0; i < count; i++)
        if (fabs(coordinates[i]) <= WM_ZONE_COORDINATE_MAX)
            coordinates[i] = round(coordinates[i] * steps) / steps;
}

const char *wm_zone_rect_fault(const double rect[4])
{
    for (int i = 0; i < 4; i++)
        if (fabs(rect[i]) > WM_ZONE_COORDINATE_MAX)
            return "its rect has a number above a million; give pixels of the photo";
    return rect[2] > 0.0 && rect[3] > 0.0 ? NULL : "its rect is empty; width and height must be above 0";
}

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
    return (sa == 0 && in_box(a, c, d)) || (sb == 0 && in_box(b, c, d)) || (sc == 0 && in_box(c, a, b)) ||
           (sd == 0 && in_box(d, a, b));
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

const char *wm_zone_outline_fault(const wm_point *p, size_t n)
{
    if (n < 3)
        return "its polygon is empty: it has fewer than three different corners; draw it again";
    if (twice_area(p, n) < 1e-9)
        return "its polygon is empty: its corners lie on one line, or its sides cross; draw it again";
    if (crosses_itself(p, n))
        return "its polygon crosses or touches itself; draw it again as one simple outline";
    return NULL;
}

const char *wm_zone_corners_fault(const wm_point *p)
{
    int turns = 0;
    for (int i = 0; i < 4; i++)
        turns += sign(cross(p[i], p[(i + 1) % 4], p[(i + 2) % 4]));
    if (abs(turns) != 4)
        return "its four corners make no four-sided shape; give the centre of the patch that the reference lists first, then along its row, "
               "then clockwise";
    return NULL;
}

/* ---- pixels
 * ---------------------------------------------------------------------------------------------------------------- */

/* First pixel whose centre is not left of (or above) the coordinate. */
static double first_pixel(double coordinate)
{
    return ceil(coordinate - 0.5);
}

static int clip_pixel(double pixel, int size)
{
    return pixel < 0.0 ? 0 : pixel > size ? size : (int)pixel;
}

void wm_zone_extent(const wm_zone *zone, wm_point *low, wm_point *high)
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
    wm_zone_extent(zone, &low, &high);
    int x0 = clip_pixel(first_pixel(low.x), width), x1 = clip_pixel(first_pixel(high.x), width);
    int y0 = clip_pixel(first_pixel(low.y), height), y1 = clip_pixel(first_pixel(high.y), height);
    return (wm_box){ x0, y0, x1 - x0, y1 - y0 };
}

wm_point wm_zone_middle(const wm_zone *zone)
{
    wm_point low, high;
    wm_zone_extent(zone, &low, &high);
    return (wm_point){ (low.x + high.x) / 2, (low.y + high.y) / 2 };
}

/* Even-odd rule; a centre exactly on an edge belongs to the shape on its right or below it, so that neighbours share no
 * pixel. */
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

/* ---- target
 * ---------------------------------------------------------------------------------------------------------------- */

/* Projective map of the unit square (0,0) (1,0) (1,1) (0,1) to four corners: P. Heckbert, "Fundamentals of Texture
 * Mapping and Image Warping", 1989, section 2.2.3. */
typedef struct square_map {
    double a, b, c, d, e, f, g, h;
} square_map;

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

/* The middle half of the cell around `centre`, both counted in cells of which `cells` lie between the corners. */
static bool middle_half(wm_point out[4], const wm_point corners[4], wm_point centre, wm_point cells)
{
    static const double corner_u[4] = { -0.25, 0.25, 0.25, -0.25 }, corner_v[4] = { -0.25, -0.25, 0.25, 0.25 };
    if (wm_zone_corners_fault(corners))
        return false;
    square_map m = square_to_corners(corners);
    wm_point half[4];
    for (int i = 0; i < 4; i++) {
        double u = (centre.x + corner_u[i]) / cells.x, v = (centre.y + corner_v[i]) / cells.y;
        double w = m.g * u + m.h * v + 1.0;
        if (!(w > 1e-6))
            return false;
        half[i] = (wm_point){ (m.a * u + m.b * v + m.c) / w, (m.d * u + m.e * v + m.f) / w };
    }
    memcpy(out, half, sizeof half);
    return true;
}

bool wm_zone_target_patch(const wm_zone *target, int row, int column, wm_point points[4])
{
    if (target->rows < 2 || target->columns < 2)
        return false;
    return middle_half(points, target->points, (wm_point){ column, row },
                       (wm_point){ target->columns - 1, target->rows - 1 });
}

bool wm_zone_grid_cell(const wm_point outline[4], const int grid[2], int cell, wm_point points[4])
{
    const wm_point centre = { cell % grid[1] + 0.5, cell / grid[1] + 0.5 };
    return middle_half(points, outline, centre, (wm_point){ grid[1], grid[0] });
}
