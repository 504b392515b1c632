/* CIEDE2000 after ISO/CIE 11664-6:2014 and Sharma, Wu & Dalal, Color Res. Appl. 30(1) 21-30, 2005, whose equation numbers stand behind the
 * lines. Hues are in radians. Two places are discontinuous by definition: where the hues are exactly 180 degrees apart the mean hue
 * jumps, and where a chroma is 0 the hue has no meaning and drops out. */
#include "colour/difference.h"

#include <math.h>

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
typedef struct weights { double sl, sc, sh, rt; } weights;

static weights weights_at(double lightness, double chroma, double h)
{
    double t = 1 - 0.17 * cos(h - 30 * RADIAN) + 0.24 * cos(2 * h) + 0.32 * cos(3 * h + 6 * RADIAN) - 0.20 * cos(4 * h - 63 * RADIAN);
    double l50 = square(lightness - 50);
    double turn = 60 * RADIAN * exp(-square((h / RADIAN - 275) / 25));
    return (weights){1 + 0.015 * l50 / sqrt(20 + l50), 1 + 0.045 * chroma, 1 + 0.015 * chroma * t, -sin(turn) * 2 * chroma_weight(chroma)};
}

wm_difference wm_difference_between(wm_lab first, wm_lab second)
{
    double g = 1.5 - 0.5 * chroma_weight((hypot(first.a, first.b) + hypot(second.a, second.b)) / 2); /* 1 + G (2 to 4) */
    double a1 = g * first.a, a2 = g * second.a;                                                     /* (5) */
    double c1 = hypot(a1, first.b), c2 = hypot(a2, second.b);                                       /* (6) */
    double h1 = hue(a1, first.b), h2 = hue(a2, second.b);
    bool neutral = !(c1 > 0) || !(c2 > 0);
    double dl = second.L - first.L, dc = c2 - c1;                                                   /* (8), (9) */
    double dh = neutral ? 0 : 2 * sqrt(c1 * c2) * sin(hue_step(h1, h2) / 2);                        /* (11) */
    weights s = weights_at((first.L + second.L) / 2, (c1 + c2) / 2, neutral ? h1 + h2 : mean_hue(h1, h2));
    double l = dl / s.sl, c = dc / s.sc, h = dh / s.sh;
    return (wm_difference){sqrt(fmax(0, l * l + c * c + h * h + s.rt * c * h)), dl, dc, dh};        /* (22) */
}

double wm_de00(wm_lab first, wm_lab second)
{
    return wm_difference_between(first, second).de00;
}

void wm_de00_batch(double *out, wm_lab reference, const wm_lab *many, size_t count)
{
    for (size_t i = 0; i < count; i++)
        out[i] = wm_de00(reference, many[i]);
}
