/* strips: a design laid out along its rows: which strip of which shade lies where in which layer. Lengths in cm; a row
 * begins at its left end, as the stylist sees it who stands behind the client. */
#ifndef WM_PLAN_STRIPS_H
#define WM_PLAN_STRIPS_H

#include "load/load.h"
#include "match/stack.h"
#include "measure/zone.h"

enum { WM_LAID_SEGMENTS = 3, WM_MAX_STRIPS = 256, WM_SEGMENT_END_SIZE = 96 };

/** Nothing narrower is sewn: about three beads (common practice, no source). */
#define WM_STRIP_MIN_CM 2.0 /* M27 */

/** A part of a row with a design of its own (M26). */
typedef struct wm_laid_segment {
    wm_place place;
    char end[WM_SEGMENT_END_SIZE]; /**< the gray zone that lies there, where both ends differ; else "" */
    double length_cm;              /**< of one */
    int sides;                     /**< 2: once at each end of the row, mirrored */
    wm_stack stack;
} wm_laid_segment;

/** The design of a row: one segment; or its ends (one segment with two sides, or the left and the right one) and what
 * lies between them. */
typedef struct wm_laid_row {
    wm_place place;
    double arc_cm;  /**< negative: not given */
    bool all_along; /**< one design from end to end: its pieces are counted along the whole row */
    size_t count;
    wm_laid_segment segments[WM_LAID_SEGMENTS];
} wm_laid_row;

/** A whole row of whole layers. */
WM_API wm_laid_row wm_laid_row_whole(wm_place place, double row_cm, const wm_stack *stack);
WM_API double wm_laid_row_cm(const wm_laid_row *design); /**< the segments' lengths, each side counted */
/** The same design on a row of another width: the ends stay as long as they are, what lies between takes the rest.
 * False when nothing would be left of it. */
WM_API bool wm_laid_row_fit(wm_laid_row *design, double row_cm);

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
WM_API wm_status wm_strips_lay(wm_strips *strips, int row, const wm_laid_row *design, wm_error *err);

#endif
