/* container: what kind of file it is, the limits, and the EXIF facts. The walkers of the kinds are container_jpeg, _png
 * and _heic. */
#include "photo/container_internal.h"

#include "core/buf.h"

#include <ctype.h>
#include <libexif/exif-data.h>
#include <stdlib.h>
#include <string.h>

/* An APP1 segment can hold no more; bigger blocks in PNG or HEIC hold a preview that nobody needs here. */
#define EXIF_LIMIT ((size_t)65535)

static const char *kind_name(wm_container_kind kind)
{
    switch (kind) {
    case WM_CONTAINER_JPEG: return "JPEG";
    case WM_CONTAINER_PNG: return "PNG";
    case WM_CONTAINER_HEIC: return "HEIC";
    }
    return "photo";
}

wm_status wm_fail_damaged(wm_error *err, wm_container_kind kind, const char *what)
{
    return wm_fail(err, WM_E_PHOTO, "damaged %s: %s; send or copy the photo again", kind_name(kind), what);
}

wm_status wm_fail_truncated(wm_error *err, wm_container_kind kind)
{
    return wm_fail(err, WM_E_PHOTO, "the %s is cut off: its end is missing; send or copy the photo again",
                   kind_name(kind));
}

wm_status wm_fail_refused(wm_error *err, const char *what_and_do)
{
    return wm_fail(err, WM_E_PHOTO, "%s", what_and_do);
}

wm_status wm_walk_keep_icc(wm_walk *walk, const unsigned char *data, size_t size)
{
    if (size > WM_ICC_LIMIT)
        return wm_fail_damaged(walk->err, walk->out->kind, "a colour profile beyond 16 MiB");
    unsigned char *copy = calloc(size + 1, 1);
    if (!copy)
        return wm_fail_memory(walk->err);
    if (data)
        memcpy(copy, data, size);
    walk->out->icc = (wm_bytes){ copy, size };
    return WM_OK;
}

/* ---- What else people send ---- */

static bool starts(const wm_bytes *bytes, size_t at, const char *text, size_t size)
{
    return bytes->size >= at + size && memcmp(bytes->data + at, text, size) == 0;
}

#define STARTS(bytes, at, text) starts(bytes, at, text, sizeof(text) - 1)

/* No control bytes, and mostly ASCII: any encoding of a Western text passes. */
static bool is_text(const wm_bytes *bytes)
{
    size_t looked = bytes->size < 512 ? bytes->size : 512, ascii = 0;
    for (size_t i = 0; i < looked; i++) {
        if (bytes->data[i] < 32 && !isspace(bytes->data[i]))
            return false;
        ascii += bytes->data[i] < 127;
    }
    return 4 * ascii >= 3 * looked;
}

static bool is_html(const wm_bytes *bytes)
{
    static const char *const tags[] = { "<!doctype html", "<html", "<head", "<body" };
    for (size_t t = 0; t < sizeof tags / sizeof *tags; t++) {
        size_t at = 0, i = 0;
        if (STARTS(bytes, 0, "\xEF\xBB\xBF"))
            at = 3;
        while (at < bytes->size && isspace(bytes->data[at]))
            at++;
        while (tags[t][i] != '\0' && at + i < bytes->size && tolower(bytes->data[at + i]) == tags[t][i])
            i++;
        if (tags[t][i] == '\0')
            return true;
    }
    return false;
}

/* "a GIF picture" and so on, NULL for what nobody knows. */
static const char *other_kind(const wm_bytes *bytes)
{
    static const struct {
        size_t at;
        const char *magic;
        size_t size;
        const char *name;
    } kinds[] = { { 0, "GIF8", 4, "a GIF picture" },
                  { 8, "WEBP", 4, "a WebP picture" },
                  { 8, "CR\2", 3, "a raw camera file" },
                  { 0, "FUJIFILMCCD-RAW", 15, "a raw camera file" },
                  { 4, "ftypcrx ", 8, "a raw camera file" },
                  { 0, "IIRO", 4, "a raw camera file" },
                  { 0, "IIU\0", 4, "a raw camera file" },
                  { 0, "II*\0", 4, "a TIFF or raw camera file" },
                  { 0, "MM\0*", 4, "a TIFF or raw camera file" },
                  { 0, "BM", 2, "a BMP picture" },
                  { 0, "8BPS", 4, "a layered editor file" },
                  { 0, "\xFF\x0A", 2, "a JPEG XL picture" },
                  { 4, "JXL ", 4, "a JPEG XL picture" },
                  { 4, "jP  ", 4, "a JPEG 2000 picture" },
                  { 0, "\xFF\x4F\xFF\x51", 4, "a JPEG 2000 picture" },
                  { 4, "ftypavif", 8, "an AVIF picture" },
                  { 4, "ftypavis", 8, "an AVIF picture" },
                  { 4, "ftyp", 4, "a video" },
                  { 0, "%PDF", 4, "a PDF document" },
                  { 0, "PK\3\4", 4, "a zip archive" } };
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (starts(bytes, kinds[i].at, kinds[i].magic, kinds[i].size))
            return kinds[i].name;
    return is_html(bytes) ? "a web page" : is_text(bytes) ? "a text file" : NULL;
}

