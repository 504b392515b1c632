#define _GNU_SOURCE /* renameat2 */
#include "core/file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

void wm_bytes_free(wm_bytes *bytes)
{
    if (!bytes)
        return;
    free(bytes->data);
    *bytes = (wm_bytes){ 0 };
}

/* ---- reading ---- */

static wm_status fail_open(wm_error *err, wm_status code, const char *path, int reason)
{
    switch (reason) {
    case ENOENT:
        return wm_fail_at(err, code, path, 0, 0,
                          *path ? "no such file; check the name and the folder" : "the name is empty; name a file");
    case ENOTDIR: return wm_fail_at(err, code, path, 0, 0, "part of the path is not a folder; check the name");
    case EACCES:
    case EPERM: return wm_fail_at(err, code, path, 0, 0, "no permission to read it; change its access rights");
    case ENAMETOOLONG: return wm_fail_at(err, code, path, 0, 0, "the name is too long; use a shorter one");
    case EAGAIN: return wm_fail_at(err, code, path, 0, 0, "nothing comes out of this device; name a file");
    case EMFILE:
    case ENFILE:
        return wm_fail_at(err, code, path, 0, 0, "too many files are open; close some, or allow more (ulimit -n)");
    default:
        return wm_fail_at(err, code, path, 0, 0, "can't be read (%s); check the disk and the name", strerror(reason));
    }
}

static wm_status fail_too_large(wm_error *err, wm_status code, const char *path, size_t limit)
{
    if (limit >= (size_t)1 << 20)
        return wm_fail_at(err, code, path, 0, 0, "larger than the limit of %zu MiB; use a smaller file", limit >> 20);
    return wm_fail_at(err, code, path, 0, 0, "larger than the limit of %zu bytes; use a smaller file", limit);
}

/* What a pipe or the standard input has not sent yet is waited for; a device may keep silent for ever, and so may what
 * looks like a file (the kernel's log). */
static bool wait_for_more(int fd)
{
    struct pollfd more = { .fd = fd, .events = POLLIN };
    struct stat facts;
    bool sends = fd == STDIN_FILENO || (fstat(fd, &facts) == 0 && S_ISFIFO(facts.st_mode));
    errno = EAGAIN;
    return sends && (poll(&more, 1, -1) >= 0 || errno == EINTR);
}

enum { PIPE_WAIT_MS = 5000, PIPE_LOOK_MS = 20 };

/* Within PIPE_WAIT_MS; a pipe that was closed empty counts. */
static bool somebody_writes(int fd)
{
    struct pollfd first = { .fd = fd, .events = POLLIN };
    return poll(&first, 1, PIPE_WAIT_MS) != 0;
}

/* Reads until the end; asks for one byte more than the limit so that "exactly the limit" is told from "too large". */
static wm_status read_all(wm_bytes *out, int fd, size_t expected, size_t limit)
{
    size_t capacity = expected < limit ? expected + 1 : limit + 1;
    unsigned char *data = malloc(capacity + 1);
    size_t size = 0;
    while (data) {
        ssize_t got = read(fd, data + size, capacity - size);
        if (got < 0 && (errno == EINTR || (errno == EAGAIN && wait_for_more(fd))))
            continue;
        if (got < 0) {
            int reason = errno;
            free(data);
            errno = reason;
            return WM_E_INPUT;
        }
        if (got == 0)
            break;
        size += (size_t)got;
        if (size > limit) {
            free(data);
            errno = EFBIG;
            return WM_E_INPUT;
        }
        if (size == capacity) {
            capacity = capacity > limit / 2 ? limit + 1 : capacity * 2;
            unsigned char *larger = realloc(data, capacity + 1);
            if (!larger)
                free(data);
            data = larger;
        }
    }
    if (!data)
        return WM_E_MEMORY;
    data[size] = '\0';
    out->data = data;
    out->size = size;
    return WM_OK;
}

wm_status wm_file_read(wm_bytes *out, const char *path, size_t limit, wm_status code, wm_error *err)
{
    bool standard = strcmp(path, "-") == 0;
    if (limit > SIZE_MAX / 4)
        limit = SIZE_MAX / 4;
    /* not blocking: a pipe that nobody writes to must not be waited for for ever */
    int fd = standard ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0)
        return fail_open(err, code, path, errno);
    struct stat facts;
    wm_status status = WM_OK;
    if (fstat(fd, &facts) != 0) {
        status = fail_open(err, code, path, errno);
    } else if (S_ISDIR(facts.st_mode)) {
        status = wm_fail_at(err, code, path, 0, 0, "this is a folder; name a file in it");
    } else if (S_ISFIFO(facts.st_mode) && !standard && !somebody_writes(fd)) {
        status = wm_fail_at(err, code, path, 0, 0, "nothing comes out of this pipe; name a file");
    } else if (S_ISREG(facts.st_mode) && (uint64_t)facts.st_size > limit) {
        status = fail_too_large(err, code, path, limit);
    } else {
        size_t expected = S_ISREG(facts.st_mode) && facts.st_size > 0 ? (size_t)facts.st_size : 4095;
        status = read_all(out, fd, expected, limit);
        if (status == WM_E_MEMORY)
            wm_fail_memory(err);
        else if (status)
            status = errno == EFBIG ? fail_too_large(err, code, path, limit) : fail_open(err, code, path, errno);
    }
    if (!standard)
        close(fd);
    return status;
}

