/* pixels: where the decoded samples lie, and the colour of any of them. A JPEG or HEIC stays as it is coded, one plane
 * a channel and chroma in fewer samples than luma; chroma is enlarged where somebody looks. */
#ifndef WM_PHOTO_PIXELS_H
#define WM_PHOTO_PIXELS_H

#include "core/status.h"

#include <stdint.h>

/** A rectangle of pixels. */
typedef struct wm_box {
    int x, y, width, height;
} wm_box;

/** How YCbCr becomes RGB (ITU-T H.273, 8.3): luma weights of red and blue, and the range of the codes. */
typedef struct wm_ycbcr {
    double kr, kb; /**< 0.299 and 0.114 in a JPEG */
    bool narrow;   /**< 16..235 and 16..240 instead of 0..255 */
} wm_ycbcr;

/** One channel of 8 bit. */
typedef struct wm_plane {
    size_t at, stride; /**< bytes from the first pixel byte, and from row to row */
    int width, height; /**< samples */
    int across, down;  /**< picture pixels that one sample stands for, 1 to 4 */
} wm_plane;

/** As stored (not yet upright; HEIC is upright already). Plain data: it crosses from one process to another. */
typedef struct wm_pixels {
    int width, height;
    int bits;   /**< 8 or 16 */
    int planes; /**< 0: R G B interleaved, 16 bit in host order; else 1 (gray) or 3 planes of 8 bit */
    wm_plane plane[3];
    bool is_ycbcr; /**< with 3 planes, because 8-bit RGB made of them is rounded once more (0.4 dE00 in browns) */
    wm_ycbcr ycbcr;
    const unsigned char *data; /**< in this process; lent */
} wm_pixels;

/** Bytes that hold any way of storing a picture of this size. */
size_t wm_pixels_room(int width, int height, int bits);

/** Whether every sample lies within `room` bytes, and nothing else is impossible. */
bool wm_pixels_sound(const wm_pixels *pixels, size_t room);

/** A way through the stored picture: first pixel, and the step to the next one (1, -1 or 0 on each axis). */
typedef struct wm_pixel_run {
    int x, y, step_x, step_y, count;
} wm_pixel_run;

/** Channel values 0..1 of a run, r g b interleaved; YCbCr clipped, not rounded. */
void wm_pixels_encoded(const wm_pixels *pixels, wm_pixel_run run, double *rgb);

/** A stored row as 16-bit RGB, for pictures. */
void wm_pixels_row16(const wm_pixels *pixels, int row, uint16_t *rgb);

#endif
