/* upright: EXIF orientation as a way from the upright picture to the stored one: swap x and y, then turn each axis
 * round or not. */
#ifndef WM_PHOTO_UPRIGHT_H
#define WM_PHOTO_UPRIGHT_H

#include "photo/pixels.h"

/** width and height as stored; orientation 1..8. */
typedef struct wm_upright {
    int orientation, width, height;
} wm_upright;

/** Whether width and height change places. */
bool wm_upright_swapped(wm_upright how);
/** Index of the stored pixel at upright (x, y). */
size_t wm_upright_index(wm_upright how, int x, int y);
/** The stored pixels of an upright run to the right. */
wm_pixel_run wm_upright_run(wm_upright how, int x, int y, int count);
/** The stored pixels of an upright rectangle inside the picture. */
wm_box wm_upright_box(wm_upright how, wm_box box);

#endif
