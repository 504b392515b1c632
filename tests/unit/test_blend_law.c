/* blend_law (B12): flat pictures, said to be hair, of two invented shades and of their 50/50 mix under a known law give
 * that law back. */
#include "consult/blend_law.h"
#include "support/near.h"
#include "support/folder.h"
#include "support/pictures.h"

#include <stdio.h>
#include <string.h>

#include "measure/zones_file.h"

static const char CATALOGUE[] = "code,L,a,b,u\ndark,27.5,6.2,14.1,0.3\nlight,76.5,2.4,1.4,0.3\ntwin,29,6.2,14.1,0.3\n";

enum { PATCH = 100 };

static void paint(const picture *p, int column, wm_lab lab)
{
    wm_srgb8 c = wm_lab_to_srgb8(lab);
    for (int y = 0; y < PATCH; y++)
        for (int x = 0; x < PATCH; x++) {
            uint16_t *at = picture_at(p, column * PATCH + x, y);
            at[0] = c.r, at[1] = c.g, at[2] = c.b;
        }
}

static wm_lab half_and_half(wm_lab a, wm_lab b, double g)
{
    wm_part parts[2] = { { wm_lab_to_cone(a), 0.5 }, { wm_lab_to_cone(b), 0.5 } };
    wm_hair_law law = wm_hair_law_of(g);
    wm_cone cone;
    assert_int_equal(wm_mix(&cone, parts, 2, 1, &law, NULL), WM_OK);
    return wm_cone_to_lab(cone);
}

/* One photo of dark, blend, light beside each other, and what the law made of it. */
static wm_status fit(wm_blend_law *out, const char *zones_json, wm_lab first, wm_lab blend, wm_lab second,
                     wm_error *err)
{
    static wm_catalogue catalogue; /* the law lends its shades */
    picture p = picture_new(3 * PATCH, PATCH, 3, 8);
    wm_photo *photo = NULL;
    wm_zones zones = { 0 };
    paint(&p, 0, first);
    paint(&p, 1, blend);
    paint(&p, 2, second);
    wm_bytes png = png_make(&p, &(png_how){ 0 });
    folder_write("blend.png", png.data, png.size);
    wm_catalogue_free(&catalogue);
    catalogue = (wm_catalogue){ 0 };
    wm_status status = wm_catalogue_parse_csv(&catalogue, CATALOGUE, strlen(CATALOGUE), "c.csv", NULL, err);
    if (!status)
        status = wm_zones_add_json(&zones, zones_json, strlen(zones_json), "z.json", NULL, err);
    if (!status)
        status = wm_photo_open(&photo, folder_file("blend.png"), NULL, err);
    if (!status)
        status = wm_blend_law_of(out, photo, &zones, &catalogue, err);
    wm_photo_close(photo);
    wm_zones_free(&zones);
    wm_bytes_free(&png);
    picture_free(&p);
    return status;
}

#define ZONE(kind, more, x) "{\"kind\":\"" kind "\"" more ",\"rect\":[" x ",10,80,80],\"hair\":true}"
#define ZONES(a, b, c) "{\"format\":1,\"zones\":[" a "," b "," c "]}"
static const char MARKED[] = ZONES(ZONE("swatch", ",\"code\":\"dark\",\"at\":\"mid\"", "10"), ZONE("mid", "", "110"),
                                   ZONE("swatch", ",\"code\":\"light\",\"at\":\"mid\"", "210"));
static const wm_lab DARK = { 27.5, 6.2, 14.1 }, LIGHT = { 76.5, 2.4, 1.4 };

static void B12_the_law_of_the_blend_is_found(void **state)
{
    (void)state;
    static const double LAWS[] = { 0.6, 0.75, 0.85 };
    for (size_t i = 0; i < 3; i++) {
        wm_blend_law law;
        wm_error err = { 0 };
        if (fit(&law, MARKED, DARK, half_and_half(DARK, LIGHT, LAWS[i]), LIGHT, &err))
            fail_msg("%s", err.text);
        assert_string_equal(law.dark->code, "dark");
        assert_string_equal(law.light->code, "light");
        assert_null(law.why_not);
        assert_true(law.g_low <= law.fit.g_low &&
                    law.g_high >= law.fit.g_high); /* by the photo, never less than by 1 dE00 */
        near("g", law.fit.law.g, LAWS[i], 0.02);   /* 8-bit colours */
        near("k0 = 1.5 (1 - g)", law.fit.law.k0, 1.5 * (1 - law.fit.law.g), 1e-12);
        wm_warnings_free(&law.warnings);
    }
}

static void B12_shades_too_alike_tell_nothing(void **state)
{
    (void)state;
    static const char TWINS[] = ZONES(ZONE("swatch", ",\"code\":\"dark\",\"at\":\"mid\"", "10"), ZONE("mid", "", "110"),
                                      ZONE("swatch", ",\"code\":\"twin\",\"at\":\"mid\"", "210"));
    wm_blend_law law;
    wm_error err = { 0 };
    const wm_lab twin = { 29, 6.2, 14.1 };
    if (fit(&law, TWINS, DARK, half_and_half(DARK, twin, 0.6), twin, &err))
        fail_msg("%s", err.text);
    assert_non_null(law.why_not);
    assert_non_null(strstr(law.why_not, "too alike"));
    wm_warnings_free(&law.warnings);
}

static void B12_a_blend_that_no_law_makes_is_not_kept(void **state)
{
    (void)state;
    wm_blend_law law;
    wm_error err = { 0 };
    const wm_lab nearly_light = { 68, 2, 4 }; /* far more than half of it is light hair */
    if (fit(&law, MARKED, DARK, nearly_light, LIGHT, &err))
        fail_msg("%s", err.text);
    assert_true(law.fit.de00 > 2 * law.blend.u_de00);
    assert_non_null(law.why_not);
    assert_non_null(strstr(law.why_not, "half of each"));
    wm_warnings_free(&law.warnings);
}

static void what_must_be_marked_is_said(void **state)
{
    (void)state;
    static const char ONE_SHADE[] = ZONES(ZONE("swatch", ",\"code\":\"dark\"", "10"), ZONE("mid", "", "110"),
                                          ZONE("swatch", ",\"code\":\"dark\"", "210"));
    static const char TWO_BLENDS[] =
        ZONES(ZONE("swatch", ",\"code\":\"dark\"", "10"), ZONE("mid", "", "110"), ZONE("ends", "", "210"));
    static const char STRANGE[] = ZONES(ZONE("swatch", ",\"code\":\"drak\"", "10"), ZONE("mid", "", "110"),
                                        ZONE("swatch", ",\"code\":\"light\"", "210"));
    static const char *const CASES[][2] = { { ONE_SHADE, "mark both" },
                                            { TWO_BLENDS, "mark both" },
                                            { STRANGE, "no shade 'drak'" } };
    for (size_t i = 0; i < 3; i++) {
        wm_blend_law law;
        wm_error err = { 0 };
        assert_int_equal(fit(&law, CASES[i][0], DARK, DARK, LIGHT, &err), WM_E_INPUT);
        if (!strstr(err.text, CASES[i][1]))
            fail_msg("%s", err.text);
    }
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    const struct CMUnitTest tests[] = { IN_FOLDER(B12_the_law_of_the_blend_is_found),
                                        IN_FOLDER(B12_shades_too_alike_tell_nothing),
                                        IN_FOLDER(B12_a_blend_that_no_law_makes_is_not_kept),
                                        IN_FOLDER(what_must_be_marked_is_said) };
    return cmocka_run_group_tests_name("blend_law", tests, NULL, NULL);
}
