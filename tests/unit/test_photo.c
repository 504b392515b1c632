/* photo: every orientation against one picture, facts, colour on demand, the reduced picture. */
#include "photo/photo.h"
#include "support/near.h"
#include "support/folder.h"
#include "support/pictures.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The photo in a file of these bytes; frees the bytes. */
static wm_photo *photo_of(wm_bytes bytes, const char *name)
{
    wm_photo *photo = NULL;
    wm_error err = { 0 };
    folder_write(name, bytes.data, bytes.size);
    wm_bytes_free(&bytes);
    if (wm_photo_open(&photo, folder_file(name), NULL, &err))
        fail_msg("%s refused: %s", name, err.text);
    return photo;
}

/* ---- Orientation ---- */

/* How a camera held in orientation `o` stores the upright picture (EXIF 2.32, tag 0112: where row 0 and column 0 lie):
 * for each stored pixel the upright one, written out case by case and apart from the library's own way of doing it. */
static picture stored_as(const picture *upright, int o)
{
    int w = upright->width, h = upright->height;
    picture out = picture_new(o >= 5 ? h : w, o >= 5 ? w : h, upright->channels, upright->bits);
    for (int row = 0; row < out.height; row++)
        for (int column = 0; column < out.width; column++) {
            int x = 0, y = 0;
            switch (o) {
            case 1:
                x = column;
                y = row;
                break; /* row 0 top, column 0 left */
            case 2:
                x = w - 1 - column;
                y = row;
                break; /* top, right */
            case 3:
                x = w - 1 - column;
                y = h - 1 - row;
                break; /* bottom, right */
            case 4:
                x = column;
                y = h - 1 - row;
                break; /* bottom, left */
            case 5:
                x = row;
                y = column;
                break; /* left, top */
            case 6:
                x = w - 1 - row;
                y = column;
                break; /* right, top */
            case 7:
                x = w - 1 - row;
                y = h - 1 - column;
                break; /* right, bottom */
            case 8:
                x = row;
                y = h - 1 - column;
                break; /* left, bottom */
            default: fail();
            }
            memcpy(picture_at(&out, column, row), picture_at(upright, x, y),
                   (size_t)upright->channels * sizeof(uint16_t));
        }
    return out;
}

/* Largest difference from the upright picture, in codes; all rows, in runs that start and end anywhere. */
static double upright_error(const wm_photo *photo, const picture *want)
{
    wm_photo_facts facts = wm_photo_facts_of(photo);
    double worst = 0, top = want->bits == 16 ? 65535 : 255,
           *encoded = malloc(3 * (size_t)want->width * sizeof *encoded);
    assert_int_equal(facts.width, want->width);
    assert_int_equal(facts.height, want->height);
    for (int y = 0; y < want->height; y++) {
        int from = y % want->width, count = want->width - from;
        wm_photo_read(photo, from, y, count, NULL, encoded);
        for (int i = 0; i < 3 * count; i++)
            worst = fmax(worst, fabs(encoded[i] * top - picture_at(want, from, y)[i]));
    }
    free(encoded);
    return worst;
}

static void orientation_of_png_is_exact(void **state)
{
    (void)state;
    for (int bits = 8; bits <= 16; bits += 8)
        for (int o = 1; o <= 8; o++) {
            picture upright = picture_asymmetric(29, 17, bits), stored = stored_as(&upright, o);
            exif_how how = EXIF_HOW;
            how.orientation = o;
            wm_bytes exif = exif_make(&how), png = png_make(&stored, &(png_how){ 0 });
            png_insert(&png, "eXIf", exif.data, exif.size);
            wm_photo *photo = photo_of(png, "turned.png");
            assert_int_equal(wm_photo_facts_of(photo).orientation, o);
            near("orientation PNG", upright_error(photo, &upright), 0, 1e-9);
            wm_photo_close(photo);
            wm_bytes_free(&exif);
            picture_free(&upright);
            picture_free(&stored);
        }
}

