#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/log.h"
#include "core/buf.h"
#include "core/plain.h"

/* --- names --- */

/* The name as it is kept: without outer space, a single one between its words. False: nothing is left, or it is too
 * long. */
static bool tidy_name(char out[128], const char *name)
{
    size_t length = 0;
    for (; *name; name++) {
        const bool space = *name == ' ' || *name == '\t';
        if (space && (length == 0 || out[length - 1] == ' '))
            continue;
        if (length == 127)
            return false;
        out[length++] = space ? ' ' : *name;
    }
    length -= length > 0 && out[length - 1] == ' ';
    out[length] = '\0';
    return length > 0;
}

/* The same without case. Beyond ASCII the bytes stay: two spellings of one name are two clients rather than one lost.
 */
static bool fold_name(char out[128], const char *name)
{
    if (!tidy_name(out, name))
        return false;
    for (char *p = out; *p; p++)
        *p = (char)(*p >= 'A' && *p <= 'Z' ? *p + 32 : *p);
    return true;
}

static bool all_digits(const char *text)
{
    return *text && text[strspn(text, "0123456789")] == '\0';
}

static wm_status check_name(const char *name, wm_error *err)
{
    char folded[128];
    if (!wm_plain_line(name))
        return wm_fail(err, WM_E_USAGE,
                       "a client's name is one line of plain text; write it without control characters");
    if (!fold_name(folded, name))
        return wm_fail(err, WM_E_USAGE, "a client's name has 1 to 127 bytes; write one that fits");
    if (all_digits(folded))
        return wm_fail(err, WM_E_USAGE, "a client's name can't be a number, since numbers are ids; add a letter");
    return WM_OK;
}

static wm_status check_note(const char *note, wm_error *err)
{
    if (note && (strlen(note) >= sizeof((wm_client *)0)->note || !wm_plain_note(note)))
        return wm_fail(err, WM_E_USAGE, "a note is plain text of at most %zu bytes; shorten it",
                       sizeof((wm_client *)0)->note - 1);
    return WM_OK;
}

wm_status wm_book_client_check(const char *name, const char *note, wm_error *err)
{
    wm_status status = check_name(name, err);
    return status ? status : check_note(note, err);
}

/* --- finding her --- */

/* A visit that was written down later may lie before the day on which her file was begun. A list of all does not ask.
 */
#define SINCE "min(since, coalesce((SELECT min(date) FROM visit WHERE client_id = client.id), since))"
#define COUNT "(SELECT count(*) FROM visit WHERE client_id = client.id)"
#define CLIENT_COLUMNS "SELECT id, name, note, " SINCE ", " COUNT " FROM client "

static void read_client(void *row, const wm_query *q)
{
    wm_client *out = row;
    out->id = wm_query__get_int(q, 0);
    wm_query__get_text(out->name, sizeof out->name, q, 1);
    wm_query__get_text(out->note, sizeof out->note, q, 2);
    wm_query__get_text(out->since, sizeof out->since, q, 3);
    out->visits = (long)wm_query__get_int(q, 4);
}

/* First row of a one-parameter query, and how many rows there are (up to two matter). */
static wm_status query_client(wm_client *out, int *rows, wm_book *book, const char *sql, const char *value,
                              wm_error *err)
{
    wm_query q = wm_query__of(book, sql);
    wm_query__text(&q, 1, value);
    for (*rows = 0; *rows < 2 && wm_query__row(&q); ++*rows)
        if (*rows == 0)
            read_client(out, &q);
    return wm_query__end(&q, err);
}

wm_status wm_book_client_list(wm_client **out, size_t *count, wm_book *book, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT id, name, note, since, " COUNT " FROM client ORDER BY sought, folded");
    void *items = NULL;
    wm_status status = wm_query__all(&items, count, &q, (wm_row_kind){ sizeof **out, read_client }, err);
    if (!status)
        *out = items;
    return status;
}

