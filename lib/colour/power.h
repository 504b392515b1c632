/* power: exp, logarithms and powers of many numbers at once, within 2e-15 of themselves. Of the basic operations alone:
 * the same bytes on every machine, and loops that a compiler turns into vector code. */
#ifndef WM_COLOUR_POWER_H
#define WM_COLOUR_POWER_H

#include "core/status.h"

/** e to each value; below -700 it is that of -700, above 700 that of 700. */
void wm_exp_many(double *values, size_t count);

/** The natural logarithm of each value, which is above 1e-300. */
void wm_log_many(double *values, size_t count);

/** Each value to the power of one exponent, above 0 and up to 8: 0 of what is not above 0, and of what is below 1e-30
 * it is that of 1e-30. */
void wm_power_many(double *values, size_t count, double exponent);

#endif
