/* saved: the report of a visit out of the book. A visit that was noted without a photo has none: it reads as a report
 * without zones, proposals and plan. */
#ifndef WM_CONSULT_SAVED_H
#define WM_CONSULT_SAVED_H

#include "book/book.h"
#include "report/report.h"

/** Whether a photo was measured at the visit. */
bool wm_saved_measured(const wm_visit *visit);
/** WM_E_BOOK when nothing was measured at it, with what to do. */
wm_status wm_saved_need_measured(const wm_visit *visit, wm_error *err);

/** A consultation as a visit keeps it; everything is lent. */
typedef struct wm_consulted {
    const wm_buf *json;
    const wm_report *report;
    const wm_report_pictures *pictures;
    const char *date;
} wm_consulted;
wm_visit wm_saved_visit(int64_t client_id, const wm_consulted *from);

/** All of it. WM_E_BOOK: damaged, or newer than this program. */
wm_status wm_saved_report(wm_report *out, const wm_visit *visit, wm_error *err);
/** Without scenarios, and of the rankings one of what was installed: the others are nearly all of its bytes and are not
 * looked at. */
wm_status wm_saved_brief(wm_report *out, const wm_visit *visit, wm_error *err);
/** In brief, and without its plan: what was measured, decided and proposed. */
wm_status wm_saved_decided(wm_report *out, const wm_visit *visit, wm_error *err);
/** Its plan alone. */
wm_status wm_saved_plan(wm_report *out, const wm_visit *visit, wm_error *err);

#endif
