/* make_page OUT.html [photo=NAME] [size=WxH] [picture=W] [catalogue=FILE] [zones=FILE] [command=TEXT] [grain=N]
 *
 * Writes a marking page through page_write, as the program does, around an invented scene drawn here: nobody's photo.
 * The scene is laid out on 1200 by 900 units whatever the size, so that tests know what lies where; `picture` is the
 * width of the picture inside the page when it is to be smaller than the photo. */
#include "page/page.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

typedef struct rgb {
    unsigned char r, g, b;
} rgb;

static const struct flat {
    double x, y, w, h;
    rgb colour;
} flats[] = {
    { 850, 150, 110, 60, { 121, 85, 58 } },    { 850, 260, 110, 60, { 60, 42, 33 } },
    { 850, 370, 110, 60, { 176, 140, 98 } },                                       /* swatches */
    { 980, 150, 120, 120, { 119, 119, 119 } },                                     /* gray card */
    { 40, 60, 100, 100, { 255, 255, 255 } },   { 40, 200, 100, 100, { 0, 0, 0 } }, /* blown out, black */
};

static double noise(uint32_t x, uint32_t seed)
{
    uint32_t h = x * 2654435761u ^ seed * 2246822519u;
    h ^= h >> 15;
    h *= 2654435761u;
    return (double)(h >> 16) / 65535.0;
}

static unsigned char byte_of(double value)
{
    return (unsigned char)(value < 0 ? 0 : value > 255 ? 255 : value + 0.5);
}

static rgb mix(rgb a, rgb b, double t)
{
    return (rgb){ byte_of(a.r + (b.r - a.r) * t), byte_of(a.g + (b.g - a.g) * t), byte_of(a.b + (b.b - a.b) * t) };
}

/* Upright strands, half a unit wide, lighter towards the ends; some of them gray at the temple. */
static rgb hair(double x, double y)
{
    static const rgb root = { 52, 36, 28 }, ends = { 136, 98, 66 }, gray = { 170, 168, 164 };
    uint32_t strand = (uint32_t)(2 * (x + 3 * sin(y / 60)));
    rgb c = mix(root, ends, fmin(1, fmax(0, (y - 150) / 650)));
    double bright = 0.8 + 0.4 * noise(strand, 1);
    bool temple = x >= 320 && x < 420 && y >= 320 && y < 460;
    return temple && noise(strand, 2) < 0.4
               ? gray
               : (rgb){ byte_of(c.r * bright), byte_of(c.g * bright), byte_of(c.b * bright) };
}

/* A colour target: four rows of six, centres 40 units apart from (60, 620) on. */
static bool target(double x, double y, rgb *colour)
{
    double column = floor((x - 40) / 40), row = floor((y - 600) / 40);
    if (column < 0 || column > 5 || row < 0 || row > 3)
        return false;
    bool gap = fabs(x - 60 - 40 * column) > 17 || fabs(y - 620 - 40 * row) > 17;
    uint32_t patch = (uint32_t)(6 * row + column);
    *colour =
        gap ? (rgb){ 20, 20, 20 }
            : (rgb){ byte_of(255 * noise(patch, 7)), byte_of(255 * noise(patch, 8)), byte_of(255 * noise(patch, 9)) };
    return true;
}

static rgb scene(double x, double y)
{
    rgb colour;
    for (size_t i = 0; i < sizeof flats / sizeof flats[0]; i++) {
        if (x >= flats[i].x && x < flats[i].x + flats[i].w && y >= flats[i].y && y < flats[i].y + flats[i].h)
            return flats[i].colour;
    }
    if (target(x, y, &colour))
        return colour;
    if (hypot((x - 560) / 105, (y - 400) / 145) < 1)
        return (rgb){ 214, 160, 128 };
    if (hypot((x - 560) / 250, (y - 480) / 390) < 1)
        return hair(x, y);
    return (rgb){ 203, 204, 202 };
}

/* The caller frees *bytes. */
static unsigned long draw(unsigned char **bytes, int width, int height, int grain)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    unsigned long size = 0;
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_mem_dest(&jpeg, bytes, &size);
    jpeg.image_width = (JDIMENSION)width;
    jpeg.image_height = (JDIMENSION)height;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, 92, TRUE);
    jpeg_start_compress(&jpeg, TRUE);
    rgb *row = malloc((size_t)width * sizeof *row);
    if (!row)
        exit(1);
    for (int y = 0; y < height; y++) {
        for (int x = 0; x < width; x++) {
            rgb c = scene((x + 0.5) * 1200 / width, (y + 0.5) * 900 / height);
            double n = grain * (noise((uint32_t)x, (uint32_t)y + 100) - 0.5);
            row[x] = grain == 0 ? c : (rgb){ byte_of(c.r + n), byte_of(c.g + n), byte_of(c.b + n) };
        }
        jpeg_write_scanlines(&jpeg, (JSAMPARRAY) & (JSAMPROW){ (JSAMPROW)row }, 1);
    }
    free(row);
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    return size;
}

static const char *value_of(int argc, char **argv, const char *key, const char *otherwise)
{
    for (int i = 2; i < argc; i++) {
        if (strncmp(argv[i], key, strlen(key)) == 0 && argv[i][strlen(key)] == '=')
            return argv[i] + strlen(key) + 1;
    }
    return otherwise;
}

/* The whole file as text, NULL for no path. free() it. */
static char *text_of(const char *path)
{
    if (!path)
        return NULL;
    wm_buf text = { 0 };
    FILE *file = fopen(path, "rb");
    if (!file) {
        perror(path);
        exit(1);
    }
    char part[4096];
    for (size_t n; (n = fread(part, 1, sizeof part, file)) > 0;)
        wm_buf_bytes(&text, part, n);
    fclose(file);
    return text.data;
}

int main(int argc, char **argv)
{
    if (argc < 2)
        return 2;
    int width = 1200, height = 900;
    sscanf(value_of(argc, argv, "size", "1200x900"), "%dx%d", &width, &height);
    int picture = atoi(value_of(argc, argv, "picture", "0"));
    if (picture <= 0)
        picture = width;
    unsigned char *jpeg = NULL;
    unsigned long size =
        draw(&jpeg, picture, (int)((long)picture * height / width), atoi(value_of(argc, argv, "grain", "0")));
    char *catalogue = text_of(value_of(argc, argv, "catalogue", NULL)),
         *zones = text_of(value_of(argc, argv, "zones", NULL));
    page_input input = {
        .photo = value_of(argc, argv, "photo", "client.jpg"),
        .width = width,
        .height = height,
        .image = jpeg,
        .image_size = size,
        .mime = "image/jpeg",
        .catalogue = catalogue,
        .zones = zones,
        .save_name = "client.zones.json",
        .command = value_of(argc, argv, "command", "weftmatch match client.jpg --zones client.zones.json"),
    };
    wm_buf page = { 0 };
    wm_status status = page_write(&page, &input);
    FILE *out = status ? NULL : fopen(argv[1], "wb");
    bool good = out && fwrite(page.data, 1, page.size, out) == page.size;
    good = out && fclose(out) == 0 && good;
    wm_buf_free(&page);
    free(jpeg);
    free(catalogue);
    free(zones);
    return good ? 0 : 1;
}
