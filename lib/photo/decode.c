/* decode: the child process, its sandbox, and what runs in it.
 *
 * The decoders are not hardened, so they run in a child that can only compute: it gets the file's bytes and a piece of shared memory for
 * the pixels, may open, send and start nothing (seccomp), and is ended by the kernel when it takes too much memory or time. What it leaves
 * in the shared memory is checked like any other input. With an address or thread sanitizer there is neither filter nor memory limit,
 * because their runtimes need both; and builds without libseccomp have the limits only.
 *
 * Alpha is dropped: photos are opaque, and a screenshot's alpha says nothing about colour.
 * HEIC: libheif applies the file's own turns, mirrors and crop; the pixels come out upright. */
#include "photo/decode_internal.h"

#include "photo/container_internal.h"

#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
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

#ifdef WM_HAVE_SECCOMP
#include <fcntl.h>
#include <linux/sched.h>
#include <seccomp.h>
#endif
#ifdef WM_HAVE_HEIF
#include <libheif/heif.h>
#endif

/* Zeroed memory: the decoder has read tables that a hostile file never filled. */
static void *zeroed_resize(void *old, size_t old_size, size_t size)
{
    void *new = calloc(size, 1);
    if (new == NULL) return NULL;
    if (old != NULL) memcpy(new, old, old_size < size ? old_size : size);
    free(old);
    return new;
}
#define STBI_MALLOC(size) calloc((size), 1)
#define STBI_REALLOC_SIZED(old, old_size, size) zeroed_resize((old), (old_size), (size))
#define STBI_FREE(memory) free(memory)
#define STBI_ASSERT(truth) ((truth) ? (void)0 : abort())
#define STBI_NO_STDIO
#define STBI_NO_LINEAR
#define STBI_NO_HDR
#define STBI_ONLY_JPEG
#define STBI_ONLY_PNG
#define STB_IMAGE_STATIC
#define STB_IMAGE_IMPLEMENTATION
#pragma GCC diagnostic ignored "-Wunused-function" /* it declares static functions that it leaves out; found out at the end of the file */
#include <stb_image.h>

/* The shared memory begins with this; the pixels follow at PIXELS_AT. */
typedef struct room {
    int width, height;
    int whole; /* 1: the pixels are all there */
    char trouble[120]; /* why not */
} room;
enum { PIXELS_AT = 256 };

static size_t frame_size(int width, int height, int bits) { return (size_t)width * (size_t)height * 3 * (size_t)bits / 8; }

static void *pixels_of(room *r) { return (unsigned char *)r + PIXELS_AT; }

static void trouble(room *r, const char *why)
{
    if (why == NULL) why = "it can't be decoded";
    size_t length = strnlen(why, sizeof r->trouble - 1);
    memcpy(r->trouble, why, length);
    r->trouble[length] = '\0';
}

/* ---- JPEG and PNG ---- */

/* A colour index beyond the palette would show whatever lay on the stack: every palette is filled up to 256 entries with black.
 * The walk has made sure of the chunks. Copy to free; data NULL: memory ran out. */
static wm_bytes palette_filled(const wm_bytes *png)
{
    enum { FULL = 768 };
    wm_bytes out = { calloc(png->size + FULL, 1), 0 };
    size_t at = 8, length = 0;
    if (out.data == NULL) return out;
    for (; memcmp(png->data + at + 4, "PLTE", 4) != 0; at += length + 12)
        length = (size_t)png->data[at] << 24 | (size_t)png->data[at + 1] << 16 | (size_t)png->data[at + 2] << 8 | png->data[at + 3];
    length = (size_t)png->data[at + 2] << 8 | png->data[at + 3];
    memcpy(out.data, png->data, at + 8 + length);
    out.data[at + 2] = FULL >> 8;
    out.data[at + 3] = FULL & 255;
    memcpy(out.data + at + 8 + FULL, png->data + at + 8 + length, png->size - (at + 8 + length));
    out.size = png->size + FULL - length;
    return out;
}

static void decode_stb(room *r, const wm_bytes *bytes, const wm_container *container)
{
    enum { COLOUR_TYPE_AT = 25, PALETTE = 3 };
    wm_bytes filled = { 0 };
    int width = 0, height = 0, channels = 0;
    void *pixels = NULL;
    if (container->kind == WM_CONTAINER_PNG && bytes->data[COLOUR_TYPE_AT] == PALETTE) {
        filled = palette_filled(bytes);
        if (filled.data == NULL) {
            trouble(r, "outofmem");
            return;
        }
        bytes = &filled;
    }
    if (bytes->size > INT32_MAX) trouble(r, "too large");
    else if (container->bits == 16) pixels = stbi_load_16_from_memory(bytes->data, (int)bytes->size, &width, &height, &channels, 3);
    else pixels = stbi_load_from_memory(bytes->data, (int)bytes->size, &width, &height, &channels, 3);
    if (pixels == NULL && bytes->size <= INT32_MAX) trouble(r, stbi_failure_reason());
    if (pixels != NULL && width == container->width && height == container->height) {
        memcpy(pixels_of(r), pixels, frame_size(width, height, container->bits));
        r->width = width;
        r->height = height;
        r->whole = 1;
    }
    stbi_image_free(pixels);
    free(filled.data);
}

