#include "camera.h"
#include "paint.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

enum { TRAINING = 90, CURVE = 4096 };

/* --- sensitivities
 * ------------------------------------------------------------------------------------------------------------ */

static double table_value(const tables *t, const double mix[3], double nm)
{
    double at = (nm - TABLE_FIRST_NM) / STEP_NM;
    int i = (int)at;
    if (i < 0 || i > TABLE_ROWS - 2)
        return 0;
    double value = 0;
    for (int k = 0; k < 3; k++)
        value += mix[k] * (t->observer[k][i] + (at - i) * (t->observer[k][i + 1] - t->observer[k][i]));
    return value > 0 ? value : 0;
}

/* Mixtures of the observer's functions with the negative parts cut off: broad red, green and blue as silicon with dyes
 * has them. */
static void sensitivities(spectrum out[3], const tables *t, dice *d)
{
    static const double mix[3][3] = { { 0.76, 0.39, -0.15 }, { -0.36, 1.30, 0.04 }, { 0.02, -0.06, 0.95 } };
    for (int k = 0; k < 3; k++) {
        double shift = 4.5 * dice_normal(d), power = dice_factor(d, 0.11), slope = 0.12 * dice_normal(d), peak = 0;
        for (int i = 0; i < BANDS; i++) {
            double nm = FIRST_NM + STEP_NM * i;
            double v = pow(table_value(t, mix[k], nm + shift), power) * exp(slope * (nm - 550) / 100);
            /* An infrared filter ends the red side. */
            v /= 1 + exp((nm - 668) / 9);
            out[k].v[i] = v;
            peak = v > peak ? v : peak;
        }
        for (int i = 0; i < BANDS; i++)
            out[k].v[i] /= peak;
    }
    spectrum pure[3] = { out[0], out[1], out[2] };
    for (int k = 0; k < 3; k++) {
        double leak = dice_between(d, 0.02, 0.07);
        for (int i = 0; i < BANDS; i++)
            out[k].v[i] = (1 - leak) * pure[k].v[i] + leak * (pure[0].v[i] + pure[1].v[i] + pure[2].v[i]) / 3;
    }
}

static sensor sensor_under(const tables *t, const spectrum sensitivity[3], const spectrum *light)
{
    sensor s = { .tables = t };
    for (int k = 0; k < 3; k++) {
        double sum = 0;
        for (int i = 0; i < BANDS; i++)
            sum += sensitivity[k].v[i] * light->v[i];
        for (int i = 0; i < BANDS; i++)
            s.weight[k].v[i] = sensitivity[k].v[i] * light->v[i] / sum;
    }
    return s;
}

/* --- matrix
 * --------------------------------------------------------------------------------------------------------------------
 */

static spectrum training_spectrum(dice *d)
{
    spectrum r;
    double c[3], w[3], h[3], level = dice_between(d, -3.5, 1);
    for (int k = 0; k < 3; k++) {
        c[k] = dice_between(d, 400, 700);
        w[k] = dice_between(d, 30, 110);
        h[k] = 2.2 * dice_normal(d);
    }
    for (int i = 0; i < BANDS; i++) {
        double nm = FIRST_NM + STEP_NM * i, logit = level;
        for (int k = 0; k < 3; k++)
            logit += h[k] * exp(-(nm - c[k]) * (nm - c[k]) / (2 * w[k] * w[k]));
        r.v[i] = 0.95 / (1 + exp(-logit));
    }
    return r;
}

static bool solve3(double a[3][4])
{
    for (int i = 0; i < 3; i++) {
        if (fabs(a[i][i]) < 1e-12)
            return false;
        for (int r = 0; r < 3; r++) {
            if (r == i)
                continue;
            double f = a[r][i] / a[i][i];
            for (int k = i; k < 4; k++)
                a[r][k] -= f * a[i][k];
        }
    }
    return true;
}

/* As a camera's maker does: one matrix for one reference light, fitted to many surfaces; a heavy white keeps neutrals
 * neutral. */
