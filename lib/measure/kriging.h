/* kriging: stage 2 of the calibration (C6 to C8, C11, C12): the residual of the aids, interpolated in CIELAB, with its
 * variance. The constants table of C8 stands in kriging.c. */
#ifndef WM_MEASURE_KRIGING_H
#define WM_MEASURE_KRIGING_H

#include "colour/colour.h"
#include "core/status.h"
#include "measure/zone.h"

typedef enum wm_krige_row {
    WM_KRIGE_GRAY,
    WM_KRIGE_THREE_CARDS,
    WM_KRIGE_SWATCH,
    WM_KRIGE_TARGET,
    WM_KRIGE_NONE,
    WM_KRIGE_TARGET_AND_SWATCHES
} wm_krige_row;
enum {
    WM_KRIGE_NEAREST = 12, /**< C6 */
    WM_KRIGE_S2_HIGH = 4,  /**< C17: from this s2 on aids contradict each other */
};

/** One aid: its Lab after stage 1 (measured) and its reference Lab. */
typedef struct wm_krige_aid {
    wm_lab measured, reference;
    double weakness; /**< variance in L* that this aid has beyond C8's noise, a quarter of it in a* and b* (C32); 0 */
} wm_krige_aid;

typedef struct wm_kriged {
    wm_lab lab;
    double variance[3];                  /**< V_o for L, a, b */
    double s2;                           /**< C11 */
    double disagreement;                 /**< C11 without its upper limit: what widens u (C17) */
    int used;                            /**< n <= 12 */
    int nearest[WM_KRIGE_NEAREST];       /**< indices of the aids used, nearest first */
    double z_score[WM_KRIGE_NEAREST][3]; /**< leave-one-out z_i of each (C11) */
} wm_kriged;

/** C7's kernel for output o (0 L, 1 a, 2 b): exposed for its check values. */
double wm_krige_kernel(wm_krige_row row, int o, wm_lab p, wm_lab q);

/** Light that differs over a head (C27): further variance of L*, shared the more the nearer two hang to each other. All
 * zero: C7 as it stands. */
typedef struct wm_krige_light {
    double sd;             /**< of ln light over a head */
    const wm_point *where; /**< of each aid, in reaches of the light; NULL: each in a light of its own */
    const wm_point *zone;  /**< of z; NULL: its light is not in V */
} wm_krige_light;

/** What to interpolate from. count may be 0. */
typedef struct wm_krige_set {
    wm_krige_row row;
    const wm_krige_aid *aids;
    size_t count;
    wm_krige_light light;
} wm_krige_set;

/** Corrects z; without aids lab = z. False when a Cholesky pivot is <= 1e-9 (C25). */
bool wm_krige(wm_kriged *out, const wm_krige_set *set, wm_lab z);

/** How likely the aids' residuals are under C7 with this light, as a logarithm up to a constant; of more than
 * WM_KRIGE_NEAREST aids those nearest to their mean. -INFINITY where C25 refuses. */
double wm_krige_log_likelihood(const wm_krige_set *set);

/** C8: standard deviation of one aid by itself for output o. */
double wm_krige_noise(wm_krige_row row, int o);

/** C8: what a zone has by itself for output o. */
double wm_krige_zone(wm_krige_row row, int o);

/** C27: what a small difference of ln light does to L*. */
double wm_light_to_lightness(double ln_light, double L);

/** C12: dE00 uncertainty of a colour with standard deviations sigma (L, a, b); without the factor f. */
double wm_sigma_to_u(wm_lab lab, wm_lab sigma);

#endif
