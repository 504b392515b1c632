/* on_hand: what is there of each shade: the packs that the catalogue counts and what came and went since, and cut
 * lengths that lie ready; and what a visit takes of both. */
#ifndef WM_CONSULT_ON_HAND_H
#define WM_CONSULT_ON_HAND_H

#include "book/stock.h"
#include "plan/plan.h"

typedef struct wm_on_hand {
    wm_stock_move *moves;
    size_t move_count;
    wm_cut_length *cuts; /**< used_by is not 0 once taken */
    size_t cut_count;
} wm_on_hand;

/** book NULL: nothing came or went. Free with wm_on_hand_free. */
wm_status wm_on_hand_load(wm_on_hand *out, wm_book *book, wm_error *err);
void wm_on_hand_free(wm_on_hand *hand);

/** Packs of a row of the catalogue: its count, and what came and went since that number stood there. Negative: not
 * known. */
double wm_on_hand_packs(const wm_on_hand *hand, const wm_swatch *swatch);
/** So many packs of a row have come, on that day. lot may be "". */
wm_stock_move wm_packs_came(const wm_swatch *row, long packs, const char day[WM_DATE_SIZE], const char *lot);
/** So many packs of a row are there, whatever came and went: what puts the number right. */
wm_stock_move wm_packs_counted(const wm_on_hand *hand, const wm_swatch *row, long packs, const char day[WM_DATE_SIZE]);
/** Into every row's stock. */
void wm_on_hand_count(wm_catalogue *catalogue, const wm_on_hand *hand);

/** New weft of one shade, as a visit needs it. */
typedef struct wm_need {
    char code[WM_CODE_SIZE];
    double length_cm, width_cm; /**< negative: not known */
    double piece_width_cm;      /**< negative: not known */
    int pieces_per_pack;        /**< negative: not known */
    bool cuttable;
    char date[12]; /**< later cut lengths were not there yet; "": whenever they came */
    const wm_strips *
        strips; /**< of a plan, other shades' too; when they are not of that width together, or NULL: one strip of it */
} wm_need;

enum { WM_TAKEN_CUTS = 32 };
/** What it takes. */
typedef struct wm_taken {
    size_t cuts[WM_TAKEN_CUTS]; /**< of hand->cuts */
    size_t cut_count;
    double cut_cm;               /**< width that comes from them */
    int packs;                   /**< to be opened; negative: not known */
    double rests[WM_MAX_STRIPS]; /**< cm of what is left of pieces that are wide enough to keep */
    size_t rest_count;
} wm_taken;
/** Cut lengths first, narrow ones before wide ones, each long enough; then packs. Those cut lengths are marked as
 * used in `hand`; what is left of them is among the rests. */
wm_status wm_on_hand_take(wm_taken *out, wm_on_hand *hand, const wm_need *need, wm_error *err);

/** How a lot lies to the shade of the catalogue (C35). */
typedef struct wm_lot_change {
    double de00, u;
    bool changed; /**< beyond what both uncertainties allow */
} wm_lot_change;
/** False when the catalogue has no such shade. */
bool wm_lot_changed(wm_lot_change *out, const wm_lot *lot, const wm_catalogue *catalogue);

#endif
