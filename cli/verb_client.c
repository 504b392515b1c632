#include <stdlib.h>
#include <string.h>

#include "context.h"
#include "report/json_out.h"
#include "say.h"
#include "verbs.h"

int verb_client_add(const args *a)
{
    clock_reading clock;
    wm_book *book = NULL;
    wm_error err;
    int64_t id = 0;
    wm_status status = context_clock(&clock, a, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status)
        status = wm_book_client_add(&id, book, a->operands[0], args_text(a, "note"), clock.day, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    wm_buf out = { 0 };
    wm_buf_format(&out, "%lld  %s\n", (long long)id, a->operands[0]);
    int code = say_result(&out);
    wm_buf_free(&out);
    return code;
}

int verb_client_list(const args *a)
{
    wm_book *book = NULL;
    wm_client *clients = NULL;
    size_t count = 0;
    wm_error err;
    wm_buf out = { 0 };
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_client_list(&clients, &count, book, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    for (size_t i = 0; i < count; i++)
        wm_buf_format(&out, "%4lld  since %s, %ld visit%s  %s\n", (long long)clients[i].id, clients[i].since, clients[i].visits,
                      clients[i].visits == 1 ? " " : "s", clients[i].name);
    free(clients);
    int code = context_write(a, args_text(a, "output"), &out, true);
    wm_buf_free(&out);
    return code;
}

/* A client's visits as what history shows of them. */
typedef struct history_line { int64_t id; char at[WM_DATE_SIZE]; char installed[256]; wm_report report; } history_line;

static wm_status load_line(history_line *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = wm_book_visit_load(&visit, book, id, err);
    if (status)
        return status;
    out->id = id;
    memcpy(out->at, visit.date, sizeof out->at);
    memcpy(out->installed, visit.installed, sizeof out->installed);
    status = wm_report_from_json(&out->report, (const char *)visit.report_json.data, visit.report_json.size, "the saved visit", err);
    wm_visit_free(&visit);
    return status;
}

static const wm_report_zone *gray_zone_of(const wm_report *report)
{
    const wm_report_zone *found = NULL;
    for (size_t i = 0; i < report->zone_count; i++)
        if (report->zones[i].has_share && (!found || report->zones[i].kind == WM_ZONE_GRAY))
            found = &report->zones[i];
    return found;
}

static void json_line(wm_buf *out, const history_line *line, bool first)
{
    const wm_report_zone *gray = gray_zone_of(&line->report);
    wm_buf_format(out, "%s\n  {\"id\":%lld,\"at\":\"%s\",\"photo\":", first ? "" : ",", (long long)line->id, line->at);
    wm_buf_json_string(out, line->report.photo.file);
    wm_buf_text(out, ",\"zones\":[");
    for (size_t i = 0; i < line->report.zone_count; i++) {
        wm_buf_text(out, i ? "," : "");
        wm_buf_json_string(out, line->report.zones[i].name);
    }
    wm_buf_text(out, "],\"installed\":[");
    for (const char *p = line->installed; *p; p += strspn(p, ",")) {
        char code[WM_CODE_SIZE];
        size_t n = strcspn(p, ",");
        memcpy(code, p, n < sizeof code ? n : sizeof code - 1);
        code[n < sizeof code ? n : sizeof code - 1] = '\0';
        wm_buf_text(out, p == line->installed ? "" : ",");
        wm_buf_json_string(out, code);
        p += n;
    }
    wm_buf_text(out, "],\"worst_de00\":");
    if (line->report.proposal_count)
        wm_buf_number(out, line->report.proposals[0].worst_de00, 4);
    else
        wm_buf_text(out, "null");
    wm_buf_text(out, ",\"gray_share\":");
    if (gray)
        wm_buf_number(out, gray->share, 4);
    else
        wm_buf_text(out, "null");
    wm_buf_text(out, "}");
}

static void text_line(wm_buf *out, const history_line *line)
{
    char number[48];
    const wm_report_zone *gray = gray_zone_of(&line->report);
    wm_buf_format(out, "%4lld  %s  ", (long long)line->id, line->at);
    if (gray)
        wm_buf_format(out, "gray %3s %%  ", wm_number_text(number, 100 * gray->share, 0));
    else
        wm_buf_text(out, "gray   ?    ");
    if (line->report.proposal_count) {
        const wm_report_proposal *best = &line->report.proposals[0];
        wm_buf_format(out, "%s dE00 %s  ", wm_verdict_name(best->verdict), wm_number_text(number, best->worst_de00, 1));
        for (int i = 0; i < best->layer_count; i++)
            wm_buf_format(out, "%s%s", i ? "/" : "", best->layers[i]);
    }
    if (*line->installed)
        wm_buf_format(out, "  installed %s", line->installed);
    wm_buf_text(out, "\n");
}

static wm_status write_history(wm_buf *out, wm_book *book, const wm_client *client, bool json, wm_error *err)
{
    int64_t *ids = NULL;
    size_t count = 0;
    wm_status status = wm_book_visit_ids(&ids, &count, book, client->id, err);
    if (!status && json) {
        wm_buf_text(out, "{\"format\":1,\"client\":");
        wm_buf_json_string(out, client->name);
        wm_buf_text(out, ",\"visits\":[");
    }
    for (size_t i = 0; i < count && !status; i++) {
        history_line *line = calloc(1, sizeof *line);
        status = line ? load_line(line, book, ids[i], err) : wm_fail_memory(err);
        if (!status && json)
            json_line(out, line, i == 0);
        else if (!status)
            text_line(out, line);
        if (line)
            wm_report_free(&line->report);
        free(line);
    }
    if (!status && json)
        wm_buf_text(out, "]}\n");
    free(ids);
    return status;
}

int verb_client_history(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_error err;
    wm_buf out = { 0 };
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_client_find(&client, book, a->operands[0], &err);
    if (!status)
        status = write_history(&out, book, &client, args_has(a, "json"), &err);
    wm_book_close(book);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_buf_free(&out);
    return code;
}

int verb_client_show(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_error err;
    wm_buf out = { 0 };
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_client_find(&client, book, a->operands[0], &err);
    if (!status) {
        wm_buf_format(&out, "%s\nid %lld, since %s, %ld visit%s\n", client.name, (long long)client.id, client.since, client.visits,
                      client.visits == 1 ? "" : "s");
        if (*client.note)
            wm_buf_format(&out, "%s\n", client.note);
        status = write_history(&out, book, &client, false, &err);
    }
    wm_book_close(book);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_buf_free(&out);
    return code;
}
