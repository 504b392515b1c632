/* sandbox: locks the own process in, so that it can compute and nothing else. For the helper; the only user of
 * libseccomp. */
#ifndef WM_PHOTO_SANDBOX_H
#define WM_PHOTO_SANDBOX_H

#include "core/status.h"

/** Before the lock: no core dump (it would hold the client's photo), `memory` bytes of its own (the parent may raise
 * that), an end with the parent's. */
void wm_sandbox_limit(size_t memory);

/** From here on: computing, memory that belongs to no file, and reading and writing at the descriptor `line`. Opening
 * is answered with "no", all else with death. True when built without libseccomp; false when the system refuses. */
bool wm_sandbox_lock(int line);

#endif
