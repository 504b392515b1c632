/* Formulas by name: CIELAB (ISO/CIE 11664-4:2019), sRGB transfer (IEC 61966-2-1:1999), Bradford (ICC.1:2022 Annex E),
 * matrix M (section 2 of the calibration rules), white-relative cones (rule B1). Each inverse matrix is the inverse at
 * full double precision of the one above it; a test multiplies the pairs. */
#include "colour/colour.h"

#include "colour/power.h"
#include "core/wide.h"

#include "white_points.h" /* from white_points.awk at build time */

#include <math.h>
#include <stdint.h>
#include <string.h>

typedef struct matrix {
    double m[3][3];
} matrix;

static const matrix RGB_TO_XYZ = {
    { { 0.4360747, 0.3850649, 0.1430804 }, { WM_Y_OF_R, WM_Y_OF_G, WM_Y_OF_B }, { 0.0139322, 0.0971045, 0.7141733 } }
};
static const matrix XYZ_TO_RGB = { { { 3.1338563677916524, -1.6168667702911808, -0.49061477279830157 },
                                     { -0.9787685631270271, 1.9161415526243253, 0.033454116302537244 },
                                     { 0.07194516828173433, -0.22899127729888252, 1.4052426741535713 } } };

static const matrix BRADFORD = {
    { { 0.8951, 0.2664, -0.1614 }, { -0.7502, 1.7135, 0.0367 }, { 0.0389, -0.0685, 1.0296 } }
};
static const matrix BRADFORD_INVERSE = { { { 0.9869929054667121, -0.1470542564209901, 0.15996265166373125 },
                                           { 0.4323052697233945, 0.5183602715367776, 0.049291228212855615 },
                                           { -0.008528664575177331, 0.04004282165408486, 0.96848669578755 } } };

const wm_xyz WM_D50 = WHITE_D50;

bool wm_white_point(const char *illuminant, wm_xyz *out)
{
    for (size_t i = 0; i < sizeof WHITE_POINTS / sizeof *WHITE_POINTS; i++) {
        if (strcmp(WHITE_POINTS[i].name, illuminant) == 0) {
            *out = WHITE_POINTS[i].white;
            return true;
        }
    }
    return false;
}

WM_WIDE_PART wm_cone times(const matrix *a, double x, double y, double z)
{
    wm_cone out;
    for (int i = 0; i < 3; i++)
        out.c[i] = a->m[i][0] * x + a->m[i][1] * y + a->m[i][2] * z;
    return out;
}

/* ---- CIELAB ---- */

static const double EPSILON = 216.0 / 24389.0, KAPPA = 24389.0 / 27.0;

/* For positive normal x, to rounding, in a tenth of the time of cbrt, and with nothing but the basic operations: a
 * third of the exponent's bits (of the upper half alone: few processors multiply vectors of 64 bits) is within 4 %, and
 * each of Halley's steps takes the error to its cube; the last step is Newton's. */
WM_WIDE_PART double cube_root(double x)
{
    uint64_t bits;
    double y;
    memcpy(&bits, &x, sizeof bits);
    bits = ((((bits >> 32) * 0x55555556ULL) >> 32) << 32) + 0x2a9f7893782da1ceULL;
    memcpy(&y, &bits, sizeof y); /* two thirds of the exponent's bias, less what halves the error, were added */
    for (int step = 0; step < 2; step++) {
        const double cube = y * y * y;
        y *= (cube + 2.0 * x) / (2.0 * cube + x);
    }
    y = y - (y * y * y - x) / (3.0 * y * y);
    return x < HUGE_VAL ? y : x;
}

WM_WIDE_PART double lab_f(double ratio)
{
    const double root = cube_root(ratio);
    return ratio > EPSILON ? root : (KAPPA * ratio + 16.0) / 116.0;
}

static double lab_f_inverse(double f)
{
    double cube = f * f * f;
    return cube > EPSILON ? cube : (116.0 * f - 16.0) / KAPPA;
}

wm_lab wm_xyz_to_lab(wm_xyz xyz, wm_xyz white)
{
    double fx = lab_f(xyz.X / white.X), fy = lab_f(xyz.Y / white.Y), fz = lab_f(xyz.Z / white.Z);
    return (wm_lab){ 116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz) };
}

WM_WIDE_BODY void wm_rgb_to_lightness_row_body(const wm_rgb *rgb, size_t count, double *out)
{
    for (size_t i = 0; i < count; i++)
        out[i] = 116.0 * lab_f(wm_rgb_luminance(rgb[i])) - 16.0;
}
WM_WIDE(wm_rgb_to_lightness_row, (const wm_rgb *rgb, size_t count, double *out), (rgb, count, out))

wm_xyz wm_lab_to_xyz(wm_lab lab, wm_xyz white)
{
    double fy = (lab.L + 16.0) / 116.0;
    return (wm_xyz){ white.X * lab_f_inverse(fy + lab.a / 500.0), white.Y * lab_f_inverse(fy),
                     white.Z * lab_f_inverse(fy - lab.b / 200.0) };
}

