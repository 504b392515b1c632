/* decode: what runs in the guarded child, and what comes back from it. The decoders are not hardened; what they leave
 * in the shared memory is checked like any other input.
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
    if (new == NULL)
        return NULL;
    if (old != NULL)
        memcpy(new, old, old_size < size ? old_size : size);
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
#pragma GCC diagnostic ignored                                                                                         \
    "-Wunused-function" /* it declares static functions that it leaves out; found out at the end of the file */
#include <stb_image.h>

/* The shared memory begins with this; the pixels follow at PIXELS_AT. */
typedef struct room {
    int width, height;
    int whole; /* 1: the pixels are all there */
    int is_ycbcr, narrow;
    double kr, kb;
    char trouble[120]; /* why not */
} room;
enum { PIXELS_AT = 256 };

static size_t frame_size(int width, int height, int bits)
{
    return (size_t)width * (size_t)height * 3 * (size_t)bits / 8;
}

static void *pixels_of(room *r)
{
    return (unsigned char *)r + PIXELS_AT;
}

static void trouble(room *r, const char *why)
{
    if (why == NULL)
        why = "it can't be decoded";
    size_t length = strnlen(why, sizeof r->trouble - 1);
    memcpy(r->trouble, why, length);
    r->trouble[length] = '\0';
}

/* ---- JPEG and PNG ---- */

/* A colour index beyond the palette would show whatever lay on the stack: every palette is filled up to 256 entries
 * with black. The walk has made sure of the chunks. Copy to free; data NULL: memory ran out. */
static wm_bytes palette_filled(const wm_bytes *png)
{
    enum { FULL = 768 };
    wm_bytes out = { calloc(png->size + FULL, 1), 0 };
    size_t at = 8, length = 0;
    if (out.data == NULL)
        return out;
    for (; memcmp(png->data + at + 4, "PLTE", 4) != 0; at += length + 12)
        length = (size_t)png->data[at] << 24 | (size_t)png->data[at + 1] << 16 | (size_t)png->data[at + 2] << 8 |
                 png->data[at + 3];
    length = (size_t)png->data[at + 2] << 8 | png->data[at + 3];
    memcpy(out.data, png->data, at + 8 + length);
    out.data[at + 2] = FULL >> 8;
    out.data[at + 3] = FULL & 255;
    memcpy(out.data + at + 8 + FULL, png->data + at + 8 + length, png->size - (at + 8 + length));
    out.size = png->size + FULL - length;
    return out;
}

/* In place of stb's own conversion, which rounds. The fourth byte is the next pixel's. */
static void keep_ycbcr(unsigned char *out, const unsigned char *y, const unsigned char *cb, const unsigned char *cr,
                       int count, int step)
{
    for (int i = 0; i < count; i++, out += step) {
        out[0] = y[i];
        out[1] = cb[i];
        out[2] = cr[i];
    }
}

/* The one place that reaches into stb, which has no other way to give YCbCr. */
static unsigned char *load_jpeg(room *r, const wm_bytes *bytes, int *width, int *height)
{
    int channels;
    stbi__context context;
    stbi__jpeg *jpeg = calloc(1, sizeof *jpeg);
    if (jpeg == NULL) {
        trouble(r, "outofmem");
        return NULL;
    }
    stbi__start_mem(&context, bytes->data, (int)bytes->size);
    jpeg->s = &context;
    stbi__setup_jpeg(jpeg);
    jpeg->YCbCr_to_RGB_kernel = keep_ycbcr;
    unsigned char *pixels = load_jpeg_image(jpeg, width, height, &channels, 3);
    r->is_ycbcr = pixels != NULL && channels == 3 && jpeg->rgb != 3 && (jpeg->app14_color_transform != 0 || jpeg->jfif);
    r->kr = 0.299; /* JFIF; ITU-T T.871, 7 */
    r->kb = 0.114;
    free(jpeg);
    return pixels;
}

static void *load_png(room *r, const wm_bytes *bytes, int bits, int *width, int *height)
{
    enum { COLOUR_TYPE_AT = 25, PALETTE = 3 };
    wm_bytes filled = { 0 };
    int channels;
    if (bytes->data[COLOUR_TYPE_AT] == PALETTE) {
        filled = palette_filled(bytes);
        bytes = &filled;
    }
    void *pixels = NULL;
    if (bytes->data == NULL)
        trouble(r, "outofmem");
    else if (bits == 16)
        pixels = stbi_load_16_from_memory(bytes->data, (int)bytes->size, width, height, &channels, 3);
    else
        pixels = stbi_load_from_memory(bytes->data, (int)bytes->size, width, height, &channels, 3);
    free(filled.data);
    return pixels;
}

