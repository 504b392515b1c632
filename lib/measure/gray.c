#include "measure/gray.h"

#include "colour/difference.h"
#include "colour/power.h"
#include "colour/stats.h"
#include "core/wide.h"
#include "measure/fibre_row.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Constants of the gray-share rules; (R) there: to be fitted again on real photos with a counted truth. */
static const double DARKEST_BASE = 0.004;              /* G5 */
static const double HISTOGRAM[2] = { 0.002, 1.1 };     /* G5 */
static const double START_SPREAD = 0.25;               /* G5 */
static const double BASE_SPREAD[2] = { 0.15, 0.50 };   /* G5 */
static const double GRAY_SPREAD[2] = { 0.12, 0.40 };   /* G5 */
static const double LEAST_BASE = 0.5;                  /* G5 */
static const double LEAST_CONTRAST = 1.15;             /* G5 */
static const double PIXELS_WEIGH = 50.0;               /* G5 */
static const double SPREAD_WEIGHS[2] = { 0.20, 0.05 }; /* G5 */
static const double SHARE_AT_START = 0.25;             /* G5 */
static const double TOGETHER_AT_START = 0.30;          /* G5 */
static const double DARK_QUANTILE = 0.15;              /* G5 */
static const double DARK_PART = 1.3;                   /* G5 */
static const double GRAY_TAU = 0.50;                   /* G5 */
static const double SWATCH_TAU = 0.20;                 /* G10 */
static const double REFERENCE_PART = 0.55;             /* G4 */
static const double REFERENCE_RAISED = 1.1;            /* G4 */
static const double BLEACH_INDEX = 0.75;               /* G7 */
static const double BLEACH_WIDTH = 0.25;               /* G7 */
static const double BLEACH_ASKED = 0.02;               /* G7 */
static const double BLEACH_SAID = 0.05;                /* G7 */
static const double GRAY_HUE[2] = { 0.3, 2.2 };        /* G8 */
static const double BASE_UNSEEN = 0.02;                /* G9 */
static const double RESOLVED_CONTRAST = 1.8;           /* G9 */
static const double RESOLVED_DOUBT = 0.20;             /* G9 */
static const double FEWEST_OF_ZONE = 0.10;             /* G9 */
static const double BASE_SEEN = 0.2;                   /* G9 */
static const double GRAY_SEEN = 0.05;                  /* G9 */
static const double BASE_DOUBT = 10.0;                 /* G9 */
static const double GRAY_DOUBT = 5.0;                  /* G9 */
static const double GAP_BELOW = 0.55;                  /* G6 */
static const double MOST_OF_HAIR[2] = { 0.50, 0.70 };  /* G6 */
static const double SHADE_WARMER = 0.30;               /* G6 */
static const double SWATCH_DARKER = 0.75;              /* G10 */
static const double NONE_BELOW = 0.03;                 /* G9 */
static const double GRAY_INDEX = 0.37;                 /* G9 */
static const double HUE_COUNTS = 0.6;                  /* G9 */
static const double OWN_HUE = 0.10;                    /* G9 */
static const double MORE_THAN_SHADE = 3.0;             /* G9 */
static const double BLIND_TAU = 0.50;                  /* G5 */
static const double REFERENCE_TAU = 0.10;              /* G5 */
static const double REFERENCE_DOUBT = 0.30;            /* G7 */
static const double LEAST_DOUBT = 0.03;                /* G7 */
static const double UNSEEN_DOUBT = 0.5;                /* G7 */
static const double LEVEL_DOUBT = 0.6;                 /* G7 */
static const double OWN_GRAY_TRUST = 0.0073;           /* G8 */
static const double TOGETHERNESS[2] = { 0.04, 0.999 }; /* G5 */
static const double SHARE_INTERVAL = 1.65;             /* G9 */
static const double FAINTEST = 1e-6;                   /* a channel without light */
static const double SETTLED = 1e-11;                   /* our own: a change that no answer can show */
static const double SETTLED_AGAIN = 1e-4;              /* our own: that no try (G11) can show */
static const wm_lab GRAY_PRIOR = { 60.0, 0.5, 7.5 };   /* G5 */

enum { BINS = 128 };                  /* G5 */
enum { ITERATIONS = 60 };             /* G5 */
enum { EVERY_SECOND_ABOVE = 250000 }; /* G5 */
enum { FEWEST_GRAY_PIXELS = 1000 };   /* G9 */
enum { NODES = WM_GRAY_NODES };

const char *const WM_GRAY_STATUS_WORDS[] = { "not measured", "not resolved", "all over", "none seen",
                                             "low",          "measured",     NULL };

const char *wm_gray_status_name(wm_gray_status status)
{
    return wm_word_of(WM_GRAY_STATUS_WORDS, status);
}

double wm_gray_area_share(double number_share, double width_ratio)
{
    return width_ratio * number_share / (1.0 + (width_ratio - 1.0) * number_share);
}

static double square(double v)
{
    return v * v;
}

static double clamp(double value, double low, double high)
{
    return fmin(fmax(value, low), high);
}

void wm_gray_interval(double share, double u_share, double *low, double *high)
{
    *low = round(clamp(share - SHARE_INTERVAL * u_share, 0.0, 1.0) * 20.0) / 20.0;
    *high = round(clamp(share + SHARE_INTERVAL * u_share, 0.0, 1.0) * 20.0) / 20.0;
}

bool wm_gray_surely_more(const wm_gray *more, const wm_gray *less)
{
    return more->status == WM_GRAY_MEASURED && less->status >= WM_GRAY_NONE_SEEN &&
           more->share - less->share > SHARE_INTERVAL * hypot(more->u_share, less->u_share);
}

/* rho: fibres without pigment stay below 0.5, shading cancels. */
static double chromatic_index(wm_rgb c)
{
    return (c.r - c.b) / wm_rgb_luminance(c);
}

/* ln of red over blue: neither shading nor the colour of the light moves a difference of two. */
static double warmth(wm_rgb c)
{
    return log(fmax(c.r, FAINTEST) / fmax(c.b, FAINTEST));
}

static wm_rgb floored(wm_rgb c, double low)
{
    return (wm_rgb){ fmax(c.r, low), fmax(c.g, low), fmax(c.b, low) };
}

