/* swatch_add: swatches of a photo measured for a catalogue. What is measured is kept apart from what is known: client
 * zones bear the code of the swatch they lie on and are measured; zones of kind `swatch` are known ones that help (when
 * the catalogue knows their code; else they are measured too), like cards and targets. Without any help there is no
 * colour worth keeping, and the photo is refused. Swatches are taken to lie flat beside their aids in one light: C27 is
 * about heads and has no part here. */
#ifndef WM_CONSULT_SWATCH_ADD_H
#define WM_CONSULT_SWATCH_ADD_H

#include "match/swatch_out.h"
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
    bool has_share;
    double share;
} wm_swatch_reading;

typedef struct wm_swatch_readings {
    wm_swatch_reading *items; /**< in the order of the zones */
    size_t count;
    wm_aid_set aid;
    wm_claim claim; /**< of the worst reading */
    wm_notes notes; /**< on the photo, its aids and the zones that could not be measured */
} wm_swatch_readings;

/** WM_E_INPUT: zones, codes or grid are wrong, or nothing of known colour is in the picture. WM_E_PHOTO: no swatch can
 * be measured. Free with wm_swatch_readings_free. */
WM_API wm_status wm_swatches_measure(wm_swatch_readings *out, const wm_swatch_job *job, wm_error *err);
WM_API void wm_swatch_readings_free(wm_swatch_readings *readings);

typedef enum wm_swatch_outcome {
    WM_SWATCH_NEW,
    WM_SWATCH_AVERAGED,
    WM_SWATCH_REPLACED,
    WM_SWATCH_DRIFTED, /**< averaged, but the two differ by more than 2 u: the new u reaches from the mean to both */
    WM_SWATCH_SEEN     /**< this photo is in the row already: left as it is */
} wm_swatch_outcome;

typedef struct wm_swatch_put {
    wm_swatch_outcome outcome;
    wm_lab lab; /**< as the catalogue has it now */
    double u;
    double change_de00, change_u; /**< against what the catalogue had; 0 for a new one */
} wm_swatch_put;

/** Where and when a reading comes from. */
typedef struct wm_swatch_origin {
    const char *photo;  /**< base name */
    const char *sha256; /**< its first eight digits tell in the row which photos are in it */
    wm_aid_set aid;
    const char *date;
    bool replace; /**< take the new measurement alone */
} wm_swatch_origin;

/** Puts a reading into the catalogue: a new row, or the mean of old and new weighted by 1 / u^2. */
WM_API wm_status wm_swatch_put_reading(wm_swatch_put *out, wm_catalogue *catalogue, const wm_swatch_reading *reading,
                                       const wm_swatch_origin *origin, wm_error *err);

#endif
