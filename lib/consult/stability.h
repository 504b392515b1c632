/* stability: does the answer hold when the zones are marked a little differently? Each zone is moved and resized by a
 * few per cent, ten times; the calibration stands. Our own. */
#ifndef WM_CONSULT_STABILITY_H
#define WM_CONSULT_STABILITY_H

#include "consult/survey.h"
#include "match/rank.h"
#include "report/report.h"

typedef struct wm_stability_input {
    const wm_photo *photo;
    const wm_survey *survey;
    const wm_report *report; /**< its zones are those of the survey */
    const wm_shades *shades;
    const wm_verdict_limits *limits;
    bool hangs_free;
    int jobs; /**< threads, at least 1 */
} wm_stability_input;

/** Held: the shade nearest to the base, and the one nearest to the gray, are those of the zones as marked, or can't be
 * told from them (M5). mend: of the answers that did not hold, the zone that moved most. */
wm_status wm_stability_of(wm_report_stability *out, const wm_stability_input *input, wm_error *err);

#endif
