#include "support/pictures.h"

#include <lcms2.h>
#include <math.h>
#include <png.h>
#include <stdio.h> /* before jpeglib.h, which needs it */
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include <jpeglib.h>

#ifdef WM_HAVE_HEIF
#include <libheif/heif.h>
#endif

static void *need(void *memory, const char *what)
{
    if (!memory) {
        fprintf(stderr, "pictures: can't make %s\n", what);
        exit(EXIT_FAILURE);
    }
    return memory;
}

/* ---- Pictures ---- */

picture picture_new(int width, int height, int channels, int bits)
{
    size_t count = (size_t)width * (size_t)height * (size_t)channels;
    return (picture){ width, height, channels, bits, need(calloc(count, sizeof(uint16_t)), "a picture") };
}

void picture_free(picture *p)
{
    free(p->samples);
    p->samples = NULL;
}

uint16_t *picture_at(const picture *p, int x, int y)
{
    return p->samples + ((size_t)y * (size_t)p->width + (size_t)x) * (size_t)p->channels;
}

picture picture_asymmetric(int width, int height, int bits)
{
    picture p = picture_new(width, height, 3, bits);
    double top = bits == 16 ? 65535.0 : 255.0;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            double u = (x + 0.5) / width, v = (y + 0.5) / height;
            uint16_t *at = picture_at(&p, x, y);
            at[0] = (uint16_t)lround(top * (0.1 + 0.8 * u));
            at[1] = (uint16_t)lround(top * (0.1 + 0.8 * v));
            at[2] = (uint16_t)lround(top * (0.3 + 0.4 * u * v));
        }
    return p;
}

picture picture_patches(const unsigned char (*colours)[3], int columns, int rows, int size)
{
    picture p = picture_new(columns * size, rows * size, 3, 8);
    for (int y = 0; y < p.height; y++)
        for (int x = 0; x < p.width; x++)
            for (int c = 0; c < 3; c++)
                picture_at(&p, x, y)[c] = colours[(y / size) * columns + x / size][c];
    return p;
}

/* ---- EXIF ---- */

typedef struct exif_writer {
    unsigned char *data;
    size_t size; /* used so far; values that need room go to the end */
    bool big;
} exif_writer;

static void exif_number(exif_writer *w, size_t at, unsigned long value, int bytes)
{
    for (int i = 0; i < bytes; i++)
        w->data[at + (size_t)i] = (unsigned char)(value >> 8 * (w->big ? bytes - 1 - i : i));
}

static void exif_entry(exif_writer *w, size_t *at, unsigned tag, unsigned type, unsigned long count)
{
    exif_number(w, *at, tag, 2);
    exif_number(w, *at + 2, type, 2);
    exif_number(w, *at + 4, count, 4);
    *at += 8;
}

static void exif_value(exif_writer *w, size_t *at, unsigned tag, unsigned long value, bool wide)
{
    exif_entry(w, at, tag, wide ? 4 : 3, 1);
    exif_number(w, *at, value, wide ? 4 : 2);
    *at += 4;
}

static void exif_text(exif_writer *w, size_t *at, unsigned tag, const char *text)
{
    size_t length = strlen(text) + 1;
    exif_entry(w, at, tag, 2, length);
    if (length <= 4) {
        memcpy(w->data + *at, text, length);
    } else {
        exif_number(w, *at, w->size, 4);
        memcpy(w->data + w->size, text, length);
        w->size += length + (length & 1);
    }
    *at += 4;
}

