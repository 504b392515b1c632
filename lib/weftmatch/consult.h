/* consult: one consultation: what is known goes in, what to sew comes out. */
#ifndef WEFTMATCH_CONSULT_H
#define WEFTMATCH_CONSULT_H

#include "weftmatch/catalogue.h"
#include "weftmatch/kept_zones.h"
#include "weftmatch/photo.h"
#include "weftmatch/settings.h"
#include "weftmatch/zones.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A finished consultation; weftmatch/report.h reads it. */
typedef struct wm_consultation wm_consultation;

enum { WM_OPTIONS_ROWS = 8 };

/** What is lent to a consultation, until the call returns. Words are those of the command line; NULL is the usual. */
typedef struct wm_consult_options {
    size_t size;                     /**< of this struct, by WM_CONSULT_OPTIONS_INIT */
    const wm_photo *photo;           /**< needed */
    const wm_zones *zones;           /**< needed, with one zone of hair at least */
    const wm_catalogue *catalogue;   /**< needed by wm_match, and wherever a swatch is marked */
    const wm_settings *settings;     /**< NULL: the usual ones */
    const char *date;                /**< needed: the day, YYYY-MM-DD (the library asks no clock) */
    const char *made_at;             /**< the moment, RFC 3339; NULL: the day's midnight, UTC */
    const char *client;              /**< her name */
    const wm_consultation *previous; /**< of her last visit; NULL: nothing to compare with */
    int jobs;                        /**< threads; the result does not depend on it */
    /* what she wants, and what her hair is like */
    const char *worn;   /**< "both", "down", "up": which views count */
    const char *goal;   /**< "coverage", "volume", "length": what she wants more of */
    const char *hair;   /**< "fine", "medium", "coarse" */
    const char *amount; /**< "thin", "average", "thick" */
    bool shedding;
    double natural_length_cm, to_length_cm; /**< of her own hair, and wanted, both from the row; negative: not given */
    double arcs_cm[WM_OPTIONS_ROWS];        /**< from ear to ear where each row will lie */
    const char *places[WM_OPTIONS_ROWS];    /**< where it lies: "side", "back", "crown", "nape"; NULL: back */
    size_t row_count;                       /**< 0: no plan */
    bool in_stock;                          /**< only shades that are in stock */
    wm_kept_zones *kept;                    /**< of the photo: what has not changed is not measured again; NULL */
} wm_consult_options;
#define WM_CONSULT_OPTIONS_INIT                                                                                        \
    {                                                                                                                  \
        sizeof(wm_consult_options), NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, 1, NULL, NULL, NULL, NULL, false,  \
            -1.0, -1.0, { 0.0 }, { NULL }, 0, false, NULL                                                              \
    }

/** The main job: measure, rank, propose, and plan when an arc is given. WM_E_USAGE: an option is missing or not
 * possible. WM_E_INPUT: zones and catalogue don't fit each other or the photo. WM_E_PHOTO: nothing can be measured.
 * WM_E_MEMORY. Close with wm_consultation_close. */
WM_PUBLIC wm_status wm_match(wm_consultation **out, const wm_consult_options *options, wm_error *err);
/** The colours of the zones alone; otherwise the same. */
WM_PUBLIC wm_status wm_measure(wm_consultation **out, const wm_consult_options *options, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_consultation_close(wm_consultation *consultation);

#ifdef __cplusplus
}
#endif

#endif
