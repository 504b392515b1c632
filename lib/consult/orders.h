/* orders: what the coming visits need beyond what is there, from whom, and by when it has to be ordered. What a
 * client wears says what comes next: an installation when nothing is sewn on, else a move-up, at which wefts are sewn
 * on again until they have been worn for the visits that the settings say. */
#ifndef WM_CONSULT_ORDERS_H
#define WM_CONSULT_ORDERS_H

#include "consult/on_hand.h"
#include "consult/settings.h"

enum { WM_ORDER_WHY_SIZE = 120 };

/** One shade at a coming visit. Unknown numbers are negative. */
typedef struct wm_coming_weft {
    char code[WM_CODE_SIZE];
    double length_cm, width_cm;
    bool again;    /**< sewn on once more; else new */
    int worn;      /**< visits so far */
    double cut_cm; /**< of new weft: what comes from cut lengths that lie ready */
    int packs;     /**< to be opened */
    int order;     /**< of these, what is not there */
    int row;       /**< of the catalogue, that they are taken of */
} wm_coming_weft;

typedef struct wm_coming_visit {
    int64_t client_id, visit_id; /**< visit: of what she wears, else her latest */
    char client[WM_NAME_SIZE];
    char photo_sha256[65]; /**< of that visit; "" not known */
    wm_visit_kind kind;    /**< installation or move-up */
    wm_date due;           /**< none: no day is agreed */
    bool agreed;           /**< the day was agreed with her; else it follows from the weeks between move-ups */
    bool late;             /**< it is past */
    wm_coming_weft wefts[WM_PLAN_WEFTS];
    size_t weft_count;
    char why[WM_ORDER_WHY_SIZE]; /**< why nothing can be said, and what to do; "" */
} wm_coming_visit;

/** What is needed of one shade in one length. */
typedef struct wm_order {
    char code[WM_CODE_SIZE], name[WM_NAME_SIZE], supplier[WM_NAME_SIZE];
    double length_cm;
    int needed, order; /**< packs */
    double stock;      /**< negative: not counted */
    wm_date by;        /**< the last day on which it comes in time; none: no day is agreed */
    bool late;         /**< that day is past */
    int64_t pack_price_milli;
    char whose[400]; /**< "Anna Berg, Bea Falk" */
} wm_order;

typedef struct wm_orders {
    wm_coming_visit *visits; /**< by day, those without one last */
    size_t visit_count;
    wm_order *lines; /**< all that is needed, by supplier, day, code; `order` 0: it is there */
    size_t line_count;
    size_t lapsed; /**< clients whose next visit is long past: they are not counted */
} wm_orders;
void wm_orders_free(wm_orders *orders);

/** All that is coming as one calendar: visits, with a reminder, and the last days to order. stamp as in wm_event. An
 * entry keeps its UID when its day changes, so that the calendar follows. */
wm_status wm_orders_calendar(wm_buf *out, const wm_orders *orders, int64_t stamp, wm_error *err);

/** The day of her next visit: the one that was agreed if it is after her last; else, while she wears something, the
 * weeks between move-ups after it was sewn on. False: no day can be told. */
bool wm_next_visit_day(wm_date *out, bool *agreed, const wm_client_latest *latest, int moveup_weeks);

typedef struct wm_orders_input {
    wm_book *book;
    const wm_catalogue *catalogue; /**< as the file counts it */
    const wm_settings *settings;
    wm_date today;
    bool only_reserved; /**< only what is taken of packs on hand is asked: widths and lengths of other wefts may stay
                           unknown, and there are no lines for them */
} wm_orders_input;
wm_status wm_orders_of(wm_orders *out, const wm_orders_input *input, wm_error *err);

#endif
