/* wearing: what she wears, read from what was saved (M31, continuity): whether it can be worn on in these rows. */
#ifndef WM_MATCH_WEARING_H
#define WM_MATCH_WEARING_H

#include "match/decide.h"

typedef enum wm_wearing_state {
    WM_WEARING_NOTHING,
    WM_WEARING_STAYS, /**< what she wears is the proposal */
    WM_WEARING_LEFT,  /**< another has earned its place */
    WM_WEARING_GONE   /**< it can't be worn on */
} wm_wearing_state;

enum { WM_WEARING_WHY_SIZE = 300 };

/** What was saved: a design, or whole layers that are the same in every segment. Both NULL: nothing. */
typedef struct wm_saved_wearing {
    const wm_design *design;
    const wm_stack *stack;
    const wm_catalogue *catalogue; /**< where its codes are looked up; filters don't touch them */
} wm_saved_wearing;

/** True when it can be worn on with that many layers; else `said` tells why not ("" when there is nothing). */
bool wm_wearing_of(wm_wearing *out, char said[WM_WEARING_WHY_SIZE], const wm_saved_wearing *saved,
                   const wm_case *the_case, int layers);

#endif
