#include "match/populations.h"

#include <math.h>

#include "colour/stats.h"
#include "measure/pigment_line.h"

#define SMALL_LAB 1e-5   /* for differences in place of derivatives */
#define SMALL_SHARE 1e-7 /* of a share, the same */
#define SETTLED 1e-5     /* a step that moves nothing any more */
enum { COLOURS = 6, MOST_UNKNOWN = COLOURS + WM_FIT_ZONES };

/* The normal equations: lower triangle of the matrix, row by row, and the right hand side, which solving turns into the
 * step. */
typedef struct equations {
    double a[MOST_UNKNOWN * MOST_UNKNOWN], step[MOST_UNKNOWN];
    size_t count;
} equations;

/* Where the fit stands, and a little beside it in each of L*, a*, b* of her own colour and of her gray. */
typedef struct stand {
    wm_cone base, gray, moved[COLOURS];
} stand;

static wm_cone mixed(wm_cone base, wm_cone gray, double share)
{
    wm_cone out;
    for (int c = 0; c < 3; c++)
        out.c[c] = (1 - share) * base.c[c] + share * gray.c[c];
    return out;
}

static void to_array(double out[3], wm_lab lab)
{
    out[0] = lab.L;
    out[1] = lab.a;
    out[2] = lab.b;
}

static wm_cone moved_in(wm_lab lab, int c)
{
    return wm_lab_to_cone((wm_lab){ lab.L + (c == 0 ? SMALL_LAB : 0), lab.a + (c == 1 ? SMALL_LAB : 0),
                                    lab.b + (c == 2 ? SMALL_LAB : 0) });
}

static stand stand_of(const wm_populations *fit)
{
    stand at = { wm_lab_to_cone(fit->base), wm_lab_to_cone(fit->gray), { { { 0 } } } };
    for (int c = 0; c < 3; c++) {
        at.moved[c] = moved_in(fit->base, c);
        at.moved[3 + c] = moved_in(fit->gray, c);
    }
    return at;
}

/* One weighted residual that hangs on the unknown of `at` by `by`. */
static void add(equations *e, double residual, const size_t *at, const double *by, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        e->step[at[i]] -= by[i] * residual;
        for (size_t j = 0; j < count; j++)
            if (at[j] <= at[i])
                e->a[at[i] * e->count + at[j]] += by[i] * by[j];
    }
}

/* A colour of three unknowns from `first` on against what is seen or expected of it. */
static void add_colour(equations *e, wm_lab is, wm_lab seen, wm_lab sd, size_t first)
{
    double value[3], expected[3], by[3];
    to_array(value, is);
    to_array(expected, seen);
    to_array(by, sd);
    for (size_t c = 0; c < 3; c++)
        add(e, (value[c] - expected[c]) / by[c], (size_t[]){ first + c }, (double[]){ 1 / by[c] }, 1);
}

/* One zone at the stand, and where one of its seven unknowns is moved a little: L*, a*, b* of her own colour, of her
 * gray, and its share. */
enum { BESIDE = COLOURS + 1 };
typedef struct zone_stand {
    size_t share;                                                  /* which unknown; the others are the first COLOURS */
    double by[BESIDE];                                             /* so much they are moved */
    wm_cone base[BESIDE + 1], gray[BESIDE + 1], mixed[BESIDE + 1]; /* the last is the stand itself */
} zone_stand;

static zone_stand zone_stand_of(const stand *s, double share, size_t at)
{
    zone_stand z = { .share = at };
    for (int i = 0; i <= BESIDE; i++) {
        z.base[i] = i < 3 ? s->moved[i] : s->base;
        z.gray[i] = i >= 3 && i < COLOURS ? s->moved[i] : s->gray;
        z.mixed[i] = mixed(z.base[i], z.gray[i], i == COLOURS ? share + SMALL_SHARE : share);
    }
    for (int i = 0; i < BESIDE; i++)
        z.by[i] = i < COLOURS ? SMALL_LAB : SMALL_SHARE;
    return z;
}

/* A residual, of which `value` holds what it is at the stand and beside it. */
static void add_residual(equations *e, const zone_stand *z, const double value[BESIDE + 1])
{
    double by[BESIDE], *const share = e->a + z->share * e->count;
    for (int i = 0; i < BESIDE; i++)
        by[i] = (value[i] - value[BESIDE]) / z->by[i];
    for (size_t i = 0; i < COLOURS; i++) {
        e->step[i] -= by[i] * value[BESIDE];
        for (size_t j = 0; j <= i; j++)
            e->a[i * e->count + j] += by[i] * by[j];
        share[i] += by[COLOURS] * by[i];
    }
    e->step[z->share] -= by[COLOURS] * value[BESIDE];
    share[z->share] += by[COLOURS] * by[COLOURS];
}

