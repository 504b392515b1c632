/* unpack: all the work on a photo's bytes, in two halves, into a reply. For code that is locked in (helper/main.c) or
 * trusts the file (photo_in_process). */
#ifndef WM_PHOTO_UNPACK_H
#define WM_PHOTO_UNPACK_H

#include "photo/reply.h"

/** `reply` is zeroed but for what the parent says, and is left at the stage that was reached; a refusal, which stands
 * in it, is also returned. */
wm_status wm_unpack_facts(wm_reply *reply, const wm_bytes *bytes);
wm_status wm_unpack_picture(wm_reply *reply, const wm_bytes *bytes, wm_room room);

#endif
