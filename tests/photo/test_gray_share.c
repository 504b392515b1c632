/* Gray share on rendered photos, measured as a user's photo is: a swatch at each zone, mid-length (3 % gray) as
 * reference, JPEG. The bounds stand beside what the gray-share rules found on their own two simulated generators, which
 * are not this renderer. */
#include "support/near.h"

#include "photo/rendered.h"

#include "colour/difference.h"
#include "consult/survey.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *renderer;

/* ---- scenes
 * ---------------------------------------------------------------------------------------------------------------- */

enum { BASES = 4, WIDTHS = 4, SHARES = 7 };
typedef struct base_shade {
    const char *code, *name;
} base_shade;
static const base_shade bases[BASES] = {
    { "soot", "black" }, { "umber", "dark brown" }, { "teak", "medium brown" }, { "hull", "dark blond" }
};
static const double widths[WIDTHS] = { 0.8, 1.3, 2.0, 3.0 };
/* Three zones a scene; each share comes equally often to each zone in turn. */
static const double shares[SHARES] = { 0.0, 0.05, 0.15, 0.30, 0.50, 0.70, 0.92 };
static const char *const zone_names[] = { "crown", "temple", "ends" };

typedef enum way { BLIND, REFERENCE, SWATCH, WAYS } way;
static const char *const way_names[WAYS] = { "blind", "reference", "reference + swatch" };

/* ---- sums
 * ------------------------------------------------------------------------------------------------------------------ */

typedef struct mean {
    double sum;
    int n;
} mean;

static void add(mean *m, double value)
{
    m->sum += value;
    m->n++;
}

static double of(const mean *m)
{
    return m->n ? m->sum / m->n : 0.0;
}

typedef struct tally {
    mean all, by_base[BASES], by_width[WIDTHS], by_share[SHARES], called[WM_GRAY_MEASURED + 1], base_lab, gray_lab;
    int inside, resolved;
    double errors[400];
    char worst[160];
    double worst_error;
} tally;

typedef struct sample_of {
    int base, width, share;
    double truth;
} sample_of;

