/* decide: one head, one catalogue, one number of layers: from roles to the choice and its verdict (M24 to M32).
 * `decision` asks it for what to sew, `scenario` for what later. */
#ifndef WM_MATCH_DECIDE_H
#define WM_MATCH_DECIDE_H

#include "match/choose.h"
#include "match/rank.h"

/** Everything is lent and must outlive what is decided. */
typedef struct wm_case {
    const wm_drawn_head *head;
    const wm_swatch *const *shades; /**< of kind hair, one a code, in the order of their codes */
    size_t shade_count;             /**< at least 1 */
    const wm_drawn_shades *drawn;   /**< the same; NULL: drawn when they are needed */
    const wm_placed_row *rows;
    size_t row_count;
    const wm_segment *segments;
    size_t segment_count;
    wm_view_weights weights;
    wm_worn worn;
    bool inside;
    bool only_held; /**< only what is held is asked: beside what she wears only what could take its place is kept */
} wm_case;

/** What she wears, as far as it can be worn on. second NULL: one shade. */
typedef struct wm_wearing {
    const wm_swatch *first, *second;
    wm_pattern patterns[WM_MAX_SEGMENTS];
    bool stays; /**< by continuity; false: by the ordinary rule */
} wm_wearing;

/** Zero-initialise; free with wm_decided_free. Not to be copied: it points into itself. */
typedef struct wm_decided {
    const wm_case *the_case;
    wm_hanging hanging;
    wm_roles roles;
    wm_drawn_shade *worn_shades; /**< [2], owned, or NULL */
    wm_pool_input pool_input;
    wm_pool pool;
    const wm_candidate *worn; /**< what she wears, in the pool, or NULL */
    wm_chosen chosen;
} wm_decided;

/** M24, M26: targets and roles. On failure nothing needs freeing. */
wm_status wm_decided_begin(wm_decided *out, const wm_case *the_case, wm_error *err);
/** M27 to M31: the choice; layers 1 to 3; wearing may be NULL. */
wm_status wm_decided_choose(wm_decided *decided, int layers, const wm_wearing *wearing, wm_error *err);
void wm_decided_free(wm_decided *decided);

/** M32: how far it will be from her hair, in words; and the part of the draws within match, close and visible. */
typedef struct wm_outlook {
    wm_verdict verdict;
    double within[3];
} wm_outlook;
wm_outlook wm_decided_outlook(const wm_decided *decided, const wm_candidate *candidate,
                              const wm_verdict_limits *limits);

/** The shades and patterns of a candidate as something that is worn. */
wm_wearing wm_candidate_wearing(const wm_pool *pool, const wm_candidate *candidate);

#endif
