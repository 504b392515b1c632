/* sample: the pixels of one zone, cleaned: G1 clipped, G3 sheen bands and broad shadow dropped (gray-share rules); what
 * is no hair is cut before, by hair. A window is a zone's bounding box; every pixel carries flags, so the picture
 * "which pixel counts as what" costs nothing more. */
#ifndef WM_MEASURE_SAMPLE_H
#define WM_MEASURE_SAMPLE_H

#include "colour/colour.h"
#include "measure/zone.h"
#include "photo/photo.h"

enum {
    WM_PX_ZONE = 1,    /**< inside the shape */
    WM_PX_CLIPPED = 2, /**< G1 */
    WM_PX_EXTREME = 4, /**< C15: a channel of the file >= 0.98, or all <= 0.01 */
    WM_PX_SKIN = 8,    /**< H3, like the next but one */
    WM_PX_SHEEN = 16,  /**< G3, bright cell */
    WM_PX_SHADOW = 32, /**< G3, dark cell */
    WM_PX_BACKGROUND = 64
};
#define WM_PX_NOT_HAIR (WM_PX_SKIN | WM_PX_BACKGROUND)
#define WM_PX_DROPPED (WM_PX_CLIPPED | WM_PX_NOT_HAIR | WM_PX_SHEEN | WM_PX_SHADOW)

typedef struct wm_window {
    wm_box box;              /**< of the photo's pixels, halved so often */
    int halvings;            /**< one pixel of each square of 2^halvings pixels of the photo stands for all */
    int row_step;            /**< the photo's rows, or squares, between one row and the next: 1, but for a try (G11) */
    wm_rgb *linear;          /**< box.width * box.height, row-major; stage 1 is applied in place by calibrate */
    wm_rgb *mean;            /**< same shape: the squares' means, for texture and direction; `linear` itself unhalved */
    unsigned char *flags;    /**< same shape */
    size_t zone_pixels;      /**< with WM_PX_ZONE */
    double extreme_share;    /**< of zone pixels, C15 */
    double colourless_share; /**< of zone pixels whose channels are alike in the file, H6 */
    wm_rgb encoded_mean;     /**< mean of the file's own channel values 0..1 over the zone (C15, C18, C20) */
} wm_window;

/** Reads a zone's window and sets ZONE, CLIPPED, EXTREME. Free with wm_window_free. */
wm_status wm_window_read(wm_window *out, const wm_photo *photo, const wm_zone *zone, wm_error *err);
/** G1: how often a zone is halved so that it is read at no more pixels than tell something. */
int wm_window_halvings(const wm_zone *zone, const wm_photo *photo);
/** The same in squares: what a pixel is (its colour, its flags) comes from the one in the middle of its square. */
wm_status wm_window_read_halved(wm_window *out, const wm_photo *photo, const wm_zone *zone, int halvings,
                                wm_error *err);
/** The same around a part of it that was read, and corrected, in as many halvings: that part is copied, and what is
 * said of the file's own values is said of it. zone: its box holds the part's. */
wm_status wm_window_read_around(wm_window *out, const wm_photo *photo, const wm_zone *zone, const wm_window *part,
                                wm_error *err);
/** So many pixels of a row, beginning at one. */
typedef struct wm_stretch {
    int from, count;
} wm_stretch;
/** What of row y of a window lies beside a part of it, left and right; part NULL: all of it. */
void wm_window_beside(wm_stretch out[2], const wm_window *window, const wm_box *part, int y);
/** A window over given pixels (tests, generated data): every pixel is in the zone, none clipped. Copies. */
wm_status wm_window_from_pixels(wm_window *out, const wm_rgb *pixels, int width, int height, wm_error *err);
/** The zone's window out of one that was read around it, in its pixels, of many only some rows, without means: for a
 * try (G11). WM_E_INPUT when the zone lies outside. */
wm_status wm_window_within(wm_window *out, const wm_window *around, const wm_zone *zone, wm_error *err);
void wm_window_free(wm_window *window);

typedef struct wm_cleaning {
    double direction_rad;             /**< phi of G3: across the fibres */
    double coherence;                 /**< hypot(A-C, 2D)/(A+C): below about 0.2 the hair is not parallel */
    double sheen_share, shadow_share; /**< of zone pixels, dropped */
    bool sheen_everywhere;            /**< G3: 70 % or more would have gone, none dropped */
} wm_cleaning;

/** G3 on a window whose stage 1 is done. Sets SHEEN, SHADOW; what was cut before stays cut. */
wm_status wm_window_clean(wm_window *window, wm_cleaning *out, wm_error *err);
/** The same along a direction that is known, with its coherence: the rest of the cleaning is set. */
wm_status wm_window_clean_along(wm_window *window, wm_cleaning *cleaning, wm_error *err);

/** Copies of the linear pixels that are in the zone and not dropped, in raster order, and after them the blown-out ones
 * that only G1 dropped: they belong to the body, and no histogram can hold them. Free pixels; NULL when there are none.
 */
typedef struct wm_kept_pixels {
    wm_rgb *pixels;
    size_t count, burnt;
} wm_kept_pixels;
wm_status wm_window_kept(wm_kept_pixels *out, const wm_window *window, wm_error *err);

/** G7a: gray fibres run along the hair and stay bright in its dark cells, sheen is bright only where the whole band is.
 */
typedef struct wm_thirds {
    bool known;         /**< false: fewer than six cells */
    double dark, light; /**< share of bright pixels in the darkest and in the lightest third of the cells */
    double spread;      /**< V: sd of ln of the cells' light */
    double within;      /**< Q: part of the variance of ln Y that lies within the cells */
} wm_thirds;
/** The cells by their light, over what G1 and H3 leave, sheen included; made once, asked for any bright_y (Y above
 * which a pixel is bright). Free with wm_lit_cells_free; NULL is fine. */
typedef struct wm_lit_cells wm_lit_cells;
wm_status wm_window_lit_cells(wm_lit_cells **out, const wm_window *window, double direction_rad, wm_error *err);
wm_thirds wm_lit_cells_thirds(const wm_lit_cells *cells, double bright_y);
void wm_lit_cells_free(wm_lit_cells *cells);

/** Plain linear mean over the zone's pixels (cards and patches), and the relative sd of Y. */
typedef struct wm_flat_sample {
    wm_rgb mean;
    double relative_sd_y;
    size_t pixels;
} wm_flat_sample;
wm_flat_sample wm_window_flat(const wm_window *window);
/** C19: (max - min) / mean of Y over the four quarters' outer corners of a card. */
double wm_window_corner_spread(const wm_window *window);

#endif
