#include "match/populations.h"

#include <math.h>

#include "colour/stats.h"
#include "core/wide.h"
#include "measure/pigment_line.h"

#define SMALL_LAB 1e-5   /* for differences in place of derivatives */
#define SMALL_SHARE 1e-7 /* of a share, the same */
#define SETTLED 1e-5     /* a step that moves nothing any more */
enum { COLOURS = 6, MOST_UNKNOWN = COLOURS + WM_FIT_ZONES };

/* Fits that go side by side, each as it would alone: a number of each of them. */
enum { LANES = WM_FIT_LANES };
typedef double lanes __attribute__((vector_size(LANES * sizeof(double))));

/* The same, of a colour. */
typedef struct colours {
    lanes c[3];
} colours;

/* The normal equations: lower triangle of the matrix, row by row, and the right hand side, which solving turns into the
 * step. */
typedef struct equations {
    lanes a[MOST_UNKNOWN * (MOST_UNKNOWN + 1) / 2], step[MOST_UNKNOWN];
    bool solved[LANES];
    size_t count;
} equations;

WM_WIDE_PART lanes *row_of(equations *e, size_t i)
{
    return e->a + i * (i + 1) / 2;
}

/* What a zone says, and which of the unknowns its share is, the same in every step; what is the same in all lanes
 * stands in `zone`. */
typedef struct zone_says {
    const wm_fit_zone *zone;
    size_t at;
    colours body, base, gray;
    lanes share, along, aside; /* cosine and sine of its line's angle */
} zone_says;

/* Where the fits stand, and a little beside it in each of L*, a*, b* of her own colour and of her gray. */
typedef struct stand {
    colours lab[2];                     /* her own, her gray */
    colours base, gray, moved[COLOURS]; /* as cones */
    lanes share[WM_FIT_ZONES];
} stand;

typedef struct fitting {
    wm_populations *fits[LANES];
    const wm_fit_input *in; /* of the first */
    colours gray;           /* that is expected */
    bool goes_on[LANES];
    stand at;
    zone_says says[WM_FIT_ZONES];
    equations equations;
} fitting;

static void put_lab(colours *to, int lane, wm_lab lab)
{
    to->c[0][lane] = lab.L;
    to->c[1][lane] = lab.a;
    to->c[2][lane] = lab.b;
}

static void put_cone(colours *to, int lane, wm_lab lab)
{
    const wm_cone cone = wm_lab_to_cone(lab);
    for (int c = 0; c < 3; c++)
        to->c[c][lane] = cone.c[c];
}

static wm_lab moved_in(wm_lab lab, int c)
{
    return (wm_lab){ lab.L + (c == 0 ? SMALL_LAB : 0), lab.a + (c == 1 ? SMALL_LAB : 0),
                     lab.b + (c == 2 ? SMALL_LAB : 0) };
}

static void stand_at(stand *at, const wm_populations *fit, int lane, size_t zones)
{
    put_lab(&at->lab[0], lane, fit->base);
    put_lab(&at->lab[1], lane, fit->gray);
    put_cone(&at->base, lane, fit->base);
    put_cone(&at->gray, lane, fit->gray);
    for (int c = 0; c < 3; c++) {
        put_cone(&at->moved[c], lane, moved_in(fit->base, c));
        put_cone(&at->moved[3 + c], lane, moved_in(fit->gray, c));
    }
    for (size_t i = 0; i < zones; i++)
        at->share[i][lane] = fit->share[i];
}

/* A colour of three unknowns from `first` on against what is seen or expected of it. */
static void add_colour(equations *e, const colours *is, const colours *seen, wm_lab sd, size_t first)
{
    const double by[3] = { 1 / sd.L, 1 / sd.a, 1 / sd.b }, apart[3] = { sd.L, sd.a, sd.b };
    for (size_t c = 0; c < 3; c++) {
        e->step[first + c] -= by[c] * ((is->c[c] - seen->c[c]) / apart[c]);
        row_of(e, first + c)[first + c] += by[c] * by[c];
    }
}

