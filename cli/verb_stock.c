/* stock list, add, count, cut, remove: packs on hand, cut lengths, lots. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/orders.h"
#include "context.h"
#include "core/plain.h"
#include "say.h"
#include "verbs.h"

/* --- list --- */

typedef struct listing {
    context_shop shop;
    wm_on_hand hand;
    wm_orders orders;
    wm_lot *lots;
    size_t lot_count;
} listing;

static const wm_order *order_of(const listing *l, const wm_swatch *s)
{
    static const wm_order NONE;
    for (size_t i = 0; i < l->orders.line_count; i++)
        if (strcmp(l->orders.lines[i].code, s->code) == 0 && wm_same_length(l->orders.lines[i].length_cm, s->length_cm))
            return &l->orders.lines[i];
    return &NONE;
}

/* What is needed and there is reserved; what is needed and not there is to be ordered. */
static void text_packs(wm_buf *out, const listing *l)
{
    char length[WM_LENGTH_SIZE], n[40];
    wm_buf_format(out, "%-16s%10s%9s%10s%6s%10s  %s\n", "packs", "length", "on hand", "reserved", "free", "to order",
                  "for");
    for (size_t i = 0; i < l->shop.catalogue.count; i++) {
        const wm_swatch *s = &l->shop.catalogue.items[i];
        const double packs = wm_on_hand_packs(&l->hand, s);
        const wm_order *order = order_of(l, s);
        const int reserved = order->needed - order->order;
        if (packs < 0 && !order->needed)
            continue;
        wm_buf_format(out, "%-16s%10s", s->code,
                      s->length_cm > 0 ? wm_length_text(length, s->length_cm, l->shop.settings.plan.units, 1) : "");
        wm_buf_format(out, "%9s%10d", packs < 0 ? "?" : wm_number_text(n, packs, 0), reserved);
        wm_buf_format(out, "%6s%10d", packs < 0 ? "?" : wm_number_text(n, packs - reserved, 0), order->order);
        wm_buf_format(out, *order->whose ? "  %s\n" : "%s\n", order->whose);
    }
}

static void text_cuts(wm_buf *out, const listing *l)
{
    char width[WM_LENGTH_SIZE], length[WM_LENGTH_SIZE];
    if (l->hand.cut_count)
        wm_buf_text(out, "\nCut lengths that lie ready\n");
    for (size_t i = 0; i < l->hand.cut_count; i++) {
        const wm_cut_length *cut = &l->hand.cuts[i];
        wm_buf_format(out, "%4lld  %s, %s wide", (long long)cut->id, cut->code,
                      wm_length_text(width, cut->width_cm, l->shop.settings.plan.units, 1));
        if (cut->length_cm > 0)
            wm_buf_format(out, ", %s long", wm_length_text(length, cut->length_cm, l->shop.settings.plan.units, 1));
        if (*cut->lot)
            wm_buf_format(out, ", lot %s", cut->lot);
        if (cut->from_visit)
            wm_buf_format(out, ", left over from visit %lld", (long long)cut->from_visit);
        wm_buf_format(out, ", since %s\n", cut->date);
    }
}

static void text_lots(wm_buf *out, const listing *l)
{
    char d[40], u[40];
    if (l->lot_count)
        wm_buf_text(out, "\nLots, against the catalogue\n");
    for (size_t i = 0; i < l->lot_count; i++) {
        const wm_lot *lot = &l->lots[i];
        wm_lot_change change;
        wm_buf_format(out, "      %s, lot %s of %s: ", lot->code, lot->lot, lot->measured);
        if (!wm_lot_changed(&change, lot, &l->shop.catalogue))
            wm_buf_text(out, "the catalogue has no such shade\n");
        else
            wm_buf_format(out, "dE00 %s +- %s%s\n", wm_number_text(d, change.de00, 1), wm_number_text(u, change.u, 1),
                          change.changed ? "; CHANGED: don't sew it beside older lots unseen" : "");
    }
}

static wm_status gather(listing *l, const args *a, wm_error *err)
{
    clock_reading clock;
    wm_status status = context_clock(&clock, a, err);
    if (!status)
        status = context_shop_open(&l->shop, a, err);
    if (!status)
        status = wm_on_hand_load(&l->hand, l->shop.book, err);
    if (!status)
        status = wm_book_lots(&l->lots, &l->lot_count, l->shop.book, err);
    if (!status)
        status = wm_orders_of(
            &l->orders, &(wm_orders_input){ l->shop.book, &l->shop.catalogue, &l->shop.settings, clock.date, false },
            err);
    return status;
}

int verb_stock_list(const args *a)
{
    listing l = { 0 };
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = gather(&l, a, &err);
    if (!status) {
        text_packs(&out, &l);
        text_cuts(&out, &l);
        text_lots(&out, &l);
    }
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_orders_free(&l.orders);
    wm_on_hand_free(&l.hand);
    context_shop_close(&l.shop);
    free(l.lots);
    wm_buf_free(&out);
    return code;
}

