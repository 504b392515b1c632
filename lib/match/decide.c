#include "match/decide.h"

#include <stdlib.h>
#include <string.h>

static const double VERDICT_IN_DRAWS[3] = { 0.75, 0.5, 0.5 }; /* M32 */

static wm_status find_roles(wm_decided *d, wm_error *err)
{
    const wm_case *c = d->the_case;
    wm_lab body[WM_MAX_SEGMENTS];
    double weight[WM_MAX_SEGMENTS];
    for (size_t s = 0; s < c->segment_count; s++) {
        body[s] = d->hanging.targets[s].body[0];
        weight[s] = c->segments[s].weight;
    }
    wm_drawn_shades own = { 0 };
    wm_status status = c->drawn ? WM_OK : wm_shades_draw(&own, c->shades, c->shade_count, err);
    wm_roles_input input = { c->head, c->drawn ? c->drawn : &own, body, weight, c->segment_count };
    if (!status)
        status = wm_roles_of(&d->roles, &input, err);
    wm_drawn_shades_free(&own);
    return status;
}

wm_status wm_decided_begin(wm_decided *out, const wm_case *the_case, wm_error *err)
{
    *out = (wm_decided){ .the_case = the_case };
    wm_status status = wm_hanging_of(&out->hanging, the_case->segments, the_case->segment_count, the_case->head, err);
    if (!status)
        status = find_roles(out, err);
    if (status)
        wm_decided_free(out);
    return status;
}

void wm_decided_free(wm_decided *decided)
{
    if (!decided)
        return;
    wm_pool_free(&decided->pool);
    wm_roles_free(&decided->roles);
    wm_hanging_free(&decided->hanging);
    free(decided->worn_shades);
    *decided = (wm_decided){ 0 };
}

/* ---- what she wears ---- */

/* A candidate like the others; pieces of a pattern that is the same all along are counted along whole rows. */
static wm_status add_worn(wm_decided *d, const wm_wearing *wearing, wm_error *err)
{
    const wm_case *c = d->the_case;
    if (!d->worn_shades)
        d->worn_shades = calloc(2, sizeof *d->worn_shades);
    if (!d->worn_shades)
        return wm_fail_memory(err);
    for (int i = 0; i < (wearing->second ? 2 : 1); i++) {
        wm_shade_draw(&d->worn_shades[i], i == 0 ? wearing->first : wearing->second);
        wm_shade_measure(&d->worn_shades[i], c->head);
    }
    wm_status status =
        wm_pool_add(&d->pool, &d->worn_shades[0], wearing->second ? &d->worn_shades[1] : NULL, wearing->patterns, err);
    if (status)
        return status;
    wm_candidate *worn = &d->pool.items[d->pool.count - 1];
    if (worn->pieces > 0 && c->segment_count > 1 && wm_patterns_alike(wearing->patterns, c->segment_count))
        worn->pieces = wm_pieces_along(&wearing->patterns[0], c->rows, c->row_count);
    d->worn = worn;
    return WM_OK;
}

wm_wearing wm_candidate_wearing(const wm_pool *pool, const wm_candidate *candidate)
{
    wm_wearing wearing = { .first = candidate->first->swatch,
                           .second = candidate->second ? candidate->second->swatch : NULL };
    for (size_t s = 0; s < pool->in->hanging->count; s++)
        wearing.patterns[s] = candidate->parts[s]->pattern;
    return wearing;
}

/* ---- the choice ---- */

/* Of what she wears and all that could earn its place against it (M31). What earns its place only against one of those
 * is left out: it would have a far smaller gap than what she wears, and yet no smaller one in every fifth draw. */
static wm_status choose_against_worn(wm_decided *d, const wm_wearing *wearing, wm_error *err)
{
    wm_rival rival;
    double gap[WM_DRAW_ROWS];
    wm_status status = add_worn(d, wearing, err);
    if (status)
        return status;
    wm_candidate_gap(gap, &d->pool, d->worn);
    wm_rival_of(&rival, gap, wm_earning_draws(wearing->stays));
    d->pool_input.rival = &rival;
    status = wm_pool_fill(&d->pool, err);
    d->pool_input.rival = NULL;
    d->worn = &d->pool.items[0];
    if (!status)
        d->chosen = wm_choose(&(wm_choose_input){ &d->pool, d->worn, wearing->stays });
    return status;
}

static wm_status choose_of_all(wm_decided *d, const wm_wearing *wearing, wm_error *err)
{
    wm_status status = wm_pool_fill(&d->pool, err);
    if (!status && wearing)
        status = add_worn(d, wearing, err);
    if (!status)
        d->chosen = wm_choose(&(wm_choose_input){ &d->pool, d->worn, wearing && wearing->stays });
    return status;
}

wm_status wm_decided_choose(wm_decided *d, int layers, const wm_wearing *wearing, wm_error *err)
{
    const wm_case *c = d->the_case;
    d->pool_input = (wm_pool_input){ c->head, &d->hanging, &d->roles, c->rows,   c->row_count,
                                     layers,  c->weights,  c->worn,   c->inside, NULL };
    d->pool = (wm_pool){ .in = &d->pool_input };
    return c->only_held && wearing ? choose_against_worn(d, wearing, err) : choose_of_all(d, wearing, err);
}

wm_outlook wm_decided_outlook(const wm_decided *decided, const wm_candidate *candidate, const wm_verdict_limits *limits)
{
    const double limit[3] = { limits->match, limits->close, limits->visible };
    double far[WM_DRAW_ROWS];
    wm_outlook out = { .verdict = WM_VERDICT_FAR };
    wm_candidate_far(far, &decided->pool, candidate);
    for (int i = 2; i >= 0; i--) {
        out.within[i] = wm_draws_within(far, limit[i]);
        if (out.within[i] >= VERDICT_IN_DRAWS[i])
            out.verdict = (wm_verdict)i;
    }
    if (out.verdict == WM_VERDICT_MATCH && decided->the_case->head->bases_apart)
        out.verdict = WM_VERDICT_CLOSE; /* far is of their mean */
    return out;
}
