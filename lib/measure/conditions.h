/* conditions: what camera and light did to the swatches, by their likelihood under C7's kernel: the camera's contrast
 * (C16) and how much the light differs from place to place (C27). Both would otherwise be taken for wrong labels. */
#ifndef WM_MEASURE_CONDITIONS_H
#define WM_MEASURE_CONDITIONS_H

#include "measure/kriging.h"
#include "measure/stage1.h"

enum { WM_CONDITIONS_LEAST = 3 /**< C16, C27: fewer swatches can't tell contrast, light and label apart */ };

/** A swatch as the photo has it: linear colour before stage 1. */
typedef struct wm_seen_swatch {
    wm_rgb body;
    wm_lab reference;
    double weakness; /**< as wm_krige_aid has it */
} wm_seen_swatch;

/** Stage 1 (exposure or gain) with the contrast that the swatches tell of, meant over all that they leave possible in
 * any light; an exposure is fitted again (C5). Unchanged with fewer than WM_CONDITIONS_LEAST swatches. contrast_sd: of
 * ln contrast, what they leave possible; 0 with fewer. */
wm_stage1 wm_conditions_stage1(const wm_stage1 *stage1, wm_krige_row row, const wm_seen_swatch *swatches, size_t count,
                               double *contrast_sd);

/** sd of ln light over the head: rms over all that the aids of `set` leave possible. Its light says where they hang;
 * its sd is not looked at. With fewer than WM_CONDITIONS_LEAST aids what is usual. */
double wm_conditions_light(const wm_krige_set *set);

/** The same where no swatches tell it: by how much the zones' own colours differ, of which light is part. With fewer
 * than two what is usual. */
double wm_conditions_light_of_zones(const wm_lab *own, size_t count);

#endif
