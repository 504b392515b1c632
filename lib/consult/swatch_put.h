/* swatch_put: what the photo of a sheet becomes in the catalogue: rows of a frame of their own, a relaid photo of the
 * frame that is there, or new rows joined to it (C28, C31, C33, C35). */
#ifndef WM_CONSULT_SWATCH_PUT_H
#define WM_CONSULT_SWATCH_PUT_H

#include "consult/swatch_add.h"
#include "match/swatch_out.h"

typedef enum wm_swatch_outcome {
    WM_SWATCH_NEW,
    WM_SWATCH_AVERAGED,
    WM_SWATCH_REPLACED,
    WM_SWATCH_DRIFTED,    /**< differs by more than its uncertainty: another lot, label or light; left as it is */
    WM_SWATCH_SEEN,       /**< this photo is in the row already: left as it is */
    WM_SWATCH_KEPT,       /**< it helped to join the others; left as it is */
    WM_SWATCH_BADLY_LAID, /**< lies otherwise than in the other photos, or is another one: left as it is (C31) */
    WM_SWATCH_TOO_UNSURE, /**< stays out (C33) */
    WM_SWATCH_OTHER_SHEET /**< its row was measured on another sheet, which this one can't be joined to: left as it is
                           */
} wm_swatch_outcome;

/** The word of an outcome: "new", "averaged", .. */
const char *wm_swatch_outcome_name(wm_swatch_outcome outcome);

typedef struct wm_swatch_put {
    wm_swatch_outcome outcome;
    wm_lab lab; /**< as the catalogue has it now, or as it was measured where it stays out */
    double u;
    double change_de00, change_u; /**< against what the catalogue had; 0 for a new one */
} wm_swatch_put;

/** Where and when readings come from. */
typedef struct wm_swatch_origin {
    const char *photo;  /**< base name */
    const char *sha256; /**< its first eight digits name the frame, and tell in a row which photos are in it */
    wm_aid_set aid;
    const char *date;
    bool replace; /**< take the new measurement alone */
} wm_swatch_origin;

/** What the photo was to the catalogue. */
typedef enum wm_sheet_part {
    WM_SHEET_BY_KNOWN,      /**< known swatches lay beside the new ones */
    WM_SHEET_OPENS_FRAME,   /**< first photo of a sheet */
    WM_SHEET_RELAID,        /**< the same swatches laid anew: averaged */
    WM_SHEET_NOT_LAID_ANEW, /**< they lie as they lay: nothing is taken from it */
    WM_SHEET_JOINED         /**< new swatches, joined by those that are on both */
} wm_sheet_part;

/** "by_known", "opens_frame", "relaid", "not_laid_anew", "joined" */
const char *wm_sheet_part_name(wm_sheet_part part);

typedef struct wm_sheet {
    wm_sheet_part part;
    char frame[WM_FRAME_SIZE]; /**< "" for absolute colours */
    double u1;                 /**< of one laying, where it was relaid */
    int photos;                /**< in the frame's rows now */
    bool another;              /**< the catalogue holds rows of other sheets or absolute ones: not comparable */
} wm_sheet;

/** out: one for each reading. WM_E_INPUT: the sheets contradict each other (C17). */
wm_status wm_swatches_put(wm_swatch_put *out, wm_sheet *sheet, wm_catalogue *catalogue,
                          const wm_swatch_readings *readings, const wm_swatch_origin *origin, wm_error *err);

#endif
