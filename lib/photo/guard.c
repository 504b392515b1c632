#include "photo/guard.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer) || __has_feature(memory_sanitizer)
#define SANITIZED
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define SANITIZED
#endif

#if defined(WM_HAVE_SECCOMP) && !defined(SANITIZED)

#include <linux/sched.h>
#include <seccomp.h>

/* Memory, threads of its own (libde265 starts one) and an end. Opening is answered with "no" instead of death because
 * the C library and libheif ask the system a few things and can live without an answer. */
static bool lock_in(void)
{
    static const int allowed[] = { SCMP_SYS(exit),
                                   SCMP_SYS(exit_group),
                                   SCMP_SYS(brk),
                                   SCMP_SYS(munmap),
                                   SCMP_SYS(mremap),
                                   SCMP_SYS(madvise),
                                   SCMP_SYS(futex),
                                   SCMP_SYS(rt_sigaction),
                                   SCMP_SYS(rt_sigreturn),
                                   SCMP_SYS(rt_sigprocmask),
                                   SCMP_SYS(set_robust_list),
                                   SCMP_SYS(rseq),
                                   SCMP_SYS(sched_yield),
                                   SCMP_SYS(sched_getaffinity),
                                   SCMP_SYS(clock_gettime),
                                   SCMP_SYS(clock_nanosleep),
                                   SCMP_SYS(nanosleep),
                                   SCMP_SYS(gettimeofday),
                                   SCMP_SYS(getpid),
                                   SCMP_SYS(gettid),
                                   SCMP_SYS(getrandom) };
    static const int denied[] = { SCMP_SYS(open), SCMP_SYS(openat), SCMP_SYS(readlink), SCMP_SYS(prctl) };
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_KILL_PROCESS);
    int wrong = filter == NULL;
    for (size_t i = 0; !wrong && i < sizeof allowed / sizeof *allowed; i++)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, allowed[i], 0);
    for (size_t i = 0; !wrong && i < sizeof denied / sizeof *denied; i++)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ERRNO(EACCES), denied[i], 0);
    /* never executable memory, never another process */
    if (!wrong)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(mmap), 1, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    if (!wrong)
        wrong =
            seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(mprotect), 1, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    if (!wrong)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(clone), 1,
                                 SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD));
    if (!wrong)
        wrong = seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3),
                                 0); /* its flags can't be seen: ask for clone */
    if (!wrong)
        wrong = seccomp_load(filter);
    if (filter != NULL)
        seccomp_release(filter);
    return !wrong;
}

bool wm_guard_locks(void)
{
    return true;
}

#else

static bool lock_in(void)
{
    return true;
}

bool wm_guard_locks(void)
{
    return false;
}

#endif

static void lower_limit(int what, rlim_t most)
{
    struct rlimit limit;
    if (getrlimit(what, &limit) != 0)
        return;
    if (limit.rlim_cur > most)
        limit.rlim_cur = most;
    if (limit.rlim_max > most)
        limit.rlim_max = most;
    (void)setrlimit(what, &limit);
}

static void limit_child(const wm_guard_task *task)
{
    sigset_t none;
    for (int i = 1; i < 32; i++)
        (void)signal(i, SIG_DFL); /* the caller's handlers are none of the child's business */
    (void)sigemptyset(&none);
    (void)sigprocmask(SIG_SETMASK, &none, NULL);
    (void)alarm(task->seconds); /* the kernel's clock: nobody has to watch, and the locked child can't stop it */
    lower_limit(RLIMIT_CPU, task->seconds);
    lower_limit(RLIMIT_CORE, 0); /* a dump would hold the client's photo */
#ifndef SANITIZED
    lower_limit(RLIMIT_FSIZE, 0);
    lower_limit(RLIMIT_AS, ((rlim_t)4 << 30) + task->memory);
#endif
}

enum { UNLOCKED = 3 };

static _Noreturn void run_child(const wm_guard_task *task)
{
    limit_child(task);
    if (task->prepare != NULL)
        task->prepare(task->data);
    if (!lock_in())
        _exit(UNLOCKED);
    task->work(task->data);
    _exit(0);
}

wm_guard_end wm_guard_run(const wm_guard_task *task)
{
    int state = 0;
    pid_t child = fork();
    if (child < 0)
        return WM_GUARD_NO_CHILD;
    if (child == 0)
        run_child(task);
    while (waitpid(child, &state, 0) < 0 && errno == EINTR) {}
    if (WIFEXITED(state) && WEXITSTATUS(state) == UNLOCKED)
        return WM_GUARD_UNLOCKED;
    if (WIFSIGNALED(state) && (WTERMSIG(state) == SIGALRM || WTERMSIG(state) == SIGXCPU))
        return WM_GUARD_SLOW;
    return state == 0 ? WM_GUARD_DONE : WM_GUARD_DIED;
}
