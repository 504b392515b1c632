/* advice: every warning about a photo and its aids in one table: what is wrong, what to do at the chair, what it costs.
 * README's table of codes is held against it. */
#ifndef WM_MEASURE_ADVICE_H
#define WM_MEASURE_ADVICE_H

#include "core/status.h"

typedef enum wm_advice {
    WM_ADVICE_NO_AID,
    WM_ADVICE_CARD_ALONE,
    WM_ADVICE_NO_SWATCH_AT_ZONE,
    WM_ADVICE_LIGHT_UNKNOWN,
    WM_ADVICE_UNEVEN_LIGHT_ON_HEAD,
    WM_ADVICE_FLASH_FIRED,
    WM_ADVICE_TOO_DARK,
    WM_ADVICE_NOISY,
    WM_ADVICE_CLIPPED_ZONE,
    WM_ADVICE_CLIPPED_AID,
    WM_ADVICE_HAIR_WET_OR_SHINY,
    WM_ADVICE_PHOTO_RESIZED,
    WM_ADVICE_PHOTO_COMPRESSED,
    WM_ADVICE_PROFILE_ASSUMED,
    WM_ADVICE_AIDS_DISAGREE,
    WM_ADVICE_AID_DROPPED,
    WM_ADVICE_CARD_UNEVEN,
    WM_ADVICE_CARD_NOT_IN_SAME_LIGHT,
    WM_ADVICE_CARDS_MIXED_UP,
    WM_ADVICE_TARGET_TURNED,
    WM_ADVICE_TARGET_PATCHES,
    WM_ADVICE_SWATCH_MISLABELLED,
    WM_ADVICE_FEW_SWATCHES,
    WM_ADVICE_ZONE_REFUSED,
    WM_ADVICE_NOT_HAIR,
    WM_ADVICE_NOT_ONLY_HAIR,
    WM_ADVICE_HAIR_DOUBTFUL,
    WM_ADVICE_GRAY_NOT_RESOLVED,
    WM_ADVICE_NOT_GRAY_FREE,
    WM_ADVICE_LIGHTER_FIBRES,
    WM_ADVICE_BASE_NEVER_SEEN,
    WM_ADVICE_ANSWER_UNSTABLE,
    WM_ADVICE_COUNT
} wm_advice;

typedef struct wm_advice_entry {
    const char *code; /**< lower_snake, stable */
    const char *wrong, *action, *cost;
} wm_advice_entry;

WM_API const wm_advice_entry *wm_advice_of(wm_advice advice);

/** Adds the note "SUBJECT: wrong (DETAIL); action; cost". subject and detail may be "". */
WM_API void wm_advise(wm_notes *notes, wm_advice advice, const char *subject, const char *detail);

/** The same with a more exact sentence of what is wrong: "SUBJECT: why; action; cost". */
WM_API void wm_advise_why(wm_notes *notes, wm_advice advice, const char *subject, const char *why);

#endif
