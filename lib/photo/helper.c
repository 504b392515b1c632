#define _GNU_SOURCE /* memfd_create, prlimit */
#include "photo/helper.h"

#include "photo/container_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* Far above what any sound photo takes on a slow machine. */
enum { FACTS_SECONDS = 10, PICTURE_SECONDS = 30 }; /* and a second a megapixel */

/* Of the helper's own memory: eight copies at 16 bit. What it begins with is in helper/main.c. */
#define BYTES_PER_PIXEL 48.0
#define BASE_MEMORY 134217728.0

struct wm_helper {
    pid_t process;          /* 0: none */
    int file;               /* the reply, and behind it the pixels */
    int line;               /* one byte each way at each stage */
    size_t bytes;           /* of the photo */
    wm_photo_limits limits; /* not the reply's, which the helper may change */
    wm_parts parts;         /* likewise */
    wm_taken taken;
};

static size_t reply_size(void)
{
    size_t page = (size_t)sysconf(_SC_PAGESIZE);
    return (sizeof(wm_reply) + page - 1) / page * page;
}

void wm_taken_free(wm_taken *taken)
{
    if (taken->reply)
        (void)munmap(taken->reply, reply_size());
    if (taken->room.at)
        (void)munmap(taken->room.at, taken->room.size);
    *taken = (wm_taken){ 0 };
}

/* ---- Starting ---- */

/* Above the descriptors that the helper gets, so that handing over one never overwrites another. */
static int high(int descriptor)
{
    if (descriptor < 0 || descriptor > 2)
        return descriptor;
    int moved = fcntl(descriptor, F_DUPFD_CLOEXEC, 3);
    (void)close(descriptor);
    return moved;
}

static void close_one(int descriptor)
{
    if (descriptor >= 0)
        (void)close(descriptor);
}

static bool write_all(int file, const wm_bytes *bytes)
{
    for (size_t done = 0; done < bytes->size;) {
        ssize_t put = write(file, bytes->data + done, bytes->size - done);
        if (put < 0 && errno != EINTR)
            return false;
        done += put > 0 ? (size_t)put : 0;
    }
    return true;
}

/* The photo's bytes as a file without a name that nobody can change any more; -1 and errno: none. */
static int sealed(const wm_bytes *bytes)
{
    int file = high(memfd_create("photo", MFD_CLOEXEC | MFD_ALLOW_SEALING));
    if (file >= 0 && write_all(file, bytes) &&
        fcntl(file, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_WRITE | F_SEAL_SEAL) == 0)
        return file;
    int reason = errno;
    close_one(file);
    errno = reason;
    return -1;
}

/* The reply's file and mapping, filled in as far as the parent says it. It can't shrink under us. */
static bool share_reply(wm_helper *h)
{
    h->file = high(memfd_create("picture", MFD_CLOEXEC | MFD_ALLOW_SEALING));
    if (h->file < 0 || ftruncate(h->file, (off_t)reply_size()) != 0 || fcntl(h->file, F_ADD_SEALS, F_SEAL_SHRINK) != 0)
        return false;
    void *mapped = mmap(NULL, reply_size(), PROT_READ | PROT_WRITE, MAP_SHARED, h->file, 0);
    if (mapped == MAP_FAILED)
        return false;
    wm_reply *reply = h->taken.reply = mapped;
    reply->size = sizeof *reply;
    (void)snprintf(reply->version, sizeof reply->version, "%s", wm_version());
    reply->limits = h->limits;
    reply->limits.helper = NULL;
    return true;
}

static int hand_over(posix_spawn_file_actions_t *actions, const int given[3])
{
    int wrong = 0;
    for (int i = 0; !wrong && i < 3; i++)
        wrong = posix_spawn_file_actions_adddup2(actions, given[i], i);
    if (!wrong)
        wrong = posix_spawn_file_actions_addclosefrom_np(actions, 3);
    return wrong;
}

/* The caller's signal handlers and masks, its environment and its descriptors are none of the helper's business. */
static int spawn(pid_t *out, const char *path, const int given[3])
{
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t how;
    sigset_t none, all;
    char name[] = "weftmatch-photo";
    char *words[] = { name, NULL }, *environment[] = { NULL };
    (void)sigemptyset(&none);
    (void)sigfillset(&all);
    if (posix_spawn_file_actions_init(&actions) != 0)
        return ENOMEM;
    if (posix_spawnattr_init(&how) != 0) {
        (void)posix_spawn_file_actions_destroy(&actions);
        return ENOMEM;
    }
    (void)posix_spawnattr_setsigmask(&how, &none);
    (void)posix_spawnattr_setsigdefault(&how, &all);
    (void)posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
    int wrong = hand_over(&actions, given);
    if (!wrong)
        wrong = posix_spawn(out, path, &actions, &how, words, environment);
    (void)posix_spawnattr_destroy(&how);
    (void)posix_spawn_file_actions_destroy(&actions);
    return wrong;
}

