/* The search for layers over an invented catalogue: `bench_layers COUNT [JOBS]` prints the shades, the goals, what was
 * found and the median seconds of one search (of the processor, and on the wall), in lines that layers_numpy.py reads
 * and does again in its own way. */
#include "match/search.h"
#include "support/rng.h"
#include "support/measured.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { GOALS = 5, ROUNDS = 5, MOST = 5000 };

static wm_swatch swatches[MOST];
static const wm_swatch *order[MOST];

static double now(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Hair from black to white with a warm hue; packs of two pieces, half of them thinner. */
static void fill(size_t count)
{
    rng r = { 31 };
    for (size_t i = 0; i < count; i++) {
        char code[16];
        snprintf(code, sizeof code, "s%04zu", i);
        wm_lab lab = { rng_between(&r, 12, 78), rng_between(&r, 0, 10), rng_between(&r, 2, 26) };
        swatches[i] = wm_swatch_new(code, "", lab);
        swatches[i].pieces_per_pack = 2;
        swatches[i].piece_width_cm = 30;
        swatches[i].length_cm = 50;
        swatches[i].pack_weight_g = i % 2 ? 60 : 45;
        order[i] = &swatches[i];
        printf("shade %s %.17g %.17g %.17g %.17g\n", code, lab.L, lab.a, lab.b, wm_swatch_tau(&swatches[i]));
    }
}

static void print_goal(const wm_layers_goal *goal, const wm_proposals *found, const double seconds[2])
{
    wm_lab t = goal->target.lab, p = goal->pile.lab;
    printf("goal %.17g %.17g %.17g %.17g %.17g %.17g %.6f %.6f\n", t.L, t.a, t.b, p.L, p.a, p.b, seconds[0],
           seconds[1]);
    for (size_t i = 0; i < found->count; i++) {
        printf("best %d %.17g", found->items[i].layer_count, found->items[i].worst_de00);
        for (int k = 0; k < found->items[i].layer_count; k++)
            printf(" %s", found->items[i].layers[k]->code);
        printf("\n");
    }
}

int main(int argc, char **argv)
{
    size_t count = argc > 1 ? (size_t)atoi(argv[1]) : 120;
    if (count < 1 || count > MOST)
        return 2;
    wm_layers_settings settings = WM_LAYERS_SETTINGS_DEFAULT;
    settings.jobs = argc > 2 ? atoi(argv[2]) : 1;
    fill(count);
    wm_shades shades = { .items = order, .count = count };
    rng r = { 7 };
    for (int i = 0; i < GOALS; i++) {
        wm_lab base = { rng_between(&r, 18, 45), rng_between(&r, 3, 9), rng_between(&r, 8, 20) };
        wm_measured pile = measured(base, (wm_lab){ 0.4, 0.3, 0.3 }, 0.7), target = pile;
        target.lab = wm_target_at_share(base, (wm_lab){ 68, 1.5, 5 }, 0.15 * i); /* from no gray to 60 % */
        wm_layers_goal goal = { target, pile };
        wm_proposals found;
        double seconds[2][ROUNDS], median[2];
        for (int round = 0; round < ROUNDS; round++) {
            double start[] = { now(CLOCK_PROCESS_CPUTIME_ID), now(CLOCK_MONOTONIC) };
            if (wm_layers_search(&found, &shades, &goal, &settings, NULL))
                return 1;
            seconds[0][round] = now(CLOCK_PROCESS_CPUTIME_ID) - start[0];
            seconds[1][round] = now(CLOCK_MONOTONIC) - start[1];
        }
        for (int k = 0; k < 2; k++) {
            qsort(seconds[k], ROUNDS, sizeof(double), ascending);
            median[k] = seconds[k][ROUNDS / 2];
        }
        print_goal(&goal, &found, median);
    }
    return 0;
}