wm_bytes exif_make(const exif_how *how)
{
    enum { ROOM = 4096, IFD0 = 8, EXIF_IFD = 8 + 2 + 4 * 12 + 4 };
    enum { INTEROPERABILITY = EXIF_IFD + 2 + 7 * 12 + 4, VALUES = INTEROPERABILITY + 2 + 12 + 4 };
    exif_writer w = { need(calloc(ROOM, 1), "EXIF"), VALUES, how->big_endian };
    size_t at = IFD0 + 2;
    memcpy(w.data, how->big_endian ? "MM" : "II", 2);
    exif_number(&w, 2, 42, 2);
    exif_number(&w, 4, IFD0, 4);
    if (how->make)
        exif_text(&w, &at, 0x010F, how->make);
    if (how->model)
        exif_text(&w, &at, 0x0110, how->model);
    if (how->orientation != 0)
        exif_value(&w, &at, 0x0112, (unsigned long)how->orientation, false);
    exif_value(&w, &at, 0x8769, EXIF_IFD, true);
    exif_number(&w, IFD0, (at - IFD0 - 2) / 12, 2);
    at = EXIF_IFD + 2;
    if (how->taken)
        exif_text(&w, &at, 0x9003, how->taken);
    if (how->flash >= 0)
        exif_value(&w, &at, 0x9209, (unsigned long)how->flash, false);
    if (how->colour_space != 0)
        exif_value(&w, &at, 0xA001, (unsigned long)how->colour_space, false);
    if (how->width != 0)
        exif_value(&w, &at, 0xA002, (unsigned long)how->width, true);
    if (how->height != 0)
        exif_value(&w, &at, 0xA003, (unsigned long)how->height, true);
    if (how->interoperability)
        exif_value(&w, &at, 0xA005, INTEROPERABILITY, true);
    if (how->white_balance >= 0)
        exif_value(&w, &at, 0xA403, (unsigned long)how->white_balance, false);
    exif_number(&w, EXIF_IFD, (at - EXIF_IFD - 2) / 12, 2);
    at = INTEROPERABILITY + 2;
    if (how->interoperability)
        exif_text(&w, &at, 0x0001, how->interoperability);
    exif_number(&w, INTEROPERABILITY, how->interoperability ? 1 : 0, 2);
    return (wm_bytes){ w.data, w.size };
}

/* ---- JPEG ---- */

static void jpeg_rows(struct jpeg_compress_struct *c, const picture *p)
{
    size_t values = (size_t)p->width * (size_t)p->channels;
    unsigned char *row = need(malloc(values), "a JPEG");
    while (c->next_scanline < c->image_height) {
        const uint16_t *from = picture_at(p, 0, (int)c->next_scanline);
        for (size_t i = 0; i < values; i++)
            row[i] = (unsigned char)from[i];
        (void)jpeg_write_scanlines(c, &row, 1);
    }
    free(row);
}

static void jpeg_exif(struct jpeg_compress_struct *c, const wm_bytes *exif)
{
    unsigned char segment[8192] = "Exif\0";
    memcpy(segment + 6, exif->data, exif->size);
    jpeg_write_marker(c, JPEG_APP0 + 1, segment, (unsigned)exif->size + 6);
}

wm_bytes jpeg_make(const picture *p, const jpeg_how *how)
{
    struct jpeg_compress_struct c;
    struct jpeg_error_mgr errors;
    unsigned char *data = NULL;
    unsigned long size = 0;
    c.err = jpeg_std_error(&errors);
    jpeg_create_compress(&c);
    jpeg_mem_dest(&c, &data, &size);
    c.image_width = (JDIMENSION)p->width;
    c.image_height = (JDIMENSION)p->height;
    c.input_components = p->channels;
    c.in_color_space = p->channels == 1 ? JCS_GRAYSCALE : p->channels == 4 ? JCS_CMYK : JCS_RGB;
    jpeg_set_defaults(&c);
    jpeg_set_quality(&c, how->quality, TRUE);
    if (how->full_chroma)
        c.comp_info[0].h_samp_factor = c.comp_info[0].v_samp_factor = 1;
    else if (how->across > 0) {
        c.comp_info[0].h_samp_factor = how->across;
        c.comp_info[0].v_samp_factor = how->down;
    }
    c.restart_interval = (unsigned)how->restart_every;
    c.arith_code = how->arithmetic;
    if (how->progressive)
        jpeg_simple_progression(&c);
    jpeg_start_compress(&c, TRUE);
    if (how->exif.size > 0)
        jpeg_exif(&c, &how->exif);
    if (how->icc.size > 0)
        jpeg_write_icc_profile(&c, how->icc.data, (unsigned)how->icc.size);
    jpeg_rows(&c, p);
    jpeg_finish_compress(&c);
    jpeg_destroy_compress(&c);
    return (wm_bytes){ data, size };
}