static bool is_heic(const wm_bytes *bytes)
{
    static const char brands[][5] = { "heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1" };
    for (size_t i = 0; i < sizeof brands / sizeof *brands; i++)
        if (STARTS(bytes, 4, "ftyp") && starts(bytes, 8, brands[i], 4))
            return true;
    return false;
}

static wm_status recognise(wm_container_kind *out, const wm_bytes *bytes, wm_error *err)
{
    if (bytes->size == 0)
        return wm_fail(err, WM_E_PHOTO, "the file is empty; send or copy the photo again");
    if (STARTS(bytes, 0, "\xFF\xD8"))
        *out = WM_CONTAINER_JPEG;
    else if (STARTS(bytes, 0, "\x89PNG\r\n\x1A\n"))
        *out = WM_CONTAINER_PNG;
    else if (is_heic(bytes))
        *out = WM_CONTAINER_HEIC;
    else {
        const char *other = other_kind(bytes);
        if (!other)
            return wm_fail(err, WM_E_PHOTO,
                           "not a photo that can be read; use a JPEG, PNG or HEIC as it left the camera");
        return wm_fail(err, WM_E_PHOTO,
                       "this is %s, not a JPEG, PNG or HEIC photo; use the photo as it left the camera", other);
    }
    return WM_OK;
}

/* ---- EXIF ---- */

static unsigned number_at(const unsigned char *at, size_t bytes, bool little)
{
    unsigned value = 0;
    for (size_t i = 0; i < bytes; i++)
        value = value << 8 | at[little ? bytes - 1 - i : i];
    return value;
}

/* Each directory and the one that it may lead to: the main one, EXIF's, that of interoperability. */
static const unsigned exif_below[] = { EXIF_TAG_EXIF_IFD_POINTER, EXIF_TAG_INTEROPERABILITY_IFD_POINTER, 0 };

/* libexif is not hardened, so it sees a copy that holds these directories only: entries that point outside the block,
 * maker notes, places, previews are blanked. tag 0 with type 0 is skipped by libexif. False: no usable directory. */
static bool exif_prune(unsigned char *tiff, size_t size, size_t at, const unsigned *below)
{
    static const unsigned char type_bytes[13] = { 0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8 };
    bool little = tiff[0] == 'I', descended = false;
    if (at < 8 || at + 2 > size)
        return false;
    size_t count = number_at(tiff + at, 2, little);
    unsigned char *entry = tiff + at + 2;
    if (count > 256 || at + 2 + 12 * count + 4 > size)
        return false;
    for (size_t i = 0; i < count; i++, entry += 12) {
        unsigned tag = number_at(entry, 2, little), type = number_at(entry + 2, 2, little);
        uint64_t bytes = (type < 13 ? type_bytes[type] : 0) * (uint64_t)number_at(entry + 4, 4, little);
        size_t value = number_at(entry + 8, 4, little);
        bool keep = bytes > 0 && (bytes <= 4 || (value < size && bytes <= size - value));
        if (tag == EXIF_TAG_MAKER_NOTE || tag == EXIF_TAG_GPS_INFO_IFD_POINTER)
            keep = false;
        if (tag == EXIF_TAG_EXIF_IFD_POINTER || tag == EXIF_TAG_INTEROPERABILITY_IFD_POINTER)
            keep = descended = tag == *below && !descended && exif_prune(tiff, size, value, below + 1);
        if (!keep)
            memset(entry, 0, 12);
    }
    memset(entry, 0, 4); /* the next directory: previews */
    return true;
}

static long exif_number(const ExifData *data, ExifIfd ifd, ExifTag tag)
{
    const ExifEntry *entry = exif_content_get_entry(data->ifd[ifd], tag);
    ExifByteOrder order = exif_data_get_byte_order((ExifData *)(uintptr_t)data);
    if (!entry || entry->components < 1)
        return -1;
    if (entry->format == EXIF_FORMAT_SHORT && entry->size >= 2)
        return exif_get_short(entry->data, order);
    if (entry->format == EXIF_FORMAT_LONG && entry->size >= 4)
        return (long)exif_get_long(entry->data, order);
    return -1;
}