static bool begins_with(const char *text, const char *beginning)
{
    return strncmp(text, beginning, strlen(beginning)) == 0;
}

/* As BEGINS asks the book. */
static bool word_begins_with(const char *name, const char *beginning)
{
    for (; name; name = strchr(name, ' ')) {
        name += *name == ' ';
        if (begins_with(name, beginning))
            return true;
    }
    return false;
}

/* A word of the name that is nearly, or begins as, the first word asked for. */
static bool sounds_alike(const char *name, const char *asked)
{
    char words[128], first[128];
    snprintf(words, sizeof words, "%s", name);
    snprintf(first, sizeof first, "%.*s", (int)strcspn(asked, " "), asked);
    for (char *rest = words, *word; (word = strtok_r(NULL, " ", &rest));)
        if (begins_with(word, first) || (strlen(word) > 2 && begins_with(first, word)) ||
            wm_near_miss(first, (const char *const[]){ word }, 1))
            return true;
    return wm_near_miss(asked, (const char *const[]){ name }, 1) != NULL;
}

/* Who was renamed is found by her old name, unless another's begins with it: then both are named. */
#define WAS_CALLED "id IN (SELECT id FROM client_was WHERE sought = ?1)"

/* Up to five names: those of which a word begins with what was asked, or that sound alike. Nothing but names is read.
 */
static wm_status collect_names(wm_buf *names, wm_book *book, const char *sought, bool beginnings, wm_error *err)
{
    wm_query q =
        wm_query__of(book, beginnings ? "SELECT sought, name, id, " WAS_CALLED " FROM client ORDER BY sought"
                                      : "SELECT sought, name, id, ?1 = '' FROM client ORDER BY sought, folded");
    size_t found = 0;
    wm_query__text(&q, 1, sought);
    while (found < 5 && wm_query__row(&q)) {
        const char *name = wm_query__peek(&q, 0);
        const bool begins = word_begins_with(name, sought), renamed = wm_query__get_int(&q, 3) && !begins;
        if (beginnings ? begins || renamed : sounds_alike(name, sought))
            wm_buf_format(names, "%s%s (%lld%s)", found++ ? ", " : "", wm_query__peek(&q, 1),
                          (long long)wm_query__get_int(&q, 2), renamed ? ", who was called so" : "");
    }
    wm_status status = wm_query__end(&q, err);
    return status ? status : wm_buf_status(names, err);
}

static wm_status fail_unknown_client(wm_book *book, const char *name, const char *sought, bool ambiguous, wm_error *err)
{
    wm_buf names = { 0 };
    wm_status status = collect_names(&names, book, sought, ambiguous, err);
    if (status)
        ;
    else if (ambiguous)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                            "'%s' fits several clients: %s; give more of the name, or the number", name, names.data);
    else if (names.size)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "no client '%s'; did you mean %s?", name, names.data);
    else if (all_digits(sought))
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "no client has the number %s; see weftmatch client list",
                            sought);
    else
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                            "no client '%s'; add her first: weftmatch client add \"%s\"", name, name);
    wm_buf_free(&names);
    return status;
}

/* How a name is looked up, each tried when the one before found nobody: an umlaut is also written ae. A name is found
 * by its beginning; that another's surname begins so too makes it two, and a surname alone is asked about. */
#define TWO_VOWELS(text) "replace(replace(replace(" text ", 'ae', 'a'), 'oe', 'o'), 'ue', 'u')"
#define BEGINS(name, beginning)                                                                                        \
    "instr(' ' || " name ", ' ' || " beginning ") AND EXISTS (SELECT 1 FROM client WHERE substr(" name                 \
    ", 1, length(" beginning ")) = " beginning ")"
static const char *const LOOK_UPS[] = {
    CLIENT_COLUMNS "WHERE sought = ?1",
    CLIENT_COLUMNS "WHERE " BEGINS("sought", "?1") " OR " WAS_CALLED,
    CLIENT_COLUMNS "WHERE " TWO_VOWELS("sought") " = " TWO_VOWELS("?1"),
    CLIENT_COLUMNS "WHERE " BEGINS(TWO_VOWELS("sought"), TWO_VOWELS("?1")),
};

