/* container: the facts in sound files, one clear line for every unsound one, and no crash at any cut or change. */
#include "core/buf.h"
#include "photo/container.h"
#include "support/near.h"
#include "support/pictures.h"
#include "support/rng.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

static wm_status scan(wm_container *c, const wm_bytes *bytes, wm_error *err)
{
    memset(c, 0, sizeof *c);
    return wm_container_scan(c, bytes, NULL, err);
}

static wm_container sound(const char *name, const wm_bytes *bytes)
{
    wm_container c;
    wm_error err = { 0 };
    if (scan(&c, bytes, &err))
        fail_msg("%s: refused: %s", name, err.text);
    return c;
}

/* Refused with exactly this line; frees the bytes. */
static void refused(const char *name, wm_bytes bytes, const char *text)
{
    wm_container c;
    wm_error err = { 0 };
    wm_status status = scan(&c, &bytes, &err);
    if (status != WM_E_PHOTO || err.code != WM_E_PHOTO || strcmp(err.text, text) != 0)
        fail_msg("%s: want 4 \"%s\", got %d \"%s\"", name, text, (int)status, err.text);
    assert_null(c.icc.data);
    wm_bytes_free(&bytes);
}

static wm_bytes text_bytes(const char *text, size_t size)
{
    wm_bytes out = { malloc(size + 1), size };
    memcpy(out.data, text, size);
    return out;
}

static wm_bytes copy_of(const wm_bytes *bytes)
{
    return text_bytes((const char *)bytes->data, bytes->size);
}

static wm_bytes jpeg_of(const jpeg_how *how)
{
    picture p = picture_asymmetric(40, 24, 8);
    wm_bytes out = jpeg_make(&p, how);
    picture_free(&p);
    return out;
}

static wm_bytes plain_jpeg(void)
{
    return jpeg_of(&(jpeg_how){ .quality = 90 });
}

static wm_bytes png_of(int channels, int bits, const png_how *how)
{
    picture p = picture_new(13, 7, channels, bits);
    wm_bytes out = png_make(&p, how);
    picture_free(&p);
    return out;
}

static wm_bytes plain_png(void)
{
    return png_of(3, 8, &(png_how){ 0 });
}

static wm_bytes heic_of(const heic_how *how) /* of a size that needs no grid around it */
{
    picture p = picture_asymmetric(64, 128, 8);
    wm_bytes out = heic_make(&p, how);
    picture_free(&p);
    return out;
}

/* ---- Facts ---- */

static void jpeg_facts(void **state)
{
    (void)state;
    for (int progressive = 0; progressive < 2; progressive++)
        for (int restart = 0; restart < 4; restart++) {
            wm_bytes bytes = jpeg_of(&(jpeg_how){
                .quality = 90, .progressive = progressive, .restart_every = restart, .full_chroma = restart & 1 });
            wm_container c = sound("jpeg", &bytes);
            assert_int_equal(c.kind, WM_CONTAINER_JPEG);
            assert_int_equal(c.width, 40);
            assert_int_equal(c.height, 24);
            assert_int_equal(c.bits, 8);
            assert_int_equal(c.channels, 3);
            assert_int_equal(c.orientation, 1);
            assert_string_equal(c.camera, "");
            assert_string_equal(c.taken, "");
            assert_int_equal(c.flash, WM_FLASH_UNKNOWN);
            assert_false(c.has_cicp);
            assert_null(c.icc.data);
            wm_container_free(&c);
            wm_bytes_free(&bytes);
        }
    picture gray = picture_new(9, 9, 1, 8);
    wm_bytes bytes = jpeg_make(&gray, &(jpeg_how){ .quality = 80 });
    wm_container c = sound("gray", &bytes);
    assert_int_equal(c.channels, 1);
    wm_container_free(&c);
    wm_bytes_free(&bytes);
    picture_free(&gray);
}

/* libjpeg scales table K.1 as everyone does, so the quality that was asked for must come back. */
static void jpeg_quality_comes_back(void **state)
{
    (void)state;
    for (int quality = 5; quality <= 100; quality++) {
        wm_bytes bytes = jpeg_of(&(jpeg_how){ .quality = quality });
        wm_container c = sound("quality", &bytes);
        assert_int_equal(c.jpeg_quality, quality);
        wm_container_free(&c);
        wm_bytes_free(&bytes);
    }
}

static void check_exif(const char *name, const wm_container *c, int orientation)
{
    if (c->orientation != orientation)
        fail_msg("%s: orientation %d, want %d", name, c->orientation, orientation);
    assert_string_equal(c->camera, "Inventa P1");
    assert_string_equal(c->taken, "2025-06-01T14:30:05");
    assert_int_equal(c->flash, WM_FLASH_FIRED);
    assert_int_equal(c->white_balance, WM_WB_MANUAL);
    assert_int_equal(c->exif_width, 4000);
    assert_int_equal(c->exif_height, 3000);
}

static void exif_facts(void **state)
{
    (void)state;
    exif_how how = { false, 1, "Inventa", "P1", "2025:06:01 14:30:05", 0x19, 1, 4000, 3000, 0, NULL };
    for (how.orientation = 1; how.orientation <= 8; how.orientation++)
        for (int big = 0; big < 2; big++) {
            how.big_endian = big;
            wm_bytes exif = exif_make(&how), jpeg = jpeg_of(&(jpeg_how){ .quality = 90, .exif = exif }),
                     png = plain_png();
            png_insert(&png, "eXIf", exif.data, exif.size);
            wm_container c = sound("jpeg", &jpeg);
            check_exif("jpeg", &c, how.orientation);
            c = sound("png", &png);
            check_exif("png", &c, how.orientation);
            wm_bytes_free(&jpeg);
            wm_bytes_free(&png);
            wm_bytes_free(&exif);
        }
}

