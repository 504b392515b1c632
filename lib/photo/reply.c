#include "photo/reply.h"

#include "core/buf.h"

#include <string.h>

static const double MOST_NOISE = 4.0; /* of values 0..1, whatever they are */

/* Ended, printable, UTF-8. */
static bool text_sound(const char *text, size_t room)
{
    size_t length = strnlen(text, room);
    for (size_t i = 0; i < length; i++)
        if ((unsigned char)text[i] < 32 || text[i] == 127)
            return false;
    return length < room && wm_utf8_valid(text, length);
}

static bool between(long value, long low, long high)
{
    return value >= low && value <= high;
}

bool wm_reply_facts_sound(const wm_reply *reply)
{
    const wm_container *c = &reply->container;
    return between((long)c->kind, WM_CONTAINER_JPEG, WM_CONTAINER_HEIC) && c->width > 0 && c->height > 0 &&
           (double)c->width * c->height <= reply->limits.max_megapixels * 1e6 && (c->bits == 8 || c->bits == 16) &&
           between(c->channels, 1, 4) && between(c->orientation, 1, 8) && text_sound(c->camera, sizeof c->camera) &&
           text_sound(c->taken, sizeof c->taken) && between((long)c->flash, WM_FLASH_UNKNOWN, WM_FLASH_FIRED) &&
           between((long)c->white_balance, WM_WB_UNKNOWN, WM_WB_MANUAL) &&
           between((long)c->exif_colour, WM_EXIF_COLOUR_UNKNOWN, WM_EXIF_OPRGB) && c->exif_width >= 0 &&
           c->exif_height >= 0 && between(c->jpeg_quality, 0, 100) && !c->icc.data && wm_profile_sound(&reply->profile);
}

static bool pixels_sound(const wm_reply *reply, const wm_pixels *pixels)
{
    return pixels->bits == reply->container.bits && wm_pixels_sound(pixels, reply->room);
}

bool wm_reply_picture_sound(const wm_reply *reply)
{
    const wm_parts *parts = &reply->parts;
    bool sound = reply->noise >= 0 && reply->noise <= MOST_NOISE;
    if (parts->count == 0)
        sound = sound && pixels_sound(reply, &reply->pixels[0]);
    for (int i = 0; sound && i < parts->count; i++) {
        const wm_pixels *pixels = &reply->pixels[i];
        sound = pixels_sound(reply, pixels) && pixels->width == parts->box[i].width &&
                pixels->height == parts->box[i].height && pixels->planes > 0;
    }
    return sound;
}

wm_status wm_reply_refusal(const wm_reply *reply, wm_error *err)
{
    wm_error said = reply->refusal;
    said.text[sizeof said.text - 1] = '\0';
    if (said.code == WM_E_MEMORY)
        return wm_fail_memory(err);
    if (said.text[0] == '\0')
        return wm_fail(err, WM_E_PHOTO, "it can't be read; send or copy the photo again");
    return wm_fail(err, WM_E_PHOTO, "%s", said.text);
}
