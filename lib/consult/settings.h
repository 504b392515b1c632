/* settings: the salon's settings: names, defaults, checks. The book keeps texts; the work takes this struct. */
#ifndef WM_CONSULT_SETTINGS_H
#define WM_CONSULT_SETTINGS_H

#include <stdint.h>

#include "book/book.h"
#include "core/buf.h"
#include "match/rank.h"
#include "match/views.h"
#include "photo/container.h"
#include "plan/plan.h"
#include "weftmatch/settings.h"

struct wm_settings {
    char salon_name[128];
    char avoided_shades[128]; /**< "ember,rust" */
    wm_plan_settings plan;    /**< currency, units, fees, beads, thread, move-up, load */
    wm_verdict_limits verdict;
    wm_view_weights area_weights;
    int max_layers;
    double blend_g;
    wm_photo_limits limits;
};

wm_settings wm_settings_default(void);

/** The defaults overlaid with what the book holds; book NULL: the defaults. WM_E_BOOK for a stored value that is no
 * longer possible. */
wm_status wm_settings_load(wm_settings *out, wm_book *book, wm_error *err);

/** The i-th key, NULL after the last; with a line of help. */
const char *wm_settings_key(size_t i, const char **help);
/** The value of a key as `salon set` takes it. */
void wm_settings_print(wm_buf *out, const wm_settings *settings, size_t i);
/** Puts a setting into the book as it was understood ("540 €" is 540), so that it stays so however others change;
 * appends that to `value`. */
wm_status wm_settings_keep(wm_buf *value, wm_book *book, const wm_settings *settings, const char *key, wm_error *err);

#endif
