/* swatch_photos: the swatches of many photos, each opened and measured by itself, as many at once as there are threads.
 * All are measured by what the catalogue holds before: none helps another. */
#ifndef WM_CONSULT_SWATCH_PHOTOS_H
#define WM_CONSULT_SWATCH_PHOTOS_H

#include "consult/swatch_add.h"

enum { WM_SWATCH_FILE_SIZE = 256, WM_SWATCH_SHA256_SIZE = 65 };

/** A photo and what was measured in it. */
typedef struct wm_swatch_photo {
    const char *path;
    const wm_zones *zones; /**< lent */
    wm_status status;      /**< of this photo; one that is no WM_OK before is left alone */
    wm_error error;
    char file[WM_SWATCH_FILE_SIZE]; /**< base name */
    char sha256[WM_SWATCH_SHA256_SIZE];
    wm_swatch_readings readings; /**< of a status WM_OK; free with wm_swatch_readings_free */
} wm_swatch_photo;

typedef struct wm_swatch_photos_input {
    const wm_swatch_job *job; /**< of each; photo and zones are its own */
    const wm_photo_limits *limits;
    int jobs;                                              /**< threads */
    void (*progress)(void *user, size_t done, size_t all); /**< one at a time; NULL: none */
    void *user;
} wm_swatch_photos_input;

void wm_swatches_measure_photos(wm_swatch_photo *photos, size_t count, const wm_swatch_photos_input *input);

#endif
