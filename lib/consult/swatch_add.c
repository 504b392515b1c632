#include "consult/swatch_add.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "colour/difference.h"
#include "consult/survey.h"
#include "match/shades.h"

static const char OUTLINE[] = "sheet";
enum { TAG_SIZE = 8, ZONE_LABEL_SIZE = WM_CODE_SIZE + 24 };

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
    if (size == 0 || size >= WM_CODE_SIZE || !wm_utf8_valid(code, size) || strpbrk(code, ",\"\r\n\t"))
        return wm_fail(err, WM_E_INPUT,
                       "'%.80s' is no code for a swatch; a code has 1 to %d bytes without comma or quote", code,
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
        status = add_subject(m, zone, job->code ? job->code : zone->code ? zone->code : zone->name, err);
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

static wm_status check_marks(marks *m, const wm_swatch_job *job, wm_notes *notes, wm_error *err)
{
    const wm_photo_facts facts = wm_photo_facts_of(job->photo);
    if (m->subjects == 0)
        return wm_fail(
            err, WM_E_INPUT,
            "no swatch to measure; mark each and name its zone by its code, or give --grid and --codes for a sheet");
    if (m->list.count == m->subjects)
        return wm_fail(
            err, WM_E_INPUT,
            "nothing of known colour is in the picture; lay a card, a colour target or known swatches beside the new ones, "
            "take the photo again and mark them");
    m->list.photo = job->zones->photo;
    wm_status status = wm_zones_check(&m->list, facts.width, facts.height, facts.file, notes, err);
    for (size_t i = 0; i < m->subjects; i++)
        m->list.items[i].kind = WM_ZONE_SWATCH; /* not hair on a head: no gray-free reference */
    return status;
}

static wm_status mark(marks *m, const wm_swatch_job *job, wm_notes *notes, wm_error *err)
{
    const size_t cells = (size_t)(job->grid[0] * job->grid[1]), room = job->zones->count + cells + 1;
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
    return check_marks(m, job, notes, err);
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

static void take_zone(wm_swatch_readings *out, const wm_surveyed_zone *zone, const char *code)
{
    if (zone->refused)
        return;
    wm_swatch_reading *r = reading_of(out, code);
    const double u = zone->body.u_de00, before = r->zones ? weight_of(r->colour.u_de00) * (double)r->zones : 0;
    r->colour.lab = mean_lab(r->colour.lab, before, zone->body.lab, weight_of(u));
    r->colour.u_de00 = r->zones ? fmin(r->colour.u_de00, u) : u;
    r->colour.claim = wm_claim_of(r->colour.u_de00);
    r->colour.pixels += zone->body.pixels;
    r->colour.kept += zone->body.kept;
    take_share(r, &zone->gray);
    r->zones++;
}

/* Remarks on client zones fit a head; of a swatch only what can't be measured matters. */
static void take_notes(wm_swatch_readings *out, const wm_survey *survey)
{
    for (size_t i = 0; i < survey->notes.count; i++)
        if (strcmp(survey->notes.items[i].code, wm_advice_of(WM_ADVICE_NO_SWATCH_AT_ZONE)->code) != 0 &&
            strcmp(survey->notes.items[i].code, wm_advice_of(WM_ADVICE_GRAY_NOT_RESOLVED)->code) != 0)
            wm_notes_add(&out->notes, survey->notes.items[i].code, "%s", survey->notes.items[i].text);
}

static wm_status read_survey(wm_swatch_readings *out, const wm_survey *survey, const marks *m, wm_error *err)
{
    if (survey->calibration.aid == WM_AIDS_NONE)
        return wm_fail(err, WM_E_INPUT,
                       "nothing of known colour in the picture can be used (%.120s); take the photo again",
                       survey->calibration.dropped_count ? survey->calibration.dropped[0].why : "no usable aid");
    out->aid = survey->calibration.aid;
    for (size_t i = 0; i < survey->zone_count; i++)
        take_zone(out, &survey->zones[i], m->codes[i]);
    out->claim = WM_CLAIM_NAME;
    for (size_t i = 0; i < out->count; i++)
        if (out->items[i].colour.claim > out->claim)
            out->claim = out->items[i].colour.claim;
    take_notes(out, survey);
    return out->notes.failed ? wm_fail_memory(err) : WM_OK;
}

static wm_status run_survey(wm_survey *survey, const wm_swatch_job *job, const marks *m, wm_error *err)
{
    const wm_zone **list = calloc(m->list.count + 1, sizeof *list);
    if (!list)
        return wm_fail_memory(err);
    for (size_t i = 0; i < m->list.count; i++)
        list[i] = &m->list.items[i];
    const wm_survey_input input = { job->photo, list, m->subjects, list + m->subjects, m->list.count - m->subjects,
                                    job->known };
    wm_status status = wm_survey_run(survey, &input, err);
    free(list);
    return status;
}

wm_status wm_swatches_measure(wm_swatch_readings *out, const wm_swatch_job *job, wm_error *err)
{
    marks m = { 0 };
    wm_survey survey = { 0 };
    wm_swatch_readings made = { 0 };
    wm_status status = mark(&m, job, &made.notes, err);
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
    wm_notes_free(&readings->notes);
    *readings = (wm_swatch_readings){ 0 };
}

/* --- into the catalogue
 * ----------------------------------------------------------------------------------------------------------- */

/* "sheet.jpg 3f2a9c1b (card)" and, behind a semicolon, the tags of photos averaged before, as many as fit. */
static void write_source(wm_swatch *row, const wm_swatch *old, const wm_swatch_origin *origin)
{
    char text[WM_NAME_SIZE];
    int n = snprintf(text, sizeof text, "%.60s %.*s (%s)", origin->photo, TAG_SIZE, origin->sha256,
                     wm_aid_set_name(origin->aid));
    if (old && *old->source && !origin->replace && (size_t)n + 2 + strlen(old->source) < sizeof text)
        snprintf(text + n, sizeof text - (size_t)n, "; %s", old->source);
    snprintf(row->source, sizeof row->source, "%s", text);
}

static double rounded(double x)
{
    return round(x * 100) / 100;
}

static void average(wm_swatch_put *put, wm_swatch *row, const wm_swatch *old)
{
    const double u_old = wm_swatch_u(old), before = weight_of(u_old), now = weight_of(row->u);
    put->change_u = hypot(u_old, row->u);
    row->lab = mean_lab(old->lab, before, row->lab, now);
    row->u = 1 / sqrt(before + now);
    if (old->gray_share >= 0)
        row->gray_share = row->gray_share >= 0 ? mean(old->gray_share, before, row->gray_share, now) : old->gray_share;
    put->outcome = WM_SWATCH_AVERAGED;
}

/* The mean lies between two colours that should be one: u must say so. */
static void widen(wm_swatch_put *put, wm_swatch *row, wm_lab now, wm_lab before)
{
    put->outcome = WM_SWATCH_DRIFTED;
    row->u = fmax(row->u, fmax(wm_de00(row->lab, now), wm_de00(row->lab, before)));
}

wm_status wm_swatch_put_reading(wm_swatch_put *out, wm_catalogue *catalogue, const wm_swatch_reading *reading,
                                const wm_swatch_origin *origin, wm_error *err)
{
    char tag[TAG_SIZE + 1];
    const wm_swatch *old = wm_catalogue_find(catalogue, reading->code);
    wm_swatch row = wm_swatch_new(reading->code, "", reading->colour.lab);
    wm_swatch_put put = { .outcome = old ? WM_SWATCH_REPLACED : WM_SWATCH_NEW };
    snprintf(tag, sizeof tag, "%.*s", TAG_SIZE, origin->sha256);
    row.u = reading->colour.u_de00;
    row.gray_share = reading->has_share ? reading->share : -1;
    if (old)
        put.change_de00 = wm_de00(old->lab, reading->colour.lab);
    if (old && !origin->replace && strstr(old->source, tag)) {
        *out = (wm_swatch_put){ WM_SWATCH_SEEN, old->lab, wm_swatch_u(old), put.change_de00, 0 };
        return WM_OK;
    }
    if (old && !origin->replace) {
        average(&put, &row, old);
        if (put.change_de00 > 2 * put.change_u)
            widen(&put, &row, reading->colour.lab, old->lab);
    }
    row.lab = (wm_lab){ rounded(row.lab.L), rounded(row.lab.a), rounded(row.lab.b) };
    row.u = rounded(row.u);
    row.gray_share = row.gray_share >= 0 ? rounded(row.gray_share) : -1;
    snprintf(row.measured, sizeof row.measured, "%s", origin->date);
    write_source(&row, old, origin);
    put.lab = row.lab;
    put.u = row.u;
    wm_status status = wm_catalogue_put(catalogue, &row, true, err);
    if (!status)
        *out = put;
    return status;
}
