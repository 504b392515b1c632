#include "report/report.h"

#include <stdlib.h>
#include <string.h>

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
    wm_warnings_free(&report->unpaired);
    wm_warnings_free(&report->warnings);
    wm_warnings_free(&report->cautions);
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

const char *const WM_ANSWER_WORDS[] = { "sew", "try", "simple", "shows", "far", "rough", "nothing", NULL };

#define SURE_IN_DRAWS 0.75 /* M32 */

bool wm_report_sure(const wm_report_proposal *proposal)
{
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    if (proposal->verdict > WM_VERDICT_CLOSE)
        return true;
    if (proposal->p[proposal->verdict] >= 0)
        return proposal->p[proposal->verdict] >= SURE_IN_DRAWS;
    return wm_verdict_of(proposal->far + proposal->u_de00, &limits) <= proposal->verdict; /* of format 1 */
}

static bool is_surely_close(const wm_report_proposal *proposal)
{
    return proposal->verdict <= WM_VERDICT_CLOSE && wm_report_sure(proposal);
}

wm_answer wm_report_answer(const wm_report *report)
{
    const wm_report_proposal *best = report->proposals;
    if (report->no_shade_named)
        return WM_ANSWER_ROUGH;
    if (*report->decision.heavy || report->proposal_count == 0)
        return WM_ANSWER_NOTHING;
    if (best->verdict >= WM_VERDICT_VISIBLE && report->proposal_count > 1 && is_surely_close(&best[1]) &&
        best[1].pieces > best->pieces)
        return WM_ANSWER_SIMPLE;
    if (best->verdict >= WM_VERDICT_VISIBLE)
        return best->verdict == WM_VERDICT_FAR ? WM_ANSWER_FAR : WM_ANSWER_SHOWS;
    return report->decision.claim >= WM_CLAIM_THREE || !wm_report_sure(best) ? WM_ANSWER_TRY : WM_ANSWER_SEW;
}

/* M32: a claim better than rough, and close or better. */
int wm_report_exit(const wm_report *report)
{
    if (report->measured_only) {
        for (size_t i = 0; i < report->zone_count; i++)
            if (!report->zones[i].refused && report->zones[i].body.claim != WM_CLAIM_ROUGH)
                return 0;
        return 1;
    }
    if (report->no_shade_named || report->proposal_count == 0 || *report->decision.heavy)
        return 1;
    return report->proposals[0].verdict <= WM_VERDICT_CLOSE ? 0 : 1;
}

void wm_report_stack(wm_stack *out, const wm_report_proposal *proposal)
{
    const wm_report_segment *first = &proposal->rows[0].segments[0];
    *out = (wm_stack){ .count = first->layer_count };
    for (size_t i = 0; i < first->layer_count; i++)
        out->layers[i] = first->layers[i].layer;
}

static bool take_shade(const char **name, wm_lab *lab, const wm_report_shade *shade, const char *code)
{
    if (strcmp(shade->code, code) != 0)
        return false;
    *name = shade->name;
    *lab = shade->lab;
    return true;
}

bool wm_report_find_shade(const char **name, wm_lab *lab, const wm_report *report, const char *code)
{
    for (size_t i = 0; i < report->ranking_count; i++)
        for (size_t k = 0; k < report->rankings[i].count; k++)
            if (strcmp(report->rankings[i].items[k].code, code) == 0) {
                *name = report->rankings[i].items[k].name;
                *lab = report->rankings[i].items[k].lab;
                return true;
            }
    for (size_t i = 0; i < report->proposal_count; i++)
        for (size_t k = 0; k < report->proposals[i].shade_count; k++)
            if (take_shade(name, lab, &report->proposals[i].shades[k], code))
                return true;
    for (size_t i = 0; i < WM_ROLES; i++)
        for (size_t k = 0; k < report->decision.roles[i].count; k++)
            if (take_shade(name, lab, &report->decision.roles[i].shades[k], code))
                return true;
    return false;
}

bool wm_report_as_proposed(const wm_report *report, const wm_stack *installed)
{
    wm_stack proposed = { 0 };
    if (report->proposal_count)
        wm_report_stack(&proposed, &report->proposals[0]);
    bool same = proposed.count > 0 && proposed.count == installed->count;
    for (size_t i = 0; same && i < proposed.count; i++)
        same = strcmp(proposed.layers[i].code, installed->layers[i].code) == 0;
    return same;
}

void wm_report_design(wm_design *out, const wm_report_proposal *proposal)
{
    *out = (wm_design){ .row_count = proposal->row_count };
    for (size_t r = 0; r < proposal->row_count; r++) {
        const wm_report_row *row = &proposal->rows[r];
        wm_design_row *to = &out->rows[r];
        *to = (wm_design_row){ .place = row->place, .arc_cm = row->arc_cm, .row_cm = row->row_cm, .count = row->count };
        for (size_t s = 0; s < row->count; s++) {
            const wm_report_segment *segment = &row->segments[s];
            wm_design_segment *part = &to->segments[s];
            *part = (wm_design_segment){ .place = segment->place,
                                         .length_cm = segment->length_cm,
                                         .sides = segment->sides };
            memcpy(part->end, segment->end, sizeof part->end);
            part->stack.count = segment->layer_count;
            for (size_t i = 0; i < segment->layer_count; i++)
                part->stack.layers[i] = segment->layers[i].layer;
        }
    }
}

const char *wm_claim_sentence(wm_claim claim)
{
    switch (claim) {
    case WM_CLAIM_NAME: return "The photo is good enough to name the shade.";
    case WM_CLAIM_RUNNER_UP: return "The photo names the shade; look at the runner-up too.";
    case WM_CLAIM_THREE: return "The photo narrows it down to three shades; hold them to the hair.";
    case WM_CLAIM_FIVE:
        return "The photo narrows it down to five shades; for a better answer hold a swatch at each zone.";
    case WM_CLAIM_ROUGH: break;
    }
    return "This photo shows depth and warmth only. Hold a swatch at each zone and take it again.";
}

const char *wm_verdict_sentence(wm_verdict verdict, bool sure)
{
    switch (verdict) {
    case WM_VERDICT_MATCH: return sure ? "blends without a visible edge" : "may well blend without a visible edge";
    case WM_VERDICT_CLOSE: return sure ? "close; a careful eye may see it" : "perhaps close";
    case WM_VERDICT_VISIBLE: return "a visible difference";
    case WM_VERDICT_FAR: break;
    }
    return "far off";
}
