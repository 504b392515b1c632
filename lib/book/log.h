/* log: every change of the book in its own transaction, with the line that tells it. The triggers of `schema` keep the
 * rows as they were, so that any change can be taken back. */
#ifndef WM_BOOK_LOG_H
#define WM_BOOK_LOG_H

#include "book/db.h"

/** What the log says of a change; ids 0: none. */
typedef struct wm_log_line {
    const char *verb; /* as the command line calls it */
    int64_t client_id, other_client_id, visit_id;
} wm_log_line;

/** Tells the change that is open. Within another change the words are added to its own. */
wm_status wm_log__tell(wm_book *book, const wm_log_line *line, wm_error *err, const char *format, ...) WM_PRINTF(4, 5);

/** Everything that the log keeps of a client, her visits and whoever was merged into her; the client herself too. */
wm_status wm_log__forget(wm_book *book, int64_t client_id, wm_error *err);

#endif
