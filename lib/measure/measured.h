/* measured: a colour as it was measured, with what is known of it. Everything behind calibration and the gray rules
 * speaks of colours in this form, and a report gives them back in it. */
#ifndef WM_MEASURE_MEASURED_H
#define WM_MEASURE_MEASURED_H

#include "colour/colour.h"
#include "measure/claim.h"

typedef struct wm_measured {
    wm_lab lab;
    wm_lab sigma;        /**< standard uncertainty of L*, a*, b* (C12, C27) */
    double u_de00;       /**< the same in dE00 */
    wm_claim claim;      /**< what may be said with it (C24) */
    size_t pixels, kept; /**< where it comes from: pixels of the zone or zones, and those behind the colour */
} wm_measured;

/** Colours of several zones as one: the mean in linear light, sigma and u as root mean squares, because the zones share
 * the calibration's error and averaging does not take it away (M6). weights NULL: all alike; they need not sum to 1.
 * count is at least 1. */
wm_measured wm_measured_mean(const wm_measured *colours, const double *weights, size_t count);

#endif
