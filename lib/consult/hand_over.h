/* hand_over: a visit that was saved in another client's file goes to the one whose it is. Her report names her, and
 * must not name the other when she is forgotten. */
#ifndef WM_CONSULT_HAND_OVER_H
#define WM_CONSULT_HAND_OVER_H

#include "book/book.h"
#include "core/buf.h"

/** Appends the report's bytes with another name of the client in them, all else as it was. WM_E_BOOK: no report. */
wm_status wm_report_rename(wm_buf *out, const wm_bytes *report_json, const char *client, wm_error *err);

wm_status wm_visit_hand_over(wm_book *book, int64_t visit_id, const wm_client *client, wm_error *err);

#endif
