/* A second match on an open photo of 12 megapixels with the reference zone of the others moved: as the desk asks while
 * she marks. Beside it the first match on the photo; and what the helper costs more than the same work in this process,
 * as a part of bare decoding by stb_image, for the whole photo and for the zones of a match. Processor time, the least
 * of many. Argument: wm_render. */
#define _GNU_SOURCE /* MAP_ANONYMOUS */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#define STB_IMAGE_IMPLEMENTATION
#define STBI_ONLY_JPEG
#include <stb_image.h>

#include "consult/consult.h"
#include "consult/kept_zones.h"
#include "core/file.h"
#include "measure/zones_file.h"
#include "photo/photo.h"
#include "photo/unpack.h"
#include "report/json_out.h"

enum { RUNS = 20 };

static void give_up(const char *what)
{
    fprintf(stderr, "bench_live: %s\n", what);
    exit(1);
}

/* Milliseconds of this process and of its children that have ended. */
static double spent_ms(void)
{
    struct rusage own, theirs;
    getrusage(RUSAGE_SELF, &own);
    getrusage(RUSAGE_CHILDREN, &theirs);
    return 1e3 * (double)(own.ru_utime.tv_sec + own.ru_stime.tv_sec + theirs.ru_utime.tv_sec + theirs.ru_stime.tv_sec) +
           1e-3 * (double)(own.ru_utime.tv_usec + own.ru_stime.tv_usec + theirs.ru_utime.tv_usec +
                           theirs.ru_stime.tv_usec);
}

static double lesser(double a, double b)
{
    return a < b ? a : b;
}

static void render(const char *program)
{
    int status = 0;
    pid_t child = fork();
    if (child == 0) {
        execl(program, program, "out=photo", "width=4000", "height=3000", "swatches=zones", "catalogue=120",
              "catalogue_file=swatches.csv", (char *)NULL);
        _exit(127);
    }
    if (child < 0 || waitpid(child, &status, 0) != child || status != 0)
        give_up("can't render");
}

/* ---- opening ---- */

typedef struct opening {
    wm_bytes bytes;
    wm_zones zones;
} opening;

static void by_helper(const opening *o, bool whole)
{
    wm_photo *photo = NULL;
    if (whole ? wm_photo_open(&photo, "photo.jpg", NULL, NULL)
              : wm_consult_open_photo(&photo, "photo.jpg", &o->zones, NULL, NULL))
        give_up("can't open the photo");
    wm_photo_close(photo);
}

