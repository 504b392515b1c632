#include "consult/kept_zones.h"

#include <stdlib.h>
#include <string.h>

static const size_t MOST_BYTES = (size_t)128 << 20;
enum { NEVER, FIRST = 2 }; /* numbers of surveys */

/* A reading of a zone, or of an aid. */
typedef struct entry {
    wm_point *points; /* of its shape */
    size_t point_count;
    wm_zone_kind kind;
    bool is_hair;
    wm_stage1 stage1;
    wm_rgb gain;
    wm_reading *reading; /* NULL: an aid */
    wm_aid_reading *aid;
    unsigned long used_in; /* number of the survey */
} entry;

struct wm_kept_zones {
    const wm_photo *photo;
    entry *entries;
    size_t count, room;
    unsigned long survey;
};

wm_status wm_kept_zones_open(wm_kept_zones **out, const wm_photo *photo, wm_error *err)
{
    wm_kept_zones *kept = calloc(1, sizeof *kept);
    if (!kept)
        return wm_fail_memory(err);
    kept->photo = photo;
    kept->survey = FIRST;
    *out = kept;
    return WM_OK;
}

static void free_entry(entry *e)
{
    wm_reading_release(e->reading);
    if (e->aid) {
        wm_window_free(&e->aid->window);
        wm_aid_body_free(&e->aid->body);
    }
    free(e->aid);
    free(e->points);
}

void wm_kept_zones_close(wm_kept_zones *kept)
{
    if (!kept)
        return;
    for (size_t i = 0; i < kept->count; i++)
        free_entry(&kept->entries[i]);
    free(kept->entries);
    free(kept);
}

bool wm_kept_zones_are_of(const wm_kept_zones *kept, const wm_photo *photo)
{
    return kept->photo == photo;
}

static bool same_shape(const entry *e, const wm_zone *zone)
{
    return e->kind == zone->kind && e->is_hair == zone->is_hair && e->point_count == zone->point_count &&
           memcmp(e->points, zone->points, zone->point_count * sizeof *zone->points) == 0;
}

wm_reading *wm_kept_zones_find(wm_kept_zones *kept, const wm_kept_key *key)
{
    for (size_t i = 0; i < kept->count; i++) {
        entry *e = &kept->entries[i];
        if (e->reading && same_shape(e, key->zone) && wm_stage1_same(&e->stage1, key->stage1) &&
            memcmp(&e->gain, &key->gain, sizeof e->gain) == 0) {
            e->used_in = kept->survey;
            return e->reading;
        }
    }
    return NULL;
}

wm_aid_reading *wm_kept_zones_find_aid(wm_kept_zones *kept, const wm_zone *zone)
{
    for (size_t i = 0; i < kept->count; i++) {
        entry *e = &kept->entries[i];
        if (e->aid && same_shape(e, zone)) {
            e->used_in = kept->survey;
            return e->aid;
        }
    }
    return NULL;
}

/* An entry for the shape of a zone; NULL: no memory. */
static entry *add(wm_kept_zones *kept, const wm_zone *zone)
{
    wm_point *points = malloc(zone->point_count * sizeof *points);
    if (points && kept->count == kept->room) {
        const size_t room = kept->room ? 2 * kept->room : 16;
        entry *more = realloc(kept->entries, room * sizeof *more);
        if (more) {
            kept->entries = more;
            kept->room = room;
        }
    }
    if (!points || kept->count == kept->room) {
        free(points);
        return NULL;
    }
    memcpy(points, zone->points, zone->point_count * sizeof *points);
    entry *e = &kept->entries[kept->count++];
    *e = (entry){ .points = points,
                  .point_count = zone->point_count,
                  .kind = zone->kind,
                  .is_hair = zone->is_hair,
                  .used_in = kept->survey };
    return e;
}

wm_status wm_kept_zones_keep(wm_kept_zones *kept, const wm_kept_key *key, wm_reading *reading, wm_error *err)
{
    entry *e = add(kept, key->zone);
    if (!e) {
        wm_reading_release(reading);
        return wm_fail_memory(err);
    }
    e->stage1 = *key->stage1;
    e->gain = key->gain;
    e->reading = reading;
    return WM_OK;
}

wm_status wm_kept_zones_new_aid(wm_aid_reading **out, wm_kept_zones *kept, const wm_zone *zone, wm_error *err)
{
    wm_aid_reading *aid = calloc(1, sizeof *aid);
    entry *e = aid ? add(kept, zone) : NULL;
    if (!e) {
        free(aid);
        return wm_fail_memory(err);
    }
    *out = e->aid = aid;
    return WM_OK;
}

static size_t bytes_of(const entry *e)
{
    if (e->reading)
        return wm_reading_bytes(e->reading);
    return (size_t)e->aid->window.box.width * (size_t)e->aid->window.box.height * (2 * sizeof(wm_rgb) + 1) +
           e->aid->body.kept.count * sizeof(wm_rgb);
}

/* Of what this survey used, then of what only the one before used, as much as there is room for. */
static void drop_what_is_too_much(wm_kept_zones *kept)
{
    size_t bytes = 0;
    for (unsigned long age = 0; age < 2; age++)
        for (size_t i = 0; i < kept->count; i++) {
            entry *e = &kept->entries[i];
            if (e->used_in + age == kept->survey && (bytes += bytes_of(e)) > MOST_BYTES)
                e->used_in = NEVER;
        }
}

void wm_kept_zones_settle(wm_kept_zones *kept)
{
    size_t left = 0;
    drop_what_is_too_much(kept);
    for (size_t i = 0; i < kept->count; i++) {
        if (kept->entries[i].used_in + 1 >= kept->survey)
            kept->entries[left++] = kept->entries[i];
        else
            free_entry(&kept->entries[i]);
    }
    kept->count = left;
    kept->survey++;
}
