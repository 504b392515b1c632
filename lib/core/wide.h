/* wide: loops over many numbers, compiled twice from one source: for every processor, and for those with AVX2, chosen
 * at run time. No step of such a loop depends on how many numbers a register holds: both give the same bytes.
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
#define WM_WIDE(name, parameters, arguments)                                                                           \
    __attribute__((target("avx2"))) static void name##_avx2 parameters                                                 \
    {                                                                                                                  \
        name##_body arguments;                                                                                         \
    }                                                                                                                  \
    static void name##_plain parameters                                                                                \
    {                                                                                                                  \
        name##_body arguments;                                                                                         \
    }                                                                                                                  \
    void name parameters                                                                                               \
    {                                                                                                                  \
        if (__builtin_cpu_supports("avx2"))                                                                            \
            name##_avx2 arguments;                                                                                     \
        else                                                                                                           \
            name##_plain arguments;                                                                                    \
    }
#else
#define WM_WIDE(name, parameters, arguments)                                                                           \
    void name parameters                                                                                               \
    {                                                                                                                  \
        name##_body arguments;                                                                                         \
    }
#endif

#endif
