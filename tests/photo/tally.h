/* tally: what comes of one aid in one kind of light: errors of zones, uncertainty, claims, gray, ranks. */
#ifndef PHOTO_TALLY_H
#define PHOTO_TALLY_H

#include "match/swatch.h"
#include "measure/calibrate.h"
#include "measure/measured.h"

enum { TALLY_MOST = 4000, TALLY_CLAIMS = WM_CLAIM_ROUGH + 1, TALLY_WORST = 3, TALLY_NAME = 160 };

/** How a catalogue's shades come out: the truly nearest first, among the first three, and what the choice costs. */
typedef struct rank_tally {
    size_t count, first, third, fifth;
    double regret;
} rank_tally;

typedef struct tally {
    double errors[TALLY_MOST];
    size_t count, within_1u, within_2u, claims[TALLY_CLAIMS];
    size_t scenes, exit_0;
    size_t allowed, doubted; /**< zones whose aids let a shade be named or listed; whose hair is doubted (H6) */
    double worst[TALLY_WORST];
    char worst_case[TALLY_WORST][TALLY_NAME];
    rank_tally small, large; /**< catalogues of 30 and 120 */
} tally;

void tally_zone(tally *t, wm_lab truth, const wm_measured *zone, const char *name);
void tally_rank(rank_tally *t, const wm_catalogue *catalogue, wm_lab truth, wm_lab got);
double tally_quantile(tally *t, double fraction);
double tally_share(size_t part, size_t whole); /**< 0 of none */

#endif
