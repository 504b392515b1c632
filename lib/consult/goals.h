/* goals: what of the client each ranking is against (M6 to M8), from her zones as a report has them. */
#ifndef WM_CONSULT_GOALS_H
#define WM_CONSULT_GOALS_H

#include "match/rank.h"
#include "report/report.h"

enum { WM_GOAL_SAID_SIZE = 200 };

typedef struct wm_goals {
    wm_measured *base; /**< M6: mid, ends, root; owned, as are their weights */
    double *base_weights;
    size_t base_count;
    bool has_gray; /**< M7 */
    wm_measured gray;
    char gray_said[WM_GOAL_SAID_SIZE]; /**< "" or why the body colour stands in */
    bool has_bead;                     /**< M8 */
    wm_measured bead;
} wm_goals;

/** From the zones of a report. WM_E_MEMORY. Free with wm_goals_free. */
WM_API wm_status wm_goals_of(wm_goals *out, const wm_report *report, bool hangs_free, wm_error *err);
WM_API void wm_goals_free(wm_goals *goals);

#endif
