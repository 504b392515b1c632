/* phrase: the words that the terminal and the page share, so that both say the same. */
#ifndef WM_REPORT_PHRASE_H
#define WM_REPORT_PHRASE_H

#include "report/report.h"

enum { WM_PHRASE_SIZE = 400 };

/** What the answer is called, by the claim (M4, C24): "What to sew", "What to try first", "Not enough to order from".
 */
/** Does the answer hold with the zones marked a little differently; "" when it was not asked. */
const char *wm_phrase_stability(char out[WM_PHRASE_SIZE], const wm_report *report);
const char *wm_phrase_answer(const wm_report *report);

/** "three layers", "one shade". */
const char *wm_phrase_arrangement(const wm_report_proposal *proposal);
/** Front first: "oat / fog / oat"; "not noted" where nobody wrote down what was sewn. */
const char *wm_phrase_stack(char out[WM_PHRASE_SIZE], const wm_stack *stack);

/** G9: words by status, the share and its interval rounded to 5 %: "gray 30 % (20 to 40)", "little gray, under 15 %",
 * "no gray seen". */
const char *wm_phrase_gray(char out[WM_PHRASE_SIZE], const wm_report_zone *zone);

/** A ranking's target: "the base", "the gray", "the root, for beads", "the zone crown". */
const char *wm_phrase_target(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking);

/** What is ordered by: base and gray. Beads and single zones follow them. */
bool wm_phrase_leads(const wm_report_ranking *ranking);

/** "lighter, softer", or "no difference worth naming" when nothing reaches M1's half step. */
const char *wm_phrase_words(const wm_report_match *match);

/** M4: as many shades as the photo can choose among: "Short list for the base, nearest first: oat, fern, bark."; "" for
 * `rough`. */
const char *wm_phrase_named(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking);

/** C26: how far the next shade is behind, and what that means; "" for a list of one. */
const char *wm_phrase_gap(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking);

/** What a photo that names no shade still tells (C24): "dark, about L* 27 (18 to 36)" and "warm". Bounds of the words
 * are our own. */
const char *wm_phrase_depth(char out[WM_PHRASE_SIZE], const wm_report_zone *zone);
const char *wm_phrase_warmth(const wm_report_zone *zone);

/** The aids behind the colours: "swatches", "nothing of known colour". */
const char *wm_phrase_aid(const wm_report_calibration *calibration);

/** M17: "as now, about 35 %", "at 45 %". */
const char *wm_phrase_scenario(char out[WM_PHRASE_SIZE], const wm_report *report, size_t i);

/** A filter and what it removed: "'in stock' left out 3 shades". */
const char *wm_phrase_filter(char out[WM_PHRASE_SIZE], const wm_report_filter *filter);

/** A change in words, its "+-" as the sign. */
const char *wm_phrase_change(char out[WM_PHRASE_SIZE], const wm_report_change *change);

/** "29 February 2024" of a date or time that begins with YYYY-MM-DD; what is no such date stays as it is. */
const char *wm_phrase_date(char out[WM_PHRASE_SIZE], const char *at);

#endif