static wm_rgb scaled_to(wm_rgb c, double luminance)
{
    return wm_rgb_scale(c, luminance / wm_rgb_luminance(c));
}

/* a - k b */
static wm_rgb less(wm_rgb a, double k, wm_rgb b)
{
    return wm_rgb_add(a, wm_rgb_scale(b, -k));
}

/* ---- the pixels
 * ------------------------------------------------------------------------------------------------------------ */

/* What G5 to G8 work on: the pixels with their Y, every second one of many. */
struct wm_gray_pixels {
    const wm_rgb *all;
    size_t stride, count;
    double *luminance;  /* [count]; pixel i is all[i * stride] */
    unsigned char *bin; /* [count]: of the histogram */
    double dark_y;      /* at DARK_QUANTILE */
};
typedef struct wm_gray_pixels pixels;

/* The value at a rank of the ascending order of Y. */
static wm_status luminance_at(const pixels *p, size_t rank, double *out, wm_error *err)
{
    double *copy = malloc(p->count * sizeof *copy);
    if (!copy)
        return wm_fail_memory(err);
    memcpy(copy, p->luminance, p->count * sizeof *copy);
    *out = wm_quantile(copy, p->count, ((double)rank + 0.5) / (double)p->count); /* half a rank of room for rounding */
    free(copy);
    return WM_OK;
}

static wm_status take_pixels(pixels *p, const wm_rgb *all, size_t count, size_t stride, wm_error *err)
{
    *p = (pixels){ .all = all, .stride = stride, .count = (count + stride - 1) / stride };
    p->luminance = malloc(p->count * sizeof *p->luminance);
    if (!p->luminance)
        return wm_fail_memory(err);
    for (size_t i = 0; i < p->count; i++) {
        p->luminance[i] = wm_rgb_luminance(all[i * stride]);
        if (!isfinite(p->luminance[i]))
            return wm_fail(err, WM_E_BUG, "a pixel's colour is not a number; please report this fault");
    }
    return WM_OK;
}

/* Mean colour of the pixels with low <= Y <= high; how many. */
static size_t mean_between(const pixels *p, double low, double high, wm_rgb *mean)
{
    wm_rgb sum = { 0.0, 0.0, 0.0 };
    size_t count = 0;
    for (size_t i = 0; i < p->count; i++)
        if (p->luminance[i] >= low && p->luminance[i] <= high) {
            sum = wm_rgb_add(sum, p->all[i * p->stride]);
            count++;
        }
    if (count)
        *mean = wm_rgb_scale(sum, 1.0 / (double)count);
    return count;
}

static double dark_y_of(const pixels *p)
{
    return fmax(p->dark_y, DARKEST_BASE);
}

/* ---- G4: reference zone
 * ---------------------------------------------------------------------------------------------------- */

wm_status wm_gray_reference(wm_rgb *out, const wm_rgb *kept, size_t count, wm_error *err)
{
    pixels p = { 0 };
    double low_middle = 0.0, high_middle = 0.0;
    wm_rgb mean = { 0.0, 0.0, 0.0 };
    if (count == 0)
        return wm_fail(err, WM_E_INPUT, "no pixel of the reference zone is left; mark another root or mid-length zone");
    wm_status status = take_pixels(&p, kept, count, 1, err);
    if (!status)
        status = luminance_at(&p, (p.count - 1) / 2, &low_middle, err);
    if (!status)
        status = luminance_at(&p, p.count / 2, &high_middle, err);
    if (!status) {
        double median = (low_middle + high_middle) / 2.0;
        if (!mean_between(&p, REFERENCE_PART * median, median, &mean))
            mean_between(&p, low_middle, low_middle, &mean); /* two middles far apart: nothing lies between */
        *out = floored(wm_rgb_scale(mean, REFERENCE_RAISED), 0.001);
    }
    free(p.luminance);
    return status;
}

/* ---- G5: partial-volume mixture
 * -------------------------------------------------------------------------------------------- */

typedef struct prior {
    double base_y, base_tau, base_doubt; /* doubt: what light may do to the level, for the uncertainty */
    double gray_y, gray_tau;
    wm_rgb base, gray; /* Bc, G0c */
} prior;

static double first_bin(void)
{
    return log(HISTOGRAM[0]);
}

static double bin_width(void)
{
    return (log(HISTOGRAM[1]) - log(HISTOGRAM[0])) / BINS;
}

static void bins_of(unsigned char *out, const double *luminance, size_t count)
{
    enum { RUN = 256 };
    double log_y[RUN];
    for (size_t start = 0; start < count; start += RUN) {
        const size_t n = count - start < RUN ? count - start : RUN;
        for (size_t i = 0; i < n; i++)
            log_y[i] = fmax(luminance[start + i], HISTOGRAM[0]);
        wm_log_many(log_y, n);
        for (size_t i = 0; i < n; i++)
            out[start + i] = (unsigned char)clamp((log_y[i] - first_bin()) / bin_width(), 0.0, BINS - 1);
    }
}

static double bin_centre(int i)
{
    return first_bin() + (i + 0.5) * bin_width();
}

/* Weights of the bins over the pixels with Y >= low, of which there is one at least. */
static void make_histogram(double h[BINS], const pixels *p, double low)
{
    size_t counts[BINS] = { 0 }, total = 0;
    for (size_t i = 0; i < p->count; i++)
        if (p->luminance[i] >= low) {
            counts[p->bin[i]]++;
            total++;
        }
    for (int i = 0; i < BINS; i++)
        h[i] = (double)counts[i] / (double)total;
}

static double node(int j)
{
    return j / 10.0;
}

/* How far a node speaks for the pure base and for the pure gray. */
static double base_voice(int j)
{
    return fmax(0.0, 1.0 - 2.5 * node(j));
}

static double gray_voice(int j)
{
    return fmax(0.0, 2.5 * node(j) - 1.5);
}

/* One population's weighted sums over the histogram: weight, first and second moment of q - mu. */
typedef struct moments {
    double weight, first, second;
} moments;

typedef struct posterior {
    double share[NODES];
} posterior;

