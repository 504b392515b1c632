/* noticed: what is odd about a visit before it is kept: the photo is in the book already, the day can't be, the hair is
 * not hers, the price is far off. Each is one line that says how to answer it. */
#ifndef WM_CONSULT_NOTICED_H
#define WM_CONSULT_NOTICED_H

#include "book/book.h"
#include "consult/finished.h"
#include "plan/calendar.h"
#include "report/report.h"

/** A visit that was saved from the same photo, and whose it is; visit_id 0: none. */
typedef struct wm_same_photo {
    int64_t visit_id;
    wm_client client;
} wm_same_photo;
wm_status wm_noticed_photo(wm_same_photo *out, wm_book *book, const char *photo_sha256, wm_error *err);

typedef struct wm_noticing {
    const wm_report *report;
    const char *date;      /**< of the visit */
    const char *last_date; /**< of her last visit; NULL or "": it is the first */
    wm_date today;         /**< year 0: not known */
    int64_t visit_id;      /**< 0: not kept yet */
} wm_noticing;
/** The day against today, her last visit and the photo's own time; her hair against the last visit's. */
void wm_noticed_visit(wm_warnings *out, const wm_noticing *input);

/** A photo after on which the row is far from her hair before at most of its places: another head's, or other light. */
void wm_noticed_after(wm_warnings *out, const wm_finished *finished, bool up);

/** Another visit of hers on the same day: the same one, written down twice? */
wm_status wm_noticed_same_day(wm_warnings *out, wm_book *book, const wm_visit *visit, wm_error *err);

/** A price more than three times, or less than a third of, what she was charged last for a visit of its kind (common
 * practice, no source). */
wm_status wm_noticed_price(wm_warnings *out, wm_book *book, const wm_visit *visit, wm_error *err);

#endif
