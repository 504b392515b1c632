/* history: a client's saved visits, oldest first. */
#ifndef CLI_HISTORY_H
#define CLI_HISTORY_H

#include "book/book.h"
#include "plan/calendar.h"
#include "report/html.h"
#include "report/report.h"

typedef struct history_line {
    int64_t id;
    char at[WM_DATE_SIZE];
    wm_stack installed;
    wm_report *report;
} history_line;
typedef struct history {
    history_line *lines;
    size_t count;
} history;

wm_status history_load(history *out, wm_book *book, int64_t client_id, wm_error *err);
void history_free(history *h);

/** The zone whose gray share history shows: the gray zone's, else any; NULL when none was resolved. */
const wm_report_zone *history_gray_zone(const history_line *line);
/** The lines as the page takes them; free(). NULL when there are none or memory runs out. */
wm_history_item *history_items(const history *h);
/** The document of `client history NAME --json`. */
void history_write_json(wm_buf *out, const history *h, const char *client);

#endif
