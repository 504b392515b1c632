/* heads: what a report, fresh or saved, says of her hair and of what she wears, as the decision takes them. */
#ifndef WM_CONSULT_HEADS_H
#define WM_CONSULT_HEADS_H

#include "match/head.h"
#include "report/report.h"

/** Every zone that could be measured; returns how many. out has room for the report's zones. */
size_t wm_heads__of(wm_head_zone *out, const wm_report *report);

/** What she wears since a visit; both empty: not known. */
typedef struct wm_wears {
    wm_design design; /**< as it was proposed */
    wm_stack stack;   /**< the same whole layers everywhere: as it was noted, or proposed by a report of format 1 */
} wm_wears;
/** As noted (installed, may be NULL or empty), else as proposed in the visit's report (may be NULL); with the pieces of
 * the proposal where its layers are noted. */
void wm_heads__wears(wm_wears *out, const wm_report *report, const wm_stack *installed);

#endif
