/* CIEDE2000 after ISO/CIE 11664-6:2014 and Sharma, Wu & Dalal, Color Res. Appl. 30(1) 21-30, 2005, whose equation
 * numbers stand behind the lines. Hues are in radians. Two places are discontinuous by definition: where the hues are
 * exactly 180 degrees apart the mean hue jumps, and where a chroma is 0 the hue has no meaning and drops out. */
#include "colour/difference.h"

#include "core/wide.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double RADIAN = 3.14159265358979323846 / 180.0;

static double square(double x)
{
    return x * x;
}

static double power7(double x)
{
    double x2 = x * x;
    return x2 * x2 * x2 * x;
}

/* sqrt(C^7 / (C^7 + 25^7)) */
static double chroma_weight(double chroma)
{
    double c7 = power7(chroma);
    return sqrt(c7 / (c7 + 6103515625.0));
}

/* 0 to 2 pi; 0 for a neutral (7) */
static double hue(double a, double b)
{
    double h = atan2(b, a);
    return h < 0 ? h + 2 * PI : h;
}

/* Second minus first, the short way round (10) */
static double hue_step(double h1, double h2)
{
    double step = h2 - h1;
    return step > PI ? step - 2 * PI : step < -PI ? step + 2 * PI : step;
}

/* (14) */
static double mean_hue(double h1, double h2)
{
    double sum = h1 + h2;
    if (fabs(h1 - h2) <= PI)
        return sum / 2;
    return sum < 2 * PI ? sum / 2 + PI : sum / 2 - PI;
}

/* The weights at a pair's means: S_L, S_C, S_H and the rotation R_T (15 to 21) */
typedef struct weights {
    double sl, sc, sh, rt;
} weights;

static weights weights_at(double lightness, double chroma, double h)
{
    double t = 1 - 0.17 * cos(h - 30 * RADIAN) + 0.24 * cos(2 * h) + 0.32 * cos(3 * h + 6 * RADIAN) -
               0.20 * cos(4 * h - 63 * RADIAN);
    double l50 = square(lightness - 50);
    double turn = 60 * RADIAN * exp(-square((h / RADIAN - 275) / 25));
    return (weights){ 1 + 0.015 * l50 / sqrt(20 + l50), 1 + 0.045 * chroma, 1 + 0.015 * chroma * t,
                      -sin(turn) * 2 * chroma_weight(chroma) };
}

wm_difference wm_difference_between(wm_lab first, wm_lab second)
{
    double g =
        1.5 - 0.5 * chroma_weight((hypot(first.a, first.b) + hypot(second.a, second.b)) / 2); /* 1 + G (2 to 4) */
    double a1 = g * first.a, a2 = g * second.a;                                               /* (5) */
    double c1 = hypot(a1, first.b), c2 = hypot(a2, second.b);                                 /* (6) */
    double h1 = hue(a1, first.b), h2 = hue(a2, second.b);
    bool neutral = !(c1 > 0) || !(c2 > 0);
    double dl = second.L - first.L, dc = c2 - c1;                            /* (8), (9) */
    double dh = neutral ? 0 : 2 * sqrt(c1 * c2) * sin(hue_step(h1, h2) / 2); /* (11) */
    weights s = weights_at((first.L + second.L) / 2, (c1 + c2) / 2, neutral ? h1 + h2 : mean_hue(h1, h2));
    double l = dl / s.sl, c = dc / s.sc, h = dh / s.sh;
    return (wm_difference){ sqrt(fmax(0, l * l + c * c + h * h + s.rt * c * h)), dl, dc, dh }; /* (22) */
}

double wm_de00(wm_lab first, wm_lab second)
{
    return wm_difference_between(first, second).de00;
}

/* ---- many at once ----
 *
 * The same formula without a trigonometric call, in loops that a compiler turns into vector code, and with one division
 * and few square roots: each takes as long as a dozen multiplications. With u1, u2 the unit vectors of the two hues:
 * mean hue     the direction of u1 + u2 (always on the short way round, as (14) has it), so its multiples follow from
 *              cosine and sine; so does that of C1 C2 (u1 + u2), which takes no division;
 * (11)         2 sqrt(C1 C2) sin(dh/2) = 2 (a1 b2 - a2 b1) / (sqrt(C1 C2) |u1 + u2|);
 * (16), (21)   with k = cos(d/2), d = mean hue - 275 degrees: exp(-(d/25)^2) = p(1 - k)^16,
 *              sin(60 degrees e) = e q(e^2); p (degree 9) and q (degree 5) interpolate at Chebyshev nodes, errors 1e-14
 *              on 0..0.56 and 1.4e-13 on 0..1. Beyond 0.56, d > 127 degrees, the turn is below 5e-12 and left out.
 * Near neutrals and opposed hues, and where the mean hue passes 360 degrees (the turn jumps by 1e-5 there), rounding
 * decides: there the scalar does. No step depends on how wide the processor's registers are: every machine gives the
 * same bytes. */

