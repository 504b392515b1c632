/* place: where on the head a zone or a row lies, by one table of words. */
#ifndef WM_MEASURE_PLACE_H
#define WM_MEASURE_PLACE_H

#include "core/status.h"
#include "core/words.h"

typedef enum wm_place {
    WM_PLACE_BY_KIND, /**< nothing said: a zone's kind decides (M26) */
    WM_PLACE_SIDE,
    WM_PLACE_BACK,
    WM_PLACE_CROWN,
    WM_PLACE_NAPE
} wm_place;

extern const char *const WM_PLACE_WORDS[];
const char *wm_place_name(wm_place place); /**< "side", "back", "crown", "nape"; "" by kind */
/** One of the four words; false and untouched otherwise. */
bool wm_place_parse(const char *text, wm_place *out);

#endif
