/* Four things keep this short. What lies in one lock is one of 2^n stacks of whole layers, whatever the pattern; so
 * the colours of a pair are made once a draw and a pattern only weighs them. Lifted, a pattern looks as its reverse
 * does worn down. The colours near by, their distances to her hair and their order are the same for all patterns. And
 * what is sewn has the same colours whatever it lies beside. */
#include "match/judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "core/wide.h"

static const double NEAR_WEIGHT = 0.5; /* M30 */

enum {
    CHANNELS = 3,
    STACKS = 1 << WM_MAX_LAYERS,
    LIST = 2 * WM_MAX_PATTERNS,                   /* with their reverses */
    EDGES = WM_MAX_LAYERS * WM_PATTERN_WHOLE + 1, /* shares of the second shade that they can have */
    POINTS = 2 * (STACKS + STACKS / 2 + 2) + 1    /* stacks, without their front layer, the pure shades; each in two */
};

/* The patterns as weighings of whole stacks. A stack is a number whose bits are its layers, the front one highest: 0 is
 * the first shade, 1 the second. */
struct wm_weighings {
    int layers;
    wm_pattern list[LIST];
    size_t count, mirror[LIST];                           /* of the list; where each one's reverse stands in it */
    double intact[STACKS][LIST], moved[STACKS / 2][LIST]; /* whole; without the front layer */
    double second[LIST];                                  /* share of the second shade */
    size_t edge[LIST];                                    /* which of the edges */
    double edge_second[EDGES];                            /* the different shares of the second shade */
    size_t edge_count;
};

/* Where a colour that is seen near by comes from. */
typedef struct point {
    int layers, stack; /* of a stack or its rest; layers -1: the pure shade `stack` */
    int population;    /* of the front shade */
    bool whole;        /* the front shade is of one population, or there is none (what hangs behind) */
} point;

/* What is seen where a stack ends, whatever the draw: so much of the second shade, so finely mixed. */
typedef struct edge_mix {
    double q, phi;
    bool mixed;
} edge_mix;

typedef struct bench {
    const wm_judge_input *in;
    const wm_weighings *weigh;
    const wm_drawn_shade *shades[2];
    int layers;
    size_t count;          /* of the weighings */
    edge_mix edges[EDGES]; /* [edge_count] of them */
    point points[POINTS];
    size_t point_count;
    double weights[POINTS][LIST];
} bench;

/* ---- once for all pairs ---- */

static wm_pattern reverse_of(const wm_pattern *pattern)
{
    wm_pattern reverse = *pattern;
    for (int i = 0; i < pattern->layers; i++)
        reverse.sixths[i] = pattern->sixths[pattern->layers - 1 - i];
    return reverse;
}

static size_t place_in_list(wm_weighings *w, const wm_pattern *pattern)
{
    for (size_t i = 0; i < w->count; i++)
        if (wm_pattern_order(&w->list[i], pattern, false) == 0)
            return i;
    w->list[w->count] = *pattern;
    return w->count++;
}

static void list_patterns(wm_weighings *w, const wm_pattern *patterns, size_t count)
{
    memcpy(w->list, patterns, count * sizeof *w->list);
    w->count = count;
    for (size_t i = 0; i < count; i++) {
        wm_pattern reverse = reverse_of(&w->list[i]);
        w->mirror[i] = place_in_list(w, &reverse);
    }
}

static void weigh_stacks(wm_weighings *w, const wm_pattern *pattern, size_t at)
{
    int layers = pattern->layers;
    for (int stack = 0; stack < 1 << layers; stack++) {
        double rest = 1, front = 1;
        for (int i = 0; i < layers; i++) {
            double second = pattern->sixths[i] / (double)WM_PATTERN_WHOLE;
            double part = stack >> (layers - 1 - i) & 1 ? second : 1 - second;
            *(i == 0 ? &front : &rest) *= part;
        }
        w->intact[stack][at] = front * rest;
        w->moved[stack & ((1 << layers) / 2 - 1)][at] = rest;
    }
    w->second[at] = 0;
    for (int i = 0; i < layers; i++)
        w->second[at] += pattern->sixths[i] / (double)WM_PATTERN_WHOLE / layers;
}

