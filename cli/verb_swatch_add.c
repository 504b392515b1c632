/* swatch add: swatches of photos into a catalogue. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/on_hand.h"
#include "consult/swatch_photos.h"
#include "consult/swatch_put.h"
#include "context.h"
#include "core/file.h"
#include "core/plain.h"
#include "say.h"
#include "verbs.h"

enum { GRID_MOST = 40, CODES_BYTES = 1 << 20 };

/* What becomes of one photo. */
typedef struct sheet {
    wm_zones zones;
    wm_swatch_photo *photo; /* lent */
    wm_swatch_put *put;
    wm_sheet part;
    size_t written, drifted, left_out; /* left_out: not in the catalogue as measured, though they should be */
} sheet;

/* Everything that lives as long as the verb. */
typedef struct job {
    const args *a;
    char into[PATH_SIZE];
    wm_settings settings;
    clock_reading clock;
    wm_catalogue known, catalogue;
    wm_bytes codes_text;
    const char *codes[GRID_MOST * GRID_MOST];
    wm_swatch_job work;
    int jobs;
    wm_swatch_photo *photos; /* [count], like the next */
    sheet *sheets;
    size_t count, written;
} job;

/* --- what is asked
 * ---------------------------------------------------------------------------------------------------------------- */

static wm_status read_grid(job *j, wm_error *err)
{
    char rows[8];
    long r = 0, c = 0;
    const char *text = args_text(j->a, "grid");
    size_t n = text ? strcspn(text, "xX") : 0;
    if (!text)
        return args_has(j->a, "codes")
                   ? wm_fail(err, WM_E_USAGE, "--codes goes with --grid; for one swatch give --code")
                   : WM_OK;
    snprintf(rows, sizeof rows, "%.*s", (int)(n < sizeof rows ? n : sizeof rows - 1), text);
    if (!text[n] || !wm_whole_parse(rows, 1, GRID_MOST, &r) || !wm_whole_parse(text + n + 1, 1, GRID_MOST, &c))
        return wm_fail(err, WM_E_USAGE, "--grid can't be '%s'; give rows x columns such as 3x4, at most %d of each",
                       text, GRID_MOST);
    if (!args_has(j->a, "codes"))
        return wm_fail(
            err, WM_E_USAGE,
            "--grid needs the swatches' codes; give --codes FILE, row by row, one a line, - for an empty place");
    if (args_has(j->a, "code"))
        return wm_fail(err, WM_E_USAGE, "--code names one swatch and --grid a sheet of many; give one of them");
    j->work.grid[0] = (int)r;
    j->work.grid[1] = (int)c;
    return WM_OK;
}

static wm_status read_codes(job *j, wm_error *err)
{
    const char *path = args_text(j->a, "codes");
    const size_t wanted = (size_t)j->work.grid[0] * (size_t)j->work.grid[1];
    char *rest = NULL;
    size_t count = 0;
    if (!wanted)
        return WM_OK;
    wm_status status = wm_file_read(&j->codes_text, path, CODES_BYTES, WM_E_INPUT, err);
    if (status)
        return status;
    for (char *line = strtok_r((char *)j->codes_text.data, "\r\n", &rest); line; line = strtok_r(NULL, "\r\n", &rest)) {
        line += strspn(line, " \t");
        for (size_t n = strlen(line); n && strchr(" \t", line[n - 1]);)
            line[--n] = '\0';
        if (*line && count++ < wanted)
            j->codes[count - 1] = line;
    }
    j->work.codes = j->codes;
    if (count != wanted)
        return wm_fail_at(err, WM_E_INPUT, path, 0, 0,
                          "holds %zu codes, a grid of %d x %d has %zu places; write one a line, - for an empty place",
                          count, j->work.grid[0], j->work.grid[1], wanted);
    return WM_OK;
}

