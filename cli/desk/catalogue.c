/* The catalogue: read and written as the CSV file that it is; measured from a photo of swatches. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/swatch_add.h"
#include "consult/swatch_put.h"
#include "core/file.h"
#include "desk/consultation.h"
#include "desk/resources.h"

/* Where the catalogue is, or will be: never a CGATS file, which can't hold prices. */
static wm_status catalogue_path(char out[PATH_SIZE], const args *a, wm_error *err)
{
    wm_error none;
    wm_status status = context_swatches_path(out, a, &none);
    if (status && !args_has(a, "swatches")) {
        /* there is none yet: beside the book */
        status = context_book_path(out, a, err);
        char *slash = status ? NULL : strrchr(out, '/');
        size_t at = slash ? (size_t)(slash - out) + 1 : 0;
        if (!status && snprintf(out + at, PATH_SIZE - at, "swatches.csv") >= (int)(PATH_SIZE - at))
            status =
                wm_fail(err, WM_E_INPUT, "the path of the catalogue is too long; name a shorter one with --swatches");
    }
    return status;
}

static wm_status read_catalogue(wm_bytes *out, char path[PATH_SIZE], const args *a, wm_error *err)
{
    wm_status status = catalogue_path(path, a, err);
    if (status || !wm_file_exists(path))
        return status;
    return wm_file_read(out, path, WM_CATALOGUE_BYTES, WM_E_INPUT, err);
}

static void digest_of(char out[65], const wm_bytes *bytes)
{
    *out = '\0';
    if (bytes->data)
        wm_sha256_hex(out, bytes->data, bytes->size);
}

/* Where each row lies by depth and tone: L*, chroma, hue in degrees. */
static void write_depths(wm_buf *out, const wm_catalogue *catalogue)
{
    wm_buf_text(out, ",\"lch\":[");
    for (size_t i = 0; i < catalogue->count; i++) {
        wm_lch lch = wm_lab_to_lch(catalogue->items[i].lab);
        const double v[3] = { lch.L, lch.C, lch.h_deg };
        wm_buf_text(out, i ? "," : "");
        wm_buf_numbers(out, v, 3, 2);
    }
    wm_buf_text(out, "]");
}

static void write_csv(wm_buf *out, const wm_catalogue *catalogue, const char *digest)
{
    wm_buf csv = { 0 };
    wm_catalogue_write_csv(&csv, catalogue);
    wm_buf_format(out, "{\"base\":\"%s\",\"csv\":", digest);
    if (csv.failed)
        out->failed = true;
    else
        wm_buf_json_string(out, csv.data ? csv.data : "");
    write_depths(out, catalogue);
    wm_buf_text(out, "}\n");
    wm_buf_free(&csv);
}

wm_status get_catalogue(desk_call *call, wm_error *err)
{
    char path[PATH_SIZE], digest[65];
    wm_bytes bytes = { 0 };
    wm_catalogue catalogue = { 0 };
    bool found = false;
    wm_status status = read_catalogue(&bytes, path, call->desk->a, err);
    if (!status)
        status = consultation_catalogue(&catalogue, &found, call->desk->a, err);
    digest_of(digest, &bytes);
    if (!status && found)
        write_csv(answer_json(call), &catalogue, digest);
    else if (!status)
        wm_buf_text(answer_json(call), "{\"base\":\"\",\"csv\":null,\"lch\":[]}\n");
    wm_catalogue_free(&catalogue);
    wm_bytes_free(&bytes);
    return status;
}

static wm_status write_catalogue(const char *path, const wm_catalogue *catalogue, wm_error *err)
{
    wm_buf csv = { 0 };
    wm_status status = wm_catalogue_write(&csv, catalogue, path, false, err);
    if (!status)
        status = wm_buf_status(&csv, err);
    if (!status)
        status = wm_file_write(path, csv.data, csv.size, WM_FILE_FORCE, err);
    wm_buf_free(&csv);
    return status;
}

/* Against the command line, which may be adding swatches. */
static wm_status lock_catalogue(int *lock, desk_call *call, wm_error *err)
{
    char path[PATH_SIZE];
    wm_status status = catalogue_path(path, call->desk->a, err);
    return status ? status : wm_file_lock(lock, path, err);
}

/* Checked as if read from a file, and only over the version that was shown: two pages don't undo each other. */
static wm_status put(desk_call *call, const wm_json *body, wm_error *err)
{
    const char *csv = "", *base = "";
    char path[PATH_SIZE], digest[65];
    wm_bytes bytes = { 0 };
    wm_warnings warnings = { 0 };
    wm_catalogue catalogue = { 0 };
    wm_status status = call_text(&csv, body, "csv", err);
    if (!status)
        status = call_text(&base, body, "base", err);
    if (!status)
        status = read_catalogue(&bytes, path, call->desk->a, err);
    digest_of(digest, &bytes);
    if (!status && strcmp(digest, base) != 0)
        status = wm_fail(err, WM_E_BOOK, "the catalogue was changed meanwhile; load it again, then make your change");
    if (!status)
        status = wm_catalogue_parse_csv(&catalogue, csv, strlen(csv), "the catalogue", &warnings, err);
    if (!status)
        status = write_catalogue(path, &catalogue, err);
    wm_warnings_free(&warnings);
    wm_catalogue_free(&catalogue);
    wm_bytes_free(&bytes);
    return status;
}