static void weigh(wm_weighings *w, const wm_pattern *patterns, size_t count)
{
    w->layers = patterns[0].layers;
    w->edge_count = 0;
    list_patterns(w, patterns, count);
    for (size_t i = 0; i < w->count; i++) {
        weigh_stacks(w, &w->list[i], i);
        size_t edge = 0;
        while (edge < w->edge_count && fabs(w->edge_second[edge] - w->second[i]) > 1e-12)
            edge++;
        if (edge == w->edge_count)
            w->edge_second[w->edge_count++] = w->second[i];
        w->edge[i] = edge;
    }
}

wm_weighings *wm_weighings_new(const wm_pattern *patterns, size_t count)
{
    wm_weighings *made = malloc(sizeof *made);
    if (made)
        weigh(made, patterns, count);
    return made;
}

void wm_weighings_free(wm_weighings *weighings)
{
    free(weighings);
}

/* ---- once for all draws ---- */

/* B19, by the total thickness of each shade. */
static void find_edges(bench *b)
{
    for (size_t i = 0; i < b->weigh->edge_count; i++) {
        double tau_second = b->layers * b->weigh->edge_second[i] * b->shades[1]->tau;
        double tau_first = b->layers * (1 - b->weigh->edge_second[i]) * b->shades[0]->tau;
        b->edges[i] = (edge_mix){ tau_second / (tau_first + tau_second), wm_phi_of_edge(tau_first, tau_second),
                                  tau_first > 0 && tau_second > 0 };
    }
}

/* The weight of a point in pattern i, before it is parted into populations. */
static double point_weight(const bench *b, const point *p, size_t i)
{
    const wm_view_weights *areas = &b->in->look->weights;
    const wm_weighings *w = b->weigh;
    if (p->layers < 0)
        return areas->edge * (p->stack ? w->second[i] : 1 - w->second[i]);
    return p->layers == b->layers ? areas->intact * w->intact[p->stack][i] : areas->moved * w->moved[p->stack][i];
}

/* Adds a colour that is seen near by, in its populations; none when no pattern shows it. */
static void add_points(bench *b, int layers, int stack)
{
    const wm_drawn_shade *front = layers == 0 ? NULL : b->shades[layers < 0 ? stack : stack >> (layers - 1) & 1];
    int populations = front ? front->populations : 1;
    for (int population = 0; population < populations; population++) {
        point p = { layers, stack, population, populations == 1 };
        double share = p.whole ? 1 : front->share[population], sum = 0;
        for (size_t i = 0; i < b->count; i++) {
            double weight = share * point_weight(b, &p, i);
            b->weights[b->point_count][i] = weight;
            sum += weight;
        }
        if (sum > 0)
            b->points[b->point_count++] = p;
    }
}

static void list_points(bench *b)
{
    for (int stack = 0; stack < 1 << b->layers; stack++)
        add_points(b, b->layers, stack);
    for (int stack = 0; stack < 1 << b->layers >> 1; stack++)
        add_points(b, b->layers - 1, stack);
    add_points(b, -1, 0);
    if (b->shades[0] != b->shades[1])
        add_points(b, -1, 1);
}

static void set_up(bench *b, const wm_judge_input *input, const wm_weighings *weighings)
{
    b->in = input;
    b->weigh = weighings;
    b->shades[0] = input->first;
    b->shades[1] = input->second;
    b->layers = weighings->layers;
    b->count = weighings->count;
    b->point_count = 0;
    find_edges(b);
    list_points(b);
}

/* ---- one draw ---- */

/* What is seen of the shades: all stacks of 0 to n layers over what hangs behind, and the edges, worn down; the area
 * mean of each pattern; the colours near by. */
typedef struct colours {
    wm_cone stacks[WM_MAX_LAYERS + 1][STACKS];
    wm_cone edges[EDGES];
    wm_lab means[LIST], points[POINTS];
} colours;

/* B13, B14 */
static void draw_stacks(colours *out, const bench *b, int k)
{
    const wm_hair_law *law = &b->in->look->law[k];
    out->stacks[0][0] = b->in->look->behind[k];
    for (int c = 0; c < CHANNELS; c++) {
        double R[2], T[2];
        for (int shade = 0; shade < 2; shade++)
            wm_layer_reflect(b->shades[shade]->colour[k].c[c], b->shades[shade]->tau, law, &R[shade], &T[shade]);
        for (int layers = 1; layers <= b->layers; layers++)
            for (int stack = 0; stack < 1 << layers; stack++) {
                int front = stack >> (layers - 1) & 1;
                double behind = out->stacks[layers - 1][stack & ((1 << (layers - 1)) - 1)].c[c];
                out->stacks[layers][stack].c[c] = R[front] + T[front] * T[front] * behind / (1 - R[front] * behind);
            }
    }
}

