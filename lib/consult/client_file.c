#include "consult/client_file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/saved.h"
#include "consult/settings.h"
#include "core/json.h"
#include "core/plain.h"
#include "measure/zones_file.h"
#include "plan/calendar.h"

enum { FORMAT = 2, SEAL_SIZE = 80, TEXTS = 5, TEXTS_1 = 4, BLOBS = 7, BLOBS_1 = 5 }; /* _1: of format 1 */

/* The end of the file: the digest of all before it, so that no changed byte gets into a book. */
static size_t seal(char out[SEAL_SIZE], const char *text, size_t size)
{
    char hex[65];
    wm_sha256_hex(hex, text, size);
    return (size_t)snprintf(out, SEAL_SIZE, ",\n\"sha256\":\"%s\"}\n", hex);
}

static bool is_whole(const char *text, size_t size)
{
    char end[SEAL_SIZE];
    const size_t length = seal(end, "", 0);
    if (size < length)
        return false;
    seal(end, text, size - length);
    return memcmp(text + size - length, end, length) == 0;
}

/* The texts and bytes of a visit, each once for both ways. */
typedef struct slots {
    struct {
        const char *key;
        char *text;
        size_t size;
    } texts[TEXTS];
    struct {
        const char *key;
        wm_bytes *bytes;
    } blobs[BLOBS];
    char installed[WM_STACK_TEXT_SIZE];
} slots;

static void slots_of(slots *out, wm_visit *v)
{
    *out = (slots){ .texts = { { "date", v->date, sizeof v->date },
                               { "installed", out->installed, sizeof out->installed },
                               { "why", v->why, sizeof v->why },
                               { "note", v->note, sizeof v->note },
                               { "photo_sha256", v->photo_sha256, sizeof v->photo_sha256 } },
                    .blobs = { { "report", &v->report_json },
                               { "photo", &v->photo_jpeg },
                               { "gray_map", &v->gray_map_png },
                               { "zones", &v->zones_json },
                               { "after", &v->after_jpeg },
                               { "after_zones", &v->after_zones_json },
                               { "after_report", &v->after_report_json } } };
    wm_stack_text(out->installed, &v->installed, ",");
}

/* --- out
 * --------------------------------------------------------------------------------------------------------------------------
 */

static void write_sewn(wm_buf *out, const wm_visit *visit)
{
    wm_buf_text(out, ",\"sewn\":[");
    for (size_t i = 0; i < visit->sewn_count; i++) {
        const wm_sewn *sewn = &visit->sewn[i];
        wm_buf_text(out, i ? ",{\"code\":" : "{\"code\":");
        wm_buf_json_string(out, sewn->code);
        wm_buf_text(out, ",\"lot\":");
        wm_buf_json_string(out, sewn->lot);
        wm_buf_text(out, ",\"length_cm\":");
        wm_buf_number(out, sewn->length_cm, 4);
        wm_buf_text(out, ",\"width_cm\":");
        wm_buf_number(out, sewn->width_cm, 4);
        wm_buf_format(out, ",\"worn\":%d}", sewn->worn);
    }
    wm_buf_text(out, "]");
}

static void write_visit(wm_buf *out, wm_visit *visit)
{
    slots s;
    slots_of(&s, visit);
    for (size_t i = 0; i < TEXTS; i++) {
        wm_buf_format(out, "%s\"%s\":", i ? "," : "{", s.texts[i].key);
        wm_buf_json_string(out, s.texts[i].text);
    }
    if (visit->kind)
        wm_buf_format(out, ",\"kind\":\"%s\"", wm_visit_kind_name(visit->kind));
    if (visit->has_charged)
        wm_buf_format(out, ",\"charged_minor\":%lld", (long long)visit->charged_minor);
    if (visit->has_deposit)
        wm_buf_format(out, ",\"deposit_minor\":%lld", (long long)visit->deposit_minor);
    if (visit->sewn_count)
        write_sewn(out, visit);
    for (size_t i = 0; i < BLOBS; i++) {
        wm_buf_format(out, ",\n\"%s\":\"", s.blobs[i].key);
        wm_buf_base64(out, s.blobs[i].bytes->data, s.blobs[i].bytes->size);
        wm_buf_text(out, "\"");
    }
    wm_buf_text(out, "}");
}

