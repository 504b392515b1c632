/* report: a saved report again, from the book alone. */
#include "consult/saved.h"
#include "context.h"
#include "output.h"
#include "say.h"
#include "verbs.h"

#include <stdlib.h>

/* A visit that was noted without a photo has no report. */
static wm_status latest_visit(int64_t *id, wm_book *book, const char *name, wm_error *err)
{
    wm_client client;
    wm_status status = wm_book_client_find(&client, book, name, err);
    if (!status)
        status = wm_book_visit_last_measured(id, book, client.id, err);
    if (!status && *id == 0)
        status = wm_fail(err, WM_E_BOOK,
                         "%s has no saved visit with a photo; weftmatch match PHOTO --client \"%s\" saves one",
                         client.name, client.name);
    return status;
}

/* *id 0: the latest of --client. */
static wm_status read_visit(int64_t *id, const args *a, wm_error *err)
{
    const char *visit = args_text(a, "visit");
    long number = 0;
    if (!visit && !args_has(a, "client"))
        return wm_fail(err, WM_E_USAGE, "whose report? give --client NAME for her latest, or --visit ID");
    if (visit && !wm_whole_parse(visit, 1, 2147483647L, &number))
        return wm_fail(err, WM_E_USAGE,
                       "--visit can't be '%s'; give the number of a visit, see weftmatch client history NAME", visit);
    *id = number;
    return WM_OK;
}

int verb_report(const args *a)
{
    wm_settings settings;
    clock_reading clock;
    wm_book *book = NULL;
    wm_visit visit = { 0 };
    history past = { 0 };
    int64_t id = 0;
    wm_error err;
    wm_status status = context_clock(&clock, a, &err);
    if (!status)
        status = output_check(a, &err);
    if (!status)
        status = read_visit(&id, a, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_settings_load(&settings, book, &err);
    if (!status && id == 0)
        status = latest_visit(&id, book, args_text(a, "client"), &err);
    if (!status)
        status = wm_book_visit_load(&visit, book, id, &err);
    if (!status)
        status = wm_saved_need_measured(&visit, &err);
    if (!status && args_has(a, "html"))
        status = history_load(&past, book, visit.client_id, false, &err);
    wm_book_close(book);
    wm_report_pictures pictures = { visit.photo_jpeg, visit.gray_map_png, visit.zones_json };
    output_input output = { .json = &visit.report_json,
                            .pictures = &pictures,
                            .past = &past,
                            .settled = visit.installed.count > 0,
                            .stamp = clock.seconds,
                            .inches = !status && settings.plan.units == WM_UNITS_IN,
                            .currency = status ? "" : settings.plan.currency };
    int code = status ? say_error(&err) : output_all(a, &output);
    history_free(&past);
    wm_visit_free(&visit);
    return code;
}
