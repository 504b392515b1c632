/* CIEDE2000: our scalar, our batch kernel and LittleCMS on the same 1000 x 200 pairs. Processor time, the least of
 * many rounds in turn: a busy machine only ever adds. */
#include "colour/difference.h"
#include "support/rng.h"

#include <lcms2.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { SWATCHES = 1000, ZONES = 200, ROUNDS = 60 };

static wm_lab zones[ZONES], swatches[SWATCHES];
static double distances[SWATCHES];

static double scalar(void)
{
    double sum = 0;
    for (size_t z = 0; z < ZONES; z++)
        for (size_t i = 0; i < SWATCHES; i++)
            sum += wm_de00(zones[z], swatches[i]);
    return sum;
}

static double batch(void)
{
    double sum = 0;
    for (size_t z = 0; z < ZONES; z++) {
        wm_de00_batch(distances, zones[z], swatches, SWATCHES);
        for (size_t i = 0; i < SWATCHES; i++)
            sum += distances[i];
    }
    return sum;
}

static double lcms(void)
{
    double sum = 0;
    for (size_t z = 0; z < ZONES; z++) {
        cmsCIELab first = { zones[z].L, zones[z].a, zones[z].b };
        for (size_t i = 0; i < SWATCHES; i++) {
            cmsCIELab second = { swatches[i].L, swatches[i].a, swatches[i].b };
            sum += cmsCIE2000DeltaE(&first, &second, 1, 1, 1);
        }
    }
    return sum;
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

int main(void)
{
    double (*const ways[])(void) = { scalar, batch, lcms };
    double seconds[3][ROUNDS], sums[3];
    rng r = { 13 };
    for (size_t i = 0; i < ZONES; i++)
        zones[i] = (wm_lab){ rng_between(&r, 10, 90), rng_between(&r, -5, 30), rng_between(&r, -5, 40) };
    for (size_t i = 0; i < SWATCHES; i++)
        swatches[i] = (wm_lab){ rng_between(&r, 10, 90), rng_between(&r, -5, 30), rng_between(&r, -5, 40) };
    for (int round = 0; round < ROUNDS; round++)
        for (int way = 0; way < 3; way++) {
            double start = now();
            sums[way] = ways[way]();
            seconds[way][round] = now() - start;
        }
    double least[3];
    for (int way = 0; way < 3; way++) {
        qsort(seconds[way], ROUNDS, sizeof(double), ascending);
        least[way] = seconds[way][0] / ZONES / SWATCHES * 1e9;
    }
    printf("CIEDE2000 of one against many (%.1f ns a pair), times LittleCMS's rate\t%.1f\tat least 14\n", least[1],
           least[2] / least[1]);
    printf("the same, times the rate of one pair at a time\t%.1f\t\n", least[0] / least[1]);
    if (fabs(sums[0] - sums[1]) + fabs(sums[0] - sums[2]) >
        1e-3) { /* also keeps the compiler from leaving the work out */
        printf("the three disagree: %.9g %.9g %.9g\n", sums[0], sums[1], sums[2]);
        return 1;
    }
    return 0;
}
