#include "match/mixing.h"

#include <math.h>

#include "colour/difference.h"

static const double C_LOW = 0.0001;                   /* B1 */
static const double C_HIGH = 0.999;                   /* B1 */
static const double K0_OF_G = 1.5;                    /* B12 */
static const double FIBRES_PER_LOCK_SCALE = 12.0;     /* B7 */
static const double EDGE_SCALE = 6.6;                 /* B19 */
static const double HAIR_DENSITY_G_PER_MM3 = 0.00132; /* B15 */
static const double PI = 3.14159265358979323846;

/* NaN becomes the low end, so that none gets out. */
static double clamped(double x, double low, double high)
{
    return x > low ? (x < high ? x : high) : low;
}

wm_cone wm_cone_clamped(wm_cone cone)
{
    for (int i = 0; i < 3; i++)
        cone.c[i] = clamped(cone.c[i], C_LOW, C_HIGH);
    return cone;
}

wm_cone wm_shade_cone(wm_lab lab)
{
    return wm_cone_clamped(wm_lab_to_cone(lab));
}

wm_hair_law wm_hair_law_of(double g)
{
    return (wm_hair_law){ g, K0_OF_G * (1 - g) };
}

/* ---- B2 to B9: mixes ---- */

double wm_absorb(double c, double g)
{
    c = clamped(c, C_LOW, C_HIGH);
    double s = (1 - c) / (1 + c);
    return s * s / (1 - g * s * s);
}

double wm_unabsorb(double z, double g)
{
    double s = sqrt(z / (1 + g * z));
    return (1 - s) / (1 + s);
}

static bool is_share(double x)
{
    return x >= 0 && x <= 1; /* NaN is none */
}

static bool has_colour(wm_cone cone)
{
    return isfinite(cone.c[0]) && isfinite(cone.c[1]) && isfinite(cone.c[2]);
}

static double mix_channel(const wm_part *parts, size_t count, int channel, double phi, double g)
{
    double linear = 0, absorbed = 0;
    for (size_t i = 0; i < count; i++) {
        linear += parts[i].share * clamped(parts[i].colour.c[channel], C_LOW, C_HIGH);
        absorbed += parts[i].share * wm_absorb(parts[i].colour.c[channel], g);
    }
    return (1 - phi) * linear + phi * wm_unabsorb(absorbed, g);
}

wm_status wm_mix(wm_cone *out, const wm_part *parts, size_t count, double phi, const wm_hair_law *law, wm_error *err)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        if (!is_share(parts[i].share) || !has_colour(parts[i].colour))
            return wm_fail(err, WM_E_USAGE, "a share or colour of a mix is not possible; shares go from 0 to 1");
        sum += parts[i].share;
    }
    if (!(fabs(sum - 1) <= 1e-9))
        return wm_fail(err, WM_E_USAGE, "the shares of a mix do not add up to 1; correct them");
    if (!is_share(phi))
        return wm_fail(err, WM_E_USAGE, "the fineness of a mix must be from 0 (separate locks) to 1 (fibre by fibre)");
    wm_cone mixed;
    for (int channel = 0; channel < 3; channel++)
        mixed.c[channel] = mix_channel(parts, count, channel, phi, law->g);
    *out = mixed;
    return WM_OK;
}

static double phi_of(double x)
{
    return x < 1e-6 ? 1 : -expm1(-x) / x;
}

double wm_phi_of_locks(double fibres, double fill)
{
    return phi_of(sqrt(fmax(fibres - 1, 0) * fill / FIBRES_PER_LOCK_SCALE));
}

double wm_phi_of_edge(double tau_a, double tau_b)
{
    return tau_a > 0 && tau_b > 0 ? phi_of(2 * tau_a * tau_b / (tau_a + tau_b) / EDGE_SCALE) : 1;
}

double wm_tau_of_weft(double mass_g, double width_mm, double length_mm, double diameter_mm)
{
    return 4 * mass_g / (PI * HAIR_DENSITY_G_PER_MM3 * diameter_mm * width_mm * length_mm);
}

double wm_share_from_mass(double mass_a, double diameter_a, double mass_b, double diameter_b)
{
    double a = mass_a / diameter_a, b = mass_b / diameter_b;
    return a / (a + b);
}

