/* swatch: the catalogue: CSV (RFC 4180) and CGATS.17, validation, filters. One row is one (code, length); one code has one colour. */
#ifndef WM_MATCH_SWATCH_H
#define WM_MATCH_SWATCH_H

#include <stdint.h>

#include "colour/colour.h"
#include "core/buf.h"
#include "core/status.h"

enum { WM_CODE_SIZE = 64, WM_NAME_SIZE = 128 }; /**< bytes with NUL; longer codes and names are refused at the door */

typedef enum wm_swatch_kind { WM_SWATCH_HAIR, WM_SWATCH_BEAD } wm_swatch_kind;

/** One row of a catalogue. Unknown numbers are negative, except where said. */
typedef struct wm_swatch {
    char code[WM_CODE_SIZE];
    char name[WM_NAME_SIZE];       /**< "" if none */
    wm_swatch_kind kind;
    wm_lab lab;                    /**< D50, 2 degree */
    double u;                      /**< standard uncertainty in dE00; negative: unknown, 0.6 is used (M2) */
    double length_cm;
    int pieces_per_pack;
    double piece_width_cm;
    double pack_weight_g;
    int64_t pack_price_milli;      /**< thousandths of the currency unit, exact */
    bool cuttable;                 /**< default true */
    double stock_packs;            /**< 0 is out of stock; negative: unknown, counts as orderable but not in stock */
    double gray_share;
    char measured[12];             /**< YYYY-MM-DD or "" */
    char source[WM_NAME_SIZE];
    long line;                     /**< of the file, for messages */
} wm_swatch;

typedef struct wm_catalogue {
    wm_swatch *items;              /**< in the file's order */
    size_t count;
} wm_catalogue;

/** Format by the name's ending: .csv or .txt (CGATS.17). WM_E_INPUT with file, line and column: missing columns, duplicates, a code with
 *  two colours, out-of-range values, decimal commas, NaN and infinity, no rows. Notes: e.g. `undeclared_keyword`, `beads_only`. */
WM_API wm_status wm_catalogue_load(wm_catalogue *out, const char *path, wm_notes *notes, wm_error *err);
WM_API wm_status wm_catalogue_parse_csv(wm_catalogue *out, const char *data, size_t size, const char *file, wm_notes *notes, wm_error *err);
WM_API wm_status wm_catalogue_parse_cgats(wm_catalogue *out, const char *data, size_t size, const char *file, wm_notes *notes, wm_error *err);
WM_API void wm_catalogue_free(wm_catalogue *catalogue);

WM_API void wm_catalogue_write_csv(wm_buf *out, const wm_catalogue *catalogue);
/** lossy false: WM_E_INPUT when the catalogue holds what CGATS.17 can't carry (names what), WM_E_INPUT. */
WM_API wm_status wm_catalogue_write_cgats(wm_buf *out, const wm_catalogue *catalogue, bool lossy, wm_error *err);

/** First row of that code (exact), or NULL. */
WM_API const wm_swatch *wm_catalogue_find(const wm_catalogue *catalogue, const char *code);
/** The code nearest to a mistyped one (edit distance at most 2), or NULL: for "did you mean". */
WM_API const char *wm_catalogue_near_miss(const wm_catalogue *catalogue, const char *code);

/** M14's filters; zero-initialised filters nothing. */
typedef struct wm_filter {
    bool in_stock;
    int64_t max_price_milli;       /**< 0: any */
    double min_length_cm;          /**< 0: any; a shade of unknown length passes */
} wm_filter;
typedef struct wm_filter_count { const char *name; size_t removed; } wm_filter_count; /**< "in stock", "price", "length" */

/** One shade a code: of its rows that pass, the one that M5 puts first (in stock, price, length). kind as asked. */
typedef struct wm_shades {
    const wm_swatch **items;       /**< lent by the catalogue; the array is owned */
    size_t count;
    wm_filter_count removed[3];    /**< shades that each filter alone took away, in order */
} wm_shades;
WM_API wm_status wm_shades_of(wm_shades *out, const wm_catalogue *catalogue, wm_swatch_kind kind, const wm_filter *filter, wm_error *err);
WM_API void wm_shades_free(wm_shades *shades);

WM_API double wm_swatch_u(const wm_swatch *swatch);            /**< u or 0.6 (M2) */
WM_API bool wm_swatch_in_stock(const wm_swatch *swatch);
/** tau of one whole weft layer from its pack (B15); 2.76 when unknown (M11). */
WM_API double wm_swatch_tau(const wm_swatch *swatch);

#endif