wm_status wm_book_client_find(wm_client *out, wm_book *book, const char *name_or_id, wm_error *err)
{
    char folded[128], sought[128];
    wm_client found;
    int rows = 0;
    if (!fold_name(folded, name_or_id) || !*wm_plain_sought(sought, sizeof sought, name_or_id))
        return wm_fail(err, WM_E_USAGE, "a client's name has 1 to 127 bytes; see weftmatch client list");
    bool number = all_digits(folded);
    wm_status status = query_client(
        &found, &rows, book,
        number ? CLIENT_COLUMNS "WHERE id = CAST(?1 AS INTEGER)" : CLIENT_COLUMNS "WHERE folded = ?1", folded, err);
    for (size_t i = 0; !status && !number && rows == 0 && i < sizeof LOOK_UPS / sizeof LOOK_UPS[0]; i++)
        status = query_client(&found, &rows, book, LOOK_UPS[i], sought, err);
    if (status)
        return status;
    if (rows != 1)
        return fail_unknown_client(book, name_or_id, sought, rows > 1, err);
    *out = found;
    return WM_OK;
}

static wm_status no_client(const wm_book *book, int64_t id, wm_error *err)
{
    return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "no client has the number %lld; see weftmatch client list",
                      (long long)id);
}

wm_status wm_book_client_load(wm_client *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_query q = wm_query__of(book, CLIENT_COLUMNS "WHERE id = ?1");
    wm_query__int(&q, 1, id);
    wm_client client = { 0 };
    bool found = wm_query__row(&q);
    if (found)
        read_client(&client, &q);
    wm_status status = wm_query__end(&q, err);
    if (!status && !found)
        status = no_client(book, id, err);
    if (!status)
        *out = client;
    return status;
}

/* --- what she wears, and when she comes --- */

#define LATEST_BY_DAY "WHERE client_id = client.id ORDER BY date DESC, id DESC LIMIT 1"
#define LATEST_COLUMNS(since)                                                                                          \
    "SELECT client.id, client.name, client.note, " since ", " COUNT                                                    \
    ", last.id, last.date, last.kind, worn.id, worn.date, "                                                            \
    "worn.installed, coming.date, "                                                                                    \
    "(SELECT group_concat(code, char(10)) FROM sewn WHERE visit_id = worn.id) FROM client "                            \
    "LEFT JOIN visit AS last ON last.id = (SELECT id FROM visit " LATEST_BY_DAY ") "                                   \
    "LEFT JOIN visit AS worn ON worn.kind <> 'removal' AND worn.id = (SELECT id FROM visit WHERE client_id = "         \
    "client.id AND (installed <> '' OR kind = 'removal') ORDER BY date DESC, id DESC LIMIT 1) "                        \
    "LEFT JOIN coming ON coming.client_id = client.id "

/* A code a line, in the order in which they were noted. */
static void read_shades(wm_client_latest *out, const char *codes)
{
    for (; *codes && out->shade_count < WM_SEWN_SHADES; out->shade_count++) {
        const size_t length = strcspn(codes, "\n");
        snprintf(out->shades[out->shade_count], WM_CODE_SIZE, "%.*s", (int)length, codes);
        codes += length + (codes[length] == '\n');
    }
}

static void read_latest(void *row, const wm_query *q)
{
    wm_client_latest *out = row;
    *out = (wm_client_latest){ 0 };
    read_client(&out->client, q);
    out->visit_id = wm_query__get_int(q, 5);
    wm_query__get_text(out->date, sizeof out->date, q, 6);
    wm_visit_kind_parse(wm_query__peek(q, 7), &out->kind);
    out->wears_id = wm_query__get_int(q, 8);
    wm_query__get_text(out->wears_date, sizeof out->wears_date, q, 9);
    wm_stack_parse(&out->wears, wm_query__peek(q, 10), NULL); /* free text of version 1 stays in the book */
    wm_query__get_text(out->coming, sizeof out->coming, q, 11);
    read_shades(out, wm_query__peek(q, 12));
}

