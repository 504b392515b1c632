#include "consult/trend.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/change.h"

static const double DAYS_A_YEAR = 365.25;
/* Our own: a share is never better known than that, however the zone was placed. */
static const double LEAST_U = 0.01;

/* --- what takes part --- */

static void leave_out(wm_trend *out, const char *date, const char *zone, const char *why)
{
    if (out->left_out_count < WM_TREND_LEFT_OUT)
        snprintf(out->left_out[out->left_out_count++], sizeof out->left_out[0], "%s %.80s: %s", date, zone, why);
}

/* By kind without a word for the place. */
static bool together(const wm_trend_point *a, const wm_trend_point *b)
{
    return a->kind == b->kind && a->place == b->place;
}

static void take_zone(wm_trend *out, const wm_report_zone *zone, wm_trend_point point)
{
    point.kind = zone->kind;
    point.place = zone->place;
    point.share = zone->share;
    point.u = fmax(LEAST_U, zone->u_share);
    for (size_t i = 0; i < out->count; i++) { /* two zones of a visit at one place are its mean */
        wm_trend_point *old = &out->points[i];
        if (old->visit != point.visit || !together(old, &point))
            continue;
        const double a = 1 / (old->u * old->u), b = 1 / (point.u * point.u);
        old->share = (a * old->share + b * point.share) / (a + b);
        old->u = 1 / sqrt(a + b);
        return;
    }
    out->points[out->count++] = point;
}

static void take_visit(wm_trend *out, const wm_trend_visit *visit, wm_trend_point point)
{
    for (size_t i = 0; i < visit->report->zone_count; i++) {
        const wm_report_zone *zone = &visit->report->zones[i];
        if (zone->refused || !zone->has_share)
            continue;
        if (wm_change_is_lightened(visit->report, zone))
            leave_out(out, visit->date, zone->name, "lighter fibres");
        else
            take_zone(out, zone, point);
    }
}

/* A place that was measured at one visit alone says nothing of the slope. */
static void drop_single(wm_trend *out, const wm_trend_visit *visits)
{
    size_t kept = 0;
    for (size_t i = 0; i < out->count; i++) {
        size_t alike = 0;
        for (size_t k = 0; k < out->count; k++)
            alike += together(&out->points[i], &out->points[k]);
        const wm_trend_point point = out->points[i];
        out->points[i].u = alike > 1 ? point.u : -1;
    }
    for (size_t i = 0; i < out->count; i++) {
        const wm_trend_point point = out->points[i];
        if (point.u > 0)
            out->points[kept++] = point;
        else
            leave_out(out, visits[point.visit].date,
                      *wm_place_name(point.place) ? wm_place_name(point.place) : wm_zone_kind_name(point.kind),
                      "measured at one visit alone");
    }
    out->count = kept;
}

/* --- the fit --- */

typedef struct mean {
    double weight, years, share;
} mean;

/* Of the places that belong together with point i. */
static mean mean_of(const wm_trend *t, size_t i)
{
    mean m = { 0 };
    for (size_t k = 0; k < t->count; k++) {
        const double w = 1 / (t->points[k].u * t->points[k].u);
        if (!together(&t->points[i], &t->points[k]))
            continue;
        m.weight += w;
        m.years += w * t->points[k].years;
        m.share += w * t->points[k].share;
    }
    m.years /= m.weight;
    m.share /= m.weight;
    return m;
}

static bool first_of_its_place(const wm_trend *t, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (together(&t->points[k], &t->points[i]))
            return false;
    return true;
}

/* Where the points lie wider about the line than their u says, u grows (Birge's ratio). */
static void fit(wm_trend *t)
{
    double xx = 0, xy = 0, chi2 = 0, share = 0, weight = 0, first = INFINITY, last = 0;
    size_t places = 0;
    for (size_t i = 0; i < t->count; i++) {
        const mean m = mean_of(t, i);
        const double w = 1 / (t->points[i].u * t->points[i].u), x = t->points[i].years - m.years;
        xx += w * x * x;
        xy += w * x * (t->points[i].share - m.share);
        places += first_of_its_place(t, i);
        first = fmin(first, t->points[i].years);
        last = fmax(last, t->points[i].years);
    }
    t->known = xx > 0;
    if (!t->known)
        return;
    t->slope = xy / xx;
    for (size_t i = 0; i < t->count; i++) {
        const mean m = mean_of(t, i);
        const double off = t->points[i].share - m.share - t->slope * (t->points[i].years - m.years);
        chi2 += off * off / (t->points[i].u * t->points[i].u);
        if (first_of_its_place(t, i)) {
            share += m.weight * (m.share + t->slope * (last - m.years));
            weight += m.weight;
        }
    }
    const size_t free_ones = t->count > places + 1 ? t->count - places - 1 : 0;
    const double birge = free_ones ? fmax(1, sqrt(chi2 / (double)free_ones)) : 1;
    t->first_years = first;
    t->years = last - first;
    t->u_slope = birge / sqrt(xx);
    t->share = fmin(1, fmax(0, share / weight));
    t->widened = birge;
    t->u_share = hypot(birge / sqrt(weight), t->u_slope * t->years / 2);
    t->change = t->slope * t->years;
    t->u_change = t->u_slope * t->years;
    t->measurable = fabs(t->change) > MEASURABLE_IN_U * t->u_change;
}

