/* candidate: one stack during a search, and the total order that decides between two (M12, M5). */
#ifndef WM_MATCH_CANDIDATE_H
#define WM_MATCH_CANDIDATE_H

#include "match/swatch.h"

/** The layers of shades a and b. `order` writes them as bits, front first from the highest: 0 is shade a, 1 is shade b.
 *  Of the numbers, worst is in 0.1 as M12 rounds it; the others are in 1e-9, so that no platform's last bit decides. */
typedef struct wm_candidate {
    size_t a, b; /**< places among shades sorted by code; a < b, or a == b for one shade */
    int layers, order;
    int64_t tenths, rms, down; /**< worst, root mean square of the views that count, the first of these */
} wm_candidate;
#define WM_CANDIDATE_NONE ((wm_candidate){ .tenths = INT64_MAX }) /**< comes last */

/** M12: worst, fewer layers, root mean square; then M5: in stock, price, code. Fewer shades go before more; of two
 * orders of the same layers the one that looks nearer from the outside, then the one whose front code is the first. <0
 * when x comes first. */
int wm_candidate_order(const wm_swatch *const *shades, const wm_candidate *x, const wm_candidate *y);

#endif
