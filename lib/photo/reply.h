/* reply: what whoever touched the bytes of a photo says of it: checked facts, a profile table, the way its pixels are
 * stored. Plain data, in memory that the helper and its parent share; the pixels lie in a room of their own. */
#ifndef WM_PHOTO_REPLY_H
#define WM_PHOTO_REPLY_H

#include "photo/container.h"
#include "photo/decode.h"
#include "photo/parts.h"
#include "photo/profile.h"

typedef enum wm_reply_stage {
    WM_REPLY_NOTHING,  /**< nobody has begun */
    WM_REPLY_REFUSED,  /**< `refusal` says why; the photo is at fault */
    WM_REPLY_UNLOCKED, /**< the system would not lock the helper in: no byte was touched */
    WM_REPLY_FACTS,    /**< container and profile are there */
    WM_REPLY_PICTURE   /**< the pixels, too */
} wm_reply_stage;

typedef struct wm_reply {
    size_t size;            /**< of this struct, by the parent: both are of one build */
    char version[16];       /**< of the program, by the parent */
    wm_photo_limits limits; /**< by the parent */
    wm_parts parts;         /**< that are wanted, by the parent once it knows the facts */
    size_t room;            /**< bytes for their pixels, likewise */
    wm_reply_stage stage;
    wm_error refusal;
    wm_container container;          /**< without its ICC bytes */
    wm_pixels pixels[WM_PARTS_MOST]; /**< of each part, or the first of the whole; data means nothing elsewhere */
    double noise;                    /**< wm_noise_of the whole */
    wm_profile profile;
} wm_reply;

/** Whether what stands in a reply of a stage may be: whoever reads on relies on it. A refusal is made fit to be shown.
 */
bool wm_reply_facts_sound(const wm_reply *reply);
bool wm_reply_picture_sound(const wm_reply *reply);
wm_status wm_reply_refusal(const wm_reply *reply, wm_error *err);

#endif
