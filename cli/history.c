#include "history.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/recheck.h"
#include "consult/saved.h"

const char *const HISTORY_JUDGED[] = { "measured", "installed", "proposed", "unknown", NULL };

/* As it was measured; else of what was installed; else as it was proposed. */
static wm_status judge(history_line *line, const wm_settings *settings, wm_error *err)
{
    bool known = false;
    line->judged = HISTORY_UNKNOWN;
    if (line->finished->worst) {
        line->judged = HISTORY_MEASURED;
        line->off = line->finished->worst->de00;
    } else if (line->installed.count && !wm_report_as_proposed(line->report, &line->installed)) {
        wm_status status = wm_recheck_installed(&known, &line->off, &line->visit, line->report, settings, err);
        line->judged = known ? HISTORY_INSTALLED : HISTORY_UNKNOWN;
        return status;
    } else if (line->report->proposal_count) {
        line->judged = line->installed.count ? HISTORY_INSTALLED : HISTORY_PROPOSED;
        line->off = line->report->proposals[0].far;
    }
    return WM_OK;
}

static wm_status load_line(history_line *out, wm_book *book, unsigned parts, const wm_settings *settings, wm_error *err)
{
    wm_status status = wm_book_visit_load_parts(&out->visit, book, out->id, parts, err);
    if (status)
        return status;
    memcpy(out->at, out->visit.date, sizeof out->at);
    out->installed = out->visit.installed;
    out->measured = wm_saved_measured(&out->visit);
    out->report = calloc(1, sizeof *out->report);
    out->finished = calloc(1, sizeof *out->finished);
    status = out->report && out->finished ? WM_OK : wm_fail_memory(err);
    if (!status) /* a page shows colours of shades that were sewn on at visits without a report */
        status = parts & WM_VISIT_PICTURES ? wm_saved_report(out->report, &out->visit, err)
                                           : wm_saved_brief(out->report, &out->visit, err);
    if (!status)
        status = wm_finished_of(out->finished, &out->visit, out->report, &settings->verdict, err);
    return status ? status : judge(out, settings, err);
}

static wm_status load_trend(history *h, wm_error *err)
{
    wm_trend_visit *visits = calloc(h->count + 1, sizeof *visits);
    if (!visits)
        return wm_fail_memory(err);
    for (size_t i = 0; i < h->count; i++)
        visits[i] = (wm_trend_visit){ h->lines[i].at, h->lines[i].report };
    wm_status status = wm_trend_of(&h->trend, visits, h->count, err);
    if (!status)
        status = wm_trend_plot(&h->gray, &h->trend, visits, err);
    free(visits);
    return status;
}

wm_status history_load(history *out, wm_book *book, int64_t client_id, bool pictures, wm_error *err)
{
    const unsigned parts = WM_VISIT_REPORTS | (pictures ? (unsigned)WM_VISIT_PICTURES : 0);
    wm_settings settings;
    int64_t *ids = NULL;
    size_t count = 0;
    history h = { 0 };
    wm_status status = wm_settings_load(&settings, book, err);
    if (!status)
        status = wm_book_visit_ids(&ids, &count, book, client_id, err);
    if (!status && !(h.lines = calloc(count + 1, sizeof *h.lines)))
        status = wm_fail_memory(err);
    for (size_t i = 0; i < count && !status; i++) {
        h.count = i + 1;
        h.lines[i].id = ids[i];
        status = load_line(&h.lines[i], book, parts, &settings, err);
    }
    if (!status)
        status = load_trend(&h, err);
    free(ids);
    if (status)
        history_free(&h);
    else
        *out = h;
    return status;
}

void history_free(history *h)
{
    for (size_t i = 0; i < h->count; i++) {
        if (h->lines[i].report)
            wm_report_free(h->lines[i].report);
        free(h->lines[i].report);
        free(h->lines[i].finished);
        wm_visit_free(&h->lines[i].visit);
    }
    wm_trend_free(&h->trend);
    wm_plot_gray_free(&h->gray);
    free(h->lines);
    *h = (history){ 0 };
}

size_t history_before(const history *h, int64_t visit_id)
{
    for (size_t i = 0; i < h->count; i++)
        if (h->lines[i].id == visit_id)
            return i;
    return h->count;
}

size_t history_measured_count(const history *h)
{
    size_t count = 0;
    for (size_t i = 0; i < h->count; i++)
        count += h->lines[i].measured;
    return count;
}

