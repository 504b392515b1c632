/* ladder: what each aid is worth on rendered photos, as tables (README's) and as promises that the program holds itself to.
 *
 * Each scene holds a swatch at each zone, a gray card and a colour target at once; the same photo then goes through the whole consultation
 * as if only one of them lay in it. Cameras, daylights, looks, hair, gray and sheen change from scene to scene by fixed seeds; even light
 * and light that differs by 18 % (sd) over the head take turns. Usage: ladder RENDERER [SCENES [WIDTH]]. */
#include "photo/rendered.h"
#include "photo/tally.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/consult.h"

typedef enum aid_kind { AID_SWATCHES, AID_TARGET, AID_CARD, AID_NOTHING, AIDS } aid_kind;
enum { LIGHTS = 2, BASES = 8, FIBRES = 3, MOST_ZONES = 64 };
static const char *const AID_NAMES[AIDS] = {"swatch at each zone", "colour target", "gray card", "nothing"};
static const wm_zone_kind AID_KINDS[AIDS] = {WM_ZONE_SWATCH, WM_ZONE_TARGET, WM_ZONE_CARD, WM_ZONE_ROOT};
static const char *const LIGHT_NAMES[LIGHTS] = {"even", "differing"};
static const char *const BASE_NAMES[BASES] = {"ink", "soot", "umber", "bark", "moth", "clay", "hull", "straw"};
static const double FIBRE_PIXELS[FIBRES] = {1.0, 1.4, 2.0};

/* Absolute error of the gray share where one is given, in points. */
typedef struct share_tally { size_t count, zones; double sum; } share_tally;

typedef struct results {
    tally aids[LIGHTS][AIDS];
    share_tally by_base[BASES], by_fibre[FIBRES];
    wm_catalogue large; /**< 120 shades */
} results;

/* --- one scene --- */

static void scene_options(char *out, size_t size, int i, int light, int width)
{
    static const double SHARES[] = {0, 0.1, 0.3, 0.5, 0.8}, SHEENS[] = {0.5, 1, 1.5};
    const double temple = SHARES[i % 5];
    snprintf(out, size, "seed=%d client=%d camera=%d cct=%d look=%s base=%s gray_temple=%.2f gray_root=%.2f sheen=%.1f fibre=%.1f spread=%.2f "
        "profile=%s width=%d height=%d swatches=zones card=gray target=1 catalogue_error=0.4", 100 + i, 200 + i, 300 + i, 5000 + 400 * (i % 9),
        i % 3 == 2 ? "harsh" : "well", BASE_NAMES[i % BASES], temple, temple / 3, SHEENS[i % 3], FIBRE_PIXELS[i / BASES % FIBRES],
        light ? 0.18 : 0.0, i % 4 == 1 ? "p3" : "srgb", width, width * 3 / 4);
}

/* The client zones and the aids of one kind; the zones are lent. */
static wm_zones zones_with(wm_zone *items, const rendered *r, aid_kind kind)
{
    wm_zones out = {.items = items};
    for (size_t i = 0; i < r->zones.count && out.count < MOST_ZONES; i++) {
        const wm_zone *zone = &r->zones.items[i];
        if (wm_zone_is_client(zone->kind) || zone->kind == AID_KINDS[kind])
            items[out.count++] = *zone;
    }
    return out;
}

static void add_share(share_tally *t, const wm_report_zone *zone, double truth)
{
    t->zones++;
    if (!zone->has_share)
        return;
    t->count++;
    t->sum += 100 * fabs(zone->share - truth);
}

static void add_zone(results *out, tally *t, const rendered *r, const wm_report_zone *zone, const char *name)
{
    const true_zone *truth = rendered_truth(r, zone->name);
    if (zone->refused || !truth)
        return;
    tally_zone(t, truth->lab, zone->lab, zone->u_de00, name);
    tally_rank(&t->small, &r->catalogue, truth->lab, zone->lab);
    tally_rank(&t->large, &out->large, truth->lab, zone->lab);
}

