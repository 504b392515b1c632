/* The door of the book: a book from elsewhere. The input changes a sound one, as bytes of the file (4 of place, 1 of
 * length, the bytes to put there) or, behind "SQL ", as statements that any program may run on it. Whatever is opened
 * answers every question or refuses with one line, within its budget, and a change of it is made whole or not at all.
 */
#include "fuzz.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "book/book.h"
#include "consult/settings.h"
#include "report/json_out.h"

enum { SQL_TICK = 1000, SQL_TICKS = 200, PATH = 128 };

const fuzz_seed fuzz_seeds[] = {
    SEED("\0\0\0\22\1\2"),
    SEED("\0\0\20\5\4\0\1\2\3\0\0\40\0\2\15\0"),
    SEED("SQL UPDATE client SET name='Bea', note='x'"),
    SEED("SQL INSERT INTO visit(client_id,date) VALUES(1,'2026-01-01'); UPDATE attachment SET bytes=x'7b7d'"),
    SEED("SQL CREATE TRIGGER t AFTER INSERT ON client BEGIN DELETE FROM visit; END"),
    SEED("SQL INSERT OR REPLACE INTO setting VALUES('area_weights','2,2,2')"),
    SEED(
        "SQL PRAGMA writable_schema=1; UPDATE sqlite_schema SET sql='CREATE TABLE setting(key,value)' WHERE name='setting'"),
    SEED("SQL UPDATE change SET told=hex(zeroblob(300)), date='x'; DELETE FROM client_was"),
    SEED("SQL PRAGMA user_version=1"),
    SEED("SQL PRAGMA user_version=3; DROP TABLE thumbnail"),
    SEED("SQL UPDATE attachment SET bytes=x'ffd8ff' WHERE kind='photo'; INSERT INTO thumbnail VALUES(1,x'00')"),
    SEED("SQL UPDATE client SET name='A'||char(8238); INSERT INTO coming VALUES(1,'9999-12-31')"),
    SEED("SQL PRAGMA application_id=7"),
    SEED("SQL DROP TABLE visit; CREATE VIEW visit AS SELECT 1"),
    SEED("SQL PRAGMA foreign_keys=0; DELETE FROM client"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "SQL ",
                                   "UPDATE ",
                                   "DELETE FROM ",
                                   "INSERT INTO ",
                                   "INSERT OR REPLACE INTO ",
                                   "CREATE VIEW ",
                                   "CREATE TRIGGER ",
                                   "CREATE TABLE ",
                                   "DROP TABLE ",
                                   "ALTER TABLE ",
                                   "PRAGMA writable_schema=1;",
                                   "PRAGMA user_version=",
                                   "PRAGMA ignore_check_constraints=1;",
                                   "sqlite_schema",
                                   "sqlite_sequence",
                                   "client",
                                   "visit",
                                   "attachment",
                                   "change",
                                   "setting",
                                   "client_was",
                                   "visit_was",
                                   "attachment_was",
                                   " SET ",
                                   " WHERE id=1",
                                   " VALUES(",
                                   "NULL",
                                   "x'00'",
                                   "zeroblob(100000)",
                                   "char(27,10)",
                                   "9223372036854775807",
                                   "-1",
                                   "'move-up'",
                                   "id",
                                   "name",
                                   "bytes",
                                   "kind",
                                   "date",
                                   "installed",
                                   "note",
                                   "charged_minor",
                                   "told",
                                   ";",
                                   ",",
                                   "\377\377\377\377",
                                   "\0\0\20\0\10",
                                   NULL };

static char path[PATH], copy_path[PATH];
static wm_bytes sound; /* the bytes of the sound book */

static void end(void)
{
    wm_bytes_free(&sound);
}

static wm_bytes lent(const char *text)
{
    return (wm_bytes){ (unsigned char *)(uintptr_t)text, strlen(text) };
}

static void fill(wm_book *book, wm_error *err)
{
    int64_t id = 0, other = 0, visit_id = 0;
    wm_visit visit = { .date = "2026-03-31",
                       .report_json = lent("{\"format\":1,\"made\":{\"at\":\"x\"}}"),
                       .zones_json = lent("{\"format\":1,\"zones\":[]}"),
                       .kind = WM_VISIT_INSTALLATION,
                       .has_charged = true,
                       .charged_minor = 42000 };
    wm_book_set_day(book, "2026-03-31");
    wm_status status = wm_book_client_add(&id, book, "Anna Berg", "likes tea", "2025-05-01", err);
    status = status ? status : wm_book_client_add(&other, book, "Zo\303\253", "", "2025-06-01", err);
    visit.client_id = id;
    status = status ? status : wm_book_visit_save(&visit_id, book, &visit, err);
    status = status ? status : wm_book_visit_save(&visit_id, book, &visit, err);
    status = status ? status : wm_book_visit_move(book, visit_id, other, NULL, err);
    status = status ? status : wm_book_visit_remove(book, visit_id, err);
    status = status ? status : wm_book_setting_set(book, "currency", "CHF", err);
    if (status)
        fuzz_check(0, err->text);
}

static void start(void)
{
    wm_error err = { 0 };
    wm_book *book = NULL;
    sqlite3_config(SQLITE_CONFIG_LOOKASIDE, 600, 1000); /* most of a run is SQLite reading its tables' text */
    snprintf(path, sizeof path, "%s", fuzz_file("salon.book"));
    snprintf(copy_path, sizeof copy_path, "%s", fuzz_file("copy.book"));
    if (wm_book_open(&book, path, WM_BOOK_CREATE, &err))
        fuzz_check(0, err.text);
    fill(book, &err);
    wm_book_close(book);
    if (wm_file_read(&sound, path, 16 << 20, WM_E_BOOK, &err))
        fuzz_check(0, err.text);
    atexit(end);
}

static void remove_with_neighbours(const char *file)
{
    static const char *const ENDS[] = { "", "-wal", "-shm", "-journal", ".version-1" };
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
        char name[PATH + 16];
        snprintf(name, sizeof name, "%s%s", file, ENDS[i]);
        unlink(name);
    }
}

