/* proposal: a choice as plain data: shades, design, how it looks beside her hair, grams (M25, M28 to M32). Unknown
 * numbers are negative. */
#ifndef WM_MATCH_PROPOSAL_H
#define WM_MATCH_PROPOSAL_H

#include "load/load.h"
#include "match/decide.h"

enum { WM_DECISION_TEXT_SIZE = 600 };

/** A shade of a proposal, or of a role. */
typedef struct wm_role_shade {
    char code[WM_CODE_SIZE], name[WM_NAME_SIZE];
    wm_lab lab;
    wm_role role;
    double de00; /**< E[d] to what it stands for; of a blend the larger of its two */
    bool in_stock;
    int64_t pack_price_milli; /**< negative: unknown */
    int populations;          /**< 2: pre-blended */
} wm_role_shade;

/** How a segment of the design looks beside her hair. */
typedef struct wm_segment_look {
    wm_lab target;                   /**< body, as measured */
    wm_lab target_base, target_gray; /**< its two populations, as measured */
    double target_share;
    wm_seen seen;                   /**< as measured */
    double far, near;               /**< expected */
    double piece_cm[WM_MAX_LAYERS]; /**< length of one piece of the second shade; 0: a layer of one shade */
} wm_segment_look;

/** A proposal: what to sew and how it will look. */
typedef struct wm_decision_proposal {
    wm_role_shade shades[2];
    int shade_count; /**< 1: sewn alone */
    int layers, pieces;
    wm_design design;
    wm_segment_look looks[WM_MAX_ROWS][WM_ROW_SEGMENTS]; /**< as the segments of the design */
    double gap, far, near;                               /**< expected: E[J]; of the worst place; by weight */
    wm_verdict verdict;
    double within[3]; /**< part of the draws in which it is a match, close, visible */
    int best_in_10;   /**< of ten draws, those in which it is the best or as good; 0: not asked */
    double added_g, short_g, mg_per_hair;
    char why[WM_DECISION_TEXT_SIZE]; /**< a sentence: why this and not the other */
} wm_decision_proposal;

/** Makes one from a candidate; why stays empty. */
void wm_proposal_make(wm_decision_proposal *out, const wm_decided *decided, const wm_candidate *candidate,
                      const wm_verdict_limits *limits);
/** M25: what it weighs as it hangs: each layer by its own shade, pieces by their lengths. */
typedef struct wm_weighing {
    const wm_load *load;
    wm_amount amount;
    double wanted_cm; /**< the length that wefts are cut to; 0: not given */
} wm_weighing;
void wm_proposal_weigh(wm_decision_proposal *out, const wm_candidate *candidate, const wm_weighing *by);
void wm_role_shade_make(wm_role_shade *out, const wm_drawn_shade *shade, wm_role role);

#endif
