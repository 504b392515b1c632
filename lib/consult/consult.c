#include "consult/consult.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/book.h"
#include "consult/change.h"
#include "consult/goals.h"
#include "consult/pictures.h"
#include "consult/record.h"
#include "consult/stability.h"
#include "consult/survey.h"
#include "photo/profile_make.h"

void wm_wishes_settle(wm_wishes *wishes)
{
    const double own_cm = wishes->head.natural_length_cm;
    wishes->filter.min_length_cm = wishes->to_length_cm > 0 ? wishes->to_length_cm : 0;
    wishes->hangs_free = (wishes->purpose_given && wishes->purpose == WM_PURPOSE_LENGTH) ||
                         (own_cm > 0 && wishes->to_length_cm > own_cm);
}

/* One consultation on its way. */
typedef struct work {
    const wm_consult_input *in;
    wm_report *report;
    wm_survey survey;
    wm_goals goals;
    wm_shades hair, beads;
    wm_layers_settings layers;
    wm_proposals proposals;
} work;

static void record_head(work *w)
{
    wm_report *r = w->report;
    snprintf(r->made_at, sizeof r->made_at, "%s", w->in->made_at);
    snprintf(r->version, sizeof r->version, "%s", wm_version());
    snprintf(r->lcms, sizeof r->lcms, "%s", wm_profile_engine());
    snprintf(r->sqlite, sizeof r->sqlite, "%s", wm_book_engine());
    snprintf(r->salon, sizeof r->salon, "%s", w->in->settings->salon_name);
    snprintf(r->client, sizeof r->client, "%s", w->in->client ? w->in->client : "");
    wm_record__photo(r, w->in->photo);
}

static wm_status measure(work *w, wm_report_pictures *pictures, wm_error *err)
{
    const wm_consult_input *in = w->in;
    wm_photo_facts facts = wm_photo_facts_of(in->photo);
    record_head(w);
    wm_status status = wm_zones_check(in->zones, facts.width, facts.height, facts.file, &w->report->warnings, err);
    if (!status)
        status = wm_survey_zones(&w->survey, in->photo, in->zones, in->catalogue, err);
    if (!status)
        status = wm_record__survey(w->report, &w->survey, err);
    if (!status && pictures)
        status = wm_pictures__of(pictures, in->photo, in->zones, &w->survey, err);
    return status;
}

/* --- rankings (M5 to M8)
 * -------------------------------------------------------------------------------------------------------- */

static wm_status rank_one(work *w, const char *name, const char *said, const wm_measured *colour, wm_error *err)
{
    wm_ranking_request request = { name, said, &w->hair, { colour, NULL, 1 }, &w->in->settings->verdict };
    return wm_record__ranking(w->report, &request, err);
}

static wm_status rank_all(work *w, wm_error *err)
{
    const wm_goals *g = &w->goals;
    wm_ranking_request base = {
        "base", "", &w->hair, { g->base, g->base_weights, g->base_count }, &w->in->settings->verdict
    };
    wm_ranking_request bead = { "bead", "", &w->beads, { &g->bead, NULL, 1 }, &w->in->settings->verdict };
    wm_status status = wm_record__ranking(w->report, &base, err);
    if (!status && g->has_gray)
        status = rank_one(w, "gray_fibres", g->gray_said, &g->gray, err);
    if (!status && g->has_bead)
        status = wm_record__ranking(w->report, &bead, err);
    for (size_t i = 0; i < w->report->zone_count && !status; i++) {
        const wm_report_zone *zone = &w->report->zones[i];
        if (!zone->refused)
            status = rank_one(w, zone->name, "", &zone->body, err);
    }
    return status;
}

/* --- proposals (M9 to M17)
 * ------------------------------------------------------------------------------------------------------ */

static void record_filters(work *w)
{
    for (size_t i = 0; i < 3; i++)
        if (w->hair.removed[i].name) {
            wm_report_filter *f = &w->report->filters[w->report->filter_count++];
            snprintf(f->name, sizeof f->name, "%s", w->hair.removed[i].name);
            f->removed = w->hair.removed[i].removed;
        }
}

