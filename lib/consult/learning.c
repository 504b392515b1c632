#include "consult/learning.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "colour/stats.h"
#include "consult/finished.h"
#include "consult/saved.h"
#include "match/mixing.h"

static const double AVOIDED_SHARE = 0.25; /* our own: taken at most that often */
static const double G_STEP = 0.01;

/* A finished zone and what was expected there. */
typedef struct finished_pair {
    size_t visit;
    wm_lab measured, expected;
    wm_lab first, second; /* the shades */
    double share;         /* of the second */
} finished_pair;

typedef struct learner {
    const wm_settings *settings;
    wm_learning out;
    finished_pair *pairs;
    double *taken, *left; /* expected dE00 of proposals */
    size_t shade_room;
} learner;

/* --- one visit --- */

static wm_place place_of(wm_zone_kind kind, wm_place said)
{
    if (said != WM_PLACE_BY_KIND)
        return said;
    return kind == WM_ZONE_GRAY ? WM_PLACE_SIDE : kind == WM_ZONE_ROOT ? WM_PLACE_CROWN : WM_PLACE_BACK; /* M26 */
}

static const wm_report_segment *segment_at(const wm_report_proposal *p, wm_place place)
{
    for (size_t r = 0; r < p->row_count; r++)
        for (size_t i = 0; i < p->rows[r].count; i++)
            if (p->rows[r].segments[i].place == place)
                return &p->rows[r].segments[i];
    return NULL;
}

static double second_share(const wm_report_segment *segment)
{
    double share = 0;
    for (size_t i = 0; i < segment->layer_count; i++)
        share += segment->layers[i].layer.second_share / (double)segment->layer_count;
    return share;
}

static wm_status note_light(learner *l, const wm_visit *visit, const wm_report *report, wm_error *err)
{
    const wm_report_proposal *p = &report->proposals[0];
    const size_t before = l->out.light.zones;
    wm_finished *finished = calloc(1, sizeof *finished);
    wm_status status =
        finished ? wm_finished_of(finished, visit, report, &l->settings->verdict, err) : wm_fail_memory(err);
    finished_pair *more =
        status || !finished->count ? NULL : realloc(l->pairs, (before + finished->count) * sizeof *more);
    if (!status && finished->count && !more)
        status = wm_fail_memory(err);
    if (more)
        l->pairs = more;
    for (size_t i = 0; !status && i < finished->count; i++) {
        const wm_finished_zone *z = &finished->zones[i];
        const wm_report_segment *segment = segment_at(p, place_of(z->kind, z->place));
        if (!segment || z->claim == WM_CLAIM_ROUGH)
            continue;
        l->pairs[l->out.light.zones++] = (finished_pair){ .visit = l->out.visits,
                                                          .measured = z->lab,
                                                          .expected = z->up ? segment->seen.up : segment->seen.down,
                                                          .first = p->shades[0].lab,
                                                          .second = p->shades[p->shade_count > 1 ? 1 : 0].lab,
                                                          .share = p->shade_count > 1 ? second_share(segment) : 0 };
    }
    l->out.light.visits += l->out.light.zones > before;
    free(finished);
    return status;
}

static wm_status note_shade(learner *l, const char *code, bool taken, wm_error *err)
{
    size_t at = 0;
    while (at < l->out.avoided_count && strcmp(l->out.avoided[at].code, code) != 0)
        at++;
    if (at == l->shade_room) {
        const size_t room = 2 * l->shade_room + 16;
        wm_learned_shade *more = realloc(l->out.avoided, room * sizeof *more);
        if (!more)
            return wm_fail_memory(err);
        l->out.avoided = more;
        l->shade_room = room;
    }
    if (at == l->out.avoided_count) {
        l->out.avoided[l->out.avoided_count++] = (wm_learned_shade){ .proposed = 0 };
        snprintf(l->out.avoided[at].code, WM_CODE_SIZE, "%s", code);
    }
    l->out.avoided[at].proposed++;
    l->out.avoided[at].taken += taken;
    return WM_OK;
}

static wm_status note_visit(learner *l, const wm_visit *visit, const wm_report *report, wm_error *err)
{
    const wm_report_proposal *p = &report->proposals[0];
    const bool as_proposed = wm_report_as_proposed(report, &visit->installed);
    wm_status status = WM_OK;
    if (as_proposed)
        l->taken[l->out.limits.taken++] = p->far;
    else
        l->left[l->out.limits.left++] = p->far;
    for (size_t i = 0; i < p->shade_count && !status; i++)
        status = note_shade(l, p->shades[i].code,
                            as_proposed || wm_stack_has_layer(&visit->installed, p->shades[i].code), err);
    if (!status && as_proposed)
        status = note_light(l, visit, report, err);
    l->out.visits++;
    return status;
}

static wm_status load_visit(learner *l, wm_book *book, int64_t id, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_report *report = NULL;
    wm_status status = wm_book_visit_load_parts(&visit, book, id, WM_VISIT_REPORTS, err);
    if (!status && visit.installed.count) {
        report = calloc(1, sizeof *report);
        status = report ? wm_saved_report(report, &visit, err) : wm_fail_memory(err);
    }
    if (!status && report && report->proposal_count)
        status = note_visit(l, &visit, report, err);
    if (report)
        wm_report_free(report);
    free(report);
    wm_visit_free(&visit);
    return status;
}

