/* ladder: what each aid is worth on rendered photos, as figures (C24's table, the README's) and as promises.
 *
 * Each scene holds swatches at its zones, a gray card and a colour target at once; the same photo is then measured as if only one of them
 * lay in it. Cameras, daylights, looks, hair and gray differ from scene to scene by fixed seeds; even light and light that differs by 18 %
 * over the head take turns. Usage: ladder RENDERER SCENES WIDTH. */
#include "photo/rendered.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "colour/stats.h"
#include "consult/survey.h"

typedef enum aid_kind { AID_SWATCHES, AID_TARGET, AID_CARD, AID_NOTHING, AIDS } aid_kind;
static const char *const AID_NAMES[AIDS] = {"swatch at each zone", "colour target", "gray card", "nothing"};
enum { LIGHTS = 2, MOST = 1000, CLAIMS = WM_CLAIM_ROUGH + 1 };
static const char *const LIGHT_NAMES[LIGHTS] = {"even light", "differing light"};

/* Everything about one aid in one kind of light. */
typedef struct tally {
    double errors[MOST];
    size_t count, within_1u, within_2u, scenes, named;
    size_t claims[CLAIMS];
    double worst;
    char worst_case[120];
} tally;

static void add_zone(tally *t, const wm_surveyed_zone *zone, wm_lab truth, const char *scene)
{
    const double error = wm_de00(zone->body.lab, truth), u = zone->body.u_de00;
    if (t->count == MOST)
        return;
    t->errors[t->count++] = error;
    t->within_1u += error <= u;
    t->within_2u += error <= 2 * u;
    t->claims[zone->body.claim]++;
    if (error > t->worst) {
        t->worst = error;
        snprintf(t->worst_case, sizeof t->worst_case, "%s, %s", scene, zone->zone->name);
    }
}

static bool takes(aid_kind kind, const wm_zone *zone)
{
    return (kind == AID_SWATCHES && zone->kind == WM_ZONE_SWATCH) || (kind == AID_TARGET && zone->kind == WM_ZONE_TARGET)
           || (kind == AID_CARD && zone->kind == WM_ZONE_CARD);
}

static bool survey_with(wm_survey *out, const rendered *r, aid_kind kind)
{
    const wm_zone *subjects[64], *aids[64];
    wm_survey_input input = {.photo = r->photo, .subjects = subjects, .aids = aids, .catalogue = &r->catalogue};
    wm_error err;
    for (size_t i = 0; i < r->zones.count && i < 64; i++) {
        const wm_zone *zone = &r->zones.items[i];
        if (wm_zone_is_client(zone->kind))
            subjects[input.subject_count++] = zone;
        else if (takes(kind, zone))
            aids[input.aid_count++] = zone;
    }
    if (!wm_survey_run(out, &input, &err))
        return true;
    printf("# not measured: %s\n", err.text);
    return false;
}

