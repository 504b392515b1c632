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

/** All of it. WM_E_BOOK: damaged, or newer than this program. */
wm_status wm_saved_report(wm_report *out, const wm_visit *visit, wm_error *err);
/** Without scenarios, and of the rankings one of what was installed: the others are nearly all of its bytes and are not
 * looked at. */
wm_status wm_saved_brief(wm_report *out, const wm_visit *visit, wm_error *err);
/** Its plan alone. */
wm_status wm_saved_plan(wm_report *out, const wm_visit *visit, wm_error *err);

#endif
