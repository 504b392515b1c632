/* floor: which part of the colour's error is whose. The ladder's scenes in even light, a swatch at each zone, are
 * rendered again with one cause after the other taken away: the sheen; the shade and the gaps as well, so that every
 * pixel shows the hair's own colour and the samples are perfect; the small differences of light between zone and
 * swatch; the catalogue's own error. What then is left is the calibration's, against the camera alone. By hand. Usage:
 * floor RENDERER [SCENES [WIDTH [FIRST]]] */
#include "photo/ladder_scene.h"
#include "photo/rendered.h"
#include "photo/tally.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/survey.h"

typedef struct row {
    const char *name, *options;
    tally colours;
    double off[3][TALLY_MOST]; /* L*, a*, b* too high by */
} row;

static row rows[] = { { .name = "as photographed", .options = "" },
                      { .name = "without sheen", .options = "sheen=0" },
                      { .name = "perfect samples", .options = "plain=1" },
                      { .name = "perfect samples, one light", .options = "plain=1 jitter=0" },
                      { .name = "the same, true catalogue", .options = "plain=1 jitter=0 catalogue_error=0" } };
enum { ROWS = sizeof rows / sizeof rows[0], MOST_ZONES = 64 };

static void add_zone(row *to, const wm_surveyed_zone *zone, const true_zone *truth)
{
    const size_t n = to->colours.count;
    if (zone->refused || !truth || n == TALLY_MOST)
        return;
    to->off[0][n] = zone->body.lab.L - truth->lab.L;
    to->off[1][n] = zone->body.lab.a - truth->lab.a;
    to->off[2][n] = zone->body.lab.b - truth->lab.b;
    tally_zone(&to->colours, truth->lab, &zone->body, truth->name);
}

/* Plain hair has little relief: it is said to be hair in every row alike. */
static void measure(row *to, const rendered *r)
{
    wm_zone items[MOST_ZONES];
    wm_zones zones = { .items = items };
    wm_survey survey;
    wm_error err;
    for (size_t i = 0; i < r->zones.count && zones.count < MOST_ZONES; i++)
        if (wm_zone_is_client(r->zones.items[i].kind) || r->zones.items[i].kind == WM_ZONE_SWATCH) {
            items[zones.count] = r->zones.items[i];
            items[zones.count++].is_hair = true;
        }
    if (wm_survey_zones(&survey, &(wm_survey_marked){ r->photo, &zones, &r->catalogue, NULL }, &err)) {
        printf("# %s\n", err.text);
        return;
    }
    for (size_t i = 0; i < survey.zone_count; i++)
        add_zone(to, &survey.zones[i], rendered_truth(r, survey.zones[i].zone->name));
    wm_survey_free(&survey);
}

static void print(row *r)
{
    const size_t n = r->colours.count;
    printf("| %s | %zu | %.2f | %.2f |", r->name, n, tally_quantile(&r->colours, 0.5),
           tally_quantile(&r->colours, 0.9));
    for (int c = 0; c < 3; c++) {
        double sum = 0, squares = 0;
        for (size_t i = 0; i < n; i++)
            sum += r->off[c][i], squares += r->off[c][i] * r->off[c][i];
        printf(" %+.2f, %.2f |", n ? sum / (double)n : 0, n ? sqrt(squares / (double)n) : 0);
    }
    printf("\n");
}

int main(int argc, char **argv)
{
    char folder[400];
    const int scenes = argc > 2 ? atoi(argv[2]) : 32, width = argc > 3 ? atoi(argv[3]) : 1000,
              first = argc > 4 ? atoi(argv[4]) : 0;
    bool good =
        argc >= 2 && argc <= 5 && scenes > 0 && width >= 400 && first >= 0 && scratch_make(folder, sizeof folder);
    if (!good) {
        fprintf(stderr, "usage: floor RENDERER [SCENES [WIDTH [FIRST]]]\n");
        return 2;
    }
    for (int i = 0; good && i < scenes; i++)
        for (int k = 0; good && k < ROWS; k++) {
            char options[1000];
            rendered r;
            ladder_scene(options, sizeof options, first + i, EVEN, width);
            strncat(strcat(options, " "), rows[k].options, 60);
            good = rendered_make(&r, argv[1], folder, options);
            if (good)
                measure(&rows[k], &r);
            rendered_free(&r);
        }
    scratch_remove(folder);
    printf(
        "| even light, a swatch at each zone | zones | median dE00 | p90 | L* off: mean, rms | a* | b* |\n|---|---|---|---|---|---|---|\n");
    for (int k = 0; k < ROWS; k++)
        print(&rows[k]);
    return good ? 0 : 1;
}
