#include "measure/stage1.h"

#include "colour/power.h"

#include <math.h>
#include <string.h>

const char *const WM_STAGE1_WORDS[] = { "none", "exposure", "gain", "curve", NULL };

enum { CURVE_STEPS = 92, CURVE_LEVELS = 3 };
static const double NEUTRAL_CHROMA = 5;    /* C3 */
static const double RIDGE = 0.05;          /* C3: la = lg */
static const double ENCODED_FLOOR = 1e-5;  /* C3 */
static const double ENCODED_TOP = 1.5;     /* C3 */
static const double NEUTRAL_RISE = 0.01;   /* C18 */
static const double REFERENCE_STEP = 0.02; /* C18: a smaller step of the reference can't be told from noise; our own */
static const double LEVEL_STEP = 0.05;     /* C3: levels of lightness nearer than this are one, encoded; our own */
static const double LEAST = 1e-6;
static const double CONTRAST_PIVOT = 0.184; /* C16 */

wm_stage1 wm_stage1_none(void)
{
    return (wm_stage1){ .kind = WM_STAGE1_NONE, .gain = { 1, 1, 1 }, .curve_b = { 1, 1, 1 }, .curve_g = { 1, 1, 1 } };
}

static bool same(const double a[3], const double b[3])
{
    return memcmp(a, b, 3 * sizeof *a) == 0;
}

bool wm_stage1_same(const wm_stage1 *a, const wm_stage1 *b)
{
    return a->kind == b->kind && same(a->gain, b->gain) && same(a->curve_a, b->curve_a) &&
           same(a->curve_b, b->curve_b) && same(a->curve_g, b->curve_g);
}

bool wm_lab_is_neutral(wm_lab reference)
{
    return hypot(reference.a, reference.b) < NEUTRAL_CHROMA;
}

static double channel(wm_rgb rgb, int c)
{
    return c == 0 ? rgb.r : c == 1 ? rgb.g : rgb.b;
}

static double encoded(double linear)
{
    return wm_srgb_encode(fmax(linear, 0));
}

static double reference_level(const wm_neutral *neutral)
{
    return encoded(wm_rgb_luminance(neutral->reference));
}

/* Indices by reference lightness, ascending; ties by order. */
static void sort_by_reference(const wm_neutral *neutrals, size_t count, size_t *order)
{
    for (size_t i = 0; i < count; i++) {
        size_t at = i;
        for (; at > 0 && reference_level(&neutrals[order[at - 1]]) > reference_level(&neutrals[i]); at--)
            order[at] = order[at - 1];
        order[at] = i;
    }
}

bool wm_neutrals_rise(const wm_neutral *neutrals, const double *e_green, size_t count)
{
    size_t order[WM_STAGE1_MAX_NEUTRALS], last = 0;
    if (count > WM_STAGE1_MAX_NEUTRALS)
        count = WM_STAGE1_MAX_NEUTRALS;
    sort_by_reference(neutrals, count, order);
    for (size_t i = 1; i < count; i++) {
        if (reference_level(&neutrals[order[i]]) - reference_level(&neutrals[order[last]]) < REFERENCE_STEP)
            continue;
        if (!(e_green[order[i]] - e_green[order[last]] >= NEUTRAL_RISE))
            return false;
        last = i;
    }
    return true;
}

static int levels_of(const wm_neutral *neutrals, size_t count)
{
    size_t order[WM_STAGE1_MAX_NEUTRALS];
    sort_by_reference(neutrals, count, order);
    int levels = 1;
    double last = reference_level(&neutrals[order[0]]);
    for (size_t i = 1; i < count; i++)
        if (reference_level(&neutrals[order[i]]) - last >= LEVEL_STEP) {
            last = reference_level(&neutrals[order[i]]);
            levels++;
        }
    return levels;
}