/* mu_j and sd_j of the nodes. */
static void place_nodes(const wm_gray_mixture *m, double mu[NODES], double sd[NODES])
{
    for (int j = 0; j < NODES; j++) {
        double t = node(j);
        mu[j] = log((1.0 - t) * m->base_y + t * m->gray_y);
        sd[j] = sqrt((1.0 - t) * m->base_spread * m->base_spread + t * m->gray_spread * m->gray_spread);
    }
}

/* pi_j e_ij / sum_j(pi_j e_ij) at q. */
static posterior weigh_nodes(const wm_gray_mixture *m, const double mu[NODES], const double sd[NODES], double q)
{
    posterior p;
    double sum = 0.0;
    for (int j = 0; j < NODES; j++) {
        double z = (q - mu[j]) / sd[j];
        p.share[j] = -0.5 * z * z;
    }
    wm_exp_many(p.share, NODES);
    for (int j = 0; j < NODES; j++) {
        p.share[j] = m->weight[j] * (p.share[j] / sd[j] + 1e-9);
        sum += p.share[j];
    }
    for (int j = 0; j < NODES; j++)
        p.share[j] /= sum;
    return p;
}

/* Held at its least, as firmly as so much area holds it. */
static double new_spread(moments m, double held, const double limits[2])
{
    return clamp(sqrt((m.second + held * limits[0] * limits[0]) / (m.weight + held)), limits[0], limits[1]);
}

/* The level pulled towards its prior. */
static double new_level(moments m, double level, double prior_level, double tau)
{
    double precision = PIXELS_WEIGH * m.weight / (START_SPREAD * START_SPREAD), held = 1.0 / (tau * tau);
    double moved = log(level) + m.first / (m.weight + 1e-12);
    return exp((precision * moved + log(prior_level) * held) / (precision + held));
}

/* The pixels' shares of gray, of which mean and variance are known, are spread as a blurred row of fibres spreads them:
 * a single gray fibre among others fills no pixel wholly. Eleven free weights would take a base in another light for an
 * even mixture with gray. */
static void spread_weights(wm_gray_mixture *m, wm_fibre_row *row, double mean, double variance)
{
    const double share = clamp(mean, 1e-6, 1.0 - 1e-6);
    m->togetherness = clamp(variance / (share * (1.0 - share)), TOGETHERNESS[0], TOGETHERNESS[1]);
    wm_fibre_row_weights(m->weight, row, share, m->togetherness);
}

/* The bins that hold something, and what each node has of them; filled up with empty ones to whole LANES. */
enum { LANES = 8 };
typedef struct filled_bins {
    int count;
    double q[BINS], h[BINS];
    double share[NODES * BINS]; /* node j's of bin i at j * count + i */
} filled_bins;

static void fill_bins(filled_bins *f, const double h[BINS])
{
    int last = 0;
    f->count = 0;
    for (int i = 0; i < BINS; i++)
        if (h[i] > 0.0) {
            f->q[f->count] = bin_centre(i);
            f->h[f->count++] = h[i];
            last = i;
        }
    for (; f->count % LANES; f->count++) {
        f->q[f->count] = bin_centre(last);
        f->h[f->count] = 0.0;
    }
}

/* The exponents of weigh_nodes for all bins, and what follows from their exponentials, times what the bins hold. */
static void exponents_of_bins(filled_bins *f, const double *mu, const double *sd);
static void weights_of_bins(filled_bins *f, const double *weight, const double *sd);

WM_WIDE_BODY void exponents_of_bins_body(filled_bins *f, const double *mu, const double *sd)
{
    for (int j = 0; j < NODES; j++) {
        const double per_sd = 1.0 / sd[j];
        for (int i = 0; i < f->count; i++) {
            const double z = (f->q[i] - mu[j]) * per_sd;
            f->share[j * f->count + i] = -0.5 * z * z;
        }
    }
}
WM_WIDE(exponents_of_bins, (filled_bins * f, const double *mu, const double *sd), (f, mu, sd))

WM_WIDE_BODY void weights_of_bins_body(filled_bins *f, const double *weight, const double *sd)
{
    double sum[BINS] = { 0 };
    for (int j = 0; j < NODES; j++) {
        const double height = weight[j] / sd[j], floor = weight[j] * 1e-9;
        for (int i = 0; i < f->count; i++) {
            const double share = height * f->share[j * f->count + i] + floor;
            f->share[j * f->count + i] = share;
            sum[i] += share;
        }
    }
    for (int i = 0; i < f->count; i++)
        sum[i] = f->h[i] / sum[i];
    for (int j = 0; j < NODES; j++)
        for (int i = 0; i < f->count; i++)
            f->share[j * f->count + i] *= sum[i];
}
WM_WIDE(weights_of_bins, (filled_bins * f, const double *weight, const double *sd), (f, weight, sd))

/* What a node has of all bins: weight, first and second moment of q - mu, lane by lane. */
static void moments_of_node(moments *out, const filled_bins *f, int j, double mu);
WM_WIDE_BODY void moments_of_node_body(moments *out, const filled_bins *f, int j, double mu)
{
    double weight[LANES] = { 0 }, first[LANES] = { 0 }, second[LANES] = { 0 };
    const double *share = f->share + j * f->count;
    for (int i = 0; i < f->count; i += LANES)
        for (int k = 0; k < LANES; k++) {
            const double distance = f->q[i + k] - mu, part = share[i + k] * distance;
            weight[k] += share[i + k];
            first[k] += part;
            second[k] += part * distance;
        }
    *out = (moments){ 0 };
    for (int k = 0; k < LANES; k++) {
        out->weight += weight[k];
        out->first += first[k];
        out->second += second[k];
    }
}
WM_WIDE(moments_of_node, (moments * out, const filled_bins *f, int j, double mu), (out, f, j, mu))

/* Adds a node's part of every bin; voice: how far it speaks. */
static void add_moments(moments *to, moments of_node, double voice)
{
    to->weight += voice * of_node.weight;
    to->first += voice * of_node.first;
    to->second += voice * of_node.second;
}

