/* finished: how near the finished row came to her own hair, measured on a photo after the work, worn down and up, zone
 * by zone. What was measured lies in the visit as a small document of the reports of both photos. */
#ifndef WM_CONSULT_FINISHED_H
#define WM_CONSULT_FINISHED_H

#include "book/book.h"
#include "report/report.h"

/** A zone of the photo after beside her own hair before. */
typedef struct wm_finished_zone {
    bool up; /**< worn up; else down */
    char zone[WM_LABEL_SIZE];
    wm_zone_kind kind;
    wm_place place;
    char beside[WM_LABEL_SIZE]; /**< her zone: of the same name, else of the same kind and place; "" there is none */
    wm_lab lab, hers;
    double de00, u_de00; /**< 0 without a zone beside */
    wm_verdict verdict;
    wm_claim claim;
    char words[WM_WORDS_SIZE]; /**< what the row is beside her hair */
} wm_finished_zone;

enum { WM_FINISHED_ZONES = 32 };
typedef struct wm_finished {
    wm_finished_zone zones[WM_FINISHED_ZONES];
    size_t count;
    const wm_finished_zone *worst; /**< of those that lie beside one; NULL: none */
} wm_finished;

/** Puts what was measured on a photo after into the visit, in place of what was there for that view. `json` is the
 * measurement's document (wm_report_to_json). */
wm_status wm_finished_add(wm_visit *visit, const wm_buf *json, bool up, wm_error *err);

/** Nothing when no photo after was measured. `report` is the visit's. WM_E_BOOK: what lies there can't be read. */
wm_status wm_finished_of(wm_finished *out, const wm_visit *visit, const wm_report *report,
                         const wm_verdict_limits *limits, wm_error *err);

#endif
