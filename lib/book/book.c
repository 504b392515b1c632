#include "book/book.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book/db.h"
#include "book/log.h"
#include "book/schema.h"
#include "core/buf.h"

/* --- the folders it lies in --- */

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

/* --- whose it is, and of which version --- */

static wm_status run_steps(wm_book *book, int64_t from, int64_t to, wm_error *err)
{
    wm_status status = WM_OK;
    for (int64_t version = from; version < to; version++)
        for (size_t i = 0; !status && wm_schema__step((int)version, i); i++)
            status = wm_db__run(book, wm_schema__step((int)version, i), err);
    return status;
}

static wm_status check_numbers(const wm_book *book, int64_t id, int64_t version, wm_error *err)
{
    if (id != WM_BOOK_APPLICATION_ID)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                          "is another program's database, not a book; name another with --book");
    if (version > WM_BOOK_SCHEMA_VERSION)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                          "was written by a newer weftmatch (book version %lld, this one knows %d); update weftmatch",
                          (long long)version, WM_BOOK_SCHEMA_VERSION);
    return WM_OK;
}

static wm_status read_numbers(int64_t *id, int64_t *version, wm_book *book, wm_error *err)
{
    wm_status status = wm_db__number(id, book, "PRAGMA application_id", err);
    return status ? status : wm_db__number(version, book, "PRAGMA user_version", err);
}

/* Looks at a file without any lock, log or journal, so that what is not ours, or newer, is refused without a byte or a
 * neighbour file changed. (Reading the head by hand would drop the locks that this process may hold on the file.) */
static wm_status look_first(const wm_book *book, wm_error *err)
{
    wm_book look = { .path = book->path };
    int64_t id = 0, version = 0;
    wm_status status = wm_db__open(&look, WM_DB_LOOK, err);
    if (!status)
        status = read_numbers(&id, &version, &look, err);
    bool half_written = wm_db__looks_damaged(&look); /* seen without its journal; the real opening will tell */
    wm_db__close(&look);
    if (half_written)
        return WM_OK;
    return status ? status : check_numbers(book, id, version, err);
}

bool wm_book_lies_at(const char *path)
{
    struct stat info;
    wm_book look = { .path = NULL };
    int64_t id = 0, version = 0;
    /* what is empty is no book, and may be a file of the kernel's that is waited for */
    if (stat(path, &info) != 0 || !S_ISREG(info.st_mode) || info.st_size == 0 || !(look.path = wm_text_copy(path)))
        return false;
    bool is = !wm_db__open(&look, WM_DB_LOOK, NULL) && !read_numbers(&id, &version, &look, NULL) &&
              id == WM_BOOK_APPLICATION_ID;
    wm_db__close(&look);
    free(look.path);
    return is;
}

/* Everything that the tables consist of, as text; statistics that a stranger had made harm nobody. */
static wm_status schema_text(wm_buf *out, wm_book *book, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema "
                                    "WHERE name NOT LIKE 'sqlite_stat%' ORDER BY type, name");
    while (wm_query__row(&q))
        for (int i = 0; i < 4; i++) {
            wm_buf_text(out, wm_query__peek(&q, i));
            wm_buf_text(out, "\n");
        }
    wm_status status = wm_query__end(&q, err);
    return status ? status : wm_buf_status(out, err);
}

/* A view, a trigger, a missing NOT NULL could make any query do anything: tables are as our steps make them, or the
 * book is refused before anything else is read. */
static wm_status check_schema(wm_book *book, int64_t version, wm_error *err)
{
    char hex[65];
    wm_buf text = { 0 };
    wm_status status = schema_text(&text, book, err);
    if (!status) {
        wm_sha256_hex(hex, text.data ? text.data : "", text.size);
        if (strcmp(hex, wm_schema__sha256((int)version)) != 0)
            status =
                wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                           "has other tables than weftmatch makes; go back to a backup, or name another with --book");
    }
    wm_buf_free(&text);
    return status;
}

/* --- bringing up to date --- */