static void iterate(wm_gray_mixture *m, filled_bins *f, wm_fibre_row *row, const prior *k)
{
    double mu[NODES], sd[NODES], weight[NODES], total = 0.0, mean = 0.0, variance = 0.0;
    moments base = { 0 }, gray = { 0 };
    place_nodes(m, mu, sd);
    exponents_of_bins(f, mu, sd);
    wm_exp_many(f->share, (size_t)NODES * (size_t)f->count);
    weights_of_bins(f, m->weight, sd);
    for (int j = 0; j < NODES; j++) {
        const double of_base = (1.0 - node(j)) * m->base_y, light = of_base + node(j) * m->gray_y;
        moments here;
        moments_of_node(&here, f, j, mu[j]);
        add_moments(&base, here, base_voice(j) * of_base / light);
        add_moments(&gray, here, gray_voice(j));
        weight[j] = here.weight;
        total += weight[j];
    }
    for (int j = 0; j < NODES; j++)
        mean += weight[j] / total * node(j);
    for (int j = 0; j < NODES; j++)
        variance += weight[j] / total * (node(j) - mean) * (node(j) - mean);
    spread_weights(m, row, mean, variance);
    m->pure_base = base.weight;
    m->pure_gray = gray.weight;
    m->base_spread = new_spread(base, SPREAD_WEIGHS[0], BASE_SPREAD);
    m->gray_spread = new_spread(gray, SPREAD_WEIGHS[1], GRAY_SPREAD);
    m->base_y = fmax(new_level(base, m->base_y, k->base_y, k->base_tau), LEAST_BASE * k->base_y);
    m->gray_y = fmax(new_level(gray, m->gray_y, k->gray_y, k->gray_tau), LEAST_CONTRAST * m->base_y);
}

/* What an iteration does no longer move, none moves after it. */
static bool is_settled(const wm_gray_mixture *before, const wm_gray_mixture *m, double moves)
{
    const double moved[] = { m->base_y / before->base_y - 1.0,     m->gray_y / before->gray_y - 1.0,
                             m->base_spread - before->base_spread, m->gray_spread - before->gray_spread,
                             m->pure_base - before->pure_base,     m->pure_gray - before->pure_gray };
    double most = 0.0;
    for (size_t i = 0; i < sizeof moved / sizeof *moved; i++)
        most = fmax(most, fabs(moved[i]));
    for (int j = 0; j < NODES; j++)
        most = fmax(most, fabs(m->weight[j] - before->weight[j]));
    return most < moves;
}

static wm_gray_mixture start_of(wm_fibre_row *row, const prior *k)
{
    wm_gray_mixture m = { .base_y = k->base_y,
                          .gray_y = fmax(k->gray_y, LEAST_CONTRAST * k->base_y),
                          .base_spread = START_SPREAD,
                          .gray_spread = START_SPREAD };
    wm_fibre_row_weights(m.weight, row, SHARE_AT_START, TOGETHER_AT_START);
    return m;
}

/* marked: that of the same hair marked a little differently, not far from which this one lies; or NULL. */
static wm_gray_mixture fit_mixture(const double h[BINS], const prior *k, const wm_gray_mixture *marked)
{
    wm_fibre_row row = { 0 };
    wm_gray_mixture m = marked ? *marked : start_of(&row, k);
    bool settled = false;
    filled_bins f;
    fill_bins(&f, h);
    for (int i = 0; i < ITERATIONS && !settled; i++) {
        const wm_gray_mixture before = m;
        iterate(&m, &f, &row, k);
        settled = is_settled(&before, &m, marked ? SETTLED_AGAIN : SETTLED);
    }
    return m;
}

static double mixture_share(const wm_gray_mixture *m)
{
    double share = 0.0;
    for (int j = 0; j < NODES; j++)
        share += m->weight[j] * node(j);
    return share;
}

/* Blind: the darkest 15 % stand for the base. */
static void blind_base(prior *k, const pixels *p)
{
    k->base_y = dark_y_of(p);
    k->base_tau = k->base_doubt = BLIND_TAU;
    mean_between(p, -INFINITY, DARK_PART * k->base_y, &k->base);
    if (wm_rgb_luminance(k->base) < 1e-6)
        k->base = floored(k->base, 1e-6); /* black: no hue to scale up */
    k->base = scaled_to(k->base, k->base_y);
}

static wm_status make_prior(prior *k, const wm_gray_input *input, wm_error *err)
{
    k->gray = input->gray_swatch ? wm_rgb_scale(*input->gray_swatch, SWATCH_DARKER) : wm_lab_to_rgb(GRAY_PRIOR);
    k->gray_tau = input->gray_swatch ? SWATCH_TAU : GRAY_TAU;
    k->gray_y = wm_rgb_luminance(k->gray);
    if (!(k->gray_y > 0.0))
        return wm_fail(err, WM_E_USAGE, "the gray swatch is black; choose a gray one");
    return WM_OK;
}

static void referenced_base(prior *k, wm_rgb reference)
{
    k->base = floored(reference, 0.001);
    k->base_y = fmax(wm_rgb_luminance(k->base), DARKEST_BASE);
    k->base_tau = REFERENCE_TAU;
    k->base_doubt = REFERENCE_DOUBT;
}

/* ---- G6: gaps and body colour
 * ---------------------------------------------------------------------------------------------- */

/* Sums about the first value, which keep the digits. */
typedef struct lab_sums {
    bool any;
    wm_lab first;
    double sum[3], squares[3];
} lab_sums;

static void add_lab(lab_sums *s, wm_lab lab)
{
    if (!s->any)
        s->first = lab;
    s->any = true;
    const double d[3] = { lab.L - s->first.L, lab.a - s->first.a, lab.b - s->first.b };
    for (int c = 0; c < 3; c++) {
        s->sum[c] += d[c];
        s->squares[c] += d[c] * d[c];
    }
}

static wm_lab sd_of_lab(const pixels *p, double low, size_t count)
{
    enum { RUN = 256 };
    wm_rgb run[RUN];
    wm_lab labs[RUN];
    lab_sums s = { 0 };
    double n = (double)count, sd[3] = { 0 };
    for (size_t i = 0; i < p->count;) {
        size_t filled = 0;
        for (; i < p->count && filled < RUN; i++)
            if (p->luminance[i] >= low)
                run[filled++] = p->all[i * p->stride];
        wm_rgb_to_lab_batch(labs, run, filled);
        for (size_t k = 0; k < filled; k++)
            add_lab(&s, labs[k]);
    }
    for (int c = 0; c < 3 && count > 1; c++)
        sd[c] = sqrt(fmax(s.squares[c] - s.sum[c] * s.sum[c] / n, 0.0) / (n - 1.0));
    return (wm_lab){ sd[0], sd[1], sd[2] };
}

