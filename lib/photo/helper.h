/* helper: the parent's side of the program that touches a photo's bytes. It gets them sealed, sees no other descriptor,
 * works within a budget of memory and of time, and is ended when it does not keep to it. Everything it says is checked
 * before it is believed.
 *
 * What goes to and fro: the parent maps a wm_reply that both share, the helper fills in the facts; then the parent
 * gives it a room for the pixels (which are nothing but the same file further on) and more memory, and the helper
 * decodes. */
#ifndef WM_PHOTO_HELPER_H
#define WM_PHOTO_HELPER_H

#include "photo/reply.h"

/** A photo's reply and its pixels, mapped; wm_taken_free unmaps. */
typedef struct wm_taken {
    wm_reply *reply;
    wm_room room;
} wm_taken;

typedef struct wm_helper wm_helper; /**< one at work */

/** limits->helper NULL: the installed program. WM_E_PHOTO when it can't be started, WM_E_MEMORY. Ends with
 * wm_helper_finish. */
wm_status wm_helper_start(wm_helper **out, const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err);

/** Waits for the picture, or of a JPEG for what is wanted of it, ends and frees the helper. */
wm_status wm_helper_finish(wm_taken *out, wm_helper *helper, wm_boxes wanted, wm_error *err);

void wm_taken_free(wm_taken *taken);

enum { WM_HELPER_PATH = 4096 };
/** The helper beside the running program, as in a build that is not installed; else the installed one. Takes
 * WM_HELPER_PATH bytes. */
void wm_helper_place(char *out);

#endif
