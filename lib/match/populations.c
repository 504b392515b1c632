#include "match/populations.h"

#include <math.h>

#include "colour/stats.h"

#define SMALL_LAB 0.01   /* for differences in place of derivatives */
#define SMALL_SHARE 1e-4 /* of a share, the same */
enum { MOST_UNKNOWN = 3 + WM_FIT_ZONES };

/* The normal equations: lower triangle of the matrix, row by row, and the right hand side, which solving turns into the
 * step. */
typedef struct equations {
    double a[MOST_UNKNOWN * MOST_UNKNOWN], step[MOST_UNKNOWN];
    size_t count;
} equations;

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

/* Three residuals of a body: her own colour, and her gray by the share, against what is seen. bases: hers, and moved a
 * little in L*, a*, b*. */
static void add_body(equations *e, const wm_fit_zone *zone, const wm_cone bases[4], wm_cone gray, double share,
                     size_t at)
{
    double body[3], sd[3], is[3], moved[4][3];
    to_array(body, zone->body);
    to_array(sd, zone->sd);
    to_array(is, wm_cone_to_lab(mixed(bases[0], gray, share)));
    for (int i = 0; i < 3; i++)
        to_array(moved[i], wm_cone_to_lab(mixed(bases[1 + i], gray, share)));
    to_array(moved[3], wm_cone_to_lab(mixed(bases[0], gray, share + SMALL_SHARE)));
    const size_t unknown[4] = { 0, 1, 2, at };
    for (int c = 0; c < 3; c++) {
        double by[4];
        for (int i = 0; i < 3; i++)
            by[i] = (moved[i][c] - is[c]) / SMALL_LAB / sd[c];
        by[3] = (moved[3][c] - is[c]) / SMALL_SHARE / sd[c];
        add(e, (is[c] - body[c]) / sd[c], unknown, by, zone->counted ? 3 : 4);
    }
}

static void add_share(equations *e, const wm_fit_input *in, const wm_populations *fit, size_t zone, const size_t *at)
{
    const wm_fit_zone *z = &in->zones[zone];
    const bool follows = in->grayest < in->count && z->of_grayest > 0;
    const size_t unknown[2] = { at[zone], follows ? at[in->grayest] : 0 };
    const double by[2] = { 1 / z->share_sd, -z->of_grayest / z->share_sd };
    const double expected = z->share + (follows ? z->of_grayest * fit->share[in->grayest] : 0);
    add(e, (fit->share[zone] - expected) / z->share_sd, unknown, by, follows ? 2 : 1);
}

static void equations_of(equations *e, const wm_fit_input *in, const wm_populations *fit, const size_t *at)
{
    const wm_lab b = fit->base;
    const wm_cone bases[4] = { wm_lab_to_cone(b), wm_lab_to_cone((wm_lab){ b.L + SMALL_LAB, b.a, b.b }),
                               wm_lab_to_cone((wm_lab){ b.L, b.a + SMALL_LAB, b.b }),
                               wm_lab_to_cone((wm_lab){ b.L, b.a, b.b + SMALL_LAB }) };
    for (size_t i = 0; i < e->count; i++) {
        e->step[i] = 0;
        for (size_t j = 0; j <= i; j++)
            e->a[i * e->count + j] = 0;
    }
    for (size_t i = 0; i < in->count; i++) {
        const bool counted = in->zones[i].counted;
        add_body(e, &in->zones[i], bases, in->gray, counted ? 0 : fit->share[i], at[i]);
        if (!counted)
            add_share(e, in, fit, i, at);
    }
}

void wm_populations_fit(wm_populations *fit, const wm_fit_input *in, int steps)
{
    equations e; /* large, and set up step by step */
    size_t at[WM_FIT_ZONES] = { 0 };
    e.count = 3;
    for (size_t i = 0; i < in->count; i++)
        if (!in->zones[i].counted)
            at[i] = e.count++;
    for (int step = 0; step < steps; step++) {
        equations_of(&e, in, fit, at);
        if (!wm_cholesky(e.a, (int)e.count)) /* an unknown is told by nothing */
            return;
        wm_cholesky_solve(e.a, (int)e.count, e.step);
        fit->base = (wm_lab){ fmax(fit->base.L + e.step[0], 0), fit->base.a + e.step[1], fit->base.b + e.step[2] };
        for (size_t i = 0; i < in->count; i++)
            if (!in->zones[i].counted)
                fit->share[i] = fmin(fmax(fit->share[i] + e.step[at[i]], 0), WM_SHARE_AT_MOST);
    }
}