static wm_status choose_into(job *j, wm_error *err)
{
    const char *given = args_text(j->a, "into");
    const char *dot;
    if (given && snprintf(j->into, sizeof j->into, "%s", given) >= PATH_SIZE)
        return wm_fail(err, WM_E_USAGE, "the path of --into is too long; name a shorter one");
    if (!given && context_swatches_path(j->into, j->a, err))
        return wm_fail(err, WM_E_INPUT,
                       "there is no catalogue to add to; name one with --into FILE.csv, it is made when there is none");
    dot = strrchr(j->into, '.');
    if (!dot || strcmp(dot, ".csv") != 0)
        return wm_fail_at(err, WM_E_USAGE, j->into, 0, 0,
                          "a measured catalogue keeps uncertainty and date, so it is a .csv; name one with --into");
    return wm_file_check_new(j->into, true, err);
}

static wm_status load_catalogue(wm_catalogue *out, const char *path, wm_error *err)
{
    wm_warnings warnings = { 0 };
    wm_status status = wm_catalogue_load(out, path, &warnings, err);
    say_plain_warnings(&warnings, path);
    wm_warnings_free(&warnings);
    return status;
}

static wm_status load_catalogues(job *j, wm_error *err)
{
    char path[PATH_SIZE];
    wm_error none;
    wm_status status = WM_OK;
    bool known = args_has(j->a, "swatches") || !context_swatches_path(path, j->a, &none);
    if (known)
        status = context_catalogue(&j->known, j->a, err);
    if (!status && wm_file_exists(j->into))
        status = load_catalogue(&j->catalogue, j->into, err);
    return status;
}

/* What says something of one photo only can't be said of many. */
static wm_status check_many(const args *a, wm_error *err)
{
    static const char *const OF_ONE[] = { "grid", "codes", "code", "lot", "zone" };
    const size_t zones = args_count(a, "zones");
    if (a->operand_count == 1)
        return WM_OK;
    for (size_t i = 0; i < sizeof OF_ONE / sizeof OF_ONE[0]; i++)
        if (args_has(a, OF_ONE[i]))
            return wm_fail(err, WM_E_USAGE, "--%s is of one photo; add that photo by itself", OF_ONE[i]);
    if (zones && zones != a->operand_count)
        return wm_fail(err, WM_E_USAGE,
                       "there are %zu photos and %zu --zones; give each photo's in the same order, or none: then "
                       "the one beside each is read, client.zones.json beside client.jpg",
                       a->operand_count, zones);
    return WM_OK;
}

/* What is wrong with one photo among many names it. */
static void blame(wm_swatch_photo *photo)
{
    if (!*photo->error.file)
        snprintf(photo->error.file, sizeof photo->error.file, "%s", photo->path);
}

static wm_status take_photos(job *j, wm_error *err)
{
    const args *a = j->a;
    j->photos = calloc(a->operand_count, sizeof *j->photos);
    j->sheets = calloc(a->operand_count, sizeof *j->sheets);
    if (!j->photos || !j->sheets)
        return wm_fail_memory(err);
    j->count = a->operand_count;
    for (size_t i = 0; i < j->count; i++) {
        wm_swatch_photo *photo = j->sheets[i].photo = &j->photos[i];
        photo->path = a->operands[i];
        photo->zones = &j->sheets[i].zones;
        if (j->count > 1 && !args_has(a, "zones"))
            photo->status = context_zones_beside(&j->sheets[i].zones, a, photo->path, &photo->error);
        else
            photo->status = context_zones(&j->sheets[i].zones, a, j->count > 1 ? (long)i : -1, &photo->error);
    }
    return WM_OK;
}

static wm_status gather(job *j, wm_error *err)
{
    wm_status status = check_many(j->a, err);
    if (!status)
        status = context_clock(&j->clock, j->a, err);
    if (!status)
        status = context_jobs(&j->jobs, j->a, err);
    if (!status)
        status = read_grid(j, err);
    if (!status)
        status = context_settings(&j->settings, j->a, err);
    if (!status)
        status = choose_into(j, err);
    if (!status)
        status = read_codes(j, err);
    if (!status)
        status = take_photos(j, err);
    if (!status)
        status = load_catalogues(j, err);
    j->work.known = &j->known;
    j->work.code = args_text(j->a, "code");
    return status;
}

