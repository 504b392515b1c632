/* photo: the upright picture is never made; a pixel is looked up where it is stored, and only what is asked for is
 * converted. */
#include "photo/photo_internal.h"

#include "core/buf.h"
#include "photo/container_internal.h"
#include "photo/helper.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 256 };

/* Of the stored picture as a whole; only HEIC's may be smaller than what its facts say, and is never in parts. */
static wm_upright upright_of(const wm_photo *p)
{
    const wm_container *c = &p->reply->container;
    const wm_pixels *whole = &p->reply->pixels[0];
    const bool parts = p->reply->parts.count > 0;
    return (wm_upright){ c->orientation, parts ? c->width : whole->width, parts ? c->height : whole->height };
}

/* ---- Opening ---- */

static const wm_photo_limits usual = WM_PHOTO_LIMITS_DEFAULT;

/* Asked before reading, so that the message can name the setting. */
static wm_status read_file(wm_bytes *out, const char *path, const wm_photo_limits *limits, wm_error *err)
{
    double bytes = limits->max_file_mib * 1024.0 * 1024.0;
    size_t most = bytes < 1e15 ? (size_t)bytes : SIZE_MAX;
    if (wm_file_larger(path, most))
        return wm_fail_file_limit(err, limits);
    return wm_file_read(out, path, most, WM_E_PHOTO, err);
}

const wm_photo_limits *wm_photo_limits_or_usual(const wm_photo_limits *limits)
{
    return limits ? limits : &usual;
}

wm_status wm_photo_new(wm_photo **out, const wm_bytes *bytes, const char *name, const wm_photo_limits *limits,
                       wm_error *err)
{
    if ((double)bytes->size > limits->max_file_mib * 1024.0 * 1024.0)
        return wm_fail_file_limit(err, limits);
    wm_photo *photo = calloc(1, sizeof *photo);
    if (!photo)
        return wm_fail_memory(err);
    wm_text_keep(photo->file, sizeof photo->file, wm_file_base_name(name));
    *out = photo;
    return WM_OK;
}

wm_status wm_photo_done(wm_photo **out, wm_photo *photo, wm_status status, const char *name, wm_error *err)
{
    if (!status) {
        *out = photo;
        return WM_OK;
    }
    if (err && err->file[0] == '\0')
        wm_text_keep(err->file, sizeof err->file, name);
    wm_photo_close(photo);
    return status;
}

const char *wm_photo_wall(void)
{
#ifdef WM_HAVE_SECCOMP
    return "read by a program of its own, locked in by seccomp";
#else
    return "read by a program of its own, not locked in (built with -Dsandbox=disabled)";
#endif
}

static void give_back(wm_photo *photo)
{
    wm_taken taken = { photo->reply, photo->room };
    wm_taken_free(&taken);
}

/* The photo's digest is worked out while the helper is at work. */
static wm_status take(wm_photo *photo, const wm_bytes *bytes, wm_boxes wanted, const wm_photo_limits *limits,
                      wm_error *err)
{
    wm_helper *helper = NULL;
    wm_taken taken = { 0 };
    wm_status status = wm_helper_start(&helper, bytes, limits, err);
    if (status)
        return status;
    wm_sha256_hex(photo->sha256, bytes->data, bytes->size);
    status = wm_helper_finish(&taken, helper, wanted, err);
    photo->reply = taken.reply;
    photo->room = taken.room;
    photo->give_back = give_back;
    return status;
}

static wm_status open_bytes(wm_photo **out, const wm_bytes *bytes, const char *name, wm_boxes wanted,
                            const wm_photo_limits *limits, wm_error *err)
{
    wm_photo *photo = NULL;
    wm_status status = wm_photo_new(&photo, bytes, name, limits, err);
    if (!status)
        status = take(photo, bytes, wanted, limits, err);
    return wm_photo_done(out, photo, status, name, err);
}

wm_status wm_photo_open_bytes(wm_photo **out, const wm_bytes *bytes, const char *name, const wm_photo_limits *limits,
                              wm_error *err)
{
    return open_bytes(out, bytes, name, (wm_boxes){ 0 }, wm_photo_limits_or_usual(limits), err);
}

wm_status wm_photo_open_parts(wm_photo **out, const char *path, wm_boxes wanted, const wm_photo_limits *limits,
                              wm_error *err)
{
    wm_bytes bytes = { 0 };
    limits = wm_photo_limits_or_usual(limits);
    wm_status status = read_file(&bytes, path, limits, err);
    if (!status)
        status = open_bytes(out, &bytes, path, wanted, limits, err);
    else if (err && err->file[0] == '\0')
        wm_text_keep(err->file, sizeof err->file, path);
    wm_bytes_free(&bytes);
    return status;
}

