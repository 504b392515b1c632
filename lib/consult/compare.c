#include "consult/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "consult/change.h"
#include "consult/saved.h"
#include "measure/stage1.h"
#include "report/raster.h"

enum { COMPARE_SIDE = 900 };

/* What is left of the cast after the first stage: the mean ratio of the aids' reference to their measured colour, a
 * channel each. */
static wm_rgb balance_of(const wm_report_calibration *calibration)
{
    double r = 0, g = 0, b = 0;
    for (size_t i = 0; i < calibration->used_count; i++) {
        wm_rgb seen = wm_lab_to_rgb(calibration->used[i].measured),
               known = wm_lab_to_rgb(calibration->used[i].reference);
        r += log(fmax(known.r, 1e-4) / fmax(seen.r, 1e-4));
        g += log(fmax(known.g, 1e-4) / fmax(seen.g, 1e-4));
        b += log(fmax(known.b, 1e-4) / fmax(seen.b, 1e-4));
    }
    double n = calibration->used_count ? (double)calibration->used_count : 1;
    return (wm_rgb){ exp(r / n), exp(g / n), exp(b / n) };
}

/* The calibration on a reduced picture, as far as eyes need it, so that both show as they would in even daylight. */
static void relight(wm_picture *picture, const wm_report_calibration *calibration)
{
    size_t count = (size_t)picture->width * (size_t)picture->height;
    wm_rgb balance = balance_of(calibration);
    for (size_t i = 0; i < count; i++) {
        unsigned char *p = picture->data + 3 * i;
        wm_rgb rgb = { wm_srgb_decode(p[0] / 255.0), wm_srgb_decode(p[1] / 255.0), wm_srgb_decode(p[2] / 255.0) };
        rgb = wm_stage1_apply(&calibration->stage1, rgb);
        wm_srgb8 out = wm_rgb_to_srgb8((wm_rgb){ rgb.r * balance.r, rgb.g * balance.g, rgb.b * balance.b });
        p[0] = out.r;
        p[1] = out.g;
        p[2] = out.b;
    }
}

static wm_status relit_photo(wm_bytes *out, const wm_photo *photo, const wm_report_calibration *calibration,
                             wm_error *err)
{
    wm_picture picture = { 0 };
    wm_status status = wm_photo_reduce(&picture, photo, COMPARE_SIDE, err);
    if (status)
        return status;
    relight(&picture, calibration);
    status = wm_raster_jpeg(out, &picture, err);
    wm_picture_free(&picture);
    return status;
}

/* The picture that the book keeps, read as any other photo. A visit without one is shown without. */
static wm_status relit_visit(wm_bytes *out, const wm_bytes *jpeg, const wm_report_calibration *calibration,
                             wm_error *err)
{
    wm_photo *photo = NULL;
    if (!jpeg->size)
        return WM_OK;
    wm_status status = wm_photo_open_bytes(&photo, jpeg, "the saved picture", NULL, err);
    if (!status)
        status = relit_photo(out, photo, calibration, err);
    wm_photo_close(photo);
    return status;
}

static wm_status find_changes(wm_comparison *c, wm_error *err)
{
    wm_status status = wm_changes_between(&c->changes, &c->change_count, &c->before, &c->now, err);
    wm_changes_unpaired(&c->unpaired, &c->before, &c->now);
    if (!status && c->unpaired.failed)
        status = wm_fail_memory(err);
    c->same_session = wm_changes_same_session(&c->before, &c->now);
    if (!status && c->change_count == 0)
        status = wm_fail(
            err, WM_E_INPUT,
            "no zone has the same name in both; give them the same names (crown, temple, ..) and measure again");
    return status;
}

wm_status wm_compare_photos(wm_comparison *out, const wm_consult_input *before, const wm_consult_input *now,
                            wm_error *err)
{
    wm_comparison *c = calloc(1, sizeof *c); /* two reports: too large for a small stack */
    if (!c)
        return wm_fail_memory(err);
    wm_status status = wm_consult_measure(&c->before, NULL, before, err);
    if (!status)
        status = wm_consult_measure(&c->now, NULL, now, err);
    if (!status)
        status = find_changes(c, err);
    if (!status)
        status = relit_photo(&c->before_jpeg, before->photo, &c->before.calibration, err);
    if (!status)
        status = relit_photo(&c->now_jpeg, now->photo, &c->now.calibration, err);
    if (status)
        wm_comparison_free(c);
    else
        *out = *c;
    free(c);
    return status;
}

wm_status wm_compare_visits(wm_comparison *out, const wm_visit *before, const wm_visit *now, wm_error *err)
{
    wm_comparison *c = calloc(1, sizeof *c); /* two reports: too large for a small stack */
    if (!c)
        return wm_fail_memory(err);
    wm_status status = wm_saved_need_measured(before, err);
    if (!status)
        status = wm_saved_need_measured(now, err);
    if (!status)
        status = wm_saved_report(&c->before, before, err);
    if (!status)
        status = wm_saved_report(&c->now, now, err);
    if (!status)
        status = find_changes(c, err);
    if (!status)
        status = relit_visit(&c->before_jpeg, &before->photo_jpeg, &c->before.calibration, err);
    if (!status)
        status = relit_visit(&c->now_jpeg, &now->photo_jpeg, &c->now.calibration, err);
    if (status)
        wm_comparison_free(c);
    else
        *out = *c;
    free(c);
    return status;
}