/* --- what they say together --- */

static wm_lab mixed(const finished_pair *p, double g)
{
    const wm_hair_law law = wm_hair_law_of(g);
    const wm_part parts[] = { { wm_shade_cone(p->first), 1 - p->share }, { wm_shade_cone(p->second), p->share } };
    wm_cone cone;
    return wm_mix(&cone, parts, 2, 1, &law, NULL) ? p->first : wm_cone_to_lab(cone);
}

/* What would have been expected with another law: moved as the mix of the same shades moves. */
static double misfit(const learner *l, double g)
{
    double sum = 0;
    for (size_t i = 0; i < l->out.light.zones; i++) {
        const finished_pair *p = &l->pairs[i];
        const wm_lab then = mixed(p, l->settings->blend_g), now = mixed(p, g);
        const wm_lab expected = { p->expected.L + now.L - then.L, p->expected.a + now.a - then.a,
                                  p->expected.b + now.b - then.b };
        sum += pow(wm_de00(p->measured, expected), 2);
    }
    return sum;
}

/* Within one standard deviation of the residuals: n free numbers less the one that is fitted. */
static void fit_law(learner *l)
{
    wm_learned_light *light = &l->out.light;
    double best = INFINITY;
    for (double g = WM_HAIR_LAW_LOW; g < WM_HAIR_LAW_HIGH + G_STEP / 2; g += G_STEP) {
        const double sum = misfit(l, g);
        if (sum < best) {
            best = sum;
            light->g = g;
        }
    }
    const double allowed = best * (1 + 4.0 / (double)(light->zones - 1)); /* two standard deviations */
    light->g_low = light->g_high = light->g;
    for (double g = WM_HAIR_LAW_LOW; g < WM_HAIR_LAW_HIGH + G_STEP / 2; g += G_STEP)
        if (misfit(l, g) <= allowed) {
            light->g_low = fmin(light->g_low, g);
            light->g_high = fmax(light->g_high, g);
        }
    light->other_law =
        l->settings->blend_g < light->g_low - G_STEP / 2 || l->settings->blend_g > light->g_high + G_STEP / 2;
}

static void sum_light(learner *l)
{
    wm_learned_light *light = &l->out.light;
    double sum = 0, squares = 0;
    light->known = light->zones >= WM_LEARN_ZONES && light->visits >= 2;
    for (size_t i = 0; i < light->zones; i++) {
        const double dL = l->pairs[i].measured.L - l->pairs[i].expected.L;
        sum += dL;
        squares += dL * dL;
        light->de00 += wm_de00(l->pairs[i].measured, l->pairs[i].expected) / (double)light->zones;
    }
    if (!light->known)
        return;
    const double n = (double)light->zones;
    light->dL = sum / n;
    light->u_dL = sqrt(fmax(0, squares / n - light->dL * light->dL) / (n - 1));
    fit_law(l);
}

static void sum_limits(learner *l)
{
    wm_learned_limits *limits = &l->out.limits;
    limits->known = limits->taken >= WM_LEARN_VISITS;
    limits->taken_90 = limits->taken ? wm_quantile(l->taken, limits->taken, 0.9) : -1;
    limits->left_median = limits->left ? wm_quantile(l->left, limits->left, 0.5) : -1;
}

static int by_proposed(const void *left, const void *right)
{
    const wm_learned_shade *a = left, *b = right;
    return a->proposed != b->proposed ? (a->proposed > b->proposed ? -1 : 1) : strcmp(a->code, b->code);
}

static void keep_avoided(wm_learning *out)
{
    size_t kept = 0;
    for (size_t i = 0; i < out->avoided_count; i++)
        if (out->avoided[i].proposed >= WM_LEARN_PROPOSED &&
            (double)out->avoided[i].taken <= AVOIDED_SHARE * (double)out->avoided[i].proposed)
            out->avoided[kept++] = out->avoided[i];
    out->avoided_count = kept;
    if (kept)
        qsort(out->avoided, kept, sizeof *out->avoided, by_proposed);
}

wm_status wm_learning_of(wm_learning *out, wm_book *book, const wm_settings *settings, wm_error *err)
{
    learner l = { .settings = settings };
    int64_t *ids = NULL;
    size_t count = 0;
    wm_status status = wm_book_visits_measured(&ids, &count, book, 0, err);
    if (!status) {
        l.taken = calloc(count + 1, sizeof *l.taken);
        l.left = calloc(count + 1, sizeof *l.left);
        status = l.taken && l.left ? WM_OK : wm_fail_memory(err);
    }
    for (size_t i = 0; i < count && !status; i++)
        status = load_visit(&l, book, ids[i], err);
    if (!status) {
        sum_light(&l);
        sum_limits(&l);
        keep_avoided(&l.out);
        *out = l.out;
    } else
        wm_learning_free(&l.out);
    free(l.pairs);
    free(l.taken);
    free(l.left);
    free(ids);
    return status;
}

void wm_learning_free(wm_learning *learning)
{
    free(learning->avoided);
    *learning = (wm_learning){ 0 };
}
