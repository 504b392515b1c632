#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/log.h"
#include "core/buf.h"
#include "core/plain.h"
#include "core/words.h"

static const char *const KINDS[] = { "", "consultation", "installation", "move-up", "removal", NULL };

const char *wm_visit_kind_name(wm_visit_kind kind)
{
    return wm_word_of(KINDS, kind);
}

bool wm_visit_kind_parse(const char *text, wm_visit_kind *out)
{
    unsigned value = 0;
    if (!wm_word_find(KINDS, text, &value) || value == WM_VISIT_UNSAID)
        return false;
    *out = (wm_visit_kind)value;
    return true;
}

static wm_status no_visit(const wm_book *book, int64_t id, wm_error *err)
{
    return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "there is no visit %lld; see weftmatch client history NAME",
                      (long long)id);
}

/* --- attachments --- */

typedef struct attachment {
    const char *kind;
    const wm_bytes *bytes;
    const char *called; /* in the log */
} attachment;

enum { ATTACHMENTS = 7, MEASURED_ATTACHMENTS = 4 }; /* the first ones are what a photo gave */

static void attachments_of(attachment out[ATTACHMENTS], const wm_visit *v)
{
    out[0] = (attachment){ "report", &v->report_json, "report" };
    out[1] = (attachment){ "photo", &v->photo_jpeg, "photo" };
    out[2] = (attachment){ "gray_map", &v->gray_map_png, "gray map" };
    out[3] = (attachment){ "zones", &v->zones_json, "zones" };
    out[4] = (attachment){ "after", &v->after_jpeg, "photo after" };
    out[5] = (attachment){ "after_zones", &v->after_zones_json, "zones after" };
    out[6] = (attachment){ "after_report", &v->after_report_json, "colours after" };
}

/* Empty bytes: none. What stays the same is not written again, so that the log keeps no second copy. */
static wm_status put_attachment(wm_book *book, int64_t visit_id, const attachment *a, wm_error *err)
{
    wm_query q = wm_query__of(
        book, a->bytes->size ? "INSERT INTO attachment (visit_id, kind, bytes) VALUES (?1, ?2, ?3) ON CONFLICT "
                               "(visit_id, kind) DO UPDATE SET bytes = ?3 WHERE bytes <> ?3"
                             : "DELETE FROM attachment WHERE visit_id = ?1 AND kind = ?2");
    wm_query__int(&q, 1, visit_id);
    wm_query__text(&q, 2, a->kind);
    if (a->bytes->size)
        wm_query__bytes(&q, 3, a->bytes);
    return wm_query__finish(&q, err);
}

/* From the `first` on. */
static wm_status put_attachments(wm_book *book, int64_t visit_id, const wm_visit *visit, int first, wm_error *err)
{
    attachment all[ATTACHMENTS];
    wm_status status = WM_OK;
    attachments_of(all, visit);
    for (int i = first; i < ATTACHMENTS && !status; i++)
        status = put_attachment(book, visit_id, &all[i], err);
    return status;
}

/* Of a list of kinds, each between commas. */
static wm_status load_attachments(wm_visit *visit, wm_book *book, const char *kinds, wm_error *err)
{
    wm_bytes *const into[ATTACHMENTS] = { &visit->report_json,      &visit->photo_jpeg, &visit->gray_map_png,
                                          &visit->zones_json,       &visit->after_jpeg, &visit->after_zones_json,
                                          &visit->after_report_json };
    attachment all[ATTACHMENTS];
    attachments_of(all, visit);
    wm_query q = wm_query__of(book, "SELECT kind, CASE WHEN instr(?2, ',' || kind || ',') THEN bytes END FROM "
                                    "attachment WHERE visit_id = ?1");
    wm_query__int(&q, 1, visit->id);
    wm_query__text(&q, 2, kinds);
    while (wm_query__row(&q)) {
        visit->has_photo = visit->has_photo || strcmp(wm_query__peek(&q, 0), "photo") == 0;
        visit->has_after = visit->has_after || strcmp(wm_query__peek(&q, 0), "after") == 0;
        for (int i = 0; i < ATTACHMENTS; i++)
            if (strcmp(all[i].kind, wm_query__peek(&q, 0)) == 0)
                wm_query__get_bytes(into[i], &q, 1);
    }
    return wm_query__end(&q, err);
}

