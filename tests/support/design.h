/* Designs in tests: rows of whole layers, as they are given on the command line. */
#ifndef TESTS_DESIGN_H
#define TESTS_DESIGN_H

#include "plan/strips.h"
#include "support/stack.h"

/** Rows with these arcs (0 ends them), all with the same layers; lent until the sixteenth call after it. */
static inline const wm_design_row *rows_of(const char *codes, const double *arcs_cm)
{
    static wm_design_row pool[16][WM_MAX_ROWS];
    static size_t next;
    wm_design_row *rows = pool[next++ % 16];
    wm_stack stack = stack_of(codes);
    for (size_t i = 0; i < WM_MAX_ROWS && arcs_cm[i] > 0; i++) {
        rows[i] = wm_design_row_whole(WM_PLACE_BACK, arcs_cm[i], &stack);
        rows[i].arc_cm = arcs_cm[i];
    }
    return rows;
}

#endif
