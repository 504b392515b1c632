/* The door of the helper's replies: a reply as a helper that a photo has taken over may leave it. What the checks pass
 * may be read at every pixel, and gives names that end, channel values 0 to 1 and finite colours. The input changes a
 * sound reply: 4 bytes of place, 1 of length, then the bytes to put there, as often as it lasts. */
#include "fuzz.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "photo/photo_internal.h"

const fuzz_seed fuzz_seeds[] = { SEED("\0\0\0\0\1\0"),
                                 SEED("\0\0\4\0\4\377\377\377\377\0\0\4\20\4\377\377\377\177"),
                                 SEED("\0\0\5\0\10\0\0\0\0\0\0\360\177\0\0\4\100\4\1\0\0\0"),
                                 { NULL, 0 } };
const char *const fuzz_words[] = { "\377\377\377\377", "\377\377\377\177", "\1\1\1\1", "\20\20\20\20", NULL };

enum { WIDTH = 33, HEIGHT = 21 };
/* What the parent asked for, by the input's last bit. */
static const wm_parts ASKED[] = { { 0 }, { 2, { { 0, 0, 16, HEIGHT }, { 20, 0, 13, HEIGHT } } } };

static void fill(wm_reply *reply, const wm_parts *parts)
{
    *reply = (wm_reply){ .size = sizeof *reply, .limits = { 0.1, 1, NULL }, .stage = WM_REPLY_PICTURE };
    reply->container = (wm_container){
        .width = WIDTH, .height = HEIGHT, .bits = 8, .channels = 3, .orientation = 1, .jpeg_quality = 90
    };
    snprintf(reply->profile.name, sizeof reply->profile.name, "sRGB");
    for (size_t i = 0; i < WM_PROFILE_ENTRIES; i++)
        reply->profile.table[0][i].r = reply->profile.table[1][i].g = (double)i / WM_PROFILE_STEPS;
    reply->parts = *parts;
    for (int i = 0; i < (parts->count > 0 ? parts->count : 1); i++) {
        const int width = parts->count > 0 ? parts->box[i].width : WIDTH, half = (width + 1) / 2;
        wm_pixels *p = &reply->pixels[i];
        *p = (wm_pixels){ .width = width, .height = HEIGHT, .bits = 8, .planes = 3, .is_ycbcr = true };
        p->ycbcr = (wm_ycbcr){ 0.299, 0.114, false };
        p->plane[0] = (wm_plane){ 0, 48, width, HEIGHT, 1, 1 };
        p->plane[1] = (wm_plane){ 1536, 24, half, 11, 2, 2 };
        p->plane[2] = (wm_plane){ 2304, 24, half, 11, 2, 2 };
    }
}

/* The table and the grid are large and dull: places are within the rest, most often. */
static void change(wm_reply *reply, const uint8_t *data, size_t size)
{
    const size_t facts = offsetof(wm_reply, profile) + offsetof(wm_profile, table);
    while (size >= 6) {
        size_t place = ((size_t)data[0] << 24 | (size_t)data[1] << 16 | (size_t)data[2] << 8 | data[3]) %
                       (data[0] & 1 ? sizeof *reply : facts);
        size_t length = 1 + (size_t)data[4] % 8;
        if (length > size - 5)
            length = size - 5;
        if (length > sizeof *reply - place)
            length = sizeof *reply - place;
        memcpy((unsigned char *)reply + place, data + 5, length);
        data += 5 + length;
        size -= 5 + length;
    }
}

static void read_all(const wm_reply *reply, wm_room room)
{
    wm_photo photo = { .reply = (wm_reply *)(uintptr_t)reply, .room = room };
    wm_photo_facts facts = wm_photo_facts_of(&photo);
    fuzz_check(strlen(facts.profile) < sizeof reply->profile.name, "the profile's name ends");
    fuzz_check(strlen(facts.camera) < sizeof reply->container.camera, "the camera's name ends");
    if (facts.width > 400 || facts.height > 400)
        return;
    for (int i = 0; i < 3 * facts.height; i++) { /* across the parts, and in each */
        const int y = i / 3, left = i % 3 == 2 ? facts.width / 2 : 0,
                  count = i % 3 == 1 ? facts.width / 2 : facts.width - left;
        wm_rgb linear[400];
        double encoded[1200];
        wm_photo_read(&photo, left, y, count, linear, encoded);
        for (int k = 0; k < count; k++)
            fuzz_check(isfinite(linear[k].r) && isfinite(linear[k].g) && isfinite(linear[k].b), "a colour is finite");
        for (int k = 0; k < 3 * count; k++)
            fuzz_check(encoded[k] >= 0 && encoded[k] <= 1, "channel values are 0 to 1");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static wm_reply reply;
    const wm_photo_limits limits = { 0.1, 1, NULL };
    wm_room room = { NULL, wm_pixels_room(WIDTH, HEIGHT, 8) };
    wm_error err = { 0 };
    const wm_parts *parts = &ASKED[size > 0 && data[size - 1] & 1];
    fill(&reply, parts);
    change(&reply, data, size);
    reply.limits = limits; /* as helper.c does: the parent's own */
    reply.parts = *parts;
    reply.room = room.size;
    (void)wm_reply_refusal(&reply, &err);
    fuzz_check(err.text[0] && !strpbrk(err.text, "\r\n\033"), "a refusal is one line for a terminal");
    if (!wm_reply_facts_sound(&reply) || !wm_reply_picture_sound(&reply))
        return 0;
    room.at = calloc(room.size, 1); /* its end is the heap block's own: reading past it is seen */
    if (!room.at)
        return 0;
    for (int i = 0; i < WM_PARTS_MOST; i++)
        reply.pixels[i].data = room.at;
    read_all(&reply, room);
    free(room.at);
    return 0;
}