static void orientation_of_jpeg(void **state)
{
    (void)state;
    worst_reset();
    for (int o = 1; o <= 8; o++) {
        picture upright = picture_asymmetric(290, 170, 8), stored = stored_as(&upright, o);
        exif_how how = EXIF_HOW;
        how.orientation = o;
        how.big_endian = o & 1;
        wm_bytes exif = exif_make(&how);
        wm_photo *photo =
            photo_of(jpeg_make(&stored, &(jpeg_how){ .quality = 98, .exif = exif, .full_chroma = true }), "turned.jpg");
        near("orientation JPEG", upright_error(photo, &upright), 0, 4);
        wm_photo_close(photo);
        wm_bytes_free(&exif);
        picture_free(&upright);
        picture_free(&stored);
    }
    worst_print("orientation of JPEG, codes");
}

/* HEIC is turned by its own irot and imir only; an EXIF block that says the same must not turn it again. */
static void orientation_of_heic_is_applied_once(void **state)
{
    (void)state;
    if (!heic_can_make())
        skip();
    worst_reset();
    for (int o = 1; o <= 8; o++) {
        picture upright = picture_asymmetric(290, 170, 8), stored = stored_as(&upright, o);
        exif_how how = EXIF_HOW;
        how.orientation = o;
        wm_bytes exif = exif_make(&how);
        wm_photo *photo =
            photo_of(heic_make(&stored, &(heic_how){ .quality = 98, .orientation = o, .exif = exif }), "turned.heic");
        assert_int_equal(wm_photo_facts_of(photo).orientation, 1);
        near("orientation HEIC", upright_error(photo, &upright), 0, 9);
        wm_photo_close(photo);
        wm_bytes_free(&exif);
        picture_free(&upright);
        picture_free(&stored);
    }
    worst_print("orientation of HEIC, codes");
}

/* ---- Parts ---- */

/* Something else at every pixel, in each channel. */
static picture restless(int width, int height)
{
    picture p = picture_new(width, height, 3, 8);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            uint16_t *at = picture_at(&p, x, y);
            at[0] = (uint16_t)(40 + (x * 7 + y * 3) % 170);
            at[1] = (uint16_t)(30 + (x * 5 + y * 11 + x * y / 40) % 180);
            at[2] = (uint16_t)(50 + (x / 3 + y * 2) % 150);
        }
    return p;
}

static void same_in(const wm_photo *parts, const wm_photo *whole, wm_box box)
{
    double a[3 * 400], b[3 * 400];
    assert_true(wm_photo_has(parts, box));
    for (int y = box.y; y < box.y + box.height; y++) {
        wm_photo_read(parts, box.x, y, box.width, NULL, a);
        wm_photo_read(whole, box.x, y, box.width, NULL, b);
        assert_memory_equal(a, b, 3 * (size_t)box.width * sizeof *a);
    }
}

/* Of a photo of 400 x 300 upright: what was asked for reads as in the whole photo, what was not is not there. */
static void parts_are_as_in_the_whole(const wm_photo *whole, const char *file)
{
    const wm_box boxes[] = { { 37, 41, 60, 33 }, { 300, 220, 100, 80 } };
    wm_photo *parts = NULL;
    assert_int_equal(wm_photo_open_parts(&parts, folder_file(file), (wm_boxes){ boxes, 2 }, NULL, NULL), WM_OK);
    const wm_photo_facts a = wm_photo_facts_of(parts), b = wm_photo_facts_of(whole);
    assert_int_equal(a.width, b.width);
    assert_int_equal(a.height, b.height);
    assert_true(a.noise > 0 && !(a.noise < b.noise) && !(a.noise > b.noise));
    same_in(parts, whole, boxes[0]);
    same_in(parts, whole, boxes[1]);
    assert_false(wm_photo_has(parts, (wm_box){ 37, 41, 130, 33 }));
    assert_false(wm_photo_has(parts, (wm_box){ 180, 120, 5, 5 }));
    wm_picture small;
    assert_int_equal(wm_photo_reduce(&small, parts, 100, NULL), WM_E_BUG);
    wm_photo_close(parts);
}