/* ---- PNG ---- */

static void png_append(png_structp png, png_bytep data, size_t size)
{
    wm_bytes *out = png_get_io_ptr(png);
    out->data = need(realloc(out->data, out->size + size), "a PNG");
    memcpy(out->data + out->size, data, size);
    out->size += size;
}

static void png_flush_nothing(png_structp png)
{
    (void)png;
}

static void png_rows(png_structp png, const picture *p)
{
    size_t values = (size_t)p->width * (size_t)p->channels, bytes = (size_t)p->bits / 8;
    unsigned char *all = need(malloc(values * bytes * (size_t)p->height), "a PNG");
    unsigned char **rows = need(malloc((size_t)p->height * sizeof *rows), "a PNG");
    for (int y = 0; y < p->height; y++) {
        rows[y] = all + (size_t)y * values * bytes;
        for (size_t i = 0; i < values; i++) {
            uint16_t value = picture_at(p, 0, y)[i];
            if (bytes == 2)
                rows[y][2 * i] = (unsigned char)(value >> 8);
            rows[y][bytes * i + bytes - 1] = (unsigned char)(value & 255);
        }
    }
    png_write_image(png, rows);
    free(rows);
    free(all);
}

wm_bytes png_make(const picture *p, const png_how *how)
{
    static const int types[5] = { 0, PNG_COLOR_TYPE_GRAY, PNG_COLOR_TYPE_GRAY_ALPHA, PNG_COLOR_TYPE_RGB,
                                  PNG_COLOR_TYPE_RGB_ALPHA };
    wm_bytes out = { NULL, 0 };
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(need(png, "a PNG"));
    if (setjmp(png_jmpbuf(png)))
        need(NULL, "a PNG");
    png_set_write_fn(png, &out, png_append, png_flush_nothing);
    png_set_IHDR(png, info, (png_uint_32)p->width, (png_uint_32)p->height, p->bits, types[p->channels],
                 how->interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    if (how->icc.size > 0)
        png_set_iCCP(png, info, "test", 0, how->icc.data, (png_uint_32)how->icc.size);
    png_write_info(png, info);
    png_rows(png, p);
    png_write_end(png, NULL);
    png_destroy_write_struct(&png, &info);
    return out;
}

wm_bytes png_palette(int width, int height, const unsigned char *indices, const unsigned char (*palette)[3],
                     int colours)
{
    wm_bytes out = { NULL, 0 };
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(need(png, "a PNG"));
    png_color entries[256];
    if (setjmp(png_jmpbuf(png)))
        need(NULL, "a PNG");
    png_set_write_fn(png, &out, png_append, png_flush_nothing);
    png_set_IHDR(png, info, (png_uint_32)width, (png_uint_32)height, 8, PNG_COLOR_TYPE_PALETTE, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    for (int i = 0; i < colours; i++)
        entries[i] = (png_color){ palette[i][0], palette[i][1], palette[i][2] };
    png_set_PLTE(png, info, entries, colours);
    png_set_benign_errors(png, 1);
    png_set_check_for_invalid_index(png, -1);
    png_write_info(png, info);
    for (int y = 0; y < height; y++)
        png_write_row(png, indices + (size_t)y * (size_t)width);
    png_write_end(png, NULL);
    png_destroy_write_struct(&png, &info);
    return out;
}

static void big_endian(unsigned char *at, unsigned long value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(value >> (24 - 8 * i));
}

void png_insert(wm_bytes *png, const char *type, const void *data, size_t size)
{
    enum { BEHIND_IHDR = 33 };
    unsigned char *out = need(malloc(png->size + size + 12), "a PNG"), *chunk = out + BEHIND_IHDR;
    memcpy(out, png->data, BEHIND_IHDR);
    big_endian(chunk, size);
    memcpy(chunk + 4, type, 4);
    if (size > 0)
        memcpy(chunk + 8, data, size);
    big_endian(chunk + 8 + size, crc32(0, chunk + 4, (unsigned)size + 4));
    memcpy(chunk + 12 + size, png->data + BEHIND_IHDR, png->size - BEHIND_IHDR);
    free(png->data);
    *png = (wm_bytes){ out, png->size + size + 12 };
}

/* ---- HEIC ---- */

#ifdef WM_HAVE_HEIF

static void heif_need(struct heif_error error)
{
    if (error.code == heif_error_Ok)
        return;
    fprintf(stderr, "pictures: can't make a HEIC: %s\n", error.message);
    exit(EXIT_FAILURE);
}

static struct heif_error heif_append(struct heif_context *context, const void *data, size_t size, void *to)
{
    wm_bytes *out = to;
    (void)context;
    out->data = need(realloc(out->data, out->size + size), "a HEIC");
    memcpy(out->data + out->size, data, size);
    out->size += size;
    return (struct heif_error){ heif_error_Ok, heif_suberror_Unspecified, "" };
}

static struct heif_image *heif_from(const picture *p, const heic_how *how, struct heif_color_profile_nclx *nclx)
{
    struct heif_image *image;
    int stride;
    heif_need(heif_image_create(p->width, p->height, heif_colorspace_RGB, heif_chroma_interleaved_RGB, &image));
    heif_need(heif_image_add_plane(image, heif_channel_interleaved, p->width, p->height, 8));
    unsigned char *plane = heif_image_get_plane(image, heif_channel_interleaved, &stride);
    for (int y = 0; y < p->height; y++)
        for (int i = 0; i < 3 * p->width; i++)
            plane[(size_t)y * (size_t)stride + (size_t)i] = (unsigned char)picture_at(p, 0, y)[i];
    if (how->icc.size > 0)
        heif_need(heif_image_set_raw_color_profile(image, "prof", how->icc.data, how->icc.size));
    if (nclx)
        heif_need(heif_image_set_nclx_color_profile(image, nclx));
    return image;
}

bool heic_can_make(void)
{
    struct heif_context *context = heif_context_alloc();
    struct heif_encoder *encoder = NULL;
    bool can = heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder).code == heif_error_Ok;
    if (can)
        heif_encoder_release(encoder);
    heif_context_free(context);
    return can;
}

wm_bytes heic_make(const picture *p, const heic_how *how)
{
    wm_bytes out = { NULL, 0 };
    struct heif_context *context = heif_context_alloc();
    struct heif_encoder *encoder;
    struct heif_image_handle *handle;
    struct heif_color_profile_nclx *nclx = NULL;
    struct heif_encoding_options *options = heif_encoding_options_alloc();
    if (how->primaries != 0) {
        nclx = heif_nclx_color_profile_alloc();
        heif_need(heif_nclx_color_profile_set_color_primaries(nclx, (uint16_t)how->primaries));
        heif_need(heif_nclx_color_profile_set_transfer_characteristics(nclx, (uint16_t)how->transfer));
        heif_need(heif_nclx_color_profile_set_matrix_coefficients(nclx, 6));
        nclx->full_range_flag = 1;
        options->output_nclx_profile = nclx;
        options->macOS_compatibility_workaround_no_nclx_profile = 0;
    }
    struct heif_image *image = heif_from(p, how, nclx);
    heif_need(heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder));
    if (how->quality > 100) {
        heif_need(heif_encoder_set_lossless(encoder, 1));
    } else {
        heif_need(heif_encoder_set_lossy_quality(encoder, how->quality));
    }
    if (how->orientation > 1)
        options->image_orientation = (enum heif_orientation)how->orientation;
    heif_need(heif_context_encode_image(context, image, encoder, options, &handle));
    if (how->exif.size > 0)
        heif_need(heif_context_add_exif_metadata(context, handle, how->exif.data, (int)how->exif.size));
    struct heif_writer writer = { 1, heif_append };
    heif_need(heif_context_write(context, &writer, &out));
    heif_image_handle_release(handle);
    heif_encoder_release(encoder);
    heif_image_release(image);
    heif_encoding_options_free(options);
    if (nclx)
        heif_nclx_color_profile_free(nclx);
    heif_context_free(context);
    return out;
}

