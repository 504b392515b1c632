/* change: how each zone's colour and share changed between two reports (M17, C14). */
#ifndef WM_CONSULT_CHANGE_H
#define WM_CONSULT_CHANGE_H

#include "report/report.h"

/** One camera within the hour, and neither photo with swatches or a target: C14's repeats apply, which are better known
 * than either colour by itself. */
bool wm_changes_same_session(const wm_report *before, const wm_report *now);

/** One change for each zone of `now` that `before` has under the same name. free() the array; *count may be 0.
 * WM_E_MEMORY. */
wm_status wm_changes_between(wm_report_change **out, size_t *count, const wm_report *before, const wm_report *now,
                             wm_error *err);

#endif
