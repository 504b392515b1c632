/* gray: body colour of a zone (G4 to G6), share of gray and the two populations (G7 to G9), closure with a swatch
 * (G10), and whether light on the hair can be meant (G7a, G9). The share is the visible-area share, the ratio a stylist
 * can match; never the number of fibres, never the share of light. */
#ifndef WM_MEASURE_GRAY_H
#define WM_MEASURE_GRAY_H

#include "colour/colour.h"
#include "core/status.h"
#include "core/words.h"
#include "measure/fibre_row.h"
#include "measure/sample.h"

typedef enum wm_gray_status {
    WM_GRAY_NOT_MEASURED,
    WM_GRAY_NOT_RESOLVED,
    WM_GRAY_ALL_OVER, /**< gray all over, or bleached: no number */
    WM_GRAY_NONE_SEEN,
    WM_GRAY_LOW,
    WM_GRAY_MEASURED
} wm_gray_status;
typedef enum wm_population {
    WM_POPULATION_UNKNOWN,
    WM_POPULATION_NONE,
    WM_POPULATION_ASSUMED,
    WM_POPULATION_MEASURED
} wm_population;

/** "not measured", "not resolved", "all over", "none seen", "low", "measured": the words of the JSON. */
extern const char *const WM_GRAY_STATUS_WORDS[];
const char *wm_gray_status_name(wm_gray_status status);

/** G4: base colour of a zone that holds 0 to 10 % gray, from its kept pixels. WM_E_INPUT when count is 0. */
wm_status wm_gray_reference(wm_rgb *out, const wm_rgb *pixels, size_t count, wm_error *err);

/** What G5 to G8 need of a zone's kept pixels (lent) whatever they are compared with: prepared once, measured with
 * several references. Free with wm_gray_pixels_free; NULL is fine. */
typedef struct wm_gray_pixels wm_gray_pixels;
wm_status wm_gray_prepare(wm_gray_pixels **out, const wm_rgb *pixels, size_t count, wm_error *err);
void wm_gray_pixels_free(wm_gray_pixels *pixels);

typedef struct wm_gray_input {
    const wm_rgb *pixels;           /**< kept by G1 to G3, after stage 1, in raster order */
    size_t count, burnt;            /**< blown-out pixels follow: they count in body and share, not in the histogram */
    size_t zone_pixels;             /**< all pixels of the zone (G9: 10 %); 0: count */
    const wm_rgb *reference;        /**< base colour of G4, NULL: blind */
    const wm_rgb *gray_swatch;      /**< linear colour of the chosen gray swatch (G10), NULL: prior */
    bool sheen_everywhere;          /**< from the cleaning */
    bool in_locks;                  /**< hair on a head, with gaps between its locks (G6); a swatch is dense */
    bool without_sd;                /**< body_sd stays 0: a look before the one that counts */
    const wm_gray_pixels *prepared; /**< of the same pixels; NULL: done here */
    const struct wm_gray *marked;   /**< of the same hair marked a little differently, with the same reference: its
                                         base's gaps stand; NULL: they are looked for */
} wm_gray_input;

enum { WM_GRAY_NODES = WM_FIBRE_NODES };

/** G5's mixture: fibres of luminance base_y and gray_y, alone in a pixel or in tenths. */
typedef struct wm_gray_mixture {
    double weight[WM_GRAY_NODES];    /**< pi_j: area whose pixels hold j tenths of gray */
    double togetherness;             /**< rho: 1 each pixel holds one kind alone, 0 all hold the same mixture */
    double base_y, gray_y;           /**< B, G */
    double base_spread, gray_spread; /**< sB, sG, of ln Y */
    double pure_base, pure_gray;     /**< W0, W1: area seen as nothing else */
} wm_gray_mixture;

