/* How a search of a million stacks stays short: what depends on one shade is computed once (wm_ply, and each shade over
 * the pile); what depends on a pair is shared by its eight stacks; and a stack whose lightness alone makes it farther
 * than the best so far is never turned into CIELAB. That bound is exact: dE00 is never below |dL| / S_L, because the
 * rest under CIEDE2000's root is c^2 + h^2 + R_T c h with |R_T| <= 2. So the result is that of trying everything. */
#include "match/search.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "match/candidate.h"
#include "match/views_internal.h"
#include "match/why.h"

enum { CHANNELS = 3, MAX_JOBS = 64 };

/* ---- what is computed once ---- */

/* One shade over the pile: by itself, and twice. */
typedef struct over_pile {
    double once[CHANNELS], twice[CHANNELS];
} over_pile;

/* The luminances that a stack with this shade in front can have, whatever lies behind. */
typedef struct range {
    double low, high;
} range;

typedef struct search {
    const wm_layers_goal *goal;
    const wm_layers_settings *settings;
    const wm_swatch **shades; /* by code */
    size_t count;
    wm_ply *plies;
    over_pile *piles;
    range *fronts;
    size_t *nearest; /* places, the nearest single shade first: the sooner something good is found, the less is tried */
    wm_cone pile;
    double luminance[CHANNELS]; /* of a cone: all above 0 */
} search;

static void free_search(search *s)
{
    free(s->shades);
    free(s->plies);
    free(s->piles);
    free(s->fronts);
    free(s->nearest);
}

static int compare_codes(const void *a, const void *b)
{
    return strcmp((*(const wm_swatch *const *)a)->code, (*(const wm_swatch *const *)b)->code);
}

static double luminance_of(wm_cone cone)
{
    return wm_lab_to_xyz(wm_cone_to_lab(cone), WM_D50).Y;
}

typedef struct place_at {
    double de00;
    size_t place;
} place_at;

static int compare_places(const void *a, const void *b)
{
    const place_at *x = a, *y = b;
    if (x->de00 < y->de00 || x->de00 > y->de00)
        return x->de00 < y->de00 ? -1 : 1;
    return x->place < y->place ? -1 : 1;
}

static bool sort_nearest(search *s)
{
    place_at *all = malloc(s->count * sizeof *all);
    if (!all)
        return false;
    for (size_t i = 0; i < s->count; i++)
        all[i] = (place_at){ wm_de00(s->goal->target.lab, s->shades[i]->lab), i };
    qsort(all, s->count, sizeof *all, compare_places);
    for (size_t i = 0; i < s->count; i++)
        s->nearest[i] = all[i].place;
    free(all);
    return true;
}

/* Luminance of a stack with this front over `behind` of one channel, and with `edge` at its edge. */
static double channel_luminance(const search *s, const wm_ply *front, int channel, double behind, double edge)
{
    const wm_view_weights *weights = &s->settings->weights;
    return s->luminance[channel] *
           (wm_face_of(weights, wm_ply_over(front, channel, behind), behind) + weights->edge * edge);
}

/* A layer over r gives what lies between r and its own c, and more r gives more: so no stack leaves the range of the
 * shades and the pile. */
static void find_fronts(search *s)
{
    for (size_t i = 0; i < s->count; i++)
        s->fronts[i] = (range){ 0, 0 };
    for (int c = 0; c < CHANNELS; c++) {
        double low = s->pile.c[c], high = low;
        for (size_t i = 0; i < s->count; i++) {
            low = fmin(low, s->plies[i].colour.c[c]);
            high = fmax(high, s->plies[i].colour.c[c]);
        }
        for (size_t i = 0; i < s->count; i++) {
            s->fronts[i].low += channel_luminance(s, &s->plies[i], c, low, low);
            s->fronts[i].high += channel_luminance(s, &s->plies[i], c, high, high);
        }
    }
}

