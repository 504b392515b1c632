#include "measure/claim.h"

#include <math.h>

wm_claim wm_claim_of(double u_de00)
{
    return u_de00 < 1.25   ? WM_CLAIM_NAME
           : u_de00 < 1.75 ? WM_CLAIM_RUNNER_UP
           : u_de00 < 2.5  ? WM_CLAIM_THREE
           : u_de00 <= 4   ? WM_CLAIM_FIVE
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
    static const double U0[] = { [WM_PAIR_SAME_PHOTO] = 0.9, [WM_PAIR_TWO_PHOTOS] = 2.4, [WM_PAIR_TWO_CURVES] = 1.5 };
    return hypot(U0[pairing], 0.13 * de00);
}