typedef struct wm_gray {
    /* G6, always */
    wm_rgb body;            /**< linear mean of the pixels kept after gaps */
    wm_lab body_sd;         /**< sd of their Lab, per channel */
    size_t kept;            /**< pixels that are no gaps; above 250 000 pixels every second one is measured */
    double gap_share;       /**< of the pixels passed in */
    double gap_below_y;     /**< pixels darker than this were gaps */
    double base_gap_y;      /**< the same by the base alone */
    double body_doubt_L;    /**< sd of the body's L*: what passes for its base may be gaps (G6) */
    bool blind;             /**< measured without a base reference */
    bool reference_refused; /**< half of the zone would have been gaps under the reference: it is lighter hair; blind */
    /* G5, G7 */
    wm_gray_mixture mixture;
    double share, u_share; /**< s and sd; meaningless unless status says so */
    double mixture_share;  /**< sL, before the bleach test */
    double dark_y;         /**< the 15th percentile of Y, at least 0.004: the base where nothing else tells */
    double contrast;       /**< R = G / B */
    double index_rest;     /**< rho(g) of the bleach test */
    double hue_apart;      /**< ln(r / b) of the base less that of the rest of the bleach test */
    bool bleached;         /**< sL - s > 0.05: lighter, coloured fibres (not gray) */
    bool base_never_seen;  /**< W0 < 0.02: show the interval only, ask for a sharper photo */
    /* G8, G9 */
    wm_rgb base, gray; /**< as far as their status goes */
    wm_population base_status, gray_status;
    double base_doubt_L, gray_doubt_L; /**< sd of L* that telling them apart leaves, beside the calibration's */
    wm_gray_status status;
    double closure_de00; /**< G10, dE00 between (1-s) base + s gray and body; above 5 the three don't agree */
} wm_gray;

/** G5 to G10. WM_E_INPUT when count is 0. */
wm_status wm_gray_measure(wm_gray *out, const wm_gray_input *input, wm_error *err);

/** The light on the hair of a cleaned window, whatever gray is in it. Free with wm_hair_light_free. */
typedef struct wm_hair_light {
    wm_lit_cells *cells; /**< NULL until they are asked for */
    double dark_index;   /**< rho of the darkest quarter */
    double dark_warmer;  /**< its ln(r / b) less that of the lightest quarter */
    double lightness;    /**< L* of the mean of the hair's pixels, sheen included */
} wm_hair_light;
wm_hair_light wm_hair_light_of(const wm_window *window);
/** Makes the cells, once. */
wm_status wm_hair_light_cells(wm_hair_light *light, const wm_window *window, double direction_rad, wm_error *err);
void wm_hair_light_free(wm_hair_light *light);

/** G9: can the cells change anything? */
bool wm_gray_asks_cells(const wm_gray *gray, const wm_hair_light *light);
/** What G9 asks of the light on the hair. */
typedef struct wm_gray_light {
    wm_thirds thirds; /**< G7a; not known without cells */
    double dark_index, dark_warmer, lightness;
} wm_gray_light;
wm_gray_light wm_gray_light_of(const wm_gray *gray, const wm_hair_light *light);

/** G9: the status by G5 to G8, after a look at the light. */
wm_gray_status wm_gray_settled_status(const wm_gray *gray, const wm_gray_light *light);
/** Gives gray the settled status, and takes back what it no longer allows to say. */
void wm_gray_settle(wm_gray *gray, const wm_gray_light *light);

/** G4: does the zone lie in the reference's light by its dark pixels? Then wm_gray_reference_for asks for nothing else.
 */
bool wm_gray_in_its_light(const wm_gray_pixels *pixels, wm_rgb reference);
/** G4: the reference for one zone: as it is where the zone lies in its light, or where the zone shows by itself that it
 * holds gray (blind, light: of the zone measured without a reference); else only the reference's chroma, at the level
 * of the zone's dark pixels. */
wm_rgb wm_gray_reference_for(wm_rgb reference, const wm_gray *blind, const wm_gray_light *light);
/** G4: false when the zone holds gray itself. */
bool wm_gray_is_free(const wm_gray *blind);

/** G9: share -/+ 1.65 u_share within 0 to 1, rounded to 5 %; about 90 % of zones lie inside. */
void wm_gray_interval(double share, double u_share, double *low, double *high);

/** G9: a number for more, a number or "none seen" for less, and more of gray by more than the doubt of both. */
bool wm_gray_surely_more(const wm_gray *more, const wm_gray *less);

/** Number share to visible-area share: s = k n / (1 + (k - 1) n). */
double wm_gray_area_share(double number_share, double width_ratio);

/** What a pixel of the window counts as. */
typedef enum wm_pixel_class {
    WM_CLASS_OUTSIDE,
    WM_CLASS_BASE,
    WM_CLASS_MIXED,
    WM_CLASS_GRAY, /* mixed: base and gray within one pixel */
    WM_CLASS_SHEEN,
    WM_CLASS_GAP,
    WM_CLASS_SKIN,
    WM_CLASS_BACKGROUND,
    WM_CLASS_CLIPPED /* gap: between locks, or a broad shadow */
} wm_pixel_class;

/** A picture for orientation, not the estimate: each pixel of the cleaned window by its luminance alone, box.width *
 * box.height classes. Gray plus half of mixed roughly gives the share; where no gray is claimed (status up to "none
 * seen") all hair is base. */
void wm_gray_classify(const wm_window *window, const wm_gray *gray, unsigned char *classes);

#endif
