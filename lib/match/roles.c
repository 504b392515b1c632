/* Most of a catalogue is out of the question by its lightness alone, whatever the draws. What is left is measured
 * together: all those shades under one draw against her base or gray under that draw, for each draw in turn, so that
 * the distances come from wm_de00_batch. Only the few that take a role are kept. */
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

#define NO_GRAY_DE00 99.0            /* farther than any shade */
static const double ROUNDING = 1e-6; /* of what is computed in two ways */

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

static void draw_shade(wm_drawn_shades *to, size_t i)
{
    wm_drawn_shade shade;
    wm_shade_draw(&shade, to->items[i]);
    to->pre_blended[i] = shade.populations == 2;
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        wm_lab *first = to->first + (size_t)k * to->count, *last = to->last + (size_t)k * to->count;
        first[i] = wm_cone_to_lab(shade.population[0][k]);
        to->darkest[i] = k == 1 ? first[i].L : fmin(to->darkest[i], first[i].L);
        to->lightest[i] = k == 1 ? first[i].L : fmax(to->lightest[i], first[i].L);
        last[i] = shade.populations == 2 ? wm_cone_to_lab(shade.population[1][k]) : first[i];
    }
}

wm_status wm_shades_draw(wm_drawn_shades *out, const wm_swatch *const *items, size_t count, wm_error *err)
{
    wm_drawn_shades made = { .items = items,
                             .count = count,
                             .first = malloc((count * WM_DRAW_ROWS + 1) * sizeof *made.first),
                             .last = malloc((count * WM_DRAW_ROWS + 1) * sizeof *made.last),
                             .pre_blended = malloc(count + 1),
                             .darkest = malloc((count + 1) * sizeof *made.darkest),
                             .lightest = malloc((count + 1) * sizeof *made.lightest) };
    if (!made.first || !made.last || !made.pre_blended || !made.darkest || !made.lightest) {
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
    free(shades->darkest);
    free(shades->lightest);
    *shades = (wm_drawn_shades){ 0 };
}

enum { TO_BASE, TO_GRAY, SIDES };

/* How far a shade is from her base or gray: E[d], and the part of the draws within NEAR_DE00, once they are known, and
 * before by the draws that are measured so far; what its lightness says of both before. */
typedef struct distance {
    bool known;
    int measured;
    double de00, in_draws;
    double at_least, at_most_in_draws;
} distance;

typedef struct standing {
    size_t shade;
    bool pre_blended;
    distance to[SIDES];
} standing;

/* The lightness of her base or gray under each draw: of all zones together, of each where bases are told apart. */
typedef struct levels {
    double L[WM_HEAD_ZONES][WM_DRAW_ROWS];
    size_t count;
    double darkest, lightest; /* of all zones and draws */
} levels;

typedef struct pass {
    const wm_roles_input *in;
    double weight[WM_HEAD_ZONES]; /* of her base's zones */
    wm_lab base[WM_HEAD_ZONES][WM_DRAW_ROWS], gray[WM_DRAW_ROWS];
    levels levels[SIDES];
    standing *standings; /* [shades] */
    size_t *which, *now; /* [shades]: those at work, those of them under one draw, and with these */
    wm_lab *labs;
    double *d, *one, *per_sl, *within;
} pass;

static void widen(levels *l, double lightness)
{
    l->darkest = fmin(l->darkest, lightness);
    l->lightest = fmax(l->lightest, lightness);
}

/* d_b is the weighted root mean square over the zones, no less than the difference from their weighted mean; bases told
 * apart: the least of them. */
static void find_levels(pass *p)
{
    const wm_drawn_head *head = p->in->head;
    levels *base = &p->levels[TO_BASE], *gray = &p->levels[TO_GRAY];
    *base = *gray = (levels){ .count = 1, .darkest = HUGE_VAL, .lightest = -HUGE_VAL };
    base->count = 0;
    for (size_t z = 0; z < head->zone_count; z++) {
        if (!(p->weight[z] > 0))
            continue;
        for (int k = 1; k < WM_DRAW_ROWS; k++) {
            const double L = p->base[z][k].L;
            widen(base, L);
            if (head->bases_apart)
                base->L[base->count][k] = L;
            else
                base->L[0][k] += p->weight[z] * L;
        }
        base->count = head->bases_apart ? base->count + 1 : 1;
    }
    for (int k = 1; k < WM_DRAW_ROWS && head->has_gray; k++)
        widen(gray, gray->L[0][k] = p->gray[k].L);
}

/* The lightness part of a difference alone is no more than the whole: the rotation term is smaller than what it is
 * taken from. S_L is largest at the mean that is farther from L* 50. */
static double most_sl(const levels *l, const wm_drawn_shades *shades, size_t i)
{
    const double off =
        fmax(fabs((shades->darkest[i] + l->darkest) / 2 - 50), fabs((shades->lightest[i] + l->lightest) / 2 - 50));
    return 1 + 0.015 * off * off / sqrt(20 + off * off);
}

/* Draw by draw, as the catalogue lies in memory. */
static void look_at_lightness(pass *p, int side)
{
    const wm_drawn_shades *shades = p->in->shades;
    const levels *l = &p->levels[side];
    double *const sum = p->d, *const within = p->within, *const least = p->one;
    for (size_t i = 0; i < shades->count; i++) {
        p->per_sl[i] = 1 / most_sl(l, shades, i);
        sum[i] = within[i] = 0;
    }
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        const wm_lab *row = shades->first + (size_t)k * shades->count;
        for (size_t n = 0; n < l->count; n++)
            for (size_t i = 0; i < shades->count; i++) {
                const double off = fabs(row[i].L - l->L[n][k]);
                least[i] = n == 0 || off < least[i] ? off : least[i];
            }
        for (size_t i = 0; i < shades->count; i++) {
            const double off = least[i] * p->per_sl[i];
            sum[i] += off / WM_DRAWS;
            within[i] += off <= NEAR_DE00 + ROUNDING ? 1.0 / WM_DRAWS : 0;
        }
    }
    for (size_t i = 0; i < shades->count; i++) {
        p->standings[i].to[side].at_least = sum[i];
        p->standings[i].to[side].at_most_in_draws = within[i];
    }
}

