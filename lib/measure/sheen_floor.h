/* sheen_floor: the body colour of a zone less the sheen that cleaning leaves on it. A swatch beside the hair has that
 * sheen too, so that it cancels; a card or target has none, and the hair would read too light (C10). */
#ifndef WM_MEASURE_SHEEN_FLOOR_H
#define WM_MEASURE_SHEEN_FLOOR_H

#include "measure/sample.h"

/** What of `body` (linear mean of the kept pixels not darker than gap_below_y) is sheen: body less the mean over the
 * cells that are about as light as the darker ones. Zero where the cells are too few or body is not lighter than them.
 * The window is cleaned; direction_rad from wm_cleaning. WM_E_MEMORY. */
wm_status wm_sheen_left(wm_rgb *out, const wm_window *window, double direction_rad, double gap_below_y, wm_error *err);

#endif
