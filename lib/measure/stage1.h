/* stage1: the first, simple correction of the whole photo in linear light: exposure, white balance, tone curve (C2 to
 * C5). */
#ifndef WM_MEASURE_STAGE1_H
#define WM_MEASURE_STAGE1_H

#include "colour/colour.h"
#include "core/words.h"
#include "measure/sample.h"

typedef enum wm_stage1_kind { WM_STAGE1_NONE, WM_STAGE1_EXPOSURE, WM_STAGE1_GAIN, WM_STAGE1_CURVE } wm_stage1_kind;
extern const char *const WM_STAGE1_WORDS[]; /**< "none", "exposure", "gain", "curve" */

/** Exposure, gain: l' = 0.184 (gain * l / 0.184)^g, g alike for all channels and 1 unless swatches told the camera's
 * contrast (C16). Curve per channel: l' = dec(clip(a + b * max(enc(l), 1e-5)^g, 0, 1.5)). */
typedef struct wm_stage1 {
    wm_stage1_kind kind;
    double gain[3];
    double curve_a[3], curve_b[3], curve_g[3];
} wm_stage1;

/** A gray card or a neutral patch: mean linear colour in the photo and its known one. */
typedef struct wm_neutral {
    wm_rgb measured, reference;
} wm_neutral;

enum { WM_STAGE1_MAX_NEUTRALS = 64 };

wm_stage1 wm_stage1_none(void);
bool wm_stage1_same(const wm_stage1 *a, const wm_stage1 *b); /**< to the last bit */

/** Reference chroma below 5: may set the white balance (C3). */
bool wm_lab_is_neutral(wm_lab reference);

/** C18: sorted by reference, the encoded measured green must rise by 0.01 a step. e_green: as many as neutrals.
 *  Steps of the reference too small to show are not asked of the photo. */
bool wm_neutrals_rise(const wm_neutral *neutrals, const double *e_green, size_t count);

/** C2, C3, C4 over 1 to WM_STAGE1_MAX_NEUTRALS neutrals: a curve from three levels of lightness on, else (or when the
 * curve is not to be trusted) a gain per channel. WM_STAGE1_NONE when a channel is dead in all of them. */
wm_stage1 wm_stage1_fit(const wm_neutral *neutrals, size_t count);

/** C5: one gain for all channels, from Yref / Y of swatches. WM_STAGE1_NONE without any. */
wm_stage1 wm_stage1_exposure(const double *ratio, size_t count);

/** The same exposure or gain with another contrast (C16): mid-gray stays where it is. */
wm_stage1 wm_stage1_with_contrast(const wm_stage1 *stage1, double contrast);

/** C3 for one channel: n encoded values e and encoded references R. False when there is no valid g. */
bool wm_stage1_fit_curve(const double *e, const double *R, int n, double *a, double *b, double *g);

/** A colour after it, with so many times the contrast about that linear light; 0: mid-gray. */
wm_rgb wm_stage1_bend(wm_rgb rgb, double contrast, double about);

wm_rgb wm_stage1_apply(const wm_stage1 *stage1, wm_rgb rgb);
/** The other way: what the photo shows of a colour, as far as the curve can show it. */
wm_rgb wm_stage1_undo(const wm_stage1 *stage1, wm_rgb rgb);
/** The same of many, in place. */
void wm_stage1_apply_many(const wm_stage1 *stage1, wm_rgb *rgb, size_t count);
/** Every pixel of a window, in place. */
void wm_stage1_window(const wm_stage1 *stage1, wm_window *window);

#endif
