/* history: a client's saved visits, oldest first. */
#ifndef CLI_HISTORY_H
#define CLI_HISTORY_H

#include "book/book.h"
#include "consult/finished.h"
#include "consult/settings.h"
#include "consult/trend.h"
#include "plan/calendar.h"
#include "report/html.h"
#include "report/report.h"

/** What `off` was told by, the better one first. */
typedef enum history_judged { HISTORY_MEASURED, HISTORY_INSTALLED, HISTORY_PROPOSED, HISTORY_UNKNOWN } history_judged;
extern const char *const HISTORY_JUDGED[]; /**< "measured", "installed", "proposed", "unknown" */

typedef struct history_line {
    int64_t id;
    char at[WM_DATE_SIZE];
    wm_stack installed;
    bool measured;     /**< a photo was */
    wm_report *report; /**< with pictures all of it, else as wm_saved_brief tells it */
    wm_visit visit;
    wm_finished *finished; /**< how near the row came */
    history_judged judged;
    double off; /**< dE00 from her hair at the worst place */
} history_line;
typedef struct history {
    history_line *lines;
    size_t count;
    wm_trend trend;
    wm_plot_gray gray; /**< the same as a drawing takes it */
} history;

/** With the pictures that a page shows, or without. */
wm_status history_load(history *out, wm_book *book, int64_t client_id, bool pictures, wm_error *err);
void history_free(history *h);

/** How many of her visits lie before this one; all of them when it is none of hers. */
size_t history_before(const history *h, int64_t visit_id);
/** Visits at which a photo was measured. */
size_t history_measured_count(const history *h);
/** The last of the first `count` visits at which a photo was measured; NULL: none. */
const history_line *history_measured(const history *h, size_t count);
/** The visit of what she wears after the first `count` visits; NULL: nothing is sewn on. */
const history_line *history_worn(const history *h, size_t count);
/** The visit whose report tells how the rows lie that hang after a visit: itself, else the last measured before it;
 * NULL: none. */
const history_line *history_rows(const history *h, const history_line *line);
/** The visit whose proposal was sewn on, or is sewn on again, at a visit; NULL: none. */
const history_line *history_as_proposed(const history *h, const history_line *line);
/** The zone whose gray share history shows: the gray zone's, else any; NULL when none was resolved. */
const wm_report_zone *history_gray_zone(const history_line *line);
/** The lines as the page takes them; free(). NULL when there are none or memory runs out. */
wm_history_item *history_items(const history *h, const char *currency);
/** ,"why":..,"note":..,"charged_minor":..,"sewn":[..] of a visit. */
void history_write_said(wm_buf *out, const wm_visit *v);
/** The document of `client history NAME --json`. */
void history_write_json(wm_buf *out, const history *h, const char *client);
/** How near the finished row came at a visit; nothing when no photo after was measured. */
wm_status history_finished(wm_finished *out, const wm_visit *visit, const wm_settings *settings, wm_error *err);
/** A line a zone: how near the row came there. */
void history_write_finished(wm_buf *out, const wm_finished *finished);
/** The same as ,"finished":[..]. */
void history_write_finished_json(wm_buf *out, const wm_finished *finished);

#endif
