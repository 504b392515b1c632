/* photo: the upright picture, its facts, colour of any pixel on demand (only zones are ever converted). */
#ifndef WM_PHOTO_PHOTO_H
#define WM_PHOTO_PHOTO_H

#include "colour/colour.h"
#include "photo/container.h"
#include "photo/parts.h"
#include "weftmatch/photo.h"

/** What a report says of a photo. Strings are lent by the photo. */
typedef struct wm_photo_facts {
    const char *file;   /**< base name */
    const char *sha256; /**< 64 hex digits, of the file's bytes */
    int width, height;  /**< upright */
    int orientation;    /**< as found, 1..8 */
    const char *profile;
    bool profile_assumed;
    const char *camera; /**< "" unknown */
    const char *taken;  /**< "" unknown */
    wm_flash flash;
    wm_white_balance white_balance;
    int jpeg_quality; /**< 0 unknown */
    bool resized;     /**< EXIF says that the camera took another size */
    double noise;     /**< wm_noise_of */
} wm_photo_facts;

/* wm_photo_open: what touches the photo's bytes runs in a program of its own (helper.h) that can do nothing else. */
/** wm_photo_open from bytes in memory; `name` stands for the path in messages and facts. */
wm_status wm_photo_open_bytes(wm_photo **out, const wm_bytes *bytes, const char *name, const wm_photo_limits *limits,
                              wm_error *err);

/** The same in this process, for photos that the caller trusts: a fault of a decoder is then a fault of the caller,
 * there is no clock, and memory is whatever the process may take. For programs that may start no other, or lock
 * themselves in. limits->helper does not matter. */
wm_status wm_photo_open_in_process(wm_photo **out, const wm_bytes *bytes, const char *name,
                                   const wm_photo_limits *limits, wm_error *err);

/** As wm_photo_open, when it is known where somebody will look: of a JPEG nothing else need be worked out, and of a
 * photo opened so wm_photo_reduce makes no picture. No boxes: all of it. */
wm_status wm_photo_open_parts(wm_photo **out, const char *path, wm_boxes wanted, const wm_photo_limits *limits,
                              wm_error *err);
/** Whether a rectangle of the upright photo can be read. */
bool wm_photo_has(const wm_photo *photo, wm_box box);

/** How this build reads photos, for --version: "read by a program of its own, locked in by seccomp", or that it is not
 * locked in. */
const char *wm_photo_wall(void);

wm_photo_facts wm_photo_facts_of(const wm_photo *photo);

/** A run of `count` upright pixels from (x, y) to the right, all inside the photo and where wm_photo_has. linear:
 * wm_rgb; encoded: the file's own channel values 0..1, r g b interleaved. Either may be NULL. */
void wm_photo_read(const wm_photo *photo, int x, int y, int count, wm_rgb *linear, double *encoded);
/** Linear light of channel values of this photo, r g b interleaved. */
void wm_photo_to_linear(const wm_photo *photo, wm_rgb *linear, const double *encoded, int count);

/** The picture upright in 8-bit sRGB, longest side at most max_side (area averaged in linear light), for reports.
 *  data is width * height * 3 bytes; free with wm_picture_free. */
typedef struct wm_picture {
    int width, height;
    unsigned char *data;
} wm_picture;
wm_status wm_photo_reduce(wm_picture *out, const wm_photo *photo, int max_side, wm_error *err);
void wm_picture_free(wm_picture *picture);

#endif
