/* decode: what runs in the guarded child, and what comes back from it. The decoders are not hardened; what they leave in the shared memory is
 * checked like any other input.
 *
 * Alpha is dropped: photos are opaque, and a screenshot's alpha says nothing about colour.
 * HEIC: libheif applies the file's own turns, mirrors and crop; the pixels come out upright. */
#include "photo/decode_internal.h"

#include "photo/container_internal.h"
#include "photo/guard.h"

#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#ifdef WM_HAVE_HEIF
#include <libheif/heif.h>
#endif

/* Zeroed memory: the decoder has read tables that a hostile file never filled. */
static void *zeroed_resize(void *old, size_t old_size, size_t size)
{
    void *new = calloc(size, 1);
    if (new == NULL) return NULL;
    if (old != NULL) memcpy(new, old, old_size < size ? old_size : size);
    free(old);
    return new;
}
#define STBI_MALLOC(size) calloc((size), 1)
#define STBI_REALLOC_SIZED(old, old_size, size) zeroed_resize((old), (old_size), (size))
#define STBI_FREE(memory) free(memory)
#define STBI_ASSERT(truth) ((truth) ? (void)0 : abort())
#define STBI_NO_STDIO
#define STBI_NO_LINEAR
#define STBI_NO_HDR
#define STBI_ONLY_JPEG
#define STBI_ONLY_PNG
#define STB_IMAGE_STATIC
#define STB_IMAGE_IMPLEMENTATION
#pragma GCC diagnostic ignored "-Wunused-function" /* it declares static functions that it leaves out; found out at the end of the file */
#include <stb_image.h>

/* The shared memory begins with this; the pixels follow at PIXELS_AT. */
typedef struct room {
    int width, height;
    int whole; /* 1: the pixels are all there */
    char trouble[120]; /* why not */
} room;
enum { PIXELS_AT = 256 };

static size_t frame_size(int width, int height, int bits) { return (size_t)width * (size_t)height * 3 * (size_t)bits / 8; }

static void *pixels_of(room *r) { return (unsigned char *)r + PIXELS_AT; }

static void trouble(room *r, const char *why)
{
    if (why == NULL) why = "it can't be decoded";
    size_t length = strnlen(why, sizeof r->trouble - 1);
    memcpy(r->trouble, why, length);
    r->trouble[length] = '\0';
}

/* ---- JPEG and PNG ---- */

/* A colour index beyond the palette would show whatever lay on the stack: every palette is filled up to 256 entries with black.
 * The walk has made sure of the chunks. Copy to free; data NULL: memory ran out. */
static wm_bytes palette_filled(const wm_bytes *png)
{
    enum { FULL = 768 };
    wm_bytes out = { calloc(png->size + FULL, 1), 0 };
    size_t at = 8, length = 0;
    if (out.data == NULL) return out;
    for (; memcmp(png->data + at + 4, "PLTE", 4) != 0; at += length + 12)
        length = (size_t)png->data[at] << 24 | (size_t)png->data[at + 1] << 16 | (size_t)png->data[at + 2] << 8 | png->data[at + 3];
    length = (size_t)png->data[at + 2] << 8 | png->data[at + 3];
    memcpy(out.data, png->data, at + 8 + length);
    out.data[at + 2] = FULL >> 8;
    out.data[at + 3] = FULL & 255;
    memcpy(out.data + at + 8 + FULL, png->data + at + 8 + length, png->size - (at + 8 + length));
    out.size = png->size + FULL - length;
    return out;
}

static void decode_stb(room *r, const wm_bytes *bytes, const wm_container *container)
{
    enum { COLOUR_TYPE_AT = 25, PALETTE = 3 };
    wm_bytes filled = { 0 };
    int width = 0, height = 0, channels = 0;
    void *pixels = NULL;
    if (container->kind == WM_CONTAINER_PNG && bytes->data[COLOUR_TYPE_AT] == PALETTE) {
        filled = palette_filled(bytes);
        if (filled.data == NULL) {
            trouble(r, "outofmem");
            return;
        }
        bytes = &filled;
    }
    if (bytes->size > INT32_MAX) trouble(r, "too large");
    else if (container->bits == 16) pixels = stbi_load_16_from_memory(bytes->data, (int)bytes->size, &width, &height, &channels, 3);
    else pixels = stbi_load_from_memory(bytes->data, (int)bytes->size, &width, &height, &channels, 3);
    if (pixels == NULL && bytes->size <= INT32_MAX) trouble(r, stbi_failure_reason());
    if (pixels != NULL && width == container->width && height == container->height) {
        memcpy(pixels_of(r), pixels, frame_size(width, height, container->bits));
        r->width = width;
        r->height = height;
        r->whole = 1;
    }
    stbi_image_free(pixels);
    free(filled.data);
}

/* ---- HEIC ---- */

#ifdef WM_HAVE_HEIF

