#include "consult/goals.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* M6: the base population where the share is measured and it is known, else the body. */
static const wm_measured *base_colour(const wm_report_zone *zone)
{
    return zone->gray_status == WM_GRAY_MEASURED && zone->base_known ? &zone->base : &zone->body;
}

/* M7 */
static const wm_measured *gray_colour(const wm_report_zone *zone)
{
    return zone->gray_status == WM_GRAY_MEASURED && zone->gray_known ? &zone->gray : &zone->body;
}

static const wm_measured *body_colour(const wm_report_zone *zone)
{
    return &zone->body;
}

typedef const wm_measured *(*colour_of)(const wm_report_zone *zone);

/* M6: zones of one kind are averaged; false when there is none. */
static bool average(wm_measured *out, const wm_report *report, wm_zone_kind kind, colour_of colour)
{
    wm_measured colours[WM_MAX_TARGETS];
    size_t n = 0;
    for (size_t i = 0; i < report->zone_count && n < WM_MAX_TARGETS; i++)
        if (!report->zones[i].refused && report->zones[i].kind == kind)
            colours[n++] = *colour(&report->zones[i]);
    if (n > 0)
        *out = wm_measured_mean(colours, NULL, n);
    return n > 0;
}

static wm_status base_goals(wm_goals *out, const wm_report *report, bool hangs_free, wm_error *err)
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

static void gray_goal(wm_goals *out, const wm_report *report)
{
    out->has_gray = average(&out->gray, report, WM_ZONE_GRAY, gray_colour);
    for (size_t i = 0; i < report->zone_count && !*out->gray_said; i++) {
        const wm_report_zone *zone = &report->zones[i];
        if (!zone->refused && zone->kind == WM_ZONE_GRAY && gray_colour(zone) == &zone->body)
            snprintf(out->gray_said, sizeof out->gray_said,
                     "The body colour of %.60s stands in: its gray fibres alone are %s.", zone->name,
                     zone->gray_status == WM_GRAY_NONE_SEEN  ? "not seen"
                     : zone->gray_status == WM_GRAY_ALL_OVER ? "not told apart (gray all over, or bleached)"
                                                             : "not resolved in this photo");
    }
}

static const wm_report_zone *find_zone(const wm_report *report, const char *name)
{
    for (size_t i = 0; i < report->zone_count; i++)
        if (strcmp(report->zones[i].name, name) == 0)
            return &report->zones[i];
    return NULL;
}

/* M17: share and populations of the zone that T comes from. */
static void populations(wm_goals *out, const wm_report_zone *zone)
{
    bool seen = zone->gray_status == WM_GRAY_MEASURED || zone->gray_status == WM_GRAY_LOW;
    if (!seen || !zone->base_known || !zone->gray_known)
        return;
    out->has_populations = true;
    out->share = zone->share;
    out->base_lab = zone->base.lab;
    out->gray_lab = zone->gray.lab;
}

static wm_status named_target(wm_goals *out, const wm_report *report, const char *name, wm_error *err)
{
    const wm_report_zone *zone = find_zone(report, name);
    if (!zone)
        return wm_fail(err, WM_E_INPUT, "there is no zone '%s' for --target-zone; name one of the marked client zones",
                       name);
    if (zone->refused)
        return wm_fail(err, WM_E_PHOTO, "the zone '%s' of --target-zone could not be measured: %s; name another", name,
                       zone->why);
    out->row.target = zone->body;
    snprintf(out->target_zone, sizeof out->target_zone, "%s", name);
    populations(out, zone);
    return WM_OK;
}

/* The first kind of the list that is measured. */
static bool first_of(wm_measured *out, wm_zone_kind *kind, const wm_report *report, const wm_zone_kind *kinds)
{
    for (int i = 0; i < 4; i++)
        if (average(out, report, kinds[i], body_colour)) {
            *kind = kinds[i];
            return true;
        }
    return false;
}

static void chosen_target(wm_goals *out, const wm_report *report)
{
    static const wm_zone_kind TARGET[4] = { WM_ZONE_GRAY, WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT };
    wm_zone_kind kind = WM_ZONE_MID;
    first_of(&out->row.target, &kind, report, TARGET);
    for (size_t i = 0; i < report->zone_count; i++) {
        const wm_report_zone *zone = &report->zones[i];
        if (zone->refused || zone->kind != kind)
            continue;
        size_t n = strlen(out->target_zone);
        snprintf(out->target_zone + n, sizeof out->target_zone - n, "%s%s", n ? " + " : "", zone->name);
        if (!out->has_populations)
            populations(out, zone);
    }
}

wm_status wm_goals_of(wm_goals *out, const wm_report *report, const char *target_zone, bool hangs_free, wm_error *err)
{
    static const wm_zone_kind PILE[4] = { WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT, WM_ZONE_GRAY };
    wm_goals goals = { 0 };
    wm_zone_kind kind;
    wm_status status = base_goals(&goals, report, hangs_free, err);
    if (status)
        goto done;
    gray_goal(&goals, report);
    goals.has_bead = average(&goals.bead, report, WM_ZONE_ROOT, body_colour);
    first_of(&goals.row.pile, &kind, report, PILE);
    if (target_zone)
        status = named_target(&goals, report, target_zone, err);
    else
        chosen_target(&goals, report);
done:
    if (status)
        wm_goals_free(&goals);
    else
        *out = goals;
    return status;
}

void wm_goals_free(wm_goals *goals)
{
    if (goals) {
        free(goals->base);
        free(goals->base_weights);
    }
}
