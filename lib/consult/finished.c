#include "consult/finished.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/change.h"
#include "core/json.h"
#include "report/json_out.h"

/* {"format":1,"down":"<document>","up":"<document>"} */
static const char *const VIEWS[2] = { "down", "up" };

static wm_status parse(wm_json_document **out, const wm_bytes *bytes, wm_error *err)
{
    return wm_json_parse(out, (const char *)bytes->data, bytes->size, "the photo after", WM_E_BOOK, err);
}

wm_status wm_finished_add(wm_visit *visit, const wm_buf *json, bool up, wm_error *err)
{
    wm_buf made = { 0 };
    wm_json_document *before = NULL;
    const char *texts[2] = { NULL, NULL };
    wm_status status = visit->after_report_json.size ? parse(&before, &visit->after_report_json, err) : WM_OK;
    if (status)
        return status;
    for (int i = 0; i < 2; i++)
        texts[i] = i == up ? json->data : wm_json_text(wm_json_get(wm_json_root(before), VIEWS[i]));
    wm_buf_text(&made, "{\"format\":1");
    for (int i = 0; i < 2; i++)
        if (texts[i]) {
            wm_buf_format(&made, ",\"%s\":", VIEWS[i]);
            wm_buf_json_string(&made, texts[i]);
        }
    wm_buf_text(&made, "}");
    status = wm_buf_status(&made, err);
    wm_json_free(before);
    if (status) {
        wm_buf_free(&made);
        return status;
    }
    wm_bytes_free(&visit->after_report_json);
    visit->after_report_json = (wm_bytes){ (unsigned char *)made.data, made.size };
    return WM_OK;
}

static void compare(wm_finished_zone *out, const wm_report_zone *zone, const wm_report *before,
                    const wm_verdict_limits *limits)
{
    const wm_report_zone *hers = wm_change_partner(before, zone);
    snprintf(out->zone, sizeof out->zone, "%s", zone->name);
    out->kind = zone->kind;
    out->place = zone->place;
    out->lab = zone->body.lab;
    out->claim = zone->body.claim;
    if (!hers)
        return;
    snprintf(out->beside, sizeof out->beside, "%s", hers->name);
    out->hers = hers->body.lab;
    out->de00 = wm_de00(hers->body.lab, zone->body.lab);
    out->u_de00 = hypot(hers->body.u_de00, zone->body.u_de00);
    out->verdict = wm_verdict_of(out->de00, limits);
    wm_words(out->words, hers->body.lab, zone->body.lab);
}

static wm_status add_view(wm_finished *out, const char *json, bool up, const wm_report *before,
                          const wm_verdict_limits *limits, wm_error *err)
{
    wm_report *after = calloc(1, sizeof *after);
    wm_status status =
        after ? wm_report_from_json(after, json, strlen(json), "the photo after", err) : wm_fail_memory(err);
    for (size_t i = 0; !status && i < after->zone_count && out->count < WM_FINISHED_ZONES; i++) {
        if (after->zones[i].refused)
            continue;
        wm_finished_zone *zone = &out->zones[out->count++];
        *zone = (wm_finished_zone){ .up = up };
        compare(zone, &after->zones[i], before, limits);
    }
    if (after)
        wm_report_free(after);
    free(after);
    return status;
}

wm_status wm_finished_of(wm_finished *out, const wm_visit *visit, const wm_report *report,
                         const wm_verdict_limits *limits, wm_error *err)
{
    wm_json_document *document = NULL;
    *out = (wm_finished){ 0 };
    if (!visit->after_report_json.size)
        return WM_OK;
    wm_status status = parse(&document, &visit->after_report_json, err);
    for (int i = 0; i < 2 && !status; i++) {
        const char *json = wm_json_text(wm_json_get(wm_json_root(document), VIEWS[i]));
        status = json ? add_view(out, json, i == 1, report, limits, err) : WM_OK;
    }
    for (size_t i = 0; i < out->count; i++)
        if (*out->zones[i].beside && (!out->worst || out->zones[i].de00 > out->worst->de00))
            out->worst = &out->zones[i];
    wm_json_free(document);
    return status;
}
