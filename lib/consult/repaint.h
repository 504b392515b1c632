/* repaint: a zone of a photo as it would look in other shades, in the light of that photo: the texture stays, each
 * population takes its own shade, what the calibration did is undone. A drawing, not a photo. */
#ifndef WM_CONSULT_REPAINT_H
#define WM_CONSULT_REPAINT_H

#include "measure/stage1.h"
#include "photo/photo.h"

/** What is repainted. Lent. */
typedef struct wm_repaint_input {
    const wm_photo *photo; /**< or a reduced picture of it: then the zone in that picture's pixels */
    const wm_zone *zone;
    const wm_stage1 *stage1;
    wm_lab body; /**< as measured, like the next */
    bool has_populations;
    wm_lab base, gray;
    double share; /**< of gray, with has_populations */
} wm_repaint_input;

/** What her base and her gray turn into; a plain shade is both. */
typedef struct wm_repaint_shades {
    wm_lab base, gray;
} wm_repaint_shades;

/** The zone's surroundings, a third of its size on each side, with the zone repainted; shades NULL: as it is. 8-bit
 * sRGB; free with wm_picture_free. WM_E_PHOTO when the zone has no pixel that counts. */
wm_status wm_repaint(wm_picture *out, const wm_repaint_input *input, const wm_repaint_shades *shades, wm_error *err);

#endif