static wm_status propose(work *w, wm_error *err)
{
    wm_status status = wm_layers_search(&w->proposals, &w->hair, &w->goals.row, &w->layers, err);
    if (status)
        return status;
    snprintf(w->report->target_zone, sizeof w->report->target_zone, "%s", w->goals.target_zone);
    w->report->target = (wm_report_colour){ true, w->goals.row.target.lab };
    w->report->pile = (wm_report_colour){ true, w->goals.row.pile.lab };
    w->report->worn = w->in->wishes->worn;
    return wm_record__proposals(w->report, &w->proposals, w->goals.row.target.claim, err);
}

enum { HOLDS_IN = 7 }; /* G11 */

/* Below 7 of 10 the photo would name a shade that the next marking takes back. */
static wm_status hold(work *w, wm_error *err)
{
    wm_report *r = w->report;
    const wm_stability_input input = { w->in->photo,
                                       &w->survey,
                                       r,
                                       &w->hair,
                                       &w->in->settings->verdict,
                                       w->in->wishes->target_zone,
                                       w->in->wishes->hangs_free,
                                       w->in->jobs };
    const wm_status status = wm_stability_of(&r->stability, &input, err);
    char detail[40];
    if (status || r->stability.held >= HOLDS_IN)
        return status;
    snprintf(detail, sizeof detail, "holds in %d of %d", r->stability.held, r->stability.tries);
    wm_advise(&r->warnings, WM_ADVICE_ANSWER_UNSTABLE, r->stability.mend, detail);
    r->no_shade_named = true;
    for (size_t i = 0; i < r->proposal_count; i++)
        r->proposals[i].claim = WM_CLAIM_ROUGH;
    return r->warnings.failed ? wm_fail_memory(err) : WM_OK;
}

static wm_status scenarios(work *w, wm_error *err)
{
    static const double RISE[3] = { 0, 0.10, 0.20 };
    wm_status status = WM_OK;
    if (!w->goals.has_populations)
        return WM_OK;
    wm_report_scenario *items = calloc(3, sizeof *items);
    wm_proposals *found = calloc(1, sizeof *found);
    if (!items || !found)
        status = wm_fail_memory(err);
    for (size_t i = 0; i < 3 && !status; i++) {
        wm_layers_goal goal = w->goals.row;
        items[i].share = fmin(1, w->goals.share + RISE[i]);
        goal.target.lab = items[i].target = wm_target_at_share(w->goals.base_lab, w->goals.gray_lab, items[i].share);
        status = wm_layers_search(found, &w->hair, &goal, &w->layers, err);
        if (!status)
            wm_record__proposal(&items[i].best, &found->items[0], goal.target.claim);
    }
    free(found);
    if (status) {
        free(items);
        return status;
    }
    w->report->scenarios = items;
    w->report->scenario_count = 3;
    return WM_OK;
}

static wm_status changes(work *w, wm_error *err)
{
    if (!w->in->previous)
        return WM_OK;
    snprintf(w->report->since_date, sizeof w->report->since_date, "%s", w->in->previous_date);
    return wm_changes_between(&w->report->changes, &w->report->change_count, w->in->previous, w->report, err);
}

/* --- plan
 * ------------------------------------------------------------------------------------------------------------------------
 */

static const char *bead_code(const wm_report *report)
{
    for (size_t i = 0; i < report->ranking_count; i++)
        if (strcmp(report->rankings[i].target, "bead") == 0 && report->rankings[i].count)
            return report->rankings[i].items[0].code;
    return NULL;
}

void wm_sewing_of_stack(wm_sewing *out, const wm_stack *stack, const wm_wishes *wishes)
{
    for (size_t i = 0; i < wishes->row_count; i++) {
        out->rows[i] = wm_laid_row_whole(wishes->rows[i].place, wishes->rows[i].arc_cm, stack);
        out->rows[i].arc_cm = wishes->rows[i].arc_cm;
    }
    out->row_count = wishes->row_count;
}

