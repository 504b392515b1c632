#include "consult/stability.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/heads.h"
#include "consult/record.h"
#include "core/parallel.h"

enum { MARKINGS = 10 };            /* G11 */
enum { AT_FIRST = 4 };             /* G11 */
static const double MOVE = 0.08;   /* G11 */
static const double RESIZE = 0.10; /* G11 */
static const double AS_GOOD = 0.5; /* G11 */
enum { HOLDS_IN = 7 };             /* G11: of MARKINGS */

/* Where a zone goes: parts of MOVE to the side and down, of RESIZE. Each is met as often as its opposite. */
static const double SHIFTS[MARKINGS][3] = {
    { 1, 0, 0 },  { -1, 0, 0 },  { 0, 1, 0 },    { 0, -1, 0 },    { 0, 0, 1 },
    { 0, 0, -1 }, { 1, 1, 0.5 }, { -1, -1, -1 }, { 1, -1, -0.5 }, { -1, 1, 1 }
};

typedef struct extent {
    wm_point low, size;
} extent;

/* A zone and what was read around it. */
typedef struct spot {
    wm_survey_around around;
    bool usable;
    wm_status status;
    wm_error error;
} spot;

typedef struct answer {
    wm_report_zone *zones; /* [zones] of the report as this try measures them; owned */
    wm_decision *decision; /* by them; owned */
    wm_status status;
    wm_error error;
} answer;

typedef struct job {
    const wm_stability_input *in;
    spot *spots;
    answer answers[MARKINGS];
    int tries; /* so many of them are made */
} job;

/* ---- the zones
 * ---------------------------------------------------------------------------------------------------------- */

static extent extent_of(const wm_zone *zone)
{
    wm_point low, high;
    wm_zone_extent(zone, &low, &high);
    return (extent){ low, { high.x - low.x, high.y - low.y } };
}

void wm_stability__mark(wm_point *points, const wm_zone *zone, size_t index, int try)
{
    const double *shift = SHIFTS[((size_t)(try - 1) + 3 * index) % MARKINGS];
    const extent e = extent_of(zone);
    const wm_point middle = { e.low.x + e.size.x / 2, e.low.y + e.size.y / 2 };
    const double scale = 1 + RESIZE * shift[2];
    for (size_t i = 0; i < zone->point_count; i++) {
        points[i].x = middle.x + scale * (zone->points[i].x - middle.x) + MOVE * shift[0] * e.size.x;
        points[i].y = middle.y + scale * (zone->points[i].y - middle.y) + MOVE * shift[1] * e.size.y;
    }
}

static wm_status read_spot(spot *s, const wm_stability_input *in, const wm_surveyed_zone *zone, wm_error *err)
{
    const extent e = extent_of(zone->zone);
    const double margin = MOVE + RESIZE / 2, x0 = e.low.x - margin * e.size.x, y0 = e.low.y - margin * e.size.y,
                 x1 = x0 + (1 + 2 * margin) * e.size.x, y1 = y0 + (1 + 2 * margin) * e.size.y;
    wm_point corners[4] = { { x0, y0 }, { x1, y0 }, { x1, y1 }, { x0, y1 } };
    const wm_zone enclosing = { .kind = zone->zone->kind, .points = corners, .point_count = 4 };
    return wm_survey_read_around(&s->around, in->photo, zone, &enclosing, &in->survey->calibration, err);
}

/* Into the spot's own place: spots are read side by side. */
static void read_one(job *j, int i)
{
    spot *s = &j->spots[i];
    if (s->usable)
        s->status = read_spot(s, j->in, &j->in->survey->zones[i], &s->error);
}

static void find_spots(spot *out, const wm_survey *survey)
{
    for (size_t i = 0; i < survey->zone_count; i++) {
        const wm_surveyed_zone *zone = &survey->zones[i];
        out[i].usable = wm_zone_is_client(zone->zone->kind) && !zone->refused;
    }
}

/* ---- one try
 * ------------------------------------------------------------------------------------------------------------ */