/* --- what is done
 * ----------------------------------------------------------------------------------------------------------------- */

static void show_progress(void *user, size_t done, size_t all)
{
    say_progress_step(user, done, all);
}

static void measure(job *j)
{
    say_progress progress = say_progress_start(j->a, "photos");
    wm_swatches_measure_photos(
        j->photos, j->count,
        &(wm_swatch_photos_input){ &j->work, &j->settings.limits, j->jobs, show_progress, &progress });
    say_progress_end(&progress);
    for (size_t i = 0; i < j->count; i++)
        if (!j->photos[i].status)
            say_plain_warnings(&j->photos[i].readings.warnings, j->photos[i].path);
}

static void count(sheet *s, wm_swatch_outcome outcome)
{
    switch (outcome) {
    case WM_SWATCH_SEEN:
    case WM_SWATCH_KEPT: break;
    case WM_SWATCH_BADLY_LAID:
    case WM_SWATCH_TOO_UNSURE:
    case WM_SWATCH_OTHER_SHEET: s->left_out++; break;
    case WM_SWATCH_DRIFTED: s->drifted++; break;
    default: s->written++;
    }
}

static wm_status put_one(job *j, sheet *s, wm_error *err)
{
    const wm_swatch_photo *photo = s->photo;
    const wm_swatch_readings *readings = &photo->readings;
    const wm_swatch_origin origin = { photo->file, photo->sha256, readings->aid, j->clock.day,
                                      args_has(j->a, "force") };
    s->put = calloc(readings->count + 1, sizeof *s->put);
    if (!s->put)
        return wm_fail_memory(err);
    wm_status status = wm_swatches_put(s->put, &s->part, &j->catalogue, readings, &origin, err);
    for (size_t i = 0; i < readings->count && !status; i++)
        count(s, s->put[i].outcome);
    return status;
}

/* One photo after the other, in their order. What one is refused for is its own; what is ours ends it all. */
static wm_status put_all(job *j, wm_error *err)
{
    for (size_t i = 0; i < j->count; i++) {
        wm_swatch_photo *photo = &j->photos[i];
        if (!photo->status)
            photo->status = put_one(j, &j->sheets[i], &photo->error);
        j->written += j->sheets[i].written;
        if (photo->status >= WM_E_MEMORY) {
            *err = photo->error;
            return photo->status;
        }
    }
    return WM_OK;
}

/* --- a lot of shades that are known: its colours beside theirs --- */

static wm_lot lot_of(const job *j, size_t i)
{
    const wm_swatch_photo *photo = &j->photos[0];
    const wm_swatch_reading *reading = &photo->readings.items[i];
    wm_lot lot = { .lab = reading->colour.lab, .u = reading->colour.u_de00 };
    snprintf(lot.code, sizeof lot.code, "%s", reading->code);
    snprintf(lot.lot, sizeof lot.lot, "%s", args_text(j->a, "lot"));
    snprintf(lot.measured, sizeof lot.measured, "%s", j->clock.day);
    snprintf(lot.source, sizeof lot.source, "%.100s", photo->file);
    return lot;
}

static wm_status check_lot(const job *j, wm_error *err)
{
    const char *lot = args_text(j->a, "lot");
    const wm_swatch_readings *readings = &j->photos[0].readings;
    if (!*lot || strlen(lot) >= WM_LOT_SIZE || !wm_plain_line(lot))
        return wm_fail(err, WM_E_USAGE, "--lot is one line of plain text, at most %d bytes; shorten it",
                       WM_LOT_SIZE - 1);
    if (!readings->by_known || *readings->frame)
        return wm_fail(err, WM_E_INPUT,
                       "a lot is compared by measured colours; lay three known swatches beside it and mark them");
    for (size_t i = 0; i < readings->count; i++)
        if (!wm_catalogue_find(&j->catalogue, readings->items[i].code))
            return wm_fail(err, WM_E_INPUT,
                           "the catalogue has no '%s' that this could be a lot of; add it without --lot",
                           readings->items[i].code);
    return WM_OK;
}