wm_status wm_consult_plan(wm_plan *out, const wm_sewing *sewing, const wm_consult_input *in, wm_error *err)
{
    const wm_wishes *wishes = in->wishes;
    wm_plan_input input = WM_PLAN_INPUT_INIT;
    input.rows = sewing->rows;
    input.row_count = sewing->row_count;
    input.catalogue = in->catalogue;
    input.bead_code = sewing->bead_code;
    input.head = wishes->head;
    input.purpose = wishes->purpose;
    input.to_length_cm = wishes->to_length_cm;
    input.line_cm = wishes->line_cm;
    input.cover_cm = wishes->cover_cm;
    input.date = in->date;
    return wm_plan_make(out, &input, &in->settings->plan, err);
}

static wm_status plan(work *w, wm_error *err)
{
    wm_sewing sewing = { .bead_code = bead_code(w->report) };
    if (w->in->wishes->row_count == 0)
        return WM_OK;
    wm_sewing_of_stack(&sewing, &w->report->proposals[0].stack, w->in->wishes);
    wm_status status = wm_consult_plan(&w->report->plan, &sewing, w->in, err);
    w->report->has_plan = !status;
    return status;
}

/* With a plan its cautions, which include the general ones; without, the general ones. */
static wm_status cautions(work *w, wm_error *err)
{
    static const char *const ALWAYS[] = {
        "Extensions pull: on thin, fine or shedding hair think twice; sudden or patchy hair loss is for a doctor to look at first.",
        "Pain, itching or redness at the row: take it out, and let a doctor see it if it stays.",
        "Sew rows only as licensed practice and the local codes allow.",
    };
    wm_notes *out = &w->report->cautions;
    for (size_t i = 0; i < w->report->plan.caution_count; i++)
        wm_notes_add(out, "caution", "%s", w->report->plan.cautions[i]);
    for (size_t i = 0; !w->report->has_plan && i < sizeof ALWAYS / sizeof ALWAYS[0]; i++)
        wm_notes_add(out, "caution", "%s", ALWAYS[i]);
    return out->failed ? wm_fail_memory(err) : WM_OK;
}

/* --- the order of the work
 * ------------------------------------------------------------------------------------------------------- */

static wm_status choose(work *w, wm_error *err)
{
    const wm_wishes *wishes = w->in->wishes;
    wm_filter none = { 0 };
    const wm_settings *s = w->in->settings;
    w->layers = (wm_layers_settings){
        wm_hair_law_of(s->blend_g), s->area_weights, s->verdict, s->max_layers, wishes->worn, w->in->jobs
    };
    wm_status status = wm_goals_of(&w->goals, w->report, wishes->target_zone, wishes->hangs_free, err);
    if (!status)
        status = wm_shades_of(&w->hair, w->in->catalogue, WM_SWATCH_HAIR, &wishes->filter, err);
    if (!status)
        status = wm_shades_of(&w->beads, w->in->catalogue, WM_SWATCH_BEAD, &none, err);
    if (!status)
        record_filters(w);
    if (!status)
        status = rank_all(w, err);
    if (!status)
        status = propose(w, err);
    if (!status)
        status = hold(w, err);
    if (!status)
        status = scenarios(w, err);
    if (!status)
        status = changes(w, err);
    if (!status)
        status = plan(w, err);
    return status ? status : cautions(w, err);
}

static wm_status consult(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, bool match,
                         wm_error *err)
{
    wm_report_pictures made = { 0 };
    wm_report *report = calloc(1, sizeof *report);
    work *w = calloc(1, sizeof *w);
    wm_status status = report && w ? WM_OK : wm_fail_memory(err);
    if (status)
        goto done;
    w->in = input;
    w->report = report;
    report->measured_only = !match;
    status = measure(w, pictures ? &made : NULL, err);
    if (!status && match)
        status = choose(w, err);
    wm_goals_free(&w->goals);
    wm_shades_free(&w->hair);
    wm_shades_free(&w->beads);
    wm_survey_free(&w->survey);
    if (status) {
        wm_report_free(report);
        wm_report_pictures_free(&made);
    } else {
        *out = *report;
        if (pictures)
            *pictures = made;
    }
done:
    free(w);
    free(report);
    return status;
}

wm_status wm_consult_measure(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, wm_error *err)
{
    return consult(out, pictures, input, false, err);
}

wm_status wm_consult_match(wm_report *out, wm_report_pictures *pictures, const wm_consult_input *input, wm_error *err)
{
    return consult(out, pictures, input, true, err);
}
