/* Writes the seeds of fuzz_photo: as a C table on stdout, or as files into a folder (for an engine's corpus). Small
 * photos of every kind and way of storing that the library reads. */
#include "support/pictures.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct output {
    const char *folder; /* NULL: the table */
    int count;
} output;

static void write_file(const output *out, const wm_bytes *bytes)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%02d", out->folder, out->count);
    FILE *f = fopen(path, "wb");
    if (!f || fwrite(bytes->data, 1, bytes->size, f) != bytes->size || fclose(f) != 0) {
        fprintf(stderr, "%s: can't be written\n", path);
        exit(EXIT_FAILURE);
    }
}

static void put(output *out, wm_bytes bytes)
{
    out->count++;
    if (out->folder) {
        write_file(out, &bytes);
    } else {
        printf("    SEED(\"");
        for (size_t i = 0; i < bytes.size; i++)
            printf(i % 32 == 31 ? "\\%03o\"\n        \"" : "\\%03o", bytes.data[i]);
        printf("\"),\n");
    }
    wm_bytes_free(&bytes);
}

static void put_jpegs(output *out)
{
    const exif_how said = { true, 6, "Inventa", "P1", "2025:06:01 14:30:05", 1, 1, 40, 24, 65535, "R03" };
    wm_bytes exif = exif_make(&said), srgb = profile_make(PROFILE_SRGB_V4);
    picture p = picture_asymmetric(33, 26, 8), gray = picture_new(20, 9, 1, 8), print = picture_new(16, 16, 4, 8);
    put(out, jpeg_make(&p, &(jpeg_how){ .quality = 60, .exif = exif }));
    put(out, jpeg_make(&p, &(jpeg_how){ .quality = 90, .full_chroma = true, .restart_every = 3, .icc = srgb }));
    put(out, jpeg_make(&p, &(jpeg_how){ .quality = 75, .progressive = true }));
    put(out, jpeg_make(&p, &(jpeg_how){ .quality = 75, .progressive = true, .restart_every = 2, .full_chroma = true }));
    put(out, jpeg_make(&gray, &(jpeg_how){ .quality = 50 }));
    put(out, jpeg_make(&print, &(jpeg_how){ .quality = 50 }));
    static const int CHROMA[][2] = { { 2, 2 }, { 3, 1 }, { 4, 2 } };
    picture large = picture_asymmetric(131, 90, 8); /* of which a part is not most */
    for (int i = 0; i < 3; i++)
        put(out, jpeg_make(&large, &(jpeg_how){ .quality = 60,
                                                .across = CHROMA[i][0],
                                                .down = CHROMA[i][1],
                                                .progressive = i == 2,
                                                .exif = i == 0 ? exif : (wm_bytes){ NULL, 0 } }));
    picture_free(&p);
    picture_free(&large);
    picture_free(&gray);
    picture_free(&print);
    wm_bytes_free(&exif);
    wm_bytes_free(&srgb);
}

static void put_pngs(output *out)
{
    static const unsigned char palette[3][3] = { { 10, 20, 30 }, { 40, 50, 60 }, { 70, 80, 90 } },
                               indices[12] = { 0, 1, 2, 1, 0, 2, 2, 2, 1, 1, 0, 0 };
    const exif_how said = { false, 3, NULL, "P1", NULL, 0, 0, 0, 0, 0, NULL };
    wm_bytes exif = exif_make(&said), p3 = profile_make(PROFILE_P3);
    for (int channels = 1; channels <= 4; channels++)
        for (int bits = 8; bits <= 16; bits += 8) {
            picture p = picture_new(11, 7, channels, bits);
            for (int i = 0; i < 11 * 7 * channels; i++)
                p.samples[i] = (uint16_t)(i * 37 & (bits == 16 ? 65535 : 255));
            wm_bytes png = png_make(
                &p, &(png_how){ .interlaced = channels & 1, .icc = channels == 3 ? p3 : (wm_bytes){ NULL, 0 } });
            if (channels == 2)
                png_insert(&png, "eXIf", exif.data, exif.size);
            if (channels == 2 && bits == 16) /* and once more */
                png_insert(&png, "eXIf", exif.data, exif.size);
            if (channels == 1)
                png_insert(&png, "cICP", "\x0C\x0D\0\1", 4);
            if (channels == 4)
                png_insert(&png, "gAMA", "\0\0\xB1\x8F", 4);
            put(out, png);
            picture_free(&p);
        }
    put(out, png_palette(4, 3, indices, palette, 3));
    wm_bytes_free(&exif);
    wm_bytes_free(&p3);
}

static void put_heics(output *out)
{
    const exif_how said = { true, 6, "Inventa", "P1", NULL, 1, 1, 0, 0, 0, NULL };
    wm_bytes exif = exif_make(&said), p3 = profile_make(PROFILE_P3);
    picture whole = picture_asymmetric(64, 64, 8), odd = picture_asymmetric(70, 50, 8);
    put(out, heic_make(&whole, &(heic_how){ .quality = 40, .icc = p3, .exif = exif }));
    put(out, heic_make(&odd, &(heic_how){ .quality = 40, .primaries = 1, .transfer = 13, .orientation = 5 }));
    picture_free(&whole);
    picture_free(&odd);
    wm_bytes_free(&exif);
    wm_bytes_free(&p3);
}

int main(int argc, char **argv)
{
    output out = { argc > 1 ? argv[1] : NULL, 0 };
    if (!out.folder)
        printf("/* made by photo_seeds.c; do not edit */\nconst fuzz_seed fuzz_seeds[] = {\n");
    put_jpegs(&out);
    put_pngs(&out);
    if (heic_can_make())
        put_heics(&out);
    if (!out.folder)
        printf("    {NULL, 0}};\n");
    return EXIT_SUCCESS;
}