static void measure(tally tallies[AIDS], const rendered *r, const char *scene)
{
    for (int kind = 0; kind < AIDS; kind++) {
        wm_survey survey;
        tally *t = &tallies[kind];
        t->scenes++;
        if (!survey_with(&survey, r, (aid_kind)kind))
            continue;
        for (size_t i = 0; i < survey.zone_count; i++) {
            const wm_surveyed_zone *zone = &survey.zones[i];
            const true_zone *truth = rendered_truth(r, zone->zone->name);
            if (!zone->refused && truth)
                add_zone(t, zone, truth->lab, scene);
            if (getenv("VERBOSE") && !zone->refused && truth)
                printf("%s %s %s: got %.2f %.2f %.2f true %.2f %.2f %.2f d %.2f u %.2f | share %.2f true %.2f %s coh %.2f sheen %.2f ext %.3f\n", scene, AID_NAMES[kind], zone->zone->name, zone->body.lab.L, zone->body.lab.a, zone->body.lab.b, truth->lab.L, truth->lab.a, truth->lab.b, wm_de00(zone->body.lab, truth->lab), zone->body.u_de00, zone->gray.share, truth->share, wm_gray_status_name(zone->gray.status), zone->cleaning.coherence, zone->cleaning.sheen_share, zone->window.extreme_share);
        }
        if (getenv("VERBOSE")) { printf("  aid %s s2 %.2f light %.3f\n", survey.calibration.aid, survey.calibration.agreement, survey.calibration.light_sd); for (size_t i = 0; i < survey.notes.count; i++) printf("  %s: %s\n", survey.notes.items[i].code, survey.notes.items[i].text);
            for (size_t i = 0; i < survey.calibration.used_count && kind == 0; i++) printf("   used %s m %.2f %.2f %.2f r %.2f %.2f %.2f z %.2f\n", survey.calibration.used[i].name, survey.calibration.used[i].measured.L, survey.calibration.used[i].measured.a, survey.calibration.used[i].measured.b, survey.calibration.used[i].reference.L, survey.calibration.used[i].reference.a, survey.calibration.used[i].reference.b, survey.calibration.used[i].largest_z);
        }
        wm_survey_free(&survey);
    }
}

static void print_tally(const char *light, const char *aid, tally *t)
{
    const double n = (double)(t->count ? t->count : 1);
    wm_sort_doubles(t->errors, t->count);
    printf("%-16s %-20s %5zu %6.2f %6.2f %5.0f%% %5.0f%%   ", light, aid, t->count, t->count ? t->errors[t->count / 2] : 0,
        t->count ? t->errors[t->count * 9 / 10] : 0, 100 * (double)t->within_1u / n, 100 * (double)t->within_2u / n);
    for (int c = 0; c < CLAIMS; c++)
        printf(" %3.0f", 100 * (double)t->claims[c] / n);
    printf("   worst %.1f: %s\n", t->worst, t->worst_case);
}

static const char *const BASES[] = {"ink", "soot", "umber", "bark", "moth", "fig", "loam", "slate"};

static void scene_options(char *out, size_t size, int i, int light, int width)
{
    static const char *const LOOKS[] = {"well", "harsh"};
    static const double SHARES[] = {0, 0.1, 0.3, 0.5, 0.8};
    const double temple = SHARES[i % 5];
    snprintf(out, size, "seed=%d client=%d camera=%d cct=%d look=%s base=%s gray_temple=%.2f gray_root=%.2f sheen=%.1f fibre=%.1f spread=%.2f "
        "width=%d height=%d swatches=zones card=gray target=1 catalogue_error=0.4 profile=%s",
        100 + i, 200 + i, 300 + i, 5000 + 400 * (i % 9), LOOKS[i % 3 == 2], BASES[i % 8], temple, temple / 3, 0.5 + 0.5 * (i % 3), 1.3,
        light ? 0.18 : 0.0, width, width * 3 / 4, i % 4 == 1 ? "p3" : "srgb");
}

int main(int argc, char **argv)
{
    static tally tallies[LIGHTS][AIDS];
    char folder[400], options[800];
    if (argc != 4 || !folder_make(folder, sizeof folder)) {
        printf("usage: ladder RENDERER SCENES WIDTH\n");
        return 2;
    }
    for (int i = 0; i < atoi(argv[2]); i++) {
        rendered r;
        scene_options(options, sizeof options, i / LIGHTS, i % LIGHTS, atoi(argv[3]));
        if (rendered_make(&r, argv[1], folder, options))
            measure(tallies[i % LIGHTS], &r, options);
        rendered_free(&r);
    }
    folder_remove(folder);
    printf("%-16s %-20s %5s %6s %6s %6s %6s   claims %%\n", "light", "aid", "zones", "median", "p90", "1u", "2u");
    for (int light = 0; light < LIGHTS; light++)
        for (int kind = 0; kind < AIDS; kind++)
            print_tally(LIGHT_NAMES[light], AID_NAMES[kind], &tallies[light][kind]);
    return 0;
}
