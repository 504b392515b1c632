/* mixing: the colour of a fibre mix and of wefts on top of each other (B1 to B15, B19; B17 and B18 are
 * `views`).
 *
 * All in the cone space of wm_cone (B1), per channel. A pure shade's c is clamped to 0.0001..0.999 first; what lies
 * behind a layer is not, so that black stays black (B14). The laws are fitted to a simulation of light in hair; no
 * blend of real hair was measured. */
#ifndef WM_MATCH_MIXING_H
#define WM_MATCH_MIXING_H

#include "colour/colour.h"

/** c of a pure shade, clamped (B1). */
wm_cone wm_shade_cone(wm_lab lab);
wm_cone wm_cone_clamped(wm_cone cone);

/** The law's constant: g (setting blend_g, default 0.75; 0.4..0.9) and k0 = 1.5 (1 - g) (B12). */
typedef struct wm_hair_law {
    double g, k0;
} wm_hair_law;
wm_hair_law wm_hair_law_of(double g);
#define WM_HAIR_LAW_G 0.75   /* B2 */
#define WM_HAIR_LAW_K0 0.375 /* B13 */
#define WM_HAIR_LAW_DEFAULT                                                                                            \
    {                                                                                                                  \
        WM_HAIR_LAW_G, WM_HAIR_LAW_K0                                                                                  \
    }
#define WM_HAIR_LAW_LOW 0.4  /* B12 */
#define WM_HAIR_LAW_HIGH 0.9 /* B12 */

double wm_absorb(double c, double g);   /**< z of B2, c clamped to 0.0001..0.999 */
double wm_unabsorb(double z, double g); /**< c of B3 */

/** One part of a mix: its colour and its share by projected area. */
typedef struct wm_part {
    wm_cone colour;
    double share;
} wm_part;
/** B5; a part may itself be a mix, by its measured colour (B8). Shares must be 0..1 and sum to 1 within 1e-9, phi lie
 * in 0..1 and nothing be NaN, else WM_E_USAGE (B4). */
wm_status wm_mix(wm_cone *out, const wm_part *parts, size_t count, double phi, const wm_hair_law *law, wm_error *err);

double wm_phi_of_locks(double fibres, double fill); /**< B7; n below 1 counts as 1 */
double wm_phi_of_edge(double tau_a, double tau_b);  /**< B19; 1 when either is 0 */
double wm_tau_of_weft(double mass_g, double width_mm, double length_mm, double diameter_mm);   /**< B15, all > 0 */
double wm_share_from_mass(double mass_a, double diameter_a, double mass_b, double diameter_b); /**< B9, all > 0 */
#define WM_HAIR_DIAMETER_MM 0.07                                                               /* B15 */

/** B13, one channel: what a layer reflects and lets through. */
void wm_layer_reflect(double c, double tau, const wm_hair_law *law, double *R, double *T);
/** B14, one channel: that layer over what lies behind it. */
static inline double wm_layer_over(double R, double T, double behind)
{
    return R + T * T * behind / (1 - R * behind);
}

/** B10: the share q of second whose mix with first is nearest to target; phi is clamped to 0..1. Above a de00 of 2 the
 * pair does not reach the target. Never print q without its phi (B11). */
typedef struct wm_share_fit {
    double q, de00, q_low, q_high;
} wm_share_fit; /**< q_low..q_high within 1 dE00 of the best */
wm_share_fit wm_fit_share(wm_lab first, wm_lab second, wm_lab target, double phi, const wm_hair_law *law);

/** B12: the law of this salon's hair from one hackled 50/50 blend beside both pure shades. */
typedef struct wm_law_fit {
    wm_hair_law law;
    double de00;          /**< what the fitted law leaves */
    double default_de00;  /**< what g = 0.75 leaves */
    double g_low, g_high; /**< within 1 dE00 of the best: as wide as 0.4..0.9, the two shades are too alike to tell */
} wm_law_fit;
wm_law_fit wm_fit_hair_law(wm_lab dark, wm_lab light, wm_lab mix50);

#endif
