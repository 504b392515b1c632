#include "match/head.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "match/populations.h"
#include "measure/gray.h"

static const double SHARED_ERROR = 0.3;        /* M22 */
static const double BASE_SD_L = 1.5;           /* M22 */
static const double BASE_UNSEEN_SD_L = 10.0;   /* M22 */
static const double BASE_L_AT_LEAST = 2.0;     /* M22 */
static const double LINE_SD_DEG = 10.0;        /* M22 */
static const double LINE_WEAK = 0.03;          /* M22 */
static const double LAW_SD = 0.08;             /* M22 */
static const double LAW_LOW = 0.55;            /* M22 */
static const double LAW_HIGH = 0.88;           /* M22 */
static const double ALL_OVER_SHARE = 0.85;     /* M22 */
static const double ALL_OVER_SD = 0.14;        /* M22 */
static const double HIDING_SHARE = 0.3;        /* M22 */
static const double LEAST_BY_LIGHTNESS = 0.05; /* M22 */
static const double LEAST_SHARE_SD = 0.01;     /* M22 */
static const double MARKED_SHARE = 0.45;       /* M22 */
static const double MARKED_SHARE_SD = 0.30;    /* M22 */
static const double PART_SD = 0.20;            /* M22 */
static const double BASES_APART_DE00 = 10.0;   /* M24 */
static const double RADIANS = 0.017453292519943295;

const double WM_BASE_WEIGHTS[WM_HAIR_KINDS] = { 0.25, 0.5, 0.25, 0 }; /* M6 */

static const double PART_OF_GRAYEST[WM_HAIR_KINDS] = { 0.50, 0.25, 0.15, 1 }; /* M22 */
static const double ZONES_DIFFER[3] = { 1.0, 0.35, 0.75 };                    /* M22 */
static const double GRAYS_DIFFER[3] = { 6.0, 1.5, 3.5 };                      /* M22 */
static const double GRAY_UNSEEN_SD[3] = { 5.0, 2.0, 2.0 };                    /* M22 */
static const double GRAY_APART_SD[3] = { 2.0, 0.7, 1.2 };                     /* M22 */
static const double GRAY_LIKE_BASE_SD[3] = { 20.0, 7.0, 12.0 };               /* M22 */
static const double BASE_HUE_SD[2] = { 6.0, 15.0 };                           /* M22 */

/* G5's usual gray as a flat swatch, linear light. */
static const double FLAT_GRAY_RGB[3] = { 0.40480, 0.37168, 0.30448 }; /* M23 */

wm_cone wm_usual_gray(void)
{
    wm_rgb rgb = { FLAT_GRAY_RGB[0], FLAT_GRAY_RGB[1], FLAT_GRAY_RGB[2] };
    return wm_lab_to_cone(wm_xyz_to_lab(wm_rgb_to_xyz(rgb), WM_D50));
}

static double clipped(double x, double low, double high)
{
    return x < low ? low : x > high ? high : x;
}

/* ---- weights ---- */

wm_zone_kind wm_drawn_zone_kind(const wm_drawn_zone *zone)
{
    switch (zone->place) {
    case WM_PLACE_SIDE: return WM_ZONE_GRAY;
    case WM_PLACE_CROWN: return WM_ZONE_ROOT;
    case WM_PLACE_BACK: return WM_ZONE_MID;
    case WM_PLACE_NAPE: return WM_ZONE_ENDS;
    default: return zone->kind;
    }
}

void wm_drawn_head_weights(double *weight, const wm_drawn_head *head, const double of_kind[WM_HAIR_KINDS], bool placed)
{
    size_t of_each[WM_HAIR_KINDS] = { 0 };
    double sum = 0;
    for (size_t i = 0; i < head->zone_count; i++)
        of_each[placed ? wm_drawn_zone_kind(&head->zones[i]) : head->zones[i].kind]++;
    for (size_t i = 0; i < head->zone_count; i++) {
        wm_zone_kind kind = placed ? wm_drawn_zone_kind(&head->zones[i]) : head->zones[i].kind;
        weight[i] = of_kind[kind] / (double)of_each[kind];
        sum += weight[i];
    }
    for (size_t i = 0; i < head->zone_count; i++)
        weight[i] = sum > 0 ? weight[i] / sum : 1 / (double)head->zone_count;
}

