/* Orders: what to order, and what another catalogue would bring. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "desk/consultation.h"
#include "desk/resources.h"
#include "ordered.h"
#include "rechecked.h"

wm_status get_orders(desk_call *call, wm_error *err)
{
    context_shop shop = { 0 };
    wm_orders orders = { 0 };
    clock_reading clock;
    wm_status status = context_clock(&clock, call->desk->a, err);
    if (!status)
        status = consultation_shop(&shop, call, err);
    if (!status && shop.book && shop.catalogue.count)
        status = wm_orders_of(&orders,
                              &(wm_orders_input){ shop.book, &shop.catalogue, &shop.settings, clock.date, false }, err);
    if (!status)
        ordered_write_json(answer_json(call), &orders, NULL, shop.settings.plan.currency);
    wm_orders_free(&orders);
    context_shop_close(&shop);
    return status;
}

static wm_status find_row(const wm_swatch **out, const wm_catalogue *catalogue, const wm_json *body, wm_error *err)
{
    const char *code = "";
    double length = 0;
    wm_status status = call_text(&code, body, "code", err);
    (void)wm_json_number(wm_json_get(body, "length_cm"), &length); /* stays 0: not said */
    return status ? status : wm_catalogue_row(out, catalogue, code, length, err);
}

static wm_status add_packs(desk_call *call, const wm_swatch *row, int64_t packs, wm_error *err)
{
    wm_book *book = NULL;
    clock_reading clock;
    wm_status status = context_clock(&clock, call->desk->a, err);
    if (status)
        return status;
    const wm_stock_move move = wm_packs_came(row, (long)packs, clock.day, "");
    pthread_mutex_lock(&call->desk->lock);
    status = call_book(&book, call, WM_BOOK_CREATE, err);
    if (!status)
        status = wm_book_add_move(book, &move, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    return status;
}

/* What was ordered has come: {code, length_cm, packs}. */
wm_status post_stock(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    wm_catalogue catalogue = { 0 };
    const wm_swatch *row = NULL;
    int64_t packs = 0;
    bool found = false;
    wm_status status = call_body(&body, call, err);
    if (!status)
        status = call_id(&packs, wm_json_root(body), "packs", err);
    if (!status && (packs < 1 || packs > 10000))
        status = wm_fail(err, WM_E_USAGE, "say how many packs came, a whole number from 1 up");
    if (!status)
        status = consultation_catalogue(&catalogue, &found, call->desk->a, err);
    if (!status)
        status = find_row(&row, &catalogue, wm_json_root(body), err);
    if (!status)
        status = add_packs(call, row, packs, err);
    if (!status)
        wm_buf_text(answer_json(call), "{}\n");
    wm_catalogue_free(&catalogue);
    wm_json_free(body);
    return status;
}

/* The page is told how far it is; the answer comes at the end. */
static void tell_progress(void *user, size_t done, size_t total)
{
    char json[64];
    desk *d = user;
    snprintf(json, sizeof json, "{\"done\":%zu,\"total\":%zu}", done, total);
    events_send(&d->events, "recheck", json);
}

wm_status get_recheck(desk_call *call, wm_error *err)
{
    context_shop shop = { 0 };
    wm_rechecked *items = NULL;
    size_t count = 0;
    wm_recheck_input input = {
        .settings = &shop.settings, .catalogue = &shop.catalogue, .latest = true, .progress = tell_progress
    };
    input.user = call->desk;
    wm_status status = context_jobs(&input.jobs, call->desk->a, err);
    if (!status)
        status = consultation_shop(&shop, call, err);
    input.book = shop.book;
    if (!status && shop.book && shop.catalogue.count)
        status = wm_recheck(&items, &count, &input, err);
    if (!status)
        status = rechecked_write_json(answer_json(call), items, count, err);
    free(items);
    context_shop_close(&shop);
    return status;
}
