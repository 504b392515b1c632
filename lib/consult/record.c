#include "consult/record.h"

#include "core/buf.h"

#include <stdlib.h>
#include <string.h>

#define COPY(to, from) wm_text_keep(to, sizeof(to), from)

void wm_record__photo(wm_report *report, const wm_photo *photo)
{
    wm_photo_facts facts = wm_photo_facts_of(photo);
    wm_report_photo *p = &report->photo;
    COPY(p->file, facts.file);
    COPY(p->sha256, facts.sha256);
    COPY(p->profile, facts.profile);
    COPY(p->camera, facts.camera);
    COPY(p->taken, facts.taken);
    p->width = facts.width;
    p->height = facts.height;
    p->orientation = facts.orientation;
    p->profile_assumed = facts.profile_assumed;
}

static wm_status record_calibration(wm_report_calibration *out, const wm_calibration *c, wm_error *err)
{
    out->aid = c->aid;
    out->stage1 = c->stage1;
    out->has_agreement = c->agreement >= 0;
    out->agreement = c->agreement;
    out->used = calloc(c->used_count + 1, sizeof *out->used);
    out->dropped = calloc(c->dropped_count + 1, sizeof *out->dropped);
    if (!out->used || !out->dropped)
        return wm_fail_memory(err);
    for (size_t i = 0; i < c->used_count; i++) {
        COPY(out->used[i].name, c->used[i].name);
        out->used[i].measured = c->used[i].measured;
        out->used[i].reference = c->used[i].reference;
    }
    out->used_count = c->used_count;
    if (c->dropped_count)
        memcpy(out->dropped, c->dropped, c->dropped_count * sizeof *out->dropped);
    out->dropped_count = c->dropped_count;
    return WM_OK;
}

/* G9: a number is shown only where the share was resolved. */
static bool share_is_known(wm_gray_status status)
{
    return status == WM_GRAY_NONE_SEEN || status == WM_GRAY_LOW || status == WM_GRAY_MEASURED;
}

void wm_record__zone(wm_report_zone *out, const wm_surveyed_zone *z)
{
    out->kind = z->zone->kind;
    out->place = z->zone->place;
    COPY(out->name, z->zone->name);
    COPY(out->why, z->why);
    out->refused = z->refused;
    out->hair = (wm_report_hair){ z->hair.verdict, z->hair.cut_share, z->hair.skin_cut, z->hair.background_cut };
    out->body = z->refused ? (wm_measured){ .pixels = z->pixels, .kept = z->kept } : z->body;
    out->gray_status = z->refused ? WM_GRAY_NOT_MEASURED : z->gray.status;
    if (z->refused)
        return;
    out->sd = z->gray.body_sd;
    out->has_share = share_is_known(z->gray.status);
    out->share = out->has_share ? z->gray.share : 0;
    out->u_share = out->has_share ? z->gray.u_share : 0;
    out->base_never_seen = z->gray.base_never_seen;
    out->base_known = z->base_known;
    out->gray_known = z->gray_known;
    out->base = z->base;
    out->gray = z->gray_fibres;
    out->line_known = z->line.known;
    out->line_rad = z->line.known ? z->line.angle : 0;
    out->line_variance = z->line.known ? z->line.variance : 0;
}

wm_status wm_record__survey(wm_report *report, const wm_survey *survey, wm_error *err)
{
    wm_status status = record_calibration(&report->calibration, &survey->calibration, err);
    if (status)
        return status;
    report->zones = calloc(survey->zone_count + 1, sizeof *report->zones);
    if (!report->zones)
        return wm_fail_memory(err);
    for (size_t i = 0; i < survey->zone_count; i++)
        wm_record__zone(&report->zones[i], &survey->zones[i]);
    report->zone_count = survey->zone_count;
    for (size_t i = 0; i < survey->warnings.count; i++)
        wm_warnings_add(&report->warnings, survey->warnings.items[i].code, "%s", survey->warnings.items[i].text);
    return report->warnings.failed ? wm_fail_memory(err) : WM_OK;
}

static void record_match(wm_report_match *out, const wm_ranked *r)
{
    COPY(out->code, r->swatch->code);
    COPY(out->name, r->swatch->name);
    COPY(out->words, r->words);
    out->lab = r->swatch->lab;
    out->de00 = r->de00;
    out->d_lightness = r->d_lightness;
    out->d_chroma = r->d_chroma;
    out->d_hue = r->d_hue;
    out->u_de00 = r->u_de00;
    out->verdict = r->verdict;
    out->tied_with_best = r->tied_with_best;
    out->in_stock = wm_swatch_in_stock(r->swatch);
}

wm_status wm_record__ranking(wm_report *report, const wm_ranking_request *request, wm_error *err)
{
    size_t count = request->shades->count;
    if (count == 0 || request->target.count == 0)
        return WM_OK;
    wm_report_ranking *more = realloc(report->rankings, (report->ranking_count + 1) * sizeof *more);
    if (!more)
        return wm_fail_memory(err);
    report->rankings = more;
    wm_ranked *ranked = calloc(count, sizeof *ranked);
    wm_report_ranking *k = &more[report->ranking_count];
    *k = (wm_report_ranking){ .items = calloc(count, sizeof *k->items), .has_lab = true };
    if (!ranked || !k->items) {
        free(ranked);
        free(k->items);
        return wm_fail_memory(err);
    }
    report->ranking_count++;
    COPY(k->target, request->name);
    COPY(k->said, request->said);
    wm_measured mean = wm_measured_mean(request->target.colours, request->target.weights, request->target.count);
    k->lab = mean.lab;
    k->claim = mean.claim;
    wm_rank(ranked, request->shades, &request->target, request->limits);
    for (size_t i = 0; i < count; i++)
        record_match(&k->items[i], &ranked[i]);
    k->count = count;
    free(ranked);
    return WM_OK;
}

