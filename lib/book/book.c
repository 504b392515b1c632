#include "book/book.h"

#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book/schema.h"
#include "core/buf.h"

enum { BUSY_MS = 5000 };

struct wm_book {
    sqlite3 *db;
    char *path;
};

const char *wm_book_engine(void)
{
    return sqlite3_libversion();
}

/* One line for what SQLite says, with what to do. */
static wm_status fail_sqlite(wm_error *err, sqlite3 *db, const char *path)
{
    int code = db ? sqlite3_extended_errcode(db) : SQLITE_NOMEM;
    if (code == SQLITE_IOERR_NOMEM)
        code = SQLITE_NOMEM;
    if ((code & 0xff) == SQLITE_IOERR && sqlite3_system_errno(db) == ENOSPC)
        code = SQLITE_FULL;
    switch (code & 0xff) {
    case SQLITE_NOMEM: return wm_fail_memory(err);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is locked by another program; close it and try again");
    case SQLITE_FULL:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "the disk is full; nothing was changed; make room and try again");
    case SQLITE_READONLY:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "can't be written; check the rights of the file and its folder");
    case SQLITE_NOTADB: return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is not a book; name another with --book");
    case SQLITE_CORRUPT:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "is damaged; run weftmatch book check, or go back to a backup; nothing was changed");
    case SQLITE_CANTOPEN:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "can't be opened; check the path and its rights");
    case SQLITE_IOERR:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "can't be read or written; nothing was changed; see that the disk has room and is sound");
    default:
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "%s; nothing was changed",
                          db ? sqlite3_errmsg(db) : "can't be opened");
    }
}

static wm_status fail_book(wm_error *err, const wm_book *book)
{
    return fail_sqlite(err, book->db, book->path);
}

static wm_status run(wm_book *book, const char *sql, wm_error *err)
{
    return sqlite3_exec(book->db, sql, NULL, NULL, NULL) == SQLITE_OK ? WM_OK : fail_book(err, book);
}

static wm_status pragma_number(long *out, wm_book *book, const char *sql, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = WM_OK;
    if (sqlite3_prepare_v2(book->db, sql, -1, &s, NULL) != SQLITE_OK || sqlite3_step(s) != SQLITE_ROW)
        status = fail_book(err, book);
    else
        *out = (long)sqlite3_column_int64(s, 0);
    sqlite3_finalize(s);
    return status;
}

/* Ends a transaction: commit when all went well, else roll back. */
static wm_status end_transaction(wm_book *book, wm_status status, wm_error *err)
{
    if (!status)
        status = run(book, "COMMIT", err);
    if (status)
        sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    return status;
}

static wm_status make_folders(const char *path, wm_error *err)
{
    char folder[1024];
    if (snprintf(folder, sizeof folder, "%s", path) >= (int)sizeof folder)
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "the path is too long; name a shorter one with --book");
    for (char *p = folder + 1; (p = strchr(p, '/')); p++) {
        *p = '\0';
        if (mkdir(folder, 0700) != 0 && errno != EEXIST)
            return wm_fail_at(err, WM_E_BOOK, folder, 0, 0,
                              "the folder can't be made: %s; name another place with --book", strerror(errno));
        *p = '/';
    }
    return WM_OK;
}

/* SQLite would make the file with the umask's mode; client data must never be readable by others, not for a moment. The
 * -wal and -shm files take the mode of the book. */
static wm_status make_file(const char *path, wm_error *err)
{
    wm_status status = make_folders(path, err);
    if (status)
        return status;
    int fd = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0 && errno != EEXIST) /* another program may have been quicker */
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "can't be made: %s; name another place with --book",
                          strerror(errno));
    if (fd >= 0)
        close(fd);
    return WM_OK;
}

