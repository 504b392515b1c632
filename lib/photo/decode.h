/* decode: pixels out of a file that `container` has passed, within limits, in a child process that may do nothing else.
 * The only user of stb_image and libheif. */
#ifndef WM_PHOTO_DECODE_H
#define WM_PHOTO_DECODE_H

#include "photo/container.h"

/** Interleaved RGB, as stored (not yet upright; HEIC is upright already), 8 or 16 bit. Alpha is dropped (see note in decode.c). Free with wm_pixels_free. */
typedef struct wm_pixels {
    int width, height;
    int bits;       /**< 8 or 16 */
    void *data;     /**< unsigned char or uint16_t (host order), width * height * 3 */
    void *map;       /**< private: the shared memory that data lies in */
    size_t map_size; /**< private */
} wm_pixels;

/** Forks a child that decodes into shared memory under seccomp, so that a hostile photo can at worst end the child.
 *  WM_E_PHOTO: broken data, child died, time ran out. Same bytes in, same pixels out. */
WM_API wm_status wm_decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err);
WM_API void wm_pixels_free(wm_pixels *pixels);

#endif