wm_status wm_book_client_latest(wm_client_latest **out, size_t *count, wm_book *book, wm_error *err)
{
    wm_query q = wm_query__of(book, LATEST_COLUMNS("since") "ORDER BY sought, folded");
    void *items = NULL;
    wm_status status = wm_query__all(&items, count, &q, (wm_row_kind){ sizeof **out, read_latest }, err);
    if (!status)
        *out = items;
    return status;
}

wm_status wm_book_client_latest_of(wm_client_latest *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_query q = wm_query__of(book, LATEST_COLUMNS(SINCE) "WHERE client.id = ?1");
    wm_client_latest latest = { 0 };
    wm_query__int(&q, 1, id);
    const bool found = wm_query__row(&q);
    if (found)
        read_latest(&latest, &q);
    wm_status status = wm_query__end(&q, err);
    if (!status && !found)
        status = no_client(book, id, err);
    if (!status)
        *out = latest;
    return status;
}

wm_status wm_book_client_picture(wm_bytes *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT bytes FROM attachment WHERE rowid = (SELECT a.rowid FROM visit "
                                    "JOIN attachment AS a ON a.visit_id = visit.id AND a.kind IN ('after', 'photo') "
                                    "WHERE client_id = ?1 ORDER BY date DESC, visit.id DESC, a.kind LIMIT 1)");
    wm_bytes bytes = { 0 };
    wm_query__int(&q, 1, id);
    if (wm_query__row(&q))
        wm_query__get_bytes(&bytes, &q, 0);
    wm_status status = wm_query__end(&q, err);
    if (status)
        wm_bytes_free(&bytes);
    else
        *out = bytes;
    return status;
}

wm_status wm_book_client_thumbnail(wm_thumbnail *out, wm_book *book, int64_t client_id, wm_error *err)
{
    wm_query q =
        wm_query__of(book, "SELECT newest.id, thumbnail.bytes FROM (SELECT visit.id FROM visit JOIN attachment AS a ON "
                           "a.visit_id = visit.id AND a.kind IN ('after', 'photo') WHERE client_id = ?1 "
                           "ORDER BY date DESC, visit.id DESC LIMIT 1) AS newest "
                           "LEFT JOIN thumbnail ON thumbnail.visit_id = newest.id");
    wm_thumbnail found = { 0 };
    wm_query__int(&q, 1, client_id);
    if (wm_query__row(&q)) {
        found.visit_id = wm_query__get_int(&q, 0);
        if (!wm_query__is_null(&q, 1))
            wm_query__get_bytes(&found.jpeg, &q, 1);
    }
    wm_status status = wm_query__end(&q, err);
    if (status)
        wm_bytes_free(&found.jpeg);
    else
        *out = found;
    return status;
}

wm_status wm_book_keep_thumbnails(wm_book *book, const wm_thumbnail *items, size_t count, wm_error *err)
{
    wm_status status = wm_db__run(book, "BEGIN IMMEDIATE", err);
    if (status)
        return status;
    for (size_t i = 0; i < count && !status; i++) {
        wm_query q = wm_query__of(book, "INSERT INTO thumbnail (visit_id, bytes) VALUES (?1, ?2) ON CONFLICT "
                                        "(visit_id) DO UPDATE SET bytes = ?2");
        wm_query__int(&q, 1, items[i].visit_id);
        wm_query__bytes(&q, 2, &items[i].jpeg);
        status = wm_query__finish(&q, err);
    }
    if (!status)
        status = wm_db__run(book, "COMMIT", err);
    if (status)
        wm_db__run(book, "ROLLBACK", NULL);
    return status;
}

