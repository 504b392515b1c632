/* decision: what to sew, from her hair as measured, what she wants and what can be ordered (M21 to M34): the one entry
 * to the modules from `draws` on. Plain data: nothing to free. Unknown numbers are negative. */
#ifndef WM_MATCH_DECISION_H
#define WM_MATCH_DECISION_H

#include "match/bead.h"
#include "match/proposal.h"
#include "match/scenario.h"
#include "match/wearing.h"
#include "measure/claim.h"

enum { WM_DECISION_ASSUMED = 16, WM_DECISION_ASSUMED_SIZE = 200 };

/** What is decided from. Everything is lent. Start from WM_DECISION_INPUT_INIT. */
typedef struct wm_decision_input {
    const wm_head_zone *zones;
    size_t zone_count;
    const wm_shades *hair;         /**< those that pass the filters (M14) */
    const wm_drawn_shades *drawn;  /**< the same, when many are decided from them; NULL: drawn here */
    const wm_shades *beads;        /**< NULL: no bead is asked for */
    const wm_catalogue *catalogue; /**< of what she wears; filters don't touch it; NULL when she wears nothing */
    bool goal_given, hair_given, amount_given; /**< else stated as assumed */
    wm_goal goal;
    wm_head head; /**< her own hair; natural_length_cm negative: not given */
    wm_placed_row rows[WM_MAX_ROWS];
    size_t row_count;              /**< 0: a usual row round the back is assumed */
    wm_worn worn;                  /**< which views count */
    double wanted_cm;              /**< the length that wefts are cut to; 0: not given */
    const char *target_zone;       /**< NULL: each place has its own target (M26); else that zone for all rows */
    bool gray_inside;              /**< the second shade in inner layers only: the closed sandwich */
    const wm_design *wearing;      /**< what she wears, from a saved decision; NULL: nothing */
    const wm_stack *wearing_stack; /**< or as a list of whole layers, the same in every segment */
    wm_hair_law law;
    wm_view_weights weights;
    wm_verdict_limits verdict;
    int max_layers;
    int layers; /**< 0: as many as M25 says; else so many, as she wears already: `recheck` */
    double load_limit_mg;
    bool without_scenarios; /**< only the proposals are wanted */
    bool only_held;         /**< only what she would wear is: no runner-up, and without best_in_10: `recheck` */
} wm_decision_input;
#define WM_DECISION_INPUT_INIT                                                                                         \
    {                                                                                                                  \
        .head = { WM_HAIR_MEDIUM, WM_AMOUNT_AVERAGE, false, -1 }, .law = WM_HAIR_LAW_DEFAULT,                          \
        .weights = WM_VIEW_WEIGHTS_DEFAULT, .verdict = WM_VERDICT_LIMITS_DEFAULT, .max_layers = WM_MAX_LAYERS,         \
        .load_limit_mg = WM_LOAD_LIMIT_MG                                                                              \
    }

/** M33: what to sew when her gray has grown by `rise`. */
typedef struct wm_decision_scenario {
    double rise, share;                 /**< at the grayest zone */
    char change[WM_DECISION_TEXT_SIZE]; /**< what changes against the step before; "" when nothing does */
    wm_decision_proposal proposal;      /**< without why, best_in_10 and grams */
} wm_decision_scenario;

typedef struct wm_decision {
    char assumed[WM_DECISION_ASSUMED][WM_DECISION_ASSUMED_SIZE];
    size_t assumed_count;
    wm_load load;                        /**< M25 */
    bool sewable;                        /**< false: even one layer is too heavy; the proposal shows colours only */
    char heavy[WM_DECISION_TEXT_SIZE];   /**< then why, and what would do; "" */
    char missing[WM_DECISION_TEXT_SIZE]; /**< M24: what the catalogue lacks; "" */
    wm_role_shade roles[WM_ROLES][WM_ROLE_PLACES];
    size_t role_counts[WM_ROLES];
    wm_claim claim; /**< the worst of the zones that weigh in a target */
    bool bases_apart, has_gray;
    bool has_proposal; /**< false: no shade passes the filters */
    wm_decision_proposal proposal;
    bool has_runner_up;
    wm_decision_proposal runner_up;
    wm_decision_scenario scenarios[WM_SCENARIOS]; /**< [0] is the proposal itself; none without gray */
    size_t scenario_count;
    wm_wearing_state wearing;
    char wearing_why[WM_DECISION_TEXT_SIZE]; /**< why it stays, is left or can't be worn on; "" */
    double worn_gap, worn_far; /**< of what she wears, as those of the proposal; 0 unless it can be worn on */
    double better_in;          /**< part of the draws in which the proposal has the smaller gap */
    double inside_costs;       /**< gray_inside: what the closed sandwich adds to the gap; negative: not asked */
    wm_bead bead;
} wm_decision;

/** WM_E_INPUT: zones that are not possible; WM_E_USAGE: rows, layers or limits that are not. */
wm_status wm_decide(wm_decision *out, const wm_decision_input *input, wm_error *err);

#endif
