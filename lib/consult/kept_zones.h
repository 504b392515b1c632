/* kept_zones: readings of the zones of one photo, kept from one survey to the next by shape and correction. What
 * neither the last survey nor the one before it used is dropped, and the oldest when they take up too much. */
#ifndef WM_CONSULT_KEPT_ZONES_H
#define WM_CONSULT_KEPT_ZONES_H

#include "consult/reading.h"
#include "measure/aids.h"
#include "weftmatch/kept_zones.h"

/** A zone and the correction it is read under. */
typedef struct wm_kept_key {
    const wm_zone *zone; /**< shape, kind, is_hair */
    const wm_stage1 *stage1;
    wm_rgb gain; /**< wm_calibration_balance */
} wm_kept_key;

/** An aid as it was read, without a correction. */
typedef struct wm_aid_reading {
    wm_window window;
    wm_hair_check hair; /**< of a swatch */
    wm_aid_body body;   /**< of a swatch; owned */
} wm_aid_reading;

bool wm_kept_zones_are_of(const wm_kept_zones *kept, const wm_photo *photo);

/** The reading, lent until the survey ends (hold it for longer); NULL: none is kept. */
wm_reading *wm_kept_zones_find(wm_kept_zones *kept, const wm_kept_key *key);
/** Takes over the caller's hold, on failure too. */
wm_status wm_kept_zones_keep(wm_kept_zones *kept, const wm_kept_key *key, wm_reading *reading, wm_error *err);

/** The same of an aid that is no target. */
wm_aid_reading *wm_kept_zones_find_aid(wm_kept_zones *kept, const wm_zone *zone);
/** A new one, empty, to be filled. */
wm_status wm_kept_zones_new_aid(wm_aid_reading **out, wm_kept_zones *kept, const wm_zone *zone, wm_error *err);

/** A survey is over: drops what is not worth its memory. */
void wm_kept_zones_settle(wm_kept_zones *kept);

#endif
