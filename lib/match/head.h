/* head: her hair under the draws (M22): what each zone's colour, share of gray and two populations may be, and one gray
 * for the head. A share read too high comes with a gray read too dark: both are drawn together, as they must be. */
#ifndef WM_MATCH_HEAD_H
#define WM_MATCH_HEAD_H

#include "match/draws.h"
#include "match/mixing.h"
#include "measure/claim.h"
#include "measure/zone.h"

enum { WM_HEAD_ZONES = 64, WM_HEAD_NAME_SIZE = 96 };

/** One client zone as measured. */
typedef struct wm_head_zone {
    wm_zone_kind kind;
    char name[WM_HEAD_NAME_SIZE]; /**< unique: it keys the draws */
    wm_place place;               /**< WM_PLACE_BY_KIND: by its kind (M26) */
    wm_lab lab, sigma;            /**< body colour and C12's sigma */
    double u_de00;
    wm_claim at_best;      /**< what its aids and the catalogue allow at best, whatever u (C24, C34) */
    bool has_share;        /**< a share was looked for: measured, low or none seen (then 0); u_share with it */
    double share, u_share; /**< 0 and 0 without one: not measured, not resolved */
    bool all_over;         /**< her gray, unless another zone tells it; its base is the other zones' */
    bool has_base;         /**< the base was told apart */
    bool has_gray;         /**< the gray was; share above 0. Without a base: no pixel shows it alone */
    wm_lab base, gray;
    bool has_line; /**< which way its colour goes from fibre to fibre is known (G12) */
    double line_rad, line_variance;
} wm_head_zone;

/** How a zone's gray is known. */
typedef enum wm_gray_known {
    WM_GRAY_KNOWN_NONE,         /**< none seen, or none can be told */
    WM_GRAY_KNOWN_APART,        /**< share, base and gray were told apart */
    WM_GRAY_KNOWN_OVER_HIDDEN,  /**< share and gray; no pixel shows the base alone */
    WM_GRAY_KNOWN_ALL_OVER,     /**< pale without colour all over */
    WM_GRAY_KNOWN_BY_LIGHTNESS, /**< not counted, where there is gray: by how much lighter and paler than her base */
} wm_gray_known;

typedef struct wm_drawn_zone {
    wm_zone_kind kind;
    wm_place place;
    char name[WM_HEAD_NAME_SIZE];
    double u_de00;
    wm_claim at_best;
    wm_gray_known known;
    wm_cone body[WM_DRAW_ROWS];
    wm_cone base[WM_DRAW_ROWS];
    double share[WM_DRAW_ROWS];
} wm_drawn_zone;

/** Her hair, row by row. Zero-initialise; free with wm_drawn_head_free. */
typedef struct wm_drawn_head {
    wm_drawn_zone *zones; /**< owned, in the order given */
    size_t zone_count;
    bool has_base;                 /**< false: gray all over and no zone to say what is beneath */
    bool base_seen;                /**< M24: in a zone that shows it; else what the gray leaves */
    bool has_gray;                 /**< false: none is told, nor does lightness say any; all shares are 0 */
    bool gray_beyond_doubt;        /**< M24: a zone is marked gray, gray all over, or G9's interval begins above 0 */
    wm_cone gray[WM_DRAW_ROWS];    /**< one for the head */
    bool bases_apart;              /**< M24: dyed lengths, balayage, regrowth */
    wm_hair_law law[WM_DRAW_ROWS]; /**< B2, B13, B19; row 0 is the law given */
} wm_drawn_head;

/** WM_E_INPUT: no zone, more than WM_HEAD_ZONES, or a colour, share or sigma that is not possible. */
wm_status wm_head_draw(wm_drawn_head *out, const wm_head_zone *zones, size_t count, const wm_hair_law *law,
                       wm_error *err);
void wm_drawn_head_free(wm_drawn_head *head);

/** A copy whose share has risen by `rise` at the grayest zone, elsewhere in proportion (M33). Free it as well. */
wm_status wm_drawn_head_rise(wm_drawn_head *out, const wm_drawn_head *head, double rise, wm_error *err);

/** Share of the grayest zone as measured; 0 without gray. */
double wm_drawn_head_grayest(const wm_drawn_head *head);

enum { WM_HAIR_KINDS = WM_ZONE_GRAY + 1 };
/** Weights of the zones by kind, shared equally within a kind, kinds that are missing dropped, the rest scaled to 1;
 * none left: all zones equally. placed: a zone that says its place counts as that place's kind (M26). weight has
 * zone_count. */
void wm_drawn_head_weights(double *weight, const wm_drawn_head *head, const double of_kind[WM_HAIR_KINDS], bool placed);
/** The kind that a zone counts as on a row (M26): side as gray, crown as root, back as mid, nape as ends. */
wm_zone_kind wm_drawn_zone_kind(const wm_drawn_zone *zone);

/** Gray hair as a flat swatch, where nothing tells what it is (M23). */
wm_cone wm_usual_gray(void);

/** M6: root, mid, ends, gray. */
extern const double WM_BASE_WEIGHTS[WM_HAIR_KINDS];

#endif
