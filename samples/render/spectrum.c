#include "spectrum.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* ICC profile connection space white: the D50 of Lab. */
static const double white[3] = { 0.9642, 1.0, 0.8249 };

static bool read_table(const char *folder, const char *name, int first_nm, double columns[3][TABLE_ROWS])
{
    char path[1024], line[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "r");
    if (!f)
        return false;
    int row = 0;
    while (fgets(line, sizeof line, f)) {
        char *p = line;
        long nm = strtol(p, &p, 10);
        if (nm < first_nm || row == TABLE_ROWS)
            continue;
        for (int k = 0; k < 3 && *p == ','; k++)
            columns[k][row] = strtod(p + 1, &p);
        row++;
    }
    fclose(f);
    return row == TABLE_ROWS;
}

/* Daylight as a table row sum, kept over the whole 360..830 nm so that the weights below can use the tails. */
static void daylight_table(const tables *t, double cct, double out[TABLE_ROWS])
{
    double k = 1000 / cct;
    double x = cct <= 7000 ? ((-4.6070 * k + 2.9678) * k + 0.09911) * k + 0.244063
                           : ((-2.0064 * k + 1.9018) * k + 0.24748) * k + 0.23704;
    double y = (-3 * x + 2.870) * x - 0.275;
    double m = 0.0241 + 0.2562 * x - 0.7341 * y;
    double m1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / m;
    double m2 = (0.0300 - 31.4424 * x + 30.0717 * y) / m;
    for (int i = 0; i < TABLE_ROWS; i++)
        out[i] = t->component[0][i] + m1 * t->component[1][i] + m2 * t->component[2][i];
}

static int band_of_row(int row)
{
    int band = (TABLE_FIRST_NM + row * STEP_NM - FIRST_NM) / STEP_NM;
    if (TABLE_FIRST_NM + row * STEP_NM < FIRST_NM)
        return 0;
    return band < BANDS ? band : BANDS - 1;
}

/* Wavelengths beyond 400..700 nm see the reflectance of the nearest band, as is usual for truncated measurements; the
 * sums are then scaled so that the perfect diffuser is exactly the white of Lab. */
static void make_weights(tables *t)
{
    double d50[TABLE_ROWS];
    daylight_table(t, 5000 * 1.4388 / 1.4380, d50);
    for (int k = 0; k < 3; k++) {
        spectrum w = { { 0 } };
        double sum = 0;
        for (int i = 0; i < TABLE_ROWS; i++) {
            w.v[band_of_row(i)] += d50[i] * t->observer[k][i];
            sum += d50[i] * t->observer[k][i];
        }
        for (int i = 0; i < BANDS; i++)
            t->d50_weight[k].v[i] = w.v[i] * white[k] / sum;
    }
}

bool tables_read(tables *out, const char *folder)
{
    if (!read_table(folder, "cie1931_2deg_5nm.csv", TABLE_FIRST_NM, out->observer))
        return false;
    if (!read_table(folder, "daylight_components_5nm.csv", TABLE_FIRST_NM, out->component))
        return false;
    make_weights(out);
    return true;
}

spectrum daylight(const tables *t, double cct)
{
    double all[TABLE_ROWS];
    spectrum s;
    daylight_table(t, cct, all);
    for (int i = 0; i < BANDS; i++)
        s.v[i] = all[i + (FIRST_NM - TABLE_FIRST_NM) / STEP_NM];
    return s;
}

triple spectrum_xyz(const tables *t, const spectrum *reflectance)
{
    triple xyz = { { 0 } };
    for (int k = 0; k < 3; k++)
        for (int i = 0; i < BANDS; i++)
            xyz.v[k] += t->d50_weight[k].v[i] * reflectance->v[i];
    return xyz;
}

static double lab_f(double r)
{
    return r > 216.0 / 24389 ? cbrt(r) : (24389.0 / 27 * r + 16) / 116;
}