static void begin(pass *p)
{
    const wm_drawn_head *head = p->in->head;
    wm_drawn_head_weights(p->weight, head, WM_BASE_WEIGHTS, false);
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        for (size_t z = 0; z < head->zone_count; z++)
            p->base[z][k] = wm_cone_to_lab(head->zones[z].base[k]);
        if (head->has_gray)
            p->gray[k] = wm_cone_to_lab(head->gray[k]);
    }
    find_levels(p);
    for (size_t i = 0; i < p->in->shades->count; i++)
        p->standings[i] = (standing){ .shade = i, .pre_blended = p->in->shades->pre_blended[i] };
    look_at_lightness(p, TO_BASE);
    if (head->has_gray)
        look_at_lightness(p, TO_GRAY);
    for (size_t i = 0; i < p->in->shades->count; i++) {
        standing *s = &p->standings[i];
        if (s->pre_blended) /* measured in any case */
            s->to[TO_BASE].at_most_in_draws = s->to[TO_GRAY].at_most_in_draws = 1;
        if (!head->has_gray)
            s->to[TO_GRAY] = (distance){ .known = true, .de00 = NO_GRAY_DE00 };
    }
}

/* d_b of the shades at work under one draw. */
static void base_distances(pass *p, size_t count, int k)
{
    const wm_drawn_head *head = p->in->head;
    for (size_t i = 0; i < count; i++)
        p->d[i] = head->bases_apart ? HUGE_VAL : 0;
    for (size_t z = 0; z < head->zone_count; z++) {
        if (!(p->weight[z] > 0))
            continue;
        wm_de00_batch(p->one, p->base[z][k], p->labs, count);
        for (size_t i = 0; i < count; i++)
            p->d[i] = head->bases_apart ? fmin(p->d[i], p->one[i]) : p->d[i] + p->weight[z] * p->one[i] * p->one[i];
    }
    for (size_t i = 0; i < count && !head->bases_apart; i++)
        p->d[i] = sqrt(p->d[i]);
}

/* Not near, whatever the draws that are left say. */
static bool is_out(const standing *s, int side)
{
    const distance *to = &s->to[side];
    return !s->pre_blended && to->in_draws + (double)(WM_DRAWS - to->measured) / WM_DRAWS < NEAR_IN_DRAWS;
}

