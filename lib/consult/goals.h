/* goals: what of the client is matched to what (M6 to M9, M17), from her zones as a report has them. */
#ifndef WM_CONSULT_GOALS_H
#define WM_CONSULT_GOALS_H

#include "match/layers.h"
#include "match/rank.h"
#include "report/report.h"

enum { WM_GOAL_NAME_SIZE = 96, WM_GOAL_SAID_SIZE = 200 };

typedef struct wm_goals {
    wm_measured *base; /**< M6: mid, ends, root; owned, as are their weights */
    double *base_weights;
    size_t base_count;
    bool has_gray; /**< M7 */
    wm_measured gray;
    char gray_said[WM_GOAL_SAID_SIZE]; /**< "" or why the body colour stands in */
    bool has_bead;                     /**< M8 */
    wm_measured bead;
    wm_layers_goal row; /**< M9: T and the pile */
    char target_zone[WM_GOAL_NAME_SIZE];
    bool has_populations; /**< M17: the target zone's share and both colours are known */
    double share;
    wm_lab base_lab, gray_lab;
} wm_goals;

/** From the zones of a report. target_zone NULL: M9's choice. WM_E_INPUT when the named zone is not there, WM_E_PHOTO
 * when it could not be measured. Free with wm_goals_free. */
WM_API wm_status wm_goals_of(wm_goals *out, const wm_report *report, const char *target_zone, bool hangs_free,
                             wm_error *err);
WM_API void wm_goals_free(wm_goals *goals);

#endif
