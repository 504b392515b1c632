/* html_history: a client's visits as one self-contained page: what was seen, what was sewn, how near it came, how her
 * gray grows. Newest first. */
#ifndef WM_REPORT_HTML_HISTORY_H
#define WM_REPORT_HTML_HISTORY_H

#include "report/html.h"

/** A visit as the page tells it. Everything is lent; "" and NULL: nothing is known. */
typedef struct wm_history_visit {
    int64_t id;
    const wm_history_item *item;
    const wm_report *report;
    const char *kind;  /**< "move-up" */
    const char *money; /**< "540.00 EUR, deposit 100.00 EUR" */
    const char *wefts; /**< a line a shade that was sewn on: length, lot, how long it has been worn */
    const char *off;   /**< by what item->worst_de00 was told: "measured", "installed", "proposed" */
    const char *after; /**< a line a zone of the photo after: how near the row came there */
    const wm_bytes *photo_jpeg, *after_jpeg;
} wm_history_visit;

typedef struct wm_history_page {
    const char *salon, *client, *since, *note;
    const char *next;               /**< the day of her next visit; "" */
    bool late;                      /**< it is past */
    bool next_agreed;               /**< it was agreed with her; else it follows from the weeks between move-ups */
    const wm_history_visit *visits; /**< oldest first */
    size_t visit_count;
    const wm_plot_gray *gray;            /**< NULL: none */
    const char *gray_words;              /**< the trend in a sentence */
    char (*left_out)[2 * WM_LABEL_SIZE]; /**< what the trend is not told by */
    size_t left_out_count;
    const wm_language *language; /**< NULL: English */
} wm_history_page;

wm_status wm_history_to_html(wm_buf *out, const wm_history_page *page, wm_error *err);

#endif
