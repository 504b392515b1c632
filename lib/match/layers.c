#include "match/layers.h"

#include "measure/kriging.h"

#include <math.h>
#include <string.h>

enum { OUTPUTS = 3 };

double wm_worst_of(double down_de00, double up_de00, wm_worn worn)
{
    return worn == WM_WORN_DOWN ? down_de00 : worn == WM_WORN_UP ? up_de00 : fmax(down_de00, up_de00);
}

static wm_sight sight_of(wm_lab pile, const wm_layers_settings *settings)
{
    return (wm_sight){ settings->law, settings->weights, pile };
}

/* ---- everything uncertain, moved one at a time (M2) ---- */

/* The same swatch: of one catalogue, or of two that agree about it. */
static bool same_shade(const wm_swatch *a, const wm_swatch *b)
{
    return strcmp(a->code, b->code) == 0 && !(wm_de00(a->lab, b->lab) > 0);
}

/* T, the pile and every shade of one or two proposals, to be moved. */
typedef struct world {
    wm_lab target, pile;
    wm_swatch shades[2 * WM_MAX_LAYERS];
    size_t shade_count;
} world;

static size_t place_in(const world *w, const wm_swatch *swatch)
{
    size_t i = 0;
    while (i < w->shade_count && !same_shade(&w->shades[i], swatch))
        i++;
    return i;
}

static void add_shades(world *w, const wm_proposal *proposal)
{
    for (int i = 0; i < proposal->shade_count; i++)
        if (place_in(w, proposal->shades[i]) == w->shade_count)
            w->shades[w->shade_count++] = *proposal->shades[i];
}

/* A proposal's layers as indices into a world: a moved world keeps its places, but not its colours. */
typedef struct places {
    size_t at[WM_MAX_LAYERS];
    size_t count;
} places;

static places places_of(const world *w, const wm_proposal *proposal)
{
    places p = { .count = (size_t)proposal->layer_count };
    for (size_t i = 0; i < p.count; i++)
        p.at[i] = place_in(w, proposal->layers[i]);
    return p;
}

static wm_views views_in(const world *w, const places *p, const wm_layers_settings *settings)
{
    const wm_swatch *layers[WM_MAX_LAYERS];
    for (size_t i = 0; i < p->count; i++)
        layers[i] = &w->shades[p->at[i]];
    wm_sight sight = sight_of(w->pile, settings);
    return wm_views_of(layers, p->count, &sight);
}

static double worst_in(const world *w, const places *p, const wm_layers_settings *settings)
{
    wm_views views = views_in(w, p, settings);
    return wm_worst_of(wm_de00(w->target, views.down), wm_de00(w->target, views.up), settings->worn);
}

static double *output_of(wm_lab *lab, int o)
{
    return o == 0 ? &lab->L : o == 1 ? &lab->a : &lab->b;
}

/* The k-th uncertain number: 0 to 2 of T, 3 to 5 of the pile, then three of each shade, (u, u/2, u/2). Moves it by
 * `sign` sigma. */
static world moved_world(const world *w, const wm_layers_goal *goal, size_t k, double sign)
{
    world out = *w;
    size_t which = k / OUTPUTS;
    int o = (int)(k % OUTPUTS);
    wm_lab *lab = which == 0   ? &out.target
                  : which == 1 ? &out.pile
                               : &out.shades[which - 2].lab,
           sigma = goal->target.sigma;
    if (which == 1)
        sigma = goal->pile.sigma;
    if (which > 1) {
        double u = wm_swatch_u(&w->shades[which - 2]);
        sigma = (wm_lab){ u, u / 2, u / 2 };
    }
    *output_of(lab, o) += sign * *output_of(&sigma, o);
    return out;
}

static size_t uncertain_count(const world *w)
{
    return OUTPUTS * (2 + w->shade_count);
}

