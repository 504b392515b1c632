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

/** Gray share over the visits, where it was measured. */
typedef struct wm_plot_share {
    const char *at;
    double share;
} wm_plot_share;
void wm_plot_shares(wm_buf *out, const wm_plot_share *shares, size_t count);

#endif