static void parts_of_jpeg(void **state)
{
    (void)state;
    static const int CHROMA[][2] = { { 1, 1 }, { 2, 1 }, { 1, 2 }, { 2, 2 }, { 3, 1 },
                                     { 1, 3 }, { 3, 2 }, { 4, 1 }, { 4, 2 } };
    picture upright = restless(400, 300);
    for (int i = 0; i < 72; i++) {
        exif_how exif = EXIF_HOW;
        exif.orientation = 1 + i % 8;
        jpeg_how how = {
            .quality = 90, .across = CHROMA[i % 9][0], .down = CHROMA[i % 9][1], .progressive = i % 5 == 0
        };
        picture stored = stored_as(&upright, exif.orientation);
        how.exif = exif_make(&exif);
        wm_photo *whole = photo_of(jpeg_make(&stored, &how), "parts.jpg");
        parts_are_as_in_the_whole(whole, "parts.jpg");
        wm_photo_close(whole);
        wm_bytes_free(&how.exif);
        picture_free(&stored);
    }
    picture_free(&upright);
}

/* A PNG is read whole, whatever is asked for. */
static void parts_of_png(void **state)
{
    (void)state;
    picture p = restless(400, 300);
    wm_photo *whole = photo_of(png_make(&p, &(png_how){ 0 }), "parts.png"), *parts = NULL;
    const wm_box box = { 37, 41, 60, 33 }, all = { 0, 0, 400, 300 };
    assert_int_equal(wm_photo_open_parts(&parts, folder_file("parts.png"), (wm_boxes){ &box, 1 }, NULL, NULL), WM_OK);
    same_in(parts, whole, all);
    wm_photo_close(parts);
    wm_photo_close(whole);
    picture_free(&p);
}

/* ---- Facts ---- */

static void facts(void **state)
{
    (void)state;
    exif_how how = { true, 8, "Inventa", "Inventa P2", "2025:11:03 09:05:00", 0, 0, 400, 300, 0, NULL };
    picture p = picture_asymmetric(400, 300, 8);
    wm_bytes exif = exif_make(&how), icc = profile_make(PROFILE_P3),
             jpeg = jpeg_make(&p, &(jpeg_how){ .quality = 83, .exif = exif, .icc = icc });
    char digest[65];
    wm_sha256_hex(digest, jpeg.data, jpeg.size);
    wm_photo *photo = photo_of(jpeg, "client one.jpg");
    wm_photo_facts f = wm_photo_facts_of(photo);
    assert_string_equal(f.file, "client one.jpg");
    assert_string_equal(f.sha256, digest);
    assert_int_equal(f.width, 300);
    assert_int_equal(f.height, 400);
    assert_int_equal(f.orientation, 8);
    assert_string_equal(f.profile, "test P3");
    assert_false(f.profile_assumed);
    assert_string_equal(f.camera, "Inventa P2");
    assert_string_equal(f.taken, "2025-11-03T09:05:00");
    assert_int_equal(f.flash, WM_FLASH_OFF);
    assert_int_equal(f.white_balance, WM_WB_AUTO);
    assert_int_equal(f.jpeg_quality, 83);
    assert_false(f.resized); /* 400 x 300, whichever way it is held */
    wm_photo_close(photo);
    wm_bytes_free(&exif);
    how.width = 4000;
    exif = exif_make(&how);
    photo = photo_of(jpeg_make(&p, &(jpeg_how){ .quality = 83, .exif = exif }), "small.jpg");
    f = wm_photo_facts_of(photo);
    assert_true(f.resized);
    assert_true(f.profile_assumed);
    assert_string_equal(f.profile, "sRGB (assumed)");
    wm_photo_close(photo);
    wm_bytes_free(&exif);
    wm_bytes_free(&icc);
    picture_free(&p);
}