bool wm_stage1_fit_curve(const double *e, const double *R, int n, double *a, double *b, double *g)
{
    double least = INFINITY;
    for (int i = 0; i <= CURVE_STEPS; i++) {
        const double power = 0.5 * pow(4, (double)i / CURVE_STEPS);
        double Sx = 0, Sxx = 0, SR = 0, SxR = 0;
        for (int k = 0; k < n; k++) {
            const double x = pow(fmax(e[k], ENCODED_FLOOR), power);
            Sx += x, Sxx += x * x, SR += R[k], SxR += x * R[k];
        }
        const double S1 = n * (1 + RIDGE * RIDGE), D = S1 * Sxx - Sx * Sx;
        if (!(D >= 1e-9))
            continue;
        const double slope = (S1 * SxR - Sx * SR) / D, offset = (SR - slope * Sx) / S1;
        double J = n * RIDGE * RIDGE * (offset * offset + log(power) * log(power));
        for (int k = 0; k < n; k++) {
            const double miss = offset + slope * pow(fmax(e[k], ENCODED_FLOOR), power) - R[k];
            J += miss * miss;
        }
        if (J < least)
            least = J, *a = offset, *b = slope, *g = power;
    }
    return isfinite(least);
}

/* C3; false where C4 says that the curve is not to be trusted. */
static bool fit_curve(wm_stage1 *out, const wm_neutral *neutrals, size_t count)
{
    double e[WM_STAGE1_MAX_NEUTRALS], R[WM_STAGE1_MAX_NEUTRALS];
    for (int c = 0; c < 3; c++) {
        for (size_t i = 0; i < count; i++) {
            e[i] = encoded(channel(neutrals[i].measured, c));
            R[i] = encoded(channel(neutrals[i].reference, c));
        }
        double *a = &out->curve_a[c], *b = &out->curve_b[c], *g = &out->curve_g[c];
        if (!wm_stage1_fit_curve(e, R, (int)count, a, b, g) || *b <= 0 || *g <= 0.5 || *g >= 2)
            return false;
    }
    out->kind = WM_STAGE1_CURVE;
    return true;
}

/* C4; of one neutral it is C2. */
static bool fit_gain(wm_stage1 *out, const wm_neutral *neutrals, size_t count)
{
    for (int c = 0; c < 3; c++) {
        double sum = 0, weights = 0;
        for (size_t i = 0; i < count; i++) {
            const double l = channel(neutrals[i].measured, c), r = channel(neutrals[i].reference, c);
            if (!(l > LEAST && r > LEAST))
                continue;
            const double w = pow(wm_rgb_luminance(neutrals[i].reference), 0.66);
            sum += w * log(r / l);
            weights += w;
        }
        if (!(weights > 0))
            return false;
        out->gain[c] = exp(sum / weights);
    }
    out->kind = WM_STAGE1_GAIN;
    return true;
}

wm_stage1 wm_stage1_fit(const wm_neutral *neutrals, size_t count)
{
    wm_stage1 curve = wm_stage1_none(), gain = wm_stage1_none();
    if (count > WM_STAGE1_MAX_NEUTRALS)
        count = WM_STAGE1_MAX_NEUTRALS;
    if (count >= CURVE_LEVELS && levels_of(neutrals, count) >= CURVE_LEVELS && fit_curve(&curve, neutrals, count))
        return curve;
    if (count > 0 && fit_gain(&gain, neutrals, count))
        return gain;
    return wm_stage1_none();
}

wm_stage1 wm_stage1_exposure(const double *ratio, size_t count)
{
    wm_stage1 out = wm_stage1_none();
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += log(fmax(ratio[i], LEAST));
    if (count == 0)
        return out;
    out.kind = WM_STAGE1_EXPOSURE;
    out.gain[0] = out.gain[1] = out.gain[2] = exp(sum / (double)count);
    return out;
}

/* Values of one channel, in place. */
static void apply_curve(const wm_stage1 *stage1, int c, double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        values[i] = fmax(values[i], 0);
    wm_srgb_encode_many(values, count);
    for (size_t i = 0; i < count; i++)
        values[i] = fmax(values[i], ENCODED_FLOOR);
    wm_power_many(values, count, stage1->curve_g[c]);
    for (size_t i = 0; i < count; i++)
        values[i] = fmin(fmax(stage1->curve_a[c] + stage1->curve_b[c] * values[i], 0), ENCODED_TOP);
    wm_srgb_decode_many(values, count);
}

