/* profile: device values to linear light (wm_rgb, D50), from tables that profile_make has sampled. */
#ifndef WM_PHOTO_PROFILE_H
#define WM_PHOTO_PROFILE_H

#include "colour/colour.h"

#include <stdint.h>

enum {
    WM_PROFILE_STEPS = 4080, /**< between 0 and 1: every 8-bit code is one of them */
    WM_PROFILE_ENTRIES = WM_PROFILE_STEPS + 1,
    WM_PROFILE_GRID = 65 /**< most nodes along one axis of a grid */
};

/** Plain data: it crosses from one process to another. A profile of matrix and curves is a table for each channel, and
 * the colour is the sum of what they give; one that is a table itself becomes curves and behind them a grid of CIELAB,
 * between whose nodes lines are drawn (tetrahedra). */
typedef struct wm_profile {
    char name[128]; /**< for the report: "sRGB (assumed)", "Display P3", the ICC description; printable ASCII */
    bool assumed;   /**< the file says nothing of its colours, or too little */
    bool gray;      /**< only the first channel counts */
    int grid;       /**< nodes along each axis, 0: by the three tables */
    wm_rgb table[3][WM_PROFILE_ENTRIES];
    double curve[3][WM_PROFILE_ENTRIES]; /**< with a grid: where a channel value lies along its axis, 0 to 1 */
    float node[WM_PROFILE_GRID * WM_PROFILE_GRID * WM_PROFILE_GRID][3]; /**< L*, a*, b*; blue runs fastest */
} wm_profile;

/** Whether every number that will be used is one, and the name is a name. */
bool wm_profile_sound(const wm_profile *profile);

/** Encoded values 0..1 (3 doubles a pixel) to linear light, `count` pixels. Thread-safe. Relative colorimetric intent.
 * Matrix and curves: exact for 8-bit codes, and within 0.03 of a* in the dark between them. Grids: see profile_make. */
void wm_profile_to_linear(const wm_profile *profile, wm_rgb *out, const double *encoded, size_t count);

/** The same for pictures, never for measuring: 16-bit codes, the nearest entry of the table. */
void wm_profile_sketch(const wm_profile *profile, wm_rgb *out, const uint16_t *codes, size_t count);

#endif
