#include "photo/tally.h"

#include <math.h>
#include <stdio.h>

#include "colour/difference.h"
#include "colour/stats.h"

static void note_worst(tally *t, double error, const char *name)
{
    int at = TALLY_WORST;
    while (at > 0 && error > t->worst[at - 1])
        at--;
    for (int i = TALLY_WORST - 1; i > at; i--) {
        t->worst[i] = t->worst[i - 1];
        snprintf(t->worst_case[i], TALLY_NAME, "%s", t->worst_case[i - 1]);
    }
    if (at < TALLY_WORST) {
        t->worst[at] = error;
        snprintf(t->worst_case[at], TALLY_NAME, "%s", name);
    }
}

void tally_zone(tally *t, wm_lab truth, const wm_measured *zone, const char *name)
{
    const double error = wm_de00(truth, zone->lab), u = zone->u_de00;
    if (t->count == TALLY_MOST)
        return;
    t->errors[t->count++] = error;
    t->within_1u += error <= u;
    t->within_2u += error <= 2 * u;
    t->claims[zone->claim]++;
    note_worst(t, error, name);
}

/* How many hair shades are nearer to lab than `chosen`, and which is nearest. */
static size_t nearer(const wm_catalogue *catalogue, wm_lab lab, size_t chosen, size_t *nearest)
{
    size_t count = 0;
    double least = INFINITY;
    for (size_t i = 0; i < catalogue->count; i++) {
        if (catalogue->items[i].kind != WM_SWATCH_HAIR)
            continue;
        const double d = wm_de00(lab, catalogue->items[i].lab);
        count += chosen < catalogue->count && d < wm_de00(lab, catalogue->items[chosen].lab);
        if (d < least)
            least = d, *nearest = i;
    }
    return count;
}

void tally_rank(rank_tally *t, const wm_catalogue *catalogue, wm_lab truth, wm_lab got)
{
    size_t right = 0, chosen = 0;
    nearer(catalogue, truth, catalogue->count, &right);
    const size_t before = nearer(catalogue, got, right, &chosen);
    t->count++;
    t->first += before == 0;
    t->third += before < 3;
    t->fifth += before < 5;
    t->regret += wm_de00(truth, catalogue->items[chosen].lab) - wm_de00(truth, catalogue->items[right].lab);
}

void tally_gray(gray_tally *t, const wm_catalogue *catalogue, const true_gray *truth, const wm_report_zone *got)
{
    const bool number = got->gray_status == WM_GRAY_MEASURED, found = number || got->gray_status == WM_GRAY_ALL_OVER;
    t->plain += truth->share < 0.005;
    t->false_gray += truth->share < 0.005 && found;
    t->half += truth->share >= 0.5;
    t->half_found += truth->share >= 0.5 && found;
    t->gray += truth->share >= 0.05;
    if (truth->share < 0.05 || !number)
        return;
    const double share = got->share - truth->share, lightness = got->gray.lab.L - truth->gray.L;
    t->said++;
    t->share_sum += share;
    t->share_absolute += fabs(share);
    t->lightness_sum += lightness;
    t->lightness_absolute += fabs(lightness);
    tally_rank(&t->choice, catalogue, truth->gray, got->gray.lab);
}

double tally_quantile(tally *t, double fraction)
{
    return t->count > 0 ? wm_quantile(t->errors, t->count, fraction) : 0;
}

double tally_share(size_t part, size_t whole)
{
    return whole > 0 ? 100 * (double)part / (double)whole : 0;
}
