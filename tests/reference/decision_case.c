/* Decisions from plain lines on stdin, answers on stdout, for other implementations of the rules to be compared with.
 *
 *   shade CODE L a b u gray_share
 *   zone KIND NAME L a b sigma_L sigma_a sigma_b has_share share sd has_populations base_L a b gray_L a b
 *   row PLACE CM
 *   worn FIRST SECOND|- SIXTHS...      a segment each, e.g. 060 000
 *   decide LAYERS SCENARIOS            answers, then starts afresh but for the shades
 *   clear                              forgets the shades as well
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "match/scenario.h"

enum { SHADES = 2000 };

static wm_swatch shades[SHADES];
static size_t shade_count;
static wm_head_zone zones[WM_HEAD_ZONES];
static size_t zone_count;
static wm_placed_row rows[WM_MAX_ROWS];
static size_t row_count;
static wm_wearing wearing;
static bool worn;

static int compare_codes(const void *a, const void *b)
{
    return strcmp((*(const wm_swatch *const *)a)->code, (*(const wm_swatch *const *)b)->code);
}

static void print_candidate(const char *word, const wm_decided *d, const wm_candidate *c)
{
    if (!c) {
        printf("%s - - - 0 0\n", word);
        return;
    }
    printf("%s %s %s ", word, c->first->swatch->code, c->second ? c->second->swatch->code : "-");
    for (size_t s = 0; s < d->hanging.count; s++) {
        for (int i = 0; i < c->parts[s]->pattern.layers; i++)
            printf("%d", c->parts[s]->pattern.sixths[i]);
        printf("%s", s + 1 < d->hanging.count ? "," : " ");
    }
    printf("%d %.12g\n", c->pieces, c->gap);
}

static void print_decided(const wm_decided *d)
{
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    const wm_candidate *held = d->chosen.held;
    wm_outlook outlook = wm_decided_outlook(d, held, &limits);
    double far[WM_DRAW_ROWS];
    wm_candidate_far(far, &d->pool, held);
    print_candidate("choice", d, held);
    print_candidate("runner", d, d->chosen.runner_up);
    printf("numbers %.12g %.12g %.12g %.12g %.12g %d %s %zu\n", wm_draws_mean(far), wm_candidate_near(&d->pool, held),
           outlook.within[0], outlook.within[1], outlook.within[2], wm_best_in_10(&d->pool, held),
           wm_verdict_name(outlook.verdict), d->pool.count);
    for (int r = 0; r < WM_ROLES; r++) {
        printf("role %s", wm_role_name((wm_role)r));
        for (size_t i = 0; i < d->roles.of[r].count; i++)
            printf(" %s", d->roles.of[r].shades[i]->swatch->code);
        printf("\n");
    }
}

static void decide(int layers, bool scenarios)
{
    static const wm_swatch *sorted[SHADES];
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    wm_error err = { 0 };
    wm_drawn_head head = { 0 };
    wm_segment segments[WM_MAX_SEGMENTS];
    wm_decided decided = { 0 };
    for (size_t i = 0; i < shade_count; i++)
        sorted[i] = &shades[i];
    qsort(sorted, shade_count, sizeof *sorted, compare_codes);
    wm_status status = wm_head_draw(&head, zones, zone_count, &law, &err);
    wm_case the_case = { &head,        sorted, shade_count, rows, row_count, segments, 0, WM_VIEW_WEIGHTS_DEFAULT,
                         WM_WORN_BOTH, false };
    if (!status) {
        the_case.segment_count = wm_segments_of(segments, rows, row_count, &head);
        status = wm_decided_begin(&decided, &the_case, &err);
    }
    if (!status)
        status = wm_decided_choose(&decided, layers, worn ? &wearing : NULL, &err);
    if (status) {
        fprintf(stderr, "%s\n", err.text);
        exit(1);
    }
    print_decided(&decided);
    wm_scenarios later = { 0 };
    if (scenarios && wm_scenarios_of(&later, &decided, &err) == WM_OK)
        for (size_t i = 0; i < later.count; i++) {
            printf("scenario %.12g\n", later.steps[i].share);
            print_decided(&later.steps[i].decided);
        }
    printf("end\n");
    fflush(stdout);
    wm_scenarios_free(&later);
    wm_decided_free(&decided);
    wm_drawn_head_free(&head);
    zone_count = row_count = 0;
    worn = false;
}

static void read_shade(const char *line)
{
    wm_swatch s = wm_swatch_new("", "", (wm_lab){ 0, 0, 0 });
    s.stock_packs = 1;
    if (sscanf(line, "shade %63s %lf %lf %lf %lf %lf", s.code, &s.lab.L, &s.lab.a, &s.lab.b, &s.u, &s.gray_share) == 6)
        shades[shade_count++] = s;
}

static void read_zone(const char *line)
{
    wm_head_zone z = { .place = WM_PLACE_BY_KIND };
    char kind[16];
    int has_share, has_populations;
    int read = sscanf(line, "zone %15s %95s %lf %lf %lf %lf %lf %lf %d %lf %lf %d %lf %lf %lf %lf %lf %lf", kind,
                      z.name, &z.lab.L, &z.lab.a, &z.lab.b, &z.sigma.L, &z.sigma.a, &z.sigma.b, &has_share, &z.share,
                      &z.u_share, &has_populations, &z.base.L, &z.base.a, &z.base.b, &z.gray.L, &z.gray.a, &z.gray.b);
    for (wm_zone_kind k = WM_ZONE_ROOT; k <= WM_ZONE_GRAY; k++)
        if (strcmp(kind, wm_zone_kind_name(k)) == 0)
            z.kind = k;
    z.has_share = has_share;
    z.has_populations = has_populations;
    if (read == 18)
        zones[zone_count++] = z;
}

static const wm_swatch *find(const char *code)
{
    for (size_t i = 0; i < shade_count; i++)
        if (strcmp(shades[i].code, code) == 0)
            return &shades[i];
    return NULL;
}

static void read_worn(char *line)
{
    char *save = NULL;
    strtok_r(line, " \n", &save);
    wearing = (wm_wearing){ .stays = true };
    wearing.first = find(strtok_r(NULL, " \n", &save));
    wearing.second = find(strtok_r(NULL, " \n", &save));
    size_t s = 0;
    wm_drawn_head none = { 0 };
    (void)none;
    for (char *word; (word = strtok_r(NULL, " \n", &save)); s++) {
        wm_pattern *p = &wearing.patterns[s];
        p->layers = (int)strlen(word);
        for (int i = 0; i < p->layers; i++)
            p->sixths[i] = (unsigned char)(word[i] - '0');
        double cm = row_count == 1 && s == 0 ? 6 : rows[0].row_cm - 12;
        p->pieces = wm_pattern_pieces(p, cm);
    }
    worn = true;
}

int main(void)
{
    char line[1000], place[16];
    int layers, scenarios;
    while (fgets(line, sizeof line, stdin)) {
        if (strncmp(line, "shade", 5) == 0)
            read_shade(line);
        else if (strncmp(line, "zone", 4) == 0)
            read_zone(line);
        else if (sscanf(line, "row %15s %lf", place, &rows[row_count].row_cm) == 2 &&
                 wm_place_parse(place, &rows[row_count].place))
            row_count++;
        else if (strncmp(line, "worn", 4) == 0)
            read_worn(line);
        else if (sscanf(line, "decide %d %d", &layers, &scenarios) == 2)
            decide(layers, scenarios != 0);
        else if (strncmp(line, "clear", 5) == 0)
            shade_count = 0;
    }
    return 0;
}