/* B19; one shade alone is its own colour. */
static void draw_edges(colours *out, const bench *b, int k)
{
    const wm_drawn_shade *first = b->shades[0], *second = b->shades[1];
    double g = b->in->look->law[k].g, z[2][CHANNELS];
    for (int c = 0; c < CHANNELS; c++) {
        z[0][c] = wm_absorb(first->colour[k].c[c], g);
        z[1][c] = wm_absorb(second->colour[k].c[c], g);
    }
    for (size_t i = 0; i < b->weigh->edge_count; i++) {
        const double q = b->edges[i].q, phi = b->edges[i].phi;
        for (int c = 0; c < CHANNELS; c++)
            out->edges[i].c[c] = !b->edges[i].mixed
                                     ? (q > 0 ? second : first)->colour[k].c[c]
                                     : (1 - phi) * ((1 - q) * first->colour[k].c[c] + q * second->colour[k].c[c]) +
                                           phi * wm_unabsorb((1 - q) * z[0][c] + q * z[1][c], g);
    }
}

/* M28: one channel of the area means of all patterns. edge: what is seen of each at its edges. */
static void mean_areas(double out[LIST], const bench *b, const colours *seen, const double edge[LIST], int c);
WM_WIDE_BODY void mean_areas_body(double out[LIST], const bench *b, const colours *seen, const double edge[LIST], int c)
{
    const wm_view_weights areas = b->in->look->weights;
    double intact[LIST], moved[LIST];
    for (size_t i = 0; i < b->count; i++)
        intact[i] = moved[i] = 0;
    for (int stack = 0; stack < 1 << b->layers; stack++)
        for (size_t i = 0; i < b->count; i++)
            intact[i] += b->weigh->intact[stack][i] * seen->stacks[b->layers][stack].c[c];
    for (int stack = 0; stack < 1 << b->layers >> 1; stack++)
        for (size_t i = 0; i < b->count; i++)
            moved[i] += b->weigh->moved[stack][i] * seen->stacks[b->layers - 1][stack].c[c];
    for (size_t i = 0; i < b->count; i++)
        out[i] = areas.intact * intact[i] + areas.moved * moved[i] + areas.edge * edge[i];
}
WM_WIDE(mean_areas, (double out[LIST], const bench *b, const colours *seen, const double edge[LIST], int c),
        (out, b, seen, edge, c))

static void draw_means(colours *seen, const bench *b)
{
    wm_cone means[LIST];
    double edge[LIST], mean[LIST];
    for (int c = 0; c < CHANNELS; c++) {
        for (size_t i = 0; i < b->count; i++)
            edge[i] = seen->edges[b->weigh->edge[i]].c[c];
        mean_areas(mean, b, seen, edge, c);
        for (size_t i = 0; i < b->count; i++)
            means[i].c[c] = mean[i];
    }
    wm_cone_to_lab_batch(seen->means, means, b->count);
}

/* M29: the colour of a point; a pre-blended front shade shows each population as much changed as itself. */
static wm_cone point_colour(const bench *b, const colours *seen, const point *p, int k)
{
    if (p->layers < 0)
        return b->shades[p->stack]->population[p->population][k];
    wm_cone cone = seen->stacks[p->layers][p->stack];
    if (p->whole)
        return cone;
    const wm_drawn_shade *front = b->shades[p->stack >> (p->layers - 1) & 1];
    for (int c = 0; c < CHANNELS; c++)
        cone.c[c] *= front->population[p->population][k].c[c] / front->colour[k].c[c];
    return wm_cone_clamped(cone);
}

static void draw_points(colours *seen, const bench *b, int k)
{
    wm_cone cones[POINTS];
    for (size_t i = 0; i < b->point_count; i++)
        cones[i] = point_colour(b, seen, &b->points[i], k);
    wm_cone_to_lab_batch(seen->points, cones, b->point_count);
}

static void draw_colours(colours *out, const bench *b, int k)
{
    draw_stacks(out, b, k);
    draw_edges(out, b, k);
    draw_means(out, b);
}

