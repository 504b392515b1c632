/* Where a colour lies on average, and how far it strays, puts most of a catalogue out of the question; of the rest the
 * closest are measured first, and then what may be as near as the six that are. Shades are measured together, all
 * under one draw against her base or gray under that draw, for each draw in turn, so that the distances come from
 * wm_de00_batch. Only the few that take a role are kept. */
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
enum { CLOSEST = 2 * WM_ROLE_SHADES };

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

static double larger(double a, double b)
{
    return a > b ? a : b;
}

/* No C' of CIEDE2000 is larger: a* counts up to half as much again. */
static double most_chroma(wm_lab lab)
{
    return sqrt(1.5 * lab.a * (1.5 * lab.a) + lab.b * lab.b);
}

static void widen(wm_spread *s, wm_lab lab)
{
    s->darkest = lab.L < s->darkest ? lab.L : s->darkest;
    s->lightest = larger(s->lightest, lab.L);
    s->chroma = larger(s->chroma, most_chroma(lab));
    s->yellow &= lab.b >= 0;
}

/* Draws stand `step` apart, the first at `lab`. */
static wm_spread spread_of(const wm_lab *lab, size_t step)
{
    wm_spread s = { .darkest = HUGE_VAL, .lightest = -HUGE_VAL, .yellow = true };
    double square = 0;
    for (size_t k = 0; k < WM_DRAWS; k++) {
        const wm_lab at = lab[k * step];
        widen(&s, at);
        s.mean.L += at.L / WM_DRAWS;
        s.mean.a += at.a / WM_DRAWS;
        s.mean.b += at.b / WM_DRAWS;
    }
    for (size_t k = 0; k < WM_DRAWS; k++) {
        const double L = lab[k * step].L - s.mean.L, a = lab[k * step].a - s.mean.a, b = lab[k * step].b - s.mean.b;
        square += (L * L + a * a + b * b) / WM_DRAWS;
    }
    s.sd = sqrt(square);
    return s;
}

static void draw_shade(wm_drawn_shades *to, size_t i)
{
    wm_drawn_shade shade;
    wm_shade_draw(&shade, to->items[i]);
    to->pre_blended[i] = shade.populations == 2;
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        wm_lab *first = to->first + (size_t)k * to->count, *last = to->last + (size_t)k * to->count;
        first[i] = wm_cone_to_lab(shade.population[0][k]);
        last[i] = shade.populations == 2 ? wm_cone_to_lab(shade.population[1][k]) : first[i];
    }
    to->first_lies[i] = spread_of(to->first + to->count + i, to->count);
    to->last_lies[i] = shade.populations == 2 ? spread_of(to->last + to->count + i, to->count) : to->first_lies[i];
}

