/* cutting: which strip is cut from which piece of weft, with the least waste: few whole pieces, and a strip in one
 * length wherever a piece is long enough. */
#ifndef WM_PLAN_CUTTING_H
#define WM_PLAN_CUTTING_H

#include "plan/strips.h"

/** What a shade is cut from. */
typedef struct wm_cut_stock {
    const char *code;
    double piece_cm;     /**< width of a whole piece, above 0 */
    int pieces_per_pack; /**< 0 or less: not known */
} wm_cut_stock;

typedef struct wm_cut {
    int pieces;     /**< whole pieces that are cut into */
    int joins;      /**< strips that go on in another piece */
    double rest_cm; /**< what is left of them, in all */
} wm_cut;

/** Gives the shade's strips their pieces. A strip longer than a piece is joined from several, none of them narrower
 * than WM_PIECE_AT_LEAST_CM where that can be. All strips are joined end to end where that saves a whole pack.
 * WM_E_USAGE: more than WM_MAX_STRIPS with the joins. */
wm_status wm_cut_strips(wm_cut *out, wm_strips *strips, const wm_cut_stock *stock, wm_error *err);

#endif
