/* Visits: saved, shown, what was done at them, their papers. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/hand_over.h"
#include "consult/held_up.h"
#include "consult/noticed.h"
#include "consult/saved.h"
#include "consult/settle.h"
#include "core/plain.h"
#include "desk/consultation.h"
#include "desk/resources.h"
#include "history.h"
#include "page/languages.h"
#include "report/html.h"

/* --- saving: exactly the bytes that were shown --- */

static wm_status save(int64_t *id, desk_call *call, const consultation *c, wm_error *err)
{
    wm_book *book = NULL;
    const wm_visit visit =
        wm_saved_visit(c->client.id, &(wm_consulted){ &c->json, &c->report, &c->pictures, c->clock.day });
    pthread_mutex_lock(&call->desk->lock);
    wm_status status = call_book(&book, call, WM_BOOK_WRITE, err);
    if (!status)
        status = c->instead_of ? wm_book_visit_measured(book, *id = c->instead_of, &visit, err)
                               : wm_book_visit_save(id, book, &visit, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    return status;
}

/* The same question about the same photo gives the same bytes, unless catalogue, settings or her file changed. */
static wm_status run_again(consultation *c, desk_call *call, wm_error *err)
{
    const char *shown = "";
    wm_status status = call_text(&shown, c->body, "shown", err);
    const clock_reading *clock = shelf_shown_at(c->photo, shown);
    if (!status && !clock)
        status = wm_fail(err, WM_E_BOOK, "this answer has not been shown of this photo; look at it, then save");
    if (!status)
        status = consultation_run(c, call, clock, err);
    if (!status && c->client.id == 0)
        status = wm_fail(err, WM_E_BOOK, "nobody is named whose visit this is; choose a client");
    if (!status && strcmp(shown, c->digest) != 0)
        status = wm_fail(
            err, WM_E_BOOK,
            "the answer has changed since it was shown (catalogue, settings or her file); look at it again, then save");
    return status;
}

/* The same photo is saved twice only when that was said. */
static wm_status check_photo(const consultation *c, const desk_call *call, wm_error *err)
{
    wm_warnings noticed = { 0 };
    const char *why = NULL;
    if (wm_json_kind_of(wm_json_get(c->body, "again")) == WM_JSON_TRUE)
        return WM_OK;
    wm_status status = consultation_noticed(&noticed, c, call, err);
    for (size_t i = 0; i < noticed.count; i++)
        if (strcmp(noticed.items[i].code, "same_photo") == 0)
            why = noticed.items[i].text;
    if (!status && why)
        status = wm_fail(err, WM_E_BOOK, "%s; say that it is to be saved once more", why);
    wm_warnings_free(&noticed);
    return status;
}

wm_status post_visit(desk_call *call, wm_error *err)
{
    consultation *c = NULL;
    int64_t id = 0;
    wm_status status = consultation_open(&c, call, true, err);
    if (!status)
        status = run_again(c, call, err);
    if (!status)
        status = check_photo(c, call, err);
    if (!status)
        status = save(&id, call, c, err);
    if (!status)
        wm_buf_format(answer_json(call), "{\"id\":%lld,\"client\":%lld}\n", (long long)id, (long long)c->client.id);
    consultation_close(c, call);
    return status;
}

/* --- showing --- */

static wm_status load(wm_visit *out, desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_status status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_visit_load(out, book, call->id, err);
    wm_book_close(book);
    return status;
}

static void write_record(wm_buf *out, const wm_visit *visit)
{
    char stack[WM_STACK_TEXT_SIZE];
    wm_buf_format(out, "\"id\":%lld,\"client\":%lld,\"at\":\"%s\",\"installed\":", (long long)visit->id,
                  (long long)visit->client_id, visit->date);
    wm_buf_json_string(out, wm_stack_text(stack, &visit->installed, ","));
    history_write_said(out, visit);
    wm_buf_format(out, ",\"photo\":%s,\"after\":%s", visit->photo_jpeg.size ? "true" : "false",
                  visit->after_jpeg.size ? "true" : "false");
}

wm_status get_visit(desk_call *call, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_settings settings;
    wm_finished *finished = calloc(1, sizeof *finished);
    wm_status status = finished ? load(&visit, call, err) : wm_fail_memory(err);
    if (!status)
        status = call_settings(&settings, call, err);
    if (!status)
        status = history_finished(finished, &visit, &settings, err);
    if (!status) {
        wm_buf *out = answer_json(call);
        wm_buf_text(out, "{");
        write_record(out, &visit);
        history_write_finished_json(out, finished);
        wm_buf_text(out, ",\"report\":");
        if (wm_saved_measured(&visit))
            wm_buf_bytes(out, visit.report_json.data, visit.report_json.size);
        else
            wm_buf_text(out, "null");
        wm_buf_text(out, "}\n");
    }
    free(finished);
    wm_visit_free(&visit);
    return status;
}

static wm_status answer_bytes(desk_call *call, const wm_bytes *bytes, const char *type, wm_error *err)
{
    if (!bytes->size) {
        call->answer->status = 404;
        return wm_fail(err, WM_E_BOOK, "the visit has none");
    }
    call->answer->type = type;
    wm_buf_bytes(&call->answer->body, bytes->data, bytes->size);
    return WM_OK;
}

wm_status get_visit_photo(desk_call *call, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = load(&visit, call, err);
    if (!status)
        status = answer_bytes(call, &visit.photo_jpeg, "image/jpeg", err);
    wm_visit_free(&visit);
    return status;
}

wm_status get_visit_after(desk_call *call, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = load(&visit, call, err);
    if (!status)
        status = answer_bytes(call, &visit.after_jpeg, "image/jpeg", err);
    wm_visit_free(&visit);
    return status;
}

wm_status get_visit_zones(desk_call *call, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = load(&visit, call, err);
    if (!status)
        status = answer_bytes(call, &visit.zones_json, "application/json", err);
    wm_visit_free(&visit);
    return status;
}

/* --- what was done at it --- */

static wm_status take_text(char *out, size_t size, const wm_json *body, const char *key, wm_error *err)
{
    const char *text = "";
    wm_status status = call_text(&text, body, key, err);
    if (status || !wm_json_get(body, key))
        return status;
    if (strlen(text) >= size || !wm_plain_line(text))
        return wm_fail(err, WM_E_USAGE, "'%s' is one line of plain text, at most %zu bytes; shorten it", key, size - 1);
    snprintf(out, size, "%s", text);
    return WM_OK;
}

/* Codes are checked where there is a catalogue to check them against. */
static wm_status take_installed(wm_visit *visit, desk_call *call, const wm_json *body, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    const char *text = "";
    bool found = false;
    wm_stack stack = { 0 };
    const wm_swatch *shades[WM_MAX_LAYERS];
    wm_status status = call_text(&text, body, "installed", err);
    if (status || !wm_json_get(body, "installed"))
        return status;
    status = consultation_catalogue(&catalogue, &found, call->desk->a, err);
    if (!status && *text)
        status = wm_stack_parse_known(&stack, text, &catalogue, err);
    if (!status && found && stack.count)
        status = wm_stack_swatches(shades, &stack, &catalogue, err);
    wm_catalogue_free(&catalogue);
    if (!status)
        visit->installed = stack;
    return status;
}

static wm_status take_day(wm_visit *visit, const wm_json *body, wm_error *err)
{
    const char *text = "";
    wm_date day;
    wm_status status = call_text(&text, body, "at", err);
    if (status || !*text)
        return status;
    if (!wm_date_parse(&day, text))
        return wm_fail(err, WM_E_USAGE, "the day can't be '%.40s'; give one such as 2026-03-31", text);
    wm_date_text(visit->date, day);
    return WM_OK;
}

static wm_status take_charged(wm_visit *visit, const wm_settings *settings, const wm_json *body, wm_error *err)
{
    const char *text = "";
    wm_status status = call_text(&text, body, "charged", err);
    if (status || !wm_json_get(body, "charged"))
        return status;
    visit->has_charged = *text != '\0';
    visit->charged_minor = 0;
    return *text ? wm_money_parse(&visit->charged_minor, text, settings->plan.currency, err) : WM_OK;
}

/* A note is a line of its own with its day; those before it stay. */
static wm_status add_note(wm_visit *visit, desk_call *call, const wm_json *body, wm_error *err)
{
    clock_reading clock;
    const char *note = "";
    wm_status status = call_text(&note, body, "note", err);
    if (!status && *note)
        status = context_clock(&clock, call->desk->a, err);
    return status || !*note ? status : wm_visit_add_note(visit, clock.day, note, err);
}

static wm_status take_all(wm_visit *visit, desk_call *call, const wm_json *body, wm_error *err)
{
    wm_settings settings;
    wm_status status = call_settings(&settings, call, err);
    if (!status)
        status = take_day(visit, body, err);
    if (!status)
        status = take_installed(visit, call, body, err);
    if (!status)
        status = take_text(visit->why, sizeof visit->why, body, "why", err);
    if (!status)
        status = add_note(visit, call, body, err);
    return status ? status : take_charged(visit, &settings, body, err);
}

/* What was sewn on is taken from stock when it is said. */
static wm_status save_record(wm_book *book, wm_visit *visit, desk_call *call, const wm_json *body, wm_error *err)
{
    wm_settings settings;
    wm_catalogue catalogue = { 0 };
    wm_warnings warnings = { 0 };
    bool found = false;
    if (!wm_json_get(body, "installed"))
        return wm_book_visit_update(book, visit, err);
    wm_status status = call_settings(&settings, call, err);
    if (!status)
        status = consultation_catalogue(&catalogue, &found, call->desk->a, err);
    wm_settling settling = { found ? &catalogue : NULL, &settings, NULL, NULL };
    if (!status)
        status = wm_settle(&warnings, book, visit, &settling, err);
    wm_warnings_free(&warnings);
    wm_catalogue_free(&catalogue);
    return status;
}

/* What is odd is asked about before anything is kept: the page sends it again, then with "sure". */
static wm_status look_at_price(wm_warnings *out, wm_book *book, const wm_visit *visit, const wm_json *body,
                               wm_error *err)
{
    bool sure = wm_json_kind_of(wm_json_get(body, "sure")) == WM_JSON_TRUE;
    return sure || !wm_json_get(body, "charged") ? WM_OK : wm_noticed_price(out, book, visit, err);
}

wm_status patch_visit(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    wm_book *book = NULL;
    wm_visit visit = { 0 };
    wm_warnings noticed = { 0 };
    wm_status status = call_body(&body, call, err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = call_book(&book, call, WM_BOOK_WRITE, err);
    if (!status)
        status = wm_book_begin(book, err); /* read and written in one: the command line may be setting something else */
    const bool begun = !status;
    if (!status)
        status = wm_book_visit_load(&visit, book, call->id, err);
    if (!status)
        status = take_all(&visit, call, wm_json_root(body), err);
    if (!status)
        status = look_at_price(&noticed, book, &visit, wm_json_root(body), err);
    if (!status && noticed.count == 0)
        status = save_record(book, &visit, call, wm_json_root(body), err);
    if (begun)
        status = wm_book_end(book, status, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status) {
        wm_buf *out = answer_json(call);
        wm_buf_text(out, "{\"noticed\":");
        answer_warnings(out, &noticed);
        wm_buf_text(out, ",");
        write_record(out, &visit);
        wm_buf_text(out, "}\n");
    }
    wm_warnings_free(&noticed);
    wm_visit_free(&visit);
    wm_json_free(body);
    return status;
}

wm_status delete_visit(desk_call *call, wm_error *err)
{
    return answer_change(call, wm_book_visit_remove, err);
}

/* In another client's file by mistake: to the one whose it is. */
wm_status post_visit_move(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    wm_book *book = NULL;
    wm_client client;
    int64_t to = 0;
    wm_status status = call_body(&body, call, err);
    if (!status)
        status = call_id(&to, wm_json_root(body), "client", err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = call_book(&book, call, WM_BOOK_WRITE, err);
    if (!status)
        status = wm_book_client_load(&client, book, to, err);
    if (!status)
        status = wm_visit_hand_over(book, call->id, &client, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status)
        wm_buf_text(answer_json(call), "{}\n");
    wm_json_free(body);
    return status;
}

/* The last change of the book, whatever it was. */
wm_status post_undo(desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_change undone;
    pthread_mutex_lock(&call->desk->lock);
    wm_status status = call_book(&book, call, WM_BOOK_WRITE, err);
    if (!status)
        status = wm_book_undo(&undone, book, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status) {
        wm_buf_text(answer_json(call), "{\"told\":");
        wm_buf_json_string(answer_json(call), undone.told);
        wm_buf_format(answer_json(call), ",\"client\":%lld}\n", (long long)undone.client_id);
    }
    return status;
}

/* --- papers --- */

typedef struct paper {
    wm_visit visit;
    wm_settings settings;
    history past;
    wm_report report;
} paper;

static wm_status paper_load(paper *p, desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_status status = call_settings(&p->settings, call, err);
    if (!status)
        status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_visit_load(&p->visit, book, call->id, err);
    if (!status)
        status = wm_saved_need_measured(&p->visit, err);
    if (!status)
        status = history_load(&p->past, book, p->visit.client_id, false, err);
    wm_book_close(book);
    return status ? status : wm_saved_report(&p->report, &p->visit, err);
}

static void paper_free(paper *p)
{
    if (p) {
        wm_report_free(&p->report);
        history_free(&p->past);
        wm_visit_free(&p->visit);
    }
    free(p);
}

typedef wm_status paper_writer(wm_buf *out, const wm_html_input *input, wm_error *err);

/* Both papers come from the same pictures. ?face=1: the client's page shows the whole photo, else her hair alone.
 * ?language=de. */
static wm_status answer_paper(desk_call *call, paper_writer *write, wm_error *err)
{
    paper *p = calloc(1, sizeof *p);
    wm_held_up *held_up = calloc(1, sizeof *held_up);
    const char *face = http_query(call->request, "face");
    wm_status status = p && held_up ? paper_load(p, call, err) : wm_fail_memory(err);
    if (!status) {
        wm_report_pictures pictures = { p->visit.photo_jpeg, p->visit.gray_map_png, p->visit.zones_json };
        wm_history_item *items = history_items(&p->past, p->settings.plan.currency);
        wm_html_input input = { .report = &p->report,
                                .pictures = &pictures,
                                .history = items,
                                .history_count = items ? p->past.count : 0,
                                .gray = &p->past.gray,
                                .settled = p->visit.installed.count > 0,
                                .inches = p->settings.plan.units == WM_UNITS_IN,
                                .held_up = held_up,
                                .with_face = face && strcmp(face, "1") == 0 };
        call->answer->type = "text/html; charset=utf-8";
        status = language_find(&input.language, http_query(call->request, "language"), err);
        if (!status)
            status = wm_held_up_of(held_up, &p->report, &pictures, err);
        if (!status)
            status = write(&call->answer->body, &input, err);
        free(items);
    }
    if (held_up)
        wm_held_up_free(held_up);
    free(held_up);
    paper_free(p);
    return status;
}

wm_status get_visit_report(desk_call *call, wm_error *err)
{
    return answer_paper(call, wm_report_to_html, err);
}

wm_status get_visit_client_page(desk_call *call, wm_error *err)
{
    return answer_paper(call, wm_report_to_client_html, err);
}

wm_status get_visit_calendar(desk_call *call, wm_error *err)
{
    char hash[65];
    clock_reading clock;
    paper *p = calloc(1, sizeof *p);
    wm_status status = p ? context_clock(&clock, call->desk->a, err) : wm_fail_memory(err);
    if (!status)
        status = paper_load(p, call, err);
    if (!status && !p->report.has_plan)
        status = wm_fail(err, WM_E_USAGE, "the visit has no plan; give the arc of the row to get dates");
    if (!status) {
        if (*p->report.photo.sha256)
            snprintf(hash, sizeof hash, "%.64s", p->report.photo.sha256);
        else
            wm_sha256_hex(hash, p->visit.report_json.data, p->visit.report_json.size);
        wm_plan_visit visit = { p->report.client, hash, clock.seconds };
        call->answer->type = "text/calendar; charset=utf-8";
        snprintf(call->answer->download, sizeof call->answer->download, "attachment; filename=\"plan.ics\"");
        status = wm_plan_calendar(&call->answer->body, &p->report.plan, &visit, err);
    }
    paper_free(p);
    return status;
}
