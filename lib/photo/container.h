/* container: walks the bytes of a JPEG, PNG or HEIC file and refuses hostile structure BEFORE any decoder sees it;
 * finds the facts that colour depends on (ICC, cICP, gAMA/cHRM, EXIF). The only user of libexif. Reads bytes only,
 * never decodes pixels. */
#ifndef WM_PHOTO_CONTAINER_H
#define WM_PHOTO_CONTAINER_H

#include "core/file.h"
#include "core/status.h"
#include "weftmatch/photo.h"

/** Limits that the salon may change (settings max_megapixels, max_file_mib), and who keeps them. */
struct wm_photo_limits {
    double max_megapixels; /**< default 200 */
    double max_file_mib;   /**< default 256 */
    const char *helper;    /**< path of the program that touches the bytes (lent); NULL: the one
                            * beside the running program, else the installed one */
};
#define WM_PHOTO_LIMITS_DEFAULT                                                                                        \
    {                                                                                                                  \
        200.0, 256.0, NULL                                                                                             \
    }

typedef enum wm_container_kind { WM_CONTAINER_JPEG, WM_CONTAINER_PNG, WM_CONTAINER_HEIC } wm_container_kind;

typedef enum wm_flash { WM_FLASH_UNKNOWN, WM_FLASH_OFF, WM_FLASH_FIRED } wm_flash;
typedef enum wm_exif_colour { WM_EXIF_COLOUR_UNKNOWN, WM_EXIF_SRGB, WM_EXIF_OPRGB } wm_exif_colour;
typedef enum wm_white_balance { WM_WB_UNKNOWN, WM_WB_AUTO, WM_WB_MANUAL } wm_white_balance;

/** What the bytes say. icc is owned (wm_container_free); everything else is plain. */
typedef struct wm_container {
    wm_container_kind kind;
    int width, height; /**< as stored, before orientation */
    int bits;          /**< per channel, 8 or 16 */
    int channels;      /**< 1 gray, 2 gray+alpha, 3, 4 with alpha */
    int orientation;   /**< EXIF 1..8; 1 when absent or impossible, and for HEIC, whose own turns are applied while
                          decoding */
    char camera[96];   /**< make and model, "" if unknown; printable UTF-8 */
    char taken[24];    /**< "YYYY-MM-DDThh:mm:ss" or "" */
    wm_flash flash;
    wm_white_balance white_balance;
    wm_exif_colour exif_colour;  /**< the colour space that the camera says it took it in */
    int exif_width, exif_height; /**< what the camera says it took; 0 unknown: tells of resizing */
    int jpeg_quality;            /**< estimated from the luminance table 1..100, 0 unknown or not JPEG */
    wm_bytes icc;                /**< joined APP2 segments, inflated iCCP, or HEIC colr prof; empty if none */
    bool has_cicp;
    int cicp_primaries, cicp_transfer; /**< PNG cICP or HEIC nclx */
    bool png_srgb;                     /**< sRGB chunk */
    bool has_gama;
    double gama; /**< file gamma, e.g. 0.45455 */
    bool has_chrm;
    double chrm[8]; /**< white x y, red x y, green x y, blue x y */
} wm_container;

/** Checks every structure that a decoder would trust (JPEG: markers, lengths, Huffman tables of at most 256 symbols,
 * quantisation tables, component counts, samplings, scan headers; PNG: chunk lengths and CRCs, IHDR, order; HEIC: box
 * lengths, nesting). WM_E_PHOTO with one clear line: empty, truncated, not a photo (text, HTML, PDF named .jpg), CMYK,
 * too large, unsupported kind. */
wm_status wm_container_scan(wm_container *out, const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err);
void wm_container_free(wm_container *container);

#endif
