/* plan: what the stylist sews from: rows, wefts, beads, thread, the work list, fullness, quote, move-ups, cautions.
 * wm_plan is plain data (short texts and numbers; the report writes and reads it as JSON under the names of its
 * fields); unknown numbers are negative. */
#ifndef WM_PLAN_PLAN_H
#define WM_PLAN_PLAN_H

#include "plan/calendar.h"
#include "plan/length.h"
#include "plan/money.h"
#include "plan/row.h"

typedef struct wm_plan_settings {
    wm_units units;
    wm_row_settings row;
    int moveup_weeks;
    double load_caution_percent;
    char currency[WM_CURRENCY_SIZE];
    int64_t row_fee_milli; /**< negative: none, then no fee is quoted */
    int64_t tax_milli_percent;
} wm_plan_settings;
/** load_caution_percent 1200 is our own convention: each bead may carry twelve times the natural hair it holds. With
 * the usual packs (30 g on 30 cm) two layers on medium, average hair stay below it; three layers, or two on fine or
 * thin hair, don't. */
#define WM_PLAN_SETTINGS_DEFAULT                                                                                       \
    {                                                                                                                  \
        WM_UNITS_CM, WM_ROW_SETTINGS_DEFAULT, 6, 1200.0, "EUR", -1, 0                                                  \
    }

typedef struct wm_plan_input {
    double arcs_cm[WM_MAX_ROWS];
    size_t arc_count;
    const wm_catalogue *catalogue;
    wm_stack stack;
    const char *bead_code; /**< M8; NULL: no bead shade in the catalogue */
    wm_head head;
    double to_length_cm;      /**< negative: not given; both lengths are measured from the row down */
    double line_cm, cover_cm; /**< M19 (wm_growout); negative: not given */
    wm_date date;             /**< the day of the installation */
} wm_plan_input;
/** No arc and no layer; every length not given; medium, average hair. */
#define WM_PLAN_INPUT_INIT                                                                                             \
    {                                                                                                                  \
        .head = { WM_HAIR_MEDIUM, WM_AMOUNT_AVERAGE, false, -1 }, .to_length_cm = -1, .line_cm = -1, .cover_cm = -1    \
    }

enum { WM_PLAN_STEPS = 16, WM_PLAN_CAUTIONS = 20, WM_PLAN_TEXT_SIZE = 800 };

typedef struct wm_plan {
    wm_units units;
    wm_row rows[WM_MAX_ROWS];
    size_t row_count;
    wm_stack stack;
    double wanted_cm;             /**< to_length, else the natural length */
    wm_weft wefts[WM_MAX_LAYERS]; /**< one a shade, in order of first appearance from the front */
    size_t weft_count;
    int beads, bead_reserve;      /**< over all rows */
    char bead_code[WM_CODE_SIZE]; /**< "" if none */
    wm_head head;
    wm_fullness fullness;
    char steps[WM_PLAN_STEPS][WM_PLAN_TEXT_SIZE]; /**< the work list, in order */
    size_t step_count;
    wm_quote quote;
    wm_moveups moveups;
    wm_growout growout;
    char cautions[WM_PLAN_CAUTIONS][WM_PLAN_TEXT_SIZE];
    size_t caution_count;
} wm_plan;

/** WM_E_USAGE: an impossible arc, length, setting or number of layers; WM_E_INPUT: a code that the catalogue doesn't
 * have. */
WM_API wm_status wm_plan_make(wm_plan *out, const wm_plan_input *input, const wm_plan_settings *settings,
                              wm_error *err);

/** Whose move-ups a calendar holds. */
typedef struct wm_plan_visit {
    const char *client;      /**< UTF-8; NULL or "": nobody is named */
    const char *report_hash; /**< as in wm_calendar_info */
    int64_t stamp;
} wm_plan_visit;
/** The plan's move-ups as iCalendar. */
WM_API wm_status wm_plan_calendar(wm_buf *out, const wm_plan *plan, const wm_plan_visit *visit, wm_error *err);

#endif
