#include "consult/held_up.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/repaint.h"
#include "measure/zones.h"
#include "measure/zones_file.h"
#include "report/raster.h"

enum { SHADES_SHOWN = 4 };

typedef struct hold {
    const wm_report *report;
    wm_photo *photo;
    wm_zones zones; /* in the picture's pixels */
    wm_held_up *out;
} hold;

static void scale_zones(wm_zones *zones, double factor)
{
    for (size_t i = 0; i < zones->count; i++)
        for (size_t k = 0; k < zones->items[i].point_count; k++) {
            zones->items[i].points[k].x *= factor;
            zones->items[i].points[k].y *= factor;
        }
}

static const wm_zone *marked(const hold *h, const char *name)
{
    for (size_t i = 0; i < h->zones.count; i++)
        if (wm_zone_is_client(h->zones.items[i].kind) && strcmp(h->zones.items[i].name, name) == 0)
            return &h->zones.items[i];
    return NULL;
}

/* Of the kinds in that order the first zone; of gray the grayest. */
static const wm_report_zone *zone_of(const wm_report *report, const wm_zone_kind *kinds, size_t count)
{
    const wm_report_zone *found = NULL;
    for (size_t k = 0; k < count && !found; k++)
        for (size_t i = 0; i < report->zone_count; i++) {
            const wm_report_zone *z = &report->zones[i];
            if (!z->refused && z->kind == kinds[k] && (!found || (kinds[k] == WM_ZONE_GRAY && z->share > found->share)))
                found = z;
        }
    return found;
}

static wm_status draw(const hold *h, const wm_report_zone *zone, const char *name, const wm_repaint_shades *shades,
                      wm_error *err)
{
    const wm_zone *shape = marked(h, zone->name);
    wm_picture picture = { 0 };
    if (!shape || h->out->count == WM_HELD_UP)
        return WM_OK;
    wm_repaint_input input = { .photo = h->photo,
                               .zone = shape,
                               .stage1 = &h->report->calibration.stage1,
                               .body = zone->body.lab,
                               .has_populations = zone->has_share && zone->base_known && zone->gray_known,
                               .base = zone->base.lab,
                               .gray = zone->gray.lab,
                               .share = zone->share };
    wm_status status = wm_repaint(&picture, &input, shades, err);
    if (status == WM_E_PHOTO)
        return WM_OK; /* too small in the reduced picture: it is left out */
    if (status)
        return status;
    wm_held_up_picture *p = &h->out->items[h->out->count];
    snprintf(p->zone, sizeof p->zone, "%s", zone->name);
    snprintf(p->shade, sizeof p->shade, "%s", name);
    status = wm_raster_jpeg(&p->jpeg, &picture, err);
    h->out->count += status == WM_OK;
    wm_picture_free(&picture);
    return status;
}

static wm_status draw_list(const hold *h, const wm_report_zone *zone, const wm_report_role *role, wm_error *err)
{
    wm_status status = draw(h, zone, "", NULL, err);
    for (size_t i = 0; i < role->count && i < SHADES_SHOWN && !status; i++) {
        const wm_report_shade *s = &role->shades[i];
        status = draw(h, zone, s->code, &(wm_repaint_shades){ s->lab, s->lab }, err);
    }
    return status;
}

/* As it would be sewn: each population in its own shade. */
static wm_status draw_sewn(const hold *h, const wm_report_zone *zone, wm_error *err)
{
    const wm_report_proposal *p = &h->report->proposals[0];
    char name[2 * WM_CODE_SIZE];
    if (p->shade_count < 2)
        return WM_OK;
    snprintf(name, sizeof name, "%.60s + %.60s", p->shades[0].code, p->shades[1].code);
    return draw(h, zone, name, &(wm_repaint_shades){ p->shades[0].lab, p->shades[1].lab }, err);
}

static wm_status draw_all(const hold *h, wm_error *err)
{
    static const wm_zone_kind BASE[] = { WM_ZONE_MID, WM_ZONE_ENDS, WM_ZONE_ROOT }, GRAY[] = { WM_ZONE_GRAY };
    const wm_report *r = h->report;
    const wm_report_zone *base = zone_of(r, BASE, 3), *gray = zone_of(r, GRAY, 1);
    wm_status status = base ? draw_list(h, base, &r->decision.roles[WM_ROLE_BASE], err) : WM_OK;
    if (!status && gray)
        status = draw_list(h, gray, &r->decision.roles[WM_ROLE_GRAY], err);
    if (!status && gray)
        status = draw_sewn(h, gray, err);
    return status;
}

wm_status wm_held_up_of(wm_held_up *out, const wm_report *report, const wm_report_pictures *pictures, wm_error *err)
{
    wm_held_up made = { .count = 0 };
    hold h = { .report = report, .out = &made };
    wm_warnings not_shown = { 0 };
    if (!pictures || !pictures->photo_jpeg.size || !pictures->zones_json.size || report->no_shade_named ||
        report->proposal_count == 0 || report->photo.width < 1) {
        out->count = 0;
        return WM_OK;
    }
    wm_status status = wm_photo_open_bytes(&h.photo, &pictures->photo_jpeg, "the saved picture", NULL, err);
    if (status == WM_E_PHOTO) { /* a page without these pictures rather than none: the book's copy is damaged */
        out->count = 0;
        return WM_OK;
    }
    if (!status)
        status = wm_zones_add_json(&h.zones, (const char *)pictures->zones_json.data, pictures->zones_json.size,
                                   "the saved zones", &not_shown, err);
    if (!status) {
        scale_zones(&h.zones, (double)wm_photo_facts_of(h.photo).width / report->photo.width);
        status = draw_all(&h, err);
    }
    wm_warnings_free(&not_shown);
    wm_zones_free(&h.zones);
    wm_photo_close(h.photo);
    if (status)
        wm_held_up_free(&made);
    else
        *out = made;
    return status;
}