static void record_shade(wm_report_shade *out, const wm_role_shade *shade)
{
    COPY(out->code, shade->code);
    COPY(out->name, shade->name);
    out->lab = shade->lab;
    out->role = shade->role;
    out->de00 = shade->de00;
    out->in_stock = shade->in_stock;
}

static void record_segment(wm_report_segment *out, const wm_design_segment *design, const wm_segment_look *look)
{
    *out = (wm_report_segment){ .place = design->place,
                                .length_cm = design->length_cm,
                                .sides = design->sides,
                                .target = look->target,
                                .target_base = look->target_base,
                                .target_gray = look->target_gray,
                                .target_share = look->target_share,
                                .seen = look->seen,
                                .far = look->far,
                                .near = look->near,
                                .layer_count = design->stack.count };
    COPY(out->end, design->end);
    for (size_t i = 0; i < design->stack.count; i++)
        out->layers[i] = (wm_report_layer){ design->stack.layers[i], look->piece_cm[i] };
}

static void record_proposal(wm_report_proposal *out, const wm_decision_proposal *p)
{
    *out = (wm_report_proposal){ .shade_count = (size_t)p->shade_count,
                                 .layers = p->layers,
                                 .pieces = p->pieces,
                                 .row_count = p->design.row_count,
                                 .gap = p->gap,
                                 .far = p->far,
                                 .near = p->near,
                                 .u_de00 = 0,
                                 .verdict = p->verdict,
                                 .best_in_10 = p->best_in_10 };
    for (size_t i = 0; i < out->shade_count; i++)
        record_shade(&out->shades[i], &p->shades[i]);
    for (size_t r = 0; r < out->row_count; r++) {
        const wm_design_row *row = &p->design.rows[r];
        out->rows[r] =
            (wm_report_row){ .place = row->place, .arc_cm = row->arc_cm, .row_cm = row->row_cm, .count = row->count };
        for (size_t s = 0; s < row->count; s++)
            record_segment(&out->rows[r].segments[s], &row->segments[s], &p->looks[r][s]);
    }
    memcpy(out->p, p->within, sizeof out->p);
    COPY(out->why, p->why);
}

static void record_amount(wm_report_decision *out, const wm_decision *d)
{
    const wm_decision_proposal *p = &d->proposal;
    out->own_g = d->load.own_g;
    out->added_g = d->has_proposal && d->sewable ? p->added_g : -1;
    out->short_g = d->has_proposal && d->sewable ? p->short_g : -1;
    out->layers = d->load.layers;
    out->layers_needed = d->load.layers_needed;
    out->layers_load = d->load.layers_load;
    out->mg_per_hair = d->has_proposal && d->sewable ? p->mg_per_hair : d->load.mg_per_layer;
    out->mg_limit = d->load.limit_mg;
}

wm_status wm_record__decision(wm_report *report, const wm_decision *d, wm_error *err)
{
    wm_report_decision *out = &report->decision;
    report->proposals = calloc(2, sizeof *report->proposals);
    report->scenarios = calloc(d->scenario_count + 1, sizeof *report->scenarios);
    if (!report->proposals || !report->scenarios)
        return wm_fail_memory(err);
    for (size_t i = 0; i < d->assumed_count; i++)
        COPY(out->assumed[i], d->assumed[i]);
    out->assumed_count = d->assumed_count;
    record_amount(out, d);
    for (size_t r = 0; r < WM_ROLES; r++)
        for (out->roles[r].count = 0; out->roles[r].count < d->role_counts[r]; out->roles[r].count++)
            record_shade(&out->roles[r].shades[out->roles[r].count], &d->roles[r][out->roles[r].count]);
    COPY(out->missing, d->has_proposal || *d->missing
                           ? d->missing
                           : "no hair shade is left to propose; loosen the filters or add shades to the catalogue");
    COPY(out->heavy, d->heavy);
    COPY(out->worn, d->wearing_why);
    out->inside_costs = d->inside_costs;
    out->claim = d->claim;
    report->no_shade_named = d->claim == WM_CLAIM_ROUGH;
    if (d->has_proposal)
        record_proposal(&report->proposals[report->proposal_count++], &d->proposal);
    if (d->has_proposal && d->has_runner_up)
        record_proposal(&report->proposals[report->proposal_count++], &d->runner_up);
    for (size_t i = 0; i < d->scenario_count; i++) {
        wm_report_scenario *s = &report->scenarios[report->scenario_count++];
        s->rise = d->scenarios[i].rise;
        s->share = d->scenarios[i].share;
        COPY(s->change, d->scenarios[i].change);
        record_proposal(&s->proposal, &d->scenarios[i].proposal);
    }
    return WM_OK;
}
