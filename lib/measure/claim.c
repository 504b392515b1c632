#include "measure/claim.h"

#include <math.h>

static const double CLAIM_U[4] = { 1.25, 1.75, 2.5, 4 };  /* C24 */
static const double DIFFERENCE_U0[3] = { 0.9, 2.4, 1.5 }; /* C14, by wm_pairing */
static const double DIFFERENCE_PART = 0.13;               /* C14 */

wm_claim wm_claim_of(double u_de00)
{
    return u_de00 < CLAIM_U[0]    ? WM_CLAIM_NAME
           : u_de00 < CLAIM_U[1]  ? WM_CLAIM_RUNNER_UP
           : u_de00 < CLAIM_U[2]  ? WM_CLAIM_THREE
           : u_de00 <= CLAIM_U[3] ? WM_CLAIM_FIVE
                                  : WM_CLAIM_ROUGH;
}

const char *const WM_CLAIM_WORDS[] = { "name", "runner_up", "three", "five", "rough", NULL };
wm_claim wm_claim_at_best(double u_de00, wm_claim at_best)
{
    const wm_claim claim = wm_claim_of(u_de00);
    return claim > at_best ? claim : at_best;
}

const char *wm_claim_name(wm_claim claim)
{
    return wm_word_of(WM_CLAIM_WORDS, claim);
}

int wm_claim_shades(wm_claim claim)
{
    static const int SHADES[] = { 1, 2, 3, 5, 0 };
    return SHADES[claim];
}

double wm_difference_u(wm_pairing pairing, double de00)
{
    return hypot(DIFFERENCE_U0[pairing], DIFFERENCE_PART * de00);
}
