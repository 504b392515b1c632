/* photo without memory: the walk, opening both ways, the reduced picture. (stb's own allocations end in one line, too.)
 */
#include "photo/photo.h"
#include "starve.h"
#include "support/near.h"

#include "support/folder.h"
#include "support/pictures.h"

#include <stdlib.h>
#include <string.h>

/* Made while there is memory. */
static wm_bytes file, icc;
static wm_photo *photo;

static bool scan(void)
{
    wm_container c = { .width = 77 };
    wm_error err = { 0 };
    bool done = good(wm_container_scan(&c, &file, NULL, &err), &err);
    if (done)
        wm_container_free(&c);
    else
        assert_true(c.width == 77 && !c.icc.data);
    return done;
}

static bool open_whole(void)
{
    wm_photo *opened = NULL;
    wm_error err = { 0 };
    wm_status status = wm_photo_open_in_process(&opened, &file, "photo.png", NULL, &err);
    if (status == WM_E_PHOTO && strstr(err.text, "not enough memory to decode"))
        return false; /* what the decoder's own allocations end in */
    bool done = good(status, &err);
    assert_true(done == (opened != NULL));
    wm_photo_close(opened);
    return done;
}

static bool open_by_helper(void)
{
    wm_photo *opened = NULL;
    wm_error err = { 0 };
    bool done = good(wm_photo_open_bytes(&opened, &file, "photo.png", NULL, &err), &err);
    assert_true(done == (opened != NULL));
    wm_photo_close(opened);
    return done;
}

static bool reduce(void)
{
    wm_picture shown = { .width = 77 };
    wm_error err = { 0 };
    bool done = good(wm_photo_reduce(&shown, photo, 20, &err), &err);
    if (done)
        wm_picture_free(&shown);
    else
        assert_true(shown.width == 77 && !shown.data);
    return done;
}

static void photos(void **state)
{
    (void)state;
    const exif_how said = { false, 6, "Inventa", "P1", "2025:06:01 14:30:05", 1, 1, 40, 24, 0, NULL };
    wm_bytes exif = exif_make(&said);
    picture p = picture_asymmetric(40, 24, 8);
    for (int kind = PROFILE_SRGB_V4; kind <= PROFILE_TABLE; kind++) {
        icc = profile_make((profile_kind)kind);
        file = jpeg_make(&p, &(jpeg_how){ .quality = 90, .icc = icc, .exif = exif });
        starve("walk of a JPEG", scan);
        wm_bytes_free(&file);
        file = png_make(&p, &(png_how){ .icc = icc });
        png_insert(&file, "eXIf", exif.data, exif.size);
        starve("walk of a PNG", scan);
        starve("photo in this process", open_whole);
        starve("photo by the helper", open_by_helper);
        folder_write("photo.png", file.data, file.size);
        assert_int_equal(wm_photo_open(&photo, folder_file("photo.png"), NULL, NULL), WM_OK);
        starve("reduced picture", reduce);
        wm_photo_close(photo);
        wm_bytes_free(&file);
        wm_bytes_free(&icc);
    }
    wm_bytes_free(&exif);
    picture_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test_setup_teardown(photos, folder_make, folder_remove) };
    return cmocka_run_group_tests_name("photo_memory", tests, NULL, NULL);
}