/* ---- one draw beside one target ---- */

/* Of each pattern, worn down. */
typedef struct sight {
    double far[LIST], near[LIST];
} sight;

/* Distances of the points to her base and gray; order: nearer to the base first (stable). */
typedef struct near_by {
    double base[POINTS], gray[POINTS];
    size_t order[POINTS];
} near_by;

static void measure_points(near_by *out, const bench *b, const wm_drawn_target *target, const colours *seen, int k)
{
    double one[POINTS];
    wm_de00_batch(out->gray, target->gray[k], seen->points, b->point_count);
    for (size_t base = 0; base < target->base_count; base++) {
        wm_de00_batch(one, target->bases[base * WM_DRAW_ROWS + (size_t)k], seen->points, b->point_count);
        for (size_t i = 0; i < b->point_count; i++)
            out->base[i] = base == 0 ? one[i] : fmin(out->base[i], one[i]);
    }
    for (size_t i = 0; i < b->point_count; i++) {
        size_t j = i;
        for (; j > 0; j--) {
            size_t before = out->order[j - 1];
            if (out->base[before] - out->gray[before] <= out->base[i] - out->gray[i])
                break;
            out->order[j] = before;
        }
        out->order[j] = i;
    }
}

/* M29: the first part of the weight goes to her base, the rest to her gray; exact for two populations. */
static void share_out(double near[LIST], const bench *b, const near_by *points, double base_share);
WM_WIDE_BODY void share_out_body(double near[LIST], const bench *b, const near_by *points, double base_share)
{
    double left[LIST]; /* of her base, not yet given */
    for (size_t i = 0; i < b->count; i++) {
        left[i] = base_share;
        near[i] = 0;
    }
    for (size_t j = 0; j < b->point_count; j++) {
        const double *weight = b->weights[points->order[j]];
        double base = points->base[points->order[j]], gray = points->gray[points->order[j]];
        for (size_t i = 0; i < b->count; i++) {
            double available = left[i] > 0 ? left[i] : 0;
            double to_base = available < weight[i] ? available : weight[i];
            near[i] += to_base * base + (weight[i] - to_base) * gray;
            left[i] -= weight[i];
        }
    }
}
WM_WIDE(share_out, (double near[LIST], const bench *b, const near_by *points, double base_share),
        (near, b, points, base_share))