static double lab_f_inverse(double f)
{
    double cube = f * f * f;
    return cube > 216.0 / 24389 ? cube : (116 * f - 16) * 27 / 24389;
}

triple xyz_lab(triple xyz)
{
    double fx = lab_f(xyz.v[0] / white[0]), fy = lab_f(xyz.v[1] / white[1]), fz = lab_f(xyz.v[2] / white[2]);
    return (triple){ { 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz) } };
}

triple lab_xyz(triple lab)
{
    double fy = (lab.v[0] + 16) / 116, fx = fy + lab.v[1] / 500, fz = fy - lab.v[2] / 200;
    return (triple){ { white[0] * lab_f_inverse(fx), white[1] * lab_f_inverse(fy), white[2] * lab_f_inverse(fz) } };
}

static triple multiply(const double m[3][3], triple p)
{
    triple out;
    for (int k = 0; k < 3; k++)
        out.v[k] = m[k][0] * p.v[0] + m[k][1] * p.v[1] + m[k][2] * p.v[2];
    return out;
}

triple xyz_srgb(triple xyz)
{
    static const double m[3][3] = { { 3.1338561, -1.6168667, -0.4906146 },
                                    { -0.9787684, 1.9161415, 0.0334540 },
                                    { 0.0719453, -0.2289914, 1.4052427 } };
    return multiply(m, xyz);
}

triple srgb_xyz(triple rgb)
{
    static const double m[3][3] = { { 0.4360747, 0.3850649, 0.1430804 },
                                    { 0.2225045, 0.7168786, 0.0606169 },
                                    { 0.0139322, 0.0971045, 0.7141733 } };
    return multiply(m, rgb);
}

static double hue_degrees(double a, double b)
{
    double h = atan2(b, a) * 57.29577951308232;
    return h < 0 ? h + 360 : h;
}

static double degrees_cos(double d)
{
    return cos(d / 57.29577951308232);
}

static double mean_hue(double h1, double h2, double c1c2)
{
    if (c1c2 <= 0)
        return h1 + h2;
    double mean = (h1 + h2) / 2;
    if (fabs(h1 - h2) > 180)
        mean += mean < 180 ? 180 : -180;
    return mean;
}

static double seventh(double c)
{
    double c7 = pow(c, 7);
    return sqrt(c7 / (c7 + 6103515625.0));
}

double lab_difference(triple p, triple q)
{
    double stretch = 1 + 0.5 * (1 - seventh((hypot(p.v[1], p.v[2]) + hypot(q.v[1], q.v[2])) / 2));
    double c1 = hypot(stretch * p.v[1], p.v[2]), c2 = hypot(stretch * q.v[1], q.v[2]);
    double h1 = hue_degrees(stretch * p.v[1], p.v[2]), h2 = hue_degrees(stretch * q.v[1], q.v[2]);
    double turn = h2 - h1;
    if (turn > 180)
        turn -= 360;
    if (turn < -180)
        turn += 360;
    double dh = c1 * c2 > 0 ? 2 * sqrt(c1 * c2) * sin(turn / 2 / 57.29577951308232) : 0;
    double l = (p.v[0] + q.v[0]) / 2 - 50, c = (c1 + c2) / 2, h = mean_hue(h1, h2, c1 * c2);
    double t = 1 - 0.17 * degrees_cos(h - 30) + 0.24 * degrees_cos(2 * h) + 0.32 * degrees_cos(3 * h + 6) -
               0.20 * degrees_cos(4 * h - 63);
    double sl = 1 + 0.015 * l * l / sqrt(20 + l * l), sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
    double u = (h - 275) / 25;
    double rt = -sin(60 * exp(-u * u) / 57.29577951308232) * 2 * seventh(c);
    double el = (q.v[0] - p.v[0]) / sl, ec = (c2 - c1) / sc, eh = dh / sh;
    return sqrt(el * el + ec * ec + eh * eh + rt * ec * eh);
}
