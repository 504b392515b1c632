#include "consult/heads.h"

#include <stdio.h>

static void take(wm_head_zone *out, const wm_report_zone *zone)
{
    *out =
        (wm_head_zone){ .kind = zone->kind,
                        .place = zone->place,
                        .lab = zone->body.lab,
                        .sigma = zone->body.sigma,
                        .u_de00 = zone->body.u_de00,
                        .at_best = zone->body.claim,
                        .has_share = zone->has_share,
                        .share = zone->has_share ? zone->share : 0,
                        .u_share = zone->has_share ? zone->u_share : 0,
                        .all_over = zone->gray_status == WM_GRAY_ALL_OVER,
                        .has_populations = zone->has_share && zone->share > 0 && zone->base_known && zone->gray_known,
                        .base = zone->base.lab,
                        .gray = zone->gray.lab };
    snprintf(out->name, sizeof out->name, "%s", zone->name);
}

size_t wm_heads__of(wm_head_zone *out, const wm_report *report)
{
    size_t count = 0;
    for (size_t i = 0; i < report->zone_count && count < WM_HEAD_ZONES; i++)
        if (!report->zones[i].refused)
            take(&out[count++], &report->zones[i]);
    return count;
}
