/* Bin packing: strips into pieces. First the longest strip into the fullest piece that takes it; where that uses more
 * pieces than the strips' sum asks for, every arrangement is tried, within a bound on the work. */
#include "plan/cutting.h"

#include <math.h>
#include <string.h>

#define ROUNDING 1e-9
enum { MOST_STEPS = 200000 }; /* of the search: milliseconds; beyond it the best so far stands */

/* ---- strips longer than a piece ---- */

static bool insert(wm_strips *strips, size_t at, const wm_strip *strip)
{
    if (strips->count == WM_MAX_STRIPS)
        return false;
    memmove(&strips->items[at + 1], &strips->items[at], (strips->count - at) * sizeof *strip);
    strips->items[at] = *strip;
    strips->count++;
    return true;
}

/* Cuts the strip behind its first `keep_cm`; the rest goes on as a joined one. */
static bool split(wm_strips *strips, size_t at, double keep_cm)
{
    wm_strip rest = strips->items[at];
    rest.start_cm += keep_cm;
    rest.length_cm -= keep_cm;
    rest.joined = true;
    if (!insert(strips, at + 1, &rest))
        return false;
    strips->items[at].length_cm = keep_cm;
    return true;
}

static bool split_long(wm_strips *strips, const wm_cut_stock *stock)
{
    for (size_t i = 0; i < strips->count; i++) {
        double length = strips->items[i].length_cm, piece = stock->piece_cm;
        if (strcmp(strips->items[i].code, stock->code) != 0 || length <= piece + ROUNDING)
            continue;
        double over = length - piece;
        bool sliver = over < WM_PIECE_AT_LEAST_CM && piece > 2.0 * WM_PIECE_AT_LEAST_CM;
        if (!split(strips, i, sliver ? length - WM_PIECE_AT_LEAST_CM : piece))
            return false;
    }
    return true;
}

/* ---- the least number of pieces ---- */

typedef struct packing {
    size_t count;
    double length[WM_MAX_STRIPS]; /* the longest first */
    size_t strip[WM_MAX_STRIPS];  /* whose */
    int piece[WM_MAX_STRIPS];     /* from 0, as tried */
    double left[WM_MAX_STRIPS];   /* of each piece in use */
    int best_piece[WM_MAX_STRIPS];
    int used, best, bound; /* pieces: so far, the least found, what the sum asks for */
    double piece_cm;
    long steps;
} packing;

static void collect(packing *p, const wm_strips *strips, const wm_cut_stock *stock)
{
    double sum = 0.0;
    for (size_t i = 0; i < strips->count; i++) {
        size_t at = p->count;
        if (strcmp(strips->items[i].code, stock->code) != 0)
            continue;
        for (; at > 0 && p->length[at - 1] < strips->items[i].length_cm - ROUNDING; at--) {
            p->length[at] = p->length[at - 1];
            p->strip[at] = p->strip[at - 1];
        }
        p->length[at] = strips->items[i].length_cm;
        p->strip[at] = i;
        p->count++;
        sum += strips->items[i].length_cm;
    }
    p->piece_cm = stock->piece_cm;
    p->bound = (int)ceil(sum / stock->piece_cm - ROUNDING);
}

static void keep(packing *p)
{
    p->best = p->used;
    memcpy(p->best_piece, p->piece, p->count * sizeof p->piece[0]);
}

/* The fullest piece that takes it, else a new one. */
static void pack_by_fullest(packing *p)
{
    for (size_t i = 0; i < p->count; i++) {
        int fullest = p->used;
        for (int k = 0; k < p->used; k++)
            if (p->left[k] >= p->length[i] - ROUNDING &&
                (fullest == p->used || p->left[k] < p->left[fullest] - ROUNDING))
                fullest = k;
        if (fullest == p->used)
            p->left[p->used++] = p->piece_cm;
        p->left[fullest] -= p->length[i];
        p->piece[i] = fullest;
    }
    keep(p);
}

static bool tried_already(const packing *p, int piece)
{
    for (int k = 0; k < piece; k++)
        if (fabs(p->left[k] - p->left[piece]) <= ROUNDING)
            return true;
    return false;
}

