/* reserved: packs on hand that are somebody else's already: those of coming visits. What is left is free. */
#ifndef WM_CONSULT_RESERVED_H
#define WM_CONSULT_RESERVED_H

#include "consult/orders.h"

/** Packs of one row of the catalogue. */
typedef struct wm_reservation {
    char code[WM_CODE_SIZE];
    double length_cm;
    double on_hand;
    int packs;       /**< of these, for others */
    char whose[400]; /**< "Ida Brandt, 12 December 2026" */
} wm_reservation;

typedef struct wm_reserved {
    wm_reservation *items; /**< of rows that others are to have packs of, as the catalogue lists them */
    size_t count;
} wm_reserved;
void wm_reserved_free(wm_reserved *reserved);

/** Every row's stock becomes what is free for a client: on hand, less what is reserved for others; what is reserved for
 * herself is hers. client_id 0: for nobody in particular. The catalogue is that of `orders`, not to be written after
 * that. */
wm_status wm_reserved_take_off(wm_reserved *out, wm_catalogue *catalogue, const wm_orders_input *orders,
                               int64_t client_id, wm_error *err);

/** In words, what that means for the packs of a plan (NULL: none) and, where only what is in stock was asked for, for
 * shades that were left out. */
void wm_reserved_tell(wm_warnings *out, const wm_reserved *reserved, const wm_plan *plan, bool in_stock);

#endif
