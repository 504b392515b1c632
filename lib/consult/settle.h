/* settle: what a visit takes of the stock once it is said what was sewn on at it: wefts that she wore before are sewn
 * on again until they are worn out, new ones come from cut lengths and packs, and what is left of those lies ready. */
#ifndef WM_CONSULT_SETTLE_H
#define WM_CONSULT_SETTLE_H

#include "consult/on_hand.h"
#include "consult/settings.h"

typedef struct wm_settling {
    const wm_catalogue *catalogue; /**< as the file counts it; NULL: there is none, and no pack is taken */
    const wm_settings *settings;
    const wm_stack *fresh; /**< shades that are new though she wore them before; NULL: those that are worn out */
    const char *lot;       /**< of the new ones; NULL: not known */
} wm_settling;

/** Saves the visit with what was sewn on and takes that from the stock, in place of what it had taken before, as one
 * change. A kind that is not said is installation, or move-up where something hangs already. Nothing is taken when
 * nothing is installed. `out`: what the stylist should know (`stock_not_told`). */
wm_status wm_settle(wm_warnings *out, wm_book *book, wm_visit *visit, const wm_settling *input, wm_error *err);
/** The shades that are sewn on again at the visit after `last`. False: nothing hangs, so that it is an installation. */
bool wm_settle_again(wm_plan_again *out, const wm_visit *last, int weft_visits);

#endif
