/* profile: which profile is taken, and that its numbers are LittleCMS's and the published ones. */
#include "photo/profile_make.h"
#include "support/near.h"
#include "support/pictures.h"
#include "support/rng.h"
#include "support/table.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wm_profile *opened(const wm_container *c)
{
    wm_profile *profile = calloc(1, sizeof *profile);
    wm_error err = { 0 };
    if (wm_profile_make(profile, c, &err))
        fail_msg("refused: %s", err.text);
    assert_true(wm_profile_sound(profile));
    return profile;
}

static void refused(const wm_container *c, const char *text)
{
    wm_profile *profile = calloc(1, sizeof *profile);
    wm_error err = { 0 };
    assert_int_equal(wm_profile_make(profile, c, &err), WM_E_PHOTO);
    assert_string_equal(err.text, text);
    free(profile);
}

static wm_container with_icc(const wm_bytes *icc, int channels)
{
    return (wm_container){ .channels = channels, .icc = *icc };
}

static wm_lab lab_of(const wm_profile *profile, double r, double g, double b)
{
    double encoded[3] = { r, g, b };
    wm_rgb linear;
    wm_profile_to_linear(profile, &linear, encoded, 1);
    return wm_xyz_to_lab(wm_rgb_to_xyz(linear), WM_D50);
}

static void near_lab(const char *name, wm_lab got, const double want[3], double tolerance)
{
    near(name, got.L, want[0], tolerance);
    near(name, got.a, want[1], tolerance);
    near(name, got.b, want[2], tolerance);
}

/* reference/rgb_xyz_lab.csv was computed with 50 digits; LittleCMS keeps D50 to 5 digits and computes in single
 * precision. */
static void published_colours(void **state)
{
    (void)state;
    table *t = table_open("rgb_xyz_lab.csv");
    wm_profile *srgb = opened(&(wm_container){ .channels = 3 });
    wm_profile *p3 =
        opened(&(wm_container){ .channels = 3, .has_cicp = true, .cicp_primaries = 12, .cicp_transfer = 13 });
    worst_reset();
    for (size_t i = 0; i < table_rows(t); i++) {
        const wm_profile *profile = strcmp(table_text(t, i, "space"), "srgb") == 0 ? srgb : p3;
        double want[3] = { table_number(t, i, "L_iccD50"), table_number(t, i, "a_iccD50"),
                           table_number(t, i, "b_iccD50") };
        wm_lab got = lab_of(profile, table_number(t, i, "R") / 255, table_number(t, i, "G") / 255,
                            table_number(t, i, "B") / 255);
        near_lab(table_text(t, i, "note"), got, want, 2e-3);
    }
    worst_print("Lab of published sRGB and P3 colours");
    free(srgb);
    free(p3);
    table_free(t);
}

/* Colorants of IEC 61966-2-5's space on D50, as its profiles hold them (16 bits behind the point); half its code is
 * 0.21776 of the light, by its exponent 2 51/256. */
static void camera_says_opRGB(void **state)
{
    (void)state;
    static const double want[3][3] = { { 0.60974, 0.31111, 0.01947 },
                                       { 0.20528, 0.62567, 0.06087 },
                                       { 0.14919, 0.06322, 0.74457 } };
    wm_profile *profile = opened(&(wm_container){ .channels = 3, .exif_colour = WM_EXIF_OPRGB });
    worst_reset();
    for (int i = 0; i < 3; i++)
        for (int half = 0; half < 2; half++) {
            double encoded[3] = { 0 }, light = half ? 0.21776 : 1.0;
            wm_rgb linear;
            encoded[i] = half ? 0.5 : 1.0;
            wm_profile_to_linear(profile, &linear, encoded, 1);
            wm_xyz got = wm_rgb_to_xyz(linear);
            near("X", got.X, light * want[i][0], 1e-4);
            near("Y", got.Y, light * want[i][1], 1e-4);
            near("Z", got.Z, light * want[i][2], 1e-4);
        }
    worst_print("XYZ of the optional colour space");
    free(profile);
}