/* One zone at the stand, and where one of its seven unknowns is moved a little: L*, a*, b* of her own colour, of her
 * gray, and its share. The last is the stand itself. */
enum { BESIDE = COLOURS + 1 };
static const double MOVED_BY[BESIDE] = {
    SMALL_LAB, SMALL_LAB, SMALL_LAB, SMALL_LAB, SMALL_LAB, SMALL_LAB, SMALL_SHARE
};

/* What a residual is there. */
typedef struct zone_residual {
    lanes at[BESIDE + 1];
} zone_residual;

typedef struct zone_stand {
    const colours *base[BESIDE + 1], *gray[BESIDE + 1];
    colours mixed[BESIDE + 1];
} zone_stand;

static void mix_zone(zone_stand *z, const stand *s, size_t zone);
WM_WIDE_BODY void mix_zone_body(zone_stand *z, const stand *s, size_t zone)
{
    for (int i = 0; i <= BESIDE; i++) {
        z->base[i] = i < 3 ? &s->moved[i] : &s->base;
        z->gray[i] = i >= 3 && i < COLOURS ? &s->moved[i] : &s->gray;
        const lanes share = s->share[zone] + (i == COLOURS ? SMALL_SHARE : 0);
        for (int c = 0; c < 3; c++)
            z->mixed[i].c[c] = (1 - share) * z->base[i]->c[c] + share * z->gray[i]->c[c];
    }
}
WM_WIDE(mix_zone, (zone_stand * z, const stand *s, size_t zone), (z, s, zone))

static void add_residuals(equations *e, size_t share, const zone_residual *residuals, int count);
WM_WIDE_BODY void add_residuals_body(equations *e, size_t share, const zone_residual *residuals, int count)
{
    lanes *const row_of_share = row_of(e, share);
    for (int r = 0; r < count; r++) {
        const lanes is = residuals[r].at[BESIDE];
        lanes by[BESIDE];
        for (int i = 0; i < BESIDE; i++)
            by[i] = (residuals[r].at[i] - is) / MOVED_BY[i];
        for (size_t i = 0; i < COLOURS; i++) {
            lanes *const row = row_of(e, i);
            e->step[i] -= by[i] * is;
            for (size_t j = 0; j <= i; j++)
                row[j] += by[i] * by[j];
            row_of_share[i] += by[COLOURS] * by[i];
        }
        e->step[share] -= by[COLOURS] * is;
        row_of_share[share] += by[COLOURS] * by[COLOURS];
    }
}
WM_WIDE(add_residuals, (equations * e, size_t share, const zone_residual *residuals, int count),
        (e, share, residuals, count))

/* Three residuals of a body: her own colour, and her gray by the share, against what is seen. */
static void add_body(equations *e, const zone_says *says, const zone_stand *z)
{
    const double sd[3] = { says->zone->sd.L, says->zone->sd.a, says->zone->sd.b };
    wm_cone cones[(BESIDE + 1) * LANES];
    wm_lab is[(BESIDE + 1) * LANES];
    zone_residual residuals[3];
    for (int i = 0; i < (BESIDE + 1) * LANES; i++)
        for (int c = 0; c < 3; c++)
            cones[i].c[c] = z->mixed[i / LANES].c[c][i % LANES];
    wm_cone_to_lab_batch(is, cones, (BESIDE + 1) * LANES);
    for (int i = 0; i <= BESIDE; i++) {
        colours lab;
        for (int lane = 0; lane < LANES; lane++)
            put_lab(&lab, lane, is[i * LANES + lane]);
        for (int c = 0; c < 3; c++)
            residuals[c].at[i] = (lab.c[c] - says->body.c[c]) / sd[c];
    }
    add_residuals(e, says->at, residuals, 3);
}

/* How much each cone is moved on the way from her own colour to her gray: the green one, the blue one beyond it. */
typedef struct ways {
    lanes green[BESIDE + 1], turn[BESIDE + 1];
} ways;

