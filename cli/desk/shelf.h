/* shelf: the photos in work, decoded, so that a moved mark costs only what it changes. What a browser sends is opened
 * from memory: no photo in work ever lies on the disk, so none is left there by a crash. */
#ifndef CLI_DESK_SHELF_H
#define CLI_DESK_SHELF_H

#include <pthread.h>
#include <stdint.h>

#include "context.h"
#include "photo/photo.h"
#include "weftmatch/kept_zones.h"

enum {
    SHELF_PHOTOS = 6, /* open at once; the one looked at least recently gives way */
    SHELF_SHOWN = 8   /* answers of a photo that can still be saved: two tabs may ask about it by turns */
};

typedef struct shelf shelf;

/** An answer that was shown of a photo: saving it must give the same bytes. */
typedef struct shelf_shown {
    char digest[65]; /* of the JSON, "" for none */
    clock_reading clock;
} shelf_shown;

/** A photo held by a request: no other works on it meanwhile. */
typedef struct shelf_photo {
    int64_t id;
    wm_photo *photo;
    wm_kept_zones *kept;            /* as they were measured for the last answer */
    shelf_shown shown[SHELF_SHOWN]; /* written in turn */
    size_t shown_count;             /* since it was opened */
    wm_bytes preview;               /* JPEG; made when first asked for */
    pthread_mutex_t busy;
    int holders;
    bool dropped;
    unsigned long looked_at;
} shelf_photo;

wm_status shelf_start(shelf **out, wm_error *err);
void shelf_free(shelf *s); /**< NULL is fine */

/** Opens the bytes as the photo `name`, or a file where it lies, and gives it a number. WM_E_PHOTO. */
wm_status shelf_add(int64_t *id, shelf *s, const char *name, const wm_bytes *bytes, const wm_photo_limits *limits,
                    wm_error *err);
wm_status shelf_add_file(int64_t *id, shelf *s, const char *path, const wm_photo_limits *limits, wm_error *err);

/** Holds a photo until shelf_release. WM_E_PHOTO when it has given way to others. */
wm_status shelf_hold(shelf_photo **out, shelf *s, int64_t id, wm_error *err);
void shelf_release(shelf *s, shelf_photo *photo);

/** Keeps in mind what was shown of a held photo, the answer that gave way longest ago falls out. */
void shelf_note_shown(shelf_photo *photo, const char digest[65], const clock_reading *clock);
/** When the answer with this digest was made; NULL when it was not shown or has fallen out. */
const clock_reading *shelf_shown_at(const shelf_photo *photo, const char *digest);

#endif
