#include "consult/reading.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double EXTREME_REFUSE = 0.20; /* C15 */

wm_status wm_reading_judge_hair(wm_hair_check *out, wm_window *window, const wm_zone *zone, wm_error *err)
{
    *out = (wm_hair_check){ .verdict = WM_HAIR_YES, .why = "" };
    return zone->is_hair ? WM_OK : wm_hair_judge(out, window, err);
}

/* Is it hair, and cleaning; everything before the gray rules. */
static wm_status judge_and_clean(wm_reading *r, const wm_zone *zone, const wm_reading *marked, wm_error *err)
{
    wm_status status = WM_OK;
    if (marked) {
        r->hair = marked->hair;
        r->cleaning = marked->cleaning;
        status = wm_window_clean_along(&r->window, &r->cleaning, err);
    } else {
        status = wm_reading_judge_hair(&r->hair, &r->window, zone, err);
        if (!status)
            status = wm_window_clean(&r->window, &r->cleaning, err);
    }
    if (r->window.extreme_share > EXTREME_REFUSE) {
        r->refused = true;
        snprintf(r->why, sizeof r->why, "%.0f %% of it is blown out or black", 100 * r->window.extreme_share);
    } else if (!status && r->hair.verdict == WM_HAIR_NO) {
        r->refused = true;
        snprintf(r->why, sizeof r->why, "this is not hair (%s)", r->hair.why);
    }
    return status;
}

static wm_status prepare(wm_reading *r, wm_error *err)
{
    wm_status status = wm_window_kept(&r->kept, &r->window, err);
    if (status)
        return status;
    if (r->kept.count == 0) {
        r->refused = true;
        snprintf(r->why, sizeof r->why, "no pixel is left once clipped pixels and what isn't hair are taken out");
        return WM_OK;
    }
    r->light = wm_hair_light_of(&r->window);
    status = wm_gray_prepare(&r->pixels, r->kept.pixels, r->kept.count, err);
    if (r->marked)
        r->line = r->marked->line;
    else if (!status && !r->flat)
        status = wm_pigment_line_of(&r->line, &r->window, r->cleaning.direction_rad, err);
    return status;
}

wm_status wm_reading_make(wm_reading **out, wm_window *window, const wm_zone *zone, const wm_reading *marked,
                          wm_error *err)
{
    wm_reading *r = calloc(1, sizeof *r);
    if (!r) {
        wm_window_free(window);
        return wm_fail_memory(err);
    }
    r->window = *window;
    *window = (wm_window){ 0 };
    r->flat = zone->kind == WM_ZONE_SWATCH;
    r->marked = marked;
    r->holders = 1;
    wm_status status = judge_and_clean(r, zone, marked, err);
    if (!status && !r->refused)
        status = prepare(r, err);
    if (status)
        wm_reading_release(r);
    else
        *out = r;
    return status;
}

/* What the zone as marked gave with a reference or without. */
static const wm_gray *gray_as_marked(const wm_reading *r, bool compared)
{
    if (!r->marked)
        return NULL;
    if (compared)
        return r->marked->compared.known ? &r->marked->compared.gray : NULL;
    return r->marked->blind.known ? &r->marked->blind.gray : NULL;
}

/* The light with its cells. */
static wm_status see_cells(wm_reading *r, wm_error *err)
{
    return wm_hair_light_cells(&r->light, &r->window, r->cleaning.direction_rad, err);
}

static wm_status settle(wm_gray *gray, wm_reading *r, wm_error *err)
{
    const wm_status status = wm_gray_asks_cells(gray, &r->light) ? see_cells(r, err) : WM_OK;
    if (status)
        return status;
    const wm_gray_light light = wm_gray_light_of(gray, &r->light);
    wm_gray_settle(gray, &light);
    return WM_OK;
}