/* ---- one zone: body, share, and the base where it was told apart ---- */

static bool number_ok(double x, double low, double high)
{
    return x >= low && x <= high; /* false for NaN */
}

static bool colour_ok(wm_lab lab)
{
    return number_ok(lab.L, -10, 150) && number_ok(lab.a, -200, 200) && number_ok(lab.b, -200, 200);
}

static wm_status check_zone(const wm_head_zone *zone, wm_error *err)
{
    bool sigma =
        number_ok(zone->sigma.L, 0, 100) && number_ok(zone->sigma.a, 0, 100) && number_ok(zone->sigma.b, 0, 100);
    bool share = number_ok(zone->share, 0, 1) && number_ok(zone->u_share, 0, 1);
    bool populations =
        (!zone->has_base || colour_ok(zone->base)) && (!zone->has_gray || (colour_ok(zone->gray) && zone->share > 0));
    if (zone->kind > WM_ZONE_GRAY || !colour_ok(zone->lab) || !sigma || !share || !populations)
        return wm_fail(err, WM_E_INPUT,
                       "zone '%s' has a colour or share of gray that is not possible; measure it again", zone->name);
    return WM_OK;
}

/* What is said of a zone's gray, where no other zone has to help. */
static wm_gray_known known_alone(const wm_head_zone *zone)
{
    if (zone->all_over)
        return WM_GRAY_KNOWN_ALL_OVER;
    if (zone->has_gray && zone->has_base)
        return WM_GRAY_KNOWN_APART;
    if (zone->has_gray && zone->share >= HIDING_SHARE)
        return WM_GRAY_KNOWN_OVER_HIDDEN;
    bool told = zone->has_share && !zone->has_gray; /* none seen; little gray that hides its base is no finding */
    return zone->kind == WM_ZONE_GRAY && !told ? WM_GRAY_KNOWN_BY_LIGHTNESS : WM_GRAY_KNOWN_NONE;
}

/* Where other zones tell the gray, one that is gray all over is asked for its share, too; and where there is gray, so
 * is each zone that nobody counted. */
static void find_what_is_known(wm_drawn_head *head, const wm_head_zone *zones)
{
    bool told = false, any = false;
    for (size_t i = 0; i < head->zone_count; i++) {
        head->zones[i].known = known_alone(&zones[i]);
        told |= head->zones[i].known == WM_GRAY_KNOWN_APART;
        any |= head->zones[i].known != WM_GRAY_KNOWN_NONE;
    }
    for (size_t i = 0; i < head->zone_count; i++)
        if ((told && head->zones[i].known == WM_GRAY_KNOWN_ALL_OVER) ||
            (any && head->zones[i].known == WM_GRAY_KNOWN_NONE && !zones[i].has_share))
            head->zones[i].known = WM_GRAY_KNOWN_BY_LIGHTNESS;
}

/* C12's error of a zone under each draw: a part that all zones of the head share, a part of its own. */
static void draw_error(wm_lab error[WM_DRAW_ROWS], const wm_head_zone *zone)
{
    double together = sqrt(SHARED_ERROR), alone = sqrt(1 - SHARED_ERROR);
    wm_lab own[WM_DRAW_ROWS];
    char key[WM_DRAW_KEY_SIZE];
    snprintf(key, sizeof key - 2, "zone:%s", zone->name);
    wm_draws_of_lab(own, key);
    wm_draws_of_lab(error, "zones");
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        error[k].L = zone->sigma.L * (together * error[k].L + alone * own[k].L);
        error[k].a = zone->sigma.a * (together * error[k].a + alone * own[k].a);
        error[k].b = zone->sigma.b * (together * error[k].b + alone * own[k].b);
    }
}

/* As measured; by lightness it follows later. */
static double share_of(const wm_head_zone *zone, wm_gray_known known)
{
    if (known == WM_GRAY_KNOWN_ALL_OVER)
        return ALL_OVER_SHARE;
    return known == WM_GRAY_KNOWN_APART || known == WM_GRAY_KNOWN_OVER_HIDDEN ? zone->share : 0;
}

