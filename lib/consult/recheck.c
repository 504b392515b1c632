#include "consult/recheck.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/goals.h"
#include "match/shades.h"
#include "report/json_out.h"

const char *wm_recheck_held_name(wm_recheck_held held)
{
    static const char *const WORDS[] = { "installed", "proposed", "unknown", NULL };
    return wm_word_of(WORDS, held);
}

/* One visit, ready to be judged without its report. */
typedef struct task {
    wm_layers_goal goal;
    wm_swatch held[WM_MAX_LAYERS]; /* shades of result.held */
    wm_worn worn;
    wm_rechecked result;
    wm_status status;
    wm_error error;
} task;

typedef struct pool {
    const wm_recheck_input *in;
    const wm_shades *shades;
    task *tasks;
    size_t count, next, done;
    pthread_mutex_t lock;
} pool;

/* --- preparing a visit
 * ---------------------------------------------------------------------------------------------------------- */

/* The shade as the new catalogue knows it, else as the report kept it. */
static bool held_shade(wm_swatch *out, const char *code, const wm_catalogue *catalogue, const wm_report *report)
{
    const wm_swatch *known = wm_catalogue_find(catalogue, code);
    if (known) {
        *out = *known;
        return true;
    }
    for (size_t i = 0; i < report->ranking_count; i++)
        for (size_t k = 0; k < report->rankings[i].count; k++)
            if (strcmp(report->rankings[i].items[k].code, code) == 0) {
                *out = wm_swatch_new(code, report->rankings[i].items[k].name, report->rankings[i].items[k].lab);
                return true;
            }
    return false;
}

/* False when there is no layer, or one of a shade that neither the catalogue nor the report knows. */
static bool take_held(task *t, const wm_stack *stack, const wm_catalogue *catalogue, const wm_report *report)
{
    t->result.held = *stack;
    for (size_t i = 0; i < stack->count; i++)
        if (!held_shade(&t->held[i], stack->layers[i].code, catalogue, report))
            return false;
    return stack->count > 0;
}

static void choose_held(task *t, const wm_visit *visit, const wm_report *report, const wm_catalogue *catalogue)
{
    wm_stack proposed;
    t->result.held_by = WM_HELD_UNKNOWN;
    if (visit->installed.count) {
        if (take_held(t, &visit->installed, catalogue, report))
            t->result.held_by = WM_HELD_INSTALLED;
    } else if (report->proposal_count) {
        wm_report_stack(&proposed, &report->proposals[0]);
        if (take_held(t, &proposed, catalogue, report))
            t->result.held_by = WM_HELD_PROPOSED;
    }
}

/* What the row has to look like (M9). */
static wm_status goal_of(wm_layers_goal *out, const wm_report *report, wm_error *err)
{
    wm_goals goals;
    wm_status status = wm_goals_of(&goals, report, NULL, false, err);
    if (status)
        return status;
    *out = goals.row;
    wm_goals_free(&goals);
    return WM_OK;
}

static wm_status prepare(task *t, const wm_recheck_input *in, int64_t id, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? wm_book_visit_load(&visit, in->book, id, err) : wm_fail_memory(err);
    if (!status)
        status = wm_report_from_json(report, (const char *)visit.report_json.data, visit.report_json.size,
                                     "the saved visit", err);
    if (!status)
        status = goal_of(&t->goal, report, err);
    if (!status) {
        t->worn = report->worn;
        t->result.visit_id = id;
        t->result.claim = t->goal.target.claim;
        snprintf(t->result.client, sizeof t->result.client, "%s", report->client);
        snprintf(t->result.date, sizeof t->result.date, "%s", visit.date);
        choose_held(t, &visit, report, in->catalogue);
    }
    if (report)
        wm_report_free(report);
    free(report);
    wm_visit_free(&visit);
    return status;
}

/* --- judging it
 * -------------------------------------------------------------------------------------------------------------------
 */

