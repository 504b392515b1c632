/* choose: which of all that could be sewn (M31, c): the simplest first; a further piece must earn its place; what she
 * wears stays until something earns it. */
#ifndef WM_MATCH_CHOOSE_H
#define WM_MATCH_CHOOSE_H

#include "match/pool.h"

/** What is held at first. */
typedef struct wm_choose_input {
    const wm_pool *pool;
    const wm_candidate *worn; /**< of the pool: what she wears; NULL: the best single shade */
    bool worn_stays;          /**< continuity: to leave it takes more; false: the ordinary rule (M33) */
} wm_choose_input;

typedef struct wm_chosen {
    const wm_candidate *held;
    const wm_candidate *runner_up; /**< the first of other codes; NULL: there are no others */
} wm_chosen;
/** The pool has at least one single shade, or worn is given. */
wm_chosen wm_choose(const wm_choose_input *input);

/** M32: of ten draws, those in which no candidate of the pool is better by more than 0.5. */
int wm_best_in_10(const wm_pool *pool, const wm_candidate *candidate);

/** Part of the draws in which `other` has the smaller gap. */
double wm_better_in(const wm_pool *pool, const wm_candidate *held, const wm_candidate *other);

/** In how many of the draws at least the smaller gap earns a place (M31); worn: by continuity. */
int wm_earning_draws(bool worn);

/** Whether `other` earns its place against `held` (M31); worn: by continuity. */
bool wm_earns(const wm_pool *pool, const wm_candidate *held, const wm_candidate *other, bool worn);

/** The order among equals (M31). By which of its parts the first goes before the other, for the sentence beside it. */
typedef enum wm_precedence {
    WM_BY_PIECES,
    WM_BY_STOCK,
    WM_BY_NEARNESS,
    WM_BY_PRICE,
    WM_BY_CODE,
    WM_BY_DESIGN
} wm_precedence;
/** <0 when a comes first; by may be NULL. */
int wm_pool_order(const wm_pool *pool, const wm_candidate *a, const wm_candidate *b, wm_precedence *by);

#endif