/* ---- writing ---- */

/* 0, or the reason. */
static int write_all(int fd, const void *data, size_t size)
{
    const char *p = data;
    while (size) {
        ssize_t put = write(fd, p, size);
        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0)
            return errno;
        p += put;
        size -= (size_t)put;
    }
    return 0;
}

static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    if (!slash)
        return strdup(".");
    return strndup(path, slash == path ? 1 : (size_t)(slash - path));
}

enum { PRIVATE = 0600, OPEN_TO_ALL = 0666 };

/* Creates a file beside the target and puts its name into *name; the kernel applies the umask, which nobody can read
 * safely. What is private is its owner's to read and write under any umask. */
static int open_neighbour(char **name, const char *folder, mode_t mode)
{
    size_t room = strlen(folder) + 64;
    char *text = malloc(room);
    if (!text) {
        errno = ENOMEM;
        return -1;
    }
    int fd = -1;
    for (int i = 0; i < 1000 && fd < 0; i++) {
        snprintf(text, room, "%s/.weftmatch-%ld-%d.part", folder, (long)getpid(), i);
        fd = open(text, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, mode);
        if (fd < 0 && errno != EEXIST)
            break;
    }
    if (fd >= 0 && mode == PRIVATE)
        (void)fchmod(fd, PRIVATE);
    if (fd < 0)
        free(text);
    else
        *name = text;
    return fd;
}

/* Moves the neighbour to its place. Where the disk can't refuse an existing target as it renames, link does, so that
 * for a moment there are two names; disks without links fall back to looking first. */
static int put_in_place(const char *neighbour, const char *path, bool force)
{
    if (force)
        return rename(neighbour, path) == 0 ? 0 : errno;
    if (renameat2(AT_FDCWD, neighbour, AT_FDCWD, path, RENAME_NOREPLACE) == 0)
        return 0;
    if (errno == EEXIST)
        return EEXIST;
    if (link(neighbour, path) == 0)
        return unlink(neighbour) == 0 ? 0 : errno;
    if (errno == EEXIST)
        return EEXIST;
    if (wm_file_exists(path))
        return EEXIST;
    return rename(neighbour, path) == 0 ? 0 : errno;
}

/* The new file is complete by now, so a disk that can't sync folders is no reason to report a failure. */
static void sync_folder(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    fsync(fd);
    close(fd);
}

/* The process that a neighbour's name tells, 0 when it is no such name. */
static long maker_of(const char *name)
{
    static const char START[] = ".weftmatch-", END[] = ".part";
    const char *number = name + sizeof START - 1;
    size_t size = strlen(name);
    if (strncmp(name, START, sizeof START - 1) != 0 || size < sizeof END ||
        strcmp(name + size + 1 - sizeof END, END) != 0)
        return 0;
    return strtol(number, NULL, 10);
}

/* Removes what programs left here that were killed while they wrote. */
static void sweep(const char *folder)
{
    DIR *entries = opendir(folder);
    for (struct dirent *entry; entries && (entry = readdir(entries));) {
        long maker = maker_of(entry->d_name);
        if (maker > 0 && kill((pid_t)maker, 0) != 0 && errno == ESRCH)
            unlinkat(dirfd(entries), entry->d_name, 0);
    }
    if (entries)
        closedir(entries);
}

static int write_neighbour(char **name, const char *folder, mode_t mode, const wm_bytes *bytes)
{
    sweep(folder);
    int fd = open_neighbour(name, folder, mode);
    if (fd < 0)
        return errno;
    int reason = write_all(fd, bytes->data, bytes->size);
    if (!reason && fsync(fd) != 0 && errno != EINVAL && errno != ENOTSUP)
        reason = errno;
    if (close(fd) != 0 && !reason)
        reason = errno;
    return reason;
}

