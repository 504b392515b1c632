/* stats: order statistics, small Cholesky systems, weighted means: the arithmetic that several rules share. */
#ifndef WM_COLOUR_STATS_H
#define WM_COLOUR_STATS_H

#include "core/status.h"

/** Value at rank (size_t)(fraction * count), count > 0, of the ascending order; reorders values (quickselect). */
double wm_quantile(double *values, size_t count, double fraction);

double wm_mean(const double *values, size_t count); /**< 0 for none */

/** Cholesky of a symmetric positive definite n x n row-major matrix, of which only the lower triangle is read; the
 * lower factor in place. False when a pivot <= WM_LEAST_PIVOT. */
bool wm_cholesky(double *matrix, int n);
#define WM_LEAST_PIVOT 1e-9 /* C25 */

/** Solves (L L^T) x = b in place in b, L from wm_cholesky. */
void wm_cholesky_solve(const double *factor, int n, double *b);

#endif