/* --- what was sewn on --- */

static void read_sewn(void *row, const wm_query *q)
{
    wm_sewn *out = row;
    wm_query__get_text(out->code, sizeof out->code, q, 0);
    wm_query__get_text(out->lot, sizeof out->lot, q, 1);
    out->length_cm = wm_query__get_number(q, 2);
    out->width_cm = wm_query__get_number(q, 3);
    out->worn = (int)wm_query__get_int(q, 4);
}

static wm_status load_sewn(wm_visit *out, wm_book *book, wm_error *err)
{
    wm_query q =
        wm_query__of(book, "SELECT code, lot, length_cm, width_cm, worn FROM sewn WHERE visit_id = ? ORDER BY rowid");
    wm_query__int(&q, 1, out->id);
    while (out->sewn_count < WM_SEWN_SHADES && wm_query__row(&q))
        read_sewn(&out->sewn[out->sewn_count++], &q);
    return wm_query__end(&q, err);
}

static wm_status put_sewn(wm_book *book, int64_t visit_id, const wm_sewn *sewn, wm_error *err)
{
    wm_query q = wm_query__of(
        book, "INSERT INTO sewn (visit_id, code, lot, length_cm, width_cm, worn) VALUES (?, ?, ?, ?, ?, ?)");
    wm_query__int(&q, 1, visit_id);
    wm_query__text(&q, 2, sewn->code);
    wm_query__text(&q, 3, sewn->lot);
    wm_query__number(&q, 4, sewn->length_cm);
    wm_query__number(&q, 5, sewn->width_cm);
    wm_query__int(&q, 6, sewn->worn);
    return wm_query__finish(&q, err);
}

static wm_status put_all_sewn(wm_book *book, int64_t visit_id, const wm_visit *visit, wm_error *err)
{
    wm_query q = wm_query__of(book, "DELETE FROM sewn WHERE visit_id = ?");
    wm_query__int(&q, 1, visit_id);
    wm_status status = wm_query__finish(&q, err);
    for (size_t i = 0; i < visit->sewn_count && !status; i++)
        status = put_sewn(book, visit_id, &visit->sewn[i], err);
    return status;
}

static bool same_sewn(const wm_visit *a, const wm_visit *b)
{
    if (a->sewn_count != b->sewn_count)
        return false;
    for (size_t i = 0; i < a->sewn_count; i++) {
        const wm_sewn *one = &a->sewn[i], *other = &b->sewn[i];
        if (strcmp(one->code, other->code) != 0 || strcmp(one->lot, other->lot) != 0 || one->worn != other->worn ||
            fabs(one->length_cm - other->length_cm) > 0 || fabs(one->width_cm - other->width_cm) > 0)
            return false;
    }
    return true;
}

/* --- the row --- */

/* Parameters 1 to 9 of a visit's row; `installed` as text. */
static void bind_row(wm_query *q, const wm_visit *v, const char *installed)
{
    wm_query__int(q, 1, v->client_id);
    wm_query__text(q, 2, v->date);
    wm_query__text(q, 3, v->photo_sha256);
    wm_query__text(q, 4, installed);
    wm_query__text(q, 5, v->why);
    wm_query__text(q, 6, v->note);
    if (v->has_charged)
        wm_query__int(q, 7, v->charged_minor);
    wm_query__text(q, 8, wm_visit_kind_name(v->kind));
    if (v->has_deposit)
        wm_query__int(q, 9, v->deposit_minor);
}

