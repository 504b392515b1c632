#include "consult/change.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const wm_report_zone *wm_change_partner(const wm_report *before, const wm_report_zone *zone)
{
    const wm_report_zone *alike = NULL;
    size_t count = 0;
    for (size_t i = 0; i < before->zone_count; i++) {
        const wm_report_zone *other = &before->zones[i];
        if (other->refused)
            continue;
        if (strcmp(other->name, zone->name) == 0)
            return other;
        if (other->kind == zone->kind && other->place == zone->place) {
            alike = other;
            count++;
        }
    }
    return count == 1 ? alike : NULL;
}

bool wm_change_is_lightened(const wm_report *report, const wm_report_zone *zone)
{
    const size_t length = strlen(zone->name);
    for (size_t i = 0; i < report->warnings.count; i++)
        if (strcmp(report->warnings.items[i].code, "lighter_fibres") == 0 &&
            strncmp(report->warnings.items[i].text, zone->name, length) == 0 &&
            report->warnings.items[i].text[length] == ':')
            return true;
    return false;
}

static void say_share(char *out, size_t size, const wm_report_change *c)
{
    if (!c->has_share)
        return;
    if (fabs(c->d_share) < MEASURABLE_IN_U * c->u_share)
        snprintf(out, size, "; gray: no measurable change");
    else
        snprintf(out, size, "; gray %s by about %.0f points", c->d_share > 0 ? "up" : "down",
                 5 * round(20 * fabs(c->d_share)));
}

/* Minutes since a fixed day, of "YYYY-MM-DDThh:mm:ss"; negative when it is no such time. */
static double minutes_of(const char *taken)
{
    wm_date date;
    char day[WM_DATE_SIZE];
    long hour, minute;
    char part[3] = "";
    if (strlen(taken) < 16)
        return -1;
    snprintf(day, sizeof day, "%.10s", taken);
    memcpy(part, taken + 11, 2);
    bool good = wm_date_parse(&date, day) && wm_whole_parse(part, 0, 23, &hour);
    memcpy(part, taken + 14, 2);
    return good && wm_whole_parse(part, 0, 59, &minute)
               ? (double)wm_date_to_days(date) * 1440 + (double)(hour * 60 + minute)
               : -1;
}

static bool has_catalogue_aid(const wm_report *report)
{
    return report->calibration.aid >= WM_AIDS_TARGET;
}

bool wm_changes_same_session(const wm_report *before, const wm_report *now)
{
    double first = minutes_of(before->photo.taken), second = minutes_of(now->photo.taken);
    return *now->photo.camera && strcmp(before->photo.camera, now->photo.camera) == 0 && first >= 0 && second >= 0 &&
           fabs(second - first) <= 60 && !has_catalogue_aid(before) && !has_catalogue_aid(now);
}

/* C14 */
static double session_u(const wm_report *before, const wm_report *now, double de00)
{
    bool curves = before->calibration.stage1.kind == WM_STAGE1_CURVE && now->calibration.stage1.kind == WM_STAGE1_CURVE;
    return wm_difference_u(curves ? WM_PAIR_TWO_CURVES : WM_PAIR_TWO_PHOTOS, de00);
}

static wm_report_change change_of(const wm_report_zone *before, const wm_report_zone *now,
                                  const wm_report *const reports[2])
{
    wm_report_change c = { 0 };
    char words[WM_WORDS_SIZE], share[64] = "", d[40], u[40];
    snprintf(c.zone, sizeof c.zone, "%s", now->name);
    snprintf(c.then, sizeof c.then, "%s", before->name);
    c.de00 = wm_de00(before->body.lab, now->body.lab);
    c.u_de00 = hypot(before->body.u_de00, now->body.u_de00);
    if (wm_changes_same_session(reports[0], reports[1]))
        c.u_de00 = fmin(c.u_de00, session_u(reports[0], reports[1], c.de00));
    c.has_share = before->has_share && now->has_share && !wm_change_is_lightened(reports[0], before) &&
                  !wm_change_is_lightened(reports[1], now);
    if (c.has_share) {
        c.d_share = now->share - before->share;
        c.u_share = hypot(before->u_share, now->u_share);
    }
    say_share(share, sizeof share, &c);
    wm_words(words, before->body.lab, now->body.lab);
    if (c.de00 <= MEASURABLE_IN_U * c.u_de00)
        snprintf(c.words, sizeof c.words, "no measurable change%s", share);
    else
        snprintf(c.words, sizeof c.words, "%.60s%sdE00 %s +- %s%s", words, *words ? ", " : "",
                 wm_number_text(d, c.de00, 1), wm_number_text(u, c.u_de00, 1), share);
    return c;
}

wm_status wm_changes_between(wm_report_change **out, size_t *count, const wm_report *before, const wm_report *now,
                             wm_error *err)
{
    size_t n = 0;
    wm_report_change *items = calloc(now->zone_count + 1, sizeof *items);
    if (!items)
        return wm_fail_memory(err);
    for (size_t i = 0; i < now->zone_count; i++) {
        const wm_report_zone *old = now->zones[i].refused ? NULL : wm_change_partner(before, &now->zones[i]);
        if (old)
            items[n++] = change_of(old, &now->zones[i], (const wm_report *const[2]){ before, now });
    }
    *out = items;
    *count = n;
    return WM_OK;
}

void wm_changes_unpaired(wm_warnings *out, const wm_report *before, const wm_report *now)
{
    for (size_t i = 0; i < now->zone_count; i++)
        if (!now->zones[i].refused && !wm_change_partner(before, &now->zones[i]))
            wm_warnings_add(out, "unpaired", "%s: not measured then", now->zones[i].name);
    for (size_t i = 0; i < before->zone_count; i++) {
        bool paired = before->zones[i].refused;
        for (size_t k = 0; k < now->zone_count && !paired; k++)
            paired = !now->zones[k].refused && wm_change_partner(before, &now->zones[k]) == &before->zones[i];
        if (!paired)
            wm_warnings_add(out, "unpaired", "%s: measured then, not now", before->zones[i].name);
    }
}