static wm_status prepare(search *s, const wm_shades *shades, wm_error *err)
{
    s->count = shades->count;
    s->shades = malloc(s->count * sizeof *s->shades);
    s->plies = malloc(s->count * sizeof *s->plies);
    s->piles = malloc(s->count * sizeof *s->piles);
    s->fronts = malloc(s->count * sizeof *s->fronts);
    s->nearest = malloc(s->count * sizeof *s->nearest);
    if (!s->shades || !s->plies || !s->piles || !s->fronts || !s->nearest)
        return wm_fail_memory(err);
    memcpy(s->shades, shades->items, s->count * sizeof *s->shades);
    qsort(s->shades, s->count, sizeof *s->shades, compare_codes);
    s->pile = wm_pile_of(s->goal->pile.lab);
    for (int c = 0; c < CHANNELS; c++) {
        wm_cone one = { { 0 } };
        one.c[c] = 1;
        s->luminance[c] = luminance_of(one);
    }
    for (size_t i = 0; i < s->count; i++) {
        s->plies[i] = wm_ply_of(s->shades[i], &s->settings->law);
        for (int c = 0; c < CHANNELS; c++) {
            s->piles[i].once[c] = wm_ply_over(&s->plies[i], c, s->pile.c[c]);
            s->piles[i].twice[c] = wm_ply_over(&s->plies[i], c, s->piles[i].once[c]);
        }
    }
    find_fronts(s);
    return sort_nearest(s) ? WM_OK : wm_fail_memory(err);
}

/* ---- one worker ---- */

/* Luminances within which a stack can still be as good as `tenths`. */
typedef struct window {
    int64_t tenths;
    double limit, low, high;
} window;

typedef struct worker {
    const search *search;
    size_t first, step;                   /* its share of the rows */
    wm_candidate best[WM_MAX_LAYERS + 1]; /* by number of layers */
    wm_candidate pair;                    /* the best of two shades, for the ideal mix */
    window windows[WM_MAX_LAYERS + 1];
} worker;

static double s_l(double mean_lightness)
{
    double l50 = (mean_lightness - 50) * (mean_lightness - 50);
    return 1 + 0.015 * l50 / sqrt(20 + l50);
}

/* How far the lightness may go from L in the direction of `sign` before |dL| / S_L alone passes the limit; the ratio
 * grows all the way. */
static double lightness_reach(double L, double limit, int sign)
{
    double inside = 0, outside = 200;
    if (outside / s_l(L + sign * outside / 2) <= limit)
        return outside;
    for (int i = 0; i < 50; i++) {
        double middle = (inside + outside) / 2;
        if (middle / s_l(L + sign * middle / 2) <= limit)
            inside = middle;
        else
            outside = middle;
    }
    return outside;
}

static double luminance_at(double L)
{
    return wm_lab_to_xyz((wm_lab){ L, 0, 0 }, WM_D50).Y;
}

/* What rounds to more than both the best of its number of layers and the best pair is of no use. */
static void narrow(worker *w, int layers)
{
    static const double MARGIN = 1e-7; /* far above rounding, far below 0.1 */
    int64_t tenths = w->best[layers].tenths > w->pair.tenths ? w->best[layers].tenths : w->pair.tenths;
    window *out = &w->windows[layers];
    if (tenths == out->tenths)
        return;
    double L = w->search->goal->target.lab.L;
    out->tenths = tenths;
    if (tenths == INT64_MAX) {
        *out = (window){ tenths, HUGE_VAL, -HUGE_VAL, HUGE_VAL };
        return;
    }
    out->limit = ((double)tenths + 0.5) / 10 + MARGIN;
    out->low = luminance_at(L - lightness_reach(L, out->limit, -1)) - MARGIN;
    out->high = luminance_at(L + lightness_reach(L, out->limit, 1)) + MARGIN;
}

static void offer(worker *w, const wm_candidate *c)
{
    const wm_swatch *const *shades = (const wm_swatch *const *)w->search->shades;
    if (wm_candidate_order(shades, c, &w->best[c->layers]) < 0)
        w->best[c->layers] = *c;
    if (c->a != c->b && wm_candidate_order(shades, c, &w->pair) < 0)
        w->pair = *c;
}

