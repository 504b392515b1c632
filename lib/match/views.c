#include "match/views.h"

#include <math.h>
#include <string.h>

#include "core/words.h"

enum { CHANNELS = 3 };

const char *const WM_WORN_WORDS[] = { "both", "down", "up", NULL };

bool wm_worn_parse(const char *text, wm_worn *out)
{
    unsigned value = 0;
    bool found = wm_word_find(WM_WORN_WORDS, text, &value);
    if (found)
        *out = (wm_worn)value;
    return found;
}

/* A whole layer of one shade: all that does not depend on its neighbours. */
typedef struct layer_optics {
    wm_cone colour;    /* clamped (B1) */
    double z[3];       /* B2 */
    double R[3], T[3]; /* B13 */
    double tau;
} layer_optics;
/* B14, one channel. */
static double over(const layer_optics *front, int channel, double behind)
{
    return wm_layer_over(front->R[channel], front->T[channel], behind);
}

/* M11 without the edge, one channel: intact and front layer moved away. */
static double face_of(const wm_view_weights *weights, double intact, double moved)
{
    return weights->intact * intact + weights->moved * moved;
}

static layer_optics layer_optics_of(const wm_swatch *swatch, const wm_hair_law *law)
{
    layer_optics made = { .colour = wm_shade_cone(swatch->lab), .tau = wm_swatch_tau(swatch) };
    for (int i = 0; i < CHANNELS; i++) {
        made.z[i] = wm_absorb(made.colour.c[i], law->g);
        wm_layer_reflect(made.colour.c[i], made.tau, law, &made.R[i], &made.T[i]);
    }
    return made;
}

static wm_cone behind_of(wm_lab behind)
{
    wm_cone cone = wm_lab_to_cone(behind);
    for (int i = 0; i < CHANNELS; i++)
        cone.c[i] = fmin(fmax(cone.c[i], 0), 1);
    return cone;
}

/* B19: edge of a stack in which two shades together are tau_a and tau_b thick; the colour itself when tau_b is 0. */
static wm_cone edge_of(const layer_optics *a, double tau_a, const layer_optics *b, double tau_b, const wm_hair_law *law)
{
    if (!(tau_b > 0))
        return a->colour;
    wm_cone edge;
    double p = tau_a / (tau_a + tau_b), q = tau_b / (tau_a + tau_b), phi = wm_phi_of_edge(tau_a, tau_b);
    for (int i = 0; i < CHANNELS; i++)
        edge.c[i] = (1 - phi) * (p * a->colour.c[i] + q * b->colour.c[i]) +
                    phi * wm_unabsorb(p * a->z[i] + q * b->z[i], law->g);
    return edge;
}

/* The stack made ready, front first; the up side is the same in reverse. */
typedef struct stack {
    layer_optics layers[WM_MAX_LAYERS];
    int shade[WM_MAX_LAYERS]; /* of each layer: index of the first layer of its shade */
    size_t count;
} stack;

static stack stack_of(const wm_swatch *const *layers, size_t count, const wm_hair_law *law)
{
    stack s = { .count = count < WM_MAX_LAYERS ? count : WM_MAX_LAYERS };
    for (size_t i = 0; i < s.count; i++) {
        s.layers[i] = layer_optics_of(layers[i], law);
        for (s.shade[i] = 0; strcmp(layers[s.shade[i]]->code, layers[i]->code) != 0;)
            s.shade[i]++;
    }
    return s;
}

static stack reversed(const stack *down)
{
    stack up = { .count = down->count };
    for (size_t i = 0; i < down->count; i++) {
        up.layers[i] = down->layers[down->count - 1 - i];
        up.shade[i] = down->shade[down->count - 1 - i];
    }
    return up;
}

/* B19 over one or two shades; with three the two behind the front one count as their mix. */
static wm_cone edge_colour(const stack *s, const wm_hair_law *law)
{
    const layer_optics *rest[WM_MAX_LAYERS];
    double front_tau = 0, rest_tau = 0;
    size_t others = 0;
    for (size_t i = 0; i < s->count; i++) {
        if (s->shade[i] == s->shade[0]) {
            front_tau += s->layers[i].tau;
        } else {
            rest_tau += s->layers[i].tau;
            rest[others++] = &s->layers[i];
        }
    }
    if (others < 2 || s->shade[1] == s->shade[2])
        return edge_of(&s->layers[0], front_tau, others ? rest[0] : NULL, rest_tau, law);
    layer_optics mix = { .tau = rest_tau };
    for (int c = 0; c < CHANNELS; c++) {
        mix.z[c] = (rest[0]->tau * rest[0]->z[c] + rest[1]->tau * rest[1]->z[c]) / rest_tau;
        mix.colour.c[c] = wm_unabsorb(mix.z[c], law->g);
    }
    return edge_of(&s->layers[0], front_tau, &mix, rest_tau, law);
}

/* The layers from `first` on, over what hangs behind. */
static wm_cone seen_from(const stack *s, size_t first, wm_cone behind)
{
    for (size_t i = s->count; i-- > first;)
        for (int c = 0; c < CHANNELS; c++)
            behind.c[c] = over(&s->layers[i], c, behind.c[c]);
    return behind;
}

static wm_cone area_mean(const stack *s, const wm_sight *sight, wm_lab singles[3])
{
    wm_cone behind = behind_of(sight->behind), mean;
    wm_cone intact = seen_from(s, 0, behind), moved = seen_from(s, 1, behind), edge = edge_colour(s, &sight->law);
    for (int c = 0; c < CHANNELS; c++)
        mean.c[c] = face_of(&sight->weights, intact.c[c], moved.c[c]) + sight->weights.edge * edge.c[c];
    singles[0] = wm_cone_to_lab(intact);
    singles[1] = wm_cone_to_lab(moved);
    singles[2] = wm_cone_to_lab(edge);
    return mean;
}

wm_views wm_views_of(const wm_swatch *const *layers, size_t count, const wm_sight *sight)
{
    stack down = stack_of(layers, count, &sight->law), up = reversed(&down);
    wm_lab singles[3], unused[3];
    wm_views views = { .down = wm_cone_to_lab(area_mean(&down, sight, singles)),
                       .up = wm_cone_to_lab(area_mean(&up, sight, unused)) };
    views.intact = singles[0];
    views.moved = singles[1];
    views.edge = singles[2];
    return views;
}