/* What would be sewn by these zones, beside the proposal as if it were worn (M31). */
static wm_status decide(wm_decision *out, const job *j, wm_report_zone *as_measured, wm_error *err)
{
    const size_t count = j->in->report->zone_count;
    wm_decision_input ask = *j->in->ask;
    wm_report *report = calloc(1, sizeof *report); /* too large for the stack of a thread */
    wm_head_zone *zones = calloc(count + 1, sizeof *zones);
    wm_status status = report && zones ? WM_OK : wm_fail_memory(err);
    if (!status) {
        report->zones = as_measured;
        report->zone_count = count;
        ask.zones = zones;
        ask.zone_count = wm_heads__of(zones, report);
        ask.beads = NULL;
        ask.only_held = true;
        ask.wearing = j->in->decided->has_proposal ? &j->in->decided->proposal.design : NULL;
        ask.wearing_stack = NULL;
        status = wm_decide(out, &ask, err);
    }
    free(report);
    free(zones);
    return status;
}

/* Zone i in the try; a zone that is refused now keeps its refusal. */
static wm_status measure(wm_report_zone *out, const job *j, size_t i, int try, wm_error *err)
{
    const wm_survey *survey = j->in->survey;
    const wm_zone *zone = survey->zones[i].zone;
    const wm_survey_look look = { &survey->calibration, survey->has_reference ? &survey->reference : NULL, NULL };
    wm_point *points = malloc(zone->point_count * sizeof *points);
    if (!points)
        return wm_fail_memory(err);
    wm_stability__mark(points, zone, i, try);
    wm_zone here = *zone;
    here.points = points;
    wm_surveyed_zone measured;
    const wm_status status = wm_survey_measure_within(&measured, &j->spots[i].around, &here, &look, err);
    if (!status) {
        wm_record__zone(out, &measured);
        wm_surveyed_zone_free(&measured);
    }
    free(points);
    return status;
}

static wm_status solve(job *j, int try)
{
    answer *a = &j->answers[try - 1];
    const wm_report *marked = j->in->report;
    a->zones = calloc(marked->zone_count + 1, sizeof *a->zones);
    a->decision = calloc(1, sizeof *a->decision);
    wm_status status = a->zones && a->decision ? WM_OK : wm_fail_memory(&a->error);
    for (size_t i = 0; !status && i < marked->zone_count; i++) {
        a->zones[i] = marked->zones[i];
        if (j->spots[i].usable)
            status = measure(&a->zones[i], j, i, try, &a->error);
    }
    return status ? status : decide(a->decision, j, a->zones, &a->error);
}

/* The i-th of those that are yet to be made. */
static void try_one(job *j, int i)
{
    j->answers[j->tries + i].status = solve(j, j->tries + i + 1);
}

/* ---- side by side
 * -------------------------------------------------------------------------------------------------------- */

typedef struct side_by_side {
    job *job;
    void (*work)(job *j, int i);
} side_by_side;

static void work_on(void *user, size_t i)
{
    const side_by_side *s = user;
    s->work(s->job, (int)i);
}

static void run(job *j, void (*work)(job *j, int i), int count)
{
    side_by_side s = { j, work };
    wm_parallel_run(&(wm_parallel){ .count = (size_t)count, .jobs = j->in->jobs, .each = work_on, .user = &s });
}

/* ---- all of them
 * -------------------------------------------------------------------------------------------------------- */

/* The proposal is not given up for another, or would do as well. */
bool wm_stability__held(const wm_decision *decided, const wm_decision *tried)
{
    if (!decided->has_proposal || tried->wearing == WM_WEARING_GONE)
        return !decided->has_proposal && !tried->has_proposal;
    return tried->wearing == WM_WEARING_STAYS || tried->worn_gap <= tried->proposal.gap + AS_GOOD;
}

bool wm_stability_holds(const wm_report_stability *stability)
{
    return stability->held * MARKINGS >= HOLDS_IN * stability->tries;
}

static bool held(const job *j, int try)
{
    return wm_stability__held(j->in->decided, j->answers[try - 1].decision);
}

static int count_held(const job *j)
{
    int count = 0;
    for (int try = 1; try <= j->tries; try++)
        count += held(j, try);
    return count;
}