static void order_of_sources(void **state)
{
    (void)state;
    wm_bytes icc = profile_make(PROFILE_TABLE);
    wm_container c = { .channels = 3,
                       .icc = icc,
                       .png_srgb = true,
                       .has_gama = true,
                       .gama = 0.5,
                       .has_chrm = true,
                       .chrm = { 0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06 },
                       .has_cicp = true,
                       .cicp_primaries = 12,
                       .cicp_transfer = 13,
                       .exif_colour = WM_EXIF_OPRGB };
    static const char *const names[] = {
        "Display P3",   "test table",  "sRGB",          "RGB (gAMA, cHRM)", "RGB (gAMA, primaries assumed)",
        "opRGB (EXIF)", "sRGB (EXIF)", "sRGB (assumed)"
    };
    for (int i = 0; i < 8; i++) {
        wm_profile *profile = opened(&c);
        assert_string_equal(profile->name, names[i]);
        assert_int_equal(profile->assumed, i == 4 || i == 7);
        free(profile);
        if (i == 0)
            c.has_cicp = false;
        if (i == 1)
            c.icc = (wm_bytes){ NULL, 0 };
        if (i == 2)
            c.png_srgb = false;
        if (i == 3)
            c.has_chrm = false; /* gAMA alone: a power law */
        if (i == 4)
            c.gama = 0.45455; /* the one that stands for sRGB */
        if (i == 5)
            c.exif_colour = WM_EXIF_SRGB;
        if (i == 6)
            c.exif_colour = WM_EXIF_COLOUR_UNKNOWN;
    }
    wm_bytes_free(&icc);
}

/* ITU-T H.273: the curves of the supported transfer codes, at middle gray; white is white with all primaries. */
static void cicp_codes(void **state)
{
    (void)state;
    static const struct {
        int transfer;
        double want;
    } curves[] = { { 1, 0.25971944 }, /* ((0.5 + 0.0992968) / 1.0992968)^(1 / 0.45) */
                   { 6, 0.25971944 }, { 14, 0.25971944 }, { 15, 0.25971944 }, { 4, 0.21763764 }, /* 0.5^2.2 */
                   { 5, 0.14358729 },                                                            /* 0.5^2.8 */
                   { 8, 0.5 },        { 13, 0.21404114 } /* ((0.5 + 0.055) / 1.055)^2.4 */ };
    static const int primaries[] = { 1, 5, 6, 7, 9, 12, 22 };
    for (size_t p = 0; p < sizeof primaries / sizeof *primaries; p++)
        for (size_t t = 0; t < sizeof curves / sizeof *curves; t++) {
            wm_container c = {
                .channels = 3, .has_cicp = true, .cicp_primaries = primaries[p], .cicp_transfer = curves[t].transfer
            };
            wm_profile *profile = opened(&c);
            double codes[6] = { 1, 1, 1, 0.5, 0.5, 0.5 };
            wm_rgb linear[2];
            wm_profile_to_linear(profile, linear, codes, 2);
            for (int i = 0; i < 2; i++) {
                double want = i == 0 ? 1.0 : curves[t].want;
                wm_xyz xyz = wm_rgb_to_xyz(linear[i]);
                near("cICP X", xyz.X / WM_D50.X, want, 1e-6);
                near("cICP Y", xyz.Y, want, 1e-6);
                near("cICP Z", xyz.Z / WM_D50.Z, want, 1e-6);
            }
            free(profile);
        }
    for (int transfer = 16; transfer <= 18; transfer += 2)
        refused(&(wm_container){ .channels = 3, .has_cicp = true, .cicp_primaries = 9, .cicp_transfer = transfer },
                "an HDR photo (PQ or HLG) can't be measured; switch HDR off, or save it as an ordinary sRGB photo");
    refused(
        &(wm_container){ .channels = 3, .has_cicp = true, .cicp_primaries = 10, .cicp_transfer = 13 },
        "its colour code (primaries 10, transfer 13) is not one that can be measured; save it as an ordinary sRGB photo");
    refused(
        &(wm_container){ .channels = 3, .has_cicp = true, .cicp_primaries = 1, .cicp_transfer = 11 },
        "its colour code (primaries 1, transfer 11) is not one that can be measured; save it as an ordinary sRGB photo");
}

static void gamma_and_primaries(void **state)
{
    (void)state;
    wm_container c = { .channels = 3,
                       .has_gama = true,
                       .gama = 1 / 1.8,
                       .has_chrm = true,
                       .chrm = { 0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06 } };
    wm_profile *profile = opened(&c);
    double gray[3] = { 0.5, 0.5, 0.5 };
    wm_rgb linear;
    wm_profile_to_linear(profile, &linear, gray, 1);
    near("gamma 1.8", wm_rgb_luminance(linear), pow(0.5, 1.8), 1e-6);
    free(profile);
    profile = opened(&(wm_container){ .channels = 3, .has_gama = true, .gama = 1.0 });
    wm_profile_to_linear(profile, &linear, gray, 1);
    near("gamma 1 alone", wm_rgb_luminance(linear), 0.5, 1e-6);
    free(profile);
    for (int i = 2; i < 8; i++)
        c.chrm[i] = 0.3; /* three times the same primary */
    refused(&c, "its colour chunks describe no possible colour space; save the photo again with an sRGB profile");
    memset(c.chrm, 0, sizeof c.chrm);
    refused(&c, "its colour chunks describe no possible colour space; save the photo again with an sRGB profile");
}