/* Exif 2.32, ColorSpace; DCF 2.0 5.2, the optional colour space. */
static void exif_says_the_colour_space(void **state)
{
    (void)state;
    static const struct {
        int space;
        const char *interoperability;
        wm_exif_colour want;
    } cases[] = { { 1, "R98", WM_EXIF_SRGB },
                  { 1, NULL, WM_EXIF_SRGB },
                  { 1, "R03", WM_EXIF_SRGB },
                  { 65535, "R03", WM_EXIF_OPRGB },
                  { 2, NULL, WM_EXIF_OPRGB },
                  { 65535, "R98", WM_EXIF_COLOUR_UNKNOWN },
                  { 65535, "THM", WM_EXIF_COLOUR_UNKNOWN },
                  { 65535, "R03x and more", WM_EXIF_COLOUR_UNKNOWN },
                  { 65535, NULL, WM_EXIF_COLOUR_UNKNOWN },
                  { 0, "R03", WM_EXIF_COLOUR_UNKNOWN },
                  { 3, NULL, WM_EXIF_COLOUR_UNKNOWN } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (int big = 0; big < 2; big++) {
            exif_how how = { big, 6, "Inventa", "P1", "2025:06:01 14:30:05", 0x19, 1, 4000, 3000, 0, NULL };
            how.colour_space = cases[i].space;
            how.interoperability = cases[i].interoperability;
            wm_bytes exif = exif_make(&how), jpeg = jpeg_of(&(jpeg_how){ .quality = 90, .exif = exif });
            wm_container c = sound("colour space", &jpeg);
            check_exif("colour space", &c, 6);
            assert_int_equal(c.exif_colour, cases[i].want);
            wm_bytes_free(&exif);
            wm_bytes_free(&jpeg);
        }
}

/* libpng 1.6 writes the EXIF block it was given once before and once behind the picture: such a file is no damage. Of
 * two that differ the first counts, as libpng reads it. */
static void exif_of_a_png_comes_twice(void **state)
{
    (void)state;
    exif_how how = { false, 6, "Inventa", "P1", "2025:06:01 14:30:05", 0x19, 1, 4000, 3000, 0, NULL };
    wm_bytes first = exif_make(&how), png = plain_png();
    how.orientation = 3;
    wm_bytes second = exif_make(&how);
    png_insert(&png, "eXIf", second.data, second.size);
    png_insert(&png, "eXIf", first.data, first.size);
    wm_container c = sound("two EXIF blocks", &png);
    check_exif("two EXIF blocks", &c, 6);
    wm_bytes_free(&png);
    wm_bytes_free(&first);
    wm_bytes_free(&second);
}

/* What a camera leaves out or writes wrongly is unknown, never guessed. */
static void exif_nonsense_is_unknown(void **state)
{
    (void)state;
    static const struct {
        exif_how how;
        const char *camera, *taken;
    } cases[] = { { { false, 9, NULL, NULL, "2025:13:01 14:30:05", -1, -1, 0, 0, 0, NULL }, "", "" },
                  { { true, 0, NULL, "P1", "2025-06-01 14:30:05", 0, 0, 0, 9, 0, NULL }, "P1", "" },
                  { { false, 77, "Inventa", NULL, "    :  :     :  :  ", -1, 7, 0, 0, 0, NULL }, "Inventa", "" },
                  { { false, 0, "Inventa", "Inventa P1", "", -1, -1, 0, 0, 0, NULL }, "Inventa P1", "" },
                  { { false, 0, "In\nventa\xFF", " P1 ", NULL, -1, -1, 0, 0, 0, NULL }, "In venta P1", "" } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wm_bytes exif = exif_make(&cases[i].how), jpeg = jpeg_of(&(jpeg_how){ .quality = 90, .exif = exif });
        wm_container c = sound("nonsense", &jpeg);
        assert_int_equal(c.orientation, 1);
        assert_string_equal(c.camera, cases[i].camera);
        assert_string_equal(c.taken, cases[i].taken);
        assert_int_equal(c.flash, cases[i].how.flash == 0 ? WM_FLASH_OFF : WM_FLASH_UNKNOWN);
        assert_int_equal(c.white_balance, cases[i].how.white_balance == 0 ? WM_WB_AUTO : WM_WB_UNKNOWN);
        assert_int_equal(c.exif_width, 0);
        wm_bytes_free(&exif);
        wm_bytes_free(&jpeg);
    }
}

/* Any change to an EXIF block leaves the photo readable and the facts within their ranges. */
static void exif_changes_do_no_harm(void **state)
{
    (void)state;
    rng r = { 11 };
    exif_how how = { false, 6, "Inventa", "P1", "2025:06:01 14:30:05", 1, 1, 4000, 3000, 65535, "R03" };
    wm_bytes exif = exif_make(&how);
    for (int i = 0; i < 4000; i++) {
        wm_bytes changed = copy_of(&exif), png = plain_png();
        for (int k = 0; k <= i % 6; k++)
            changed.data[rng_bits(&r) % changed.size] = (unsigned char)rng_bits(&r);
        png_insert(&png, "eXIf", changed.data, i % 3 == 0 ? (size_t)(rng_bits(&r) % changed.size) : changed.size);
        wm_container c = sound("changed", &png);
        assert_in_range(c.orientation, 1, 8);
        assert_true(strlen(c.taken) == 0 || strlen(c.taken) == 19);
        wm_bytes_free(&png);
        wm_bytes_free(&changed);
    }
    wm_bytes_free(&exif);
}

static void icc_is_joined(void **state)
{
    (void)state;
    unsigned char *noise = malloc(200000); /* four APP2 segments */
    for (size_t i = 0; i < 200000; i++)
        noise[i] = (unsigned char)(i * i >> 3);
    wm_bytes icc = { noise, 200000 }, jpeg = jpeg_of(&(jpeg_how){ .quality = 90, .icc = icc });
    wm_container c = sound("icc", &jpeg);
    assert_int_equal(c.icc.size, icc.size);
    assert_memory_equal(c.icc.data, icc.data, icc.size);
    wm_container_free(&c);
    wm_bytes_free(&jpeg);
    free(noise);
}

static void png_facts(void **state)
{
    (void)state;
    for (int channels = 1; channels <= 4; channels++)
        for (int bits = 8; bits <= 16; bits += 8)
            for (int interlaced = 0; interlaced < 2; interlaced++) {
                wm_bytes bytes = png_of(channels, bits, &(png_how){ .interlaced = interlaced });
                wm_container c = sound("png", &bytes);
                assert_int_equal(c.kind, WM_CONTAINER_PNG);
                assert_int_equal(c.width, 13);
                assert_int_equal(c.height, 7);
                assert_int_equal(c.bits, bits);
                assert_int_equal(c.channels, channels);
                assert_int_equal(c.jpeg_quality, 0);
                assert_false(c.png_srgb || c.has_gama || c.has_chrm || c.has_cicp);
                wm_bytes_free(&bytes);
            }
}

static void png_colour_chunks(void **state)
{
    (void)state;
    wm_bytes icc = profile_make(PROFILE_P3), png = png_of(3, 8, &(png_how){ .icc = icc });
    png_insert(&png, "sRGB", "\0", 1);
    png_insert(&png, "gAMA", "\0\0\xB1\x8F", 4);
    png_insert(&png, "cHRM",
               "\0\0\x7A\x26\0\0\x80\x84\0\0\xFA\0\0\0\x80\xE8\0\0\x75\x30\0\0\xEA\x60\0\0\x3A\x98\0\0\x17\x70", 32);
    png_insert(&png, "cICP", "\x0C\x0D\0\1", 4);
    wm_container c = sound("chunks", &png);
    assert_true(c.png_srgb && c.has_gama && c.has_chrm && c.has_cicp);
    assert_int_equal(c.cicp_primaries, 12);
    assert_int_equal(c.cicp_transfer, 13);
    near("gAMA", c.gama, 0.45455, 1e-12);
    near("cHRM white x", c.chrm[0], 0.3127, 1e-12);
    near("cHRM blue y", c.chrm[7], 0.06, 1e-12);
    assert_int_equal(c.icc.size, icc.size);
    assert_memory_equal(c.icc.data, icc.data, icc.size);
    wm_container_free(&c);
    wm_bytes_free(&png);
    wm_bytes_free(&icc);
}

static void heic_facts(void **state)
{
    (void)state;
    if (!heic_can_make())
        skip();
    exif_how how = { false, 6, "Inventa", "P1", "2025:06:01 14:30:05", 0x19, 1, 4000, 3000, 0, NULL };
    wm_bytes icc = profile_make(PROFILE_P3), exif = exif_make(&how);
    wm_bytes bytes = heic_of(&(heic_how){ .quality = 90, .icc = icc, .exif = exif });
    wm_container c = sound("heic", &bytes);
    assert_int_equal(c.kind, WM_CONTAINER_HEIC);
    assert_int_equal(c.width, 64);
    assert_int_equal(c.height, 128);
    assert_int_equal(c.bits, 8);
    assert_int_equal(c.channels, 3);
    assert_false(c.has_cicp); /* the profile goes first */
    assert_int_equal(c.icc.size, icc.size);
    assert_memory_equal(c.icc.data, icc.data, icc.size);
    check_exif("heic", &c, 1); /* its turns are irot and imir, applied while decoding; EXIF's is a copy */
    wm_container_free(&c);
    wm_bytes_free(&bytes);
    bytes = heic_of(&(heic_how){ .quality = 90, .primaries = 12, .transfer = 13 });
    c = sound("heic", &bytes);
    assert_true(c.has_cicp);
    assert_int_equal(c.cicp_primaries, 12);
    assert_int_equal(c.cicp_transfer, 13);
    wm_container_free(&c);
    wm_bytes_free(&bytes);
    wm_bytes_free(&icc);
    wm_bytes_free(&exif);
}

/* The second picture of an MPO, a trailer, a gain map: behind EOI or IEND anything may follow. */
static void trailers_are_ignored(void **state)
{
    (void)state;
    wm_bytes files[2] = { plain_jpeg(), plain_png() };
    for (int i = 0; i < 2; i++) {
        wm_bytes longer = { malloc(2 * files[i].size), 2 * files[i].size };
        memcpy(longer.data, files[i].data, files[i].size);
        memset(longer.data + files[i].size, 0xFF, files[i].size);
        wm_container c = sound("trailer", &longer);
        wm_container_free(&c);
        wm_bytes_free(&longer);
        wm_bytes_free(&files[i]);
    }
}

/* ---- Refusals ---- */

static void other_files(void **state)
{
    (void)state;
#define OTHER(text, what)                                                                                              \
    refused(what, text_bytes(text, sizeof(text) - 1),                                                                  \
            "this is " what ", not a JPEG, PNG or HEIC photo; use the photo as it left the camera")
    refused("empty", text_bytes("", 0), "the file is empty; send or copy the photo again");
    OTHER("code,L,a,b\noat,60,5,20\n", "a text file");
    OTHER("\xEF\xBB\xBF \n<!DOCTYPE HTML><html>", "a web page");
    OTHER("<html><body>", "a web page");
    OTHER("%PDF-1.7\n%\xE2\xE3", "a PDF document");
    OTHER("GIF89a\1\0\1\0", "a GIF picture");
    OTHER("RIFF\x10\0\0\0WEBPVP8 ", "a WebP picture");
    OTHER("II*\0\x08\0\0\0\0\0\0\0", "a TIFF or raw camera file");
    OTHER("MM\0*\0\0\0\x08\0\0\0\0", "a TIFF or raw camera file");
    OTHER("II*\0\x10\0\0\0CR\2\0", "a raw camera file");
    OTHER("FUJIFILMCCD-RAW 0201", "a raw camera file");
    OTHER("\0\0\0\x18"
          "ftypcrx \0\0\0\1",
          "a raw camera file");
    OTHER("BM\x36\0\0\0\0\0", "a BMP picture");
    OTHER("8BPS\0\1\0\0", "a layered editor file");
    OTHER("\0\0\0\x0CJXL \r\n\x87\n", "a JPEG XL picture");
    OTHER("\0\0\0\x0CjP  \r\n\x87\n", "a JPEG 2000 picture");
    OTHER("\0\0\0\x1C"
          "ftypavif\0\0\0\0",
          "an AVIF picture");
    OTHER("\0\0\0\x14"
          "ftypqt  \0\0\0\0",
          "a video");
    OTHER("PK\3\4\x14\0", "a zip archive");
    refused("noise", text_bytes("\1\2\3\4\5\6\7\0", 8),
            "not a photo that can be read; use a JPEG, PNG or HEIC as it left the camera");
    refused("one byte", text_bytes("\xFF", 1),
            "not a photo that can be read; use a JPEG, PNG or HEIC as it left the camera");
}

/* Offset of the first byte behind a segment's length, found by its marker. */
static size_t segment(const wm_bytes *jpeg, unsigned marker)
{
    size_t at = 2;
    while (jpeg->data[at + 1] != marker)
        at += 2 + ((size_t)jpeg->data[at + 2] << 8 | jpeg->data[at + 3]);
    return at + 4;
}

/* A JPEG with one byte of a segment changed. */
static wm_bytes jpeg_with(const jpeg_how *how, unsigned marker, size_t offset, unsigned value)
{
    wm_bytes bytes = jpeg_of(how);
    bytes.data[segment(&bytes, marker) + offset] = (unsigned char)value;
    return bytes;
}

/* A JPEG with bytes put in right behind SOI. */
static wm_bytes jpeg_after_soi(const void *data, size_t size)
{
    wm_bytes bytes = plain_jpeg(), out = { malloc(bytes.size + size), bytes.size + size };
    memcpy(out.data, bytes.data, 2);
    memcpy(out.data + 2, data, size);
    memcpy(out.data + 2 + size, bytes.data + 2, bytes.size - 2);
    wm_bytes_free(&bytes);
    return out;
}

static void jpeg_refusals(void **state)
{
    enum { SOF0 = 0xC0, SOF2 = 0xC2, DHT = 0xC4, SOS = 0xDA, DQT = 0xDB, DRI = 0xDD };
    const jpeg_how usual = { .quality = 90 }, progressive = { .quality = 90, .progressive = true },
                   restarts = { .quality = 90, .restart_every = 2 };
    (void)state;
#define DAMAGED(what) "damaged JPEG: " what "; send or copy the photo again"
    refused("DQT precision", jpeg_with(&usual, DQT, 0, 0x20), DAMAGED("impossible quantisation table"));
    refused("DQT number", jpeg_with(&usual, DQT, 0, 0x04), DAMAGED("impossible quantisation table"));
    refused("DQT zero", jpeg_with(&usual, DQT, 5, 0), DAMAGED("impossible quantisation table"));
    refused("DQT 16 bit too short", jpeg_with(&usual, DQT, 0, 0x10), DAMAGED("impossible quantisation table"));
    refused("DHT class", jpeg_with(&usual, DHT, 0, 0x20), DAMAGED("impossible Huffman table"));
    refused("DHT number", jpeg_with(&usual, DHT, 0, 0x04), DAMAGED("impossible Huffman table"));
    refused("DHT over-subscribed", jpeg_with(&usual, DHT, 1, 3), DAMAGED("impossible Huffman table"));
    refused("DHT more symbols than bytes", jpeg_with(&usual, DHT, 16, 200), DAMAGED("impossible Huffman table"));
    refused("DHT symbol", jpeg_with(&usual, DHT, 17, 16), DAMAGED("impossible Huffman table"));
    refused("SOF 12 bit", jpeg_with(&usual, SOF0, 0, 12),
            "a JPEG of more than 8 bits can't be read; save it as an 8-bit JPEG or a 16-bit PNG");
    refused("SOF no width", jpeg_with(&usual, SOF0, 4, 0), DAMAGED("impossible frame header"));
    refused("SOF no height", jpeg_with(&usual, SOF0, 2, 0),
            "a JPEG that leaves its height open can't be read; save the photo again");
    refused("SOF two components", jpeg_with(&usual, SOF0, 5, 2), DAMAGED("impossible frame header"));
    refused("SOF same name", jpeg_with(&usual, SOF0, 9, 1), DAMAGED("two components with one name"));
    refused("SOF sampling 0", jpeg_with(&usual, SOF0, 7, 0x02), DAMAGED("impossible colour sampling"));
    refused("SOF sampling 5", jpeg_with(&usual, SOF0, 7, 0x51), DAMAGED("impossible colour sampling"));
    refused("SOF sampling 3 to 2", jpeg_with(&usual, SOF0, 10, 0x31), DAMAGED("impossible colour sampling"));
    refused("SOF more than 10 blocks", jpeg_with(&usual, SOF0, 7, 0x44), DAMAGED("impossible colour sampling"));
    refused("SOF table", jpeg_with(&usual, SOF0, 8, 4), DAMAGED("impossible colour sampling"));
    refused("SOF table missing", jpeg_with(&usual, SOF0, 8, 3), DAMAGED("a quantisation table is missing"));
    refused("SOS components", jpeg_with(&usual, SOS, 0, 4), DAMAGED("impossible scan header"));
    refused("SOS unknown component", jpeg_with(&usual, SOS, 1, 9), DAMAGED("a scan of an unknown component"));
    refused("SOS twice", jpeg_with(&usual, SOS, 3, 1), DAMAGED("a component is sent twice"));
    refused("SOS table 4", jpeg_with(&usual, SOS, 2, 0x40), DAMAGED("a scan of an unknown component"));
    refused("SOS table missing", jpeg_with(&usual, SOS, 2, 0x30), DAMAGED("a Huffman table is missing"));
    refused("SOS AC table missing", jpeg_with(&usual, SOS, 2, 0x03), DAMAGED("a Huffman table is missing"));
    refused("SOS spectrum", jpeg_with(&usual, SOS, 7, 1), DAMAGED("impossible scan header"));
    refused("SOS approximation", jpeg_with(&usual, SOS, 9, 1), DAMAGED("impossible scan header"));
    refused("SOS progressive, DC and AC", jpeg_with(&progressive, SOS, 8, 5), DAMAGED("impossible scan header"));
    refused("SOS progressive, low 14", jpeg_with(&progressive, SOS, 9, 14), DAMAGED("impossible scan header"));
    refused("SOS progressive, refines nothing", jpeg_with(&progressive, SOS, 9, 0x31),
            DAMAGED("impossible scan header"));
    refused("baseline in pieces", jpeg_with(&(jpeg_how){ .quality = 90 }, SOS, 0, 1),
            DAMAGED("impossible scan header"));
    refused("restarts missing", jpeg_with(&restarts, DRI, 1, 1), DAMAGED("parts of the picture are missing"));
    refused("two frames", jpeg_after_soi("\xFF\xC0\0\x0B\x08\0\x10\0\x10\1\1\x11\0", 13), DAMAGED("two frame headers"));
    refused("scan first", jpeg_after_soi("\xFF\xDA\0\x08\1\1\0\0\x3F\0", 10),
            DAMAGED("a scan before its frame header"));
    refused("no scan", text_bytes("\xFF\xD8\xFF\xD9", 4), DAMAGED("there is no picture in it"));
    refused("garbage between", jpeg_after_soi("\0\0", 2), DAMAGED("bytes between its segments"));
    refused("length 1", jpeg_after_soi("\xFF\xE5\0\1", 4), DAMAGED("impossible segment length"));
    refused("marker", jpeg_after_soi("\xFF\xF3\0\2", 4), DAMAGED("unknown marker"));
    refused("DRI length", jpeg_after_soi("\xFF\xDD\0\5\0\0\0", 7), DAMAGED("impossible restart interval"));
    refused("lossless", jpeg_after_soi("\xFF\xC3\0\2", 4),
            "a lossless or hierarchical JPEG can't be read; save the photo as an ordinary JPEG");
    refused("arithmetic", jpeg_of(&(jpeg_how){ .quality = 90, .arithmetic = true }),
            "an arithmetic-coded JPEG can't be read; save the photo as an ordinary JPEG");
    refused("ICC 2 of 1", jpeg_after_soi("\xFF\xE2\0\x10ICC_PROFILE\0\2\1", 18),
            DAMAGED("the colour profile's pieces don't fit together"));
    refused("ICC 1 of 2 alone", jpeg_after_soi("\xFF\xE2\0\x11ICC_PROFILE\0\1\2x", 19),
            DAMAGED("a piece of the colour profile is missing"));
    refused("ICC twice", jpeg_after_soi("\xFF\xE2\0\x10ICC_PROFILE\0\1\1\xFF\xE2\0\x10ICC_PROFILE\0\1\1", 36),
            DAMAGED("the colour profile's pieces don't fit together"));
    picture four = picture_new(16, 16, 4, 8);
    refused("CMYK", jpeg_make(&four, &usual),
            "a CMYK (print) JPEG has no camera colours; use the photo as it left the camera, or save it as RGB");
    picture_free(&four);
#undef DAMAGED
}

/* 257 to 4080 symbols in one table, which Debian's decoder would write behind its arrays. */
static void hostile_huffman_tables(void **state)
{
    (void)state;
    unsigned char segment_bytes[5000] = { 0xFF, 0xC4 };
    for (unsigned per_length = 17; per_length <= 255; per_length += 7)
        for (unsigned dc_or_ac = 0; dc_or_ac < 2; dc_or_ac++) {
            size_t size = 19 + (size_t)16 * per_length;
            segment_bytes[2] = (unsigned char)(size >> 8);
            segment_bytes[3] = (unsigned char)size;
            segment_bytes[4] = (unsigned char)(dc_or_ac << 4);
            memset(segment_bytes + 5, (int)per_length, 16);
            refused("Huffman", jpeg_after_soi(segment_bytes, size + 2),
                    "damaged JPEG: impossible Huffman table; send or copy the photo again");
        }
    /* 257 codes of 16 bit: not over-subscribed, only one symbol too many */
    memset(segment_bytes + 5, 0, 16);
    segment_bytes[2] = (19 + 257) >> 8;
    segment_bytes[3] = (19 + 257) & 255;
    segment_bytes[19] = 2;
    segment_bytes[20] = 255;
    refused("257", jpeg_after_soi(segment_bytes, 19 + 257 + 2),
            "damaged JPEG: impossible Huffman table; send or copy the photo again");
}

/* A PNG with one chunk's byte changed and its CRC made right again, or not. */
static wm_bytes png_with(wm_bytes png, size_t at, unsigned value)
{
    png.data[at] = (unsigned char)value;
    return png;
}

static wm_bytes png_inserted(const char *type, const void *data, size_t size)
{
    wm_bytes png = plain_png();
    png_insert(&png, type, data, size);
    return png;
}

/* IHDR changed, with a right CRC: by putting the changed one in front of everything. */
static wm_bytes png_header(const char ihdr[13])
{
    wm_bytes png = plain_png(), out = { NULL, 0 };
    png_insert(&png, "IHDR", ihdr, 13);
    out.size = png.size - 25; /* less the old one */
    out.data = malloc(out.size);
    memcpy(out.data, png.data, 8);
    memcpy(out.data + 8, png.data + 33, png.size - 33);
    wm_bytes_free(&png);
    return out;
}

static void png_refusals(void **state)
{
    (void)state;
#define DAMAGED(what) "damaged PNG: " what "; send or copy the photo again"
    refused("CRC", png_with(plain_png(), 30, 0), DAMAGED("a checksum is wrong"));
    refused("width 0", png_header("\0\0\0\0\0\0\0\7\10\2\0\0"), DAMAGED("impossible picture header"));
    refused("depth 3", png_header("\0\0\0\1\0\0\0\7\3\2\0\0"), DAMAGED("impossible picture header"));
    refused("type 5", png_header("\0\0\0\1\0\0\0\7\10\5\0\0"), DAMAGED("impossible picture header"));
    refused("16-bit palette", png_header("\0\0\0\1\0\0\0\7\20\3\0\0"), DAMAGED("impossible picture header"));
    refused("compression", png_header("\0\0\0\1\0\0\0\7\10\2\1\0"), DAMAGED("impossible picture header"));
    refused("filter", png_header("\0\0\0\1\0\0\0\7\10\2\0\1"), DAMAGED("impossible picture header"));
    refused("interlace", png_header("\0\0\0\1\0\0\0\7\10\2\0\0\2"), DAMAGED("impossible picture header"));
    refused(
        "huge", png_header("\x7F\xFF\xFF\xFF\x7F\xFF\xFF\xFF\10\2\0\0"),
        "2147483647 x 2147483647 pixels are more than 200 megapixels; use a smaller photo or raise the setting max_megapixels");
    refused("two headers", png_inserted("IHDR", "\0\0\0\1\0\0\0\7\10\2\0\0", 13), DAMAGED("chunks out of order"));
    refused("palette of 2 bytes", png_inserted("PLTE", "xx", 2), DAMAGED("impossible palette"));
    refused("palette missing", png_header("\0\0\0\1\0\0\0\7\10\3\0\0"), DAMAGED("its palette is missing"));
    refused("tRNS size", png_inserted("tRNS", "xx", 2), DAMAGED("impossible transparency"));
    refused("gAMA 0", png_inserted("gAMA", "\0\0\0\0", 4), DAMAGED("impossible gamma"));
    refused("gAMA size", png_inserted("gAMA", "\0\0\xB1\x8F\0", 5), DAMAGED("impossible gamma"));
    refused("cHRM size", png_inserted("cHRM", "\0\0\0\0", 4), DAMAGED("impossible primaries"));
    refused("cICP size", png_inserted("cICP", "\1\15", 2), DAMAGED("impossible colour code"));
    refused("cICP YCbCr", png_inserted("cICP", "\1\15\1\1", 4),
            "a PNG of video-range or YCbCr values can't be read; save it as ordinary RGB");
    refused("iCCP name", png_inserted("iCCP", "nameless", 8), DAMAGED("impossible colour profile"));
    refused("iCCP method", png_inserted("iCCP", "n\0\1xxxx", 7), DAMAGED("impossible colour profile"));
    refused("iCCP zlib", png_inserted("iCCP", "n\0\0xxxx", 7), DAMAGED("its colour profile can't be unpacked"));
    refused("iCCP empty", png_inserted("iCCP", "n\0\0", 3), DAMAGED("its colour profile can't be unpacked"));
    refused("critical", png_inserted("ABCD", "", 0), DAMAGED("an unknown critical chunk"));
    refused("no picture", png_inserted("IEND", "", 0), DAMAGED("there is no picture in it"));
    wm_bytes png = plain_png();
    png_insert(&png, "CgBI", "\0\0\0\0", 4);
    unsigned char chunk[16];
    memcpy(chunk, png.data + 33, sizeof chunk);
    memmove(png.data + 8 + sizeof chunk, png.data + 8, 25); /* before IHDR, where phones put it */
    memcpy(png.data + 8, chunk, sizeof chunk);
    refused("a phone's own PNG", png, "a PNG made for a phone's own apps can't be read; send the photo itself");
#undef DAMAGED
}

/* 64 MiB of zeros in 64 KiB: stopped at 16 MiB. */
static void icc_bomb(void **state)
{
    (void)state;
    wm_bytes big = { calloc((size_t)64 << 20, 1), (size_t)64 << 20 };
    picture p = picture_new(2, 2, 3, 8);
    wm_bytes png = png_make(&p, &(png_how){ 0 });
    unsigned long size = 1 << 20;
    unsigned char *packed = malloc(size + 3);
    memcpy(packed, "n\0\0", 3);
    assert_int_equal(compress(packed + 3, &size, big.data, big.size), 0);
    png_insert(&png, "iCCP", packed, size + 3);
    refused("bomb", png, "damaged PNG: its colour profile can't be unpacked; send or copy the photo again");
    free(packed);
    wm_bytes_free(&big);
    picture_free(&p);
}

static void limits_name_their_setting(void **state)
{
    (void)state;
    wm_bytes bytes = plain_jpeg();
    wm_container c;
    wm_error err;
    wm_photo_limits small_picture = { 0.0005, 256, NULL }, small_file = { 200, 0.0001, NULL },
                    exact = { 0.00096, 256, NULL };
    assert_int_equal(wm_container_scan(&c, &bytes, &small_picture, &err), WM_E_PHOTO);
    assert_string_equal(
        err.text,
        "40 x 24 pixels are more than 0.0005 megapixels; use a smaller photo or raise the setting max_megapixels");
    assert_int_equal(wm_container_scan(&c, &bytes, &small_file, &err), WM_E_PHOTO);
    assert_string_equal(err.text,
                        "the file is larger than 0.0001 MiB; use a smaller photo or raise the setting max_file_mib");
    assert_int_equal(wm_container_scan(&c, &bytes, &exact, &err), WM_OK);
    wm_bytes_free(&bytes);
}

/* Said where HEIC is left out; where it is built in, the file is cut off. */
static void heic_is_named(void **state)
{
    (void)state;
#ifdef WM_HAVE_HEIF
    const char *text = "the HEIC is cut off: its end is missing; send or copy the photo again";
#else
    const char *text =
        "HEIC is not built in; install libheif and build again, or set the phone to take JPEG (\"most compatible\")";
#endif
    refused("HEIC",
            text_bytes("\0\0\0\x18"
                       "ftypheic\0\0\0\0",
                       16),
            text);
}

static void heic_refusals(void **state)
{
    (void)state;
    if (!heic_can_make())
        skip();
    static const struct {
        const char *type;
        size_t offset;
        unsigned char value;
        const char *text;
    } cases[] = { { "hvc1", 0, 'x', "a HEIC of an unknown kind of picture can't be read; save it as JPEG" },
                  { "pitm", 9, 77, "damaged HEIC: there is no picture in it; send or copy the photo again" },
                  { "ispe", 11, 0, "damaged HEIC: impossible picture size; send or copy the photo again" },
                  { "iprp", 0, 'x', "damaged HEIC: there is no picture in it; send or copy the photo again" },
                  { "iinf", 0, 'x', "damaged HEIC: there is no picture in it; send or copy the photo again" },
                  { "iloc", 8, 0x33, "damaged HEIC: impossible table of places; send or copy the photo again" } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wm_bytes bytes = heic_of(&(heic_how){ .quality = 50 });
        size_t at = 24; /* behind the brands */
        while (memcmp(bytes.data + at, cases[i].type, 4) != 0)
            at++;
        bytes.data[at + cases[i].offset] = cases[i].value;
        refused(cases[i].type, bytes, cases[i].text);
    }
}

static size_t open_box(wm_buf *out, const char *type)
{
    const size_t at = out->size;
    wm_buf_bytes(out, "\0\0\0\0", 4);
    wm_buf_text(out, type);
    return at;
}

static void close_box(wm_buf *out, size_t at)
{
    const size_t size = out->size - at;
    for (int i = 0; i < 4; i++)
        out->data[at + (size_t)i] = (char)(size >> (24 - 8 * i));
}

static void put(wm_buf *out, const char *bytes, size_t size)
{
    wm_buf_bytes(out, bytes, size);
}
#define PUT(out, bytes) put(out, bytes, sizeof(bytes) - 1)

/* The boxes of a picture of 100 x 50 without its pixels; lists: entries of ipma, with their count before them;
 * references: a box of them, or nothing. */
static wm_bytes heic_boxes(int empty_boxes, const wm_bytes *lists, const wm_bytes *references)
{
    wm_buf b = { 0 };
    PUT(&b, "\0\0\0\x14"
            "ftypheic\0\0\0\0heic");
    const size_t meta = open_box(&b, "meta");
    PUT(&b, "\0\0\0\0"
            "\0\0\0\x0epitm\0\0\0\0\0\1");
    PUT(&b, "\0\0\0\x23iinf\0\0\0\0\0\1"
            "\0\0\0\x15infe\2\0\0\0\0\1\0\0hvc1\0");
    PUT(&b, "\0\0\0\x10iloc\0\0\0\0\x44\0\0\0");
    const size_t iprp = open_box(&b, "iprp"), ipco = open_box(&b, "ipco");
    PUT(&b, "\0\0\0\x14ispe\0\0\0\0\0\0\0\x64\0\0\0\x32");
    for (int i = 0; i < empty_boxes; i++)
        PUT(&b, "\0\0\0\x08"
                "free");
    close_box(&b, ipco);
    const size_t ipma = open_box(&b, "ipma");
    PUT(&b, "\0\0\0\0");
    put(&b, (const char *)lists->data, lists->size);
    close_box(&b, ipma);
    close_box(&b, iprp);
    if (references->size > 0)
        put(&b, (const char *)references->data, references->size);
    close_box(&b, meta);
    return (wm_bytes){ (unsigned char *)b.data, b.size };
}

/* An item has one list of properties, so that reading them takes no longer than the file does: 23008-12, 9.3.1. */
static void heic_properties(void **state)
{
    (void)state;
#ifndef WM_HAVE_HEIF
    skip();
#endif
    static unsigned char one[] = "\0\0\0\1\0\1\2\1\x7f", twice[] = "\0\0\0\3\0\1\1\1\0\2\1\1\0\1\1\1";
    const wm_bytes once = { one, sizeof one - 1 }, again = { twice, sizeof twice - 1 }, none = { NULL, 0 };
    wm_bytes bytes = heic_boxes(126, &once, &none);
    wm_container c = sound("HEIC boxes", &bytes);
    assert_int_equal(c.width, 100);
    assert_int_equal(c.height, 50);
    wm_container_free(&c);
    wm_bytes_free(&bytes);
    refused("HEIC property", heic_boxes(125, &once, &none),
            "damaged HEIC: a property that is not there; send or copy the photo again");
    refused("HEIC lists", heic_boxes(0, &again, &none),
            "damaged HEIC: two lists of properties where there may be one; send or copy the photo again");
}

/* iref of version 0: each item of a list of pairs is made of the next. */
static wm_bytes made_of(const unsigned char (*pairs)[2], size_t count)
{
    wm_buf b = { 0 };
    const size_t iref = open_box(&b, "iref");
    PUT(&b, "\0\0\0\0");
    for (size_t i = 0; i < count; i++) {
        const char ends[] = { 0, (char)pairs[i][0], 0, 1, 0, (char)pairs[i][1] };
        const size_t dimg = open_box(&b, "dimg");
        put(&b, ends, sizeof ends);
        close_box(&b, dimg);
    }
    close_box(&b, iref);
    return (wm_bytes){ (unsigned char *)b.data, b.size };
}

/* Pictures made of pictures: five in a row are the most of 23000-22, and a loop, which has no end, made a decoder run
 * out of stack. */
static void heic_derivations(void **state)
{
    (void)state;
#ifndef WM_HAVE_HEIF
    skip();
#endif
    static unsigned char one[] = "\0\0\0\1\0\1\1\1";
    static const unsigned char row[][2] = { { 1, 2 }, { 2, 3 }, { 3, 4 }, { 4, 5 }, { 5, 6 }, { 6, 7 } },
                               back[][2] = { { 6, 7 }, { 5, 6 }, { 4, 5 }, { 3, 4 }, { 2, 3 }, { 1, 2 } },
                               self[][2] = { { 1, 1 } }, loop[][2] = { { 1, 2 }, { 9, 8 }, { 2, 1 } };
    static const struct {
        const unsigned char (*pairs)[2];
        size_t count;
        bool good;
    } cases[] = { { row, 5, true },   { row, 6, false },  { back + 1, 5, true }, { back, 6, false },
                  { self, 1, false }, { loop, 3, false }, { loop, 2, true } };
    const wm_bytes list = { one, sizeof one - 1 };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wm_bytes references = made_of(cases[i].pairs, cases[i].count), bytes = heic_boxes(0, &list, &references);
        if (cases[i].good) {
            wm_container c = sound("HEIC references", &bytes);
            wm_container_free(&c);
            wm_bytes_free(&bytes);
        } else {
            refused("HEIC references", bytes,
                    "damaged HEIC: a picture made of itself, or of too many in a row; send or copy the photo again");
        }
        references.data[22] = 0xFF; /* more than there are */
        references.data[23] = 0xFF;
        refused("HEIC references", heic_boxes(0, &list, &references),
                "damaged HEIC: a box that does not fit; send or copy the photo again");
        wm_bytes_free(&references);
    }
}

