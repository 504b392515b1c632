/* decode: pixels out of a file that `container` has passed, within limits, in a child process that may do nothing else.
 * The only user of stb_image and libheif. */
#ifndef WM_PHOTO_DECODE_H
#define WM_PHOTO_DECODE_H

#include "photo/container.h"

/** How YCbCr becomes RGB (ITU-T H.273, 8.3): luma weights of red and blue, and the range of the codes. */
typedef struct wm_ycbcr {
    double kr, kb; /**< 0.299 and 0.114 in a JPEG */
    bool narrow;   /**< 16..235 and 16..240 instead of 0..255 */
} wm_ycbcr;

/** Three interleaved channels, as stored (not yet upright; HEIC is upright already), 8 or 16 bit: RGB, or YCbCr as it
 * is in most JPEG and HEIC files, because 8-bit RGB made of it is rounded once more (up to 0.4 dE00 in browns). Alpha
 * is dropped (see decode.c). Free with wm_pixels_free. */
typedef struct wm_pixels {
    int width, height;
    int bits; /**< 8 or 16 */
    bool is_ycbcr;
    wm_ycbcr ycbcr;  /**< with is_ycbcr; 8 bit */
    void *data;      /**< unsigned char or uint16_t (host order), width * height * 3 */
    void *map;       /**< private: the shared memory that data lies in */
    size_t map_size; /**< private */
} wm_pixels;

/** Channel values 0..1 of a YCbCr code, clipped; not rounded. */
WM_API void wm_ycbcr_to_rgb(double rgb[3], const wm_ycbcr *how, const unsigned char code[3]);

/** Forks a child that decodes into shared memory under seccomp, so that a hostile photo can at worst end the child.
 *  WM_E_PHOTO: broken data, child died, time ran out. Same bytes in, same pixels out. */
WM_API wm_status wm_decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err);
WM_API void wm_pixels_free(wm_pixels *pixels);

#endif
