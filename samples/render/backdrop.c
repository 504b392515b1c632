#include "backdrop.h"

#include <string.h>

#include "texture.h"

static const point face[] = { { .560, .120 }, { .520, .138 }, { .492, .152 }, { .473, .178 }, { .461, .208 },
                              { .454, .240 }, { .456, .262 }, { .449, .285 }, { .430, .322 }, { .421, .338 },
                              { .426, .350 }, { .439, .356 }, { .436, .370 }, { .430, .382 }, { .439, .391 },
                              { .432, .400 }, { .437, .413 }, { .439, .427 }, { .437, .445 }, { .449, .466 },
                              { .478, .476 }, { .520, .462 }, { .560, .440 }, { .620, .400 }, { .640, .250 },
                              { .610, .140 } };
static const point neck[] = { { .520, .440 }, { .484, .474 }, { .487, .530 }, { .480, .580 }, { .478, .650 },
                              { .560, .700 }, { .680, .680 }, { .740, .600 }, { .700, .500 }, { .690, .430 } };
static const point cape[] = { { .250, 1.40 }, { .300, 1.08 }, { .318, .900 }, { .350, .770 }, { .410, .680 },
                              { .480, .628 }, { .525, .598 }, { .560, .604 }, { .620, .625 }, { .690, .600 },
                              { .740, .590 }, { .830, .630 }, { .920, .710 }, { .965, .800 }, { .990, .920 },
                              { 1.00, 1.08 }, { 1.03, 1.40 } };
static const point hair_outline[] = { { .500, .160 }, { .560, .110 }, { .640, .075 }, { .760, .110 },
                                      { .845, .220 }, { .845, .360 }, { .800, .560 }, { .770, .890 },
                                      { .620, .920 }, { .500, .890 }, { .505, .560 }, { .480, .330 } };
static const point parting[] = { { .505, .154 }, { .555, .123 }, { .600, .107 }, { .655, .098 }, { .714, .100 },
                                 { .716, .108 }, { .655, .108 }, { .600, .117 }, { .556, .133 }, { .517, .157 } };
static const point brow[] = { { .4570, .2560 }, { .4640, .2490 }, { .4790, .2500 },
                              { .4840, .2530 }, { .4760, .2530 }, { .4650, .2545 } };
static const point lash[] = { { .4530, .2930 }, { .4590, .2985 }, { .4680, .3000 },
                              { .4750, .2975 }, { .4690, .3025 }, { .4590, .3015 } };
static const point lips[] = { { .4310, .3825 }, { .4365, .3780 }, { .4480, .3880 },
                              { .4405, .3990 }, { .4335, .3995 }, { .4385, .3905 } };
enum {
    FACE = sizeof face / sizeof face[0],
    NECK = sizeof neck / sizeof neck[0],
    CAPE = sizeof cape / sizeof cape[0],
    OUTLINE = sizeof hair_outline / sizeof hair_outline[0],
    PARTING = sizeof parting / sizeof parting[0],
    BROW = sizeof brow / sizeof brow[0],
    LASH = sizeof lash / sizeof lash[0],
    LIPS = sizeof lips / sizeof lips[0]
};

/* A material under a soft light from the left: `round` darkens towards the right edge of its own mask, `shadow` where
 * hair hangs over it. */
typedef struct surface {
    const frame *frame;
    tint tint, flushed; /* flushed: where skin is redder, with `flushes` */
    bool flushes;
    texture_relief *relief; /* NULL: even */
    uint64_t seed;
    const mask *round, *shadow;
    double light, depth, cast, reach;
} surface;

static void surface_signal(const void *context, double px, double py, float signal[3])
{
    const surface *s = context;
    double light = s->light;
    if (s->round) {
        double d = s->reach * s->frame->scale;
        double slope = mask_at(s->round, px - d, py - d) - mask_at(s->round, px + d, py + d);
        light *= 1 - s->depth * slope - 0.5 * s->depth * (1 - mask_at(s->round, px, py));
    }
    if (s->shadow)
        light *= 1 - s->cast * mask_at(s->shadow, px - 0.012 * s->frame->scale, py - 0.02 * s->frame->scale);
    const double u = (px - s->frame->x0) / s->frame->scale, v = (py - s->frame->y0) / s->frame->scale;
    const float flush = s->flushes ? (float)texture_flush(s->seed, u, v) : 0;
    if (s->relief)
        light *= s->relief(s->seed, u, v);
    for (int k = 0; k < 3; k++)
        signal[k] = (float)light * (s->tint.camera[k] + flush * (s->flushed.camera[k] - s->tint.camera[k]));
}

