/* swatch_add: swatches of a photo measured for a catalogue. What is measured is kept apart from what is known: client
 * zones bear the code of the swatch they lie on and are measured; zones of kind `swatch` are known ones that help (when
 * the catalogue knows their code; else they are measured too), like cards and targets. Without any help
 * a whole sheet is still measured among itself (C29). Swatches are taken to lie flat beside their aids in one light:
 * C27 is about heads and has no part here. */
#ifndef WM_CONSULT_SWATCH_ADD_H
#define WM_CONSULT_SWATCH_ADD_H

#include "match/swatch.h"
#include "measure/calibrate.h"
#include "measure/zones.h"
#include "photo/photo.h"

/** What is to be measured: a sheet, one swatch, or (both empty) all zones as they are named. */
typedef struct wm_swatch_job {
    const wm_photo *photo;
    const wm_zones *
        zones; /**< a sheet's outline is the client zone "sheet" with four corners; without one it is the whole photo */
    const wm_catalogue *known; /**< for swatches that help; may be empty */
    const char *code;          /**< one swatch: its code, whatever its zone is called; NULL */
    int grid[2];               /**< a sheet: rows, columns; 0 */
    const char *const *codes;  /**< a sheet: grid[0] * grid[1] codes row by row; "-" is an empty place */
} wm_swatch_job;

/** One shade as the photo shows it. */
typedef struct wm_swatch_reading {
    char code[WM_CODE_SIZE];
    size_t zones;       /**< that were measured for it; they are averaged */
    wm_measured colour; /**< several zones of one photo share its faults, so they don't lower its u */
    double u_frame;     /**< what its sheet shares (C30); negative for absolute colours */
    bool has_share;
    double share;
} wm_swatch_reading;

typedef struct wm_swatch_readings {
    wm_swatch_reading *items; /**< in the order of the zones */
    size_t count;
    wm_aid_set aid;
    wm_claim claim;            /**< of the worst reading */
    bool by_known;             /**< three known swatches or more lay beside them: frame says whose colours these are */
    char frame[WM_FRAME_SIZE]; /**< of the known swatches, "" absolute */
    wm_krige_row row;          /**< by which the photo was corrected */
    wm_warnings warnings;      /**< on the photo, its aids and the zones that could not be measured */
} wm_swatch_readings;

/** WM_E_INPUT: zones, codes or grid are wrong, or nothing of known colour is in the picture. WM_E_PHOTO: no swatch can
 * be measured. Free with wm_swatch_readings_free. */
wm_status wm_swatches_measure(wm_swatch_readings *out, const wm_swatch_job *job, wm_error *err);
void wm_swatch_readings_free(wm_swatch_readings *readings);

#endif