/* HEIC has a helper of its own, because its decoder takes longer to load than many a photo to decode. */
static bool path_of(char *out, const char *given, const wm_bytes *bytes)
{
    char usual[WM_HELPER_PATH];
    bool heic = bytes->size >= 8 && memcmp(bytes->data + 4, "ftyp", 4) == 0;
    if (!given)
        wm_helper_place(usual);
    int length = snprintf(out, WM_HELPER_PATH, "%s%s", given ? given : usual, heic ? "-heic" : "");
    return length > 0 && length < WM_HELPER_PATH;
}

static void end(wm_helper *h)
{
    int state;
    if (h->process > 0) {
        (void)kill(h->process, SIGKILL);
        while (waitpid(h->process, &state, 0) < 0 && errno == EINTR) {}
    }
    h->process = 0;
}

static void helper_free(wm_helper *h)
{
    end(h);
    close_one(h->file);
    close_one(h->line);
    wm_taken_free(&h->taken);
    free(h);
}

/* What the system grants this process and its user is not always memory. */
static wm_status fail_limit(int reason, wm_error *err)
{
    switch (reason) {
    case EMFILE:
    case ENFILE:
        return wm_fail(err, WM_E_PHOTO, "too many files are open to read it; close some, or allow more (ulimit -n)");
    case EFBIG:
        return wm_fail(err, WM_E_PHOTO, "the limit on the size of files is too small to read it; raise it (ulimit -f)");
    case EAGAIN:
        return wm_fail(err, WM_E_PHOTO,
                       "too many programs are running to read it; close some, or allow more (ulimit -u)");
    default: return wm_fail_memory(err);
    }
}

static wm_status fail_start(const char *path, int reason, wm_error *err)
{
    if (reason == ENOMEM || reason == EMFILE || reason == ENFILE || reason == EFBIG || reason == EAGAIN)
        return fail_limit(reason, err);
    return wm_fail(err, WM_E_PHOTO, "the program that reads photos, %s, can't be started (%s); install weftmatch again",
                   path, strerror(reason));
}

wm_status wm_helper_start(wm_helper **out, const wm_bytes *bytes, const wm_photo_limits *limits, wm_error *err)
{
    char path[WM_HELPER_PATH];
    int ends[2] = { -1, -1 }, photo = -1, wrong = 0;
    wm_helper *h = calloc(1, sizeof *h);
    if (!h)
        return wm_fail_memory(err);
    h->file = h->line = -1;
    h->bytes = bytes->size;
    h->limits = *limits;
    if (!path_of(path, limits->helper, bytes)) {
        wrong = ENAMETOOLONG;
    } else if (share_reply(h) && (photo = sealed(bytes)) >= 0 &&
               socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) == 0) {
        int given[3] = { photo, h->file, ends[1] = high(ends[1]) };
        h->line = ends[0];
        wrong = given[2] < 0 ? EMFILE : spawn(&h->process, path, given);
    } else {
        wrong = errno;
    }
    close_one(photo);
    close_one(ends[1]);
    if (wrong == 0) {
        *out = h;
        return WM_OK;
    }
    helper_free(h);
    return fail_start(path, wrong, err);
}

/* ---- Finishing ---- */

