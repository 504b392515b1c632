#include "history.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "report/json_out.h"

static wm_status load_line(history_line *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = wm_book_visit_load(&visit, book, id, err);
    if (status)
        return status;
    out->id = id;
    memcpy(out->at, visit.date, sizeof out->at);
    out->installed = visit.installed;
    out->report = calloc(1, sizeof *out->report);
    status = out->report ? wm_report_from_json(out->report, (const char *)visit.report_json.data,
                                               visit.report_json.size, "the saved visit", err)
                         : wm_fail_memory(err);
    wm_visit_free(&visit);
    return status;
}

wm_status history_load(history *out, wm_book *book, int64_t client_id, wm_error *err)
{
    int64_t *ids = NULL;
    size_t count = 0;
    history h = { 0 };
    wm_status status = wm_book_visit_ids(&ids, &count, book, client_id, err);
    if (!status && !(h.lines = calloc(count + 1, sizeof *h.lines)))
        status = wm_fail_memory(err);
    for (size_t i = 0; i < count && !status; i++) {
        h.count = i + 1;
        status = load_line(&h.lines[i], book, ids[i], err);
    }
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
        wm_report_free(h->lines[i].report);
        free(h->lines[i].report);
    }
    free(h->lines);
    *h = (history){ 0 };
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

wm_history_item *history_items(const history *h)
{
    wm_history_item *items = h->count ? calloc(h->count, sizeof *items) : NULL;
    for (size_t i = 0; items && i < h->count; i++) {
        const history_line *line = &h->lines[i];
        const wm_report_zone *gray = history_gray_zone(line);
        memcpy(items[i].at, line->at, sizeof items[i].at);
        items[i].installed = line->installed;
        items[i].has_worst = line->report->proposal_count > 0;
        items[i].worst_de00 = items[i].has_worst ? line->report->proposals[0].far : 0;
        items[i].has_share = gray != NULL;
        items[i].gray_share = gray ? gray->share : 0;
    }
    return items;
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
    wm_buf_text(out, "],\"worst_de00\":");
    if (line->report->proposal_count)
        wm_buf_number(out, line->report->proposals[0].far, 4);
    else
        wm_buf_text(out, "null");
    wm_buf_text(out, ",\"gray_share\":");
    if (gray)
        wm_buf_number(out, gray->share, 4);
    else
        wm_buf_text(out, "null");
    wm_buf_text(out, "}");
}

void history_write_json(wm_buf *out, const history *h, const char *client)
{
    wm_buf_text(out, "{\"format\":1,\"client\":");
    wm_buf_json_string(out, client);
    wm_buf_text(out, ",\"visits\":[");
    for (size_t i = 0; i < h->count; i++)
        json_line(out, &h->lines[i], i == 0);
    wm_buf_text(out, "]}\n");
}
