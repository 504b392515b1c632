/* trend: her gray over all visits: one slope for the whole head, each place with its own beginning, fitted by 1 / u^2.
 * Zones of different visits belong together by kind and place, not by name alone. */
#ifndef WM_CONSULT_TREND_H
#define WM_CONSULT_TREND_H

#include "report/plot.h"
#include "report/report.h"

/** A share that was measured at a visit. */
typedef struct wm_trend_point {
    size_t visit; /**< of those that came in */
    wm_zone_kind kind;
    wm_place place;
    double years; /**< since the first visit */
    double share, u;
} wm_trend_point;

enum { WM_TREND_LEFT_OUT = 32 };
typedef struct wm_trend {
    wm_trend_point *points; /**< free with wm_trend_free */
    size_t count;
    size_t visits;           /**< that have a point in the fit */
    bool known;              /**< false: fewer than two visits have a place in common */
    double slope, u_slope;   /**< of the share, a year */
    double share, u_share;   /**< mean over the places in the fit, on the last visit's day */
    double first_years;      /**< of the first of these visits */
    double years;            /**< from the first to the last of these visits */
    double widened;          /**< by how much the points lie wider about the line than their u says; at least 1 */
    double change, u_change; /**< slope times years */
    bool measurable;         /**< change is more than twice its u (M17) */
    char left_out[WM_TREND_LEFT_OUT][2 * WM_LABEL_SIZE]; /**< "2026-03-31 ends: lighter fibres" */
    size_t left_out_count;
} wm_trend;

typedef struct wm_trend_visit {
    const char *date; /**< YYYY-MM-DD */
    const wm_report *report;
} wm_trend_visit;
/** visits: oldest first. WM_E_MEMORY. */
wm_status wm_trend_of(wm_trend *out, const wm_trend_visit *visits, size_t count, wm_error *err);
void wm_trend_free(wm_trend *trend);

/** The same as a drawing takes it; `visits` as they went in. Free with wm_plot_gray_free. WM_E_MEMORY. */
wm_status wm_trend_plot(wm_plot_gray *out, const wm_trend *trend, const wm_trend_visit *visits, wm_error *err);

/** "gray up by about 12 +- 3 points in 1.2 years", or what can be said instead. Returns out. */
enum { WM_TREND_WORDS_SIZE = 200 };
const char *wm_trend_words(char out[WM_TREND_WORDS_SIZE], const wm_trend *trend);

#endif