static wm_status upgrade(wm_book *book, wm_error *err)
{
    char sql[96];
    int64_t version = 0;
    wm_status status = wm_db__run(book, "BEGIN IMMEDIATE", err);
    if (status)
        return status;
    /* another program may have done it while we waited for the lock */
    status = wm_db__number(&version, book, "PRAGMA user_version", err);
    if (!status)
        status = run_steps(book, version, WM_BOOK_SCHEMA_VERSION, err);
    if (!status) {
        snprintf(sql, sizeof sql, "PRAGMA application_id = %d; PRAGMA user_version = %d", WM_BOOK_APPLICATION_ID,
                 WM_BOOK_SCHEMA_VERSION);
        status = wm_db__run(book, sql, err);
    }
    if (!status)
        status = wm_db__run(book, "COMMIT", err);
    if (status)
        wm_db__run(book, "ROLLBACK", NULL);
    return status;
}

static wm_status copy_into_place(wm_book *book, const char *path, wm_error *err);

/* PATH.version-1, or with -2, -3 .. behind it where that exists. */
static wm_status keep_old(wm_book *book, int64_t version, wm_error *err)
{
    enum { TRIES = 100 };
    wm_buf name = { 0 };
    wm_status status = WM_E_OUTPUT;
    for (int i = 1; i <= TRIES && status == WM_E_OUTPUT; i++) {
        name.size = 0;
        wm_buf_format(&name, "%s.version-%lld", book->path, (long long)version);
        if (i > 1)
            wm_buf_format(&name, "-%d", i);
        status = wm_buf_status(&name, err);
        if (!status)
            status = wm_file_exists(name.data) ? WM_E_OUTPUT : copy_into_place(book, name.data, err);
        if (status == WM_E_OUTPUT && !wm_file_exists(name.data))
            break;
    }
    if (!status)
        wm_warnings_add(&book->warnings, "book_upgraded",
                        "the book was of version %lld and is now of version %d; it is kept as it was in %s",
                        (long long)version, WM_BOOK_SCHEMA_VERSION, name.data);
    else if (status == WM_E_OUTPUT)
        status =
            wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                       "is an older book and can't be copied before it is brought up to date; make room beside it");
    wm_buf_free(&name);
    return status;
}

/* Numbers and tables of one moment: another program may be bringing them up to date. */
static wm_status read_identity(int64_t *version, bool *new_book, wm_book *book, bool empty, wm_error *err)
{
    int64_t id = 0;
    wm_status status = wm_db__run(book, "BEGIN", err);
    if (status)
        return status;
    status = read_numbers(&id, version, book, err);
    *new_book = empty && id == 0 && *version == 0;
    if (!status && !*new_book)
        status = check_numbers(book, id, *version, err);
    if (!status)
        status = check_schema(book, *version, err);
    if (!status)
        return wm_db__run(book, "COMMIT", err);
    wm_db__run(book, "ROLLBACK", NULL);
    return status;
}

/* The same once more under a lock, since a log may hold newer numbers. */
static wm_status check_identity(wm_book *book, bool empty, bool writable, wm_error *err)
{
    int64_t version = 0;
    bool new_book = false;
    wm_status status = read_identity(&version, &new_book, book, empty, err);
    if (status || version == WM_BOOK_SCHEMA_VERSION)
        return status;
    if (!writable)
        return wm_fail_at(err, WM_E_BOOK, book->path, 0, 0,
                          "is an older book and can't be written here; copy it to where it can be brought up to date");
    if (!new_book && version > 0)
        status = keep_old(book, version, err);
    return status ? status : upgrade(book, err);
}

/* --- opening --- */

/* A book is private. One that others may read is mended, or at least not used silently. */
static void make_private(wm_book *book)
{
    static const char *const NAMES[] = { "", "-wal", "-shm" };
    struct stat info;
    if (stat(book->path, &info) != 0 || !(info.st_mode & 077))
        return;
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++) {
        wm_buf name = { 0 };
        wm_buf_format(&name, "%s%s", book->path, NAMES[i]);
        bool mended =
            !name.failed && chmod(name.data, 0600) == 0 && stat(name.data, &info) == 0 && !(info.st_mode & 077);
        wm_buf_free(&name);
        if (i == 0)
            wm_warnings_add(
                &book->warnings, "book_readable",
                mended ? "others on this computer could read the book; it is now private"
                       : "others on this computer can read the book, and its permissions can't be changed; keep it "
                         "in a folder of your own");
    }
}

