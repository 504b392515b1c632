/* parts: the rectangles of a photo that somebody is going to look at. A zone is a few per cent of a photo, and what
 * nobody looks at need not be worked out, nor lie in memory. */
#ifndef WM_PHOTO_PARTS_H
#define WM_PHOTO_PARTS_H

#include "photo/upright.h"

enum { WM_PARTS_MOST = 24 };

/** Stored pixels, in whole samples of every plane, none of which meets another. Plain data: it crosses from one process
 * to another. */
typedef struct wm_parts {
    int count; /**< 0: the whole picture */
    wm_box box[WM_PARTS_MOST];
} wm_parts;

/** Upright rectangles, lent; what lies outside the photo does not count. None: the whole photo. */
typedef struct wm_boxes {
    const wm_box *at;
    size_t count;
} wm_boxes;

/** Parts that hold all of them, each with what the enlarging of chroma looks at around it; the whole where that would
 * be most of it. */
wm_parts wm_parts_around(wm_boxes boxes, wm_upright how);

/** The part that a stored rectangle lies in, with or without what lies around it; -1: in none. */
int wm_parts_with(const wm_parts *parts, wm_box box, wm_upright how);
int wm_parts_of(const wm_parts *parts, wm_box box);

/** Bytes for the pixels of all. */
size_t wm_parts_room(const wm_parts *parts, int bits);

/** The parts of a picture of planes, copied to `room`, one behind the other: out[i] is box[i] by itself. */
void wm_parts_cut(wm_pixels out[WM_PARTS_MOST], const wm_parts *parts, const wm_pixels *whole, unsigned char *room);

#endif
