#include "consult/change.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const wm_report_zone *find(const wm_report *report, const char *name)
{
    for (size_t i = 0; i < report->zone_count; i++)
        if (!report->zones[i].refused && strcmp(report->zones[i].name, name) == 0)
            return &report->zones[i];
    return NULL;
}

static void say_share(char *out, size_t size, const wm_report_change *c)
{
    if (!c->has_share)
        return;
    if (fabs(c->d_share) < 2 * c->u_share)
        snprintf(out, size, "; gray: no measurable change");
    else
        snprintf(out, size, "; gray %s by about %.0f points", c->d_share > 0 ? "up" : "down", 5 * round(20 * fabs(c->d_share)));
}

static wm_report_change change_of(const wm_report_zone *before, const wm_report_zone *now)
{
    wm_report_change c = { 0 };
    char words[WM_WORDS_SIZE], share[64] = "", d[40], u[40];
    snprintf(c.zone, sizeof c.zone, "%s", now->name);
    c.de00 = wm_de00(before->lab, now->lab);
    c.u_de00 = hypot(before->u_de00, now->u_de00);
    c.has_share = before->has_share && now->has_share;
    if (c.has_share) {
        c.d_share = now->share - before->share;
        c.u_share = hypot(before->u_share, now->u_share);
    }
    say_share(share, sizeof share, &c);
    wm_words(words, before->lab, now->lab);
    if (c.de00 < 2 * c.u_de00)
        snprintf(c.words, sizeof c.words, "no measurable change%s", share);
    else
        snprintf(c.words, sizeof c.words, "%.60s, dE00 %s +- %s%s", words, wm_number_text(d, c.de00, 1), wm_number_text(u, c.u_de00, 1), share);
    return c;
}

wm_status wm_changes_between(wm_report_change **out, size_t *count, const wm_report *before, const wm_report *now, wm_error *err)
{
    size_t n = 0;
    wm_report_change *items = calloc(now->zone_count + 1, sizeof *items);
    if (!items)
        return wm_fail_memory(err);
    for (size_t i = 0; i < now->zone_count; i++) {
        const wm_report_zone *old = find(before, now->zones[i].name);
        if (old && !now->zones[i].refused)
            items[n++] = change_of(old, &now->zones[i]);
    }
    *out = items;
    *count = n;
    return WM_OK;
}
