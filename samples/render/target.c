#include "target.h"

#include "backdrop.h"

#include <math.h>
#include <string.h>

/* The frame around the patches, share of the board. */
#define MARGIN 0.06
/* Radius of the oval patches, in cells; what is sampled reaches 0.36. */
#define ROUND 0.45

spectrum card_reflectance(double level)
{
    return flat_reflectance(level, level > 0.5 ? 0.004 : 0.01);
}

typedef struct patch {
    const char *name;
    pigment hair; /* used when scatter > 0 */
    double base, height, centre, width;
} patch;

/* Paints that resemble hair are mixed half with a smooth hill, so that they are like hair in colour but not in
 * spectrum. */
#define NO_HAIR                                                                                                        \
    {                                                                                                                  \
        0, 0, 0, 0, 0, 0, 0                                                                                            \
    }

/* Neutrals climb and fall across the board, so that no turn of it looks like another. */
static const patch patches[PATCHES] = {
    { "white", NO_HAIR, .88, 0, 550, 1 },
    { "hair 7", { 1.4, .6, 0, 0, 0, .05, .7 }, .10, .30, 640, 80 },
    { "hair 2", { 14, 2.5, 0, 0, 0, .05, .7 }, .02, .03, 640, 60 },
    { "gray 31", NO_HAIR, .31, 0, 550, 1 },
    { "copper", NO_HAIR, .06, .34, 660, 50 },
    { "hair 5", { 4, 1.5, 0, 0, 0, .05, .7 }, .04, .13, 640, 70 },
    { "hair 10", { 1.0, 0, 0, 0, .1, .05, .45 }, .12, .04, 630, 90 },
    { "black", NO_HAIR, .035, 0, 550, 1 },
    { "hair 1", { 22, 1, 0, 0, 0, .05, .7 }, .02, .01, 640, 60 },
    { "gray 54", NO_HAIR, .54, 0, 550, 1 },
    { "hair 8", { .7, .4, 0, 0, 0, .05, .7 }, .16, .36, 640, 85 },
    { "wine", NO_HAIR, .035, .22, 680, 45 },
    { "hair 11", { .1, 0, 0, 0, 0, .05, .5 }, .28, .06, 620, 90 },
    { "hair 3", { 8, 2, 0, 0, 0, .05, .7 }, .03, .06, 640, 60 },
    { "gray 8", NO_HAIR, .085, 0, 550, 1 },
    { "hair 6", { 2.4, 1, 0, 0, 0, .05, .7 }, .06, .22, 640, 75 },
    { "hair 9", { .25, .08, 0, 0, 0, .05, .7 }, .30, .30, 650, 90 },
    { "hair 4", { 5.5, .6, 0, 0, .3, .05, .7 }, .04, .07, 620, 70 },
    { "gray 18", NO_HAIR, .184, 0, 550, 1 },
    { "violet", NO_HAIR, .07, .16, 430, 40 },
    { "hair 12", { .03, 0, 0, 0, 0, .12, .65 }, .38, .18, 620, 90 },
    { "olive", NO_HAIR, .05, .18, 580, 55 },
    { "skin", NO_HAIR, .22, .36, 660, 75 },
    { "teal", NO_HAIR, .12, .14, 500, 45 },
};

const char *patch_name(int i)
{
    return patches[i].name;
}

spectrum patch_reflectance(int i)
{
    const patch *p = &patches[i];
    if (p->height <= 0)
        return flat_reflectance(p->base, 0.008);
    spectrum paint = paint_reflectance(p->base, p->height, p->centre, p->width);
    if (p->hair.scatter <= 0)
        return paint;
    spectrum hair = hair_reflectance(&p->hair);
    return spectrum_mean(&hair, &paint, 0.5);
}

