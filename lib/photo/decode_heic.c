/* decode_heic: HEIC by libheif. Without it container_heic refuses the file before it comes here. */
#include "photo/decode_internal.h"

#ifdef WM_HAVE_HEIF

#include <libheif/heif.h>
#include <string.h>

/* Rows of a plane of bytes, one after the other at `at` of the room. */
static bool copy_plane(unsigned char *out, const struct heif_image *image, enum heif_channel channel, size_t row,
                       const wm_pixels *pixels)
{
    int stride = 0;
    const unsigned char *plane = heif_image_get_plane_readonly(image, channel, &stride);
    if (!plane || heif_image_get_width(image, channel) != pixels->width ||
        heif_image_get_height(image, channel) != pixels->height)
        return false;
    wm_decode_populate(out, row * (size_t)pixels->height);
    for (int y = 0; y < pixels->height; y++, plane += stride, out += row)
        memcpy(out, plane, row);
    return true;
}

static bool copy_ycbcr(wm_pixels *out, const struct heif_image *image, wm_room room)
{
    static const enum heif_channel channels[] = { heif_channel_Y, heif_channel_Cb, heif_channel_Cr };
    size_t row = (size_t)out->width, plane = row * (size_t)out->height;
    bool fits = true;
    out->planes = 3;
    for (int i = 0; i < 3 && fits; i++) {
        out->plane[i] = (wm_plane){ (size_t)i * plane, row, out->width, out->height, 1, 1 };
        fits = copy_plane(room.at + (size_t)i * plane, image, channels[i], row, out);
    }
    return fits;
}

static bool copy_image(wm_pixels *out, const struct heif_image *image, const wm_container *container, wm_room room)
{
    out->width = heif_image_get_primary_width(image);
    out->height = heif_image_get_primary_height(image);
    out->bits = 8;
    bool fits = out->width > 0 && out->height > 0 &&
                (size_t)out->width * (size_t)out->height <= (size_t)container->width * (size_t)container->height;
    if (fits && out->is_ycbcr)
        return copy_ycbcr(out, image, room);
    return fits && copy_plane(room.at, image, heif_channel_interleaved, 3 * (size_t)out->width, out);
}

/* ITU-T H.273 table 4, those with luma weights; libheif takes what is not said to be as in JFIF, full range where no
 * nclx says other. */
static bool known_matrix(wm_ycbcr *out, const struct heif_image *image)
{
    static const struct {
        int code;
        double kr, kb;
    } known[] = {
        { 1, 0.2126, 0.0722 }, { 2, 0.299, 0.114 }, { 5, 0.299, 0.114 }, { 6, 0.299, 0.114 }, { 9, 0.2627, 0.0593 }
    };
    struct heif_color_profile_nclx *nclx = NULL;
    int code = 2;
    bool narrow = false;
    if (heif_image_get_nclx_color_profile(image, &nclx).code == heif_error_Ok && nclx) {
        code = (int)nclx->matrix_coefficients;
        narrow = !nclx->full_range_flag;
        heif_nclx_color_profile_free(nclx);
    }
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (known[i].code != code)
            continue;
        *out = (wm_ycbcr){ known[i].kr, known[i].kb, narrow };
        return true;
    }
    return false;
}

/* YCbCr of 8 bit where the file has it, else RGB as libheif makes it. */
static struct heif_error decode_primary(wm_pixels *out, const struct heif_image_handle *handle,
                                        struct heif_image **image)
{
    struct heif_decoding_options *options = heif_decoding_options_alloc();
    if (!options)
        return (struct heif_error){ heif_error_Memory_allocation_error, heif_suberror_Unspecified, "outofmem" };
    options->convert_hdr_to_8bit = 1;
    struct heif_error error = heif_decode_image(handle, image, heif_colorspace_YCbCr, heif_chroma_444, options);
    out->is_ycbcr = error.code == heif_error_Ok && heif_image_get_bits_per_pixel_range(*image, heif_channel_Y) == 8 &&
                    heif_image_get_bits_per_pixel_range(*image, heif_channel_Cb) == 8 &&
                    known_matrix(&out->ycbcr, *image);
    if (!out->is_ycbcr) {
        heif_image_release(*image);
        *image = NULL;
        error = heif_decode_image(handle, image, heif_colorspace_RGB, heif_chroma_interleaved_RGB, options);
    }
    heif_decoding_options_free(options);
    return error;
}

/* libheif's messages die with its context. */
static const char *kept(const char *message)
{
    static _Thread_local char text[120];
    size_t length = strnlen(message, sizeof text - 1);
    memcpy(text, message, length);
    text[length] = '\0';
    return text;
}

bool wm_decode_heic(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_room room,
                    const char **trouble)
{
    struct heif_image_handle *handle = NULL;
    struct heif_image *image = NULL;
    bool done = false;
    struct heif_context *context = heif_context_alloc();
    if (!context) {
        *trouble = "outofmem";
        return false;
    }
    heif_context_set_max_decoding_threads(context, 0);
    struct heif_error error = heif_context_read_from_memory_without_copy(context, bytes->data, bytes->size, NULL);
    if (error.code == heif_error_Ok)
        error = heif_context_get_primary_image_handle(context, &handle);
    if (error.code == heif_error_Ok)
        error = decode_primary(out, handle, &image);
    if (error.code != heif_error_Ok)
        *trouble = kept(error.message);
    else if (copy_image(out, image, container, room))
        done = true;
    else
        *trouble = "its picture is not of the size that it says";
    heif_image_release(image);
    heif_image_handle_release(handle);
    heif_context_free(context);
    return done;
}

void wm_decode_heic_prepare(void)
{
    (void)heif_init(NULL); /* may look for plug-ins */
}

#else

bool wm_decode_heic(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_room room,
                    const char **trouble)
{
    (void)out, (void)bytes, (void)container, (void)room;
    *trouble = "HEIC is not built in";
    return false;
}

void wm_decode_heic_prepare(void)
{
}

#endif
