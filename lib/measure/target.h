/* target: a colour target in the photo: its reference table, its patches, and whether it was marked the right way
 * round. */
#ifndef WM_MEASURE_TARGET_H
#define WM_MEASURE_TARGET_H

#include "colour/colour.h"
#include "measure/sample.h"
#include "measure/stage1.h"
#include "measure/zone.h"
#include "photo/photo.h"

/** One patch, over the middle half of its cell. why is "" while it may be used, else e.g. "uneven (0.14)". */
typedef struct wm_patch {
    wm_lab reference;
    wm_rgb mean;    /**< linear */
    double e_green; /**< the file's own value, C18 */
    char why[60];
} wm_patch;

typedef struct wm_target {
    int rows, columns;
    wm_patch *patches; /**< row by row */
    bool turned;       /**< marked the wrong way round: hint says how to mark it */
    char hint[160];
} wm_target;

/** The rows * columns colours of a CGATS.17 file with LAB_L LAB_A LAB_B. free() the array. WM_E_INPUT names the file.
 */
wm_status wm_target_references(wm_lab **out, const char *path, int rows, int columns, wm_warnings *warnings,
                               wm_error *err);

/** Samples the patches; marks those that are clipped (C15) or uneven (relative sd of Y above 0.10). When the colours
 * don't fit, tries the seven other ways in which the four corners may have been listed. Free with wm_target_free. */
wm_status wm_target_read(wm_target *out, const wm_photo *photo, const wm_zone *zone, const wm_lab *references,
                         wm_error *err);
void wm_target_free(wm_target *target);

/** The usable neutral patches (C3), at most WM_STAGE1_MAX_NEUTRALS; returns how many. e_green may be NULL. */
size_t wm_target_neutrals(const wm_target *target, wm_neutral *out, double *e_green);

#endif
