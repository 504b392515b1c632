/* shades: what can be looked up in a catalogue: a code, the shades that pass the filters (M14), shades that look the
 * same. */
#ifndef WM_MATCH_SHADES_H
#define WM_MATCH_SHADES_H

#include "match/swatch.h"

/** C32: the frame of most hair rows, ties by order; "" for absolute ones. */
const char *wm_catalogue_frame(const wm_catalogue *catalogue);

/** First row of that code (exact), or NULL. */
const wm_swatch *wm_catalogue_find(const wm_catalogue *catalogue, const char *code);
/** The code nearest to a mistyped one (wm_near_miss; of several the first by code), or NULL: for "did you mean". */
const char *wm_catalogue_near_miss(const wm_catalogue *catalogue, const char *code);

/** That row, or WM_E_INPUT with a near miss. */
wm_status wm_catalogue_shade(const wm_swatch **out, const wm_catalogue *catalogue, const char *code, wm_error *err);

#define WM_SAME_LENGTH_CM 0.5 /* our own: lengths of weft that are told apart */
/** Are these the lengths of one row of a catalogue? Negative: not known, the same as another that isn't. */
bool wm_same_length(double a_cm, double b_cm);
/** The row of that code and, where it comes in several lengths, of that one; length_cm 0 or less: not said.
 * WM_E_INPUT: none, with a near miss; WM_E_USAGE: several, and none was said. */
wm_status wm_catalogue_row(const wm_swatch **out, const wm_catalogue *catalogue, const char *code, double length_cm,
                           wm_error *err);

enum { WM_FILTERS = 5 };
/** M14's filters; zero-initialised filters nothing. What is not known passes, except that in_stock wants a known stock.
 */
typedef struct wm_filter {
    bool in_stock;
    int64_t max_price_milli; /**< 0: any */
    double min_length_cm;    /**< 0: any */
    double wanted_cm;        /**< takes none away, but chooses among the rows of a code; 0: not given */
    const char *avoided;     /**< "ember,rust": codes that the salon doesn't sew; NULL or "": none */
    const char *frame;       /**< only shades of that frame, "" being absolute (C32); NULL: any */
} wm_filter;
typedef struct wm_filter_count {
    const char *name;
    size_t removed;
} wm_filter_count; /**< "in stock", "price", "length", "avoided", "sheet" */

/** The row of a code that is sewn from: of those that pass the filter in stock first, then the shortest that reaches
 * the wanted length, else the longest; when none passes, of all. NULL: the catalogue has no hair of that code. */
const wm_swatch *wm_catalogue_pack(const wm_catalogue *catalogue, const char *code, const wm_filter *filter);

/** One shade a code: of its rows that pass, the one that is sewn from (as wm_catalogue_pack). kind as asked.
 *  In the order of their codes, so that nothing behind it depends on the catalogue's order (M16). */
typedef struct wm_shades {
    const wm_swatch **items; /**< lent by the catalogue; the array is owned */
    size_t count;
    wm_filter_count removed[WM_FILTERS]; /**< shades that each filter alone took away, in order */
} wm_shades;
wm_status wm_shades_of(wm_shades *out, const wm_catalogue *catalogue, wm_swatch_kind kind, const wm_filter *filter,
                       wm_error *err);
void wm_shades_free(wm_shades *shades);

/** M5's tie-breaks after equal rounded distance: in stock first, price (unknown last), code, length. <0 when a comes
 * first. */
int wm_swatch_order(const wm_swatch *a, const wm_swatch *b);

/** Two codes of one kind whose colours no photo tells apart: closer than the u below which a photo may name one shade
 * (M4). */
typedef struct wm_twin {
    const wm_swatch *a, *b;
    double de00;
} wm_twin;
#define WM_TWIN_DE00 1.25
typedef struct wm_twins {
    wm_twin *items; /**< nearest first, at most 1000 */
    size_t count;
    bool more; /**< there are more than were kept */
} wm_twins;
wm_status wm_catalogue_twins(wm_twins *out, const wm_catalogue *catalogue, double limit_de00, wm_error *err);
void wm_twins_free(wm_twins *twins);

/** A price that is off that of its neighbours (rows of the same kind, by weight where it is known) by more than
 * WM_PRICE_FACTOR: a slip of the decimal point more often than a price. */
#define WM_PRICE_FACTOR 4.0 /* our own: long hair costs up to three times short hair's price */
typedef struct wm_price_doubt {
    const wm_swatch *row;
    double times; /**< of what its neighbours would make it cost */
} wm_price_doubt;
/** In the catalogue's order; none with fewer than four neighbours. free() the array. */
wm_status wm_catalogue_price_doubts(wm_price_doubt **out, size_t *count, const wm_catalogue *catalogue, wm_error *err);

#endif