/* The whole board of the target; its patches fill the middle. */
static void target_board(const scene *s, point corner[4])
{
    double a = s->o->target_turn * 3.141592653589793 / 180, w = 0.205, h = 0.115;
    point centre = { 1.09, 0.24 };
    static const double sx[4] = { -1, 1, 1, -1 }, sy[4] = { -1, -1, 1, 1 };
    static const double near[4] = { 1.0, 1.02, 0.99, 1.01 }; /* held not quite square to the camera */
    for (int k = 0; k < 4; k++) {
        double x = sx[k] * w * near[k], y = sy[k] * h * near[(k + 1) % 4];
        corner[k] = (point){ centre.x + x * cos(a) - y * sin(a), centre.y + x * sin(a) + y * cos(a) };
    }
}

void target_centres(const scene *s, point corner[4])
{
    static const double cu[4] = { 0.5 / TARGET_COLUMNS, 1 - 0.5 / TARGET_COLUMNS, 1 - 0.5 / TARGET_COLUMNS,
                                  0.5 / TARGET_COLUMNS };
    static const double cv[4] = { 0.5 / TARGET_ROWS, 0.5 / TARGET_ROWS, 1 - 0.5 / TARGET_ROWS, 1 - 0.5 / TARGET_ROWS };
    point board[4];
    target_board(s, board);
    for (int k = 0; k < 4; k++)
        corner[k] = board_point(board, MARGIN + (1 - 2 * MARGIN) * cu[k], MARGIN + (1 - 2 * MARGIN) * cv[k]);
}

typedef struct board {
    tint patch[PATCHES];
    float edge[3];
    double light, gradient;
} board;

static void card_signal(const void *context, double u, double v, float signal[3])
{
    const board *b = context;
    float light = (float)(b->light * (1 + b->gradient * (0.7 * (u - 0.5) + 0.3 * (v - 0.5))));
    for (int k = 0; k < 3; k++)
        signal[k] = light * b->patch[0].camera[k];
}

void target_draw_card(scene *s, const item *i)
{
    spectrum r = card_reflectance(i->level);
    board b = { .light = i->light, .gradient = s->o->card_gradient };
    b.patch[0] = sensor_tint(&s->sensor, &r);
    double m = 0.006;
    point c[4] = { { i->at.x - m, i->at.y - m },
                   { i->at.x + i->size.x + m, i->at.y - m },
                   { i->at.x + i->size.x + m, i->at.y + i->size.y + m },
                   { i->at.x - m, i->at.y + i->size.y + m } };
    backdrop_under_board(s, c);
    paint_board(&s->canvas, &s->frame, c, card_signal, &b);
}

static void target_signal(const void *context, double u, double v, float signal[3])
{
    const board *b = context;
    double x = (u - MARGIN) / (1 - 2 * MARGIN) * TARGET_COLUMNS, y = (v - MARGIN) / (1 - 2 * MARGIN) * TARGET_ROWS;
    int i = (int)floor(x), j = (int)floor(y);
    double fx = x - i, fy = y - j;
    bool inside = i >= 0 && i < TARGET_COLUMNS && j >= 0 && j < TARGET_ROWS && hypot(fx - 0.5, fy - 0.5) < ROUND;
    const float *colour = inside ? b->patch[j * TARGET_COLUMNS + i].camera : b->edge;
    float light = (float)(b->light * (1 + b->gradient * (0.7 * (u - 0.5) + 0.3 * (v - 0.5))));
    for (int k = 0; k < 3; k++)
        signal[k] = light * colour[k];
}

void target_draw(scene *s, const item *i)
{
    board b = { .light = i->light, .gradient = s->o->card_gradient };
    point corner[4];
    for (int k = 0; k < PATCHES; k++) {
        spectrum r = patch_reflectance(k);
        b.patch[k] = sensor_tint(&s->sensor, &r);
    }
    spectrum edge = flat_reflectance(0.25, 0);
    tint t = sensor_tint(&s->sensor, &edge);
    memcpy(b.edge, t.camera, sizeof b.edge);
    target_board(s, corner);
    backdrop_under_board(s, corner);
    paint_board(&s->canvas, &s->frame, corner, target_signal, &b);
}
