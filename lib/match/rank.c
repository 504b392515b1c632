#include "match/rank.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/buf.h"
#include "match/head.h"

enum { OUTPUTS = 3 };

/* ---- M3 ---- */

wm_verdict wm_verdict_of(double de00, const wm_verdict_limits *limits)
{
    if (de00 <= limits->match)
        return WM_VERDICT_MATCH;
    if (de00 <= limits->close)
        return WM_VERDICT_CLOSE;
    return de00 <= limits->visible ? WM_VERDICT_VISIBLE : WM_VERDICT_FAR;
}

const char *const WM_VERDICT_WORDS[] = { "match", "close", "visible", "far", NULL };

const char *wm_verdict_name(wm_verdict verdict)
{
    return wm_word_of(WM_VERDICT_WORDS, verdict);
}

/* ---- M1: words ---- */

/* What the words are chosen by: means over the target's colours where there are several. */
typedef struct parts {
    double lightness, chroma, hue; /* signed, swatch minus hair */
    double mean_chroma, yellow;    /* yellow: difference of b* */
    double swatch_hue_deg;
} parts;

static parts parts_between(wm_lab hair, wm_lab swatch)
{
    wm_difference d = wm_difference_between(hair, swatch);
    wm_lch a = wm_lab_to_lch(hair), b = wm_lab_to_lch(swatch);
    return (parts){ d.d_lightness, d.d_chroma, d.d_hue, (a.C + b.C) / 2, swatch.b - hair.b, b.h_deg };
}

static void add_word(char out[WM_WORDS_SIZE], double part, const char *positive, const char *negative)
{
    static const double NAMED = 0.5; /* M1 */
    if (fabs(part) < NAMED)
        return;
    const size_t used = strlen(out), from = used ? used + 2 : 0;
    if (used)
        wm_text_keep(out + used, WM_WORDS_SIZE - used, ", ");
    wm_text_keep(out + from, WM_WORDS_SIZE - from, part > 0 ? positive : negative);
}

static void words_of(char out[WM_WORDS_SIZE], const parts *by)
{
    static const double NEARLY_NEUTRAL = 4.0; /* M1 */
    static const double GOLDEN_TO_DEG = 95.0; /* M1 */
    out[0] = '\0';
    add_word(out, by->lightness, "lighter", "darker");
    add_word(out, by->chroma, "richer", "softer");
    if (by->mean_chroma < NEARLY_NEUTRAL)
        add_word(out, by->yellow, "warmer", "cooler");
    else
        add_word(out, by->hue, by->swatch_hue_deg <= GOLDEN_TO_DEG ? "more golden" : "ashier", "redder");
}

void wm_words(char out[WM_WORDS_SIZE], wm_lab hair, wm_lab swatch)
{
    parts by = parts_between(hair, swatch);
    words_of(out, &by);
}

/* ---- M6: a target of several colours ---- */

/* The target's colours with weights that sum to 1. */
typedef struct base {
    const wm_measured *colours;
    size_t count;
    double weight[WM_MAX_TARGETS];
    double u_de00; /* of all together */
} base;

static double weighted_rms(const base *target, const double *values)
{
    double sum = 0;
    for (size_t i = 0; i < target->count; i++)
        sum += target->weight[i] * values[i] * values[i];
    return sqrt(sum);
}

static base base_of(const wm_rank_target *target)
{
    base out = { .colours = target->colours, .count = target->count < WM_MAX_TARGETS ? target->count : WM_MAX_TARGETS };
    double u[WM_MAX_TARGETS] = { 0 }, sum = 0;
    for (size_t i = 0; i < out.count; i++)
        sum += target->weights ? target->weights[i] : 1;
    for (size_t i = 0; i < out.count; i++) {
        out.weight[i] = target->weights && sum > 0 ? target->weights[i] / sum : 1.0 / (double)out.count;
        u[i] = target->colours[i].u_de00;
    }
    out.u_de00 = weighted_rms(&out, u);
    return out;
}

/* Some shades at once, so that their distances come from one call. */
enum { ROW = 32 };

typedef struct row {
    wm_lab lab[ROW];
    double u[ROW]; /* of the swatches */
    size_t count;
} row;

/* Of each shade of a row to each colour of the target. */
typedef double distances[WM_MAX_TARGETS][ROW];

static void distances_of(distances to, const base *target, const wm_lab *shades, size_t count)
{
    for (size_t i = 0; i < target->count; i++)
        wm_de00_batch(to[i], target->colours[i].lab, shades, count);
}

