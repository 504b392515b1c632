#include "colour/power.h"

#include "core/wide.h"

#include <stdint.h>
#include <string.h>

/* ln 2 in two parts: the first has 21 zeros at its end, so that its product with an exponent is exact. */
static const double LN2_HIGH = 0x1.62e42fefap-1, LN2_LOW = 0x1.cf79abc9e3b39p-40;
static const double PER_LN2 = 0x1.71547652b82fep0;
static const double ROUNDER = 0x1.8p52; /* added and taken off it leaves the nearest whole number */

WM_WIDE_PART uint64_t bits_of(double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

WM_WIDE_PART double of_bits(uint64_t bits)
{
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

WM_WIDE_PART double between(double value, double low, double high)
{
    value = value > low ? value : low;
    return value < high ? value : high;
}

/* exp(k ln 2 + r) = 2^k exp(r), |r| < 0.35: the series to r^13, whose next term is 4e-18. */
WM_WIDE_PART double exp_of(double value)
{
    const double shifted = between(value, -700.0, 700.0) * PER_LN2 + ROUNDER, k = shifted - ROUNDER;
    const double r = (between(value, -700.0, 700.0) - k * LN2_HIGH) - k * LN2_LOW;
    double sum = 1.0 / 6227020800.0;
    sum = sum * r + 1.0 / 479001600.0;
    sum = sum * r + 1.0 / 39916800.0;
    sum = sum * r + 1.0 / 3628800.0;
    sum = sum * r + 1.0 / 362880.0;
    sum = sum * r + 1.0 / 40320.0;
    sum = sum * r + 1.0 / 5040.0;
    sum = sum * r + 1.0 / 720.0;
    sum = sum * r + 1.0 / 120.0;
    sum = sum * r + 1.0 / 24.0;
    sum = sum * r + 1.0 / 6.0;
    sum = sum * r + 0.5;
    sum = sum * r * r + r + 1.0;
    return of_bits(bits_of(sum) + (bits_of(shifted) << 52)); /* the low bits of shifted are k */
}

/* ln(2^k m), 0.7 < m < 1.42: k ln 2 + 2 artanh((m - 1) / (m + 1)), the series to the 21st power. */
WM_WIDE_PART double log_of(double value)
{
    const uint64_t bits = bits_of(value) - 0x3fe6a09e667f3bcdULL; /* of sqrt(1/2) */
    const double k = of_bits(((bits + 0x4000000000000000ULL) >> 52) | 0x4330000000000000ULL) - (0x1p52 + 1024.0);
    const double m = of_bits((bits & 0x000fffffffffffffULL) + 0x3fe6a09e667f3bcdULL);
    const double s = (m - 1.0) / (m + 1.0), s2 = s * s;
    double sum = 2.0 / 21.0;
    sum = sum * s2 + 2.0 / 19.0;
    sum = sum * s2 + 2.0 / 17.0;
    sum = sum * s2 + 2.0 / 15.0;
    sum = sum * s2 + 2.0 / 13.0;
    sum = sum * s2 + 2.0 / 11.0;
    sum = sum * s2 + 2.0 / 9.0;
    sum = sum * s2 + 2.0 / 7.0;
    sum = sum * s2 + 2.0 / 5.0;
    sum = sum * s2 + 2.0 / 3.0;
    return k * LN2_HIGH + (k * LN2_LOW + (sum * s2 * s + 2.0 * s));
}

WM_WIDE_BODY void wm_exp_many_body(double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        values[i] = exp_of(values[i]);
}
WM_WIDE(wm_exp_many, (double *values, size_t count), (values, count))

WM_WIDE_BODY void wm_log_many_body(double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        values[i] = log_of(values[i]);
}
WM_WIDE(wm_log_many, (double *values, size_t count), (values, count))

WM_WIDE_BODY void wm_power_many_body(double *values, size_t count, double exponent)
{
    for (size_t i = 0; i < count; i++)
        values[i] = values[i] > 0 ? exp_of(exponent * log_of(values[i] > 1e-30 ? values[i] : 1e-30)) : 0;
}
WM_WIDE(wm_power_many, (double *values, size_t count, double exponent), (values, count, exponent))
