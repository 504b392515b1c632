/* layers: proposals (M10 to M16): every shade, pair and order of up to three layers, judged in the views down and up. */
#ifndef WM_MATCH_LAYERS_H
#define WM_MATCH_LAYERS_H

#include "match/mixing.h"
#include "match/rank.h"
#include "match/shades.h"

enum { WM_MAX_LAYERS = 3, WM_WHY_SIZE = 400 };
typedef enum wm_worn { WM_WORN_BOTH, WM_WORN_DOWN, WM_WORN_UP } wm_worn; /**< M12: which views count */

/** One sewn stack seen in its views (M11, B17 to B19). */
typedef struct wm_views {
    wm_lab down, up;               /**< area means */
    wm_lab intact, moved, edge;    /**< single colours of the down side */
} wm_views;

typedef struct wm_view_weights { double intact, moved, edge; } wm_view_weights;
#define WM_VIEW_WEIGHTS_DEFAULT { 0.80, 0.15, 0.05 } /**< the setting area_weights */

typedef struct wm_layers_settings {
    wm_hair_law law;
    wm_view_weights weights;
    wm_verdict_limits verdict;
    int max_layers;                /**< 1..3 */
    wm_worn worn;
    int jobs;                      /**< threads; the result does not depend on it (M16) */
} wm_layers_settings;
#define WM_LAYERS_SETTINGS_DEFAULT { WM_HAIR_LAW_DEFAULT, WM_VIEW_WEIGHTS_DEFAULT, WM_VERDICT_LIMITS_DEFAULT, 3, WM_WORN_BOTH, 1 }

/** Views of layers front first (1 to 3, of at most two shades for the edge's B19) over a pile. */
WM_API wm_views wm_views_of(const wm_swatch *const *layers, size_t count, wm_lab pile, const wm_layers_settings *settings);

typedef struct wm_proposal {
    int layer_count;               /**< 1: arrangement "one" */
    const wm_swatch *layers[WM_MAX_LAYERS]; /**< front first */
    int shade_count;               /**< 1 or 2 */
    const wm_swatch *shades[2];    /**< in order of first appearance from the front */
    int of_each[2];                /**< layers of each shade */
    wm_views views;
    double down_de00, up_de00;
    double worst_de00;             /**< M12 */
    double u_de00;                 /**< M2, of worst against the goal */
    wm_verdict verdict;
    char why[WM_WHY_SIZE];         /**< M13, M15: a sentence a stylist would say */
} wm_proposal;

/** What the row must look like (M9): T, the pile behind it, both with their uncertainty. */
typedef struct wm_layers_goal {
    wm_goal target;
    wm_goal pile;
} wm_layers_goal;

enum { WM_MAX_PROPOSALS = 8 };
typedef struct wm_proposals {
    wm_proposal items[WM_MAX_PROPOSALS]; /**< [0] is the one proposed; then the best simpler ones and the best further ones (M13) */
    size_t count;
    bool has_ideal_mix;            /**< M10: of the best pair, for orientation, can't be sewn */
    const wm_swatch *ideal[2];
    wm_share_fit ideal_fit;        /**< share of ideal[1] */
    char missing[WM_WHY_SIZE];     /**< M15 when nothing is within `close`: "two lighter and cooler than anything in the catalogue"; else "" */
} wm_proposals;


/** Searches all shades, pairs and orders. Deterministic; independent of the order of the catalogue and of jobs (M16).
 *  WM_E_INPUT when no shade is left after the filters. */
WM_API wm_status wm_layers_search(wm_proposals *out, const wm_shades *shades, const wm_layers_goal *goal,
                                  const wm_layers_settings *settings, wm_error *err);

/** One given stack judged against a goal (M11, M12): for `recheck` and for what was installed. */
WM_API void wm_layers_judge(wm_proposal *out, const wm_swatch *const *layers, size_t count, const wm_layers_goal *goal,
                            const wm_layers_settings *settings);
/** u_diff of M2 and M13 between two proposals against one goal: T, the pile and each shade, shared where they occur in both. */
WM_API double wm_layers_u_diff(const wm_proposal *a, const wm_proposal *b, const wm_layers_goal *goal, const wm_layers_settings *settings);

#endif