static wm_status insert_visit(int64_t *id, wm_book *book, const wm_visit *visit, wm_error *err)
{
    char installed[WM_STACK_TEXT_SIZE];
    wm_query q = wm_query__of(book, "INSERT INTO visit (client_id, date, photo_sha256, installed, why, note, "
                                    "charged_minor, kind, deposit_minor) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");
    bind_row(&q, visit, wm_stack_text(installed, &visit->installed, ","));
    wm_status status = wm_query__finish(&q, err);
    if (status)
        return status;
    *id = wm_db__last_id(book);
    status = put_all_sewn(book, *id, visit, err);
    return status ? status : put_attachments(book, *id, visit, 0, err);
}

static wm_status load_row(wm_visit *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT client_id, date, photo_sha256, installed, why, note, charged_minor, kind, "
                                    "deposit_minor FROM visit WHERE id = ?");
    wm_query__int(&q, 1, id);
    bool found = wm_query__row(&q);
    if (found) {
        out->id = id;
        out->client_id = wm_query__get_int(&q, 0);
        wm_query__get_text(out->date, sizeof out->date, &q, 1);
        wm_query__get_text(out->photo_sha256, sizeof out->photo_sha256, &q, 2);
        wm_stack_parse(&out->installed, wm_query__peek(&q, 3), NULL); /* free text of version 1 stays in the book */
        wm_query__get_text(out->why, sizeof out->why, &q, 4);
        wm_query__get_text(out->note, sizeof out->note, &q, 5);
        out->has_charged = !wm_query__is_null(&q, 6);
        out->charged_minor = wm_query__get_int(&q, 6);
        wm_visit_kind_parse(wm_query__peek(&q, 7), &out->kind);
        out->has_deposit = !wm_query__is_null(&q, 8);
        out->deposit_minor = wm_query__get_int(&q, 8);
    }
    wm_status status = wm_query__end(&q, err);
    return !status && !found ? no_visit(book, id, err) : status;
}

static wm_status load(wm_visit *out, wm_book *book, int64_t id, const char *kinds, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = load_row(&visit, book, id, err);
    if (!status)
        status = load_sewn(&visit, book, err);
    if (!status)
        status = load_attachments(&visit, book, kinds, err);
    if (status)
        wm_visit_free(&visit);
    else
        *out = visit;
    return status;
}

wm_status wm_book_visit_load(wm_visit *out, wm_book *book, int64_t id, wm_error *err)
{
    return load(out, book, id, ",report,photo,gray_map,zones,after,after_zones,after_report,", err);
}

wm_status wm_book_visit_load_parts(wm_visit *out, wm_book *book, int64_t id, unsigned parts, wm_error *err)
{
    static const char *const KINDS_OF[] = { ",", ",report,after_report,", ",photo,after,",
                                            ",report,after_report,photo,after," };
    return load(out, book, id, KINDS_OF[parts & (WM_VISIT_REPORTS | WM_VISIT_PICTURES)], err);
}

void wm_visit_free(wm_visit *visit)
{
    if (!visit)
        return;
    wm_bytes_free(&visit->report_json);
    wm_bytes_free(&visit->photo_jpeg);
    wm_bytes_free(&visit->gray_map_png);
    wm_bytes_free(&visit->zones_json);
    wm_bytes_free(&visit->after_jpeg);
    wm_bytes_free(&visit->after_zones_json);
    wm_bytes_free(&visit->after_report_json);
}

/* --- changing it --- */

/* The visit's client, for the line in the log. */
static wm_status client_of(wm_client *out, wm_book *book, int64_t visit_id, wm_error *err)
{
    int64_t id = 0;
    wm_query q = wm_query__of(book, "SELECT client_id FROM visit WHERE id = ?");
    wm_query__int(&q, 1, visit_id);
    bool found = wm_query__row(&q);
    if (found)
        id = wm_query__get_int(&q, 0);
    wm_status status = wm_query__end(&q, err);
    if (!status && !found)
        status = no_visit(book, visit_id, err);
    return status ? status : wm_book_client_load(out, book, id, err);
}

