/* json_out: the report as the JSON document of the contract, and back. Stable, fixed decimals (Lab and dE00 4, shares
 * 4), never NaN, same input same bytes. */
#ifndef WM_REPORT_JSON_OUT_H
#define WM_REPORT_JSON_OUT_H

#include "core/buf.h"
#include "report/report.h"

wm_status wm_report_to_json(wm_buf *out, const wm_report *report, wm_error *err);
/** Only the plan: {"format": 2, "plan": {..}}. */
wm_status wm_plan_to_json(wm_buf *out, const wm_plan *plan, wm_error *err);
/** Fills the model from what wm_report_to_json wrote (older writers' documents too). WM_E_BOOK with `file` in the
 * message. */
wm_status wm_report_from_json(wm_report *out, const char *json, size_t size, const char *file, wm_error *err);
/** What is read of a document. */
typedef struct wm_report_part {
    const char *const *without; /**< keys, NULL at the end, that are not looked at: lists are taken as empty, a plan as
                                     none */
    const char *const *shades;  /**< with "rankings" left out: codes whose swatches are read nevertheless, in one */
    size_t shade_count;
    size_t nearest; /**< instead of those: so many of each ranking, the nearest */
} wm_report_part;
/** The document as if it had no more than that; one of format 1 is read as a whole. */
wm_status wm_report_from_json_part(wm_report *out, const char *json, size_t size, const wm_report_part *part,
                                   const char *file, wm_error *err);

#endif
