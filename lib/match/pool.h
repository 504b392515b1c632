/* pool: everything that could be sewn (M31, a and b): of each pair of shades that is worth it, and of each number of
 * pieces, the best pattern of each segment, in all combinations; the same pattern all along; each shade alone. */
#ifndef WM_MATCH_POOL_H
#define WM_MATCH_POOL_H

#include "match/judge.h"

/** A pattern as it looks in one segment. */
typedef struct wm_option {
    wm_pattern pattern;
    wm_judged judged;
} wm_option;

typedef struct wm_candidate {
    const wm_drawn_shade *first, *second; /**< second NULL: one shade alone */
    int pieces;
    double gap;                              /**< E[J] */
    const wm_option *parts[WM_MAX_SEGMENTS]; /**< one a segment, lent by the pool */
} wm_candidate;

/** What a candidate is held against: it has to have the smaller gap in so many of the draws. */
typedef struct wm_rival {
    double gap[WM_DRAW_ROWS];
    int order[WM_DRAW_ROWS]; /**< row 0, then those where it is hardest to beat first; judging moves them */
    int draws;
} wm_rival;
void wm_rival_of(wm_rival *out, const double gap[WM_DRAW_ROWS], int draws);

/** What a pool is filled from. Everything is lent and must outlive it. */
typedef struct wm_pool_input {
    const wm_drawn_head *head;
    const wm_hanging *hanging;
    const wm_roles *roles;
    const wm_placed_row *rows;
    size_t row_count;
    int layers;
    wm_view_weights weights;
    wm_worn worn;
    bool inside;     /**< the second shade in inner layers only */
    wm_rival *rival; /**< what can't beat it stays out, nothing else; NULL: all are wanted */
} wm_pool_input;

/** Zero-initialise; free with wm_pool_free. */
typedef struct wm_pool {
    const wm_pool_input *in;
    wm_candidate *items;
    size_t count, room;
    wm_option **blocks; /**< owned, what parts point to */
    size_t block_count;
} wm_pool;

/** Adds to a pool, which has its `in`, all that could be sewn. */
wm_status wm_pool_fill(wm_pool *pool, wm_error *err);
/** Adds one candidate of given patterns, one a segment; second NULL: one shade alone. Its place is out->count - 1. */
wm_status wm_pool_add(wm_pool *out, const wm_drawn_shade *first, const wm_drawn_shade *second,
                      const wm_pattern *patterns, wm_error *err);
void wm_pool_free(wm_pool *pool);

/** M30 over the segments: J and near by weight, far of the place that is worst. */
void wm_candidate_gap(double out[WM_DRAW_ROWS], const wm_pool *pool, const wm_candidate *candidate);
void wm_candidate_far(double out[WM_DRAW_ROWS], const wm_pool *pool, const wm_candidate *candidate);
double wm_candidate_near(const wm_pool *pool, const wm_candidate *candidate); /**< expected */

/** Pieces of the same pattern along whole rows. */
int wm_pieces_along(const wm_pattern *pattern, const wm_placed_row *rows, size_t row_count);

#endif
