/* finished: how near the finished row came to her own hair, measured on a photo after the work, worn down and up, zone
 * by zone. What was measured lies in the visit as a small document of the reports of both photos. */
#ifndef WM_CONSULT_FINISHED_H
#define WM_CONSULT_FINISHED_H

#include "book/book.h"
#include "consult/consult.h"
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
    bool sure; /**< M32: one uncertainty further it is still called so */
    wm_claim claim;
    char words[WM_WORDS_SIZE]; /**< what the row is beside her hair */
} wm_finished_zone;

enum { WM_FINISHED_ZONES = 32 };
typedef struct wm_finished {
    wm_finished_zone zones[WM_FINISHED_ZONES];
    size_t count;
    const wm_finished_zone *worst; /**< of those that lie beside one; NULL: none */
} wm_finished;

/** A photo after on its way into a visit. */
typedef struct wm_after {
    wm_bytes jpeg, zones_json; /**< as they are kept */
    wm_buf json;               /**< what was measured (wm_report_to_json); empty: nothing was */
} wm_after;

/** Measures the zones of a photo after; what was noticed goes to `warnings`. */
wm_status wm_after_measure(wm_after *out, wm_warnings *warnings, const wm_consult_input *input, wm_error *err);
/** The photo, reduced, and its zones, as a visit keeps them. zones NULL: the photo alone. */
wm_status wm_after_keep(wm_after *out, const wm_photo *photo, const wm_zones *zones, wm_error *err);
/** What is there of a photo after goes into the visit; what was measured, in place of what was there for that view. */
wm_status wm_after_put(wm_visit *visit, wm_after *after, bool up, wm_error *err);
void wm_after_free(wm_after *after);

/** Nothing when no photo after was measured. `report` is the visit's. WM_E_BOOK: what lies there can't be read. */
wm_status wm_finished_of(wm_finished *out, const wm_visit *visit, const wm_report *report,
                         const wm_verdict_limits *limits, wm_error *err);

#endif