static double gap_limit(const pixels *p, const prior *k, const wm_gray *marked)
{
    double h[BINS];
    if (marked)
        return marked->base_gap_y;
    make_histogram(h, p, -INFINITY);
    return GAP_BELOW * fit_mixture(h, k, NULL).base_y;
}

/* Pixels of the whole zone, not of every second one. */
static size_t count_from(const wm_gray_input *input, const pixels *p, double low)
{
    size_t count = 0;
    if (p->stride == 1) {
        for (size_t i = 0; i < p->count; i++)
            count += p->luminance[i] >= low;
        return count;
    }
    for (size_t i = 0; i < input->count; i++)
        count += wm_rgb_luminance(input->pixels[i]) >= low;
    return count;
}

/* The base and the gaps below it. A reference under which half of the zone would be gaps is no base of this hair (a
 * lighter length as reference of a dark root): our own limit, the rules are silent. Then the zone is measured blind. */
static wm_status find_gaps(wm_gray *g, prior *k, const wm_gray_input *input, const pixels *p, wm_error *err)
{
    if (input->reference) {
        referenced_base(k, *input->reference);
        g->gap_below_y = gap_limit(p, k, input->marked);
        g->reference_refused =
            input->marked ? input->marked->reference_refused : 2 * count_from(input, p, g->gap_below_y) < input->count;
    }
    g->blind = !input->reference || g->reference_refused;
    if (g->blind) {
        blind_base(k, p);
        g->gap_below_y = gap_limit(p, k, input->marked);
    }
    g->base_gap_y = g->gap_below_y;
    return count_from(input, p, g->gap_below_y)
               ? WM_OK
               : luminance_at(p, 0, &g->gap_below_y, err); /* black all over: no gaps */
}

/* A mean of so many kept pixels, with the blown-out ones that follow them. */
static wm_rgb with_burnt(wm_rgb mean, const wm_gray_input *input, size_t kept)
{
    const double all = (double)(kept + input->burnt);
    wm_rgb sum = wm_rgb_scale(mean, (double)kept / all);
    for (size_t i = input->count; i < input->count + input->burnt; i++)
        sum = wm_rgb_add(sum, wm_rgb_scale(input->pixels[i], 1.0 / all));
    return sum;
}

/* Blown-out pixels hold as much gray as the brightest that is seen, and at least their own light. */
static void add_burnt(wm_gray *g, const wm_gray_input *input)
{
    double mu[NODES], sd[NODES], share = 0.0, part = (double)input->burnt / (double)(g->kept + input->burnt);
    place_nodes(&g->mixture, mu, sd);
    for (size_t i = input->count; i < input->count + input->burnt; i++) {
        const posterior p =
            weigh_nodes(&g->mixture, mu, sd, log(fmax(wm_rgb_luminance(input->pixels[i]), HISTOGRAM[0])));
        for (int j = 0; j < NODES; j++)
            share += p.share[j] * node(j) / (double)input->burnt;
    }
    g->body = with_burnt(g->body, input, g->kept);
    g->mixture_share = (1.0 - part) * g->mixture_share + part * share;
    g->mixture.pure_base *= 1.0 - part;
    g->mixture.pure_gray = (1.0 - part) * g->mixture.pure_gray + part * share;
}

/* The mixture once more without the gaps, from the same start. */
static void find_body(wm_gray *g, const prior *k, const wm_gray_input *input, const pixels *p)
{
    double h[BINS];
    make_histogram(h, p, g->gap_below_y);
    g->mixture = fit_mixture(h, k, input->marked ? &input->marked->mixture : NULL);
    g->mixture_share = mixture_share(&g->mixture);
    size_t used = mean_between(p, g->gap_below_y, INFINITY, &g->body);
    if (!input->without_sd)
        g->body_sd = sd_of_lab(p, g->gap_below_y, used);
    g->kept = count_from(input, p, g->gap_below_y);
    g->gap_share = 1.0 - (double)g->kept / (double)input->count;
    if (input->burnt)
        add_burnt(g, input);
}

/* Share of gray that a bin's pixels are likely to hold. */
static double share_in_bin(const wm_gray_mixture *m, const double mu[NODES], const double sd[NODES], int bin)
{
    const posterior p = weigh_nodes(m, mu, sd, bin_centre(bin));
    double share = 0.0;
    for (int j = 0; j < NODES; j++)
        share += p.share[j] * node(j);
    return share;
}

/* G8: what the dark pixels hold of gray is taken off the base's hue, as the mixture takes it off its level: their
 * colour and the body's, of known shares both, lie on the line from base to gray. A reference tells the hue itself. */
static void unmix_base(wm_gray *g, const pixels *p)
{
    const wm_gray_mixture *m = &g->mixture;
    const double low = g->gap_below_y, high = DARK_PART * g->dark_y;
    double mu[NODES], sd[NODES], of_bin[BINS], light = 0.0, gray = 0.0;
    wm_rgb dark = { 0.0, 0.0, 0.0 };
    unsigned char last;
    if (!g->blind)
        return;
    bins_of(&last, &high, 1);
    place_nodes(m, mu, sd);
    for (int i = 0; i <= last; i++)
        of_bin[i] = share_in_bin(m, mu, sd, i);
    for (size_t i = 0; i < p->count; i++)
        if (p->luminance[i] >= low && p->luminance[i] <= high) {
            const double share = of_bin[p->bin[i]],
                         lit = p->luminance[i] / ((1.0 - share) * m->base_y + share * m->gray_y);
            dark = wm_rgb_add(dark, p->all[i * p->stride]);
            light += lit;
            gray += lit * share;
        }
    const double of_body = gray / fmax(light * g->mixture_share, 1e-300);
    if (light > 0.0 && of_body < 1.0)
        g->base = scaled_to(floored(less(wm_rgb_scale(dark, 1.0 / light), of_body, g->body), 1e-6), m->base_y);
}

/* ---- G7 to G10
 * ------------------------------------------------------------------------------------------------------------- */

