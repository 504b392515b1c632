/* claim: what may be said with an uncertainty (C24, M4), and how sure a difference is (C14). */
#ifndef WM_MEASURE_CLAIM_H
#define WM_MEASURE_CLAIM_H

#include "core/status.h"
#include "core/words.h"

/** C24's table, M4: what the photo can choose among. */
typedef enum wm_claim { WM_CLAIM_NAME, WM_CLAIM_RUNNER_UP, WM_CLAIM_THREE, WM_CLAIM_FIVE, WM_CLAIM_ROUGH } wm_claim;
wm_claim wm_claim_of(double u_de00);                        /**< < 1.25, < 1.75, < 2.5, <= 4, above */
wm_claim wm_claim_at_best(double u_de00, wm_claim at_best); /**< the same, but no better than at_best */
extern const char *const WM_CLAIM_WORDS[];
const char *wm_claim_name(wm_claim claim); /**< "name", "runner_up", "three", "five", "rough" */
int wm_claim_shades(wm_claim claim);       /**< how many shades it names: 1, 2, 3, 5, 0 */

/** C14: uncertainty of a difference between two colours of one photo, of two photos, of two photos with a neutral curve
 * in both. */
typedef enum wm_pairing { WM_PAIR_SAME_PHOTO, WM_PAIR_TWO_PHOTOS, WM_PAIR_TWO_CURVES } wm_pairing;
double wm_difference_u(wm_pairing pairing, double de00);

#endif
