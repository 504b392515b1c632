/* row: the arithmetic of one or more rows: width, weft and packs, beads, thread, fullness and load. Numbers only; the
 * words are in `plan`. Trade rules are common practice, no source, unless a source is named. Unknown numbers are
 * negative. */
#ifndef WM_PLAN_ROW_H
#define WM_PLAN_ROW_H

#include "core/status.h"
#include "load/load.h"
#include "match/layers.h"
#include "match/shades.h"

enum { WM_MAX_ROWS = 8 };
#define WM_ARC_MAX_CM 70.0 /**< no head is longer around */

/** The settings that the arithmetic needs. */
typedef struct wm_row_settings {
    double bead_spacing_cm, bead_reserve_percent, hairline_margin_cm;
    double thread_widths[2]; /**< further widths of thread, low and high */
} wm_row_settings;
#define WM_ROW_SETTINGS_DEFAULT                                                                                        \
    {                                                                                                                  \
        1.0, 10.0, 2.5,                                                                                                \
        {                                                                                                              \
            8.0, 10.0                                                                                                  \
        }                                                                                                              \
    }

/** One row. */
typedef struct wm_row {
    double arc_cm;
    double row_cm;           /**< arc - 2 x hairline margin */
    double weft_cm;          /**< row x layers */
    int sections;            /**< of about 10 cm */
    int beads;               /**< floor(row / spacing) + 1 */
    double thread_cut_cm[2]; /**< row x (1 + further widths); used doubled: */
    double thread_working_cm[2];
    double grams;             /**< hair that hangs on it after the cut */
    double bead_grams;        /**< of these on each bead */
    double bead_load_percent; /**< against the natural hair that the bead holds */
} wm_row;

/** Width, sections, beads, thread. WM_E_USAGE: an arc that is no length, too short for the margins, or longer than
 * WM_ARC_MAX_CM; impossible settings; more than 3 layers. grams and load are left unknown. */
WM_API wm_status wm_row_of(wm_row *out, double arc_cm, int layers, const wm_row_settings *settings, wm_error *err);

WM_API wm_status wm_row_settings_check(const wm_row_settings *settings, wm_error *err);

/** Beads kept in reserve: ceil(beads x percent / 100). */
WM_API int wm_bead_reserve(int beads, double percent);

/** One shade over all rows. */
typedef struct wm_weft {
    char code[WM_CODE_SIZE], name[WM_NAME_SIZE];
    int layers;       /**< in each row */
    double needed_cm; /**< row x layers, over all rows */
    double length_cm; /**< as stocked; unknown when the catalogue has none */
    double trim_cm;   /**< stocked less wanted; only if `has_trim`; negative: too short by that much */
    bool has_trim;
    bool cuttable;
    double piece_width_cm;
    int pieces, pieces_per_pack, packs, packs_to_order; /**< negative: unknown */
    double folded_cm; /**< when not cuttable: width folded back into the rows, beyond what the layers need */
    int fold_layers;  /**< thicknesses where the most of it lies; 1 when nothing is folded */
    double rest_cm;   /**< width of the cut piece that is left */
    int rest_pieces;  /**< whole pieces that are left */
    int64_t pack_price_milli;
    double grams_per_cm; /**< hair of 1 cm of width after the cut */
    double tau;          /**< B15, of one layer; times fold_layers where it is folded */
} wm_weft;

/** What is asked of a shade. */
typedef struct wm_weft_request {
    const wm_catalogue *catalogue;
    const char *code;
    int layers;
    double wanted_cm; /**< from the row down; negative: not given */
} wm_weft_request;

/** Pieces of a cuttable shade are joined and cut over all rows. One that is not cuttable runs back and forth in its
 * row, folded at the row's ends from layer to layer, in whole pieces; what is left of them is folded back into the row,
 * where the weft then lies double. Picks the length (in stock first, then the shortest that is not shorter than wanted,
 * else the longest), counts pieces, packs and rests. WM_E_INPUT when the catalogue has no hair of that code (names the
 * nearest). */
WM_API wm_status wm_weft_of(wm_weft *out, const wm_weft_request *request, const wm_row *rows, size_t row_count,
                            wm_error *err);

typedef struct wm_fullness {
    double natural_grams; /**< hair count x cross-section x length x 1.32 g/cm3 */
    double added_grams, added_percent;
    double hairs_per_bead;     /**< of the natural hair */
    double bead_natural_grams; /**< their mass */
} wm_fullness;

/** Fullness of the whole head, and the grams and load of each row. What can't be known stays unknown. */
WM_API void wm_fullness_of(wm_fullness *out, const wm_head *head, double bead_spacing_cm);
WM_API void wm_fullness_add(wm_fullness *fullness, wm_row *rows, size_t row_count, const wm_weft *wefts,
                            size_t weft_count);

#endif
