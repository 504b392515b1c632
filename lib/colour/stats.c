#include "colour/stats.h"

#include <math.h>

/* Median of the first, middle and last value: sorted input does not become the worst case. */
static double pivot_of(const double *v, size_t count)
{
    double a = v[0], b = v[(count - 1) / 2], c = v[count - 1];
    return fmax(fmin(a, b), fmin(fmax(a, b), c));
}

/* These two move what is below the pivot, or at most the pivot, to the front, and count it. Without a branch: which way
 * a value goes can't be foretold, and a wrong guess costs more than a needless move. */
static size_t gather_below(double *v, size_t count, double pivot)
{
    size_t below = 0;
    for (size_t i = 0; i < count; i++) {
        const double here = v[i];
        v[i] = v[below];
        v[below] = here;
        below += here < pivot;
    }
    return below;
}

static size_t gather_up_to(double *v, size_t count, double pivot)
{
    size_t up_to = 0;
    for (size_t i = 0; i < count; i++) {
        const double here = v[i];
        v[i] = v[up_to];
        v[up_to] = here;
        up_to += here <= pivot;
    }
    return up_to;
}

double wm_quantile(double *values, size_t count, double fraction)
{
    size_t rank = fraction > 0 ? (size_t)(fraction * (double)count) : 0;
    if (rank > count - 1)
        rank = count - 1;
    while (count > 1) {
        const double pivot = pivot_of(values, count);
        const size_t below = gather_below(values, count, pivot);
        if (rank < below) {
            count = below;
            continue;
        }
        values += below;
        const size_t same = gather_up_to(values, count - below, pivot);
        if (rank < below + same || same == 0) /* none: not a number */
            return pivot;
        values += same;
        count -= below + same;
        rank -= below + same;
    }
    return *values;
}

double wm_mean(const double *values, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += values[i];
    return count ? sum / (double)count : 0;
}

bool wm_cholesky(double *m, int n)
{
    for (int i = 0; i < n; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = m[i * n + j];
            for (int k = 0; k < j; k++)
                sum -= m[i * n + k] * m[j * n + k];
            if (i != j)
                m[i * n + j] = sum / m[j * n + j];
            else if (sum > WM_LEAST_PIVOT) /* written so that NaN fails too */
                m[i * n + i] = sqrt(sum);
            else
                return false;
        }
    }
    return true;
}

void wm_cholesky_solve(const double *factor, int n, double *b)
{
    for (int i = 0; i < n; i++) {
        for (int k = 0; k < i; k++)
            b[i] -= factor[i * n + k] * b[k];
        b[i] /= factor[i * n + i];
    }
    for (int i = n - 1; i >= 0; i--) {
        for (int k = i + 1; k < n; k++)
            b[i] -= factor[k * n + i] * b[k];
        b[i] /= factor[i * n + i];
    }
}
