#include "match/choose.h"

#include <math.h>
#include <string.h>

static const double EARN_GAP = 0.2;            /* M31 */
static const double EARN_GAP_A_PIECE = 0.3;    /* M31 */
static const double EARN_IN_DRAWS = 0.8;       /* M31 */
static const double LEAVE_WORN_GAP = 1.0;      /* M31 */
static const double LEAVE_WORN_IN_DRAWS = 0.9; /* M31 */
static const double EQUAL_GAP = 0.3;           /* M31 */
static const double NEARNESS_STEP = 1.0;       /* M31 */
static const double AS_GOOD_GAP = 0.5;         /* M32 */

/* ---- the order among equals ---- */

static int compare(double a, double b)
{
    return a < b ? -1 : a > b;
}

static int out_of_stock(const wm_candidate *c)
{
    return !wm_swatch_in_stock(c->first->swatch) + (c->second && !wm_swatch_in_stock(c->second->swatch));
}

/* How near the shades are to what they stand for; one alone to the nearer of the two. */
static double nearness(const wm_candidate *c)
{
    double d = c->second ? c->first->to_base + c->second->to_gray : fmin(c->first->to_base, c->first->to_gray);
    return rint(d / NEARNESS_STEP);
}

/* A price that is not known comes after all that are. */
static double price(const wm_candidate *c)
{
    double sum = 0;
    for (int i = 0; i < (c->second ? 2 : 1); i++) {
        int64_t milli = (i == 0 ? c->first : c->second)->swatch->pack_price_milli;
        sum += milli >= 0 ? (double)milli : 1e15;
    }
    return sum;
}

static int compare_codes(const wm_candidate *a, const wm_candidate *b)
{
    int first = strcmp(a->first->swatch->code, b->first->swatch->code);
    if (first || !a->second || !b->second)
        return first ? first : (a->second != NULL) - (b->second != NULL);
    return strcmp(a->second->swatch->code, b->second->swatch->code);
}

static int compare_designs(const wm_pool *pool, const wm_candidate *a, const wm_candidate *b)
{
    int order = 0;
    for (size_t s = 0; s < pool->in->hanging->count && order == 0; s++)
        order = wm_pattern_order(&a->parts[s]->pattern, &b->parts[s]->pattern, false);
    return order;
}

int wm_pool_order(const wm_pool *pool, const wm_candidate *a, const wm_candidate *b, wm_precedence *by)
{
    int order = 0;
    wm_precedence part = WM_BY_PIECES;
    for (;; part++) {
        switch (part) {
        case WM_BY_PIECES: order = a->pieces - b->pieces; break;
        case WM_BY_STOCK: order = out_of_stock(a) - out_of_stock(b); break;
        case WM_BY_NEARNESS: order = compare(nearness(a), nearness(b)); break;
        case WM_BY_PRICE: order = compare(price(a), price(b)); break;
        case WM_BY_CODE: order = compare_codes(a, b); break;
        default: order = compare_designs(pool, a, b); break;
        }
        if (order != 0 || part == WM_BY_DESIGN)
            break;
    }
    if (by)
        *by = part;
    return order;
}

/* ---- the choice ---- */

static double larger(double a, double b)
{
    return a > b ? a : b;
}

static int draws_better(const wm_pool *pool, const wm_candidate *held, const wm_candidate *other)
{
    double of_held[WM_DRAW_ROWS], of_other[WM_DRAW_ROWS];
    int better = 0;
    wm_candidate_gap(of_held, pool, held);
    wm_candidate_gap(of_other, pool, other);
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        better += of_other[k] < of_held[k];
    return better;
}

double wm_better_in(const wm_pool *pool, const wm_candidate *held, const wm_candidate *other)
{
    return (double)draws_better(pool, held, other) / WM_DRAWS;
}

int wm_earning_draws(bool worn)
{
    return (int)ceil((worn ? LEAVE_WORN_IN_DRAWS : EARN_IN_DRAWS) * WM_DRAWS);
}

bool wm_earns(const wm_pool *pool, const wm_candidate *held, const wm_candidate *other, bool worn)
{
    int further = other->pieces - held->pieces;
    double needed = EARN_GAP + EARN_GAP_A_PIECE * (further > 1 ? further : 1);
    if (!(held->gap - other->gap > larger(needed, worn ? LEAVE_WORN_GAP : 0)))
        return false;
    return draws_better(pool, held, other) >= wm_earning_draws(worn);
}

typedef bool is_wanted(const wm_pool *pool, const wm_candidate *c, const wm_candidate *held);

static bool is_single(const wm_pool *pool, const wm_candidate *c, const wm_candidate *held)
{
    (void)pool;
    (void)held;
    return c->second == NULL;
}