static void decode_stb(room *r, const wm_bytes *bytes, const wm_container *container)
{
    int width = 0, height = 0;
    void *pixels;
    if (bytes->size > INT32_MAX - 1000) {
        trouble(r, "more than 2 GiB");
        return;
    }
    if (container->kind == WM_CONTAINER_JPEG)
        pixels = load_jpeg(r, bytes, &width, &height);
    else
        pixels = load_png(r, bytes, container->bits, &width, &height);
    if (pixels == NULL && r->trouble[0] == '\0')
        trouble(r, stbi_failure_reason());
    if (pixels != NULL && width == container->width && height == container->height) {
        memcpy(pixels_of(r), pixels, frame_size(width, height, container->bits));
        r->width = width;
        r->height = height;
        r->whole = 1;
    }
    free(pixels);
}

/* ---- HEIC ---- */

#ifdef WM_HAVE_HEIF

/* Copies one plane of bytes to every third byte, or an interleaved one to all. */
static bool copy_plane(unsigned char *out, const struct heif_image *image, enum heif_channel channel, const room *r)
{
    int stride = 0;
    const unsigned char *plane = heif_image_get_plane_readonly(image, channel, &stride);
    size_t width = (size_t)r->width, all = channel == heif_channel_interleaved;
    if (plane == NULL || heif_image_get_width(image, channel) != r->width ||
        heif_image_get_height(image, channel) != r->height)
        return false;
    for (int y = 0; y < r->height; y++, plane += stride, out += 3 * width) {
        if (all)
            memcpy(out, plane, 3 * width);
        else
            for (size_t x = 0; x < width; x++)
                out[3 * x] = plane[x];
    }
    return true;
}

static void copy_heif(room *r, const struct heif_image *image, const wm_container *container)
{
    unsigned char *out = pixels_of(r);
    r->width = heif_image_get_primary_width(image);
    r->height = heif_image_get_primary_height(image);
    bool fits = r->width > 0 && r->height > 0 &&
                frame_size(r->width, r->height, 8) <= frame_size(container->width, container->height, 8);
    if (fits && r->is_ycbcr)
        fits = copy_plane(out, image, heif_channel_Y, r) && copy_plane(out + 1, image, heif_channel_Cb, r) &&
               copy_plane(out + 2, image, heif_channel_Cr, r);
    else if (fits)
        fits = copy_plane(out, image, heif_channel_interleaved, r);
    if (!fits)
        trouble(r, "its picture is not of the size that it says");
    r->whole = fits;
}

/* ITU-T H.273 table 4, those with luma weights; libheif takes what is not said to be as in JFIF, full range where no
 * nclx says other. */
static bool known_matrix(room *r, const struct heif_image *image)
{
    static const struct {
        int code;
        double kr, kb;
    } known[] = {
        { 1, 0.2126, 0.0722 }, { 2, 0.299, 0.114 }, { 5, 0.299, 0.114 }, { 6, 0.299, 0.114 }, { 9, 0.2627, 0.0593 }
    };
    struct heif_color_profile_nclx *nclx = NULL;
    bool found = false;
    int code = 2;
    if (heif_image_get_nclx_color_profile(image, &nclx).code == heif_error_Ok && nclx != NULL) {
        code = (int)nclx->matrix_coefficients;
        r->narrow = !nclx->full_range_flag;
        heif_nclx_color_profile_free(nclx);
    }
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (known[i].code != code)
            continue;
        r->kr = known[i].kr;
        r->kb = known[i].kb;
        found = true;
    }
    return found;
}

/* YCbCr of 8 bit where the file has it, else RGB as libheif makes it. */
static struct heif_error decode_primary(room *r, const struct heif_image_handle *handle, struct heif_image **image)
{
    struct heif_decoding_options *options = heif_decoding_options_alloc();
    if (options == NULL)
        return (struct heif_error){ heif_error_Memory_allocation_error, heif_suberror_Unspecified, "outofmem" };
    options->convert_hdr_to_8bit = 1;
    struct heif_error error = heif_decode_image(handle, image, heif_colorspace_YCbCr, heif_chroma_444, options);
    r->is_ycbcr = error.code == heif_error_Ok && heif_image_get_bits_per_pixel_range(*image, heif_channel_Y) == 8 &&
                  heif_image_get_bits_per_pixel_range(*image, heif_channel_Cb) == 8 && known_matrix(r, *image);
    if (!r->is_ycbcr) {
        heif_image_release(*image);
        *image = NULL;
        error = heif_decode_image(handle, image, heif_colorspace_RGB, heif_chroma_interleaved_RGB, options);
    }
    heif_decoding_options_free(options);
    return error;
}

