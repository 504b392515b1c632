/* canvas: the picture before the camera, in camera signals (white in the scene's light = 1 1 1), and the truth of its
 * zones. What is drawn later covers what was drawn before, fibre by fibre with its real coverage of each pixel; the
 * zones keep, per pixel, which part of it shows base fibres, gray fibres or no hair, and the true colours of these. */
#ifndef RENDER_CANVAS_H
#define RENDER_CANVAS_H

#include "pigment.h"

enum { MAX_ZONES = 80 };

typedef struct rect {
    int x, y, w, h;
} rect;

typedef struct canvas {
    int width, height;
    float *signal;          /**< [height][width][3], owned */
    unsigned char *zone_of; /**< 0: none, else zone index + 1; owned */
    int zones;
    rect zone[MAX_ZONES];
    float *truth[MAX_ZONES]; /**< [h][w][8]: base area, gray area, XYZ of base, XYZ of gray; owned */
} canvas;

bool canvas_make(canvas *out, int width, int height);
void canvas_free(canvas *c);

/** Watches a rectangle, which must lie inside and overlap no other. Returns its index, or -1. */
int canvas_watch(canvas *c, rect r);

/** Sums over a watched zone; areas in pixels. */
typedef struct zone_truth {
    double pixels, base_area, gray_area;
    triple base_xyz, gray_xyz; /**< area-weighted sums */
    triple signal;             /**< sum of the camera signals: what light and shade made of it */
} zone_truth;
zone_truth canvas_truth(const canvas *c, int zone);

/** One short piece of a fibre, straight, drawn with exact coverage across. */
typedef struct fibre_end {
    float x, y, width; /**< pixels */
    float signal[3];   /**< shaded */
} fibre_end;
typedef struct fibre_body {
    float xyz[3]; /**< true body colour, unshaded */
    float gray;   /**< 1 when the piece belongs to the gray population */
} fibre_body;
void canvas_fibre(canvas *c, const fibre_end *a, const fibre_end *b, const fibre_body *body);

/** Something that is no hair, covering a part (alpha) of one pixel. */
void canvas_paint(canvas *c, int x, int y, float alpha, const float signal[3]);

/** Multiplies a pixel's light, hair or not: shadows that fall on what is already there. */
void canvas_shade(canvas *c, int x, int y, float factor);

#endif
