/* match: the main job. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/noticed.h"
#include "consult/saved.h"
#include "consult/settle.h"
#include "context.h"
#include "output.h"
#include "report/json_out.h"
#include "say.h"
#include "verbs.h"

/* Everything that lives as long as the verb. */
typedef struct job {
    const args *a;
    wm_consult_input in;
    wm_settings settings;
    clock_reading clock;
    wm_wishes wishes;
    wm_zones zones;
    wm_catalogue catalogue; /* with what is free as its stock */
    wm_reserved reserved;
    wm_photo *photo;
    wm_book *book;
    wm_client client;
    int64_t instead_of; /* the visit that is measured anew; 0: none */
    history past;
    wm_plan_again again;
    wm_report report;
    wm_report_pictures pictures;
    wm_buf json;
    bool not_saved;
} job;

/* The client who is named, or whose visit is to be measured anew. */
static wm_status find_client(job *j, wm_error *err)
{
    wm_visit visit = { 0 };
    const char *name = args_text(j->a, "client"), *id = args_text(j->a, "instead-of");
    wm_date day;
    wm_status status = name ? wm_book_client_find(&j->client, j->book, name, err) : WM_OK;
    if (status || !id)
        return status;
    status = context_number(&j->instead_of, id, "visit", "client history NAME", err);
    if (!status)
        status = wm_book_visit_load(&visit, j->book, j->instead_of, err);
    if (!status && name && visit.client_id != j->client.id)
        status = wm_fail(err, WM_E_BOOK, "visit %s is not %s's; leave --client out, or name another visit", id,
                         j->client.name);
    if (!status)
        status = wm_book_client_load(&j->client, j->book, visit.client_id, err);
    if (!status && wm_date_parse(&day, visit.date)) { /* it stays of its day */
        j->clock.date = j->in.date = day;
        memcpy(j->clock.day, visit.date, sizeof j->clock.day);
    }
    wm_visit_free(&visit);
    return status;
}

/* Last of all: the book is not open while a photo is read. */
static wm_status open_client(job *j, wm_error *err)
{
    if (!args_has(j->a, "client") && !args_has(j->a, "instead-of"))
        return WM_OK;
    wm_status status = context_open_book(&j->book, j->a, args_has(j->a, "no-save") ? WM_BOOK_READ : WM_BOOK_WRITE, err);
    if (!status)
        status = find_client(j, err);
    if (!status)
        status = history_load(&j->past, j->book, j->client.id, false, err);
    if (status)
        return status;
    const size_t before = history_before(&j->past, j->instead_of);
    const history_line *last = history_measured(&j->past, before), *worn = history_worn(&j->past, before);
    j->in.client = j->client.name;
    j->in.previous = last ? last->report : NULL;
    j->in.previous_date = last ? last->at : NULL;
    if (worn) {
        const history_line *rows = history_rows(&j->past, worn);
        j->in.worn = &worn->installed;
        j->in.worn_report = rows ? rows->report : NULL;
        if (wm_settle_again(&j->again, &worn->visit, j->settings.plan.weft_visits))
            j->in.work = WM_WORK_MOVEUP;
        j->in.again = &j->again;
    }
    return WM_OK;
}

/* Pictures take as long as the match. */
static bool shows_pictures(const args *a)
{
    const bool kept = args_has(a, "client") || args_has(a, "instead-of");
    return args_has(a, "html") || args_has(a, "client-html") || (kept && !args_has(a, "no-save"));
}

/* All of it only for a picture. */
static wm_status open_photo(job *j, wm_error *err)
{
    const char *path = j->a->operands[0];
    return shows_pictures(j->a) ? wm_photo_open(&j->photo, path, &j->settings.limits, err)
                                : wm_consult_open_photo(&j->photo, path, &j->zones, &j->settings.limits, err);
}

static wm_status gather(job *j, wm_error *err)
{
    wm_status status = context_consult(&j->in, j->a, &j->settings, &j->clock, err);
    if (!status)
        status = context_wishes(&j->wishes, j->a, &j->settings, err);
    if (!status)
        status = output_check(j->a, err);
    if (!status && args_has(j->a, "ics") && j->wishes.row_count == 0)
        status = wm_fail(err, WM_E_USAGE, "--ics needs a plan; give the arc of the row with --arc");
    if (!status)
        status = context_zones(&j->zones, j->a, -1, err);
    if (!status)
        status = context_catalogue(&j->catalogue, j->a, err);
    if (!status)
        status = open_photo(j, err);
    if (!status)
        status = open_client(j, err);
    if (!status)
        status = context_count_free(&j->reserved, &j->catalogue, j->a, j->client.id, err);
    j->in.wishes = &j->wishes;
    j->in.zones = &j->zones;
    j->in.catalogue = &j->catalogue;
    j->in.photo = j->photo;
    return status;
}

