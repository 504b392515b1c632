/* swatch: the catalogue: CSV (RFC 4180) and CGATS.17 and their validation. One row is one (code, length); one code has
 * one colour. */
#ifndef WM_MATCH_SWATCH_H
#define WM_MATCH_SWATCH_H

#include <stdint.h>

#include "colour/colour.h"
#include "core/buf.h"
#include "core/status.h"
#include "weftmatch/catalogue.h"
#include "measure/frame.h"

enum {
    WM_CODE_SIZE = 64,
    WM_NAME_SIZE = 128,        /**< bytes with NUL; longer codes and names are refused at the door */
    WM_CATALOGUE_ROWS = 100000 /**< more are refused */
};
#define WM_CATALOGUE_BYTES ((size_t)64 << 20) /**< larger files are refused */
#define WM_TAU_DEFAULT 2.76 /* M11 */         /**< of a layer whose pack is not known */

typedef enum wm_swatch_kind { WM_SWATCH_HAIR, WM_SWATCH_BEAD } wm_swatch_kind;

/** One row of a catalogue. Unknown numbers are negative, except where said. */
typedef struct wm_swatch {
    char code[WM_CODE_SIZE];
    char name[WM_NAME_SIZE]; /**< "" if none */
    wm_swatch_kind kind;
    wm_lab lab; /**< D50, 2 degree */
    double u;   /**< standard uncertainty in dE00; negative: unknown, 0.6 is used (M2) */
    double length_cm;
    int pieces_per_pack;
    double piece_width_cm;
    double pack_weight_g;
    int64_t pack_price_milli; /**< thousandths of the currency unit, exact */
    bool cuttable;            /**< default true */
    double stock_packs;       /**< 0 is out of stock; negative: unknown, counts as orderable but not in stock */
    double gray_share;
    char frame[WM_FRAME_SIZE]; /**< "": absolute; else the sheet photo it was measured in, comparable within (C28) */
    double u_frame;            /**< dE00: what its sheet shares (C30) */
    int photos;                /**< relaid photos averaged */
    char measured[12];         /**< YYYY-MM-DD or "" */
    char source[WM_NAME_SIZE];
    char supplier[WM_NAME_SIZE]; /**< where it is ordered, "" if nothing is noted */
    long line;                   /**< of the file, for messages; 0 for one that was added */
} wm_swatch;

/** A swatch about which only these three are known. code and name are cut to their sizes. */
wm_swatch wm_swatch_new(const char *code, const char *name, wm_lab lab);

/** Zero-initialise an empty one. Columns that we do not know are kept as text, so that writing loses nothing. */
struct wm_catalogue {
    wm_swatch *items; /**< in the file's order */
    size_t count;
    char **extra_names; /**< [extra_count] columns that we do not know */
    size_t extra_count;
    char **extra; /**< [count * extra_count] their cells, row-major; NULL is an empty cell */
};

/** Format by the name's ending: .csv or .txt (CGATS.17). WM_E_INPUT with file, line and column: missing columns,
 * duplicates, a code with two colours, out-of-range values, decimal commas, NaN and infinity, no rows. Notes: e.g.
 * `undeclared_keyword`, `beads_only`, `weight_doubted`, `column_unread`. */
wm_status wm_catalogue_load(wm_catalogue *out, const char *path, wm_warnings *warnings, wm_error *err);
wm_status wm_catalogue_parse_csv(wm_catalogue *out, const char *data, size_t size, const char *file,
                                 wm_warnings *warnings, wm_error *err);
wm_status wm_catalogue_parse_cgats(wm_catalogue *out, const char *data, size_t size, const char *file,
                                   wm_warnings *warnings, wm_error *err);
void wm_catalogue_free(wm_catalogue *catalogue);

double wm_swatch_u(const wm_swatch *swatch); /**< u or 0.6 (M2) */
bool wm_swatch_in_stock(const wm_swatch *swatch);
/** tau of one whole weft layer from its pack (B15); 2.76 when unknown (M11). */
double wm_swatch_tau(const wm_swatch *swatch);
/** Hair of 1 cm of weft, from its pack, as it hangs: cut to wanted_cm where it is longer (not given: 0 or less). A weft
 * is taken as equally full down to its ends. Negative when unknown. */
double wm_swatch_weft_g_per_cm(const wm_swatch *swatch, double wanted_cm);

#endif