wm_status wm_shades_draw(wm_drawn_shades *out, const wm_swatch *const *items, size_t count, wm_error *err)
{
    wm_drawn_shades made = { .items = items,
                             .count = count,
                             .first = malloc((count * WM_DRAW_ROWS + 1) * sizeof *made.first),
                             .last = malloc((count * WM_DRAW_ROWS + 1) * sizeof *made.last),
                             .pre_blended = malloc(count + 1),
                             .first_lies = malloc((count + 1) * sizeof *made.first_lies),
                             .last_lies = malloc((count + 1) * sizeof *made.last_lies) };
    if (!made.first || !made.last || !made.pre_blended || !made.first_lies || !made.last_lies) {
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
    free(shades->first_lies);
    free(shades->last_lies);
    *shades = (wm_drawn_shades){ 0 };
}

enum { TO_BASE, TO_GRAY, SIDES };

/* How far a shade is from her base or gray: E[d], and the part of the draws within NEAR_DE00, once they are known, and
 * before by the draws that are measured so far. */
typedef struct distance {
    bool known, too_far; /* it can't be near, for sure */
    int measured;
    double de00, in_draws, at_least;
} distance;

typedef struct standing {
    size_t shade;
    bool pre_blended;
    distance to[SIDES];
} standing;

/* Her base or gray: one colour, or that of each zone where bases are told apart. */
typedef struct colours {
    wm_spread of[WM_HEAD_ZONES];
    size_t count;
} colours;

typedef struct pass {
    const wm_roles_input *in;
    double weight[WM_HEAD_ZONES]; /* of her base's zones */
    wm_lab base[WM_HEAD_ZONES][WM_DRAW_ROWS], gray[WM_DRAW_ROWS];
    colours lies[SIDES];
    standing *standings; /* [shades] */
    size_t *which, *now; /* [shades]: those at work, those of them under one draw, and with these */
    wm_lab *labs;
    double *d, *one;
} pass;

/* d_b is the weighted root mean square over the zones, no less than the difference from their weighted mean; S_L and
 * S_C are those of single zones. */
static wm_spread spread_of_base(const pass *p)
{
    wm_lab mean[WM_DRAW_ROWS] = { { 0, 0, 0 } };
    const size_t zones = p->in->head->zone_count;
    for (size_t z = 0; z < zones; z++)
        for (int k = 1; k < WM_DRAW_ROWS && p->weight[z] > 0; k++) {
            mean[k].L += p->weight[z] * p->base[z][k].L;
            mean[k].a += p->weight[z] * p->base[z][k].a;
            mean[k].b += p->weight[z] * p->base[z][k].b;
        }
    wm_spread made = spread_of(mean + 1, 1);
    for (size_t z = 0; z < zones; z++)
        for (int k = 1; k < WM_DRAW_ROWS && p->weight[z] > 0; k++)
            widen(&made, p->base[z][k]);
    return made;
}

static void find_colours(pass *p)
{
    const wm_drawn_head *head = p->in->head;
    colours *base = &p->lies[TO_BASE], *gray = &p->lies[TO_GRAY];
    base->count = gray->count = 0;
    for (size_t z = 0; z < head->zone_count && head->bases_apart; z++)
        if (p->weight[z] > 0)
            base->of[base->count++] = spread_of(p->base[z] + 1, 1);
    if (!head->bases_apart)
        base->of[base->count++] = spread_of_base(p);
    if (head->has_gray)
        gray->of[gray->count++] = spread_of(p->gray + 1, 1);
}

/* The mean of the differences is no smaller than the difference of the means with the largest S_L and S_C of any two
 * draws: S_L is largest at the mean that is farther from L* 50; S_H is below S_C; C' and H' together are no less than
 * a* and b*, and where no hue is blue nothing turns one against the other. */
static double least_difference(const wm_spread *a, const wm_spread *b)
{
    const double off = larger(fabs((a->darkest + b->darkest) / 2 - 50), fabs((a->lightest + b->lightest) / 2 - 50)),
                 s_l = 1 + 0.015 * off * off / sqrt(20 + off * off), s_c = 1 + 0.045 * (a->chroma + b->chroma) / 2,
                 d_L = (a->mean.L - b->mean.L) / s_l, d_a = (a->mean.a - b->mean.a) / s_c,
                 d_b = (a->mean.b - b->mean.b) / s_c;
    return (1 - ROUNDING) * sqrt(d_L * d_L + (a->yellow && b->yellow ? d_a * d_a + d_b * d_b : 0));
}

/* What is near in `part` of the draws, and m away on average, strays so far: m - NEAR_DE00 at least, times the root of
 * part / (1 - part). Of several colours one has to be near in so much of that part; and the nearest of them is nearer
 * than that of the means by no more than all stray together. */
static void look_from_afar(distance *to, const wm_spread *shade, const colours *hers)
{
    const double part = NEAR_IN_DRAWS / (double)hers->count, strays = sqrt((1 - part) / part);
    double least = HUGE_VAL, square = 0;
    to->too_far = true;
    for (size_t i = 0; i < hers->count; i++) {
        const double m = least_difference(shade, &hers->of[i]), sd = shade->sd + hers->of[i].sd;
        to->too_far &= m - NEAR_DE00 > strays * sd + ROUNDING;
        least = fmin(least, m);
        square += sd * sd;
    }
    to->at_least = hers->count == 1 ? least : fmax(0, least - sqrt(square));
}

static void begin(pass *p)
{
    const wm_drawn_head *head = p->in->head;
    const wm_drawn_shades *shades = p->in->shades;
    wm_drawn_head_weights(p->weight, head, WM_BASE_WEIGHTS, false);
    for (int k = 1; k < WM_DRAW_ROWS; k++) {
        for (size_t z = 0; z < head->zone_count; z++)
            p->base[z][k] = wm_cone_to_lab(head->zones[z].base[k]);
        if (head->has_gray)
            p->gray[k] = wm_cone_to_lab(head->gray[k]);
    }
    find_colours(p);
    for (size_t i = 0; i < shades->count; i++) {
        standing *s = &p->standings[i];
        *s = (standing){ .shade = i, .pre_blended = shades->pre_blended[i] };
        look_from_afar(&s->to[TO_BASE], &shades->first_lies[i], &p->lies[TO_BASE]);
        if (head->has_gray)
            look_from_afar(&s->to[TO_GRAY], &shades->last_lies[i], &p->lies[TO_GRAY]);
        else
            s->to[TO_GRAY] = (distance){ .known = true, .measured = WM_DRAWS, .de00 = NO_GRAY_DE00 };
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
    return to->too_far || to->in_draws + (double)(WM_DRAWS - to->measured) / WM_DRAWS < NEAR_IN_DRAWS;
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

/* ---- M24: who applies for a role ---- */

/* One shade in the order of a role: its distance in tenths, then its code. */
typedef struct applicant {
    const standing *standing;
    const char *code;
    double de00;
    bool near;
} applicant;

static double tenths(double de00)
{
    return rint(de00 * 10);
}

static int compare_applicants(const void *a, const void *b)
{
    const applicant *x = a, *y = b;
    double tenths_x = tenths(x->de00), tenths_y = tenths(y->de00);
    if (tenths_x < tenths_y || tenths_x > tenths_y)
        return tenths_x < tenths_y ? -1 : 1;
    return strcmp(x->code, y->code);
}

/* Which of both distances a role asks for. */
static bool asks(wm_role role, int side)
{
    return role == WM_ROLE_BLEND || (role == WM_ROLE_BASE) == (side == TO_BASE);
}

/* Asked of each distance that a role asks for. */
typedef bool is_such(const standing *s, int side);

static bool is_known(const standing *s, int side)
{
    return s->to[side].known;
}

static bool may_be_near(const standing *s, int side)
{
    return !is_out(s, side);
}

static bool is_close(const standing *s, int side)
{
    return s->to[side].in_draws >= NEAR_IN_DRAWS;
}

static bool in_all(is_such *such, const standing *s, wm_role role)
{
    return (!asks(role, TO_BASE) || such(s, TO_BASE)) && (!asks(role, TO_GRAY) || such(s, TO_GRAY));
}

static bool may_apply(const standing *s, wm_role role)
{
    return s->pre_blended == (role == WM_ROLE_BLEND);
}

/* So far at least, of all that it asks for; de00 once it is known. */
static double role_at_least(const standing *s, wm_role role)
{
    return fmax(asks(role, TO_BASE) ? s->to[TO_BASE].at_least : 0, asks(role, TO_GRAY) ? s->to[TO_GRAY].at_least : 0);
}

static double role_distance(const standing *s, wm_role role)
{
    return fmax(asks(role, TO_BASE) ? s->to[TO_BASE].de00 : 0, asks(role, TO_GRAY) ? s->to[TO_GRAY].de00 : 0);
}

/* The applicants of a role that are known, nearest first. by_base: the pre-blended by their own base alone. */
static size_t applicants_of(applicant *out, const pass *p, wm_role role, bool by_base)
{
    size_t count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++) {
        const standing *s = &p->standings[i];
        if (may_apply(s, role) && in_all(is_known, s, role))
            out[count++] =
                (applicant){ s, p->in->shades->items[i]->code, by_base ? s->to[TO_BASE].de00 : role_distance(s, role),
                             in_all(is_close, s, role) };
    }
    qsort(out, count, sizeof *out, compare_applicants);
    return count;
}

/* ---- M24: who is measured ---- */

/* The CLOSEST by what is known from afar. */
static size_t list_closest(pass *p, wm_role role)
{
    size_t count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++) {
        const standing *s = &p->standings[i];
        if (!may_apply(s, role))
            continue;
        const double least = role_at_least(s, role);
        if (count == CLOSEST && !(least < role_at_least(&p->standings[p->which[count - 1]], role)))
            continue;
        size_t at = count < CLOSEST ? count++ : count - 1;
        for (; at > 0 && role_at_least(&p->standings[p->which[at - 1]], role) > least; at--)
            p->which[at] = p->which[at - 1];
        p->which[at] = i;
    }
    return count;
}

/* Those that are not known and no farther than `limit` for sure; only_near: and may be near. */
static size_t list_within(pass *p, wm_role role, double limit, bool only_near)
{
    size_t count = 0;
    for (size_t i = 0; i < p->in->shades->count; i++) {
        const standing *s = &p->standings[i];
        if (may_apply(s, role) && !in_all(is_known, s, role) && (!only_near || in_all(may_be_near, s, role)) &&
            role_at_least(s, role) <= limit)
            p->which[count++] = i;
    }
    return count;
}

/* Measures the `count` at work by all that a role asks for. */
static void measure_for(pass *p, wm_role role, size_t count, bool only_near)
{
    for (int side = 0; side < SIDES; side++)
        if (asks(role, side))
            measure(p, side, count, only_near);
}

/* How far a shade may be, in tenths as the last of the nearest WM_ROLE_SHADES that are near; any, when they are fewer.
 */
static double farthest_taken(const pass *p, wm_role role, applicant *room)
{
    const size_t count = applicants_of(room, p, role, false);
    size_t near = 0;
    for (size_t i = 0; i < count; i++) {
        near += room[i].near;
        if (near == WM_ROLE_SHADES)
            return (tenths(room[i].de00) + 0.5) / 10 + ROUNDING;
    }
    return HUGE_VAL;
}

/* All that can be among the nearest that are near, and of plain ones what may be as near as the nearest by the tenths
 * of the order; the others are neither. */
static void measure_role(pass *p, wm_role role, applicant *room)
{
    measure_for(p, role, list_closest(p, role), role == WM_ROLE_BLEND);
    measure_for(p, role, list_within(p, role, farthest_taken(p, role, room), true), true);
    if (role == WM_ROLE_BLEND)
        return;
    const double nearest = applicants_of(room, p, role, false) > 0 ? room[0].de00 : HUGE_VAL;
    measure_for(p, role, list_within(p, role, nearest + 0.1 + ROUNDING, false), false);
}

static void measure_all_blends(pass *p)
{
    measure_for(p, WM_ROLE_BLEND, list_within(p, WM_ROLE_BLEND, HUGE_VAL, false), false);
}

/* ---- M24: who takes which role ---- */

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

/* Pre-blended ones beside those that were found, where that is wanted: `room` has all of them, by their own base. */
static void take_blends_by_base(taken of[WM_ROLES], const pass *p, const applicant *room, size_t count)
{
    taken *base = &of[WM_ROLE_BASE], *blend = &of[WM_ROLE_BLEND];
    if (count > 0 && (base->count == 0 || (base->lacking && room[0].de00 < base->de00[0]))) {
        take(base, &room[0]);
        base->has_nearest = true;
        base->nearest = room[0].standing->shade;
    }
    if (p->in->head->has_gray && of[WM_ROLE_GRAY].count + blend->count == 0)
        for (size_t i = 0; i < count && i < WM_ROLE_SHADES; i++) {
            take(blend, &room[i]);
            blend->de00[i] = role_distance(room[i].standing, WM_ROLE_BLEND);
        }
}

static void take_plain(taken *role, pass *p, applicant *room, wm_role which)
{
    measure_role(p, which, room);
    const size_t count = applicants_of(room, p, which, false);
    take_near(role, room, count);
    take_nearest(role, p, room, count, which);
}

static void take_roles(taken of[WM_ROLES], pass *p, applicant *room)
{
    const wm_drawn_head *head = p->in->head;
    taken *base = &of[WM_ROLE_BASE], *gray = &of[WM_ROLE_GRAY], *blend = &of[WM_ROLE_BLEND];
    memset(of, 0, WM_ROLES * sizeof *of);
    if (head->has_base)
        take_plain(base, p, room, WM_ROLE_BASE);
    if (head->has_gray)
        take_plain(gray, p, room, WM_ROLE_GRAY);
    if (head->has_base && head->has_gray) {
        measure_role(p, WM_ROLE_BLEND, room);
        take_near(blend, room, applicants_of(room, p, WM_ROLE_BLEND, false));
    }
    if (head->has_base && (base->lacking || (head->has_gray && gray->count + blend->count == 0))) {
        measure_all_blends(p);
        take_blends_by_base(of, p, room, applicants_of(room, p, WM_ROLE_BLEND, true));
    }
    if (!head->has_base && gray->count == 0) { /* no plain shade at all */
        measure_all_blends(p);
        if (applicants_of(room, p, WM_ROLE_BLEND, false) > 0)
            take(gray, &room[0]);
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
    if (p->standings && p->which && p->now && p->labs && p->d && p->one)
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
