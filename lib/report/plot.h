/* plot: the drawn numbers of a report, as figure draws its pictures: one <svg> each, with a title. */
#ifndef WM_REPORT_PLOT_H
#define WM_REPORT_PLOT_H

#include "core/buf.h"
#include "report/report.h"

/** Differences in lightness, chroma and hue, each from the hair in the middle; with the words of both ends or without.
 */
void wm_plot_difference(wm_buf *out, const wm_report_match *match, bool with_words);

/** The aids, as the photo showed them after the first correction and as they are: a* against b*, and L* against L*. */
void wm_plot_aids_chroma(wm_buf *out, const wm_report_calibration *calibration);
void wm_plot_aids_lightness(wm_buf *out, const wm_report_calibration *calibration);

/** A gray share with its uncertainty, years after the first visit. */
typedef struct wm_plot_share {
    double years, share, u;
    size_t place; /**< of wm_plot_gray's */
} wm_plot_share;

enum { WM_PLOT_PLACES = 8, WM_PLOT_LINE = 17 };
/** Gray over the visits: what was measured, place by place, and the line fitted to each place, all of one slope. */
typedef struct wm_plot_gray {
    const char *from, *to; /**< the days at both ends */
    wm_plot_share *points; /**< oldest first; owned */
    size_t count;
    char places[WM_PLOT_PLACES][40];
    size_t place_count;
    wm_plot_share lines[WM_PLOT_PLACES][WM_PLOT_LINE];
    size_t line_count; /**< points of a line; 0: none could be fitted */
} wm_plot_gray;
void wm_plot_gray_free(wm_plot_gray *gray);

/** Bars and band are twice u: the truth is nearly always inside. Nothing without a point. */
void wm_plot_gray_shares(wm_buf *out, const wm_plot_gray *gray);

#endif
