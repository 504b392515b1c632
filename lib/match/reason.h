/* reason: the sentences beside a decision: where and what is sewn, why this and not the other, what is missing, what
 * changes. Plain words; codes as the catalogue has them. */
#ifndef WM_MATCH_REASON_H
#define WM_MATCH_REASON_H

#include "match/proposal.h"
#include "match/scenario.h"

/** Where: "at both sides", "at the back", "at the crown", "at the nape", "on the side of left temple". */
enum { WM_PLACE_WORDS_SIZE = WM_HEAD_NAME_SIZE + 24 };
void wm_segment_words(char out[WM_PLACE_WORDS_SIZE], const wm_design_segment *segment);
/** Which: "the layer", "the inner layer", "the front and back layers", "both layers", "all three layers". Returns out.
 */
enum { WM_LAYERS_WORDS_SIZE = 64 };
const char *wm_layers_words(char out[WM_LAYERS_WORDS_SIZE], const wm_stack *stack, const bool in[WM_MAX_LAYERS]);
/** What: "loam", "fog in the inner layer, the rest loam", "fog over half of the front and back layers, the rest
 * loam". */
void wm_stack_words(char out[WM_DECISION_TEXT_SIZE], const wm_stack *stack);
/** The shades: "loam and fog", "loam alone". */
enum { WM_SHADES_WORDS_SIZE = 2 * WM_CODE_SIZE + 8 };
void wm_shades_words(char out[WM_SHADES_WORDS_SIZE], const wm_decision_proposal *proposal);

/** M32: why the choice goes before the runner-up, and what the runner-up lost by. runner may be NULL. */
void wm_reason_why(wm_decision_proposal *choice, wm_decision_proposal *runner);

/** M24: what the catalogue lacks; "" when nothing. */
void wm_reason_missing(char out[WM_DECISION_TEXT_SIZE], const wm_decided *decided);

/** M33: what changes from one step to the next, with the share of gray and where that is; "" when nothing does. */
void wm_reason_change(char out[WM_DECISION_TEXT_SIZE], const wm_decision_proposal *before,
                      const wm_decision_proposal *after, double share, const char *zone);
/** M33: appended where the verdict falls below `close`; mended: what would be close again, or NULL. */
void wm_reason_falls(char out[WM_DECISION_TEXT_SIZE], const wm_decision_proposal *after,
                     const wm_decision_proposal *mended, double share);

#endif