/* 64 references to what is made of 64: 4,096 pictures are the most, one reference more is refused before it is decoded,
 * for half a minute and more. */
static void heic_of_many_pictures(void **state)
{
    (void)state;
#ifndef WM_HAVE_HEIF
    skip();
#endif
    static unsigned char one[] = "\0\0\0\1\0\1\1\1";
    const wm_bytes list = { one, sizeof one - 1 };
    unsigned char pairs[129][2];
    for (int i = 0; i < 129; i++) {
        pairs[i][0] = i < 64 ? 2 : 1;
        pairs[i][1] = i < 64 ? 3 : 2;
    }
    for (size_t count = 128; count <= 129; count++) {
        wm_bytes references = made_of((const unsigned char(*)[2])pairs, count),
                 bytes = heic_boxes(0, &list, &references);
        if (count == 128) {
            wm_container c = sound("HEIC of many", &bytes);
            wm_container_free(&c);
            wm_bytes_free(&bytes);
        } else {
            refused("HEIC of too many", bytes,
                    "damaged HEIC: a picture made of too many; send or copy the photo again");
        }
        wm_bytes_free(&references);
    }
}

/* ---- Cuts and changes ---- */

static void cut_everywhere(const char *name, wm_bytes bytes, size_t whole)
{
    wm_container c;
    wm_error err;
    for (size_t size = 0; size < whole; size++) {
        wm_bytes cut =
            text_bytes((const char *)bytes.data, size); /* a block of its own, so that a read behind it is seen */
        if (scan(&c, &cut, &err) != WM_E_PHOTO)
            fail_msg("%s: cut to %zu of %zu bytes, but accepted", name, size, bytes.size);
        assert_true(strlen(err.text) > 20);
        wm_bytes_free(&cut);
    }
    wm_bytes_free(&bytes);
}

