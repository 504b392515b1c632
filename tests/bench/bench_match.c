/* The whole of `match` on a 12-megapixel JPEG against so many shades, as text and with a page, beside bare decoding of
 * the same file by stb_image: processor time of all processes, the least of several runs, as a ratio within one run;
 * and the most memory that match or its helper held. Arguments: wm_render, weftmatch, shades. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#define STB_IMAGE_IMPLEMENTATION
#define STBI_ONLY_JPEG
#include <stb_image.h>

enum { RUNS = 5 };

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

/* Processor seconds of a command and its children, its output thrown away; *mib: the most memory that one of them held.
 */
static double run(char *const argv[], double *mib)
{
    int status = 0;
    struct rusage usage;
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
    if (mib && (double)usage.ru_maxrss / 1024 > *mib)
        *mib = (double)usage.ru_maxrss / 1024;
    return seconds_of(&usage);
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
    double decoding = 1e9, text = 1e9, page = 1e9, mib = 0;
    if (argc != 4 || !mkdtemp(folder) || chdir(folder) != 0)
        give_up("usage: bench_match WM_RENDER WEFTMATCH SHADES");
    snprintf(catalogue, sizeof catalogue, "catalogue=%s", argv[3]);
    run((char *[]){ argv[1], "out=photo", "width=4000", "height=3000", "swatches=zones", catalogue,
                    "catalogue_file=swatches.csv", NULL },
        NULL);
    char *words[] = { argv[2],      "match",        "photo.jpg", "--zones",   "photo.zones.json",
                      "--swatches", "swatches.csv", "--book",    "none.book", NULL,
                      NULL,         NULL,           NULL };
    for (int i = 0; i < RUNS; i++) {
        decoding = lesser(decoding, decode_s("photo.jpg"));
        words[9] = NULL;
        text = lesser(text, run(words, &mib));
        words[9] = "--html";
        words[10] = "r.html";
        words[11] = "--force";
        page = lesser(page, run(words, NULL));
    }
    printf("match of 12 megapixels against %s shades as text, times bare decoding (%.0f ms)\t%.2f\tat most %s\n",
           argv[3], decoding * 1e3, text / decoding, strcmp(argv[3], "120") == 0 ? "1.3" : "1.6");
    printf("the same with a page\t%.2f\t\n", page / decoding);
    printf("memory as text, MiB\t%.0f\tat most %.0f\n", mib, 4000.0 * 3000 * 3 / 1048576 + 24);
    run((char *[]){ "/bin/rm", "-r", folder, NULL }, NULL);
    return 0;
}
