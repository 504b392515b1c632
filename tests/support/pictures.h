/* pictures: makes JPEG, PNG and HEIC files, EXIF blocks and ICC profiles for tests, with other libraries than the ones
 * under test (libjpeg, libpng; HEIC has only libheif's encoder). Everything ends the test program with a message when
 * it can't be made. */
#ifndef SUPPORT_PICTURES_H
#define SUPPORT_PICTURES_H

#include "core/file.h"

#include <stdint.h>

/** samples: [height][width][channels], 0..255 or 0..65535 by bits. */
typedef struct picture {
    int width, height, channels, bits;
    uint16_t *samples;
} picture;

picture picture_new(int width, int height, int channels, int bits);
void picture_free(picture *p);
uint16_t *picture_at(const picture *p, int x, int y);

/** A picture without any symmetry, smooth enough for JPEG: every pixel tells where it is. */
picture picture_asymmetric(int width, int height, int bits);
/** A grid of flat patches of `size` pixels; colours: [rows * columns][3] codes of 8 bit. */
picture picture_patches(const unsigned char (*colours)[3], int columns, int rows, int size);

typedef struct exif_how {
    bool big_endian;
    int orientation;                  /* 0: not written, like all others */
    const char *make, *model, *taken; /* NULL: not written */
    int flash, white_balance;         /* -1: not written */
    int width, height;
    int colour_space;             /* 0: not written */
    const char *interoperability; /* NULL: not written */
} exif_how;
#define EXIF_HOW                                                                                                       \
    {                                                                                                                  \
        false, 0, NULL, NULL, NULL, -1, -1, 0, 0, 0, NULL                                                              \
    }
wm_bytes exif_make(const exif_how *how); /* from the TIFF header on */

typedef struct jpeg_how {
    int quality;
    bool full_chroma; /* 4:4:4; else 4:2:0, or as `across` and `down` say */
    int across, down; /* pixels that a sample of chroma stands for; 0: 2 */
    bool progressive, arithmetic;
    int restart_every; /* MCUs, 0: none */
    wm_bytes icc, exif;
} jpeg_how;
/** 1 channel: gray; 3: YCbCr; 4: CMYK. */
wm_bytes jpeg_make(const picture *p, const jpeg_how *how);

typedef struct png_how {
    bool interlaced;
    wm_bytes icc;
} png_how;
/** 1 to 4 channels: gray, gray + alpha, RGB, RGBA; 8 or 16 bit. */
wm_bytes png_make(const picture *p, const png_how *how);
/** 8-bit palette picture; indices: one byte a pixel. */
wm_bytes png_palette(int width, int height, const unsigned char *indices, const unsigned char (*palette)[3],
                     int colours);
/** Puts a chunk (with its CRC) behind IHDR. */
void png_insert(wm_bytes *png, const char *type, const void *data, size_t size);

typedef struct heic_how {
    int quality;             /* 101: lossless */
    int primaries, transfer; /* nclx; 0: what the encoder does by itself */
    int orientation;         /* written as irot and imir, 0 or 1: none */
    wm_bytes icc, exif;
} heic_how;
bool heic_can_make(void);
wm_bytes heic_make(const picture *p, const heic_how *how);

typedef enum profile_kind {
    PROFILE_SRGB_V2,
    PROFILE_SRGB_V4,
    PROFILE_P3,
    PROFILE_GAMMA18,
    PROFILE_TABLE,
    PROFILE_GRAY,
    PROFILE_CMYK,
    PROFILE_KINDS
} profile_kind;
/** ICC bytes made by LittleCMS. TABLE: a 17-point RGB to Lab table with curves, of an invented camera. */
/** sRGB by its curves, whatever its cicp tag (ITU-T H.273) says. */
wm_bytes profile_with_cicp(int primaries, int transfer);
wm_bytes profile_make(profile_kind kind);
/** Lab (D50) of encoded RGB 0..1, relative colorimetric, by LittleCMS straight to Lab. */
void profile_lab(const wm_bytes *icc, const double rgb[3], double lab[3]);

#endif