static size_t visits_of(const wm_trend *t)
{
    size_t visits = 0;
    for (size_t i = 0; i < t->count; i++)
        visits += i == 0 || t->points[i].visit != t->points[i - 1].visit;
    return visits;
}

wm_status wm_trend_of(wm_trend *out, const wm_trend_visit *visits, size_t count, wm_error *err)
{
    wm_trend trend = { 0 };
    size_t zones = 0;
    wm_date day, first = { 0 };
    for (size_t i = 0; i < count; i++)
        zones += visits[i].report->zone_count;
    trend.points = calloc(zones + 1, sizeof *trend.points);
    if (!trend.points)
        return wm_fail_memory(err);
    for (size_t i = 0; i < count; i++) {
        if (!wm_date_parse(&day, visits[i].date))
            continue;
        first = first.year ? first : day;
        const double years = (double)(wm_date_to_days(day) - wm_date_to_days(first)) / DAYS_A_YEAR;
        take_visit(&trend, &visits[i], (wm_trend_point){ .visit = i, .years = years });
    }
    drop_single(&trend, visits);
    fit(&trend);
    trend.visits = visits_of(&trend);
    *out = trend;
    return WM_OK;
}

void wm_trend_free(wm_trend *trend)
{
    free(trend->points);
    *trend = (wm_trend){ 0 };
}

const char *wm_trend_words(char out[WM_TREND_WORDS_SIZE], const wm_trend *t)
{
    char points[40], u[40], years[40], low[40], high[40];
    wm_number_text(u, 100 * t->u_change, 0);
    wm_number_text(years, t->years, 1);
    if (!t->known)
        snprintf(out, WM_TREND_WORDS_SIZE, "not known yet: it takes one place that was measured at two visits");
    else if (t->measurable)
        snprintf(out, WM_TREND_WORDS_SIZE, "%s by %s +- %s points in %s years, over %zu visits",
                 t->change > 0 ? "up" : "down", wm_number_text(points, 100 * fabs(t->change), 0), u, years, t->visits);
    else
        snprintf(out, WM_TREND_WORDS_SIZE,
                 "no measurable change in %s years, over %zu visits: between %s and %s%s points", years, t->visits,
                 wm_number_text(low, 100 * (t->change - MEASURABLE_IN_U * t->u_change), 0),
                 t->change + MEASURABLE_IN_U * t->u_change > 0 ? "+" : "",
                 wm_number_text(high, 100 * (t->change + MEASURABLE_IN_U * t->u_change), 0));
    return out;
}

/* --- as a drawing --- */

/* The line through the mean of the places that belong together with point i. */
static void draw_fit(wm_plot_share line[WM_PLOT_LINE], const wm_trend *t, size_t i)
{
    const mean m = mean_of(t, i);
    for (size_t k = 0; k < WM_PLOT_LINE; k++) {
        const double years = t->first_years + t->years * (double)k / (WM_PLOT_LINE - 1);
        line[k].years = years;
        line[k].share = m.share + t->slope * (years - m.years);
        line[k].u = hypot(t->widened / sqrt(m.weight), t->u_slope * (years - m.years));
    }
}

/* The place's name; that of its kind alone where no other place of that kind takes part. */
static size_t place_of(wm_plot_gray *out, const wm_trend *t, size_t i)
{
    const wm_trend_point *p = &t->points[i];
    char name[sizeof out->places[0]];
    bool alone = true;
    size_t at = 0;
    for (size_t k = 0; k < t->count; k++)
        alone = alone && (t->points[k].kind != p->kind || together(&t->points[k], p));
    snprintf(name, sizeof name, "%s%s%s", wm_zone_kind_name(p->kind), alone ? "" : ", ",
             alone ? "" : wm_place_name(p->place));
    while (at < out->place_count && strcmp(out->places[at], name) != 0)
        at++;
    if (at == out->place_count && at < WM_PLOT_PLACES) {
        snprintf(out->places[at], sizeof name, "%s", name);
        draw_fit(out->lines[at], t, i);
        out->place_count++;
    }
    return at;
}

wm_status wm_trend_plot(wm_plot_gray *out, const wm_trend *t, const wm_trend_visit *visits, wm_error *err)
{
    wm_plot_gray made = { .points = calloc(t->count + 1, sizeof *made.points) };
    if (!made.points)
        return wm_fail_memory(err);
    for (size_t i = 0; i < t->count; i++) {
        const wm_trend_point *p = &t->points[i];
        const size_t place = place_of(&made, t, i);
        if (place < WM_PLOT_PLACES)
            made.points[made.count++] = (wm_plot_share){ p->years, p->share, p->u, place };
    }
    made.from = t->count ? visits[t->points[0].visit].date : "";
    made.to = t->count ? visits[t->points[t->count - 1].visit].date : "";
    made.line_count = t->known ? WM_PLOT_LINE : 0;
    *out = made;
    return WM_OK;
}