static wm_status judge(task *t, const pool *p)
{
    const wm_settings *s = p->in->settings;
    wm_layers_settings look = { wm_hair_law_of(s->blend_g), s->area_weights, s->verdict, s->max_layers, t->worn, 1 };
    wm_proposals *found = calloc(1, sizeof *found);
    wm_proposal held;
    const wm_swatch *layers[WM_MAX_LAYERS];
    wm_status status =
        found ? wm_layers_search(found, p->shades, &t->goal, &look, &t->error) : wm_fail_memory(&t->error);
    if (!status) {
        const wm_proposal *best = &found->items[0];
        for (int i = 0; i < best->layer_count; i++)
            wm_stack_add(&t->result.best, best->layers[i]->code);
        t->result.best_de00 = best->worst_de00;
        t->result.verdict = best->verdict;
        for (size_t i = 0; i < t->result.held.count; i++)
            layers[i] = &t->held[i];
        if (t->result.held_by != WM_HELD_UNKNOWN) {
            wm_layers_judge(&held, layers, t->result.held.count, &t->goal, &look);
            t->result.held_de00 = held.worst_de00;
            t->result.gain = wm_layers_gain(&held, best, &t->goal, &look);
        }
    }
    free(found);
    return status;
}

static void *work(void *user)
{
    pool *p = user;
    for (;;) {
        pthread_mutex_lock(&p->lock);
        size_t i = p->next++;
        pthread_mutex_unlock(&p->lock);
        if (i >= p->count)
            return NULL;
        p->tasks[i].status = judge(&p->tasks[i], p);
        pthread_mutex_lock(&p->lock);
        p->done++;
        if (p->in->progress)
            p->in->progress(p->in->user, p->done, p->count);
        pthread_mutex_unlock(&p->lock);
    }
}

/* The calling thread works too, so that a thread which can't be started costs only time. */
static void run(pool *p)
{
    enum { MOST = 64 };
    pthread_t threads[MOST];
    int started = 0, wanted = p->in->jobs - 1 < MOST ? p->in->jobs - 1 : MOST;
    while (started < wanted && (size_t)started + 1 < p->count && pthread_create(&threads[started], NULL, work, p) == 0)
        started++;
    work(p);
    while (started > 0)
        pthread_join(threads[--started], NULL);
}

static int by_gain(const void *left, const void *right)
{
    const wm_rechecked *a = left, *b = right;
    if (a->gain.earned != b->gain.earned)
        return a->gain.earned ? -1 : 1;
    if ((a->held_by == WM_HELD_UNKNOWN) != (b->held_by == WM_HELD_UNKNOWN))
        return a->held_by == WM_HELD_UNKNOWN ? 1 : -1;
    if (a->gain.de00 > b->gain.de00 || a->gain.de00 < b->gain.de00)
        return a->gain.de00 > b->gain.de00 ? -1 : 1;
    int names = strcmp(a->client, b->client);
    return names ? names : a->visit_id < b->visit_id ? -1 : a->visit_id > b->visit_id;
}

static wm_status judge_all(wm_rechecked **out, task *tasks, size_t count, const wm_recheck_input *in, wm_error *err)
{
    wm_shades shades = { 0 };
    wm_filter none = { 0 };
    wm_rechecked *results = calloc(count + 1, sizeof *results);
    wm_status status = results ? wm_shades_of(&shades, in->catalogue, WM_SWATCH_HAIR, &none, err) : wm_fail_memory(err);
    pool p = { .in = in, .shades = &shades, .tasks = tasks, .count = count };
    if (!status && pthread_mutex_init(&p.lock, NULL) != 0)
        status = wm_fail_memory(err);
    else if (!status) {
        run(&p);
        pthread_mutex_destroy(&p.lock);
    }
    for (size_t i = 0; i < count && !status; i++) {
        status = tasks[i].status;
        if (status && err)
            *err = tasks[i].error;
        results[i] = tasks[i].result;
    }
    wm_shades_free(&shades);
    if (status) {
        free(results);
        return status;
    }
    qsort(results, count, sizeof *results, by_gain);
    *out = results;
    return WM_OK;
}

wm_status wm_recheck(wm_rechecked **out, size_t *count, const wm_recheck_input *input, wm_error *err)
{
    int64_t *ids = NULL;
    size_t n = 0;
    task *tasks = NULL;
    wm_status status = wm_book_visit_ids(&ids, &n, input->book, 0, err);
    if (!status && !(tasks = calloc(n + 1, sizeof *tasks)))
        status = wm_fail_memory(err);
    for (size_t i = 0; i < n && !status; i++)
        status = prepare(&tasks[i], input, ids[i], err);
    if (!status)
        status = judge_all(out, tasks, n, input, err);
    if (!status)
        *count = n;
    free(tasks);
    free(ids);
    return status;
}
