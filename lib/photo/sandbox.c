#include "photo/sandbox.h"

#include <signal.h>
#include <sys/prctl.h>
#include <sys/resource.h>

#ifdef WM_HAVE_SECCOMP

#include <errno.h>
#include <linux/sched.h>
#include <seccomp.h>
#include <sys/mman.h>

/* Memory, threads of its own (libde265 starts one) and an end. Names that a system does not have are passed over: those
 * with 64, and mmap2, are of 32 bit. */
static const int allowed[] = { SCMP_SYS(exit),
                               SCMP_SYS(exit_group),
                               SCMP_SYS(brk),
                               SCMP_SYS(munmap),
                               SCMP_SYS(mremap),
                               SCMP_SYS(madvise),
                               SCMP_SYS(futex),
                               SCMP_SYS(futex_time64),
                               SCMP_SYS(rt_sigaction),
                               SCMP_SYS(rt_sigreturn),
                               SCMP_SYS(rt_sigprocmask),
                               SCMP_SYS(set_robust_list),
                               SCMP_SYS(rseq),
                               SCMP_SYS(sched_yield),
                               SCMP_SYS(sched_getaffinity),
                               SCMP_SYS(clock_gettime),
                               SCMP_SYS(clock_gettime64),
                               SCMP_SYS(clock_nanosleep),
                               SCMP_SYS(clock_nanosleep_time64),
                               SCMP_SYS(nanosleep),
                               SCMP_SYS(gettimeofday),
                               SCMP_SYS(getpid),
                               SCMP_SYS(gettid),
                               SCMP_SYS(getrandom) };

/* The C library and libheif ask the system a few things and can live without an answer. */
static const int denied[] = { SCMP_SYS(open), SCMP_SYS(openat), SCMP_SYS(readlink), SCMP_SYS(prctl) };

/* Memory without a file and never executable; never another process, only threads. clone3's flags can't be seen, so it
 * is answered as an old system would: ask for clone. */
static int add_conditions(scmp_filter_ctx filter, int line)
{
    static const int mappings[] = { SCMP_SYS(mmap), SCMP_SYS(mmap2) };
    int wrong = 0;
    for (size_t i = 0; !wrong && i < sizeof mappings / sizeof *mappings; i++)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, mappings[i], 2, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0),
                                 SCMP_A3(SCMP_CMP_MASKED_EQ, MAP_ANONYMOUS, MAP_ANONYMOUS));
    if (!wrong)
        wrong =
            seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(mprotect), 1, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    if (!wrong)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(clone), 1,
                                 SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD));
    if (!wrong)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3), 0);
    if (!wrong)
        wrong =
            seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(read), 1, SCMP_A0(SCMP_CMP_EQ, (scmp_datum_t)line, 0));
    if (!wrong)
        wrong =
            seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(write), 1, SCMP_A0(SCMP_CMP_EQ, (scmp_datum_t)line, 0));
    return wrong;
}

bool wm_sandbox_lock(int line)
{
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_KILL_PROCESS);
    int wrong = filter == NULL;
    for (size_t i = 0; !wrong && i < sizeof allowed / sizeof *allowed; i++)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, allowed[i], 0);
    for (size_t i = 0; !wrong && i < sizeof denied / sizeof *denied; i++)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ERRNO(EACCES), denied[i], 0);
    if (!wrong)
        wrong = add_conditions(filter, line);
    if (!wrong)
        wrong = seccomp_load(filter);
    if (filter)
        seccomp_release(filter);
    return !wrong;
}

#else

bool wm_sandbox_lock(int line)
{
    (void)line;
    return true;
}

#endif

static void lower_limit(int what, rlim_t soft, rlim_t hard)
{
    struct rlimit limit;
    if (getrlimit(what, &limit) != 0)
        return;
    if (limit.rlim_max > hard)
        limit.rlim_max = hard;
    if (limit.rlim_cur > soft)
        limit.rlim_cur = soft;
    if (limit.rlim_cur > limit.rlim_max)
        limit.rlim_cur = limit.rlim_max;
    (void)setrlimit(what, &limit);
}

void wm_sandbox_limit(size_t memory)
{
    (void)prctl(PR_SET_PDEATHSIG, SIGKILL);
    lower_limit(RLIMIT_CORE, 0, 0);
    lower_limit(RLIMIT_FSIZE, 0, 0);
    lower_limit(RLIMIT_DATA, memory, RLIM_INFINITY);
}