/* ---- HEIC ---- */

#ifdef WM_HAVE_HEIF

static void copy_heif(room *r, const struct heif_image *image, const wm_container *container)
{
    int stride = 0, width = heif_image_get_primary_width(image), height = heif_image_get_primary_height(image);
    const unsigned char *plane = heif_image_get_plane_readonly(image, heif_channel_interleaved, &stride);
    if (plane == NULL || width < 1 || height < 1 || (double)width * height > (double)container->width * container->height) {
        trouble(r, "its picture is not of the size that it says");
        return;
    }
    for (int y = 0; y < height; y++)
        memcpy((unsigned char *)pixels_of(r) + (size_t)y * (size_t)width * 3, plane + (size_t)y * (size_t)stride, (size_t)width * 3);
    r->width = width;
    r->height = height;
    r->whole = 1;
}

static void decode_heif(room *r, const wm_bytes *bytes, const wm_container *container)
{
    struct heif_image_handle *handle = NULL;
    struct heif_image *image = NULL;
    struct heif_decoding_options *options = heif_decoding_options_alloc();
    struct heif_context *context = heif_context_alloc();
    if (options == NULL || context == NULL) {
        trouble(r, "outofmem");
        goto done;
    }
    options->convert_hdr_to_8bit = 1;
    heif_context_set_max_decoding_threads(context, 0);
    struct heif_error error = heif_context_read_from_memory_without_copy(context, bytes->data, bytes->size, NULL);
    if (error.code == heif_error_Ok) error = heif_context_get_primary_image_handle(context, &handle);
    if (error.code == heif_error_Ok) error = heif_decode_image(handle, &image, heif_colorspace_RGB, heif_chroma_interleaved_RGB, options);
    if (error.code == heif_error_Ok) copy_heif(r, image, container);
    else trouble(r, error.message);
done:
    heif_image_release(image);
    heif_image_handle_release(handle);
    heif_context_free(context);
    heif_decoding_options_free(options);
}

#endif

static void decode_into(room *r, const wm_bytes *bytes, const wm_container *container)
{
#ifdef WM_HAVE_HEIF
    if (container->kind == WM_CONTAINER_HEIC) {
        decode_heif(r, bytes, container);
        return;
    }
#endif
    decode_stb(r, bytes, container);
}

/* ---- The child ---- */

/* Seconds: far above what any sound photo takes on a slow machine. */
static unsigned time_limit(const wm_container *container) { return 30 + (unsigned)((double)container->width * container->height / 1e6); }

static void lower_limit(int what, rlim_t most)
{
    struct rlimit limit;
    if (getrlimit(what, &limit) != 0) return;
    if (limit.rlim_cur > most) limit.rlim_cur = most;
    if (limit.rlim_max > most) limit.rlim_max = most;
    (void)setrlimit(what, &limit);
}

static void limit_child(const wm_container *container)
{
    unsigned seconds = time_limit(container);
    sigset_t none;
    for (int i = 1; i < 32; i++) (void)signal(i, SIG_DFL); /* the caller's handlers are none of our business */
    (void)sigemptyset(&none);
    (void)sigprocmask(SIG_SETMASK, &none, NULL);
    (void)alarm(seconds);
    lower_limit(RLIMIT_CPU, seconds);
    lower_limit(RLIMIT_CORE, 0); /* a dump would hold the client's photo */
#ifndef SANITIZED
    rlim_t pixels = (rlim_t)container->width * (rlim_t)container->height;
    lower_limit(RLIMIT_FSIZE, 0);
    lower_limit(RLIMIT_AS, ((rlim_t)4 << 30) + pixels * 48); /* eight 16-bit copies, and what the caller has mapped already */
#endif
}

#if defined(WM_HAVE_SECCOMP) && !defined(SANITIZED)

/* Memory, threads of its own (libde265 starts one) and an end. Opening is answered with "no" instead of death because the C library
 * and libheif ask the system a few things and can live without an answer. */