/* The same bytes again are a slip more often than a second visit. */
static wm_status notice_photo(job *j, wm_error *err)
{
    wm_same_photo same;
    wm_status status = wm_noticed_photo(&same, j->book, j->report.photo.sha256, err);
    j->not_saved = !status && same.visit_id && same.visit_id != j->instead_of && !args_has(j->a, "again");
    if (j->not_saved)
        say_line("this photo is visit %lld of %s already, so nothing is saved; --again saves it once more, "
                 "--instead-of %lld measures that visit anew",
                 (long long)same.visit_id, same.client.name, (long long)same.visit_id);
    return status;
}

static wm_status notice_visit(const job *j, int64_t id, wm_error *err)
{
    wm_warnings warnings = { 0 };
    clock_reading today = { 0 };
    wm_status status = context_today(&today, err);
    const size_t before = history_before(&j->past, j->instead_of);
    wm_noticing noticing = { &j->report, j->clock.day, before ? j->past.lines[before - 1].at : NULL, today.date, id };
    char visit[40];
    wm_noticed_visit(&warnings, &noticing);
    snprintf(visit, sizeof visit, "visit %lld", (long long)id);
    say_plain_warnings(&warnings, visit);
    wm_warnings_free(&warnings);
    return status;
}

static wm_status save(job *j, wm_error *err)
{
    int64_t id = 0;
    if (!j->book || args_has(j->a, "no-save"))
        return WM_OK;
    wm_status noticed = notice_photo(j, err);
    if (noticed || j->not_saved)
        return noticed;
    const wm_visit visit =
        wm_saved_visit(j->client.id, &(wm_consulted){ &j->json, &j->report, &j->pictures, j->clock.day });
    wm_status status = j->instead_of ? wm_book_visit_measured(j->book, id = j->instead_of, &visit, err)
                                     : wm_book_visit_save(&id, j->book, &visit, err);
    if (!status)
        say_hint(j->a,
                 j->instead_of ? "visit %lld of %s is measured anew; what was noted stays" : "visit %lld of %s saved",
                 (long long)id, j->client.name);
    return status ? status : notice_visit(j, id, err);
}

static int finish(job *j)
{
    wm_error err;
    int code = 0;
    wm_bytes json = { (unsigned char *)j->json.data, j->json.size };
    output_input output = { .json = &json,
                            .pictures = &j->pictures,
                            .past = &j->past,
                            .stamp = j->clock.seconds,
                            .inches = j->settings.plan.units == WM_UNITS_IN,
                            .currency = j->settings.plan.currency };
    wm_status status = output_open(&output, j->a, &err);
    if (!status)
        status = output_files(j->a, &output, &code, &err);
    say_reserved(&j->reserved, j->report.has_plan ? &j->report.plan : NULL, args_has(j->a, "in-stock"));
    if (!status)
        status = save(j, &err);
    int written = status ? say_error(&err) : output_stdout(j->a, &output);
    output_close(&output);
    return written ? written : j->not_saved ? 1 : code;
}

static void job_free(job *j)
{
    wm_buf_free(&j->json);
    wm_report_free(&j->report);
    wm_report_pictures_free(&j->pictures);
    history_free(&j->past);
    wm_book_close(j->book);
    wm_photo_close(j->photo);
    wm_catalogue_free(&j->catalogue);
    wm_reserved_free(&j->reserved);
    wm_zones_free(&j->zones);
    free(j);
}

int verb_match(const args *a)
{
    wm_error err;
    job *j = calloc(1, sizeof *j);
    if (!j) {
        wm_fail_memory(&err);
        return say_error(&err);
    }
    j->a = a;
    wm_status status = gather(j, &err);
    if (!status)
        status = wm_consult_match(&j->report, shows_pictures(a) ? &j->pictures : NULL, &j->in, &err);
    if (!status)
        status = wm_report_to_json(&j->json, &j->report, &err);
    int code = status ? say_error(&err) : finish(j);
    job_free(j);
    return code;
}