/* Gaps are far from any overflow that hypot would guard against. */
static double gap_of(double far, double near)
{
    double n = NEAR_WEIGHT * near;
    return sqrt(far * far + n * n);
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

/* M30 */
static void store(wm_judged *out, const bench *b, const sight *s, int k)
{
    wm_worn worn = b->in->look->worn;
    for (size_t i = 0; i < b->in->count; i++) {
        size_t down = worn == WM_WORN_UP ? b->weigh->mirror[i] : i, up = worn == WM_WORN_DOWN ? i : b->weigh->mirror[i];
        double gap_down = gap_of(s->far[down], s->near[down]);
        double gap_up = down == up ? gap_down : gap_of(s->far[up], s->near[up]);
        out[i].gap[k] = larger(gap_down, gap_up);
        out[i].far[k] = larger(s->far[down], s->far[up]);
        out[i].near[k] = larger(s->near[down], s->near[up]);
    }
}

/* M28 of every target: nothing that is seen near by makes a gap smaller. */
static void judge_far(wm_judged *const *out, const bench *b, sight *s, const colours *seen, int k)
{
    memset(s->near, 0, sizeof s->near);
    for (size_t t = 0; t < b->in->target_count; t++) {
        wm_de00_batch(s->far, b->in->targets[t].body[k], seen->means, b->count);
        store(out[t], b, s, k);
    }
}

static void judge_all(wm_judged *const *out, const bench *b, sight *s, const colours *seen, int k)
{
    near_by points;
    for (size_t t = 0; t < b->in->target_count; t++) {
        const wm_drawn_target *target = &b->in->targets[t];
        wm_de00_batch(s->far, target->body[k], seen->means, b->count);
        measure_points(&points, b, target, seen, k);
        share_out(s->near, b, &points, 1 - target->share[k]);
        store(out[t], b, s, k);
    }
}

/* Patterns against a rival: in how many rows each has lost beside each target; and what they left in the last row. */
typedef struct race {
    unsigned char lost[WM_MAX_SEGMENTS][WM_MAX_PATTERNS]; /* of WM_DRAWS */
    double least[WM_MAX_SEGMENTS];
} race;

static bool is_running(const race *r, const wm_judge_input *in, size_t target, size_t pattern)
{
    const bool *possible = in->rival->possible[target];
    return r->lost[target][pattern] <= in->rival->losses && (!possible || possible[pattern]);
}

/* The gap of a design that has `own` beside one target and the least beside the others. Summed as a candidate's gap is:
 * rounding keeps the order of sums that are made in the same order, so no candidate's own gap is below by a bit. */
static double gap_with(const race *r, const wm_judge_input *in, size_t target, double own)
{
    double sum = 0;
    for (size_t t = 0; t < in->target_count; t++)
        sum += in->rival->weight[t] * (t == target ? own : r->least[t]);
    return sum;
}

/* True when every design loses this row. Of those that still run, the least beside each target counts. */
static bool is_lost(race *r, wm_judged *const *out, const wm_judge_input *in, int k)
{
    for (size_t t = 0; t < in->target_count; t++) {
        r->least[t] = HUGE_VAL;
        for (size_t i = 0; i < in->count; i++)
            if (is_running(r, in, t, i))
                r->least[t] = fmin(r->least[t], out[t][i].gap[k]);
    }
    return gap_with(r, in, 0, r->least[0]) >= in->rival->gap[k];
}

/* A pattern has lost a row that it would lose with the least gaps beside the other targets. True while designs are left
 * that have not lost too many. */
static bool run_on(race *r, wm_judged *const *out, const wm_judge_input *in, int k)
{
    bool all = true;
    for (size_t t = 0; t < in->target_count; t++) {
        bool any = false;
        for (size_t i = 0; i < in->count; i++) {
            if (gap_with(r, in, t, out[t][i].gap[k]) >= in->rival->gap[k])
                r->lost[t][i]++;
            any |= is_running(r, in, t, i);
        }
        all &= any;
    }
    return all;
}

/* Among many patterns one nearly always looks right from afar: only of a single one is that asked first. */
static bool looks_lost_from_afar(race *r, wm_judged *const *out, const bench *b, sight *s, const colours *seen, int k)
{
    if (!b->in->rival || b->in->count > 1)
        return false;
    judge_far(out, b, s, seen, k);
    return is_lost(r, out, b->in, k);
}

static void judge_row(race *r, wm_judged *const *out, const bench *b, colours *seen, int k)
{
    sight s;
    draw_colours(seen, b, k);
    if (looks_lost_from_afar(r, out, b, &s, seen, k))
        return;
    draw_points(seen, b, k);
    judge_all(out, b, &s, seen, k);
}

/* Where one pair loses, the next is likely to, too. */
static void move_forward(int *order, int from, int to)
{
    const int k = order[from];
    order[from] = order[to];
    order[to] = k;
}

static bool judge(wm_judged *const *out, const wm_judge_input *input, const wm_weighings *weighings)
{
    bench b;
    colours seen;
    race r;
    int lost = 0;
    set_up(&b, input, weighings);
    if (input->rival)
        memset(r.lost, 0, sizeof r.lost);
    for (int i = input->from; i < input->to; i++) {
        const int k = input->rival ? input->rival->order[i] : i;
        judge_row(&r, out, &b, &seen, k);
        if (!input->rival)
            continue;
        if (is_lost(&r, out, input, k))
            move_forward(input->rival->order, i, input->from + lost++);
        if (!run_on(&r, out, input, k))
            return false;
    }
    return true;
}

bool wm_judge(wm_judged *const *out, const wm_judge_input *input)
{
    wm_weighings own;
    if (!input->weighings)
        weigh(&own, input->patterns, input->count);
    return judge(out, input, input->weighings ? input->weighings : &own);
}

wm_seen wm_judge_seen(const wm_drawn_shade *first, const wm_drawn_shade *second, const wm_pattern *pattern,
                      const wm_look *look)
{
    wm_weighings own;
    bench b;
    colours seen;
    wm_judge_input input = { .first = first, .second = second, .look = look };
    weigh(&own, pattern, 1);
    set_up(&b, &input, &own);
    draw_colours(&seen, &b, 0);
    return (wm_seen){ seen.means[0], seen.means[own.mirror[0]] };
}