static void draw_zone(wm_drawn_zone *out, const wm_head_zone *zone)
{
    wm_lab error[WM_DRAW_ROWS];
    double share[WM_DRAW_ROWS], base[WM_DRAW_ROWS];
    char key[WM_DRAW_KEY_SIZE];
    out->kind = zone->kind;
    out->place = zone->place;
    out->u_de00 = zone->u_de00;
    out->at_best = zone->at_best;
    memcpy(out->name, zone->name, sizeof out->name);
    draw_error(error, zone);
    snprintf(key, sizeof key, "share:%s", zone->name);
    wm_draws_of(share, key);
    snprintf(key, sizeof key, "base:%s", zone->name);
    wm_draws_of(base, key);
    double sd = out->known == WM_GRAY_KNOWN_ALL_OVER ? ALL_OVER_SD : zone->has_share ? zone->u_share : 0;
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        wm_lab e = error[k], lab = zone->lab, told = zone->base;
        out->body[k] = wm_shade_cone((wm_lab){ lab.L + e.L, lab.a + e.a, lab.b + e.b });
        out->share[k] = clipped(share_of(zone, out->known) + sd * share[k], 0, WM_SHARE_AT_MOST);
        out->base[k] = out->body[k];
        if (out->known == WM_GRAY_KNOWN_APART)
            out->base[k] = wm_shade_cone(
                (wm_lab){ fmax(told.L + e.L + BASE_SD_L * base[k], BASE_L_AT_LEAST), told.a + e.a, told.b + e.b });
    }
}

static bool is_known(const wm_drawn_zone *zone, int ways)
{
    return ways >> zone->known & 1;
}

enum {
    APART = 1 << WM_GRAY_KNOWN_APART,
    HIDDEN = 1 << WM_GRAY_KNOWN_OVER_HIDDEN,
    ALL_OVER = 1 << WM_GRAY_KNOWN_ALL_OVER,
    LIGHTER = 1 << WM_GRAY_KNOWN_BY_LIGHTNESS,
    NONE = 1 << WM_GRAY_KNOWN_NONE,
};

static bool is_any(const wm_drawn_head *head, int ways)
{
    bool any = false;
    for (size_t i = 0; i < head->zone_count; i++)
        any |= is_known(&head->zones[i], ways);
    return any;
}

static bool is_marked(const wm_drawn_zone *zone, const wm_head_zone *measured)
{
    return zone->kind == WM_ZONE_GRAY || measured->all_over;
}

/* The zones that say what her own colour is: those that show it, else those that gray leaves it of. False: none. */
static bool find_who_says(bool says[WM_HEAD_ZONES], wm_drawn_head *head, const wm_head_zone *zones)
{
    bool any = false, hidden = false;
    for (size_t i = 0; i < head->zone_count; i++) {
        const wm_drawn_zone *zone = &head->zones[i];
        says[i] = is_known(zone, APART | NONE) || (is_known(zone, LIGHTER) && !is_marked(zone, &zones[i]));
        any |= says[i];
    }
    head->base_seen = any;
    for (size_t i = 0; i < head->zone_count && !any; i++)
        hidden |= says[i] = is_known(&head->zones[i], HIDDEN);
    return any || hidden;
}

/* Where nothing says what her own colour is, nor that a zone is gray, no lightness tells gray: all is her own. */
static bool find_lone_gray(bool says[WM_HEAD_ZONES], wm_drawn_head *head, const wm_head_zone *zones)
{
    if (is_any(head, APART | HIDDEN | ALL_OVER))
        return false;
    for (size_t i = 0; i < head->zone_count; i++)
        head->zones[i].known = WM_GRAY_KNOWN_NONE;
    return find_who_says(says, head, zones);
}

/* Their bases under one draw, by M6's weights. */
static wm_cone mean_base(const wm_drawn_head *head, const bool *says, int k)
{
    double weight[WM_HEAD_ZONES], sum = 0;
    size_t others = 0;
    wm_cone base = { { 0, 0, 0 } };
    wm_drawn_head_weights(weight, head, WM_BASE_WEIGHTS, false);
    for (size_t i = 0; i < head->zone_count; i++) {
        sum += says[i] ? weight[i] : 0;
        others += says[i];
    }
    for (size_t i = 0; i < head->zone_count; i++)
        for (int c = 0; says[i] && c < 3; c++)
            base.c[c] += (sum > 0 ? weight[i] / sum : 1 / (double)others) * head->zones[i].base[k].c[c];
    return base;
}

