/* design_words: where each shade goes, as a stylist would say it. */
#ifndef WM_PLAN_DESIGN_WORDS_H
#define WM_PLAN_DESIGN_WORDS_H

#include "plan/length.h"
#include "plan/strips.h"

enum { WM_DESIGN_WORDS_SIZE = 1600 };

/** Where each shade goes: "loam all along; at each side a piece of fog 3.0 cm long in the inner layer", of several rows
 * one by one. Without a length (a row whose arc is not known) pieces are told by their share. Returns out. */
const char *wm_design_words(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *rows, size_t row_count,
                            wm_units units);

#endif
