#include "report/raster.h"

#include <setjmp.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/buf.h"

/* ---- what stb_image_write allocates
 *
 * It goes on writing into a block that could not be enlarged. So a request that fails leaves it at once, and what it
 * holds by then is freed here. Its macros pass no context: the work in hand is known to its thread, for as long as it
 * lasts. */

typedef union block {
    struct {
        union block *next, **from;
    } in;
    max_align_t align;
} block;

typedef struct work {
    jmp_buf out_of_memory;
    block *blocks;
} work;

static _Thread_local work *in_hand;

static void unlink_block(const block *b)
{
    *b->in.from = b->in.next;
    if (b->in.next)
        b->in.next->in.from = b->in.from;
}

static void *enlarged(void *old, size_t size)
{
    block *b = old ? (block *)old - 1 : NULL, *moved = NULL;
    if (b)
        unlink_block(b);
    if (size <= SIZE_MAX - sizeof *b)
        moved = realloc(b, sizeof *b + size);
    if (!moved) {
        free(b);
        longjmp(in_hand->out_of_memory, 1);
    }
    moved->in.next = in_hand->blocks;
    moved->in.from = &in_hand->blocks;
    if (moved->in.next)
        moved->in.next->in.from = &moved->in.next;
    in_hand->blocks = moved;
    return moved + 1;
}

static void give_back(void *old)
{
    block *b = old ? (block *)old - 1 : NULL;
    if (b)
        unlink_block(b);
    free(b);
}

#define STBIW_MALLOC(size) enlarged(NULL, size)
#define STBIW_REALLOC(old, size) enlarged(old, size)
#define STBIW_FREE(old) give_back(old)

/* Compiled inside this file, as a system header whose warnings are its own. */
#define STB_IMAGE_WRITE_IMPLEMENTATION
#define STB_IMAGE_WRITE_STATIC
#define STBI_WRITE_NO_STDIO
#pragma GCC diagnostic ignored "-Wunused-function" /* it declares static functions that it leaves out */
#include <stb_image_write.h>

/* Bytes handed over by stb_image_write, piece by piece. */
static void collect(void *context, void *bytes, int size)
{
    wm_buf_bytes(context, bytes, size > 0 ? (size_t)size : 0);
}

static wm_status take(wm_bytes *out, wm_buf *buf, int written, wm_error *err)
{
    wm_status status = written && !buf->failed ? WM_OK : wm_fail_memory(err);
    if (status)
        wm_buf_free(buf);
    else
        *out = (wm_bytes){ (unsigned char *)buf->data, buf->size };
    return status;
}

wm_status wm_raster_jpeg(wm_bytes *out, const wm_picture *picture, wm_error *err)
{
    wm_buf buf = { 0 };
    int written = stbi_write_jpg_to_func(collect, &buf, picture->width, picture->height, 3, picture->data, 85);
    return take(out, &buf, written, err);
}

typedef struct canvas {
    const unsigned char *rgba;
    int width, height;
} canvas;

static int write_png(wm_buf *buf, work *w, const canvas *c)
{
    if (setjmp(w->out_of_memory))
        return 0;
    return stbi_write_png_to_func(collect, buf, c->width, c->height, 4, c->rgba, c->width * 4);
}

wm_status wm_raster_png(wm_bytes *out, const unsigned char *rgba, int width, int height, wm_error *err)
{
    wm_buf buf = { 0 };
    work w = { .blocks = NULL };
    in_hand = &w;
    const int written = write_png(&buf, &w, &(canvas){ rgba, width, height });
    while (w.blocks)
        give_back(w.blocks + 1);
    in_hand = NULL;
    return take(out, &buf, written, err);
}
