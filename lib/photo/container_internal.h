/* container_internal: what the walkers of the three kinds share. A cursor can't be read past its end: it gives zeros
 * and remembers. */
#ifndef WM_PHOTO_CONTAINER_INTERNAL_H
#define WM_PHOTO_CONTAINER_INTERNAL_H

#include "photo/container.h"

#include <stdint.h>

/** More than this of ICC profile is no profile. */
#define WM_ICC_LIMIT ((size_t)16 << 20)

typedef struct wm_cursor {
    const unsigned char *at;
    size_t left;
    bool over; /**< something was asked for that is not there */
} wm_cursor;

/** The next `bytes` (1..8) as a big-endian number. */
static inline uint64_t wm_take(wm_cursor *in, size_t bytes)
{
    uint64_t value = 0;
    if (in->left < bytes) {
        in->over = true;
        in->left = 0;
        return 0;
    }
    for (size_t i = 0; i < bytes; i++)
        value = value << 8 | in->at[i];
    in->at += bytes;
    in->left -= bytes;
    return value;
}

static inline unsigned wm_take8(wm_cursor *in)
{
    return (unsigned)wm_take(in, 1);
}
static inline unsigned wm_take16(wm_cursor *in)
{
    return (unsigned)wm_take(in, 2);
}
static inline uint32_t wm_take32(wm_cursor *in)
{
    return (uint32_t)wm_take(in, 4);
}

/** The next `size` bytes as a cursor of their own. */
static inline wm_cursor wm_take_part(wm_cursor *in, uint64_t size)
{
    wm_cursor part = { in->at, 0, false };
    if (size > in->left) {
        in->over = part.over = true;
        in->left = 0;
        return part;
    }
    part.left = (size_t)size;
    in->at += size;
    in->left -= (size_t)size;
    return part;
}

/** What a walker fills: the facts, and where the EXIF block (from its TIFF header on) was found. */
typedef struct wm_walk {
    wm_container *out;
    wm_cursor exif; /**< left == 0: none */
    wm_error *err;
} wm_walk;

wm_status wm_walk_jpeg(wm_walk *walk, wm_cursor in);
wm_status wm_walk_png(wm_walk *walk, wm_cursor in);
wm_status wm_walk_heic(wm_walk *walk, wm_cursor in);

/** "damaged JPEG: WHAT; send or copy the photo again". */
wm_status wm_fail_damaged(wm_error *err, wm_container_kind kind, const char *what);
/** The file stops before its picture does. */
wm_status wm_fail_truncated(wm_error *err, wm_container_kind kind);
/** A sound file of a kind that can't be measured: "WHAT; DO". */
wm_status wm_fail_refused(wm_error *err, const char *what_and_do);

/** The file is larger than limits->max_file_mib. */
wm_status wm_fail_file_limit(wm_error *err, const wm_photo_limits *limits);

/** Copies a profile into out->icc. */
wm_status wm_walk_keep_icc(wm_walk *walk, const unsigned char *data, size_t size);

#endif
