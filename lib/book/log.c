#include "book/log.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/schema.h"

void wm_book_set_day(wm_book *book, const char *day)
{
    snprintf(book->day, sizeof book->day, "%s", day);
}

/* --- a change and its line --- */

wm_status wm_book_begin(wm_book *book, wm_error *err)
{
    wm_status status = WM_OK;
    if (book->depth == 0) {
        status = wm_db__run(book, "BEGIN IMMEDIATE", err);
        if (status)
            return status;
        book->told[0] = '\0';
        wm_query q = wm_query__of(book, "INSERT INTO change (date, verb, told) VALUES (?, '', '')");
        wm_query__text(&q, 1, book->day);
        status = wm_query__finish(&q, err);
        if (status)
            wm_db__run(book, "ROLLBACK", NULL);
    }
    book->depth += !status;
    return status;
}

/* A change that changed nothing leaves no line. */
wm_status wm_book_end(wm_book *book, wm_status status, wm_error *err)
{
    bool outermost = --book->depth == 0;
    if (!outermost)
        return status;
    if (!status && *book->told)
        status = wm_db__run(book, "COMMIT", err);
    if (status || !*book->told)
        wm_db__run(book, "ROLLBACK", NULL);
    return status;
}

wm_status wm_log__tell(wm_book *book, const wm_log_line *line, wm_error *err, const char *format, ...)
{
    size_t said = strlen(book->told);
    va_list list;
    snprintf(book->told + said, sizeof book->told - said, "%s", said ? "; " : "");
    said = strlen(book->told);
    va_start(list, format);
    vsnprintf(book->told + said, sizeof book->told - said, format, list);
    va_end(list);
    wm_query q = wm_query__of(book, "UPDATE change SET verb = ?1, told = ?2, client_id = nullif(?3, 0), "
                                    "other_client_id = nullif(?4, 0), visit_id = nullif(?5, 0) "
                                    "WHERE id = (SELECT max(id) FROM change)");
    wm_query__text(&q, 1, line->verb);
    wm_query__text(&q, 2, book->told);
    wm_query__int(&q, 3, line->client_id);
    wm_query__int(&q, 4, line->other_client_id);
    wm_query__int(&q, 5, line->visit_id);
    return wm_query__finish(&q, err);
}

/* --- reading them --- */

#define CHANGE_COLUMNS                                                                                                 \
    "SELECT id, date, verb, told, coalesce(client_id, 0), coalesce(visit_id, 0), state = 'undone', "                   \
    "coalesce(takes_back, 0) FROM change "

static void read_change(void *row, const wm_query *q)
{
    wm_change *out = row;
    out->id = wm_query__get_int(q, 0);
    wm_query__get_text(out->date, sizeof out->date, q, 1);
    wm_query__get_text(out->verb, sizeof out->verb, q, 2);
    wm_query__get_text(out->told, sizeof out->told, q, 3);
    out->client_id = wm_query__get_int(q, 4);
    out->visit_id = wm_query__get_int(q, 5);
    out->undone = wm_query__get_int(q, 6) != 0;
}

wm_status wm_book_changes(wm_change **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err)
{
    wm_query q =
        wm_query__of(book, CHANGE_COLUMNS "WHERE ?1 = 0 OR client_id = ?1 OR other_client_id = ?1 ORDER BY id");
    wm_query__int(&q, 1, client_id);
    void *items = NULL;
    wm_status status = wm_query__all(&items, count, &q, (wm_row_kind){ sizeof **out, read_change }, err);
    if (!status)
        *out = items;
    return status;
}

/* The one change that the query finds; `taken_back` is what it took back itself, 0 if nothing. */
static wm_status find_change(wm_change *out, int64_t *taken_back, wm_book *book, const char *sql, wm_error *err)
{
    wm_query q = wm_query__of(book, sql);
    bool found = wm_query__row(&q);
    if (found) {
        read_change(out, &q);
        *taken_back = wm_query__get_int(&q, 7);
    }
    wm_status status = wm_query__end(&q, err);
    if (!status && !found)
        status =
            wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "there is no change to take back; see weftmatch book log");
    return status;
}

#define NEXT_UNDO CHANGE_COLUMNS "WHERE state = 'done' AND verb NOT IN ('undo', 'redo') ORDER BY id DESC LIMIT 1"
#define NEXT_REDO                                                                                                      \
    CHANGE_COLUMNS                                                                                                     \
    "WHERE state = 'done' AND verb = 'undo' AND NOT EXISTS (SELECT 1 FROM change later WHERE later.id > change.id "    \
    "AND later.verb NOT IN ('undo', 'redo')) ORDER BY id DESC LIMIT 1"

static wm_status next_change(wm_change *out, wm_book *book, const char *sql, wm_error *err)
{
    wm_change found = { 0 };
    int64_t undone = 0;
    wm_status status = find_change(&found, &undone, book, sql, err);
    if (!status)
        *out = found;
    return status;
}

wm_status wm_book_next_undo(wm_change *out, wm_book *book, wm_error *err)
{
    return next_change(out, book, NEXT_UNDO, err);
}

wm_status wm_book_next_redo(wm_change *out, wm_book *book, wm_error *err)
{
    return next_change(out, book, NEXT_REDO, err);
}

