/* fibre_row: how much gray the pixels hold that look at a row of fibres, each gray or not by chance, through the blur
 * of lens and pixel (G5). */
#ifndef WM_MEASURE_FIBRE_ROW_H
#define WM_MEASURE_FIBRE_ROW_H

#include <stdbool.h>

enum { WM_FIBRE_NODES = 11 }; /**< tenths of a pixel, 0 to 10 */
enum { WM_FIBRE_PHASES = 4 }; /**< places of a pixel's middle on half a fibre; the other half is alike */
enum { WM_FIBRE_MOST = 73 };  /**< fibres in the reach of the widest blur */

/** The row behind the last weights: the next ones, most often of the same blur, are made from it. Starts as { 0 }. */
typedef struct wm_fibre_row {
    bool known;
    double above, below;                                 /**< togetherness of this blur: below <= t < above */
    int fibres[WM_FIBRE_PHASES];                         /**< that a pixel holds anything of */
    unsigned char parts[WM_FIBRE_PHASES][WM_FIBRE_MOST]; /**< of a pixel, in 120ths */
} wm_fibre_row;

/** weights[j]: part of the pixels that hold j tenths of gray; their sum is 1, their mean the share. share: 0 to 1.
 * togetherness, above 0 and below 1: variance of what the pixels hold over share (1 - share). Near 1 the fibres are
 * wide and each pixel holds one kind, towards 0 they are fine or blurred and all pixels hold the same mixture. What row
 * held before makes no difference. */
void wm_fibre_row_weights(double weights[WM_FIBRE_NODES], wm_fibre_row *row, double share, double togetherness);

#endif