static tint tint_of(const scene *s, spectrum r)
{
    return sensor_tint(&s->sensor, &r);
}

/* Paints of salons and dyes of capes: base, height, centre and width of their hill. */
static spectrum one_of(dice *d, const double paints[4][4])
{
    const double *p = paints[dice_below(d, 4)];
    return paint_reflectance(p[0], p[1], p[2], p[3]);
}

static void draw_wall(scene *s, uint64_t seed)
{
    static const double PAINTS[4][4] = {
        { 0.34, 0.07, 640, 90 }, { 0.40, 0.16, 620, 80 }, { 0.33, 0.08, 540, 60 }, { 0.34, 0.08, 480, 60 }
    };
    canvas *c = &s->canvas;
    dice d = dice_for(seed, "wall");
    tint wall = tint_of(s, one_of(&d, PAINTS));
    tint panel = tint_of(s, paint_reflectance(0.22, 0.05, 620, 90));
    for (int y = 0; y < c->height; y++)
        for (int x = 0; x < c->width; x++) {
            double u = (x - s->frame.x0) / s->frame.scale, v = (y - s->frame.y0) / s->frame.scale;
            double light = 1.06 - 0.38 * (u - 0.1) / 1.3 - 0.22 * v;
            double w = 1 / (1 + exp(-(v - 0.80) * 160));
            double rail = exp(-(v - 0.80) * (v - 0.80) / 2e-5);
            light *= texture_wall(seed, u, v);
            float signal[3];
            for (int k = 0; k < 3; k++)
                signal[k] = (float)(light * (1 - 0.25 * rail)) *
                            (wall.camera[k] + (float)w * (panel.camera[k] - wall.camera[k]));
            canvas_paint(c, x, y, 1, signal);
        }
}

/* A material: its reflectance, for skin the flushed one, its relief. */
typedef struct material {
    spectrum plain, flushed;
    bool flushes;
    texture_relief *relief;
    uint64_t seed;
} material;

static void draw_part(scene *s, const point *shape, int n, const material *m, double depth, const mask *shadow)
{
    mask round;
    if (!mask_make(&round, &s->canvas, &s->frame))
        return;
    mask_shape(&round, &s->frame, shape, n);
    mask_blur(&round, &s->frame, 0.045);
    surface skin = { .frame = &s->frame,
                     .tint = tint_of(s, m->plain),
                     .flushed = tint_of(s, m->flushes ? m->flushed : m->plain),
                     .flushes = m->flushes,
                     .relief = m->relief,
                     .seed = m->seed,
                     .round = &round,
                     .shadow = shadow,
                     .light = 1,
                     .depth = depth,
                     .cast = 0.55,
                     .reach = 0.02 };
    paint_shape(&s->canvas, &s->frame, shape, n, surface_signal, &skin);
    mask_free(&round);
}

static void draw_mark(scene *s, const point *shape, int n, spectrum r)
{
    surface mark = { .frame = &s->frame, .tint = tint_of(s, r), .light = 0.8 };
    paint_shape(&s->canvas, &s->frame, shape, n, surface_signal, &mark);
}

bool backdrop_person(scene *s)
{
    mask shadow;
    static const double CLOTHS[4][4] = {
        { 0.045, 0.03, 490, 60 }, { 0.040, 0.09, 640, 50 }, { 0.050, 0.02, 560, 90 }, { 0.045, 0.05, 550, 50 }
    };
    const uint64_t client = (uint64_t)s->o->client;
    dice d = dice_for(client, "skin"), e = dice_for(client, "cape");
    const double melanin = dice_between(&d, 0.16, 0.40), blood = dice_between(&d, 0.24, 0.36);
    const spectrum skin = skin_reflectance(melanin, blood);
    const material flesh = { skin, skin_reflectance(melanin * 1.05, blood * 1.5), true, texture_skin, client },
                   cloth = { .plain = one_of(&e, CLOTHS), .relief = texture_weave, .seed = client };
    if (!mask_make(&shadow, &s->canvas, &s->frame))
        return false;
    mask_shape(&shadow, &s->frame, hair_outline, OUTLINE);
    mask_blur(&shadow, &s->frame, 0.02);
    draw_wall(s, client);
    draw_part(s, neck, NECK, &flesh, 0.5, &shadow);
    draw_part(s, cape, CAPE, &cloth, 0.8, &shadow);
    draw_part(s, face, FACE, &flesh, 0.42, &shadow);
    draw_mark(s, lips, LIPS, skin_reflectance(0.30, 0.42));
    pigment dark = { 14, 2.5, 0, 0, 0, .05, .6 };
    draw_mark(s, brow, BROW, hair_reflectance(&dark));
    draw_mark(s, lash, LASH, hair_reflectance(&dark));
    draw_mark(s, parting, PARTING, skin);
    mask_free(&shadow);
    return true;
}