static void bad_files_name_themselves(void **state)
{
    (void)state;
    wm_photo *photo = NULL;
    wm_error err = { 0 };
    assert_int_equal(wm_photo_open(&photo, "/nowhere/client.jpg", NULL, &err), WM_E_PHOTO);
    assert_string_equal(err.file, "/nowhere/client.jpg");
    folder_write("list.jpg", "L,a,b\n1,2", 9);
    const char *path = folder_file("list.jpg");
    memset(&err, 0, sizeof err);
    assert_int_equal(wm_photo_open(&photo, path, NULL, &err), WM_E_PHOTO);
    assert_string_equal(err.file, path);
    assert_string_equal(err.text,
                        "this is a text file, not a JPEG, PNG or HEIC photo; use the photo as it left the camera");
    assert_int_equal(
        wm_photo_open(&photo, path, &(wm_photo_limits){ .max_megapixels = 200, .max_file_mib = 8e-6 }, &err),
        WM_E_PHOTO);
    assert_string_equal(err.text,
                        "the file is larger than 0 MiB; use a smaller photo or raise the setting max_file_mib");
    assert_null(photo);
}

/* ---- Colour on demand ---- */

static void linear_and_encoded_agree(void **state)
{
    (void)state;
    for (int kind = PROFILE_SRGB_V4; kind <= PROFILE_TABLE; kind++)
        for (int bits = 8; bits <= 16; bits += 8) {
            wm_bytes icc = profile_make((profile_kind)kind);
            picture p = picture_asymmetric(600, 3, bits);
            wm_photo *photo = photo_of(png_make(&p, &(png_how){ .icc = icc }), "p.png");
            wm_rgb linear[600];
            double encoded[1800];
            wm_photo_read(photo, 0, 1, 600, linear, encoded);
            for (int x = 0; x < 600; x += 57) {
                double want[3], off = kind == PROFILE_TABLE ? 0.01 : 1e-3; /* of a grid */
                wm_lab lab = wm_xyz_to_lab(wm_rgb_to_xyz(linear[x]), WM_D50);
                near("encoded", encoded[3 * x], picture_at(&p, x, 1)[0] / (bits == 16 ? 65535.0 : 255.0), 1e-15);
                profile_lab(&icc, encoded + 3 * x, want);
                near("L", lab.L, want[0], off);
                near("a", lab.a, want[1], off);
                near("b", lab.b, want[2], off);
            }
            wm_photo_close(photo);
            wm_bytes_free(&icc);
            picture_free(&p);
        }
}

/* ---- The reduced picture ---- */

/* Mean linear light of the part of the photo under one cell, pixel by pixel. */
static wm_srgb8 cell_mean(const wm_photo *photo, double x0, double x1, double y0, double y1)
{
    wm_rgb sum = { 0, 0, 0 };
    double weights = 0;
    for (int y = (int)y0; y < y1; y++)
        for (int x = (int)x0; x < x1; x++) {
            double w = (fmin(x + 1, x1) - fmax(x, x0)) * (fmin(y + 1, y1) - fmax(y, y0));
            wm_rgb linear;
            if (w <= 1e-9)
                continue;
            wm_photo_read(photo, x, y, 1, &linear, NULL);
            sum = wm_rgb_add(sum, wm_rgb_scale(linear, w));
            weights += w;
        }
    return wm_rgb_to_srgb8(wm_rgb_scale(sum, 1 / weights));
}

