#include "consult/recheck.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/heads.h"
#include "consult/saved.h"
#include "core/parallel.h"
#include "match/decision.h"

enum { SHADES_WORN = sizeof((wm_recheck_codes *)0)->codes / WM_CODE_SIZE };

const char *wm_recheck_held_name(wm_recheck_held held)
{
    static const char *const WORDS[] = { "installed", "proposed", "unknown", NULL };
    return wm_word_of(WORDS, held);
}

/* One visit, ready to be judged without its report. */
typedef struct opened {
    wm_head_zone zones[WM_HEAD_ZONES];
    size_t zone_count;
    wm_placed_row rows[WM_MAX_ROWS];
    size_t row_count;
    wm_worn worn;
    wm_wears wears;
    wm_swatch shades[SHADES_WORN]; /* of what she wears */
    size_t shade_count;
} opened;

typedef struct task {
    int64_t id;
    char client[sizeof((wm_rechecked *)0)->client];
    wm_rechecked result;
    bool unmeasured; /* no zone of hers has a colour */
    wm_status status;
    wm_error error;
} task;

/* What visits are judged against. */
typedef struct against {
    wm_shades shades;
    wm_drawn_shades drawn; /* the same */
    const wm_settings *settings;
} against;

typedef struct pool {
    const wm_recheck_input *in;
    const against *against;
    task *tasks;
    pthread_mutex_t book;
} pool;

/* --- opening a visit
 * ------------------------------------------------------------------------------------------------------------- */

/* The shade as the new catalogue knows it, else as the report kept it. */
static bool find_shade(wm_swatch *out, const char *code, const wm_catalogue *catalogue, const wm_report *report)
{
    const wm_swatch *known = wm_catalogue_find(catalogue, code);
    if (known) {
        *out = *known;
        return true;
    }
    const char *name = "";
    wm_lab lab;
    if (!wm_report_find_shade(&name, &lab, report, code))
        return false;
    *out = wm_swatch_new(code, name, lab);
    return true;
}

/* The different shades of a design, in order of first appearance. */
static void note_shades(wm_recheck_codes *out, const wm_stack *stack)
{
    const char *codes[2 * WM_MAX_LAYERS];
    const size_t count = wm_stack_shades(codes, stack);
    for (size_t i = 0; i < count; i++) {
        size_t at = 0;
        while (at < out->count && strcmp(out->codes[at], codes[i]) != 0)
            at++;
        if (at == out->count && at < sizeof out->codes / sizeof *out->codes)
            snprintf(out->codes[out->count++], WM_CODE_SIZE, "%s", codes[i]);
    }
}

static void note_design(wm_recheck_codes *out, const wm_design *design)
{
    for (size_t r = 0; r < design->row_count; r++)
        for (size_t s = 0; s < design->rows[r].count; s++)
            note_shades(out, &design->rows[r].segments[s].stack);
}

static void take_rows(opened *v, const wm_report *report)
{
    const wm_report_proposal *p = report->proposals;
    for (size_t i = 0; report->proposal_count && i < p->row_count && p->rows[i].row_cm > 0; i++)
        v->rows[v->row_count++] = (wm_placed_row){ p->rows[i].place, p->rows[i].arc_cm, p->rows[i].row_cm };
}

static void take_worn(opened *v, wm_rechecked *result, const wm_visit *visit, const wm_report *report,
                      const wm_catalogue *catalogue)
{
    wm_heads__wears(&v->wears, report, &visit->installed);
    note_shades(&result->held, &v->wears.stack);
    note_design(&result->held, &v->wears.design);
    for (size_t i = 0; i < result->held.count; i++)
        v->shade_count += find_shade(&v->shades[v->shade_count], result->held.codes[i], catalogue, report);
    result->held_by = visit->installed.count ? WM_HELD_INSTALLED
                      : result->held.count   ? WM_HELD_PROPOSED
                                             : WM_HELD_UNKNOWN;
}

static void open_report(opened *v, wm_rechecked *result, const wm_visit *visit, const wm_report *report,
                        const wm_catalogue *catalogue)
{
    v->zone_count = wm_heads__of(v->zones, report);
    v->worn = report->worn;
    take_rows(v, report);
    take_worn(v, result, visit, report, catalogue);
}

/* In brief; as a whole when neither that nor the catalogue knows a shade that she wears. */
static wm_status open_visit(opened *v, wm_rechecked *result, const wm_visit *visit, const wm_catalogue *catalogue,
                            wm_error *err)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? wm_saved_decided(report, visit, err) : wm_fail_memory(err);
    if (!status)
        open_report(v, result, visit, report, catalogue);
    if (!status && v->shade_count < result->held.count) {
        wm_report_free(report);
        *report = (wm_report){ 0 };
        *v = (opened){ 0 };
        *result = (wm_rechecked){ 0 };
        status = wm_saved_report(report, visit, err);
        if (!status)
            open_report(v, result, visit, report, catalogue);
    }
    if (!status) {
        result->visit_id = visit->id;
        snprintf(result->date, sizeof result->date, "%s", visit->date);
    }
    if (report)
        wm_report_free(report);
    free(report);
    return status;
}