/* Those of the first `count` at work that a draw is to be measured of. */
static size_t list_now(pass *p, int side, size_t count, int k, bool only_near)
{
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        const standing *s = &p->standings[p->which[i]];
        if (s->to[side].measured == k - 1 && !(only_near && is_out(s, side)))
            p->now[n++] = p->which[i];
    }
    return n;
}

/* Measures what is at work, from where it was left. only_near: what can't be near any more is left. */
static void measure(pass *p, int side, size_t count, bool only_near)
{
    const wm_drawn_shades *shades = p->in->shades;
    const wm_lab *const populations = side == TO_BASE ? shades->first : shades->last;
    for (int k = 1; k < WM_DRAW_ROWS && count > 0; k++) {
        const wm_lab *row = populations + (size_t)k * shades->count;
        const size_t now = list_now(p, side, count, k, only_near);
        for (size_t i = 0; i < now; i++)
            p->labs[i] = row[p->now[i]];
        if (side == TO_BASE)
            base_distances(p, now, k);
        else
            wm_de00_batch(p->d, p->gray[k], p->labs, now);
        for (size_t i = 0; i < now; i++) {
            distance *to = &p->standings[p->now[i]].to[side];
            to->de00 += p->d[i] / WM_DRAWS;
            to->in_draws += p->d[i] <= NEAR_DE00 ? 1.0 / WM_DRAWS : 0;
            to->measured = k;
        }
    }
    for (size_t i = 0; i < count; i++) {
        distance *to = &p->standings[p->which[i]].to[side];
        to->known = to->measured == WM_DRAWS;
        to->at_least = fmax(to->at_least, to->de00);
    }
}

/* What may be near, and then what may be as near as the nearest plain shade by the tenths of the order; the others are
 * neither near nor nearest. */
static void measure_side(pass *p, int side)
{
    double nearest = HUGE_VAL;
    size_t count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++)
        if (!p->standings[i].to[side].known && p->standings[i].to[side].at_most_in_draws >= NEAR_IN_DRAWS)
            p->which[count++] = i;
    measure(p, side, count, true);
    for (size_t i = 0; i < p->in->shades->count; i++)
        if (!p->standings[i].pre_blended && p->standings[i].to[side].known)
            nearest = fmin(nearest, p->standings[i].to[side].de00);
    count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++)
        if (!p->standings[i].to[side].known && p->standings[i].to[side].at_least <= nearest + 0.1 + ROUNDING)
            p->which[count++] = i;
    measure(p, side, count, false);
}

