#include "measure/measured.h"

#include <math.h>

/* What its aids allowed where that is less than u would (C24), else everything. */
static wm_claim allowed(const wm_measured *colour)
{
    return colour->claim > wm_claim_of(colour->u_de00) ? colour->claim : WM_CLAIM_NAME;
}

wm_measured wm_measured_mean(const wm_measured *colours, const double *weights, size_t count)
{
    wm_measured mean = { .u_de00 = 0 };
    wm_rgb light = { 0, 0, 0 };
    double sum = 0;
    wm_claim at_best = WM_CLAIM_NAME;
    for (size_t i = 0; i < count; i++) {
        const wm_measured *c = &colours[i];
        const double weight = weights ? weights[i] : 1;
        light = wm_rgb_add(light, wm_rgb_scale(wm_lab_to_rgb(c->lab), weight));
        mean.sigma.L += weight * c->sigma.L * c->sigma.L;
        mean.sigma.a += weight * c->sigma.a * c->sigma.a;
        mean.sigma.b += weight * c->sigma.b * c->sigma.b;
        mean.u_de00 += weight * c->u_de00 * c->u_de00;
        at_best = allowed(c) > at_best ? allowed(c) : at_best;
        mean.pixels += c->pixels;
        mean.kept += c->kept;
        sum += weight;
    }
    mean.lab = wm_rgb_to_lab(wm_rgb_scale(light, sum > 0 ? 1 / sum : 0));
    mean.sigma = (wm_lab){ sqrt(mean.sigma.L / sum), sqrt(mean.sigma.a / sum), sqrt(mean.sigma.b / sum) };
    mean.u_de00 = sqrt(mean.u_de00 / sum);
    mean.claim = wm_claim_at_best(mean.u_de00, at_best);
    return mean;
}