static bool has_log(const char *path)
{
    wm_buf name = { 0 };
    struct stat info;
    wm_buf_format(&name, "%s-wal", path);
    bool has = name.failed || (stat(name.data, &info) == 0 && info.st_size > 0);
    wm_buf_free(&name);
    return has;
}

/* File or folder can't be written, and no log waits to be read. */
static bool is_read_only(const char *path)
{
    wm_buf name = { 0 };
    wm_buf_text(&name, path);
    char *slash = name.failed ? NULL : strrchr(name.data, '/');
    if (slash)
        *(slash == name.data ? slash + 1 : slash) = '\0';
    bool locked = access(path, W_OK) != 0 || (!name.failed && access(slash ? name.data : ".", W_OK | X_OK) != 0);
    wm_buf_free(&name);
    return locked && !has_log(path);
}

static wm_status open_checked(wm_book *book, bool empty, bool read_only, wm_error *err)
{
    wm_status status = wm_db__open(book, read_only ? WM_DB_LOOK : WM_DB_WRITE, err);
    return status ? status : check_identity(book, empty, !read_only, err);
}

/* READ has a handle that could write, and is forbidden to: only such a one cleans up the log files when it closes. On a
 * full disk, where SQLite has no room for what it keeps beside a book, it is read as it lies: to be backed up
 * elsewhere. */
static wm_status open_database(wm_book *book, bool empty, wm_book_mode mode, wm_error *err)
{
    wm_status status = empty ? WM_OK : look_first(book, err);
    bool read_only = !status && mode == WM_BOOK_READ && is_read_only(book->path);
    if (!status)
        status = open_checked(book, empty, read_only, err);
    if (status && book->out_of_room && mode == WM_BOOK_READ && !has_log(book->path)) {
        wm_db__close(book);
        status = open_checked(book, empty, true, err);
    }
    if (status)
        return status;
    make_private(book);
    status = wm_db__run(book, "PRAGMA foreign_keys = ON", err);
    if (!status)
        status = wm_db__run(book, mode == WM_BOOK_READ ? "PRAGMA query_only = ON" : "PRAGMA synchronous = FULL", err);
    return status || mode == WM_BOOK_READ ? status : wm_db__use_log(book, err);
}

/* Where nobody sees it yet; a program that is killed meanwhile leaves a part that the next one removes. */
static wm_status fill_new(const char *part, wm_error *err)
{
    wm_book book = { .path = wm_text_copy(part) };
    wm_status status = book.path ? wm_db__open(&book, WM_DB_WRITE, err) : wm_fail_memory(err);
    if (!status)
        status = wm_db__run(&book, "PRAGMA journal_mode = MEMORY", err);
    if (!status)
        status = upgrade(&book, err);
    wm_db__close(&book);
    free(book.path);
    return status;
}

/* Private from the first moment, where SQLite would take the umask's mode; the -wal and -shm files take the mode of the
 * book. It appears as a whole, so that of programs that make it at once one does and the others open it. */
static wm_status make_book(const char *path, wm_error *err)
{
    char *part = NULL;
    wm_error inner = { 0 };
    wm_status status = make_folders(path, err);
    if (status)
        return status;
    status = wm_file_neighbour(&part, path, &inner);
    if (!status)
        status = fill_new(part, &inner);
    if (!status)
        status = wm_file_place(part, path, &inner);
    if (status && part)
        unlink(part);
    free(part);
    if (!status || wm_file_exists(path)) /* another program may have been quicker */
        return WM_OK;
    if (status == WM_E_MEMORY)
        return wm_fail_memory(err);
    return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "%s%s", status == WM_E_OUTPUT ? "can't be made: " : "", inner.text);
}

/* What lies where SQLite keeps its files beside a book is a file, or opening it would wait for a pipe for ever. */
static wm_status check_neighbours(const char *path, wm_error *err)
{
    static const char *const ENDS[] = { "-wal", "-shm", "-journal" };
    wm_status status = WM_OK;
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0] && !status; i++) {
        struct stat info;
        wm_buf name = { 0 };
        wm_buf_format(&name, "%s%s", path, ENDS[i]);
        status = wm_buf_status(&name, err);
        if (!status && lstat(name.data, &info) == 0 && !S_ISREG(info.st_mode))
            status = wm_fail_at(err, WM_E_BOOK, name.data, 0, 0,
                                "lies where the book keeps its changes, and is a link, a folder or a pipe; remove it");
        wm_buf_free(&name);
    }
    return status;
}

