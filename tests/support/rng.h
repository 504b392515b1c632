/* rng: splitmix64 (Steele, Lea & Flood 2014), so that random tests have the same cases on every machine. */
#ifndef SUPPORT_RNG_H
#define SUPPORT_RNG_H

#include <stdint.h>

typedef struct rng {
    uint64_t state;
} rng;

static inline uint64_t rng_bits(rng *r)
{
    uint64_t z = r->state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
    return z ^ z >> 31;
}

static inline double rng_between(rng *r, double low, double high)
{
    return low + (high - low) * ((double)(rng_bits(r) >> 11) * 0x1p-53);
}

#endif
