/* photo: a JPEG, PNG or HEIC file, upright. */
#ifndef WEFTMATCH_PHOTO_H
#define WEFTMATCH_PHOTO_H

#include "weftmatch/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wm_photo wm_photo;
typedef struct wm_photo_limits wm_photo_limits; /**< the largest photo that is read: wm_settings_photo_limits */

/** Reads, checks and decodes a file. limits NULL: 200 megapixels, 256 MiB. WM_E_PHOTO: missing, unreadable, damaged,
 * too large, or no photo; WM_E_MEMORY. Close with wm_photo_close. */
WM_PUBLIC wm_status wm_photo_open(wm_photo **out, const char *path, const wm_photo_limits *limits, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_photo_close(wm_photo *photo);

/** In pixels of the upright photo, the unit of all zones. */
WM_PUBLIC int wm_photo_width(const wm_photo *photo);
WM_PUBLIC int wm_photo_height(const wm_photo *photo);

#ifdef __cplusplus
}
#endif

#endif
