#include "report/raster.h"

#include <stdlib.h>
#include <string.h>

#include "core/buf.h"

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

wm_status wm_raster_png(wm_bytes *out, const unsigned char *rgba, int width, int height, wm_error *err)
{
    wm_buf buf = { 0 };
    int written = stbi_write_png_to_func(collect, &buf, width, height, 4, rgba, width * 4);
    return take(out, &buf, written, err);
}