static double codes_apart(wm_rgb a, wm_rgb b)
{
    wm_srgb8 x = wm_rgb_to_srgb8(a), y = wm_rgb_to_srgb8(b);
    return fmax(abs(x.r - y.r), fmax(abs(x.g - y.g), abs(x.b - y.b)));
}

/* Straight to Lab and by way of linear light must meet. v2's curve is itself a table of 16-bit steps, whose corners the
 * fine table cuts: by (2 / 65535) / 4 of light at most, times 500 (841/108) is 0.03 of a. A table
 * profile's own 17 nodes lie among the grid's, behind curves of its own: what
 * is promised is 0.01. Pictures may be
 * off by one code. */
static void icc_profiles(void **state)
{
    (void)state;
    for (int kind = PROFILE_SRGB_V2; kind <= PROFILE_GRAY; kind++) {
        wm_bytes icc = profile_make((profile_kind)kind);
        wm_container c = with_icc(&icc, kind == PROFILE_GRAY ? 1 : 3);
        wm_profile *profile = opened(&c);
        rng r = { 5 };
        double worst_sketch = 0;
        assert_false(profile->assumed);
        worst_reset();
        for (int i = 0; i < 600; i++) {
            uint16_t code[3];
            double encoded[3], want[3];
            wm_rgb linear, sketch;
            for (int k = 0; k < 3; k++)
                code[k] = (uint16_t)(i < 8 ? (i >> k & 1) * 65535 : (int)(rng_bits(&r) & 65535));
            if (kind == PROFILE_GRAY)
                code[1] = code[2] = code[0];
            for (int k = 0; k < 3; k++)
                encoded[k] = code[k] / 65535.0;
            profile_lab(&icc, encoded, want);
            wm_profile_to_linear(profile, &linear, encoded, 1);
            wm_profile_sketch(profile, &sketch, code, 1);
            near_lab(profile->name, wm_xyz_to_lab(wm_rgb_to_xyz(linear), WM_D50), want,
                     kind == PROFILE_SRGB_V2 ? 0.03
                     : kind == PROFILE_TABLE ? 0.05
                                             : 2e-4);
            worst_sketch = fmax(worst_sketch, codes_apart(linear, sketch));
        }
        worst_print(profile->name);
        printf("# %s: sketch off by %.0f of 255\n", profile->name, worst_sketch);
        near("sketch", worst_sketch, 0, 1);
        free(profile);
        wm_bytes_free(&icc);
    }
}

static void unusable_icc(void **state)
{
    (void)state;
    wm_bytes gray = profile_make(PROFILE_GRAY), cmyk = profile_make(PROFILE_CMYK), noise = { calloc(200, 1), 200 };
    wm_container c = with_icc(&gray, 3);
    refused(&c, "its colour profile is not one for RGB; save the photo again with an sRGB profile");
    c = with_icc(&cmyk, 3);
    refused(&c, "its colour profile is not one for RGB; save the photo again with an sRGB profile");
    c = with_icc(&cmyk, 1);
    refused(&c, "its colour profile is not one for gray or RGB; save the photo again with an sRGB profile");
    c = with_icc(&noise, 3);
    refused(&c, "its colour profile is broken; save the photo again with an sRGB profile");
    wm_bytes_free(&gray);
    wm_bytes_free(&cmyk);
    wm_bytes_free(&noise);
}

/* An HDR signal behind curves that make do is no photo to measure; an ordinary one is. */
static void hdr_icc(void **state)
{
    (void)state;
    for (int transfer = 16; transfer <= 18; transfer += 2) {
        wm_bytes icc = profile_with_cicp(9, transfer);
        wm_container c = with_icc(&icc, 3);
        refused(&c, "an HDR photo (PQ or HLG) can't be measured; switch HDR off, or save it as an ordinary sRGB photo");
        wm_bytes_free(&icc);
    }
    wm_bytes ordinary = profile_with_cicp(12, 13);
    wm_container c = with_icc(&ordinary, 3);
    wm_profile *profile = calloc(1, sizeof *profile);
    assert_int_equal(wm_profile_make(profile, &c, NULL), WM_OK);
    free(profile);
    wm_bytes_free(&ordinary);
}