wm_status wm_book_visit_save(int64_t *id, wm_book *book, const wm_visit *visit, wm_error *err)
{
    int64_t saved = 0;
    wm_client client;
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_client_load(&client, book, visit->client_id, err);
    if (!status)
        status = insert_visit(&saved, book, visit, err);
    wm_log_line line = { "visit save", visit->client_id, 0, saved };
    if (!status)
        status =
            wm_log__tell(book, &line, err, "visit %lld of %s saved, %s", (long long)saved, client.name, visit->date);
    status = wm_book_end(book, status, err);
    if (!status)
        *id = saved;
    return status;
}

static bool same_stack(const wm_stack *one, const wm_stack *other)
{
    char text[2][WM_STACK_TEXT_SIZE];
    return strcmp(wm_stack_text(text[0], one, ","), wm_stack_text(text[1], other, ",")) == 0;
}

/* "date, installed" */
static void add_field(wm_buf *out, bool changed, const char *name)
{
    if (changed)
        wm_buf_format(out, "%s%s", out->size ? ", " : "", name);
}

static void list_changes(wm_buf *out, const wm_visit *before, const wm_visit *now)
{
    attachment old[ATTACHMENTS], new[ATTACHMENTS];
    attachments_of(old, before);
    attachments_of(new, now);
    add_field(out, strcmp(before->date, now->date) != 0, "date");
    add_field(out, before->kind != now->kind, "kind");
    add_field(out, !same_stack(&before->installed, &now->installed), "installed");
    add_field(out, same_stack(&before->installed, &now->installed) && !same_sewn(before, now), "wefts");
    add_field(out, strcmp(before->why, now->why) != 0, "why");
    add_field(out, strcmp(before->note, now->note) != 0, "note");
    add_field(out, before->has_charged != now->has_charged || before->charged_minor != now->charged_minor, "charged");
    add_field(out, before->has_deposit != now->has_deposit || before->deposit_minor != now->deposit_minor, "deposit");
    for (int i = 1; i < ATTACHMENTS; i++)
        add_field(out,
                  old[i].bytes->size != new[i].bytes->size ||
                      (old[i].bytes->size && memcmp(old[i].bytes->data, new[i].bytes->data, old[i].bytes->size) != 0),
                  old[i].called);
}

/* Layers that stay leave the text as it is, which may be free text of version 1. */
static wm_status put_row(wm_book *book, const wm_visit *visit, const wm_visit *before, wm_error *err)
{
    char installed[WM_STACK_TEXT_SIZE];
    wm_visit row = *visit;
    row.client_id = before->client_id;
    wm_query q = wm_query__of(book, "UPDATE visit SET client_id = ?1, date = ?2, photo_sha256 = ?3, installed = "
                                    "coalesce(?4, installed), why = ?5, note = ?6, charged_minor = ?7, kind = ?8, "
                                    "deposit_minor = ?9 WHERE id = ?10");
    bind_row(&q, &row,
             same_stack(&visit->installed, &before->installed) ? NULL
                                                               : wm_stack_text(installed, &visit->installed, ","));
    wm_query__int(&q, 10, visit->id);
    return wm_query__finish(&q, err);
}

wm_status wm_book_visit_update(wm_book *book, const wm_visit *visit, wm_error *err)
{
    wm_visit before = { 0 };
    wm_client client;
    wm_buf fields = { 0 };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_visit_load(&before, book, visit->id, err);
    if (!status)
        status = client_of(&client, book, visit->id, err);
    if (!status) {
        list_changes(&fields, &before, visit);
        status = wm_buf_status(&fields, err);
    }
    wm_log_line line = { "visit set", before.client_id, 0, visit->id };
    if (!status && fields.size) {
        status = put_row(book, visit, &before, err);
        if (!status && !same_sewn(&before, visit))
            status = put_all_sewn(book, visit->id, visit, err);
        if (!status)
            status = put_attachments(book, visit->id, visit, 1, err);
        if (!status)
            status = wm_log__tell(book, &line, err, "visit %lld of %s changed: %s", (long long)visit->id, client.name,
                                  fields.data);
    }
    wm_buf_free(&fields);
    wm_visit_free(&before);
    return wm_book_end(book, status, err);
}

