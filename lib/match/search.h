/* search: proposals (M10 to M16): every shade, every pair, every order of up to three layers, judged in the views down
 * and up. */
#ifndef WM_MATCH_SEARCH_H
#define WM_MATCH_SEARCH_H

#include "match/layers.h"

enum { WM_MAX_PROPOSALS = WM_MAX_LAYERS };

typedef struct wm_proposals {
    wm_proposal items[WM_MAX_PROPOSALS]; /**< [0] is the one proposed; then the best simpler ones, then the best further
                                            ones (M13) */
    size_t count;                        /**< one for every number of layers that was searched */
    bool has_ideal_mix; /**< M10: of the best pair, fibre by fibre (phi 1): for orientation, can't be sewn */
    const wm_swatch *ideal[2];
    wm_share_fit ideal_fit;    /**< share of ideal[1] */
    char missing[WM_WHY_SIZE]; /**< M15 when nothing is within `close`: a sentence that says what is missing; else "" */
} wm_proposals;

/** Searches all shades, pairs and orders. Deterministic; independent of the order of the catalogue and of jobs (M16).
 *  WM_E_INPUT when no shade is left after the filters. */
WM_API wm_status wm_layers_search(wm_proposals *out, const wm_shades *shades, const wm_layers_goal *goal,
                                  const wm_layers_settings *settings, wm_error *err);

#endif
