/* text: the report for a terminal: words before numbers, chips of colour, aligned within the terminal's width. */
#ifndef WM_REPORT_TEXT_H
#define WM_REPORT_TEXT_H

#include "core/buf.h"
#include "report/report.h"

typedef enum wm_chips { WM_CHIPS_NONE, WM_CHIPS_256, WM_CHIPS_24BIT } wm_chips;
typedef struct wm_text_style {
    wm_chips chips;
    bool utf8;          /**< plus-minus, degree and rules as UTF-8, else ASCII */
    int lines;          /**< of each ranking shown; default 10 */
    bool inches;        /**< lengths in inches */
    bool full;          /**< rankings, figures, plan and work list too; else one screen */
    bool settled;       /**< something was sewn on since: what would better the answer is not asked for */
    bool zone_rankings; /**< rankings of single zones, not of the roles alone */
    size_t columns;     /**< 0: WM_TEXT_COLUMNS; taken as at least WM_TEXT_COLUMNS_LEAST */
} wm_text_style;

enum { WM_TEXT_COLUMNS = 80, WM_TEXT_COLUMNS_LEAST = 48 };

wm_status wm_report_to_text(wm_buf *out, const wm_report *report, const wm_text_style *style, wm_error *err);
/** Only the plan, its work list and its cautions. */
wm_status wm_plan_to_text(wm_buf *out, const wm_plan *plan, const wm_text_style *style, wm_error *err);
/** A chip, " ## " or nothing: shared with other verbs' tables. */
void wm_text_chip(wm_buf *out, wm_lab lab, wm_chips chips);

#endif
