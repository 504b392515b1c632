#include "match/pool.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PAIRS_KEPT = 12 };                  /* M31 */
static const double EQUAL_GAPS = 1e-9;     /* M31 */
static const double HALF_GRAY_SHARE = 0.5; /* M27 */

enum {
    PIECES = 4 * WM_MAX_SEGMENTS + 1, /* wm_pieces_limit of all segments, and none */
    COMBINATIONS_AT_MOST = 20000,     /* of one pair; more rows than anybody sews: see add_totals */
    PAIRS = (2 * WM_ROLE_PLACES + WM_ROLE_PLACES) * WM_ROLE_PLACES,
    SINGLES = WM_ROLES * WM_ROLE_PLACES + 3
};

/* ---- sums over the segments ---- */

void wm_candidate_gap(double out[WM_DRAW_ROWS], const wm_pool *pool, const wm_candidate *candidate)
{
    const wm_hanging *hanging = pool->in->hanging;
    memset(out, 0, WM_DRAW_ROWS * sizeof *out);
    for (size_t s = 0; s < hanging->count; s++)
        for (int k = 0; k < WM_DRAW_ROWS; k++)
            out[k] += hanging->segments[s].weight * candidate->parts[s]->judged.gap[k];
}

void wm_candidate_far(double out[WM_DRAW_ROWS], const wm_pool *pool, const wm_candidate *candidate)
{
    memset(out, 0, WM_DRAW_ROWS * sizeof *out);
    for (size_t s = 0; s < pool->in->hanging->count; s++)
        for (int k = 0; k < WM_DRAW_ROWS; k++)
            out[k] = fmax(out[k], candidate->parts[s]->judged.far[k]);
}

double wm_candidate_near(const wm_pool *pool, const wm_candidate *candidate)
{
    double near = 0;
    for (size_t s = 0; s < pool->in->hanging->count; s++)
        near += pool->in->hanging->segments[s].weight * wm_draws_mean(candidate->parts[s]->judged.near);
    return near;
}

int wm_pieces_along(const wm_pattern *pattern, const wm_placed_row *rows, size_t row_count)
{
    int pieces = 0;
    for (size_t i = 0; i < row_count; i++)
        pieces += wm_pattern_pieces(pattern, rows[i].row_cm);
    return pieces;
}

/* ---- what the pool owns ---- */

static wm_status add_block(wm_option **out, wm_pool *pool, size_t count, wm_error *err)
{
    wm_option **blocks = realloc(pool->blocks, (pool->block_count + 1) * sizeof *blocks);
    if (!blocks)
        return wm_fail_memory(err);
    pool->blocks = blocks;
    wm_option *block = malloc((count ? count : 1) * sizeof *block);
    if (!block)
        return wm_fail_memory(err);
    pool->blocks[pool->block_count++] = block;
    *out = block;
    return WM_OK;
}

static wm_status add_candidate(wm_pool *pool, const wm_candidate *candidate, wm_error *err)
{
    if (pool->count == pool->room) {
        size_t room = pool->room ? 2 * pool->room : 256;
        wm_candidate *items = realloc(pool->items, room * sizeof *items);
        if (!items)
            return wm_fail_memory(err);
        pool->items = items;
        pool->room = room;
    }
    pool->items[pool->count++] = *candidate;
    return WM_OK;
}

void wm_pool_free(wm_pool *pool)
{
    if (!pool)
        return;
    for (size_t i = 0; i < pool->block_count; i++)
        free(pool->blocks[i]);
    free(pool->blocks);
    free(pool->items);
    *pool = (wm_pool){ 0 };
}

/* ---- one pair ---- */

/* The patterns of one segment, those of the segment itself and those that go all along, judged. */
typedef struct sheet {
    wm_pattern patterns[WM_MAX_PATTERNS];
    bool own[WM_MAX_PATTERNS], along[WM_MAX_PATTERNS], possible[WM_MAX_PATTERNS]; /* either of both */
    wm_judged judged[WM_MAX_PATTERNS];
    double gap[WM_MAX_PATTERNS]; /* E[J], or J as measured */
    size_t count;
    int best[PIECES]; /* of each number of pieces, its place; -1: none */
} sheet;

/* A pair at work. along: of each number of pieces along whole rows the best pattern, -1: none; its place is the same in
 * every sheet. */
