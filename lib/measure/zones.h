/* zones: all that is marked on one photo: the list, the `--zone` option, the check against the photo. */
#ifndef WM_MEASURE_ZONES_H
#define WM_MEASURE_ZONES_H

#include "measure/zone.h"
#include "weftmatch/zones.h"

/** Zero-initialise; free with wm_zones_free. */
struct wm_zones {
    wm_zone *items;
    size_t count;
    char *photo; /**< the photo's name in the file, or NULL */
};

/** Adds KIND[:NAME]=X,Y,W,H (client zones and card). card_lab NULL: L* 50 gray. WM_E_USAGE for bad syntax, WM_E_INPUT
 * for kind. */
wm_status wm_zones_add_option(wm_zones *zones, const char *option, const wm_lab *card_lab, wm_error *err);

void wm_zones_free(wm_zones *zones);

/** Against a photo: every zone inside it, at least one pixel each, names unique, every `at` names a client zone, at
 * least one client zone; another photo's name is the note `other_photo`. (Codes are checked by consult against the
 * catalogue.) WM_E_INPUT. */
wm_status wm_zones_check(const wm_zones *zones, int width, int height, const char *photo_name, wm_warnings *warnings,
                         wm_error *err);

#endif
