#include "consult/saved.h"

#include <stdio.h>

#include "report/json_out.h"

static const char SAVED[] = "the saved visit";

bool wm_saved_measured(const wm_visit *visit)
{
    return visit->report_json.size > 0;
}

wm_status wm_saved_need_measured(const wm_visit *visit, wm_error *err)
{
    return wm_saved_measured(visit)
               ? WM_OK
               : wm_fail(err, WM_E_BOOK, "visit %lld of %s is without a photo, so nothing was measured; name another",
                         (long long)visit->id, visit->date);
}

wm_visit wm_saved_visit(int64_t client_id, const wm_consulted *from)
{
    wm_visit visit = { .client_id = client_id,
                       .report_json = { (unsigned char *)from->json->data, from->json->size },
                       .photo_jpeg = from->pictures->photo_jpeg,
                       .gray_map_png = from->pictures->gray_map_png,
                       .zones_json = from->pictures->zones_json };
    snprintf(visit.date, sizeof visit.date, "%s", from->date);
    snprintf(visit.photo_sha256, sizeof visit.photo_sha256, "%s", from->report->photo.sha256);
    return visit;
}

static wm_status read(wm_report *out, const wm_visit *visit, const wm_report_part *part, wm_error *err)
{
    if (!wm_saved_measured(visit)) {
        *out = (wm_report){ .measured_only = true };
        return WM_OK;
    }
    return wm_report_from_json_part(out, (const char *)visit->report_json.data, visit->report_json.size, part, SAVED,
                                    err);
}

wm_status wm_saved_report(wm_report *out, const wm_visit *visit, wm_error *err)
{
    static const char *const NOTHING[] = { NULL };
    return read(out, visit, &(wm_report_part){ .without = NOTHING }, err);
}

static wm_status read_without(wm_report *out, const wm_visit *visit, const char *const *without, wm_error *err)
{
    const char *codes[2 * WM_MAX_LAYERS];
    const size_t count = wm_stack_shades(codes, &visit->installed);
    return read(out, visit, &(wm_report_part){ without, codes, count, 0 }, err);
}

wm_status wm_saved_brief(wm_report *out, const wm_visit *visit, wm_error *err)
{
    static const char *const LONG[] = { "rankings", "scenarios", NULL };
    return read_without(out, visit, LONG, err);
}

wm_status wm_saved_decided(wm_report *out, const wm_visit *visit, wm_error *err)
{
    static const char *const LATER[] = { "rankings", "scenarios", "plan", "cautions", NULL };
    return read_without(out, visit, LATER, err);
}

wm_status wm_saved_plan(wm_report *out, const wm_visit *visit, wm_error *err)
{
    static const char *const ALL_ELSE[] = { "rankings", "scenarios", "proposals", "zones", "warnings", NULL };
    return read(out, visit, &(wm_report_part){ .without = ALL_ELSE }, err);
}