/* ---- B13: layers ---- */

void wm_layer_reflect(double c, double tau, const wm_hair_law *law, double *R, double *T)
{
    c = clamped(c, C_LOW, C_HIGH);
    double s = (1 - c) / (1 + c);
    double e = exp(-law->k0 * s / (1 - law->g * s * s) * tau);
    double below = 1 - c * c * e * e;
    *R = c * (1 - e * e) / below;
    *T = (1 - c * c) * e / below;
}

/* ---- B10, B12: the best of one number ---- */

typedef double error_at(double x, const void *context);
typedef struct line_fit {
    double x, error, low, high;
} line_fit;

/* From the best x towards `end` in steps of `step`: where the error passes `limit`, by bisection within the step. */
static double reach(error_at *error, const void *context, double x, double end, double step, double limit)
{
    double inside = x, sign = end < x ? -1 : 1;
    while (sign * (end - inside) > 0) {
        double outside = sign * (inside + sign * step - end) > 0 ? end : inside + sign * step;
        if (error(outside, context) <= limit) {
            inside = outside;
            continue;
        }
        for (int i = 0; i < 40; i++) {
            double middle = (inside + outside) / 2;
            if (error(middle, context) <= limit)
                inside = middle;
            else
                outside = middle;
        }
        break;
    }
    return inside;
}

/* 101 points, then golden section between the neighbours of the best (B10). */
static line_fit fit_line(error_at *error, const void *context, double low, double high)
{
    enum { POINTS = 101 };
    const double golden = (sqrt(5.0) - 1) / 2, step = (high - low) / (POINTS - 1);
    int best = 0;
    double least = error(low, context);
    for (int i = 1; i < POINTS; i++) {
        double value = error(low + i * step, context);
        if (value < least) {
            least = value;
            best = i;
        }
    }
    double left = low + (best > 0 ? best - 1 : 0) * step, right = best < POINTS - 1 ? low + (best + 1) * step : high;
    for (int i = 0; i < 60; i++) {
        double m1 = right - golden * (right - left), m2 = left + golden * (right - left);
        if (error(m1, context) <= error(m2, context))
            right = m2;
        else
            left = m1;
    }
    line_fit fit = { .x = (left + right) / 2 };
    fit.error = error(fit.x, context);
    fit.low = reach(error, context, fit.x, low, step, fit.error + 1);
    fit.high = reach(error, context, fit.x, high, step, fit.error + 1);
    return fit;
}

typedef struct blend {
    wm_cone first, second;
    wm_lab target;
    double phi, g;
} blend;

static double pair_error(const blend *pair, double q, double g)
{
    wm_part parts[] = { { pair->first, 1 - q }, { pair->second, q } };
    wm_cone mixed;
    for (int channel = 0; channel < 3; channel++)
        mixed.c[channel] = mix_channel(parts, 2, channel, pair->phi, g);
    return wm_de00(wm_cone_to_lab(mixed), pair->target);
}

static double share_error(double q, const void *context)
{
    const blend *pair = context;
    return pair_error(pair, q, pair->g);
}

static double law_error(double g, const void *context)
{
    return pair_error(context, 0.5, g);
}

wm_share_fit wm_fit_share(wm_lab first, wm_lab second, wm_lab target, double phi, const wm_hair_law *law)
{
    blend pair = { wm_lab_to_cone(first), wm_lab_to_cone(second), target, clamped(phi, 0, 1), law->g };
    line_fit fit = fit_line(share_error, &pair, 0, 1);
    return (wm_share_fit){ fit.x, fit.error, fit.low, fit.high };
}

wm_law_fit wm_fit_hair_law(wm_lab dark, wm_lab light, wm_lab mix50)
{
    blend pair = { wm_lab_to_cone(dark), wm_lab_to_cone(light), mix50, 1, 0 };
    const wm_hair_law usual = WM_HAIR_LAW_DEFAULT;
    line_fit fit = fit_line(law_error, &pair, WM_HAIR_LAW_LOW, WM_HAIR_LAW_HIGH);
    return (wm_law_fit){ wm_hair_law_of(fit.x), fit.error, pair_error(&pair, 0.5, usual.g), fit.low, fit.high };
}
