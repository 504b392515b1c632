/* decision_lines: heads, shades and rows of a decision as plain lines, for tests and for other implementations of the
 * rules.
 *
 *   shade CODE L a b u gray_share
 *   only CODE ...                      the next head has no other shades
 *   zone KIND NAME L a b sigma_L sigma_a sigma_b has_share share sd has_populations base_L a b gray_L a b
 *   row PLACE CM
 *   worn FIRST SECOND|- SIXTHS ...     a segment each, e.g. 060 000 (0: all first, 6: all second)
 */
#ifndef SUPPORT_DECISION_LINES_H
#define SUPPORT_DECISION_LINES_H

#include "match/scenario.h"

enum { LINES_SHADES = 2000 };

typedef struct lines {
    wm_swatch shades[LINES_SHADES];
    size_t shade_count;
    const wm_swatch *only[LINES_SHADES]; /* in the order of their codes */
    size_t only_count;
    wm_head_zone zones[WM_HEAD_ZONES];
    size_t zone_count;
    wm_placed_row rows[WM_MAX_ROWS];
    size_t row_count;
    wm_wearing wearing;
    bool worn;
    /* what was decided */
    wm_drawn_head head;
    wm_segment segments[WM_MAX_SEGMENTS];
    wm_case the_case;
    wm_decided decided;
} lines;

/** Takes one line; false when it is none of these. */
bool lines_take(lines *l, const char *line);
/** Decides; the answer stands in decided until lines_done, which forgets all but the shades. */
wm_status lines_decide(lines *l, int layers, wm_error *err);
void lines_done(lines *l);

/** "loam fog 303,020 3" as the answers have it: shades, sixths of each segment, pieces. */
enum { LINES_TEXT_SIZE = 400 };
const char *lines_text(char out[LINES_TEXT_SIZE], const wm_decided *decided, const wm_candidate *candidate);

#endif