/* Bleached fibres are lighter but keep their colour; what they hold of the share goes. */
static double share_without_bleach(wm_gray *g)
{
    wm_rgb rest = less(g->body, 1.0 - g->mixture_share, g->base);
    if (g->mixture_share <= BLEACH_ASKED || wm_rgb_luminance(rest) <= 1e-4)
        return g->mixture_share;
    g->index_rest = chromatic_index(rest);
    g->hue_apart = warmth(g->base) - warmth(rest);
    return g->mixture_share * clamp((BLEACH_INDEX - g->index_rest) / BLEACH_WIDTH, 0.0, 1.0);
}

static void find_share(wm_gray *g, const prior *k)
{
    const wm_gray_mixture *m = &g->mixture;
    g->base = scaled_to(k->base, m->base_y);
    g->index_rest = chromatic_index(k->gray);
    g->hue_apart = warmth(g->base) - warmth(k->gray);
    g->share = share_without_bleach(g);
    g->bleached = g->mixture_share - g->share > BLEACH_SAID;
    g->base_never_seen = m->pure_base < BASE_UNSEEN;
    g->contrast = m->gray_y / m->base_y;

    double unseen = fmax(g->mixture_share - m->pure_gray, 0.0);
    double base_doubt = k->base_doubt * (1.0 - g->mixture_share) / (g->contrast - 1.0);
    g->u_share = sqrt(LEAST_DOUBT * LEAST_DOUBT + square(UNSEEN_DOUBT * unseen) + square(LEVEL_DOUBT * base_doubt));
}

/* G8: what the body holds beside its base, hue and level, as far as there is enough of it; the mixture's own level lies
 * where most gray pixels lie, below their mean. Lighter, coloured fibres are in that rest too: with them only the hue
 * is taken from it. */
static void find_gray_colour(wm_gray *g, const prior *k)
{
    wm_rgb of_prior = scaled_to(k->gray, 1.0), seen = of_prior;
    wm_rgb rest = less(g->body, 1.0 - fmax(g->share, 0.001), g->base);
    double y = wm_rgb_luminance(rest), trust = 0.0;
    if (y > 0.001) {
        trust = g->share * g->share / (g->share * g->share + OWN_GRAY_TRUST);
        seen = wm_rgb_scale(rest, 1.0 / y);
        seen = (wm_rgb){ clamp(seen.r, GRAY_HUE[0], GRAY_HUE[1]), clamp(seen.g, GRAY_HUE[0], GRAY_HUE[1]),
                         clamp(seen.b, GRAY_HUE[0], GRAY_HUE[1]) };
        seen = scaled_to(seen, 1.0);
    }
    const double level = g->bleached ? g->mixture.gray_y : y / fmax(g->share, 0.001);
    g->gray = wm_rgb_add(wm_rgb_scale(seen, trust * level), wm_rgb_scale(of_prior, (1.0 - trust) * g->mixture.gray_y));
}

/* G9: no contrast, too wide an interval, or sheen that may pass for gray. */
static bool is_resolved(const wm_gray *g, const wm_gray_input *input)
{
    return g->contrast >= RESOLVED_CONTRAST && g->u_share <= RESOLVED_DOUBT && !input->sheen_everywhere;
}

static wm_gray_status status_of(const wm_gray *g, bool resolved, size_t zone_pixels)
{
    if (g->kept < FEWEST_GRAY_PIXELS || (double)g->kept < FEWEST_OF_ZONE * (double)zone_pixels)
        return WM_GRAY_NOT_MEASURED;
    if (!resolved)
        return WM_GRAY_NOT_RESOLVED;
    if (g->share < NONE_BELOW)
        return WM_GRAY_NONE_SEEN;
    return g->share < SHARE_INTERVAL * g->u_share ? WM_GRAY_LOW : WM_GRAY_MEASURED;
}

static void judge_base(wm_gray *g, bool resolved)
{
    bool seen = g->mixture.pure_base >= BASE_SEEN && (!g->blind || resolved);
    g->base_status = seen ? WM_POPULATION_MEASURED : g->blind ? WM_POPULATION_UNKNOWN : WM_POPULATION_ASSUMED;
    g->base_doubt_L = BASE_DOUBT * g->share;
}

static void judge_gray(wm_gray *g)
{
    bool seen = g->mixture.pure_gray >= GRAY_SEEN;
    g->gray_status = g->share < NONE_BELOW ? WM_POPULATION_NONE : seen ? WM_POPULATION_MEASURED : WM_POPULATION_ASSUMED;
    g->gray_doubt_L = GRAY_DOUBT * (1.0 - g->share);
}

static void say_only_what_is_resolved(wm_gray *g, bool resolved)
{
    judge_base(g, resolved);
    if (!resolved)
        g->gray_status = WM_POPULATION_UNKNOWN;
    if (g->status == WM_GRAY_NOT_MEASURED)
        g->base_status = g->gray_status = WM_POPULATION_UNKNOWN;
}

static void judge(wm_gray *g, const wm_gray_input *input)
{
    bool resolved = is_resolved(g, input);
    g->status = status_of(g, resolved, input->zone_pixels ? input->zone_pixels : input->count + input->burnt);
    judge_gray(g);
    say_only_what_is_resolved(g, resolved);
    wm_rgb together = wm_rgb_add(wm_rgb_scale(g->base, 1.0 - g->share), wm_rgb_scale(g->gray, g->share));
    g->closure_de00 = wm_de00(wm_rgb_to_lab(together), wm_rgb_to_lab(g->body));
}

wm_status wm_gray_prepare(wm_gray_pixels **out, const wm_rgb *all, size_t count, wm_error *err)
{
    if (count == 0)
        return wm_fail(err, WM_E_INPUT,
                       "no pixel of a zone is left to measure; mark it where the hair is lit and in focus");
    pixels *p = calloc(1, sizeof *p);
    wm_status status = p ? take_pixels(p, all, count, count > EVERY_SECOND_ABOVE ? 2 : 1, err) : wm_fail_memory(err);
    if (!status && !(p->bin = malloc(p->count)))
        status = wm_fail_memory(err);
    if (!status) {
        bins_of(p->bin, p->luminance, p->count);
        status = luminance_at(p, (size_t)(DARK_QUANTILE * (double)p->count), &p->dark_y, err);
    }
    if (status)
        wm_gray_pixels_free(p);
    else
        *out = p;
    return status;
}