/* ---- one gray for the head ---- */

static wm_lab apart_by(wm_lab sd, const double further[3])
{
    return (wm_lab){ hypot(sd.L, further[0]), hypot(sd.a, further[1]), hypot(sd.b, further[2]) };
}

/* What gray hair may be, before any zone says more. */
static void draw_usual_gray(wm_drawn_head *head)
{
    const wm_lab usual = wm_cone_to_lab(wm_usual_gray());
    wm_lab z[WM_DRAW_ROWS];
    wm_draws_of_lab(z, "gray");
    for (int k = 0; k < WM_DRAW_ROWS; k++)
        head->gray[k] = wm_shade_cone((wm_lab){ usual.L + GRAYS_DIFFER[0] * z[k].L, usual.a + GRAYS_DIFFER[1] * z[k].a,
                                                usual.b + GRAYS_DIFFER[2] * z[k].b });
}

/* Gray all over, and nothing to say what is beneath: its body is the gray. */
static void draw_gray_of_bodies(wm_drawn_head *head)
{
    size_t count = 0;
    for (size_t i = 0; i < head->zone_count; i++)
        count += is_known(&head->zones[i], ALL_OVER);
    for (int k = 0; k < WM_DRAW_ROWS && count; k++) {
        wm_cone sum = { { 0, 0, 0 } };
        for (size_t i = 0; i < head->zone_count; i++)
            for (int c = 0; c < 3 && is_known(&head->zones[i], ALL_OVER); c++)
                sum.c[c] += head->zones[i].body[k].c[c] / (double)count;
        head->gray[k] = sum;
    }
}

/* A share that could as well be none is no reason to look for a gray shade (M24). */
static bool beyond_doubt(const wm_drawn_head *head, const wm_head_zone *zones)
{
    bool any = false;
    for (size_t i = 0; i < head->zone_count && head->has_gray; i++) {
        double low, high;
        wm_gray_interval(zones[i].share, zones[i].u_share, &low, &high);
        any |= zones[i].kind == WM_ZONE_GRAY || zones[i].all_over || (zones[i].has_gray && low > 0);
    }
    return any;
}

/* What the head's gray leaves of a zone's body; without gray all is base. */
static void draw_base_left(const wm_drawn_head *head, wm_drawn_zone *zone)
{
    for (int k = 0; k < WM_DRAW_ROWS; k++) {
        for (int c = 0; c < 3; c++)
            zone->base[k].c[c] = (zone->body[k].c[c] - zone->share[k] * head->gray[k].c[c]) / (1 - zone->share[k]);
        zone->base[k] = wm_cone_clamped(zone->base[k]);
    }
}

/* ---- her own colour, her gray and the shares, found together ---- */

/* The zone whose share those of the others follow: of the marked the one of which most is expected. */
static size_t grayest_of(const wm_drawn_head *head, const wm_head_zone *zones)
{
    size_t grayest = head->zone_count;
    double most = 0;
    for (size_t i = 0; i < head->zone_count; i++) {
        const double part = PART_OF_GRAYEST[head->zones[i].kind];
        double share = share_of(&zones[i], head->zones[i].known) / part;
        if (is_known(&head->zones[i], LIGHTER))
            share = zones[i].all_over ? ALL_OVER_SHARE : zones[i].kind == WM_ZONE_GRAY ? MARKED_SHARE : 0;
        if (share > most) {
            most = share;
            grayest = i;
        }
    }
    return grayest;
}

/* Too large for the stack of a thread. */
typedef struct fitting {
    wm_fit_zone says[WM_HEAD_ZONES];
    double share[WM_HEAD_ZONES][WM_DRAW_ROWS], line[WM_HEAD_ZONES][WM_DRAW_ROWS]; /* draws */
    const wm_head_zone *measured;
    size_t grayest;
    wm_fit_zone drawn[WM_FIT_LANES][WM_HEAD_ZONES]; /* what they say under the draws that are fitted */
} fitting;

