/* decode: JPEG and PNG by stb_image, straight into the caller's memory. */
#define _GNU_SOURCE /* madvise */
#include "photo/decode_internal.h"

#include "photo/container_internal.h"
#include "photo/noise.h"

#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* ---- Memory for stb ---- */

static void *take_memory(size_t size);
static void *zeroed_resize(void *old, size_t old_size, size_t size);
static void give_back(void *memory);

#define STBI_MALLOC(size) take_memory(size)
#define STBI_REALLOC_SIZED(old, old_size, size) zeroed_resize((old), (old_size), (size))
#define STBI_FREE(memory) give_back(memory)
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

/* Where stb's own picture goes. stb passes nothing to its allocator and to the last step of a block, so the thread
 * remembers. */
static _Thread_local struct {
    wm_room room;
    size_t used;
    const stbi__jpeg *jpeg; /* a JPEG's planes are known by its components */
    size_t png_size;        /* a PNG's picture by its size; 0: taken */
    const wm_parts *parts;  /* of a JPEG that are wanted, NULL: all */
    unsigned char *wanted;  /* a bit for each 8 bytes of room: a row of a block begins there and is wanted */
    void (*finish_block)(unsigned char *out, int stride, short *data);
} target;

static bool in_room(const void *memory)
{
    const unsigned char *at = memory;
    return at >= target.room.at && at < target.room.at + target.room.size;
}

static bool is_picture(size_t size)
{
    if (target.png_size > 0 && size == target.png_size)
        return true;
    for (int i = 0; target.jpeg && i < target.jpeg->s->img_n; i++) {
        size_t plane = (size_t)target.jpeg->img_comp[i].w2 * (size_t)target.jpeg->img_comp[i].h2;
        if (!target.jpeg->img_comp[i].raw_data && plane > 0 && size == plane + 15)
            return true;
    }
    return false;
}

void wm_decode_populate(void *at, size_t size)
{
    uintptr_t page = (uintptr_t)sysconf(_SC_PAGESIZE), first = ((uintptr_t)at + page - 1) / page * page,
              end = ((uintptr_t)at + size) / page * page;
    if (end <= first)
        return;
#ifdef MADV_HUGEPAGE
    (void)madvise((void *)first, end - first, MADV_HUGEPAGE);
#endif
#ifdef MADV_POPULATE_WRITE
    (void)madvise((void *)first, end - first, MADV_POPULATE_WRITE);
#endif
}

/* Zeroed, because the decoder has read tables that a hostile file never filled. */
static void *take_memory(size_t size)
{
    if (!is_picture(size) || size > target.room.size - target.used)
        return calloc(size, 1);
    unsigned char *at = target.room.at + target.used;
    target.used += (size + 15) / 16 * 16;
    if (target.used > target.room.size)
        target.used = target.room.size;
    target.png_size = 0;
    wm_decode_populate(at, size);
    return at;
}

static void give_back(void *memory)
{
    if (!in_room(memory))
        free(memory);
}

static void *zeroed_resize(void *old, size_t old_size, size_t size)
{
    void *new = calloc(size, 1);
    if (!new)
        return NULL;
    if (old)
        memcpy(new, old, old_size < size ? old_size : size);
    give_back(old);
    return new;
}

/* ---- The blocks of a JPEG that are wanted ---- */

/* The blocks of a plane that a rectangle of pixels takes. A hostile file's sampling factors may lead anywhere. */
static void want(const stbi__jpeg *jpeg, int i, wm_box box)
{
    const int across = 8 * jpeg->img_h_max / jpeg->img_comp[i].h, down = 8 * jpeg->img_v_max / jpeg->img_comp[i].v;
    const size_t width = (size_t)jpeg->img_comp[i].w2, bits = target.room.size / 8;
    if (!in_room(jpeg->img_comp[i].data))
        return;
    const size_t start = (size_t)(jpeg->img_comp[i].data - target.room.at) / 8;
    for (int y = box.y / down; y <= (box.y + box.height - 1) / down; y++)
        for (int x = box.x / across; x <= (box.x + box.width - 1) / across; x++) {
            const size_t bit = start + (size_t)y * width + (size_t)x;
            if (bit < bits)
                target.wanted[bit / 8] |= (unsigned char)(1 << bit % 8);
        }
}

/* The same of all planes, with the samples around that chroma is enlarged from. */
static void want_everywhere(const stbi__jpeg *jpeg, wm_box box)
{
    const wm_upright stored = { 1, (int)jpeg->s->img_x, (int)jpeg->s->img_y };
    const wm_parts around = wm_parts_around((wm_boxes){ &box, 1 }, stored);
    for (int i = 0; i < jpeg->s->img_n; i++)
        want(jpeg, i, around.count > 0 ? around.box[0] : (wm_box){ 0, 0, stored.width, stored.height });
}

/* Once the planes have their places. Without memory for it all is wanted. */
static void find_wanted(const stbi__jpeg *jpeg)
{
    target.wanted = calloc(target.room.size / 64 + 1, 1);
    for (int i = 0; target.wanted && i < target.parts->count; i++)
        want_everywhere(jpeg, target.parts->box[i]);
    for (int i = 0; target.wanted && i < WM_NOISE_SQUARES; i++)
        want_everywhere(jpeg, wm_noise_square(i, (int)jpeg->s->img_x, (int)jpeg->s->img_y));
}

/* The inverse transform of a block is a fifth of the decoder's work: only where somebody looks. */
static void finish_if_wanted(unsigned char *out, int stride, short *data)
{
    if (!target.wanted && target.parts)
        find_wanted(target.jpeg);
    const size_t bit = in_room(out) ? (size_t)(out - target.room.at) / 8 : 0;
    if (!target.wanted || !in_room(out) || target.wanted[bit / 8] >> bit % 8 & 1)
        target.finish_block(out, stride, data);
}