void wm_gray_pixels_free(wm_gray_pixels *p)
{
    if (!p)
        return;
    free(p->luminance);
    free(p->bin);
    free(p);
}

/* The brighter pixels have the colour of hair that has pigment, some or all, and the darker ones may be its shade. */
static bool may_be_shade(const wm_gray *g)
{
    return g->bleached || g->index_rest > GRAY_INDEX + HUE_COUNTS * fmax(g->hue_apart, 0.0) ||
           (g->hue_apart < OWN_HUE && g->contrast < MORE_THAN_SHADE);
}

/* G6: how sure what passes for the base is the dark between the locks of the hair that most pixels show. */
static double surely_gaps(const wm_gray *g)
{
    const bool may_be = GAP_BELOW * g->contrast > 1.0 && g->hue_apart < SHADE_WARMER && may_be_shade(g);
    return may_be ? clamp((g->mixture_share - MOST_OF_HAIR[0]) / (MOST_OF_HAIR[1] - MOST_OF_HAIR[0]), 0.0, 1.0) : 0.0;
}

/* G6: that hair's colour lies above the gaps, as far as they are gaps; what is not sure is in doubt. */
static void leave_out_gaps(wm_gray *g, const wm_gray_input *input, const pixels *p)
{
    const double sure = input->in_locks ? surely_gaps(g) : 0.0, low = GAP_BELOW * g->mixture.gray_y;
    wm_rgb hair;
    const size_t used = sure > 0.0 ? mean_between(p, low, INFINITY, &hair) : 0;
    if (!used)
        return;
    hair = with_burnt(hair, input, count_from(input, p, low));
    g->body_doubt_L = sqrt(sure * (1.0 - sure)) * fabs(wm_rgb_to_lab(hair).L - wm_rgb_to_lab(g->body).L);
    g->body = wm_rgb_add(wm_rgb_scale(g->body, 1.0 - sure), wm_rgb_scale(hair, sure));
    if (sure < 0.5)
        return;
    g->gap_below_y = low;
    if (!input->without_sd)
        g->body_sd = sd_of_lab(p, low, used);
    g->kept = count_from(input, p, low);
    g->gap_share = 1.0 - (double)g->kept / (double)input->count;
}

static wm_status measure_prepared(wm_gray *out, const wm_gray_input *input, const pixels *p, wm_error *err)
{
    wm_gray g = { .dark_y = dark_y_of(p) };
    prior k = { 0 };
    wm_status status = make_prior(&k, input, err);
    if (!status)
        status = find_gaps(&g, &k, input, p, err);
    if (status)
        return status;
    find_body(&g, &k, input, p);
    find_share(&g, &k);
    unmix_base(&g, p);
    find_gray_colour(&g, &k);
    judge(&g, input);
    leave_out_gaps(&g, input, p);
    *out = g;
    return WM_OK;
}

wm_status wm_gray_measure(wm_gray *out, const wm_gray_input *input, wm_error *err)
{
    wm_gray_pixels *own = NULL;
    if (input->prepared)
        return measure_prepared(out, input, input->prepared, err);
    wm_status status = wm_gray_prepare(&own, input->pixels, input->count, err);
    if (!status)
        status = measure_prepared(out, input, own, err);
    wm_gray_pixels_free(own);
    return status;
}

/* ---- G4, G7a, G9: gray against light on the hair
 * --------------------------------------------------------------------------------- */

static const double DARK_OVER_LIGHT = 0.36;    /* G9 */
static const double SIDE_BY_SIDE = 0.55;       /* G9 */
static const double ALL_OVER_LIGHTNESS = 48.0; /* G9 */
static const double ALL_OVER_INDEX = 0.42;     /* G9 */
static const double ALL_OVER_WARMER = 0.16;    /* G9 */
static const double ALL_OVER_UNEVEN = 0.65;    /* G9 */
static const double REFERENCE_LIGHT = 1.6;     /* G4 */
static const double UNEVEN_HAIR = 0.60;        /* G4 */
static const double GRAY_IN_THE_DARK = 0.55;   /* G4 */
static const double REFERENCE_GRAY = 0.12;     /* G4 */

static bool is_lit(unsigned char flags)
{
    return (flags & WM_PX_ZONE) && !(flags & (WM_PX_CLIPPED | WM_PX_NOT_HAIR));
}

/* Pixels by their luminance, in steps of its root. */
enum { SHADES = 256 };
typedef struct shades {
    size_t count[SHADES], all;
    wm_rgb sum[SHADES];
} shades;

static void add_shade(shades *s, wm_rgb pixel)
{
    const double at = sqrt(fmax(wm_rgb_luminance(pixel), 0.0)) * (SHADES - 1);
    const int i = at < SHADES - 1 ? (int)at : SHADES - 1;
    s->count[i]++;
    s->all++;
    s->sum[i] = wm_rgb_add(s->sum[i], pixel);
}

/* Sum of so many of the darkest pixels, of the step where they end a part. */
static wm_rgb sum_of_darkest(const shades *s, double most)
{
    wm_rgb sum = { 0.0, 0.0, 0.0 };
    for (int i = 0; i < SHADES && most > 0.0; i++) {
        const double count = (double)s->count[i];
        if (count > 0.0)
            sum = wm_rgb_add(sum, wm_rgb_scale(s->sum[i], fmin(most / count, 1.0)));
        most -= count;
    }
    return sum;
}

wm_hair_light wm_hair_light_of(const wm_window *window)
{
    const size_t count = (size_t)window->box.width * (size_t)window->box.height;
    wm_hair_light light = { .dark_index = 1.0 };
    shades s = { .all = 0 };
    for (size_t i = 0; i < count; i++)
        if (is_lit(window->flags[i]))
            add_shade(&s, window->linear[i]);
    if (s.all < 4)
        return light;
    const double all = (double)s.all;
    const wm_rgb sum = sum_of_darkest(&s, all), dark = sum_of_darkest(&s, all / 4.0),
                 others = sum_of_darkest(&s, all * 3.0 / 4.0);
    light.dark_index = chromatic_index(floored(dark, 1e-9));
    light.dark_warmer = warmth(dark) - warmth(less(sum, 1.0, others));
    light.lightness = wm_rgb_to_lab(wm_rgb_scale(sum, 1.0 / all)).L;
    return light;
}