static int64_t now_ms(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

typedef enum heard { SPOKE, FELL_SILENT, TOO_SLOW } heard;

/* Waits for the byte of the next stage. In slices, because a process that somebody forked off meanwhile may hold the
 * helper's end open after its death. */
static heard listen_until(wm_helper *h, int64_t deadline)
{
    enum { SLICE_MS = 200 };
    for (;;) {
        char byte;
        int state;
        int64_t left = deadline - now_ms();
        struct pollfd wait = { .fd = h->line, .events = POLLIN };
        if (left <= 0)
            return TOO_SLOW;
        int ready = poll(&wait, 1, left < SLICE_MS ? (int)left : SLICE_MS);
        if (ready > 0)
            return read(h->line, &byte, 1) == 1 ? SPOKE : FELL_SILENT;
        if (ready == 0 && waitpid(h->process, &state, WNOHANG) != 0) {
            h->process = 0;
            return recv(h->line, &byte, 1, MSG_DONTWAIT) == 1 ? SPOKE : FELL_SILENT;
        }
    }
}

static wm_status fail_slow(unsigned seconds, wm_error *err)
{
    return wm_fail(err, WM_E_PHOTO, "reading it takes longer than %u seconds; use a smaller photo or save it again",
                   seconds);
}

static wm_status fail_unlocked(wm_error *err)
{
    return wm_fail(err, WM_E_PHOTO,
                   "this system can't lock the photo decoder in, so nothing was decoded; use a kernel with seccomp "
                   "filters, or build with -Dsandbox=disabled to decode without");
}

static wm_status fail_broken(const wm_helper *h, bool facts_known, wm_error *err)
{
    if (facts_known)
        return wm_fail_damaged(err, h->taken.reply->container.kind, "the decoder failed on it");
    return wm_fail(err, WM_E_PHOTO, "damaged photo: reading it failed; send or copy the photo again");
}

/* The helper has stopped at `stage` or before: what does that mean? */
static wm_status judge(wm_helper *h, wm_reply_stage stage, heard how, wm_error *err)
{
    wm_reply_stage reached = h->taken.reply->stage;
    if (how == SPOKE && reached == stage)
        return WM_OK;
    end(h);
    if (how == SPOKE && reached == WM_REPLY_UNLOCKED)
        return fail_unlocked(err);
    if (how == SPOKE && reached == WM_REPLY_REFUSED)
        return wm_reply_refusal(h->taken.reply, err);
    return fail_broken(h, stage == WM_REPLY_PICTURE, err);
}

/* Room for the pixels, more memory for the helper, and the word to go on; false and errno: none. That nobody is there
 * to hear it, whoever listens next finds out. */
static bool make_room(wm_helper *h, const wm_container *facts)
{
    double pixels = (double)facts->width * facts->height;
    struct rlimit memory;
    wm_room *room = &h->taken.room;
    size_t size = h->parts.count > 0 ? wm_parts_room(&h->parts, facts->bits)
                                     : wm_pixels_room(facts->width, facts->height, facts->bits);
    if (ftruncate(h->file, (off_t)(reply_size() + size)) != 0 ||
        fcntl(h->file, F_ADD_SEALS, F_SEAL_GROW | F_SEAL_SEAL) != 0)
        return false;
    void *mapped = mmap(NULL, size, PROT_READ, MAP_SHARED, h->file, (off_t)reply_size());
    if (mapped == MAP_FAILED)
        return false;
    *room = (wm_room){ mapped, size };
    h->taken.reply->room = size;
    h->taken.reply->parts = h->parts;
    if (prlimit(h->process, RLIMIT_DATA, NULL, &memory) == 0) {
        double most = BASE_MEMORY + 3.0 * (double)h->bytes + BYTES_PER_PIXEL * pixels;
        memory.rlim_cur =
            memory.rlim_max != RLIM_INFINITY && (double)memory.rlim_max < most ? memory.rlim_max : (rlim_t)most;
        (void)prlimit(h->process, RLIMIT_DATA, &memory, NULL);
    }
    (void)send(h->line, "p", 1, MSG_NOSIGNAL);
    return true;
}

static wm_status take_facts(wm_helper *h, wm_container *facts, wm_error *err)
{
    heard how = listen_until(h, now_ms() + FACTS_SECONDS * 1000);
    if (how == TOO_SLOW)
        return fail_slow(FACTS_SECONDS, err);
    wm_status status = judge(h, WM_REPLY_FACTS, how, err);
    if (status)
        return status;
    memcpy(facts, &h->taken.reply->container, sizeof *facts); /* what it says later does not count */
    bool possible = facts->width > 0 && facts->height > 0 && (facts->bits == 8 || facts->bits == 16) &&
                    facts->orientation >= 1 && facts->orientation <= 8 &&
                    (double)facts->width * facts->height <= h->limits.max_megapixels * 1e6;
    return possible ? WM_OK : fail_broken(h, false, err);
}

static wm_status take_picture(wm_helper *h, const wm_container *facts, wm_error *err)
{
    unsigned seconds = PICTURE_SECONDS + (unsigned)((double)facts->width * facts->height / 1e6);
    if (!make_room(h, facts))
        return fail_limit(errno, err);
    heard how = listen_until(h, now_ms() + (int64_t)seconds * 1000);
    end(h); /* from here on nobody writes any more */
    if (how == TOO_SLOW)
        return fail_slow(seconds, err);
    wm_reply *reply = h->taken.reply;
    reply->container.kind = facts->kind;
    reply->limits = h->limits;
    reply->room = h->taken.room.size;
    reply->parts = h->parts;
    wm_status status = judge(h, WM_REPLY_PICTURE, how, err);
    if (status)
        return status;
    bool same = reply->container.width == facts->width && reply->container.height == facts->height &&
                reply->container.bits == facts->bits && reply->container.orientation == facts->orientation;
    if (!same || !wm_reply_facts_sound(reply) || !wm_reply_picture_sound(reply))
        return fail_broken(h, true, err);
    for (int i = 0; i < WM_PARTS_MOST; i++)
        reply->pixels[i].data = h->taken.room.at;
    return WM_OK;
}

wm_status wm_helper_finish(wm_taken *out, wm_helper *helper, wm_boxes wanted, wm_error *err)
{
    wm_container facts;
    wm_status status = take_facts(helper, &facts, err);
    if (!status && facts.kind == WM_CONTAINER_JPEG)
        helper->parts = wm_parts_around(wanted, (wm_upright){ facts.orientation, facts.width, facts.height });
    if (!status)
        status = take_picture(helper, &facts, err);
    if (!status) {
        *out = helper->taken;
        helper->taken = (wm_taken){ 0 };
    }
    helper_free(helper);
    return status;
}
