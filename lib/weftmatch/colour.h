/* colour: CIELAB (D50, 2 degree) and how far two colours are apart. */
#ifndef WEFTMATCH_COLOUR_H
#define WEFTMATCH_COLOUR_H

#include "weftmatch/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wm_lab {
    double L, a, b;
} wm_lab; /**< L* 0..100 */

/** CIEDE2000 with kL = kC = kH = 1 (ISO/CIE 11664-6:2014). Never fails; NaN in, NaN out. */
WM_PUBLIC double wm_de00(wm_lab first, wm_lab second);

enum { WM_WORDS_SIZE = 96 };
/** What a swatch is beside the hair, as a stylist says it: "lighter, softer, more golden"; "" when no part of the
 * difference reaches half a step. */
WM_PUBLIC void wm_words(char out[WM_WORDS_SIZE], wm_lab hair, wm_lab swatch);

#ifdef __cplusplus
}
#endif

#endif