/* --- add, cut, remove --- */

/* What is put into stock or cut: of which row, which lot, on which day. */
typedef struct goods {
    wm_settings settings;
    clock_reading clock;
    wm_swatch row;
    char lot[WM_LOT_SIZE];
} goods;

static wm_status find_row(goods *out, const args *a, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    const wm_swatch *found = NULL;
    double length = 0;
    wm_status status = WM_OK;
    if (args_has(a, "length"))
        status = wm_length_parse(&length, args_text(a, "length"), out->settings.plan.units, err);
    if (!status)
        status = context_catalogue(&catalogue, a, err);
    if (!status)
        status = wm_catalogue_row(&found, &catalogue, a->operands[0], length, err);
    if (!status)
        out->row = *found;
    wm_catalogue_free(&catalogue);
    return status;
}

static wm_status take_lot(char out[WM_LOT_SIZE], const args *a, wm_error *err)
{
    const char *lot = args_text(a, "lot");
    if (lot && (strlen(lot) >= WM_LOT_SIZE || !wm_plain_line(lot)))
        return wm_fail(err, WM_E_USAGE, "--lot is one line of plain text, at most %d bytes; shorten it",
                       WM_LOT_SIZE - 1);
    snprintf(out, WM_LOT_SIZE, "%s", lot ? lot : "");
    return WM_OK;
}

static wm_status find_goods(goods *out, const args *a, wm_error *err)
{
    wm_status status = context_clock(&out->clock, a, err);
    if (!status)
        status = context_settings(&out->settings, a, err);
    if (!status)
        status = find_row(out, a, err);
    if (!status)
        status = take_lot(out->lot, a, err);
    return status;
}

static int end(wm_book *book, wm_status status, const wm_error *err)
{
    wm_book_close(book);
    return status ? say_error(err) : 0;
}

int verb_stock_add(const args *a)
{
    goods came;
    wm_book *book = NULL;
    wm_error err;
    long packs = 0;
    wm_status status = WM_OK;
    if (!wm_whole_parse(a->operands[1], 1, 10000, &packs))
        status = wm_fail(&err, WM_E_USAGE, "'%s' is no number of packs; give a whole number from 1 up", a->operands[1]);
    if (!status)
        status = find_goods(&came, a, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status) {
        const wm_stock_move move = wm_packs_came(&came.row, packs, came.clock.day, came.lot);
        status = wm_book_add_move(book, &move, &err);
    }
    if (!status)
        say_hint(a, "%ld pack%s of %s added", packs, packs == 1 ? "" : "s", came.row.code);
    return end(book, status, &err);
}

int verb_stock_count(const args *a)
{
    goods counted;
    wm_book *book = NULL;
    wm_on_hand hand = { 0 };
    wm_error err;
    char before[40];
    long packs = 0;
    double there = 0;
    wm_status status = WM_OK;
    if (!wm_whole_parse(a->operands[1], 0, 10000, &packs))
        status = wm_fail(&err, WM_E_USAGE, "'%s' is no number of packs; give a whole number from 0 up", a->operands[1]);
    if (!status)
        status = find_goods(&counted, a, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status)
        status = wm_on_hand_load(&hand, book, &err);
    if (!status) {
        const wm_stock_move move = wm_packs_counted(&hand, &counted.row, packs, counted.clock.day);
        there = wm_on_hand_packs(&hand, &counted.row);
        status = wm_book_add_move(book, &move, &err);
    }
    if (!status)
        say_hint(a, "%ld pack%s of %s on hand; it was %s", packs, packs == 1 ? "" : "s", counted.row.code,
                 there < 0 ? "not counted" : wm_number_text(before, there, 0));
    wm_on_hand_free(&hand);
    return end(book, status, &err);
}

int verb_stock_cut(const args *a)
{
    goods lies;
    wm_book *book = NULL;
    wm_cut_length cut = { 0 };
    wm_error err;
    int64_t id = 0;
    wm_status status = find_goods(&lies, a, &err);
    if (!status)
        status = wm_length_parse(&cut.width_cm, a->operands[1], lies.settings.plan.units, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status) {
        memcpy(cut.date, lies.clock.day, sizeof cut.date);
        memcpy(cut.code, lies.row.code, sizeof cut.code);
        memcpy(cut.lot, lies.lot, sizeof cut.lot);
        cut.length_cm = lies.row.length_cm;
        status = wm_book_add_cut_length(&id, book, &cut, &err);
    }
    if (!status)
        say_hint(a, "cut length %lld of %s lies ready", (long long)id, lies.row.code);
    return end(book, status, &err);
}

int verb_stock_remove(const args *a)
{
    wm_book *book = NULL;
    wm_error err;
    int64_t id = 0;
    wm_status status = context_number(&id, a->operands[0], "cut length", "stock list", &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = wm_book_drop_cut_length(book, id, &err);
    if (!status)
        say_hint(a, "cut length %lld is out of the list; book undo brings it back", (long long)id);
    return end(book, status, &err);
}