static const double DEGREES = 180.0 / 3.14159265358979323846;

wm_lch wm_lab_to_lch(wm_lab lab)
{
    double hue = atan2(lab.b, lab.a) * DEGREES;
    if (hue < 0)
        hue += 360.0;
    if (hue >= 360.0 || !(hypot(lab.a, lab.b) > 0))
        hue = 0; /* an angle just below 0 rounds to 360 */
    return (wm_lch){ lab.L, hypot(lab.a, lab.b), hue };
}

wm_lab wm_lch_to_lab(wm_lch lch)
{
    return (wm_lab){ lch.L, lch.C * cos(lch.h_deg / DEGREES), lch.C * sin(lch.h_deg / DEGREES) };
}

bool wm_lab_valid(wm_lab lab)
{
    return lab.L >= 0 && lab.L <= 100 && lab.a >= -128 && lab.a <= 127 && lab.b >= -128 &&
           lab.b <= 127; /* NaN fails each */
}

/* ---- RGB ---- */

static const double SRGB_ENCODE_POWER = 1.0 / 2.4, SRGB_DECODE_POWER = 2.4;

/* power: linear to the power of 1 / 2.4 */
static double encoded_by(double linear, double power)
{
    return linear <= 0.0031308 ? 12.92 * linear : 1.055 * power - 0.055;
}

static double base_of_decoding(double encoded)
{
    return (encoded + 0.055) / 1.055;
}

/* power: of that base, to the 2.4th */
static double decoded_by(double encoded, double power)
{
    return encoded <= 0.04045 ? encoded / 12.92 : power;
}

double wm_srgb_encode(double linear)
{
    return encoded_by(linear, pow(linear, SRGB_ENCODE_POWER));
}

double wm_srgb_decode(double encoded)
{
    return decoded_by(encoded, pow(base_of_decoding(encoded), SRGB_DECODE_POWER));
}

enum { RUN = 256 };

void wm_srgb_encode_many(double *values, size_t count)
{
    double powers[RUN];
    for (size_t start = 0; start < count; start += RUN, values += RUN) {
        const size_t n = count - start < RUN ? count - start : RUN;
        memcpy(powers, values, n * sizeof *powers);
        wm_power_many(powers, n, SRGB_ENCODE_POWER);
        for (size_t i = 0; i < n; i++)
            values[i] = encoded_by(values[i], powers[i]);
    }
}

void wm_srgb_decode_many(double *values, size_t count)
{
    double powers[RUN];
    for (size_t start = 0; start < count; start += RUN, values += RUN) {
        const size_t n = count - start < RUN ? count - start : RUN;
        for (size_t i = 0; i < n; i++)
            powers[i] = base_of_decoding(values[i]);
        wm_power_many(powers, n, SRGB_DECODE_POWER);
        for (size_t i = 0; i < n; i++)
            values[i] = decoded_by(values[i], powers[i]);
    }
}

wm_xyz wm_rgb_to_xyz(wm_rgb rgb)
{
    wm_cone v = times(&RGB_TO_XYZ, rgb.r, rgb.g, rgb.b);
    return (wm_xyz){ v.c[0], v.c[1], v.c[2] };
}

wm_rgb wm_xyz_to_rgb(wm_xyz xyz)
{
    wm_cone v = times(&XYZ_TO_RGB, xyz.X, xyz.Y, xyz.Z);
    return (wm_rgb){ v.c[0], v.c[1], v.c[2] };
}

WM_WIDE_PART double floored(double channel)
{
    return channel > 1e-6 ? channel : 1e-6;
}

wm_lab wm_rgb_to_lab(wm_rgb rgb)
{
    return wm_xyz_to_lab(wm_rgb_to_xyz((wm_rgb){ floored(rgb.r), floored(rgb.g), floored(rgb.b) }), WM_D50);
}

WM_WIDE_BODY void wm_rgb_to_lab_batch_body(wm_lab *out, const wm_rgb *rgb, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const wm_cone v = times(&RGB_TO_XYZ, floored(rgb[i].r), floored(rgb[i].g), floored(rgb[i].b));
        const double fx = lab_f(v.c[0] / WM_D50.X), fy = lab_f(v.c[1] / WM_D50.Y), fz = lab_f(v.c[2] / WM_D50.Z);
        out[i] = (wm_lab){ 116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz) };
    }
}
WM_WIDE(wm_rgb_to_lab_batch, (wm_lab * out, const wm_rgb *rgb, size_t count), (out, rgb, count))

