#include "consult/repaint.h"

#include <math.h>
#include <stdlib.h>

#include "measure/hair.h"

/* Brighter than so many times the hair's own colour is gloss: it has the light's colour and stays as it is. Our own. */
#define GLOSS 2.0
#define LEAST 1e-5
/* Where both her colours become one, that much of the light and dark between her locks stays, as shading: all of it
 * passes for gray beside base, though hair of one colour has lights and shadows too, and without any a drawing looks
 * like cardboard. An exponent, our own. */
#define SHADING 0.4

/* The zone's own colours as the photo shows them after stage 1, and what they turn into. */
typedef struct paint {
    double share, middle, width; /* gray by luminance: none below middle - width / 2, all above middle + width / 2 */
    wm_rgb own[2], wanted[2];    /* base and gray */
    double flat; /* how much less the wanted two differ in lightness than her own: 1 where they are one */
    wm_rgb even; /* brings the mean to what is wanted */
} paint;

static double luminance(wm_rgb rgb)
{
    return 0.2126 * rgb.r + 0.7152 * rgb.g + 0.0722 * rgb.b; /* Y of linear sRGB */
}

static wm_rgb times(wm_rgb a, wm_rgb b)
{
    return (wm_rgb){ a.r * b.r, a.g * b.g, a.b * b.b };
}

static wm_rgb over(wm_rgb a, wm_rgb b)
{
    return (wm_rgb){ a.r / fmax(b.r, LEAST), a.g / fmax(b.g, LEAST), a.b / fmax(b.b, LEAST) };
}

static wm_rgb between(const wm_rgb of[2], double gray)
{
    return wm_rgb_add(wm_rgb_scale(of[0], 1 - gray), wm_rgb_scale(of[1], gray));
}

static double gray_of(const paint *p, wm_rgb pixel)
{
    return p->share > 0 ? fmin(fmax((luminance(pixel) - p->middle) / p->width + 0.5, 0), 1) : 0;
}

static double mean_gray(const paint *p, const wm_rgb *pixels, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += gray_of(p, pixels[i]);
    return sum / (double)count;
}

/* The lightest pixels are her gray: as many as its share says. */
static void find_gray(paint *p, const wm_rgb *pixels, size_t count)
{
    double low = 0, high = 4;
    p->width = fmax(luminance(p->own[1]) - luminance(p->own[0]), LEAST);
    for (int step = 0; step < 50; step++) {
        p->middle = (low + high) / 2;
        if (mean_gray(p, pixels, count) > p->share)
            low = p->middle;
        else
            high = p->middle;
    }
}

/* What light and place make of the hair at a pixel, by channel. Where two colours become one, what a pixel departs from
 * both in hue is how they were told apart and not light: there its luminance says it, and some of the light and dark
 * between the two is kept. */
static wm_rgb shade(const paint *p, wm_rgb hair, wm_rgb own)
{
    double gray = luminance(hair) / fmax(luminance(own), LEAST) * pow(luminance(own), SHADING * p->flat);
    const wm_rgb both[2] = { over(hair, own), { gray, gray, gray } };
    return between(both, p->flat);
}

static wm_rgb painted(const paint *p, wm_rgb pixel)
{
    double gray = gray_of(p, pixel);
    wm_rgb own = between(p->own, gray), wanted = between(p->wanted, gray);
    double excess = luminance(pixel) / fmax(luminance(own), LEAST) / GLOSS;
    wm_rgb hair = excess > 1 ? wm_rgb_scale(pixel, 1 / excess) : pixel;
    wm_rgb gloss = { pixel.r - hair.r, pixel.g - hair.g, pixel.b - hair.b };
    return wm_rgb_add(times(p->even, times(shade(p, hair, own), wanted)), gloss);
}

static wm_rgb mean_of(const wm_rgb *pixels, size_t count)
{
    wm_rgb sum = { 0, 0, 0 };
    for (size_t i = 0; i < count; i++)
        sum = wm_rgb_add(sum, pixels[i]);
    return wm_rgb_scale(sum, 1.0 / (double)count);
}

/* See paint.flat. */
static double flattened(const paint *p)
{
    double own = log(fmax(luminance(p->own[1]), LEAST) / fmax(luminance(p->own[0]), LEAST));
    double wanted = log(fmax(luminance(p->wanted[1]), LEAST) / fmax(luminance(p->wanted[0]), LEAST));
    return own > 0 ? fmin(fmax(1 - wanted / own, 0), 1) : 0;
}

