#include "consult/goals.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wm_goal goal_of(const wm_finished *colour)
{
    return (wm_goal){ colour->lab, colour->sigma, colour->u_de00, 1 };
}

/* M6: the base population where the share is measured and it is known, else the body. */
static const wm_finished *base_colour(const wm_surveyed_zone *zone)
{
    return zone->gray.status == WM_GRAY_MEASURED && zone->base_known ? &zone->base : &zone->body;
}

/* M7 */
static const wm_finished *gray_colour(const wm_surveyed_zone *zone)
{
    return zone->gray.status == WM_GRAY_MEASURED && zone->gray_known ? &zone->gray_fibres : &zone->body;
}

static const wm_finished *body_colour(const wm_surveyed_zone *zone)
{
    return &zone->body;
}

typedef const wm_finished *(*colour_of)(const wm_surveyed_zone *zone);

/* M6: zones of one kind are averaged in linear light; false when there is none. Sigma and u as root mean squares: the
 * zones share the calibration's error, which averaging does not take away. */
static bool average(wm_goal *out, const wm_survey *survey, wm_zone_kind kind, colour_of colour)
{
    wm_rgb sum = { 0, 0, 0 };
    double L = 0, a = 0, b = 0, u = 0, n = 0;
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        if (zone->refused || zone->zone->kind != kind)
            continue;
        const wm_finished *c = colour(zone);
        sum = wm_rgb_add(sum, wm_lab_to_rgb(c->lab));
        L += c->sigma.L * c->sigma.L;
        a += c->sigma.a * c->sigma.a;
        b += c->sigma.b * c->sigma.b;
        u += c->u_de00 * c->u_de00;
        n += 1;
    }
    if (n < 1)
        return false;
    *out =
        (wm_goal){ wm_rgb_to_lab(wm_rgb_scale(sum, 1 / n)), { sqrt(L / n), sqrt(a / n), sqrt(b / n) }, sqrt(u / n), 1 };
    return true;
}

static wm_status base_goals(wm_goals *out, const wm_survey *survey, bool hangs_free, wm_error *err)
{
    size_t n = 0;
    wm_zone_kind *kinds = calloc(survey->zone_count + 1, sizeof *kinds);
    double *weights = calloc(survey->zone_count + 1, sizeof *weights);
    out->base = calloc(survey->zone_count + 1, sizeof *out->base);
    wm_status status = kinds && weights && out->base ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; i < survey->zone_count && !status; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        if (zone->refused || zone->zone->kind == WM_ZONE_GRAY)
            continue;
        kinds[n] = zone->zone->kind;
        out->base[n++] = goal_of(base_colour(zone));
    }
    if (!status) {
        wm_base_weights(weights, kinds, n, hangs_free);
        for (size_t i = 0; i < n; i++)
            out->base[i].weight = weights[i];
        out->base_count = n;
    }
    free(kinds);
    free(weights);
    return status;
}

static void gray_goal(wm_goals *out, const wm_survey *survey)
{
    out->has_gray = average(&out->gray, survey, WM_ZONE_GRAY, gray_colour);
    for (size_t i = 0; i < survey->zone_count && !*out->gray_said; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        if (!zone->refused && zone->zone->kind == WM_ZONE_GRAY && gray_colour(zone) == &zone->body)
            snprintf(out->gray_said, sizeof out->gray_said,
                     "The body colour of %s stands in: its gray fibres alone are %s.", zone->zone->name,
                     zone->gray.status == WM_GRAY_NONE_SEEN ? "not seen" : "not resolved in this photo");
    }
}

static const wm_surveyed_zone *find_zone(const wm_survey *survey, const char *name)
{
    for (size_t i = 0; i < survey->zone_count; i++)
        if (strcmp(survey->zones[i].zone->name, name) == 0)
            return &survey->zones[i];
    return NULL;
}

/* M17: share and populations of the zone that T comes from. */
static void populations(wm_goals *out, const wm_surveyed_zone *zone)
{
    bool seen = zone->gray.status == WM_GRAY_MEASURED || zone->gray.status == WM_GRAY_LOW;
    if (!seen || !zone->base_known || !zone->gray_known)
        return;
    out->has_populations = true;
    out->share = zone->gray.share;
    out->base_lab = zone->base.lab;
    out->gray_lab = zone->gray_fibres.lab;
}