/* How light her own colour is beside her gray: the nearer to 1, the worse both are told apart. */
static double base_over_gray(const wm_head_zone *zone)
{
    return wm_lab_to_cone(zone->base).c[1] / fmax(wm_lab_to_cone(zone->gray).c[1], 1e-6);
}

/* Where gray hides much of it, or is hardly lighter, dark pixels hold gray too. */
static wm_lab sd_of_base(const wm_head_zone *zone)
{
    const double light = base_over_gray(zone),
                 doubt[3] = { hypot(BASE_SD_L, BASE_UNSEEN_SD_L * zone->share), BASE_HUE_SD[0] * zone->share * light,
                              BASE_HUE_SD[1] * zone->share * light };
    return apart_by(apart_by(zone->sigma, ZONES_DIFFER), doubt);
}

static wm_lab sd_of_gray(const wm_head_zone *zone)
{
    double doubt[3];
    for (int c = 0; c < 3; c++)
        doubt[c] = zone->has_base ? hypot(GRAY_APART_SD[c], GRAY_LIKE_BASE_SD[c] * base_over_gray(zone))
                                  : GRAY_UNSEEN_SD[c] * (1 - zone->share);
    return apart_by(zone->sigma, doubt);
}

static void expect_share(wm_fit_zone *says, const wm_drawn_zone *zone, const wm_head_zone *measured)
{
    if (is_known(zone, APART | HIDDEN)) {
        says->share = measured->share;
        says->share_sd = fmax(measured->u_share, LEAST_SHARE_SD);
    } else if (measured->all_over) {
        says->share = ALL_OVER_SHARE;
        says->share_sd = ALL_OVER_SD;
    } else if (is_marked(zone, measured)) {
        says->share = MARKED_SHARE;
        says->share_sd = MARKED_SHARE_SD;
    } else {
        says->of_grayest = PART_OF_GRAYEST[zone->kind];
        says->share_sd = PART_SD;
    }
}

/* What a zone says whatever the draw. */
static void begin_zone(fitting *f, const wm_drawn_head *head, const wm_head_zone *measured, size_t i)
{
    const wm_drawn_zone *zone = &head->zones[i];
    wm_fit_zone *says = &f->says[i];
    char key[WM_DRAW_KEY_SIZE];
    *says = (wm_fit_zone){ .pure = is_known(zone, NONE), .sd = apart_by(measured->sigma, ZONES_DIFFER) };
    if (!says->pure)
        expect_share(says, zone, measured);
    if (is_known(zone, APART)) {
        says->has_base = true;
        says->base_sd = sd_of_base(measured);
    }
    if (is_known(zone, APART | HIDDEN)) {
        says->has_gray = true;
        says->gray_sd = sd_of_gray(measured);
    }
    if (measured->has_line && measured->line_variance > 0) {
        says->line_rad = measured->line_rad;
        says->line_sd = RADIANS * LINE_SD_DEG * (1 + LINE_WEAK / measured->line_variance);
    }
    snprintf(key, sizeof key, "share:%s", zone->name);
    wm_draws_of(f->share[i], key);
    snprintf(key, sizeof key, "line:%s", zone->name);
    wm_draws_of(f->line[i], key);
}

/* A zone's colours err together. */
static wm_lab with_error(wm_lab colour, wm_lab body, wm_lab body_drawn)
{
    return (wm_lab){ colour.L + body_drawn.L - body.L, colour.a + body_drawn.a - body.a,
                     colour.b + body_drawn.b - body.b };
}

