#include "match/proposal.h"

#include <math.h>
#include <string.h>

void wm_role_shade_make(wm_role_shade *out, const wm_drawn_shade *shade, wm_role role)
{
    double blend = fmax(shade->to_base, shade->to_gray), nearer = fmin(shade->to_base, shade->to_gray);
    *out = (wm_role_shade){ .lab = shade->swatch->lab,
                            .role = role,
                            .de00 = role == WM_ROLE_BASE    ? shade->to_base
                                    : role == WM_ROLE_GRAY  ? shade->to_gray
                                    : role == WM_ROLE_BLEND ? blend
                                                            : nearer,
                            .in_stock = wm_swatch_in_stock(shade->swatch),
                            .pack_price_milli = shade->swatch->pack_price_milli,
                            .populations = shade->populations };
    memcpy(out->code, shade->swatch->code, sizeof out->code);
    memcpy(out->name, shade->swatch->name, sizeof out->name);
}

static bool has(const wm_role_list *list, const wm_drawn_shade *shade)
{
    for (size_t i = 0; i < list->count; i++)
        if (strcmp(list->shades[i]->swatch->code, shade->swatch->code) == 0)
            return true;
    return false;
}

/* What the second shade stands for; one that has no role any more (she wears it) by its kind. */
static wm_role second_role(const wm_roles *roles, const wm_drawn_shade *shade)
{
    for (int r = WM_ROLE_GRAY; r < WM_ROLES; r++)
        if (has(&roles->of[r], shade))
            return (wm_role)r;
    if (has(&roles->of[WM_ROLE_BASE], shade))
        return WM_ROLE_BASE;
    return shade->populations == 2 ? WM_ROLE_BLEND : WM_ROLE_GRAY;
}

static void make_look(wm_segment_look *out, const wm_decided *d, const wm_candidate *c, size_t s)
{
    const wm_drawn_target *target = &d->hanging.targets[s];
    const wm_option *part = c->parts[s];
    wm_look look = { d->the_case->head->law, d->hanging.behind, d->the_case->weights, d->the_case->worn };
    *out = (wm_segment_look){ .target = target->body[0],
                              .target_base = target->bases[0],
                              .target_gray = target->gray[0],
                              .target_share = target->share[0],
                              .far = wm_draws_mean(part->judged.far),
                              .near = wm_draws_mean(part->judged.near) };
    out->seen = wm_judge_seen(c->first, c->second ? c->second : c->first, &part->pattern, &look);
}

/* One pattern from end to end of a row: its pieces are counted along the whole row (M27). */
static bool goes_along(const wm_decided *d, const wm_candidate *c, size_t s)
{
    for (size_t other = 0; other < d->hanging.count; other++)
        if (d->hanging.segments[other].row == d->hanging.segments[s].row &&
            wm_pattern_order(&c->parts[other]->pattern, &c->parts[s]->pattern, false) != 0)
            return false;
    return true;
}

static void make_segment(wm_decision_proposal *out, const wm_decided *d, const wm_candidate *c, size_t s)
{
    const wm_segment *segment = &d->hanging.segments[s];
    const wm_pattern *pattern = &c->parts[s]->pattern;
    wm_design_row *row = &out->design.rows[segment->row];
    wm_design_segment *to = &row->segments[row->count];
    wm_segment_look *look = &out->looks[segment->row][row->count++];
    double cm = goes_along(d, c, s) ? row->row_cm : segment->length_cm;
    *to = (wm_design_segment){ .place = segment->place, .length_cm = segment->length_cm, .sides = segment->sides };
    const int alone = segment->beside ? (int)segment->beside - 1 : segment->end;
    if (alone >= 0)
        memcpy(to->end, d->the_case->head->zones[alone].name, sizeof to->end);
    to->stack = wm_pattern_stack(pattern, c->first->swatch->code, c->second ? c->second->swatch->code : NULL, cm);
    make_look(look, d, c, s);
    for (int i = 0; i < pattern->layers; i++)
        if (to->stack.layers[i].pieces)
            look->piece_cm[i] = pattern->sixths[i] / (double)WM_PATTERN_WHOLE * cm / to->stack.layers[i].pieces;
}

static void make_design(wm_decision_proposal *out, const wm_decided *d, const wm_candidate *c)
{
    const wm_case *the_case = d->the_case;
    out->design.row_count = the_case->row_count;
    for (size_t i = 0; i < the_case->row_count; i++) {
        const wm_placed_row *row = &the_case->rows[i];
        out->design.rows[i] = (wm_design_row){ .place = row->place, .arc_cm = row->arc_cm, .row_cm = row->row_cm };
    }
    for (size_t s = 0; s < d->hanging.count; s++)
        make_segment(out, d, c, s);
}

void wm_proposal_make(wm_decision_proposal *out, const wm_decided *d, const wm_candidate *c,
                      const wm_verdict_limits *limits)
{
    double far[WM_DRAW_ROWS];
    wm_outlook outlook = wm_decided_outlook(d, c, limits);
    *out = (wm_decision_proposal){ .shade_count = c->second ? 2 : 1,
                                   .layers = d->pool_input.layers,
                                   .pieces = c->pieces,
                                   .gap = c->gap,
                                   .near = wm_candidate_near(&d->pool, c),
                                   .verdict = outlook.verdict,
                                   .added_g = -1,
                                   .short_g = -1,
                                   .mg_per_hair = -1 };
    memcpy(out->within, outlook.within, sizeof out->within);
    wm_candidate_far(far, &d->pool, c);
    out->far = wm_draws_mean(far);
    wm_role_shade_make(&out->shades[0], c->first, c->second ? WM_ROLE_BASE : WM_ROLE_SINGLE);
    if (c->second)
        wm_role_shade_make(&out->shades[1], c->second, second_role(&d->roles, c->second));
    make_design(out, d, c);
}

void wm_proposal_weigh(wm_decision_proposal *out, const wm_candidate *c, const wm_weighing *by)
{
    double first = wm_swatch_weft_g_per_cm(c->first->swatch, by->wanted_cm), row_cm = 0, grams = 0;
    double second = c->second ? wm_swatch_weft_g_per_cm(c->second->swatch, by->wanted_cm) : first;
    size_t part = 0;
    if (first < 0 || second < 0)
        return;
    for (size_t r = 0; r < out->design.row_count; r++) {
        const wm_design_row *row = &out->design.rows[r];
        row_cm += row->row_cm;
        for (size_t s = 0; s < row->count; s++, part++)
            for (int i = 0; i < out->layers; i++) {
                double share = c->parts[part]->pattern.sixths[i] / (double)WM_PATTERN_WHOLE;
                grams += row->segments[s].sides * row->segments[s].length_cm * ((1 - share) * first + share * second);
            }
    }
    out->added_g = grams;
    out->mg_per_hair = wm_load_mg(grams, row_cm, by->amount);
    if (by->load->needed_g > 0)
        out->short_g = fmax(0, by->load->needed_g - grams);
}