wm_gain wm_layers_gain(const wm_proposal *held, const wm_proposal *other, const wm_layers_goal *goal,
                       const wm_layers_settings *settings)
{
    world w = { .target = goal->target.lab, .pile = goal->pile.lab };
    add_shades(&w, held);
    add_shades(&w, other);
    places a = places_of(&w, held), b = places_of(&w, other);
    double sum = 0;
    for (size_t k = 0; k < uncertain_count(&w); k++) {
        world up = moved_world(&w, goal, k, 1), down = moved_world(&w, goal, k, -1);
        double effect = (worst_in(&up, &a, settings) - worst_in(&up, &b, settings) - worst_in(&down, &a, settings) +
                         worst_in(&down, &b, settings)) /
                        2;
        sum += effect * effect;
    }
    wm_gain gain = { .de00 = held->worst_de00 - other->worst_de00, .u_de00 = sqrt(sum) };
    gain.needed = fmax(0.5, gain.u_de00);
    gain.earned = gain.de00 > gain.needed;
    return gain;
}

/* ---- judging ---- */

/* u of the view that decides, from the shades and the pile: their shares in its L, a, b as sigma, turned into dE00 as
 * C12 does. */
static double u_of_stack(const wm_proposal *proposal, const wm_layers_goal *goal, const wm_layers_settings *settings)
{
    world w = { .target = goal->target.lab, .pile = goal->pile.lab };
    add_shades(&w, proposal);
    places p = places_of(&w, proposal);
    bool up_decides =
        settings->worn == WM_WORN_UP || (settings->worn == WM_WORN_BOTH && proposal->up_de00 > proposal->down_de00);
    wm_lab variance = { 0, 0, 0 };
    for (size_t k = OUTPUTS; k < uncertain_count(&w); k++) { /* T has its own u */
        world high = moved_world(&w, goal, k, 1), low = moved_world(&w, goal, k, -1);
        wm_views a = views_in(&high, &p, settings), b = views_in(&low, &p, settings);
        wm_lab x = up_decides ? a.up : a.down, y = up_decides ? b.up : b.down;
        for (int o = 0; o < OUTPUTS; o++) {
            double effect = (*output_of(&x, o) - *output_of(&y, o)) / 2;
            *output_of(&variance, o) += effect * effect;
        }
    }
    wm_lab sigma = { sqrt(variance.L), sqrt(variance.a), sqrt(variance.b) };
    return wm_sigma_to_u(up_decides ? proposal->views.up : proposal->views.down, sigma);
}

static void count_shades(wm_proposal *proposal)
{
    for (int i = 0; i < proposal->layer_count; i++) {
        int j = 0;
        while (j < proposal->shade_count && !same_shade(proposal->shades[j], proposal->layers[i]))
            j++;
        if (j == proposal->shade_count)
            proposal->shades[proposal->shade_count++] = proposal->layers[i];
        proposal->of_each[j]++;
    }
}

void wm_layers_judge(wm_proposal *out, const wm_swatch *const *layers, size_t count, const wm_layers_goal *goal,
                     const wm_layers_settings *settings)
{
    wm_sight sight = sight_of(goal->pile.lab, settings);
    wm_proposal proposal = { .layer_count = (int)(count < WM_MAX_LAYERS ? count : WM_MAX_LAYERS) };
    for (int i = 0; i < proposal.layer_count; i++)
        proposal.layers[i] = layers[i];
    count_shades(&proposal);
    proposal.views = wm_views_of(layers, (size_t)proposal.layer_count, &sight);
    proposal.down_de00 = wm_de00(goal->target.lab, proposal.views.down);
    proposal.up_de00 = wm_de00(goal->target.lab, proposal.views.up);
    proposal.worst_de00 = wm_worst_of(proposal.down_de00, proposal.up_de00, settings->worn);
    proposal.u_de00 = hypot(goal->target.u_de00, u_of_stack(&proposal, goal, settings));
    proposal.verdict = wm_verdict_of(proposal.worst_de00, &settings->verdict);
    *out = proposal;
}

/* ---- M17 ---- */

wm_lab wm_target_at_share(wm_lab base, wm_lab gray, double share)
{
    share = fmin(fmax(share, 0), 1);
    return wm_rgb_to_lab(
        wm_rgb_add(wm_rgb_scale(wm_lab_to_rgb(base), 1 - share), wm_rgb_scale(wm_lab_to_rgb(gray), share)));
}