/* ASCII of an entry, one line, without blanks around it; "" if it is missing or not UTF-8. */
static void exif_words(char *out, size_t room, const ExifData *data, ExifTag tag)
{
    ExifIfd ifd = tag == EXIF_TAG_DATE_TIME_ORIGINAL       ? EXIF_IFD_EXIF
                  : tag == EXIF_TAG_INTEROPERABILITY_INDEX ? EXIF_IFD_INTEROPERABILITY
                                                           : EXIF_IFD_0;
    const ExifEntry *entry = exif_content_get_entry(data->ifd[ifd], tag);
    size_t used = 0, size;
    out[0] = '\0';
    if (!entry || entry->format != EXIF_FORMAT_ASCII)
        return;
    size = strnlen((const char *)entry->data, entry->size);
    for (size_t i = 0; i < size && used + 1 < room; i++) {
        unsigned char c = entry->data[i];
        if (c < 32 || c == 127)
            c = ' ';
        if (c != ' ' || used > 0)
            out[used++] = (char)c;
    }
    while (used > 0 && out[used - 1] == ' ')
        used--;
    while (used > 0 && !wm_utf8_valid(out, used))
        used--; /* cut inside a letter, or not UTF-8 at all */
    out[used] = '\0';
}

/* Make and model; the model alone when it says the make already. */
static void exif_camera(char out[96], const ExifData *data)
{
    char make[40], model[50];
    exif_words(make, sizeof make, data, EXIF_TAG_MAKE);
    exif_words(model, sizeof model, data, EXIF_TAG_MODEL);
    bool both = make[0] != '\0' && model[0] != '\0' && strncmp(model, make, strlen(make)) != 0;
    size_t length = 0;
    if (both || model[0] == '\0') {
        length = strlen(make);
        memcpy(out, make, length);
        if (both)
            out[length++] = ' ';
    }
    memcpy(out + length, model, strlen(model) + 1);
}

/* "2025:06:01 14:30:05" to "2025-06-01T14:30:05"; anything else is no time. */
static void exif_taken(char out[24], const ExifData *data)
{
    static const char shape[] = "dddd:dd:dd dd:dd:dd";
    char text[24];
    exif_words(text, sizeof text, data, EXIF_TAG_DATE_TIME_ORIGINAL);
    for (size_t i = 0; i < sizeof shape; i++)
        if (shape[i] == 'd' ? text[i] < '0' || text[i] > '9' : text[i] != shape[i])
            return;
    long month = strtol(text + 5, NULL, 10), day = strtol(text + 8, NULL, 10);
    if (month < 1 || month > 12 || day < 1 || day > 31)
        return;
    text[4] = text[7] = '-';
    text[10] = 'T';
    memcpy(out, text, sizeof shape);
}

/* Exif 2.32: ColorSpace is 1 for sRGB, 65535 for anything else; which else, the interoperability index of DCF 2.0 says:
 * R03 is its optional colour space. Some write 2 for it, which no standard knows. */
static wm_exif_colour exif_colour(const ExifData *data)
{
    char index[5];
    long space = exif_number(data, EXIF_IFD_EXIF, EXIF_TAG_COLOR_SPACE);
    exif_words(index, sizeof index, data, EXIF_TAG_INTEROPERABILITY_INDEX);
    if (space == 1)
        return WM_EXIF_SRGB;
    return space == 2 || (space == 65535 && strcmp(index, "R03") == 0) ? WM_EXIF_OPRGB : WM_EXIF_COLOUR_UNKNOWN;
}

static void exif_facts(wm_container *out, const ExifData *data)
{
    long orientation = exif_number(data, EXIF_IFD_0, EXIF_TAG_ORIENTATION),
         flash = exif_number(data, EXIF_IFD_EXIF, EXIF_TAG_FLASH);
    long balance = exif_number(data, EXIF_IFD_EXIF, EXIF_TAG_WHITE_BALANCE);
    long width = exif_number(data, EXIF_IFD_EXIF, EXIF_TAG_PIXEL_X_DIMENSION),
         height = exif_number(data, EXIF_IFD_EXIF, EXIF_TAG_PIXEL_Y_DIMENSION);
    if (orientation >= 1 && orientation <= 8)
        out->orientation = (int)orientation;
    if (flash >= 0)
        out->flash = flash & 1 ? WM_FLASH_FIRED : WM_FLASH_OFF;
    if (balance == 0 || balance == 1)
        out->white_balance = balance == 0 ? WM_WB_AUTO : WM_WB_MANUAL;
    if (width > 0 && height > 0 && width <= INT32_MAX && height <= INT32_MAX) {
        out->exif_width = (int)width;
        out->exif_height = (int)height;
    }
    out->exif_colour = exif_colour(data);
    exif_camera(out->camera, data);
    exif_taken(out->taken, data);
}

