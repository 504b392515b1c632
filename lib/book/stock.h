/* stock: hair beyond the catalogue's count: packs that came or were opened, cut lengths that lie ready, lots of a
 * shade, each with its own colour. Lengths in cm; unknown numbers are negative. Every change is logged and can be taken
 * back.
 */
#ifndef WM_BOOK_STOCK_H
#define WM_BOOK_STOCK_H

#include "book/book.h"

/** Packs that came (above 0) or were opened (below 0), and what the catalogue's column said that day: a new number
 * there is a new count, before which moves no longer matter. */
typedef struct wm_stock_move {
    int64_t id;
    char date[12];
    char code[WM_CODE_SIZE];
    char lot[WM_LOT_SIZE];
    double length_cm, packs, counted;
    int64_t visit_id; /**< 0: none */
} wm_stock_move;
/** Oldest first. free() the array. */
wm_status wm_book_moves(wm_stock_move **out, size_t *count, wm_book *book, wm_error *err);
/** Adds one; its id is ignored. */
wm_status wm_book_add_move(wm_book *book, const wm_stock_move *move, wm_error *err);
/** What a visit took: gone again, so that it lies ready. */
wm_status wm_book_unsettle(wm_book *book, int64_t visit_id, wm_error *err);

typedef struct wm_cut_length {
    int64_t id;
    char code[WM_CODE_SIZE];
    char lot[WM_LOT_SIZE];
    double length_cm, width_cm;
    char date[12];
    int64_t from_visit; /**< that it was left over from; 0: none */
    int64_t used_by;    /**< the visit at which it was sewn on; 0: it lies ready */
} wm_cut_length;
/** Those that lie ready, by code and width, narrow ones first. free() the array. */
wm_status wm_book_cut_lengths(wm_cut_length **out, size_t *count, wm_book *book, wm_error *err);
wm_status wm_book_add_cut_length(int64_t *id, wm_book *book, const wm_cut_length *cut, wm_error *err);
/** Thrown away. WM_E_BOOK: there is none of that number. */
wm_status wm_book_drop_cut_length(wm_book *book, int64_t id, wm_error *err);

/** What a visit takes: packs, cut lengths that lay ready, and what is left of both. */
typedef struct wm_settlement {
    int64_t visit_id;
    const wm_stock_move *moves;
    size_t move_count;
    const int64_t *used;
    size_t used_count;
    const wm_cut_length *rests;
    size_t rest_count;
} wm_settlement;
wm_status wm_book_settle(wm_book *book, const wm_settlement *settlement, wm_error *err);

/** A delivery of a shade. */
typedef struct wm_lot {
    char code[WM_CODE_SIZE];
    char lot[WM_LOT_SIZE];
    wm_lab lab;
    double u; /**< dE00 */
    char measured[12];
    char source[WM_NAME_SIZE];
} wm_lot;
/** By code and lot. free() the array. */
wm_status wm_book_lots(wm_lot **out, size_t *count, wm_book *book, wm_error *err);
/** Adds it or takes the place of the one of that name. */
wm_status wm_book_put_lot(wm_book *book, const wm_lot *lot, wm_error *err);

#endif
