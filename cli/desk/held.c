/* Held up: her own hair in the shades of the short list, in the light of the photo. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/repaint.h"
#include "desk/consultation.h"
#include "desk/resources.h"
#include "report/raster.h"

enum { SHADES_MOST = 12 };

static const wm_report_zone *zone_called(const wm_report *report, const char *name)
{
    for (size_t i = 0; i < report->zone_count; i++)
        if (strcmp(report->zones[i].name, name) == 0 && !report->zones[i].refused)
            return &report->zones[i];
    return NULL;
}

static const wm_zone *shape_called(const wm_zones *zones, const char *name)
{
    for (size_t i = 0; i < zones->count; i++)
        if (wm_zone_is_client(zones->items[i].kind) && strcmp(zones->items[i].name, name) == 0)
            return &zones->items[i];
    return NULL;
}

static wm_status fill_input(wm_repaint_input *out, const consultation *c, const char *name, wm_error *err)
{
    const wm_report_zone *seen = zone_called(&c->report, name);
    const wm_zone *shape = shape_called(&c->zones, name);
    if (!seen || !shape)
        return wm_fail(err, WM_E_INPUT, "no zone '%.60s' was measured on this photo", name);
    *out = (wm_repaint_input){ .photo = c->photo->photo,
                               .zone = shape,
                               .stage1 = &c->report.calibration.stage1,
                               .body = seen->body.lab,
                               .has_populations = seen->has_share && seen->base_known && seen->gray_known,
                               .base = seen->base.lab,
                               .gray = seen->gray.lab,
                               .share = seen->share };
    return WM_OK;
}

static wm_status write_picture(wm_buf *out, const wm_repaint_input *input, const wm_repaint_shades *shades,
                               wm_error *err)
{
    wm_picture picture = { 0 };
    wm_bytes jpeg = { 0 };
    wm_status status = wm_repaint(&picture, input, shades, err);
    if (!status)
        status = wm_raster_jpeg(&jpeg, &picture, err);
    if (!status) {
        wm_buf_text(out, "\"data:image/jpeg;base64,");
        wm_buf_base64(out, jpeg.data, jpeg.size);
        wm_buf_text(out, "\"");
    }
    wm_picture_free(&picture);
    wm_bytes_free(&jpeg);
    return status;
}

static wm_status shade_lab(wm_lab *out, const wm_catalogue *catalogue, const char *code, wm_error *err)
{
    const wm_swatch *swatch = NULL;
    const wm_status status = wm_catalogue_shade(&swatch, catalogue, code, err);
    if (!status)
        *out = swatch->lab;
    return status;
}

/* {"base": code, "gray": code}: without a gray one her gray takes the base shade too. */
static wm_status write_drawn(wm_buf *out, const wm_repaint_input *input, const consultation *c, const wm_json *wanted,
                             wm_error *err)
{
    const char *base = "", *gray = "";
    wm_repaint_shades shades;
    wm_status status = call_text(&base, wanted, "base", err);
    if (!status)
        status = call_text(&gray, wanted, "gray", err);
    if (!status)
        status = shade_lab(&shades.base, &c->catalogue, base, err);
    if (!status)
        status = shade_lab(&shades.gray, &c->catalogue, *gray ? gray : base, err);
    if (status)
        return status;
    wm_buf_text(out, "{\"base\":");
    wm_buf_json_string(out, base);
    wm_buf_text(out, ",\"gray\":");
    wm_buf_json_string(out, gray);
    wm_buf_text(out, ",\"picture\":");
    status = write_picture(out, input, &shades, err);
    wm_buf_text(out, "}");
    return status;
}

static wm_status write_all(desk_call *call, const consultation *c, const wm_repaint_input *input, const wm_json *shades,
                           wm_error *err)
{
    wm_buf *out = answer_json(call);
    size_t count = wm_json_count(shades);
    if (count > SHADES_MOST)
        return wm_fail(err, WM_E_USAGE, "at most %d shades are held up at once", SHADES_MOST);
    wm_buf_text(out, "{\"own\":");
    wm_status status = write_picture(out, input, NULL, err);
    wm_buf_text(out, ",\"drawn\":[");
    for (size_t i = 0; i < count && !status; i++) {
        wm_buf_text(out, i ? "," : "");
        status = write_drawn(out, input, c, wm_json_at(shades, i), err);
    }
    wm_buf_text(out, "]}\n");
    return status;
}

wm_status post_photo_held(desk_call *call, wm_error *err)
{
    consultation *c = NULL;
    const char *zone = "";
    wm_repaint_input input;
    wm_status status = consultation_open(&c, call, false, err);
    if (!status)
        status = call_text(&zone, c->body, "zone", err);
    if (!status)
        status = consultation_run(c, call, NULL, err);
    if (!status)
        status = fill_input(&input, c, zone, err);
    if (!status)
        status = write_all(call, c, &input, wm_json_get(c->body, "shades"), err);
    consultation_close(c, call);
    return status;
}