enum { BLOCK = 32, HALF_BLOCK = 16, SMALL_BLOCK = 8 };

typedef struct block {
    double de00[BLOCK];
    int64_t doubt[BLOCK]; /* 0, or the scalar has to do it */
} block;

/* 1 / sqrt(x) within 1e-14, for 1e-30 < x < 1e38: single precision, and one step of Newton's. */
WM_WIDE_PART double per_root(double x)
{
    double y = (double)(1.0f / sqrtf((float)x));
    return y * (1.5 - 0.5 * x * y * y);
}

/* Squared: C^7 over it is sqrt(C^7 / (C^7 + 25^7)). */
WM_WIDE_PART double chroma_root2(double c7)
{
    return c7 * (c7 + 6103515625.0) + 1e-30;
}

/* sin of (16): sin(60 degrees exp(-(d/25)^2)) from cosine and sine of the mean hue */
WM_WIDE_PART double turn_sine(double cosine, double sine)
{
    double k2 =
        0.5 * (1 + 0.0871557427476581736 * cosine - 0.996194698091745532 * sine); /* cos and sin of 275 degrees */
    double q = 1 - sqrt(fabs(k2));
    q = q < 0.56 ? q : 0.56;
    double p = -3.6460384959529945e-05;
    p = p * q + 0.0006086671104653205;
    p = p * q - 0.00637203517999734;
    p = p * q + 0.04651916619460469;
    p = p * q - 0.23751532723445443;
    p = p * q + 0.8374657814669727;
    p = p * q - 1.9861349573367377;
    p = p * q + 3.0108740965810923;
    p = p * q - 2.62624508000565;
    p = p * q + 0.9999999999999896;
    double p4 = square(square(p)), e = square(square(p4)), e2 = e * e;
    double s = -4.073740647212857e-08;
    s = s * e2 + 4.17246900330279e-06;
    s = s * e2 - 0.0002740116259664132;
    s = s * e2 + 0.01049450210356833;
    s = s * e2 - 0.1913967696213571;
    s = s * e2 + 1.047197551196457;
    s = s * e;
    s = cosine > 0 ? (sine > 0 ? 0 : s) : s; /* hues 0 to 90: there d counts from 0, not from 360 */
    return s;
}

/* T of (15) in powers of the cosine: cos(n h) and sin(n h) / sin(h) are polynomials of it. */
#define COS_30 0.866025403784438647
#define COS_6 0.994521895368273337
#define SIN_6 0.104528463267653471
#define COS_63 0.453990499739546792
#define SIN_63 0.891006524188367862
WM_WIDE_PART double hue_weight(double c, double s)
{
    double even =
        1 - 0.24 - 0.20 * COS_63 +
        c * (-0.17 * COS_30 - 0.96 * COS_6 + c * (0.48 + 1.60 * COS_63 + c * (1.28 * COS_6 - c * (1.60 * COS_63))));
    double odd = -0.17 * 0.5 + 0.32 * SIN_6 + c * (0.80 * SIN_63 + c * (-1.28 * SIN_6 - c * (1.60 * SIN_63)));
    return even + s * odd;
}

static const double TINY = 1e-34; /* keeps divisors from 0 */

