/* calibrate: from the aids in the picture to a correction, its uncertainty, and what may be claimed (rules C1 to C27).
 *
 * Use: wm_calibrate with the aids as read; then wm_calibration_stage1 on a zone's pixels before cleaning and the gray rules, then
 * wm_calibration_finish on each colour of it (body, base, gray). Swatches are aids whose body colour depends on stage 1, so that
 * they come as windows and are sampled here. */
#ifndef WM_MEASURE_CALIBRATE_H
#define WM_MEASURE_CALIBRATE_H

#include "colour/colour.h"
#include "measure/kriging.h"
#include "measure/sample.h"
#include "measure/zone.h"

/** C24's table, M4: what the photo can choose among. */
typedef enum wm_claim { WM_CLAIM_NAME, WM_CLAIM_RUNNER_UP, WM_CLAIM_THREE, WM_CLAIM_FIVE, WM_CLAIM_ROUGH } wm_claim;
WM_API wm_claim wm_claim_of(double u_de00);               /**< < 1.25, < 1.75, < 2.5, <= 4, above */
WM_API const char *wm_claim_name(wm_claim claim);         /**< "name", "runner_up", "three", "five", "rough" */
WM_API int wm_claim_shades(wm_claim claim);               /**< how many shades it names: 1, 2, 3, 5, 0 */

/** One aid of the picture, as read from the photo (before stage 1). Everything is lent for the call. */
typedef struct wm_aid {
    const wm_zone *zone;       /**< kind swatch, card or target */
    wm_window *windows;        /**< one; for a target rows * columns, patches row by row; calibrate may change their pixels */
    const wm_lab *references;  /**< as many: the card's or swatch's known Lab, the target's table */
} wm_aid;

typedef enum wm_stage1_kind { WM_STAGE1_NONE, WM_STAGE1_EXPOSURE, WM_STAGE1_GAIN, WM_STAGE1_CURVE } wm_stage1_kind;

/** Stage 1 (C2, C3, C4, C5). gain: l' = l * gain. Curve per channel: l' = dec(clip(a + b * max(e, 1e-5)^g, 0, 1.5)). */
typedef struct wm_stage1 {
    wm_stage1_kind kind;
    double gain[3];
    double curve_a[3], curve_b[3], curve_g[3];
} wm_stage1;

/** An aid that was used: Lab after stage 1 beside its reference, for the report's plots. */
typedef struct wm_used_aid {
    const wm_zone *zone;
    int patch;                 /**< of a target, else 0 */
    wm_lab measured, reference;
    double largest_z;          /**< of C16, over the client zones and outputs; 0 until measured */
} wm_used_aid;

typedef struct wm_dropped { char zone[80]; char why[200]; } wm_dropped; /**< e.g. "swatch oat", "card 2", "target patch 3,4" */

typedef struct wm_calibration {
    char aid[16];              /**< none, card, cards, target, swatches, card+swatches, cards+swatches, target+swatches */
    wm_stage1 stage1;
    wm_krige_row row;          /**< constants for the last pass */
    wm_used_aid *used;         /**< swatches (or target patches where there are no swatches), after drops */
    size_t used_count;
    wm_krige_aid *target_aids; /**< patches of the first pass (C9), empty without target */
    size_t target_count;
    wm_dropped *dropped;
    size_t dropped_count;
    double light_sd;           /**< sd_light of C27: sd of ln(Yref/Y) over the swatches (three or more), else 0.12 */
    double factor;             /**< f of C12: 1, 1.4 or 1.25 */
    double agreement;          /**< largest s2 over what was finished so far (C17); < 0 while there is none */
} wm_calibration;

/** Decides which aids count (C1, C15, C16 by the zones' provisional colours in `zones_lab`, C18 to C21, C25), fits stage 1, samples the
 *  swatches. Never fails for poor aids: it drops them, says so (dropped, notes) and goes one step down. Free with
 *  wm_calibration_free. WM_E_MEMORY only. */
WM_API wm_status wm_calibrate(wm_calibration *out, wm_aid *aids, size_t count, wm_notes *notes, wm_error *err);
WM_API void wm_calibration_free(wm_calibration *calibration);

/** Stage 1 on every pixel of a window, in place. */
WM_API void wm_calibration_stage1(const wm_calibration *calibration, wm_window *window);
/** Stage 1 on one linear colour. */
WM_API wm_rgb wm_stage1_apply(const wm_stage1 *stage1, wm_rgb rgb);
/** C3's fit of one channel: n encoded values e and reference encoded R. False when no valid g. */
WM_API bool wm_stage1_fit_curve(const double *e, const double *R, int n, double *a, double *b, double *g);

/** C16, once, before the zones are finished: z of each used swatch over all the client zones' colours after stage 1; n >= 4 and some
 *  |z| > 3.5: drops the worst and says so; n < 4: warns. */
WM_API void wm_calibration_check_swatches(wm_calibration *calibration, const wm_lab *zones_lab, size_t count, wm_notes *notes);

typedef struct wm_finished {
    wm_lab lab, sigma;  /**< sigma of C12 with C27 */
    double u_de00;
    double s2;
    wm_claim claim;
} wm_finished;

/** Stage 2 on a colour z after stage 1. sd and pixels: of the zone's kept pixels (se of C12). swatch_at_zone: a used swatch is held at it
 *  (C27). False: the zone is refused (C25 pivot, C17 s2 = 4 after every fallback) - see calibrate.c. */
WM_API bool wm_calibration_finish(wm_calibration *calibration, wm_lab z, wm_lab sd, size_t pixels, bool swatch_at_zone, wm_finished *out);

/** True when a used swatch is held at the named client zone. */
WM_API bool wm_calibration_swatch_at(const wm_calibration *calibration, const char *zone_name);

/** C14: uncertainty of a difference between two colours of one photo, of two photos, of two photos with a neutral curve in both. */
typedef enum wm_pairing { WM_PAIR_SAME_PHOTO, WM_PAIR_TWO_PHOTOS, WM_PAIR_TWO_CURVES } wm_pairing;
WM_API double wm_difference_u(wm_pairing pairing, double de00);

#endif
