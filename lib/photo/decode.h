/* decode: pixels out of a file that `container` has passed, into memory that the caller gives. For code that is locked
 * in (helper) or trusts the file: the decoders are not hardened. The only user of stb_image; HEIC is decode_heic's.
 *
 * Alpha is dropped: photos are opaque, and a screenshot's alpha says nothing about colour. */
#ifndef WM_PHOTO_DECODE_H
#define WM_PHOTO_DECODE_H

#include "photo/container.h"
#include "photo/parts.h"

/** Zeroed memory for the pixels: wm_pixels_room bytes, at a multiple of 16. */
typedef struct wm_room {
    unsigned char *at;
    size_t size;
} wm_room;

/** Pixels of the container's size (HEIC: at most); out->data is room.at. Of a JPEG no more than `wanted` and what noise
 * is read in (noise.h) are sure to be there; count 0: all is. WM_E_PHOTO: broken data, or no memory for it. Same bytes
 * in, same pixels out. */
wm_status wm_decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, const wm_parts *wanted,
                    wm_room room, wm_error *err);

#endif
