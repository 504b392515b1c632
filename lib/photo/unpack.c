#include "photo/unpack.h"

#include "photo/profile_make.h"

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

wm_status wm_unpack_picture(wm_reply *reply, const wm_bytes *bytes, wm_room room)
{
    wm_status status = wm_decode(&reply->pixels, bytes, &reply->container, room, &reply->refusal);
    if (status)
        return refuse(reply, status);
    reply->stage = WM_REPLY_PICTURE;
    return WM_OK;
}
