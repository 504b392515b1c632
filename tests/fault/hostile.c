/* hostile: what a helper would do that a photo has taken over. It is started and locked in like the real one
 * (lib/photo/helper/main.c), then tries what the photo's bytes name. Whatever works is told to the parent as a refusal
 * that begins with "BROKE OUT", for the test to find. */
#define _GNU_SOURCE
#include "photo/reply.h"
#include "photo/sandbox.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/ptrace.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

enum { PHOTO, REPLY, LINE };
#define FAR_AWAY (SIZE_MAX / 4) /* bytes: no room reaches as far */

static wm_reply *reply;
static size_t reply_size;
static const char *photo;

static void speak(void)
{
    if (write(LINE, "s", 1) != 1)
        _exit(1);
}

static bool opens(const char *path, int how)
{
    return open(path, how, 0600) >= 0;
}

static bool read_file(void)
{
    return opens("/etc/hostname", O_RDONLY);
}

static bool write_file(void)
{
    return opens("/tmp/weftmatch-hostile", O_WRONLY | O_CREAT);
}

static bool memory_of_parent(void)
{
    char path[64], byte;
    struct iovec here = { &byte, 1 }, there = { (void *)&reply, 1 };
    (void)snprintf(path, sizeof path, "/proc/%d/mem", (int)getppid());
    return opens(path, O_RDWR) || process_vm_readv(getppid(), &here, 1, &there, 1, 0) == 1;
}

static bool own_proc(void)
{
    return opens("/proc/self/mem", O_RDWR) || opens("/proc/self/fd/1", O_RDWR) ||
           opens("/proc/sys/kernel/core_pattern", O_RDONLY);
}

static bool network(void)
{
    return socket(AF_INET, SOCK_STREAM, 0) >= 0;
}

static bool local_socket(void)
{
    return socket(AF_UNIX, SOCK_STREAM, 0) >= 0;
}

/* A descriptor that somebody left open. */
static bool map_descriptor(void)
{
    return mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_SHARED, REPLY, 0) != MAP_FAILED;
}

static bool read_descriptor(void)
{
    char byte;
    return pread(REPLY, &byte, 1, 0) == 1 || read(REPLY, &byte, 1) >= 0;
}

static bool signal_parent(void)
{
    return kill(getppid(), 0) == 0;
}

static bool new_process(void)
{
    return fork() >= 0;
}

static bool other_program(void)
{
    char name[] = "/bin/true";
    char *words[] = { name, NULL };
    return execv(name, words) >= 0;
}

static bool trace_parent(void)
{
    return ptrace(PTRACE_ATTACH, getppid(), NULL, NULL) == 0;
}

static bool executable_memory(void)
{
    return mmap(NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) != MAP_FAILED;
}

static bool more_memory(void)
{
    struct rlimit limit = { RLIM_INFINITY, RLIM_INFINITY };
    return setrlimit(RLIMIT_DATA, &limit) == 0;
}

