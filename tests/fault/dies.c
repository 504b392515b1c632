/* Loaded before a program (LD_PRELOAD): kills it at the nth thing that it does to a file. DIES_AT is n, from 1; with
 * DIES_HALF it is the nth write, half of whose bytes are left. */
#undef _FILE_OFFSET_BITS /* both names of each function are ours */
#undef _TIME_BITS        /* on 32 bit it asks for the other */
#define _GNU_SOURCE
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static long done, last;

static void die(void)
{
    syscall(SYS_kill, getpid(), SIGKILL);
}

/* One more; true when it is the last. */
static int counts(void)
{
    if (!last) {
        const char *at = getenv("DIES_AT");
        last = at ? strtol(at, NULL, 10) : -1;
    }
    return ++done == last;
}

static int is_file(int fd)
{
    struct stat info;
    return fd > 2 && fstat(fd, &info) == 0 && S_ISREG(info.st_mode);
}

static size_t part_of(int fd, size_t size)
{
    if (!is_file(fd) || !counts())
        return size;
    if (!getenv("DIES_HALF"))
        die();
    return size / 2;
}

ssize_t write(int fd, const void *bytes, size_t size)
{
    size_t part = part_of(fd, size);
    ssize_t written = syscall(SYS_write, fd, bytes, part);
    if (part < size)
        die();
    return written;
}

static ssize_t write_at(int fd, const void *bytes, size_t size, off64_t at)
{
    size_t part = part_of(fd, size);
    ssize_t written = syscall(SYS_pwrite64, fd, bytes, part, at);
    if (part < size)
        die();
    return written;
}

ssize_t pwrite(int fd, const void *bytes, size_t size, off_t at)
{
    return write_at(fd, bytes, size, at);
}

ssize_t pwrite64(int fd, const void *bytes, size_t size, off64_t at)
{
    return write_at(fd, bytes, size, at);
}

static void before(void)
{
    if (!getenv("DIES_HALF") && counts())
        die();
}

int fsync(int fd)
{
    before();
    return (int)syscall(SYS_fsync, fd);
}

int fdatasync(int fd)
{
    before();
    return (int)syscall(SYS_fdatasync, fd);
}

int ftruncate(int fd, off_t size)
{
    before();
    return (int)syscall(SYS_ftruncate, fd, size);
}

int ftruncate64(int fd, off64_t size)
{
    before();
    return (int)syscall(SYS_ftruncate, fd, size);
}

int rename(const char *from, const char *to)
{
    before();
    return (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
}

int link(const char *from, const char *to)
{
    before();
    return (int)syscall(SYS_linkat, AT_FDCWD, from, AT_FDCWD, to, 0);
}

int unlink(const char *path)
{
    before();
    return (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
}

int unlinkat(int folder, const char *path, int flags)
{
    before();
    return (int)syscall(SYS_unlinkat, folder, path, flags);
}

static int open_at(const char *path, int flags, mode_t mode)
{
    if (flags & (O_CREAT | O_TRUNC))
        before();
    return (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
}

int open(const char *path, int flags, ...)
{
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & O_CREAT ? (mode_t)va_arg(more, int) : 0;
    va_end(more);
    return open_at(path, flags, mode);
}

int open64(const char *path, int flags, ...)
{
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & O_CREAT ? (mode_t)va_arg(more, int) : 0;
    va_end(more);
    return open_at(path, flags, mode);
}
