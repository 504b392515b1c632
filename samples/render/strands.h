/* strands: hair as many thin overlapping fibres, combed along a sheet, gathered in locks with gaps between. */
#ifndef RENDER_STRANDS_H
#define RENDER_STRANDS_H

#include "paint.h"

enum { MAX_GUIDES = 8, GUIDE_POINTS = 9 };

/** A surface of combed hair: guides from root (t = 0) to end (t = 1), side by side from u = 0 to u = 1, layout units.
 */
typedef struct sheet {
    int guides;
    point guide[MAX_GUIDES][GUIDE_POINTS];
    double width; /**< across, at mid-length, layout units */
} sheet;
point sheet_at(const sheet *s, double u, double t);

/** What the scene says about a place on the sheet. */
typedef struct spot {
    double light; /**< factor, 1 = the card's light */
    double share; /**< of gray fibres, 0..1 */
    double sheen; /**< mirrored light, same unit as signals */
    double age;   /**< 0 root, 1 mid-length, 2 ends: which palettes mix */
} spot;
/** shift: how far this fibre's sheen is off its neighbours', layout units along y. */
typedef spot spot_at(const void *context, point p, double u, double t, double shift);

typedef struct tress {
    const sheet *sheet;
    frame frame;
    const palette *base[3]; /**< root, mid-length, ends */
    const palette *gray;    /**< NULL: none */
    double fibre;           /**< mean width in pixels */
    double lock_half;       /**< half width of a lock at the root, in u */
    double lock_light;      /**< sd of ln light between locks */
    double layers;          /**< how often the locks cover the sheet */
    double clump;           /**< 0..1: how much locks narrow towards their ends */
    double wave;            /**< sideways swing at the ends, in u */
    double gap_light;       /**< light that reaches the deepest fibres */
    double ragged;          /**< how unequal the ends are, in t */
    bool plain;             /**< each fibre in the light of its place alone */
    spot_at *spot;
    const void *context;
} tress;

/** The deep fibres, then the locks. */
void tress_draw(canvas *c, const tress *t, dice *d);

/** Single hairs that stand off. */
void tress_flyaway(canvas *c, const tress *t, int count, dice *d);

#endif
