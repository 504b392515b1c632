#include "book/db.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/buf.h"
#include "core/plain.h"

/* A query has a budget of SQLite's steps: what a book of 2,000 clients asks for takes a thousandth of it. */
enum { BUSY_MS = 5000, NAP_MS = 5, STEPS_A_TICK = 1000000, TICKS_A_QUERY = 3000 };

const char *wm_book_engine(void)
{
    return sqlite3_libversion();
}

/* --- what went wrong --- */

static wm_status fail_code(wm_error *err, int code, const char *said, const char *path)
{
    switch (code & 0xff) {
    case SQLITE_NOMEM: return wm_fail_memory(err);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is locked by another program; close it and try again");
    case SQLITE_FULL:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "the disk is full; nothing was changed; make room and try again");
    case SQLITE_READONLY:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "can't be written; check the permissions of the file and its folder");
    case SQLITE_NOTADB: return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is not a book; name another with --book");
    case SQLITE_CORRUPT:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "is damaged; run weftmatch book check, or go back to a backup; nothing was changed");
    case SQLITE_CANTOPEN:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "can't be opened; check the path and its permissions");
    case SQLITE_IOERR:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "can't be read or written; nothing was changed; check that the disk has room and is healthy");
    case SQLITE_INTERRUPT:
        return wm_fail_at(
            err, WM_E_BOOK, path, 0, 0,
            "takes too long to read; run weftmatch book check, or go back to a backup; nothing was changed");
    default: return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "%s; nothing was changed", said);
    }
}

static int last_code(sqlite3 *db)
{
    int code = db ? sqlite3_extended_errcode(db) : SQLITE_NOMEM;
    if (code == SQLITE_IOERR_NOMEM)
        return SQLITE_NOMEM;
    return (code & 0xff) == SQLITE_IOERR && sqlite3_system_errno(db) == ENOSPC ? SQLITE_FULL : code;
}

static wm_status fail_sqlite(wm_error *err, sqlite3 *db, const char *path)
{
    int code = last_code(db);
    if ((code & 0xff) == SQLITE_CANTOPEN && (sqlite3_system_errno(db) == EMFILE || sqlite3_system_errno(db) == ENFILE))
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "too many files are open; close some, or allow more (ulimit -n)");
    return fail_code(err, code, db ? sqlite3_errmsg(db) : "can't be opened", path);
}

wm_status wm_db__fail(wm_error *err, wm_book *book)
{
    book->out_of_room = book->out_of_room || last_code(book->sqlite) == SQLITE_FULL;
    return fail_sqlite(err, book->sqlite, book->path);
}

/* --- the database --- */

static int tick(void *user)
{
    wm_book *book = user;
    return --book->ticks < 0;
}

/* SQL's sought(name): see wm_plain_sought. */
static void sought(sqlite3_context *context, int count, sqlite3_value **values)
{
    char text[256];
    const char *name = (const char *)sqlite3_value_text(values[count - 1]);
    sqlite3_result_text(context, wm_plain_sought(text, sizeof text, name ? name : ""), -1, SQLITE_TRANSIENT);
}

/* SQLite's own waiting looks ever more seldom, up to every 100 ms, so that of several programs that save one after the
 * other one may never find the short moments between. */
static int wait_for_lock(void *user, int naps)
{
    (void)user;
    (void)nanosleep(&(struct timespec){ 0, NAP_MS * 1000000L }, NULL);
    return naps < BUSY_MS / NAP_MS;
}