/* A shade's distance to the whole target; colour `other` (count: none) is `instead` away. */
static double whole(const base *target, distances to, size_t shade, size_t other, double instead)
{
    double of_shade[WM_MAX_TARGETS];
    for (size_t i = 0; i < target->count; i++)
        of_shade[i] = i == other ? instead : to[i][shade];
    return weighted_rms(target, of_shade);
}

static wm_ranked rank_one(const base *target, const wm_swatch *swatch, double de00, const wm_verdict_limits *limits)
{
    parts mean = { 0 };
    for (size_t i = 0; i < target->count; i++) {
        parts by = parts_between(target->colours[i].lab, swatch->lab);
        mean.lightness += target->weight[i] * by.lightness;
        mean.chroma += target->weight[i] * by.chroma;
        mean.hue += target->weight[i] * by.hue;
        mean.mean_chroma += target->weight[i] * by.mean_chroma;
        mean.yellow += target->weight[i] * by.yellow;
        mean.swatch_hue_deg = by.swatch_hue_deg;
    }
    wm_ranked out = { .swatch = swatch, .de00 = de00 };
    out.d_lightness = mean.lightness;
    out.d_chroma = mean.chroma;
    out.d_hue = mean.hue;
    out.u_de00 = *swatch->frame ? wm_frame_distance_u(target->u_de00, wm_swatch_u(swatch), de00) /* C34 */
                                : hypot(target->u_de00, wm_swatch_u(swatch));                    /* M2 */
    out.verdict = wm_verdict_of(de00, limits);
    words_of(out.words, &mean);
    return out;
}

/* ---- M2: uncertainty of a difference of two distances ---- */

static double *output_of(wm_lab *lab, int o)
{
    return o == 0 ? &lab->L : o == 1 ? &lab->a : &lab->b;
}

static wm_lab moved(wm_lab lab, int o, double by)
{
    *output_of(&lab, o) += by;
    return lab;
}

/* What one sigma changes in a shade's distance, and its own variance. */
typedef struct effects {
    double of_target[WM_MAX_TARGETS][OUTPUTS];
    double variance; /* that a swatch's own uncertainty brings: (u, u/2, u/2) on L, a, b */
} effects;

/* Half the change of each shade's distance when colour i of the target moves by its sigma up and down. */
static void move_target(effects *out, const base *target, distances to, const row *shades, size_t i)
{
    double up[ROW], down[ROW];
    for (int o = 0; o < OUTPUTS; o++) {
        wm_lab sigma = target->colours[i].sigma;
        double s = *output_of(&sigma, o);
        wm_de00_batch(up, moved(target->colours[i].lab, o, s), shades->lab, shades->count);
        wm_de00_batch(down, moved(target->colours[i].lab, o, -s), shades->lab, shades->count);
        for (size_t k = 0; k < shades->count; k++)
            out[k].of_target[i][o] = (whole(target, to, k, i, up[k]) - whole(target, to, k, i, down[k])) / 2;
    }
}

/* The distances of all shades moved by `sign` times their own sigma of an output. */
static void move_shades(distances to, const base *target, const row *shades, int o, double sign)
{
    wm_lab lab[ROW];
    for (size_t k = 0; k < shades->count; k++)
        lab[k] = moved(shades->lab[k], o, sign * shades->u[k] * (o == 0 ? 1 : 0.5));
    distances_of(to, target, lab, shades->count);
}

static void effects_of(effects *out, const base *target, const row *shades)
{
    distances to, down;
    for (size_t k = 0; k < shades->count; k++)
        out[k].variance = 0;
    for (int o = 0; o < OUTPUTS; o++) {
        move_shades(to, target, shades, o, 1);
        move_shades(down, target, shades, o, -1);
        for (size_t k = 0; k < shades->count; k++) {
            double effect = (whole(target, to, k, target->count, 0) - whole(target, down, k, target->count, 0)) / 2;
            out[k].variance += effect * effect;
        }
    }
    distances_of(to, target, shades->lab, shades->count);
    for (size_t i = 0; i < target->count; i++)
        move_target(out, target, to, shades, i);
}

static double u_diff(const base *target, const effects *a, const effects *b)
{
    double sum = a->variance + b->variance;
    for (size_t i = 0; i < target->count; i++)
        for (int o = 0; o < OUTPUTS; o++) {
            double effect = a->of_target[i][o] - b->of_target[i][o];
            sum += effect * effect;
        }
    return sqrt(sum);
}

/* ---- M5 ---- */

static int compare_ranked(const void *a, const void *b)
{
    const wm_ranked *x = a, *y = b;
    long long tenths_x = llround(x->de00 * 10), tenths_y = llround(y->de00 * 10);
    if (tenths_x != tenths_y)
        return tenths_x < tenths_y ? -1 : 1;
    return wm_swatch_order(x->swatch, y->swatch);
}