/* --- taking back --- */

static wm_status run_on(wm_book *book, const char *sql, int64_t id, wm_error *err)
{
    wm_query q = wm_query__of(book, sql);
    wm_query__int(&q, 1, id);
    return wm_query__finish(&q, err);
}

/* Puts every row that the change touched back to what it was; references are looked at when all are. */
static wm_status put_back(wm_book *book, int64_t change, wm_error *err)
{
    size_t count = 0;
    wm_status status = wm_db__run(book, "PRAGMA defer_foreign_keys = ON", err);
    while (wm_schema__kept(count))
        count++;
    for (size_t i = count; i-- > 0 && !status;)
        status = run_on(book, wm_schema__kept(i)->take_out, change, err);
    for (size_t i = 0; i < count && !status; i++)
        status = run_on(book, wm_schema__kept(i)->put_back, change, err);
    return status;
}

/* Tells it as a change of its own, about whom the other was. */
static wm_status tell_taken(wm_book *book, const char *verb, const wm_change *taken, wm_error *err)
{
    wm_log_line line = { verb, 0, 0, 0 };
    wm_status status = wm_log__tell(book, &line, err, "%s: %.380s", verb, taken->told);
    if (!status)
        status = run_on(book,
                        "UPDATE change SET takes_back = ?1, "
                        "(client_id, other_client_id, visit_id) = (SELECT client_id, other_client_id, visit_id FROM "
                        "change WHERE id = ?1) WHERE id = (SELECT max(id) FROM change)",
                        taken->id, err);
    return status ? status : run_on(book, "UPDATE change SET state = 'undone' WHERE id = ?1", taken->id, err);
}

wm_status wm_book_undo(wm_change *out, wm_book *book, wm_error *err)
{
    wm_change taken = { 0 };
    int64_t none = 0;
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = find_change(&taken, &none, book, NEXT_UNDO " OFFSET 1", err); /* the first is the one that was begun */
    if (!status)
        status = put_back(book, taken.id, err);
    if (!status)
        status = tell_taken(book, "undo", &taken, err);
    status = wm_book_end(book, status, err);
    if (!status)
        *out = taken;
    return status;
}

wm_status wm_book_redo(wm_change *out, wm_book *book, wm_error *err)
{
    wm_change taken = { 0 };
    int64_t undone = 0;
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    /* so that the one that was begun is no later change */
    status = wm_db__run(book, "UPDATE change SET verb = 'redo' WHERE id = (SELECT max(id) FROM change)", err);
    if (!status)
        status = find_change(&taken, &undone, book, NEXT_REDO, err);
    if (!status)
        status = put_back(book, taken.id, err);
    if (!status)
        status = tell_taken(book, "redo", &taken, err);
    if (!status)
        status = run_on(book, "UPDATE change SET state = 'done' WHERE id = ?1", undone, err);
    status = wm_book_end(book, status, err);
    if (!status)
        *out = taken;
    return status;
}

/* --- forgetting --- */

/* Visits that are hers, and those that were last hers and are gone. */
static const char FORGET[] =
    "CREATE TEMP TABLE gone_visit AS SELECT id FROM visit WHERE client_id IN gone_client UNION "
    "SELECT id FROM visit_was WHERE client_id IN gone_client AND id NOT IN (SELECT id FROM visit);"
    /* what was taken for her stays taken */
    "UPDATE stock_move SET visit_id = NULL WHERE visit_id IN gone_visit;"
    "UPDATE cut_length SET from_visit = NULL WHERE from_visit IN gone_visit;"
    "DELETE FROM cut_length WHERE used_by IN gone_visit;"
    "DELETE FROM client WHERE id IN gone_client;"
    "DELETE FROM visit_was WHERE client_id IN gone_client OR id IN gone_visit;"
    "DELETE FROM attachment_was WHERE visit_id IN gone_visit;"
    "DELETE FROM sewn_was WHERE visit_id IN gone_visit;"
    "UPDATE stock_move_was SET visit_id = NULL WHERE visit_id IN gone_visit;"
    "UPDATE cut_length_was SET from_visit = NULL WHERE from_visit IN gone_visit;"
    "UPDATE cut_length_was SET used_by = NULL WHERE used_by IN gone_visit;"
    "DELETE FROM coming_was WHERE client_id IN gone_client;"
    "DELETE FROM client_was WHERE id IN gone_client;"
    "DELETE FROM change WHERE client_id IN gone_client OR other_client_id IN gone_client OR visit_id IN gone_visit;"
    "DROP TABLE temp.gone_client; DROP TABLE temp.gone_visit";

wm_status wm_log__forget(wm_book *book, int64_t client_id, wm_error *err)
{
    wm_status status = wm_db__run(book, "CREATE TEMP TABLE gone_client (id INTEGER PRIMARY KEY)", err);
    if (!status)
        status = run_on(book,
                        "INSERT INTO gone_client WITH RECURSIVE she (id) AS (SELECT ?1 UNION SELECT other_client_id "
                        "FROM change, she WHERE verb = 'client merge' AND state = 'done' AND client_id = she.id) "
                        "SELECT id FROM she WHERE id IS NOT NULL",
                        client_id, err);
    return status ? status : wm_db__run(book, FORGET, err);
}