static wm_status set_up(wm_book *book, wm_error *err)
{
    sqlite3 *db = book->sqlite;
    sqlite3_busy_handler(db, wait_for_lock, NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    sqlite3_progress_handler(db, STEPS_A_TICK, tick, book);
    book->ticks = TICKS_A_QUERY;
    if (sqlite3_create_function(db, "sought", 1, SQLITE_UTF8 | SQLITE_DETERMINISTIC, NULL, sought, NULL, NULL) !=
        SQLITE_OK)
        return wm_db__fail(err, book);
    return wm_db__run(book, "PRAGMA secure_delete = ON; PRAGMA temp_store = MEMORY", err);
}

/* SQLite takes ":memory:" and "file:.." for something else than the name of a file. */
static const char *plain_start(const char *path)
{
    return *path == '/' ? "" : "./";
}

/* file:///FOLDER/FILE?immutable=1 or file:./FILE?immutable=1 */
static void immutable_uri(wm_buf *out, const char *path)
{
    wm_buf_text(out, *path == '/' ? "file://" : "file:./");
    for (const char *p = path; *p; p++)
        if (strchr("?#%", *p))
            wm_buf_format(out, "%%%02x", (unsigned)*p);
        else
            wm_buf_bytes(out, p, 1);
    wm_buf_text(out, "?immutable=1");
}

wm_status wm_db__open(wm_book *book, wm_db_access access, wm_error *err)
{
    wm_buf name = { 0 };
    int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_FULLMUTEX;
    if (access == WM_DB_LOOK) {
        immutable_uri(&name, book->path);
        flags = SQLITE_OPEN_READONLY | SQLITE_OPEN_URI | SQLITE_OPEN_FULLMUTEX;
    } else if (access == WM_DB_MEMORY) {
        wm_buf_text(&name, ":memory:");
    } else {
        wm_buf_format(&name, "%s%s", plain_start(book->path), book->path);
    }
    wm_status status = wm_buf_status(&name, err);
    if (!status && sqlite3_open_v2(name.data, &book->sqlite, flags, NULL) != SQLITE_OK)
        status = wm_db__fail(err, book);
    wm_buf_free(&name);
    return status ? status : set_up(book, err);
}

void wm_db__close(wm_book *book)
{
    sqlite3_close(book->sqlite);
    book->sqlite = NULL;
}

bool wm_db__looks_damaged(const wm_book *book)
{
    return book->sqlite && sqlite3_errcode(book->sqlite) == SQLITE_CORRUPT;
}

wm_status wm_db__run(wm_book *book, const char *sql, wm_error *err)
{
    book->ticks = TICKS_A_QUERY;
    return sqlite3_exec(book->sqlite, sql, NULL, NULL, NULL) == SQLITE_OK ? WM_OK : wm_db__fail(err, book);
}

/* The first program that asks changes the file's head. SQLite tells others that ask at that moment at once that it is
 * locked, instead of letting them wait as for any other change. */
wm_status wm_db__use_log(wm_book *book, wm_error *err)
{
    wm_status status = wm_db__run(book, "PRAGMA journal_mode = WAL", err);
    for (int naps = 0; status && sqlite3_errcode(book->sqlite) == SQLITE_BUSY && wait_for_lock(NULL, naps); naps++)
        status = wm_db__run(book, "PRAGMA journal_mode = WAL", err);
    return status;
}

wm_status wm_db__number(int64_t *out, wm_book *book, const char *sql, wm_error *err)
{
    wm_query q = wm_query__of(book, sql);
    int64_t value = wm_query__row(&q) ? wm_query__get_int(&q, 0) : 0;
    wm_status status = wm_query__end(&q, err);
    if (!status)
        *out = value;
    return status;
}

int64_t wm_db__last_id(const wm_book *book)
{
    return sqlite3_last_insert_rowid(book->sqlite);
}

int64_t wm_db__changed(const wm_book *book)
{
    return sqlite3_changes64(book->sqlite);
}

static wm_status copy_pages(wm_book *book, sqlite3 *copy, const char *named, wm_error *err)
{
    sqlite3_backup *backup = sqlite3_backup_init(copy, "main", book->sqlite, "main");
    if (!backup)
        return fail_sqlite(err, copy, named);
    int step = sqlite3_backup_step(backup, -1);
    sqlite3_backup_finish(backup);
    if (step == SQLITE_DONE)
        return WM_OK;
    if (step == SQLITE_BUSY || step == SQLITE_LOCKED)
        return fail_code(err, step, "", book->path);
    return wm_fail_at(err, WM_E_OUTPUT, named, 0, 0,
                      "the copy could not be written: %s; make room or name another place", sqlite3_errstr(step));
}

wm_status wm_db__copy(wm_book *book, const char *path, const char *named, wm_error *err)
{
    sqlite3 *copy = NULL;
    wm_buf name = { 0 };
    wm_buf_format(&name, "%s%s", plain_start(path), path);
    wm_status status = wm_buf_status(&name, err);
    if (!status && sqlite3_open_v2(name.data, &copy, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        status = fail_sqlite(err, copy, named);
    wm_buf_free(&name);
    if (!status)
        status = copy_pages(book, copy, named, err);
    /* a copy stands alone: no log beside it */
    if (!status && sqlite3_exec(copy, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL) != SQLITE_OK)
        status = fail_sqlite(err, copy, named);
    sqlite3_close(copy);
    return status;
}

/* --- a query --- */

static void note(wm_query *q, int code)
{
    if (q->code == SQLITE_OK)
        q->code = code;
}

wm_query wm_query__of(wm_book *book, const char *sql)
{
    wm_query q = { book, NULL, SQLITE_OK };
    book->ticks = TICKS_A_QUERY;
    q.code = sqlite3_prepare_v2(book->sqlite, sql, -1, &q.statement, NULL);
    return q;
}

void wm_query__int(wm_query *q, int parameter, int64_t value)
{
    if (q->code == SQLITE_OK)
        note(q, sqlite3_bind_int64(q->statement, parameter, value));
}

void wm_query__text(wm_query *q, int parameter, const char *value)
{
    if (q->code == SQLITE_OK)
        note(q, sqlite3_bind_text(q->statement, parameter, value, -1, SQLITE_STATIC));
}

void wm_query__bytes(wm_query *q, int parameter, const wm_bytes *value)
{
    if (q->code == SQLITE_OK)
        note(q, sqlite3_bind_blob64(q->statement, parameter, value->data ? (const void *)value->data : "", value->size,
                                    SQLITE_STATIC));
}

void wm_query__number(wm_query *q, int parameter, double value)
{
    if (q->code == SQLITE_OK)
        note(q, value < 0 ? sqlite3_bind_null(q->statement, parameter)
                          : sqlite3_bind_double(q->statement, parameter, value));
}

void wm_query__real(wm_query *q, int parameter, double value)
{
    if (q->code == SQLITE_OK)
        note(q, sqlite3_bind_double(q->statement, parameter, value));
}

bool wm_query__row(wm_query *q)
{
    if (q->code != SQLITE_OK)
        return false;
    int step = sqlite3_step(q->statement);
    if (step != SQLITE_ROW && step != SQLITE_DONE)
        note(q, step);
    return step == SQLITE_ROW;
}

bool wm_query__is_null(const wm_query *q, int column)
{
    return sqlite3_column_type(q->statement, column) == SQLITE_NULL;
}

int64_t wm_query__get_int(const wm_query *q, int column)
{
    return sqlite3_column_int64(q->statement, column);
}

double wm_query__get_number(const wm_query *q, int column)
{
    return wm_query__is_null(q, column) ? -1 : sqlite3_column_double(q->statement, column);
}

double wm_query__get_real(const wm_query *q, int column)
{
    return sqlite3_column_double(q->statement, column);
}

const char *wm_query__peek(const wm_query *q, int column)
{
    const unsigned char *text = sqlite3_column_text(q->statement, column);
    return text ? (const char *)text : "";
}

void wm_query__get_text(char *out, size_t size, const wm_query *q, int column)
{
    const char *text = wm_query__peek(q, column);
    const size_t length = strnlen(text, size - 1); /* snprintf would be a tenth of a list of all clients */
    memcpy(out, text, length);
    out[length] = '\0';
}

void wm_query__get_bytes(wm_bytes *out, wm_query *q, int column)
{
    const void *blob = sqlite3_column_blob(q->statement, column);
    size_t size = (size_t)sqlite3_column_bytes(q->statement, column);
    unsigned char *data = malloc(size + 1);
    if (!data || (size && !blob)) {
        free(data);
        note(q, SQLITE_NOMEM);
        return;
    }
    if (size)
        memcpy(data, blob, size);
    data[size] = '\0';
    *out = (wm_bytes){ data, size };
}

wm_status wm_query__end(wm_query *q, wm_error *err)
{
    wm_status status = WM_OK;
    if (q->code == SQLITE_NOMEM)
        status = wm_fail_memory(err);
    else if (q->code != SQLITE_OK)
        status = wm_db__fail(err, q->book);
    sqlite3_finalize(q->statement);
    q->statement = NULL;
    return status;
}

wm_status wm_query__finish(wm_query *q, wm_error *err)
{
    wm_query__row(q);
    return wm_query__end(q, err);
}

wm_status wm_query__all(void **items, size_t *count, wm_query *q, wm_row_kind kind, wm_error *err)
{
    char *all = NULL;
    size_t n = 0, room = 0;
    wm_status status = WM_OK;
    while (!status && wm_query__row(q)) {
        char *more = n == room ? realloc(all, (room = 2 * room + 1) * kind.size) : all;
        if (!more) {
            status = wm_fail_memory(err);
            break;
        }
        all = more;
        kind.read(all + kind.size * n++, q);
    }
    wm_status ended = wm_query__end(q, status ? NULL : err);
    status = status ? status : ended;
    if (status) {
        free(all);
        return status;
    }
    *items = all;
    *count = n;
    return WM_OK;
}