/* --- judging it
 * -------------------------------------------------------------------------------------------------------------------
 */

static int layers_of(const wm_wears *wears)
{
    return (int)(wears->stack.count        ? wears->stack.count
                 : wears->design.row_count ? wears->design.rows[0].segments[0].stack.count
                                           : 0);
}

static void record(wm_rechecked *out, const wm_decision *made)
{
    const bool compared = made->wearing == WM_WEARING_STAYS || made->wearing == WM_WEARING_LEFT;
    note_design(&out->best, &made->proposal.design);
    out->best_de00 = made->proposal.far;
    out->verdict = made->proposal.verdict;
    out->claim = made->claim;
    snprintf(out->said, sizeof out->said, "%s",
             *made->wearing_why ? made->wearing_why : "what was installed is not known");
    if (!compared) {
        out->held_by = WM_HELD_UNKNOWN;
        return;
    }
    out->held_de00 = made->worn_far;
    out->gain = made->worn_gap - made->proposal.gap;
    out->better_in = made->better_in;
    out->earned = made->wearing == WM_WEARING_LEFT; /* M32 */
}

static wm_status set_against(against *out, const wm_catalogue *catalogue, const wm_settings *settings, wm_error *err)
{
    const wm_filter none = { 0 };
    against made = { .settings = settings };
    wm_status status = wm_shades_of(&made.shades, catalogue, WM_SWATCH_HAIR, &none, err);
    if (!status)
        status = wm_shades_draw(&made.drawn, made.shades.items, made.shades.count, err);
    if (status)
        wm_shades_free(&made.shades);
    else
        *out = made;
    return status;
}

static void free_against(against *a)
{
    wm_shades_free(&a->shades);
    wm_drawn_shades_free(&a->drawn);
}

static wm_status judge(wm_rechecked *out, opened *v, const against *a, wm_error *err)
{
    const wm_settings *s = a->settings;
    const wm_catalogue held = { .items = v->shades, .count = v->shade_count };
    wm_decision_input ask = WM_DECISION_INPUT_INIT;
    wm_decision *made = calloc(1, sizeof *made);
    ask.zones = v->zones;
    ask.zone_count = v->zone_count;
    memcpy(ask.rows, v->rows, sizeof ask.rows);
    ask.row_count = v->row_count;
    ask.hair = &a->shades;
    ask.drawn = &a->drawn;
    ask.catalogue = &held;
    ask.worn = v->worn;
    ask.wearing = v->wears.design.row_count ? &v->wears.design : NULL;
    ask.wearing_stack = v->wears.stack.count ? &v->wears.stack : NULL;
    ask.layers = layers_of(&v->wears);
    ask.law = wm_hair_law_of(s->blend_g);
    ask.weights = s->area_weights;
    ask.verdict = s->verdict;
    ask.max_layers = s->max_layers;
    ask.only_held = true;
    wm_status status = made ? wm_decide(made, &ask, err) : wm_fail_memory(err);
    if (!status)
        record(out, made);
    free(made);
    return status;
}

wm_status wm_recheck_installed(bool *known, double *far_de00, const wm_visit *visit, const wm_report *report,
                               const wm_settings *settings, wm_error *err)
{
    static const wm_catalogue NOTHING;
    against a = { 0 };
    wm_rechecked judged = { 0 };
    opened *v = calloc(1, sizeof *v);
    wm_status status = v ? WM_OK : wm_fail_memory(err);
    *known = false;
    if (!status)
        open_report(v, &judged, visit, report, &NOTHING);
    const wm_catalogue held = { .items = v ? v->shades : NULL, .count = v ? v->shade_count : 0 };
    if (!status && held.count && v->zone_count)
        status = set_against(&a, &held, settings, err);
    if (!status && a.shades.count) {
        status = judge(&judged, v, &a, err);
        *known = !status && judged.held_by != WM_HELD_UNKNOWN;
        *far_de00 = judged.held_de00;
    }
    free_against(&a);
    free(v);
    return status;
}

/* A visit out of the book, which one thread at a time may read. */
static void load_one(task *t, wm_visit *visit, pool *p)
{
    wm_client client;
    pthread_mutex_lock(&p->book);
    t->status = wm_book_visit_load_parts(visit, p->in->book, t->id, WM_VISIT_REPORTS, &t->error);
    if (!t->status)
        t->status = wm_book_client_load(&client, p->in->book, visit->client_id, &t->error);
    if (!t->status) /* as she is called now, which her report may not say */
        snprintf(t->client, sizeof t->client, "%s", client.name);
    pthread_mutex_unlock(&p->book);
}