static wm_status upgrade(wm_book *book, long version, wm_error *err)
{
    char sql[96];
    wm_status status = run(book, "BEGIN IMMEDIATE", err);
    if (status)
        return status;
    /* another program may have done it while we waited for the lock */
    status = pragma_number(&version, book, "PRAGMA user_version", err);
    for (; !status && version < WM_BOOK_SCHEMA_VERSION; version++)
        status = run(book, wm_schema__step((int)version), err);
    if (!status) {
        snprintf(sql, sizeof sql, "PRAGMA application_id = %d; PRAGMA user_version = %d", WM_BOOK_APPLICATION_ID,
                 WM_BOOK_SCHEMA_VERSION);
        status = run(book, sql, err);
    }
    return end_transaction(book, status, err);
}

static wm_status check_numbers(const wm_book *book, long id, long version, wm_error *err)
{
    if (id != WM_BOOK_APPLICATION_ID)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                          "is another program's database, not a book; name another with --book");
    if (version > WM_BOOK_SCHEMA_VERSION)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                          "was written by a newer weftmatch (book version %ld, this one knows %d); update weftmatch",
                          version, WM_BOOK_SCHEMA_VERSION);
    return WM_OK;
}

static wm_status read_numbers(long *id, long *version, wm_book *book, wm_error *err)
{
    wm_status status = pragma_number(id, book, "PRAGMA application_id", err);
    return status ? status : pragma_number(version, book, "PRAGMA user_version", err);
}

/* file:PATH?immutable=1 */
static void immutable_uri(wm_buf *out, const char *path)
{
    wm_buf_text(out, "file:");
    for (const char *p = path; *p; p++)
        if (strchr("?#%", *p))
            wm_buf_format(out, "%%%02x", (unsigned)*p);
        else
            wm_buf_bytes(out, p, 1);
    wm_buf_text(out, "?immutable=1");
}

/* Looks at a file without any lock, log or journal, so that what is not ours, or newer, is refused without a byte or a
 * neighbour file changed. (Reading the head by hand would drop the locks that this process may hold on the file.) */
static wm_status look_first(wm_book *book, wm_error *err)
{
    wm_buf uri = { 0 };
    wm_book look = { NULL, book->path };
    long id = 0, version = 0;
    immutable_uri(&uri, book->path);
    wm_status status = wm_buf_status(&uri, err);
    if (!status && sqlite3_open_v2(uri.data, &look.db, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, NULL) != SQLITE_OK)
        status = fail_book(err, &look);
    if (!status)
        status = read_numbers(&id, &version, &look, err);
    bool half_written = look.db && sqlite3_errcode(look.db) ==
                                       SQLITE_CORRUPT; /* seen without its journal; the real opening will tell */
    sqlite3_close(look.db);
    wm_buf_free(&uri);
    if (half_written)
        return WM_OK;
    return status ? status : check_numbers(book, id, version, err);
}

/* The same once more under a lock, since a log may hold newer numbers, and brings an older book up to date. */
static wm_status check_identity(wm_book *book, bool empty, wm_book_mode mode, wm_error *err)
{
    long id = 0, version = 0;
    wm_status status = read_numbers(&id, &version, book, err);
    if (!status && !(empty && id == 0 && version == 0))
        status = check_numbers(book, id, version, err);
    if (status || version == WM_BOOK_SCHEMA_VERSION)
        return status;
    if (mode == WM_BOOK_READ)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                          "is an older book; any command that writes brings it up to date");
    return upgrade(book, version, err);
}

/* READ has a handle that could write, and is forbidden to: only such a one cleans up the log files when it closes. */
static wm_status open_database(wm_book *book, bool empty, wm_book_mode mode, wm_error *err)
{
    wm_status status = empty ? WM_OK : look_first(book, err);
    if (status)
        return status;
    if (sqlite3_open_v2(book->path, &book->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_FULLMUTEX, NULL) != SQLITE_OK)
        return fail_book(err, book);
    sqlite3_busy_timeout(book->db, BUSY_MS);
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    status = check_identity(book, empty, mode, err);
    if (!status)
        status = run(book, "PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON", err);
    if (!status)
        status = run(book,
                     mode == WM_BOOK_READ ? "PRAGMA query_only = ON"
                                          : "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL",
                     err);
    return status;
}

