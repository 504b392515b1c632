/* decode_internal: decoding without the child process, for the fuzzer, which must see the decoder's faults itself. */
#ifndef WM_PHOTO_DECODE_INTERNAL_H
#define WM_PHOTO_DECODE_INTERNAL_H

#include "photo/decode.h"

wm_status wm_decode_unguarded(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err);

#endif