/* SQLite keeps the log of changes by the file's name: of what is saved under two names at once one half is lost. A
 * program that was killed while it made the book may have left the other name. */
static wm_status check_one_name(const char *path, wm_error *err)
{
    struct stat info;
    if (stat(path, &info) == 0 && info.st_nlink > 1)
        wm_file_sweep(path);
    if (stat(path, &info) != 0 || info.st_nlink <= 1)
        return WM_OK;
    return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                      "is one file under several names (hard links), and changes made under two of them can be lost; "
                      "make a file of its own with weftmatch book backup, and go on with that");
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
    bool empty = exists && info.st_size == 0;
    if (empty && mode != WM_BOOK_CREATE)
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "is empty; add a client first: weftmatch client add \"NAME\"");
    if (!exists)
        status = make_book(path, err);
    if (!status)
        status = check_neighbours(path, err);
    if (!status && mode != WM_BOOK_READ)
        status = check_one_name(path, err);
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
    wm_db__close(book);
    wm_warnings_free(&book->warnings);
    free(book->path);
    free(book);
}

const wm_warnings *wm_book_notes(const wm_book *book)
{
    static const wm_warnings NONE;
    return book ? &book->warnings : &NONE;
}

/* --- settings --- */

wm_status wm_book_setting_get(char **out, wm_book *book, const char *key, wm_error *err)
{
    char *value = NULL;
    wm_query q = wm_query__of(book, "SELECT value FROM setting WHERE key = ?");
    wm_query__text(&q, 1, key);
    bool found = wm_query__row(&q);
    if (found)
        value = wm_text_copy(wm_query__peek(&q, 0));
    wm_status status = wm_query__end(&q, err);
    if (!status && found && !value)
        status = wm_fail_memory(err);
    if (status)
        free(value);
    else
        *out = value;
    return status;
}

static wm_status put_setting(wm_book *book, const char *key, const char *value, wm_error *err)
{
    wm_query q = wm_query__of(
        book, value ? "INSERT INTO setting (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = ?2"
                    : "DELETE FROM setting WHERE key = ?1");
    wm_query__text(&q, 1, key);
    if (value)
        wm_query__text(&q, 2, value);
    return wm_query__finish(&q, err);
}

wm_status wm_book_setting_set(wm_book *book, const char *key, const char *value, wm_error *err)
{
    char *before = NULL;
    wm_log_line line = { .verb = "salon set" };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_setting_get(&before, book, key, err);
    if (!status)
        status = put_setting(book, key, value, err);
    if (!status)
        status = wm_log__tell(book, &line, err, "%.60s=%.60s, was %.60s", key, value ? value : "the default",
                              before ? before : "the default");
    free(before);
    return wm_book_end(book, status, err);
}

/* --- care --- */

static wm_status collect_findings(wm_book *book, const char *sql, const char *before, wm_warnings *findings,
                                  wm_error *err)
{
    wm_error failed;
    wm_query q = wm_query__of(book, sql);
    while (wm_query__row(&q)) {
        const char *text = wm_query__peek(&q, 0);
        if (strcmp(text, "ok") != 0)
            wm_warnings_add(findings, "book_damaged", "%s%s", before, text);
    }
    wm_status status = wm_query__end(&q, &failed);
    if (status == WM_E_MEMORY)
        return wm_fail_memory(err);
    if (status)
        wm_warnings_add(findings, "book_damaged", "%s", failed.text);
    return WM_OK;
}

wm_status wm_book_check(wm_book *book, wm_warnings *findings, wm_error *err)
{
    wm_status status = collect_findings(book, "PRAGMA integrity_check", "", findings, err);
    if (!status)
        status =
            collect_findings(book, "PRAGMA foreign_key_check", "a row belongs to nobody, in table ", findings, err);
    if (!status && findings->failed)
        status = wm_fail_memory(err);
    return status;
}