static void search(packing *p, size_t i)
{
    if (p->used >= p->best || p->best == p->bound || ++p->steps > MOST_STEPS)
        return;
    if (i == p->count) {
        keep(p);
        return;
    }
    for (int k = 0; k < p->used; k++) {
        if (p->left[k] < p->length[i] - ROUNDING || tried_already(p, k))
            continue;
        double before = p->left[k];
        p->left[k] -= p->length[i];
        p->piece[i] = k;
        search(p, i + 1);
        p->left[k] = before;
    }
    p->left[p->used] = p->piece_cm - p->length[i];
    p->piece[i] = p->used++;
    search(p, i + 1);
    p->used--;
}

/* ---- joined end to end ---- */

static int packs_of(const wm_cut_stock *stock, int pieces)
{
    return stock->pieces_per_pack > 0 ? (pieces + stock->pieces_per_pack - 1) / stock->pieces_per_pack : -1;
}

/* Strips one after the other along the pieces, cut where a piece ends; no part narrower than WM_PIECE_AT_LEAST_CM. */
static bool join_all(wm_strips *strips, const wm_cut_stock *stock, int *pieces)
{
    double left = 0.0;
    *pieces = 0;
    for (size_t i = 0; i < strips->count; i++) {
        if (strcmp(strips->items[i].code, stock->code) != 0)
            continue;
        double length = strips->items[i].length_cm;
        if (length > left + ROUNDING && left >= WM_PIECE_AT_LEAST_CM &&
            length - left >= WM_PIECE_AT_LEAST_CM - ROUNDING) {
            if (!split(strips, i, left))
                return false;
            length = left;
        } else if (length > left + ROUNDING) {
            left = stock->piece_cm;
            ++*pieces;
            if (length > left + ROUNDING && !split(strips, i, left))
                return false;
            length = fmin(length, left);
        }
        left -= length;
        strips->items[i].piece = *pieces;
    }
    return true;
}

/* ---- all of it ---- */

/* Pieces numbered as the stylist meets them, from the left of the front layer on. */
static void number_pieces(wm_strips *strips, const packing *p)
{
    int number[WM_MAX_STRIPS] = { 0 }, next = 1;
    for (size_t i = 0; i < strips->count; i++)
        for (size_t k = 0; k < p->count; k++) {
            if (p->strip[k] != i)
                continue;
            int *n = &number[p->best_piece[k]];
            if (*n == 0)
                *n = next++;
            strips->items[i].piece = *n;
        }
}

static wm_cut count_cut(const wm_strips *strips, const wm_cut_stock *stock, int pieces)
{
    wm_cut cut = { .pieces = pieces };
    double used = 0.0;
    for (size_t i = 0; i < strips->count; i++)
        if (strcmp(strips->items[i].code, stock->code) == 0) {
            used += strips->items[i].length_cm;
            cut.joins += strips->items[i].joined;
        }
    double rest = pieces * stock->piece_cm - used;
    cut.rest_cm = rest < ROUNDING * stock->piece_cm * pieces ? 0.0 : rest;
    return cut;
}

wm_status wm_cut_strips(wm_cut *out, wm_strips *strips, const wm_cut_stock *stock, wm_error *err)
{
    packing p = { .count = 0 };
    wm_strips whole = *strips, joined = *strips;
    int joined_pieces = 0;
    if (!split_long(&whole, stock))
        return wm_fail(err, WM_E_USAGE, "the pieces of %s are too narrow for this design; take a wider weft",
                       stock->code);
    collect(&p, &whole, stock);
    pack_by_fullest(&p);
    packing tried = p;
    tried.used = 0;
    search(&tried, 0);
    number_pieces(&whole, &tried);
    if (join_all(&joined, stock, &joined_pieces) && packs_of(stock, joined_pieces) < packs_of(stock, tried.best)) {
        *strips = joined;
        *out = count_cut(&joined, stock, joined_pieces);
    } else {
        *strips = whole;
        *out = count_cut(&whole, stock, tried.best);
    }
    return WM_OK;
}
