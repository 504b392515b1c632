#include "pigment.h"

#include <stdlib.h>

static double nm_of(int band)
{
    return FIRST_NM + STEP_NM * band;
}

static double hill(double nm, double centre, double width)
{
    double u = (nm - centre) / width;
    return exp(-u * u / 2);
}

/* The powers of (550/nm) are the same for every fibre; a scene makes some ten thousand spectra. */
typedef struct shapes {
    double surface[BANDS], eu[BANDS], ph[BANDS], keratin[BANDS], red[BANDS], violet[BANDS], blue[BANDS];
} shapes;

static void shapes_make(shapes *s)
{
    for (int i = 0; i < BANDS; i++) {
        double nm = nm_of(i), r = 550 / nm;
        s->surface[i] = 0.024 * pow(r, 0.6);
        s->eu[i] = pow(r, 3.2);
        s->ph[i] = pow(r, 5.5);
        s->keratin[i] = pow(r, 5.0);
        s->red[i] = hill(nm, 500, 38);
        s->violet[i] = hill(nm, 545, 40);
        s->blue[i] = hill(nm, 600, 45);
    }
}

static spectrum reflect(const shapes *s, const pigment *p)
{
    spectrum out;
    for (int i = 0; i < BANDS; i++) {
        double mu = p->eu * s->eu[i] + p->ph * s->ph[i] + p->yellow * s->keratin[i];
        mu += p->red * s->red[i] + p->violet * s->violet[i] + p->blue * s->blue[i];
        out.v[i] = s->surface[i] + p->scatter * exp(-sqrt(mu));
    }
    return out;
}

spectrum hair_reflectance(const pigment *p)
{
    shapes s;
    shapes_make(&s);
    return reflect(&s, p);
}

spectrum skin_reflectance(double melanin, double blood)
{
    spectrum out;
    for (int i = 0; i < BANDS; i++) {
        double nm = nm_of(i), r = 550 / nm;
        double haemoglobin =
            2.2 * hill(nm, 418, 22) + 0.55 * hill(nm, 542, 17) + 0.60 * hill(nm, 576, 13) + 0.25 * hill(nm, 500, 60);
        out.v[i] = 0.03 + 0.66 * exp(-melanin * pow(r, 3.3) - blood * haemoglobin);
    }
    return out;
}

spectrum flat_reflectance(double level, double tilt)
{
    spectrum out;
    for (int i = 0; i < BANDS; i++)
        out.v[i] = level * (1 + tilt * (nm_of(i) - 550) / 100);
    return out;
}

spectrum paint_reflectance(double base, double height, double centre_nm, double width_nm)
{
    spectrum out;
    for (int i = 0; i < BANDS; i++)
        out.v[i] = base + height * hill(nm_of(i), centre_nm, width_nm);
    return out;
}

spectrum spectrum_mean(const spectrum *a, const spectrum *b, double share_of_b)
{
    spectrum out;
    for (int i = 0; i < BANDS; i++)
        out.v[i] = (1 - share_of_b) * a->v[i] + share_of_b * b->v[i];
    return out;
}

tint sensor_tint(const sensor *s, const spectrum *reflectance)
{
    tint out;
    triple xyz = spectrum_xyz(s->tables, reflectance);
    for (int k = 0; k < 3; k++) {
        double sum = 0;
        for (int i = 0; i < BANDS; i++)
            sum += s->weight[k].v[i] * reflectance->v[i];
        out.camera[k] = (float)sum;
        out.xyz[k] = (float)xyz.v[k];
    }
    return out;
}

/* Fibre i of a kind: stratified in depth so that the mean hardly depends on the draw, random in the rest; a fixed seed,
 * so that the catalogue and the picture speak of the same fibres. */
static pigment fibre_pigment(const pigment *p, double variation, int i, dice *d)
{
    double u = (i + 0.5) / PALETTE;
    /* Logistic quantile scaled to unit sd: close to normal and closed-form. */
    double depth = log(u / (1 - u)) / 1.8138;
    pigment q = *p;
    q.eu *= exp(variation * depth);
    q.ph *= exp(0.8 * variation * depth) * dice_factor(d, 0.6 * variation);
    q.yellow *= dice_factor(d, variation);
    q.scatter *= exp(-0.15 * variation * depth) * dice_factor(d, 0.15 * variation);
    double dye = dice_factor(d, 0.5 * variation);
    q.red *= dye;
    q.violet *= dye;
    q.blue *= dye;
    return q;
}

palette palette_make(const sensor *s, const pigment *p, double variation)
{
    palette out;
    shapes sh;
    shapes_make(&sh);
    dice d = dice_for(1, "fibres");
    for (int i = 0; i < PALETTE; i++) {
        pigment q = fibre_pigment(p, variation, i, &d);
        spectrum r = reflect(&sh, &q);
        out.fibre[i] = sensor_tint(s, &r);
    }
    return out;
}

triple palette_xyz(const palette *p)
{
    triple xyz = { { 0 } };
    for (int i = 0; i < PALETTE; i++)
        for (int k = 0; k < 3; k++)
            xyz.v[k] += (double)p->fibre[i].xyz[k] / PALETTE;
    return xyz;
}

triple pigment_xyz(const tables *t, const pigment *p, double variation)
{
    triple xyz = { { 0 } };
    shapes sh;
    shapes_make(&sh);
    dice d = dice_for(1, "fibres");
    for (int i = 0; i < PALETTE; i++) {
        pigment q = fibre_pigment(p, variation, i, &d);
        spectrum r = reflect(&sh, &q);
        triple one = spectrum_xyz(t, &r);
        for (int k = 0; k < 3; k++)
            xyz.v[k] += one.v[k] / PALETTE;
    }
    return xyz;
}