typedef struct pair {
    const wm_drawn_shade *first, *second;
    sheet *sheets;           /* [segments] */
    wm_weighings *weighings; /* of their patterns */
    int along[PIECES];
    int limit;
} pair;

static double shortest_row(const wm_pool_input *in)
{
    double shortest = in->rows[0].row_cm;
    for (size_t i = 1; i < in->row_count; i++)
        shortest = fmin(shortest, in->rows[i].row_cm);
    return shortest;
}

/* The fractions that a length allows are among those of any longer one: so one list, of the longest length, has all. */
static void list_patterns(sheet *sheets, const wm_pool_input *in)
{
    const wm_hanging *hanging = in->hanging;
    double shortest = shortest_row(in), longest = shortest;
    for (size_t s = 0; s < hanging->count; s++)
        longest = fmax(longest, hanging->segments[s].length_cm);
    for (size_t s = 0; s < hanging->count; s++) {
        wm_pattern all[WM_MAX_PATTERNS];
        double cm = hanging->segments[s].length_cm;
        size_t all_count = wm_patterns_of(all, in->layers, longest), count = 0;
        for (size_t i = 0; i < all_count; i++) {
            if (in->inside && !wm_pattern_is_inside(&all[i]))
                continue;
            sheets[s].patterns[count] = all[i];
            sheets[s].own[count] = wm_pattern_fits(&all[i], cm);
            sheets[s].along[count] = hanging->count > 1 && wm_pattern_fits(&all[i], shortest);
            sheets[s].possible[count] = sheets[s].own[count] || sheets[s].along[count];
            sheets[s].patterns[count++].pieces = wm_pattern_pieces(&all[i], cm);
        }
        sheets[s].count = count;
    }
}

static wm_look look_of(const wm_pool_input *in)
{
    return (wm_look){ in->head->law, in->hanging->behind, in->weights, in->worn };
}

/* The sheets have the same patterns. */
static bool judge_rows(pair *p, const wm_pool_input *in, int from, int to, const wm_judge_rival *rival)
{
    const wm_look look = look_of(in);
    const sheet *any = &p->sheets[0];
    wm_judged *judged[WM_MAX_SEGMENTS];
    for (size_t s = 0; s < in->hanging->count; s++)
        judged[s] = p->sheets[s].judged;
    return wm_judge(judged, &(wm_judge_input){ p->first, p->second, any->patterns, any->count, in->hanging->targets,
                                               in->hanging->count, &look, from, to, rival, p->weighings });
}

/* What is sewn of the pair, by the rows that are judged: the draws, or those measured alone. */
static void weigh_sheets(pair *p, const wm_pool_input *in, bool as_measured)
{
    for (size_t s = 0; s < in->hanging->count; s++) {
        sheet *on = &p->sheets[s];
        for (size_t i = 0; i < on->count; i++)
            on->gap[i] = as_measured ? on->judged[i].gap[0] : wm_draws_mean(on->judged[i].gap);
    }
}

/* Of each number of pieces the best; of equals, as a pattern and its reverse, the first. */
static void find_best(sheet *on, int limit)
{
    for (int pieces = 0; pieces < PIECES; pieces++)
        on->best[pieces] = -1;
    for (size_t i = 0; i < on->count; i++) {
        int pieces = on->patterns[i].pieces;
        if (!on->own[i] || pieces > limit)
            continue;
        int *best = &on->best[pieces];
        if (*best < 0 || on->gap[i] < on->gap[*best] - EQUAL_GAPS)
            *best = (int)i;
    }
}

static double gap_along(const pair *p, const wm_pool_input *in, size_t i)
{
    double gap = 0;
    for (size_t s = 0; s < in->hanging->count; s++)
        gap += in->hanging->segments[s].weight * p->sheets[s].gap[i];
    return gap;
}

/* The same pattern all along; the second shade alone is judged among the single shades. */
static void find_along(pair *p, const wm_pool_input *in)
{
    const sheet *any = &p->sheets[0];
    for (int pieces = 0; pieces < PIECES; pieces++)
        p->along[pieces] = -1;
    for (size_t i = 0; i < any->count; i++) {
        int pieces = wm_pieces_along(&any->patterns[i], in->rows, in->row_count);
        if (!any->along[i] || pieces == 0 || pieces > p->limit ||
            wm_pattern_is_all(&any->patterns[i], WM_PATTERN_WHOLE))
            continue;
        int *best = &p->along[pieces];
        if (*best < 0 || gap_along(p, in, i) < gap_along(p, in, (size_t)*best) - EQUAL_GAPS)
            *best = (int)i;
    }
}