wm_status wm_book_visit_measured(wm_book *book, int64_t id, const wm_visit *by, wm_error *err)
{
    attachment all[ATTACHMENTS];
    wm_client client;
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = client_of(&client, book, id, err);
    attachments_of(all, by);
    for (int i = 0; i < MEASURED_ATTACHMENTS && !status; i++)
        status = put_attachment(book, id, &all[i], err);
    if (!status) {
        wm_query q = wm_query__of(book, "UPDATE visit SET photo_sha256 = ?2 WHERE id = ?1");
        wm_query__int(&q, 1, id);
        wm_query__text(&q, 2, by->photo_sha256);
        status = wm_query__finish(&q, err);
    }
    wm_log_line line = { "match", status ? 0 : client.id, 0, id };
    if (!status)
        status = wm_log__tell(book, &line, err, "visit %lld of %s measured anew", (long long)id, client.name);
    return wm_book_end(book, status, err);
}

wm_status wm_visit_add_note(wm_visit *visit, const char *day, const char *note, wm_error *err)
{
    size_t used = strlen(visit->note);
    if (!wm_plain_line(note) || !*note)
        return wm_fail(err, WM_E_USAGE, "a note is one line of plain text; write it without control characters");
    int needed = snprintf(NULL, 0, "%s  %s\n", day, note);
    if (needed < 0 || used + (size_t)needed >= sizeof visit->note)
        return wm_fail(err, WM_E_USAGE, "the notes of a visit have room for %zu bytes, %zu are left; shorten it",
                       sizeof visit->note - 1, sizeof visit->note - 1 - used);
    snprintf(visit->note + used, sizeof visit->note - used, "%s  %s\n", day, note);
    return WM_OK;
}

wm_status wm_book_visit_move(wm_book *book, int64_t id, int64_t client_id, const wm_bytes *report, wm_error *err)
{
    wm_client from, into;
    wm_log_line line = { .verb = "visit move", .client_id = client_id, .visit_id = id };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = client_of(&from, book, id, err);
    if (!status)
        status = wm_book_client_load(&into, book, client_id, err);
    if (!status && from.id == into.id)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "visit %lld is %s's already", (long long)id, into.name);
    if (!status) {
        wm_query q = wm_query__of(book, "UPDATE visit SET client_id = ?2 WHERE id = ?1");
        wm_query__int(&q, 1, id);
        wm_query__int(&q, 2, client_id);
        status = wm_query__finish(&q, err);
    }
    if (!status && report)
        status = put_attachment(book, id, &(attachment){ "report", report, "report" }, err);
    line.other_client_id = status ? 0 : from.id;
    if (!status)
        status = wm_log__tell(book, &line, err, "visit %lld moved from %s to %s", (long long)id, from.name, into.name);
    return wm_book_end(book, status, err);
}

wm_status wm_book_visit_remove(wm_book *book, int64_t id, wm_error *err)
{
    wm_client client;
    wm_log_line line = { .verb = "visit remove", .visit_id = id };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = client_of(&client, book, id, err);
    if (!status) {
        wm_query q = wm_query__of(book, "DELETE FROM visit WHERE id = ?");
        wm_query__int(&q, 1, id);
        status = wm_query__finish(&q, err);
        line.client_id = client.id;
    }
    if (!status)
        status = wm_log__tell(book, &line, err, "visit %lld of %s removed", (long long)id, client.name);
    return wm_book_end(book, status, err);
}

/* As it was before the last change that took it away. */
#define LAST_IMAGE "(SELECT max(change_id) FROM visit_was WHERE id = ?1 AND existed = 1)"

