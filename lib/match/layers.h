/* layers: one proposal judged against a goal (M11 to M13): its views, its worst, its uncertainty, and what it
 * gains over another. `search` finds the proposals, `why` words them. */
#ifndef WM_MATCH_LAYERS_H
#define WM_MATCH_LAYERS_H

#include "match/rank.h"
#include "match/shades.h"
#include "match/views.h"

enum { WM_WHY_SIZE = 600 };

typedef struct wm_layers_settings {
    wm_hair_law law;
    wm_view_weights weights;
    wm_verdict_limits verdict;
    int max_layers; /**< 1..3 */
    wm_worn worn;
    int jobs; /**< threads; the result does not depend on it (M16) */
} wm_layers_settings;
#define WM_LAYERS_SETTINGS_DEFAULT                                                                                     \
    {                                                                                                                  \
        WM_HAIR_LAW_DEFAULT, WM_VIEW_WEIGHTS_DEFAULT, WM_VERDICT_LIMITS_DEFAULT, 3, WM_WORN_BOTH, 1                    \
    }

/** What the row must look like (M9): T, the pile behind it, both with their uncertainty. */
typedef struct wm_layers_goal {
    wm_measured target;
    wm_measured pile;
} wm_layers_goal;

typedef struct wm_proposal {
    int layer_count;                        /**< 1: arrangement "one" */
    const wm_swatch *layers[WM_MAX_LAYERS]; /**< front first */
    int shade_count;                        /**< 1 or 2; 3 only where three different ones were judged */
    const wm_swatch *shades[WM_MAX_LAYERS]; /**< in order of first appearance from the front */
    int of_each[WM_MAX_LAYERS];             /**< layers of each shade */
    wm_views views;
    double down_de00, up_de00;
    double worst_de00; /**< M12 */
    double
        u_de00; /**< M2, of worst against the goal: u of T, and the shades' and the pile's as they show in that view */
    wm_verdict verdict;
    char why[WM_WHY_SIZE]; /**< M13, M15: a sentence a stylist would say; "" until worded */
} wm_proposal;

/** One given stack (1 to 3 layers) judged against a goal (M11, M12): for `recheck`, for what was installed. */
WM_API void wm_layers_judge(wm_proposal *out, const wm_swatch *const *layers, size_t count, const wm_layers_goal *goal,
                            const wm_layers_settings *settings);

/** M12: the larger of the two, or the one that counts. */
WM_API double wm_worst_of(double down_de00, double up_de00, wm_worn worn);

/** M13: what `other` gains over `held` against one goal. Uncertain are T, the pile and each shade, shared where
 * they occur in both. */
typedef struct wm_gain {
    double de00;   /**< held's worst minus other's */
    double u_de00; /**< u_diff of M2 */
    double needed; /**< max(0.5, u_diff) */
    bool earned;   /**< de00 > needed */
} wm_gain;
WM_API wm_gain wm_layers_gain(const wm_proposal *held, const wm_proposal *other, const wm_layers_goal *goal,
                              const wm_layers_settings *settings);

/** M17: T = (1 - share) base + share gray in linear light; share is clamped to 0..1. */
WM_API wm_lab wm_target_at_share(wm_lab base, wm_lab gray, double share);

#endif