static void find_designs(pair *p, const wm_pool_input *in, bool as_measured)
{
    weigh_sheets(p, in, as_measured);
    for (size_t s = 0; s < in->hanging->count; s++)
        find_best(&p->sheets[s], p->limit);
    find_along(p, in);
}

/* ---- combinations of the segments' best ---- */

/* The least sum of each total of pieces over the segments so far; apart those that are the second shade alone. */
typedef struct totals {
    double gap[2][PIECES];
    unsigned char pieces[WM_MAX_SEGMENTS][2][PIECES], was_all[WM_MAX_SEGMENTS][2][PIECES]; /* the way there */
} totals;

static bool is_all_second(const sheet *on, int pieces)
{
    return wm_pattern_is_all(&on->patterns[on->best[pieces]], WM_PATTERN_WHOLE);
}

static void add_segment(totals *t, const pair *p, const wm_pool_input *in, size_t s)
{
    const sheet *on = &p->sheets[s];
    double before[2][PIECES];
    memcpy(before, t->gap, sizeof before);
    for (int all = 0; all < 2; all++)
        for (int total = 0; total < PIECES; total++)
            t->gap[all][total] = HUGE_VAL;
    for (int all = 0; all < 2; all++)
        for (int total = 0; total <= p->limit; total++)
            for (int pieces = 0; before[all][total] < HUGE_VAL && pieces + total <= p->limit; pieces++) {
                if (on->best[pieces] < 0)
                    continue;
                int still = all && is_all_second(on, pieces);
                double gap = before[all][total] + in->hanging->segments[s].weight * on->gap[on->best[pieces]];
                if (gap < t->gap[still][total + pieces]) {
                    t->gap[still][total + pieces] = gap;
                    t->pieces[s][still][total + pieces] = (unsigned char)pieces;
                    t->was_all[s][still][total + pieces] = (unsigned char)all;
                }
            }
}

static void sum_up(totals *t, const pair *p, const wm_pool_input *in)
{
    for (int all = 0; all < 2; all++)
        for (int total = 0; total < PIECES; total++)
            t->gap[all][total] = HUGE_VAL;
    t->gap[1][0] = 0;
    for (size_t s = 0; s < in->hanging->count; s++)
        add_segment(t, p, in, s);
}

/* The best that a pair can do as measured, the first shade alone included, the second alone not. */
static double best_gap(const pair *p, const wm_pool_input *in)
{
    totals t;
    sum_up(&t, p, in);
    double best = HUGE_VAL;
    for (int total = 0; total <= p->limit; total++) {
        best = fmin(best, t.gap[0][total]);
        if (p->along[total] >= 0)
            best = fmin(best, gap_along(p, in, (size_t)p->along[total]));
    }
    return best;
}

/* The options of a pair as the pool keeps them: of each segment those of fewer pieces first. */
typedef struct kept {
    const pair *pair;
    wm_option *of[WM_MAX_SEGMENTS];
    size_t count[WM_MAX_SEGMENTS];
} kept;

static wm_status keep_options(kept *out, wm_pool *pool, const pair *p, wm_error *err)
{
    size_t segments = pool->in->hanging->count, count = 0;
    for (size_t s = 0; s < segments; s++)
        for (int pieces = 0; pieces <= p->limit; pieces++)
            count += p->sheets[s].best[pieces] >= 0;
    wm_option *block = NULL;
    wm_status status = add_block(&block, pool, count, err);
    for (size_t s = 0; s < segments && !status; s++) {
        out->of[s] = block;
        for (int pieces = 0; pieces <= p->limit; pieces++) {
            int best = p->sheets[s].best[pieces];
            if (best >= 0)
                *block++ = (wm_option){ p->sheets[s].patterns[best], p->sheets[s].judged[best] };
        }
        out->count[s] = (size_t)(block - out->of[s]);
    }
    out->pair = p;
    return status;
}