/* The same steps without a wall. */
static void in_this_process(const opening *o, bool whole)
{
    static wm_reply reply;
    char digest[65];
    wm_bytes bytes = { 0 };
    wm_box boxes[40];
    const size_t count = whole ? 0 : o->zones.count;
    memset(&reply, 0, sizeof reply);
    reply.limits = (wm_photo_limits)WM_PHOTO_LIMITS_DEFAULT;
    if (wm_file_read(&bytes, "photo.jpg", 1 << 28, WM_E_PHOTO, NULL) || wm_unpack_facts(&reply, &bytes))
        give_up("can't read the photo");
    const wm_upright how = { reply.container.orientation, reply.container.width, reply.container.height };
    for (size_t i = 0; i < count && i < 40; i++)
        boxes[i] = wm_zone_box(&o->zones.items[i], how.width, how.height);
    reply.parts = wm_parts_around((wm_boxes){ boxes, count }, how);
    reply.room =
        count > 0 && reply.parts.count > 0 ? wm_parts_room(&reply.parts, 8) : wm_pixels_room(how.width, how.height, 8);
    void *room = mmap(NULL, reply.room, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    wm_sha256_hex(digest, bytes.data, bytes.size);
    if (room == MAP_FAILED || wm_unpack_picture(&reply, &bytes, (wm_room){ room, reply.room }))
        give_up("can't decode the photo");
    munmap(room, reply.room);
    wm_bytes_free(&bytes);
}

static void bare(const opening *o, bool whole)
{
    int width, height, channels;
    (void)whole;
    unsigned char *pixels = stbi_load_from_memory(o->bytes.data, (int)o->bytes.size, &width, &height, &channels, 3);
    if (!pixels)
        give_up("stb_image can't decode the photo");
    stbi_image_free(pixels);
}

typedef void way(const opening *o, bool whole);

static void time_one(double *least_ms, const opening *o, way *open, bool whole)
{
    const double start = spent_ms();
    open(o, whole);
    *least_ms = lesser(*least_ms, spent_ms() - start);
}

/* The gray-free zone is some pixels off. */
static void read_zones(wm_zones *out, int off)
{
    wm_warnings warnings = { 0 };
    *out = (wm_zones){ 0 };
    if (wm_zones_add_file(out, "photo.zones.json", &warnings, NULL))
        give_up("no zones");
    wm_warnings_free(&warnings);
    for (size_t i = 0; i < out->count; i++)
        for (size_t k = 0; out->items[i].gray_free && k < out->items[i].point_count; k++)
            out->items[i].points[k].x += off;
}

/* One after the other many times: what else the machine does, or a processor that slows down, meets all. */
static void time_opening(void)
{
    opening o = { 0 };
    double bare_ms = 1e9, helper[2] = { 1e9, 1e9 }, own[2] = { 1e9, 1e9 };
    read_zones(&o.zones, 0);
    if (wm_file_read(&o.bytes, "photo.jpg", 1 << 28, WM_E_PHOTO, NULL))
        give_up("no photo");
    for (int i = 0; i < RUNS; i++) {
        time_one(&bare_ms, &o, bare, true);
        for (int whole = 0; whole < 2; whole++) {
            time_one(&helper[whole], &o, by_helper, whole);
            time_one(&own[whole], &o, in_this_process, whole);
        }
    }
    printf(
        "the helper costs more than one process for the zones of a match (%.0f ms), of bare decoding\t%.2f\tat most 0.05\n",
        own[0], (helper[0] - own[0]) / bare_ms);
    printf("the same for the whole photo (%.0f ms)\t%.2f\t\n", own[1], (helper[1] - own[1]) / bare_ms);
    wm_bytes_free(&o.bytes);
    wm_zones_free(&o.zones);
}

/* ---- matching ---- */

static double match_ms(wm_consult_input *input, int off)
{
    wm_zones zones;
    wm_report report;
    wm_buf json = { 0 };
    wm_error err;
    read_zones(&zones, off);
    input->zones = &zones;
    const double start = spent_ms();
    if (wm_consult_match(&report, NULL, input, &err))
        give_up(err.text);
    if (wm_report_to_json(&json, &report, NULL))
        give_up("no JSON");
    const double took = spent_ms() - start;
    wm_buf_free(&json);
    wm_report_free(&report);
    wm_zones_free(&zones);
    return took;
}

int main(int argc, char **argv)
{
    char folder[] = "/tmp/bench-live-XXXXXX";
    wm_photo *photo = NULL;
    wm_catalogue catalogue = { 0 };
    wm_warnings warnings = { 0 };
    const wm_settings settings = wm_settings_default();
    const wm_wishes wishes = WM_WISHES_INIT;
    double first = 1e9, again = 1e9;
    char *program = argc == 2 ? realpath(argv[1], NULL) : NULL; /* found from another folder too */
    if (!program || !mkdtemp(folder) || chdir(folder) != 0)
        give_up("usage: bench_live WM_RENDER");
    render(program);
    free(program);
    if (wm_photo_open(&photo, "photo.jpg", NULL, NULL) ||
        wm_catalogue_load(&catalogue, "swatches.csv", &warnings, NULL))
        give_up("no photo or catalogue");
    wm_consult_input input = { .photo = photo,
                               .catalogue = &catalogue,
                               .settings = &settings,
                               .wishes = &wishes,
                               .made_at = "2025-05-14T00:00:00Z",
                               .date = { 2025, 5, 14 },
                               .jobs = 1,
                               .live = true };
    for (int i = 0; i < 3; i++)
        first = lesser(first, match_ms(&input, 0));
    if (wm_kept_zones_open(&input.kept, photo, NULL))
        give_up("no memory");
    for (int i = 0; i < RUNS; i++)
        again = lesser(again, i ? match_ms(&input, 4 * (i % 4) + i / 4) : 1e9);
    printf("a moved mark on an open photo of 12 megapixels, 120 shades, ms\t%.1f\tat most 30\n", again);
    printf("the same, times a match that keeps nothing\t%.2f\t\n", again / first);
    time_opening();
    wm_kept_zones_close(input.kept);
    wm_catalogue_free(&catalogue);
    wm_warnings_free(&warnings);
    wm_photo_close(photo);
    fflush(stdout);
    return execl("/bin/rm", "rm", "-r", folder, (char *)NULL);
}
