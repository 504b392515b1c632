/* warnings: every warning about a photo and its aids in one table: what is wrong, what to do at the chair, what it
 * costs. README's table of codes is held against it. */
#ifndef WM_MEASURE_WARNINGS_H
#define WM_MEASURE_WARNINGS_H

#include "core/status.h"

typedef enum wm_warning_kind {
    WM_WARN_NO_AID,
    WM_WARN_CARD_ALONE,
    WM_WARN_NO_SWATCH_AT_ZONE,
    WM_WARN_LIGHT_UNKNOWN,
    WM_WARN_UNEVEN_LIGHT_ON_HEAD,
    WM_WARN_FLASH_FIRED,
    WM_WARN_TOO_DARK,
    WM_WARN_NOISY,
    WM_WARN_CLIPPED_ZONE,
    WM_WARN_CLIPPED_AID,
    WM_WARN_HAIR_WET_OR_SHINY,
    WM_WARN_PHOTO_RESIZED,
    WM_WARN_PHOTO_COMPRESSED,
    WM_WARN_PROFILE_ASSUMED,
    WM_WARN_AIDS_DISAGREE,
    WM_WARN_AID_DROPPED,
    WM_WARN_CARD_UNEVEN,
    WM_WARN_CARD_NOT_IN_SAME_LIGHT,
    WM_WARN_CARDS_MIXED_UP,
    WM_WARN_CARD_LOOKS_WHITE,
    WM_WARN_TARGET_TURNED,
    WM_WARN_TARGET_PATCHES,
    WM_WARN_SWATCH_MISLABELLED,
    WM_WARN_FEW_SWATCHES,
    WM_WARN_ZONE_REFUSED,
    WM_WARN_NOT_HAIR,
    WM_WARN_NOT_ONLY_HAIR,
    WM_WARN_HAIR_DOUBTFUL,
    WM_WARN_GRAY_NOT_RESOLVED,
    WM_WARN_NOT_GRAY_FREE,
    WM_WARN_LIGHTER_FIBRES,
    WM_WARN_BASE_NEVER_SEEN,
    WM_WARN_ANSWER_UNSTABLE,
    WM_WARN_PHOTO_TURNED,
    WM_WARN_ZONES_SWAPPED,
    WM_WARN_COUNT
} wm_warning_kind;

typedef struct wm_warning_entry {
    const char *code; /**< lower_snake, stable */
    const char *wrong, *action, *cost;
} wm_warning_entry;

const wm_warning_entry *wm_warning_of(wm_warning_kind kind);

/** Adds the note "SUBJECT: wrong (DETAIL); action; cost". subject and detail may be "". */
void wm_warn(wm_warnings *warnings, wm_warning_kind kind, const char *subject, const char *detail);

/** The same with a more exact sentence of what is wrong: "SUBJECT: why; action; cost". */
void wm_warn_why(wm_warnings *warnings, wm_warning_kind kind, const char *subject, const char *why);

#endif