static wm_status put_lots(job *j, wm_error *err)
{
    wm_book *book = NULL;
    wm_status status = check_lot(j, err);
    if (!status)
        status = context_open_book(&book, j->a, WM_BOOK_CREATE, err);
    if (!status)
        status = wm_book_begin(book, err);
    const bool begun = !status;
    for (size_t i = 0; i < j->photos[0].readings.count && !status; i++) {
        const wm_lot lot = lot_of(j, i);
        status = wm_book_put_lot(book, &lot, err);
    }
    if (begun)
        status = wm_book_end(book, status, err);
    wm_book_close(book);
    return status;
}

static int finish_lots(job *j)
{
    wm_buf out = { 0 };
    char d[48], u[48];
    size_t changed = 0;
    for (size_t i = 0; i < j->photos[0].readings.count; i++) {
        const wm_lot lot = lot_of(j, i);
        wm_lot_change change;
        wm_lot_changed(&change, &lot, &j->catalogue);
        changed += change.changed;
        wm_buf_format(&out, "%s, lot %s: ", lot.code, lot.lot);
        wm_buf_format(&out, "dE00 %s +- %s from the catalogue%s\n", wm_number_text(d, change.de00, 1),
                      wm_number_text(u, change.u, 1),
                      change.changed ? "; CHANGED: don't sew it beside older lots unseen" : "; as before");
    }
    int code = say_result(&out);
    wm_buf_free(&out);
    return code ? code : changed > 0;
}

static wm_status save(job *j, wm_error *err)
{
    wm_buf csv = { 0 };
    if (j->written == 0)
        return WM_OK;
    wm_catalogue_write_csv(&csv, &j->catalogue);
    wm_status status = wm_buf_status(&csv, err);
    if (!status)
        status = wm_file_write(j->into, csv.data, csv.size, WM_FILE_FORCE, err);
    wm_buf_free(&csv);
    return status;
}

/* --- what is said
 * ----------------------------------------------------------------------------------------------------------------- */

static const char *claim_words(wm_claim claim)
{
    switch (claim) {
    case WM_CLAIM_NAME: return "good enough to name a shade by";
    case WM_CLAIM_RUNNER_UP: return "good enough to name a shade by, with its runner-up";
    case WM_CLAIM_THREE:
        return "good enough for a short list of three; three known swatches beside the new ones make it better";
    case WM_CLAIM_FIVE:
        return "good enough for a short list of five; three known swatches beside the new ones make it better";
    default:
        return "too rough to choose shades by; lay three known swatches, one dark, one light, one between, beside the new ones and measure again";
    }
}

static void text_outcome(wm_buf *out, const wm_swatch_put *put, wm_sheet_part part)
{
    char d[48], u[48];
    wm_number_text(d, put->change_de00, 1);
    wm_number_text(u, put->change_u, 1);
    switch (put->outcome) {
    case WM_SWATCH_NEW: wm_buf_text(out, "new\n"); break;
    case WM_SWATCH_REPLACED: wm_buf_format(out, "replaced, dE00 %s from before\n", d); break;
    case WM_SWATCH_AVERAGED: wm_buf_format(out, "averaged, dE00 %s +- %s from before\n", d, u); break;
    case WM_SWATCH_DRIFTED: wm_buf_format(out, "CHANGED by dE00 %s +- %s; left as it was\n", d, u); break;
    case WM_SWATCH_SEEN: wm_buf_text(out, "left: this photo is in it already\n"); break;
    case WM_SWATCH_KEPT:
        if (part == WM_SHEET_JOINED)
            wm_buf_format(out, "as it was, dE00 %s +- %s\n", d, u);
        else
            wm_buf_text(out, "as it was\n");
        break;
    case WM_SWATCH_BADLY_LAID:
        wm_buf_format(out, "OFF by dE00 %s: laid badly, or another swatch; not averaged\n", d);
        break;
    case WM_SWATCH_TOO_UNSURE: wm_buf_text(out, "LEFT OUT: too unlike the swatches on both sheets\n"); break;
    case WM_SWATCH_OTHER_SHEET:
        wm_buf_text(out, "LEFT AS IT WAS: measured in another way before; --force replaces it\n");
        break;
    }
}

