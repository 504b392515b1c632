#include "consult/swatch_add.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "consult/survey.h"
#include "core/plain.h"
#include "match/shades.h"

static const char OUTLINE[] = "sheet";
enum { ZONE_LABEL_SIZE = WM_CODE_SIZE + 24 };

/* --- what is measured and what helps
 * ------------------------------------------------------------------------------------------- */

typedef struct cell {
    wm_point points[4];
} cell;

/* Zones whose strings and points are lent by the job, by `labels` and by `cells`. */
typedef struct marks {
    wm_zones list; /* subjects first */
    size_t subjects;
    char (*labels)[ZONE_LABEL_SIZE]; /* unique names of the subjects */
    const char **codes;              /* of the subjects */
    cell *cells;                     /* of a sheet */
} marks;

static void marks_free(marks *m)
{
    free(m->list.items);
    free(m->labels);
    free(m->codes);
    free(m->cells);
}

static wm_status check_code(const char *code, wm_error *err)
{
    size_t size = strlen(code);
    if (size == 0 || size >= WM_CODE_SIZE || !wm_plain_line(code) || strpbrk(code, ",\""))
        return wm_fail(err, WM_E_INPUT,
                       "'%.80s' is not a swatch's code; a code has 1 to %d bytes without comma or quote", code,
                       WM_CODE_SIZE - 1);
    return WM_OK;
}

/* Several zones may be on one swatch; their names must differ all the same. */
static wm_status add_subject(marks *m, const wm_zone *zone, const char *code, wm_error *err)
{
    size_t before = 0;
    wm_status status = check_code(code, err);
    if (status)
        return status;
    for (size_t i = 0; i < m->subjects; i++)
        before += strcmp(m->codes[i], code) == 0;
    char *label = m->labels[m->subjects];
    if (before)
        snprintf(label, ZONE_LABEL_SIZE, "%s (%zu)", code, before + 1);
    else
        snprintf(label, ZONE_LABEL_SIZE, "%s", code);
    wm_zone *made = &m->list.items[m->subjects];
    *made = *zone;
    made->kind = WM_ZONE_MID; /* until the zones are checked */
    made->name = label;
    m->codes[m->subjects++] = code;
    m->list.count = m->subjects;
    return WM_OK;
}

static bool is_outline(const wm_zone *zone, const wm_swatch_job *job)
{
    return job->grid[0] && wm_zone_is_client(zone->kind) && strcmp(zone->name, OUTLINE) == 0;
}

static bool is_measured(const wm_zone *zone, const wm_swatch_job *job)
{
    if (wm_zone_is_client(zone->kind))
        return true;
    return zone->kind == WM_ZONE_SWATCH && !job->grid[0] && !job->code && !wm_catalogue_find(job->known, zone->code);
}

static wm_status mark_zones(marks *m, const wm_swatch_job *job, wm_error *err)
{
    wm_status status = WM_OK;
    for (size_t i = 0; i < job->zones->count && !status; i++) {
        const wm_zone *zone = &job->zones->items[i];
        if (!is_measured(zone, job))
            continue;
        if (job->code && m->subjects == 1)
            return wm_fail(
                err, WM_E_INPUT,
                "--code names one swatch, but several zones are marked; mark one, or name each zone by its code");
        const char *named = zone->code ? zone->code : zone->name;
        status = add_subject(m, zone, job->code ? job->code : named, err);
    }
    return status;
}

static wm_status outline_of(wm_point out[4], const wm_swatch_job *job, wm_error *err)
{
    const wm_photo_facts facts = wm_photo_facts_of(job->photo);
    const double width = facts.width, height = facts.height;
    const wm_point whole[4] = { { 0, 0 }, { width, 0 }, { width, height }, { 0, height } };
    memcpy(out, whole, sizeof whole);
    for (size_t i = 0; i < job->zones->count; i++) {
        const wm_zone *zone = &job->zones->items[i];
        if (wm_zone_is_client(zone->kind) && !is_outline(zone, job))
            return wm_fail(
                err, WM_E_INPUT,
                "zone '%.64s': with --grid only the outline of the sheet is marked; call it '%s' or leave it out",
                zone->name, OUTLINE);
        if (!is_outline(zone, job))
            continue;
        if (zone->point_count != 4)
            return wm_fail(
                err, WM_E_INPUT,
                "zone '%s' has %zu corners; the outline of a sheet has four, clockwise from its first swatch", OUTLINE,
                zone->point_count);
        memcpy(out, zone->points, sizeof whole);
    }
    return WM_OK;
}