wm_status wm_book_open(wm_book **out, const char *path, wm_book_mode mode, wm_error *err)
{
    wm_status status = WM_OK;
    struct stat info;
    bool exists = stat(path, &info) == 0;
    if (!exists && mode != WM_BOOK_CREATE)
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "there is no book yet; add a client first: weftmatch client add \"NAME\"");
    if (exists && !S_ISREG(info.st_mode))
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is not a file; name a book with --book");
    bool empty = !exists || info.st_size == 0;
    if (empty && mode != WM_BOOK_CREATE)
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is empty; add a client first: weftmatch client add \"NAME\"");
    if (!exists)
        status = make_file(path, err);
    if (status)
        return status;
    wm_book *book = calloc(1, sizeof *book);
    if (book)
        book->path = wm_text_copy(path);
    status = book && book->path ? open_database(book, empty, mode, err) : wm_fail_memory(err);
    if (status)
        wm_book_close(book);
    else
        *out = book;
    return status;
}

void wm_book_close(wm_book *book)
{
    if (!book)
        return;
    sqlite3_close(book->db);
    free(book->path);
    free(book);
}

/* --- statements: bound parameters only
 * ---------------------------------------------------------------------------------------- */

static wm_status prepare(sqlite3_stmt **out, wm_book *book, const char *sql, wm_error *err)
{
    return sqlite3_prepare_v2(book->db, sql, -1, out, NULL) == SQLITE_OK ? WM_OK : fail_book(err, book);
}

/* Texts outlive their statement, so that nothing is copied and binding can't fail. */
static void bind_text(sqlite3_stmt *s, int i, const char *text)
{
    sqlite3_bind_text(s, i, text, -1, SQLITE_STATIC);
}

/* Runs a statement that returns no rows, and finalises it. */
static wm_status finish(wm_book *book, sqlite3_stmt *s, wm_error *err)
{
    wm_status status = sqlite3_step(s) == SQLITE_DONE ? WM_OK : fail_book(err, book);
    sqlite3_finalize(s);
    return status;
}

static void copy_text(char *out, size_t size, sqlite3_stmt *s, int column)
{
    const unsigned char *text = sqlite3_column_text(s, column);
    snprintf(out, size, "%s", text ? (const char *)text : "");
}

/* --- settings
 * -------------------------------------------------------------------------------------------------------------------
 */

wm_status wm_book_setting_get(char **out, wm_book *book, const char *key, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = prepare(&s, book, "SELECT value FROM setting WHERE key = ?", err);
    if (status)
        return status;
    bind_text(s, 1, key);
    char *value = NULL;
    int step = sqlite3_step(s);
    if (step == SQLITE_ROW && !(value = wm_text_copy((const char *)sqlite3_column_text(s, 0))))
        status = wm_fail_memory(err);
    else if (step != SQLITE_ROW && step != SQLITE_DONE)
        status = fail_book(err, book);
    sqlite3_finalize(s);
    if (!status)
        *out = value;
    return status;
}

wm_status wm_book_setting_set(wm_book *book, const char *key, const char *value, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status =
        prepare(&s, book,
                value ? "INSERT INTO setting (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = ?2"
                      : "DELETE FROM setting WHERE key = ?1",
                err);
    if (status)
        return status;
    bind_text(s, 1, key);
    if (value)
        bind_text(s, 2, value);
    return finish(book, s, err);
}

/* --- clients
 * --------------------------------------------------------------------------------------------------------------------
 */

/* Name without case and outer space. Beyond ASCII the bytes stay: two spellings of one name are two clients rather than
 * one lost. */
static bool fold_name(char out[128], const char *name)
{
    size_t start = strspn(name, " \t"), length = strlen(name + start);
    while (length > 0 && strchr(" \t", name[start + length - 1]))
        length--;
    if (length == 0 || length > 127)
        return false;
    for (size_t i = 0; i < length; i++) {
        unsigned char byte = (unsigned char)name[start + i];
        out[i] = (char)(byte >= 'A' && byte <= 'Z' ? byte + 32 : byte);
    }
    out[length] = '\0';
    return true;
}

static bool all_digits(const char *text)
{
    return *text && text[strspn(text, "0123456789")] == '\0';
}

