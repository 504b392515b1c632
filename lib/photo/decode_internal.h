/* decode_internal: what the decoders share. */
#ifndef WM_PHOTO_DECODE_INTERNAL_H
#define WM_PHOTO_DECODE_INTERNAL_H

#include "photo/decode.h"

/** libheif applies the file's own turns, mirrors and crop; the pixels come out upright. `trouble` says why not. */
bool wm_decode_heic(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_room room,
                    const char **trouble);

/** What libheif wants to open, before it is locked in. */
void wm_decode_heic_prepare(void);

/** Pages that will be written are asked for at once, large ones where the system gives them: one by one they cost more
 * than decoding into them. */
void wm_decode_populate(void *at, size_t size);

#endif
