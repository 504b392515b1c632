/* wide: loops over many numbers, compiled from one source for every processor, for those with AVX2 and for those with
 * AVX-512, chosen at run time. No step of such a loop depends on how many numbers a register holds: all give the same
 * bytes.
 *
 *   WM_WIDE_BODY void halve_body(double *out, size_t count) { ... }
 *   WM_WIDE(halve, (double *out, size_t count), (out, count))
 *
 * makes the function `halve`. A body calls nothing but what is inlined into it (WM_WIDE_PART). */
#ifndef WM_CORE_WIDE_H
#define WM_CORE_WIDE_H

#define WM_WIDE_PART static inline __attribute__((always_inline))
#define WM_WIDE_BODY WM_WIDE_PART

#if defined(__x86_64__)
#if defined(__clang__)
#define WM_WIDE__512 "avx512f,avx512dq,avx512vl"
#else
#define WM_WIDE__512 "avx512f,avx512dq,avx512vl,prefer-vector-width=512"
#endif
#define WM_WIDE__FOR(name, kind, features, parameters, arguments)                                                      \
    __attribute__((target(features))) static void name##_##kind parameters                                             \
    {                                                                                                                  \
        name##_body arguments;                                                                                         \
    }
#define WM_WIDE(name, parameters, arguments)                                                                           \
    WM_WIDE__FOR(name, avx512, WM_WIDE__512, parameters, arguments)                                                    \
    WM_WIDE__FOR(name, avx2, "avx2", parameters, arguments)                                                            \
    WM_WIDE__FOR(name, plain, "sse2", parameters, arguments)                                                           \
    void name parameters                                                                                               \
    {                                                                                                                  \
        if (__builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))                                  \
            name##_avx512 arguments;                                                                                   \
        else if (__builtin_cpu_supports("avx2"))                                                                       \
            name##_avx2 arguments;                                                                                     \
        else                                                                                                           \
            name##_plain arguments;                                                                                    \
    }
#else
#define WM_WIDE(name, parameters, arguments)                                                                           \
    static void name##_plain parameters                                                                                \
    {                                                                                                                  \
        name##_body arguments;                                                                                         \
    }                                                                                                                  \
    void name parameters                                                                                               \
    {                                                                                                                  \
        name##_plain arguments;                                                                                        \
    }
#endif

#endif