static wm_status check_name(const char *name, wm_error *err)
{
    char folded[128];
    if (!wm_utf8_valid(name, strlen(name)) || strpbrk(name, "\n\r\t"))
        return wm_fail(err, WM_E_USAGE, "a client's name is one line of UTF-8; write it without line breaks");
    if (!fold_name(folded, name))
        return wm_fail(err, WM_E_USAGE, "a client's name has 1 to 127 bytes; write one that fits");
    if (all_digits(folded))
        return wm_fail(err, WM_E_USAGE, "a client's name can't be a number, since numbers are ids; add a letter");
    return WM_OK;
}

static wm_status check_note(const char *note, wm_error *err)
{
    if (note && (strlen(note) >= sizeof((wm_client *)0)->note || !wm_utf8_valid(note, strlen(note))))
        return wm_fail(err, WM_E_USAGE, "a note is UTF-8 of at most %zu bytes; shorten it",
                       sizeof((wm_client *)0)->note - 1);
    return WM_OK;
}

wm_status wm_book_client_check(const char *name, const char *note, wm_error *err)
{
    wm_status status = check_name(name, err);
    return status ? status : check_note(note, err);
}

wm_status wm_book_client_add(int64_t *id, wm_book *book, const char *name, const char *note, const char *date,
                             wm_error *err)
{
    sqlite3_stmt *s = NULL;
    char folded[128];
    wm_status status = wm_book_client_check(name, note, err);
    if (!status)
        status = prepare(&s, book, "INSERT INTO client (name, folded, note, since) VALUES (?, ?, ?, ?)", err);
    if (status)
        return status;
    fold_name(folded, name);
    size_t start = strspn(name, " \t");
    sqlite3_bind_text(s, 1, name + start, (int)strlen(folded), SQLITE_STATIC);
    bind_text(s, 2, folded);
    bind_text(s, 3, note ? note : "");
    bind_text(s, 4, date);
    int step = sqlite3_step(s);
    if (step == SQLITE_CONSTRAINT && sqlite3_extended_errcode(book->db) == SQLITE_CONSTRAINT_UNIQUE)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                            "a client named '%s' is there already; add something that tells them apart", name);
    else if (step != SQLITE_DONE)
        status = fail_book(err, book);
    sqlite3_finalize(s);
    if (!status)
        *id = sqlite3_last_insert_rowid(book->db);
    return status;
}

#define CLIENT_COLUMNS                                                                                                 \
    "SELECT id, name, note, since, (SELECT count(*) FROM visit WHERE client_id = client.id) FROM client "

static void read_client(wm_client *out, sqlite3_stmt *s)
{
    out->id = sqlite3_column_int64(s, 0);
    copy_text(out->name, sizeof out->name, s, 1);
    copy_text(out->note, sizeof out->note, s, 2);
    copy_text(out->since, sizeof out->since, s, 3);
    out->visits = (long)sqlite3_column_int64(s, 4);
}

/* First row of a one-parameter query, and how many rows there are (up to two matter). */
static wm_status query_client(wm_client *out, int *rows, wm_book *book, const char *sql, const char *value,
                              wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = prepare(&s, book, sql, err);
    if (status)
        return status;
    bind_text(s, 1, value);
    int step = SQLITE_DONE;
    for (*rows = 0; (step = sqlite3_step(s)) == SQLITE_ROW; ++*rows)
        if (*rows == 0)
            read_client(out, s);
    if (step != SQLITE_DONE)
        status = fail_book(err, book);
    sqlite3_finalize(s);
    return status;
}

/* Grows an array by one item; NULL when memory runs out (the old array stays). */
static void *grow(void *array, size_t count, size_t item)
{
    return realloc(array, (count + 1) * item);
}