static wm_status named_target(wm_goals *out, const wm_survey *survey, const char *name, wm_error *err)
{
    const wm_surveyed_zone *zone = find_zone(survey, name);
    if (!zone)
        return wm_fail(err, WM_E_INPUT, "there is no zone '%s' for --target-zone; name one of the marked client zones",
                       name);
    if (zone->refused)
        return wm_fail(err, WM_E_PHOTO, "the zone '%s' of --target-zone could not be measured: %s; name another", name,
                       zone->why);
    out->row.target = goal_of(&zone->body);
    snprintf(out->target_zone, sizeof out->target_zone, "%s", name);
    populations(out, zone);
    return WM_OK;
}

/* The first kind of the list that is measured. */
static bool first_of(wm_goal *out, wm_zone_kind *kind, const wm_survey *survey, const wm_zone_kind *kinds)
{
    for (int i = 0; i < 4; i++)
        if (average(out, survey, kinds[i], body_colour)) {
            *kind = kinds[i];
            return true;
        }
    return false;
}

static void chosen_target(wm_goals *out, const wm_survey *survey)
{
    static const wm_zone_kind TARGET[4] = { WM_ZONE_GRAY, WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT };
    wm_zone_kind kind = WM_ZONE_MID;
    first_of(&out->row.target, &kind, survey, TARGET);
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        if (zone->refused || zone->zone->kind != kind)
            continue;
        size_t n = strlen(out->target_zone);
        snprintf(out->target_zone + n, sizeof out->target_zone - n, "%s%s", n ? " + " : "", zone->zone->name);
        if (!out->has_populations)
            populations(out, zone);
    }
}

wm_status wm_goals_of(wm_goals *out, const wm_survey *survey, const char *target_zone, bool hangs_free, wm_error *err)
{
    static const wm_zone_kind PILE[4] = { WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT, WM_ZONE_GRAY };
    wm_goals goals = { 0 };
    wm_zone_kind kind;
    wm_status status = base_goals(&goals, survey, hangs_free, err);
    if (status)
        goto done;
    gray_goal(&goals, survey);
    goals.has_bead = average(&goals.bead, survey, WM_ZONE_ROOT, body_colour);
    first_of(&goals.row.pile, &kind, survey, PILE);
    if (target_zone)
        status = named_target(&goals, survey, target_zone, err);
    else
        chosen_target(&goals, survey);
done:
    if (status)
        wm_goals_free(&goals);
    else
        *out = goals;
    return status;
}

void wm_goals_free(wm_goals *goals)
{
    if (goals)
        free(goals->base);
}

/* A saved zone seen as a surveyed one: body colours are all that the row's goal needs. */
static void zone_of_report(wm_surveyed_zone *out, wm_zone *shape, const wm_report_zone *zone)
{
    shape->kind = zone->kind;
    shape->name = (char *)(uintptr_t)zone->name; /* lent, never written */
    *out = (wm_surveyed_zone){ .zone = shape, .refused = zone->refused, .why = "it was refused then" };
    out->body = (wm_finished){ zone->lab, zone->sigma, zone->u_de00, 1, zone->claim };
    out->gray.status = WM_GRAY_NOT_RESOLVED;
}

static bool has_zone(const wm_report *report, const char *name)
{
    for (size_t i = 0; i < report->zone_count; i++)
        if (!report->zones[i].refused && strcmp(report->zones[i].name, name) == 0)
            return true;
    return false;
}

wm_status wm_goals_of_report(wm_layers_goal *out, const wm_report *report, wm_error *err)
{
    wm_goals goals;
    wm_survey survey = { .zones = calloc(report->zone_count + 1, sizeof *survey.zones),
                         .zone_count = report->zone_count };
    wm_zone *shapes = calloc(report->zone_count + 1, sizeof *shapes);
    wm_status status = survey.zones && shapes ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; i < report->zone_count && !status; i++)
        zone_of_report(&survey.zones[i], &shapes[i], &report->zones[i]);
    if (!status) /* several zones were M9's own choice, which it makes again */
        status = wm_goals_of(&goals, &survey, has_zone(report, report->target_zone) ? report->target_zone : NULL, false,
                             err);
    if (!status) {
        *out = goals.row;
        wm_goals_free(&goals);
    }
    free(survey.zones);
    free(shapes);
    return status;
}