static void find_ways(ways *out, const zone_stand *z);
WM_WIDE_BODY void find_ways_body(ways *out, const zone_stand *z)
{
    for (int i = 0; i <= BESIDE; i++)
        for (int lane = 0; lane < LANES; lane++) {
            const colours *from = z->base[i], *to = z->gray[i], *mixed = &z->mixed[i];
            const double green = wm_pigment_moves(from->c[1][lane], to->c[1][lane], mixed->c[1][lane]),
                         blue = wm_pigment_moves(from->c[2][lane], to->c[2][lane], mixed->c[2][lane]);
            out->green[i][lane] = green;
            out->turn[i][lane] = blue - green;
        }
}
WM_WIDE(find_ways, (ways * out, const zone_stand *z), (out, z))

/* The way from her own colour to her gray is that by which the zone's fibres differ: the sine of the angle between
 * both. */
static void add_line(equations *e, const zone_says *says, const zone_stand *z)
{
    ways way;
    zone_residual sine;
    find_ways(&way, z);
    for (int i = 0; i <= BESIDE; i++) {
        lanes length;
        for (int lane = 0; lane < LANES; lane++)
            length[lane] = fmax(hypot(way.green[i][lane], way.turn[i][lane]), 1e-9);
        sine.at[i] = (way.turn[i] * says->along - way.green[i] * says->aside) / length / says->zone->line_sd;
    }
    add_residuals(e, says->at, &sine, 1);
}

static void add_share(fitting *f, size_t zone)
{
    equations *e = &f->equations;
    const wm_fit_zone *z = f->says[zone].zone;
    const size_t own = f->says[zone].at;
    const double by = 1 / z->share_sd, by_grayest = -z->of_grayest / z->share_sd;
    lanes expected = f->says[zone].share;
    const bool follows = f->in->grayest < f->in->count && z->of_grayest > 0;
    if (follows)
        expected += z->of_grayest * f->at.share[f->in->grayest];
    const lanes residual = (f->at.share[zone] - expected) / z->share_sd;
    e->step[own] -= by * residual;
    row_of(e, own)[own] += by * by;
    if (follows) {
        const size_t grayest = f->says[f->in->grayest].at;
        e->step[grayest] -= by_grayest * residual;
        row_of(e, grayest)[grayest] += by_grayest * by_grayest;
        row_of(e, own > grayest ? own : grayest)[own > grayest ? grayest : own] += by * by_grayest;
    }
}

static void set_up(fitting *f)
{
    const lanes none = { 0 };
    equations *e = &f->equations;
    for (size_t i = 0; i < e->count; i++)
        e->step[i] = none;
    for (size_t i = 0; i < e->count * (e->count + 1) / 2; i++)
        e->a[i] = none;
    for (int lane = 0; lane < LANES; lane++)
        stand_at(&f->at, f->fits[lane], lane, f->in->count);
    add_colour(e, &f->at.lab[1], &f->gray, f->in->gray_sd, 3);
    for (size_t i = 0; i < f->in->count; i++) {
        const zone_says *says = &f->says[i];
        const wm_fit_zone *zone = says->zone;
        if (zone->pure) {
            add_colour(e, &f->at.lab[0], &says->body, zone->sd, 0);
            continue;
        }
        zone_stand z;
        mix_zone(&z, &f->at, i);
        add_body(e, says, &z);
        add_share(f, i);
        if (zone->has_base)
            add_colour(e, &f->at.lab[0], &says->base, zone->base_sd, 0);
        if (zone->has_gray)
            add_colour(e, &f->at.lab[1], &says->gray, zone->gray_sd, 3);
        if (zone->line_sd > 0)
            add_line(e, says, &z);
    }
}

