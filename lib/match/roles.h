/* roles: what each shade of the catalogue can be on this head (M23, M24): her base, her gray, both at once. No claim
 * enters: the draws are wider where the photo is worse, and what can't be told apart is let through. */
#ifndef WM_MATCH_ROLES_H
#define WM_MATCH_ROLES_H

#include "match/head.h"
#include "match/shades.h"

/** A shade under the draws. One with two populations is called pre-blended. */
typedef struct wm_drawn_shade {
    const wm_swatch *swatch;
    double tau;
    double gray_share; /**< as the catalogue says, 0 without */
    int populations;   /**< 1 or 2 */
    double share[2];   /**< of each population */
    wm_cone colour[WM_DRAW_ROWS];
    wm_cone population[2][WM_DRAW_ROWS]; /**< base or only one, gray */
    double to_base, to_gray;             /**< E[d]; to_gray 99 on a head without gray */
} wm_drawn_shade;
void wm_shade_draw(wm_drawn_shade *out, const wm_swatch *swatch);
/** Fills in to_base and to_gray (M24). */
void wm_shade_measure(wm_drawn_shade *shade, const wm_drawn_head *head);

/** Where a colour lies under all draws. */
typedef struct wm_spread {
    wm_lab mean;
    double sd; /**< root of the sum of its three variances */
    double darkest, lightest;
    double chroma; /**< no C' of CIEDE2000 is larger */
    bool yellow;   /**< no b* is below 0 */
} wm_spread;

/** The shades of a catalogue under the draws: the same for every head, so one will do for many. Zero-initialise; free
 * with wm_drawn_shades_free. */
typedef struct wm_drawn_shades {
    const wm_swatch *const *items; /**< lent */
    size_t count;
    wm_lab *first, *last; /**< [WM_DRAW_ROWS][count]: base or only population, gray or only one; row 0 is not used */
    bool *pre_blended;    /**< [count] */
    wm_spread *first_lies, *last_lies; /**< [count] */
} wm_drawn_shades;
wm_status wm_shades_draw(wm_drawn_shades *out, const wm_swatch *const *items, size_t count, wm_error *err);
void wm_drawn_shades_free(wm_drawn_shades *shades);

enum { WM_ROLE_SHADES = 6 }; /* M24 */ /**< of each role the nearest */
enum { WM_ROLE_PLACES = WM_ROLE_SHADES + 1 };
enum { WM_ROLES = 3 };
typedef enum wm_role { WM_ROLE_BASE, WM_ROLE_GRAY, WM_ROLE_BLEND, WM_ROLE_SINGLE } wm_role; /**< the last: sewn alone */
extern const char *const WM_ROLE_WORDS[];
const char *wm_role_name(wm_role role); /**< "base", "gray", "blend", "single" */

typedef struct wm_role_list {
    const wm_drawn_shade *shades[WM_ROLE_PLACES]; /**< nearest first */
    double de00[WM_ROLE_PLACES];                  /**< E[d]; of a blend the larger of its two */
    size_t count;
    bool lacking;                  /**< no shade is near enough */
    const wm_drawn_shade *nearest; /**< then the nearest, or NULL; it may have taken the role all the same */
} wm_role_list;

/** Zero-initialise; free with wm_roles_free. */
typedef struct wm_roles {
    wm_role_list of[WM_ROLES];
    const wm_drawn_shade
        *light[3]; /**< of gray share above 0.7, nearest to `body`: single shades where gray is half (M27) */
    size_t light_count;
    wm_drawn_shade *kept; /**< owned: all that are named above */
    size_t kept_count;
} wm_roles;

/** body: what the light ones are compared with, one colour for each of body_count segments, with their weights. */
typedef struct wm_roles_input {
    const wm_drawn_head *head;
    const wm_drawn_shades *shades; /**< one at least */
    const wm_lab *body;
    const double *body_weight;
    size_t body_count;
} wm_roles_input;
wm_status wm_roles_of(wm_roles *out, const wm_roles_input *input, wm_error *err);
void wm_roles_free(wm_roles *roles);

/** What the role asks for (M24): her base by M6's weights, her gray; as measured. */
wm_lab wm_wanted_base(const wm_drawn_head *head);

#endif