static bool fit_matrix(double matrix[3][3], const sensor *s, dice *d)
{
    double ata[3][3] = { { 0 } }, atb[3][3] = { { 0 } };
    for (int n = 0; n <= TRAINING; n++) {
        spectrum r = n == TRAINING ? flat_reflectance(1, 0) : training_spectrum(d);
        tint c = sensor_tint(s, &r);
        triple want = xyz_srgb((triple){ { (double)c.xyz[0], (double)c.xyz[1], (double)c.xyz[2] } });
        /* Equal relative errors count equally, dark or light. */
        double weight = n == TRAINING ? 400 : 1 / (0.05 + (double)c.xyz[1]);
        for (int i = 0; i < 3; i++)
            for (int k = 0; k < 3; k++) {
                ata[i][k] += weight * (double)c.camera[i] * (double)c.camera[k];
                atb[i][k] += weight * (double)c.camera[i] * want.v[k];
            }
    }
    for (int out = 0; out < 3; out++) {
        double a[3][4];
        for (int i = 0; i < 3; i++) {
            memcpy(a[i], ata[i], sizeof ata[i]);
            a[i][3] = atb[i][out];
        }
        if (!solve3(a))
            return false;
        for (int i = 0; i < 3; i++)
            matrix[out][i] = a[i][3] / a[i][i];
    }
    return true;
}

/* --- the look
 * ------------------------------------------------------------------------------------------------------------------ */

static void choose_look(camera *c, const options *o, dice *body, dice *shot)
{
    bool harsh = strcmp(o->look, "harsh") == 0, flat = strcmp(o->look, "flat") == 0;
    /* Automatic white balance errs mostly between amber and blue, less between green and magenta. */
    double amber = (harsh ? 0.085 : 0.05) * dice_normal(shot), magenta = (harsh ? 0.030 : 0.015) * dice_normal(shot);
    c->balance[0] = exp(amber + magenta);
    c->balance[1] = 1;
    c->balance[2] = exp(magenta - 1.2 * amber);
    c->exposure = 0.80 * dice_factor(shot, harsh ? 0.28 : 0.15) * exp(o->exposure);
    c->flare = harsh ? dice_between(shot, 0.006, 0.022) : dice_between(shot, 0.002, 0.009);
    c->contrast = harsh ? dice_between(body, 0.15, 0.65) : dice_between(body, -0.05, 0.35);
    c->pivot = dice_between(body, 0.40, 0.56);
    c->saturation = harsh ? dice_between(body, 1.05, 1.40) : dice_between(body, 0.97, 1.20);
    for (int k = 0; k < 2; k++)
        c->twist[k] = (harsh ? 0.30 : 0.12) * dice_normal(body);
    c->local = harsh ? dice_between(body, 0.02, 0.14) : dice_between(body, 0, 0.06);
    c->sharpen = dice_between(body, 0.2, harsh ? 0.8 : 0.5);
    c->chroma_radius = 1 + dice_below(body, harsh ? 3 : 2);
    c->lens = dice_between(body, 0.13, 0.20);
    c->shot = 2.5e-5 * dice_factor(body, 0.3) * o->noise * o->noise;
    c->read = 0.0007 * o->noise;
    c->blur_radius = (int)lround(o->blur);
    c->p3 = strcmp(o->profile, "p3") == 0;
    if (flat) {
        c->balance[0] = c->balance[2] = c->saturation = 1;
        c->exposure = 0.9 * exp(o->exposure);
        c->flare = c->contrast = c->sharpen = c->shot = c->read = c->lens = c->local = c->twist[0] = c->twist[1] = 0;
        c->chroma_radius = 0;
    }
    c->contrast += o->contrast;
}

bool camera_make(camera *out, sensor *sensor_out, const tables *t, const options *o)
{
    dice body = dice_for((uint64_t)o->camera, "camera"), shot = dice_for((uint64_t)o->seed, "exposure");
    spectrum sensitivity[3], reference = daylight(t, 5500), light = daylight(t, o->cct);
    *out = (camera){ .exposure = 0 };
    sensitivities(sensitivity, t, &body);
    sensor calibrated = sensor_under(t, sensitivity, &reference);
    if (!fit_matrix(out->matrix, &calibrated, &body))
        return false;
    choose_look(out, o, &body, &shot);
    *sensor_out = sensor_under(t, sensitivity, &light);
    return true;
}

/* --- development
 * --------------------------------------------------------------------------------------------------------------- */

/* A running mean of 2 radius + 1 samples along a row or column of one channel of `image`, in place through a line
 * buffer. */
static void box_line(float *first, ptrdiff_t step, int n, int radius, float *line)
{
    for (int i = 0; i < n; i++)
        line[i] = first[i * step];
    for (int i = 0; i < n; i++) {
        float sum = 0;
        for (int k = -radius; k <= radius; k++) {
            int at = i + k;
            sum += line[at < 0 ? 0 : at >= n ? n - 1 : at];
        }
        first[i * step] = sum / (float)(2 * radius + 1);
    }
}