static void recheck_one(task *t, const wm_visit *visit, const pool *p)
{
    opened *v = calloc(1, sizeof *v);
    t->status = v ? open_visit(v, &t->result, visit, p->in->catalogue, &t->error) : wm_fail_memory(&t->error);
    t->unmeasured = !t->status && !v->zone_count;
    if (!t->status && !t->unmeasured)
        t->status = judge(&t->result, v, p->against, &t->error);
    memcpy(t->result.client, t->client, sizeof t->client);
    free(v);
}

static void work(void *user, size_t i)
{
    pool *p = user;
    task *t = &p->tasks[i];
    wm_visit visit = { 0 };
    load_one(t, &visit, p);
    if (!t->status)
        recheck_one(t, &visit, p);
    wm_visit_free(&visit);
}

static int by_gain(const void *left, const void *right)
{
    const wm_rechecked *a = left, *b = right;
    if (a->earned != b->earned)
        return a->earned ? -1 : 1;
    if ((a->held_by == WM_HELD_UNKNOWN) != (b->held_by == WM_HELD_UNKNOWN))
        return a->held_by == WM_HELD_UNKNOWN ? 1 : -1;
    if (a->gain > b->gain || a->gain < b->gain)
        return a->gain > b->gain ? -1 : 1;
    int names = strcmp(a->client, b->client);
    return names ? names : a->visit_id < b->visit_id ? -1 : a->visit_id > b->visit_id;
}

/* Visits at which nothing was measured are left out: one of them, out of another book, must not cost all others. */
static wm_status judge_all(wm_rechecked **out, size_t *judged, task *tasks, size_t count, const wm_recheck_input *in,
                           wm_error *err)
{
    against a = { 0 };
    size_t kept = 0;
    wm_rechecked *results = calloc(count + 1, sizeof *results);
    wm_status status = results ? set_against(&a, in->catalogue, in->settings, err) : wm_fail_memory(err);
    if (!status && a.shades.count == 0)
        status = wm_fail(err, WM_E_INPUT, "the catalogue has no shade of hair; give one that has");
    pool p = { .in = in, .against = &a, .tasks = tasks, .book = PTHREAD_MUTEX_INITIALIZER };
    if (!status)
        wm_parallel_run(&(wm_parallel){ count, in->jobs, work, &p, in->progress, in->user });
    pthread_mutex_destroy(&p.book);
    for (size_t i = 0; i < count && !status; i++) {
        status = tasks[i].status;
        if (status && err)
            *err = tasks[i].error;
        results[kept] = tasks[i].result;
        kept += !tasks[i].unmeasured;
    }
    free_against(&a);
    if (status) {
        free(results);
        return status;
    }
    qsort(results, kept, sizeof *results, by_gain);
    *out = results;
    *judged = kept;
    return WM_OK;
}

wm_status wm_recheck(wm_rechecked **out, size_t *count, const wm_recheck_input *input, wm_error *err)
{
    int64_t *ids = NULL;
    size_t n = 0;
    task *tasks = NULL;
    wm_status status = input->latest ? wm_book_visit_latest(&ids, &n, input->book, err)
                                     : wm_book_visits_measured(&ids, &n, input->book, 0, err);
    if (!status && !(tasks = calloc(n + 1, sizeof *tasks)))
        status = wm_fail_memory(err);
    for (size_t i = 0; i < n && !status; i++)
        tasks[i].id = ids[i];
    if (!status)
        status = judge_all(out, count, tasks, n, input, err);
    free(tasks);
    free(ids);
    return status;
}

/* --- which shades would serve most clients --- */

static bool holds(const wm_recheck_codes *codes, const char *code)
{
    for (size_t i = 0; i < codes->count; i++)
        if (strcmp(codes->codes[i], code) == 0)
            return true;
    return false;
}

static int by_clients(const void *left, const void *right)
{
    const wm_recheck_gain *a = left, *b = right;
    return a->clients != b->clients ? (a->clients > b->clients ? -1 : 1) : strcmp(a->code, b->code);
}

wm_status wm_recheck_gains(wm_recheck_gain **out, size_t *count, const wm_rechecked *items, size_t item_count,
                           wm_error *err)
{
    wm_recheck_gain *gains = calloc(item_count * SHADES_WORN + 1, sizeof *gains);
    size_t n = 0;
    if (!gains)
        return wm_fail_memory(err);
    for (size_t i = 0; i < item_count; i++)
        for (size_t k = 0; items[i].earned && k < items[i].best.count; k++) {
            const char *code = items[i].best.codes[k];
            size_t at = 0;
            if (holds(&items[i].held, code))
                continue;
            while (at < n && strcmp(gains[at].code, code) != 0)
                at++;
            n += at == n;
            snprintf(gains[at].code, sizeof gains[at].code, "%s", code);
            gains[at].clients++;
            gains[at].gain += items[i].gain;
        }
    qsort(gains, n, sizeof *gains, by_clients);
    *out = gains;
    *count = n;
    return WM_OK;
}
