/* noise: how much a photo's values scatter where it is smooth: the sensor's noise that is left, or what was added. */
#ifndef WM_PHOTO_NOISE_H
#define WM_PHOTO_NOISE_H

#include "photo/pixels.h"

/** It is read in so many squares, in rows and columns over the whole picture. */
enum { WM_NOISE_SQUARES = 24 * 24 };

/** Square i of the stored pixels, no larger than the picture. */
wm_box wm_noise_square(int i, int width, int height);

/** Standard deviation of the file's green, 0..1, in the smoothest tenth of the squares that are neither black nor blown
 * out; 0 where there is none. Our own. */
double wm_noise_of(const wm_pixels *pixels);

#endif