/* One combination, if it is within the limit and of both shades. */
static wm_status offer(wm_pool *pool, const kept *options, const size_t *which, wm_error *err)
{
    wm_candidate c = { .first = options->pair->first, .second = options->pair->second };
    bool all = true;
    for (size_t s = 0; s < pool->in->hanging->count; s++) {
        const wm_option *option = c.parts[s] = &options->of[s][which[s]];
        const sheet *on = &options->pair->sheets[s];
        c.pieces += option->pattern.pieces;
        c.gap += pool->in->hanging->segments[s].weight * on->gap[on->best[option->pattern.pieces]];
        all &= wm_pattern_is_all(&option->pattern, WM_PATTERN_WHOLE);
    }
    return c.pieces == 0 || c.pieces > options->pair->limit || all ? WM_OK : add_candidate(pool, &c, err);
}

/* Counts through all combinations, the last segment fastest. */
static wm_status add_combinations(wm_pool *pool, const kept *options, wm_error *err)
{
    size_t which[WM_MAX_SEGMENTS] = { 0 };
    wm_status status = WM_OK;
    for (size_t digit = 1; digit > 0 && !status;) {
        status = offer(pool, options, which, err);
        for (digit = pool->in->hanging->count; digit > 0 && ++which[digit - 1] == options->count[digit - 1]; digit--)
            which[digit - 1] = 0;
    }
    return status;
}

/* More rows than anybody sews have too many combinations to try: the best of each total of pieces. */
static wm_status add_totals(wm_pool *pool, const kept *options, wm_error *err)
{
    totals t;
    wm_status status = WM_OK;
    sum_up(&t, options->pair, pool->in);
    for (int total = 1; total <= options->pair->limit && !status; total++) {
        size_t which[WM_MAX_SEGMENTS] = { 0 };
        int left = total, all = 0;
        if (!(t.gap[0][total] < HUGE_VAL))
            continue;
        for (size_t s = pool->in->hanging->count; s-- > 0;) {
            int pieces = t.pieces[s][all][left];
            all = t.was_all[s][all][left];
            left -= pieces;
            while (options->of[s][which[s]].pattern.pieces != pieces)
                which[s]++;
        }
        status = offer(pool, options, which, err);
    }
    return status;
}

static wm_status add_along(wm_pool *pool, const pair *p, wm_error *err)
{
    wm_status status = WM_OK;
    for (int pieces = 1; pieces <= p->limit && !status; pieces++) {
        wm_candidate c = { .first = p->first, .second = p->second, .pieces = pieces };
        wm_option *block = NULL;
        if (p->along[pieces] < 0)
            continue;
        size_t i = (size_t)p->along[pieces];
        status = add_block(&block, pool, pool->in->hanging->count, err);
        for (size_t s = 0; s < pool->in->hanging->count && !status; s++) {
            block[s] = (wm_option){ p->sheets[s].patterns[i], p->sheets[s].judged[i] };
            c.parts[s] = &block[s];
        }
        c.gap = gap_along(p, pool->in, i);
        if (!status)
            status = add_candidate(pool, &c, err);
    }
    return status;
}

/* All rows are judged. */
static wm_status add_pair(wm_pool *pool, pair *p, wm_error *err)
{
    double combinations = 1;
    kept options;
    find_designs(p, pool->in, false);
    wm_status status = keep_options(&options, pool, p, err);
    for (size_t s = 0; s < pool->in->hanging->count && !status; s++)
        combinations *= (double)options.count[s];
    if (!status)
        status = combinations > COMBINATIONS_AT_MOST ? add_totals(pool, &options, err)
                                                     : add_combinations(pool, &options, err);
    return status ? status : add_along(pool, p, err);
}

/* ---- what can't beat a rival ---- */

void wm_rival_of(wm_rival *out, const double gap[WM_DRAW_ROWS], int draws)
{
    memcpy(out->gap, gap, sizeof out->gap);
    out->draws = draws;
    out->order[0] = 0;
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        int at = k;
        for (; at > 1 && gap[out->order[at - 1]] > gap[k]; at--)
            out->order[at] = out->order[at - 1];
        out->order[at] = k;
    }
}

static wm_judge_rival judge_rival(double weight[WM_MAX_SEGMENTS], const wm_pool_input *in)
{
    for (size_t s = 0; s < in->hanging->count; s++)
        weight[s] = in->hanging->segments[s].weight;
    return (wm_judge_rival){
        .gap = in->rival->gap, .order = in->rival->order, .weight = weight, .losses = WM_DRAWS - in->rival->draws
    };
}

