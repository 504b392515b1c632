/* scenario: what to sew as her gray grows (M33): the same shades while they do, in other patterns. */
#ifndef WM_MATCH_SCENARIO_H
#define WM_MATCH_SCENARIO_H

#include "match/decide.h"

enum { WM_SCENARIOS = 6 };

/** One step of more gray. */
typedef struct wm_scenario {
    double rise;  /**< of the share at the grayest zone */
    double share; /**< there, as measured, with the rise */
    wm_drawn_head head;
    wm_case the_case;
    const wm_swatch *shades[WM_ROLE_PLACES + 1];
    wm_decided decided;
} wm_scenario;

/** The steps after the proposal itself, which is the step of rise 0. */
typedef struct wm_scenarios {
    wm_scenario *steps; /**< owned; their decisions point into themselves */
    size_t count;       /**< 0 on a head without gray */
} wm_scenarios;
wm_status wm_scenarios_of(wm_scenarios *out, const wm_decided *proposal, wm_error *err);
void wm_scenarios_free(wm_scenarios *scenarios);

#endif