/* Whatever stands in a profile: it is refused, or every colour is a finite number. */
static void changed_profiles(void **state)
{
    (void)state;
    rng r = { 7 };
    int accepted = 0;
    for (int kind = PROFILE_SRGB_V2; kind <= PROFILE_TABLE; kind++) {
        wm_bytes icc = profile_make((profile_kind)kind);
        for (int i = 0; i < 60; i++) {
            wm_bytes changed = { malloc(icc.size), icc.size };
            wm_profile *profile = calloc(1, sizeof *profile);
            wm_error err;
            memcpy(changed.data, icc.data, icc.size);
            for (int k = 0; k < 3; k++)
                changed.data[128 + rng_bits(&r) % (icc.size < 900 ? icc.size - 128 : 900)] =
                    (unsigned char)rng_bits(&r);
            wm_container c = with_icc(&changed, 3);
            if (!wm_profile_make(profile, &c, &err)) {
                assert_true(wm_profile_sound(profile));
                wm_rgb linear[3];
                double codes[9] = { 0, 0, 0, 0.5, 0.2, 0.9, 1, 1, 1 };
                wm_profile_to_linear(profile, linear, codes, 3);
                for (int k = 0; k < 3; k++)
                    assert_true(isfinite(linear[k].r + linear[k].g + linear[k].b));
                accepted++;
            }
            free(profile);
            wm_bytes_free(&changed);
        }
        wm_bytes_free(&icc);
    }
    printf("# %d of 300 changed profiles accepted\n", accepted);
    assert_true(accepted > 0);
}

/* ---- Threads ---- */

enum { PIXELS = 3000 };

typedef struct share {
    const wm_profile *profile;
    double encoded[3 * PIXELS];
    wm_rgb linear[PIXELS];
} share;

static void *convert(void *data)
{
    share *s = data;
    for (int i = 0; i < 5; i++)
        wm_profile_to_linear(s->profile, s->linear, s->encoded, PIXELS);
    return NULL;
}

static void threads_share_a_profile(void **state)
{
    (void)state;
    wm_bytes icc = profile_make(PROFILE_TABLE);
    wm_container c = with_icc(&icc, 3);
    wm_profile *profile = opened(&c);
    share *shares = calloc(4, sizeof *shares);
    pthread_t threads[4];
    rng r = { 3 };
    for (int i = 0; i < 3 * PIXELS; i++)
        shares[0].encoded[i] = rng_between(&r, 0, 1);
    for (int t = 0; t < 4; t++) {
        memcpy(shares[t].encoded, shares[0].encoded, sizeof shares[0].encoded);
        shares[t].profile = profile;
        assert_int_equal(pthread_create(&threads[t], NULL, convert, &shares[t]), 0);
    }
    for (int t = 0; t < 4; t++)
        pthread_join(threads[t], NULL);
    for (int t = 1; t < 4; t++)
        assert_memory_equal(shares[t].linear, shares[0].linear, sizeof shares[0].linear);
    for (int i = 0; i < 3 * PIXELS; i += 300) { /* alone and in a run: the same */
        wm_rgb alone;
        wm_profile_to_linear(profile, &alone, shares[0].encoded + i, 1);
        assert_memory_equal(&alone, &shares[0].linear[i / 3], sizeof alone);
    }
    free(shares);
    free(profile);
    wm_bytes_free(&icc);
}

static void engine_version(void **state)
{
    (void)state;
    double version;
    assert_int_equal(sscanf(wm_profile_engine(), "%lf", &version), 1);
    assert_true(version >= 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_colours),   cmocka_unit_test(camera_says_opRGB),
        cmocka_unit_test(order_of_sources),    cmocka_unit_test(cicp_codes),
        cmocka_unit_test(gamma_and_primaries), cmocka_unit_test(icc_profiles),
        cmocka_unit_test(unusable_icc),        cmocka_unit_test(hdr_icc),
        cmocka_unit_test(changed_profiles),    cmocka_unit_test(threads_share_a_profile),
        cmocka_unit_test(engine_version)
    };
    return cmocka_run_group_tests_name("profile", tests, NULL, NULL);
}
