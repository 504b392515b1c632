/* rank_targets: what of the client each ranking is against (M6, M7), from her zones as a report has them. */
#ifndef WM_CONSULT_RANK_TARGETS_H
#define WM_CONSULT_RANK_TARGETS_H

#include "match/rank.h"
#include "report/report.h"

enum { WM_RANK_TARGET_WHY_SIZE = 200 };

typedef struct wm_rank_targets {
    wm_measured *base; /**< M6: mid, ends, root; owned, as are their weights */
    double *base_weights;
    size_t base_count;
    char base_why[WM_RANK_TARGET_WHY_SIZE]; /**< "" or why a body colour stands in */
    bool has_gray;                          /**< M7 */
    wm_measured gray;
    char gray_why[WM_RANK_TARGET_WHY_SIZE]; /**< "" or why the body colour stands in */
} wm_rank_targets;

/** From the zones of a report. WM_E_MEMORY. Free with wm_rank_targets_free. */
wm_status wm_rank_targets_of(wm_rank_targets *out, const wm_report *report, bool hangs_free, wm_error *err);
void wm_rank_targets_free(wm_rank_targets *targets);

#endif
