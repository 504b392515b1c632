/* guard: runs a piece of work in a child process that can only compute, for code that is not hardened. The only user of
 * libseccomp.
 *
 * The child may open, send and start nothing (seccomp), and the kernel ends it when it takes too much memory or time.
 * With an address, thread or memory sanitizer there is neither filter nor memory limit, because their runtimes need
 * both; builds without libseccomp have the limits only. */
#ifndef WM_PHOTO_GUARD_H
#define WM_PHOTO_GUARD_H

#include "core/status.h"

typedef struct wm_guard_task {
    void (*prepare)(void *data); /**< in the child before it is locked in, for what opens files; NULL: nothing */
    void (*work)(void *data);    /**< in the child; only memory that is shared (MAP_SHARED) brings its results back */
    void *data;
    unsigned seconds; /**< of wall clock and of processor time */
    size_t memory;    /**< bytes of address space, beside 4 GiB for what the caller has mapped */
} wm_guard_task;

typedef enum wm_guard_end {
    WM_GUARD_DONE, /**< the work returned (or nobody can say, when the caller ignores SIGCHLD: look at the results) */
    WM_GUARD_DIED, /**< a fault, or something that it may not do */
    WM_GUARD_SLOW, /**< out of time */
    WM_GUARD_UNLOCKED, /**< this system has no seccomp: nothing was run */
    WM_GUARD_NO_CHILD  /**< no process to be had */
} wm_guard_end;

WM_API wm_guard_end wm_guard_run(const wm_guard_task *task);

/** False where a sanitizer or the build leaves the filter out. */
WM_API bool wm_guard_locks(void);

#endif