static wm_status write_changes(wm_buf *out, wm_book *book, int64_t client_id, wm_error *err)
{
    wm_change *changes = NULL;
    size_t count = 0;
    wm_status status = wm_book_changes(&changes, &count, book, client_id, err);
    wm_buf_text(out, ",\n\"changes\":[");
    for (size_t i = 0; i < count; i++) {
        wm_buf_format(out, "%s\n{\"date\":\"%s\",\"verb\":\"%s\",\"told\":", i ? "," : "", changes[i].date,
                      changes[i].verb);
        wm_buf_json_string(out, changes[i].told);
        wm_buf_format(out, ",\"undone\":%s}", changes[i].undone ? "true" : "false");
    }
    wm_buf_text(out, "]");
    free(changes);
    return status;
}

wm_status wm_client_file_write(wm_buf *out, wm_book *book, const wm_client *client, wm_error *err)
{
    wm_settings settings;
    char end[SEAL_SIZE];
    int64_t *ids = NULL;
    size_t count = 0;
    wm_status status = wm_settings_load(&settings, book, err);
    if (!status)
        status = wm_book_visit_ids(&ids, &count, book, client->id, err);
    if (status)
        return status;
    wm_buf_format(out, "{\"format\":%d,\"kind\":\"weftmatch client\",\n\"name\":", FORMAT);
    wm_buf_json_string(out, client->name);
    wm_buf_text(out, ",\"note\":");
    wm_buf_json_string(out, client->note);
    wm_buf_format(out, ",\"since\":\"%s\",\"currency\":\"%s\",\n\"visits\":[", client->since, settings.plan.currency);
    for (size_t i = 0; i < count && !status; i++) {
        wm_visit visit = { 0 };
        status = wm_book_visit_load(&visit, book, ids[i], err);
        wm_buf_text(out, i ? ",\n" : "\n");
        if (!status)
            write_visit(out, &visit);
        wm_visit_free(&visit);
    }
    wm_buf_text(out, "]");
    free(ids);
    if (!status)
        status = write_changes(out, book, client->id, err);
    if (!status)
        status = wm_buf_status(out, err);
    if (status)
        return status;
    seal(end, out->data, out->size);
    wm_buf_text(out, end);
    return wm_buf_status(out, err);
}

/* --- in
 * ---------------------------------------------------------------------------------------------------------------------------
 */

static bool take_text(char *out, size_t size, const wm_json *value)
{
    const char *text = wm_json_text(value);
    if (!text || strlen(text) >= size)
        return false;
    snprintf(out, size, "%s", text);
    return true;
}

static bool take_bytes(wm_bytes *out, const wm_json *value)
{
    wm_buf buf = { 0 };
    const char *text = wm_json_text(value);
    if (!text || !wm_buf_base64_decode(&buf, text) || buf.failed) {
        wm_buf_free(&buf);
        return false;
    }
    *out = (wm_bytes){ (unsigned char *)buf.data, buf.size };
    return true;
}

/* Money in minor units; absent is fine. */
static bool take_money(bool *has, int64_t *minor, const wm_json *value)
{
    double number = 0;
    if (!value)
        return true;
    *has = wm_json_number(value, &number) && number >= 0 && number <= 9007199254740992.0 &&
           fabs(number - floor(number)) <= 0;
    *minor = *has ? (int64_t)number : 0;
    return *has;
}

static bool take_kind(wm_visit *visit, const wm_json *value)
{
    return !value || (wm_json_text(value) && wm_visit_kind_parse(wm_json_text(value), &visit->kind));
}

/* Absent is fine. */
static bool take_sewn(wm_visit *visit, const wm_json *list)
{
    const size_t count = wm_json_count(list);
    if (count > WM_SEWN_SHADES)
        return false;
    for (size_t i = 0; i < count; i++) {
        const wm_json *value = wm_json_at(list, i);
        wm_sewn *sewn = &visit->sewn[i];
        double worn = 0;
        if (!take_text(sewn->code, sizeof sewn->code, wm_json_get(value, "code")) ||
            !take_text(sewn->lot, sizeof sewn->lot, wm_json_get(value, "lot")) || !wm_plain_line(sewn->code) ||
            !wm_plain_line(sewn->lot) || !*sewn->code ||
            !wm_json_number(wm_json_get(value, "length_cm"), &sewn->length_cm) ||
            !wm_json_number(wm_json_get(value, "width_cm"), &sewn->width_cm) ||
            !wm_json_number(wm_json_get(value, "worn"), &worn) || !(worn >= 0 && worn < 1000))
            return false;
        sewn->worn = (int)worn;
        for (size_t k = 0; k < i; k++) /* a shade stands once */
            if (strcmp(visit->sewn[k].code, sewn->code) == 0)
                return false;
    }
    visit->sewn_count = count;
    return true;
}

