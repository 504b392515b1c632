/* photo: the upright picture is never made; a pixel is looked up where it is stored, and only what is asked for is converted. */
#include "photo/photo.h"

#include "photo/container_internal.h"
#include "photo/decode.h"
#include "photo/profile.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 256 };

struct wm_photo {
    char file[256];
    char sha256[65];
    wm_container container;
    wm_pixels pixels;
    wm_profile *profile;
};

/* EXIF orientation as a way from upright to stored: swap x and y, then turn each axis round or not. */
typedef struct frame { int orientation, width, height; } frame; /* width and height as stored */

static frame frame_of(const wm_photo *p) { return (frame){ p->container.orientation, p->pixels.width, p->pixels.height }; }
static bool swapped(frame f) { return f.orientation >= 5; }
static bool turned_x(frame f) { return f.orientation == 2 || f.orientation == 3 || f.orientation == 7 || f.orientation == 8; }
static bool turned_y(frame f) { return f.orientation == 3 || f.orientation == 4 || f.orientation == 6 || f.orientation == 7; }

/* Index of the stored pixel at upright (x, y). */
static size_t stored_at(frame f, int x, int y)
{
    int stored_x = swapped(f) ? y : x, stored_y = swapped(f) ? x : y;
    if (turned_x(f)) stored_x = f.width - 1 - stored_x;
    if (turned_y(f)) stored_y = f.height - 1 - stored_y;
    return (size_t)stored_y * (size_t)f.width + (size_t)stored_x;
}

/* How far the stored index goes with one upright step to the right. */
static ptrdiff_t stored_step(frame f)
{
    if (swapped(f)) return turned_y(f) ? -(ptrdiff_t)f.width : (ptrdiff_t)f.width;
    return turned_x(f) ? -1 : 1;
}

/* ---- Opening ---- */

/* Asked before reading, so that the message can name the setting. */
static wm_status read_file(wm_bytes *out, const char *path, const wm_photo_limits *limits, wm_error *err)
{
    double bytes = limits->max_file_mib * 1024.0 * 1024.0;
    size_t most = bytes < 1e15 ? (size_t)bytes : SIZE_MAX;
    if (wm_file_larger(path, most)) return wm_fail_file_limit(err, limits);
    return wm_file_read(out, path, most, WM_E_PHOTO, err);
}

static wm_status open_bytes(wm_photo *photo, const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err)
{
    wm_status status = wm_container_scan(&photo->container, bytes, limits, err);
    if (status == WM_OK) status = wm_profile_open(&photo->profile, &photo->container, err);
    if (status == WM_OK) status = wm_decode(&photo->pixels, bytes, &photo->container, err);
    if (status == WM_OK) wm_sha256_hex(photo->sha256, bytes->data, bytes->size);
    return status;
}

static void keep_text(char *out, size_t room, const char *text)
{
    size_t length = strnlen(text, room - 1);
    memcpy(out, text, length);
    out[length] = '\0';
}

wm_status wm_photo_open(wm_photo **out, const char *path, const wm_photo_limits *limits, wm_error *err)
{
    static const wm_photo_limits usual = WM_PHOTO_LIMITS_DEFAULT;
    wm_bytes bytes = { 0 };
    if (limits == NULL) limits = &usual;
    wm_photo *photo = calloc(1, sizeof *photo);
    wm_status status = photo == NULL ? wm_fail_memory(err) : read_file(&bytes, path, limits, err);
    if (status == WM_OK) status = open_bytes(photo, &bytes, limits, err);
    wm_bytes_free(&bytes);
    if (status != WM_OK) {
        if (err != NULL && err->file[0] == '\0') keep_text(err->file, sizeof err->file, path);
        wm_photo_free(photo);
        return status;
    }
    keep_text(photo->file, sizeof photo->file, wm_file_base_name(path));
    *out = photo;
    return WM_OK;
}

void wm_photo_free(wm_photo *photo)
{
    if (photo == NULL) return;
    wm_pixels_free(&photo->pixels);
    wm_profile_free(photo->profile);
    wm_container_free(&photo->container);
    free(photo);
}

wm_photo_facts wm_photo_facts_of(const wm_photo *photo)
{
    const wm_container *c = &photo->container;
    const wm_pixels *p = &photo->pixels;
    bool whole = (c->exif_width == p->width && c->exif_height == p->height) || (c->exif_width == p->height && c->exif_height == p->width);
    return (wm_photo_facts){
        .file = photo->file,
        .sha256 = photo->sha256,
        .width = swapped(frame_of(photo)) ? p->height : p->width,
        .height = swapped(frame_of(photo)) ? p->width : p->height,
        .orientation = c->orientation,
        .profile = wm_profile_name(photo->profile),
        .profile_assumed = wm_profile_assumed(photo->profile),
        .camera = c->camera,
        .taken = c->taken,
        .flash = c->flash,
        .white_balance = c->white_balance,
        .jpeg_quality = c->jpeg_quality,
        .resized = c->exif_width > 0 && !whole };
}

/* ---- Reading ---- */

static void read_8(const wm_photo *photo, size_t at, size_t count, wm_rgb *linear, double *encoded)
{
    unsigned char run[3 * BLOCK] = { 0 };
    const unsigned char *data = photo->pixels.data;
    ptrdiff_t step = stored_step(frame_of(photo));
    for (size_t i = 0; i < count; i++) memcpy(run + 3 * i, data + 3 * (at + (size_t)((ptrdiff_t)i * step)), 3);
    if (linear != NULL) wm_profile_bytes_to_linear(photo->profile, linear, run, count);
    for (size_t i = 0; encoded != NULL && i < 3 * count; i++) encoded[i] = run[i] / 255.0;
}

