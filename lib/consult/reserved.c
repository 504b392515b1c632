#include "consult/reserved.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "match/shades.h"
#include "report/phrase.h"

enum { LEFT_OUT_TOLD = 3 }; /* our own: more are only counted */

void wm_reserved_free(wm_reserved *reserved)
{
    free(reserved->items);
    *reserved = (wm_reserved){ 0 };
}

/* --- what is free --- */

static void add_owner(wm_reservation *r, const wm_coming_visit *visit)
{
    char day[WM_DATE_SIZE], words[WM_PHRASE_SIZE];
    const size_t said = strlen(r->whose);
    snprintf(r->whose + said, sizeof r->whose - said, "%s%s, %s", said ? "; " : "", visit->client,
             visit->due.year ? wm_phrase_date(words, wm_date_text(day, visit->due)) : "no day agreed yet");
}

/* A reservation a row of the catalogue, most of them empty. */
static void collect(wm_reservation *rows, const wm_orders *orders, int64_t client_id)
{
    for (size_t i = 0; i < orders->visit_count; i++) {
        const wm_coming_visit *visit = &orders->visits[i];
        for (size_t k = 0; k < visit->weft_count && visit->client_id != client_id; k++) {
            const wm_coming_weft *weft = &visit->wefts[k];
            if (weft->row < 0 || weft->packs <= weft->order)
                continue;
            rows[weft->row].packs += weft->packs - weft->order;
            add_owner(&rows[weft->row], visit);
        }
    }
}

static void take_off(wm_reserved *out, wm_catalogue *catalogue)
{
    size_t kept = 0;
    for (size_t i = 0; i < catalogue->count; i++) {
        wm_swatch *row = &catalogue->items[i];
        wm_reservation r = out->items[i];
        if (!r.packs)
            continue;
        memcpy(r.code, row->code, sizeof r.code);
        r.length_cm = row->length_cm;
        r.on_hand = row->stock_packs;
        row->stock_packs = fmax(0, row->stock_packs - r.packs);
        out->items[kept++] = r;
    }
    out->count = kept;
}

wm_status wm_reserved_take_off(wm_reserved *out, wm_catalogue *catalogue, const wm_orders_input *input,
                               int64_t client_id, wm_error *err)
{
    wm_orders orders = { 0 };
    wm_on_hand hand = { 0 };
    wm_reserved made = { .items = calloc(catalogue->count + 1, sizeof *made.items) };
    wm_orders_input ask = *input;
    ask.only_reserved = true;
    wm_status status = made.items ? wm_orders_of(&orders, &ask, err) : wm_fail_memory(err);
    if (!status)
        status = wm_on_hand_load(&hand, input->book, err);
    if (status) {
        free(made.items);
    } else {
        collect(made.items, &orders, client_id);
        wm_on_hand_count(catalogue, &hand);
        take_off(&made, catalogue);
        *out = made;
    }
    wm_on_hand_free(&hand);
    wm_orders_free(&orders);
    return status;
}

/* --- in words --- */

/* "2 of the 3 packs of loam are", "both packs of loam are", "the one pack of loam is" */
static const char *packs_words(char out[WM_CODE_SIZE + 80], const wm_reservation *r)
{
    char number[40];
    const int there = (int)floor(r->on_hand);
    if (r->packs < there)
        snprintf(out, WM_CODE_SIZE + 80, "%d of the %s packs of %s %s", r->packs, wm_number_text(number, r->on_hand, 0),
                 r->code, r->packs == 1 ? "is" : "are");
    else if (there == 1)
        snprintf(out, WM_CODE_SIZE + 80, "the one pack of %s is", r->code);
    else
        snprintf(out, WM_CODE_SIZE + 80, there == 2 ? "both packs of %s are" : "all packs of %s are", r->code);
    return out;
}

static const wm_weft *planned(const wm_plan *plan, const wm_reservation *r)
{
    for (size_t i = 0; plan && i < plan->weft_count; i++)
        if (strcmp(plan->wefts[i].code, r->code) == 0 && wm_same_length(plan->wefts[i].length_cm, r->length_cm))
            return &plan->wefts[i];
    return NULL;
}

void wm_reserved_tell(wm_warnings *out, const wm_reserved *reserved, const wm_plan *plan, bool in_stock)
{
    char packs[WM_CODE_SIZE + 80];
    size_t left_out = 0;
    for (size_t i = 0; i < reserved->count; i++) {
        const wm_reservation *r = &reserved->items[i];
        const wm_weft *weft = planned(plan, r);
        if (weft && weft->packs > 0)
            wm_warnings_add(out, "reserved", "%s reserved for %s; %s", packs_words(packs, r), r->whose,
                            weft->packs_to_order > 0 ? "order for this row, or agree with her whose they are"
                                                     : "the rest is enough for this row");
        else if (in_stock && r->packs >= floor(r->on_hand) && ++left_out <= LEFT_OUT_TOLD)
            wm_warnings_add(out, "reserved", "%s reserved for %s, so it counts as not in stock", packs_words(packs, r),
                            r->whose);
    }
    if (left_out > LEFT_OUT_TOLD)
        wm_warnings_add(out, "reserved",
                        "%zu more shades are reserved and count as not in stock; see weftmatch stock list",
                        left_out - LEFT_OUT_TOLD);
}