static bool lock_in(void)
{
    static const int allowed[] = { SCMP_SYS(exit), SCMP_SYS(exit_group), SCMP_SYS(brk), SCMP_SYS(munmap), SCMP_SYS(mremap), SCMP_SYS(madvise),
        SCMP_SYS(futex), SCMP_SYS(rt_sigaction), SCMP_SYS(rt_sigreturn), SCMP_SYS(rt_sigprocmask), SCMP_SYS(set_robust_list), SCMP_SYS(rseq), SCMP_SYS(sched_yield),
        SCMP_SYS(sched_getaffinity), SCMP_SYS(clock_gettime), SCMP_SYS(clock_nanosleep), SCMP_SYS(nanosleep), SCMP_SYS(gettimeofday),
        SCMP_SYS(getpid), SCMP_SYS(gettid), SCMP_SYS(getrandom) };
    static const int denied[] = { SCMP_SYS(open), SCMP_SYS(openat), SCMP_SYS(readlink), SCMP_SYS(prctl) };
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_KILL_PROCESS);
    int wrong = filter == NULL;
    for (size_t i = 0; !wrong && i < sizeof allowed / sizeof *allowed; i++) wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, allowed[i], 0);
    for (size_t i = 0; !wrong && i < sizeof denied / sizeof *denied; i++) wrong = seccomp_rule_add(filter, SCMP_ACT_ERRNO(EACCES), denied[i], 0);
    /* never executable memory, never a process */
    if (!wrong) wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(mmap), 1, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    if (!wrong) wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(mprotect), 1, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    if (!wrong) wrong = seccomp_rule_add(filter, SCMP_ACT_ALLOW, SCMP_SYS(clone), 1, SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD));
    if (!wrong) wrong = seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3), 0);
    if (!wrong) wrong = seccomp_load(filter);
    if (filter != NULL) seccomp_release(filter);
    return !wrong;
}

#else

static bool lock_in(void) { return true; }

#endif

enum { CHILD_DONE = 0, CHILD_UNLOCKED = 3 };

static _Noreturn void run_child(room *r, const wm_bytes *bytes, const wm_container *container)
{
    limit_child(container);
#ifdef WM_HAVE_HEIF
    if (container->kind == WM_CONTAINER_HEIC) (void)heif_init(NULL); /* may look for plug-ins, which the filter forbids */
#endif
    if (!lock_in()) _exit(CHILD_UNLOCKED);
    decode_into(r, bytes, container);
    _exit(CHILD_DONE);
}

/* Runs the child to its end. *state as from waitpid, 0 when the caller ignores its children's ends and none is to be had. */
static wm_status run_guarded(room *r, const wm_bytes *bytes, const wm_container *container, int *state)
{
    pid_t child = fork();
    *state = 0;
    if (child < 0) return WM_E_MEMORY;
    if (child == 0) run_child(r, bytes, container);
    while (waitpid(child, state, 0) < 0 && errno == EINTR) {}
    return WM_OK;
}

static wm_status report_trouble(const room *r, const wm_container *container, int state, wm_error *err)
{
    int ended_by = WIFSIGNALED(state) ? WTERMSIG(state) : 0;
    char why[sizeof r->trouble];
    memcpy(why, r->trouble, sizeof why);
    why[sizeof why - 1] = '\0';
    if (ended_by == SIGALRM || ended_by == SIGXCPU)
        return wm_fail(err, WM_E_PHOTO, "decoding takes longer than %u seconds; use a smaller photo or save it again", time_limit(container));
    if (WIFEXITED(state) && WEXITSTATUS(state) == CHILD_UNLOCKED)
        return wm_fail(err, WM_E_PHOTO, "this system can't lock the photo decoder in; build with -Dsandbox=disabled to decode without");
    if (strcmp(why, "outofmem") == 0)
        return wm_fail(err, WM_E_PHOTO, "not enough memory to decode %d x %d pixels; use a smaller photo", container->width, container->height);
    return wm_fail_damaged(err, container->kind, why[0] != '\0' ? why : "the decoder broke down on it");
}

static wm_status decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, bool guarded, wm_error *err)
{
    size_t size = PIXELS_AT + frame_size(container->width, container->height, container->bits);
    room *r = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    int state = 0;
    wm_status status = WM_OK;
    if (r == MAP_FAILED) return wm_fail_memory(err);
    if (guarded) status = run_guarded(r, bytes, container, &state);
    else decode_into(r, bytes, container);
    if (status != WM_OK) {
        wm_fail_memory(err);
    } else if (state != 0 || r->whole != 1) {
        status = report_trouble(r, container, state, err);
    } else if (r->width < 1 || r->height < 1 || frame_size(r->width, r->height, container->bits) > size - PIXELS_AT) {
        status = wm_fail_damaged(err, container->kind, "the decoder broke down on it");
    }
    if (status != WM_OK) {
        (void)munmap(r, size);
        return status;
    }
    *out = (wm_pixels){ r->width, r->height, container->bits, pixels_of(r), r, size };
    return WM_OK;
}

wm_status wm_decode(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err)
{
    return decode(out, bytes, container, true, err);
}

wm_status wm_decode_unguarded(wm_pixels *out, const wm_bytes *bytes, const wm_container *container, wm_error *err)
{
    return decode(out, bytes, container, false, err);
}

void wm_pixels_free(wm_pixels *pixels)
{
    if (pixels == NULL || pixels->map == NULL) return;
    (void)munmap(pixels->map, pixels->map_size);
    *pixels = (wm_pixels){ 0 };
}
