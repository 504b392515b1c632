/* gray: body colour of a zone (G4 to G6), share of gray and the two populations (G7 to G9), closure with a swatch (G10).
 * The share is the visible-area share, the ratio a stylist can match; never the number of fibres, never the share of light. */
#ifndef WM_MEASURE_GRAY_H
#define WM_MEASURE_GRAY_H

#include "colour/colour.h"
#include "core/status.h"

typedef enum wm_gray_status {
    WM_GRAY_NOT_MEASURED, WM_GRAY_NOT_RESOLVED, WM_GRAY_NONE_SEEN, WM_GRAY_LOW, WM_GRAY_MEASURED
} wm_gray_status;
typedef enum wm_population { WM_POPULATION_UNKNOWN, WM_POPULATION_NONE, WM_POPULATION_ASSUMED, WM_POPULATION_MEASURED } wm_population;

/** "not measured", "not resolved", "none seen", "low", "measured": the words of the JSON. */
WM_API const char *wm_gray_status_name(wm_gray_status status);

/** G4: base colour of a zone that holds 0 to 10 % gray, from its kept pixels (count > 0). */
WM_API wm_rgb wm_gray_reference(const wm_rgb *pixels, size_t count);

typedef struct wm_gray_input {
    const wm_rgb *pixels;         /**< kept by G1 to G3, after stage 1 */
    size_t count;
    size_t zone_pixels;           /**< all pixels of the zone (G9: 10 %); 0: count */
    const wm_rgb *reference;      /**< base colour of G4, NULL: blind */
    const wm_rgb *gray_swatch;    /**< linear colour of the chosen gray swatch (G10), NULL: prior */
    bool sheen_everywhere;        /**< from the cleaning */
} wm_gray_input;

typedef struct wm_gray {
    /* G6, always (count > 0) */
    wm_rgb body;                  /**< linear mean of the pixels kept after gaps */
    wm_lab body_sd;               /**< sd of their Lab, per channel */
    size_t kept;                  /**< pixels behind body */
    double gap_share;             /**< of the pixels passed in */
    double gap_below_y;           /**< pixels darker than this were gaps */
    /* G5, G7 */
    double share, u_share;        /**< s and sd; meaningless unless status says so */
    double mixture_share;         /**< sL, before the bleach test */
    double contrast;              /**< R = G / B */
    double pure_base, pure_gray;  /**< W0, W1 */
    double base_y, gray_y;        /**< B, G of the mixture */
    double index_rest;            /**< rho(g) of the bleach test */
    bool bleached;                /**< sL - s > 0.05: lighter, coloured fibres */
    bool base_never_seen;         /**< W0 < 0.02: show the interval only */
    /* G8, G9 */
    wm_rgb base, gray;
    wm_population base_status, gray_status;
    double base_u_de00, gray_u_de00;
    wm_gray_status status;
    double closure_de00;          /**< G10, dE00 between (1-s) base + s gray and body */
} wm_gray;

/** G5 to G9. WM_E_INPUT when count is 0. */
WM_API wm_status wm_gray_measure(wm_gray *out, const wm_gray_input *input, wm_error *err);

/** Number share to visible-area share: s = k n / (1 + (k - 1) n). */
WM_API double wm_gray_area_share(double number_share, double width_ratio);

#endif