/* Whole blocks only: a fixed count is what lets the compiler vectorise. */
WM_WIDE_PART void differences(block *k, const wm_lab *many, wm_lab r, int count)
{
    double r_chroma = sqrt(r.a * r.a + r.b * r.b), r_b2 = r.b * r.b;
    for (int i = 0; i < count; i++) {
        double L = many[i].L, a = many[i].a, b = many[i].b;
        double m7 = power7(0.5 * (r_chroma + sqrt(a * a + b * b))), g = 1.5 - 0.5 * m7 * per_root(chroma_root2(m7));
        double a1 = g * r.a, a2 = g * a;
        double c1_2 = a1 * a1 + r_b2, c2_2 = a2 * a2 + b * b, c1 = sqrt(c1_2), c2 = sqrt(c2_2), c12 = c1 * c2;
        double x = a1 * c2 + a2 * c1, y = r.b * c2 + b * c1; /* u1 + u2, times both chromas */
        double length2 = x * x + y * y, per_length = per_root(length2 + TINY);
        double cosine = x * per_length, sine = y * per_length;
        double chroma = 0.5 * (c1 + c2), l50 = square(0.5 * (r.L + L) - 50), l_root = sqrt(20 + l50);
        double sl = l_root + 0.015 * l50; /* times l_root */
        double sc = 1 + 0.045 * chroma, sh = 1 + 0.015 * chroma * hue_weight(cosine, sine);
        double c7 = power7(chroma), c7_root = sqrt(chroma_root2(c7));
        double sc_sh = sc * sh, per_all = 1 / (sl * sc_sh * c7_root), per_s = c7_root * per_all;
        double dl = (L - r.L) * l_root * sc_sh * per_s, dc = (c2 - c1) * (sl * sh) * per_s;
        double dh = 2 * g * (r.a * b - a * r.b) * sqrt(c12) * per_length * (sl * sc) * per_s;
        double rt = -2 * c7 * (sl * sc_sh) * per_all * turn_sine(cosine, sine);
        k->de00[i] = sqrt(fabs(dl * dl + dc * (dc + rt * dh) + dh * dh)); /* not negative but for rounding */
        /* near opposed hues and near neutrals, whose hue is rounding, and for NaN */
        double sure = length2 >= 1e-4 * (c12 * c12) ? 1 : 0;
        sure = c1_2 >= 1e-12 ? sure : 0;
        sure = c2_2 >= 1e-12 ? sure : 0;
        double level = fabs(sine) < 1e-9 ? 0 : 1;
        sure = cosine > 0 ? sure * level : sure; /* where the mean hue passes 360 degrees */
        k->doubt[i] = sure > 0 ? 0 : 1;
    }
}

static void large_block(block *k, const wm_lab *many, wm_lab r);
WM_WIDE_BODY void large_block_body(block *k, const wm_lab *many, wm_lab r)
{
    differences(k, many, r, BLOCK);
}
WM_WIDE(large_block, (block * k, const wm_lab *many, wm_lab r), (k, many, r))

static void half_block(block *k, const wm_lab *many, wm_lab r);
WM_WIDE_BODY void half_block_body(block *k, const wm_lab *many, wm_lab r)
{
    differences(k, many, r, HALF_BLOCK);
}
WM_WIDE(half_block, (block * k, const wm_lab *many, wm_lab r), (k, many, r))

static void small_block(block *k, const wm_lab *many, wm_lab r);
WM_WIDE_BODY void small_block_body(block *k, const wm_lab *many, wm_lab r)
{
    differences(k, many, r, SMALL_BLOCK);
}
WM_WIDE(small_block, (block * k, const wm_lab *many, wm_lab r), (k, many, r))

/* How many of a block, and who computes it. */
typedef struct kernel {
    size_t size;
    void (*run)(block *k, const wm_lab *many, wm_lab r);
} kernel;

enum { KERNELS = 3 };

/* One block, of which so many count. */
static void give_block(double *out, wm_lab reference, const wm_lab *many, size_t count, kernel by)
{
    block k;
    int64_t doubt = 0;
    by.run(&k, many, reference);
    memcpy(out, k.de00, count * sizeof *out);
    for (size_t i = 0; i < by.size; i++)
        doubt |= k.doubt[i];
    for (size_t i = 0; doubt && i < count; i++)
        if (k.doubt[i])
            out[i] = wm_de00(reference, many[i]);
}

/* kernels: the largest first. What is left goes into the smallest block that holds it, filled up with its last. */
static void batch(double *out, wm_lab reference, const wm_lab *many, size_t count, const kernel kernels[KERNELS])
{
    wm_lab last[BLOCK];
    for (; count >= BLOCK; count -= BLOCK, many += BLOCK, out += BLOCK)
        give_block(out, reference, many, BLOCK, kernels[0]);
    if (count == 0)
        return;
    const kernel *by = kernels;
    while (by + 1 < kernels + KERNELS && by[1].size >= count)
        by++;
    if (count < by->size) {
        memcpy(last, many, count * sizeof *last);
        for (size_t i = count; i < by->size; i++)
            last[i] = many[count - 1];
        many = last;
    }
    give_block(out, reference, many, count, *by);
}

void wm_de00_batch(double *out, wm_lab reference, const wm_lab *many, size_t count)
{
    static const kernel WIDEST[KERNELS] = { { BLOCK, large_block },
                                            { HALF_BLOCK, half_block },
                                            { SMALL_BLOCK, small_block } };
    batch(out, reference, many, count, WIDEST);
}

void wm_difference__batch_baseline(double *out, wm_lab reference, const wm_lab *many, size_t count)
{
    static const kernel PLAIN[KERNELS] = { { BLOCK, large_block_plain },
                                           { HALF_BLOCK, half_block_plain },
                                           { SMALL_BLOCK, small_block_plain } };
    batch(out, reference, many, count, PLAIN);
}