/* A report that can't be read would spoil the client's history for good. */
static bool report_is_whole(const wm_visit *visit)
{
    wm_error err;
    wm_report *report = calloc(1, sizeof *report);
    bool whole = report && !wm_saved_report(report, visit, &err);
    if (report)
        wm_report_free(report);
    free(report);
    return whole;
}

/* Pictures and zones are looked at too: what a book holds must open again. */
static bool attachments_are_whole(const wm_visit *v)
{
    static const unsigned char JPEG[] = { 0xff, 0xd8, 0xff }, PNG[] = { 0x89, 'P', 'N', 'G' };
    const wm_bytes *jpegs[] = { &v->photo_jpeg, &v->after_jpeg }, *zones[] = { &v->zones_json, &v->after_zones_json };
    for (size_t i = 0; i < 2; i++) {
        wm_zones read = { 0 };
        if (jpegs[i]->size && (jpegs[i]->size < sizeof JPEG || memcmp(jpegs[i]->data, JPEG, sizeof JPEG) != 0))
            return false;
        if (zones[i]->size &&
            wm_zones_add_json(&read, (const char *)zones[i]->data, zones[i]->size, "", NULL, NULL) != WM_OK)
            return false;
        wm_zones_free(&read);
    }
    return !v->gray_map_png.size ||
           (v->gray_map_png.size > sizeof PNG && memcmp(v->gray_map_png.data, PNG, sizeof PNG) == 0);
}

static bool texts_are_plain(const wm_visit *v)
{
    return wm_plain_note(v->why) && wm_plain_note(v->note) &&
           v->photo_sha256[strspn(v->photo_sha256, "0123456789abcdef")] == '\0';
}

/* A note of format 1 has no day before it: it is the visit's. */
static bool date_note(wm_visit *visit)
{
    char note[sizeof visit->note];
    if (!*visit->note)
        return true;
    int size = snprintf(note, sizeof note, "%s  %s\n", visit->date, visit->note);
    memcpy(visit->note, note, sizeof note);
    return size < (int)sizeof note;
}

static bool read_visit(wm_visit *out, const wm_json *value, int format)
{
    wm_date date;
    slots s;
    slots_of(&s, out);
    for (size_t i = 0; i < (format == 1 ? TEXTS_1 : TEXTS); i++)
        if (!take_text(s.texts[i].text, s.texts[i].size, wm_json_get(value, s.texts[i].key)))
            return false;
    for (size_t i = 0; i < (format == 1 ? BLOBS_1 : BLOBS); i++)
        if (!take_bytes(s.blobs[i].bytes, wm_json_get(value, s.blobs[i].key)))
            return false;
    if (*s.installed && (!wm_plain_line(s.installed) || wm_stack_parse(&out->installed, s.installed, NULL)))
        return false;
    return wm_date_parse(&date, out->date) && (format > 1 || date_note(out)) && texts_are_plain(out) &&
           take_kind(out, wm_json_get(value, "kind")) && take_sewn(out, wm_json_get(value, "sewn")) &&
           take_money(&out->has_charged, &out->charged_minor, wm_json_get(value, "charged_minor")) &&
           take_money(&out->has_deposit, &out->deposit_minor, wm_json_get(value, "deposit_minor")) &&
           report_is_whole(out) && attachments_are_whole(out);
}

static wm_status read_visits(wm_client_record *out, const wm_json *root, const char *file, int format, wm_error *err)
{
    const wm_json *visits = wm_json_get(root, "visits");
    size_t n = wm_json_count(visits);
    if (wm_json_kind_of(visits) != WM_JSON_ARRAY)
        return wm_fail_at(err, WM_E_BOOK, file, 0, 0, "has no visits; it is damaged, export the client again");
    out->visits = calloc(n + 1, sizeof *out->visits);
    if (!out->visits)
        return wm_fail_memory(err);
    while (out->visit_count < n) {
        size_t i = out->visit_count++;
        if (!read_visit(&out->visits[i], wm_json_at(visits, i), format))
            return wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                              "is damaged in visit %zu of %zu; export the client again; nothing was changed", i + 1, n);
    }
    return WM_OK;
}

