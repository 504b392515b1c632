/* blend_law: the law of light in this salon's hair from one photo (B12): both pure shades, held in it as known
 * swatches, and a hackled 50/50 blend of them, marked as the one client zone. */
#ifndef WM_CONSULT_BLEND_LAW_H
#define WM_CONSULT_BLEND_LAW_H

#include "match/mixing.h"
#include "match/swatch.h"
#include "measure/measured.h"
#include "measure/zones.h"
#include "photo/photo.h"

typedef struct wm_blend_law {
    const wm_swatch *dark, *light; /**< lent by the catalogue */
    wm_measured blend;
    wm_law_fit fit;
    double g_low, g_high; /**< what the photo's uncertainty leaves possible */
    const char *why_not;  /**< static; NULL: the fit may be kept. Else what is wrong; what to do */
    wm_warnings warnings; /**< free with wm_warnings_free */
} wm_blend_law;

/** WM_E_INPUT: not exactly two shades and one blend are marked. WM_E_PHOTO: the blend can't be measured. */
wm_status wm_blend_law_of(wm_blend_law *out, const wm_photo *photo, const wm_zones *zones,
                          const wm_catalogue *catalogue, wm_error *err);

#endif
