/* photo_internal: what a photo is made of, for the ways of opening one. */
#ifndef WM_PHOTO_PHOTO_INTERNAL_H
#define WM_PHOTO_PHOTO_INTERNAL_H

#include "photo/photo.h"
#include "photo/reply.h"

struct wm_photo {
    char file[256];
    char sha256[65];
    wm_reply *reply; /* at WM_REPLY_PICTURE */
    wm_room room;    /* of its pixels */
    void (*give_back)(wm_photo *photo);
};

const wm_photo_limits *wm_photo_limits_or_usual(const wm_photo_limits *limits);

/** A photo with a name and nothing else. */
wm_status wm_photo_new(wm_photo **out, const wm_bytes *bytes, const char *name, const wm_photo_limits *limits,
                       wm_error *err);

/** The end of opening: hands the photo over, or frees it and names the file in err. */
wm_status wm_photo_done(wm_photo **out, wm_photo *photo, wm_status status, const char *name, wm_error *err);

#endif
