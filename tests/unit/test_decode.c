/* decode: the pixels that were written come back, and broken data ends in one clear line. */
#include "photo/decode.h"
#include "support/near.h"
#include "support/pictures.h"
#include "support/rng.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Into memory of its own; free with pixels_free. */
static wm_status decode_into(wm_pixels *out, const wm_bytes *bytes, const wm_container *c, wm_error *err)
{
    wm_room room = { NULL, wm_pixels_room(c->width, c->height, c->bits) };
    room.at = calloc(room.size, 1);
    wm_status status = wm_decode(out, bytes, c, &(wm_parts){ 0 }, room, err);
    if (status)
        free(room.at);
    return status;
}

static void pixels_free(wm_pixels *pixels)
{
    free((void *)(uintptr_t)pixels->data);
    *pixels = (wm_pixels){ 0 };
}

static wm_status scan_and_decode(wm_pixels *out, const wm_bytes *bytes, wm_error *err)
{
    wm_container c;
    wm_status status = wm_container_scan(&c, bytes, NULL, err);
    if (status)
        return status;
    status = decode_into(out, bytes, &c, err);
    wm_container_free(&c);
    return status;
}

/* Decodes and frees the bytes. */
static wm_pixels sound(const char *name, wm_bytes bytes)
{
    wm_pixels pixels = { 0 };
    wm_error err = { 0 };
    if (scan_and_decode(&pixels, &bytes, &err))
        fail_msg("%s: refused: %s", name, err.text);
    wm_bytes_free(&bytes);
    return pixels;
}

static void refused(const char *name, wm_bytes bytes, const char *text)
{
    wm_pixels pixels = { 0 };
    wm_error err = { 0 };
    wm_status status = scan_and_decode(&pixels, &bytes, &err);
    if (status != WM_E_PHOTO || strcmp(err.text, text) != 0)
        fail_msg("%s: want \"%s\", got %d \"%s\"", name, text, (int)status, err.text);
    assert_null(pixels.data);
    wm_bytes_free(&bytes);
}

/* The three channels of a pixel, as codes of its bits, rounded. */
static void sample(int rgb[3], const wm_pixels *p, int x, int y)
{
    double encoded[3];
    wm_pixels_encoded(p, (wm_pixel_run){ x, y, 1, 0, 1 }, encoded);
    for (int c = 0; c < 3; c++)
        rgb[c] = (int)lround(encoded[c] * (p->bits == 16 ? 65535 : 255));
}

/* Largest difference of a channel between what was drawn and what came back; frees the pixels. */
static int worst_difference(const picture *p, wm_pixels *got)
{
    int worst = 0;
    assert_int_equal(got->width, p->width);
    assert_int_equal(got->height, p->height);
    assert_int_equal(got->bits, p->bits);
    for (int y = 0; y < p->height; y++)
        for (int x = 0; x < p->width; x++) {
            int rgb[3];
            sample(rgb, got, x, y);
            for (int c = 0; c < 3; c++) {
                int off = abs(picture_at(p, x, y)[p->channels >= 3 ? c : 0] - rgb[c]);
                if (off > worst)
                    worst = off;
            }
        }
    pixels_free(got);
    return worst;
}

/* Noise, with alpha where there is one: what is transparent keeps its colour. */
static void png_is_exact(void **state)
{
    (void)state;
    rng r = { 1 };
    for (int channels = 1; channels <= 4; channels++)
        for (int bits = 8; bits <= 16; bits += 8)
            for (int interlaced = 0; interlaced < 2; interlaced++) {
                picture p = picture_new(37, 23, channels, bits);
                for (int i = 0; i < 37 * 23 * channels; i++)
                    p.samples[i] = (uint16_t)(rng_bits(&r) & (bits == 16 ? 65535 : 255));
                wm_pixels got = sound("png", png_make(&p, &(png_how){ .interlaced = interlaced }));
                assert_int_equal(worst_difference(&p, &got), 0);
                picture_free(&p);
            }
}

