#include "consult/finished.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/change.h"
#include "consult/pictures.h"
#include "core/json.h"
#include "report/json_out.h"
#include "report/raster.h"

/* {"format":1,"down":"<document>","up":"<document>"} */
static const char *const VIEWS[2] = { "down", "up" };

static wm_status parse(wm_json_document **out, const wm_bytes *bytes, wm_error *err)
{
    return wm_json_parse(out, (const char *)bytes->data, bytes->size, "the photo after", WM_E_BOOK, err);
}

/* --- a photo after --- */

wm_status wm_after_measure(wm_after *out, wm_warnings *warnings, const wm_consult_input *input, wm_error *err)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? wm_consult_measure(report, NULL, input, err) : wm_fail_memory(err);
    if (!status)
        status = wm_report_to_json(&out->json, report, err);
    if (!status) {
        wm_warnings_free(warnings);
        *warnings = report->warnings;
        report->warnings = (wm_warnings){ 0 };
    }
    if (report)
        wm_report_free(report);
    free(report);
    return status;
}

wm_status wm_after_keep(wm_after *out, const wm_photo *photo, const wm_zones *zones, wm_error *err)
{
    wm_picture small = { 0 };
    wm_status status = wm_photo_reduce(&small, photo, WM_PICTURE_SIDE, err);
    if (!status)
        status = wm_raster_jpeg(&out->jpeg, &small, err);
    if (!status && zones)
        status = wm_pictures__zones(&out->zones_json, photo, zones, err);
    wm_picture_free(&small);
    return status;
}

void wm_after_free(wm_after *after)
{
    wm_bytes_free(&after->jpeg);
    wm_bytes_free(&after->zones_json);
    wm_buf_free(&after->json);
}

static void move(wm_bytes *to, wm_bytes *from)
{
    if (!from->size)
        return;
    wm_bytes_free(to);
    *to = *from;
    *from = (wm_bytes){ 0 };
}

static wm_status add_measured(wm_visit *visit, const wm_buf *json, bool up, wm_error *err)
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

wm_status wm_after_put(wm_visit *visit, wm_after *after, bool up, wm_error *err)
{
    wm_status status = after->json.size ? add_measured(visit, &after->json, up, err) : WM_OK;
    if (status)
        return status;
    move(&visit->after_jpeg, &after->jpeg);
    move(&visit->after_zones_json, &after->zones_json);
    return WM_OK;
}

/* --- beside her hair before --- */

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
    out->sure = wm_verdict_of(out->de00 + out->u_de00, limits) == out->verdict;
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
