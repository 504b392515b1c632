#include "report/report.h"

#include <stdlib.h>

void wm_report_free(wm_report *report)
{
    if (!report)
        return;
    free(report->calibration.used);
    free(report->calibration.dropped);
    free(report->zones);
    for (size_t i = 0; i < report->ranking_count; i++)
        free(report->rankings[i].items);
    free(report->rankings);
    free(report->proposals);
    free(report->scenarios);
    free(report->changes);
    wm_notes_free(&report->warnings);
    wm_notes_free(&report->cautions);
    *report = (wm_report){ 0 };
}

void wm_report_pictures_free(wm_report_pictures *pictures)
{
    if (!pictures)
        return;
    wm_bytes_free(&pictures->photo_jpeg);
    wm_bytes_free(&pictures->gray_map_png);
    wm_bytes_free(&pictures->zones_json);
}

int wm_report_exit(const wm_report *report)
{
    if (report->measured_only) {
        for (size_t i = 0; i < report->zone_count; i++)
            if (!report->zones[i].refused && report->zones[i].body.claim != WM_CLAIM_ROUGH)
                return 0;
        return 1;
    }
    if (report->proposal_count == 0)
        return 1;
    const wm_report_proposal *best = &report->proposals[0];
    return best->claim != WM_CLAIM_ROUGH && best->verdict <= WM_VERDICT_CLOSE ? 0 : 1;
}

const char *wm_claim_sentence(wm_claim claim)
{
    switch (claim) {
    case WM_CLAIM_NAME: return "The photo is good enough to name the shade.";
    case WM_CLAIM_RUNNER_UP: return "The photo names the shade; look at the runner-up too.";
    case WM_CLAIM_THREE: return "The photo narrows it to three shades; hold them to the hair.";
    case WM_CLAIM_FIVE: return "The photo narrows it to five shades; hold a swatch at each zone for a better answer.";
    case WM_CLAIM_ROUGH: break;
    }
    return "This photo tells depth and warmth only. Hold a swatch at each zone and photograph again.";
}

const char *wm_verdict_sentence(wm_verdict verdict)
{
    switch (verdict) {
    case WM_VERDICT_MATCH: return "blends without a visible edge";
    case WM_VERDICT_CLOSE: return "close; a careful eye may find it";
    case WM_VERDICT_VISIBLE: return "a visible difference";
    case WM_VERDICT_FAR: break;
    }
    return "far off";
}