static void cut_jpeg(void **state)
{
    (void)state;
    wm_bytes bytes = plain_jpeg();
    cut_everywhere("JPEG", bytes, bytes.size);
    bytes = jpeg_of(&(jpeg_how){ .quality = 60, .progressive = true });
    cut_everywhere("progressive JPEG", bytes, bytes.size);
}

static void cut_png(void **state)
{
    (void)state;
    wm_bytes icc = profile_make(PROFILE_SRGB_V4), bytes = png_of(3, 16, &(png_how){ .icc = icc });
    cut_everywhere("PNG", bytes, bytes.size);
    wm_bytes_free(&icc);
}

static void cut_heic(void **state)
{
    (void)state;
    if (!heic_can_make())
        skip();
    wm_bytes bytes = heic_of(&(heic_how){ .quality = 50 });
    cut_everywhere("HEIC", bytes, bytes.size);
}

static void change_anything(const char *name, wm_bytes bytes, uint64_t seed)
{
    rng r = { seed };
    wm_container c;
    wm_error err;
    for (int i = 0; i < 6000; i++) {
        wm_bytes changed = copy_of(&bytes);
        for (int k = 0; k <= i % 4; k++)
            changed.data[rng_bits(&r) % changed.size] = (unsigned char)rng_bits(&r);
        wm_status status = scan(&c, &changed, &err);
        if (status && status != WM_E_PHOTO)
            fail_msg("%s: status %d", name, (int)status);
        if (!status)
            wm_container_free(&c);
        wm_bytes_free(&changed);
    }
    wm_bytes_free(&bytes);
}