#else

bool heic_can_make(void)
{
    return false;
}

wm_bytes heic_make(const picture *p, const heic_how *how)
{
    (void)p;
    (void)how;
    need(NULL, "a HEIC");
    return (wm_bytes){ NULL, 0 };
}

#endif

/* ---- Profiles ---- */

static cmsHPROFILE rgb_profile(const cmsCIExyYTRIPLE *primaries, double gamma)
{
    static const cmsCIExyY d65 = { 0.3127, 0.3290, 1.0 };
    static const double srgb[5] = { 2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045 };
    cmsToneCurve *curve = gamma > 0 ? cmsBuildGamma(NULL, gamma) : cmsBuildParametricToneCurve(NULL, 4, srgb),
                 *all[3] = { curve, curve, curve };
    cmsHPROFILE made = cmsCreateRGBProfile(&d65, primaries, all);
    cmsFreeToneCurve(curve);
    return made;
}

/* The invented camera: its own curve a channel, crossed channels, to Lab. */
static cmsInt32Number camera_lab(const cmsUInt16Number in[], cmsUInt16Number out[], void *to_lab)
{
    double v[3], rgb[3];
    cmsCIELab lab;
    for (int i = 0; i < 3; i++)
        v[i] = in[i] / 65535.0;
    rgb[0] = 0.93 * v[0] + 0.05 * v[1] + 0.02 * v[0] * v[2];
    rgb[1] = 0.04 * v[0] + 0.92 * v[1] + 0.04 * v[2];
    rgb[2] = 0.03 * v[1] + 0.95 * v[2] + 0.02 * v[2] * v[2];
    cmsDoTransform(to_lab, rgb, &lab, 1);
    cmsFloat2LabEncoded(out, &lab);
    return TRUE;
}