/* The copy by itself, before it gets its name. */
static wm_status verify_copy(const char *copy_path, const char *path, wm_error *err)
{
    wm_book copy = { .path = (char *)(uintptr_t)copy_path }; /* only read from */
    wm_warnings findings = { 0 };
    int64_t id = 0, version = 0;
    wm_status status = wm_db__open(&copy, WM_DB_LOOK, err);
    if (!status)
        status = read_numbers(&id, &version, &copy, err);
    if (!status)
        status = check_numbers(&copy, id, version, err);
    if (!status)
        status = wm_book_check(&copy, &findings, err);
    if (!status && findings.count)
        status = wm_fail_at(err, WM_E_BOOK, path, 0, 0, "the copy is damaged: %s; run weftmatch book check",
                            findings.items[0].text);
    wm_warnings_free(&findings);
    wm_db__close(&copy);
    return status;
}

/* Beside, verified, renamed: under its name there is a whole copy or nothing. */
static wm_status copy_into_place(wm_book *book, const char *path, wm_error *err)
{
    char *neighbour = NULL;
    wm_status status = wm_file_neighbour(&neighbour, path, err);
    if (!status)
        status = wm_db__copy(book, neighbour, path, err);
    if (!status)
        status = verify_copy(neighbour, path, err);
    if (!status)
        status = wm_file_place(neighbour, path, err);
    if (status && neighbour)
        unlink(neighbour);
    free(neighbour);
    return status;
}

wm_status wm_book_backup(wm_book *book, const char *path, wm_error *err)
{
    if (wm_file_exists(path))
        return wm_fail_at(err, WM_E_OUTPUT, path, 0, 0, "exists; a backup never overwrites, name a new file");
    return copy_into_place(book, path, err);
}

/* A log beside a book holds changes that a copy of the one file would leave behind. */
static wm_status check_stands_alone(const char *path, wm_error *err)
{
    wm_buf name = { 0 };
    struct stat info;
    wm_status status = WM_OK;
    wm_buf_format(&name, "%s-wal", path);
    if (!name.failed && stat(name.data, &info) == 0 && info.st_size > 0)
        status = wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                            "is in use, or was when it was copied; write a file for this with weftmatch book backup");
    wm_buf_free(&name);
    return status;
}

/* Whole, ours and not newer; not a byte of it is changed. */
static wm_status check_import(wm_book *from, wm_error *err)
{
    wm_warnings findings = { 0 };
    int64_t id = 0, version = 0;
    wm_status status = wm_db__open(from, WM_DB_LOOK, err);
    if (!status)
        status = read_numbers(&id, &version, from, err);
    if (!status)
        status = check_numbers(from, id, version, err);
    if (!status)
        status = check_schema(from, version, err);
    if (!status)
        status = wm_book_check(from, &findings, err);
    if (!status && findings.count)
        status =
            wm_fail_at(err, WM_E_BOOK, from->path, 0, 0, "is damaged: %s; take another copy", findings.items[0].text);
    wm_warnings_free(&findings);
    return status;
}

wm_status wm_book_import(const char *path, const char *from_path, wm_error *err)
{
    wm_book from = { .path = (char *)(uintptr_t)from_path }; /* only read from */
    struct stat info;
    if (wm_file_exists(path))
        return wm_fail_at(
            err, WM_E_OUTPUT, path, 0, 0,
            "is a book already and stays as it is; name another place with --book, or bring clients over one "
            "by one with client export and client import");
    if (stat(from_path, &info) != 0)
        return wm_fail_at(err, WM_E_BOOK, from_path, 0, 0, "can't be read: %s; name a file that book backup wrote",
                          strerror(errno));
    if (!S_ISREG(info.st_mode) || info.st_size == 0)
        return wm_fail_at(err, WM_E_BOOK, from_path, 0, 0, "is not a book; name a file that book backup wrote");
    wm_status status = check_stands_alone(from_path, err);
    if (!status)
        status = check_import(&from, err);
    if (!status)
        status = make_folders(path, err);
    if (!status)
        status = copy_into_place(&from, path, err);
    wm_db__close(&from);
    return status;
}