static row row_of(const wm_ranked *ranked, size_t count)
{
    row out = { .count = count < ROW ? count : ROW };
    for (size_t k = 0; k < out.count; k++) {
        out.lab[k] = ranked[k].swatch->lab;
        out.u[k] = wm_swatch_u(ranked[k].swatch);
    }
    return out;
}

static void mark_ties(wm_ranked *ranked, size_t count, const base *target)
{
    static const double TIED_IN_U = 2.0; /* M5 */
    effects best, all[ROW];
    row first = row_of(ranked, 1);
    effects_of(&best, target, &first);
    for (size_t start = 0; start < count; start += ROW) {
        row shades = row_of(ranked + start, count - start);
        effects_of(all, target, &shades);
        for (size_t k = 0; k < shades.count; k++) {
            wm_ranked *r = &ranked[start + k];
            const double farther = r->de00 - ranked[0].de00;
            double u = u_diff(target, &all[k], &best);
            if (*r->swatch->frame || *ranked[0].swatch->frame) /* C34: the sheet's contrast takes part */
                u = hypot(u, wm_frame_distance_u(0, 0, farther));
            r->tied_with_best = r == ranked || farther < TIED_IN_U * u;
        }
    }
}

void wm_rank(wm_ranked *out, const wm_shades *shades, const wm_rank_target *target, const wm_verdict_limits *limits)
{
    base all = base_of(target);
    for (size_t start = 0; start < shades->count; start += ROW) {
        wm_lab lab[ROW];
        distances to;
        size_t count = shades->count - start < ROW ? shades->count - start : ROW;
        for (size_t k = 0; k < count; k++)
            lab[k] = shades->items[start + k]->lab;
        distances_of(to, &all, lab, count);
        for (size_t k = 0; k < count; k++)
            out[start + k] = rank_one(&all, shades->items[start + k], whole(&all, to, k, all.count, 0), limits);
    }
    if (shades->count == 0)
        return;
    qsort(out, shades->count, sizeof *out, compare_ranked);
    mark_ties(out, shades->count, &all);
}

/* ---- C34 ---- */

enum { NEAREST_FOR_CLAIM = 5 }; /* C34 */

static bool any_framed(const wm_shades *shades)
{
    for (size_t i = 0; i < shades->count; i++)
        if (*shades->items[i]->frame)
            return true;
    return false;
}

wm_claim wm_claim_among(const wm_measured *colour, const wm_shades *shades)
{
    double far[NEAREST_FOR_CLAIM], squares[NEAREST_FOR_CLAIM], sum = 0;
    int found = 0;
    bool once = false;
    if (!any_framed(shades))
        return colour->claim;
    for (size_t i = 0; i < shades->count; i++) {
        const wm_swatch *swatch = shades->items[i];
        const double d = wm_de00(colour->lab, swatch->lab), u = wm_swatch_u(swatch);
        once = once || (*swatch->frame && swatch->photos <= 1);
        if (found == NEAREST_FOR_CLAIM && d >= far[found - 1])
            continue;
        int at = found < NEAREST_FOR_CLAIM ? found++ : found - 1;
        for (; at > 0 && far[at - 1] > d; at--)
            far[at] = far[at - 1], squares[at] = squares[at - 1];
        far[at] = d, squares[at] = u * u;
    }
    for (int i = 0; i < found; i++)
        sum += squares[i] / found;
    const wm_claim claim = wm_claim_at_best(wm_frame_claim_u(colour->u_de00, sum), colour->claim);
    return once && claim < WM_CLAIM_THREE ? WM_CLAIM_THREE : claim;
}

/* ---- M6: weights by kind ---- */

/* Root, mid, ends, gray. */
static const double HANGS_FREE_WEIGHTS[WM_HAIR_KINDS] = { 0.2, 0.4, 0.4, 0 }; /* M6 */

static double weight_of_kind(wm_zone_kind kind, bool hangs_free)
{
    if (kind > WM_ZONE_GRAY)
        return 0;
    return hangs_free ? HANGS_FREE_WEIGHTS[kind] : WM_BASE_WEIGHTS[kind];
}

void wm_base_weights(double *weight, const wm_zone_kind *kinds, size_t count, bool hangs_free)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        size_t of_kind = 0;
        for (size_t j = 0; j < count; j++)
            of_kind += kinds[j] == kinds[i];
        weight[i] = weight_of_kind(kinds[i], hangs_free) / (double)of_kind;
        sum += weight[i];
    }
    for (size_t i = 0; i < count && sum > 0; i++)
        weight[i] /= sum;
}
