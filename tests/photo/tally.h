/* tally: what comes of one aid in one kind of light: errors of zones, uncertainty, claims, gray, ranks. */
#ifndef PHOTO_TALLY_H
#define PHOTO_TALLY_H

#include "match/swatch.h"
#include "measure/calibrate.h"
#include "measure/measured.h"
#include "report/report.h"

enum { TALLY_MOST = 4000, TALLY_CLAIMS = WM_CLAIM_ROUGH + 1, TALLY_WORST = 3, TALLY_NAME = 160 };

/** How a catalogue's shades come out: the truly nearest first, among the first three, and what the choice costs. */
typedef struct rank_tally {
    size_t count, first, third, fifth;
    double regret;
} rank_tally;

/** What is said of gray. Of zones with a number: share and colour against the truth. */
typedef struct gray_tally {
    size_t gray, half, plain; /**< zones with 5 %, with 50 % of gray or more, with none */
    size_t said, half_found,
        false_gray; /**< of these: given a number; also "gray all over"; the same, which is wrong */
    double share_sum, share_absolute, lightness_sum, lightness_absolute;
    rank_tally choice; /**< of a shade for the gray, among 30 */
} gray_tally;

typedef struct tally {
    gray_tally gray;
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
/** share: what there is; gray: of which colour, where there is some; catalogue: of which a shade is chosen for it. */
typedef struct true_gray {
    double share;
    wm_lab gray;
} true_gray;
void tally_gray(gray_tally *t, const wm_catalogue *catalogue, const true_gray *truth, const wm_report_zone *got);
double tally_quantile(tally *t, double fraction);
double tally_share(size_t part, size_t whole); /**< 0 of none */

#endif
