/* The door of the photo: any bytes as a file. What the walk refuses has one line and leaves nothing; what it passes may
 * not make a decoder or a colour engine do anything that a sanitizer sees, and gives finite colours. Decoded without
 * the child, whose end would hide the fault. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "photo/decode_internal.h"
#include "photo/profile.h"

#define SEED(text)                                                                                                     \
    {                                                                                                                  \
        text, sizeof text - 1                                                                                          \
    }
#include "photo_seeds.h"
const char *const fuzz_words[] = {
    "\xff\xd8\xff", "\xff\xd9", "\xff\xda",    "\xff\xc0", "\xff\xc2", "\xff\xc4",
    "\xff\xdb",     "\xff\xdd", "\xff\xe1",    "\xff\xd0", "\xff\xff", "\x7f\xff\xff\xff",
    "\x11",         "\x22",     "\x21",        "\x41",     "\x3f",     "Exif",
    "II*",          "MM",       "ICC_PROFILE", "Adobe",    "JFIF",     "IHDR",
    "PLTE",         "IDAT",     "IEND",        "tRNS",     "iCCP",     "cICP",
    "eXIf",         "gAMA",     "cHRM",        "ftypheic", "meta",     "pitm",
    "iinf",         "infe",     "iloc",        "iprp",     "ipco",     "ipma",
    "ispe",         "colr",     "prof",        "nclx",     "irot",     "imir",
    "clap",         "grid",     "hvc1",        "hvcC",     "idat",     "iref",
    "acsp",         "mntr",     "RGB XYZ ",    "rTRC",     "curv",     "para",
    "A2B0",         "mft1",     "mft2",        "mAB ",     NULL
};

static void check_container(const wm_container *c)
{
    fuzz_check(c->width > 0 && c->height > 0 && (c->bits == 8 || c->bits == 16) && c->channels >= 1 && c->channels <= 4,
               "a size is possible");
    fuzz_check(c->orientation >= 1 && c->orientation <= 8 && c->jpeg_quality >= 0 && c->jpeg_quality <= 100,
               "facts are within their ranges");
    fuzz_check(strlen(c->camera) < sizeof c->camera && (strlen(c->taken) == 0 || strlen(c->taken) == 19), "texts fit");
}

static void check_pixels(const wm_pixels *p, const wm_profile *profile)
{
    size_t count = (size_t)p->width * (size_t)p->height;
    for (size_t i = 0; i < count; i += 1 + count / 16) {
        double rgb[3];
        wm_rgb linear;
        const unsigned char *bytes = (const unsigned char *)p->data + 3 * i;
        if (p->is_ycbcr)
            wm_ycbcr_to_rgb(rgb, &p->ycbcr, bytes);
        else
            for (size_t c = 0; c < 3; c++)
                rgb[c] = p->bits == 8 ? bytes[c] / 255.0 : ((const uint16_t *)p->data)[3 * i + c] / 65535.0;
        fuzz_check(rgb[0] >= 0 && rgb[0] <= 1 && rgb[1] >= 0 && rgb[1] <= 1 && rgb[2] >= 0 && rgb[2] <= 1,
                   "channel values are 0 to 1");
        wm_profile_to_linear(profile, &linear, rgb, 1);
        fuzz_check(isfinite(linear.r) && isfinite(linear.g) && isfinite(linear.b), "a colour is finite");
    }
}

static void open_photo(const uint8_t *data, size_t size)
{
    static const wm_photo_limits small = { 0.1, 1 };
    wm_container c = { .width = 77 };
    wm_pixels pixels = { 0 };
    wm_profile *profile = NULL;
    wm_error err = { 0 };
    wm_bytes bytes = { malloc(size ? size : 1), size }; /* its end is the heap block's own: reading past it is seen */
    if (!bytes.data)
        return;
    if (size)
        memcpy(bytes.data, data, size);
    wm_status status = wm_container_scan(&c, &bytes, &small, &err);
    if (status) {
        fuzz_check(status == WM_E_PHOTO && err.text[0] && !strpbrk(err.text, "\r\n"), "a refusal is one line");
        fuzz_check(c.width == 77 && !c.icc.data, "a refusal leaves the output alone");
    } else {
        check_container(&c);
        if (wm_profile_open(&profile, &c, &err) == WM_OK && wm_decode_unguarded(&pixels, &bytes, &c, &err) == WM_OK)
            check_pixels(&pixels, profile);
        wm_pixels_free(&pixels);
        wm_profile_free(profile);
        wm_container_free(&c);
    }
    wm_bytes_free(&bytes);
}

static uint32_t big_endian(const uint8_t *at)
{
    return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

/* Makes every checksum of a PNG right, so that changes get beyond the walk. False: not a PNG. */
static int mend_png(uint8_t *data, size_t size)
{
    size_t at = 8;
    if (size < 8 || memcmp(data, "\x89PNG", 4) != 0)
        return 0;
    while (size - at >= 12 && big_endian(data + at) <= size - at - 12) {
        uint32_t length = big_endian(data + at);
        uLong crc = crc32(0, data + at + 4, (uInt)length + 4);
        for (unsigned i = 0; i < 4; i++)
            data[at + 8 + length + i] = (uint8_t)(crc >> (24 - 8 * i));
        at += 12 + (size_t)length;
    }
    return 1;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    open_photo(data, size);
    uint8_t *mended = malloc(size ? size : 1);
    if (mended && size) {
        memcpy(mended, data, size);
        if (mend_png(mended, size))
            open_photo(mended, size);
    }
    free(mended);
    return 0;
}
