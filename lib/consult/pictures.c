#include "consult/pictures.h"

#include <stdlib.h>

#include "core/buf.h"
#include "measure/zones_file.h"
#include "report/figure.h"

static wm_status zones_text(wm_bytes *out, const wm_photo *photo, const wm_zones *zones, wm_error *err)
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

wm_status wm_pictures__of(wm_report_pictures *out, const wm_photo *photo, const wm_zones *zones, const wm_survey *survey, wm_error *err)
{
    wm_report_pictures made = { 0 };
    wm_picture small = { 0 };
    (void)survey;
    wm_status status = zones_text(&made.zones_json, photo, zones, err);
    if (!status)
        status = wm_photo_reduce(&small, photo, WM_PICTURE_SIDE, err);
    if (!status)
        status = wm_figure_jpeg(&made.photo_jpeg, &small, err);
    wm_picture_free(&small);
    if (status)
        wm_report_pictures_free(&made);
    else
        *out = made;
    return status;
}