static void change_bytes(wm_bytes *book, const uint8_t *data, size_t size)
{
    while (size >= 6) {
        size_t place = ((size_t)data[0] << 24 | (size_t)data[1] << 16 | (size_t)data[2] << 8 | data[3]) % book->size;
        size_t length = 1 + (size_t)data[4] % 16;
        if (length > size - 5)
            length = size - 5;
        if (length > book->size - place)
            length = book->size - place;
        memcpy(book->data + place, data + 5, length);
        data += 5 + length;
        size -= 5 + length;
    }
}

static int tick(void *user)
{
    return --*(int *)user < 0;
}

/* Not other files. */
static int allow(void *user, int action, const char *a, const char *b, const char *c, const char *d)
{
    (void)user, (void)a, (void)b, (void)c, (void)d;
    return action == SQLITE_ATTACH || action == SQLITE_DETACH ? SQLITE_DENY : SQLITE_OK;
}

static void run_sql(const char *sql)
{
    sqlite3 *db = NULL;
    int ticks = SQL_TICKS;
    fuzz_check(sqlite3_open(path, &db) == SQLITE_OK, "a database");
    sqlite3_limit(db, SQLITE_LIMIT_LENGTH, 1 << 20);
    sqlite3_exec(db, "PRAGMA max_page_count=500; PRAGMA synchronous=0", NULL, NULL, NULL);
    sqlite3_set_authorizer(db, allow, NULL);
    sqlite3_progress_handler(db, SQL_TICK, tick, &ticks);
    sqlite3_exec(db, sql, NULL, NULL, NULL); /* may fail: then nothing was changed */
    sqlite3_close(db);
}

static void make_book(const uint8_t *data, size_t size)
{
    remove_with_neighbours(path);
    remove_with_neighbours(copy_path);
    if (size > 4 && memcmp(data, "SQL ", 4) == 0) {
        char *sql = fuzz_text(data + 4, size - 4);
        fuzz_write(path, sound.data, sound.size);
        run_sql(sql);
        free(sql);
        return;
    }
    wm_bytes changed = { (unsigned char *)fuzz_exact(sound.data, sound.size), sound.size };
    change_bytes(&changed, data, size);
    fuzz_write(path, changed.data, changed.size);
    wm_bytes_free(&changed);
}

