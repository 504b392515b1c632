/* One pass over the catalogue: all shades under one draw against her base and gray under that draw, for each draw in
 * turn, so that the distances of a whole catalogue come from wm_de00_batch. Only the few that take a role are kept. */
#include "match/roles.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "core/words.h"

static const double NEAR_DE00 = 5.0;            /* M24 */
static const double NEAR_IN_DRAWS = 0.5;        /* M24 */
static const double PRE_BLENDED_LOW = 0.05;     /* M23 */
static const double PRE_BLENDED_HIGH = 0.95;    /* M23 */
static const double OWN_BASE_C_AT_LEAST = 0.01; /* M23 */
static const double OWN_BASE_DARKER_L = 15.0;   /* M23 */
static const double LIGHT_GRAY_SHARE = 0.7;     /* M27 */
enum { LIGHT_SHADES = 3 };                      /* M27 */

#define NO_GRAY_DE00 99.0 /* farther than any shade */

const char *const WM_ROLE_WORDS[] = { "base", "gray", "blend", "single", NULL };

const char *wm_role_name(wm_role role)
{
    return wm_word_of(WM_ROLE_WORDS, role);
}

/* ---- M23 ---- */

/* The colour beneath the gray of a shade that holds share q of it; false where that is no hair. */
static bool own_base(wm_cone *out, wm_cone colour, wm_cone gray, double q)
{
    bool possible = true;
    for (int c = 0; c < 3; c++) {
        out->c[c] = (colour.c[c] - q * gray.c[c]) / (1 - q);
        possible &= out->c[c] > OWN_BASE_C_AT_LEAST;
    }
    return possible && wm_cone_to_lab(*out).L < wm_cone_to_lab(gray).L - OWN_BASE_DARKER_L;
}

void wm_shade_draw(wm_drawn_shade *out, const wm_swatch *swatch)
{
    wm_lab z[WM_DRAW_ROWS], lab = swatch->lab;
    wm_cone gray = wm_usual_gray(), base;
    char key[WM_DRAW_KEY_SIZE];
    double u = wm_swatch_u(swatch), q = fmax(swatch->gray_share, 0);
    snprintf(key, sizeof key, "swatch:%s", swatch->code);
    wm_draws_of_lab(z, key);
    out->swatch = swatch;
    out->tau = wm_swatch_tau(swatch);
    out->gray_share = q;
    out->to_base = out->to_gray = NO_GRAY_DE00;
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        out->colour[k] = wm_shade_cone((wm_lab){ lab.L + u * z[k].L, lab.a + u / 2 * z[k].a, lab.b + u / 2 * z[k].b });
        out->population[0][k] = out->colour[k];
    }
    out->populations = 1;
    out->share[0] = 1;
    out->share[1] = 0;
    if (!(q >= PRE_BLENDED_LOW && q <= PRE_BLENDED_HIGH) || !own_base(&base, out->colour[0], gray, q))
        return;
    out->populations = 2;
    out->share[0] = 1 - q;
    out->share[1] = q;
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        own_base(&base, out->colour[k], gray, q);
        out->population[0][k] = wm_cone_clamped(base);
        out->population[1][k] = gray;
    }
}

/* ---- M24: distances of a whole catalogue ---- */

static wm_lab *row_of(wm_lab *all, const wm_drawn_shades *shades, int k)
{
    return all + (size_t)k * shades->count;
}

static void draw_shade(wm_drawn_shades *to, size_t i)
{
    wm_drawn_shade shade;
    wm_shade_draw(&shade, to->items[i]);
    to->pre_blended[i] = shade.populations == 2;
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        wm_lab *first = row_of(to->first, to, k), *last = row_of(to->last, to, k);
        first[i] = wm_cone_to_lab(shade.population[0][k]);
        last[i] = shade.populations == 2 ? wm_cone_to_lab(shade.population[1][k]) : first[i];
    }
}

wm_status wm_shades_draw(wm_drawn_shades *out, const wm_swatch *const *items, size_t count, wm_error *err)
{
    wm_drawn_shades made = { .items = items,
                             .count = count,
                             .first = malloc((count * WM_DRAW_ROWS + 1) * sizeof *made.first),
                             .last = malloc((count * WM_DRAW_ROWS + 1) * sizeof *made.last),
                             .pre_blended = malloc(count + 1) };
    if (!made.first || !made.last || !made.pre_blended) {
        wm_drawn_shades_free(&made);
        return wm_fail_memory(err);
    }
    for (size_t i = 0; i < count; i++)
        draw_shade(&made, i);
    *out = made;
    return WM_OK;
}

