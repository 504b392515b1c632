#include "report/format1.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "report/phrase.h"

/* A proposal as it was: whole layers for the whole head, judged by the worse of two views. */
typedef struct old_shade {
    char code[WM_CODE_SIZE], name[WM_NAME_SIZE];
    wm_lab lab;
    double share;
} old_shade;

typedef struct old_proposal {
    wm_layer layers[WM_MAX_LAYERS];
    size_t layer_count;
    old_shade shades[2];
    size_t shade_count;
    double worst_de00, u_de00;
    wm_verdict verdict;
    wm_claim claim;
    wm_seen seen;
    char why[WM_DECISION_TEXT_SIZE];
} old_proposal;

typedef struct old_scenario {
    double share;
    wm_lab target;
    old_proposal best;
} old_scenario;

typedef struct old_report {
    old_proposal *proposals;
    size_t proposal_count;
    bool has_mix;
    old_shade mix[2];
    double mix_de00;
    old_scenario *scenarios;
    size_t scenario_count;
    bool has_target;
    wm_lab target;
    char missing[WM_DECISION_TEXT_SIZE];
    wm_stack planned;
} old_report;

static const wm_field CODE[] = { { .kind = FIELD_TEXT, F(wm_layer, code), .size = WM_CODE_SIZE }, { 0 } };
static const wm_field SHADES[] = {
    TXT(old_shade, code), TXT(old_shade, name), LABF(old_shade, lab), NUM(old_shade, share, 4), { 0 }
};
static const wm_field DOWN[] = { { .key = "lab", .kind = FIELD_LAB, F(old_proposal, seen.down) }, { 0 } };
static const wm_field UP[] = { { .key = "lab", .kind = FIELD_LAB, F(old_proposal, seen.up) }, { 0 } };
static const wm_field VIEWS[] = { { .key = "down", .kind = FIELD_OBJECT, .sub = DOWN },
                                  { .key = "up", .kind = FIELD_OBJECT, .sub = UP },
                                  { 0 } };
static const wm_field PROPOSAL[] = { { .key = "layers",
                                       .kind = FIELD_FIXED,
                                       F(old_proposal, layers),
                                       .length = WM_MAX_LAYERS,
                                       COUNT(old_proposal, layer_count),
                                       .size = sizeof(wm_layer),
                                       .sub = CODE },
                                     { .key = "shades",
                                       .kind = FIELD_FIXED,
                                       F(old_proposal, shades),
                                       .length = 2,
                                       COUNT(old_proposal, shade_count),
                                       .size = sizeof(old_shade),
                                       .sub = SHADES },
                                     NUM(old_proposal, worst_de00, 4),
                                     NUM(old_proposal, u_de00, 4),
                                     WORDS(old_proposal, verdict, WM_VERDICT_WORDS),
                                     WORDS(old_proposal, claim, WM_CLAIM_WORDS),
                                     { .key = "views", .kind = FIELD_OBJECT, .sub = VIEWS },
                                     TXT(old_proposal, why),
                                     { 0 } };
static const wm_field SCENARIO[] = { NUM(old_scenario, share, 4),
                                     LABF(old_scenario, target),
                                     { .key = "best", .kind = FIELD_OBJECT, F(old_scenario, best), .sub = PROPOSAL },
                                     { 0 } };
static const wm_field MIX[] = {
    { .key = "shades", .kind = FIELD_FIXED, F(old_report, mix), .length = 2, .size = sizeof(old_shade), .sub = SHADES },
    { .key = "de00", .kind = FIELD_NUMBER, F(old_report, mix_de00), .detail = 4 },
    { 0 }
};
static const wm_field CONTEXT[] = {
    { .key = "target_lab", .kind = FIELD_LAB, F(old_report, target), HAS(old_report, has_target) },
    TXTN(old_report, missing),
    { 0 }
};
static const wm_field PLAN[] = { { .key = "layers",
                                   .kind = FIELD_FIXED,
                                   F(old_report, planned.layers),
                                   .length = WM_MAX_LAYERS,
                                   COUNT(old_report, planned.count),
                                   .size = sizeof(wm_layer),
                                   .sub = CODE },
                                 { 0 } };
static const wm_field REPORT[] = { { .key = "proposals",
                                     .kind = FIELD_LIST,
                                     F(old_report, proposals),
                                     COUNT(old_report, proposal_count),
                                     .size = sizeof(old_proposal),
                                     .sub = PROPOSAL },
                                   { .key = "ideal_mix", .kind = FIELD_OBJECT, .sub = MIX, HAS(old_report, has_mix) },
                                   { .key = "scenarios",
                                     .kind = FIELD_LIST,
                                     F(old_report, scenarios),
                                     COUNT(old_report, scenario_count),
                                     .size = sizeof(old_scenario),
                                     .sub = SCENARIO },
                                   { .key = "context", .kind = FIELD_OBJECT, .sub = CONTEXT },
                                   { 0 } };

