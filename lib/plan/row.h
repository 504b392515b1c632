/* row: the arithmetic of one or more rows: width, weft and packs, beads, thread, grams and what each hair carries.
 * Numbers only; the words are in `plan`. Trade rules are common practice, no source, unless a source is named. Unknown
 * numbers are negative. */
#ifndef WM_PLAN_ROW_H
#define WM_PLAN_ROW_H

#include "core/status.h"
#include "load/load.h"
#include "match/shades.h"
#include "plan/cutting.h"

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
    double grams;       /**< hair that hangs on it after the cut */
    double mg_per_hair; /**< of these on each hair that the row holds (M25) */
} wm_row;

/** Width, sections, beads, thread. WM_E_USAGE: an arc that is not a length, too short for the margins, or longer than
 * WM_ARC_MAX_CM; impossible settings; more than 3 layers. grams and load are left unknown. */
wm_status wm_row_of(wm_row *out, double arc_cm, int layers, const wm_row_settings *settings, wm_error *err);

wm_status wm_row_settings_check(const wm_row_settings *settings, wm_error *err);

/** Beads kept in reserve: ceil(beads x percent / 100). */
int wm_bead_reserve(int beads, double percent);

/** One shade over all rows. */
typedef struct wm_weft {
    char code[WM_CODE_SIZE], name[WM_NAME_SIZE];
    double needed_cm; /**< of its strips, over all rows */
    double length_cm; /**< as stocked; unknown when the catalogue has none */
    double trim_cm;   /**< stocked less wanted; only if `has_trim`; negative: too short by that much */
    bool has_trim;
    bool cuttable;
    double piece_width_cm;
    int pieces, pieces_per_pack, packs, packs_to_order; /**< negative: unknown */
    int joins;                                          /**< strips that go on where a piece has ended */
    double folded_cm; /**< when not cuttable: width folded back into the rows, beyond what the strips need */
    int fold_layers;  /**< thicknesses of a layer where the most of it is folded; 1 when nothing is */
    double rest_cm;   /**< width that is left of the pieces cut into */
    int rest_pieces;  /**< whole pieces that are left */
    int64_t pack_price_milli;
    double grams_per_cm; /**< hair of 1 cm of width after the cut */
    double tau;          /**< B15, of one layer; times fold_layers where it is folded */
} wm_weft;

/** What is asked of a shade. */
typedef struct wm_weft_request {
    const wm_catalogue *catalogue;
    const char *code;
    wm_filter filter; /**< with the length wanted, from the row down */
} wm_weft_request;

/** The weft that the shade's strips are cut from (`cutting`: the strips get their pieces). A shade that is not cut runs
 * back and forth in its row, in whole pieces; what is left of them is folded back, and its strips get no piece. Picks
 * the row of the code (wm_catalogue_pack), counts pieces, packs and rests. WM_E_INPUT when the catalogue has no hair of
 * that code (names the nearest). */
wm_status wm_weft_of(wm_weft *out, wm_strips *strips, const wm_weft_request *request, wm_error *err);

typedef struct wm_fullness {
    double natural_grams; /**< her own hair (M25) */
    double added_grams, added_percent;
} wm_fullness;

/** What hangs on each row. */
typedef struct wm_hung {
    const wm_strips *strips;
    const wm_weft *wefts;
    size_t weft_count;
} wm_hung;
/** Fullness of the whole head, and the grams and mg per hair of each row. What can't be known stays unknown. */
void wm_fullness_of(wm_fullness *out, wm_row *rows, size_t row_count, const wm_hung *hanging, const wm_head *head);

#endif
