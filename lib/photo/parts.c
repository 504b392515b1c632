#include "photo/parts.h"

#include <string.h>

enum { SAMPLES = 12 }; /* of 1, 2, 3 or 4 pixels: a part begins with a whole one in every plane */
enum { AROUND = 4 };   /* of chroma in a quarter of the samples, the nearest and the next lie so near */

static int ends(int at, int size)
{
    return at + size;
}

static wm_box between(int left, int top, int right, int bottom)
{
    return (wm_box){ left, top, right - left, bottom - top };
}

static int within(int at, int most)
{
    return at < 0 ? 0 : at < most ? at : most;
}

static wm_box clipped(wm_box box, int width, int height)
{
    return between(within(box.x, width), within(box.y, height), within(ends(box.x, box.width), width),
                   within(ends(box.y, box.height), height));
}

static wm_box grown(wm_box box, int by)
{
    return (wm_box){ box.x - by, box.y - by, box.width + 2 * by, box.height + 2 * by };
}

static wm_box with_around(wm_box box, wm_upright how)
{
    return clipped(grown(box, AROUND), how.width, how.height);
}

static wm_box in_whole_samples(wm_box box, wm_upright how)
{
    const int right = (ends(box.x, box.width) + SAMPLES - 1) / SAMPLES * SAMPLES,
              bottom = (ends(box.y, box.height) + SAMPLES - 1) / SAMPLES * SAMPLES;
    return clipped(between(box.x / SAMPLES * SAMPLES, box.y / SAMPLES * SAMPLES, right, bottom), how.width, how.height);
}

static bool meet(wm_box a, wm_box b)
{
    return a.x < ends(b.x, b.width) && b.x < ends(a.x, a.width) && a.y < ends(b.y, b.height) &&
           b.y < ends(a.y, a.height);
}

static wm_box joined(wm_box a, wm_box b)
{
    const int left = a.x < b.x ? a.x : b.x, top = a.y < b.y ? a.y : b.y;
    const int right_a = ends(a.x, a.width), right_b = ends(b.x, b.width);
    const int bottom_a = ends(a.y, a.height), bottom_b = ends(b.y, b.height);
    return between(left, top, right_a > right_b ? right_a : right_b, bottom_a > bottom_b ? bottom_a : bottom_b);
}

/* What it meets becomes one with it, and so does another where no more fit. */
static void add(wm_parts *parts, wm_box box)
{
    for (int i = parts->count - 1; i >= 0; i--)
        if (meet(parts->box[i], box) || parts->count == WM_PARTS_MOST) {
            box = joined(parts->box[i], box);
            parts->box[i] = parts->box[--parts->count];
            i = parts->count;
        }
    parts->box[parts->count++] = box;
}

static bool is_most(const wm_parts *parts, wm_upright how)
{
    double pixels = 0;
    for (int i = 0; i < parts->count; i++)
        pixels += (double)parts->box[i].width * parts->box[i].height;
    return pixels > 0.5 * how.width * how.height;
}

wm_parts wm_parts_around(wm_boxes boxes, wm_upright how)
{
    wm_parts parts = { 0 };
    const bool swapped = wm_upright_swapped(how);
    for (size_t i = 0; i < boxes.count; i++) {
        const wm_box box = clipped(boxes.at[i], swapped ? how.height : how.width, swapped ? how.width : how.height);
        if (box.width > 0 && box.height > 0)
            add(&parts, in_whole_samples(with_around(wm_upright_box(how, box), how), how));
    }
    if (is_most(&parts, how))
        parts.count = 0;
    return parts;
}

int wm_parts_of(const wm_parts *parts, wm_box box)
{
    for (int i = 0; i < parts->count; i++) {
        const wm_box *part = &parts->box[i];
        if (box.x >= part->x && box.y >= part->y && ends(box.x, box.width) <= ends(part->x, part->width) &&
            ends(box.y, box.height) <= ends(part->y, part->height))
            return i;
    }
    return -1;
}

int wm_parts_with(const wm_parts *parts, wm_box box, wm_upright how)
{
    return wm_parts_of(parts, with_around(box, how));
}

size_t wm_parts_room(const wm_parts *parts, int bits)
{
    size_t room = 0;
    for (int i = 0; i < parts->count; i++)
        room += wm_pixels_room(parts->box[i].width, parts->box[i].height, bits);
    return room;
}

/* Returns where the next plane goes. */
static size_t cut_plane(wm_plane *out, const wm_plane *from, wm_box box, const unsigned char *data, size_t at,
                        unsigned char *room)
{
    *out = (wm_plane){ at,
                       (size_t)((box.width + from->across - 1) / from->across),
                       0,
                       (box.height + from->down - 1) / from->down,
                       from->across,
                       from->down };
    out->width = (int)out->stride;
    for (int y = 0; y < out->height; y++)
        memcpy(room + at + (size_t)y * out->stride,
               data + from->at + (size_t)(box.y / from->down + y) * from->stride + (size_t)(box.x / from->across),
               out->stride);
    return at + out->stride * (size_t)out->height;
}

void wm_parts_cut(wm_pixels out[WM_PARTS_MOST], const wm_parts *parts, const wm_pixels *whole, unsigned char *room)
{
    size_t at = 0;
    for (int i = 0; i < parts->count; i++) {
        out[i] = *whole;
        out[i].width = parts->box[i].width;
        out[i].height = parts->box[i].height;
        for (int c = 0; c < whole->planes; c++)
            at = cut_plane(&out[i].plane[c], &whole->plane[c], parts->box[i], whole->data, at, room);
    }
}