static bool same_shade(const wm_drawn_shade *a, const wm_drawn_shade *b)
{
    return a == b || (a && b && strcmp(a->swatch->code, b->swatch->code) == 0);
}

static bool is_other(const wm_candidate *c, const wm_candidate *held)
{
    return !same_shade(c->first, held->first) || !same_shade(c->second, held->second);
}

/* The same two shades the other way round, of whole layers: the very same row. */
static bool is_same_row(const wm_pool *pool, const wm_candidate *a, const wm_candidate *b)
{
    bool same = same_shade(a->first, b->second) && same_shade(a->second, b->first);
    for (size_t s = 0; same && s < pool->in->hanging->count; s++) {
        const wm_pattern *pa = &a->parts[s]->pattern, *pb = &b->parts[s]->pattern;
        for (int i = 0; i < pa->layers; i++)
            same &= pa->sixths[i] % WM_PATTERN_WHOLE == 0 && pa->sixths[i] + pb->sixths[i] == WM_PATTERN_WHOLE;
    }
    return same;
}

static bool is_runner_up(const wm_pool *pool, const wm_candidate *c, const wm_candidate *held)
{
    return is_other(c, held) && !is_same_row(pool, c, held);
}

/* Of the wanted the first in order among those whose gap is within 0.3 of the least. */
static const wm_candidate *first_of(const wm_pool *pool, is_wanted *wanted, const wm_candidate *held)
{
    const wm_candidate *first = NULL;
    double least = HUGE_VAL;
    for (size_t i = 0; i < pool->count; i++)
        if (wanted(pool, &pool->items[i], held))
            least = fmin(least, pool->items[i].gap);
    for (size_t i = 0; i < pool->count; i++) {
        const wm_candidate *c = &pool->items[i];
        if (wanted(pool, c, held) && c->gap <= least + EQUAL_GAP && (!first || wm_pool_order(pool, c, first, NULL) < 0))
            first = c;
    }
    return first;
}

/* What earns its place against the held one: how few pieces that takes, and the least gap with so few. */
typedef struct earning {
    bool same_shades; /* only those count */
    int pieces;
    double least;
} earning;

static bool takes_part(const earning *e, const wm_candidate *c, const wm_candidate *held)
{
    return c != held && !(e->same_shades && is_other(c, held));
}

static const wm_candidate *next_held(const wm_choose_input *in, const wm_candidate *held, bool worn, bool same_shades)
{
    const wm_pool *pool = in->pool;
    earning e = { same_shades, INT32_MAX, HUGE_VAL };
    const wm_candidate *next = NULL;
    for (size_t i = 0; i < pool->count; i++) {
        const wm_candidate *c = &pool->items[i];
        if (!takes_part(&e, c, held) || c->pieces > e.pieces || (c->pieces == e.pieces && c->gap >= e.least) ||
            !wm_earns(pool, held, c, worn))
            continue;
        e.pieces = c->pieces;
        e.least = c->gap;
    }
    for (size_t i = 0; i < pool->count; i++) {
        const wm_candidate *c = &pool->items[i];
        if (takes_part(&e, c, held) && c->pieces == e.pieces && c->gap <= e.least + EQUAL_GAP &&
            (!next || wm_pool_order(pool, c, next, NULL) < 0) && wm_earns(pool, held, c, worn))
            next = c;
    }
    return next;
}

int wm_best_in_10(const wm_pool *pool, const wm_candidate *held)
{
    double least[WM_DRAW_ROWS], gap[WM_DRAW_ROWS];
    for (int k = 0; k < WM_DRAW_ROWS; k++)
        least[k] = HUGE_VAL;
    for (size_t i = 0; i < pool->count; i++) {
        wm_candidate_gap(gap, pool, &pool->items[i]);
        for (int k = 1; k < WM_DRAW_ROWS; k++)
            least[k] = gap[k] < least[k] ? gap[k] : least[k];
    }
    int best = 0;
    wm_candidate_gap(gap, pool, held);
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        best += gap[k] <= least[k] + AS_GOOD_GAP;
    return (int)rint(10.0 * best / WM_DRAWS);
}

wm_chosen wm_choose(const wm_choose_input *in)
{
    const wm_candidate *held = in->worn ? in->worn : first_of(in->pool, is_single, NULL);
    for (const wm_candidate *next = held; next;) {
        held = next;
        bool worn = in->worn_stays && held == in->worn;
        next = in->worn ? next_held(in, held, worn, true) : NULL;
        if (!next)
            next = next_held(in, held, worn, false);
    }
    return (wm_chosen){ held, first_of(in->pool, is_runner_up, held) };
}
