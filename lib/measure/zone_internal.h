/* zone_internal: what zone, zones and zones_file share and nobody else needs. A fault is what is wrong and what to do,
 * NULL for none. */
#ifndef WM_MEASURE_ZONE_INTERNAL_H
#define WM_MEASURE_ZONE_INTERNAL_H

#include "measure/zones.h"

/* Limits at the door: far above what a stylist draws, low enough that every check ends at once. */
enum { WM_ZONE_DECIMALS = 6 }; /* of a pixel, as zones are written */
enum { WM_ZONE_KINDS = WM_ZONE_TARGET + 1, WM_ZONES_MAX = 1000, WM_ZONE_POINTS_MAX = 20000, WM_ZONE_NAME_MAX = 64 };
#define WM_ZONE_COORDINATE_MAX 1e6

bool wm_zone_kind_of(const char *text, wm_zone_kind *kind);
const char *wm_zone_near_kind(const char *wrong); /* the kind that was meant, or NULL */

void wm_zone_free(wm_zone *zone);
bool wm_zone_set_rect(wm_zone *zone, const double rect[4]); /* false: memory */

/* Rounds coordinates as they will be written, before they are judged: a book's zones must open again. */
void wm_zone_keep_decimals(double *coordinates, size_t count);
const char *wm_zone_rect_fault(const double rect[4]);
const char *wm_zone_outline_fault(const wm_point *points, size_t count);
const char *wm_zone_corners_fault(const wm_point *four);
const char *wm_zone_name_fault(const char *name);

/* An 18.4 % gray card. */
#define WM_GRAY_CARD ((wm_lab){ 50.0, 0.0, 0.0 })

/* "; did you mean 'near'?", or "; otherwise" when near is NULL. */
typedef struct wm_hint {
    char text[200];
} wm_hint;
wm_hint wm_hint_of(const char *near, const char *otherwise);
wm_hint wm_zone_kind_hint(const char *wrong);

/* Takes the zone over on success. */
wm_status wm_zones_append(wm_zones *zones, const wm_zone *zone, const char *file, wm_error *err);
void wm_zones_shrink(wm_zones *zones, size_t count);

#endif