/* light: what the calibration makes of the zone's colour beyond stage 1, undone on what is wanted. */
static paint mix(const wm_repaint_input *input, const wm_repaint_shades *shades, const wm_rgb *kept, size_t count)
{
    wm_rgb seen = mean_of(kept, count), light = over(seen, wm_lab_to_rgb(input->body)), sum = { 0, 0, 0 };
    const wm_lab own[2] = { input->has_populations ? input->base : input->body, input->gray };
    const wm_lab wanted[2] = { shades->base, shades->gray };
    paint p = { .share = input->has_populations ? input->share : 0, .even = { 1, 1, 1 } };
    for (int i = 0; i < 2; i++) {
        p.own[i] = times(light, wm_lab_to_rgb(own[i]));
        p.wanted[i] = times(light, wm_lab_to_rgb(wanted[i]));
    }
    if (p.share > 0) {
        find_gray(&p, kept, count);
        p.flat = flattened(&p);
    }
    for (size_t i = 0; i < count; i++)
        sum = wm_rgb_add(sum, painted(&p, kept[i]));
    p.even = over(between(p.wanted, p.share), wm_rgb_scale(sum, 1.0 / (double)count));
    return p;
}

/* ---- the picture ---- */

static wm_box around(const wm_box *zone, int width, int height)
{
    int mx = zone->width / 3, my = zone->height / 3;
    int left = zone->x - mx < 0 ? 0 : zone->x - mx, top = zone->y - my < 0 ? 0 : zone->y - my;
    int right = zone->x + zone->width + mx, bottom = zone->y + zone->height + my;
    right = right > width ? width : right;
    bottom = bottom > height ? height : bottom;
    return (wm_box){ left, top, right - left, bottom - top };
}

static void draw(wm_picture *picture, const wm_repaint_input *input, const wm_box *box, const paint *p, wm_rgb *row)
{
    wm_srgb8 *out = (wm_srgb8 *)picture->data;
    for (int y = 0; y < box->height; y++, out += box->width) {
        wm_photo_read(input->photo, box->x, box->y + y, box->width, row, NULL);
        for (int x = 0; p && x < box->width; x++)
            if (wm_zone_contains(input->zone, box->x + x, box->y + y))
                row[x] = wm_stage1_undo(input->stage1, painted(p, wm_stage1_apply(input->stage1, row[x])));
        wm_rgb_to_srgb8_many(out, row, (size_t)box->width);
    }
}

/* The pixels that count for the zone's colour, after stage 1. */
static wm_status read_kept(wm_kept_pixels *kept, const wm_repaint_input *input, wm_error *err)
{
    wm_window window = { 0 };
    wm_cleaning cleaning;
    wm_hair_check hair;
    wm_status status = wm_window_read(&window, input->photo, input->zone, err);
    if (!status) {
        wm_stage1_window(input->stage1, &window);
        status = input->zone->is_hair ? WM_OK : wm_hair_judge(&hair, &window, err);
    }
    if (!status)
        status = wm_window_clean(&window, &cleaning, err);
    if (!status)
        status = wm_window_kept(kept, &window, err);
    if (!status && kept->count == 0)
        status = wm_fail(err, WM_E_PHOTO, "the zone '%s' has no pixel to paint; mark it larger", input->zone->name);
    wm_window_free(&window);
    return status;
}

wm_status wm_repaint(wm_picture *out, const wm_repaint_input *input, const wm_repaint_shades *shades, wm_error *err)
{
    wm_kept_pixels kept = { 0 };
    paint p = { 0 };
    wm_photo_facts facts = wm_photo_facts_of(input->photo);
    wm_box zone = wm_zone_box(input->zone, facts.width, facts.height), box = around(&zone, facts.width, facts.height);
    wm_status status = shades ? read_kept(&kept, input, err) : WM_OK;
    if (status)
        return status;
    wm_picture picture = { box.width, box.height, malloc(3 * (size_t)box.width * (size_t)box.height) };
    wm_rgb *row = malloc((size_t)box.width * sizeof *row);
    if (picture.data && row) {
        if (shades)
            p = mix(input, shades, kept.pixels, kept.count);
        draw(&picture, input, &box, shades ? &p : NULL, row);
        *out = picture;
    } else {
        status = wm_fail_memory(err);
        free(picture.data);
    }
    free(row);
    free(kept.pixels);
    return status;
}