static void changes_do_no_harm(void **state)
{
    (void)state;
    change_anything("JPEG", jpeg_of(&(jpeg_how){ .quality = 30, .restart_every = 2 }), 1);
    change_anything("progressive JPEG", jpeg_of(&(jpeg_how){ .quality = 30, .progressive = true }), 2);
    change_anything("PNG", plain_png(), 3);
    if (heic_can_make())
        change_anything("HEIC", heic_of(&(heic_how){ .quality = 50 }), 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(jpeg_facts),
                                        cmocka_unit_test(jpeg_quality_comes_back),
                                        cmocka_unit_test(exif_facts),
                                        cmocka_unit_test(exif_says_the_colour_space),
                                        cmocka_unit_test(exif_of_a_png_comes_twice),
                                        cmocka_unit_test(exif_nonsense_is_unknown),
                                        cmocka_unit_test(exif_changes_do_no_harm),
                                        cmocka_unit_test(icc_is_joined),
                                        cmocka_unit_test(png_facts),
                                        cmocka_unit_test(png_colour_chunks),
                                        cmocka_unit_test(heic_facts),
                                        cmocka_unit_test(trailers_are_ignored),
                                        cmocka_unit_test(other_files),
                                        cmocka_unit_test(jpeg_refusals),
                                        cmocka_unit_test(hostile_huffman_tables),
                                        cmocka_unit_test(png_refusals),
                                        cmocka_unit_test(icc_bomb),
                                        cmocka_unit_test(limits_name_their_setting),
                                        cmocka_unit_test(heic_is_named),
                                        cmocka_unit_test(heic_refusals),
                                        cmocka_unit_test(heic_properties),
                                        cmocka_unit_test(heic_derivations),
                                        cmocka_unit_test(heic_of_many_pictures),
                                        cmocka_unit_test(cut_jpeg),
                                        cmocka_unit_test(cut_png),
                                        cmocka_unit_test(cut_heic),
                                        cmocka_unit_test(changes_do_no_harm) };
    return cmocka_run_group_tests_name("container", tests, NULL, NULL);
}