static void reduced_is_the_mean(void **state)
{
    (void)state;
    int worst = 0;
    for (int kind = PROFILE_SRGB_V4; kind <= PROFILE_TABLE; kind++)
        for (int o = 1; o <= 8; o += 5) {
            exif_how how = EXIF_HOW;
            how.orientation = o;
            wm_bytes icc = profile_make((profile_kind)kind), exif = exif_make(&how);
            picture p = picture_asymmetric(101, 67, kind == PROFILE_P3 ? 16 : 8);
            for (int i = 0; i < 101 * 67 * 3; i += 7)
                p.samples[i] = (uint16_t)(p.samples[i] / 3); /* contrast inside a cell */
            wm_bytes png = png_make(&p, &(png_how){ .icc = icc });
            png_insert(&png, "eXIf", exif.data, exif.size);
            wm_photo *photo = photo_of(png, "p.png");
            wm_photo_facts f = wm_photo_facts_of(photo);
            wm_picture small;
            assert_int_equal(wm_photo_reduce(&small, photo, 30, NULL), WM_OK);
            assert_int_equal(small.width, o >= 5 ? 20 : 30);
            assert_int_equal(small.height, o >= 5 ? 30 : 20);
            double sx = (double)f.width / small.width, sy = (double)f.height / small.height;
            for (int y = 0; y < small.height; y += 3)
                for (int x = 0; x < small.width; x++) {
                    wm_srgb8 want = cell_mean(photo, x * sx, (x + 1) * sx, y * sy, (y + 1) * sy);
                    const unsigned char *got = small.data + 3 * (y * small.width + x);
                    int off = abs(got[0] - want.r) > abs(got[1] - want.g) ? abs(got[0] - want.r) : abs(got[1] - want.g);
                    if (abs(got[2] - want.b) > off)
                        off = abs(got[2] - want.b);
                    if (off > worst)
                        worst = off;
                }
            wm_picture_free(&small);
            wm_photo_close(photo);
            wm_bytes_free(&icc);
            wm_bytes_free(&exif);
            picture_free(&p);
        }
    printf("# reduced picture: worst code off by %d\n", worst);
    assert_in_range(worst, 0, 1);
}

static void reduced_sizes(void **state)
{
    (void)state;
    static const int cases[][5] = { { 40, 30, 100, 40, 30 }, { 40, 30, 40, 40, 30 }, { 40, 30, 20, 20, 15 },
                                    { 400, 2, 20, 20, 1 },   { 3, 500, 50, 1, 50 },  { 40, 30, 1, 1, 1 } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        picture p = picture_asymmetric(cases[i][0], cases[i][1], 8);
        wm_photo *photo = photo_of(png_make(&p, &(png_how){ 0 }), "p.png");
        wm_picture small, again;
        assert_int_equal(wm_photo_reduce(&small, photo, cases[i][2], NULL), WM_OK);
        assert_int_equal(wm_photo_reduce(&again, photo, cases[i][2], NULL), WM_OK);
        assert_int_equal(small.width, cases[i][3]);
        assert_int_equal(small.height, cases[i][4]);
        assert_memory_equal(small.data, again.data, 3 * (size_t)small.width * (size_t)small.height);
        for (int k = 0; i == 0 && k < 40 * 30 * 3; k++)
            assert_int_equal(small.data[k], p.samples[k]); /* sRGB, not reduced: itself */
        wm_picture_free(&small);
        wm_picture_free(&again);
        wm_photo_close(photo);
        picture_free(&p);
    }
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    const struct CMUnitTest tests[] = { IN_FOLDER(orientation_of_png_is_exact),
                                        IN_FOLDER(orientation_of_jpeg),
                                        IN_FOLDER(orientation_of_heic_is_applied_once),
                                        IN_FOLDER(parts_of_jpeg),
                                        IN_FOLDER(parts_of_png),
                                        IN_FOLDER(facts),
                                        IN_FOLDER(bad_files_name_themselves),
                                        IN_FOLDER(linear_and_encoded_agree),
                                        IN_FOLDER(reduced_is_the_mean),
                                        IN_FOLDER(reduced_sizes) };
    return cmocka_run_group_tests_name("photo", tests, NULL, NULL);
}
