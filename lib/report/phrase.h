/* phrase: the words that the terminal and the page share, so that both say the same. */
#ifndef WM_REPORT_PHRASE_H
#define WM_REPORT_PHRASE_H

#include "report/report.h"

enum { WM_PHRASE_SIZE = 400 };

/** What the answer is called, by the claim (M4, C24): "What to sew", "What to try first", "Not enough to order from".
 */
/** What the photo is good for, in a sentence. */
const char *wm_phrase_claim(const wm_report *report);
/** Does the answer hold with the zones marked a little differently; "" when it was not asked. */
const char *wm_phrase_stability(char out[WM_PHRASE_SIZE], const wm_report *report);
const char *wm_phrase_answer(const wm_report *report);

/** Where each shade goes: "loam all along; at both sides pieces of fog .."; the codes front first for a report of
 * format 1. */
const char *wm_phrase_design(char out[WM_DESIGN_WORDS_SIZE], const wm_report_proposal *proposal, wm_units units);
const char *wm_phrase_layer_count(const wm_report_proposal *proposal);                      /**< "three layers" */
const char *wm_phrase_shades(char out[WM_PHRASE_SIZE], const wm_report_proposal *proposal); /**< "loam and fog" */
const char *wm_phrase_layers(int layers);                 /**< "One layer", up to WM_MAX_LAYERS */
const char *wm_phrase_role(const wm_report_shade *shade); /**< "for her own colour"; "" for one sewn alone */
/** "62 g added (as cut to 40 cm) to about 203 g of her own, 31 % more; 33.9 mg on each hair that holds it, limit 35.0";
 * "" not known. */
const char *wm_phrase_amount(char out[WM_PHRASE_SIZE], const wm_report *report, wm_units units);
/** The verdict, how far it is, and in how many draws it is close (M32). */
const char *wm_phrase_outlook(char out[WM_PHRASE_SIZE], const wm_report_proposal *proposal);
/** The text as a sentence begins. */
const char *wm_phrase_capital(char out[WM_PHRASE_SIZE], const char *text);
/** What was assumed, without the option of the command line that would say it: for paper. */
const char *wm_phrase_assumed(char out[WM_PHRASE_SIZE], const char *assumed);
/** --gray-inside: what it costs; "" when it was not asked for. */
const char *wm_phrase_inside(char out[WM_PHRASE_SIZE], const wm_report *report);
/** The one zone that all rows are to look like; "" where each place has its own. */
const char *wm_phrase_target_zone(const wm_report_proposal *proposal);
/** M32: that others would do as well; "" where they would not. */
const char *wm_phrase_ties(char out[WM_PHRASE_SIZE], const wm_report_proposal *proposal);

/** What was installed, front first: "oat / fog / oat"; "not noted" for none. */
const char *wm_phrase_stack(char out[WM_PHRASE_SIZE], const wm_stack *stack);

/** G9: words by status, the share and its interval rounded to 5 %: "gray 30 % (20 to 40)", "little gray, under 15 %",
 * "no gray seen". */
const char *wm_phrase_gray(char out[WM_PHRASE_SIZE], const wm_report_zone *zone);

/** A ranking's target: "the base", "the gray", "the root, for beads", "the zone crown". */
const char *wm_phrase_target(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking);

/** What is ordered by: base and gray. Beads and single zones follow them. */
bool wm_phrase_leads(const wm_report_ranking *ranking);

/** Of a role (base, gray, beads), not of one zone. */
bool wm_phrase_is_role(const wm_report_ranking *ranking);

/** "lighter, softer", or "no difference worth naming" when nothing reaches M1's half step. */
const char *wm_phrase_words(const wm_report_match *match);

/** What is said of a `rough` ranking: what to do with it where other shades of the report are named, else that it is no
 * ground to order on. */
const char *wm_phrase_too_rough(const wm_report *report);

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

/** M33: "From about 45 % gray at temple: at both sides pewter in the inner layer, the rest moth"; "" when nothing
 * changes. */
const char *wm_phrase_scenario(char out[WM_DECISION_TEXT_SIZE], const wm_report_scenario *scenario);
bool wm_phrase_scenario_changes(const wm_report *report); /**< anything to say of them */

/** How far the row is at each place: "at both sides 1.9, at the back 0.9", of several rows row by row; "" where there
 * is one place only. */
const char *wm_phrase_places(char out[WM_PHRASE_SIZE], const wm_report_proposal *proposal);

/** What to lay out: "1 pack of moth, 60 cm; 2 packs of pewter, 60 cm, 1 to order"; "" without a plan. */
const char *wm_phrase_packs(char out[WM_PHRASE_SIZE], const wm_report *report, wm_units units);

/** A filter and what it removed: "'in stock' left out 3 shades". */
const char *wm_phrase_filter(char out[WM_PHRASE_SIZE], const wm_report_filter *filter);

/** Each "+-" of a text as the sign, in place. Returns text. */
char *wm_phrase_signs(char *text);

/** The first line of a text into line, cut to size; returns where the next one begins. */
const char *wm_phrase_line(char *line, size_t size, const char *text);

/** A change in words, its "+-" as the sign. */
const char *wm_phrase_change(char out[WM_PHRASE_SIZE], const wm_report_change *change);

/** "29 February 2024" of a date or time that begins with YYYY-MM-DD; what is no such date stays as it is. */
const char *wm_phrase_date(char out[WM_PHRASE_SIZE], const char *at);

#endif
