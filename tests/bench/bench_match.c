/* The whole of `match` on a 12-megapixel JPEG against 120 swatches, beside bare decoding of the same file by stb_image:
 * a ratio within one run, and the most memory that match or its decoding child held. Arguments: wm_render, weftmatch.
 */
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

enum { RUNS = 5 };

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void give_up(const char *what)
{
    fprintf(stderr, "bench_match: %s\n", what);
    exit(1);
}

/* Runs a command with its output thrown away; the most memory it or its children held, in MiB. */
static double run(char *const argv[])
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
    return (double)usage.ru_maxrss / 1024;
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

int main(int argc, char *argv[])
{
    char folder[] = "/tmp/bench-match-XXXXXX";
    double decoding = 1e9, matching = 1e9, memory = 0;
    if (argc != 3 || !mkdtemp(folder) || chdir(folder) != 0)
        give_up("usage: bench_match WM_RENDER WEFTMATCH");
    run((char *[]){ argv[1], "out=photo", "width=4000", "height=3000", "swatches=zones", "catalogue=120",
                    "catalogue_file=swatches.csv", NULL });
    for (int i = 0; i < RUNS; i++) {
        double spent = decode_s("photo.jpg");
        decoding = spent < decoding ? spent : decoding;
        double start = now_s(),
               held = run((char *[]){ argv[2], "match", "photo.jpg", "--zones", "photo.zones.json", "--swatches",
                                      "swatches.csv", "--book", "none.book", "--html", "r.html", "--force", NULL });
        spent = now_s() - start;
        matching = spent < matching ? spent : matching;
        memory = held > memory ? held : memory;
    }
    printf(
        "match of 12 megapixels against 120 swatches: %.0f ms, %.2f times bare decoding (%.0f ms); at most %.0f MiB\n",
        matching * 1e3, matching / decoding, decoding * 1e3, memory);
    run((char *[]){ "/bin/rm", "-r", folder, NULL });
    return 0;
}
