/* reading: what the photo shows in one zone under one correction, before it is compared with anything: its pixels,
 * whether they are hair, their cleaning, and the gray rules on them. A reading is shared by counting who holds it, and
 * keeps what the gray rules found last, so that a zone whose reference has not changed costs nothing again. */
#ifndef WM_CONSULT_READING_H
#define WM_CONSULT_READING_H

#include "measure/gray.h"
#include "measure/hair.h"
#include "measure/pigment_line.h"
#include "measure/sample.h"

/** What the gray rules are asked with. */
typedef struct wm_reading_ask {
    const wm_rgb *reference;   /**< base colour of G4 of a window, NULL: blind */
    const wm_rgb *gray_swatch; /**< linear colour of the chosen gray swatch (G10), NULL: prior */
} wm_reading_ask;

typedef struct wm_reading {
    wm_window window; /**< corrected and cleaned */
    wm_hair_check hair;
    wm_cleaning cleaning;
    bool refused; /**< no colour: why says it */
    char why[160];
    bool flat;           /**< a swatch: no light of a head plays on it */
    wm_kept_pixels kept; /**< like the next two of a reading that is not refused */
    wm_gray_pixels *pixels;
    wm_hair_light light;
    wm_pigment_line line; /**< that of the zone as marked, of one a little off */
    struct {
        bool known;
        wm_rgb reference;
        wm_gray gray;
    } blind, compared;               /**< the last answers without a gray swatch */
    bool blind_has_sd;               /**< no look before a comparison, which needs none */
    const struct wm_reading *marked; /**< of wm_reading_make */
    int holders;
} wm_reading;

/** H6. What the stylist calls hair is hair. */
wm_status wm_reading_judge_hair(wm_hair_check *out, wm_window *window, const wm_zone *zone, wm_error *err);

/** Of a corrected window, which it takes over whether it succeeds or not; it is held once. marked (lent): the reading
 * of the zone that this one is a little off. Its verdict, direction, gaps and placed reference stand, and what is no
 * hair is cut already. NULL: all is judged. */
wm_status wm_reading_make(wm_reading **out, wm_window *window, const wm_zone *zone, const struct wm_reading *marked,
                          wm_error *err);
/** G5 to G9. The reading is not a refused one. */
wm_status wm_reading_gray(wm_gray *out, wm_reading *reading, const wm_reading_ask *ask, wm_error *err);
/** The base colour of G4 that it gives the others. */
wm_status wm_reading_reference(wm_rgb *out, const wm_reading *reading, wm_error *err);

wm_reading *wm_reading_hold(wm_reading *reading);
void wm_reading_release(wm_reading *reading);       /**< frees it with its last holder; NULL is fine */
size_t wm_reading_bytes(const wm_reading *reading); /**< about what it takes up */

#endif
