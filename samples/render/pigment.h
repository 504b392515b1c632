/* pigment: what things are made of. Hair from a pigment model, skin, cloth, cards and paints as smooth reflectances.
 *
 * Hair body reflectance R(nm) = s (550/nm)^0.6 + A exp(-sqrt(mu(nm))), mu = eu (550/nm)^3.2 + ph (550/nm)^5.5 + keratin
 * (550/nm)^5
 * + dye bands. s = 0.024 is what the fibre surfaces scatter without entering; A is how much of the light that enters
 * would come back from unpigmented fibres; sqrt(absorption) in the exponent is the law of many scatterings (as in
 * Chiang et al., A Practical and Controllable Hair and Fur Model, 2016). The exponents follow the published fall of
 * melanin absorption; s, A and the amounts were set so that the dark-brown and black tresses of
 * reference/hair_facts.csv are met. All shades are invented. */
#ifndef RENDER_PIGMENT_H
#define RENDER_PIGMENT_H

#include "random.h"
#include "spectrum.h"

typedef struct pigment {
    double eu, ph;            /**< eumelanin, pheomelanin: absorption at 550 nm */
    double red, violet, blue; /**< dye bands absorbing around 500, 545 and 600 nm */
    double yellow;            /**< keratin absorption, the slight yellowing of gray hair (0.05 is clean) */
    double scatter;           /**< A, 0.3 dull gray .. 0.75 */
} pigment;

spectrum hair_reflectance(const pigment *p);
spectrum skin_reflectance(double melanin, double blood);
spectrum flat_reflectance(double level,
                          double tilt); /**< nearly gray: level at 550 nm, tilt = relative slope over 100 nm */
spectrum paint_reflectance(double base, double height, double centre_nm,
                           double width_nm); /**< one smooth hill, for cloth and patches */

spectrum spectrum_mean(const spectrum *a, const spectrum *b, double share_of_b);

/** How one material answers the light of this scene: camera signals (white under the light = 1 1 1) and its true XYZ.
 */
typedef struct tint {
    float camera[3];
    float xyz[3];
} tint;

/** The camera's three normalised sensitivities times the light. */
typedef struct sensor {
    const tables *tables;
    spectrum weight[3]; /**< each sums to 1 */
} sensor;

tint sensor_tint(const sensor *s, const spectrum *reflectance);

/** Fibres of one kind with their natural variation in pigment. Index order is from light to dark. */
enum { PALETTE = 128 };
typedef struct palette {
    tint fibre[PALETTE];
} palette;

palette palette_make(const sensor *s, const pigment *p, double variation);
/** Mean XYZ of all fibres: what a hank of such hair measures. */
triple palette_xyz(const palette *p);

/** Mean reflectance XYZ without a camera, for catalogues; the same fibres as palette_make. */
triple pigment_xyz(const tables *t, const pigment *p, double variation);

#endif
