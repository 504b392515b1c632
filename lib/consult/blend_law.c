#include "consult/blend_law.h"

#include <math.h>
#include <string.h>

#include "consult/survey.h"
#include "match/shades.h"

/* As wide as this the fit says nothing: half of all that g may be. */
static const double WIDEST = (WM_HAIR_LAW_HIGH - WM_HAIR_LAW_LOW) / 2;

static wm_status add_shade(wm_blend_law *law, const wm_catalogue *catalogue, const char *code, wm_error *err)
{
    const wm_swatch *shade = NULL;
    const wm_status status = wm_catalogue_shade(&shade, catalogue, code, err);
    if (status)
        return status;
    if (!law->dark || strcmp(law->dark->code, shade->code) == 0)
        law->dark = shade;
    else if (!law->light || strcmp(law->light->code, shade->code) == 0)
        law->light = shade;
    else
        return wm_fail(err, WM_E_INPUT, "three shades are marked; mark only the two that the blend is made of");
    return WM_OK;
}

static wm_status find_shades(wm_blend_law *law, const wm_zones *zones, const wm_catalogue *catalogue, wm_error *err)
{
    wm_status status = WM_OK;
    size_t blends = 0;
    for (size_t i = 0; i < zones->count && !status; i++) {
        if (zones->items[i].kind == WM_ZONE_SWATCH)
            status = add_shade(law, catalogue, zones->items[i].code, err);
        blends += wm_zone_is_client(zones->items[i].kind);
    }
    if (!status && (!law->dark || !law->light || blends != 1))
        status = wm_fail(
            err, WM_E_INPUT,
            "the blend and its shades are not marked; mark both pure shades as swatches with their codes, and the 50/50 blend as one zone of kind mid");
    if (!status && law->dark->lab.L > law->light->lab.L) {
        const wm_swatch *lighter = law->dark;
        law->dark = law->light;
        law->light = lighter;
    }
    return status;
}

/* fit.g_low..g_high is what 1 dE00 allows. */
static void widen_to_photo(wm_blend_law *law)
{
    const double g = law->fit.law.g, u = fmax(law->blend.u_de00, 1);
    law->g_low = fmax(g - u * (g - law->fit.g_low), WM_HAIR_LAW_LOW);
    law->g_high = fmin(g + u * (law->fit.g_high - g), WM_HAIR_LAW_HIGH);
}

static const char *why_not(const wm_blend_law *law)
{
    if (law->blend.claim == WM_CLAIM_ROUGH)
        return "the photo is too rough for it; hold both shades against the blend, in even daylight, and take it again";
    if (law->fit.g_high - law->fit.g_low >= WIDEST)
        return "the two shades are too alike to tell one law from another; take a dark and a light one";
    if (law->fit.de00 > 2 * law->blend.u_de00)
        return "no law makes this blend of these shades; check their codes, and that it is half of each by weight and hackled through";
    return NULL;
}

wm_status wm_blend_law_of(wm_blend_law *out, const wm_photo *photo, const wm_zones *zones,
                          const wm_catalogue *catalogue, wm_error *err)
{
    wm_blend_law law = { 0 };
    wm_survey survey = { 0 };
    wm_status status = find_shades(&law, zones, catalogue, err);
    if (!status)
        status = wm_survey_zones(&survey, &(wm_survey_marked){ photo, zones, catalogue, NULL }, err);
    if (status)
        return status;
    law.blend = survey.zones[0].body;
    law.fit = wm_fit_hair_law(law.dark->lab, law.light->lab, law.blend.lab);
    widen_to_photo(&law);
    law.why_not = why_not(&law);
    law.warnings = survey.warnings;
    survey.warnings = (wm_warnings){ 0 };
    wm_survey_free(&survey);
    *out = law;
    return WM_OK;
}
