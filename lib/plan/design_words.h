/* design_words: where each shade goes, as a stylist would say it. */
#ifndef WM_PLAN_DESIGN_WORDS_H
#define WM_PLAN_DESIGN_WORDS_H

#include "plan/length.h"
#include "plan/strips.h"

enum { WM_DESIGN_WORDS_SIZE = 800 };

/** "loam all along; at both sides pieces of fog 3.0 cm long in the front layer, 1 a side". Without a length (a row
 * whose arc is not known) pieces are told by their share. Returns out. */
const char *wm_design_words(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *rows, size_t row_count,
                            wm_units units);

/** "the front layer", "the inner layer", "the back layer"; of one: "the layer". */
const char *wm_layer_words(size_t layer, size_t count);

/** A segment's place: "at both sides", "at the back", "on the side of left temple", "all along". */
const char *wm_laid_words(char out[WM_HEAD_NAME_SIZE + 32], const wm_design_row *row, const wm_design_segment *segment);

#endif
