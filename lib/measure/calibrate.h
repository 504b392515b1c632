/* calibrate: from the aids in the picture to a correction, its uncertainty, and what may be claimed (rules C1 to C27).
 *
 * Use: wm_calibrate with the aids as read; wm_stage1_window on each zone before cleaning and the gray rules;
 * wm_calibration_review with the zones' body colours: while it says that an aid was refused, start again; then
 * wm_calibration_finish on each colour of a zone (body, base, gray), and again where wm_calibration_see_zones asks. No
 * colour temperature is ever given (C22): what the camera made of the light can't be known afterwards. */
#ifndef WM_MEASURE_CALIBRATE_H
#define WM_MEASURE_CALIBRATE_H

#include "colour/colour.h"
#include "measure/aids.h"
#include "measure/claim.h"
#include "measure/kriging.h"
#include "measure/measured.h"
#include "measure/stage1.h"

/** An aid of the last kriging pass, for the report. */
typedef struct wm_used_aid {
    char name[WM_AID_NAME_SIZE]; /**< "swatch oat", "target patch 3,4" */
    const wm_zone *zone;
    wm_lab measured, reference; /**< measured: after stage 1, and after the target's pass when both are used (C9) */
    double largest_z;           /**< C16, over the zones: of L*, or of a* and b* together; 0 before the review */
} wm_used_aid;

typedef struct wm_dropped {
    char zone[WM_AID_NAME_SIZE];
    char why[WM_WHY_DROPPED_SIZE];
} wm_dropped;

typedef struct wm_calibration {
    wm_aid_set aid;
    wm_stage1 stage1;
    wm_krige_row row;    /**< of the last pass */
    wm_used_aid *used;   /**< swatches, or target patches where there are no swatches; none for cards alone */
    wm_krige_aid *pairs; /**< the same, as kriging takes them */
    int *places;         /**< the same: number of the client zone at which a swatch is held, 0: none */
    wm_point *where;     /**< the same: where in the photo a swatch hangs, in reaches; those of one place alike */
    size_t used_count;
    wm_krige_aid *first_pass; /**< target patches, when swatches follow (C9) */
    size_t first_count;
    wm_dropped *dropped; /**< aids and target patches */
    size_t dropped_count;
    double light_sd;    /**< C27: of ln light over the head; by three swatches or more, else by the zones */
    double contrast_sd; /**< C16: of ln contrast, that the swatches leave possible; 0: none was sought */
    wm_krige_aid *bent; /**< the pairs, had the contrast been one sd more; NULL without */
    double bent_about;  /**< linear light that this leaves; 0: mid-gray, as cards hold it */
    double reach;       /**< C27: pixels over which the light changes; 0 unless two places tell of it */
    double factor;      /**< f of C12, by the aids used */
    double
        agreement; /**< largest disagreement over the zones of the review (C17); negative without an aid of kriging */
    wm_claim at_best;     /**< C24: with no aid or cards alone no shade is named, whatever u */
    wm_warnings warnings; /**< on the aids as they stand now */
} wm_calibration;

/** Decides which aids count (C1, C15, C18 to C21, C25), fits stage 1 and samples the swatches. Poor aids are no
 * failure: they are refused (said in the aid, in dropped and in warnings) and the next step down is taken. Free with
 * wm_calibration_free. WM_E_MEMORY. */
wm_status wm_calibrate(wm_calibration *out, wm_aids *aids, wm_error *err);
void wm_calibration_free(wm_calibration *calibration);

/** C16 and C17 over the zones' body colours after stage 1. True: it refused (or took back) an aid; free and calibrate
 * again. */
bool wm_calibration_review(wm_calibration *calibration, wm_aids *aids, const wm_lab *zones, size_t count);

/** C27: where fewer than three swatches tell of the light, `light_sd` follows the zones: each one's own colour after
 * wm_calibration_finish, without its gray where that is known. True: finish them again. */
bool wm_calibration_see_zones(wm_calibration *calibration, const wm_lab *own, size_t count);

/** The place (as in places) of the used swatches that are held at the named client zone, 0 when none is (C27). */
int wm_calibration_place(const wm_calibration *calibration, const char *zone_name);

/** The cast that stage 1 leaves when it sets the exposure alone (C5): gains that bring the swatches' summed light to
 * what is known of them, the luminance of white kept. The gray rules tell skin, gray and bleached hair by their hue and
 * expect corrected pixels: they get pixels times this, stage 2 gets colours without it. All 1 where stage 1 has
 * balanced the channels, or nothing can. */
wm_rgb wm_calibration_balance(const wm_calibration *calibration);

/** Cards or a target alone: they have no sheen, hair has (C10). */
bool wm_calibration_sees_sheen(const wm_calibration *calibration);

/** The place of what lies flat beside the aids, as on a sheet of swatches: light that differs over a head has no part
 * in it. */
enum { WM_PLACE_FLAT = -1 };

/** A colour after stage 1 and what is known of it. */
typedef struct wm_sampled {
    wm_lab lab;
    wm_lab sd;       /**< of the kept pixels behind it */
    double doubt_L;  /**< sd of its L* that more pixels don't take away (G6, G9) */
    size_t pixels;   /**< kept */
    wm_rgb weakness; /**< of wm_calibration_weakness; 0 where no channel is weak */
    int place;       /**< of the swatches held at it; 0: none is; or WM_PLACE_FLAT */
    wm_point where;  /**< its middle in the photo, for where no swatch is held */
} wm_sampled;

/** C12: how many independent samples so many kept pixels are. */
double wm_calibration_samples(size_t pixels);

/** C15: what one step of the file moves in each channel that is nearly black in it, after stage 1; 0 for the others. */
wm_rgb wm_calibration_weakness(const wm_calibration *calibration, wm_rgb encoded_mean);

/** Stage 2, C12, C15, C17, C27; sigma is with f, and u is made of it; claim is of u and no better than at_best.
 * out->kept is set, out->pixels left to who knows the zone. False when the numbers can't be trusted at all (C25). */
bool wm_calibration_finish(const wm_calibration *calibration, const wm_sampled *sampled, wm_measured *out);

#endif