static int replace_whole(const char *path, const wm_bytes *bytes, unsigned flags)
{
    char *folder = folder_of(path), *neighbour = NULL;
    if (!folder)
        return ENOMEM;
    int reason = write_neighbour(&neighbour, folder, flags & WM_FILE_PRIVATE ? PRIVATE : OPEN_TO_ALL, bytes);
    if (!reason)
        reason = put_in_place(neighbour, path, flags & WM_FILE_FORCE);
    if (!reason)
        sync_folder(folder);
    else if (neighbour)
        unlink(neighbour);
    free(neighbour);
    free(folder);
    return reason;
}

/* Through a link, its target is replaced and the link stays. */
static int replace_target(const char *path, const wm_bytes *bytes, unsigned flags)
{
    char *target = realpath(path, NULL);
    int reason = target || errno != ENOMEM ? replace_whole(target ? target : path, bytes, flags) : ENOMEM;
    free(target);
    return reason;
}

/* An interrupt waits until the neighbour is in its place or gone, so that it leaves nothing half written. */
static int replace_uninterrupted(const char *path, const wm_bytes *bytes, unsigned flags)
{
    sigset_t held, before;
    sigemptyset(&held);
    sigaddset(&held, SIGINT);
    sigaddset(&held, SIGTERM);
    sigaddset(&held, SIGHUP);
    sigaddset(&held, SIGQUIT);
    pthread_sigmask(SIG_BLOCK, &held, &before);
    int reason = replace_target(path, bytes, flags);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return reason;
}

/* A device or a pipe has nothing to lose and must not be replaced by a file. */
static bool is_device(const char *path)
{
    struct stat facts;
    return stat(path, &facts) == 0 && !S_ISREG(facts.st_mode) && !S_ISDIR(facts.st_mode);
}

/* Not blocking, since a pipe that nobody reads must not be waited for for ever; then as any other file. */
static int open_device(const char *path)
{
    const struct timespec look = { 0, PIPE_LOOK_MS * 1000000L };
    int fd = -1;
    for (int waited = 0; waited <= PIPE_WAIT_MS; waited += PIPE_LOOK_MS) {
        fd = open(path, O_WRONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
        if (fd >= 0 || errno != ENXIO)
            break;
        (void)nanosleep(&look, NULL);
    }
    if (fd >= 0)
        (void)fcntl(fd, F_SETFL, 0);
    return fd;
}

static int write_into(const char *path, const wm_bytes *bytes)
{
    int fd = open_device(path);
    if (fd < 0)
        return errno;
    int reason = write_all(fd, bytes->data, bytes->size);
    if (close(fd) != 0 && !reason)
        reason = errno;
    return reason;
}

/* What forbids writing to path: 0, or the reason. A link that leads nowhere counts as an existing file. */
static int obstacle(const char *path, bool force)
{
    struct stat facts;
    if (stat(path, &facts) != 0 && errno != ENOENT)
        return errno;
    if (!wm_file_exists(path))
        return 0;
    if (stat(path, &facts) == 0 && S_ISDIR(facts.st_mode))
        return EISDIR;
    return force || is_device(path) ? 0 : EEXIST;
}

static int reason_of_write(const char *path, const wm_bytes *bytes, unsigned flags)
{
    if (strcmp(path, "-") == 0)
        return write_all(STDOUT_FILENO, bytes->data, bytes->size);
    int reason = obstacle(path, flags & WM_FILE_FORCE);
    if (reason)
        return reason;
    return is_device(path) ? write_into(path, bytes) : replace_uninterrupted(path, bytes, flags);
}

static wm_status fail_write(wm_error *err, const char *path, int reason)
{
    switch (reason) {
    case ENOMEM: return wm_fail_memory(err);
    case ENOENT:
        return *path ? wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "the folder does not exist; make it first")
                     : wm_fail(err, WM_E_OUTPUT, "the output has an empty name; name a file");
    case ENOTDIR: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "part of the path is not a folder; check the name");
    case EACCES:
    case EPERM: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "no permission to write there; choose another folder");
    case EROFS: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "the disk is read-only; choose another folder");
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "no space left for it; make room or choose another disk");
    case EPIPE:
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0,
                          "nobody reads the output any more; run it again without the pipe");
    case ENXIO: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "nobody reads from this pipe; name a file");
    case EEXIST: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "exists already; give --force to overwrite it");
    case EISDIR: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "this is a folder; name a file in it");
    case ENAMETOOLONG: return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "the name is too long; use a shorter one");
    default:
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "can't be written (%s); check the disk and the name",
                          strerror(reason));
    }
}

wm_status wm_file_write(const char *path, const void *data, size_t size, unsigned flags, wm_error *err)
{
    wm_bytes bytes = { (unsigned char *)(uintptr_t)data, size }; /* only read from */
    int reason = reason_of_write(path, &bytes, flags);
    return reason ? fail_write(err, path, reason) : WM_OK;
}