static wm_status fault(wm_status status, const wm_error *what, wm_error *err)
{
    if (status && err)
        *err = *what;
    return status;
}

/* The first that went wrong, by place. */
static wm_status first_fault(const job *j, wm_error *err)
{
    for (size_t i = 0; i < j->in->survey->zone_count; i++)
        if (j->spots[i].status)
            return fault(j->spots[i].status, &j->spots[i].error, err);
    for (int i = 0; i < j->tries; i++)
        if (j->answers[i].status)
            return fault(j->answers[i].status, &j->answers[i].error, err);
    return WM_OK;
}

/* By one zone alone, over the tries that did not hold. */
typedef struct blame {
    double lost;  /* of the proposal's gap against what is proposed then */
    double moved; /* of its colour, dE00 */
} blame;

/* Zone i alone is marked as in the try. */
static wm_status blame_alone(blame *b, job *j, size_t i, int try, wm_error *err)
{
    const size_t count = j->in->report->zone_count;
    wm_report_zone *zones = calloc(count + 1, sizeof *zones);
    wm_decision *decision = calloc(1, sizeof *decision);
    wm_status status = zones && decision ? WM_OK : wm_fail_memory(err);
    if (!status) {
        memcpy(zones, j->in->report->zones, count * sizeof *zones);
        zones[i] = j->answers[try - 1].zones[i];
        status = decide(decision, j, zones, err);
    }
    if (!status) {
        b->lost += fmax(decision->worn_gap - decision->proposal.gap, 0);
        b->moved += wm_de00(zones[i].body.lab, j->in->report->zones[i].body.lab);
    }
    free(zones);
    free(decision);
    return status;
}

static bool is_worse(blame a, blame b)
{
    return a.lost > b.lost || (!(a.lost < b.lost) && a.moved > b.moved);
}

/* The zone by which alone most is lost. */
static wm_status find_mend(wm_report_stability *out, job *j, wm_error *err)
{
    blame worst = { -1, 0 };
    wm_status status = WM_OK;
    for (size_t i = 0; !status && i < j->in->report->zone_count; i++) {
        blame own = { 0, 0 };
        for (int try = 1; !status && try <= j->tries && j->spots[i].usable; try++)
            if (!held(j, try))
                status = blame_alone(&own, j, i, try, err);
        if (!status && j->spots[i].usable && is_worse(own, worst)) {
            worst = own;
            snprintf(out->mend, sizeof out->mend, "%s", j->in->report->zones[i].name);
        }
    }
    return status;
}

static wm_status try_until(job *j, int tries, wm_error *err)
{
    run(j, try_one, tries - j->tries);
    j->tries = tries;
    return first_fault(j, err);
}

static wm_status judge(wm_report_stability *out, job *j, wm_error *err)
{
    wm_report_stability made = { .tries = j->tries, .held = count_held(j) };
    wm_status status = WM_OK;
    if (made.held < made.tries)
        status = find_mend(&made, j, err);
    if (!status)
        *out = made;
    return status;
}

static void free_job(job *j)
{
    for (size_t i = 0; j->spots && i < j->in->survey->zone_count; i++)
        wm_survey_around_free(&j->spots[i].around);
    for (int i = 0; i < MARKINGS; i++) {
        free(j->answers[i].decision);
        free(j->answers[i].zones);
    }
    free(j->spots);
    free(j);
}

wm_status wm_stability_of(wm_report_stability *out, const wm_stability_input *input, wm_error *err)
{
    const size_t zones = input->survey->zone_count;
    job *j = calloc(1, sizeof *j);
    if (!j || !(j->spots = calloc(zones + 1, sizeof *j->spots))) {
        free(j);
        return wm_fail_memory(err);
    }
    j->in = input;
    find_spots(j->spots, input->survey);
    run(j, read_one, (int)zones);
    wm_status status = first_fault(j, err);
    if (!status)
        status = try_until(j, AT_FIRST, err);
    if (!status && count_held(j) < AT_FIRST)
        status = try_until(j, MARKINGS, err);
    if (!status)
        status = judge(out, j, err);
    free_job(j);
    return status;
}