void wm_drawn_shades_free(wm_drawn_shades *shades)
{
    free(shades->first);
    free(shades->last);
    free(shades->pre_blended);
    *shades = (wm_drawn_shades){ 0 };
}

/* What a pass over the draws leaves of each shade. */
typedef struct standing {
    size_t shade;
    bool pre_blended;
    double to_base, to_gray, in_base, in_gray; /* E[d]; part of the draws within NEAR_DE00 */
} standing;

typedef struct pass {
    const wm_roles_input *in;
    double *base, *one; /* [shades] */
    standing *standings;
} pass;

/* d_b of all shades under one draw: the weighted root mean square over the zones; bases told apart: the least. */
static void base_distances(pass *p, const double *weight, int k)
{
    const wm_drawn_head *head = p->in->head;
    size_t count = p->in->shades->count;
    for (size_t i = 0; i < count; i++)
        p->base[i] = head->bases_apart ? HUGE_VAL : 0;
    for (size_t z = 0; z < head->zone_count; z++) {
        if (!(weight[z] > 0))
            continue;
        wm_de00_batch(p->one, wm_cone_to_lab(head->zones[z].base[k]), row_of(p->in->shades->first, p->in->shades, k),
                      count);
        for (size_t i = 0; i < count; i++)
            p->base[i] =
                head->bases_apart ? fmin(p->base[i], p->one[i]) : p->base[i] + weight[z] * p->one[i] * p->one[i];
    }
    for (size_t i = 0; i < count && !head->bases_apart; i++)
        p->base[i] = sqrt(p->base[i]);
}

static void measure_shades(pass *p)
{
    const wm_drawn_head *head = p->in->head;
    for (size_t i = 0; i < p->in->shades->count; i++)
        p->standings[i] = (standing){ .shade = i, .pre_blended = p->in->shades->pre_blended[i] };
    double weight[WM_HEAD_ZONES];
    wm_drawn_head_weights(weight, head, WM_BASE_WEIGHTS, false);
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        base_distances(p, weight, k);
        if (head->has_gray)
            wm_de00_batch(p->one, wm_cone_to_lab(head->gray[k]), row_of(p->in->shades->last, p->in->shades, k),
                          p->in->shades->count);
        for (size_t i = 0; i < p->in->shades->count; i++) {
            standing *s = &p->standings[i];
            s->to_base += p->base[i] / WM_DRAWS;
            s->in_base += p->base[i] <= NEAR_DE00 ? 1.0 / WM_DRAWS : 0;
            s->to_gray += head->has_gray ? p->one[i] / WM_DRAWS : NO_GRAY_DE00 / WM_DRAWS;
            s->in_gray += head->has_gray && p->one[i] <= NEAR_DE00 ? 1.0 / WM_DRAWS : 0;
        }
    }
}

void wm_shade_measure(wm_drawn_shade *shade, const wm_drawn_head *head)
{
    double weight[WM_HEAD_ZONES], to_base[WM_DRAW_ROWS] = { 0 }, to_gray[WM_DRAW_ROWS];
    wm_drawn_head_weights(weight, head, WM_BASE_WEIGHTS, false);
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        wm_lab first = wm_cone_to_lab(shade->population[0][k]);
        wm_lab last = wm_cone_to_lab(shade->population[shade->populations - 1][k]);
        double least = HUGE_VAL, square = 0;
        for (size_t z = 0; z < head->zone_count; z++) {
            double d = weight[z] > 0 ? wm_de00(wm_cone_to_lab(head->zones[z].base[k]), first) : HUGE_VAL;
            least = fmin(least, d);
            square += weight[z] > 0 ? weight[z] * d * d : 0;
        }
        to_base[k] = head->bases_apart ? least : sqrt(square);
        to_gray[k] = head->has_gray ? wm_de00(wm_cone_to_lab(head->gray[k]), last) : NO_GRAY_DE00;
    }
    shade->to_base = wm_draws_mean(to_base);
    shade->to_gray = wm_draws_mean(to_gray);
}

/* ---- M24: who takes which role ---- */

