#include "colour/stats.h"

#include <math.h>

static void swap(double *a, double *b)
{
    double kept = *a;
    *a = *b;
    *b = kept;
}

/* Median of the first, middle and last value: sorted input does not become the worst case. */
static double pivot_of(const double *v, long low, long high)
{
    double a = v[low], b = v[low + (high - low) / 2], c = v[high];
    return fmax(fmin(a, b), fmin(fmax(a, b), c));
}

double wm_quantile(double *values, size_t count, double fraction)
{
    long last = (long)count - 1, rank = fraction > 0 ? (long)(fraction * (double)count) : 0;
    if (rank > last)
        rank = last;
    for (long low = 0, high = last; low < high;) {
        double pivot = pivot_of(values, low, high);
        long i = low, j = high;
        while (i <= j) {
            while (values[i] < pivot)
                i++;
            while (values[j] > pivot)
                j--;
            if (i <= j)
                swap(&values[i++], &values[j--]);
        }
        if (rank > j && rank < i)
            break; /* between the two parts: equal to the pivot */
        if (rank <= j)
            high = j;
        else
            low = i;
    }
    return values[rank];
}

double wm_mean(const double *values, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += values[i];
    return count ? sum / (double)count : 0;
}

double wm_sd(const double *values, size_t count)
{
    if (count < 2)
        return 0;
    double mean = wm_mean(values, count), sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += (values[i] - mean) * (values[i] - mean);
    return sqrt(sum / (double)(count - 1));
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
            else if (sum > 1e-9) /* written so that NaN fails too */
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
