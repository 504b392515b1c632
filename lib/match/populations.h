/* populations: her own colour, her gray and the share of it in each zone, fitted to all her zones together (M22). A
 * zone that can't be counted is not without gray: what its body has of gray's lightness and hue says how much, and the
 * less it may hold, the more it says of her own colour. */
#ifndef WM_MATCH_POPULATIONS_H
#define WM_MATCH_POPULATIONS_H

#include "match/mixing.h"

#define WM_SHARE_AT_MOST 0.97 /* M22 */
enum { WM_FIT_ZONES = 64, WM_FIT_STEPS = 20, WM_FIT_LANES = 4 /* fits that go side by side */ };

/** What one zone says. Colours in CIELAB, sd too. */
typedef struct wm_fit_zone {
    bool pure;               /**< body is her own colour; else it holds a share that is sought */
    wm_lab body, sd;         /**< sd of the body; above 0 */
    bool has_base, has_gray; /**< her own colour, her gray was told */
    wm_lab base, base_sd, gray, gray_sd;
    double share;      /**< share that is expected */
    double of_grayest; /**< and so much of the grayest zone's share; else 0 */
    double share_sd;   /**< sd of what is expected; above 0 */
    double line_rad;   /**< which way gray moves its colour (G12) */
    double line_sd;    /**< radians; 0: not known */
} wm_fit_zone;

typedef struct wm_fit_input {
    const wm_fit_zone *zones;
    size_t count;         /**< 1 to WM_FIT_ZONES */
    size_t grayest;       /**< the zone whose share others follow, not a pure one; count for none */
    wm_lab gray, gray_sd; /**< that is expected; sd above 0 */
} wm_fit_input;

typedef struct wm_populations {
    wm_lab base, gray;
    double share[WM_FIT_ZONES]; /**< of those not pure */
} wm_populations;

/** Least squares by at most `steps` steps of Gauss and Newton from where each of `fits` stands. Its input differs from
 * the first one in nothing but body, base, gray, share and line_rad of the zones, and in gray. */
void wm_populations_fit(wm_populations *fits, const wm_fit_input *ins, size_t count, int steps);

#endif