/* says: room for what the zones say under one draw. */
static wm_fit_input says_of_draw(wm_fit_zone *says, const fitting *f, const wm_drawn_head *head, int k)
{
    const wm_head_zone *const zones = f->measured;
    for (size_t i = 0; i < head->zone_count; i++) {
        says[i] = f->says[i];
        says[i].body = wm_cone_to_lab(head->zones[i].body[k]);
        says[i].base = wm_cone_to_lab(head->zones[i].base[k]);
        says[i].gray = with_error(zones[i].gray, zones[i].lab, says[i].body);
        says[i].share += says[i].share_sd * f->share[i][k];
        says[i].line_rad += says[i].line_sd * f->line[i][k];
        if (i == f->grayest)
            says[i].of_grayest = 0;
        else
            says[i].of_grayest /= f->grayest < head->zone_count ? PART_OF_GRAYEST[head->zones[f->grayest].kind] : 1;
    }
    return (wm_fit_input){ .zones = says,
                           .count = head->zone_count,
                           .grayest = f->grayest,
                           .gray = wm_cone_to_lab(head->gray[k]),
                           .gray_sd = { GRAYS_DIFFER[0], GRAYS_DIFFER[1], GRAYS_DIFFER[2] } };
}

/* Where it starts. */
static void begin_fit(wm_populations *fit, const fitting *f, const wm_drawn_head *head, const bool *says)
{
    *fit = (wm_populations){ .base = wm_cone_to_lab(mean_base(head, says, 0)), .gray = wm_cone_to_lab(head->gray[0]) };
    for (size_t i = 0; i < head->zone_count; i++)
        fit->share[i] = fmin(f->says[i].share + f->says[i].of_grayest * MARKED_SHARE, WM_SHARE_AT_MOST);
}

/* Her gray, the shares that hold some, and her own colour where gray hides it, under one draw. */
static void take_fit(wm_drawn_head *head, const wm_populations *fit, const bool *says, int k)
{
    head->gray[k] = wm_shade_cone(fit->gray);
    for (size_t i = 0; i < head->zone_count; i++) {
        wm_drawn_zone *zone = &head->zones[i];
        if (!is_known(zone, NONE))
            zone->share[k] = fit->share[i];
        if (!says[i])
            zone->base[k] = wm_shade_cone(fit->base);
    }
}

/* The fits under `count` draws from `first` on, up to WM_FIT_LANES, from where each of `fits` stands. */
static void fit_draws(wm_populations *fits, fitting *f, const wm_drawn_head *head, int first, size_t count)
{
    wm_fit_input ins[WM_FIT_LANES];
    for (size_t i = 0; i < count; i++)
        ins[i] = says_of_draw(f->drawn[i], f, head, first + (int)i);
    wm_populations_fit(fits, ins, count, WM_FIT_STEPS);
}

/* True if a zone that nobody counted has gray. */
static bool fit_populations(wm_drawn_head *head, fitting *f, const bool *says)
{
    wm_populations as_measured;
    bool any = false;
    for (size_t i = 0; i < head->zone_count; i++)
        begin_zone(f, head, &f->measured[i], i);
    begin_fit(&as_measured, f, head, says);
    fit_draws(&as_measured, f, head, 0, 1);
    take_fit(head, &as_measured, says, 0);
    for (int first = 1; first < WM_DRAW_ROWS; first += WM_FIT_LANES) {
        const int count = WM_DRAW_ROWS - first < WM_FIT_LANES ? WM_DRAW_ROWS - first : WM_FIT_LANES;
        wm_populations fits[WM_FIT_LANES];
        for (int i = 0; i < count; i++)
            fits[i] = as_measured;
        fit_draws(fits, f, head, first, (size_t)count);
        for (int i = 0; i < count; i++)
            take_fit(head, &fits[i], says, first + i);
    }
    for (size_t i = 0; i < head->zone_count; i++) {
        if (says[i] && !is_known(&head->zones[i], APART))
            draw_base_left(head, &head->zones[i]);
        any |= is_known(&head->zones[i], LIGHTER) && head->zones[i].share[0] >= LEAST_BY_LIGHTNESS;
    }
    return any;
}

/* No zone has gray: all is her own. */
static void draw_no_gray(wm_drawn_head *head)
{
    for (size_t i = 0; i < head->zone_count; i++)
        for (int k = 0; k < WM_DRAW_ROWS; k++) {
            head->zones[i].share[k] = 0;
            head->zones[i].base[k] = head->zones[i].body[k];
        }
}