/* The folder is locked and not the file, which is another after each writing. */
wm_status wm_file_lock(int *lock, const char *path, wm_error *err)
{
    enum { NAP_MS = 5, NAPS = 1000 };
    char *target = realpath(path, NULL), *folder = folder_of(target ? target : path);
    free(target);
    if (!folder)
        return wm_fail_memory(err);
    const int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    int reason = fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) != 0 ? errno : 0;
    for (int i = 0; reason == EWOULDBLOCK && i < NAPS; i++) {
        (void)nanosleep(&(struct timespec){ 0, NAP_MS * 1000000L }, NULL);
        reason = flock(fd, LOCK_EX | LOCK_NB) != 0 ? errno : 0;
    }
    free(folder);
    if (reason == EWOULDBLOCK) {
        close(fd);
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "another program is changing it; try again");
    }
    *lock = fd;
    return WM_OK;
}

void wm_file_unlock(int lock)
{
    if (lock >= 0)
        close(lock);
}

void wm_file_sweep(const char *path)
{
    char *folder = folder_of(path);
    if (folder)
        sweep(folder);
    free(folder);
}

wm_status wm_file_neighbour(char **name, const char *path, wm_error *err)
{
    char *folder = folder_of(path);
    if (!folder)
        return wm_fail_memory(err);
    sweep(folder);
    int fd = open_neighbour(name, folder, PRIVATE), reason = fd < 0 ? errno : 0;
    if (fd >= 0)
        close(fd);
    free(folder);
    return reason ? fail_write(err, path, reason) : WM_OK;
}

wm_status wm_file_place(const char *name, const char *path, wm_error *err)
{
    char *folder = folder_of(path);
    if (!folder)
        return wm_fail_memory(err);
    int fd = open(name, O_RDONLY | O_CLOEXEC);
    if (fd >= 0) {
        fsync(fd);
        close(fd);
    }
    int reason = put_in_place(name, path, false);
    if (!reason)
        sync_folder(folder);
    free(folder);
    return reason ? fail_write(err, path, reason) : WM_OK;
}

static int folder_obstacle(const char *path)
{
    char *folder = folder_of(path);
    if (!folder)
        return ENOMEM;
    int reason = access(folder, W_OK | X_OK) == 0 ? 0 : errno;
    free(folder);
    return reason;
}

wm_status wm_file_check_new(const char *path, bool force, wm_error *err)
{
    if (strcmp(path, "-") == 0)
        return WM_OK;
    int reason = obstacle(path, force);
    if (!reason && !is_device(path))
        reason = folder_obstacle(path);
    return reason ? fail_write(err, path, reason) : WM_OK;
}

/* ---- names ---- */

bool wm_file_larger(const char *path, size_t limit)
{
    struct stat facts;
    return stat(path, &facts) == 0 && S_ISREG(facts.st_mode) && (uint64_t)facts.st_size > limit;
}

static bool same_now(const char *path, const char *other)
{
    struct stat a, b;
    return stat(path, &a) == 0 && stat(other, &b) == 0 && a.st_dev == b.st_dev && a.st_ino == b.st_ino;
}

/* Where they will stand, by folder and name. */
static bool same_place(const char *path, const char *other)
{
    bool same = false;
    char *folder = folder_of(path), *other_folder = folder_of(other);
    if (folder && other_folder)
        same = strcmp(wm_file_base_name(path), wm_file_base_name(other)) == 0 && same_now(folder, other_folder);
    free(folder);
    free(other_folder);
    return same;
}

bool wm_file_same(const char *path, const char *other)
{
    struct stat info;
    const bool missing = stat(path, &info) != 0 && stat(other, &info) != 0;
    return missing ? same_place(path, other) : same_now(path, other);
}

bool wm_file_exists(const char *path)
{
    struct stat facts;
    return lstat(path, &facts) == 0;
}

bool wm_file_ends_in(const char *path, const char *ending)
{
    const size_t size = strlen(path), tail = strlen(ending);
    return size >= tail && strcasecmp(path + size - tail, ending) == 0;
}

const char *wm_file_base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

char *wm_file_relative_to(const char *beside, const char *name)
{
    const char *slash = strrchr(beside, '/');
    if (name[0] == '/' || !slash)
        return strdup(name);
    size_t folder = (size_t)(slash - beside) + 1, rest = strlen(name) + 1;
    char *joined = malloc(folder + rest);
    if (!joined)
        return NULL;
    memcpy(joined, beside, folder);
    memcpy(joined + folder, name, rest);
    return joined;
}
