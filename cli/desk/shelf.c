#include "desk/shelf.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/buf.h"
#include "core/file.h"
#include "core/plain.h"

enum { NAME_MOST = 120 };

struct shelf {
    pthread_mutex_t lock; /* over the list, not over the photos */
    shelf_photo *photos[SHELF_PHOTOS];
    int64_t last_id;
    unsigned long clock;
};

wm_status shelf_start(shelf **out, wm_error *err)
{
    shelf *s = calloc(1, sizeof *s);
    if (!s)
        return wm_fail_memory(err);
    pthread_mutex_init(&s->lock, NULL);
    *out = s;
    return WM_OK;
}

static void photo_free(shelf_photo *photo)
{
    wm_kept_zones_close(photo->kept);
    wm_photo_close(photo->photo);
    wm_bytes_free(&photo->preview);
    pthread_mutex_destroy(&photo->busy);
    free(photo);
}

void shelf_free(shelf *s)
{
    if (!s)
        return;
    for (size_t i = 0; i < SHELF_PHOTOS; i++)
        if (s->photos[i])
            photo_free(s->photos[i]);
    pthread_mutex_destroy(&s->lock);
    free(s);
}

/* The place of the photo looked at least recently; whoever holds it still frees it. */
static size_t place_for_one(shelf *s)
{
    size_t oldest = 0;
    for (size_t i = 0; i < SHELF_PHOTOS; i++) {
        if (!s->photos[i])
            return i;
        if (s->photos[i]->looked_at < s->photos[oldest]->looked_at)
            oldest = i;
    }
    shelf_photo *gone = s->photos[oldest];
    s->photos[oldest] = NULL;
    gone->dropped = true;
    if (gone->holders == 0)
        photo_free(gone);
    return oldest;
}

static void put(int64_t *id, shelf *s, shelf_photo *photo)
{
    pthread_mutex_lock(&s->lock);
    photo->id = *id = ++s->last_id;
    photo->looked_at = ++s->clock;
    s->photos[place_for_one(s)] = photo;
    pthread_mutex_unlock(&s->lock);
}

static shelf_photo *photo_new(wm_error *err)
{
    shelf_photo *photo = calloc(1, sizeof *photo);
    if (photo)
        pthread_mutex_init(&photo->busy, NULL);
    else
        wm_fail_memory(err);
    return photo;
}

/* photo: opened with that status; NULL: no memory. */
static wm_status shelve(int64_t *id, shelf *s, shelf_photo *photo, wm_status status, wm_error *err)
{
    if (!status)
        status = wm_kept_zones_open(&photo->kept, photo->photo, err);
    if (!status)
        put(id, s, photo);
    else if (photo)
        photo_free(photo);
    return status;
}

wm_status shelf_add_file(int64_t *id, shelf *s, const char *path, const wm_photo_limits *limits, wm_error *err)
{
    shelf_photo *photo = photo_new(err);
    wm_status status = photo ? wm_photo_open(&photo->photo, path, limits, err) : WM_E_MEMORY;
    return shelve(id, s, photo, status, err);
}

/* A file name from a browser, without its folders and without what does not print as it is written. */
static void plain_name(char out[NAME_MOST], const char *name)
{
    size_t n = 0;
    const char *base = wm_file_base_name(name);
    for (const char *p = base; *p && n < NAME_MOST - 5;) {
        size_t step = 1;
        if (wm_plain_prints(p, strlen(p), &step) && *p != '\\') {
            memcpy(out + n, p, step);
            n += step;
        }
        p += step;
    }
    out[n] = '\0';
    if (!n || strcmp(out, ".") == 0 || strcmp(out, "..") == 0)
        snprintf(out, NAME_MOST, "photo");
}

wm_status shelf_add(int64_t *id, shelf *s, const char *name, const wm_bytes *bytes, const wm_photo_limits *limits,
                    wm_error *err)
{
    char plain[NAME_MOST];
    shelf_photo *photo = photo_new(err);
    plain_name(plain, name);
    wm_status status = photo ? wm_photo_open_bytes(&photo->photo, bytes, plain, limits, err) : WM_E_MEMORY;
    return shelve(id, s, photo, status, err);
}

wm_status shelf_hold(shelf_photo **out, shelf *s, int64_t id, wm_error *err)
{
    shelf_photo *found = NULL;
    pthread_mutex_lock(&s->lock);
    for (size_t i = 0; i < SHELF_PHOTOS; i++)
        if (s->photos[i] && s->photos[i]->id == id)
            found = s->photos[i];
    if (found) {
        found->holders++;
        found->looked_at = ++s->clock;
    }
    pthread_mutex_unlock(&s->lock);
    if (!found)
        return wm_fail(err, WM_E_PHOTO, "this photo is no longer open; open it again, your marks are kept");
    pthread_mutex_lock(&found->busy);
    *out = found;
    return WM_OK;
}

void shelf_note_shown(shelf_photo *photo, const char digest[65], const clock_reading *clock)
{
    shelf_shown *place = &photo->shown[photo->shown_count++ % SHELF_SHOWN];
    memcpy(place->digest, digest, sizeof place->digest);
    place->clock = *clock;
}

const clock_reading *shelf_shown_at(const shelf_photo *photo, const char *digest)
{
    for (size_t i = 0; i < SHELF_SHOWN && *digest; i++)
        if (strcmp(photo->shown[i].digest, digest) == 0)
            return &photo->shown[i].clock;
    return NULL;
}

void shelf_release(shelf *s, shelf_photo *photo)
{
    pthread_mutex_unlock(&photo->busy);
    pthread_mutex_lock(&s->lock);
    bool last = --photo->holders == 0 && photo->dropped;
    pthread_mutex_unlock(&s->lock);
    if (last)
        photo_free(photo);
}