const history_line *history_measured(const history *h, size_t count)
{
    while (count > 0 && !h->lines[count - 1].measured)
        count--;
    return count ? &h->lines[count - 1] : NULL;
}

const history_line *history_worn(const history *h, size_t count)
{
    for (size_t i = count; i-- > 0;) {
        const history_line *line = &h->lines[i];
        if (line->visit.kind == WM_VISIT_REMOVAL)
            return NULL;
        if (line->installed.count)
            return line;
    }
    return NULL;
}

const history_line *history_rows(const history *h, const history_line *line)
{
    return history_measured(h, (size_t)(line - h->lines) + 1);
}

const history_line *history_as_proposed(const history *h, const history_line *line)
{
    const history_line *rows = line->installed.count ? history_rows(h, line) : NULL;
    return rows && wm_report_as_proposed(rows->report, &line->installed) ? rows : NULL;
}

const wm_report_zone *history_gray_zone(const history_line *line)
{
    const wm_report_zone *found = NULL;
    for (size_t i = 0; i < line->report->zone_count; i++) {
        const wm_report_zone *zone = &line->report->zones[i];
        if (zone->has_share && (!found || (zone->kind == WM_ZONE_GRAY && found->kind != WM_ZONE_GRAY)))
            found = zone;
    }
    return found;
}

wm_history_item *history_items(const history *h, const char *currency)
{
    wm_history_item *items = h->count ? calloc(h->count, sizeof *items) : NULL;
    for (size_t i = 0; items && i < h->count; i++) {
        const history_line *line = &h->lines[i];
        const history_line *by = history_as_proposed(h, line);
        const wm_report_zone *gray = history_gray_zone(line);
        memcpy(items[i].at, line->at, sizeof items[i].at);
        items[i].installed = line->installed;
        if (by) /* with its pieces */
            wm_report_stack(&items[i].installed, &by->report->proposals[0]);
        items[i].has_worst = line->judged != HISTORY_UNKNOWN;
        items[i].worst_de00 = items[i].has_worst ? line->off : 0;
        items[i].has_share = gray != NULL;
        items[i].gray_share = gray ? gray->share : 0;
        items[i].why = line->visit.why;
        items[i].note = line->visit.note;
        if (line->visit.has_charged)
            wm_money_text(items[i].money, line->visit.charged_minor, currency);
    }
    return items;
}

wm_status history_finished(wm_finished *out, const wm_visit *visit, const wm_settings *settings, wm_error *err)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? wm_saved_brief(report, visit, err) : wm_fail_memory(err);
    if (!status)
        status = wm_finished_of(out, visit, report, &settings->verdict, err);
    if (report)
        wm_report_free(report);
    free(report);
    return status;
}

void history_write_finished(wm_buf *out, const wm_finished *finished)
{
    char d[40], u[40];
    for (size_t i = 0; i < finished->count; i++) {
        const wm_finished_zone *z = &finished->zones[i];
        wm_buf_format(out, "worn %s, %s: ", z->up ? "up" : "down", z->zone);
        if (*z->beside)
            wm_buf_format(out, "dE00 %s +- %s from her %s, %s%s%s%s\n", wm_number_text(d, z->de00, 1),
                          wm_number_text(u, z->u_de00, 1), z->beside, z->sure ? "" : "perhaps ",
                          wm_verdict_name(z->verdict), *z->words ? "; the row is " : "", z->words);
        else
            wm_buf_text(out, "no zone of that kind and place was measured before the work\n");
    }
}

/* --- as JSON --- */

static void json_lab(wm_buf *out, const char *key, bool known, wm_lab lab)
{
    wm_buf_text(out, key);
    if (!known) {
        wm_buf_text(out, "null");
        return;
    }
    const double v[3] = { lab.L, lab.a, lab.b };
    wm_buf_numbers(out, v, 3, 2);
}

void history_write_finished_json(wm_buf *out, const wm_finished *finished)
{
    wm_buf_text(out, ",\"finished\":[");
    for (size_t i = 0; i < finished->count; i++) {
        const wm_finished_zone *z = &finished->zones[i];
        wm_buf_format(out, "%s{\"worn\":\"%s\",\"zone\":", i ? "," : "", z->up ? "up" : "down");
        wm_buf_json_string(out, z->zone);
        wm_buf_json_text(out, ",\"beside\":", z->beside);
        wm_buf_json_number(out, ",\"de00\":", *z->beside, z->de00, 4);
        wm_buf_json_number(out, ",\"u_de00\":", *z->beside, z->u_de00, 4);
        json_lab(out, ",\"lab\":", true, z->lab);
        json_lab(out, ",\"her_lab\":", *z->beside, z->hers);
        wm_buf_format(out, ",\"verdict\":\"%s\",\"sure\":%s,\"words\":", *z->beside ? wm_verdict_name(z->verdict) : "",
                      z->sure ? "true" : "false");
        wm_buf_json_string(out, z->words);
        wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]");
}

