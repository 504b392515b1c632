/* colour: XYZ, CIELAB, LCh, linear RGB, white points, chromatic adaptation.
 *
 * Conventions of the whole project: CIELAB is D50, 2 degree, white WM_D50 = (0.9642, 1, 0.8249) (ICC.1 PCS). Linear RGB
 * ("wm_rgb") is linear light with sRGB primaries adapted to D50 by Bradford, white (1, 1, 1), unclipped. Sources:
 * ISO/CIE 11664-4:2019 (CIELAB), IEC 61966-2-1 (sRGB curve), ICC.1:2022 Annex E (Bradford). All double; exact ratios
 * 216/24389 and 24389/27. */
#ifndef WM_COLOUR_COLOUR_H
#define WM_COLOUR_COLOUR_H

#include "core/status.h"
#include "weftmatch/colour.h"

typedef struct wm_xyz {
    double X, Y, Z;
} wm_xyz; /**< Y of the white = 1 */
typedef struct wm_lch {
    double L, C, h_deg;
} wm_lch; /**< h_deg in [0, 360); 0 for a = b = 0 */
typedef struct wm_rgb {
    double r, g, b;
} wm_rgb; /**< linear light, sRGB primaries, D50; 1 = white */

/** ICC PCS white, D50. */
extern const wm_xyz WM_D50;

/** Named white points, 2 degree, Y = 1 (table generated from reference/white_points.csv at build time): "A", "C",
 * "D50", "D65" ... False for an unknown name. */
bool wm_white_point(const char *illuminant, wm_xyz *out);

wm_lab wm_xyz_to_lab(wm_xyz xyz, wm_xyz white);
wm_xyz wm_lab_to_xyz(wm_lab lab, wm_xyz white);
/** The same of many pixels. */
void wm_rgb_to_lightness_row(const wm_rgb *rgb, size_t count, double *out);
wm_lch wm_lab_to_lch(wm_lab lab);
wm_lab wm_lch_to_lab(wm_lch lch);

/** The sRGB transfer function and its inverse; odd-symmetric outside 0..1 is NOT applied: negative values use the
 * linear part. */
double wm_srgb_encode(double linear);
double wm_srgb_decode(double encoded);
void wm_srgb_encode_many(double *values, size_t count); /**< in place, within 1e-14 */
void wm_srgb_decode_many(double *values, size_t count);

/** Matrix M of the calibration rules: rounded, with the white (0.96422, 1, 0.82521), so that (1, 1, 1) is b* -0.025.
 * Both ways are exact inverses: a colour that enters as XYZ or Lab leaves unchanged. Pixels enter as XYZ from
 * LittleCMS, never as bare sRGB values. */
wm_xyz wm_rgb_to_xyz(wm_rgb rgb);
wm_rgb wm_xyz_to_rgb(wm_xyz xyz);
/** Y. Its row of matrix M stands here, because it is asked of every pixel. */
#define WM_Y_OF_R 0.2225045
#define WM_Y_OF_G 0.7168786
#define WM_Y_OF_B 0.0606169
static inline double wm_rgb_luminance(wm_rgb rgb)
{
    return WM_Y_OF_R * rgb.r + WM_Y_OF_G * rgb.g + WM_Y_OF_B * rgb.b;
}

/** Channels are floored at 1e-6 first (calibration rules, section 2). */
wm_lab wm_rgb_to_lab(wm_rgb rgb);
void wm_rgb_to_lab_batch(wm_lab *out, const wm_rgb *rgb, size_t count); /**< many at once, the same bytes */
/** The same for a row of pixels, into float planes: within 0.001 of L*, a*, b*, in a fraction of the time. For textures
 * and maps, not for a colour that is reported. */
void wm_rgb_to_lab_row(const wm_rgb *rgb, size_t count, float *L, float *a, float *b);
wm_rgb wm_lab_to_rgb(wm_lab lab); /**< may lie outside 0..1 */

static inline wm_rgb wm_rgb_add(wm_rgb a, wm_rgb b)
{
    return (wm_rgb){ a.r + b.r, a.g + b.g, a.b + b.b };
}
static inline wm_rgb wm_rgb_scale(wm_rgb a, double k)
{
    return (wm_rgb){ a.r * k, a.g * k, a.b * k };
}

/** 8-bit sRGB for chips and pictures, clipped to 0..255 (the change from D50 to sRGB's own D65 is in the matrix). */
typedef struct wm_srgb8 {
    unsigned char r, g, b;
} wm_srgb8;
wm_srgb8 wm_rgb_to_srgb8(wm_rgb rgb);
void wm_rgb_to_srgb8_many(wm_srgb8 *out, const wm_rgb *rgb, size_t count); /**< the same, many at a time */
wm_srgb8 wm_lab_to_srgb8(wm_lab lab);

/** Bradford adaptation between two whites (both with Y = 1). */
wm_xyz wm_bradford_adapt(wm_xyz xyz, wm_xyz from_white, wm_xyz to_white);

/** White-relative linear Bradford cone response c (rule B1) and back; the space in which hair is mixed and layered. */
typedef struct wm_cone {
    double c[3];
} wm_cone;
wm_cone wm_lab_to_cone(wm_lab lab);
wm_lab wm_cone_to_lab(wm_cone cone);
void wm_cone_to_lab_batch(wm_lab *out, const wm_cone *cones, size_t count); /**< many at once, within 1e-11 */

bool wm_lab_valid(wm_lab lab); /**< finite, L 0..100, a and b within -128..127 */

#endif