/* Judges all rows, or finds that a rival can't be beaten. A draw whose least gap is no smaller than the rival's is lost
 * for every candidate of the pair; with too many lost, no further draw can help. */
static bool may_beat(pair *p, const wm_pool_input *in)
{
    if (!in->rival)
        return judge_rows(p, in, 0, WM_DRAW_ROWS, NULL);
    double weight[WM_MAX_SEGMENTS];
    wm_judge_rival rival = judge_rival(weight, in);
    for (size_t s = 0; s < in->hanging->count; s++)
        rival.possible[s] = p->sheets[s].possible;
    return judge_rows(p, in, 1, WM_DRAW_ROWS, &rival) && judge_rows(p, in, 0, 1, NULL);
}

/* The same of a shade alone. */
static bool single_may_beat(const wm_drawn_shade *shade, const wm_pattern *plain, const wm_pool_input *in)
{
    double weight[WM_MAX_SEGMENTS];
    wm_judged judged[WM_MAX_SEGMENTS], *each[WM_MAX_SEGMENTS];
    const wm_look look = look_of(in);
    const wm_judge_rival rival = judge_rival(weight, in);
    for (size_t s = 0; s < in->hanging->count; s++)
        each[s] = &judged[s];
    return wm_judge(each, &(wm_judge_input){ shade, shade, plain, 1, in->hanging->targets, in->hanging->count, &look, 1,
                                             WM_DRAW_ROWS, &rival, NULL });
}

/* ---- M31 (a): the pairs that are worth it ---- */

typedef struct entry {
    const wm_drawn_shade *first, *second;
    double thousandths;
    size_t place;
} entry;

static int compare_entries(const void *a, const void *b)
{
    const entry *x = a, *y = b;
    if (x->thousandths < y->thousandths || x->thousandths > y->thousandths)
        return x->thousandths < y->thousandths ? -1 : 1;
    return x->place < y->place ? -1 : 1;
}

/* In the order of the roles: each base with each gray, then each blend; bases told apart: then each other base. */
static size_t list_pairs(entry *out, const wm_pool_input *in)
{
    static const wm_role SECOND[3] = { WM_ROLE_GRAY, WM_ROLE_BLEND, WM_ROLE_BASE };
    const wm_role_list *bases = &in->roles->of[WM_ROLE_BASE];
    size_t count = 0;
    for (size_t i = 0; i < bases->count; i++)
        for (int r = 0; r < (in->head->bases_apart ? 3 : 2); r++) {
            const wm_role_list *seconds = &in->roles->of[SECOND[r]];
            for (size_t j = 0; j < seconds->count; j++)
                if (seconds->shades[j] != bases->shades[i]) {
                    out[count] = (entry){ bases->shades[i], seconds->shades[j], 0, count };
                    count++;
                }
        }
    return count;
}

/* Of those listed the ones that promise most, in their order. */
static size_t keep_best(entry *entries, size_t count, pair *p, const wm_pool_input *in)
{
    for (size_t i = 0; i < count; i++) {
        p->first = entries[i].first;
        p->second = entries[i].second;
        judge_rows(p, in, 0, 1, NULL);
        find_designs(p, in, true);
        entries[i].thousandths = rint(best_gap(p, in) * 1000);
    }
    qsort(entries, count, sizeof *entries, compare_entries);
    return count < PAIRS_KEPT ? count : PAIRS_KEPT;
}

static wm_status begin_pair(pair *p, const wm_pool_input *in, wm_error *err)
{
    *p = (pair){ .limit = wm_pieces_limit(in->hanging->count),
                 .sheets = malloc(in->hanging->count * sizeof *p->sheets) };
    if (!p->sheets)
        return wm_fail_memory(err);
    list_patterns(p->sheets, in);
    p->weighings = wm_weighings_new(p->sheets[0].patterns, p->sheets[0].count);
    return p->weighings ? WM_OK : wm_fail_memory(err);
}

