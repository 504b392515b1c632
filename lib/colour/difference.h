/* difference: CIEDE2000 (ISO/CIE 11664-6:2014), kL = kC = kH = 1 (rule M1). */
#ifndef WM_COLOUR_DIFFERENCE_H
#define WM_COLOUR_DIFFERENCE_H

#include "colour/colour.h"

/** dE00 and its signed, unweighted parts dL', dC', dH' (second minus first). Known discontinuity: hues exactly 180
 * degrees apart. */
typedef struct wm_difference {
    double de00;
    double d_lightness, d_chroma, d_hue;
} wm_difference;

wm_difference wm_difference_between(wm_lab first, wm_lab second);

/** Many at once: out[i] = dE00(reference, many[i]), within 1e-9 of wm_de00, and the same bytes on every machine. Some
 * twelve times as fast where the processor has AVX-512, nine times with AVX2, half that elsewhere. */
void wm_de00_batch(double *out, wm_lab reference, const wm_lab *many, size_t count);

/** For its test: without AVX2, whatever the processor has. */
void wm_difference__batch_baseline(double *out, wm_lab reference, const wm_lab *many, size_t count);

#endif
