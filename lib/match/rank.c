#include "match/rank.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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
    static const double NAMED = 0.5;
    if (fabs(part) < NAMED)
        return;
    size_t used = strlen(out);
    snprintf(out + used, WM_WORDS_SIZE - used, "%s%s", used ? ", " : "", part > 0 ? positive : negative);
}

static void words_of(char out[WM_WORDS_SIZE], const parts *by)
{
    static const double NEARLY_NEUTRAL = 4, GOLDEN_TO_DEG = 95;
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

/* The distances of one shade to every colour of the target. */
typedef struct distances {
    double to[WM_MAX_TARGETS];
} distances;

static distances distances_of(const base *target, wm_lab lab)
{
    distances d = { { 0 } };
    for (size_t i = 0; i < target->count; i++)
        d.to[i] = wm_de00(target->colours[i].lab, lab);
    return d;
}

static double distance_of(const base *target, wm_lab lab)
{
    distances d = distances_of(target, lab);
    return weighted_rms(target, d.to);
}

static void rank_one(wm_ranked *out, const base *target, const wm_swatch *swatch, const wm_verdict_limits *limits)
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
    *out = (wm_ranked){ .swatch = swatch, .d_lightness = mean.lightness, .d_chroma = mean.chroma, .d_hue = mean.hue };
    out->de00 = distance_of(target, swatch->lab);
    out->u_de00 = hypot(target->u_de00, wm_swatch_u(swatch)); /* M2 */
    out->verdict = wm_verdict_of(out->de00, limits);
    words_of(out->words, &mean);
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

/* Half the change of a shade's distance when colour i of the target moves by its sigma up and down. */
static double target_effect(const base *target, distances d, wm_lab shade, size_t i, int o)
{
    wm_lab sigma = target->colours[i].sigma;
    double s = *output_of(&sigma, o);
    d.to[i] = wm_de00(moved(target->colours[i].lab, o, s), shade);
    double up = weighted_rms(target, d.to);
    d.to[i] = wm_de00(moved(target->colours[i].lab, o, -s), shade);
    return (up - weighted_rms(target, d.to)) / 2;
}

/* The variance that a swatch's own uncertainty brings to its distance: (u, u/2, u/2) on L, a, b. */
static double swatch_variance(const base *target, const wm_swatch *swatch)
{
    double sum = 0;
    for (int o = 0; o < OUTPUTS; o++) {
        double s = wm_swatch_u(swatch) * (o == 0 ? 1 : 0.5);
        double effect =
            (distance_of(target, moved(swatch->lab, o, s)) - distance_of(target, moved(swatch->lab, o, -s))) / 2;
        sum += effect * effect;
    }
    return sum;
}

static double u_diff(const base *target, const wm_swatch *a, const wm_swatch *b)
{
    distances da = distances_of(target, a->lab), db = distances_of(target, b->lab);
    double sum = swatch_variance(target, a) + swatch_variance(target, b);
    for (size_t i = 0; i < target->count; i++) {
        for (int o = 0; o < OUTPUTS; o++) {
            double effect = target_effect(target, da, a->lab, i, o) - target_effect(target, db, b->lab, i, o);
            sum += effect * effect;
        }
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

void wm_rank(wm_ranked *out, const wm_shades *shades, const wm_rank_target *target, const wm_verdict_limits *limits)
{
    base all = base_of(target);
    for (size_t i = 0; i < shades->count; i++)
        rank_one(&out[i], &all, shades->items[i], limits);
    if (shades->count)
        qsort(out, shades->count, sizeof *out, compare_ranked);
    for (size_t i = 0; i < shades->count; i++)
        out[i].tied_with_best = i == 0 || out[i].de00 - out[0].de00 < 2 * u_diff(&all, out[i].swatch, out[0].swatch);
}

/* ---- M6, M9: weights by kind ---- */

static double weight_of_kind(wm_zone_kind kind, bool hangs_free)
{
    switch (kind) {
    case WM_ZONE_MID: return hangs_free ? 0.4 : 0.5;
    case WM_ZONE_ENDS: return hangs_free ? 0.4 : 0.25;
    case WM_ZONE_ROOT: return hangs_free ? 0.2 : 0.25;
    default: return 0;
    }
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
