/* texture: what makes a surface uneven: pores and flush of skin, the weave of cloth, the stipple of a painted wall. */
#ifndef RENDER_TEXTURE_H
#define RENDER_TEXTURE_H

#include <stdint.h>

/** Smooth noise between -1 and 1 over a lattice of step 1 (value noise, smoothstep between its corners). */
double texture_noise(uint64_t seed, double x, double y);

/** Factors around 1 by which a surface is lighter or darker at (u, v), layout units. */
typedef double texture_relief(uint64_t seed, double u, double v);
texture_relief texture_skin, texture_weave, texture_wall;

/** How flushed the skin is, 0 to 1, in broad patches. */
double texture_flush(uint64_t seed, double u, double v);

#endif