static void count(tally *t, const sample_of *s, const wm_gray *g)
{
    double error = fabs(g->share - s->truth);
    t->errors[t->all.n] = error;
    add(&t->all, error);
    add(&t->by_base[s->base], error);
    add(&t->by_width[s->width], error);
    add(&t->by_share[s->share], error);
    add(&t->called[g->status], error);
    t->inside += error <= 1.65 * g->u_share;
    if (g->status == WM_GRAY_MEASURED && error > t->worst_error) {
        t->worst_error = error;
        snprintf(t->worst, sizeof t->worst, "%s, %.1f px, truth %.2f, said %.2f +/- %.2f", bases[s->base].name,
                 widths[s->width], s->truth, g->share, g->u_share);
    }
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double ninetieth(tally *t)
{
    qsort(t->errors, (size_t)t->all.n, sizeof *t->errors, ascending);
    return t->errors[t->all.n * 9 / 10];
}

static void print_row(const char *name, const mean *list, int count_of)
{
    printf(" | %s", name);
    for (int i = 0; i < count_of; i++)
        printf(" %.1f", 100.0 * of(&list[i]));
}

static void print_tally(const char *name, tally *t)
{
    printf("# %-18s %d zones: mean %.1f p90 %.1f", name, t->all.n, 100.0 * of(&t->all), 100.0 * ninetieth(t));
    print_row("base", t->by_base, BASES);
    print_row("width", t->by_width, WIDTHS);
    print_row("share", t->by_share, SHARES);
    printf(" | in 1.65 sd %d %% | dB %.1f dG %.1f\n", 100 * t->inside / t->all.n, of(&t->base_lab), of(&t->gray_lab));
    printf("# %-18s called (error):", name);
    for (int i = 0; i <= WM_GRAY_MEASURED; i++)
        printf(" %s %d %% (%.1f)%s", wm_gray_status_name((wm_gray_status)i), 100 * t->called[i].n / t->all.n,
               100.0 * of(&t->called[i]), i < WM_GRAY_MEASURED ? "," : "");
    printf("; worst measured: %s\n", t->worst);
}

/* ---- measuring
 * ------------------------------------------------------------------------------------------------------------- */

typedef struct measured {
    rendered picture;
    wm_survey survey;
    wm_rgb reference;
} measured;

static wm_surveyed_zone *find(measured *m, const char *name)
{
    for (size_t i = 0; i < m->survey.zone_count; i++)
        if (strcmp(m->survey.zones[i].zone->name, name) == 0)
            return &m->survey.zones[i];
    fail_msg("no zone %s", name);
    return NULL;
}

/* G4 on mid-length. */
static wm_rgb reference_of(measured *m)
{
    wm_rgb base = { 0.0, 0.0, 0.0 };
    wm_kept_pixels kept;
    wm_error err = { 0 };
    wm_surveyed_zone *mid = find(m, "mid");
    wm_cleaning cleaning;
    assert_int_equal(wm_window_clean(&mid->window, &cleaning, &err), WM_OK);
    assert_int_equal(wm_window_kept(&kept, &mid->window, &err), WM_OK);
    assert_int_equal(wm_gray_reference(&base, kept.pixels, kept.count, &err), WM_OK);
    free(kept.pixels);
    return base;
}

static void make(measured *m, const char *folder, const char *options)
{
    wm_error err = { 0 };
    if (!rendered_make(&m->picture, renderer, folder, options))
        fail_msg("%s", options);
    if (wm_survey_zones(&m->survey,
                        &(wm_survey_marked){ m->picture.photo, &m->picture.zones, &m->picture.catalogue, NULL }, &err))
        fail_msg("%s: %s", options, err.text);
    m->reference = reference_of(m);
}

static void unmake(measured *m)
{
    wm_survey_free(&m->survey);
    rendered_free(&m->picture);
}

/* Measures a zone of the survey again in one of the three ways; the swatch is the true gray, as a stylist finds it at
 * the chair. */
static void look(const measured *m, wm_surveyed_zone *zone, way how, const true_zone *truth)
{
    wm_error err = { 0 };
    wm_rgb gray = wm_lab_to_rgb(truth->gray);
    wm_survey_look as = { .calibration = &m->survey.calibration,
                          .reference = how == BLIND ? NULL : &m->reference,
                          .gray_swatch = how == SWATCH && truth->gray.L > 0.0 ? &gray : NULL };
    assert_int_equal(wm_survey_measure_again(zone, &as, &err), WM_OK);
}

static void judge_colours(tally *t, const wm_surveyed_zone *zone, const true_zone *truth)
{
    if (zone->base_known && truth->base.L > 0.0)
        add(&t->base_lab, wm_de00(zone->base.lab, truth->base));
    if (zone->gray_known && truth->gray.L > 0.0)
        add(&t->gray_lab, wm_de00(zone->gray_fibres.lab, truth->gray));
}

static void measure_scene(tally *tallies, const char *folder, int base, int width, int round)
{
    char options[400];
    int share[3];
    for (int z = 0; z < 3; z++)
        share[z] = (3 * (round + 2 * (base * WIDTHS + width)) + z + round) % SHARES;
    snprintf(
        options, sizeof options,
        "seed=%d client=%d camera=%d swatches=zones base=%s fibre=%.1f gray_root=%.2f gray_temple=%.2f gray_ends=%.2f "
        "gray_mid=0.03",
        100 * base + 10 * width + round, base + 5 * width, width + round, bases[base].code, widths[width],
        shares[share[0]], shares[share[1]], shares[share[2]]);
    measured m;
    make(&m, folder, options);
    for (int z = 0; z < 3; z++) {
        wm_surveyed_zone *zone = find(&m, zone_names[z]);
        const true_zone *truth = rendered_truth(&m.picture, zone_names[z]);
        sample_of s = { base, width, share[z], truth->share };
        for (int w = 0; w < WAYS; w++) {
            look(&m, zone, (way)w, truth);
            count(&tallies[w], &s, &zone->gray);
            judge_colours(&tallies[w], zone, truth);
        }
    }
    unmake(&m);
}

/* The gray-share rules' own table ("new"), widths 0.8, 1.2, 2 and 3 px; error of what is called measured; share
 * inside 1.65 sd. One promise is not held: the gray colour with a swatch, 3.7 there, about 4 here. The rules expect
 * hair a quarter darker than a flat swatch; a photo calibrated by swatches of hair shows both on one scale. */
typedef struct promise {
    double mean, p90, base[BASES], width[WIDTHS], measured, inside, base_lab, gray_lab;
} promise;
static const promise promises[WAYS] = {
    { 11.2, 30.2, { 9.7, 9.1, 11.5, 14.6 }, { 13, 10, 9, 13 }, 8.3, 0.90, 6.5, 5.7 },
    { 10.6, 25.8, { 9.4, 8.8, 10.9, 13.4 }, { 12, 10, 8, 14 }, 9.1, 0.89, 3.2, 5.7 },
    { 9.0, 22.0, { 8.4, 7.2, 9.2, 11.3 }, { 10, 8, 8, 12 }, 8.5, 0.90, 3.2, 4.5 }
};

static void at_most(const char *how, const char *what, double got, double bound)
{
    if (!(got <= bound))
        fail_msg("%s: %s is %.3f, promised %.3f", how, what, got, bound);
}

static void assert_promised(const char *how, tally *t, const promise *p)
{
    at_most(how, "mean error", 100.0 * of(&t->all), p->mean);
    at_most(how, "p90 of the error", 100.0 * ninetieth(t), p->p90);
    for (int i = 0; i < BASES; i++)
        at_most(how, bases[i].name, 100.0 * of(&t->by_base[i]), p->base[i]);
    for (int i = 0; i < WIDTHS; i++)
        at_most(how, "error of a width", 100.0 * of(&t->by_width[i]), p->width[i]);
    at_most(how, "error of the measured", 100.0 * of(&t->called[WM_GRAY_MEASURED]), p->measured);
    at_most(how, "share outside 1.65 sd", 1.0 - (double)t->inside / t->all.n, 1.0 - p->inside);
    at_most(how, "dE00 of the base", of(&t->base_lab), p->base_lab);
    at_most(how, "dE00 of the gray", of(&t->gray_lab), p->gray_lab);
}

static void shares_are_as_true_as_promised(void **state)
{
    (void)state;
    static tally tallies[WAYS];
    char folder[200];
    assert_true(scratch_make(folder, sizeof folder));
    for (int base = 0; base < BASES; base++)
        for (int width = 0; width < WIDTHS; width++)
            for (int round = 0; round < 2; round++)
                measure_scene(tallies, folder, base, width, round);
    scratch_remove(folder);
    printf(
        "# share errors in points of %%; bases: black, dark brown, medium brown, dark blond; widths 0.8 1.3 2 3 px; shares 0 5 15 30 50 70 92 %%\n");
    for (int w = 0; w < WAYS; w++)
        print_tally(way_names[w], &tallies[w]);
    for (int w = 0; w < WAYS; w++)
        assert_promised(way_names[w], &tallies[w], &promises[w]);
}

/* ---- false gray
 * ------------------------------------------------------------------------------------------------------------ */

/* A zone without gray that looks as if it had some; `most` of the 24 or 8 zones may be called measured. */
typedef struct trap {
    const char *name, *options;
    bool ends_only;
    int most;
} trap;
static const trap traps[] = {
    { "plain", "", false, 0 },                             /* the rules: 0 of 80 */
    { "heavy sheen", "sheen=3", false, 3 },                /* 5 of 32 */
    { "sun-lightened ends", "ends_lighten=0.4", true, 0 }, /* 0 of 32, single bleached fibres */
    { "strongly lightened ends", "ends_lighten=0.7", true, 2 }
}; /* a limit of the rules: lighter all over looks like darker gray */

static void count_trap(int *called, const trap *t, const char *options, const char *folder)
{
    measured m;
    make(&m, folder, options);
    for (int z = t->ends_only ? 2 : 0; z < 3; z++)
        called[find(&m, zone_names[z])->gray.status]++;
    unmake(&m);
}

static void spring(const trap *t, const char *folder)
{
    int called[WM_GRAY_MEASURED + 1] = { 0 }, zones = 0;
    char options[400];
    for (int base = 0; base < BASES; base++)
        for (int round = 0; round < 2; round++) {
            snprintf(
                options, sizeof options,
                "seed=%d client=%d camera=%d swatches=zones base=%s fibre=%.1f gray_root=0 gray_temple=0 gray_ends=0 "
                "gray_mid=0 %s",
                500 + 10 * base + round, base, round + base, bases[base].code, round ? 2.0 : 1.0, t->options);
            count_trap(called, t, options, folder);
        }
    for (int i = 0; i <= WM_GRAY_MEASURED; i++)
        zones += called[i];
    printf("# %s, no gray: of %d zones %d called measured, %d low, %d none seen, %d not resolved\n", t->name, zones,
           called[WM_GRAY_MEASURED], called[WM_GRAY_LOW], called[WM_GRAY_NONE_SEEN], called[WM_GRAY_NOT_RESOLVED]);
    assert_in_range(called[WM_GRAY_MEASURED], 0, t->most);
}

static void false_gray_is_rare(void **state)
{
    (void)state;
    char folder[200];
    assert_true(scratch_make(folder, sizeof folder));
    for (size_t t = 0; t < sizeof traps / sizeof traps[0]; t++)
        spring(&traps[t], folder);
    scratch_remove(folder);
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fprintf(stderr, "usage: test_gray_share RENDERER\n");
        return 2;
    }
    renderer = argv[1];
    const struct CMUnitTest tests[] = { cmocka_unit_test(shares_are_as_true_as_promised),
                                        cmocka_unit_test(false_gray_is_rare) };
    return cmocka_run_group_tests_name("gray_share", tests, NULL, NULL);
}
