/* stability: does the answer hold when the zones are marked a little differently? Each zone is moved and resized by a
 * few per cent, four times, or ten where the answer does not hold in all of these; the calibration stands. Our own. */
#ifndef WM_CONSULT_STABILITY_H
#define WM_CONSULT_STABILITY_H

#include "consult/survey.h"
#include "match/decision.h"
#include "report/report.h"

typedef struct wm_stability_input {
    const wm_photo *photo;
    const wm_survey *survey;
    const wm_report *report;      /**< its zones are those of the survey */
    const wm_decision_input *ask; /**< what was decided from, with a catalogue; its zones are those of the report */
    const wm_decision *decided;   /**< by it */
    int jobs;                     /**< threads, at least 1 */
} wm_stability_input;

/** Held: the same shades would be sewn: the proposal stays, were it worn (M31), or does about as well as what is
 * proposed then. mend: the zone that, moved alone as in the tries that did not hold, costs the proposal most. */
wm_status wm_stability_of(wm_report_stability *out, const wm_stability_input *input, wm_error *err);

/** Does the answer hold in enough of the tries, however many, that a shade may be named? */
bool wm_stability_holds(const wm_report_stability *stability);

/* For tests. */
/** The outline of a zone about its own middle as try 1 to 10 marks it. index: of the zone among all, so that zones
 * don't move alike. points: room for as many as the zone has. */
void wm_stability__mark(wm_point *points, const wm_zone *zone, size_t index, int try);
/** One try's decision beside the proposal, which it was told she wears. */
bool wm_stability__held(const wm_decision *decided, const wm_decision *tried);

#endif