static void text_line(wm_buf *out, const sheet *s, size_t i, wm_chips chips)
{
    const wm_swatch_reading *r = &s->photo->readings.items[i];
    const wm_swatch_put *put = &s->put[i];
    char n[48];
    wm_text_chip(out, put->lab, chips);
    wm_buf_format(out, "%-14s%6s", r->code, wm_number_text(n, put->lab.L, 1));
    wm_buf_format(out, "%6s", wm_number_text(n, put->lab.a, 1));
    wm_buf_format(out, "%6s", wm_number_text(n, put->lab.b, 1));
    wm_buf_format(out, "%5s", wm_number_text(n, put->u, 1));
    if (r->has_share)
        wm_buf_format(out, "%5s %%  ", wm_number_text(n, 100 * r->share, 0));
    else
        wm_buf_text(out, "    ?    ");
    text_outcome(out, put, s->part.part);
}

/* C36 */
static const char AMONG_THEMSELVES[] =
    "measured among themselves: good for choosing between your own swatches when you hold some of them at the hair;\n"
    "not colours to quote to anyone\n";
static const char LAY_ANEW[] =
    "Next: take up the swatches, shuffle them, lay them out again and add a second photo: then the program knows how sure it is\n"
    "and may name a shade.\n";

static void write_part(wm_buf *out, const sheet *s)
{
    char u1[48];
    const wm_sheet *part = &s->part;
    const wm_swatch_readings *readings = &s->photo->readings;
    const char *aid = readings->aid == WM_AIDS_NONE ? "nothing of known colour" : wm_aid_set_name(readings->aid);
    wm_number_text(u1, part->u1, 1);
    wm_buf_text(out, "\n");
    switch (part->part) {
    case WM_SHEET_BY_KNOWN:
        wm_buf_format(out, "measured by %s: %s\n", aid, claim_words(readings->claim));
        if (*part->frame)
            wm_buf_text(out, AMONG_THEMSELVES);
        break;
    case WM_SHEET_OPENS_FRAME:
        wm_buf_format(out, "sheet by %s, %s", aid, AMONG_THEMSELVES);
        if (s->written >= WM_FRAME_RELAID_LEAST)
            wm_buf_text(out, LAY_ANEW);
        break;
    case WM_SHEET_RELAID:
        wm_buf_format(out,
                      "%d photos of this sheet, laid out again: one photo is good to +- %s, you see their mean\n%s",
                      part->photos, u1, AMONG_THEMSELVES);
        break;
    case WM_SHEET_NOT_LAID_ANEW:
        wm_buf_format(
            out, "the swatches were not laid out again (they differ by only %s): nothing is taken from this photo\n%s",
            u1, LAY_ANEW);
        break;
    case WM_SHEET_JOINED:
        wm_buf_format(out, "joined to %s in the catalogue by the swatches that are on both\n",
                      *part->frame ? "the sheet" : "the measured colours");
        break;
    }
    if (part->another)
        wm_buf_text(
            out,
            "the catalogue also holds shades of another sheet or of an instrument: a match compares only those of the swatches\n"
            "that are held at the hair; to join them, photograph three of those, dark, middle and light, with these\n");
}

static void write_sheet(wm_buf *out, const sheet *s, wm_chips chips)
{
    wm_buf_format(out, "%s%-14s%6s%6s%6s%5s%7s\n", chips ? "    " : "", "code", "L*", "a*", "b*", "+-", "gray");
    for (size_t i = 0; i < s->photo->readings.count; i++)
        text_line(out, s, i, chips);
    write_part(out, s);
    if (s->drifted)
        wm_buf_format(
            out,
            "%zu shade%s changed by more than twice the uncertainty: another lot, another label or other light; look at %s, then\n"
            "measure again: with --lot NAME to keep the new lot beside the old, with --force to keep the new measurement alone\n",
            s->drifted, s->drifted == 1 ? "" : "s", s->drifted == 1 ? "it" : "them");
}

