#include "picture.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>
#include <lcms2.h>
#include <png.h>

typedef struct image {
    int width, height;
    unsigned char *rgb;
} image;

/* --- turning
 * -------------------------------------------------------------------------------------------------------------------
 */

/* The stored picture that orientation (EXIF 1..8) shows upright. */
static bool turn(image *out, const unsigned char *rgb, int width, int height, int orientation)
{
    bool swap = orientation >= 5;
    out->width = swap ? height : width;
    out->height = swap ? width : height;
    out->rgb = malloc((size_t)width * (size_t)height * 3);
    if (!out->rgb)
        return false;
    for (int sy = 0; sy < out->height; sy++)
        for (int sx = 0; sx < out->width; sx++) {
            int a = swap ? sy : sx, b = swap ? sx : sy;
            bool mirror_x = orientation == 2 || orientation == 3 || orientation == 6 || orientation == 7;
            bool mirror_y = orientation == 3 || orientation == 4 || orientation == 7 || orientation == 8;
            int x = mirror_x ? width - 1 - a : a, y = mirror_y ? height - 1 - b : b;
            memcpy(out->rgb + ((size_t)sy * (size_t)out->width + (size_t)sx) * 3,
                   rgb + ((size_t)y * (size_t)width + (size_t)x) * 3, 3);
        }
    return true;
}

/* --- EXIF
 * ----------------------------------------------------------------------------------------------------------------------
 */

enum { EXIF_SIZE = 400, ASCII = 2, SHORT = 3, LONG = 4, UNDEFINED = 7 };

/* A little-endian TIFF block: a directory of fixed size, text behind it. */
typedef struct tiff {
    unsigned char bytes[EXIF_SIZE];
    size_t directory, text; /* where the next entry and the next text go */
} tiff;

static void put(tiff *t, size_t at, uint32_t value, int count)
{
    for (int i = 0; i < count; i++)
        t->bytes[at + (size_t)i] = (unsigned char)(value >> (8 * i));
}

static void entry(tiff *t, unsigned tag, unsigned type, uint32_t count, uint32_t value)
{
    put(t, t->directory, tag, 2);
    put(t, t->directory + 2, type, 2);
    put(t, t->directory + 4, count, 4);
    put(t, t->directory + 8, value, 4);
    t->directory += 12;
}

static void text_entry(tiff *t, unsigned tag, const char *text)
{
    size_t n = strlen(text) + 1;
    entry(t, tag, ASCII, (uint32_t)n, (uint32_t)t->text);
    memcpy(t->bytes + t->text, text, n);
    t->text += n + n % 2;
}

static void open_directory(tiff *t, size_t at, unsigned entries)
{
    put(t, at, entries, 2);
    t->directory = at + 2;
}

static size_t make_exif(tiff *t, int width, int height, const options *o)
{
    enum { MAIN = 8, MAIN_ENTRIES = 5, SUB = MAIN + 2 + MAIN_ENTRIES * 12 + 4, SUB_ENTRIES = 6 };
    char model[64], taken[20];
    snprintf(model, sizeof model, "%.10s camera %.0f", o->look, o->camera);
    snprintf(taken, sizeof taken, "%.19s", o->taken);
    memset(t, 0, sizeof *t);
    memcpy(t->bytes, "II*\0\x08\0\0\0", 8);
    t->text = SUB + 2 + SUB_ENTRIES * 12 + 4;
    open_directory(t, MAIN, MAIN_ENTRIES);
    text_entry(t, 0x010F, "wm_render");
    text_entry(t, 0x0110, model);
    entry(t, 0x0112, SHORT, 1, (uint32_t)o->orientation);
    text_entry(t, 0x0132, taken);
    entry(t, 0x8769, LONG, 1, SUB);
    open_directory(t, SUB, SUB_ENTRIES);
    entry(t, 0x9000, UNDEFINED, 4, 0x32333230); /* "0232" */
    text_entry(t, 0x9003, taken);
    entry(t, 0x9209, SHORT, 1, o->flash > 0 ? 0x19 : 0x10);
    entry(t, 0xA002, LONG, 1, (uint32_t)(width * o->resized));
    entry(t, 0xA003, LONG, 1, (uint32_t)(height * o->resized));
    entry(t, 0xA403, SHORT, 1, 0); /* automatic white balance */
    return t->text;
}

/* --- ICC
 * -----------------------------------------------------------------------------------------------------------------------
 */