static void consult(results *out, const rendered *r, aid_kind kind, int scene, int light)
{
    wm_zone items[MOST_ZONES];
    const wm_zones zones = zones_with(items, r, kind);
    const wm_settings settings = wm_settings_default();
    const wm_wishes wishes = WM_WISHES_INIT;
    const wm_consult_input input = {.photo = r->photo, .zones = &zones, .catalogue = &r->catalogue, .settings = &settings, .wishes = &wishes,
        .made_at = "2025-05-14T10:00:00Z", .date = {2025, 5, 14}, .jobs = 1};
    tally *t = &out->aids[light][kind];
    wm_report report = {0};
    wm_error err;
    t->scenes++;
    if (wm_consult_match(&report, NULL, &input, &err)) {
        printf("# scene %d, %s: %s\n", scene, AID_NAMES[kind], err.text);
        return;
    }
    t->exit_0 += wm_report_exit(&report) == 0;
    for (size_t i = 0; i < report.zone_count; i++) {
        const wm_report_zone *zone = &report.zones[i];
        const true_zone *truth = rendered_truth(r, zone->name);
        char name[TALLY_NAME];
        snprintf(name, sizeof name, "scene %d, %s light, %s, %.40s", scene, LIGHT_NAMES[light], BASE_NAMES[scene % BASES], zone->name);
        add_zone(out, t, r, zone, name);
        if (truth && !light && kind == AID_SWATCHES) {
            add_share(&out->by_base[scene % BASES], zone, truth->share);
            add_share(&out->by_fibre[scene / BASES % FIBRES], zone, truth->share);
        }
    }
    wm_report_free(&report);
}

/* --- the tables --- */

