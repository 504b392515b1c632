/* parallel: pieces of work that don't depend on each other, on several threads. What comes out must not depend on who
 * does which piece, nor in what order. */
#ifndef WM_CORE_PARALLEL_H
#define WM_CORE_PARALLEL_H

#include <stddef.h>

typedef struct wm_parallel {
    size_t count;                       /**< pieces */
    int jobs;                           /**< threads, the caller's among them; below 1: that one alone */
    void (*each)(void *user, size_t i); /**< does piece i */
    void *user;
    void (*progress)(void *user, size_t done, size_t all); /**< after each piece, one at a time; NULL: none */
    void *progress_user;
} wm_parallel;

/** Returns when all is done. A thread that can't be started costs only time. */
void wm_parallel_run(const wm_parallel *work);

#endif
