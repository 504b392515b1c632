/* compare_out: two photos or visits beside each other: text, JSON, page. */
#ifndef WM_REPORT_COMPARE_OUT_H
#define WM_REPORT_COMPARE_OUT_H

#include "core/buf.h"
#include "report/report.h"
#include "report/spoken.h"
#include "report/text.h"

typedef struct wm_comparison {
    wm_report before, now;     /**< as measured */
    wm_report_change *changes; /**< owned */
    size_t change_count;
    wm_warnings unpaired;           /**< zones of one alone */
    bool same_session;              /**< one camera within the hour: C14 applies */
    wm_bytes before_jpeg, now_jpeg; /**< brought to the same light by their first stage; empty: none */
} wm_comparison;

void wm_comparison_free(wm_comparison *comparison);

wm_status wm_comparison_to_text(wm_buf *out, const wm_comparison *comparison, const wm_text_style *style,
                                wm_error *err);
wm_status wm_comparison_to_json(wm_buf *out, const wm_comparison *comparison, wm_error *err);
/** language NULL: English. */
wm_status wm_comparison_to_html(wm_buf *out, const wm_comparison *comparison, const wm_language *language,
                                wm_error *err);

#endif
