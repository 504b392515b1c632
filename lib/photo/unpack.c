#define _GNU_SOURCE /* MAP_ANONYMOUS */
#include "photo/unpack.h"

#include "photo/noise.h"
#include "photo/profile_make.h"

#include <sys/mman.h>

static wm_status refuse(wm_reply *reply, wm_status status)
{
    reply->stage = WM_REPLY_REFUSED;
    return status;
}

wm_status wm_unpack_facts(wm_reply *reply, const wm_bytes *bytes)
{
    wm_status status = wm_container_scan(&reply->container, bytes, &reply->limits, &reply->refusal);
    if (!status)
        status = wm_profile_make(&reply->profile, &reply->container, &reply->refusal);
    wm_container_free(&reply->container);
    reply->container.icc = (wm_bytes){ NULL, 0 };
    if (status)
        return refuse(reply, status);
    reply->stage = WM_REPLY_FACTS;
    return WM_OK;
}

/* Decoded in a room of its own, of which only the parts are handed on: that much is shared. */
static wm_status unpack_parts(wm_reply *reply, const wm_bytes *bytes, wm_room room)
{
    const wm_container *c = &reply->container;
    const wm_parts parts = reply->parts;
    const size_t size = wm_pixels_room(c->width, c->height, c->bits);
    wm_pixels whole;
    void *own = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (own == MAP_FAILED)
        return wm_fail_memory(&reply->refusal);
    const wm_status status = wm_decode(&whole, bytes, c, &parts, (wm_room){ own, size }, &reply->refusal);
    if (!status) {
        reply->noise = wm_noise_of(&whole);
        wm_parts_cut(reply->pixels, &parts, &whole, room.at);
    }
    (void)munmap(own, size);
    return status;
}

static wm_status unpack_whole(wm_reply *reply, const wm_bytes *bytes, wm_room room)
{
    const wm_status status =
        wm_decode(&reply->pixels[0], bytes, &reply->container, &reply->parts, room, &reply->refusal);
    if (!status)
        reply->noise = wm_noise_of(&reply->pixels[0]);
    return status;
}

wm_status wm_unpack_picture(wm_reply *reply, const wm_bytes *bytes, wm_room room)
{
    const wm_status status =
        reply->parts.count > 0 ? unpack_parts(reply, bytes, room) : unpack_whole(reply, bytes, room);
    if (status)
        return refuse(reply, status);
    reply->stage = WM_REPLY_PICTURE;
    return WM_OK;
}
