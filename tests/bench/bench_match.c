/* The whole of `match` on a 12-megapixel JPEG against so many shades, as text and with a page, beside bare decoding of
 * the same file by stb_image: processor time of all processes, the least of several runs, as a ratio within one run;
 * and the most memory that match or its helper held. Arguments: wm_render, weftmatch, shades. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define STB_IMAGE_IMPLEMENTATION
#define STBI_ONLY_JPEG
#include <stb_image.h>

enum { RUNS = 15 }; /* of fewer the least still hangs on what else the machine does */

static void give_up(const char *what)
{
    fprintf(stderr, "bench_match: %s\n", what);
    exit(1);
}

static double seconds_of(const struct rusage *usage)
{
    return (double)(usage->ru_utime.tv_sec + usage->ru_stime.tv_sec) +
           (double)(usage->ru_utime.tv_usec + usage->ru_stime.tv_usec) * 1e-6;
}

static double clock_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/* The least of several runs. */
typedef struct cost {
    double cpu_s, clock_s; /* of the run that took the least processor time */
    double mib;            /* the most that one process held */
} cost;

/* Processor seconds of a command and its children, its output thrown away. */
static void run(cost *least, char *const argv[])
{
    int status = 0;
    struct rusage usage;
    const double start = clock_s();
    fflush(NULL);
    pid_t child = fork();
    if (child < 0)
        give_up("can't fork");
    if (child == 0) {
        if (!freopen("/dev/null", "w", stdout) || !freopen("/dev/null", "w", stderr))
            _exit(126);
        execv(argv[0], argv);
        _exit(127);
    }
    if (wait4(child, &status, 0, &usage) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 1)
        give_up(argv[0]);
    if ((double)usage.ru_maxrss / 1024 > least->mib)
        least->mib = (double)usage.ru_maxrss / 1024;
    if (seconds_of(&usage) < least->cpu_s) {
        least->cpu_s = seconds_of(&usage);
        least->clock_s = clock_s() - start;
    }
}

static double now_s(void)
{
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return seconds_of(&usage);
}

static double decode_s(const char *photo)
{
    int width, height, channels;
    double start = now_s();
    unsigned char *pixels = stbi_load(photo, &width, &height, &channels, 3);
    double spent = now_s() - start;
    if (!pixels)
        give_up("stb_image can't decode the photo");
    stbi_image_free(pixels);
    return spent;
}

static double lesser(double a, double b)
{
    return a < b ? a : b;
}

int main(int argc, char *argv[])
{
    char folder[] = "/tmp/bench-match-XXXXXX";
    char catalogue[40];
    double decoding = 1e9;
    cost text = { .cpu_s = 1e9 }, page = text, other = text;
    for (int i = 1; i < 3 && i < argc; i++)
        argv[i] = realpath(argv[i], NULL); /* found from another folder too */
    if (argc != 4 || !argv[1] || !argv[2] || !mkdtemp(folder) || chdir(folder) != 0)
        give_up("usage: bench_match WM_RENDER WEFTMATCH SHADES");
    snprintf(catalogue, sizeof catalogue, "catalogue=%s", argv[3]);
    run(&other, (char *[]){ argv[1], "out=photo", "width=4000", "height=3000", "swatches=zones", catalogue,
                            "catalogue_file=swatches.csv", NULL });
    char *words[] = { argv[2],      "match",        "photo.jpg", "--zones",   "photo.zones.json",
                      "--swatches", "swatches.csv", "--book",    "none.book", NULL,
                      NULL,         NULL,           NULL };
    for (int i = 0; i < RUNS; i++) {
        decoding = lesser(decoding, decode_s("photo.jpg"));
        words[9] = NULL;
        run(&text, words);
        words[9] = "--html";
        words[10] = "r.html";
        words[11] = "--force";
        run(&page, words);
    }
    printf("match of 12 megapixels against %s shades as text, times bare decoding (%.0f ms)\t%.2f\tat most %s\n",
           argv[3], decoding * 1e3, text.cpu_s / decoding, strcmp(argv[3], "120") == 0 ? "1.3" : "1.6");
    printf("the same by the clock, times its processor time (%ld processors)\t%.2f\t\n", sysconf(_SC_NPROCESSORS_ONLN),
           text.clock_s / text.cpu_s);
    printf("the same with a page\t%.2f\t\n", page.cpu_s / decoding);
    printf("memory as text, MiB\t%.0f\tat most %.0f\n", text.mib, 4000.0 * 3000 * 3 / 1048576 + 24);
    run(&other, (char *[]){ "/bin/rm", "-r", folder, NULL });
    return 0;
}
