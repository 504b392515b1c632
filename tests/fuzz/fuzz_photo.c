/* The door of the photo: any bytes as a file. What the walk refuses has one line and leaves nothing; what it passes may
 * not make a decoder or a colour engine do anything that a sanitizer sees, and gives finite colours. Decoded in
 * this process: the helper's end would hide the fault. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "photo/photo_internal.h"
#include "photo/unpack.h"

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

/* What a sound picture holds: channel values 0 to 1 and finite colours, along rows and along columns. */
static void check_pixels(const wm_photo *photo)
{
    wm_photo_facts facts = wm_photo_facts_of(photo);
    wm_rgb linear[16];
    double encoded[48];
    for (int y = 0; y < facts.height; y += 1 + facts.height / 16) {
        int count = facts.width < 16 ? facts.width : 16;
        wm_photo_read(photo, facts.width - count, y, count, linear, encoded);
        for (int i = 0; i < 3 * count; i++)
            fuzz_check(encoded[i] >= 0 && encoded[i] <= 1, "channel values are 0 to 1");
        for (int i = 0; i < count; i++)
            fuzz_check(isfinite(linear[i].r) && isfinite(linear[i].g) && isfinite(linear[i].b), "a colour is finite");
    }
    fuzz_check(facts.width > 0 && facts.height > 0 && facts.orientation >= 1 && facts.orientation <= 8,
               "facts are within their ranges");
    fuzz_check(strlen(facts.taken) == 0 || strlen(facts.taken) == 19, "texts fit");
}

static void check_same(const wm_photo *parts, const wm_photo *whole, wm_box box)
{
    enum { MOST = 64 };
    double a[3 * MOST], b[3 * MOST];
    fuzz_check(wm_photo_has(parts, box), "what was asked for is there");
    for (int y = box.y; y < box.y + box.height; y++) {
        wm_photo_read(parts, box.x, y, box.width, NULL, a);
        wm_photo_read(whole, box.x, y, box.width, NULL, b);
        fuzz_check(memcmp(a, b, 3 * (size_t)box.width * sizeof *a) == 0, "a part is as in the whole picture");
    }
}

static void read_parts(wm_photo *parts, const wm_bytes *bytes, const wm_photo *whole, const wm_box boxes[2])
{
    wm_reply *reply = parts->reply;
    reply->room = wm_parts_room(&reply->parts, reply->container.bits);
    parts->room = (wm_room){ malloc(reply->room), reply->room }; /* as above: writing past its end is seen */
    if (!parts->room.at)
        return;
    fuzz_check(!wm_unpack_picture(reply, bytes, parts->room), "what can be read can be read in parts");
    fuzz_check(wm_reply_picture_sound(reply), "they lie within their room");
    fuzz_check(!(reply->noise < whole->reply->noise) && !(reply->noise > whole->reply->noise), "noise is the same");
    for (int i = 0; i < reply->parts.count; i++)
        reply->pixels[i].data = parts->room.at;
    check_same(parts, whole, boxes[0]);
    check_same(parts, whole, boxes[1]);
    free(parts->room.at);
}

/* Of a JPEG the same in parts, which lie where the file's bytes say. */
static void open_parts(const wm_photo *whole, const wm_bytes *bytes, const wm_photo_limits *limits)
{
    const wm_photo_facts facts = wm_photo_facts_of(whole);
    const int x = bytes->data[bytes->size / 2] * facts.width / 256,
              y = bytes->data[bytes->size / 3] * facts.height / 256, right = facts.width - x, down = facts.height - y;
    const wm_box boxes[2] = { { x, y, right < 20 ? right : 20, down < 9 ? down : 9 }, { right - 1, down - 1, 1, 1 } };
    wm_photo parts = { .reply = calloc(1, sizeof *parts.reply) };
    if (!parts.reply)
        return;
    parts.reply->limits = *limits;
    fuzz_check(!wm_unpack_facts(parts.reply, bytes), "the facts stay");
    const wm_container *c = &parts.reply->container;
    if (c->kind == WM_CONTAINER_JPEG)
        parts.reply->parts =
            wm_parts_around((wm_boxes){ boxes, 2 }, (wm_upright){ c->orientation, c->width, c->height });
    if (parts.reply->parts.count > 0)
        read_parts(&parts, bytes, whole, boxes);
    free(parts.reply);
}

static void open_photo(const uint8_t *data, size_t size)
{
    static const wm_photo_limits small = { .max_megapixels = 0.1, .max_file_mib = 1 };
    wm_photo *photo = NULL;
    wm_picture picture = { 0 };
    wm_error err = { 0 };
    wm_bytes bytes = { malloc(size ? size : 1), size }; /* its end is the heap block's own: reading past it is seen */
    if (!bytes.data)
        return;
    if (size)
        memcpy(bytes.data, data, size);
    wm_status status = wm_photo_open_in_process(&photo, &bytes, "fuzz", &small, &err);
    if (status) {
        fuzz_check((status == WM_E_PHOTO || status == WM_E_MEMORY) && err.text[0] && !strpbrk(err.text, "\r\n"),
                   "a refusal is one line");
        fuzz_check(!photo, "a refusal leaves the output alone");
    } else {
        check_pixels(photo);
        open_parts(photo, &bytes, &small);
        fuzz_check(wm_photo_reduce(&picture, photo, 24, &err) == WM_OK, "a reduced picture can be made");
        wm_picture_free(&picture);
        wm_photo_close(photo);
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
