#include "starve.h"

#include "memory.h"
#include "support/near.h"

#include <stdio.h>
#include <string.h>

void starve(const char *name, attempt *call)
{
    starve_every(1, name, call);
}

void starve_every(long step, const char *name, attempt *call)
{
    long failures = 0;
    for (;; failures += step) {
        memory_fail_at(failures + 1);
        bool done = call();
        bool failed = memory_failed();
        long live = memory_live();
        memory_fail_at(0);
        if (live != 0)
            fail_msg("%s: %ld blocks are left when allocation %ld fails", name, live, failures + 1);
        if (done != !failed)
            fail_msg("%s: allocation %ld %s, but the call %s", name, failures + 1, failed ? "failed" : "did not fail",
                     done ? "succeeded" : "failed");
        if (done)
            break;
    }
    printf("# %s: fails cleanly at every %ldth of its %ld allocations\n", name, step, failures);
    assert_true(failures > 0);
}

/* A failure must say so and nothing else. */
bool good(wm_status status, const wm_error *err)
{
    if (!status)
        return true;
    if (status != WM_E_MEMORY || err->code != WM_E_MEMORY || strncmp(err->text, "out of memory", 13) != 0)
        fail_msg("status %d: %s", (int)status, err->text);
    return false;
}
