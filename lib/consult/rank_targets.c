#include "consult/rank_targets.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* M6: the base population where gray is seen, much or little, and it is known, else the body. */
static const wm_measured *base_colour(const wm_report_zone *zone)
{
    return zone->gray_status >= WM_GRAY_LOW && zone->base_known ? &zone->base : &zone->body;
}

/* M7 */
static const wm_measured *gray_colour(const wm_report_zone *zone)
{
    return zone->gray_status == WM_GRAY_MEASURED && zone->gray_known ? &zone->gray : &zone->body;
}

static wm_status base_targets(wm_rank_targets *out, const wm_report *report, bool hangs_free, wm_error *err)
{
    size_t n = 0;
    wm_zone_kind *kinds = calloc(report->zone_count + 1, sizeof *kinds);
    out->base = calloc(report->zone_count + 1, sizeof *out->base);
    out->base_weights = calloc(report->zone_count + 1, sizeof *out->base_weights);
    wm_status status = kinds && out->base && out->base_weights ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; i < report->zone_count && !status; i++) {
        const wm_report_zone *zone = &report->zones[i];
        if (zone->refused || zone->kind == WM_ZONE_GRAY)
            continue;
        kinds[n] = zone->kind;
        out->base[n++] = *base_colour(zone);
    }
    if (!status) {
        wm_base_weights(out->base_weights, kinds, n, hangs_free);
        out->base_count = n;
    }
    free(kinds);
    return status;
}

static const char *why_no_gray(wm_gray_status status)
{
    switch (status) {
    case WM_GRAY_NONE_SEEN: return "not seen";
    case WM_GRAY_ALL_OVER: return "not told apart (gray all over, or bleached)";
    default: return "not resolved in this photo";
    }
}

/* No gray seen, and little: the body is the base. */
static bool base_hidden(const wm_report_zone *zone)
{
    return zone->gray_status == WM_GRAY_ALL_OVER || (zone->gray_status == WM_GRAY_MEASURED && !zone->base_known);
}

static void say_base(wm_rank_targets *out, const wm_report *report)
{
    for (size_t i = 0; i < report->zone_count && !*out->base_why; i++) {
        const wm_report_zone *zone = &report->zones[i];
        if (!zone->refused && zone->kind != WM_ZONE_GRAY && base_hidden(zone))
            snprintf(out->base_why, sizeof out->base_why,
                     "The body colour of %.60s stands in: its own colour is not told apart from the gray.", zone->name);
    }
}

/* M7: gray zones are averaged. */
static void gray_target(wm_rank_targets *out, const wm_report *report)
{
    wm_measured colours[WM_MAX_TARGETS];
    size_t n = 0;
    for (size_t i = 0; i < report->zone_count && n < WM_MAX_TARGETS; i++)
        if (!report->zones[i].refused && report->zones[i].kind == WM_ZONE_GRAY)
            colours[n++] = *gray_colour(&report->zones[i]);
    out->has_gray = n > 0;
    if (n > 0)
        out->gray = wm_measured_mean(colours, NULL, n);
    for (size_t i = 0; i < report->zone_count && !*out->gray_why; i++) {
        const wm_report_zone *zone = &report->zones[i];
        if (!zone->refused && zone->kind == WM_ZONE_GRAY && gray_colour(zone) == &zone->body)
            snprintf(out->gray_why, sizeof out->gray_why,
                     "The body colour of %.60s stands in: its gray fibres alone are %s.", zone->name,
                     why_no_gray(zone->gray_status));
    }
}

wm_status wm_rank_targets_of(wm_rank_targets *out, const wm_report *report, bool hangs_free, wm_error *err)
{
    wm_rank_targets targets = { 0 };
    wm_status status = base_targets(&targets, report, hangs_free, err);
    if (status) {
        wm_rank_targets_free(&targets);
        return status;
    }
    say_base(&targets, report);
    gray_target(&targets, report);
    *out = targets;
    return WM_OK;
}

void wm_rank_targets_free(wm_rank_targets *targets)
{
    if (targets) {
        free(targets->base);
        free(targets->base_weights);
    }
}