wm_status wm_hair_light_cells(wm_hair_light *light, const wm_window *window, double direction_rad, wm_error *err)
{
    return light->cells ? WM_OK : wm_window_lit_cells(&light->cells, window, direction_rad, err);
}

void wm_hair_light_free(wm_hair_light *light)
{
    wm_lit_cells_free(light->cells);
    *light = (wm_hair_light){ 0 };
}

wm_gray_light wm_gray_light_of(const wm_gray *gray, const wm_hair_light *light)
{
    wm_gray_light out = { { 0 }, light->dark_index, light->dark_warmer, light->lightness };
    if (light->cells)
        out.thirds = wm_lit_cells_thirds(light->cells, sqrt(gray->mixture.base_y * gray->mixture.gray_y));
    return out;
}

/* Gray fibres lie in the dark cells too, and beside base in every cell; light is bright where it falls. */
static bool may_be_light(const wm_gray_light *light)
{
    const wm_thirds *t = &light->thirds;
    return !t->known || t->dark < DARK_OVER_LIGHT * t->light || t->within < SIDE_BY_SIDE;
}

/* As hair that is gray all over is; where light is uneven, that light can be it. */
static bool is_pale(const wm_gray_light *light)
{
    return light->lightness >= ALL_OVER_LIGHTNESS && light->dark_index < ALL_OVER_INDEX &&
           light->dark_warmer < ALL_OVER_WARMER;
}

bool wm_gray_asks_cells(const wm_gray *g, const wm_hair_light *light)
{
    const wm_gray_light alone = { { 0 }, light->dark_index, light->dark_warmer, light->lightness };
    return g->status == WM_GRAY_MEASURED || g->bleached || is_pale(&alone);
}

wm_gray_status wm_gray_settled_status(const wm_gray *g, const wm_gray_light *light)
{
    const wm_thirds *t = &light->thirds;
    const bool untold = (g->status >= WM_GRAY_NONE_SEEN && g->bleached) ||
                        (g->status == WM_GRAY_MEASURED && (may_be_light(light) || may_be_shade(g)));
    const wm_gray_status status = untold ? WM_GRAY_NOT_RESOLVED : g->status;
    const bool pale = is_pale(light) && (!t->known || t->spread < ALL_OVER_UNEVEN);
    return pale && status != WM_GRAY_NOT_MEASURED && status != WM_GRAY_MEASURED ? WM_GRAY_ALL_OVER : status;
}

void wm_gray_settle(wm_gray *g, const wm_gray_light *light)
{
    /* lighter fibres run along the hair as gray ones do, and nothing is said of what is no mixture */
    g->bleached = g->bleached && g->status >= WM_GRAY_NONE_SEEN && !may_be_light(light);
    g->status = wm_gray_settled_status(g, light);
    say_only_what_is_resolved(g, g->status >= WM_GRAY_NONE_SEEN);
}

static bool in_same_light(wm_rgb reference, double dark_y)
{
    const double ratio = dark_y / fmax(wm_rgb_luminance(reference), 1e-9);
    return ratio <= REFERENCE_LIGHT && ratio >= 1.0 / REFERENCE_LIGHT;
}

bool wm_gray_in_its_light(const wm_gray_pixels *p, wm_rgb reference)
{
    return in_same_light(reference, dark_y_of(p));
}

wm_rgb wm_gray_reference_for(wm_rgb reference, const wm_gray *blind, const wm_gray_light *light)
{
    const wm_thirds *t = &light->thirds;
    const bool gray_shows = t->dark >= GRAY_IN_THE_DARK && t->spread < UNEVEN_HAIR && !may_be_light(light);
    return in_same_light(reference, blind->dark_y) || gray_shows || !(wm_rgb_luminance(reference) > 0.0)
               ? reference
               : scaled_to(reference, blind->dark_y);
}

bool wm_gray_is_free(const wm_gray *blind)
{
    return !(blind->status == WM_GRAY_ALL_OVER || (blind->status == WM_GRAY_MEASURED && blind->share > REFERENCE_GRAY));
}

/* ---- the picture of what counts as what
 * ------------------------------------------------------------------------------------ */

/* Share of gray that a bin's pixels are likely to hold, cut as the bleach test cut the whole. */
static double bin_share(const wm_gray *g, int bin)
{
    double mu[NODES], sd[NODES];
    if (g->status <= WM_GRAY_NONE_SEEN || g->mixture_share <= 0.0)
        return 0.0;
    place_nodes(&g->mixture, mu, sd);
    return share_in_bin(&g->mixture, mu, sd, bin) * g->share / g->mixture_share;
}

static unsigned char dropped_class(unsigned char flags)
{
    if (!(flags & WM_PX_ZONE))
        return WM_CLASS_OUTSIDE;
    if (flags & WM_PX_CLIPPED)
        return WM_CLASS_CLIPPED;
    if (flags & WM_PX_NOT_HAIR)
        return flags & WM_PX_SKIN ? WM_CLASS_SKIN : WM_CLASS_BACKGROUND;
    if (flags & WM_PX_SHEEN)
        return WM_CLASS_SHEEN;
    return flags & WM_PX_SHADOW ? WM_CLASS_GAP : WM_CLASS_BASE;
}

void wm_gray_classify(const wm_window *window, const wm_gray *gray, unsigned char *classes)
{
    unsigned char of_bin[BINS];
    size_t count = (size_t)window->box.width * (size_t)window->box.height;
    for (int i = 0; i < BINS; i++) {
        double share = bin_share(gray, i);
        of_bin[i] = share >= 0.75 ? WM_CLASS_GRAY : share >= 0.25 ? WM_CLASS_MIXED : WM_CLASS_BASE;
    }
    for (size_t i = 0; i < count; i++) {
        classes[i] = dropped_class(window->flags[i]);
        if (classes[i] != WM_CLASS_BASE)
            continue;
        const double y = wm_rgb_luminance(window->linear[i]);
        unsigned char bin;
        bins_of(&bin, &y, 1);
        classes[i] = y < gray->gap_below_y ? WM_CLASS_GAP : of_bin[bin];
    }
}
