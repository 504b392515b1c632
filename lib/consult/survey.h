/* survey: from a photo, its zones and the swatches known to measured zones. The order of the work: aids are read and
 * calibrated (C5's swatch bodies before stage 1), each zone is read, corrected, judged (H1 to H6), cleaned (G1, G3) and
 * measured (G4 to G9), the aids are judged by the zones (C16, C17) and the work is done again without those that were
 * refused; then each colour passes stage 2. */
#ifndef WM_CONSULT_SURVEY_H
#define WM_CONSULT_SURVEY_H

#include "consult/kept_zones.h"
#include "match/shades.h"
#include "measure/calibrate.h"
#include "measure/zones.h"
#include "photo/photo.h"

/** One zone, measured. Its colours are known when `refused` is false. */
typedef struct wm_surveyed_zone {
    const wm_zone *zone; /**< lent */
    wm_reading *reading; /**< held */
    bool refused;        /**< no colour: why says it */
    char why[160];
    wm_window
        window; /**< after stage 1, wm_calibration_balance and cleaning; wm_gray_classify tells what counts as what */
    wm_hair_check hair; /**< of the window; a zone said to be hair is hair, all of it */
    wm_cleaning cleaning;
    wm_pigment_line line; /**< G12 */
    wm_gray gray;         /**< of the window: share and status stand, colours are the gray rules' own */
    wm_rgb sheen_left;    /**< of the window's colours, taken off before stage 2 (C10); 0 where swatches cancel it */
    wm_rgb weakness;      /**< wm_calibration_weakness of its pixels */
    size_t pixels, kept;  /**< of the zone; behind the body colour */
    bool is_reference;    /**< the gray-free zone of G4 */
    bool holds_gray;      /**< G4: marked gray-free, but it is not */
    int place;            /**< of the swatches held at it (wm_calibration_place), 0: none is; a swatch lies flat */
    wm_measured body;     /**< after stage 2, like the next two */
    bool base_known, gray_known;
    wm_measured base, gray_fibres;
} wm_surveyed_zone;

typedef struct wm_survey {
    wm_calibration calibration;
    wm_surveyed_zone *zones; /**< the subjects, in their order */
    size_t zone_count;
    bool has_frame; /**< swatches of it were used (C32) */
    char frame[WM_FRAME_SIZE];
    double u_frame;       /**< largest of theirs, 0 of absolute ones */
    wm_warnings warnings; /**< photo, aids, zones, in this order */
    bool has_reference;
    wm_rgb reference; /**< base colour of the gray-free zone (G4) */
} wm_survey;

/** What to measure and by what. Everything is lent and must outlive the survey. */
typedef struct wm_survey_input {
    const wm_photo *photo;
    const wm_zone *const *subjects; /**< client zones; swatches for `swatch add` */
    size_t subject_count;
    const wm_zone *const *aids; /**< cards, targets, swatches of the catalogue */
    size_t aid_count;
    const wm_catalogue *catalogue; /**< NULL when no aid is a swatch */
    wm_kept_zones *kept;           /**< of the photo, for the next survey on it; NULL: nothing is kept */
} wm_survey_input;

/** WM_E_INPUT: a code or a target's reference is unknown or bad. WM_E_PHOTO: not one subject could be measured. Free
 * with wm_survey_free. */
wm_status wm_survey_run(wm_survey *out, const wm_survey_input *input, wm_error *err);

/** The usual case: the client zones of `zones` are the subjects, everything else is an aid. */
typedef struct wm_survey_marked {
    const wm_photo *photo;
    const wm_zones *zones;
    const wm_catalogue *catalogue; /**< NULL when no aid is a swatch */
    wm_kept_zones *kept;           /**< of the photo, or NULL */
} wm_survey_marked;
wm_status wm_survey_zones(wm_survey *out, const wm_survey_marked *marked, wm_error *err);
void wm_survey_free(wm_survey *survey);

/** How one zone is looked at. */
typedef struct wm_survey_look {
    const wm_calibration *calibration;
    const wm_rgb *reference;   /**< base colour of G4 of a window, NULL: blind */
    const wm_rgb *gray_swatch; /**< linear colour of the chosen gray swatch (G10), NULL: prior */
} wm_survey_look;

/** Measures any zone of a photo by a calibration that stands already. A zone without a usable pixel is refused, not an
 * error. */
wm_status wm_survey_measure(wm_surveyed_zone *out, const wm_photo *photo, const wm_zone *zone,
                            const wm_survey_look *look, wm_error *err);
/** A window around a measured zone, read, corrected and cut once: for many looks at a zone that moves. */
typedef struct wm_survey_around {
    wm_window window;
    const wm_reading *marked; /**< the zone's, lent by it */
} wm_survey_around;
/** enclosing: around the zone. Free with wm_survey_around_free. */
wm_status wm_survey_read_around(wm_survey_around *out, const wm_photo *photo, const wm_surveyed_zone *zone,
                                const wm_zone *enclosing, const wm_calibration *calibration, wm_error *err);
void wm_survey_around_free(wm_survey_around *around);
/** The zone within it, of many pixels by some. */
wm_status wm_survey_measure_within(wm_surveyed_zone *out, const wm_survey_around *around, const wm_zone *zone,
                                   const wm_survey_look *look, wm_error *err);
/** Runs G5 to G9 again on a measured zone, with another reference or gray swatch (G10), and stage 2 on what comes out.
 */
wm_status wm_survey_measure_again(wm_surveyed_zone *zone, const wm_survey_look *look, wm_error *err);
void wm_surveyed_zone_free(wm_surveyed_zone *zone);

#endif
