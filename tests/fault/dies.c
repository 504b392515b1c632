/* Loaded before a program (LD_PRELOAD): kills it at the nth thing that it does to a file. DIES_AT is n, from 1; with
 * DIES_PART it is the nth write, of whose bytes so many of 1,000 are left; with DIES_CUT the power fails there: of what
 * was not synced each sector is on the disk or not, by chance (its value is the seed). */
#undef _FILE_OFFSET_BITS /* both names of each function are ours */
#undef _TIME_BITS        /* on 32 bit it asks for the other */
#define _GNU_SOURCE
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

enum { FILES = 64, SECTOR = 512, PATH = 4096 };

/* A file as it was when it was synced last. */
typedef struct synced {
    dev_t device;
    ino_t inode;
    char path[PATH];
    char *bytes;
    size_t size;
} synced;

static synced files[FILES];
static int file_count;
static long done, last;

/* --- the power fails --- */

static long number(const char *name)
{
    const char *text = getenv(name);
    return text ? strtol(text, NULL, 10) : -1;
}

static int coin(void)
{
    static unsigned long long state;
    if (!state)
        state = 2 * (unsigned long long)number("DIES_CUT") + 1;
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (int)(state >> 63);
}

static int open_plain(const char *path, int flags)
{
    return (int)syscall(SYS_openat, AT_FDCWD, path, flags, 0);
}

static void path_of(char path[PATH], int fd)
{
    char link_path[64];
    snprintf(link_path, sizeof link_path, "/proc/self/fd/%d", fd);
    const ssize_t length = readlink(link_path, path, PATH - 1);
    path[length > 0 ? length : 0] = '\0';
}

/* All bytes of it, and a sector's room behind them. */
static char *load(size_t *size, int fd)
{
    struct stat info;
    if (fstat(fd, &info) != 0)
        return NULL;
    char *bytes = calloc((size_t)info.st_size + SECTOR, 1);
    const ssize_t got = bytes ? pread(fd, bytes, (size_t)info.st_size, 0) : -1;
    *size = got > 0 ? (size_t)got : 0;
    return bytes;
}

/* One that is only written to is read by another descriptor; nobody locks such a one. */
static void keep(synced *file, int fd)
{
    const int other = (fcntl(fd, F_GETFL) & O_ACCMODE) == O_WRONLY ? open_plain(file->path, O_RDONLY) : -1;
    free(file->bytes);
    file->bytes = load(&file->size, other >= 0 ? other : fd);
    if (other >= 0)
        close(other);
}

static synced *find(const struct stat *info)
{
    for (int i = 0; i < file_count; i++)
        if (files[i].device == info->st_dev && files[i].inode == info->st_ino)
            return &files[i];
    return NULL;
}

/* Before it is changed for the first time. */
static void remember(int fd)
{
    struct stat info;
    if (number("DIES_CUT") < 0 || fstat(fd, &info) != 0 || !S_ISREG(info.st_mode) || find(&info) || file_count == FILES)
        return;
    synced *file = &files[file_count++];
    *file = (synced){ .device = info.st_dev, .inode = info.st_ino };
    path_of(file->path, fd);
    keep(file, fd);
}

static void is_synced(int fd)
{
    struct stat info;
    synced *file = fstat(fd, &info) == 0 ? find(&info) : NULL;
    if (file)
        keep(file, fd);
}

static void is_renamed(const char *to)
{
    struct stat info;
    const int fd = file_count ? open_plain(to, O_PATH) : -1;
    synced *file = fd >= 0 && fstat(fd, &info) == 0 ? find(&info) : NULL;
    if (file)
        path_of(file->path, fd);
    if (fd >= 0)
        close(fd);
}

static void cut(const synced *file)
{
    struct stat info;
    size_t size = 0;
    const int fd = open_plain(file->path, O_RDWR);
    if (fd < 0 || fstat(fd, &info) != 0 || info.st_ino != file->inode || !file->bytes)
        return;
    char *now = load(&size, fd);
    for (size_t at = 0; at < size; at += SECTOR) {
        static const char NOTHING[SECTOR];
        const size_t length = size - at < SECTOR ? size - at : SECTOR;
        const char *was = at + length <= file->size ? file->bytes + at : NOTHING;
        if (memcmp(now + at, was, length) != 0 && coin())
            syscall(SYS_pwrite64, fd, was, length, at);
    }
    if (size != file->size && coin())
        syscall(SYS_ftruncate, fd, file->size);
}

static void die(void)
{
    for (int i = 0; i < file_count; i++)
        cut(&files[i]);
    syscall(SYS_kill, getpid(), SIGKILL);
}

/* --- what a program does to a file --- */

/* One more; true when it is the last. */
static int counts(void)
{
    if (!last)
        last = number("DIES_AT");
    return ++done == last;
}

static int is_file(int fd)
{
    struct stat info;
    return fd > 2 && fstat(fd, &info) == 0 && S_ISREG(info.st_mode);
}

static size_t part_of(int fd, size_t size)
{
    if (!is_file(fd))
        return size;
    remember(fd);
    if (!counts())
        return size;
    if (number("DIES_PART") < 0)
        die();
    return (size_t)((double)size * (double)number("DIES_PART") / 1000);
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
    if (number("DIES_PART") < 0 && counts())
        die();
}

int fsync(int fd)
{
    before();
    const int status = (int)syscall(SYS_fsync, fd);
    is_synced(fd);
    return status;
}

int fdatasync(int fd)
{
    before();
    const int status = (int)syscall(SYS_fdatasync, fd);
    is_synced(fd);
    return status;
}

int ftruncate(int fd, off_t size)
{
    remember(fd);
    before();
    return (int)syscall(SYS_ftruncate, fd, size);
}

int ftruncate64(int fd, off64_t size)
{
    remember(fd);
    before();
    return (int)syscall(SYS_ftruncate, fd, size);
}

int rename(const char *from, const char *to)
{
    before();
    const int status = (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
    is_renamed(to);
    return status;
}

int renameat2(int from_folder, const char *from, int to_folder, const char *to, unsigned flags)
{
    before();
    const int status = (int)syscall(SYS_renameat2, from_folder, from, to_folder, to, flags);
    is_renamed(to);
    return status;
}

int link(const char *from, const char *to)
{
    before();
    const int status = (int)syscall(SYS_linkat, AT_FDCWD, from, AT_FDCWD, to, 0);
    is_renamed(to);
    return status;
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