bool backdrop_table(scene *s)
{
    canvas *c = &s->canvas;
    tint table = tint_of(s, flat_reflectance(0.62, 0.02));
    for (int y = 0; y < c->height; y++)
        for (int x = 0; x < c->width; x++) {
            float signal[3], light = (float)(1.03 - 0.06 * x / c->width);
            for (int k = 0; k < 3; k++)
                signal[k] = light * table.camera[k];
            canvas_paint(c, x, y, 1, signal);
        }
    return true;
}

/* A soft shadow of something that lies on the scene; the light comes from the upper left. */
static void soft_shadow(scene *s, point low, point high, double strength)
{
    double reach = 0.012;
    point a = frame_pixel(&s->frame, (point){ low.x - reach, low.y - reach }),
          b = frame_pixel(&s->frame, (point){ high.x + 2 * reach, high.y + 2 * reach });
    for (int y = (int)a.y; y < (int)b.y; y++)
        for (int x = (int)a.x; x < (int)b.x; x++) {
            double u = (x - s->frame.x0) / s->frame.scale, v = (y - s->frame.y0) / s->frame.scale;
            double dx = fmax(fmax(3 * (low.x - u), u - high.x - 0.7 * reach), 0),
                   dy = fmax(fmax(3 * (low.y - v), v - high.y - 0.7 * reach), 0);
            double w = 1 - hypot(dx, dy) / reach;
            if (w > 0)
                canvas_shade(&s->canvas, x, y, (float)(1 - strength * w * w));
        }
}

void backdrop_under_swatch(scene *s, point at, point size)
{
    soft_shadow(s, at, (point){ at.x + size.x, at.y + 0.9 * size.y }, 0.5);
}

static void tag_signal(const void *context, double u, double v, float signal[3])
{
    const surface *s = context;
    /* two printed lines */
    bool ink = (fabs(v - 0.40) < 0.07 && u > 0.15 && u < 0.70) || (fabs(v - 0.66) < 0.05 && u > 0.15 && u < 0.50);
    for (int k = 0; k < 3; k++)
        signal[k] = (float)s->light * s->tint.camera[k] * (ink ? 0.25F : 1);
}

void backdrop_tag(scene *s, point at, point size)
{
    double h = 0.016;
    surface paper = { .frame = &s->frame, .tint = tint_of(s, paint_reflectance(0.66, 0.06, 620, 90)), .light = 0.95 };
    point c[4] = { { at.x - 0.003, at.y - h },
                   { at.x + size.x + 0.003, at.y - h },
                   { at.x + size.x + 0.003, at.y + 0.004 },
                   { at.x - 0.003, at.y + 0.004 } };
    soft_shadow(s, c[0], c[2], 0.3);
    paint_board(&s->canvas, &s->frame, c, tag_signal, &paper);
}

void backdrop_under_board(scene *s, const point corner[4])
{
    mask shadow;
    if (!mask_make(&shadow, &s->canvas, &s->frame))
        return;
    mask_polygon(&shadow, &s->frame, corner, 4);
    mask_blur(&shadow, &s->frame, 0.010);
    double shift = 0.006 * s->frame.scale;
    for (int y = 0; y < s->canvas.height; y++)
        for (int x = 0; x < s->canvas.width; x++) {
            double w = mask_at(&shadow, x - shift, y - shift);
            if (w > 0)
                canvas_shade(&s->canvas, x, y, (float)(1 - 0.4 * w));
        }
    mask_free(&shadow);
}
