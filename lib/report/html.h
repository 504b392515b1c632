/* html: the report as one self-contained page for client and stylist: no script needed, no network, print first, light
 * and dark. */
#ifndef WM_REPORT_HTML_H
#define WM_REPORT_HTML_H

#include "core/buf.h"
#include "report/report.h"

/** One line of a client's history (oldest first), for the page. */
typedef struct wm_history_item {
    char at[12];
    wm_stack installed; /**< no layers: not noted */
    bool has_worst;
    double worst_de00;
    bool has_share;
    double gray_share;
} wm_history_item;

typedef struct wm_html_input {
    const wm_report *report;
    const wm_report_pictures *pictures; /**< NULL: none */
    const wm_history_item *history;
    size_t history_count;
    bool inches;
    bool zone_rankings; /**< rankings of single zones, not of the roles alone */
} wm_html_input;

WM_API wm_status wm_report_to_html(wm_buf *out, const wm_html_input *input, wm_error *err);

#endif
