#include "measure/target.h"

#include "colour/difference.h"
#include "core/cgats.h"
#include "core/file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { ARRANGEMENTS = 8, CORNERS = 4 };
static const size_t REFERENCE_LIMIT = 4u << 20;
static const double CLIPPED_SHARE = 0.05; /* C15 */
static const double UNEVEN = 0.10;        /* our own limit on the relative sd of Y */
static const double SUSPICIOUS_DE00 =
    6; /* mean miss after the curve: 3 to 4 when marked rightly, 10 and more when turned */
static const double CLEARLY_BETTER = 0.5, STILL_A_FIT = 12;

static wm_status labs_of(wm_lab *labs, const wm_cgats *table, const char *path, wm_error *err)
{
    const char *names[3] = { "LAB_L", "LAB_A", "LAB_B" };
    for (int o = 0; o < 3; o++) {
        const long field = wm_cgats_field(table, names[o]);
        if (field < 0)
            return wm_fail_at(err, WM_E_INPUT, path, 0, 0, "no column %s; a target's reference needs LAB_L LAB_A LAB_B",
                              names[o]);
        for (size_t row = 0; row < table->rows; row++) {
            double value;
            const wm_status status = wm_cgats_number(table, row, (size_t)field, path, &value, err);
            if (status)
                return status;
            *(o == 0 ? &labs[row].L : o == 1 ? &labs[row].a : &labs[row].b) = value;
        }
    }
    for (size_t row = 0; row < table->rows; row++)
        if (!wm_lab_valid(labs[row]))
            return wm_fail_at(err, WM_E_INPUT, path, table->row_lines[row], 0,
                              "not a colour; L* is 0 to 100, a* and b* -128 to 127");
    return WM_OK;
}

wm_status wm_target_references(wm_lab **out, const char *path, int rows, int columns, wm_warnings *warnings,
                               wm_error *err)
{
    wm_bytes bytes = { 0 };
    wm_cgats table = { 0 };
    wm_lab *labs = NULL;
    wm_status status = wm_file_read(&bytes, path, REFERENCE_LIMIT, WM_E_INPUT, err);
    if (!status)
        status = wm_cgats_parse(&table, (const char *)bytes.data, bytes.size, path, warnings, err);
    if (status)
        goto done;
    if (rows < 1 || columns < 1 || table.rows != (size_t)rows * (size_t)columns) {
        status = wm_fail_at(err, WM_E_INPUT, path, 0, 0,
                            "%zu patches where the zone has %d x %d; give the target's rows and columns as printed",
                            table.rows, rows, columns);
        goto done;
    }
    labs = calloc(table.rows, sizeof *labs);
    status = labs ? labs_of(labs, &table, path, err) : wm_fail_memory(err);
    if (!status) {
        *out = labs;
        labs = NULL;
    }
done:
    free(labs);
    wm_cgats_free(&table);
    wm_bytes_free(&bytes);
    return status;
}

static void judge_patch(wm_patch *patch, const wm_window *window, const wm_flat_sample *flat)
{
    if (window->extreme_share > CLIPPED_SHARE)
        snprintf(patch->why, sizeof patch->why, "blown out or black");
    else if (flat->relative_sd_y > UNEVEN)
        snprintf(patch->why, sizeof patch->why, "uneven by %.0f %%", 100 * flat->relative_sd_y);
}

static wm_status read_patch(wm_patch *out, const wm_photo *photo, const wm_zone *target, int at, wm_error *err)
{
    wm_point points[CORNERS];
    wm_zone cell = { .kind = WM_ZONE_TARGET, .name = target->name, .points = points, .point_count = CORNERS };
    wm_window window = { 0 };
    if (!wm_zone_target_patch(target, at / target->columns, at % target->columns, points)) {
        snprintf(out->why, sizeof out->why, "the four corners lie on a line");
        return WM_OK;
    }
    const wm_status status = wm_window_read(&window, photo, &cell, err);
    if (status == WM_E_INPUT) { /* beyond the photo's edge, or less than a pixel */
        snprintf(out->why, sizeof out->why, "too small");
        return WM_OK;
    }
    if (status)
        return status;
    const wm_flat_sample flat = wm_window_flat(&window);
    out->mean = flat.mean;
    out->e_green = window.encoded_mean.g;
    judge_patch(out, &window, &flat);
    wm_window_free(&window);
    return WM_OK;
}

