/* zones: what is marked on one photo: hair (root, mid, ends, gray), and what of known colour lies beside it (swatch,
 * card, target). Coordinates are pixels of the upright photo, origin top left. */
#ifndef WEFTMATCH_ZONES_H
#define WEFTMATCH_ZONES_H

#include "weftmatch/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wm_zones wm_zones;

/** An empty list. WM_E_MEMORY. Close with wm_zones_close. */
WM_PUBLIC wm_status wm_zones_open(wm_zones **out, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_zones_close(wm_zones *zones);

/** Adds what a zones file holds, as the marking page saves it. WM_E_INPUT names the file and the zone; nothing of the
 * file is added then. */
WM_PUBLIC wm_status wm_zones_load(wm_zones *zones, const char *path, wm_error *err);
/** Adds one rectangle, KIND[:NAME]=X,Y,W,H such as "gray:temple=120,80,200,160"; a card is taken for an 18 % gray one.
 * WM_E_USAGE: not of that form. WM_E_INPUT: unknown kind, or a name that is taken. */
WM_PUBLIC wm_status wm_zones_add(wm_zones *zones, const char *zone, wm_error *err);
WM_PUBLIC size_t wm_zones_count(const wm_zones *zones);

#ifdef __cplusplus
}
#endif

#endif
