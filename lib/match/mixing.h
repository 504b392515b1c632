/* mixing: the colour of a fibre mix and of wefts on top of each other (B1 to B11, B13 to B19). All in the cone space of wm_cone. */
#ifndef WM_MATCH_MIXING_H
#define WM_MATCH_MIXING_H

#include "colour/colour.h"

/** The law's constant: g (setting blend_g, default 0.75; 0.4..0.9) and k0 = 1.5 (1 - g) (B12). */
typedef struct wm_hair_law { double g, k0; } wm_hair_law;
WM_API wm_hair_law wm_hair_law_of(double g);
#define WM_HAIR_LAW_DEFAULT { 0.75, 0.375 }

WM_API double wm_absorb(double c, double g);     /**< z of B2, c clamped to 0.0001..0.999 */
WM_API double wm_unabsorb(double z, double g);   /**< c of B3 */

/** One part of a mix: its colour and its share by projected area. */
typedef struct wm_part { wm_cone colour; double share; } wm_part;
/** B5. Shares must sum to 1 within 1e-9 and phi lie in 0..1, else WM_E_USAGE. */
WM_API wm_status wm_mix(wm_cone *out, const wm_part *parts, size_t count, double phi, const wm_hair_law *law, wm_error *err);

WM_API double wm_phi_of_locks(double fibres, double fill); /**< B7 */
WM_API double wm_phi_of_edge(double tau_a, double tau_b);  /**< B19; 1 when either is 0 */
WM_API double wm_tau_of_weft(double mass_g, double width_mm, double length_mm, double diameter_mm); /**< B15 */
WM_API double wm_share_from_mass(double mass_a, double diameter_a, double mass_b, double diameter_b); /**< B9 */

/** A whole layer: colour and optical thickness; kappa 1 without gaps (B16). */
typedef struct wm_layer { wm_cone colour; double tau, kappa; } wm_layer;
WM_API void wm_layer_reflect(double c, double tau, const wm_hair_law *law, double *R, double *T); /**< B13, one channel */
/** B14, B16: layers front first over what lies behind. */
WM_API wm_cone wm_stack(const wm_layer *layers, size_t count, wm_cone behind, const wm_hair_law *law);

/** B10: the share q of second whose mix with first is nearest to target. */
typedef struct wm_share_fit { double q, de00, q_low, q_high; } wm_share_fit; /**< q_low..q_high within 1 dE00 of the best */
WM_API wm_share_fit wm_fit_share(wm_lab first, wm_lab second, wm_lab target, double phi, const wm_hair_law *law);

#endif