static void copy_heif(room *r, const struct heif_image *image, const wm_container *container)
{
    int stride = 0, width = heif_image_get_primary_width(image), height = heif_image_get_primary_height(image);
    const unsigned char *plane = heif_image_get_plane_readonly(image, heif_channel_interleaved, &stride);
    if (plane == NULL || width < 1 || height < 1 || (double)width * height > (double)container->width * container->height) {
        trouble(r, "its picture is not of the size that it says");
        return;
    }
    for (int y = 0; y < height; y++)
        memcpy((unsigned char *)pixels_of(r) + (size_t)y * (size_t)width * 3, plane + (size_t)y * (size_t)stride, (size_t)width * 3);
    r->width = width;
    r->height = height;
    r->whole = 1;
}

static void decode_heif(room *r, const wm_bytes *bytes, const wm_container *container)
{
    struct heif_image_handle *handle = NULL;
    struct heif_image *image = NULL;
    struct heif_decoding_options *options = heif_decoding_options_alloc();
    struct heif_context *context = heif_context_alloc();
    if (options == NULL || context == NULL) {
        trouble(r, "outofmem");
        goto done;
    }
    options->convert_hdr_to_8bit = 1;
    heif_context_set_max_decoding_threads(context, 0);
    struct heif_error error = heif_context_read_from_memory_without_copy(context, bytes->data, bytes->size, NULL);
    if (error.code == heif_error_Ok) error = heif_context_get_primary_image_handle(context, &handle);
    if (error.code == heif_error_Ok) error = heif_decode_image(handle, &image, heif_colorspace_RGB, heif_chroma_interleaved_RGB, options);
    if (error.code == heif_error_Ok) copy_heif(r, image, container);
    else trouble(r, error.message);
done:
    heif_image_release(image);
    heif_image_handle_release(handle);
    heif_context_free(context);
    heif_decoding_options_free(options);
}

#endif

/* ---- The child and back ---- */

typedef struct job {
    room *room;
    const wm_bytes *bytes;
    const wm_container *container;
} job;

static void prepare(void *data)
{
    const job *j = data;
    (void)j;
#ifdef WM_HAVE_HEIF
    if (j->container->kind == WM_CONTAINER_HEIC) (void)heif_init(NULL); /* may look for plug-ins */
#endif
}

static void work(void *data)
{
    const job *j = data;
#ifdef WM_HAVE_HEIF
    if (j->container->kind == WM_CONTAINER_HEIC) {
        decode_heif(j->room, j->bytes, j->container);
        return;
    }
#endif
    decode_stb(j->room, j->bytes, j->container);
}

static wm_status report(const room *r, const wm_container *container, wm_error *err)
{
    char why[sizeof r->trouble];
    memcpy(why, r->trouble, sizeof why);
    why[sizeof why - 1] = '\0';
    if (strcmp(why, "outofmem") == 0)
        return wm_fail(err, WM_E_PHOTO, "not enough memory to decode %d x %d pixels; use a smaller photo", container->width, container->height);
    return wm_fail_damaged(err, container->kind, why[0] != '\0' ? why : "the decoder broke down on it");
}

/* Far above what any sound photo takes on a slow machine: 30 s and a second a megapixel; eight copies at 16 bit. */
static wm_status decode_guarded(job *j, wm_error *err)
{
    double pixels = (double)j->container->width * j->container->height;
    wm_guard_task task = { prepare, work, j, 30 + (unsigned)(pixels / 1e6), (size_t)pixels * 48 };
    switch (wm_guard_run(&task)) {
    case WM_GUARD_DONE: return WM_OK;
    case WM_GUARD_DIED: return report(j->room, j->container, err);
    case WM_GUARD_SLOW:
        return wm_fail(err, WM_E_PHOTO, "decoding takes longer than %u seconds; use a smaller photo or save it again", task.seconds);
    case WM_GUARD_UNLOCKED:
        return wm_fail(err, WM_E_PHOTO, "this system can't lock the photo decoder in; build with -Dsandbox=disabled to decode without");
    case WM_GUARD_NO_CHILD: break;
    }
    return wm_fail_memory(err);
}

static wm_status decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, bool guarded, wm_error *err)
{
    size_t most = frame_size(container->width, container->height, container->bits);
    room *r = mmap(NULL, PIXELS_AT + most, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (r == MAP_FAILED) return wm_fail_memory(err);
    job j = { r, bytes, container };
    wm_status status = WM_OK;
    if (guarded) status = decode_guarded(&j, err);
    else work(&j);
    bool whole = r->whole == 1 && r->width > 0 && r->height > 0 && frame_size(r->width, r->height, container->bits) <= most;
    if (status == WM_OK && !whole) status = report(r, container, err);
    if (status != WM_OK) {
        (void)munmap(r, PIXELS_AT + most);
        return status;
    }
    *out = (wm_pixels){ r->width, r->height, container->bits, pixels_of(r), r, PIXELS_AT + most };
    return WM_OK;
}

wm_status wm_decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err)
{
    return decode(out, bytes, container, true, err);
}

wm_status wm_decode_unguarded(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err)
{
    return decode(out, bytes, container, false, err);
}

void wm_pixels_free(wm_pixels *pixels)
{
    if (pixels == NULL || pixels->map == NULL) return;
    (void)munmap(pixels->map, pixels->map_size);
    *pixels = (wm_pixels){ 0 };
}
