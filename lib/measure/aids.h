/* aids: what of known colour lies in the picture, and which of it may count (C15, C18 to C20, C25). */
#ifndef WM_MEASURE_AIDS_H
#define WM_MEASURE_AIDS_H

#include "colour/colour.h"
#include "measure/warnings.h"
#include "measure/sample.h"
#include "measure/stage1.h"
#include "measure/target.h"
#include "measure/zone.h"

enum { WM_AID_NAME_SIZE = 80, WM_WHY_DROPPED_SIZE = 200 };

/** What a photo was calibrated by. */
typedef enum wm_aid_set {
    WM_AIDS_NONE,
    WM_AIDS_CARD,
    WM_AIDS_CARDS,
    WM_AIDS_TARGET,
    WM_AIDS_SWATCHES, /**< alone; the next three are the first three with swatches */
    WM_AIDS_CARD_SWATCHES,
    WM_AIDS_CARDS_SWATCHES,
    WM_AIDS_TARGET_SWATCHES
} wm_aid_set;
extern const char *const WM_AID_SET_WORDS[];
const char *wm_aid_set_name(wm_aid_set aids); /**< "none", "card", ..., "target+swatches" */

/** The pixels of a swatch, before stage 1: whatever that will be, they stay the same. */
typedef struct wm_aid_body {
    wm_kept_pixels kept;
    wm_rgb base; /**< of its fibres (G5) */
    double gap;  /**< part of the base's luminance below which a pixel is a gap (G6) */
} wm_aid_body;

/** One aid of the picture, as read from the photo (before stage 1). Everything is lent. */
typedef struct wm_aid {
    const wm_zone *zone;         /**< kind swatch, card or target */
    wm_lab reference;            /**< the card's or swatch's known colour */
    const char *frame;           /**< swatch: that it was measured in (C28), "" absolute; NULL for the others */
    double u_frame;              /**< swatch: of that frame */
    double weakness;             /**< swatch: as wm_krige_aid has it */
    const wm_window *window;     /**< card, swatch */
    const wm_aid_body *body;     /**< swatch */
    const wm_target *target;     /**< target */
    char name[WM_AID_NAME_SIZE]; /**< set by wm_calibrate, like all that follow: "swatch oat", "card 2", "target" */
    bool refused;                /**< it then stays out */
    wm_warning_kind reason;      /**< of the refusal */
    char why[WM_WHY_DROPPED_SIZE];
} wm_aid;
typedef struct wm_aids {
    wm_aid *items;
    size_t count;
} wm_aids;

/** Samples a swatch (G1, G3), before stage 1; count is 0 when no pixel is usable. It is hair by definition: a test of
 * skin would only cost copper shades their light strands. Cleans the window. Free with wm_aid_body_free. */
wm_status wm_aid_sample(wm_aid_body *out, wm_window *window, wm_error *err);
void wm_aid_body_free(wm_aid_body *body);
/** Its body colour (G6) after stage 1; it has pixels. */
wm_rgb wm_aid_body_colour(const wm_aid_body *body, const wm_stage1 *stage1);

/** An aid of that kind which is not refused. */
bool wm_aid_counts(const wm_aid *aid, wm_zone_kind kind);
size_t wm_aids_count(const wm_aids *aids, wm_zone_kind kind);

void wm_aid_refuse(wm_aid *aid, wm_warning_kind reason, const char *format, ...) WM_PRINTF(3, 4);
/** Every one of that kind that still counts. */
void wm_aids_refuse(wm_aids *aids, wm_zone_kind kind, wm_warning_kind reason, const char *why);

/** Names the aids, refuses those that can't be used and warns of those that can but are poor. */
void wm_aids_judge(wm_aids *aids, wm_warnings *warnings);

/** The mean colours of the cards that count, with C18's e_green (NULL: not wanted); at most WM_STAGE1_MAX_NEUTRALS. */
size_t wm_aids_card_neutrals(const wm_aids *aids, wm_neutral *out, double *e_green);

#endif