static void decode_heif(room *r, const wm_bytes *bytes, const wm_container *container)
{
    struct heif_image_handle *handle = NULL;
    struct heif_image *image = NULL;
    struct heif_context *context = heif_context_alloc();
    if (context == NULL) {
        trouble(r, "outofmem");
        return;
    }
    heif_context_set_max_decoding_threads(context, 0);
    struct heif_error error = heif_context_read_from_memory_without_copy(context, bytes->data, bytes->size, NULL);
    if (error.code == heif_error_Ok)
        error = heif_context_get_primary_image_handle(context, &handle);
    if (error.code == heif_error_Ok)
        error = decode_primary(r, handle, &image);
    if (error.code == heif_error_Ok)
        copy_heif(r, image, container);
    else
        trouble(r, error.message);
    heif_image_release(image);
    heif_image_handle_release(handle);
    heif_context_free(context);
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
    if (j->container->kind == WM_CONTAINER_HEIC)
        (void)heif_init(NULL); /* may look for plug-ins */
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

static bool matrix_sound(const room *r, const wm_container *container)
{
    return r->is_ycbcr != 1 || (container->bits == 8 && r->kr > 0.1 && r->kr < 0.5 && r->kb > 0.01 && r->kb < 0.5);
}

static wm_status report(const room *r, const wm_container *container, wm_error *err)
{
    char why[sizeof r->trouble];
    memcpy(why, r->trouble, sizeof why);
    why[sizeof why - 1] = '\0';
    if (strcmp(why, "outofmem") == 0)
        return wm_fail(err, WM_E_PHOTO, "not enough memory to decode %d x %d pixels; use a smaller photo",
                       container->width, container->height);
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
        return wm_fail(err, WM_E_PHOTO, "decoding takes longer than %u seconds; use a smaller photo or save it again",
                       task.seconds);
    case WM_GUARD_UNLOCKED:
        return wm_fail(err, WM_E_PHOTO,
                       "this system can't lock the photo decoder in; build with -Dsandbox=disabled to decode without");
    case WM_GUARD_NO_CHILD: break;
    }
    return wm_fail_memory(err);
}

static wm_status decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, bool guarded,
                        wm_error *err)
{
    size_t most = frame_size(container->width, container->height, container->bits);
    room *r = mmap(NULL, PIXELS_AT + most, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (r == MAP_FAILED)
        return wm_fail_memory(err);
    job j = { r, bytes, container };
    wm_status status = WM_OK;
    if (guarded)
        status = decode_guarded(&j, err);
    else
        work(&j);
    bool whole = r->whole == 1 && r->width > 0 && r->height > 0 &&
                 frame_size(r->width, r->height, container->bits) <= most && matrix_sound(r, container);
    if (status == WM_OK && !whole)
        status = report(r, container, err);
    if (status != WM_OK) {
        (void)munmap(r, PIXELS_AT + most);
        return status;
    }
    *out = (wm_pixels){ r->width,     r->height, container->bits, r->is_ycbcr == 1, { r->kr, r->kb, r->narrow != 0 },
                        pixels_of(r), r,         PIXELS_AT + most };
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
    if (pixels == NULL || pixels->map == NULL)
        return;
    (void)munmap(pixels->map, pixels->map_size);
    *pixels = (wm_pixels){ 0 };
}

static double clipped(double value)
{
    return value < 0.0 ? 0.0 : value > 1.0 ? 1.0 : value;
}

void wm_ycbcr_to_rgb(double rgb[3], const wm_ycbcr *how, const unsigned char code[3])
{
    double y = how->narrow ? (code[0] - 16.0) / 219.0 : code[0] / 255.0, chroma = how->narrow ? 224.0 : 255.0;
    double red = y + 2.0 * (1.0 - how->kr) * (code[2] - 128.0) / chroma;
    double blue = y + 2.0 * (1.0 - how->kb) * (code[1] - 128.0) / chroma;
    rgb[0] = clipped(red);
    rgb[1] = clipped((y - how->kr * red - how->kb * blue) / (1.0 - how->kr - how->kb));
    rgb[2] = clipped(blue);
}