static cmsHPROFILE table_profile(void)
{
    cmsHPROFILE srgb = cmsCreate_sRGBProfile(), lab = cmsCreateLab4Profile(NULL),
                made = cmsCreateProfilePlaceholder(NULL);
    cmsHTRANSFORM to_lab =
        cmsCreateTransform(srgb, TYPE_RGB_DBL, lab, TYPE_Lab_DBL, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
    cmsPipeline *pipeline = cmsPipelineAlloc(NULL, 3, 3);
    cmsToneCurve *curves[3];
    for (int i = 0; i < 3; i++)
        curves[i] = cmsBuildGamma(NULL, 0.9 + 0.1 * i);
    cmsStage *table = cmsStageAllocCLut16bit(NULL, 17, 3, 3, NULL);
    cmsStageSampleCLut16bit(table, camera_lab, to_lab, 0);
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, curves));
    cmsPipelineInsertStage(pipeline, cmsAT_END, table);
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, NULL));
    cmsSetProfileVersion(made, 4.3);
    cmsSetDeviceClass(made, cmsSigInputClass);
    cmsSetColorSpace(made, cmsSigRgbData);
    cmsSetPCS(made, cmsSigLabData);
    cmsWriteTag(made, cmsSigAToB0Tag, pipeline);
    cmsWriteTag(made, cmsSigMediaWhitePointTag, cmsD50_XYZ());
    cmsPipelineFree(pipeline);
    for (int i = 0; i < 3; i++)
        cmsFreeToneCurve(curves[i]);
    cmsDeleteTransform(to_lab);
    cmsCloseProfile(srgb);
    cmsCloseProfile(lab);
    return made;
}

