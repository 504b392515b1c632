/* Photo to Lab on flat patches: the colour of each patch as a zone would see it against Lab of the 8-bit values that
 * were written. The truth shares no code with the library: sRGB and Display P3 by the formulas of IEC 61966-2-1, SMPTE
 * EG 432-1 and ICC.1:2022 Annex E; the table-based profile by LittleCMS straight to Lab. The colours are invented. */
#include "colour/difference.h"
#include "photo/photo.h"
#include "support/near.h"
#include "support/folder.h"
#include "support/pictures.h"
#include "support/rng.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMNS = 24, ROWS = 20, PATCHES = COLUMNS * ROWS, SIZE = 32, MARGIN = 8 };

/* ---- Truth ---- */

/* Columns: XYZ of a chromaticity at Y = 1. */
static void xy_to_xyz(double xyz[3], double x, double y)
{
    xyz[0] = x / y;
    xyz[1] = 1;
    xyz[2] = (1 - x - y) / y;
}

/* Solves a[3][3] v = b by Cramer's rule. */
static void solve(double v[3], double a[3][3], const double b[3])
{
    double det = 0;
    for (int i = 0; i < 3; i++)
        det += a[0][i] * (a[1][(i + 1) % 3] * a[2][(i + 2) % 3] - a[1][(i + 2) % 3] * a[2][(i + 1) % 3]);
    for (int i = 0; i < 3; i++) {
        double m[3][3], part = 0;
        memcpy(m, a, sizeof m);
        for (int k = 0; k < 3; k++)
            m[k][i] = b[k];
        for (int k = 0; k < 3; k++)
            part += m[0][k] * (m[1][(k + 1) % 3] * m[2][(k + 2) % 3] - m[1][(k + 2) % 3] * m[2][(k + 1) % 3]);
        v[i] = part / det;
    }
}

/* Bradford from D65 (x, y of the standards) to the ICC's D50. */
static void adapt(double xyz[3])
{
    static double bradford[3][3] = { { 0.8951, 0.2664, -0.1614 },
                                     { -0.7502, 1.7135, 0.0367 },
                                     { 0.0389, -0.0685, 1.0296 } };
    static const double d50[3] = { 0.9642, 1.0, 0.8249 };
    double d65[3], cones[3];
    xy_to_xyz(d65, 0.3127, 0.3290);
    for (int i = 0; i < 3; i++) {
        double from = 0, to = 0, cone = 0;
        for (int k = 0; k < 3; k++) {
            from += bradford[i][k] * d65[k];
            to += bradford[i][k] * d50[k];
            cone += bradford[i][k] * xyz[k];
        }
        cones[i] = cone * to / from;
    }
    solve(xyz, bradford, cones);
}

static double lab_f(double t)
{
    return t > 216.0 / 24389.0 ? cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
}

static wm_lab truth_matrix(const unsigned char code[3], const double primaries[6])
{
    double columns[3][3], by_primary[3], white[3], weights[3], xyz[3] = { 0, 0, 0 };
    for (int i = 0; i < 3; i++) {
        double column[3];
        xy_to_xyz(column, primaries[2 * i], primaries[2 * i + 1]);
        for (int k = 0; k < 3; k++)
            columns[k][i] = column[k];
        double v = code[i] / 255.0;
        by_primary[i] = v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
    }
    xy_to_xyz(white, 0.3127, 0.3290);
    solve(weights, columns, white);
    for (int k = 0; k < 3; k++)
        for (int i = 0; i < 3; i++)
            xyz[k] += columns[k][i] * weights[i] * by_primary[i];
    adapt(xyz);
    double fx = lab_f(xyz[0] / 0.9642), fy = lab_f(xyz[1]), fz = lab_f(xyz[2] / 0.8249);
    return (wm_lab){ 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz) };
}

static wm_lab truth(profile_kind kind, const wm_bytes *icc, const unsigned char code[3])
{
    static const double srgb[6] = { 0.64, 0.33, 0.30, 0.60, 0.15, 0.06 },
                        p3[6] = { 0.680, 0.320, 0.265, 0.690, 0.150, 0.060 };
    double lab[3], rgb[3] = { code[0] / 255.0, code[1] / 255.0, code[2] / 255.0 };
    if (kind != PROFILE_TABLE)
        return truth_matrix(code, kind == PROFILE_P3 ? p3 : srgb);
    profile_lab(icc, rgb, lab);
    return (wm_lab){ lab[0], lab[1], lab[2] };
}

/* ---- Patches ---- */

/* Three in four hair-like, black to pale and reddish to ashy; the rest anything. */
static void invent(unsigned char (*colours)[3])
{
    rng r = { 2026 };
    for (int i = 0; i < PATCHES; i++) {
        double red = rng_between(&r, 8, 250), green = red * rng_between(&r, 0.5, 1),
               blue = green * rng_between(&r, 0.4, 1);
        if (i % 4 == 3) {
            green = rng_between(&r, 0, 255);
            blue = rng_between(&r, 0, 255);
        }
        colours[i][0] = (unsigned char)red;
        colours[i][1] = (unsigned char)green;
        colours[i][2] = (unsigned char)blue;
    }
}