static void apply_gain(const wm_stage1 *stage1, int c, double *values, size_t count)
{
    const double g = stage1->curve_g[c];
    for (size_t i = 0; i < count; i++)
        values[i] *= stage1->gain[c];
    if (fabs(g - 1) < 1e-12)
        return;
    for (size_t i = 0; i < count; i++)
        values[i] /= CONTRAST_PIVOT;
    wm_power_many(values, count, g);
    for (size_t i = 0; i < count; i++)
        values[i] *= CONTRAST_PIVOT;
}

static void apply_channel(const wm_stage1 *stage1, int c, double *values, size_t count)
{
    (stage1->kind == WM_STAGE1_CURVE ? apply_curve : apply_gain)(stage1, c, values, count);
}

wm_rgb wm_stage1_apply(const wm_stage1 *stage1, wm_rgb rgb)
{
    apply_channel(stage1, 0, &rgb.r, 1);
    apply_channel(stage1, 1, &rgb.g, 1);
    apply_channel(stage1, 2, &rgb.b, 1);
    return rgb;
}

wm_stage1 wm_stage1_with_contrast(const wm_stage1 *stage1, double contrast)
{
    wm_stage1 out = *stage1;
    for (int c = 0; c < 3; c++)
        out.curve_g[c] = contrast;
    return out;
}

wm_rgb wm_stage1_bend(wm_rgb rgb, double contrast, double about)
{
    const double pivot = about > 0 ? about : CONTRAST_PIVOT;
    return (wm_rgb){ pivot * pow(fmax(rgb.r, 0) / pivot, contrast), pivot * pow(fmax(rgb.g, 0) / pivot, contrast),
                     pivot * pow(fmax(rgb.b, 0) / pivot, contrast) };
}

static double undo_curve(const wm_stage1 *stage1, int c, double linear)
{
    const double raised = (encoded(linear) - stage1->curve_a[c]) / stage1->curve_b[c];
    return wm_srgb_decode(fmin(pow(fmax(raised, 0), 1 / stage1->curve_g[c]), ENCODED_TOP));
}

static double undo_gain(const wm_stage1 *stage1, int c, double linear)
{
    return CONTRAST_PIVOT * pow(fmax(linear, 0) / CONTRAST_PIVOT, 1 / stage1->curve_g[c]) / stage1->gain[c];
}

wm_rgb wm_stage1_undo(const wm_stage1 *stage1, wm_rgb rgb)
{
    double (*const undo)(const wm_stage1 *, int, double) = stage1->kind == WM_STAGE1_CURVE ? undo_curve : undo_gain;
    return (wm_rgb){ undo(stage1, 0, rgb.r), undo(stage1, 1, rgb.g), undo(stage1, 2, rgb.b) };
}

void wm_stage1_apply_many(const wm_stage1 *stage1, wm_rgb *rgb, size_t count)
{
    enum { RUN = 256 };
    double r[RUN], g[RUN], b[RUN];
    if (stage1->kind == WM_STAGE1_NONE)
        return;
    for (size_t start = 0; start < count; start += RUN) {
        const size_t n = count - start < RUN ? count - start : RUN;
        wm_rgb *run = rgb + start;
        for (size_t i = 0; i < n; i++)
            r[i] = run[i].r, g[i] = run[i].g, b[i] = run[i].b;
        apply_channel(stage1, 0, r, n);
        apply_channel(stage1, 1, g, n);
        apply_channel(stage1, 2, b, n);
        for (size_t i = 0; i < n; i++)
            run[i] = (wm_rgb){ r[i], g[i], b[i] };
    }
}

void wm_stage1_window(const wm_stage1 *stage1, wm_window *window)
{
    const size_t pixels = (size_t)window->box.width * (size_t)window->box.height;
    wm_stage1_apply_many(stage1, window->linear, pixels);
    if (window->mean != window->linear)
        wm_stage1_apply_many(stage1, window->mean, pixels);
}