static void three_tap_line(float *first, ptrdiff_t step, int n, float side, float *line)
{
    for (int i = 0; i < n; i++)
        line[i] = first[i * step];
    for (int i = 0; i < n; i++) {
        float before = line[i ? i - 1 : 0], after = line[i + 1 < n ? i + 1 : i];
        first[i * step] = (1 - 2 * side) * line[i] + side * (before + after);
    }
}

typedef void line_filter(float *first, ptrdiff_t step, int n, const camera *c, float *line);

static void lens_line(float *first, ptrdiff_t step, int n, const camera *c, float *line)
{
    three_tap_line(first, step, n, (float)c->lens, line);
}

static void focus_line(float *first, ptrdiff_t step, int n, const camera *c, float *line)
{
    box_line(first, step, n, c->blur_radius, line);
    box_line(first, step, n, c->blur_radius, line);
}

static void chroma_line(float *first, ptrdiff_t step, int n, const camera *c, float *line)
{
    box_line(first, step, n, c->chroma_radius, line);
}

/* Both directions, a whole line at a time. */
static void filter_channel(canvas *c, int channel, const camera *cam, line_filter *filter, float *line)
{
    ptrdiff_t row = (ptrdiff_t)c->width * 3;
    for (int y = 0; y < c->height; y++)
        filter(c->signal + y * row + channel, 3, c->width, cam, line);
    for (int x = 0; x < c->width; x++)
        filter(c->signal + (ptrdiff_t)x * 3 + channel, row, c->height, cam, line);
}

static double encode_srgb(double l)
{
    return l <= 0.0031308 ? 12.92 * l : 1.055 * pow(l, 1 / 2.4) - 0.055;
}

/* Encoding and tone curve in one table over linear 0..1; an S around the pivot, and a shoulder instead of a hard white.
 */
static void make_curve(float curve[CURVE + 2], const camera *c)
{
    for (int i = 0; i <= CURVE; i++) {
        /* The root spreads the table's steps towards black. */
        double u = (double)i / CURVE, e = encode_srgb(u * u);
        e += c->contrast * e * (1 - e) * (e - c->pivot);
        curve[i] = (float)e;
    }
    curve[CURVE + 1] = curve[CURVE];
}

static float through(const float *curve, float linear)
{
    float l = linear < 0 ? 0 : linear > 1 ? 1 : linear;
    float at = sqrtf(l) * CURVE;
    int i = (int)at;
    return curve[i] + (at - (float)i) * (curve[i + 1] - curve[i]);
}

/* Linear sRGB to linear Display P3, both D65. */
static const double to_p3[3][3] = { { 0.8224621, 0.1775380, 0 },
                                    { 0.0331941, 0.9668058, 0 },
                                    { 0.0170827, 0.0723974, 0.9105199 } };

static void whole_matrix(float out[3][3], const camera *c)
{
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            double sum = c->matrix[i][k];
            if (c->p3)
                sum = to_p3[i][0] * c->matrix[0][k] + to_p3[i][1] * c->matrix[1][k] + to_p3[i][2] * c->matrix[2][k];
            out[i][k] = (float)(sum * c->balance[k] * c->exposure);
        }
}

/* Normal enough for noise, and fast: four 16-bit uniforms of one draw. */
static float noise_value(dice *d)
{
    uint64_t bits = dice_bits(d);
    int sum = (int)(bits & 0xFFFF) + (int)(bits >> 16 & 0xFFFF) + (int)(bits >> 32 & 0xFFFF) + (int)(bits >> 48);
    return (float)(sum - 131070) * (1.7320508F / 65536);
}

static void add_flare_and_noise(const camera *cam, canvas *c, dice *d)
{
    size_t n = (size_t)c->width * (size_t)c->height;
    double mean[3] = { 0 };
    for (size_t i = 0; i < n * 3; i++)
        mean[i % 3] += (double)c->signal[i] / (double)n;
    float flare[3] = { (float)(cam->flare * mean[0]), (float)(cam->flare * mean[1]), (float)(cam->flare * mean[2]) };
    float shot = (float)cam->shot, read2 = (float)(cam->read * cam->read);
    for (size_t i = 0; i < n * 3; i++) {
        float s = c->signal[i] + flare[i % 3];
        c->signal[i] = s + sqrtf(shot * s + read2) * noise_value(d);
    }
}