static wm_status mark_sheet(marks *m, const wm_swatch_job *job, wm_error *err)
{
    wm_point outline[4];
    wm_status status = outline_of(outline, job, err);
    const int count = job->grid[0] * job->grid[1];
    for (int i = 0; i < count && !status; i++) {
        if (strcmp(job->codes[i], "-") == 0)
            continue;
        wm_zone zone = { .kind = WM_ZONE_MID, .points = m->cells[i].points, .point_count = 4 };
        status =
            wm_zone_grid_cell(outline, job->grid, i, zone.points)
                ? add_subject(m, &zone, job->codes[i], err)
                : wm_fail(err, WM_E_INPUT,
                          "zone '%s': its corners make no four-sided shape; give them clockwise from the first swatch",
                          OUTLINE);
    }
    return status;
}

static void mark_aids(marks *m, const wm_swatch_job *job)
{
    for (size_t i = 0; i < job->zones->count; i++) {
        const wm_zone *zone = &job->zones->items[i];
        if (!is_measured(zone, job))
            m->list.items[m->list.count++] = *zone;
    }
}

static wm_status check_marks(marks *m, const wm_swatch_job *job, wm_warnings *warnings, wm_error *err)
{
    const wm_photo_facts facts = wm_photo_facts_of(job->photo);
    if (m->subjects == 0)
        return wm_fail(
            err, WM_E_INPUT,
            "no swatch to measure; mark each and name its zone by its code, or give --grid and --codes for a sheet");
    if (m->list.count == m->subjects && m->subjects < WM_FRAME_JOIN_LEAST)
        return wm_fail(
            err, WM_E_INPUT,
            "nothing of known colour is in the picture, and so few swatches say nothing of each other; lay a gray card, "
            "white paper or known swatches beside them, or photograph the whole ring at once");
    m->list.photo = job->zones->photo;
    wm_status status = wm_zones_check(&m->list, facts.width, facts.height, facts.file, warnings, err);
    for (size_t i = 0; i < m->subjects; i++)
        m->list.items[i].kind = WM_ZONE_SWATCH; /* not hair on a head: no gray-free reference */
    return status;
}

static wm_status mark(marks *m, const wm_swatch_job *job, wm_warnings *warnings, wm_error *err)
{
    const size_t cells = (size_t)job->grid[0] * (size_t)job->grid[1], room = job->zones->count + cells + 1;
    m->list.items = calloc(room, sizeof *m->list.items);
    m->labels = calloc(room, sizeof *m->labels);
    m->codes = calloc(room, sizeof *m->codes);
    m->cells = calloc(cells + 1, sizeof *m->cells);
    if (!m->list.items || !m->labels || !m->codes || !m->cells)
        return wm_fail_memory(err);
    wm_status status = job->grid[0] ? mark_sheet(m, job, err) : mark_zones(m, job, err);
    if (status)
        return status;
    mark_aids(m, job);
    return check_marks(m, job, warnings, err);
}

/* --- measuring
 * ------------------------------------------------------------------------------------------------------------------ */

static double weight_of(double u)
{
    return 1 / fmax(u * u, 1e-6);
}

static double mean(double a, double weight_a, double b, double weight_b)
{
    return (a * weight_a + b * weight_b) / (weight_a + weight_b);
}

static wm_lab mean_lab(wm_lab a, double weight_a, wm_lab b, double weight_b)
{
    return (wm_lab){ mean(a.L, weight_a, b.L, weight_b), mean(a.a, weight_a, b.a, weight_b),
                     mean(a.b, weight_a, b.b, weight_b) };
}

static wm_swatch_reading *reading_of(wm_swatch_readings *out, const char *code)
{
    for (size_t i = 0; i < out->count; i++)
        if (strcmp(out->items[i].code, code) == 0)
            return &out->items[i];
    wm_swatch_reading *r = &out->items[out->count++];
    snprintf(r->code, sizeof r->code, "%s", code);
    return r;
}

static void take_share(wm_swatch_reading *r, const wm_gray *gray)
{
    if (gray->status < WM_GRAY_NONE_SEEN)
        return;
    r->share = r->has_share ? mean(r->share, (double)r->zones, gray->share, 1) : gray->share;
    r->has_share = true;
}

/* C30, C33 */
static double own_u(const wm_swatch_readings *out, const wm_surveyed_zone *zone)
{
    const double samples = sqrt(wm_calibration_samples(zone->kept));
    const wm_lab sd = zone->gray.body_sd, scatter = { sd.L / samples, sd.a / samples, sd.b / samples };
    wm_lab sigma = zone->body.sigma;
    if (!out->by_known)
        return wm_frame_own_u(out->row, zone->body.lab, scatter);
    if (*out->frame)
        sigma.L = hypot(sigma.L, wm_frame_lay(zone->body.lab.L));
    return wm_sigma_to_u(zone->body.lab, sigma);
}

