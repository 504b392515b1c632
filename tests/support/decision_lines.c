#include "support/decision_lines.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int compare_codes(const void *a, const void *b)
{
    return strcmp((*(const wm_swatch *const *)a)->code, (*(const wm_swatch *const *)b)->code);
}

static const wm_swatch *find(const lines *l, const char *code)
{
    for (size_t i = 0; i < l->shade_count; i++)
        if (strcmp(l->shades[i].code, code) == 0)
            return &l->shades[i];
    return NULL;
}

static bool take_shade(lines *l, const char *line)
{
    wm_swatch s = wm_swatch_new("", "", (wm_lab){ 0, 0, 0 });
    s.stock_packs = 1;
    if (sscanf(line, "shade %63s %lf %lf %lf %lf %lf", s.code, &s.lab.L, &s.lab.a, &s.lab.b, &s.u, &s.gray_share) !=
            6 ||
        l->shade_count == LINES_SHADES)
        return false;
    l->shades[l->shade_count++] = s;
    return true;
}

static bool take_zone(lines *l, const char *line)
{
    wm_head_zone z = { .place = WM_PLACE_BY_KIND };
    char kind[16];
    int has_share, has_populations;
    int read = sscanf(line, "zone %15s %95s %lf %lf %lf %lf %lf %lf %d %lf %lf %d %lf %lf %lf %lf %lf %lf", kind,
                      z.name, &z.lab.L, &z.lab.a, &z.lab.b, &z.sigma.L, &z.sigma.a, &z.sigma.b, &has_share, &z.share,
                      &z.u_share, &has_populations, &z.base.L, &z.base.a, &z.base.b, &z.gray.L, &z.gray.a, &z.gray.b);
    if (read != 18 || l->zone_count == WM_HEAD_ZONES)
        return false;
    for (wm_zone_kind k = WM_ZONE_ROOT; k <= WM_ZONE_GRAY; k++)
        if (strcmp(kind, wm_zone_kind_name(k)) == 0)
            z.kind = k;
    z.has_share = has_share;
    z.has_base = z.has_gray = has_populations;
    l->zones[l->zone_count++] = z;
    return true;
}

static bool take_row(lines *l, const char *line)
{
    char place[16];
    wm_placed_row row = { .arc_cm = -1 };
    if (l->row_count == WM_MAX_ROWS || sscanf(line, "row %15s %lf", place, &row.row_cm) != 2 ||
        !wm_place_parse(place, &row.place))
        return false;
    l->rows[l->row_count++] = row;
    return true;
}

static bool take_only(lines *l, char *words)
{
    char *save = NULL;
    for (char *word = strtok_r(words, " \n", &save); word; word = strtok_r(NULL, " \n", &save)) {
        const wm_swatch *swatch = find(l, word);
        if (!swatch)
            return false;
        l->only[l->only_count++] = swatch;
    }
    return true;
}

static bool take_worn(lines *l, char *words)
{
    char *save = NULL;
    size_t count = 0;
    l->wearing = (wm_wearing){ .stays = true, .first = find(l, strtok_r(words, " \n", &save)) };
    l->wearing.second = find(l, strtok_r(NULL, " \n", &save));
    for (char *word; (word = strtok_r(NULL, " \n", &save)) && count < WM_MAX_SEGMENTS; count++) {
        wm_pattern *p = &l->wearing.patterns[count];
        p->layers = (int)strlen(word);
        for (int i = 0; i < p->layers && i < WM_MAX_LAYERS; i++)
            p->sixths[i] = (unsigned char)(word[i] - '0');
    }
    l->worn = l->wearing.first != NULL;
    return l->worn;
}

bool lines_take(lines *l, const char *line)
{
    char copy[1000];
    snprintf(copy, sizeof copy, "%s", line);
    if (strncmp(line, "shade ", 6) == 0)
        return take_shade(l, line);
    if (strncmp(line, "zone ", 5) == 0)
        return take_zone(l, line);
    if (strncmp(line, "row ", 4) == 0)
        return take_row(l, line);
    if (strncmp(line, "only ", 5) == 0)
        return take_only(l, copy + 5);
    return strncmp(line, "worn ", 5) == 0 && take_worn(l, copy + 5);
}

wm_status lines_decide(lines *l, int layers, wm_error *err)
{
    const wm_hair_law law = WM_HAIR_LAW_DEFAULT;
    for (size_t i = 0; i < l->shade_count && (l->only_count == 0 || l->only_count == i); i++)
        l->only[l->only_count++] = &l->shades[i];
    qsort(l->only, l->only_count, sizeof *l->only, compare_codes);
    wm_status status = wm_head_draw(&l->head, l->zones, l->zone_count, &law, err);
    if (status)
        return status;
    l->the_case = (wm_case){ .head = &l->head,
                             .shades = l->only,
                             .shade_count = l->only_count,
                             .rows = l->rows,
                             .row_count = l->row_count,
                             .segments = l->segments,
                             .segment_count = wm_segments_of(l->segments, l->rows, l->row_count, &l->head),
                             .weights = WM_VIEW_WEIGHTS_DEFAULT,
                             .worn = WM_WORN_BOTH };
    for (size_t s = 0; s < l->the_case.segment_count && l->worn; s++)
        l->wearing.patterns[s].pieces = wm_pattern_pieces(&l->wearing.patterns[s], l->segments[s].length_cm);
    status = wm_decided_begin(&l->decided, &l->the_case, err);
    return status ? status : wm_decided_choose(&l->decided, layers, l->worn ? &l->wearing : NULL, err);
}

void lines_done(lines *l)
{
    wm_decided_free(&l->decided);
    wm_drawn_head_free(&l->head);
    l->zone_count = l->row_count = l->only_count = 0;
    l->worn = false;
}

const char *lines_text(char out[LINES_TEXT_SIZE], const wm_decided *d, const wm_candidate *c)
{
    if (!c)
        return "- - - 0";
    int used =
        snprintf(out, LINES_TEXT_SIZE, "%s %s ", c->first->swatch->code, c->second ? c->second->swatch->code : "-");
    for (size_t s = 0; s < d->hanging.count; s++) {
        for (int i = 0; i < c->parts[s]->pattern.layers; i++)
            used += snprintf(out + used, LINES_TEXT_SIZE - (size_t)used, "%d", c->parts[s]->pattern.sixths[i]);
        used += snprintf(out + used, LINES_TEXT_SIZE - (size_t)used, s + 1 < d->hanging.count ? "," : " ");
    }
    snprintf(out + used, LINES_TEXT_SIZE - (size_t)used, "%d", c->pieces);
    return out;
}
