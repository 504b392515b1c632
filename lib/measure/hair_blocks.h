/* hair_blocks: a zone's picture summed over blocks of 4 x 4 pixels, and what a window of blocks says of texture and
 * colour (H1, H2). One pass over the pixels; everything that decides whether this is hair works on the blocks. */
#ifndef WM_MEASURE_HAIR_BLOCKS_H
#define WM_MEASURE_HAIR_BLOCKS_H

#include "measure/sample.h"

/** What is summed over the zone pixels of a block. B1, B2, B3: L* blurred ever wider. Those that the cut (H3) and
 * sharpness are asked from come first. */
enum {
    WM_SUM_PIXELS,
    WM_SUM_FINE,   /**< (L - B1)^2 */
    WM_SUM_MIDDLE, /**< (B1 - B2)^2 */
    WM_SUM_L,
    WM_SUM_A,
    WM_SUM_B,
    WM_SUM_GRADIENT_1, /**< of B1: gx^2, gy^2, gx gy */
    WM_FIRST_SUMS = WM_SUM_GRADIENT_1 + 3,
    WM_SUM_COARSE = WM_FIRST_SUMS,         /**< (B2 - B3)^2 */
    WM_SUM_GRADIENT_2,                     /**< of B2, the same */
    WM_SUM_CHROMA = WM_SUM_GRADIENT_2 + 3, /**< blurred a, b, and a^2 + b^2 */
    WM_SUMS = WM_SUM_CHROMA + 3
};
typedef struct wm_hair_block {
    double sum[WM_SUMS];
} wm_hair_block;

typedef struct wm_hair_blocks {
    int width, height; /**< in blocks */
    int pixel_width, pixel_height, halvings;
    wm_hair_block *block;            /**< width * height, row by row; owned */
    int *column, *row;               /**< block of each column and row of pixels; owned */
    float *relief;                   /**< B1 - B3 of each zone pixel, not a number elsewhere; owned */
    struct wm_hair_picture *picture; /**< what is left to sum; NULL when it is; owned */
} wm_hair_blocks;

/** Makes the first sums of a window that was halved so often (2x2 means of linear light). The others are 0, and there
 * is no relief: more than half of the work. Clipped pixels take part. Free with wm_hair_blocks_free. */
wm_status wm_hair_blocks_make(wm_hair_blocks *out, const wm_window *window, int halvings, wm_error *err);
/** Makes the others too. A second time it does nothing. */
wm_status wm_hair_blocks_complete(wm_hair_blocks *blocks, wm_error *err);
void wm_hair_blocks_free(wm_hair_blocks *blocks);

/** What the blocks around one, as far as they are in a set, say together. */
typedef struct wm_hair_texture {
    double L, a, b;
    double relative;                         /**< contrast at the scale of fibres, of L* + 10 */
    double fine_to_middle, middle_to_coarse; /**< contrast of one scale over the next */
    double coherence, wide_coherence;        /**< 0 no direction .. 1 parallel, of B1 and of B2 */
    double across_rad;                       /**< the direction across what is parallel, of B1 */
    double chroma_spread;
} wm_hair_texture;

/** out[width * height]: of the window of (2 radius + 1)^2 blocks, only blocks of the set count; where a block is not in
 * the set the texture is undefined, and until all sums are made what hangs on the others is 0. */
wm_status wm_hair_textures(wm_hair_texture *out, const wm_hair_blocks *blocks, const unsigned char *set, int radius,
                           wm_error *err);

/** How far the blocks of the set are ruled: 1 where the relief comes back at one spacing across the fibres, about 0
 * where no spacing is preferred. textures: of wm_hair_textures with the same set. */
double wm_hair_ruled(const wm_hair_blocks *blocks, const wm_hair_texture *textures, const unsigned char *set);

#endif
