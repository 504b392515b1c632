/* guard: what a child may do, and how each bad end is told. */
#include "photo/guard.h"
#include "support/near.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <unistd.h>

/* Shared with the child: what it could tell. */
static int *shared_word(void)
{
    int *word = mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(word != MAP_FAILED);
    return word;
}

static void spin(void *data)
{
    for (volatile int *word = data; *word == 0;) {}
}

/* A second is for work that never ends; all else has time enough on the busiest machine. */
static wm_guard_end run(void (*work)(void *), int *word, size_t memory)
{
    return wm_guard_run(&(wm_guard_task){ NULL, work, word, work == spin ? 1 : 60, memory });
}

static void answer(void *data)
{
    *(int *)data = 42;
}

static void fault(void *data)
{
    (void)data;
    raise(SIGSEGV);
}

static void open_file(void *data)
{
    int file = open("/etc/hostname", O_RDONLY);
    *(int *)data = file >= 0 ? 1 : errno == EACCES ? 2 : 3;
}

static void open_socket(void *data)
{
    (void)socket(AF_INET, SOCK_STREAM, 0);
    *(int *)data = 1;
}

static void start_process(void *data)
{
    (void)fork();
    *(int *)data = 1;
}

static void write_out(void *data)
{
    ssize_t written = write(STDERR_FILENO, "", 0);
    *(int *)data = 1 + (int)written;
}

static void kill_parent(void *data)
{
    (void)kill(getppid(), 0);
    *(int *)data = 1;
}

static void make_executable(void *data)
{
    (void)mmap(NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    *(int *)data = 1;
}

/* Mapped, not malloc: test runners have malloc fill what it gives (MALLOC_PERTURB_), and gigabytes of that take long.
 */
static void take_memory(void *data)
{
    *(int *)data = 2;
    for (int i = 0; i < 64; i++)
        if (mmap(NULL, (size_t)256 << 20, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) == MAP_FAILED)
            *(int *)data = 1;
}

static void *thread_answer(void *data)
{
    answer(data);
    return NULL;
}

static void start_thread(void *data)
{
    pthread_t thread;
    if (pthread_create(&thread, NULL, thread_answer, data) == 0)
        (void)pthread_join(thread, NULL);
}

static void work_is_done(void **state)
{
    (void)state;
    int *word = shared_word();
    assert_int_equal(run(answer, word, 0), WM_GUARD_DONE);
    assert_int_equal(*word, 42);
    *word = 0;
    assert_int_equal(run(start_thread, word, 0), WM_GUARD_DONE);
    assert_int_equal(*word, 42);
}

static void bad_ends(void **state)
{
    (void)state;
    int *word = shared_word();
    assert_int_equal(run(fault, word, 0), WM_GUARD_DIED);
    assert_int_equal(run(spin, word, 0), WM_GUARD_SLOW);
}

/* A caller that ignores or blocks signals, or its children's ends, changes nothing. */
static void callers_signals(void **state)
{
    (void)state;
    int *word = shared_word();
    sigset_t all, before;
    sigfillset(&all);
    sigprocmask(SIG_SETMASK, &all, &before);
    signal(SIGALRM, SIG_IGN);
    assert_int_equal(run(spin, word, 0), WM_GUARD_SLOW);
    signal(SIGALRM, SIG_DFL);
    sigprocmask(SIG_SETMASK, &before, NULL);
    signal(SIGCHLD, SIG_IGN);
    assert_int_equal(run(answer, word, 0), WM_GUARD_DONE);
    assert_int_equal(*word, 42);
    signal(SIGCHLD, SIG_DFL);
}

/* What the locked child tries, it does not get: no files, and death for sockets, processes, output, signals, executable
 * memory. */
static void nothing_but_computing(void **state)
{
    (void)state;
    static void (*const forbidden[])(void *) = { open_socket, start_process, write_out, kill_parent, make_executable };
    int *word = shared_word();
    if (!wm_guard_locks())
        skip(); /* sanitizer, or built without libseccomp */
    assert_int_equal(run(open_file, word, 0), WM_GUARD_DONE);
    assert_int_equal(*word, 2);
    for (size_t i = 0; i < sizeof forbidden / sizeof *forbidden; i++) {
        *word = 0;
        assert_int_equal(run(forbidden[i], word, 0), WM_GUARD_DIED);
        assert_int_equal(*word, 0);
    }
    *word = 0;
    assert_int_equal(run(take_memory, word, 0), WM_GUARD_DONE);
    assert_int_equal(*word, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(work_is_done), cmocka_unit_test(bad_ends),
                                        cmocka_unit_test(callers_signals), cmocka_unit_test(nothing_but_computing) };
    return cmocka_run_group_tests_name("guard", tests, NULL, NULL);
}