static void print_colours(results *r)
{
    printf("\n| light | aid | zones | median | p90 | within 1u | 2u | name | runner-up | three | five | rough | exit 0 |\n");
    printf("|---|---|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (int light = 0; light < LIGHTS; light++)
        for (int kind = 0; kind < AIDS; kind++) {
            tally *t = &r->aids[light][kind];
            printf("| %s | %s | %zu | %.2f | %.2f | %.0f %% | %.0f %% |", LIGHT_NAMES[light], AID_NAMES[kind], t->count, tally_quantile(t, 0.5),
                tally_quantile(t, 0.9), tally_share(t->within_1u, t->count), tally_share(t->within_2u, t->count));
            for (int c = 0; c < TALLY_CLAIMS; c++)
                printf(" %.0f %% |", tally_share(t->claims[c], t->count));
            printf(" %.0f %% |\n", tally_share(t->exit_0, t->scenes));
        }
}

static void print_rank(const rank_tally *t)
{
    printf(" %.0f %% / %.0f %% / %.2f |", tally_share(t->first, t->count), tally_share(t->third, t->count), t->count ? t->regret / (double)t->count : 0);
}

static void print_ranks(const results *r)
{
    printf("\n| light | aid | 30 shades: nearest first / in first three / mean regret | 120 shades |\n|---|---|---|---|\n");
    for (int light = 0; light < LIGHTS; light++)
        for (int kind = 0; kind < AIDS; kind++) {
            printf("| %s | %s |", LIGHT_NAMES[light], AID_NAMES[kind]);
            print_rank(&r->aids[light][kind].small);
            print_rank(&r->aids[light][kind].large);
            printf("\n");
        }
}

static void print_share(const char *name, const share_tally *t)
{
    printf("| %s | %zu | %.0f %% | %.1f |\n", name, t->zones, tally_share(t->count, t->zones), t->count ? t->sum / (double)t->count : 0);
}

static void print_shares(const results *r)
{
    char name[40];
    printf("\n| gray share, even light, swatches | zones | given | mean error, points |\n|---|---|---|---|\n");
    for (int i = 0; i < BASES; i++)
        print_share(BASE_NAMES[i], &r->by_base[i]);
    for (int i = 0; i < FIBRES; i++) {
        snprintf(name, sizeof name, "fibres of %.1f px", FIBRE_PIXELS[i]);
        print_share(name, &r->by_fibre[i]);
    }
}

static void print_worst(const results *r)
{
    printf("\nWorst cases:\n");
    for (int light = 0; light < LIGHTS; light++)
        for (int kind = 0; kind < AIDS; kind++) {
            printf("- %s:", AID_NAMES[kind]);
            for (int i = 0; i < TALLY_WORST; i++)
                printf("%s %.1f (%s)", i ? ";" : "", r->aids[light][kind].worst[i], r->aids[light][kind].worst_case[i]);
            printf("\n");
        }
}

/* --- the promises --- */

static int held(const char *what, double got, double limit, bool at_most)
{
    const bool good = at_most ? got <= limit : got >= limit;
    printf("%s: %s: %.2f, %s %.2f\n", good ? "held" : "BROKEN", what, got, at_most ? "at most" : "at least", limit);
    return good ? 0 : 1;
}

static int check(results *r)
{
    tally *swatches = &r->aids[0][AID_SWATCHES], *target = &r->aids[0][AID_TARGET], *card = &r->aids[0][AID_CARD];
    int broken = 0;
    printf("\n");
    broken += held("even light, target, median dE00", tally_quantile(target, 0.5), 2.0, true);
    broken += held("even light, target, p90", tally_quantile(target, 0.9), 3.4, true);
    broken += held("even light, card, median", tally_quantile(card, 0.5), 3.5, true);
    broken += held("even light, card, p90", tally_quantile(card, 0.9), 6.3, true);
    broken += held("even light, swatches, % within 1u", tally_share(swatches->within_1u, swatches->count), 60, false);
    broken += held("even light, swatches, % within 1u", tally_share(swatches->within_1u, swatches->count), 85, true);
    broken += held("swatches, % of scenes with exit 0", tally_share(swatches->exit_0, swatches->scenes), 90, false);
    for (int light = 0; light < LIGHTS; light++)
        for (int kind = 0; kind < AIDS; kind++) {
            const tally *t = &r->aids[light][kind];
            char what[80];
            snprintf(what, sizeof what, "%s light, %s, %% within 2u", LIGHT_NAMES[light], AID_NAMES[kind]);
            broken += held(what, tally_share(t->within_2u, t->count), light == 0 || kind == AID_SWATCHES ? 90 : 80, false);
        }
    return broken;
}

static bool run(results *out, const char *renderer, const char *folder, int scenes, int width)
{
    rendered r;
    if (!rendered_make(&r, renderer, folder, "catalogue=120 width=400 height=300"))
        return false;
    out->large = r.catalogue;
    r.catalogue = (wm_catalogue){0};
    rendered_free(&r);
    for (int i = 0; i < scenes; i++) {
        char options[800];
        scene_options(options, sizeof options, i / LIGHTS, i % LIGHTS, width);
        if (!rendered_make(&r, renderer, folder, options))
            return false;
        for (int kind = 0; kind < AIDS; kind++)
            consult(out, &r, (aid_kind)kind, i / LIGHTS, i % LIGHTS);
        rendered_free(&r);
    }
    return true;
}

int main(int argc, char **argv)
{
    static results all;
    char folder[400];
    const int scenes = argc > 2 ? atoi(argv[2]) : 64, width = argc > 3 ? atoi(argv[3]) : 1000;
    if (argc < 2 || argc > 4 || scenes < LIGHTS || width < 400 || !scratch_make(folder, sizeof folder)) {
        fprintf(stderr, "usage: ladder RENDERER [SCENES [WIDTH]]\n");
        return 2;
    }
    const bool good = run(&all, argv[1], folder, scenes, width);
    scratch_remove(folder);
    wm_catalogue large = all.large;
    int broken = 1;
    if (good) {
        print_colours(&all);
        print_ranks(&all);
        print_shares(&all);
        print_worst(&all);
        broken = check(&all);
    }
    wm_catalogue_free(&large);
    return broken ? 1 : 0;
}