static wm_status bring_back(wm_book *book, int64_t id, wm_error *err)
{
    static const char *const BACK[] = {
        "INSERT INTO visit SELECT id, client_id, date, photo_sha256, installed, why, note, charged_minor, kind, "
        "deposit_minor FROM visit_was WHERE id = ?1 AND existed = 1 ORDER BY change_id DESC LIMIT 1",
        "INSERT INTO attachment SELECT visit_id, kind, bytes FROM attachment_was WHERE visit_id = ?1 AND existed = 1 AND "
        "change_id = " LAST_IMAGE,
        "INSERT INTO sewn SELECT visit_id, code, lot, length_cm, width_cm, worn FROM sewn_was WHERE visit_id = ?1 AND "
        "existed = 1 AND change_id = " LAST_IMAGE,
        "INSERT INTO stock_move SELECT id, date, code, length_cm, lot, packs, counted, visit_id FROM stock_move_was WHERE "
        "visit_id = ?1 AND existed = 1 AND change_id = " LAST_IMAGE,
        "INSERT INTO cut_length SELECT id, code, lot, length_cm, width_cm, date, from_visit, used_by FROM cut_length_was "
        "WHERE from_visit = ?1 AND existed = 1 AND change_id = " LAST_IMAGE,
        "UPDATE cut_length SET used_by = ?1 WHERE id IN (SELECT id FROM cut_length_was WHERE used_by = ?1 AND existed = 1 "
        "AND change_id = " LAST_IMAGE ")",
    };
    wm_status status = WM_OK;
    for (size_t i = 0; i < sizeof BACK / sizeof BACK[0] && !status; i++) {
        wm_query q = wm_query__of(book, BACK[i]);
        wm_query__int(&q, 1, id);
        status = wm_query__finish(&q, err);
        if (!status && i == 0 && wm_db__changed(book) == 0)
            status = no_visit(book, id, err);
    }
    return status;
}

wm_status wm_book_visit_restore(wm_book *book, int64_t id, wm_error *err)
{
    wm_client client;
    wm_error there;
    wm_log_line line = { .verb = "visit restore", .visit_id = id };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    if (!client_of(&client, book, id, &there))
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "visit %lld of %s is there", (long long)id, client.name);
    if (!status)
        status = bring_back(book, id, err);
    if (!status)
        status = client_of(&client, book, id, err);
    line.client_id = status ? 0 : client.id;
    if (!status)
        status = wm_log__tell(book, &line, err, "visit %lld of %s restored", (long long)id, client.name);
    return wm_book_end(book, status, err);
}

/* --- a client as a whole --- */

static wm_status put_told(wm_book *book, int64_t client_id, const wm_change *change, wm_error *err)
{
    wm_query q =
        wm_query__of(book, "INSERT INTO change (date, verb, told, client_id, state) VALUES (?, ?, ?, ?, 'told')");
    wm_query__text(&q, 1, change->date);
    wm_query__text(&q, 2, change->verb);
    wm_query__text(&q, 3, change->told);
    wm_query__int(&q, 4, client_id);
    return wm_query__finish(&q, err);
}

/* What the file tells of her changes stands before the line of the import, as it came before it; it needs a change of
 * its own, since the rows that are made belong to the last one. */
static wm_status put_client(int64_t *id, wm_book *book, const wm_client_record *record, wm_error *err)
{
    wm_status status =
        wm_book_client_add(id, book, record->client.name, record->client.note, record->client.since, err);
    for (size_t i = 0; i < record->visit_count && !status; i++) {
        int64_t saved = 0;
        wm_visit visit = record->visits[i];
        visit.client_id = *id;
        status = insert_visit(&saved, book, &visit, err);
    }
    return status;
}

static wm_status put_changes(wm_book *book, int64_t id, const wm_client_record *record, wm_error *err)
{
    wm_status status = WM_OK;
    for (size_t i = 0; i < record->change_count && !status; i++)
        status = put_told(book, id, &record->changes[i], err);
    return status;
}