/* An index that the palette does not have is black, not what lay in memory. */
static void png_palette_is_filled(void **state)
{
    (void)state;
    static const unsigned char palette[3][3] = { { 10, 20, 30 }, { 40, 50, 60 }, { 70, 80, 90 } },
                               indices[6] = { 0, 1, 2, 3, 200, 255 };
    wm_pixels got = sound("palette", png_palette(6, 1, indices, palette, 3));
    for (int i = 0; i < 6; i++) {
        int rgb[3];
        sample(rgb, &got, i, 0);
        for (int c = 0; c < 3; c++)
            assert_int_equal(rgb[c], i < 3 ? palette[i][c] : 0);
    }
    pixels_free(&got);
}

/* Rounded steps of 1 and rounded YCbCr: libjpeg's own decoder is off by up to 4 on this picture, too. */
static void jpeg_is_near(void **state)
{
    (void)state;
    picture p = picture_asymmetric(331, 217, 8);
    int worst_full = 0, worst_half = 0;
    for (int progressive = 0; progressive < 2; progressive++)
        for (int restart = 0; restart < 8; restart += 7) {
            jpeg_how how = {
                .quality = 100, .progressive = progressive, .restart_every = restart, .full_chroma = true
            };
            wm_pixels full = sound("4:4:4", jpeg_make(&p, &how));
            how.full_chroma = false;
            wm_pixels half = sound("4:2:0", jpeg_make(&p, &how));
            int off_full = worst_difference(&p, &full), off_half = worst_difference(&p, &half);
            if (off_full > worst_full)
                worst_full = off_full;
            if (off_half > worst_half)
                worst_half = off_half;
        }
    printf("# JPEG quality 100: worst code off by %d (4:4:4), %d (4:2:0)\n", worst_full, worst_half);
    assert_in_range(worst_full, 0, 4);
    assert_in_range(worst_half, 0, 4);
    picture_free(&p);
    p = picture_new(50, 40, 1, 8);
    for (int i = 0; i < 50 * 40; i++)
        p.samples[i] = (uint16_t)(i / 8);
    wm_pixels gray = sound("gray", jpeg_make(&p, &(jpeg_how){ .quality = 100 }));
    assert_in_range(worst_difference(&p, &gray), 0, 2);
    picture_free(&p);
}

static void heic_is_near(void **state)
{
    (void)state;
    if (!heic_can_make())
        skip();
    static const int sizes[][2] = { { 64, 64 }, { 331, 217 }, { 640, 480 } };
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        picture p = picture_asymmetric(sizes[i][0], sizes[i][1], 8);
        wm_pixels got = sound("heic", heic_make(&p, &(heic_how){ .quality = 100 }));
        int worst = worst_difference(&p, &got);
        printf("# HEIC quality 100, %d x %d: worst code off by %d\n", p.width, p.height, worst);
        assert_in_range(worst, 0, 8);
        picture_free(&p);
    }
}

/* Two decodings give the same bytes. */
static void same_pixels_again(void **state)
{
    (void)state;
    picture p = picture_asymmetric(120, 90, 8);
    wm_bytes bytes = jpeg_make(&p, &(jpeg_how){ .quality = 75 });
    wm_container c;
    wm_pixels a, b;
    assert_int_equal(wm_container_scan(&c, &bytes, NULL, NULL), WM_OK);
    assert_int_equal(decode_into(&a, &bytes, &c, NULL), WM_OK);
    assert_int_equal(decode_into(&b, &bytes, &c, NULL), WM_OK);
    assert_memory_equal(a.data, b.data, wm_pixels_room(120, 90, 8));
    pixels_free(&a);
    pixels_free(&b);
    wm_bytes_free(&bytes);
    picture_free(&p);
}

/* ---- Broken data behind sound headers ---- */

static wm_bytes png_of(void)
{
    picture p = picture_asymmetric(40, 30, 8);
    wm_bytes out = png_make(&p, &(png_how){ 0 });
    picture_free(&p);
    return out;
}

/* The first IDAT replaced by one with other bytes and a right CRC. */
static wm_bytes png_with_idat(const void *data, size_t size)
{
    wm_bytes png = png_of(), out = { malloc(33 + 12 + size + 12), 0 };
    png_insert(&png, "IDAT", data, size);
    out.size = 33 + 12 + size + 12;
    memcpy(out.data, png.data, 33 + 12 + size);
    memcpy(out.data + 33 + 12 + size, png.data + png.size - 12, 12); /* IEND */
    wm_bytes_free(&png);
    return out;
}