/* As wm_cholesky does it, and wm_cholesky_solve. */
static void solve(equations *e);
WM_WIDE_BODY void solve_body(equations *e)
{
    for (size_t i = 0; i < e->count; i++) {
        lanes *const row = row_of(e, i);
        for (size_t j = 0; j <= i; j++) {
            const lanes *const other = row_of(e, j);
            lanes sum = row[j];
            for (size_t k = 0; k < j; k++)
                sum -= row[k] * other[k];
            if (i != j)
                row[j] = sum / other[j];
            for (int lane = 0; lane < LANES && i == j; lane++) {
                const bool some = sum[lane] > WM_LEAST_PIVOT; /* NaN is none */
                e->solved[lane] &= some;
                row[i][lane] = some ? sqrt(sum[lane]) : 1;
            }
        }
    }
    for (size_t i = 0; i < e->count; i++) {
        for (size_t k = 0; k < i; k++)
            e->step[i] -= row_of(e, i)[k] * e->step[k];
        e->step[i] /= row_of(e, i)[i];
    }
    for (size_t i = e->count; i-- > 0;) {
        for (size_t k = i + 1; k < e->count; k++)
            e->step[i] -= row_of(e, k)[i] * e->step[k];
        e->step[i] /= row_of(e, i)[i];
    }
}
WM_WIDE(solve, (equations * e), (e))

static wm_lab moved_by(wm_lab lab, const equations *e, size_t first, int lane)
{
    return (wm_lab){ fmin(fmax(lab.L + e->step[first][lane], 0), 100), lab.a + e->step[first + 1][lane],
                     lab.b + e->step[first + 2][lane] };
}

/* One lane's step; true if it moves something. */
static bool take_step(fitting *f, int lane)
{
    const equations *e = &f->equations;
    wm_populations *fit = f->fits[lane];
    double longest = 0;
    fit->base = moved_by(fit->base, e, 0, lane);
    fit->gray = moved_by(fit->gray, e, 3, lane);
    for (size_t i = 0; i < f->in->count; i++)
        if (!f->says[i].zone->pure)
            fit->share[i] = fmin(fmax(fit->share[i] + e->step[f->says[i].at][lane], 0), WM_SHARE_AT_MOST);
    for (size_t i = 0; i < e->count; i++)
        longest = fmax(longest, fabs(e->step[i][lane]));
    return longest > SETTLED;
}

static void read_lane(fitting *f, const wm_fit_input *in, int lane)
{
    put_lab(&f->gray, lane, in->gray);
    for (size_t i = 0; i < in->count; i++) {
        zone_says *to = &f->says[i];
        put_lab(&to->body, lane, in->zones[i].body);
        put_lab(&to->base, lane, in->zones[i].base);
        put_lab(&to->gray, lane, in->zones[i].gray);
        to->share[lane] = in->zones[i].share;
        to->along[lane] = cos(in->zones[i].line_rad);
        to->aside[lane] = sin(in->zones[i].line_rad);
    }
}

/* `count` of up to LANES fits; the lanes that are left over go along with the first. */
static void fit_lanes(wm_populations *fits, const wm_fit_input *ins, size_t count, int steps)
{
    fitting f; /* large, and set up step by step */
    bool any = true;
    f.in = ins;
    f.equations.count = COLOURS;
    for (size_t i = 0; i < ins->count; i++) {
        f.says[i].zone = &ins->zones[i];
        f.says[i].at = ins->zones[i].pure ? 0 : f.equations.count++;
    }
    for (int lane = 0; lane < LANES; lane++) {
        const size_t which = (size_t)lane < count ? (size_t)lane : 0;
        f.fits[lane] = &fits[which];
        f.goes_on[lane] = (size_t)lane < count;
        read_lane(&f, &ins[which], lane);
    }
    for (int step = 0; step < steps && any; step++) {
        any = false;
        for (int lane = 0; lane < LANES; lane++)
            f.equations.solved[lane] = true; /* false: an unknown is told by nothing */
        set_up(&f);
        solve(&f.equations);
        for (int lane = 0; lane < LANES; lane++) {
            f.goes_on[lane] = f.goes_on[lane] && f.equations.solved[lane] && take_step(&f, lane);
            any |= f.goes_on[lane];
        }
    }
}

void wm_populations_fit(wm_populations *fits, const wm_fit_input *ins, size_t count, int steps)
{
    for (size_t first = 0; first < count; first += LANES)
        fit_lanes(fits + first, ins + first, count - first < LANES ? count - first : LANES, steps);
}