void history_write_said(wm_buf *out, const wm_visit *v)
{
    wm_buf_json_text(out, ",\"why\":", v->why);
    wm_buf_json_text(out, ",\"note\":", v->note);
    if (v->has_charged)
        wm_buf_format(out, ",\"charged_minor\":%lld", (long long)v->charged_minor);
    else
        wm_buf_text(out, ",\"charged_minor\":null");
    wm_buf_text(out, ",\"sewn\":[");
    for (size_t i = 0; i < v->sewn_count; i++)
        wm_buf_json_text(out, i ? "," : "", v->sewn[i].code);
    wm_buf_text(out, "]");
}

/* What was said about the visit, and what lies beside it. */
static void json_record(wm_buf *out, const wm_visit *v)
{
    wm_buf_format(out, ",\"kind\":\"%s\"", wm_visit_kind_name(v->kind));
    history_write_said(out, v);
    wm_buf_format(out, ",\"has_photo\":%s,\"has_after\":%s", v->has_photo ? "true" : "false",
                  v->has_after ? "true" : "false");
}

static void json_line(wm_buf *out, const history_line *line, bool first)
{
    const wm_report_zone *gray = history_gray_zone(line);
    wm_buf_format(out, "%s\n  {\"id\":%lld,\"at\":\"%s\",\"photo\":", first ? "" : ",", (long long)line->id, line->at);
    wm_buf_json_string(out, line->report->photo.file);
    wm_buf_text(out, ",\"zones\":[");
    for (size_t i = 0; i < line->report->zone_count; i++) {
        wm_buf_text(out, i ? "," : "");
        wm_buf_json_string(out, line->report->zones[i].name);
    }
    wm_buf_text(out, "],\"installed\":[");
    for (size_t i = 0; i < line->installed.count; i++) {
        wm_buf_text(out, i ? "," : "");
        wm_buf_json_string(out, line->installed.layers[i].code);
    }
    wm_buf_json_number(out, "],\"worst_de00\":", line->judged != HISTORY_UNKNOWN, line->off, 4);
    wm_buf_format(out, ",\"judged\":\"%s\"", HISTORY_JUDGED[line->judged]);
    wm_buf_json_number(out, ",\"gray_share\":", gray != NULL, gray ? gray->share : 0, 4);
    json_record(out, &line->visit);
    history_write_finished_json(out, line->finished);
    wm_buf_text(out, "}");
}

static void json_trend(wm_buf *out, const wm_trend *t)
{
    char words[WM_TREND_WORDS_SIZE];
    wm_buf_json_number(out, ",\"gray_trend\":{\"a_year\":", t->known, t->slope, 4);
    wm_buf_json_number(out, ",\"u_a_year\":", t->known, t->u_slope, 4);
    wm_buf_json_number(out, ",\"change\":", t->known, t->change, 4);
    wm_buf_json_number(out, ",\"u_change\":", t->known, t->u_change, 4);
    wm_buf_json_number(out, ",\"years\":", t->known, t->years, 4);
    wm_buf_format(out, ",\"visits\":%zu,\"measurable\":%s", t->visits, t->measurable ? "true" : "false");
    wm_buf_json_text(out, ",\"words\":", wm_trend_words(words, t));
    wm_buf_text(out, ",\"left_out\":[");
    for (size_t i = 0; i < t->left_out_count; i++)
        wm_buf_json_text(out, i ? "," : "", t->left_out[i]);
    wm_buf_text(out, "]}");
}

void history_write_json(wm_buf *out, const history *h, const char *client)
{
    wm_buf_text(out, "{\"format\":1,\"client\":");
    wm_buf_json_string(out, client);
    wm_buf_text(out, ",\"visits\":[");
    for (size_t i = 0; i < h->count; i++)
        json_line(out, &h->lines[i], i == 0);
    wm_buf_text(out, "]");
    json_trend(out, &h->trend);
    wm_buf_text(out, "}\n");
}