static void broken_data(void **state)
{
    (void)state;
    refused("no zlib", png_with_idat("\0\0\0\0", 4), "damaged PNG: bad compression; send or copy the photo again");
    refused("empty zlib", png_with_idat("\x78\x9C\x03\0\0\0\0\1", 8),
            "damaged PNG: not enough pixels; send or copy the photo again");
    picture p = picture_asymmetric(64, 64, 8);
    wm_bytes jpeg = jpeg_make(&p, &(jpeg_how){ .quality = 90 });
    for (size_t i = jpeg.size - 202; i < jpeg.size - 2; i++)
        jpeg.data[i] = i % 2 == jpeg.size % 2 ? 0xFF : 0; /* no code is all ones */
    refused("no such code", jpeg, "damaged JPEG: bad huffman code; send or copy the photo again");
    if (heic_can_make()) {
        wm_bytes heic = heic_make(&p, &(heic_how){ .quality = 90 });
        size_t at = 0;
        while (memcmp(heic.data + at, "mdat", 4) != 0)
            at++;
        memset(heic.data + at + 4, 0xFF, 40);
        wm_pixels pixels = { 0 };
        wm_error err;
        assert_int_equal(scan_and_decode(&pixels, &heic, &err), WM_E_PHOTO);
        assert_non_null(strstr(err.text, "damaged HEIC: "));
        wm_bytes_free(&heic);
    }
    picture_free(&p);
}

/* A decoder that disagrees with the walk about the size is not believed. */
static void other_size_than_walked(void **state)
{
    (void)state;
    wm_bytes png = png_of();
    wm_container c;
    wm_pixels pixels = { 0 };
    wm_error err;
    assert_int_equal(wm_container_scan(&c, &png, NULL, NULL), WM_OK);
    c.width = 39;
    assert_int_equal(decode_into(&pixels, &png, &c, &err), WM_E_PHOTO);
    assert_string_equal(err.text, "damaged PNG: the decoder failed on it; send or copy the photo again");
    assert_null(pixels.data);
    wm_bytes_free(&png);
}

/* Changed picture data decodes to something or is refused; nothing of it reaches us. */
static void changed_data(void **state)
{
    (void)state;
    picture p = picture_asymmetric(64, 64, 8);
    wm_bytes files[3] = { jpeg_make(&p, &(jpeg_how){ .quality = 60 }),
                          jpeg_make(&p, &(jpeg_how){ .quality = 60, .progressive = true }),
                          { NULL, 0 } };
    if (heic_can_make())
        files[2] = heic_make(&p, &(heic_how){ .quality = 60 });
    rng r = { 9 };
    int accepted = 0;
    for (int f = 0; f < 3 && files[f].size > 0; f++)
        for (int i = 0; i < 60; i++) {
            wm_bytes changed = { malloc(files[f].size), files[f].size };
            memcpy(changed.data, files[f].data, changed.size);
            for (int k = 0; k < 4; k++)
                changed.data[changed.size - 2 - rng_bits(&r) % 300] = (unsigned char)(rng_bits(&r) % 255);
            wm_pixels pixels = { 0 };
            wm_status status = scan_and_decode(&pixels, &changed, NULL);
            assert_true(status == WM_OK || status == WM_E_PHOTO);
            accepted += status == WM_OK;
            pixels_free(&pixels);
            wm_bytes_free(&changed);
        }
    printf("# %d changed photos decode to something\n", accepted);
    assert_true(accepted > 0);
    for (int f = 0; f < 3; f++)
        wm_bytes_free(&files[f]);
    picture_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(png_is_exact),           cmocka_unit_test(png_palette_is_filled),
        cmocka_unit_test(jpeg_is_near),           cmocka_unit_test(heic_is_near),
        cmocka_unit_test(same_pixels_again),      cmocka_unit_test(broken_data),
        cmocka_unit_test(other_size_than_walked), cmocka_unit_test(changed_data)
    };
    return cmocka_run_group_tests_name("decode", tests, NULL, NULL);
}