wm_status wm_book_client_list(wm_client **out, size_t *count, wm_book *book, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_client *items = NULL;
    size_t n = 0;
    wm_status status = prepare(&s, book, CLIENT_COLUMNS "ORDER BY folded", err);
    int step = SQLITE_DONE;
    while (!status && (step = sqlite3_step(s)) == SQLITE_ROW) {
        wm_client *more = grow(items, n, sizeof *items);
        if (!more) {
            status = wm_fail_memory(err);
            break;
        }
        items = more;
        read_client(&items[n++], s);
    }
    if (!status && step != SQLITE_DONE)
        status = fail_book(err, book);
    sqlite3_finalize(s);
    if (status) {
        free(items);
        return status;
    }
    *out = items;
    *count = n;
    return WM_OK;
}

static bool begins_with(const char *text, const char *beginning)
{
    return strncmp(text, beginning, strlen(beginning)) == 0;
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

/* Up to five names: those that begin with what was asked, or sound alike. */
static wm_status collect_names(wm_buf *names, wm_book *book, const char *folded, bool beginnings, wm_error *err)
{
    wm_client *clients = NULL;
    size_t count = 0, found = 0;
    char name[128];
    wm_status status = wm_book_client_list(&clients, &count, book, err);
    for (size_t i = 0; !status && i < count && found < 5; i++)
        if (fold_name(name, clients[i].name) && (beginnings ? begins_with(name, folded) : sounds_alike(name, folded))) {
            wm_buf_format(names, "%s%s (%lld)", found ? ", " : "", clients[i].name, (long long)clients[i].id);
            found++;
        }
    free(clients);
    return status ? status : wm_buf_status(names, err);
}

static wm_status fail_unknown_client(wm_book *book, const char *name, const char *folded, bool ambiguous, wm_error *err)
{
    wm_buf names = { 0 };
    wm_status status = collect_names(&names, book, folded, ambiguous, err);
    if (status)
        ;
    else if (ambiguous)
        status =
            wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                       "several clients begin with '%s': %s; give more of the name, or the number", name, names.data);
    else if (names.size)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "no client '%s'; did you mean %s?", name, names.data);
    else if (all_digits(folded))
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "no client has the number %s; see weftmatch client list",
                            folded);
    else
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                            "no client '%s'; add her first: weftmatch client add \"%s\"", name, name);
    wm_buf_free(&names);
    return status;
}

wm_status wm_book_client_find(wm_client *out, wm_book *book, const char *name_or_id, wm_error *err)
{
    char folded[128];
    wm_client found;
    int rows = 0;
    if (!fold_name(folded, name_or_id))
        return wm_fail(err, WM_E_USAGE, "a client's name has 1 to 127 bytes; see weftmatch client list");
    wm_status status = query_client(&found, &rows, book,
                                    all_digits(folded) ? CLIENT_COLUMNS "WHERE id = CAST(?1 AS INTEGER)"
                                                       : CLIENT_COLUMNS "WHERE folded = ?1",
                                    folded, err);
    if (!status && rows == 0 && !all_digits(folded))
        status =
            query_client(&found, &rows, book, CLIENT_COLUMNS "WHERE substr(folded, 1, length(?1)) = ?1", folded, err);
    if (status)
        return status;
    if (rows != 1)
        return fail_unknown_client(book, name_or_id, folded, rows > 1, err);
    *out = found;
    return WM_OK;
}

/* secure_delete overwrote the pages in the book; the log still holds old ones until it is emptied, which another
 * program can hinder. */
static wm_status empty_log(wm_book *book, wm_error *err)
{
    long hindered = 0;
    wm_status status = pragma_number(&hindered, book, "PRAGMA wal_checkpoint(TRUNCATE)", err);
    if (!status && hindered)
        status =
            wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                       "is open in another program, so that traces of the client stay in its log; close that program");
    return status;
}

wm_status wm_book_client_forget(wm_book *book, int64_t id, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = prepare(&s, book, "DELETE FROM client WHERE id = ?", err);
    if (status)
        return status;
    sqlite3_bind_int64(s, 1, id);
    status = finish(book, s, err);
    if (!status && sqlite3_changes(book->db) == 0)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                            "no client has the number %lld; see weftmatch client list", (long long)id);
    return status ? status : empty_log(book, err);
}

/* --- visits
 * ---------------------------------------------------------------------------------------------------------------------
 */