/* Three residuals of a body: her own colour, and her gray by the share, against what is seen. */
static void add_body(equations *e, const wm_fit_zone *zone, const zone_stand *z)
{
    wm_lab is[BESIDE + 1];
    double value[3][BESIDE + 1];
    wm_cone_to_lab_batch(is, z->mixed, BESIDE + 1);
    for (int i = 0; i <= BESIDE; i++) {
        value[0][i] = (is[i].L - zone->body.L) / zone->sd.L;
        value[1][i] = (is[i].a - zone->body.a) / zone->sd.a;
        value[2][i] = (is[i].b - zone->body.b) / zone->sd.b;
    }
    for (int c = 0; c < 3; c++)
        add_residual(e, z, value[c]);
}

typedef struct line {
    double along, aside; /* cosine and sine of its angle */
} line;

/* The way from her own colour to her gray is that by which the zone's fibres differ: the sine of the angle between
 * both. */
static void add_line(equations *e, const wm_fit_zone *zone, const line *by, const zone_stand *z)
{
    double value[BESIDE + 1];
    for (int i = 0; i <= BESIDE; i++) {
        const wm_pigment_way way = wm_pigment_way_of(z->base[i], z->gray[i], z->mixed[i]);
        value[i] =
            (way.turn * by->along - way.green * by->aside) / fmax(hypot(way.green, way.turn), 1e-9) / zone->line_sd;
    }
    add_residual(e, z, value);
}

/* The zones' unknowns and lines, the same in every step. */
typedef struct set_out {
    size_t at[WM_FIT_ZONES];
    line lines[WM_FIT_ZONES];
} set_out;

static void add_share(equations *e, const wm_fit_input *in, const wm_populations *fit, size_t zone, const size_t *at)
{
    const wm_fit_zone *z = &in->zones[zone];
    const bool follows = in->grayest < in->count && z->of_grayest > 0;
    const size_t unknown[2] = { at[zone], follows ? at[in->grayest] : 0 };
    const double by[2] = { 1 / z->share_sd, -z->of_grayest / z->share_sd };
    const double expected = z->share + (follows ? z->of_grayest * fit->share[in->grayest] : 0);
    add(e, (fit->share[zone] - expected) / z->share_sd, unknown, by, follows ? 2 : 1);
}

static void equations_of(equations *e, const wm_fit_input *in, const wm_populations *fit, const set_out *set)
{
    const stand s = stand_of(fit);
    for (size_t i = 0; i < e->count; i++) {
        e->step[i] = 0;
        for (size_t j = 0; j <= i; j++)
            e->a[i * e->count + j] = 0;
    }
    add_colour(e, fit->gray, in->gray, in->gray_sd, 3);
    for (size_t i = 0; i < in->count; i++) {
        const wm_fit_zone *zone = &in->zones[i];
        if (zone->pure) {
            add_colour(e, fit->base, zone->body, zone->sd, 0);
            continue;
        }
        const zone_stand z = zone_stand_of(&s, fit->share[i], set->at[i]);
        add_body(e, zone, &z);
        add_share(e, in, fit, i, set->at);
        if (zone->has_base)
            add_colour(e, fit->base, zone->base, zone->base_sd, 0);
        if (zone->has_gray)
            add_colour(e, fit->gray, zone->gray, zone->gray_sd, 3);
        if (zone->line_sd > 0)
            add_line(e, zone, &set->lines[i], &z);
    }
}

static double longest(const equations *e)
{
    double most = 0;
    for (size_t i = 0; i < e->count; i++)
        most = fmax(most, fabs(e->step[i]));
    return most;
}

static wm_lab moved_by(wm_lab lab, const double step[3])
{
    return (wm_lab){ fmin(fmax(lab.L + step[0], 0), 100), lab.a + step[1], lab.b + step[2] };
}

void wm_populations_fit(wm_populations *fit, const wm_fit_input *in, int steps)
{
    equations e; /* large, and set up step by step */
    set_out set;
    e.count = COLOURS;
    for (size_t i = 0; i < in->count; i++) {
        set.at[i] = in->zones[i].pure ? 0 : e.count++;
        set.lines[i] = (line){ cos(in->zones[i].line_rad), sin(in->zones[i].line_rad) };
    }
    for (int step = 0; step < steps && (step == 0 || longest(&e) > SETTLED); step++) {
        equations_of(&e, in, fit, &set);
        if (!wm_cholesky(e.a, (int)e.count)) /* an unknown is told by nothing */
            return;
        wm_cholesky_solve(e.a, (int)e.count, e.step);
        fit->base = moved_by(fit->base, e.step);
        fit->gray = moved_by(fit->gray, e.step + 3);
        for (size_t i = 0; i < in->count; i++)
            if (!in->zones[i].pure)
                fit->share[i] = fmin(fmax(fit->share[i] + e.step[set.at[i]], 0), WM_SHARE_AT_MOST);
    }
}