WM_WIDE_BODY void wm_rgb_to_lab_row_body(const wm_rgb *rgb, size_t count, float *L, float *a, float *b)
{
    for (size_t i = 0; i < count; i++) {
        const wm_cone v = times(&RGB_TO_XYZ, floored(rgb[i].r), floored(rgb[i].g), floored(rgb[i].b));
        const double fx = lab_f(v.c[0] / WM_D50.X), fy = lab_f(v.c[1] / WM_D50.Y), fz = lab_f(v.c[2] / WM_D50.Z);
        L[i] = (float)(116.0 * fy - 16.0);
        a[i] = (float)(500.0 * (fx - fy));
        b[i] = (float)(200.0 * (fy - fz));
    }
}
WM_WIDE(wm_rgb_to_lab_row, (const wm_rgb *rgb, size_t count, float *L, float *a, float *b), (rgb, count, L, a, b))

wm_rgb wm_lab_to_rgb(wm_lab lab)
{
    return wm_xyz_to_rgb(wm_lab_to_xyz(lab, WM_D50));
}

/* NaN is black. */
static double displayable(double linear)
{
    return linear > 0 ? fmin(linear, 1) : 0;
}

static unsigned char code8(double encoded)
{
    return (unsigned char)(255.0 * encoded + 0.5);
}

wm_srgb8 wm_rgb_to_srgb8(wm_rgb rgb)
{
    wm_srgb8 out = { 0, 0, 0 };
    wm_rgb_to_srgb8_many(&out, &rgb, 1);
    return out;
}

void wm_rgb_to_srgb8_many(wm_srgb8 *out, const wm_rgb *rgb, size_t count)
{
    double values[3 * RUN];
    for (size_t start = 0; start < count; start += RUN, out += RUN, rgb += RUN) {
        const size_t n = count - start < RUN ? count - start : RUN;
        for (size_t i = 0; i < n; i++) {
            values[3 * i] = displayable(rgb[i].r);
            values[3 * i + 1] = displayable(rgb[i].g);
            values[3 * i + 2] = displayable(rgb[i].b);
        }
        wm_srgb_encode_many(values, 3 * n);
        for (size_t i = 0; i < n; i++)
            out[i] = (wm_srgb8){ code8(values[3 * i]), code8(values[3 * i + 1]), code8(values[3 * i + 2]) };
    }
}

wm_srgb8 wm_lab_to_srgb8(wm_lab lab)
{
    return wm_rgb_to_srgb8(wm_lab_to_rgb(lab));
}

/* ---- Bradford ---- */

wm_xyz wm_bradford_adapt(wm_xyz xyz, wm_xyz from_white, wm_xyz to_white)
{
    wm_cone v = times(&BRADFORD, xyz.X, xyz.Y, xyz.Z);
    wm_cone from = times(&BRADFORD, from_white.X, from_white.Y, from_white.Z);
    wm_cone to = times(&BRADFORD, to_white.X, to_white.Y, to_white.Z);
    for (int i = 0; i < 3; i++)
        v.c[i] *= to.c[i] / from.c[i];
    v = times(&BRADFORD_INVERSE, v.c[0], v.c[1], v.c[2]);
    return (wm_xyz){ v.c[0], v.c[1], v.c[2] };
}

wm_cone wm_lab_to_cone(wm_lab lab)
{
    wm_xyz xyz = wm_lab_to_xyz(lab, WM_D50);
    wm_cone v = times(&BRADFORD, xyz.X, xyz.Y, xyz.Z), white = times(&BRADFORD, WM_D50.X, WM_D50.Y, WM_D50.Z);
    for (int i = 0; i < 3; i++)
        v.c[i] /= white.c[i];
    return v;
}

wm_lab wm_cone_to_lab(wm_cone cone)
{
    wm_cone white = times(&BRADFORD, WM_D50.X, WM_D50.Y, WM_D50.Z);
    wm_cone xyz = times(&BRADFORD_INVERSE, cone.c[0] * white.c[0], cone.c[1] * white.c[1], cone.c[2] * white.c[2]);
    return wm_xyz_to_lab((wm_xyz){ xyz.c[0], xyz.c[1], xyz.c[2] }, WM_D50);
}

/* ---- many cones at once ---- */

WM_WIDE_BODY void wm_cone_to_lab_batch_body(wm_lab *out, const wm_cone *cones, size_t count)
{
    const double white[3] = { WM_D50.X, WM_D50.Y, WM_D50.Z };
    wm_cone adapted = times(&BRADFORD, WM_D50.X, WM_D50.Y, WM_D50.Z);
    matrix relative; /* from a cone to XYZ over its white */
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            relative.m[i][j] = BRADFORD_INVERSE.m[i][j] * adapted.c[j] / white[i];
    for (size_t k = 0; k < count; k++) {
        wm_cone ratio = times(&relative, cones[k].c[0], cones[k].c[1], cones[k].c[2]);
        double f[3];
        for (int i = 0; i < 3; i++)
            f[i] = lab_f(ratio.c[i]);
        out[k] = (wm_lab){ 116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2]) };
    }
}
WM_WIDE(wm_cone_to_lab_batch, (wm_lab * out, const wm_cone *cones, size_t count), (out, cones, count))