/* One shade in the order of a role: its distance in tenths, then its code. */
typedef struct applicant {
    const standing *standing;
    const char *code;
    double de00;
    bool near;
} applicant;

static int compare_applicants(const void *a, const void *b)
{
    const applicant *x = a, *y = b;
    double tenths_x = rint(x->de00 * 10), tenths_y = rint(y->de00 * 10);
    if (tenths_x < tenths_y || tenths_x > tenths_y)
        return tenths_x < tenths_y ? -1 : 1;
    return strcmp(x->code, y->code);
}

/* How far a shade is from a role; negative when it can't have it. */
static double role_distance(const standing *s, wm_role role)
{
    switch (role) {
    case WM_ROLE_BASE: return s->pre_blended ? -1 : s->to_base;
    case WM_ROLE_GRAY: return s->pre_blended ? -1 : s->to_gray;
    default: return s->pre_blended ? fmax(s->to_base, s->to_gray) : -1;
    }
}

static bool is_near(const standing *s, wm_role role)
{
    bool base = s->in_base >= NEAR_IN_DRAWS, gray = s->in_gray >= NEAR_IN_DRAWS;
    return role == WM_ROLE_BASE ? base : role == WM_ROLE_GRAY ? gray : base && gray;
}

/* The applicants of a role, nearest first. by_base: the pre-blended by their own base alone. */
static size_t applicants_of(applicant *out, const pass *p, wm_role role, bool by_base)
{
    size_t count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++) {
        const standing *s = &p->standings[i];
        double de00 = role_distance(s, role);
        if (de00 >= 0)
            out[count++] =
                (applicant){ s, p->in->shades->items[i]->code, by_base ? s->to_base : de00, is_near(s, role) };
    }
    qsort(out, count, sizeof *out, compare_applicants);
    return count;
}

/* Places of shades that take a role, before they are drawn again and kept. */
typedef struct taken {
    size_t shade[WM_ROLE_PLACES];
    double de00[WM_ROLE_PLACES];
    size_t count;
    bool lacking, has_nearest;
    size_t nearest;
} taken;

static void take(taken *role, const applicant *a)
{
    role->shade[role->count] = a->standing->shade;
    role->de00[role->count++] = a->de00;
}

static void take_near(taken *role, const applicant *all, size_t count)
{
    for (size_t i = 0; i < count && role->count < WM_ROLE_SHADES; i++)
        if (all[i].near)
            take(role, &all[i]);
    role->lacking = role->count == 0;
    role->has_nearest = count > 0;
    if (count > 0)
        role->nearest = all[0].standing->shade;
}

/* No plain shade is near: the nearest takes the role, as her gray only when it is nearer to that than to her base. */
static void take_nearest(taken *role, const applicant *all, size_t count, wm_role which)
{
    if (role->count == 0 && count > 0 && (which == WM_ROLE_BASE || all[0].standing->to_gray < all[0].standing->to_base))
        take(role, &all[0]);
}

static void take_roles(taken of[WM_ROLES], const pass *p, applicant *room)
{
    const wm_drawn_head *head = p->in->head;
    size_t count;
    memset(of, 0, WM_ROLES * sizeof *of);
    if (head->has_base) {
        count = applicants_of(room, p, WM_ROLE_BASE, false);
        take_near(&of[WM_ROLE_BASE], room, count);
        take_nearest(&of[WM_ROLE_BASE], room, count, WM_ROLE_BASE);
    }
    if (head->has_gray) {
        count = applicants_of(room, p, WM_ROLE_GRAY, false);
        take_near(&of[WM_ROLE_GRAY], room, count);
        take_nearest(&of[WM_ROLE_GRAY], room, count, WM_ROLE_GRAY);
    }
    if (!head->has_base)
        return;
    if (head->has_gray) {
        count = applicants_of(room, p, WM_ROLE_BLEND, false);
        take_near(&of[WM_ROLE_BLEND], room, count);
    }
    count = applicants_of(room, p, WM_ROLE_BLEND, true);
    taken *base = &of[WM_ROLE_BASE];
    if (count > 0 && (base->count == 0 || (base->lacking && room[0].de00 < base->de00[0]))) {
        take(base, &room[0]);
        base->has_nearest = true;
        base->nearest = room[0].standing->shade;
    }
    if (head->has_gray && of[WM_ROLE_GRAY].count + of[WM_ROLE_BLEND].count == 0)
        for (size_t i = 0; i < count && i < WM_ROLE_SHADES; i++) {
            take(&of[WM_ROLE_BLEND], &room[i]);
            const standing *s = room[i].standing;
            of[WM_ROLE_BLEND].de00[i] = fmax(s->to_base, s->to_gray);
        }
}