typedef struct {
    const char *kind;
    wm_bytes *bytes;
} picture_slot;

static void picture_slots(picture_slot slots[4], wm_visit *visit)
{
    slots[0] = (picture_slot){ "photo", &visit->photo_jpeg };
    slots[1] = (picture_slot){ "gray_map", &visit->gray_map_png };
    slots[2] = (picture_slot){ "zones", &visit->zones_json };
    slots[3] = (picture_slot){ "after", &visit->after_jpeg };
}

static wm_status save_picture(wm_book *book, int64_t visit_id, const char *kind, const wm_bytes *bytes, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = prepare(&s, book,
                               "INSERT INTO picture (visit_id, kind, bytes) VALUES (?1, ?2, ?3) "
                               "ON CONFLICT (visit_id, kind) DO UPDATE SET bytes = ?3",
                               err);
    if (status)
        return status;
    sqlite3_bind_int64(s, 1, visit_id);
    bind_text(s, 2, kind);
    sqlite3_bind_blob64(s, 3, bytes->data, bytes->size, SQLITE_STATIC);
    return finish(book, s, err);
}

static wm_status save_pictures(wm_book *book, int64_t visit_id, const wm_visit *visit, wm_error *err)
{
    wm_visit view = *visit;
    picture_slot slots[4];
    picture_slots(slots, &view);
    wm_status status = WM_OK;
    for (int i = 0; i < 4 && !status; i++)
        if (slots[i].bytes->size)
            status = save_picture(book, visit_id, slots[i].kind, slots[i].bytes, err);
    return status;
}

static void bind_told(sqlite3_stmt *s, int first, const wm_visit *visit)
{
    char installed[WM_STACK_TEXT_SIZE];
    wm_stack_text(installed, &visit->installed, ",");
    sqlite3_bind_text(s, first, installed, -1, SQLITE_TRANSIENT);
    bind_text(s, first + 1, visit->why);
    bind_text(s, first + 2, visit->note);
    if (visit->has_charged)
        sqlite3_bind_int64(s, first + 3, visit->charged_minor);
}

static wm_status insert_visit(int64_t *id, wm_book *book, const wm_visit *visit, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = prepare(&s, book,
                               "INSERT INTO visit (client_id, date, report, installed, why, note, charged_minor) "
                               "VALUES (?, ?, ?, ?, ?, ?, ?)",
                               err);
    if (status)
        return status;
    sqlite3_bind_int64(s, 1, visit->client_id);
    bind_text(s, 2, visit->date);
    sqlite3_bind_blob64(s, 3, visit->report_json.data, visit->report_json.size, SQLITE_STATIC);
    bind_told(s, 4, visit);
    status = finish(book, s, err);
    if (!status)
        *id = sqlite3_last_insert_rowid(book->db);
    return status;
}

wm_status wm_book_visit_save(int64_t *id, wm_book *book, const wm_visit *visit, wm_error *err)
{
    int64_t saved = 0;
    wm_status status = run(book, "BEGIN IMMEDIATE", err);
    if (status)
        return status;
    status = insert_visit(&saved, book, visit, err);
    if (!status)
        status = save_pictures(book, saved, visit, err);
    status = end_transaction(book, status, err);
    if (!status)
        *id = saved;
    return status;
}

wm_status wm_book_client_put(int64_t *id, wm_book *book, const wm_client *client, const wm_visit *visits, size_t count,
                             wm_error *err)
{
    int64_t added = 0, saved = 0;
    wm_status status = run(book, "BEGIN IMMEDIATE", err);
    if (status)
        return status;
    status = wm_book_client_add(&added, book, client->name, client->note, client->since, err);
    for (size_t i = 0; i < count && !status; i++) {
        wm_visit visit = visits[i];
        visit.client_id = added;
        status = insert_visit(&saved, book, &visit, err);
        if (!status)
            status = save_pictures(book, saved, &visit, err);
    }
    status = end_transaction(book, status, err);
    if (!status)
        *id = added;
    return status;
}