/* ---- JPEG ---- */

static bool keep_plane(wm_pixels *out, const stbi__jpeg *jpeg, int i)
{
    const unsigned char *data = jpeg->img_comp[i].data;
    if (!data || !in_room(data))
        return false;
    int across = jpeg->img_h_max / jpeg->img_comp[i].h, down = jpeg->img_v_max / jpeg->img_comp[i].v;
    out->plane[i] = (wm_plane){ (size_t)(data - target.room.at),
                                (size_t)jpeg->img_comp[i].w2,
                                (out->width + across - 1) / across,
                                (out->height + down - 1) / down,
                                across,
                                down };
    return true;
}

/* The one place that reaches into stb, which has no other way to give the planes. */
static bool planes_of(wm_pixels *out, stbi__jpeg *jpeg)
{
    if (!stbi__decode_jpeg_image(jpeg))
        return false;
    int count = jpeg->s->img_n;
    bool jfif_or_not_rgb = jpeg->app14_color_transform != 0 || jpeg->jfif;
    *out = (wm_pixels){ .width = (int)jpeg->s->img_x, .height = (int)jpeg->s->img_y, .bits = 8, .planes = count };
    out->is_ycbcr = count == 3 && jpeg->rgb != 3 && jfif_or_not_rgb;
    out->ycbcr = (wm_ycbcr){ 0.299, 0.114, false }; /* JFIF; ITU-T T.871, 7 */
    for (int i = 0; i < count; i++)
        if (!keep_plane(out, jpeg, i))
            return false;
    return count == 1 || count == 3;
}

static bool load_jpeg(wm_pixels *out, const wm_bytes *bytes, const char **trouble)
{
    stbi__context context;
    stbi__jpeg *jpeg = calloc(1, sizeof *jpeg);
    if (!jpeg) {
        *trouble = "outofmem";
        return false;
    }
    stbi__start_mem(&context, bytes->data, (int)bytes->size);
    jpeg->s = &context;
    context.img_n = 0; /* until its header is read, there is nothing to clean up */
    stbi__setup_jpeg(jpeg);
    target.jpeg = jpeg;
    target.finish_block = jpeg->idct_block_kernel;
    if (target.parts)
        jpeg->idct_block_kernel = finish_if_wanted;
    bool done = planes_of(out, jpeg);
    if (!done)
        *trouble = stbi_failure_reason();
    target.jpeg = NULL;
    free(target.wanted);
    stbi__cleanup_jpeg(jpeg);
    free(jpeg);
    return done;
}

/* ---- PNG ---- */

/* A colour index beyond the palette would show whatever lay on the stack: every palette is filled up to 256 entries
 * with black. The walk has made sure of the chunks. Copy to free; data NULL: memory ran out. */
static wm_bytes palette_filled(const wm_bytes *png)
{
    enum { FULL = 768 };
    wm_bytes out = { calloc(png->size + FULL, 1), 0 };
    size_t at = 8, length = 0;
    if (!out.data)
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

static bool load_png(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, const char **trouble)
{
    enum { COLOUR_TYPE_AT = 25, PALETTE = 3 };
    wm_bytes filled = { 0 };
    int channels;
    void *pixels = NULL;
    *out = (wm_pixels){ .bits = container->bits };
    if (bytes->data[COLOUR_TYPE_AT] == PALETTE) {
        filled = palette_filled(bytes);
        bytes = &filled;
    }
    size_t size = (size_t)container->width * (size_t)container->height * 3 * (size_t)container->bits / 8;
    target.png_size = size;
    if (!bytes->data)
        *trouble = "outofmem";
    else if (container->bits == 16)
        pixels = stbi_load_16_from_memory(bytes->data, (int)bytes->size, &out->width, &out->height, &channels, 3);
    else
        pixels = stbi_load_from_memory(bytes->data, (int)bytes->size, &out->width, &out->height, &channels, 3);
    if (bytes->data && !pixels)
        *trouble = stbi_failure_reason();
    bool fits = pixels && out->width == container->width && out->height == container->height;
    if (fits && pixels != target.room.at)
        memmove(target.room.at, pixels, size);
    give_back(pixels);
    free(filled.data);
    return fits;
}

/* ---- The door ---- */

static wm_status refuse(const wm_container *container, const char *why, wm_error *err)
{
    if (why && strcmp(why, "outofmem") == 0)
        return wm_fail(err, WM_E_PHOTO,
                       "not enough memory to decode %d x %d pixels; save it anew, or use a smaller photo",
                       container->width, container->height);
    return wm_fail_damaged(err, container->kind, why ? why : "the decoder failed on it");
}

wm_status wm_decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, const wm_parts *wanted,
                    wm_room room, wm_error *err)
{
    wm_pixels pixels = { 0 };
    const char *trouble = NULL;
    bool done = false, heic = container->kind == WM_CONTAINER_HEIC;
    if (bytes->size > INT32_MAX - 1000)
        return refuse(container, "more than 2 GiB", err);
    target.room = room;
    target.used = 0;
    target.parts = wanted->count > 0 ? wanted : NULL;
    if (heic)
        done = wm_decode_heic(&pixels, bytes, container, room, &trouble);
    else if (container->kind == WM_CONTAINER_JPEG)
        done = load_jpeg(&pixels, bytes, &trouble);
    else
        done = load_png(&pixels, bytes, container, &trouble);
    memset(&target, 0, sizeof target);
    done = done && (heic || (pixels.width == container->width && pixels.height == container->height));
    if (!done || !wm_pixels_sound(&pixels, room.size))
        return refuse(container, trouble, err);
    pixels.data = room.at;
    *out = pixels;
    return WM_OK;
}