static cmsHPROFILE open_kind(profile_kind kind)
{
    static const cmsCIExyYTRIPLE p3 = { { 0.680, 0.320, 1 }, { 0.265, 0.690, 1 }, { 0.150, 0.060, 1 } };
    static const cmsCIExyYTRIPLE wide = { { 0.7347, 0.2653, 1 }, { 0.1596, 0.8404, 1 }, { 0.0366, 0.0001, 1 } };
    switch (kind) {
    case PROFILE_SRGB_V2:
    case PROFILE_SRGB_V4: return cmsCreate_sRGBProfile();
    case PROFILE_P3: return rgb_profile(&p3, 0);
    case PROFILE_GAMMA18: return rgb_profile(&wide, 1.8);
    case PROFILE_TABLE: return table_profile();
    case PROFILE_GRAY: {
        cmsToneCurve *curve = cmsBuildGamma(NULL, 2.2);
        cmsHPROFILE made = cmsCreateGrayProfile(cmsD50_xyY(), curve);
        cmsFreeToneCurve(curve);
        return made;
    }
    case PROFILE_CMYK: return cmsCreateInkLimitingDeviceLink(cmsSigCmykData, 300);
    case PROFILE_KINDS: break;
    }
    return NULL;
}

static wm_bytes saved_profile(cmsHPROFILE made)
{
    cmsUInt32Number size = 0;
    cmsSaveProfileToMem(made, NULL, &size);
    wm_bytes out = { need(malloc(size), "a profile"), size };
    if (!cmsSaveProfileToMem(made, out.data, &size))
        need(NULL, "a profile");
    cmsCloseProfile(made);
    return out;
}

wm_bytes profile_with_cicp(int primaries, int transfer)
{
    cmsHPROFILE made = need(open_kind(PROFILE_SRGB_V4), "a profile");
    cmsVideoSignalType signal = { (cmsUInt8Number)primaries, (cmsUInt8Number)transfer, 0, 1 };
    if (!cmsWriteTag(made, cmsSigcicpTag, &signal))
        need(NULL, "a cicp tag");
    return saved_profile(made);
}

wm_bytes profile_make(profile_kind kind)
{
    static const char *const names[PROFILE_KINDS] = { "test sRGB v2", "test sRGB v4", "test P3",  "test gamma 1.8",
                                                      "test table",   "test gray",    "test CMYK" };
    cmsHPROFILE made = need(open_kind(kind), "a profile");
    cmsMLU *name = cmsMLUalloc(NULL, 1);
    cmsMLUsetASCII(name, "en", "US", names[kind]);
    cmsWriteTag(made, cmsSigProfileDescriptionTag, name);
    cmsMLUfree(name);
    if (kind == PROFILE_SRGB_V2)
        cmsSetProfileVersion(made, 2.1);
    return saved_profile(made);
}

void profile_lab(const wm_bytes *icc, const double rgb[3], double lab[3])
{
    cmsHPROFILE from = cmsOpenProfileFromMem(icc->data, (cmsUInt32Number)icc->size), to = cmsCreateLab4Profile(NULL);
    cmsCIELab out;
    bool gray = cmsGetColorSpace(from) == cmsSigGrayData;
    cmsHTRANSFORM transform = cmsCreateTransform(from, gray ? TYPE_GRAY_DBL : TYPE_RGB_DBL, to, TYPE_Lab_DBL,
                                                 INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
    cmsDoTransform(need(transform, "a transform"), rgb, &out, 1);
    lab[0] = out.L;
    lab[1] = out.a;
    lab[2] = out.b;
    cmsDeleteTransform(transform);
    cmsCloseProfile(from);
    cmsCloseProfile(to);
}