/* The budget is 128 MiB before the facts are known: 4 GiB must end before it is had. */
static bool much_memory(void)
{
    for (int i = 0; i < 64; i++) {
        char *at = mmap(NULL, (size_t)64 << 20, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
        if (at == MAP_FAILED)
            return false;
        at[0] = 1;
    }
    return true;
}

static bool terminal(void)
{
    return write(STDOUT_FILENO, "x", 1) == 1;
}

static bool endless(void)
{
    for (volatile int i = 0;;)
        i = !i;
    return false;
}

static bool endless_and_deaf(void)
{
    for (int i = 1; i < 64; i++)
        (void)signal(i, SIG_IGN);
    return endless();
}

static bool nap(void)
{
    for (;;)
        (void)sleep(1000);
    return false;
}

static bool crash(void)
{
    (void)raise(SIGSEGV);
    return false;
}

static bool say_nothing(void)
{
    return false;
}

/* ---- Lies ---- */

static wm_reply *lie(wm_reply_stage stage)
{
    reply->stage = stage;
    reply->container = (wm_container){ .width = 64, .height = 48, .bits = 8, .channels = 3, .orientation = 1 };
    (void)snprintf(reply->profile.name, sizeof reply->profile.name, "sRGB");
    return reply;
}

static bool huge_picture(void)
{
    lie(WM_REPLY_FACTS)->container.width = 2000000000;
    speak();
    return nap();
}

static bool negative_picture(void)
{
    lie(WM_REPLY_FACTS)->container.height = -5;
    speak();
    return nap();
}

/* Sound facts; then one of the things that may not be in a picture's reply. */
static void lie_about_picture(void)
{
    char byte;
    (void)lie(WM_REPLY_FACTS);
    speak();
    if (read(LINE, &byte, 1) != 1)
        _exit(1);
    reply->stage = WM_REPLY_PICTURE;
    reply->pixels[0] = (wm_pixels){ .width = 64, .height = 48, .bits = 8 };
}

static bool pixels_elsewhere(void)
{
    lie_about_picture();
    reply->pixels[0].planes = 1;
    reply->pixels[0].plane[0] = (wm_plane){ FAR_AWAY, 64, 64, 48, 1, 1 };
    speak();
    return nap();
}

static bool larger_than_its_room(void)
{
    lie_about_picture();
    reply->pixels[0].width = reply->pixels[0].height = 30000;
    reply->room = FAR_AWAY;
    speak();
    return nap();
}

static bool unended_name(void)
{
    lie_about_picture();
    memset(reply->profile.name, 'A', sizeof reply->profile.name);
    speak();
    return nap();
}

static bool table_of_nan(void)
{
    lie_about_picture();
    memset(reply->profile.table, 0xFF, sizeof reply->profile.table);
    speak();
    return nap();
}

static bool other_facts(void)
{
    lie_about_picture();
    reply->container.orientation = 77;
    speak();
    return nap();
}

static bool nan_in_grid(void)
{
    lie_about_picture();
    reply->profile.grid = 2;
    memset(reply->profile.node, 0xFF, sizeof reply->profile.node);
    speak();
    return nap();
}

static bool unheard_of_planes(void)
{
    lie_about_picture();
    reply->pixels[0].planes = 77;
    speak();
    return nap();
}

static bool facts_again(void)
{
    lie_about_picture();
    reply->stage = WM_REPLY_FACTS;
    speak();
    return nap();
}

static bool picture_at_once(void)
{
    (void)lie(WM_REPLY_PICTURE);
    speak();
    return nap();
}

static bool unheard_of_stage(void)
{
    (void)lie((wm_reply_stage)99);
    speak();
    return nap();
}

static bool unheard_of_kind(void)
{
    lie(WM_REPLY_FACTS)->container.kind = (wm_container_kind)99;
    speak();
    speak();
    return nap();
}

static bool speaks_without_end(void)
{
    (void)lie(WM_REPLY_FACTS);
    for (;;)
        speak();
    return false;
}

static bool dies_after_facts(void)
{
    (void)lie(WM_REPLY_FACTS);
    speak();
    _exit(0);
}

static bool refused_without_a_word(void)
{
    (void)lie(WM_REPLY_REFUSED);
    speak();
    return nap();
}

static bool terminal_codes(void)
{
    reply->stage = WM_REPLY_REFUSED;
    memset(&reply->refusal, 0x1B, sizeof reply->refusal);
    speak();
    return nap();
}

static bool no_lock(void)
{
    reply->stage = WM_REPLY_UNLOCKED;
    speak();
    return nap();
}

static const struct {
    const char *name;
    bool (*attempt)(void);
} attempts[] = { { "read_file", read_file },
                 { "write_file", write_file },
                 { "memory_of_parent", memory_of_parent },
                 { "own_proc", own_proc },
                 { "network", network },
                 { "local_socket", local_socket },
                 { "map_descriptor", map_descriptor },
                 { "read_descriptor", read_descriptor },
                 { "signal_parent", signal_parent },
                 { "new_process", new_process },
                 { "other_program", other_program },
                 { "trace_parent", trace_parent },
                 { "executable_memory", executable_memory },
                 { "more_memory", more_memory },
                 { "much_memory", much_memory },
                 { "terminal", terminal },
                 { "endless", endless },
                 { "endless_and_deaf", endless_and_deaf },
                 { "nap", nap },
                 { "crash", crash },
                 { "say_nothing", say_nothing },
                 { "huge_picture", huge_picture },
                 { "negative_picture", negative_picture },
                 { "pixels_elsewhere", pixels_elsewhere },
                 { "larger_than_its_room", larger_than_its_room },
                 { "unended_name", unended_name },
                 { "table_of_nan", table_of_nan },
                 { "other_facts", other_facts },
                 { "nan_in_grid", nan_in_grid },
                 { "unheard_of_planes", unheard_of_planes },
                 { "facts_again", facts_again },
                 { "picture_at_once", picture_at_once },
                 { "unheard_of_stage", unheard_of_stage },
                 { "unheard_of_kind", unheard_of_kind },
                 { "speaks_without_end", speaks_without_end },
                 { "dies_after_facts", dies_after_facts },
                 { "refused_without_a_word", refused_without_a_word },
                 { "terminal_codes", terminal_codes },
                 { "no_lock", no_lock } };

/* Before the lock: what was handed over, and nothing beside it. */
static bool own_descriptors_only(void)
{
    for (int file = 3; file < 1024; file++)
        if (fcntl(file, F_GETFD) >= 0)
            return false;
    return !environ || !environ[0];
}

int main(void)
{
    reply_size = (size_t)lseek(REPLY, 0, SEEK_END);
    size_t size = (size_t)lseek(PHOTO, 0, SEEK_END);
    void *shared = mmap(NULL, reply_size, PROT_READ | PROT_WRITE, MAP_SHARED, REPLY, 0);
    void *bytes = mmap(NULL, size, PROT_READ, MAP_PRIVATE, PHOTO, 0);
    if (shared == MAP_FAILED || bytes == MAP_FAILED)
        return 1;
    reply = shared;
    photo = bytes;
    bool clean = own_descriptors_only();
    wm_sandbox_limit((size_t)128 << 20);
    bool locked = wm_sandbox_lock(LINE);
    for (size_t i = 0; clean && locked && i < sizeof attempts / sizeof *attempts; i++) {
        size_t length = strlen(attempts[i].name);
        if (length == size && memcmp(photo, attempts[i].name, length) == 0 && !attempts[i].attempt())
            _exit(1);
    }
    reply->stage = WM_REPLY_REFUSED;
    reply->refusal.code = WM_E_PHOTO;
    (void)snprintf(reply->refusal.text, sizeof reply->refusal.text, "BROKE OUT: %.*s%s%s", (int)(size < 40 ? size : 40),
                   photo, clean ? "" : ", descriptors or environment left open", locked ? "" : ", not locked");
    speak();
    _exit(0);
}
