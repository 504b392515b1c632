/* paint: filled shapes, soft masks and flat boards; everything in a picture that is not hair. */
#ifndef RENDER_PAINT_H
#define RENDER_PAINT_H

#include "canvas.h"

typedef struct point {
    double x, y;
} point;

/** Where the layout's units (picture height 1, head in the middle) lie on the canvas. */
typedef struct frame {
    double scale, x0, y0;
} frame;
point frame_pixel(const frame *f, point p);

/** A coarse map of 0..1 over the canvas, for shadows and rounding. */
typedef struct mask {
    int width, height;
    double step; /**< canvas pixels per cell */
    float *v;    /**< owned */
} mask;
bool mask_make(mask *out, const canvas *c, const frame *f);
void mask_free(mask *m);
/** Adds a shape (smooth closed curve through the points, layout units). */
void mask_shape(mask *m, const frame *f, const point *points, int n);
/** The same with straight edges. */
void mask_polygon(mask *m, const frame *f, const point *points, int n);
void mask_blur(mask *m, const frame *f, double radius);
double mask_at(const mask *m, double px, double py); /**< canvas pixels */

/** Asks for the signal of a canvas pixel; context is the caller's. */
typedef void painter(const void *context, double px, double py, float signal[3]);

/** Fills a smooth closed curve through the points (layout units), edges anti-aliased. */
void paint_shape(canvas *c, const frame *f, const point *points, int n, painter *paint, const void *context);

/** Fills a straight-edged quadrilateral; corners in turn (layout units). (u, v) = (0,0) (1,0) (1,1) (0,1) at the
 * corners, projective. */
typedef void board_painter(const void *context, double u, double v, float signal[3]);
void paint_board(canvas *c, const frame *f, const point corner[4], board_painter *paint, const void *context);

/** Where (u, v) of such a board lies, layout units. */
point board_point(const point corner[4], double u, double v);

#endif