/* ---- one stack and its reverse ---- */

/* A stack seen from its front: linear light without the edge, and where its edge comes from. */
typedef struct face {
    double c[CHANNELS];
    double de00;   /* to T; below 0 until it is asked for */
    bool possible; /* its lightness lets it be good enough */
    int edge;      /* which of the edges */
} face;

/* The edges of a pair: one layer of each; two of a and one of b; one of a and two of b. Made when first asked for. */
typedef struct edges {
    const wm_ply *a, *b;
    bool made[3];
    wm_cone colour[3];
    double low, high; /* the least and the most that an edge can add to the luminance */
} edges;

/* A mix stays between its shades in every channel (B4). */
static edges edges_of(const search *s, const wm_ply *a, const wm_ply *b)
{
    edges e = { .a = a, .b = b };
    for (int c = 0; c < CHANNELS; c++) {
        double k = s->settings->weights.edge * s->luminance[c], x = a->colour.c[c], y = b->colour.c[c];
        e.low += k * (x < y ? x : y);
        e.high += k * (x < y ? y : x);
    }
    return e;
}

static const wm_cone *edge_at(const search *s, edges *e, int which)
{
    if (!e->made[which]) {
        double tau_a = (which == 1 ? 2 : 1) * e->a->tau, tau_b = (which == 2 ? 2 : 1) * e->b->tau;
        e->colour[which] = wm_edge_of(e->a, tau_a, e->b, e->a == e->b ? 0 : tau_b, &s->settings->law);
        e->made[which] = true;
    }
    return &e->colour[which];
}

static face face_of(const search *s, const wm_ply *front, const double *behind)
{
    face f = { .de00 = -1 };
    for (int c = 0; c < CHANNELS; c++)
        f.c[c] = wm_face_of(&s->settings->weights, wm_ply_over(front, c, behind[c]), behind[c]);
    return f;
}

static void look(const worker *w, face *f, const edges *e, int layers)
{
    const double *k = w->search->luminance;
    double y = k[0] * f->c[0] + k[1] * f->c[1] + k[2] * f->c[2];
    f->possible = y + e->high >= w->windows[layers].low && y + e->low <= w->windows[layers].high;
}

static double distance_of(const search *s, face *f, edges *e)
{
    if (f->de00 < 0) {
        const wm_cone *edge = edge_at(s, e, f->edge);
        wm_cone mean;
        for (int c = 0; c < CHANNELS; c++)
            mean.c[c] = f->c[c] + s->settings->weights.edge * edge->c[c];
        f->de00 = wm_de00(s->goal->target.lab, wm_cone_to_lab(mean));
    }
    return f->de00;
}

/* Judges one order of layers by the view or views that count; down and up may be one and the same face. */
static void try_stack(worker *w, const wm_candidate *stack, face *down, face *up, edges *e)
{
    wm_worn worn = w->search->settings->worn;
    double limit = w->windows[stack->layers].limit;
    face *first = worn == WM_WORN_UP ? up : down, *second = worn == WM_WORN_DOWN ? down : up;
    if (!first->possible || !second->possible)
        return;
    double x = distance_of(w->search, first, e);
    if (x > limit)
        return;
    double y = distance_of(w->search, second, e);
    if (y > limit)
        return;
    wm_candidate c = *stack;
    c.tenths = llround(fmax(x, y) * 10);
    c.rms = llround(sqrt((x * x + y * y) / 2) * 1e9);
    c.down = llround(x * 1e9);
    offer(w, &c);
}

/* ---- one shade, one pair ---- */

static void try_shade(worker *w, size_t i)
{
    const search *s = w->search;
    const double *behind[] = { s->pile.c, s->piles[i].once, s->piles[i].twice };
    edges e = edges_of(s, &s->plies[i], &s->plies[i]);
    for (int layers = 1; layers <= s->settings->max_layers; layers++) {
        wm_candidate stack = { .a = i, .b = i, .layers = layers };
        face f = face_of(s, &s->plies[i], behind[layers - 1]);
        look(w, &f, &e, layers);
        try_stack(w, &stack, &f, &f, &e);
        narrow(w, layers);
    }
}

