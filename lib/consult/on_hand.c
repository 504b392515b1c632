#include "consult/on_hand.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "match/shades.h"
#include "measure/frame.h"

/* Our own: what is told apart in a length of weft. */
static const double WIDTH_TOLD = 0.1, WIDTH_CM = 1e-6;

wm_status wm_on_hand_load(wm_on_hand *out, wm_book *book, wm_error *err)
{
    wm_on_hand hand = { 0 };
    wm_status status = book ? wm_book_moves(&hand.moves, &hand.move_count, book, err) : WM_OK;
    if (!status && book)
        status = wm_book_cut_lengths(&hand.cuts, &hand.cut_count, book, err);
    if (status)
        wm_on_hand_free(&hand);
    else
        *out = hand;
    return status;
}

void wm_on_hand_free(wm_on_hand *hand)
{
    free(hand->moves);
    free(hand->cuts);
    *hand = (wm_on_hand){ 0 };
}

/* --- packs --- */

/* Both not known, or the same. */
static bool same_count(double a, double b)
{
    return a < 0 || b < 0 ? (a < 0) == (b < 0) : fabs(a - b) <= 1e-9;
}

static bool is_of(const wm_stock_move *move, const wm_swatch *swatch)
{
    return strcmp(move->code, swatch->code) == 0 && wm_same_length(move->length_cm, swatch->length_cm);
}

wm_stock_move wm_packs_came(const wm_swatch *row, long packs, const char day[WM_DATE_SIZE], const char *lot)
{
    wm_stock_move move = { .length_cm = row->length_cm, .packs = (double)packs, .counted = row->stock_packs };
    snprintf(move.date, sizeof move.date, "%s", day);
    snprintf(move.code, sizeof move.code, "%s", row->code);
    snprintf(move.lot, sizeof move.lot, "%s", lot);
    return move;
}

/* What came and went since the catalogue's number stood there: a move that stood beside another was before it. `told`:
 * packs came, or were counted, so that the number is known even where the catalogue has none. */
static double since_count(bool *told, const wm_on_hand *hand, const wm_swatch *swatch)
{
    double since = 0;
    *told = false;
    for (size_t i = 0; i < hand->move_count; i++) {
        const wm_stock_move *move = &hand->moves[i];
        if (!is_of(move, swatch))
            continue;
        if (!same_count(move->counted, swatch->stock_packs)) {
            since = 0;
            *told = false;
            continue;
        }
        since += move->packs;
        *told = *told || !move->visit_id;
    }
    return since;
}

double wm_on_hand_packs(const wm_on_hand *hand, const wm_swatch *swatch)
{
    bool told;
    const double since = since_count(&told, hand, swatch);
    return swatch->stock_packs < 0 && !told ? -1 : fmax(0, fmax(0, swatch->stock_packs) + since);
}

wm_stock_move wm_packs_counted(const wm_on_hand *hand, const wm_swatch *row, long packs, const char day[WM_DATE_SIZE])
{
    bool told;
    wm_stock_move move = wm_packs_came(row, packs, day, "");
    move.packs -= fmax(0, row->stock_packs) + since_count(&told, hand, row);
    return move;
}

void wm_on_hand_count(wm_catalogue *catalogue, const wm_on_hand *hand)
{
    for (size_t i = 0; i < catalogue->count; i++)
        catalogue->items[i].stock_packs = wm_on_hand_packs(hand, &catalogue->items[i]);
}

/* --- taking --- */

/* The shade's strips alone; one of all its width where the plan was for something else. */
static void own_strips(wm_strips *out, const wm_need *need)
{
    double width = 0;
    out->count = 0;
    for (size_t i = 0; need->strips && i < need->strips->count; i++)
        if (strcmp(need->strips->items[i].code, need->code) == 0) {
            out->items[out->count++] = need->strips->items[i];
            width += need->strips->items[i].length_cm;
        }
    if (need->width_cm <= 0 || fabs(width - need->width_cm) < WIDTH_TOLD)
        return;
    out->items[0] = (wm_strip){ .length_cm = need->width_cm };
    memcpy(out->items[0].code, need->code, sizeof need->code);
    out->count = 1;
}