static wm_status no_visit(const wm_book *book, int64_t id, wm_error *err)
{
    return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "there is no visit %lld; see weftmatch client history NAME",
                      (long long)id);
}

wm_status wm_book_visit_update(wm_book *book, const wm_visit *visit, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = run(book, "BEGIN IMMEDIATE", err);
    if (status)
        return status;
    status = prepare(
        &s, book,
        "UPDATE visit SET installed = coalesce(nullif(?1, ''), installed), why = ?2, note = ?3, charged_minor = ?4 WHERE id = ?5",
        err);
    if (!status) {
        bind_told(s, 1, visit);
        sqlite3_bind_int64(s, 5, visit->id);
        status = finish(book, s, err);
    }
    if (!status && sqlite3_changes(book->db) == 0)
        status = no_visit(book, visit->id, err);
    if (!status)
        status = save_pictures(book, visit->id, visit, err);
    return end_transaction(book, status, err);
}

static wm_status copy_blob(wm_bytes *out, sqlite3_stmt *s, int column, wm_error *err)
{
    const void *blob = sqlite3_column_blob(s, column);
    size_t size = (size_t)sqlite3_column_bytes(s, column);
    out->data = malloc(size + 1);
    if (!out->data)
        return wm_fail_memory(err);
    if (size)
        memcpy(out->data, blob, size);
    out->data[size] = '\0';
    out->size = size;
    return WM_OK;
}

static wm_status load_pictures(wm_visit *visit, wm_book *book, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    picture_slot slots[4];
    picture_slots(slots, visit);
    wm_status status = prepare(&s, book, "SELECT kind, bytes FROM picture WHERE visit_id = ?", err);
    if (status)
        return status;
    sqlite3_bind_int64(s, 1, visit->id);
    int step = SQLITE_DONE;
    while (!status && (step = sqlite3_step(s)) == SQLITE_ROW)
        for (int i = 0; i < 4 && !status; i++)
            if (strcmp(slots[i].kind, (const char *)sqlite3_column_text(s, 0)) == 0)
                status = copy_blob(slots[i].bytes, s, 1, err);
    if (!status && step != SQLITE_DONE)
        status = fail_book(err, book);
    sqlite3_finalize(s);
    return status;
}

static wm_status load_row(wm_visit *out, wm_book *book, int64_t id, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    char installed[WM_STACK_TEXT_SIZE];
    wm_status status = prepare(
        &s, book, "SELECT client_id, date, report, installed, why, note, charged_minor FROM visit WHERE id = ?", err);
    if (status)
        return status;
    sqlite3_bind_int64(s, 1, id);
    int step = sqlite3_step(s);
    if (step == SQLITE_ROW) {
        out->id = id;
        out->client_id = sqlite3_column_int64(s, 0);
        copy_text(out->date, sizeof out->date, s, 1);
        copy_text(installed, sizeof installed, s, 3);
        wm_stack_parse(&out->installed, installed, NULL); /* free text of earlier versions stays as it is in the book */
        copy_text(out->why, sizeof out->why, s, 4);
        copy_text(out->note, sizeof out->note, s, 5);
        out->has_charged = sqlite3_column_type(s, 6) != SQLITE_NULL;
        out->charged_minor = sqlite3_column_int64(s, 6);
        status = copy_blob(&out->report_json, s, 2, err);
    } else if (step == SQLITE_DONE) {
        status = no_visit(book, id, err);
    } else {
        status = fail_book(err, book);
    }
    sqlite3_finalize(s);
    return status;
}

wm_status wm_book_visit_load(wm_visit *out, wm_book *book, int64_t id, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_status status = load_row(&visit, book, id, err);
    if (!status)
        status = load_pictures(&visit, book, err);
    if (status)
        wm_visit_free(&visit);
    else
        *out = visit;
    return status;
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
}

