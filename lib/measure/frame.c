#include "measure/frame.h"

#include "colour/difference.h"
#include "colour/stats.h"

#include <math.h>
#include <string.h>

enum { OUTPUTS = 3, TERMS = 4 };
static const double LAY = 0.05;            /* C30 */
static const double SHARED_FACTOR = 1.4;   /* C30 */
static const double RELAY_RIDGE = 0.05;    /* C31 */
static const double NOT_LAID_ANEW = 0.75;  /* C31 */
static const double LAID_BADLY = 3;        /* C31 */
static const double RELAID_FLOOR = 0.3;    /* C31 */
static const double INSTRUMENT_U = 0.6;    /* C32 */
static const double JOINED_U_MOST = 2.5;   /* C33 */
static const double JOIN_SPAN = 12;        /* C33 */
static const double FRAME_CONTRAST = 0.13; /* C34 */
static const double SHEET_CHANGED = 2;     /* C35 */

static double *output_of(wm_lab *lab, int o)
{
    return o == 0 ? &lab->L : o == 1 ? &lab->a : &lab->b;
}

/* --- C30 --- */

double wm_frame_own_u(wm_krige_row row, wm_lab lab, wm_lab scatter)
{
    const wm_lab sigma = { hypot(hypot(wm_krige_zone(row, 0), scatter.L), wm_frame_lay(lab.L)),
                           hypot(wm_krige_zone(row, 1), scatter.a), hypot(wm_krige_zone(row, 2), scatter.b) };
    return wm_sigma_to_u(lab, sigma);
}

double wm_frame_factor(wm_krige_row row)
{
    return row == WM_KRIGE_GRAY || row == WM_KRIGE_THREE_CARDS ? SHARED_FACTOR : 1;
}

double wm_frame_shared_u(wm_krige_row row, wm_lab lab, const wm_kriged *kriged, double f)
{
    wm_lab sigma;
    for (int o = 0; o < OUTPUTS; o++) {
        const double zone = wm_krige_zone(row, o);
        const double shared =
            kriged ? kriged->s2 * (kriged->variance[o] - zone * zone) : wm_krige_kernel(row, o, lab, lab);
        *output_of(&sigma, o) = sqrt(fmax(shared, 0));
    }
    return f * wm_sigma_to_u(lab, sigma);
}

double wm_frame_left_u(wm_krige_row row, wm_lab lab, wm_lab sigma)
{
    for (int o = 0; o < OUTPUTS; o++) {
        double *s = output_of(&sigma, o);
        *s = sqrt(fmax(*s * *s - pow(wm_krige_zone(row, o), 2), 0));
    }
    return wm_sigma_to_u(lab, sigma);
}

double wm_frame_lay(double L)
{
    return wm_light_to_lightness(LAY, L);
}

/* --- C31 --- */

static void terms_of(double x[TERMS], wm_lab p)
{
    x[0] = 1;
    x[1] = (p.L - 45) / 25;
    x[2] = (p.a - 5) / 10;
    x[3] = (p.b - 12) / 10;
}

/* beta of one output: (X'X + ridge) beta = X' (Q - P). */
static bool fit_affine(double beta[TERMS], const wm_lab *measured, const wm_lab *frame, size_t count, int o)
{
    double normal[TERMS * TERMS] = { 0 };
    memset(beta, 0, TERMS * sizeof *beta);
    for (size_t i = 0; i < count; i++) {
        double x[TERMS];
        wm_lab p = measured[i], q = frame[i];
        terms_of(x, p);
        for (int r = 0; r < TERMS; r++) {
            beta[r] += x[r] * (*output_of(&q, o) - *output_of(&p, o));
            for (int c = 0; c < TERMS; c++)
                normal[r * TERMS + c] += x[r] * x[c];
        }
    }
    for (int r = 0; r < TERMS; r++)
        normal[r * TERMS + r] += RELAY_RIDGE;
    if (!wm_cholesky(normal, TERMS))
        return false;
    wm_cholesky_solve(normal, TERMS, beta);
    return true;
}

static wm_lab moved(wm_lab p, double beta[OUTPUTS][TERMS])
{
    double x[TERMS];
    wm_lab out = p;
    terms_of(x, p);
    for (int o = 0; o < OUTPUTS; o++)
        for (int k = 0; k < TERMS; k++)
            *output_of(&out, o) += beta[o][k] * x[k];
    return out;
}

bool wm_frame_relay(wm_relaid *out, wm_lab *measured, const wm_lab *frame, size_t count)
{
    double beta[OUTPUTS][TERMS], sum = 0;
    if (count < WM_FRAME_RELAID_LEAST)
        return false;
    for (int o = 0; o < OUTPUTS; o++)
        if (!fit_affine(beta[o], measured, frame, count, o))
            return false;
    for (size_t i = 0; i < count; i++) {
        measured[i] = moved(measured[i], beta);
        sum += pow(wm_de00(measured[i], frame[i]), 2);
    }
    out->u1 = sqrt(sum / (2 * (double)(count - TERMS)));
    out->laid_anew = out->u1 >= NOT_LAID_ANEW;
    return true;
}

double wm_frame_least_u1(void)
{
    return NOT_LAID_ANEW;
}

bool wm_frame_laid_badly(double de00, double u1)
{
    return de00 > LAID_BADLY * u1;
}

double wm_frame_mean_u(double u1, int photos)
{
    return hypot(u1 / sqrt(photos), RELAID_FLOOR);
}

/* --- C32, C33 --- */

double wm_frame_weakness(double u_de00)
{
    return fmax(u_de00 * u_de00 - INSTRUMENT_U * INSTRUMENT_U, 0);
}

bool wm_frame_join(wm_joined *out, const wm_krige_set *shared, wm_lab z)
{
    wm_kriged k;
    if (!wm_krige(&k, shared, z))
        return false;
    const wm_lab sigma = { hypot(sqrt(k.disagreement * k.variance[0]), wm_frame_lay(k.lab.L)),
                           sqrt(k.disagreement * k.variance[1]), sqrt(k.disagreement * k.variance[2]) };
    *out = (wm_joined){ k.lab, wm_sigma_to_u(k.lab, sigma), k.disagreement };
    return true;
}

bool wm_frame_spans(const wm_krige_aid *shared, size_t count)
{
    double low = INFINITY, high = -INFINITY;
    bool between = false;
    for (size_t i = 0; i < count; i++) {
        low = fmin(low, shared[i].reference.L);
        high = fmax(high, shared[i].reference.L);
    }
    for (size_t i = 0; i < count; i++) {
        const double L = shared[i].reference.L;
        between = between || (L - low >= JOIN_SPAN / 2 && high - L >= JOIN_SPAN / 2);
    }
    return count >= WM_FRAME_JOIN_LEAST && high - low >= JOIN_SPAN && between;
}

bool wm_frame_keeps(double u_de00)
{
    return u_de00 <= JOINED_U_MOST;
}

/* --- C34 --- */

double wm_frame_distance_u(double u_zone, double u_swatch, double de00)
{
    return hypot(hypot(u_zone, u_swatch), FRAME_CONTRAST * de00);
}

double wm_frame_claim_u(double u_zone, double mean_square_u)
{
    return sqrt(u_zone * u_zone + fmax(mean_square_u - INSTRUMENT_U * INSTRUMENT_U, 0));
}

/* --- C35 --- */

bool wm_frame_drifted(double de00, double u_a, double u_b)
{
    return de00 > SHEET_CHANGED * hypot(u_a, u_b);
}
