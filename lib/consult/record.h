/* record: what was measured and found, copied into the report's plain data. */
#ifndef WM_CONSULT_RECORD_H
#define WM_CONSULT_RECORD_H

#include "consult/survey.h"
#include "match/decision.h"
#include "match/rank.h"
#include "report/report.h"

void wm_record__photo(wm_report *report, const wm_photo *photo);
void wm_record__zone(wm_report_zone *out, const wm_surveyed_zone *zone);
wm_status wm_record__survey(wm_report *report, const wm_survey *survey, wm_error *err);

/** Ranks shades against a target and adds the ranking under its name. */
typedef struct wm_ranking_request {
    const char *name;
    const char *said; /**< "" or a sentence */
    const wm_shades *shades;
    wm_rank_target target;
    const wm_verdict_limits *limits;
} wm_ranking_request;
wm_status wm_record__ranking(wm_report *report, const wm_ranking_request *request, wm_error *err);

/** What was decided (M24 to M33). */
wm_status wm_record__decision(wm_report *report, const wm_decision *decision, wm_error *err);

#endif