/* input: what is asked; the reading's pixels are put in. */
static wm_status measure(wm_gray *out, wm_reading *r, wm_gray_input input, wm_error *err)
{
    input.pixels = r->kept.pixels;
    input.count = r->kept.count;
    input.burnt = r->kept.burnt;
    input.prepared = r->pixels;
    input.zone_pixels = r->window.zone_pixels;
    input.in_locks = !r->flat;
    input.sheen_everywhere = r->cleaning.sheen_everywhere;
    input.marked = gray_as_marked(r, input.reference != NULL);
    const wm_status status = wm_gray_measure(out, &input, err);
    return status || r->flat ? status : settle(out, r, err);
}

/* Before a comparison only the mixture is looked at. */
static wm_status measure_blind(wm_gray *out, wm_reading *r, const wm_reading_ask *ask, wm_error *err)
{
    const bool without_sd = ask->reference != NULL, kept = r->blind.known && (without_sd || r->blind_has_sd);
    if (ask->gray_swatch || !kept) {
        const wm_gray_input input = { .gray_swatch = ask->gray_swatch, .without_sd = without_sd };
        const wm_status status = measure(out, r, input, err);
        if (status || ask->gray_swatch)
            return status;
        r->blind.known = true;
        r->blind_has_sd = !without_sd;
        r->blind.gray = *out;
    }
    *out = r->blind.gray;
    return WM_OK;
}

/* G4: the reference, set in the light of the zone. */
static wm_status place_reference(wm_rgb *out, wm_reading *r, const wm_reading_ask *ask, wm_error *err)
{
    wm_gray gray;
    *out = r->marked && r->marked->compared.known ? r->marked->compared.reference : *ask->reference;
    if (r->marked || wm_gray_in_its_light(r->pixels, *out))
        return WM_OK;
    wm_status status = measure_blind(&gray, r, ask, err);
    if (!status)
        status = see_cells(r, err);
    if (status)
        return status;
    const wm_gray_light light = wm_gray_light_of(&gray, &r->light);
    *out = wm_gray_reference_for(*ask->reference, &gray, &light);
    return WM_OK;
}

static wm_status measure_compared(wm_gray *out, wm_reading *r, const wm_reading_ask *ask, wm_error *err)
{
    wm_rgb reference;
    const wm_status status = place_reference(&reference, r, ask, err);
    const wm_gray_input compared = { .reference = &reference, .gray_swatch = ask->gray_swatch };
    if (status || ask->gray_swatch)
        return status ? status : measure(out, r, compared, err);
    if (!r->compared.known || memcmp(&reference, &r->compared.reference, sizeof reference) != 0) {
        r->compared.known = false;
        const wm_status measured = measure(&r->compared.gray, r, compared, err);
        if (measured)
            return measured;
        r->compared.known = true;
        r->compared.reference = reference;
    }
    *out = r->compared.gray;
    return WM_OK;
}

wm_status wm_reading_gray(wm_gray *out, wm_reading *r, const wm_reading_ask *ask, wm_error *err)
{
    wm_gray gray;
    const wm_status status = ask->reference ? measure_compared(&gray, r, ask, err) : measure_blind(&gray, r, ask, err);
    if (!status)
        *out = gray;
    return status;
}

wm_status wm_reading_reference(wm_rgb *out, const wm_reading *r, wm_error *err)
{
    return wm_gray_reference(out, r->kept.pixels, r->kept.count, err);
}

wm_reading *wm_reading_hold(wm_reading *r)
{
    r->holders++;
    return r;
}

void wm_reading_release(wm_reading *r)
{
    if (!r || --r->holders > 0)
        return;
    wm_window_free(&r->window);
    wm_gray_pixels_free(r->pixels);
    wm_hair_light_free(&r->light);
    free(r->kept.pixels);
    free(r);
}

size_t wm_reading_bytes(const wm_reading *r)
{
    const size_t pixels = (size_t)r->window.box.width * (size_t)r->window.box.height;
    return sizeof *r + pixels * (2 * sizeof(wm_rgb) + 1 + sizeof(double)) +
           r->kept.count * (sizeof(wm_rgb) + 1 + sizeof(double));
}
