/* orders: what the coming visits need beyond what is there. */
#include <stdlib.h>
#include <string.h>

#include "context.h"
#include "ordered.h"
#include "output.h"
#include "say.h"
#include "verbs.h"

enum { NEW_SHADES = 8 }; /* that are named */

static void text_line(wm_buf *out, const wm_order *line, const wm_settings *settings)
{
    char a[WM_LENGTH_SIZE], day[WM_DATE_SIZE], price[WM_MONEY_SIZE], stock[40];
    wm_buf_format(out, "  %d pack%s of %s", line->order, line->order == 1 ? "" : "s", line->code);
    if (line->length_cm > 0)
        wm_buf_format(out, ", %s", wm_length_text(a, line->length_cm, settings->plan.units, 1));
    if (line->by.year)
        wm_buf_format(out, ", by %s%s", wm_date_text(day, line->by), line->late ? " (that is past: order today)" : "");
    else
        wm_buf_text(out, ", before a day is agreed");
    if (line->pack_price_milli >= 0)
        wm_buf_format(out, "; %s each", wm_price_text(price, line->pack_price_milli, settings->plan.currency));
    wm_buf_format(out, "\n      %d needed, %s in stock; for %s\n", line->needed,
                  line->stock < 0 ? "not counted" : wm_number_text(stock, line->stock, 0), line->whose);
}

static void text_visit(wm_buf *out, const wm_coming_visit *v, const wm_settings *settings)
{
    char day[WM_DATE_SIZE], a[WM_LENGTH_SIZE];
    wm_buf_format(out, "  %-10s  %s, %s%s\n", v->due.year ? wm_date_text(day, v->due) : "no day yet", v->client,
                  wm_visit_kind_name(v->kind), v->late ? " (overdue)" : "");
    for (size_t i = 0; i < v->weft_count; i++) {
        const wm_coming_weft *w = &v->wefts[i];
        wm_buf_format(out, "              %s", w->code);
        if (w->width_cm > 0)
            wm_buf_format(out, " %s", wm_length_text(a, w->width_cm, settings->plan.units, 1));
        if (w->again)
            wm_buf_format(out, ": sewn on again, worn at %d visit%s", w->worn, w->worn == 1 ? "" : "s");
        else if (w->packs >= 0)
            wm_buf_format(out, ": new, %d pack%s", w->packs, w->packs == 1 ? "" : "s");
        else
            wm_buf_text(out, ": new; the packs can't be told");
        if (w->cut_cm > 0)
            wm_buf_format(out, ", %s from cut lengths", wm_length_text(a, w->cut_cm, settings->plan.units, 1));
        wm_buf_text(out, "\n");
    }
    if (*v->why)
        wm_buf_format(out, "              %s\n", v->why);
}

static void write_text(wm_buf *out, const wm_orders *orders, const wm_settings *settings)
{
    const char *supplier = NULL;
    size_t lines = 0;
    for (size_t i = 0; i < orders->line_count; i++)
        lines += orders->lines[i].order > 0;
    if (!lines)
        wm_buf_text(out, orders->visit_count ? "Nothing to order: all that the coming visits need is there.\n"
                                             : "Nothing to order: no visits are coming.\n");
    for (size_t i = 0; i < orders->line_count; i++) {
        if (orders->lines[i].order == 0)
            continue;
        if (!supplier || strcmp(supplier, orders->lines[i].supplier) != 0)
            wm_buf_format(out, "%sTo order%s%s\n", supplier ? "\n" : "", *orders->lines[i].supplier ? " from " : "",
                          orders->lines[i].supplier);
        supplier = orders->lines[i].supplier;
        text_line(out, &orders->lines[i], settings);
    }
    if (orders->visit_count)
        wm_buf_text(out, "\nComing visits\n");
    for (size_t i = 0; i < orders->visit_count; i++)
        text_visit(out, &orders->visits[i], settings);
    if (orders->lapsed)
        wm_buf_format(out, "\n%zu client%s whose next visit is more than 12 weeks past %s left out.\n", orders->lapsed,
                      orders->lapsed == 1 ? "" : "s", orders->lapsed == 1 ? "is" : "are");
}