static cmsHPROFILE make_profile(bool p3)
{
    if (!p3)
        return cmsCreate_sRGBProfile();
    cmsCIExyY d65 = { 0.3127, 0.3290, 1 };
    cmsCIExyYTRIPLE primaries = { { 0.680, 0.320, 1 }, { 0.265, 0.690, 1 }, { 0.150, 0.060, 1 } };
    double parameters[5] = { 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045 };
    cmsToneCurve *curve = cmsBuildParametricToneCurve(NULL, 4, parameters);
    cmsToneCurve *curves[3] = { curve, curve, curve };
    cmsHPROFILE profile = curve ? cmsCreateRGBProfile(&d65, &primaries, curves) : NULL;
    cmsFreeToneCurve(curve);
    return profile;
}

/* Owned bytes of the profile, NULL without one. LittleCMS writes the hour of making into the header: a fixed one
 * instead. */
static unsigned char *make_icc(cmsUInt32Number *size, const options *o)
{
    static const unsigned char made[12] = { 0x07, 0xE9, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0 };
    *size = 0;
    if (strcmp(o->profile, "none") == 0)
        return NULL;
    cmsHPROFILE profile = make_profile(strcmp(o->profile, "p3") == 0);
    if (!profile)
        return NULL;
    unsigned char *bytes = NULL;
    if (cmsSaveProfileToMem(profile, NULL, size))
        bytes = malloc(*size);
    if (bytes && cmsSaveProfileToMem(profile, bytes, size))
        memcpy(bytes + 24, made, sizeof made);
    cmsCloseProfile(profile);
    return bytes;
}

/* --- files
 * ---------------------------------------------------------------------------------------------------------------------
 */

typedef struct extras {
    tiff exif;
    size_t exif_size; /* 0: none */
    unsigned char *icc;
    cmsUInt32Number icc_size;
} extras;

static void write_jpeg(FILE *f, const image *im, const extras *e, int quality)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_stdio_dest(&jpeg, f);
    jpeg.image_width = (JDIMENSION)im->width;
    jpeg.image_height = (JDIMENSION)im->height;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, quality, TRUE);
    jpeg.optimize_coding = TRUE;
    jpeg.write_JFIF_header = e->exif_size == 0;
    jpeg_start_compress(&jpeg, TRUE);
    if (e->exif_size) {
        unsigned char block[6 + EXIF_SIZE] = "Exif\0";
        memcpy(block + 6, e->exif.bytes, e->exif_size);
        jpeg_write_marker(&jpeg, JPEG_APP0 + 1, block, (unsigned)(6 + e->exif_size));
    }
    if (e->icc)
        jpeg_write_icc_profile(&jpeg, e->icc, e->icc_size);
    while (jpeg.next_scanline < jpeg.image_height) {
        JSAMPROW row = im->rgb + (size_t)jpeg.next_scanline * (size_t)im->width * 3;
        jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
}

static bool write_png(FILE *f, const image *im, const extras *e)
{
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png ? png_create_info_struct(png) : NULL;
    if (!info || setjmp(png_jmpbuf(png))) {
        png_destroy_write_struct(&png, &info);
        return false;
    }
    png_init_io(png, f);
    png_set_IHDR(png, info, (png_uint_32)im->width, (png_uint_32)im->height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_compression_level(png, 3);
    if (e->icc)
        png_set_iCCP(png, info, "profile", PNG_COMPRESSION_TYPE_BASE, e->icc, e->icc_size);
    unsigned char block[EXIF_SIZE];
    memcpy(block, e->exif.bytes, sizeof block);
    if (e->exif_size)
        png_set_eXIf_1(png, info, (png_uint_32)e->exif_size, block);
    png_write_info(png, info);
    for (int y = 0; y < im->height; y++)
        png_write_row(png, im->rgb + (size_t)y * (size_t)im->width * 3);
    png_write_end(png, NULL); /* all of info stands before the picture; given again, eXIf would stand behind it too */
    png_destroy_write_struct(&png, &info);
    return true;
}

bool picture_write(const char *path, const unsigned char *rgb, int width, int height, const options *o)
{
    image im = { 0 };
    extras e = { .exif_size = 0 };
    FILE *f = fopen(path, "wb");
    bool good = f && turn(&im, rgb, width, height, (int)o->orientation);
    if (good) {
        if (o->exif > 0)
            e.exif_size = make_exif(&e.exif, im.width, im.height, o);
        e.icc = make_icc(&e.icc_size, o);
        if (strcmp(o->format, "png") == 0)
            good = write_png(f, &im, &e);
        else
            write_jpeg(f, &im, &e, (int)o->quality);
        good = good && !ferror(f);
    }
    if (f && fclose(f) != 0)
        good = false;
    free(im.rgb);
    free(e.icc);
    return good;
}
