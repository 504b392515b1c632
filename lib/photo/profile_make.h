/* profile_make: which profile a photo has, sampled through LittleCMS. Its only user; for code that is locked in
 * (helper) or trusts the file. Own context, errors kept. */
#ifndef WM_PHOTO_PROFILE_MAKE_H
#define WM_PHOTO_PROFILE_MAKE_H

#include "photo/container.h"
#include "photo/profile.h"

/** From the container's colour facts, in this order: cICP (HEIC: nclx, where there is no ICC), ICC, sRGB chunk, gAMA
 * with cHRM, gAMA alone unless it stands for sRGB, the camera's word in EXIF, else sRGB assumed. gAMA is taken at its
 * word: a power law. An unknown or HDR cICP, a broken, HDR or non-RGB (gray photo: gray allowed) ICC profile is
 * WM_E_PHOTO. `out` must be zeroed. A grid is made finer until it is within 0.01 of LittleCMS's L*, a* and b* at 512
 * colours between its nodes, or the finest. */
wm_status wm_profile_make(wm_profile *out, const wm_container *container, wm_error *err);

/** "2.14": the version that makes the numbers. */
const char *wm_profile_engine(void);

#endif
