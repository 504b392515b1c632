/* The public consultation: its JSON, and what was read back from it, so that it shows what it shows once it is saved.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/book.h"
#include "consult/consult.h"
#include "consult/saved.h"
#include "report/html.h"
#include "report/json_out.h"
#include "report/text.h"
#include "weftmatch/weftmatch.h"

struct wm_consultation {
    wm_report report; /* read from json */
    wm_report_pictures pictures;
    wm_buf json;
    char date[WM_DATE_SIZE];
    bool inches;
};

void wm_consultation_close(wm_consultation *c)
{
    if (!c)
        return;
    wm_report_free(&c->report);
    wm_report_pictures_free(&c->pictures);
    wm_buf_free(&c->json);
    free(c);
}

/* ---- options ---- */

/* Members that the caller's version did not know keep their usual values. */
static wm_status take_options(wm_consult_options *out, const wm_consult_options *options, wm_error *err)
{
    wm_consult_options taken = WM_CONSULT_OPTIONS_INIT;
    if (options->size < offsetof(wm_consult_options, worn) || options->size > 65536)
        return wm_fail(err, WM_E_USAGE, "the options have no size; start them with WM_CONSULT_OPTIONS_INIT");
    memcpy(&taken, options, options->size < sizeof taken ? options->size : sizeof taken);
    if (!taken.photo || !taken.zones)
        return wm_fail(err, WM_E_USAGE, "the options have no %s; open it first", taken.photo ? "zones" : "photo");
    if (!taken.date)
        return wm_fail(err, WM_E_USAGE, "the options have no date; give the day as YYYY-MM-DD");
    if (taken.row_count > WM_OPTIONS_ROWS)
        return wm_fail(err, WM_E_USAGE, "at most %d rows fit one plan, %zu are given; plan the others apart",
                       WM_OPTIONS_ROWS, taken.row_count);
    *out = taken;
    return WM_OK;
}

static wm_status not_a_word(const char *option, const char *word, const char *words, wm_error *err)
{
    return wm_fail(err, WM_E_USAGE, "%s can't be '%.40s'; give %s", option, word, words);
}

static wm_status take_wishes(wm_wishes *out, const wm_consult_options *o, wm_error *err)
{
    wm_wishes wishes = WM_WISHES_INIT;
    if (o->worn && !wm_worn_parse(o->worn, &wishes.worn))
        return not_a_word("worn", o->worn, "both, down or up", err);
    if (o->hair && !wm_hair_parse(o->hair, &wishes.head.hair))
        return not_a_word("hair", o->hair, "fine, medium or coarse", err);
    if (o->amount && !wm_amount_parse(o->amount, &wishes.head.amount))
        return not_a_word("amount", o->amount, "thin, average or thick", err);
    if (o->goal && !wm_goal_parse(o->goal, &wishes.goal))
        return not_a_word("goal", o->goal, "coverage, volume or length", err);
    for (size_t i = 0; i < o->row_count; i++) {
        wishes.rows[i] = (wm_wished_row){ WM_PLACE_BACK, o->arcs_cm[i] };
        if (o->places[i] && !wm_place_parse(o->places[i], &wishes.rows[i].place))
            return not_a_word("a row's place", o->places[i], "side, back, crown or nape", err);
    }
    wishes.goal_given = o->goal != NULL;
    wishes.hair_given = o->hair != NULL;
    wishes.amount_given = o->amount != NULL;
    wishes.head.shedding = o->shedding;
    wishes.head.natural_length_cm = o->natural_length_cm;
    wishes.to_length_cm = o->to_length_cm;
    wishes.filter.in_stock = o->in_stock;
    wishes.row_count = o->row_count;
    wm_wishes_settle(&wishes);
    *out = wishes;
    return WM_OK;
}

/* ---- making one ---- */

static wm_status read_json(wm_consultation *c, const char *what, wm_error *err)
{
    return wm_report_from_json(&c->report, c->json.data ? c->json.data : "", c->json.size, what, err);
}

typedef wm_status consult_kind(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input,
                               wm_error *err);

static wm_status run(wm_consultation *c, consult_kind *kind, const wm_consult_input *input, wm_error *err)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? kind(report, &c->pictures, input, err) : wm_fail_memory(err);
    if (!status) {
        status = wm_report_to_json(&c->json, report, err);
        wm_report_free(report);
    }
    free(report);
    return status ? status : read_json(c, "the report", err);
}

static wm_status consult(wm_consultation **out, consult_kind *kind, const wm_consult_options *options, wm_error *err)
{
    wm_consult_options o = WM_CONSULT_OPTIONS_INIT;
    wm_wishes wishes;
    wm_date date;
    char midnight[40];
    wm_settings usual = wm_settings_default();
    wm_consultation *c = NULL;
    wm_status status = take_options(&o, options, err);
    if (!status)
        status = take_wishes(&wishes, &o, err);
    if (!status && !wm_date_parse(&date, o.date))
        status = wm_fail(err, WM_E_USAGE, "the date can't be '%.40s'; give the day as YYYY-MM-DD", o.date);
    if (!status && !(c = calloc(1, sizeof *c)))
        status = wm_fail_memory(err);
    if (status)
        return status;
    wm_date_text(c->date, date);
    snprintf(midnight, sizeof midnight, "%sT00:00:00Z", c->date);
    const wm_settings *settings = o.settings ? o.settings : &usual;
    const wm_consult_input input = { .photo = o.photo,
                                     .zones = o.zones,
                                     .catalogue = o.catalogue,
                                     .settings = settings,
                                     .wishes = &wishes,
                                     .made_at = o.made_at ? o.made_at : midnight,
                                     .date = date,
                                     .client = o.client,
                                     .previous = o.previous ? &o.previous->report : NULL,
                                     .previous_date = o.previous ? o.previous->date : NULL,
                                     .jobs = o.jobs > 0 ? o.jobs : 1,
                                     .kept = o.kept };
    c->inches = settings->plan.units == WM_UNITS_IN;
    status = run(c, kind, &input, err);
    if (status)
        wm_consultation_close(c);
    else
        *out = c;
    return status;
}

