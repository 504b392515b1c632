/* segment: where it hangs (M26): the segments of each row, and what of her hair each lies beside. */
#ifndef WM_MATCH_SEGMENT_H
#define WM_MATCH_SEGMENT_H

#include "load/load.h"
#include "match/head.h"

enum { WM_ROW_SEGMENTS = 3, WM_MAX_SEGMENTS = WM_MAX_ROWS * WM_ROW_SEGMENTS };

/** One row as it is sewn. */
typedef struct wm_placed_row {
    wm_place place;
    double arc_cm; /**< along the head */
    double row_cm; /**< without the margins at the hairline */
} wm_placed_row;

/** A part of a row with one target: each end of the row (`side`; both together, or one alone), or the row's own place.
 */
typedef struct wm_segment {
    size_t row;
    wm_place place;
    int end;          /**< place among the zones of the one gray zone this end lies beside; -1 */
    double length_cm; /**< of one side */
    int sides;        /**< 2: the same at both ends, mirrored */
    double weight;    /**< of all rows: sum 1 */
    size_t beside;    /**< 0: its target is by kinds; else that zone alone, counted from 1 */
} wm_segment;

/** Returns how many; out has room for WM_MAX_SEGMENTS. Rows: 1 to WM_MAX_ROWS. */
size_t wm_segments_of(wm_segment *out, const wm_placed_row *rows, size_t row_count, const wm_drawn_head *head);

/** The same with one target for all: each row is one segment beside that zone. */
size_t wm_segments_beside(wm_segment *out, const wm_placed_row *rows, size_t row_count, size_t zone);

/** How much each zone of the head weighs in a segment's target: sum 1. weight has zone_count. */
void wm_segment_weights(double *weight, const wm_segment *segment, const wm_drawn_head *head);

/** What of her hair lies beside a segment. */
typedef struct wm_drawn_target {
    wm_lab body[WM_DRAW_ROWS], gray[WM_DRAW_ROWS]; /**< gray: her base without one */
    wm_lab *bases;                                 /**< [base_count][WM_DRAW_ROWS], owned */
    size_t base_count;                             /**< 1; bases told apart: each zone of the target */
    double share[WM_DRAW_ROWS];
} wm_drawn_target;

wm_status wm_target_draw(wm_drawn_target *out, const wm_segment *segment, const wm_drawn_head *head, wm_error *err);
void wm_drawn_target_free(wm_drawn_target *target);

/** All that a decision knows of where the hair will hang. Zero-initialise; free with wm_hanging_free. */
typedef struct wm_hanging {
    wm_segment segments[WM_MAX_SEGMENTS];
    size_t count;
    wm_drawn_target *targets; /**< [count], owned */
    wm_cone behind[WM_DRAW_ROWS];
} wm_hanging;
/** The targets and what hangs behind given segments on a head. */
wm_status wm_hanging_of(wm_hanging *out, const wm_segment *segments, size_t count, const wm_drawn_head *head,
                        wm_error *err);
void wm_hanging_free(wm_hanging *hanging);

/** What hangs behind the wefts: the body of mid, else ends, root, gray; several of a kind: their mean. */
void wm_behind_draw(wm_cone out[WM_DRAW_ROWS], const wm_drawn_head *head);

#endif