/* C30; of known swatches' frame what its rows say. */
static double shared_u(const wm_swatch_readings *out, const wm_survey *survey, const wm_measured *body)
{
    if (out->by_known)
        return *out->frame ? survey->u_frame : -1;
    if (survey->calibration.used_count > 0)
        return wm_frame_left_u(out->row, body->lab, body->sigma);
    return wm_frame_shared_u(out->row, body->lab, NULL, wm_frame_factor(out->row));
}

static void take_zone(wm_swatch_readings *out, const wm_survey *survey, const wm_surveyed_zone *zone, const char *code)
{
    if (zone->refused)
        return;
    wm_swatch_reading *r = reading_of(out, code);
    const double u = own_u(out, zone), before = r->zones ? weight_of(r->colour.u_de00) * (double)r->zones : 0;
    r->colour.lab = mean_lab(r->colour.lab, before, zone->body.lab, weight_of(u));
    r->colour.u_de00 = r->zones ? fmin(r->colour.u_de00, u) : u;
    r->colour.claim = wm_claim_of(r->colour.u_de00);
    r->colour.pixels += zone->body.pixels;
    r->colour.kept += zone->body.kept;
    r->u_frame = shared_u(out, survey, &zone->body);
    take_share(r, &zone->gray);
    r->zones++;
}

/* Remarks on client zones fit a head; of a swatch only what can't be measured matters. What the sheet lies in is shared
 * by all of it. */
static bool fits_a_sheet(const char *code)
{
    static const wm_warning_kind NOT[] = { WM_WARN_NO_SWATCH_AT_ZONE, WM_WARN_GRAY_NOT_RESOLVED, WM_WARN_NO_AID,
                                           WM_WARN_LIGHT_UNKNOWN };
    for (size_t i = 0; i < sizeof NOT / sizeof *NOT; i++)
        if (strcmp(code, wm_warning_of(NOT[i])->code) == 0)
            return false;
    return true;
}

static void take_notes(wm_swatch_readings *out, const wm_survey *survey)
{
    for (size_t i = 0; i < survey->warnings.count; i++)
        if (fits_a_sheet(survey->warnings.items[i].code))
            wm_warnings_add(&out->warnings, survey->warnings.items[i].code, "%s", survey->warnings.items[i].text);
}

static wm_status read_survey(wm_swatch_readings *out, const wm_survey *survey, const marks *m, wm_error *err)
{
    const wm_calibration *calibration = &survey->calibration;
    if (calibration->aid == WM_AIDS_NONE && m->subjects < WM_FRAME_JOIN_LEAST)
        return wm_fail(err, WM_E_INPUT,
                       "nothing of known colour in the picture can be used (%.120s); take the photo again",
                       calibration->dropped_count ? calibration->dropped[0].why : "no usable aid");
    out->aid = calibration->aid;
    out->row = calibration->row;
    out->by_known = survey->has_frame && calibration->used_count >= WM_FRAME_JOIN_LEAST;
    snprintf(out->frame, sizeof out->frame, "%s", out->by_known ? survey->frame : "");
    for (size_t i = 0; i < survey->zone_count; i++)
        take_zone(out, survey, &survey->zones[i], m->codes[i]);
    out->claim = WM_CLAIM_NAME;
    for (size_t i = 0; i < out->count; i++)
        if (out->items[i].colour.claim > out->claim)
            out->claim = out->items[i].colour.claim;
    take_notes(out, survey);
    return out->warnings.failed ? wm_fail_memory(err) : WM_OK;
}

static wm_status run_survey(wm_survey *survey, const wm_swatch_job *job, const marks *m, wm_error *err)
{
    const wm_zone **list = calloc(m->list.count + 1, sizeof *list);
    if (!list)
        return wm_fail_memory(err);
    for (size_t i = 0; i < m->list.count; i++)
        list[i] = &m->list.items[i];
    const wm_survey_input input = { job->photo, list, m->subjects, list + m->subjects, m->list.count - m->subjects,
                                    job->known, NULL };
    wm_status status = wm_survey_run(survey, &input, err);
    free(list);
    return status;
}

wm_status wm_swatches_measure(wm_swatch_readings *out, const wm_swatch_job *job, wm_error *err)
{
    marks m = { 0 };
    wm_survey survey = { 0 };
    wm_swatch_readings made = { 0 };
    wm_status status = mark(&m, job, &made.warnings, err);
    if (!status && !(made.items = calloc(m.subjects + 1, sizeof *made.items)))
        status = wm_fail_memory(err);
    if (!status)
        status = run_survey(&survey, job, &m, err);
    if (!status)
        status = read_survey(&made, &survey, &m, err);
    wm_survey_free(&survey);
    marks_free(&m);
    if (status)
        wm_swatch_readings_free(&made);
    else
        *out = made;
    return status;
}

void wm_swatch_readings_free(wm_swatch_readings *readings)
{
    free(readings->items);
    wm_warnings_free(&readings->warnings);
    *readings = (wm_swatch_readings){ 0 };
}