/* An order's bits from behind. */
static int reverse_of(int order, int layers)
{
    return layers == 2 ? (order & 1) << 1 | order >> 1 : (order & 1) << 2 | (order & 2) | order >> 2;
}

/* Whether a stack with this shade in front can be seen as good enough, by its lightness alone. */
static bool can_be_front(const worker *w, size_t shade, int layers)
{
    const range *front = &w->search->fronts[shade];
    return front->high >= w->windows[layers].low && front->low <= w->windows[layers].high;
}

/* All orders that hold both shades. rest: what lies behind the front layer, by its bits. front: whether a and b can be
 * one. */
static void try_orders(worker *w, wm_candidate stack, const double *const *rest, const bool front[2], edges *e)
{
    int orders = 1 << stack.layers, front_bit = orders >> 1;
    bool both = w->search->settings->worn == WM_WORN_BOTH, any = false;
    face faces[1 << WM_MAX_LAYERS];
    for (int order = 1; order < orders - 1; order++) {
        face *f = &faces[order];
        int first = order & front_bit ? 1 : 0, last = order & 1;
        f->possible = false;
        if (!front[first] || (both && !front[last]))
            continue;
        *f = face_of(w->search, first ? e->b : e->a, rest[order & (front_bit - 1)]);
        f->edge = stack.layers == 2 ? 0 : order == 1 || order == 2 || order == 4 ? 1 : 2;
        look(w, f, e, stack.layers);
        any |= f->possible;
    }
    for (int order = 1; any && order < orders - 1; order++) {
        stack.order = order;
        try_stack(w, &stack, &faces[order], &faces[reverse_of(order, stack.layers)], e);
    }
}

static void try_two(worker *w, wm_candidate stack, const bool front[2], edges *e)
{
    const over_pile *pa = &w->search->piles[stack.a], *pb = &w->search->piles[stack.b];
    const double *rest[] = { pa->once, pb->once };
    try_orders(w, stack, rest, front, e);
}

static void try_three(worker *w, wm_candidate stack, const bool front[2], edges *e)
{
    const over_pile *pa = &w->search->piles[stack.a], *pb = &w->search->piles[stack.b];
    double ab[CHANNELS], ba[CHANNELS];
    for (int c = 0; c < CHANNELS; c++) {
        ab[c] = wm_ply_over(e->a, c, pb->once[c]);
        ba[c] = wm_ply_over(e->b, c, pa->once[c]);
    }
    const double *rest[] = { pa->twice, ab, ba, pb->twice };
    try_orders(w, stack, rest, front, e);
}

static void try_pair(worker *w, size_t i, size_t j)
{
    wm_candidate stack = { .a = i < j ? i : j, .b = i < j ? j : i };
    edges e = { .a = NULL };
    for (int layers = 2; layers <= w->search->settings->max_layers; layers++) {
        const bool front[] = { can_be_front(w, stack.a, layers), can_be_front(w, stack.b, layers) };
        if (!front[0] && !front[1])
            continue;
        if (!e.a)
            e = edges_of(w->search, &w->search->plies[stack.a], &w->search->plies[stack.b]);
        stack.layers = layers;
        if (layers == 2)
            try_two(w, stack, front, &e);
        else
            try_three(w, stack, front, &e);
        narrow(w, layers);
    }
}

/* ---- all of them ---- */

static void *work(void *argument)
{
    worker *w = argument;
    const search *s = w->search;
    for (size_t i = w->first; i < s->count; i += w->step) {
        try_shade(w, s->nearest[i]);
        for (size_t j = i + 1; s->settings->max_layers >= 2 && j < s->count; j++)
            try_pair(w, s->nearest[i], s->nearest[j]);
    }
    return NULL;
}