static bool answers(wm_status status, const wm_error *err)
{
    if (status)
        FUZZ_REFUSED(status, err, WM_E_BOOK, WM_E_USAGE, WM_E_OUTPUT);
    return !status;
}

static void read_visit(wm_book *book, int64_t id)
{
    static wm_report report;
    wm_visit visit = { 0 };
    wm_error err = { 0 };
    if (!answers(wm_book_visit_load(&visit, book, id, &err), &err))
        return;
    fuzz_check(strlen(visit.date) < sizeof visit.date && visit.installed.count <= WM_MAX_LAYERS, "a visit is one");
    if (visit.report_json.size && answers(wm_report_from_json(&report, (const char *)visit.report_json.data,
                                                              visit.report_json.size, "visit", &err),
                                          &err))
        wm_report_free(&report);
    wm_visit_free(&visit);
}

static void read_all(wm_book *book, bool copied)
{
    wm_warnings findings = { 0 };
    wm_client *clients = NULL;
    wm_change *changes = NULL, next;
    wm_settings settings;
    int64_t *ids = NULL;
    size_t count = 0;
    wm_error err = { 0 };
    answers(wm_book_check(book, &findings, &err), &err);
    wm_warnings_free(&findings);
    answers(wm_settings_load(&settings, book, &err), &err);
    if (answers(wm_book_client_list(&clients, &count, book, &err), &err))
        for (size_t i = 0; i < count; i++)
            fuzz_check(memchr(clients[i].name, 0, sizeof clients[i].name) != NULL, "a name ends");
    free(clients);
    if (answers(wm_book_changes(&changes, &count, book, 0, &err), &err))
        for (size_t i = 0; i < count; i++)
            fuzz_check(memchr(changes[i].told, 0, sizeof changes[i].told) != NULL, "a line ends");
    free(changes);
    if (answers(wm_book_visit_ids(&ids, &count, book, 0, &err), &err))
        for (size_t i = 0; i < count && i < 8; i++)
            read_visit(book, ids[i]);
    free(ids);
    answers(wm_book_next_undo(&next, book, &err), &err);
    if (copied)
        answers(wm_book_backup(book, copy_path, &err), &err);
}

/* Not of one whose bytes were changed: an index may say anything then. */
static bool is_whole(wm_book *book)
{
    wm_warnings findings = { 0 };
    bool whole = wm_book_check(book, &findings, NULL) == WM_OK && findings.count == 0;
    wm_warnings_free(&findings);
    return whole;
}

static void change_all(wm_book *book, bool forgotten)
{
    const bool whole = is_whole(book);
    wm_client client;
    wm_change change;
    int64_t id = 0;
    wm_error err = { 0 };
    answers(wm_book_undo(&change, book, &err), &err);
    answers(wm_book_redo(&change, book, &err), &err);
    if (answers(wm_book_client_find(&client, book, "anna", &err), &err)) {
        answers(wm_book_client_rename(book, client.id, "Anna Lind", &err), &err);
        if (forgotten)
            answers(wm_book_client_forget(book, client.id, &err), &err);
    }
    if (answers(wm_book_client_add(&id, book, "Cleo", "", "2026-01-01", &err), &err)) {
        const bool found = answers(wm_book_client_find(&client, book, "Cleo", &err), &err) && client.id == id;
        fuzz_check(found || !whole, "who is added is found");
        answers(wm_book_undo(&change, book, &err), &err);
    }
}

/* Reading or changing, by the input's size, each with its dearest part (a copy, a vacuum) in every second run: all of
 * it would be 15 ms. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const bool changed = size / 2 % 2, dear = size % 2;
    wm_book *book = NULL;
    wm_error err = { 0 };
    if (!sound.data)
        start();
    make_book(data, size);
    if (answers(wm_book_open(&book, path, changed ? WM_BOOK_WRITE : WM_BOOK_READ, &err), &err)) {
        if (changed)
            change_all(book, dear);
        else
            read_all(book, dear);
    }
    wm_book_close(book);
    return 0;
}