static wm_status add_pairs(wm_pool *pool, wm_error *err)
{
    const wm_pool_input *in = pool->in;
    entry entries[PAIRS];
    size_t count = list_pairs(entries, in);
    pair p = { .sheets = NULL };
    if (count == 0)
        return WM_OK;
    wm_status status = begin_pair(&p, in, err);
    if (!status)
        count = keep_best(entries, count, &p, in);
    for (size_t i = 0; i < count && !status; i++) {
        p.first = entries[i].first;
        p.second = entries[i].second;
        if (may_beat(&p, in))
            status = add_pair(pool, &p, err);
    }
    wm_weighings_free(p.weighings);
    free(p.sheets);
    return status;
}

/* ---- single shades and what she wears ---- */

/* Of the same pattern all along the colours are made once; patterns: one a segment. */
static void judge_options(wm_option *options, const wm_drawn_shade *first, const wm_drawn_shade *second,
                          const wm_pattern *patterns, const wm_pool_input *in)
{
    const wm_hanging *hanging = in->hanging;
    const wm_look look = look_of(in);
    const size_t at_once = wm_patterns_alike(patterns, hanging->count) ? hanging->count : 1;
    wm_judged *judged[WM_MAX_SEGMENTS];
    for (size_t s = 0; s < hanging->count; s++) {
        options[s].pattern = patterns[s];
        judged[s] = &options[s].judged;
    }
    for (size_t s = 0; s < hanging->count; s += at_once)
        wm_judge(judged + s, &(wm_judge_input){ first, second, &patterns[s], 1, &hanging->targets[s], at_once, &look, 0,
                                                WM_DRAW_ROWS, NULL, NULL });
}

wm_status wm_pool_add(wm_pool *out, const wm_drawn_shade *first, const wm_drawn_shade *second,
                      const wm_pattern *patterns, wm_error *err)
{
    const wm_hanging *hanging = out->in->hanging;
    wm_candidate c = { .first = first, .second = second };
    wm_option *block = NULL;
    wm_status status = add_block(&block, out, hanging->count, err);
    if (status)
        return status;
    judge_options(block, first, second ? second : first, patterns, out->in);
    for (size_t s = 0; s < hanging->count; s++) {
        c.parts[s] = &block[s];
        c.pieces += second ? patterns[s].pieces : 0;
        c.gap += hanging->segments[s].weight * wm_draws_mean(block[s].judged.gap);
    }
    return add_candidate(out, &c, err);
}

static bool half_gray(const wm_hanging *hanging)
{
    for (size_t s = 0; s < hanging->count; s++)
        if (hanging->targets[s].share[0] >= HALF_GRAY_SHARE)
            return true;
    return false;
}

/* M27: base and blend roles; where some place is half gray, or there is nothing else, also gray ones and light
 * pre-blended ones. */
static size_t list_singles(const wm_drawn_shade **out, const wm_pool_input *in)
{
    static const wm_role ROLES[3] = { WM_ROLE_BASE, WM_ROLE_BLEND, WM_ROLE_GRAY };
    const wm_drawn_shade *all[SINGLES];
    bool gray = !in->head->has_base || half_gray(in->hanging);
    size_t all_count = 0, count = 0;
    for (int r = 0; r < (gray ? 3 : 2); r++)
        for (size_t i = 0; i < in->roles->of[ROLES[r]].count; i++)
            all[all_count++] = in->roles->of[ROLES[r]].shades[i];
    for (size_t i = 0; i < in->roles->light_count && gray; i++)
        all[all_count++] = in->roles->light[i];
    for (size_t i = 0; i < all_count; i++) {
        size_t j = 0;
        while (j < count && out[j] != all[i])
            j++;
        if (j == count)
            out[count++] = all[i];
    }
    return count;
}

wm_status wm_pool_fill(wm_pool *pool, wm_error *err)
{
    const wm_drawn_shade *singles[SINGLES];
    wm_pattern plain[WM_MAX_SEGMENTS];
    size_t count = list_singles(singles, pool->in);
    wm_status status = WM_OK;
    for (size_t s = 0; s < WM_MAX_SEGMENTS; s++)
        plain[s] = (wm_pattern){ .layers = pool->in->layers };
    for (size_t i = 0; i < count && !status; i++)
        if (!pool->in->rival || single_may_beat(singles[i], plain, pool->in))
            status = wm_pool_add(pool, singles[i], NULL, plain, err);
    return status ? status : add_pairs(pool, err);
}
