/* fibre_row: how much gray the pixels hold that look at a row of fibres, each gray or not by chance, through the blur
 * of lens and pixel (G5). */
#ifndef WM_MEASURE_FIBRE_ROW_H
#define WM_MEASURE_FIBRE_ROW_H

enum { WM_FIBRE_NODES = 11 }; /**< tenths of a pixel, 0 to 10 */

/** weights[j]: part of the pixels that hold j tenths of gray; their sum is 1, their mean the share. share: 0 to 1.
 * togetherness, above 0 and below 1: variance of what the pixels hold over share (1 - share). Near 1 the fibres are
 * wide and each pixel holds one kind, towards 0 they are fine or blurred and all pixels hold the same mixture. */
void wm_fibre_row_weights(double weights[WM_FIBRE_NODES], double share, double togetherness);

#endif