/* One segment, of unknown length, for the whole head. */
static void turn_proposal(wm_report_proposal *out, const old_proposal *old, wm_lab target)
{
    *out = (wm_report_proposal){ .shade_count = old->shade_count,
                                 .layers = (int)old->layer_count,
                                 .row_count = 1,
                                 .gap = -1,
                                 .far = old->worst_de00,
                                 .near = -1,
                                 .u_de00 = old->u_de00,
                                 .verdict = old->verdict,
                                 .p = { -1, -1, -1 },
                                 .best_in_10 = -1 };
    wm_report_row *row = &out->rows[0];
    wm_report_segment *segment = &row->segments[0];
    *row = (wm_report_row){ .arc_cm = -1, .row_cm = -1, .count = 1 };
    *segment = (wm_report_segment){ .length_cm = -1,
                                    .sides = 1,
                                    .target = target,
                                    .target_base = target,
                                    .target_gray = target,
                                    .seen = old->seen,
                                    .far = old->worst_de00,
                                    .near = -1,
                                    .layer_count = old->layer_count };
    for (size_t i = 0; i < old->layer_count; i++)
        segment->layers[i].layer = old->layers[i];
    for (size_t i = 0; i < old->shade_count; i++) {
        wm_report_shade *shade = &out->shades[i];
        *shade = (wm_report_shade){ .lab = old->shades[i].lab, .role = WM_ROLE_SINGLE, .de00 = -1 };
        memcpy(shade->code, old->shades[i].code, sizeof shade->code);
        memcpy(shade->name, old->shades[i].name, sizeof shade->name);
    }
    memcpy(out->why, old->why, sizeof out->why);
}

static void turn_scenario(wm_report_scenario *out, const old_scenario *old, double now)
{
    char stack[WM_STACK_TEXT_SIZE], de00[48];
    wm_stack layers = { .count = old->best.layer_count };
    memcpy(layers.layers, old->best.layers, sizeof layers.layers);
    *out = (wm_report_scenario){ .rise = old->share - now, .share = old->share };
    turn_proposal(&out->proposal, &old->best, old->target);
    snprintf(out->change, sizeof out->change, "at about %.0f %% gray: %.500s, %s, dE00 %s", 5 * round(20 * old->share),
             wm_stack_text(stack, &layers, " / "), wm_verdict_name(old->best.verdict),
             wm_number_text(de00, old->best.worst_de00, 1));
}

static bool turn(wm_report *report, const old_report *old)
{
    wm_report_decision *d = &report->decision;
    char share[48], de00[48], stack[WM_STACK_TEXT_SIZE];
    *d = (wm_report_decision){ .own_g = -1,
                               .added_g = -1,
                               .short_g = -1,
                               .layers = -1,
                               .layers_needed = -1,
                               .layers_load = -1,
                               .mg_per_hair = -1,
                               .mg_limit = -1,
                               .inside_costs = -1 };
    d->claim = old->proposal_count ? old->proposals[0].claim : WM_CLAIM_ROUGH;
    memcpy(d->missing, old->missing, sizeof d->missing);
    report->proposals = calloc(old->proposal_count + 1, sizeof *report->proposals);
    report->scenarios = calloc(old->scenario_count + 1, sizeof *report->scenarios);
    if (!report->proposals || !report->scenarios)
        return false;
    for (size_t i = 0; i < old->proposal_count; i++)
        turn_proposal(&report->proposals[report->proposal_count++], &old->proposals[i], old->target);
    for (size_t i = 0; i < old->scenario_count; i++)
        turn_scenario(&report->scenarios[report->scenario_count++], &old->scenarios[i], old->scenarios[0].share);
    if (old->has_mix)
        snprintf(report->note, sizeof report->note,
                 "For orientation, it can't be sewn: hair mixed fibre by fibre, %s %% %s in %s, would come to dE00 %s.",
                 wm_number_text(share, 100 * old->mix[1].share, 0), old->mix[1].code, old->mix[0].code,
                 wm_number_text(de00, old->mix_de00, 1));
    if (report->has_plan)
        snprintf(report->plan.sewn, sizeof report->plan.sewn, "%s, front first",
                 wm_stack_text(stack, &old->planned, " / "));
    return true;
}

bool wm_format1_read(wm_report *report, const wm_json *root, const wm_field *plan, wm_fields_trouble *bad)
{
    const wm_field planned[] = {
        { .key = "plan", .kind = FIELD_OBJECT, F(wm_report, plan), .sub = plan, HAS(wm_report, has_plan) }, { 0 }
    };
    old_report old = { .has_mix = false };
    const wm_json *old_plan = wm_json_get(root, "plan");
    bool good = wm_fields_read(REPORT, (char *)&old, root, bad) && wm_fields_read(planned, (char *)report, root, bad);
    if (good && report->has_plan)
        good = wm_fields_read(PLAN, (char *)&old, old_plan, bad);
    report->plan.limit_mg = report->plan.short_g = -1;
    for (size_t i = 0; i < report->plan.row_count; i++)
        report->plan.rows[i].mg_per_hair = -1;
    if (good && !turn(report, &old)) {
        bad->status = WM_E_MEMORY;
        good = false;
    }
    free(old.proposals);
    free(old.scenarios);
    return good;
}