/* Both distances of these shades, however far. */
static void measure_these(pass *p, const size_t *shades, size_t shade_count)
{
    for (int side = 0; side < SIDES; side++) {
        size_t count = 0;
        for (size_t i = 0; i < shade_count; i++)
            if (!p->standings[shades[i]].to[side].known)
                p->which[count++] = shades[i];
        measure(p, side, count, false);
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

/* How far a shade is from a role; negative when it can't have it, or is farther than others for sure. */
static double role_distance(const standing *s, wm_role role, bool by_base)
{
    const distance *base = &s->to[TO_BASE], *gray = &s->to[TO_GRAY];
    const distance *plain = role == WM_ROLE_BASE ? base : gray;
    if (s->pre_blended != (role == WM_ROLE_BLEND))
        return -1;
    if (s->pre_blended)
        return by_base ? base->de00 : fmax(base->de00, gray->de00);
    return plain->known ? plain->de00 : -1;
}

static bool is_near(const standing *s, wm_role role)
{
    bool base = s->to[TO_BASE].in_draws >= NEAR_IN_DRAWS, gray = s->to[TO_GRAY].in_draws >= NEAR_IN_DRAWS;
    return role == WM_ROLE_BASE ? base : role == WM_ROLE_GRAY ? gray : base && gray;
}

/* The applicants of a role, nearest first. by_base: the pre-blended by their own base alone. */
static size_t applicants_of(applicant *out, const pass *p, wm_role role, bool by_base)
{
    size_t count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++) {
        const standing *s = &p->standings[i];
        double de00 = role_distance(s, role, by_base);
        if (de00 >= 0)
            out[count++] = (applicant){ s, p->in->shades->items[i]->code, de00, is_near(s, role) };
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

/* No plain shade is near: the nearest takes the role, as her gray only when it is nearer to that than to her base, if
 * anything says what that is. */
static void take_nearest(taken *role, pass *p, const applicant *all, size_t count, wm_role which)
{
    if (role->count > 0 || count == 0)
        return;
    measure_these(p, &all[0].standing->shade, 1);
    const distance *to = all[0].standing->to;
    if (which == WM_ROLE_BASE || !p->in->head->has_base || to[TO_GRAY].de00 < to[TO_BASE].de00)
        take(role, &all[0]);
}

static void take_roles(taken of[WM_ROLES], pass *p, applicant *room)
{
    const wm_drawn_head *head = p->in->head;
    size_t count;
    memset(of, 0, WM_ROLES * sizeof *of);
    if (head->has_base) {
        count = applicants_of(room, p, WM_ROLE_BASE, false);
        take_near(&of[WM_ROLE_BASE], room, count);
        take_nearest(&of[WM_ROLE_BASE], p, room, count, WM_ROLE_BASE);
    }
    if (head->has_gray) {
        count = applicants_of(room, p, WM_ROLE_GRAY, false);
        take_near(&of[WM_ROLE_GRAY], room, count);
        take_nearest(&of[WM_ROLE_GRAY], p, room, count, WM_ROLE_GRAY);
    }
    if (!head->has_base) {
        count = applicants_of(room, p, WM_ROLE_BLEND, false);
        if (count > 0 && of[WM_ROLE_GRAY].count == 0) /* no plain shade at all */
            take(&of[WM_ROLE_GRAY], &room[0]);
        return;
    }
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
            of[WM_ROLE_BLEND].de00[i] = fmax(s->to[TO_BASE].de00, s->to[TO_GRAY].de00);
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
    kept->to_base = p->standings[shade].to[TO_BASE].de00;
    kept->to_gray = p->standings[shade].to[TO_GRAY].de00;
    return kept;
}

static wm_status keep_all(wm_roles *out, pass *p, applicant *room, wm_error *err)
{
    taken of[WM_ROLES];
    size_t light[LIGHT_SHADES] = { 0 };
    wm_roles roles = { .kept = calloc(WM_ROLES * (WM_ROLE_PLACES + 1) + LIGHT_SHADES, sizeof *roles.kept) };
    if (!roles.kept)
        return wm_fail_memory(err);
    take_roles(of, p, room);
    for (int r = 0; r < WM_ROLES; r++) {
        measure_these(p, of[r].shade, of[r].count);
        measure_these(p, &of[r].nearest, of[r].has_nearest);
    }
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
    measure_these(p, light, roles.light_count);
    for (size_t i = 0; i < roles.light_count; i++)
        roles.light[i] = keep(&roles, p, light[i]);
    *out = roles;
    return WM_OK;
}

static void free_pass(pass *p)
{
    if (!p)
        return;
    free(p->standings);
    free(p->which);
    free(p->now);
    free(p->labs);
    free(p->d);
    free(p->one);
    free(p->per_sl);
    free(p->within);
    free(p);
}

static pass *make_pass(const wm_roles_input *input)
{
    const size_t count = input->shades->count;
    pass *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->in = input;
    p->standings = malloc(count * sizeof *p->standings);
    p->which = malloc(count * sizeof *p->which);
    p->now = malloc(count * sizeof *p->now);
    p->labs = malloc(count * sizeof *p->labs);
    p->d = malloc(count * sizeof *p->d);
    p->one = malloc(count * sizeof *p->one);
    p->per_sl = malloc(count * sizeof *p->per_sl);
    p->within = malloc(count * sizeof *p->within);
    if (p->standings && p->which && p->now && p->labs && p->d && p->one && p->per_sl && p->within)
        return p;
    free_pass(p);
    return NULL;
}

wm_status wm_roles_of(wm_roles *out, const wm_roles_input *input, wm_error *err)
{
    pass *p = make_pass(input);
    applicant *room = malloc(input->shades->count * sizeof *room);
    wm_status status = p && room ? WM_OK : wm_fail_memory(err);
    if (!status) {
        begin(p);
        measure_side(p, TO_BASE);
        measure_side(p, TO_GRAY);
        status = keep_all(out, p, room, err);
    }
    free_pass(p);
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
