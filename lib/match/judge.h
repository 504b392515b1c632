/* judge: how a pattern looks beside her hair (M28 to M30): from afar, as a mean of areas; from near, as the work of
 * turning the row's colours into hers (earth mover's distance); both as one gap. */
#ifndef WM_MATCH_JUDGE_H
#define WM_MATCH_JUDGE_H

#include "match/design.h"
#include "match/roles.h"
#include "match/views.h"

/** Under each draw; of the views that count the larger. */
typedef struct wm_judged {
    double gap[WM_DRAW_ROWS], far[WM_DRAW_ROWS], near[WM_DRAW_ROWS];
} wm_judged;

/** How rows are looked at. */
typedef struct wm_look {
    const wm_hair_law *law; /**< [WM_DRAW_ROWS] */
    const wm_cone *behind;  /**< [WM_DRAW_ROWS] */
    wm_view_weights weights;
    wm_worn worn;
} wm_look;

/** What has to be beaten. */
typedef struct wm_judge_rival {
    const double *gap;                     /**< [WM_DRAW_ROWS] */
    int *order;                            /**< [WM_DRAW_ROWS]: the rows in the order in which they are judged; lost
                                                ones move to the front */
    const double *weight;                  /**< [target_count]: of the targets in it */
    const bool *possible[WM_MAX_SEGMENTS]; /**< [target_count][count]: the patterns that count; NULL: all */
    int losses;                            /**< rows that a design may lose */
} wm_judge_rival;

/** Patterns made ready, whatever the shades: for many pairs of the same patterns. NULL without memory. */
typedef struct wm_weighings wm_weighings;
wm_weighings *wm_weighings_new(const wm_pattern *patterns, size_t count);
void wm_weighings_free(wm_weighings *weighings);

typedef struct wm_judge_input {
    const wm_drawn_shade *first, *second; /**< the same for one shade alone */
    const wm_pattern *patterns;           /**< all of the same number of layers */
    size_t count;                         /**< at most WM_MAX_PATTERNS */
    const wm_drawn_target *targets;       /**< each pattern beside each of them */
    size_t target_count;
    const wm_look *look;
    int from, to;                  /**< rows of the draws (places in the rival's order), without `to`; 0 and 1: as
                                      measured only */
    const wm_judge_rival *rival;   /**< NULL: every row is judged */
    const wm_weighings *weighings; /**< of the patterns; NULL: made here */
} wm_judge_input;

/** out[target_count][count]; rows that are not asked for are left alone. False, and nothing more is judged, when every
 * design loses too many rows for sure: has a gap there that is no smaller than the rival's. */
bool wm_judge(wm_judged *const *out, const wm_judge_input *input);

/** The area means of one pattern as measured: worn down, lifted. */
typedef struct wm_seen {
    wm_lab down, up;
} wm_seen;
wm_seen wm_judge_seen(const wm_drawn_shade *first, const wm_drawn_shade *second, const wm_pattern *pattern,
                      const wm_look *look);

#endif
