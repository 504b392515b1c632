#include "consult/heads.h"

#include <stdio.h>

static void take(wm_head_zone *out, const wm_report_zone *zone)
{
    *out = (wm_head_zone){ .kind = zone->kind,
                           .place = zone->place,
                           .lab = zone->body.lab,
                           .sigma = zone->body.sigma,
                           .u_de00 = zone->body.u_de00,
                           .at_best = zone->body.claim,
                           .has_share = zone->has_share,
                           .share = zone->has_share ? zone->share : 0,
                           .u_share = zone->has_share ? zone->u_share : 0,
                           .all_over = zone->gray_status == WM_GRAY_ALL_OVER,
                           .has_base = zone->has_share && zone->share > 0 && zone->base_known,
                           .has_gray = zone->has_share && zone->share > 0 && zone->gray_known,
                           .base = zone->base.lab,
                           .gray = zone->gray.lab,
                           .has_line = zone->line_known,
                           .line_rad = zone->line_rad,
                           .line_variance = zone->line_variance };
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

/* Reports of format 1 know no rows. */
static bool has_rows(const wm_report *report)
{
    return report->proposals[0].row_count > 0 && report->proposals[0].rows[0].row_cm > 0;
}

void wm_heads__wears(wm_wears *out, const wm_report *report, const wm_stack *installed)
{
    *out = (wm_wears){ 0 };
    const bool said = installed && installed->count;
    if (said && !(report && wm_report_as_proposed(report, installed) && has_rows(report)))
        out->stack = *installed;
    else if (!report)
        return;
    else if (report->proposal_count && !has_rows(report))
        wm_report_stack(&out->stack, &report->proposals[0]);
    else if (report->proposal_count && report->decision.layers > 0) /* 0: too heavy to be sewn */
        wm_report_design(&out->design, &report->proposals[0]);
}