/* ---- M27: light pre-blended shades ---- */

static size_t light_shades(size_t out[LIGHT_SHADES], const pass *p, applicant *room)
{
    const wm_roles_input *in = p->in;
    size_t count = 0;
    for (size_t i = 0; i < in->shades->count; i++) {
        if (!(in->shades->items[i]->gray_share > LIGHT_GRAY_SHARE))
            continue;
        wm_lab lab = wm_cone_to_lab(wm_shade_cone(in->shades->items[i]->lab));
        double mean = 0;
        for (size_t b = 0; b < in->body_count; b++)
            mean += in->body_weight[b] * wm_de00(lab, in->body[b]);
        room[count++] = (applicant){ &p->standings[i], in->shades->items[i]->code, mean, false };
    }
    qsort(room, count, sizeof *room, compare_applicants);
    count = count < LIGHT_SHADES ? count : LIGHT_SHADES;
    for (size_t i = 0; i < count; i++)
        out[i] = room[i].standing->shade;
    return count;
}

/* ---- what is kept ---- */

static const wm_drawn_shade *keep(wm_roles *roles, const pass *p, size_t shade)
{
    const wm_swatch *swatch = p->in->shades->items[shade];
    for (size_t i = 0; i < roles->kept_count; i++)
        if (roles->kept[i].swatch == swatch)
            return &roles->kept[i];
    wm_drawn_shade *kept = &roles->kept[roles->kept_count++];
    wm_shade_draw(kept, swatch);
    kept->to_base = p->standings[shade].to_base;
    kept->to_gray = p->standings[shade].to_gray;
    return kept;
}

static wm_status keep_all(wm_roles *out, const pass *p, applicant *room, wm_error *err)
{
    taken of[WM_ROLES];
    size_t light[LIGHT_SHADES];
    wm_roles roles = { .kept = calloc(WM_ROLES * (WM_ROLE_PLACES + 1) + LIGHT_SHADES, sizeof *roles.kept) };
    if (!roles.kept)
        return wm_fail_memory(err);
    take_roles(of, p, room);
    for (int r = 0; r < WM_ROLES; r++) {
        wm_role_list *list = &roles.of[r];
        for (size_t i = 0; i < of[r].count; i++) {
            list->shades[i] = keep(&roles, p, of[r].shade[i]);
            list->de00[i] = of[r].de00[i];
        }
        list->count = of[r].count;
        list->lacking = of[r].lacking;
        list->nearest = of[r].has_nearest ? keep(&roles, p, of[r].nearest) : NULL;
    }
    roles.light_count = light_shades(light, p, room);
    for (size_t i = 0; i < roles.light_count; i++)
        roles.light[i] = keep(&roles, p, light[i]);
    *out = roles;
    return WM_OK;
}

wm_status wm_roles_of(wm_roles *out, const wm_roles_input *input, wm_error *err)
{
    const size_t count = input->shades->count;
    pass p = { .in = input,
               .base = malloc(count * sizeof *p.base),
               .one = malloc(count * sizeof *p.one),
               .standings = malloc(count * sizeof *p.standings) };
    applicant *room = malloc(count * sizeof *room);
    wm_status status = WM_OK;
    if (!p.base || !p.one || !p.standings || !room) {
        status = wm_fail_memory(err);
    } else {
        measure_shades(&p);
        status = keep_all(out, &p, room, err);
    }
    free(p.base);
    free(p.one);
    free(p.standings);
    free(room);
    return status;
}

void wm_roles_free(wm_roles *roles)
{
    if (!roles)
        return;
    free(roles->kept);
    *roles = (wm_roles){ 0 };
}

wm_lab wm_wanted_base(const wm_drawn_head *head)
{
    double weight[WM_HEAD_ZONES];
    wm_cone base = { { 0, 0, 0 } };
    wm_drawn_head_weights(weight, head, WM_BASE_WEIGHTS, false);
    for (size_t i = 0; i < head->zone_count; i++)
        for (int c = 0; c < 3; c++)
            base.c[c] += weight[i] * head->zones[i].base[0].c[c];
    return wm_cone_to_lab(base);
}
