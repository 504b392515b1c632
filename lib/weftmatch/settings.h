/* settings: the salon's settings, by the names that `weftmatch salon show` lists. */
#ifndef WEFTMATCH_SETTINGS_H
#define WEFTMATCH_SETTINGS_H

#include "weftmatch/book.h"
#include "weftmatch/photo.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wm_settings wm_settings;

/** Those that a book holds over the usual ones; book NULL: the usual ones. WM_E_BOOK: the book is damaged, or holds a
 * value that is not possible; WM_E_MEMORY. Close with wm_settings_close. */
WM_PUBLIC wm_status wm_settings_open(wm_settings **out, wm_book *book, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_settings_close(wm_settings *settings);

/** Changes one, such as "currency" to "CHF"; the book is not changed. WM_E_USAGE: no such setting, near misses are
 * named, or an impossible value. */
WM_PUBLIC wm_status wm_settings_apply(wm_settings *settings, const char *key, const char *value, wm_error *err);

/** For wm_photo_open. Lent. */
WM_PUBLIC const wm_photo_limits *wm_settings_photo_limits(const wm_settings *settings);

#ifdef __cplusplus
}
#endif

#endif
