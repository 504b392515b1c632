/* recheck: every saved visit against another catalogue (M32): who would be served better by it than by what was
 * installed. */
#ifndef WM_CONSULT_RECHECK_H
#define WM_CONSULT_RECHECK_H

#include "book/book.h"
#include "consult/settings.h"
#include "match/decision.h"
#include "report/report.h"

typedef enum wm_recheck_held { WM_HELD_INSTALLED, WM_HELD_PROPOSED, WM_HELD_UNKNOWN } wm_recheck_held;
const char *wm_recheck_held_name(wm_recheck_held held); /**< "installed", "proposed", "unknown" */

/** The different shades of a design, in order of first appearance from the front. */
typedef struct wm_recheck_codes {
    char codes[2 * WM_MAX_LAYERS][WM_CODE_SIZE];
    size_t count;
} wm_recheck_codes;

typedef struct wm_rechecked {
    int64_t visit_id;
    char client[WM_NAME_SIZE];
    char date[12];
    wm_recheck_held held_by;          /**< what it was compared with; unknown: there is nothing that could be worn on */
    char said[WM_DECISION_TEXT_SIZE]; /**< why it stays, is left or can't be compared */
    wm_recheck_codes held, best;
    double held_de00, best_de00; /**< expected far, at the worst place */
    double gain;                 /**< held's gap minus best's */
    double better_in;            /**< part of the draws in which best has the smaller gap */
    bool earned;                 /**< she would leave what she wears for it */
    wm_verdict verdict;          /**< of best */
    wm_claim claim;              /**< of the visit's photo */
} wm_rechecked;

typedef struct wm_recheck_input {
    wm_book *book;
    const wm_catalogue *catalogue;
    const wm_settings *settings;
    bool latest;                                             /**< each client's latest visit alone */
    int jobs;                                                /**< the result does not depend on it */
    void (*progress)(void *user, size_t done, size_t total); /**< NULL: none; called one at a time, from any thread */
    void *user;
} wm_recheck_input;

/** Every saved visit, sorted: earned gains first, then by gain, client, visit. free() the array. */
wm_status wm_recheck(wm_rechecked **out, size_t *count, const wm_recheck_input *input, wm_error *err);

/** A shade that clients would leave for, who don't wear it. */
typedef struct wm_recheck_gain {
    char code[WM_CODE_SIZE];
    size_t clients; /**< visits, where they are not the latest alone */
    double gain;    /**< of all of them together */
} wm_recheck_gain;
/** Those that would serve most clients first. free() the array. */
wm_status wm_recheck_gains(wm_recheck_gain **out, size_t *count, const wm_rechecked *items, size_t item_count,
                           wm_error *err);

/** How far from her hair, at the worst place, what was installed at a visit (else proposed) is expected to be, by the
 * colours that its report holds. *known false: that can't be told. */
wm_status wm_recheck_installed(bool *known, double *far_de00, const wm_visit *visit, const wm_report *report,
                               const wm_settings *settings, wm_error *err);

#endif