static wm_status read_patches(wm_patch *out, const wm_photo *photo, const wm_zone *zone, const wm_lab *references,
                              wm_error *err)
{
    wm_status status = WM_OK;
    for (int i = 0; !status && i < zone->rows * zone->columns; i++) {
        out[i] = (wm_patch){ .reference = references[i] };
        status = read_patch(&out[i], photo, zone, i, err);
    }
    return status;
}

size_t wm_target_neutrals(const wm_target *target, wm_neutral *out, double *e_green)
{
    size_t count = 0;
    for (int i = 0; i < target->rows * target->columns && count < WM_STAGE1_MAX_NEUTRALS; i++) {
        const wm_patch *patch = &target->patches[i];
        if (*patch->why || !wm_lab_is_neutral(patch->reference))
            continue;
        if (e_green)
            e_green[count] = patch->e_green;
        out[count++] = (wm_neutral){ patch->mean, wm_lab_to_rgb(patch->reference) };
    }
    return count;
}

/* Mean dE00 of the usable patches after stage 1; infinite when the neutrals run the wrong way (C18) or there are none.
 */
static double misfit(const wm_target *target)
{
    wm_neutral neutrals[WM_STAGE1_MAX_NEUTRALS];
    double e_green[WM_STAGE1_MAX_NEUTRALS], sum = 0;
    const size_t count = wm_target_neutrals(target, neutrals, e_green);
    if (count == 0 || !wm_neutrals_rise(neutrals, e_green, count))
        return INFINITY;
    const wm_stage1 stage1 = wm_stage1_fit(neutrals, count);
    int used = 0;
    for (int i = 0; i < target->rows * target->columns; i++)
        if (!*target->patches[i].why) {
            sum +=
                wm_de00(wm_rgb_to_lab(wm_stage1_apply(&stage1, target->patches[i].mean)), target->patches[i].reference);
            used++;
        }
    return sum / used;
}

/* The corners as they were perhaps meant: from another one on, and for 4 to 7 the other way round. */
static void rearrange(wm_point out[CORNERS], const wm_point *points, int arrangement)
{
    for (int i = 0; i < CORNERS; i++)
        out[i] = points[arrangement < CORNERS ? (arrangement + i) % CORNERS : (arrangement + CORNERS - i) % CORNERS];
}

static wm_status find_turn(wm_target *target, const wm_photo *photo, const wm_zone *zone, const wm_lab *references,
                           wm_error *err)
{
    const double given = misfit(target);
    wm_point points[CORNERS];
    wm_zone other = *zone;
    wm_target tried = { .rows = target->rows, .columns = target->columns };
    int best = 0;
    double least = given;
    wm_status status = WM_OK;
    if (given <= SUSPICIOUS_DE00 || zone->point_count != CORNERS)
        return WM_OK;
    tried.patches = calloc((size_t)zone->rows * (size_t)zone->columns, sizeof *tried.patches);
    if (!tried.patches)
        return wm_fail_memory(err);
    other.points = points;
    for (int i = 1; !status && i < ARRANGEMENTS; i++) {
        rearrange(points, zone->points, i);
        status = read_patches(tried.patches, photo, &other, references, err);
        const double miss = misfit(&tried);
        if (miss < least)
            least = miss, best = i;
    }
    target->turned = !status && best > 0 && least < STILL_A_FIT && least < CLEARLY_BETTER * given;
    if (target->turned) {
        const wm_point first = zone->points[best % CORNERS];
        snprintf(target->hint, sizeof target->hint, "start at the corner given as number %d, at %.0f,%.0f%s",
                 best % CORNERS + 1, first.x, first.y, best >= CORNERS ? ", and go the other way round" : "");
    }
    wm_target_free(&tried);
    return status;
}

wm_status wm_target_read(wm_target *out, const wm_photo *photo, const wm_zone *zone, const wm_lab *references,
                         wm_error *err)
{
    wm_target target = { .rows = zone->rows, .columns = zone->columns };
    target.patches = calloc((size_t)zone->rows * (size_t)zone->columns, sizeof *target.patches);
    if (!target.patches)
        return wm_fail_memory(err);
    wm_status status = read_patches(target.patches, photo, zone, references, err);
    if (!status)
        status = find_turn(&target, photo, zone, references, err);
    if (status)
        wm_target_free(&target);
    else
        *out = target;
    return status;
}

void wm_target_free(wm_target *target)
{
    free(target->patches);
    *target = (wm_target){ 0 };
}
