/* profile: device values to linear light (wm_rgb, D50) through LittleCMS; the only user of LittleCMS. Own context,
 * errors kept. */
#ifndef WM_PHOTO_PROFILE_H
#define WM_PHOTO_PROFILE_H

#include "colour/colour.h"
#include "photo/container.h"

#include <stdint.h>

typedef struct wm_profile wm_profile;

/** From the container's colour facts, in this order: cICP (HEIC: nclx, where there is no ICC), ICC, sRGB chunk, gAMA
 * with cHRM, else sRGB assumed. gAMA with cHRM is taken at its word: a power law, even where it only stands in for
 * sRGB. An unknown or HDR cICP, a broken or non-RGB (gray photo: gray allowed) ICC profile is WM_E_PHOTO. Free with
 * wm_profile_free. */
WM_API wm_status wm_profile_open(wm_profile **out, const wm_container *container, wm_error *err);
WM_API void wm_profile_free(wm_profile *profile);

/** Description for the report ("sRGB (assumed)", "Display P3", the ICC description). Lent. */
WM_API const char *wm_profile_name(const wm_profile *profile);
WM_API bool wm_profile_assumed(const wm_profile *profile);

/** Encoded values 0..1 (3 doubles a pixel) to linear light, `count` pixels. Thread-safe. Relative colorimetric intent.
 * Profiles of matrix and curves go through fine tables: exact for 8-bit codes, and within 0.03 of a* in the dark
 * between them, some twenty times faster than the rest. */
WM_API void wm_profile_to_linear(const wm_profile *profile, wm_rgb *out, const double *encoded, size_t count);

/** The same for pictures, never for measuring: 16-bit codes, fast with table-based profiles too; those inside the sRGB
 * gamut and right within 1/255 only. */
WM_API void wm_profile_sketch(const wm_profile *profile, wm_rgb *out, const uint16_t *codes, size_t count);

/** "2.14": the version that made the numbers. */
WM_API const char *wm_profile_engine(void);

#endif
