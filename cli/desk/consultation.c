#include "desk/consultation.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/noticed.h"
#include "consult/saved.h"
#include "consult/settle.h"
#include "core/file.h"
#include "measure/zones_file.h"
#include "report/json_out.h"

enum { LIVE_SHADES = 24 };

wm_status consultation_catalogue(wm_catalogue *out, bool *found, const args *a, wm_error *err)
{
    char path[PATH_SIZE];
    wm_error none;
    wm_warnings warnings = { 0 };
    *found = !context_swatches_path(path, a, &none) && wm_file_exists(path);
    wm_status status = *found ? wm_catalogue_load(out, path, &warnings, err) : WM_OK;
    wm_warnings_free(&warnings);
    return status;
}

wm_status consultation_shop(context_shop *out, const desk_call *call, wm_error *err)
{
    bool found = false;
    wm_status status = call_settings(&out->settings, call, err);
    if (!status)
        status = consultation_catalogue(&out->catalogue, &found, call->desk->a, err);
    return status ? status : call_book_if_any(&out->book, call, err);
}

/* A reference file is named without folders: a page may not choose any file of this machine. */
static wm_status check_references(const wm_json *zones, wm_error *err)
{
    for (size_t i = 0; i < wm_json_count(zones); i++) {
        const char *reference = wm_json_text(wm_json_get(wm_json_at(zones, i), "reference"));
        if (reference && strchr(reference, '/'))
            return wm_fail(err, WM_E_INPUT,
                           "the reference of a target is named without folders; put it beside the book");
    }
    return WM_OK;
}

wm_status consultation_zones(wm_zones *out, const desk_call *call, const wm_json *body, wm_error *err)
{
    char beside[PATH_SIZE];
    const char *text = "";
    wm_warnings warnings = { 0 };
    wm_json_document *file = NULL;
    wm_status status = call_text(&text, body, "zones", err);
    if (!status)
        status = context_book_path(beside, call->desk->a, err);
    if (!status)
        status = wm_json_parse(&file, text, strlen(text), "zones", WM_E_INPUT, err);
    if (!status)
        status = check_references(wm_json_get(wm_json_root(file), "zones"), err);
    if (!status)
        status = wm_zones_add_json(out, text, strlen(text), beside, &warnings, err);
    wm_json_free(file);
    wm_warnings_free(&warnings);
    return status;
}

/* The visit stays of its day and of its client; what came later does not count. */
static wm_status load_instead(consultation *c, desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_visit visit = { 0 };
    wm_date day;
    wm_status status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_visit_load_parts(&visit, book, c->instead_of, 0, err);
    if (!status)
        status = wm_book_client_load(&c->client, book, visit.client_id, err);
    if (!status)
        status = history_load(&c->past, book, visit.client_id, false, err);
    wm_book_close(book);
    if (!status && wm_date_parse(&day, visit.date)) {
        c->clock.date = c->in.date = day;
        memcpy(c->clock.day, visit.date, sizeof c->clock.day);
    }
    wm_visit_free(&visit);
    return status;
}

/* What she wears, and the report that tells how its rows lie, where that is not her last. */
static wm_status load_worn(consultation *c, wm_book *book, int64_t wears_id, wm_error *err)
{
    wm_visit told = { 0 };
    wm_status status = wm_book_visit_load_parts(&c->worn, book, wears_id, 0, err);
    if (!status)
        status = wm_book_visit_of_rows(&c->rows_id, book, wears_id, err);
    if (!status && c->rows_id && c->rows_id != c->last.id)
        status = wm_book_visit_load_parts(&told, book, c->rows_id, WM_VISIT_REPORTS, err);
    if (!status && told.id)
        status = wm_saved_brief(&c->rows, &told, err);
    wm_visit_free(&told);
    return status;
}

static wm_status load_client(consultation *c, desk_call *call, const wm_json *body, wm_error *err)
{
    wm_book *book = NULL;
    wm_client_latest latest;
    int64_t id = 0, last = 0;
    wm_status status = call_id(&c->instead_of, body, "instead_of", err);
    if (!status && c->instead_of)
        return load_instead(c, call, err);
    if (!status)
        status = call_id(&id, body, "client", err);
    if (status || !id)
        return status;
    status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_client_latest_of(&latest, book, id, err);
    if (!status)
        c->client = latest.client;
    if (!status)
        status = wm_book_visit_last_measured(&last, book, id, err);
    if (!status && last)
        status = wm_book_visit_load_parts(&c->last, book, last, WM_VISIT_REPORTS, err);
    if (!status && latest.wears_id)
        status = load_worn(c, book, latest.wears_id, err);
    wm_book_close(book);
    if (!status && c->last.id)
        status = wm_saved_brief(&c->previous, &c->last, err);
    return status;
}

static bool is_live(const consultation *c)
{
    return wm_json_kind_of(wm_json_get(c->body, "live")) == WM_JSON_TRUE;
}

/* While she marks, whose packs they are is looked up only where shades hang on it: in a large book that takes longer
 * than all the rest. */
static wm_status count_packs(consultation *c, const args *a, wm_error *err)
{
    const bool whose = !is_live(c) || c->wishes.filter.in_stock;
    return context_count_free(whose ? &c->reserved : NULL, &c->catalogue, a, c->client.id, err);
}