/* EXIF is a bonus: a broken block is no reason to refuse a sound photo, it only says nothing. */
static wm_status read_exif(wm_container *out, wm_cursor block, wm_error *err)
{
    static const char head[6] = "Exif\0";
    bool sound = block.left >= 14 && block.left <= EXIF_LIMIT &&
                 (memcmp(block.at, "II*\0", 4) == 0 || memcmp(block.at, "MM\0*", 4) == 0);
    if (!sound)
        return WM_OK;
    wm_status status = WM_OK;
    unsigned char *copy = malloc(sizeof head + block.left), *tiff;
    ExifData *data = exif_data_new();
    if (!copy || !data) {
        status = wm_fail_memory(err);
        goto done;
    }
    tiff = copy + sizeof head;
    memcpy(copy, head, sizeof head);
    memcpy(tiff, block.at, block.left);
    if (!exif_prune(tiff, block.left, number_at(tiff + 4, 4, tiff[0] == 'I'), exif_below))
        goto done;
    exif_data_unset_option(data, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION); /* it would make up what is missing */
    exif_data_load_data(data, copy, (unsigned)(sizeof head + block.left));
    exif_facts(out, data);
done:
    if (data)
        exif_data_unref(data);
    free(copy);
    return status;
}

/* ---- The door ---- */

/* A limit as the salon wrote it: "200", "0.5". */
static const char *limit_text(char out[48], double limit)
{
    (void)wm_number_text(out, limit, 4);
    char *end = strchr(out, '.') ? out + strlen(out) : out;
    while (end > out && end[-1] == '0')
        *--end = '\0';
    if (end > out && end[-1] == '.')
        *--end = '\0';
    return out;
}

static wm_status check_file_size(const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err)
{
    if ((double)bytes->size <= limits->max_file_mib * 1024.0 * 1024.0)
        return WM_OK;
    return wm_fail_file_limit(err, limits);
}

static wm_status check_pixels(const wm_container *c, const wm_photo_limits *limits, wm_error *err)
{
    char text[48];
    if ((double)c->width * c->height <= limits->max_megapixels * 1e6)
        return WM_OK;
    return wm_fail(
        err, WM_E_PHOTO,
        "%d x %d pixels are more than %s megapixels; use a smaller photo or raise the setting max_megapixels", c->width,
        c->height, limit_text(text, limits->max_megapixels));
}

wm_status wm_fail_file_limit(wm_error *err, const wm_photo_limits *limits)
{
    char text[48];
    return wm_fail(err, WM_E_PHOTO,
                   "the file is larger than %s MiB; use a smaller photo or raise the setting max_file_mib",
                   limit_text(text, limits->max_file_mib));
}

wm_status wm_container_scan(wm_container *out, const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err)
{
    static const wm_photo_limits usual = WM_PHOTO_LIMITS_DEFAULT;
    wm_container found = { .orientation = 1 };
    wm_walk walk = { .out = &found, .err = err };
    wm_cursor in = { bytes->data, bytes->size, false };
    if (!limits)
        limits = &usual;
    wm_status status = recognise(&found.kind, bytes, err);
    if (!status)
        status = check_file_size(bytes, limits, err);
    if (status)
        return status;
    switch (found.kind) {
    case WM_CONTAINER_JPEG: status = wm_walk_jpeg(&walk, in); break;
    case WM_CONTAINER_PNG: status = wm_walk_png(&walk, in); break;
    case WM_CONTAINER_HEIC: status = wm_walk_heic(&walk, in); break;
    }
    if (!status)
        status = check_pixels(&found, limits, err);
    if (!status)
        status = read_exif(&found, walk.exif, err);
    if (status) {
        wm_container_free(&found);
        return status;
    }
    if (found.kind == WM_CONTAINER_HEIC)
        found.orientation = 1; /* its own turns are applied while decoding; EXIF repeats them */
    *out = found;
    return WM_OK;
}

void wm_container_free(wm_container *container)
{
    if (!container)
        return;
    wm_bytes_free(&container->icc);
}
