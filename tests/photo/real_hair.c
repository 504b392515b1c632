/* real_hair FOLDER: what H1 to H6 and G9 say of real photos that carry labels. The folder is not part of the project;
 * it holds photos/ID.jpg and two lists: labels.csv   id,kind,zone,x,y,w,h,depth,hue,gray,quality,conditions,leak zones
 * on hair; leak: clean, or letters of what else lies in the rectangle; gray: none, some, half, mostly, all nonhair.csv
 * id,zone,x,y,w,h                                               rectangles on skin, walls, cloth Prints tables, and
 * with -v each zone. Without a folder it says that it skips. */
#include "consult/survey.h"
#include "measure/hair.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMNS = 13, LINE = 512 };

typedef struct row {
    char text[LINE];
    char *cell[COLUMNS];
} row;

static bool read_row(FILE *file, row *r)
{
    if (!fgets(r->text, LINE, file))
        return false;
    r->text[strcspn(r->text, "\r\n")] = '\0';
    char *at = r->text;
    for (int i = 0; i < COLUMNS; i++) {
        r->cell[i] = at;
        at += strcspn(at, ",");
        if (*at)
            *at++ = '\0';
    }
    return true;
}

static bool verbose;

static const char *depth_words(double L)
{
    return L < 18 ? "black" : L < 23 ? "dark brown" : L < 33 ? "medium" : L < 50 ? "light brown" : "blond";
}

/* Verdicts of one list, by group. */
typedef struct tally {
    const char *name;
    int verdict[4], gray[8], zones;
} tally;

static void add(tally *t, const wm_surveyed_zone *zone)
{
    t->zones++;
    t->verdict[zone->hair.verdict]++;
    if (!zone->refused)
        t->gray[zone->gray.status]++;
}

static void print(const tally *t)
{
    printf("%-16s %4d zones: hair %3d  not only %3d  cannot tell %3d  not hair %3d | gray:", t->name, t->zones,
           t->verdict[0], t->verdict[1], t->verdict[2], t->verdict[3]);
    for (int i = 0; i < 8; i++)
        if (t->gray[i])
            printf(" %s %d", wm_gray_status_name((wm_gray_status)i), t->gray[i]);
    printf("\n");
}

static void tell(const char *id, const char *zone, const wm_surveyed_zone *z)
{
    const wm_hair_features *f = &z->hair.features;
    printf(
        "%s %-9s %-13s %-32s score %6.2f cut %.2f rel %.4f lo %.4f q12 %.2f q23 %.2f c1 %.2f c2 %.2f sc %.2f ex %.2f csd %.3f ruled %.3f | ",
        id, zone, wm_hair_verdict_name(z->hair.verdict), z->hair.why, z->hair.score, z->hair.cut_share, f->relative,
        f->low_relative, f->fine_to_middle, f->middle_to_coarse, f->coherence, f->wide_coherence, f->chroma_spread,
        f->colour_excess, f->coherence_sd, f->ruled);
    if (!z->refused)
        printf("L %.0f %s %s %.2f u %.2f", z->body.lab.L, depth_words(z->body.lab.L),
               wm_gray_status_name(z->gray.status), z->gray.share, z->gray.u_share);
    printf("\n");
}

static bool open_photo(wm_photo **out, const char *folder, const char *id)
{
    char path[400];
    wm_error err = { 0 };
    snprintf(path, sizeof path, "%s/photos/%s.jpg", folder, id);
    if (!wm_photo_open(out, path, NULL, &err))
        return true;
    fprintf(stderr, "%s\n", err.text);
    return false;
}

/* The zone of a row, x, y, w, h from the cell on; without aids. */
static bool look(wm_surveyed_zone *out, const wm_photo *photo, wm_zone *zone, wm_point points[4], char *const *cell)
{
    const double x = atof(cell[0]), y = atof(cell[1]), w = atof(cell[2]), h = atof(cell[3]);
    wm_calibration calibration;
    wm_aids none = { 0 };
    wm_error err = { 0 };
    const wm_point corners[4] = { { x, y }, { x + w, y }, { x + w, y + h }, { x, y + h } };
    memcpy(points, corners, sizeof corners);
    *zone =
        (wm_zone){ .kind = WM_ZONE_GRAY, .name = (char[]){ "" }, .points = points, .point_count = 4, .is_rect = true };
    if (wm_calibrate(&calibration, &none, &err))
        return false;
    const wm_survey_look as = { .calibration = &calibration };
    const bool good = !wm_survey_measure(out, photo, zone, &as, &err);
    if (!good)
        fprintf(stderr, "%s\n", err.text);
    wm_calibration_free(&calibration);
    return good;
}

/* by: column of the group, -1: one group; first: column of x; zone: column of the name. */
typedef struct list {
    const char *file;
    int first, zone, leak, gray;
} list;

static tally *group_of(tally *tallies, const row *r, const list *l)
{
    if (l->leak < 0)
        return &tallies[3];
    if (strcmp(r->cell[l->leak], "clean") != 0)
        return &tallies[2];
    return &tallies[strcmp(r->cell[l->gray], "none") == 0 ? 0 : 1];
}

static int score(const char *folder, const list *l)
{
    tally tallies[4] = {
        { .name = "clean, no gray" }, { .name = "clean, gray" }, { .name = "leaking" }, { .name = "not hair" }
    };
    char path[400], open[64] = "";
    wm_photo *photo = NULL;
    row r;
    snprintf(path, sizeof path, "%s/%s", folder, l->file);
    FILE *file = fopen(path, "r");
    if (!file || !read_row(file, &r)) {
        printf("# no %s\n", path);
        return 1;
    }
    while (read_row(file, &r)) {
        if (strcmp(open, r.cell[0]) != 0) {
            wm_photo_close(photo);
            photo = NULL;
            snprintf(open, sizeof open, "%.60s", r.cell[0]);
            if (!open_photo(&photo, folder, open))
                return 1;
        }
        wm_zone zone;
        wm_point points[4];
        wm_surveyed_zone z;
        if (!look(&z, photo, &zone, points, r.cell + l->first))
            return 1;
        add(group_of(tallies, &r, l), &z);
        if (verbose) {
            if (l->leak >= 0)
                printf("%-12s %-8s %-10s %-5s ", r.cell[7], r.cell[9], r.cell[11], r.cell[12]);
            tell(r.cell[0], r.cell[l->zone], &z);
        }
        wm_surveyed_zone_free(&z);
    }
    wm_photo_close(photo);
    fclose(file);
    for (int i = 0; i < 4; i++)
        if (tallies[i].zones)
            print(&tallies[i]);
    return 0;
}

int main(int argc, char **argv)
{
    static const list hair = { "labels.csv", 3, 2, 12, 9 }, other = { "nonhair.csv", 2, 1, -1, -1 };
    verbose = argc > 2 && strcmp(argv[2], "-v") == 0;
    if (argc < 2) {
        printf("# skipped: real_hair FOLDER [-v]; see the head of tests/photo/real_hair.c\n");
        return 0;
    }
    return score(argv[1], &hair) || score(argv[1], &other);
}
