/* kept_zones: what was measured on one photo, for the next consultation on it. */
#ifndef WEFTMATCH_KEPT_ZONES_H
#define WEFTMATCH_KEPT_ZONES_H

#include "weftmatch/photo.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The zones of a photo as they were measured, by their shape, the swatches beside them too. A consultation that is
 * given it measures only what has changed since the last one or the one before; its answer is the same, byte for byte.
 * It may take up to 128 MiB of memory. */
typedef struct wm_kept_zones wm_kept_zones;

/** The photo is lent and must stay open as long. WM_E_MEMORY. Close with wm_kept_zones_close. */
WM_PUBLIC wm_status wm_kept_zones_open(wm_kept_zones **out, const wm_photo *photo, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_kept_zones_close(wm_kept_zones *kept);

#ifdef __cplusplus
}
#endif

#endif