wm_status wm_book_client_put(int64_t *id, wm_book *book, const wm_client_record *record, wm_error *err)
{
    int64_t added = 0;
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = put_client(&added, book, record, err);
    wm_log_line line = { .verb = "client import", .client_id = added };
    if (!status)
        status = wm_log__tell(book, &line, err, "%zu visit%s imported", record->visit_count,
                              record->visit_count == 1 ? "" : "s");
    if (!status)
        status = put_changes(book, added, record, err);
    status = wm_book_end(book, status, err);
    if (!status)
        *id = added;
    return status;
}

/* --- finding them --- */

static void read_id(void *row, const wm_query *q)
{
    *(int64_t *)row = wm_query__get_int(q, 0);
}

static wm_status all_ids(int64_t **out, size_t *count, wm_query q, wm_error *err)
{
    void *ids = NULL;
    wm_status status = wm_query__all(&ids, count, &q, (wm_row_kind){ sizeof **out, read_id }, err);
    if (!status)
        *out = ids;
    return status;
}

wm_status wm_book_visit_ids(int64_t **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err)
{
    wm_query q = wm_query__of(book, client_id ? "SELECT id FROM visit WHERE client_id = ?1 ORDER BY date, id"
                                              : "SELECT id FROM visit WHERE ?1 = 0 ORDER BY date, id");
    wm_query__int(&q, 1, client_id);
    return all_ids(out, count, q, err);
}

#define MEASURED "EXISTS (SELECT 1 FROM attachment WHERE visit_id = visit.id AND attachment.kind = 'report') "

wm_status wm_book_visits_measured(int64_t **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err)
{
    wm_query q =
        wm_query__of(book, client_id ? "SELECT id FROM visit WHERE client_id = ?1 AND " MEASURED "ORDER BY date, id"
                                     : "SELECT id FROM visit WHERE ?1 = 0 AND " MEASURED "ORDER BY date, id");
    wm_query__int(&q, 1, client_id);
    return all_ids(out, count, q, err);
}

/* The first row's id; 0: there is none. */
static wm_status first_id(int64_t *id, wm_query *q, wm_error *err)
{
    const int64_t found = wm_query__row(q) ? wm_query__get_int(q, 0) : 0;
    wm_status status = wm_query__end(q, err);
    if (!status)
        *id = found;
    return status;
}

wm_status wm_book_visit_last_measured(int64_t *id, wm_book *book, int64_t client_id, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT id FROM visit WHERE client_id = ?1 AND " MEASURED
                                    "ORDER BY date DESC, id DESC LIMIT 1");
    wm_query__int(&q, 1, client_id);
    return first_id(id, &q, err);
}

wm_status wm_book_visit_of_rows(int64_t *id, wm_book *book, int64_t visit_id, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT visit.id FROM visit JOIN visit AS hung ON hung.id = ?1 AND "
                                    "visit.client_id = hung.client_id AND "
                                    "(visit.date, visit.id) <= (hung.date, hung.id) WHERE " MEASURED
                                    "ORDER BY visit.date DESC, visit.id DESC LIMIT 1");
    wm_query__int(&q, 1, visit_id);
    return first_id(id, &q, err);
}

wm_status wm_book_visit_latest(int64_t **out, size_t *count, wm_book *book, wm_error *err)
{
    return all_ids(out, count,
                   wm_query__of(book, "SELECT (SELECT id FROM visit WHERE client_id = client.id AND " MEASURED
                                      "ORDER BY date DESC, id DESC LIMIT 1) AS last FROM client WHERE last IS NOT NULL "
                                      "ORDER BY sought, folded"),
                   err);
}

wm_status wm_book_was_sewn(bool *out, wm_book *book, const char *code, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT 1 FROM sewn WHERE code = ?1 LIMIT 1");
    wm_query__text(&q, 1, code);
    *out = wm_query__row(&q);
    return wm_query__end(&q, err);
}

wm_status wm_book_visit_of_photo(int64_t *id, wm_book *book, const char *photo_sha256, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT id FROM visit WHERE photo_sha256 = ? AND photo_sha256 <> '' ORDER BY id");
    wm_query__text(&q, 1, photo_sha256);
    return first_id(id, &q, err);
}