/* Of many photos each under its name. */
static void write_text(wm_buf *out, const job *j)
{
    const wm_chips chips = say_style(j->a).chips;
    for (size_t i = 0; i < j->count; i++) {
        if (j->photos[i].status)
            continue;
        if (j->count > 1)
            wm_buf_format(out, "%s%s\n", out->size ? "\n" : "", j->photos[i].path);
        write_sheet(out, &j->sheets[i], chips);
    }
}

static void job_free(job *j)
{
    for (size_t i = 0; i < j->count; i++) {
        free(j->sheets[i].put);
        wm_zones_free(&j->sheets[i].zones);
        wm_swatch_readings_free(&j->photos[i].readings);
    }
    free(j->sheets);
    free(j->photos);
    wm_catalogue_free(&j->known);
    wm_catalogue_free(&j->catalogue);
    wm_bytes_free(&j->codes_text);
    free(j);
}

static bool is_doubtful(const sheet *s)
{
    return s->drifted || s->left_out || s->part.part == WM_SHEET_NOT_LAID_ANEW ||
           (s->part.part == WM_SHEET_BY_KNOWN && s->photo->readings.claim == WM_CLAIM_ROUGH);
}

/* Each photo that failed in a line; the exit status of the first of them, 0 when there is none. */
static int say_failed(const job *j)
{
    int first = 0;
    size_t failed = 0;
    for (size_t i = 0; i < j->count; i++) {
        if (!j->photos[i].status)
            continue;
        if (j->count > 1)
            blame(&j->photos[i]);
        const int code = say_error(&j->photos[i].error);
        first = first ? first : code;
        failed++;
    }
    if (failed && failed < j->count)
        say_hint(j->a, "%zu of %zu photos could not be measured; the others are in %s", failed, j->count, j->into);
    else if (!failed && j->count > 1)
        say_hint(j->a, "all %zu photos are in %s", j->count, j->into);
    return first;
}

static int finish(job *j)
{
    wm_buf out = { 0 };
    bool doubtful = false;
    const int failed = say_failed(j);
    write_text(&out, j);
    const int code = say_result(&out);
    wm_buf_free(&out);
    for (size_t i = 0; i < j->count; i++)
        doubtful |= !j->photos[i].status && is_doubtful(&j->sheets[i]);
    return code ? code : failed ? failed : doubtful;
}

/* One photo of a lot. */
static int add_lot(job *j)
{
    wm_error err;
    if (j->photos[0].status)
        return say_error(&j->photos[0].error);
    return put_lots(j, &err) ? say_error(&err) : finish_lots(j);
}

/* Into the catalogue as it is by now: others may have added to it while the photos were measured. */
static wm_status put_and_save(job *j, wm_error *err)
{
    int lock = -1;
    wm_catalogue now = { 0 };
    wm_status status = wm_file_lock(&lock, j->into, err);
    if (!status && wm_file_exists(j->into))
        status = wm_catalogue_load(&now, j->into, NULL, err);
    if (!status) {
        wm_catalogue_free(&j->catalogue);
        j->catalogue = now;
        status = put_all(j, err);
    }
    if (!status)
        status = save(j, err);
    wm_file_unlock(lock);
    return status;
}

static int add_to_catalogue(job *j)
{
    wm_error err;
    wm_status status = put_and_save(j, &err);
    if (status)
        return say_error(&err);
    const int code = finish(j);
    if (j->count == 1 && !j->photos[0].status)
        say_hint(j->a, "%zu shade%s written to %s", j->written, j->written == 1 ? "" : "s", j->into);
    return code;
}

int verb_swatch_add(const args *a)
{
    wm_error err;
    job *j = calloc(1, sizeof *j);
    if (!j) {
        wm_fail_memory(&err);
        return say_error(&err);
    }
    j->a = a;
    int code = 0;
    if (gather(j, &err)) {
        code = say_error(&err);
    } else {
        measure(j);
        code = args_has(a, "lot") ? add_lot(j) : add_to_catalogue(j);
    }
    job_free(j);
    return code;
}
