/* strips: a design laid out along its rows: which strip of which shade lies where in which layer. Lengths in cm; a row
 * begins at its left end, as the stylist sees it who stands behind the client. */
#ifndef WM_PLAN_STRIPS_H
#define WM_PLAN_STRIPS_H

#include "match/design.h"

enum { WM_MAX_STRIPS = 256 };

/** Nothing narrower is sewn: about three beads (common practice, no source). */

/** A whole row of whole layers. */
wm_design_row wm_design_row_whole(wm_place place, double row_cm, const wm_stack *stack);
double wm_design_row_cm(const wm_design_row *design); /**< the segments' lengths, each side counted */
/** The same design on a row of another width: the ends stay as long as they are, what lies between takes the rest.
 * False when nothing would be left of it. */
bool wm_design_row_fit(wm_design_row *design, double row_cm);

/** One design from end to end: its pieces are counted along the whole row (M27). */
bool wm_design_row_alike(const wm_design_row *design);

typedef struct wm_strip {
    int row, layer; /**< both from 0; layer 0 is in front */
    char code[WM_CODE_SIZE];
    double start_cm, length_cm;
    int piece;   /**< of that shade, from 1: the weft that it is cut from; 0: not yet known, or not cut */
    bool joined; /**< goes on where another piece of weft has ended */
} wm_strip;

/** In the order of rows, layers from the front, places from the left. */
typedef struct wm_strips {
    size_t count;
    wm_strip items[WM_MAX_STRIPS];
} wm_strips;

/** Adds a row's strips. Of layers with pieces the first begins with a piece at the end of the row, the next with the
 * other shade, a third lies between the two: pieces of neighbouring layers don't cover each other. WM_E_USAGE: more
 * than WM_MAX_STRIPS. */
wm_status wm_strips_lay(wm_strips *strips, int row, const wm_design_row *design, wm_error *err);

#endif