static wm_photo *photo_of(wm_bytes bytes)
{
    wm_photo *photo = NULL;
    wm_error err = { 0 };
    folder_write("flat", bytes.data, bytes.size);
    wm_bytes_free(&bytes);
    if (wm_photo_open(&photo, folder_file("flat"), NULL, &err))
        fail_msg("refused: %s", err.text);
    return photo;
}

/* Mean of the patch without its margin, as a zone is measured; but without the floor of section 2 of the calibration
 * rules, which belongs to what is done with the photo's numbers and clips what lies outside sRGB. */
static wm_lab patch_lab(const wm_photo *photo, int patch)
{
    enum { INNER = SIZE - 2 * MARGIN };
    wm_rgb sum = { 0, 0, 0 }, row[INNER];
    for (int y = 0; y < INNER; y++) {
        wm_photo_read(photo, patch % COLUMNS * SIZE + MARGIN, patch / COLUMNS * SIZE + MARGIN + y, INNER, row, NULL);
        for (int x = 0; x < INNER; x++)
            sum = wm_rgb_add(sum, row[x]);
    }
    return wm_xyz_to_lab(wm_rgb_to_xyz(wm_rgb_scale(sum, 1.0 / (INNER * INNER))), WM_D50);
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

typedef struct limits {
    double median, worst;
} limits;

static void measure(const char *what, wm_bytes file, profile_kind kind, const wm_bytes *icc, limits limit)
{
    unsigned char colours[PATCHES][3];
    double errors[PATCHES];
    int worst = 0;
    wm_photo *photo = photo_of(file);
    invent(colours);
    for (int i = 0; i < PATCHES; i++) {
        errors[i] = wm_de00(patch_lab(photo, i), truth(kind, icc, colours[i]));
        if (errors[i] > errors[worst])
            worst = i;
    }
    wm_photo_close(photo);
    double most = errors[worst];
    qsort(errors, PATCHES, sizeof *errors, ascending);
    printf("# %-18s %-13s dE00 median %.4f, p90 %.4f, worst %.4f at %d %d %d\n", what,
           kind == PROFILE_P3      ? "Display P3"
           : kind == PROFILE_TABLE ? "table"
                                   : "sRGB",
           errors[PATCHES / 2], errors[PATCHES * 9 / 10], most, colours[worst][0], colours[worst][1],
           colours[worst][2]);
    if (!(errors[PATCHES / 2] < limit.median && most < limit.worst))
        fail_msg("%s: median %.4f, limit %.4f; worst %.4f, limit %.4f", what, errors[PATCHES / 2], limit.median, most,
                 limit.worst);
}

/* v4: its curve is the formula itself; v2 rounds it to 16 bit. */
static const profile_kind kinds[3] = { PROFILE_SRGB_V4, PROFILE_P3, PROFILE_TABLE };

static picture patches(void)
{
    unsigned char colours[PATCHES][3];
    invent(colours);
    return picture_patches((const unsigned char(*)[3])colours, COLUMNS, ROWS, SIZE);
}

static void flat_png(void **state)
{
    (void)state;
    picture p = patches();
    for (int k = 0; k < 3; k++) {
        wm_bytes icc = profile_make(kinds[k]);
        measure("PNG", png_make(&p, &(png_how){ .icc = icc }), kinds[k], &icc, (limits){ 0.02, 0.02 });
        wm_bytes_free(&icc);
    }
    picture_free(&p);
}

static void flat_jpeg(void **state)
{
    (void)state;
    picture p = patches();
    for (int k = 0; k < 3; k++)
        for (int full = 0; full < 2; full++) {
            wm_bytes icc = profile_make(kinds[k]);
            measure(full ? "JPEG 95 4:4:4" : "JPEG 95 4:2:0",
                    jpeg_make(&p, &(jpeg_how){ .quality = 95, .full_chroma = full, .icc = icc }), kinds[k], &icc,
                    (limits){ 0.6, 1.5 });
            wm_bytes_free(&icc);
        }
    picture_free(&p);
}

static void flat_heic(void **state)
{
    (void)state;
    if (!heic_can_make())
        skip();
    picture p = patches();
    for (int k = 0; k < 3; k++) {
        wm_bytes icc = profile_make(kinds[k]);
        measure("HEIC 90", heic_make(&p, &(heic_how){ .quality = 90, .icc = icc }), kinds[k], &icc,
                (limits){ 0.6, 1.5 });
        wm_bytes_free(&icc);
    }
    wm_bytes none = { NULL, 0 };
    measure("HEIC 90, nclx", heic_make(&p, &(heic_how){ .quality = 90, .primaries = 12, .transfer = 13 }), PROFILE_P3,
            &none, (limits){ 0.6, 1.5 });
    picture_free(&p);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    const struct CMUnitTest tests[] = { IN_FOLDER(flat_png), IN_FOLDER(flat_jpeg), IN_FOLDER(flat_heic) };
    return cmocka_run_group_tests_name("flat", tests, NULL, NULL);
}
