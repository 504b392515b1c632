/* Orders: what to order, and what another catalogue would bring. */
#include <stdio.h>
#include <stdlib.h>

#include "desk/consultation.h"
#include "desk/resources.h"
#include "ordered.h"
#include "rechecked.h"

wm_status get_orders(desk_call *call, wm_error *err)
{
    wm_settings settings;
    wm_catalogue catalogue = { 0 };
    wm_book *book = NULL;
    wm_orders orders = { 0 };
    clock_reading clock;
    bool found = false;
    wm_status status = context_clock(&clock, call->desk->a, err);
    if (!status)
        status = call_settings(&settings, call, err);
    if (!status)
        status = consultation_catalogue(&catalogue, &found, call->desk->a, err);
    if (!status)
        status = call_book_if_any(&book, call, err);
    if (!status && book && found)
        status = wm_orders_of(&orders, &(wm_orders_input){ book, &catalogue, &settings, clock.date }, err);
    wm_book_close(book);
    if (!status)
        ordered_write_json(answer_json(call), &orders, settings.plan.currency);
    wm_orders_free(&orders);
    wm_catalogue_free(&catalogue);
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
    wm_settings settings;
    wm_catalogue catalogue = { 0 };
    wm_book *book = NULL;
    wm_rechecked *items = NULL;
    size_t count = 0;
    bool found = false;
    wm_recheck_input input = {
        .settings = &settings, .catalogue = &catalogue, .latest = true, .progress = tell_progress
    };
    input.user = call->desk;
    wm_status status = context_jobs(&input.jobs, call->desk->a, err);
    if (!status)
        status = call_settings(&settings, call, err);
    if (!status)
        status = consultation_catalogue(&catalogue, &found, call->desk->a, err);
    if (!status)
        status = call_book_if_any(&book, call, err);
    input.book = book;
    if (!status && book && found)
        status = wm_recheck(&items, &count, &input, err);
    wm_book_close(book);
    if (!status)
        status = rechecked_write_json(answer_json(call), items, count, err);
    free(items);
    wm_catalogue_free(&catalogue);
    return status;
}
