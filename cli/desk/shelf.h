/* shelf: the photos in work, decoded, so that a moved mark costs only what it changes. What a browser sends is opened
 * from memory: no photo in work ever lies on the disk, so none is left there by a crash. */
#ifndef CLI_DESK_SHELF_H
#define CLI_DESK_SHELF_H

#include <pthread.h>
#include <stdint.h>

#include "photo/photo.h"

enum { SHELF_PHOTOS = 6 }; /* open at once; the one looked at least recently gives way */

typedef struct shelf shelf;

/** What was shown of a photo last: saving it must give the same bytes. */
typedef struct shelf_shown {
    char digest[65]; /* of the JSON, "" for none */
    char made_at[32];
} shelf_shown;

/** A photo held by a request: no other works on it meanwhile. */
typedef struct shelf_photo {
    int64_t id;
    wm_photo *photo;
    shelf_shown shown;
    wm_bytes preview; /* JPEG; made when first asked for */
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

#endif
