/* pigment_line: which way a zone's colour goes from fibre to fibre, whatever light lies on them (G12). Light makes a
 * fibre's colour more or less of the same; that a fibre has no pigment makes it another. How the colours of places that
 * lie along the same fibres differ together tells one from the other. */
#ifndef WM_MEASURE_PIGMENT_LINE_H
#define WM_MEASURE_PIGMENT_LINE_H

#include "measure/sample.h"

typedef struct wm_pigment_line {
    bool known;   /**< false: too few places, or all differ as light makes them */
    double angle; /**< radians: atan2(b - g, g) of what the fibres differ by, g of the green cone, b of the blue one */
    double variance; /**< along the line; each in parts of its mean */
} wm_pigment_line;

/** Of a cleaned window; direction_rad: across the fibres. */
wm_status wm_pigment_line_of(wm_pigment_line *out, const wm_window *window, double direction_rad, wm_error *err);

/** The way between two colours in what they mix to: g, and b - g. */
typedef struct wm_pigment_way {
    double green, turn;
} wm_pigment_way;
wm_pigment_way wm_pigment_way_of(wm_cone from, wm_cone to, wm_cone mixed);

/** One cone's part of it. */
#define WM_FAINTEST_CONE 1e-6 /* no cone is without light */
static inline double wm_pigment_moves(double from, double to, double mixed)
{
    return (to - from) / (mixed > WM_FAINTEST_CONE ? mixed : WM_FAINTEST_CONE);
}

#endif