static bool are_apart(const wm_drawn_head *head)
{
    double weight[WM_HEAD_ZONES];
    wm_drawn_head_weights(weight, head, WM_BASE_WEIGHTS, false);
    for (size_t i = 0; i < head->zone_count; i++)
        for (size_t j = i + 1; j < head->zone_count; j++)
            if (weight[i] > 0 && weight[j] > 0 &&
                wm_de00(wm_cone_to_lab(head->zones[i].base[0]), wm_cone_to_lab(head->zones[j].base[0])) >
                    BASES_APART_DE00)
                return true;
    return false;
}

static void draw_law(wm_drawn_head *head, const wm_hair_law *law)
{
    double z[WM_DRAW_ROWS];
    wm_draws_of(z, "law");
    head->law[0] = *law;
    for (int k = 1; k < WM_DRAW_ROWS; k++)
        head->law[k] = wm_hair_law_of(clipped(law->g + LAW_SD * z[k], fmin(LAW_LOW, law->g), fmax(LAW_HIGH, law->g)));
}

wm_status wm_head_draw(wm_drawn_head *out, const wm_head_zone *zones, size_t count, const wm_hair_law *law,
                       wm_error *err)
{
    if (count == 0 || count > WM_HEAD_ZONES)
        return wm_fail(err, WM_E_INPUT, "a decision needs 1 to %d zones of her hair, not %zu; mark them again",
                       WM_HEAD_ZONES, count);
    for (size_t i = 0; i < count; i++) {
        wm_status status = check_zone(&zones[i], err);
        if (status)
            return status;
    }
    bool says[WM_HEAD_ZONES] = { false };
    wm_drawn_head head = { .zones = calloc(count, sizeof *head.zones), .zone_count = count };
    fitting *f = calloc(1, sizeof *f);
    if (!head.zones || !f) {
        free(head.zones);
        free(f);
        return wm_fail_memory(err);
    }
    find_what_is_known(&head, zones);
    for (size_t i = 0; i < count; i++)
        draw_zone(&head.zones[i], &zones[i]);
    head.has_base = find_who_says(says, &head, zones) || find_lone_gray(says, &head, zones);
    f->measured = zones;
    f->grayest = grayest_of(&head, zones);
    draw_usual_gray(&head);
    head.has_gray = is_any(&head, APART | HIDDEN | ALL_OVER);
    if (!head.has_base)
        draw_gray_of_bodies(&head);
    else if (is_any(&head, ~NONE))
        head.has_gray |= fit_populations(&head, f, says);
    if (!head.has_gray)
        draw_no_gray(&head);
    head.gray_beyond_doubt = beyond_doubt(&head, zones);
    head.bases_apart = are_apart(&head);
    draw_law(&head, law);
    free(f);
    *out = head;
    return WM_OK;
}

void wm_drawn_head_free(wm_drawn_head *head)
{
    if (!head)
        return;
    free(head->zones);
    *head = (wm_drawn_head){ 0 };
}

/* ---- M33 ---- */

double wm_drawn_head_grayest(const wm_drawn_head *head)
{
    double most = 0;
    for (size_t i = 0; i < head->zone_count; i++)
        most = fmax(most, head->zones[i].share[0]);
    return most;
}

wm_status wm_drawn_head_rise(wm_drawn_head *out, const wm_drawn_head *head, double rise, wm_error *err)
{
    wm_drawn_head risen = *head;
    double most = wm_drawn_head_grayest(head);
    risen.zones = malloc(head->zone_count * sizeof *risen.zones);
    if (!risen.zones)
        return wm_fail_memory(err);
    memcpy(risen.zones, head->zones, head->zone_count * sizeof *risen.zones);
    for (size_t i = 0; i < risen.zone_count && risen.has_gray && most > 0; i++) {
        wm_drawn_zone *zone = &risen.zones[i];
        double own_rise = rise * zone->share[0] / most;
        for (int k = 0; k < WM_DRAW_ROWS; k++) {
            double step = fmin(own_rise, 1 - zone->share[k]);
            for (int c = 0; c < 3; c++)
                zone->body[k].c[c] += step * (head->gray[k].c[c] - zone->base[k].c[c]);
            zone->body[k] = wm_cone_clamped(zone->body[k]);
            zone->share[k] += step;
        }
    }
    *out = risen;
    return WM_OK;
}