static bool long_enough(const wm_cut_length *cut, const wm_need *need)
{
    return strcmp(cut->code, need->code) == 0 && !cut->used_by &&
           (!*need->date || strcmp(cut->date, need->date) <= 0) &&
           (need->length_cm < 0 || cut->length_cm < 0 || cut->length_cm >= need->length_cm - WM_SAME_LENGTH_CM);
}

static void keep_rest(wm_taken *out, double width_cm)
{
    if (width_cm >= WM_PIECE_AT_LEAST_CM - WIDTH_CM && out->rest_count < WM_MAX_STRIPS)
        out->rests[out->rest_count++] = width_cm;
}

/* The widest of the strips that fits; its place, or the count. */
static size_t widest_in(const wm_strips *strips, double width_cm)
{
    size_t best = strips->count;
    for (size_t i = 0; i < strips->count; i++)
        if (strips->items[i].length_cm <= width_cm + WIDTH_CM &&
            (best == strips->count || strips->items[i].length_cm > strips->items[best].length_cm))
            best = i;
    return best;
}

static void remove_strip(wm_strips *strips, size_t at)
{
    memmove(&strips->items[at], &strips->items[at + 1], (--strips->count - at) * sizeof strips->items[0]);
}

static void take_cuts(wm_taken *out, wm_strips *strips, wm_on_hand *hand, const wm_need *need)
{
    for (size_t i = 0; i < hand->cut_count && out->cut_count < WM_TAKEN_CUTS; i++) {
        wm_cut_length *cut = &hand->cuts[i];
        double left = cut->width_cm;
        if (!long_enough(cut, need))
            continue;
        for (size_t at; (at = widest_in(strips, left)) < strips->count; remove_strip(strips, at)) {
            left -= strips->items[at].length_cm;
            out->cut_cm += strips->items[at].length_cm;
        }
        if (left >= cut->width_cm)
            continue;
        cut->used_by = -1;
        out->cuts[out->cut_count++] = i;
        keep_rest(out, left);
    }
}

/* What is left of piece number `piece`. */
static double rest_of(const wm_strips *strips, int piece, double width_cm)
{
    for (size_t i = 0; i < strips->count; i++)
        width_cm -= strips->items[i].piece == piece ? strips->items[i].length_cm : 0;
    return width_cm;
}

static wm_status take_packs(wm_taken *out, wm_strips *strips, const wm_need *need, wm_error *err)
{
    wm_cut_stock stock = { need->code, need->piece_width_cm, need->pieces_per_pack };
    wm_cut cut = { 0 };
    double width = 0;
    for (size_t i = 0; i < strips->count; i++)
        width += strips->items[i].length_cm;
    wm_status status = need->cuttable ? wm_cut_strips(&cut, strips, &stock, err) : WM_OK;
    if (status)
        return status;
    if (!need->cuttable)
        cut.pieces = (int)ceil(width / need->piece_width_cm - WIDTH_CM);
    out->packs = (cut.pieces + need->pieces_per_pack - 1) / need->pieces_per_pack;
    for (int piece = 1; need->cuttable && piece <= cut.pieces; piece++)
        keep_rest(out, rest_of(strips, piece, need->piece_width_cm));
    for (int piece = cut.pieces; piece < out->packs * need->pieces_per_pack; piece++)
        keep_rest(out, need->piece_width_cm);
    return WM_OK;
}

wm_status wm_on_hand_take(wm_taken *out, wm_on_hand *hand, const wm_need *need, wm_error *err)
{
    wm_strips strips;
    *out = (wm_taken){ .packs = -1 };
    own_strips(&strips, need);
    if (!strips.count)
        return WM_OK;
    if (need->cuttable)
        take_cuts(out, &strips, hand, need);
    if (!strips.count)
        out->packs = 0;
    else if (need->piece_width_cm > 0 && need->pieces_per_pack > 0)
        return take_packs(out, &strips, need, err);
    return WM_OK;
}

/* --- lots --- */

bool wm_lot_changed(wm_lot_change *out, const wm_lot *lot, const wm_catalogue *catalogue)
{
    const wm_swatch *shade = wm_catalogue_find(catalogue, lot->code);
    if (!shade)
        return false;
    out->de00 = wm_de00(shade->lab, lot->lab);
    out->u = hypot(wm_swatch_u(shade), lot->u);
    out->changed = wm_frame_drifted(out->de00, wm_swatch_u(shade), lot->u); /* C35 */
    return true;
}