static wm_status gather(consultation *c, desk_call *call, wm_error *err)
{
    const args *a = call->desk->a;
    wm_status status = context_consult(&c->in, a, &c->settings, &c->clock, err);
    if (!status)
        status = wishes_read(&c->list, call->desk, wm_json_get(c->body, "wishes"), err);
    if (!status)
        status = context_wishes(&c->wishes, wishes_args(c->list), &c->settings, err);
    if (!status)
        status = consultation_zones(&c->zones, call, c->body, err);
    if (!status)
        status = consultation_catalogue(&c->catalogue, &c->has_catalogue, a, err);
    if (!status)
        status = load_client(c, call, c->body, err);
    if (!status && c->has_catalogue)
        status = count_packs(c, a, err);
    return status;
}

/* What she had and wears, as the answer takes it. */
static void fill_past(consultation *c)
{
    const size_t before = history_before(&c->past, c->instead_of);
    const history_line *last = history_measured(&c->past, before), *hung = history_worn(&c->past, before);
    const history_line *told = hung ? history_rows(&c->past, hung) : NULL;
    const wm_visit *worn = c->worn.id ? &c->worn : NULL;
    c->in.previous = c->last.id ? &c->previous : NULL;
    c->in.previous_date = c->last.date;
    if (last) {
        c->in.previous = last->report;
        c->in.previous_date = last->at;
    }
    if (hung)
        worn = &hung->visit;
    if (!worn)
        return;
    c->in.worn = &worn->installed;
    if (told)
        c->in.worn_report = told->report;
    else if (c->rows_id)
        c->in.worn_report = c->rows_id == c->last.id ? &c->previous : &c->rows;
    c->in.again = &c->again;
    if (wm_settle_again(&c->again, worn, c->settings.plan.weft_visits))
        c->in.work = WM_WORK_MOVEUP;
}

static void fill_input(consultation *c, const clock_reading *clock)
{
    c->in.photo = c->photo->photo;
    c->in.kept = c->photo->kept;
    c->in.zones = &c->zones;
    c->in.catalogue = c->has_catalogue ? &c->catalogue : NULL;
    c->in.wishes = &c->wishes;
    c->in.client = c->client.id ? c->client.name : NULL;
    fill_past(c);
    c->in.live = !clock && is_live(c);
    if (clock) { /* it may be past midnight by now */
        c->clock = *clock;
        c->in.date = clock->date;
    }
    c->in.made_at = c->clock.made_at;
}

/* While she marks, what she looks at: the beginning of each list. Nine tenths of the bytes are its end. */
static void shorten(wm_report *report)
{
    for (size_t i = 0; i < report->ranking_count; i++)
        if (report->rankings[i].count > LIVE_SHADES)
            report->rankings[i].count = LIVE_SHADES;
}

wm_status consultation_open(consultation **out, desk_call *call, bool named, wm_error *err)
{
    consultation *c = *out = calloc(1, sizeof *c);
    int64_t id = call->id;
    wm_status status = c ? call_body(&c->asked, call, err) : wm_fail_memory(err);
    if (status)
        return status;
    c->body = wm_json_root(c->asked);
    if (named)
        status = call_id(&id, c->body, "photo", err);
    return status ? status : shelf_hold(&c->photo, call->desk->shelf, id, err);
}

wm_status consultation_run(consultation *c, desk_call *call, const clock_reading *clock, wm_error *err)
{
    wm_report_pictures *pictures = clock ? &c->pictures : NULL;
    wm_status status = gather(c, call, err);
    if (status)
        return status;
    fill_input(c, clock);
    status = c->has_catalogue ? wm_consult_match(&c->report, pictures, &c->in, err)
                              : wm_consult_measure(&c->report, pictures, &c->in, err);
    if (!status && c->in.live)
        shorten(&c->report);
    if (!status)
        status = wm_report_to_json(&c->json, &c->report, err);
    if (!status)
        wm_sha256_hex(c->digest, c->json.data, c->json.size);
    return status;
}

static wm_status notice_photo(wm_warnings *out, const consultation *c, wm_book *book, wm_error *err)
{
    wm_same_photo same;
    wm_status status = wm_noticed_photo(&same, book, c->report.photo.sha256, err);
    if (!status && same.visit_id && same.visit_id != c->instead_of)
        wm_warnings_add(out, "same_photo", "this photo is visit %lld of %s already", (long long)same.visit_id,
                        same.client.name);
    return status;
}

wm_status consultation_noticed(wm_warnings *out, const consultation *c, const desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    clock_reading today = { 0 };
    wm_status status = call_book_if_any(&book, call, err);
    if (!status && book)
        status = notice_photo(out, c, book, err);
    wm_book_close(book);
    if (!status)
        status = context_today(&today, err);
    wm_noticing noticing = { &c->report, c->clock.day, c->in.previous ? c->in.previous_date : NULL, today.date, 0 };
    if (!status && c->client.id)
        wm_noticed_visit(out, &noticing);
    return status || !out->failed ? status : wm_fail_memory(err);
}

void consultation_close(consultation *c, desk_call *call)
{
    if (!c)
        return;
    if (c->photo)
        shelf_release(call->desk->shelf, c->photo);
    wm_json_free(c->asked);
    wm_buf_free(&c->json);
    wm_report_free(&c->report);
    wm_report_pictures_free(&c->pictures);
    wm_report_free(&c->previous);
    wm_report_free(&c->rows);
    history_free(&c->past);
    wm_visit_free(&c->last);
    wm_visit_free(&c->worn);
    wm_catalogue_free(&c->catalogue);
    wm_reserved_free(&c->reserved);
    wm_zones_free(&c->zones);
    wishes_free(c->list);
    free(c);
}
