/* A whole decision (M21 to M34 with its scenarios) among COUNT shades, on one core: printed in milliseconds, and as a
 * ratio to a million CIEDE2000 differences of the batch kernel in the same run, which survives a change of machine.
 *
 * Usage: bench_decide COUNT */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "colour/difference.h"
#include "match/decision.h"
#include "support/example_head.h"
#include "support/rng.h"

enum { SHADES = 100000, RUNS = 7, MILLION = 1000000 };

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

/* From black to white as hair goes; one in ten pre-blended. */
static void make_shades(wm_swatch *shades, const wm_swatch **items, size_t count)
{
    rng r = { 7 };
    for (size_t i = 0; i < count; i++) {
        char code[20];
        bool gray = rng_between(&r, 0, 1) < 0.25;
        double L = gray ? rng_between(&r, 50, 85) : rng_between(&r, 16, 62);
        snprintf(code, sizeof code, "s%06zu", i);
        shades[i] = wm_swatch_new(code, "",
                                  (wm_lab){ L, gray ? rng_between(&r, 0, 3) : rng_between(&r, 3, 11),
                                            gray ? rng_between(&r, 2, 10) : L * 0.4 + rng_between(&r, -4, 6) });
        shades[i].u = 0.6;
        shades[i].stock_packs = 1;
        shades[i].pieces_per_pack = 2;
        shades[i].piece_width_cm = 30;
        shades[i].pack_weight_g = 50;
        shades[i].length_cm = 50;
        shades[i].gray_share = i % 10 == 0 ? rng_between(&r, 0.05, 0.9) : 0;
        items[i] = &shades[i];
    }
}

static double million_differences(void)
{
    wm_lab *labs = calloc(MILLION, sizeof *labs);
    double *out = calloc(MILLION, sizeof *out), best = 1e9;
    rng r = { 9 };
    for (size_t i = 0; labs && i < MILLION; i++)
        labs[i] = (wm_lab){ rng_between(&r, 5, 90), rng_between(&r, -2, 12), rng_between(&r, -2, 25) };
    for (int run = 0; labs && out && run < 3; run++) {
        double start = now_ms();
        wm_de00_batch(out, (wm_lab){ 30, 6, 12 }, labs, MILLION);
        double took = now_ms() - start;
        best = took < best ? took : best;
    }
    free(labs);
    free(out);
    return best;
}

int main(int argc, char **argv)
{
    size_t count = argc > 1 ? strtoul(argv[1], NULL, 10) : 120;
    if (count < 1 || count > SHADES)
        return 2;
    wm_swatch *shades = calloc(count, sizeof *shades);
    const wm_swatch **items = calloc(count, sizeof *items);
    wm_decision *decision = calloc(1, sizeof *decision);
    if (!shades || !items || !decision)
        return 70;
    make_shades(shades, items, count);
    const wm_head_zone zones[] = { zone_of(WM_ZONE_ROOT, "crown", 0.24), zone_of(WM_ZONE_GRAY, "temple", 0.40),
                                   zone_of(WM_ZONE_MID, "mid", 0.12), zone_of(WM_ZONE_ENDS, "ends", 0) };
    wm_shades hair = { .items = items, .count = count };
    wm_decision_input input = WM_DECISION_INPUT_INIT;
    input.zones = zones;
    input.zone_count = 4;
    input.hair = &hair;
    input.goal = WM_GOAL_LENGTH;
    input.head.natural_length_cm = 40;
    input.rows[0] = (wm_placed_row){ WM_PLACE_BACK, 29, 24 };
    input.row_count = 1;
    double best[2] = { 1e9, 1e9 };
    for (int run = 0; run < RUNS; run++)
        for (int scenarios = 0; scenarios < 2; scenarios++) {
            wm_error err = { 0 };
            input.without_scenarios = scenarios == 0;
            double start = now_ms();
            if (wm_decide(decision, &input, &err)) {
                fprintf(stderr, "%s\n", err.text);
                return 1;
            }
            double took = now_ms() - start;
            best[scenarios] = took < best[scenarios] ? took : best[scenarios];
        }
    double million = million_differences();
    printf("decision among %zu shades (%.1f ms), times a million CIEDE2000 differences\t%.2f\t\n", count, best[0],
           best[0] / million);
    printf("the same with scenarios (%.1f ms)\t%.2f\t\n", best[1], best[1] / million);
    free(decision);
    free(items);
    free(shades);
    return 0;
}