wm_status put_catalogue(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    int lock = -1;
    wm_status status = call_body(&body, call, err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = lock_catalogue(&lock, call, err);
    if (!status)
        status = put(call, wm_json_root(body), err);
    wm_file_unlock(lock);
    pthread_mutex_unlock(&call->desk->lock);
    wm_json_free(body);
    return status ? status : get_catalogue(call, err);
}

/* --- measured from a photo --- */

typedef struct measuring {
    wm_zones zones;
    wm_catalogue known;
    bool found;
    clock_reading clock;
    wm_swatch_readings readings;
    wm_swatch_put *put;
    wm_sheet sheet;
} measuring;

static void write_lab(wm_buf *out, const char *key, wm_lab lab)
{
    const double v[3] = { lab.L, lab.a, lab.b };
    wm_buf_format(out, ",\"%s\":", key);
    wm_buf_numbers(out, v, 3, 4);
}

static void write_reading(wm_buf *out, const wm_swatch_reading *r, const wm_swatch_put *p)
{
    wm_buf_text(out, "{\"code\":");
    wm_buf_json_string(out, r->code);
    write_lab(out, "lab", p->lab);
    wm_buf_text(out, ",\"u\":");
    wm_buf_number(out, p->u, 4);
    wm_buf_format(out, ",\"outcome\":\"%s\",\"change_de00\":", wm_swatch_outcome_name(p->outcome));
    wm_buf_number(out, p->change_de00, 4);
    wm_buf_text(out, "}");
}

static void write_measured(wm_buf *out, const measuring *m, bool saved)
{
    wm_buf_format(out, "{\"saved\":%s,\"aid\":", saved ? "true" : "false");
    wm_buf_json_string(out, wm_aid_set_name(m->readings.aid));
    wm_buf_format(out, ",\"claim\":\"%s\",\"sheet\":\"%s\",\"swatches\":[", wm_claim_name(m->readings.claim),
                  wm_sheet_part_name(m->sheet.part));
    for (size_t i = 0; i < m->readings.count; i++) {
        wm_buf_text(out, i ? ",\n" : "\n");
        write_reading(out, &m->readings.items[i], &m->put[i]);
    }
    wm_buf_text(out, "],\"warnings\":[");
    for (size_t i = 0; i < m->readings.warnings.count; i++) {
        wm_buf_text(out, i ? ",{\"code\":" : "{\"code\":");
        wm_buf_json_string(out, m->readings.warnings.items[i].code);
        wm_buf_text(out, ",\"text\":");
        wm_buf_json_string(out, m->readings.warnings.items[i].text);
        wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]}\n");
}

static wm_status put_readings(measuring *m, const shelf_photo *photo, bool replace, wm_error *err)
{
    wm_photo_facts facts = wm_photo_facts_of(photo->photo);
    wm_swatch_origin origin = { facts.file, facts.sha256, m->readings.aid, m->clock.day, replace };
    m->put = calloc(m->readings.count + 1, sizeof *m->put);
    return m->put ? wm_swatches_put(m->put, &m->sheet, &m->known, &m->readings, &origin, err) : wm_fail_memory(err);
}

static wm_status measure(measuring *m, desk_call *call, const wm_json *body, const shelf_photo *photo, wm_error *err)
{
    wm_swatch_job job = { .photo = photo->photo, .zones = &m->zones, .known = &m->known };
    bool replace = wm_json_kind_of(wm_json_get(body, "replace")) == WM_JSON_TRUE;
    wm_status status = context_clock(&m->clock, call->desk->a, err);
    if (!status)
        status = consultation_zones(&m->zones, call, body, err);
    if (!status)
        status = consultation_catalogue(&m->known, &m->found, call->desk->a, err);
    if (!status)
        status = wm_swatches_measure(&m->readings, &job, err);
    return status ? status : put_readings(m, photo, replace, err);
}

static wm_status save_measured(const measuring *m, desk_call *call, wm_error *err)
{
    char path[PATH_SIZE];
    wm_status status = catalogue_path(path, call->desk->a, err);
    return status ? status : write_catalogue(path, &m->known, err);
}

wm_status post_catalogue_measure(desk_call *call, wm_error *err)
{
    measuring *m = calloc(1, sizeof *m);
    wm_json_document *body = NULL;
    shelf_photo *photo = NULL;
    int64_t id = 0;
    int lock = -1;
    wm_status status = m ? call_body(&body, call, err) : wm_fail_memory(err);
    bool saves = wm_json_kind_of(wm_json_get(wm_json_root(body), "save")) == WM_JSON_TRUE;
    if (!status)
        status = call_id(&id, wm_json_root(body), "photo", err);
    if (!status)
        status = shelf_hold(&photo, call->desk->shelf, id, err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status && saves)
        status = lock_catalogue(&lock, call, err);
    if (!status)
        status = measure(m, call, wm_json_root(body), photo, err);
    if (!status && saves)
        status = save_measured(m, call, err);
    wm_file_unlock(lock);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status)
        write_measured(answer_json(call), m, saves);
    if (photo)
        shelf_release(call->desk->shelf, photo);
    if (m) {
        free(m->put);
        wm_swatch_readings_free(&m->readings);
        wm_catalogue_free(&m->known);
        wm_zones_free(&m->zones);
    }
    free(m);
    wm_json_free(body);
    return status;
}
