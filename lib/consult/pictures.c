#include "consult/pictures.h"

#include <stdint.h>
#include <stdlib.h>

#include "core/buf.h"
#include "measure/zones_file.h"
#include "report/figure.h"
#include "report/raster.h"

wm_status wm_pictures__zones(wm_bytes *out, const wm_photo *photo, const wm_zones *zones, wm_error *err)
{
    wm_buf text = { 0 };
    wm_zones_write_json(&text, zones, wm_photo_facts_of(photo).file);
    wm_status status = wm_buf_status(&text, err);
    if (status)
        wm_buf_free(&text);
    else
        *out = (wm_bytes){ (unsigned char *)text.data, text.size };
    return status;
}

/* ---- the gray map ---- */

/* The nearest photo pixel stands for each pixel of the picture: areas keep their shares, as a vote of all of them would
 * not. */
static int nearest(int small, int small_side, int side)
{
    return (int)((2 * (int64_t)small + 1) * side / (2 * (int64_t)small_side));
}

/* The first picture pixel whose photo pixel is at or after `from`. */
static int first_from(int from, int small_side, int side)
{
    int small = (int)((int64_t)from * small_side / side);
    while (small > 0 && nearest(small - 1, small_side, side) >= from)
        small--;
    while (small < small_side && nearest(small, small_side, side) < from)
        small++;
    return small;
}

typedef struct map {
    unsigned char *rgba;
    int width, height, photo_width, photo_height;
} map;

/* box: of squares of 2^halvings pixels of the photo. */
static void paint(map *m, const wm_box *box, int halvings, const unsigned char *classes)
{
    int left = first_from(box->x << halvings, m->width, m->photo_width),
        right = first_from((box->x + box->width) << halvings, m->width, m->photo_width);
    int top = first_from(box->y << halvings, m->height, m->photo_height),
        bottom = first_from((box->y + box->height) << halvings, m->height, m->photo_height);
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            size_t column = (size_t)((nearest(x, m->width, m->photo_width) >> halvings) - box->x);
            size_t row = (size_t)((nearest(y, m->height, m->photo_height) >> halvings) - box->y);
            wm_pixel_class class = (wm_pixel_class)classes[row * (size_t)box->width + column];
            if (class != WM_CLASS_OUTSIDE)
                wm_figure_class(m->rgba + 4 * ((size_t)y * (size_t)m->width + (size_t)x), class, x, y);
        }
}

static wm_status paint_zone(map *m, const wm_surveyed_zone *zone, wm_error *err)
{
    const wm_window *window = &zone->window;
    if (zone->refused || !window->flags)
        return WM_OK;
    unsigned char *classes = malloc((size_t)window->box.width * (size_t)window->box.height);
    if (!classes)
        return wm_fail_memory(err);
    wm_gray_classify(window, &zone->gray, classes);
    paint(m, &window->box, window->halvings, classes);
    free(classes);
    return WM_OK;
}

static wm_status gray_map(wm_bytes *out, const wm_photo *photo, const wm_picture *small, const wm_survey *survey,
                          wm_error *err)
{
    wm_photo_facts facts = wm_photo_facts_of(photo);
    map m = { calloc((size_t)small->width * (size_t)small->height, 4), small->width, small->height, facts.width,
              facts.height };
    wm_status status = m.rgba ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; i < survey->zone_count && !status; i++)
        status = paint_zone(&m, &survey->zones[i], err);
    if (!status)
        status = wm_raster_png(out, m.rgba, m.width, m.height, err);
    free(m.rgba);
    return status;
}

wm_status wm_pictures__of(wm_report_pictures *out, const wm_photo *photo, const wm_zones *zones,
                          const wm_survey *survey, wm_error *err)
{
    wm_report_pictures made = { 0 };
    wm_picture small = { 0 };
    wm_status status = wm_pictures__zones(&made.zones_json, photo, zones, err);
    if (!status)
        status = wm_photo_reduce(&small, photo, WM_PICTURE_SIDE, err);
    if (!status)
        status = wm_raster_jpeg(&made.photo_jpeg, &small, err);
    if (!status)
        status = gray_map(&made.gray_map_png, photo, &small, survey, err);
    wm_picture_free(&small);
    if (status)
        wm_report_pictures_free(&made);
    else
        *out = made;
    return status;
}

wm_status wm_pictures_thumbnail(wm_bytes *out, const wm_bytes *jpeg, int max_side, wm_error *err)
{
    wm_photo *photo = NULL;
    wm_picture small = { 0 };
    wm_status status = wm_photo_open_bytes(&photo, jpeg, "the saved picture", NULL, err);
    if (!status)
        status = wm_photo_reduce(&small, photo, max_side, err);
    if (!status)
        status = wm_raster_jpeg(out, &small, err);
    wm_picture_free(&small);
    wm_photo_close(photo);
    return status;
}