wm_status wm_photo_open(wm_photo **out, const char *path, const wm_photo_limits *limits, wm_error *err)
{
    return wm_photo_open_parts(out, path, (wm_boxes){ 0 }, limits, err);
}

void wm_photo_close(wm_photo *photo)
{
    if (!photo)
        return;
    if (photo->give_back)
        photo->give_back(photo);
    free(photo);
}

int wm_photo_width(const wm_photo *photo)
{
    return wm_photo_facts_of(photo).width;
}

int wm_photo_height(const wm_photo *photo)
{
    return wm_photo_facts_of(photo).height;
}

wm_photo_facts wm_photo_facts_of(const wm_photo *photo)
{
    const wm_container *c = &photo->reply->container;
    const wm_upright p = upright_of(photo);
    const bool whole = (c->exif_width == p.width && c->exif_height == p.height) ||
                       (c->exif_width == p.height && c->exif_height == p.width);
    return (wm_photo_facts){ .file = photo->file,
                             .sha256 = photo->sha256,
                             .width = wm_upright_swapped(p) ? p.height : p.width,
                             .height = wm_upright_swapped(p) ? p.width : p.height,
                             .orientation = c->orientation,
                             .profile = photo->reply->profile.name,
                             .profile_assumed = photo->reply->profile.assumed,
                             .camera = c->camera,
                             .taken = c->taken,
                             .flash = c->flash,
                             .white_balance = c->white_balance,
                             .jpeg_quality = c->jpeg_quality,
                             .resized = c->exif_width > 0 && !whole,
                             .noise = photo->reply->noise };
}

/* ---- Reading ---- */

bool wm_photo_has(const wm_photo *photo, wm_box box)
{
    const wm_parts *parts = &photo->reply->parts;
    const wm_upright how = upright_of(photo);
    return parts->count == 0 || wm_parts_with(parts, wm_upright_box(how, box), how) >= 0;
}

/* The pixels that a run of upright pixels lies in, and where there; NULL: they are not there. */
static const wm_pixels *pixels_of(const wm_photo *photo, int x, int y, wm_pixel_run *run)
{
    const wm_parts *parts = &photo->reply->parts;
    const wm_upright how = upright_of(photo);
    const int count = run->count;
    *run = wm_upright_run(how, x, y, count);
    if (parts->count == 0)
        return &photo->reply->pixels[0];
    const int part = wm_parts_of(parts, wm_upright_box(how, (wm_box){ x, y, count, 1 }));
    if (part < 0)
        return NULL;
    run->x -= parts->box[part].x;
    run->y -= parts->box[part].y;
    return &photo->reply->pixels[part];
}

void wm_photo_read(const wm_photo *photo, int x, int y, int count, wm_rgb *linear, double *encoded)
{
    double values[3 * BLOCK] = { 0 };
    for (int done = 0; done < count; done += BLOCK) {
        int now = count - done < BLOCK ? count - done : BLOCK;
        double *into = encoded ? encoded + 3 * (size_t)done : values;
        wm_pixel_run run = { .count = now };
        const wm_pixels *pixels = pixels_of(photo, x + done, y, &run);
        if (pixels)
            wm_pixels_encoded(pixels, run, into);
        else
            memset(into, 0, 3 * (size_t)now * sizeof *into);
        if (linear)
            wm_profile_to_linear(&photo->reply->profile, linear + done, into, (size_t)now);
    }
}

void wm_photo_to_linear(const wm_photo *photo, wm_rgb *linear, const double *encoded, int count)
{
    wm_profile_to_linear(&photo->reply->profile, linear, encoded, (size_t)count);
}

/* ---- The reduced picture ---- */

static double overlap(double a0, double a1, double b0, double b1)
{
    double low = a0 > b0 ? a0 : b0, high = a1 < b1 ? a1 : b1;
    return high > low ? high - low : 0.0;
}

/* Here and not wm_rgb_add of wm_rgb_scale: it runs for every pixel of the photo. */
static void add_weighted(wm_rgb *sum, const wm_rgb *sample, double weight)
{
    sum->r += weight * sample->r;
    sum->g += weight * sample->g;
    sum->b += weight * sample->b;
}