/* --- shades of another catalogue --- */

static void show_progress(void *user, size_t done, size_t total)
{
    say_progress_step(user, done, total);
}

/* What every client's latest visit would gain by it. */
static wm_status recheck(ordered_new *out, const context_shop *shop, const wm_catalogue *catalogue, const args *a,
                         wm_error *err)
{
    wm_rechecked *items = NULL;
    size_t item_count = 0;
    say_progress progress = say_progress_start(a, "clients");
    wm_recheck_input input = { .book = shop->book,
                               .catalogue = catalogue,
                               .settings = &shop->settings,
                               .latest = true,
                               .progress = show_progress,
                               .user = &progress };
    wm_status status = context_jobs(&input.jobs, a, err);
    if (!status)
        status = wm_recheck(&items, &item_count, &input, err);
    say_progress_end(&progress);
    if (!status)
        status = wm_recheck_gains(&out->gains, &out->count, items, item_count, err);
    free(items);
    return status;
}

/* Those that the salon does not have yet. */
static void keep_new(ordered_new *out, const wm_catalogue *own)
{
    size_t kept = 0;
    for (size_t i = 0; i < out->count; i++)
        if (!wm_catalogue_find(own, out->gains[i].code))
            out->gains[kept++] = out->gains[i];
    out->count = kept;
}

static wm_status find_new(ordered_new *out, const context_shop *shop, const args *a, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    wm_warnings warnings = { 0 };
    const char *path = args_text(a, "new-shades");
    if (!path)
        return WM_OK;
    wm_status status = wm_catalogue_load(&catalogue, path, &warnings, err);
    say_plain_warnings(&warnings, path);
    if (!status)
        status = recheck(out, shop, &catalogue, a, err);
    if (!status)
        keep_new(out, &shop->catalogue);
    wm_catalogue_free(&catalogue);
    wm_warnings_free(&warnings);
    return status;
}

static void write_new(wm_buf *out, const ordered_new *shades)
{
    wm_buf_text(out, shades->count ? "\nNew shades that would serve most clients\n"
                                   : "\nNo new shade would serve a client better than what she has.\n");
    for (size_t i = 0; i < shades->count && i < NEW_SHADES; i++)
        wm_buf_format(out, "  %s: %zu client%s\n", shades->gains[i].code, shades->gains[i].clients,
                      shades->gains[i].clients == 1 ? "" : "s");
}

static wm_status write_feed(const args *a, const wm_orders *orders, int64_t stamp, wm_error *err)
{
    wm_buf feed = { 0 };
    wm_status status = wm_orders_calendar(&feed, orders, stamp, err);
    if (!status)
        status = output_write_private(a, args_text(a, "ics"), &feed, err);
    wm_buf_free(&feed);
    return status;
}

int verb_orders(const args *a)
{
    context_shop shop = { 0 };
    clock_reading clock;
    wm_orders orders = { 0 };
    ordered_new shades = { 0 };
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = context_clock(&clock, a, &err);
    if (!status)
        status = output_check(a, &err);
    if (!status)
        status = context_shop_open(&shop, a, &err);
    if (!status)
        status = wm_orders_of(
            &orders, &(wm_orders_input){ shop.book, &shop.catalogue, &shop.settings, clock.date, false }, &err);
    if (!status && args_has(a, "ics"))
        status = write_feed(a, &orders, clock.seconds, &err);
    if (!status)
        status = find_new(&shades, &shop, a, &err);
    if (!status && args_has(a, "json"))
        ordered_write_json(&out, &orders, args_has(a, "new-shades") ? &shades : NULL, shop.settings.plan.currency);
    else if (!status)
        write_text(&out, &orders, &shop.settings);
    if (!status && args_has(a, "new-shades") && !args_has(a, "json"))
        write_new(&out, &shades);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_orders_free(&orders);
    free(shades.gains);
    wm_buf_free(&out);
    context_shop_close(&shop);
    return code;
}