/* --- changing her --- */

static wm_status name_taken(const wm_book *book, const char *name, wm_error *err)
{
    return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                      "a client named '%s' is there already; add something that tells them apart", name);
}

/* WM_E_BOOK when another than `id` is called so. */
static wm_status check_free(wm_book *book, const char *name, int64_t id, wm_error *err)
{
    char folded[128];
    fold_name(folded, name);
    wm_query q = wm_query__of(book, "SELECT 1 FROM client WHERE folded = ?1 AND id <> ?2");
    wm_query__text(&q, 1, folded);
    wm_query__int(&q, 2, id);
    bool taken = wm_query__row(&q);
    wm_status status = wm_query__end(&q, err);
    return status ? status : taken ? name_taken(book, name, err) : WM_OK;
}

/* The name in the three forms that the book keeps. */
static void bind_name(wm_query *q, int first, char forms[3][128], const char *name)
{
    tidy_name(forms[0], name);
    fold_name(forms[1], name);
    wm_plain_sought(forms[2], sizeof forms[2], name);
    for (int i = 0; i < 3; i++)
        wm_query__text(q, first + i, forms[i]);
}

wm_status wm_book_client_add(int64_t *id, wm_book *book, const char *name, const char *note, const char *date,
                             wm_error *err)
{
    char forms[3][128];
    int64_t added = 0;
    wm_status status = wm_book_client_check(name, note, err);
    if (!status)
        status = wm_book_begin(book, err);
    if (status)
        return status;
    status = check_free(book, name, 0, err);
    if (!status) {
        wm_query q =
            wm_query__of(book, "INSERT INTO client (name, folded, sought, note, since) VALUES (?, ?, ?, ?, ?)");
        bind_name(&q, 1, forms, name);
        wm_query__text(&q, 4, note ? note : "");
        wm_query__text(&q, 5, date);
        status = wm_query__finish(&q, err);
        added = wm_db__last_id(book);
    }
    wm_log_line line = { "client add", added, 0, 0 };
    if (!status)
        status = wm_log__tell(book, &line, err, "client %lld added: %s", (long long)added, forms[0]);
    status = wm_book_end(book, status, err);
    if (!status)
        *id = added;
    return status;
}

wm_status wm_book_client_rename(wm_book *book, int64_t id, const char *name, wm_error *err)
{
    char forms[3][128];
    wm_client client;
    wm_log_line line = { "client rename", id, 0, 0 };
    wm_status status = check_name(name, err);
    if (!status)
        status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_client_load(&client, book, id, err);
    if (!status)
        status = check_free(book, name, id, err);
    if (!status) {
        wm_query q = wm_query__of(book, "UPDATE client SET name = ?, folded = ?, sought = ? WHERE id = ?");
        bind_name(&q, 1, forms, name);
        wm_query__int(&q, 4, id);
        status = wm_query__finish(&q, err);
    }
    if (!status)
        status =
            wm_log__tell(book, &line, err, "client %lld renamed: %s, was %s", (long long)id, forms[0], client.name);
    return wm_book_end(book, status, err);
}

static wm_status put_note(wm_book *book, int64_t id, const char *note, const char *since, wm_error *err)
{
    wm_query q = wm_query__of(book, "UPDATE client SET note = ?, since = min(since, ?) WHERE id = ?");
    wm_query__text(&q, 1, note);
    wm_query__text(&q, 2, since);
    wm_query__int(&q, 3, id);
    return wm_query__finish(&q, err);
}

wm_status wm_book_client_note(wm_book *book, int64_t id, const char *note, wm_error *err)
{
    wm_client client;
    wm_log_line line = { "client note", id, 0, 0 };
    wm_status status = check_note(note, err);
    if (!status)
        status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_client_load(&client, book, id, err);
    if (!status)
        status = put_note(book, id, note, client.since, err);
    if (!status)
        status = wm_log__tell(book, &line, err, "note of %s changed", client.name);
    return wm_book_end(book, status, err);
}