/* The lines of changes that were taken back are left out: nothing came of them. */
static wm_status read_changes(wm_client_record *out, const wm_json *root, const char *file, wm_error *err)
{
    const wm_json *changes = wm_json_get(root, "changes");
    size_t n = wm_json_count(changes);
    wm_date date;
    out->changes = calloc(n + 1, sizeof *out->changes);
    if (!out->changes)
        return wm_fail_memory(err);
    for (size_t i = 0; i < n; i++) {
        const wm_json *value = wm_json_at(changes, i);
        wm_change *c = &out->changes[out->change_count];
        if (!take_text(c->date, sizeof c->date, wm_json_get(value, "date")) ||
            !take_text(c->verb, sizeof c->verb, wm_json_get(value, "verb")) ||
            !take_text(c->told, sizeof c->told, wm_json_get(value, "told")) ||
            (*c->date && !wm_date_parse(&date, c->date)) || !wm_plain_line(c->verb) || !wm_plain_line(c->told))
            return wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                              "is damaged in change %zu of %zu; export the client again; nothing was changed", i + 1,
                              n);
        out->change_count += wm_json_kind_of(wm_json_get(value, "undone")) != WM_JSON_TRUE;
    }
    return WM_OK;
}

static void record_free(wm_client_record *record)
{
    for (size_t i = 0; i < record->visit_count; i++)
        wm_visit_free(&record->visits[i]);
    free(record->visits);
    free(record->changes);
}

static wm_status read_client(wm_client *out, int *of_format, const wm_json *root, const char *file, wm_error *err)
{
    double format = 0;
    wm_date date;
    const char *kind = wm_json_text(wm_json_get(root, "kind"));
    if (!kind || strcmp(kind, "weftmatch client") != 0 || !wm_json_number(wm_json_get(root, "format"), &format))
        return wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                          "is not an exported client; name a file that client export wrote");
    if (format < 1)
        return wm_fail_at(err, WM_E_BOOK, file, 0, 0, "has format %d, which does not exist; export the client again",
                          (int)fmax(format, -1));
    if (format > FORMAT)
        return wm_fail_at(err, WM_E_BOOK, file, 0, 0, "was written by a newer weftmatch; update weftmatch");
    if (!take_text(out->name, sizeof out->name, wm_json_get(root, "name")) ||
        !take_text(out->note, sizeof out->note, wm_json_get(root, "note")) ||
        !take_text(out->since, sizeof out->since, wm_json_get(root, "since")) || !wm_date_parse(&date, out->since) ||
        wm_book_client_check(out->name, out->note, NULL))
        return wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                          "is damaged: name, note or date; export the client again; nothing was changed");
    *of_format = (int)format;
    return WM_OK;
}

/* Money is in minor units: another currency's would be taken for this one's. */
static wm_status check_currency(wm_book *book, const wm_json *root, const wm_client_record *record, wm_error *err)
{
    wm_settings settings;
    const char *currency = wm_json_text(wm_json_get(root, "currency"));
    size_t charged = 0;
    for (size_t i = 0; i < record->visit_count; i++)
        charged += record->visits[i].has_charged || record->visits[i].has_deposit;
    wm_status status = wm_settings_load(&settings, book, err);
    if (!status && charged && (!currency || strcmp(currency, settings.plan.currency) != 0))
        status = wm_fail(
            err, WM_E_BOOK,
            "she was charged in %.8s and this book counts in %s; set the currency with weftmatch salon set, or take another book",
            currency ? currency : "an unknown currency", settings.plan.currency);
    return status;
}

wm_status wm_client_file_read(wm_client *out, wm_book *book, const char *json, size_t size, const char *file,
                              wm_error *err)
{
    wm_json_document *document = NULL;
    wm_client_record record = { 0 };
    int format = FORMAT;
    wm_status status = wm_json_parse(&document, json, size, file, WM_E_BOOK, err);
    const wm_json *root = status ? NULL : wm_json_root(document);
    if (!status)
        status = read_client(&record.client, &format, root, file, err);
    if (!status && !is_whole(json, size))
        status = wm_fail_at(err, WM_E_BOOK, file, 0, 0,
                            "is damaged: it is not as it was written; export the client again; nothing was changed");
    if (!status)
        status = read_visits(&record, root, file, format, err);
    if (!status)
        status = read_changes(&record, root, file, err);
    if (!status && book)
        status = check_currency(book, root, &record, err);
    if (!status && book)
        status = wm_book_client_put(&record.client.id, book, &record, err);
    record.client.visits = (long)record.visit_count;
    if (!status)
        *out = record.client;
    record_free(&record);
    wm_json_free(document);
    return status;
}
