#define _GNU_SOURCE /* MAP_ANONYMOUS */
#include "photo/photo_internal.h"
#include "photo/unpack.h"

#include <stdlib.h>
#include <sys/mman.h>

static void give_back(wm_photo *photo)
{
    if (photo->room.at)
        (void)munmap(photo->room.at, photo->room.size);
    free(photo->reply);
}

static wm_status take(wm_photo *photo, const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err)
{
    wm_reply *reply = photo->reply = calloc(1, sizeof *reply);
    photo->give_back = give_back;
    if (!reply)
        return wm_fail_memory(err);
    reply->limits = *limits;
    if (wm_unpack_facts(reply, bytes))
        return wm_reply_refusal(reply, err);
    const wm_container *c = &reply->container;
    reply->room = wm_pixels_room(c->width, c->height, c->bits); /* all of it */
    void *mapped = mmap(NULL, reply->room, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (mapped == MAP_FAILED)
        return wm_fail_memory(err);
    photo->room = (wm_room){ mapped, reply->room };
    if (wm_unpack_picture(reply, bytes, photo->room))
        return wm_reply_refusal(reply, err);
    wm_sha256_hex(photo->sha256, bytes->data, bytes->size);
    return WM_OK;
}

wm_status wm_photo_open_in_process(wm_photo **out, const wm_bytes *bytes, const char *name,
                                   const wm_photo_limits *limits, wm_error *err)
{
    wm_photo *photo = NULL;
    limits = wm_photo_limits_or_usual(limits);
    wm_status status = wm_photo_new(&photo, bytes, name, limits, err);
    if (!status)
        status = take(photo, bytes, limits, err);
    return wm_photo_done(out, photo, status, name, err);
}
