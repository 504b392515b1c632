/* why: the sentences beside proposals (M13, M15), as a stylist would say them: short, concrete, one decimal. */
#ifndef WM_MATCH_WHY_H
#define WM_MATCH_WHY_H

#include "match/search.h"

/** Words every proposal of a search and what is missing. The first is the one held; the others lost against it. */
void wm_why_proposals(wm_proposals *proposals, const wm_shades *shades, const wm_layers_goal *goal,
                      const wm_layers_settings *settings);

#endif
