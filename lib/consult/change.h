/* change: how each zone's colour and share changed between two reports (M17, C14). */
#ifndef WM_CONSULT_CHANGE_H
#define WM_CONSULT_CHANGE_H

#include "report/report.h"

#define MEASURABLE_IN_U 2.0 /* M17 */ /**< what is smaller, in its own u, is no change */

/** One camera within the hour, and neither photo with swatches or a target: C14's repeats apply, which are better known
 * than either colour by itself. */
bool wm_changes_same_session(const wm_report *before, const wm_report *now);

/** The zone of `before` that belongs to `zone`: of the same name, else the only one of its kind and place; NULL: none.
 */
const wm_report_zone *wm_change_partner(const wm_report *before, const wm_report_zone *zone);
/** Its lighter fibres were coloured (`lighter_fibres`): its share says nothing of gray. */
bool wm_change_is_lightened(const wm_report *report, const wm_report_zone *zone);

/** One change for each zone of `now` that has a partner in `before`. free() the array; *count may be 0.
 * WM_E_MEMORY. */
wm_status wm_changes_between(wm_report_change **out, size_t *count, const wm_report *before, const wm_report *now,
                             wm_error *err);

/** A line for each zone that was measured at one of both alone: "ends: not measured then". */
void wm_changes_unpaired(wm_warnings *out, const wm_report *before, const wm_report *now);

#endif
