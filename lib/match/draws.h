/* draws: what an uncertain number may be (M21). Every one has a key, a text; its draws are the same 64 quantiles of the
 * normal distribution in an order that the key alone decides, by integers: no client, shade or order of a file changes
 * another's draw, on no machine. Row 0 is the number as measured. */
#ifndef WM_MATCH_DRAWS_H
#define WM_MATCH_DRAWS_H

#include <stdint.h>

#include "colour/colour.h"

enum { WM_DRAWS = 64 };               /* M21 */
enum { WM_DRAW_ROWS = WM_DRAWS + 1 }; /* row 0: as measured */

/** z of a key: z[0] is 0, the others have mean 0 and standard deviation 1 (nearly). */
void wm_draws_of(double z[WM_DRAW_ROWS], const char *key);
/** Of an L, a, b: the draws of "KEY:L", "KEY:a", "KEY:b". Keys are at most WM_DRAW_KEY_SIZE - 3 bytes. */
enum { WM_DRAW_KEY_SIZE = 128 };
void wm_draws_of_lab(wm_lab z[WM_DRAW_ROWS], const char *key);

/** Mean over the draws, without row 0. */
double wm_draws_mean(const double values[WM_DRAW_ROWS]);
/** Part of the draws (0..1), without row 0, whose value is at most `limit`. */
double wm_draws_within(const double values[WM_DRAW_ROWS], double limit);

/** What they are made of, for tests: FNV-1a of 64 bits; one step of splitmix64 (Steele, Lea and Flood 2014); Acklam's
 * rational approximation of the normal quantile, 0 < p < 1. */
uint64_t wm_draws__hash(const char *key);
uint64_t wm_draws__next(uint64_t *state);
double wm_draws__quantile(double p);

#endif