wm_status wm_book_visit_ids(int64_t **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    int64_t *ids = NULL;
    size_t n = 0;
    wm_status status = prepare(&s, book, "SELECT id FROM visit WHERE ?1 = 0 OR client_id = ?1 ORDER BY date, id", err);
    if (!status)
        sqlite3_bind_int64(s, 1, client_id);
    int step = SQLITE_DONE;
    while (!status && (step = sqlite3_step(s)) == SQLITE_ROW) {
        int64_t *more = grow(ids, n, sizeof *ids);
        if (!more) {
            status = wm_fail_memory(err);
            break;
        }
        ids = more;
        ids[n++] = sqlite3_column_int64(s, 0);
    }
    if (!status && step != SQLITE_DONE)
        status = fail_book(err, book);
    sqlite3_finalize(s);
    if (status) {
        free(ids);
        return status;
    }
    *out = ids;
    *count = n;
    return WM_OK;
}

/* --- care
 * -----------------------------------------------------------------------------------------------------------------------
 */

static wm_status collect_findings(wm_book *book, const char *sql, const char *before, wm_notes *findings, wm_error *err)
{
    sqlite3_stmt *s = NULL;
    wm_status status = prepare(&s, book, sql, err);
    int step = SQLITE_DONE;
    while (!status && (step = sqlite3_step(s)) == SQLITE_ROW) {
        const char *text = (const char *)sqlite3_column_text(s, 0);
        if (text && strcmp(text, "ok") != 0)
            wm_notes_add(findings, "book_damaged", "%s%s", before, text);
    }
    if (!status && step != SQLITE_DONE)
        wm_notes_add(findings, "book_damaged", "%s", sqlite3_errmsg(book->db));
    sqlite3_finalize(s);
    return status;
}

wm_status wm_book_check(wm_book *book, wm_notes *findings, wm_error *err)
{
    wm_status status = collect_findings(book, "PRAGMA integrity_check", "", findings, err);
    if (!status)
        status =
            collect_findings(book, "PRAGMA foreign_key_check", "a row belongs to nobody, in table ", findings, err);
    struct stat info;
    if (!status && stat(book->path, &info) == 0 && (info.st_mode & 077))
        wm_notes_add(findings, "book_readable",
                     "others on this computer can read the book; make it private: chmod 600 %s", book->path);
    if (!status && findings->failed)
        status = wm_fail_memory(err);
    return status;
}

static wm_status copy_pages(wm_book *book, sqlite3 *copy, const char *path, wm_error *err)
{
    sqlite3_backup *backup = sqlite3_backup_init(copy, "main", book->db, "main");
    if (!backup)
        return fail_sqlite(err, copy, path);
    int step = sqlite3_backup_step(backup, -1);
    sqlite3_backup_finish(backup);
    if (step == SQLITE_DONE)
        return WM_OK;
    if (step == SQLITE_BUSY || step == SQLITE_LOCKED)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "is locked by another program; close it and try again");
    return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0,
                      "the copy could not be written: %s; make room or name another place", sqlite3_errstr(step));
}

static wm_status verify_copy(const char *path, wm_error *err)
{
    wm_book *copy = NULL;
    wm_notes findings = { 0 };
    wm_status status = wm_book_open(&copy, path, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_check(copy, &findings, err);
    if (!status && findings.count)
        status = wm_fail_at(err, WM_E_BOOK, path, 0, 0, "the copy is damaged: %s; run weftmatch book check",
                            findings.items[0].text);
    wm_notes_free(&findings);
    wm_book_close(copy);
    return status;
}

wm_status wm_book_backup(wm_book *book, const char *path, wm_error *err)
{
    sqlite3 *copy = NULL;
    int fd = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0 && errno == EEXIST)
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "exists; a backup never overwrites, name a new file");
    if (fd < 0)
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "can't be made: %s; name another place", strerror(errno));
    close(fd);
    wm_status status =
        sqlite3_open_v2(path, &copy, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK ? WM_OK : fail_sqlite(err, copy, path);
    if (!status)
        status = copy_pages(book, copy, path, err);
    /* a copy stands alone: no log beside it */
    if (!status && sqlite3_exec(copy, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL) != SQLITE_OK)
        status = fail_sqlite(err, copy, path);
    sqlite3_close(copy);
    if (!status)
        status = verify_copy(path, err);
    if (status)
        unlink(path);
    return status;
}