static worker worker_of(const search *s, size_t first, size_t step)
{
    worker w = { .search = s, .first = first, .step = step, .pair = WM_CANDIDATE_NONE };
    for (int layers = 0; layers <= WM_MAX_LAYERS; layers++) {
        w.best[layers] = WM_CANDIDATE_NONE;
        w.best[layers].layers = layers;
        narrow(&w, layers);
    }
    return w;
}

/* Workers share nothing while they work; their bests are put together by the same total order that each of them used.
 */
static void run(worker *out, const search *s)
{
    size_t jobs = s->settings->jobs < 1 ? 1 : s->settings->jobs > MAX_JOBS ? MAX_JOBS : (size_t)s->settings->jobs;
    if (jobs > s->count)
        jobs = s->count;
    worker workers[MAX_JOBS];
    pthread_t threads[MAX_JOBS];
    bool started[MAX_JOBS] = { false };
    for (size_t i = 0; i < jobs; i++)
        workers[i] = worker_of(s, i, jobs);
    for (size_t i = 1; i < jobs; i++)
        started[i] = pthread_create(&threads[i], NULL, work, &workers[i]) == 0;
    for (size_t i = 0; i < jobs; i++) {
        if (started[i])
            pthread_join(threads[i], NULL);
        else
            work(&workers[i]);
    }
    *out = workers[0];
    for (size_t i = 1; i < jobs; i++) {
        for (int layers = 1; layers <= WM_MAX_LAYERS; layers++)
            if (workers[i].best[layers].tenths < INT64_MAX)
                offer(out, &workers[i].best[layers]);
        if (workers[i].pair.tenths < INT64_MAX)
            offer(out, &workers[i].pair);
    }
}

static void judge(wm_proposal *out, const search *s, const wm_candidate *c)
{
    const wm_swatch *layers[WM_MAX_LAYERS];
    for (int i = 0; i < c->layers; i++)
        layers[i] = s->shades[c->order >> (c->layers - 1 - i) & 1 ? c->b : c->a];
    wm_layers_judge(out, layers, (size_t)c->layers, s->goal, s->settings);
}

/* M13: fewest layers first; the next is taken when it earns its place against the one held. Then the losers, simpler
 * ones first. */
static void choose(wm_proposals *out, const search *s, const worker *best)
{
    wm_proposal found[WM_MAX_LAYERS];
    int held = 0, count = s->settings->max_layers;
    for (int i = 0; i < count; i++) {
        judge(&found[i], s, &best->best[i + 1]);
        if (i > 0 && wm_layers_gain(&found[held], &found[i], s->goal, s->settings).earned)
            held = i;
    }
    out->items[out->count++] = found[held];
    for (int i = 0; i < count; i++)
        if (i != held)
            out->items[out->count++] = found[i];
    if (best->pair.tenths < INT64_MAX) { /* M10 */
        out->has_ideal_mix = true;
        out->ideal[0] = s->shades[best->pair.a];
        out->ideal[1] = s->shades[best->pair.b];
        out->ideal_fit =
            wm_fit_share(out->ideal[0]->lab, out->ideal[1]->lab, s->goal->target.lab, 1, &s->settings->law);
    }
}

wm_status wm_layers_search(wm_proposals *out, const wm_shades *shades, const wm_layers_goal *goal,
                           const wm_layers_settings *settings, wm_error *err)
{
    if (shades->count == 0)
        return wm_fail(err, WM_E_INPUT,
                       "no hair shade is left to propose; loosen the filters or add shades to the catalogue");
    if (settings->max_layers < 1 || settings->max_layers > WM_MAX_LAYERS)
        return wm_fail(err, WM_E_USAGE, "max_layers must be from 1 to %d", WM_MAX_LAYERS);
    search s = { .goal = goal, .settings = settings };
    wm_proposals found = { .count = 0 };
    worker best;
    wm_status status = prepare(&s, shades, err);
    if (status == WM_OK) {
        run(&best, &s);
        choose(&found, &s, &best);
        wm_why_proposals(&found, shades, goal, settings);
        *out = found;
    }
    free_search(&s);
    return status;
}