static void read_16(const wm_photo *photo, size_t at, size_t count, wm_rgb *linear, double *encoded)
{
    double run[3 * BLOCK] = { 0 };
    const uint16_t *data = photo->pixels.data;
    ptrdiff_t step = stored_step(frame_of(photo));
    for (size_t i = 0; i < count; i++)
        for (size_t c = 0; c < 3; c++) run[3 * i + c] = data[3 * (at + (size_t)((ptrdiff_t)i * step)) + c] / 65535.0;
    if (linear != NULL) wm_profile_to_linear(photo->profile, linear, run, count);
    if (encoded != NULL) memcpy(encoded, run, 3 * count * sizeof *run);
}

void wm_photo_read(const wm_photo *photo, int x, int y, int count, wm_rgb *linear, double *encoded)
{
    for (int done = 0; done < count; done += BLOCK) {
        size_t at = stored_at(frame_of(photo), x + done, y), now = (size_t)(count - done < BLOCK ? count - done : BLOCK);
        if (photo->pixels.bits == 16) read_16(photo, at, now, linear, encoded);
        else read_8(photo, at, now, linear, encoded);
        if (linear != NULL) linear += now;
        if (encoded != NULL) encoded += 3 * now;
    }
}

/* ---- The reduced picture ---- */

static double overlap(double a0, double a1, double b0, double b1)
{
    double low = a0 > b0 ? a0 : b0, high = a1 < b1 ? a1 : b1;
    return high > low ? high - low : 0.0;
}

/* Means of `to` equal stretches of a row of `from` samples; a sample across a border counts for each side as far as it lies there. */
static void reduce_row(wm_rgb *out, int to, const wm_rgb *samples, int from)
{
    double scale = (double)from / to;
    for (int i = 0; i < to; i++) {
        double start = i * scale, end = (i + 1) * scale;
        wm_rgb sum = { 0, 0, 0 };
        for (int k = (int)start; k < from && k < end; k++) {
            double weight = overlap(start, end, k, k + 1.0);
            sum.r += weight * samples[k].r;
            sum.g += weight * samples[k].g;
            sum.b += weight * samples[k].b;
        }
        out[i] = wm_rgb_scale(sum, 1.0 / scale);
    }
}

/* Rows in use while reducing, all in one allocation. */
typedef struct rows {
    wm_rgb *linear;       /* a stored row */
    wm_rgb *reduced;      /* the same at the picture's width */
    wm_rgb *sum;          /* of the picture's row */
    int have;             /* which stored row `reduced` holds, -1 none */
} rows;

static void add_row(const wm_photo *photo, rows *r, int width, int y, double weight)
{
    if (r->have != y) {
        const wm_pixels *p = &photo->pixels;
        size_t row_bytes = (size_t)p->width * 3 * (size_t)p->bits / 8;
        wm_profile_sketch(photo->profile, r->linear, (const unsigned char *)p->data + (size_t)y * row_bytes, p->bits, (size_t)p->width);
        reduce_row(r->reduced, width, r->linear, p->width);
        r->have = y;
    }
    for (int x = 0; x < width; x++) r->sum[x] = wm_rgb_add(r->sum[x], wm_rgb_scale(r->reduced[x], weight));
}

/* data: the picture as stored, `small` its size. */
static void reduce_stored(const wm_photo *photo, rows *r, frame small, wm_srgb8 *data)
{
    double scale = (double)photo->pixels.height / small.height;
    for (int i = 0; i < small.height; i++) {
        double start = i * scale, end = (i + 1) * scale;
        memset(r->sum, 0, (size_t)small.width * sizeof *r->sum);
        for (int y = (int)start; y < photo->pixels.height && y < end; y++)
            add_row(photo, r, small.width, y, overlap(start, end, y, y + 1.0) / scale);
        for (int x = 0; x < small.width; x++) *data++ = wm_rgb_to_srgb8(r->sum[x]);
    }
}

static frame reduced_frame(const wm_photo *photo, int max_side)
{
    frame f = frame_of(photo);
    int longest = f.width > f.height ? f.width : f.height;
    if (longest <= max_side) return f;
    double scale = (double)max_side / longest;
    int width = (int)lround(f.width * scale), height = (int)lround(f.height * scale);
    return (frame){ f.orientation, width > 0 ? width : 1, height > 0 ? height : 1 };
}

wm_status wm_photo_reduce(wm_picture *out, const wm_photo *photo, int max_side, wm_error *err)
{
    if (max_side < 1) return wm_fail(err, WM_E_BUG, "a picture of %d pixels was asked for; ask for at least 1", max_side);
    frame small = reduced_frame(photo, max_side);
    size_t from = (size_t)photo->pixels.width, to = (size_t)small.width, cells = to * (size_t)small.height;
    wm_picture picture = { swapped(small) ? small.height : small.width, swapped(small) ? small.width : small.height, malloc(3 * cells) };
    wm_rgb *room = malloc((from + 2 * to) * sizeof *room);
    wm_srgb8 *stored = malloc(cells * sizeof *stored);
    if (picture.data == NULL || room == NULL || stored == NULL) {
        free(picture.data);
        free(room);
        free(stored);
        return wm_fail_memory(err);
    }
    rows r = { room, room + from, room + from + to, -1 };
    reduce_stored(photo, &r, small, stored);
    unsigned char *data = picture.data;
    for (int y = 0; y < picture.height; y++)
        for (int x = 0; x < picture.width; x++, data += 3) memcpy(data, &stored[stored_at(small, x, y)], 3);
    free(room);
    free(stored);
    *out = picture;
    return WM_OK;
}

void wm_picture_free(wm_picture *picture)
{
    if (picture == NULL) return;
    free(picture->data);
    *picture = (wm_picture){ 0 };
}