/* Means of `to` equal stretches of a row of `from` samples; a sample across a border counts for each side as far as it
 * lies there. */
static void reduce_row(wm_rgb *out, int to, const wm_rgb *samples, int from)
{
    double scale = (double)from / to;
    for (int i = 0; i < to; i++) {
        double start = i * scale, end = (i + 1) * scale;
        wm_rgb sum = { 0, 0, 0 };
        for (int k = (int)start; k < from && k < end; k++)
            add_weighted(&sum, &samples[k], overlap(start, end, k, k + 1.0) / scale);
        out[i] = sum;
    }
}

/* Rows in use while reducing, all in one allocation. */
typedef struct rows {
    uint16_t *codes; /* a stored row */
    wm_rgb *linear;  /* the same in linear light */
    wm_rgb *sum;     /* of the stored rows that a row of the picture lies over */
    wm_rgb *reduced; /* the same at the picture's width */
    int have;        /* which stored row `linear` holds, -1 none */
} rows;

static void add_row(const wm_photo *photo, rows *r, int y, double weight)
{
    const wm_pixels *pixels = &photo->reply->pixels[0];
    if (r->have != y) {
        wm_pixels_row16(pixels, y, r->codes);
        wm_profile_sketch(&photo->reply->profile, r->linear, r->codes, (size_t)pixels->width);
        r->have = y;
    }
    for (int x = 0; x < pixels->width; x++)
        add_weighted(&r->sum[x], &r->linear[x], weight);
}

/* data: the picture as stored, `small` its size. */
static void reduce_stored(const wm_photo *photo, rows *r, wm_upright small, wm_srgb8 *data)
{
    const wm_pixels *pixels = &photo->reply->pixels[0];
    const double scale = (double)pixels->height / small.height;
    for (int i = 0; i < small.height; i++, data += small.width) {
        const double start = i * scale, end = (i + 1) * scale;
        memset(r->sum, 0, (size_t)pixels->width * sizeof *r->sum);
        for (int y = (int)start; y < pixels->height && y < end; y++)
            add_row(photo, r, y, overlap(start, end, y, y + 1.0) / scale);
        reduce_row(r->reduced, small.width, r->sum, pixels->width);
        wm_rgb_to_srgb8_many(data, r->reduced, (size_t)small.width);
    }
}

static wm_upright reduced_frame(const wm_photo *photo, int max_side)
{
    wm_upright f = upright_of(photo);
    int longest = f.width > f.height ? f.width : f.height;
    if (longest <= max_side)
        return f;
    double scale = (double)max_side / longest;
    int width = (int)lround(f.width * scale), height = (int)lround(f.height * scale);
    return (wm_upright){ f.orientation, width > 0 ? width : 1, height > 0 ? height : 1 };
}

wm_status wm_photo_reduce(wm_picture *out, const wm_photo *photo, int max_side, wm_error *err)
{
    if (max_side < 1)
        return wm_fail(err, WM_E_BUG, "a picture of %d pixels was asked for; ask for at least 1", max_side);
    if (photo->reply->parts.count > 0)
        return wm_fail(err, WM_E_BUG, "a picture was asked for of a photo that is read in parts; open all of it");
    wm_upright small = reduced_frame(photo, max_side);
    size_t from = (size_t)photo->reply->pixels[0].width, to = (size_t)small.width, cells = to * (size_t)small.height;
    wm_picture picture = { wm_upright_swapped(small) ? small.height : small.width,
                           wm_upright_swapped(small) ? small.width : small.height, malloc(3 * cells) };
    wm_rgb *room = malloc((2 * from + to) * sizeof *room + 3 * from * sizeof(uint16_t));
    wm_srgb8 *stored = malloc(cells * sizeof *stored);
    if (!picture.data || !room || !stored) {
        free(picture.data);
        free(room);
        free(stored);
        return wm_fail_memory(err);
    }
    rows r = { (uint16_t *)(room + 2 * from + to), room, room + from, room + 2 * from, -1 };
    reduce_stored(photo, &r, small, stored);
    unsigned char *data = picture.data;
    for (int y = 0; y < picture.height; y++)
        for (int x = 0; x < picture.width; x++, data += 3)
            memcpy(data, &stored[wm_upright_index(small, x, y)], 3);
    free(room);
    free(stored);
    *out = picture;
    return WM_OK;
}

void wm_picture_free(wm_picture *picture)
{
    if (!picture)
        return;
    free(picture->data);
    *picture = (wm_picture){ 0 };
}
