#include "strands.h"

#include <stdlib.h>

/* One node of a fibre each so many layout units. */
#define NODE_STEP 0.006
/* Mean light over a lock that its rounding and the deeper fibres between leave, so that hair as a whole appears at its
 * true level. */
#define LOCK_LEVEL 0.94

static double blend4(double a, double b, double c, double d, double t)
{
    return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

static int within(int i, int n)
{
    return i < 0 ? 0 : i >= n ? n - 1 : i;
}

static point along_guide(const point *g, double t)
{
    double at = t * (GUIDE_POINTS - 1);
    int i = within((int)floor(at), GUIDE_POINTS - 1);
    at -= i;
    const point *a = &g[within(i - 1, GUIDE_POINTS)], *b = &g[i], *c = &g[i + 1], *d = &g[within(i + 2, GUIDE_POINTS)];
    return (point){ blend4(a->x, b->x, c->x, d->x, at), blend4(a->y, b->y, c->y, d->y, at) };
}

point sheet_at(const sheet *s, double u, double t)
{
    double at = u * (s->guides - 1);
    int i = within((int)floor(at), s->guides - 1);
    at -= i;
    point a = along_guide(s->guide[i], t), b = along_guide(s->guide[i + 1], t);
    return (point){ a.x + at * (b.x - a.x), a.y + at * (b.y - a.y) };
}

typedef struct lock {
    double u, half, light, tint, start, end;
    double swing, turns, phase;
} lock;

typedef struct fibre {
    double across; /* -1..1 in its lock */
    double width, light;
    double gray_rank; /* gray wherever the share is above this */
    double shift, sparkle;
    double drift, drift_turns, drift_phase;
    double start, end;
    int base, gray; /* indices into the palettes */
} fibre;

static int palette_index(double u)
{
    return within((int)(u * PALETTE), PALETTE);
}

static fibre fibre_of(const tress *t, const lock *l, double across, dice *d)
{
    fibre f = { .across = across };
    f.width = t->fibre * dice_factor(d, 0.22);
    f.light = dice_factor(d, 0.10) * l->light * (1 - 0.34 * across * across);
    f.gray_rank = dice_unit(d);
    f.shift = 0.008 * dice_normal(d);
    f.sparkle = 2 * dice_unit(d) * dice_unit(d) + 0.5;
    f.drift = 0.25 * dice_normal(d);
    f.drift_turns = dice_between(d, 0.5, 2);
    f.drift_phase = dice_between(d, 0, 6.3);
    f.start = l->start + 0.004 * dice_unit(d);
    f.end = l->end - 0.7 * t->ragged * dice_unit(d) * dice_unit(d);
    double own = dice_unit(d);
    f.base = palette_index(own < 0.65 ? own / 0.65 : l->tint + 0.15 * (dice_unit(d) - 0.5));
    f.gray = dice_below(d, PALETTE);
    return f;
}

static void mix_tint(tint *out, const tress *t, const fibre *f, double age)
{
    int i = age >= 1 ? 1 : 0;
    float w = (float)(age - i);
    const tint *a = &t->base[i]->fibre[f->base], *b = &t->base[i + 1]->fibre[f->base];
    for (int k = 0; k < 3; k++) {
        out->camera[k] = a->camera[k] + w * (b->camera[k] - a->camera[k]);
        out->xyz[k] = a->xyz[k] + w * (b->xyz[k] - a->xyz[k]);
    }
}

static point fibre_point(const tress *t, const lock *l, const fibre *f, double at)
{
    double half = l->half * (1 - t->clump * at * sqrt(at));
    double u = l->u + (f->across + f->drift * at * sin(f->drift_turns * 6.2832 * at + f->drift_phase)) * half;
    u += l->swing * at * sin(l->turns * 6.2832 * at + l->phase);
    return sheet_at(t->sheet, u, at);
}

static void node(fibre_end *end, fibre_body *body, const tress *t, const lock *l, const fibre *f, double at)
{
    point p = fibre_point(t, l, f, at), px = frame_pixel(&t->frame, p);
    spot s = t->spot(t->context, p, l->u + f->across * l->half, at, f->shift);
    bool gray = t->gray && f->gray_rank < s.share;
    tint own;
    if (gray)
        own = t->gray->fibre[f->gray];
    else
        mix_tint(&own, t, f, s.age);
    double taper = (f->end - at) / 0.05;
    *end = (fibre_end){ .x = (float)px.x, .y = (float)px.y };
    end->width = (float)((gray ? 1.08 : 1) * f->width * (taper < 1 ? 0.3 + 0.7 * taper : 1));
    double light = t->plain ? s.light : s.light * f->light, mirror = t->plain ? 0 : s.light * s.sheen * f->sparkle;
    for (int k = 0; k < 3; k++) {
        end->signal[k] = (float)(light * (double)own.camera[k] + mirror);
        body->xyz[k] = own.xyz[k];
    }
    body->gray = gray ? 1 : 0;
}

static void draw_fibre(canvas *c, const tress *t, const lock *l, const fibre *f)
{
    point a = fibre_point(t, l, f, f->start), b = fibre_point(t, l, f, f->end);
    int n = 2 + (int)(1.15 * hypot(b.x - a.x, b.y - a.y) / NODE_STEP);
    fibre_end before, now;
    fibre_body body, next;
    node(&before, &body, t, l, f, f->start);
    for (int i = 1; i <= n; i++) {
        node(&now, &next, t, l, f, f->start + (f->end - f->start) * i / n);
        canvas_fibre(c, &before, &now, &body);
        before = now;
        body = next;
    }
}

/* Fibres that cover a strip of the sheet `times` over. */
static int fibres_for(const tress *t, double u_width, double times)
{
    return 1 + (int)(times * u_width * t->sheet->width * t->frame.scale / t->fibre);
}

static void draw_deep(canvas *c, const tress *t, dice *d)
{
    int n = fibres_for(t, 1, 1.8);
    for (int i = 0; i < n; i++) {
        lock l = { .u = dice_between(d, 0.03, 0.97),
                   .half = 0.02,
                   .light = t->gap_light * dice_factor(d, 0.25),
                   .tint = dice_unit(d),
                   .end = 0.97 };
        fibre f = fibre_of(t, &l, dice_between(d, -1, 1), d);
        f.sparkle = 0;
        draw_fibre(c, t, &l, &f);
    }
}

static lock random_lock(const tress *t, double u, dice *d)
{
    lock l = { .u = u };
    l.half = t->lock_half * dice_between(d, 0.6, 1.4);
    l.light = dice_factor(d, t->lock_light) / LOCK_LEVEL;
    l.tint = dice_unit(d);
    l.end = 1 - t->ragged * dice_unit(d);
    l.swing = t->wave * dice_normal(d);
    l.turns = dice_between(d, 0.4, 1.1);
    l.phase = dice_between(d, 0, 6.3);
    return l;
}

/* The outer fibres of a lock lie lowest. */
static void draw_lock(canvas *c, const tress *t, const lock *l, dice *d)
{
    int n = fibres_for(t, 2 * l->half, 1.5);
    for (int i = 0; i < n; i++) {
        double height = (i + 0.5) / n;
        double across = (1 - 0.75 * height) * dice_between(d, -1, 1) + 0.3 * height * dice_between(d, -1, 1);
        fibre f = fibre_of(t, l, across, d);
        draw_fibre(c, t, l, &f);
    }
}

void tress_draw(canvas *c, const tress *t, dice *d)
{
    draw_deep(c, t, d);
    int locks = 1 + (int)(t->layers / (2 * t->lock_half));
    /* A golden-ratio walk over the sheet: even, in no visible order. */
    double u = dice_unit(d);
    for (int i = 0; i < locks; i++) {
        u = fmod(u + 0.6180339887, 1);
        double inside = t->lock_half * 0.8 + u * (1 - 1.6 * t->lock_half);
        lock l = random_lock(t, inside, d);
        draw_lock(c, t, &l, d);
    }
}

void tress_flyaway(canvas *c, const tress *t, int count, dice *d)
{
    for (int i = 0; i < count; i++) {
        lock l = random_lock(t, dice_between(d, -0.02, 1.03), d);
        l.swing *= 3;
        l.light *= 0.9;
        fibre f = fibre_of(t, &l, 0, d);
        f.start = dice_between(d, 0, 0.4);
        f.width *= 0.7;
        draw_fibre(c, t, &l, &f);
    }
}