wm_status wm_match(wm_consultation **out, const wm_consult_options *options, wm_error *err)
{
    if (options->size >= sizeof options->size && !options->catalogue)
        return wm_fail(err, WM_E_USAGE, "the options have no catalogue; open it first");
    return consult(out, wm_consult_match, options, err);
}

wm_status wm_measure(wm_consultation **out, const wm_consult_options *options, wm_error *err)
{
    return consult(out, wm_consult_measure, options, err);
}

/* ---- reading one ---- */

static wm_status open_json(wm_consultation **out, const char *json, size_t size, const char *what, wm_error *err)
{
    wm_consultation *c = calloc(1, sizeof *c);
    if (!c)
        return wm_fail_memory(err);
    wm_buf_bytes(&c->json, json, size);
    wm_status status = wm_buf_status(&c->json, err);
    if (!status)
        status = read_json(c, what, err);
    if (status) {
        wm_consultation_close(c);
        return status;
    }
    snprintf(c->date, sizeof c->date, "%.10s", c->report.made_at);
    c->inches = c->report.has_plan && c->report.plan.units == WM_UNITS_IN;
    *out = c;
    return WM_OK;
}

wm_status wm_consultation_read(wm_consultation **out, const char *json, size_t size, wm_error *err)
{
    return open_json(out, json, size, "the report", err);
}

const char *wm_consultation_json(const wm_consultation *c, size_t *size)
{
    if (size)
        *size = c->json.size;
    return c->json.data;
}

/* The bytes of a buffer as a text that the caller frees. */
static wm_status give(char **out, wm_buf *buf, wm_status status, wm_error *err)
{
    if (!status)
        status = wm_buf_status(buf, err);
    if (status)
        wm_buf_free(buf);
    else
        *out = buf->data;
    return status;
}

wm_status wm_consultation_text(char **out, const wm_consultation *c, wm_error *err)
{
    wm_buf buf = { 0 };
    const wm_text_style style = { .utf8 = true, .lines = 10, .inches = c->inches };
    return give(out, &buf, wm_report_to_text(&buf, &c->report, &style, err), err);
}

wm_status wm_consultation_html(char **out, const wm_consultation *c, wm_error *err)
{
    wm_buf buf = { 0 };
    const wm_html_input page = { .report = &c->report,
                                 .pictures = c->pictures.photo_jpeg.size ? &c->pictures : NULL,
                                 .inches = c->inches };
    return give(out, &buf, wm_report_to_html(&buf, &page, err), err);
}

bool wm_consultation_answers(const wm_consultation *c)
{
    return wm_report_exit(&c->report) == 0;
}

const char *wm_consultation_warning(const wm_consultation *c, size_t i, const char **code)
{
    if (i >= c->report.warnings.count)
        return NULL;
    if (code)
        *code = c->report.warnings.items[i].code;
    return c->report.warnings.items[i].text;
}

/* ---- the book ---- */

wm_status wm_book_client_id(int64_t *id, wm_book *book, const char *name, wm_error *err)
{
    wm_client client;
    wm_status status = wm_book_client_find(&client, book, name, err);
    if (!status)
        *id = client.id;
    return status;
}

wm_status wm_book_save(int64_t *visit, wm_book *book, int64_t client_id, const wm_consultation *c, wm_error *err)
{
    int64_t id = 0;
    const wm_visit saved = wm_saved_visit(client_id, &(wm_consulted){ &c->json, &c->report, &c->pictures, c->date });
    wm_book_set_day(book, c->date);
    wm_status status = wm_book_visit_save(&id, book, &saved, err);
    if (!status && visit)
        *visit = id;
    return status;
}

wm_status wm_book_load(wm_consultation **out, wm_book *book, int64_t visit, wm_error *err)
{
    wm_visit saved = { 0 };
    wm_consultation *c = NULL;
    wm_status status = wm_book_visit_load(&saved, book, visit, err);
    if (!status)
        status = wm_saved_need_measured(&saved, err);
    if (!status)
        status = open_json(&c, (const char *)saved.report_json.data, saved.report_json.size, "the saved visit", err);
    if (!status) {
        snprintf(c->date, sizeof c->date, "%s", saved.date);
        c->pictures = (wm_report_pictures){ saved.photo_jpeg, saved.gray_map_png, saved.zones_json };
        saved.photo_jpeg = saved.gray_map_png = saved.zones_json = (wm_bytes){ 0 };
        *out = c;
    }
    wm_visit_free(&saved);
    return status;
}

wm_status wm_book_last_visit(int64_t *visit, wm_book *book, int64_t client_id, wm_error *err)
{
    return wm_book_visit_last_measured(visit, book, client_id, err);
}
