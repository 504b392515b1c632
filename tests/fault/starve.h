/* starve: a call without memory fails cleanly at each of its allocations: WM_E_MEMORY, outputs untouched, nothing lost.
 */
#ifndef FAULT_STARVE_H
#define FAULT_STARVE_H

#include "core/status.h"

/** One attempt: true when the call did all its work. It checks its own outputs and gives everything back. */
typedef bool attempt(void);

/** Makes the attempt with the 1st, 2nd, .. allocation failing until none does; fails the test unless each failure is
 * clean. */
void starve(const char *name, attempt *call);

/** The same at each step-th allocation only, where an attempt takes long. */
void starve_every(long step, const char *name, attempt *call);

/** True for WM_OK; a failure must say that memory ran out and nothing else, or the test fails. */
bool good(wm_status status, const wm_error *err);

#endif
