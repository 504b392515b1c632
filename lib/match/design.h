/* design: what can be sewn in a segment (M27), as patterns while it is being decided, as stacks of codes when it is. */
#ifndef WM_MATCH_DESIGN_H
#define WM_MATCH_DESIGN_H

#include "match/segment.h"
#include "match/stack.h"

#define WM_PIECE_AT_LEAST_CM 2.0 /* M27 */

/** Each layer of a segment, front first: which part of its length is the second shade, in sixths. 0: all of it the
 * first shade, 6: all of it the second, between: pieces of both in turn. */
typedef struct wm_pattern {
    int layers;
    unsigned char sixths[WM_MAX_LAYERS];
    int pieces; /**< of the second shade, over all layers of one side */
} wm_pattern;

enum { WM_MAX_PATTERNS = 128, WM_PATTERN_WHOLE = 6 };

/** All patterns of a segment of that length, those of fewer pieces first, then by the smaller fraction, front first.
 * out has room for WM_MAX_PATTERNS. */
size_t wm_patterns_of(wm_pattern *out, int layers, double length_cm);
/** <0 when a comes first in that order; without the pieces when `pieces` is false. */
int wm_pattern_order(const wm_pattern *a, const wm_pattern *b, bool pieces);
/** The same layers in all of them. */
bool wm_patterns_alike(const wm_pattern *patterns, size_t count);
/** Pieces of the second shade in one layer of that length. */
int wm_layer_pieces(int sixths, double length_cm);
int wm_pattern_pieces(const wm_pattern *pattern, double length_cm);
/** Whether each fraction leaves pieces that are long enough to sew. */
bool wm_pattern_fits(const wm_pattern *pattern, double length_cm);
bool wm_pattern_is_all(const wm_pattern *pattern, int sixths);
/** The second shade in inner layers only: whole layers of the first outside; of two layers the one at the head is
 * inner. */
bool wm_pattern_is_inside(const wm_pattern *pattern);
/** Pieces that a proposal may have in all. */
int wm_pieces_limit(size_t segment_count);

/* ---- as sewn ---- */

typedef struct wm_design_segment {
    wm_place place;
    char end[WM_HEAD_NAME_SIZE]; /**< the zone that this end of the row lies beside, or the one that is the target all
                                    along; "" by kinds */
    double length_cm;            /**< of one side */
    int sides;                   /**< 1, 2: the same at both ends, mirrored */
    wm_stack stack;              /**< pieces of one side */
} wm_design_segment;

typedef struct wm_design_row {
    wm_place place;
    double arc_cm, row_cm;
    wm_design_segment segments[WM_ROW_SEGMENTS];
    size_t count;
} wm_design_row;

/** Zero-initialised: nothing. */
typedef struct wm_design {
    wm_design_row rows[WM_MAX_ROWS];
    size_t row_count;
} wm_design;

/** The stack of a pattern; second may be NULL when the pattern has none of it. */
wm_stack wm_pattern_stack(const wm_pattern *pattern, const char *first, const char *second, double length_cm);
/** The other way round: false when a layer holds another shade than these two, or a share that is no pattern's. */
bool wm_stack_pattern(wm_pattern *out, const wm_stack *stack, const char *first, const char *second, double length_cm);

#endif
