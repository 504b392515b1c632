#include "match/scenario.h"

#include <stdlib.h>
#include <string.h>

static const double RISES[5] = { 0.1, 0.2, 0.3, 0.4, 0.5 }; /* M33 */

enum { STEPS = WM_SCENARIOS - 1 };

static int compare_codes(const void *a, const void *b)
{
    return strcmp((*(const wm_swatch *const *)a)->code, (*(const wm_swatch *const *)b)->code);
}

/* The two shades that are sewn; with one so far, that one and those that could stand for her gray. */
static size_t list_shades(const wm_swatch **out, const wm_wearing *wearing, const wm_role_list *grays)
{
    size_t count = 0;
    out[count++] = wearing->first;
    if (wearing->second)
        out[count++] = wearing->second;
    for (size_t i = 0; i < grays->count && !wearing->second; i++)
        if (strcmp(grays->shades[i]->swatch->code, wearing->first->code) != 0)
            out[count++] = grays->shades[i]->swatch;
    qsort(out, count, sizeof *out, compare_codes);
    return count;
}

static wm_status take_step(wm_scenario *step, double rise, const wm_wearing *before, const wm_decided *proposal,
                           wm_error *err)
{
    wm_status status = wm_drawn_head_rise(&step->head, proposal->the_case->head, rise, err);
    if (status)
        return status;
    step->rise = rise;
    step->share = wm_drawn_head_grayest(&step->head);
    step->the_case = *proposal->the_case;
    step->the_case.head = &step->head;
    step->the_case.shades = step->shades;
    step->the_case.drawn = NULL;
    step->the_case.shade_count = list_shades(step->shades, before, &proposal->roles.of[WM_ROLE_GRAY]);
    status = wm_decided_begin(&step->decided, &step->the_case, err);
    if (!status)
        status = wm_decided_choose(&step->decided, proposal->pool_input.layers, before, err);
    return status;
}

wm_status wm_scenarios_of(wm_scenarios *out, const wm_decided *proposal, wm_error *err)
{
    wm_scenarios made = { 0 };
    wm_status status = WM_OK;
    if (!proposal->the_case->head->has_gray) {
        *out = made;
        return WM_OK;
    }
    made.steps = calloc(STEPS, sizeof *made.steps);
    if (!made.steps)
        return wm_fail_memory(err);
    wm_wearing before = wm_candidate_wearing(&proposal->pool, proposal->chosen.held);
    for (size_t i = 0; i < STEPS && !status; i++) {
        wm_scenario *step = &made.steps[made.count++];
        status = take_step(step, RISES[i], &before, proposal, err);
        if (!status)
            before = wm_candidate_wearing(&step->decided.pool, step->decided.chosen.held);
    }
    if (status)
        wm_scenarios_free(&made);
    else
        *out = made;
    return status;
}

void wm_scenarios_free(wm_scenarios *scenarios)
{
    if (!scenarios)
        return;
    for (size_t i = 0; i < scenarios->count; i++) {
        wm_decided_free(&scenarios->steps[i].decided);
        wm_drawn_head_free(&scenarios->steps[i].head);
    }
    free(scenarios->steps);
    *scenarios = (wm_scenarios){ 0 };
}