/* Signals to encoded luma, blue and red difference, in place. */
static void to_luma_chroma(const camera *cam, canvas *c)
{
    float m[3][3], curve[CURVE + 2];
    whole_matrix(m, cam);
    make_curve(curve, cam);
    size_t n = (size_t)c->width * (size_t)c->height;
    for (size_t i = 0; i < n; i++) {
        float *s = c->signal + i * 3, e[3];
        for (int k = 0; k < 3; k++)
            e[k] = through(curve, m[k][0] * s[0] + m[k][1] * s[1] + m[k][2] * s[2]);
        float luma = 0.299F * e[0] + 0.587F * e[1] + 0.114F * e[2];
        float blue = (float)cam->saturation * (e[2] - luma), red = (float)cam->saturation * (e[0] - luma);
        s[0] = luma;
        s[1] = blue + (float)cam->twist[0] * blue * red;
        s[2] = red + (float)cam->twist[1] * (blue * blue - red * red);
    }
}

/* Phones lift a pixel whose surroundings are dark and lower one among bright ones: chroma goes with it. */
static bool tone_locally(const camera *cam, canvas *c)
{
    mask around;
    frame whole = { c->height, 0, 0 };
    if (!mask_make(&around, c, &whole))
        return false;
    for (int y = 0; y < around.height; y++)
        for (int x = 0; x < around.width; x++) {
            int px = (int)((x + 0.5) * around.step), py = (int)((y + 0.5) * around.step);
            px = px < c->width ? px : c->width - 1;
            py = py < c->height ? py : c->height - 1;
            around.v[(size_t)y * (size_t)around.width + (size_t)x] =
                c->signal[((size_t)py * (size_t)c->width + (size_t)px) * 3];
        }
    mask_blur(&around, &whole, 0.09);
    for (int y = 0; y < c->height; y++)
        for (int x = 0; x < c->width; x++) {
            float *s = c->signal + ((size_t)y * (size_t)c->width + (size_t)x) * 3;
            float gain = (float)(1 - cam->local * log((0.05 + fmax(mask_at(&around, x, y), 0)) / 0.5));
            for (int k = 0; k < 3; k++)
                s[k] *= gain;
        }
    mask_free(&around);
    return true;
}

static unsigned char to_byte(float e)
{
    float v = e * 255 + 0.5F;
    return (unsigned char)(v < 0 ? 0 : v > 255 ? 255 : v);
}

static float sharp_luma(const canvas *c, int x, int y, float amount)
{
    const float *s = c->signal + ((size_t)y * (size_t)c->width + (size_t)x) * 3;
    if (x == 0 || y == 0 || x == c->width - 1 || y == c->height - 1)
        return s[0];
    ptrdiff_t row = (ptrdiff_t)c->width * 3;
    float around = (s[-3] + s[3] + s[-row] + s[row]) / 4;
    return s[0] + amount * (s[0] - around);
}

static void to_bytes(const camera *cam, const canvas *c, unsigned char *rgb)
{
    for (int y = 0; y < c->height; y++)
        for (int x = 0; x < c->width; x++) {
            const float *s = c->signal + ((size_t)y * (size_t)c->width + (size_t)x) * 3;
            float luma = sharp_luma(c, x, y, (float)cam->sharpen);
            float blue = luma + s[1], red = luma + s[2];
            float green = luma - (0.299F * s[2] + 0.114F * s[1]) / 0.587F;
            unsigned char *p = rgb + ((size_t)y * (size_t)c->width + (size_t)x) * 3;
            p[0] = to_byte(red);
            p[1] = to_byte(green);
            p[2] = to_byte(blue);
        }
}

unsigned char *camera_develop(const camera *cam, canvas *c, dice noise)
{
    size_t longest = (size_t)(c->width > c->height ? c->width : c->height);
    float *line = malloc(longest * sizeof *line);
    unsigned char *rgb = malloc((size_t)c->width * (size_t)c->height * 3);
    if (!line || !rgb) {
        free(line);
        free(rgb);
        return NULL;
    }
    for (int k = 0; k < 3 && cam->blur_radius > 0; k++)
        filter_channel(c, k, cam, focus_line, line);
    for (int k = 0; k < 3 && cam->lens > 0; k++)
        filter_channel(c, k, cam, lens_line, line);
    add_flare_and_noise(cam, c, &noise);
    to_luma_chroma(cam, c);
    for (int k = 1; k < 3 && cam->chroma_radius > 0; k++)
        filter_channel(c, k, cam, chroma_line, line);
    if (cam->local > 0 && !tone_locally(cam, c)) {
        free(rgb);
        rgb = NULL;
    }
    if (rgb)
        to_bytes(cam, c, rgb);
    free(line);
    return rgb;
}
