/* plan: what the stylist sews from: rows, wefts, beads, thread, the work list, fullness, quote, move-ups, cautions.
 * wm_plan is plain data (short texts and numbers; the report writes and reads it as JSON under the names of its
 * fields); unknown numbers are negative. */
#ifndef WM_PLAN_PLAN_H
#define WM_PLAN_PLAN_H

#include "plan/calendar.h"
#include "plan/design_words.h"
#include "plan/money.h"
#include "plan/row.h"

/** What is done, and so what is charged: a consultation once, the others a row. */
typedef enum wm_work { WM_WORK_INSTALLATION, WM_WORK_MOVEUP, WM_WORK_REMOVAL, WM_WORK_CONSULTATION, WM_WORKS } wm_work;
extern const char *const WM_WORK_WORDS[]; /**< "installation", "move-up", "removal", "consultation" */

typedef struct wm_plan_settings {
    wm_units units;
    wm_row_settings row;
    int moveup_weeks;
    int weft_visits;      /**< visits that a weft is sewn on at before it is replaced */
    int order_days;       /**< from an order until it is there */
    double load_limit_mg; /**< on each held hair, of medium hair (M25) */
    char currency[WM_CURRENCY_SIZE];
    int64_t fee_milli[WM_WORKS]; /**< of each kind of work; negative: none, then no fee is quoted */
    int64_t tax_milli_percent;
    int64_t deposit_milli_percent;
    int quote_days; /**< that a quote holds */
} wm_plan_settings;
#define WM_PLAN_SETTINGS_DEFAULT                                                                                       \
    {                                                                                                                  \
        WM_UNITS_CM, WM_ROW_SETTINGS_DEFAULT, 6, 3, 10, WM_LOAD_LIMIT_MG, "EUR", { -1, -1, -1, -1 }, 0, 0, 30          \
    }

/** Shades that she wears and that are sewn on again: no packs of them are bought. */
typedef struct wm_plan_again {
    char codes[2 * WM_MAX_LAYERS][WM_CODE_SIZE];
    size_t count;
} wm_plan_again;

typedef struct wm_plan_input {
    const wm_design_row *rows; /**< each with its arc; a design for another width is fitted (wm_design_row_fit) */
    size_t row_count;
    const wm_catalogue *catalogue;
    wm_filter filter;           /**< M14: of the rows of a code only these; without any that passes all of them */
    const char *bead_code;      /**< M34; NULL: no bead shade in the catalogue */
    wm_work work;               /**< what is quoted */
    const wm_plan_again *again; /**< at a move-up: shades that are sewn on again; NULL: none */
    wm_head head;
    wm_goal goal;
    double to_length_cm;      /**< negative: not given; both lengths are measured from the row down */
    double line_cm, cover_cm; /**< M19 (wm_growout); negative: not given */
    wm_date date;             /**< the day of the installation */
} wm_plan_input;
/** No row; volume; every length not given; medium, average hair. */
#define WM_PLAN_INPUT_INIT                                                                                             \
    {                                                                                                                  \
        .head = { WM_HAIR_MEDIUM, WM_AMOUNT_AVERAGE, false, -1 }, .goal = WM_GOAL_VOLUME, .to_length_cm = -1,          \
        .line_cm = -1, .cover_cm = -1                                                                                  \
    }

enum { WM_PLAN_STEPS = 24, WM_PLAN_CAUTIONS = 20, WM_PLAN_TEXT_SIZE = 2400, WM_PLAN_WEFTS = 2 * WM_MAX_LAYERS };

typedef struct wm_plan {
    wm_units units;
    wm_row rows[WM_MAX_ROWS];
    size_t row_count;
    char sewn[WM_DESIGN_WORDS_SIZE]; /**< where each shade goes, in words */
    wm_strips strips;                /**< the cutting list */
    double wanted_cm;                /**< to_length, else the natural length */
    wm_weft wefts[WM_PLAN_WEFTS];    /**< one a shade, in order of first appearance from the front */
    size_t weft_count;
    int beads, bead_reserve;      /**< over all rows */
    char bead_code[WM_CODE_SIZE]; /**< "" if none */
    wm_head head;
    wm_fullness fullness;
    double limit_mg; /**< what each held hair may carry (M25) */
    double short_g;  /**< what the goal asks for beyond what is sewn; 0: enough; negative: not known */
    char steps[WM_PLAN_STEPS][WM_PLAN_TEXT_SIZE]; /**< the work list, in order */
    size_t step_count;
    wm_quote quote;
    wm_moveups moveups;
    wm_growout growout;
    char cautions[WM_PLAN_CAUTIONS][WM_PLAN_TEXT_SIZE];
    size_t caution_count;
    size_t general_cautions; /**< the last so many hold for every row */
} wm_plan;

/** WM_E_USAGE: an impossible arc, length, setting or number of layers; WM_E_INPUT: a code that the catalogue doesn't
 * have. */
wm_status wm_plan_make(wm_plan *out, const wm_plan_input *input, const wm_plan_settings *settings, wm_error *err);

/** Whose move-ups a calendar holds. */
typedef struct wm_plan_visit {
    const char *client;      /**< UTF-8; NULL or "": nobody is named */
    const char *report_hash; /**< as in wm_calendar_info: of the photo, so that a changed plan keeps its entries */
    int64_t stamp;
} wm_plan_visit;
/** The plan's move-ups as iCalendar. */
wm_status wm_plan_calendar(wm_buf *out, const wm_plan *plan, const wm_plan_visit *visit, wm_error *err);

#endif