static wm_status put_coming(wm_book *book, int64_t id, const char *day, wm_error *err)
{
    wm_query q = wm_query__of(book, *day ? "INSERT INTO coming (client_id, date) VALUES (?1, ?2) ON CONFLICT "
                                           "(client_id) DO UPDATE SET date = ?2"
                                         : "DELETE FROM coming WHERE client_id = ?1");
    wm_query__int(&q, 1, id);
    if (*day)
        wm_query__text(&q, 2, day);
    return wm_query__finish(&q, err);
}

wm_status wm_book_client_set_coming(wm_book *book, int64_t id, const char *day, wm_error *err)
{
    wm_client client;
    wm_log_line line = { "client coming", id, 0, 0 };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_client_load(&client, book, id, err);
    if (!status)
        status = put_coming(book, id, day, err);
    if (!status)
        status = wm_log__tell(book, &line, err, "next visit of %s: %s", client.name, *day ? day : "not agreed");
    return wm_book_end(book, status, err);
}

static wm_status move_visits(wm_book *book, int64_t from, int64_t into, wm_error *err)
{
    wm_query q = wm_query__of(book, "UPDATE visit SET client_id = ?2 WHERE client_id = ?1");
    wm_query__int(&q, 1, from);
    wm_query__int(&q, 2, into);
    wm_status status = wm_query__finish(&q, err);
    if (status)
        return status;
    q = wm_query__of(book, "DELETE FROM client WHERE id = ?1");
    wm_query__int(&q, 1, from);
    return wm_query__finish(&q, err);
}

wm_status wm_book_client_merge(wm_book *book, int64_t from, int64_t into, wm_error *err)
{
    wm_client one, other;
    char note[sizeof one.note];
    wm_log_line line = { "client merge", into, from, 0 };
    if (from == into)
        return wm_fail(err, WM_E_USAGE, "both are the same client; name two");
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_client_load(&one, book, from, err);
    if (!status)
        status = wm_book_client_load(&other, book, into, err);
    if (!status && snprintf(note, sizeof note, "%s%s%s", other.note, *other.note && *one.note ? "\n" : "", one.note) >=
                       (int)sizeof note)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                            "the notes of both are too long for one; shorten one first: weftmatch client note");
    if (!status)
        status = put_note(book, into, note, one.since, err);
    if (!status)
        status = move_visits(book, from, into, err);
    if (!status)
        status =
            wm_log__tell(book, &line, err, "client %lld (%s) with %ld visit%s merged into %lld (%s)", (long long)from,
                         one.name, one.visits, one.visits == 1 ? "" : "s", (long long)into, other.name);
    return wm_book_end(book, status, err);
}

/* Her rows are gone; what they leave in the gaps of pages goes with a new copy of all pages, and what the log holds
 * with its emptying, which another program can hinder. */
static wm_status leave_no_trace(wm_book *book, wm_error *err)
{
    int64_t hindered = 0;
    wm_status status = wm_db__run(book, "VACUUM", err);
    if (!status)
        status = wm_db__number(&hindered, book, "PRAGMA wal_checkpoint(TRUNCATE)", err);
    if (!status && hindered)
        status =
            wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                       "is open in another program, so that traces of the client stay in its log; close that program");
    return status;
}

wm_status wm_book_client_forget(wm_book *book, int64_t id, wm_error *err)
{
    wm_client client;
    wm_log_line line = { .verb = "client forget" };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_client_load(&client, book, id, err);
    if (!status)
        status = wm_log__forget(book, id, err);
    if (!status)
        status = wm_log__tell(book, &line, err, "client %lld forgotten", (long long)id);
    if (!status)
        status = wm_db__run(book, "UPDATE change SET state = 'told' WHERE id = (SELECT max(id) FROM change)", err);
    status = wm_book_end(book, status, err);
    return status ? status : leave_no_trace(book, err);
}
