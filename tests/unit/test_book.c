/* book: nothing lost, nothing half written, nothing that is not ours touched, nothing left of who is forgotten. */
#define _GNU_SOURCE /* memmem */
#include "book/book.h"
#include "book/schema.h"
#include "support/folder.h"
#include "support/stack.h"
#include "support/near.h"

#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define DAY "2026-03-31"

static const char *book_path(void)
{
    return folder_file("salon.book");
}

static wm_book *open_book(wm_book_mode mode)
{
    wm_book *book = NULL;
    wm_error err = { 0 };
    if (wm_book_open(&book, book_path(), mode, &err))
        fail_msg("%s: %s", err.file, err.text);
    return book;
}

static int64_t add_client(wm_book *book, const char *name)
{
    int64_t id = 0;
    wm_error err = { 0 };
    if (wm_book_client_add(&id, book, name, NULL, DAY, &err))
        fail_msg("%s", err.text);
    return id;
}

static void expect_open(wm_book_mode mode, const char *message)
{
    wm_book *book = NULL;
    wm_error err = { 0 };
    assert_int_equal(wm_book_open(&book, book_path(), mode, &err), WM_E_BOOK);
    assert_null(book);
    assert_string_equal(err.text, message);
    assert_string_equal(err.file, book_path());
    assert_int_equal(wm_book_open(&book, book_path(), mode, NULL), WM_E_BOOK);
}

static void expect_find(wm_book *book, const char *name, const char *message)
{
    wm_client client = { 0 };
    wm_error err = { 0 };
    wm_status status = wm_book_client_find(&client, book, name, &err);
    if (!status)
        fail_msg("'%s' found %s", name, client.name);
    assert_string_equal(err.text, message);
    assert_int_equal(status, WM_E_BOOK);
}

static wm_client find(wm_book *book, const char *name)
{
    wm_client client = { 0 };
    wm_error err = { 0 };
    if (wm_book_client_find(&client, book, name, &err))
        fail_msg("'%s': %s", name, err.text);
    return client;
}

static bool sound(wm_book *book)
{
    wm_warnings findings = { 0 };
    wm_error err = { 0 };
    if (wm_book_check(book, &findings, &err))
        fail_msg("%s", err.text);
    for (size_t i = 0; i < findings.count; i++)
        printf("# %s\n", findings.items[i].text);
    bool none = findings.count == 0;
    wm_warnings_free(&findings);
    return none;
}

/* A second opinion: SQLite by its own hand. */
static sqlite3 *raw_open(const char *path)
{
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    return db;
}

static void raw(const char *path, const char *sql)
{
    sqlite3 *db = raw_open(path);
    char *message = NULL;
    if (sqlite3_exec(db, sql, NULL, NULL, &message) != SQLITE_OK)
        fail_msg("%s: %s", sql, message);
    sqlite3_close(db);
}

static long raw_number(const char *sql)
{
    sqlite3 *db = raw_open(book_path());
    sqlite3_stmt *s = NULL;
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &s, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(s), SQLITE_ROW);
    long value = (long)sqlite3_column_int64(s, 0);
    sqlite3_finalize(s);
    sqlite3_close(db);
    return value;
}

/* --- what may be opened --- */

static void reading_creates_nothing(void **state)
{
    (void)state;
    expect_open(WM_BOOK_READ, "there is no book yet; add a client first: weftmatch client add \"NAME\"");
    expect_open(WM_BOOK_WRITE, "there is no book yet; add a client first: weftmatch client add \"NAME\"");
    folder_holds("");
}

static void creating_makes_folders_and_a_private_book(void **state)
{
    (void)state;
    wm_book *book = NULL;
    const char *deep = folder_file("a/b/salon.book");
    mode_t old = umask(0);
    assert_int_equal(wm_book_open(&book, deep, WM_BOOK_CREATE, NULL), WM_OK);
    add_client(book, "Anna Berg");
    const char *const names[] = { "a/b/salon.book", "a/b/salon.book-wal", "a/b/salon.book-shm" };
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(folder_mode(names[i]), 0600);
    assert_int_equal(folder_mode("a/b"), 0700);
    wm_book_close(book);
    umask(0777); /* nor less than the owner's rights */
    assert_int_equal(wm_book_open(&book, deep, WM_BOOK_WRITE, NULL), WM_OK);
    add_client(book, "Bea Falk");
    assert_int_equal(folder_mode("a/b/salon.book-wal"), 0600);
    wm_book_close(book);
    umask(old);
    assert_int_equal(folder_mode("a/b/salon.book"), 0600);
}

static void has_id_version_and_promises(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_book_close(book);
    assert_int_equal(raw_number("PRAGMA application_id"), WM_BOOK_APPLICATION_ID);
    assert_int_equal(raw_number("PRAGMA user_version"), WM_BOOK_SCHEMA_VERSION);
    assert_int_equal(raw_number("SELECT count(*) FROM pragma_journal_mode WHERE journal_mode = 'wal'"), 1);
    folder_holds("salon.book");
}

static void reading_leaves_the_bytes_and_no_neighbours(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    wm_book_close(book);
    wm_bytes before = folder_read("salon.book");
    book = open_book(WM_BOOK_READ);
    assert_string_equal(find(book, "anna").name, "Anna Berg");
    int64_t id = 0;
    wm_error err = { 0 };
    assert_int_equal(wm_book_client_add(&id, book, "Bea", NULL, DAY, &err), WM_E_BOOK);
    assert_string_equal(err.text, "can't be written; check the permissions of the file and its folder");
    wm_book_close(book);
    folder_holds("salon.book");
    folder_is("salon.book", &before);
    wm_bytes_free(&before);
}

static void an_empty_file_becomes_a_book_only_when_asked(void **state)
{
    (void)state;
    folder_write("salon.book", "", 0);
    expect_open(WM_BOOK_READ, "is empty; add a client first: weftmatch client add \"NAME\"");
    expect_open(WM_BOOK_WRITE, "is empty; add a client first: weftmatch client add \"NAME\"");
    folder_holds("salon.book");
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    wm_book_close(book);
}

/* Whatever the mode, not one byte changes and no neighbour file is left. */
static void refused_untouched(const char *message)
{
    wm_bytes before = folder_read("salon.book");
    for (int mode = WM_BOOK_READ; mode <= WM_BOOK_CREATE; mode++)
        expect_open((wm_book_mode)mode, message);
    folder_is("salon.book", &before);
    folder_holds("salon.book");
    wm_bytes_free(&before);
}

static void refuses_what_is_not_a_book(void **state)
{
    (void)state;
    folder_write(
        "salon.book",
        "Dear diary, this is long enough to hold the hundred bytes that a database begins with, but it is none of them.",
        110);
    refused_untouched("is not a book; name another with --book");
    folder_write("salon.book", "short", 5);
    refused_untouched("is not a book; name another with --book");
}

static void refuses_another_programs_database(void **state)
{
    (void)state;
    const char *const message = "is another program's database, not a book; name another with --book";
    raw(book_path(), "CREATE TABLE recipe (name TEXT); INSERT INTO recipe VALUES ('rye bread')");
    refused_untouched(message);
    raw(book_path(), "PRAGMA application_id = 4711; PRAGMA user_version = 1");
    refused_untouched(message);
    raw(book_path(), "PRAGMA journal_mode = WAL");
    refused_untouched(message);
}

/* Its log is not ours to clear either. */
static void leaves_another_programs_log_alone(void **state)
{
    (void)state;
    raw(book_path(), "PRAGMA journal_mode = WAL; CREATE TABLE recipe (name TEXT)");
    sqlite3 *db = raw_open(book_path());
    assert_int_equal(sqlite3_exec(db, "INSERT INTO recipe VALUES ('rye bread')", NULL, NULL, NULL), SQLITE_OK);
    wm_bytes book = folder_read("salon.book"), log = folder_read("salon.book-wal");
    assert_true(log.size > 0);
    expect_open(WM_BOOK_CREATE, "is another program's database, not a book; name another with --book");
    folder_is("salon.book", &book);
    folder_is("salon.book-wal", &log);
    wm_bytes_free(&book);
    wm_bytes_free(&log);
    sqlite3_close(db);
}

static void refuses_a_newer_book(void **state)
{
    (void)state;
    wm_book_close(open_book(WM_BOOK_CREATE));
    char sql[60], message[160];
    snprintf(sql, sizeof sql, "PRAGMA user_version = %d", WM_BOOK_SCHEMA_VERSION + 1);
    raw(book_path(), sql);
    snprintf(message, sizeof message,
             "was written by a newer weftmatch (book version %d, this one knows %d); update weftmatch",
             WM_BOOK_SCHEMA_VERSION + 1, WM_BOOK_SCHEMA_VERSION);
    refused_untouched(message);
}

static void names_with_the_marks_of_an_address_are_names(void **state)
{
    (void)state;
    const char *const names[] = { "50% off?.book", "a#b.book", "file:x.book" };
    for (size_t i = 0; i < 3; i++) {
        wm_book *book = NULL;
        wm_error err = { 0 };
        if (wm_book_open(&book, folder_file(names[i]), WM_BOOK_CREATE, &err))
            fail_msg("%s: %s", err.file, err.text);
        add_client(book, "Anna Berg");
        wm_book_close(book);
        assert_int_equal(wm_book_open(&book, folder_file(names[i]), WM_BOOK_READ, NULL), WM_OK);
        wm_book_close(book);
    }
    folder_holds("50% off?.book a#b.book file:x.book");
}

static void refuses_a_folder_and_a_place_that_cannot_be(void **state)
{
    (void)state;
    wm_book *book = NULL;
    wm_error err = { 0 };
    assert_int_equal(wm_book_open(&book, folder_file(""), WM_BOOK_CREATE, &err), WM_E_BOOK);
    assert_string_equal(err.text, "is not a file; name a book with --book");
    folder_write("file", "x", 1);
    assert_int_equal(wm_book_open(&book, folder_file("file/salon.book"), WM_BOOK_CREATE, &err), WM_E_BOOK);
    assert_string_equal(err.text, "can't be made: part of the path is not a folder; check the name");
    assert_int_equal(wm_book_open(&book, "/proc/none/salon.book", WM_BOOK_CREATE, &err), WM_E_BOOK);
    assert_string_equal(err.text,
                        "the folder can't be made: No such file or directory; name another place with --book");
}

/* --- bringing up to date --- */

/* A book of version 1 as its program left it: one client, two visits of hers, one told. */
static void make_version_1(void)
{
    char sql[100];
    for (size_t i = 0; wm_schema__step(0, i); i++)
        raw(book_path(), wm_schema__step(0, i));
    snprintf(sql, sizeof sql, "PRAGMA application_id = %d; PRAGMA user_version = 1; PRAGMA journal_mode = WAL",
             WM_BOOK_APPLICATION_ID);
    raw(book_path(), sql);
    raw(book_path(),
        "INSERT INTO setting VALUES ('units', 'in');"
        "INSERT INTO client VALUES (7, 'Zo\xc3\xab M\xc3\xbcller', 'zo\xc3\xab m\xc3\xbcller', 'likes fern', '2024-05-06');"
        "INSERT INTO visit VALUES (3, 7, '2024-05-06', CAST('{\"photo\":{\"sha256\":\"c0ffee\"}}' AS BLOB), 'oat,ash', "
        "'ash was there', 'loves it', 54000);"
        "INSERT INTO visit VALUES (4, 7, '2024-06-06', x'00ff', '', '', '', NULL);"
        "INSERT INTO picture VALUES (3, 'photo', x'ffd8ff'), (3, 'after', x'ffd8fe'), (4, 'zones', x'7b7d')");
}

static void an_older_book_is_copied_and_brought_up_to_date(void **state)
{
    (void)state;
    make_version_1();
    wm_bytes before = folder_read("salon.book");
    wm_book *book = open_book(WM_BOOK_READ);         /* whatever it is opened for */
    assert_int_equal(wm_book_notes(book)->count, 2); /* the raw hand made it readable, too */
    assert_string_equal(wm_book_notes(book)->items[0].code, "book_upgraded");
    assert_non_null(strstr(wm_book_notes(book)->items[0].text, "salon.book.version-1"));
    wm_client client = find(book, "zoe muller");
    assert_string_equal(client.name, "Zo\xc3\xab M\xc3\xbcller");
    assert_string_equal(client.note, "likes fern");
    assert_int_equal(client.visits, 2);
    wm_visit visit = { 0 };
    assert_int_equal(wm_book_visit_load(&visit, book, 3, NULL), WM_OK);
    assert_string_equal(visit.note, "2024-05-06  loves it\n");
    assert_string_equal(visit.photo_sha256, "c0ffee");
    assert_stack(&visit.installed, "oat,ash");
    assert_int_equal(visit.kind, WM_VISIT_INSTALLATION);
    assert_int_equal(visit.charged_minor, 54000);
    assert_string_equal((char *)visit.report_json.data, "{\"photo\":{\"sha256\":\"c0ffee\"}}");
    assert_int_equal(visit.photo_jpeg.size, 3);
    assert_int_equal(visit.after_jpeg.size, 3);
    wm_visit_free(&visit);
    char *units = NULL;
    assert_int_equal(wm_book_setting_get(&units, book, "units", NULL), WM_OK);
    assert_string_equal(units, "in");
    free(units);
    assert_true(sound(book));
    wm_book_close(book);
    book = open_book(WM_BOOK_WRITE);
    assert_int_equal(wm_book_notes(book)->count, 0);
    assert_true(add_client(book, "Anna Berg") > 7);
    wm_book_close(book);
    /* the copy is the old book, page by page */
    wm_bytes copy = folder_read("salon.book.version-1");
    assert_int_equal(copy.size, before.size);
    assert_int_equal(folder_mode("salon.book.version-1"), 0600);
    wm_bytes_free(&copy);
    wm_bytes_free(&before);
}

static wm_change undo(wm_book *book);

static void nothing_sought(sqlite3_context *context, int count, sqlite3_value **values)
{
    (void)count;
    sqlite3_result_value(context, values[0]);
}

/* A book of version 2 as its program left it: one client, a visit of hers, its price put right. */
static void make_version_2(void)
{
    char sql[100];
    sqlite3 *db = raw_open(book_path());
    sqlite3_create_function(db, "sought", 1, SQLITE_UTF8, NULL, nothing_sought, NULL, NULL);
    for (int step = 0; step < 2; step++)
        for (size_t i = 0; wm_schema__step(step, i); i++)
            assert_int_equal(sqlite3_exec(db, wm_schema__step(step, i), NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    snprintf(sql, sizeof sql, "PRAGMA application_id = %d; PRAGMA user_version = 2; PRAGMA journal_mode = WAL",
             WM_BOOK_APPLICATION_ID);
    raw(book_path(), sql);
    raw(book_path(),
        "INSERT INTO change VALUES (1, '2025-05-06', 'visit save', 'visit 3 saved', 7, NULL, 3, NULL, 'done');"
        "INSERT INTO setting VALUES ('row_fee', '180');"
        "INSERT INTO client VALUES (7, 'Anna Berg', 'anna berg', 'anna berg', 'likes fern', '2025-05-06');"
        "INSERT INTO visit VALUES (3, 7, '2025-05-06', 'c0ffee', 'oat,ash', 'ash was there', '2025-05-06  loves it', 15000000, "
        "'installation', 5000);"
        "INSERT INTO attachment VALUES (3, 'report', x'7b7d'), (3, 'photo', x'ffd8ff'), (3, 'after_report', x'7b7d');"
        "INSERT INTO change VALUES (2, '2025-05-07', 'visit set', 'visit 3 changed: charged', 7, NULL, 3, NULL, 'done');"
        "UPDATE visit SET charged_minor = 54000 WHERE id = 3");
}

/* 2 to 3: nothing is lost, what was changed before can still be taken back, and what is new can be kept. */
static void a_book_of_version_2_too(void **state)
{
    (void)state;
    make_version_2();
    wm_bytes before = folder_read("salon.book");
    wm_book *book = open_book(WM_BOOK_WRITE);
    wm_visit visit = { 0 };
    wm_client_latest latest;
    assert_non_null(strstr(wm_book_notes(book)->items[0].text, "the book was of version 2 and is now of version 4"));
    assert_string_equal(find(book, "anna").note, "likes fern");
    assert_int_equal(wm_book_visit_load(&visit, book, 3, NULL), WM_OK);
    assert_int_equal(visit.charged_minor, 54000);
    assert_int_equal(visit.deposit_minor, 5000);
    assert_int_equal(visit.sewn_count, 0);
    assert_stack(&visit.installed, "oat,ash");
    assert_int_equal(visit.photo_jpeg.size + visit.after_report_json.size, 5);
    wm_visit_free(&visit);
    assert_string_equal(undo(book).told, "visit 3 changed: charged");
    assert_int_equal(wm_book_visit_load(&visit, book, 3, NULL), WM_OK);
    assert_int_equal(visit.charged_minor, 15000000);
    wm_visit_free(&visit);
    assert_int_equal(wm_book_client_set_coming(book, 7, "2025-06-17", NULL), WM_OK);
    assert_int_equal(wm_book_client_latest_of(&latest, book, 7, NULL), WM_OK);
    assert_string_equal(latest.coming, "2025-06-17");
    assert_true(sound(book));
    wm_book_close(book);
    wm_bytes copy = folder_read("salon.book.version-2");
    assert_int_equal(copy.size, before.size);
    assert_int_equal(folder_mode("salon.book.version-2"), 0600);
    wm_bytes_free(&copy);
    wm_bytes_free(&before);
}

/* What the gallery made of a visit's newest picture is kept until that picture changes, in whatever way. */
static void a_thumbnail_is_of_the_picture_that_is_there(void **state)
{
    (void)state;
    make_version_2(); /* an older book has none yet */
    wm_book *book = open_book(WM_BOOK_WRITE);
    unsigned char bytes[] = { 0xff, 0xd8, 0xfd }, other[] = { 0xff, 0xd8, 0xfc };
    wm_thumbnail none = { 0 }, got = { 0 };
    wm_visit visit = { 0 };
    assert_int_equal(wm_book_client_thumbnail(&none, book, 7, NULL), WM_OK);
    assert_int_equal(none.visit_id, 3);
    assert_int_equal(none.jpeg.size, 0);
    const wm_thumbnail made = { 3, { bytes, sizeof bytes } };
    assert_int_equal(wm_book_keep_thumbnails(book, &made, 1, NULL), WM_OK);
    assert_int_equal(wm_book_client_thumbnail(&got, book, 7, NULL), WM_OK);
    assert_int_equal(got.jpeg.size, sizeof bytes);
    assert_memory_equal(got.jpeg.data, bytes, sizeof bytes);
    wm_bytes_free(&got.jpeg);
    assert_int_equal(wm_book_visit_load(&visit, book, 3, NULL), WM_OK);
    wm_bytes_free(&visit.after_jpeg);
    visit.after_jpeg.data = malloc(sizeof other + 1);
    memcpy(visit.after_jpeg.data, other, visit.after_jpeg.size = sizeof other);
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    wm_visit_free(&visit);
    for (int i = 0; i < 2; i++) { /* another picture; and that taken back */
        assert_int_equal(wm_book_client_thumbnail(&none, book, 7, NULL), WM_OK);
        assert_int_equal(none.jpeg.size, 0);
        assert_int_equal(wm_book_keep_thumbnails(book, &made, 1, NULL), WM_OK);
        undo(book);
    }
    assert_int_equal(wm_book_keep_thumbnails(book, &made, 1, NULL), WM_OK);
    assert_int_equal(wm_book_visit_remove(book, 3, NULL), WM_OK);
    assert_int_equal(wm_book_client_thumbnail(&none, book, 7, NULL), WM_OK);
    assert_int_equal(none.visit_id, 0);
    assert_true(sound(book));
    const wm_thumbnail nobodys = { 99, { bytes, sizeof bytes } };
    assert_int_equal(wm_book_keep_thumbnails(book, &nobodys, 1, NULL), WM_E_BOOK);
    assert_true(sound(book));
    wm_book_close(book);
}

static void a_step_that_fails_half_way_changes_nothing(void **state)
{
    (void)state;
    make_version_1();
    raw(book_path(), "PRAGMA foreign_keys = OFF; INSERT INTO visit VALUES (9, 99, '2024-05-06', x'00', '', '', '', 5);"
                     "INSERT INTO sqlite_sequence VALUES ('change', 'x')"); /* the log can't count from there */
    wm_book *book = NULL;
    wm_error err = { 0 };
    if (!wm_book_open(&book, book_path(), WM_BOOK_WRITE, &err)) {
        assert_false(sound(book)); /* the lost row is told, not dropped */
        wm_book_close(book);
    } else
        assert_int_equal(raw_number("PRAGMA user_version"), 1);
}

static void refuses_tables_that_we_did_not_make(void **state)
{
    (void)state;
    static const char *const STRANGE[] = {
        "CREATE VIEW endless AS WITH RECURSIVE x (i) AS (SELECT 1 UNION ALL SELECT i FROM x) SELECT i FROM x",
        ("DROP TABLE setting; CREATE VIEW setting AS WITH RECURSIVE x (key) AS (SELECT 'units' UNION ALL SELECT key FROM "
         "x) SELECT key, 'cm' AS value FROM x"),
        "CREATE TRIGGER spy AFTER INSERT ON client BEGIN UPDATE client SET note = 'seen'; END",
        "DROP TABLE attachment; CREATE TABLE attachment (visit_id INTEGER, kind TEXT, bytes BLOB)",
        "CREATE TABLE more (x)",
        "DROP INDEX visit_of_photo",
    };
    for (size_t i = 0; i < sizeof STRANGE / sizeof STRANGE[0]; i++) {
        unlink(book_path());
        wm_book_close(open_book(WM_BOOK_CREATE));
        raw(book_path(), STRANGE[i]);
        for (int mode = WM_BOOK_READ; mode <= WM_BOOK_CREATE; mode++)
            expect_open((wm_book_mode)mode,
                        "has other tables than weftmatch makes; go back to a backup, or name another with --book");
    }
}

/* A log goes by the file's name: of what two programs saved under two names half was lost, and no check saw it. */
static void a_book_with_two_names_is_only_read(void **state)
{
    (void)state;
    char other[300], part[300];
    snprintf(other, sizeof other, "%s-linked", book_path());
    snprintf(part, sizeof part, "%s", book_path());
    snprintf(strrchr(part, '/'), 60, "/.weftmatch-%ld-0.part", 0x7ffffffeL); /* of a program that is no more */
    wm_book_close(open_book(WM_BOOK_CREATE));
    assert_int_equal(link(book_path(), part), 0);
    wm_book_close(open_book(WM_BOOK_WRITE));
    assert_int_equal(access(part, F_OK), -1);
    assert_int_equal(link(book_path(), other), 0);
    wm_book_close(open_book(WM_BOOK_READ));
    for (int mode = WM_BOOK_WRITE; mode <= WM_BOOK_CREATE; mode++)
        expect_open((wm_book_mode)mode,
                    "is one file under several names (hard links), and changes made under two of them can be lost; "
                    "make a file of its own with weftmatch book backup, and go on with that");
    unlink(other);
    wm_book_close(open_book(WM_BOOK_WRITE));
}

static void steps_end_at_the_version(void **state)
{
    (void)state;
    assert_null(wm_schema__step(-1, 0));
    for (int i = 0; i < WM_BOOK_SCHEMA_VERSION; i++)
        assert_non_null(wm_schema__step(i, 0));
    assert_null(wm_schema__step(WM_BOOK_SCHEMA_VERSION, 0));
}

/* The digests by which a book's tables are known are those of what the steps make, told by SQLite's own hand. */
static void the_digests_are_those_of_the_steps(void **state)
{
    (void)state;
    for (int version = 0; version <= WM_BOOK_SCHEMA_VERSION; version++) {
        char hex[65], text[32768] = "";
        unlink(book_path());
        sqlite3 *db = raw_open(book_path());
        sqlite3_stmt *s = NULL;
        sqlite3_create_function(db, "sought", 1, SQLITE_UTF8, NULL, nothing_sought, NULL, NULL);
        for (int step = 0; step < version; step++)
            for (size_t i = 0; wm_schema__step(step, i); i++)
                assert_int_equal(sqlite3_exec(db, wm_schema__step(step, i), NULL, NULL, NULL), SQLITE_OK);
        assert_int_equal(sqlite3_prepare_v2(db,
                                            "SELECT group_concat(type || char(10) || name || char(10) || tbl_name || "
                                            "char(10) || coalesce(sql, '') || char(10), '') FROM (SELECT * FROM "
                                            "sqlite_schema ORDER BY type, name)",
                                            -1, &s, NULL),
                         SQLITE_OK);
        sqlite3_step(s);
        snprintf(text, sizeof text, "%s", version ? (const char *)sqlite3_column_text(s, 0) : "");
        wm_sha256_hex(hex, text, strlen(text));
        sqlite3_finalize(s);
        sqlite3_close(db);
        assert_string_equal(wm_schema__sha256(version), hex);
    }
}

/* --- settings --- */

static void keeps_settings(void **state)
{
    (void)state;
    char *value = NULL;
    wm_book *book = open_book(WM_BOOK_CREATE);
    assert_int_equal(wm_book_setting_get(&value, book, "units", NULL), WM_OK);
    assert_null(value);
    assert_int_equal(wm_book_setting_set(book, "units", "cm", NULL), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "units", "in'); DROP TABLE setting; --", NULL), WM_OK);
    assert_int_equal(wm_book_setting_get(&value, book, "units", NULL), WM_OK);
    assert_string_equal(value, "in'); DROP TABLE setting; --");
    free(value);
    assert_int_equal(wm_book_setting_set(book, "units", NULL, NULL), WM_OK);
    assert_int_equal(wm_book_setting_get(&value, book, "units", NULL), WM_OK);
    assert_null(value);
    wm_book_close(book);
}

/* --- clients --- */

static void finds_clients_by_number_name_and_beginning(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    int64_t anna = add_client(book, "  Anna Berg "), annika = add_client(book, "Annika Lund"),
            ann = add_client(book, "Ann"), zoe = add_client(book, "Zo\xc3\xab O'Hara");
    assert_string_equal(find(book, "anna berg").name, "Anna Berg");
    assert_string_equal(find(book, "ANNA").since, DAY);
    assert_int_equal(find(book, "anni").id, annika);
    assert_int_equal(find(book, "ann").id, ann); /* the whole name before beginnings */
    assert_int_equal(find(book, "zo\xc3\xab").id, zoe);
    assert_int_equal(find(book, "1").id, anna);
    assert_int_equal(find(book, " 2 ").id, annika);
    expect_find(
        book, "an",
        "'an' fits several clients: Ann (3), Anna Berg (1), Annika Lund (2); give more of the name, or the number");
    add_client(book, "Bergit Moss");
    expect_find(book, "berg",
                "'berg' fits several clients: Anna Berg (1), Bergit Moss (5); give more of the name, or the number");
    assert_string_equal(find(book, "bergi").name, "Bergit Moss");
    wm_book_close(book);
}

static void offers_near_misses(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    add_client(book, "Mira Solveig Kern");
    expect_find(book, "Ana", "no client 'Ana'; did you mean Anna Berg (1)?");
    expect_find(book, "anna breg", "no client 'anna breg'; did you mean Anna Berg (1)?");
    expect_find(book, "Kern", "no client 'Kern'; did you mean Mira Solveig Kern (2)?");
    expect_find(book, "Solveg", "no client 'Solveg'; did you mean Mira Solveig Kern (2)?");
    expect_find(book, "Anna Bergmann", "no client 'Anna Bergmann'; did you mean Anna Berg (1)?");
    expect_find(book, "Xenia", "no client 'Xenia'; add her first: weftmatch client add \"Xenia\"");
    expect_find(book, "99", "no client has the number 99; see weftmatch client list");
    expect_find(book, "99999999999999999999999",
                "no client has the number 99999999999999999999999; see weftmatch client list");
    expect_find(book, "a%", "no client 'a%'; add her first: weftmatch client add \"a%\"");
    expect_find(
        book, "'; DROP TABLE client; --",
        "no client ''; DROP TABLE client; --'; add her first: weftmatch client add \"'; DROP TABLE client; --\"");
    wm_book_close(book);
}

static void refuse_name(wm_book *book, const char *name, wm_status code, const char *message)
{
    int64_t id = -1;
    wm_error err = { 0 };
    assert_int_equal(wm_book_client_add(&id, book, name, NULL, DAY, &err), code);
    assert_string_equal(err.text, message);
    assert_int_equal(id, -1);
}

static void refuses_names_that_would_not_be_found_again(void **state)
{
    (void)state;
    char long_name[200];
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    refuse_name(book, "", WM_E_USAGE, "a client's name has 1 to 127 bytes; write one that fits");
    refuse_name(book, "   ", WM_E_USAGE, "a client's name has 1 to 127 bytes; write one that fits");
    memset(long_name, 'a', sizeof long_name);
    long_name[128] = '\0';
    refuse_name(book, long_name, WM_E_USAGE, "a client's name has 1 to 127 bytes; write one that fits");
    long_name[127] = '\0';
    add_client(book, long_name);
    refuse_name(book, "42", WM_E_USAGE, "a client's name can't be a number, since numbers are ids; add a letter");
    refuse_name(book, "Anna\nBerg", WM_E_USAGE,
                "a client's name is one line of plain text; write it without control characters");
    refuse_name(book, "Anna\xff", WM_E_USAGE,
                "a client's name is one line of plain text; write it without control characters");
    refuse_name(book, " anna BERG", WM_E_BOOK,
                "a client named ' anna BERG' is there already; add something that tells them apart");
    refuse_name(book, "Anna   Berg", WM_E_BOOK,
                "a client named 'Anna   Berg' is there already; add something that tells them apart");
    char note[600];
    int64_t id = 0;
    memset(note, 'n', sizeof note);
    note[512] = '\0';
    wm_error err = { 0 };
    assert_int_equal(wm_book_client_add(&id, book, "Bea", note, DAY, &err), WM_E_USAGE);
    assert_string_equal(err.text, "a note is plain text of at most 511 bytes; shorten it");
    note[511] = '\0';
    assert_int_equal(wm_book_client_add(&id, book, "Bea", note, DAY, &err), WM_OK);
    assert_string_equal(find(book, "bea").note, note);
    refuse_name(book, "Bea \033[31m", WM_E_USAGE,
                "a client's name is one line of plain text; write it without control characters");
    refuse_name(book, "Bea \xe2\x80\xaeknaH", WM_E_USAGE, /* right-to-left override */
                "a client's name is one line of plain text; write it without control characters");
    wm_book_close(book);
}

static void finds_names_as_they_are_typed(void **state)
{
    (void)state;
    static const char *const TYPED[] = { "zoe muller",
                                         "Zoe Mueller",
                                         "ZO\xc3\x8b M\xc3\x9cLLER",
                                         "zoe",
                                         "Zoe  mull",
                                         "zoe muell",
                                         ("Zo\xcc\x88"
                                          "e") };
    wm_book *book = open_book(WM_BOOK_CREATE);
    int64_t zoe = add_client(book, "Zo\xc3\xab M\xc3\xbcller"), strasse = add_client(book, "Ida Stra\xc3\x9f"
                                                                                           "e");
    for (size_t i = 0; i < sizeof TYPED / sizeof TYPED[0]; i++)
        assert_int_equal(find(book, TYPED[i]).id, zoe);
    assert_int_equal(find(book, "ida strasse").id, strasse);
    wm_book_close(book);
}

static void lists_by_name(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_client *clients = NULL;
    size_t count = 99;
    assert_int_equal(wm_book_client_list(&clients, &count, book, NULL), WM_OK);
    assert_int_equal(count, 0);
    free(clients);
    add_client(book, "bea");
    add_client(book, "Anna");
    assert_int_equal(wm_book_client_list(&clients, &count, book, NULL), WM_OK);
    assert_int_equal(count, 2);
    assert_string_equal(clients[0].name, "Anna");
    assert_string_equal(clients[1].name, "bea");
    free(clients);
    wm_book_close(book);
}

/* --- visits --- */

/* Bytes that are no text: every value, NULs too. */
static wm_bytes noise(size_t size)
{
    wm_bytes bytes = { malloc(size), size };
    assert_non_null(bytes.data);
    for (size_t i = 0; i < size; i++)
        bytes.data[i] = (unsigned char)(i * 7 + i / 256);
    return bytes;
}

static wm_visit visit_of(int64_t client, wm_bytes report)
{
    wm_visit visit = { .client_id = client,
                       .report_json = report,
                       .installed = stack_of("oat,ash,oat"),
                       .has_charged = true,
                       .charged_minor = 18050 };
    snprintf(visit.date, sizeof visit.date, "%s", DAY);
    return visit;
}

static int64_t save_visit(wm_book *book, const wm_visit *visit)
{
    int64_t id = 0;
    wm_error err = { 0 };
    if (wm_book_visit_save(&id, book, visit, &err))
        fail_msg("%s", err.text);
    return id;
}

static void same_bytes(wm_bytes a, wm_bytes b)
{
    assert_int_equal(a.size, b.size);
    assert_memory_equal(a.data, b.data, a.size);
}

static void gives_back_the_bytes_as_they_were(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(70000), photo = noise(300000), empty = { 0 };
    wm_visit visit = visit_of(add_client(book, "Anna Berg"), report), again = { 0 };
    visit.photo_jpeg = photo;
    visit.zones_json = report;
    int64_t id = save_visit(book, &visit);
    wm_book_close(book);
    book = open_book(WM_BOOK_READ);
    assert_int_equal(wm_book_visit_load(&again, book, id, NULL), WM_OK);
    same_bytes(again.report_json, report);
    same_bytes(again.photo_jpeg, photo);
    same_bytes(again.zones_json, report);
    assert_int_equal(again.gray_map_png.size, empty.size);
    assert_int_equal(again.after_jpeg.size, empty.size);
    assert_stack(&again.installed, "oat,ash,oat");
    assert_string_equal(again.date, DAY);
    assert_true(again.has_charged);
    assert_int_equal(again.charged_minor, 18050);
    assert_int_equal(find(book, "anna").visits, 1);
    wm_visit_free(&again);
    wm_book_close(book);
    wm_bytes_free(&report);
    wm_bytes_free(&photo);
}

/* What was installed could once be any text where no catalogue was at hand. It is no stack, and is not thrown away. */
static void free_text_of_earlier_versions_stays(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(100);
    wm_visit visit = visit_of(add_client(book, "Anna Berg"), report), again = { 0 };
    int64_t id = save_visit(book, &visit);
    wm_book_close(book);
    raw(book_path(), "UPDATE visit SET installed = 'two oat, one ash, one loam, one fig'");
    book = open_book(WM_BOOK_WRITE);
    assert_int_equal(wm_book_visit_load(&again, book, id, NULL), WM_OK);
    assert_int_equal(again.installed.count, 0);
    snprintf(again.note, sizeof again.note, "calm");
    assert_int_equal(wm_book_visit_update(book, &again, NULL), WM_OK);
    wm_book_close(book);
    assert_int_equal(raw_number("SELECT installed LIKE 'two oat%' AND note = 'calm' FROM visit"), 1);
    wm_visit_free(&again);
    wm_bytes_free(&report);
}

static void updates_a_visit(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(100), after = noise(200);
    wm_visit visit = visit_of(add_client(book, "Anna Berg"), report), again = { 0 };
    wm_error err = { 0 };
    visit.id = save_visit(book, &visit);
    visit.installed = stack_of("loam");
    snprintf(visit.why, sizeof visit.why, "ash was sold out");
    visit.has_charged = false;
    visit.after_jpeg = after;
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    assert_int_equal(wm_book_visit_load(&again, book, visit.id, NULL), WM_OK);
    assert_stack(&again.installed, "loam");
    assert_string_equal(again.why, "ash was sold out");
    assert_false(again.has_charged);
    same_bytes(again.after_jpeg, after);
    same_bytes(again.report_json, report);
    wm_visit_free(&again);
    visit.id = 99;
    assert_int_equal(wm_book_visit_update(book, &visit, &err), WM_E_BOOK);
    assert_string_equal(err.text, "there is no visit 99; see weftmatch client history NAME");
    assert_int_equal(wm_book_visit_load(&again, book, 99, &err), WM_E_BOOK);
    assert_string_equal(err.text, "there is no visit 99; see weftmatch client history NAME");
    wm_book_close(book);
    wm_bytes_free(&report);
    wm_bytes_free(&after);
}

static void orders_visits_by_date_then_number(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(10);
    int64_t anna = add_client(book, "Anna"), bea = add_client(book, "Bea"), *ids = NULL;
    size_t count = 0;
    wm_visit visit = visit_of(anna, report);
    save_visit(book, &visit);
    snprintf(visit.date, sizeof visit.date, "2026-01-02");
    save_visit(book, &visit);
    snprintf(visit.date, sizeof visit.date, DAY);
    save_visit(book, &visit);
    visit.client_id = bea;
    save_visit(book, &visit);
    assert_int_equal(wm_book_visit_ids(&ids, &count, book, anna, NULL), WM_OK);
    assert_int_equal(count, 3);
    assert_int_equal(ids[0], 2);
    assert_int_equal(ids[1], 1);
    assert_int_equal(ids[2], 3);
    free(ids);
    assert_int_equal(wm_book_visit_ids(&ids, &count, book, 0, NULL), WM_OK);
    assert_int_equal(count, 4);
    free(ids);
    visit.client_id = 99; /* nobody's */
    int64_t id = -1;
    assert_int_equal(wm_book_visit_save(&id, book, &visit, NULL), WM_E_BOOK);
    assert_int_equal(id, -1);
    assert_true(sound(book));
    wm_book_close(book);
    wm_bytes_free(&report);
}

/* --- forgetting --- */

static bool holds(const char *name, const char *word)
{
    if (access(folder_file(name), F_OK) != 0)
        return false;
    wm_bytes bytes = folder_read(name);
    bool found = false;
    for (size_t i = 0; !found && i + strlen(word) <= bytes.size; i++)
        found = memcmp(bytes.data + i, word, strlen(word)) == 0;
    wm_bytes_free(&bytes);
    return found;
}

static bool book_holds(const char *word)
{
    return holds("salon.book", word) || holds("salon.book-wal", word) || holds("salon.book-shm", word) ||
           holds("salon.book-journal", word);
}

static void forgetting_leaves_no_trace(void **state)
{
    (void)state;
    static char secret[9000];
    for (size_t i = 0; i + 12 < sizeof secret; i += 12)
        memcpy(secret + i, "Quillfeather", 12);
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    int64_t id = 0, kept = add_client(book, "Bea Falk");
    assert_int_equal(wm_book_client_add(&id, book, "Ottoline Quillfeather", "Quillfeather's note", DAY, NULL), WM_OK);
    wm_bytes report = { (unsigned char *)secret, sizeof secret }, other = noise(5000);
    wm_visit visit = visit_of(id, report), theirs = visit_of(kept, other);
    for (int i = 0; i < 5; i++) {
        visit.photo_jpeg = report;
        snprintf(visit.note, sizeof visit.note, "Quillfeather %d", i);
        visit.id = save_visit(book, &visit);
        save_visit(book, &theirs);
        snprintf(visit.note, sizeof visit.note, "ottoline %d", i); /* an update leaves an old page too */
        assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    }
    assert_true(book_holds("Quillfeather"));
    assert_int_equal(wm_book_client_forget(book, id, NULL), WM_OK);
    assert_false(book_holds("Quillfeather")); /* at once, not only when the book is closed */
    assert_false(book_holds("ttoline"));
    assert_false(book_holds("quillfeather"));
    expect_find(book, "Ottoline", "no client 'Ottoline'; add her first: weftmatch client add \"Ottoline\"");
    assert_int_equal(find(book, "bea").visits, 5);
    assert_true(sound(book));
    wm_error err = { 0 };
    assert_int_equal(wm_book_client_forget(book, id, &err), WM_E_BOOK);
    assert_string_equal(err.text, "no client has the number 3; see weftmatch client list");
    wm_book_close(book);
    assert_false(book_holds("Quillfeather"));
    assert_true(book_holds("Bea Falk"));
    wm_bytes_free(&other);
}

static void says_when_another_program_keeps_traces(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    int64_t id = add_client(book, "Ottoline Quillfeather");
    sqlite3 *reader = raw_open(book_path());
    assert_int_equal(sqlite3_exec(reader, "BEGIN; SELECT count(*) FROM client", NULL, NULL, NULL), SQLITE_OK);
    wm_error err = { 0 };
    assert_int_equal(wm_book_client_forget(book, id, &err), WM_E_BOOK);
    assert_string_equal(err.text,
                        "is open in another program, so that traces of the client stay in its log; close that program");
    sqlite3_close(reader);
    wm_book_close(book);
    assert_false(book_holds("Quillfeather")); /* the last to close clears the log */
}

/* --- others at the same book --- */

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void says_when_another_program_locks_it(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    sqlite3 *other = raw_open(book_path());
    assert_int_equal(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    double start = seconds();
    wm_error err = { 0 };
    int64_t id = 0;
    assert_int_equal(wm_book_client_add(&id, book, "Anna", NULL, DAY, &err), WM_E_BOOK);
    double waited = seconds() - start;
    assert_string_equal(err.text, "is locked by another program; close it and try again");
    assert_true(waited > 4 && waited < 60); /* a thousand naps of 5 ms, each longer where much else runs */
    wm_client *clients = NULL;
    size_t count = 0;
    assert_int_equal(wm_book_client_list(&clients, &count, book, NULL), WM_OK); /* reading goes on */
    free(clients);
    assert_int_equal(sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(other);
    add_client(book, "Anna");
    wm_book_close(book);
}

/* Runs body in a child; returns its wait status. */
static int in_child(void (*body)(int), int n, pid_t *running)
{
    fflush(stdout);
    pid_t pid = fork();
    assert_true(pid >= 0);
    if (pid == 0) {
        body(n);
        _exit(0);
    }
    if (running) {
        *running = pid;
        return 0;
    }
    int status = 0;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    return status;
}

enum { SAVES = 12 };

static void save_many(int n)
{
    wm_book *book = NULL;
    wm_bytes report = noise(3000);
    wm_error err = { 0 };
    char name[40];
    int64_t id = 0;
    wm_status status = wm_book_open(&book, book_path(), WM_BOOK_CREATE, &err);
    snprintf(name, sizeof name, "client of %d", n);
    if (!status)
        status = wm_book_client_add(&id, book, name, NULL, DAY, &err);
    wm_visit visit = visit_of(id, report);
    visit.photo_jpeg = report;
    for (int i = 0; !status && i < SAVES; i++)
        status = wm_book_visit_save(&id, book, &visit, &err);
    wm_book_close(book);
    if (status)
        printf("# %d: %s\n", n, err.text);
    fflush(stdout);
    _exit(status ? 1 : 0);
}

/* From no book at all: making it is part of the race. */
static void several_programs_save_at_once(void **state)
{
    (void)state;
    enum { PROGRAMS = 4 };
    pid_t pids[PROGRAMS];
    for (int i = 0; i < PROGRAMS; i++)
        in_child(save_many, i, &pids[i]);
    for (int i = 0; i < PROGRAMS; i++) {
        int status = 0;
        waitpid(pids[i], &status, 0);
        assert_int_equal(status, 0);
    }
    wm_book *book = open_book(WM_BOOK_READ);
    wm_client *clients = NULL;
    size_t count = 0;
    assert_int_equal(wm_book_client_list(&clients, &count, book, NULL), WM_OK);
    assert_int_equal(count, PROGRAMS);
    for (size_t i = 0; i < count; i++)
        assert_int_equal(clients[i].visits, SAVES);
    free(clients);
    assert_true(sound(book));
    wm_book_close(book);
}

static int progress_pipe[2];

static void save_until_killed(int n)
{
    (void)n;
    wm_book *book = NULL;
    wm_bytes report = noise(40000);
    if (wm_book_open(&book, book_path(), WM_BOOK_WRITE, NULL))
        _exit(1);
    wm_visit visit = visit_of(1, report);
    visit.photo_jpeg = report;
    for (;;) {
        int64_t id = 0;
        if (wm_book_visit_save(&id, book, &visit, NULL) || write(progress_pipe[1], "x", 1) != 1)
            _exit(1);
    }
}

/* Every visit that was reported as saved is there, whole; at most one more, whole too. */
static void killed_while_saving_it_stays_sound(void **state)
{
    (void)state;
    enum { KILLS = 25 };
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    wm_book_close(book);
    long saved = 0, extra = 0;
    for (int i = 0; i < KILLS; i++) {
        pid_t pid = 0;
        int status = 0;
        char byte;
        assert_int_equal(pipe(progress_pipe), 0);
        in_child(save_until_killed, 0, &pid);
        close(progress_pipe[1]);
        assert_int_equal(read(progress_pipe[0], &byte, 1), 1);
        saved++;
        usleep((useconds_t)(i * 1700 % 19000));
        kill(pid, SIGKILL);
        waitpid(pid, &status, 0);
        assert_true(WIFSIGNALED(status));
        while (read(progress_pipe[0], &byte, 1) == 1)
            saved++;
        close(progress_pipe[0]);
        book = open_book(WM_BOOK_READ);
        assert_true(sound(book));
        long visits = find(book, "1").visits;
        assert_true(visits >= saved && visits <= saved + i + 1);
        extra = visits - saved;
        wm_book_close(book);
    }
    assert_int_equal(
        raw_number("SELECT count(*) FROM visit v WHERE 2 <> (SELECT count(*) FROM attachment WHERE visit_id "
                   "= v.id AND kind IN ('report', 'photo') AND length(bytes) = 40000)"),
        0);
    printf("# killed %d times: %ld visits reported as saved and there, %ld saved but not yet reported\n", KILLS, saved,
           extra);
}

static void save_within_limit(int kib)
{
    struct rlimit limit = { (rlim_t)kib * 1024, (rlim_t)kib * 1024 };
    wm_book *book = NULL;
    wm_bytes report = noise(200000);
    wm_error err = { 0 };
    int64_t id = -1;
    signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &limit);
    wm_status status = wm_book_open(&book, book_path(), WM_BOOK_WRITE, &err);
    wm_visit visit = visit_of(1, report);
    if (!status)
        status = wm_book_visit_save(&id, book, &visit, &err);
    wm_book_close(book);
    if (status != WM_E_BOOK || id != -1 ||
        strcmp(err.text,
               "can't be read or written; nothing was changed; check that the disk has room and is healthy") != 0)
        _exit(1);
}

static void without_room_it_says_so_and_keeps_what_it_had(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(1000);
    wm_visit visit = visit_of(add_client(book, "Anna Berg"), report);
    save_visit(book, &visit);
    wm_book_close(book);
    assert_int_equal(in_child(save_within_limit, 100, NULL), 0);
    assert_int_equal(in_child(save_within_limit, 60, NULL), 0);
    book = open_book(WM_BOOK_WRITE);
    assert_int_equal(find(book, "anna").visits, 1);
    assert_true(sound(book));
    save_visit(book, &visit);
    assert_int_equal(find(book, "anna").visits, 2);
    wm_book_close(book);
    wm_bytes_free(&report);
}

/* --- care --- */

static void backs_up_a_verified_private_copy(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(50000);
    wm_visit visit = visit_of(add_client(book, "Anna Berg"), report), again = { 0 };
    wm_error err = { 0 };
    int64_t id = save_visit(book, &visit);
    const char *copy = folder_file("copy.book");
    assert_int_equal(wm_book_backup(book, copy, NULL), WM_OK); /* while the book is open and its log is full */
    assert_int_equal(folder_mode("copy.book"), 0600);
    assert_int_equal(wm_book_backup(book, copy, &err), WM_E_OUTPUT);
    assert_string_equal(err.text, "exists; a backup never overwrites, name a new file");
    assert_int_equal(wm_book_backup(book, folder_file("none/copy.book"), &err), WM_E_OUTPUT);
    assert_string_equal(err.text, "the folder does not exist; make it first");
    wm_book_close(book);
    folder_holds("copy.book salon.book"); /* the copy stands alone, no log beside it */
    assert_int_equal(wm_book_open(&book, copy, WM_BOOK_READ, NULL), WM_OK);
    assert_int_equal(wm_book_visit_load(&again, book, id, NULL), WM_OK);
    same_bytes(again.report_json, report);
    wm_visit_free(&again);
    wm_book_close(book);
    wm_bytes_free(&report);
}

/* Overwrites the middle of every page from the `first` on. */
static void spoil(const char *name, size_t first)
{
    wm_bytes bytes = folder_read(name);
    for (size_t i = first * 4096; i + 4096 <= bytes.size; i += 4096)
        memset(bytes.data + i, 0xa5, 3000);
    folder_write(name, bytes.data, bytes.size);
    wm_bytes_free(&bytes);
}

static void finds_damage_and_does_not_copy_it(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(50000);
    wm_visit visit = visit_of(add_client(book, "Anna Berg"), report);
    save_visit(book, &visit);
    wm_book_close(book);
    spoil("salon.book", 56);
    wm_bytes before = folder_read("salon.book");
    book = open_book(WM_BOOK_READ);
    wm_warnings findings = { 0 };
    wm_error err = { 0 };
    assert_int_equal(wm_book_check(book, &findings, &err), WM_OK);
    assert_true(findings.count > 0);
    assert_string_equal(findings.items[0].code, "book_damaged");
    wm_warnings_free(&findings);
    assert_int_equal(wm_book_backup(book, folder_file("copy.book"), &err), WM_E_BOOK);
    assert_non_null(strstr(err.text, "the copy is damaged: "));
    wm_book_close(book);
    folder_is("salon.book", &before);
    folder_holds("salon.book");
    wm_bytes_free(&before);
    wm_bytes_free(&report);
}

static void finds_lost_rows(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    wm_book_close(book);
    raw(book_path(), "PRAGMA foreign_keys = OFF; INSERT INTO attachment VALUES (7, 'photo', x'00')");
    book = open_book(WM_BOOK_READ);
    wm_warnings findings = { 0 };
    assert_int_equal(wm_book_check(book, &findings, NULL), WM_OK);
    assert_int_equal(findings.count, 1);
    assert_string_equal(findings.items[0].text, "a row belongs to nobody, in table attachment");
    wm_warnings_free(&findings);
    wm_book_close(book);
}

/* Mended with a word, and no damage. */
static void a_book_that_others_may_read_becomes_private(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_book_close(book);
    chmod(book_path(), 0644);
    book = open_book(WM_BOOK_READ);
    assert_int_equal(wm_book_notes(book)->count, 1);
    assert_string_equal(wm_book_notes(book)->items[0].text,
                        "others on this computer could read the book; it is now private");
    assert_true(sound(book));
    wm_book_close(book);
    assert_int_equal(folder_mode("salon.book"), 0600);
}

enum { NOBODY = 65534 };

/* As somebody who may read the book and nothing else. */
static void read_and_back_up(int n)
{
    (void)n;
    wm_book *book = NULL;
    wm_client client;
    wm_error err = { 0 };
    char copy[100];
    snprintf(copy, sizeof copy, "/tmp/weftmatch-copy-%ld.book", (long)getpid());
    if (setuid(NOBODY) != 0)
        _exit(9);
    wm_status status = wm_book_open(&book, book_path(), WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_client_find(&client, book, "anna", &err);
    if (!status)
        status = wm_book_backup(book, copy, &err);
    wm_book_close(book);
    if (status)
        printf("# %s: %s\n", err.file, err.text);
    int64_t id = 0;
    if (!status &&
        (wm_book_open(&book, copy, WM_BOOK_WRITE, &err) || wm_book_client_find(&client, book, "anna", &err) ||
         wm_book_client_add(&id, book, "Bea", NULL, DAY, &err)))
        status = WM_E_BOOK;
    wm_book_close(status ? NULL : book);
    unlink(copy);
    fflush(stdout);
    _exit(status ? 1 : 0);
}

static void a_read_only_book_is_read_and_backed_up(void **state)
{
    (void)state;
    if (geteuid() != 0)
        skip();
    wm_book *book = open_book(WM_BOOK_CREATE);
    add_client(book, "Anna Berg");
    wm_book_close(book);
    assert_int_equal(chown(book_path(), NOBODY, NOBODY) | chmod(book_path(), 0400) | chmod(folder_file(""), 0755), 0);
    assert_int_equal(in_child(read_and_back_up, 0, NULL), 0);
    folder_holds("salon.book");
}

/* --- putting right: what a year at a salon does to a book --- */

static int64_t visit_for(wm_book *book, int64_t client, const char *date)
{
    wm_bytes report = noise(100);
    wm_visit visit = visit_of(client, report);
    snprintf(visit.date, sizeof visit.date, "%s", date);
    visit.photo_jpeg = report;
    int64_t id = save_visit(book, &visit);
    wm_bytes_free(&report);
    return id;
}

static wm_change undo(wm_book *book)
{
    wm_change next = { 0 }, change = { 0 };
    wm_error err = { 0 };
    if (wm_book_next_undo(&next, book, &err) || wm_book_undo(&change, book, &err))
        fail_msg("%s", err.text);
    assert_int_equal(next.id, change.id); /* what was said is what is done */
    return change;
}

static void another_clients_visit_is_moved_and_moved_back(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(70);
    wm_visit visit = { 0 };
    wm_error err = { 0 };
    int64_t anna = add_client(book, "Anna"), bea = add_client(book, "Bea"), id = visit_for(book, anna, DAY);
    assert_int_equal(wm_book_visit_move(book, id, bea, &report, NULL), WM_OK);
    assert_int_equal(find(book, "anna").visits, 0);
    assert_int_equal(find(book, "bea").visits, 1);
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    assert_int_equal(visit.report_json.size, 70);
    assert_int_equal(visit.photo_jpeg.size, 100);
    wm_visit_free(&visit);
    assert_int_equal(wm_book_visit_move(book, id, bea, NULL, &err), WM_E_BOOK);
    assert_string_equal(err.text, "visit 1 is Bea's already");
    assert_int_equal(wm_book_visit_move(book, 9, bea, NULL, &err), WM_E_BOOK);
    assert_int_equal(wm_book_visit_move(book, id, 99, NULL, &err), WM_E_BOOK);
    assert_string_equal(undo(book).told, "visit 1 moved from Anna to Bea");
    assert_int_equal(find(book, "anna").visits, 1);
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    assert_int_equal(visit.report_json.size, 100);
    wm_visit_free(&visit);
    assert_true(sound(book));
    wm_book_close(book);
    wm_bytes_free(&report);
}

/* What a photo gave is another's, all else stays; it can be taken back. */
static void a_visit_is_measured_anew(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_bytes report = noise(70), photo = noise(30);
    wm_visit by = { .report_json = report, .photo_jpeg = photo, .photo_sha256 = "c0ffee" }, visit = { 0 };
    wm_error err = { 0 };
    int64_t anna = add_client(book, "Anna"), id = visit_for(book, anna, DAY);
    assert_int_equal(wm_book_visit_measured(book, id, &by, NULL), WM_OK);
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    same_bytes(visit.report_json, report);
    same_bytes(visit.photo_jpeg, photo);
    assert_int_equal(visit.zones_json.size, 0);
    assert_string_equal(visit.photo_sha256, "c0ffee");
    assert_int_equal(visit.charged_minor, 18050);
    assert_stack(&visit.installed, "oat,ash,oat");
    wm_visit_free(&visit);
    assert_string_equal(undo(book).told, "visit 1 of Anna measured anew");
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    assert_int_equal(visit.report_json.size, 100);
    assert_int_equal(visit.photo_jpeg.size, 100);
    wm_visit_free(&visit);
    assert_int_equal(wm_book_visit_measured(book, 9, &by, &err), WM_E_BOOK);
    assert_string_equal(err.text, "there is no visit 9; see weftmatch client history NAME");
    assert_true(sound(book));
    wm_book_close(book);
    wm_bytes_free(&report);
    wm_bytes_free(&photo);
}

/* What she wears is what was sewn on last, whatever was only talked about since, until it is taken out. */
static void what_she_wears_and_when_she_comes(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_client_latest *all = NULL, one = { 0 };
    wm_bytes picture = { 0 };
    wm_visit visit = { 0 };
    size_t count = 0;
    int64_t zoe = add_client(book, "Zoe"), anna = add_client(book, "Anna");
    int64_t first = visit_for(book, anna, "2026-01-05"), second = visit_for(book, anna, "2026-02-05");
    assert_int_equal(wm_book_visit_load(&visit, book, second, NULL), WM_OK);
    visit.installed.count = 0;
    visit.kind = WM_VISIT_CONSULTATION;
    wm_bytes_free(&visit.photo_jpeg);
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    assert_int_equal(wm_book_client_set_coming(book, anna, "2026-03-01", NULL), WM_OK);
    assert_int_equal(wm_book_client_latest(&all, &count, book, NULL), WM_OK);
    assert_int_equal(count, 2);
    assert_string_equal(all[0].client.name, "Anna"); /* by name */
    assert_int_equal(all[0].visit_id, second);
    assert_int_equal(all[0].kind, WM_VISIT_CONSULTATION);
    assert_int_equal(all[0].wears_id, first);
    assert_string_equal(all[0].wears_date, "2026-01-05");
    assert_stack(&all[0].wears, "oat,ash,oat");
    assert_string_equal(all[0].coming, "2026-03-01");
    assert_int_equal(all[1].visit_id + all[1].wears_id, 0);
    assert_string_equal(all[1].coming, "");
    free(all);
    assert_int_equal(wm_book_client_picture(&picture, book, anna, NULL), WM_OK);
    assert_int_equal(picture.size, 100); /* the first visit's */
    wm_bytes_free(&picture);
    assert_int_equal(wm_book_client_picture(&picture, book, zoe, NULL), WM_OK);
    assert_int_equal(picture.size, 0);
    wm_bytes_free(&picture);
    visit.kind = WM_VISIT_REMOVAL;
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    assert_int_equal(wm_book_client_latest_of(&one, book, anna, NULL), WM_OK);
    assert_int_equal(one.wears_id, 0);
    assert_int_equal(wm_book_client_latest_of(&one, book, 99, NULL), WM_E_BOOK);
    wm_visit_free(&visit);
    wm_book_close(book);
}

static void a_removed_visit_comes_back_whole(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_visit before = { 0 }, after = { 0 };
    wm_error err = { 0 };
    int64_t anna = add_client(book, "Anna"), id = visit_for(book, anna, DAY);
    visit_for(book, anna, DAY);
    assert_int_equal(wm_book_visit_load(&before, book, id, NULL), WM_OK);
    assert_int_equal(wm_book_visit_remove(book, id, NULL), WM_OK);
    assert_int_equal(wm_book_visit_load(&after, book, id, &err), WM_E_BOOK);
    assert_int_equal(wm_book_visit_remove(book, id, &err), WM_E_BOOK);
    assert_int_equal(find(book, "anna").visits, 1);
    add_client(book, "Bea"); /* much later */
    assert_int_equal(wm_book_visit_restore(book, id, &err), WM_OK);
    assert_int_equal(wm_book_visit_load(&after, book, id, NULL), WM_OK);
    same_bytes(before.report_json, after.report_json);
    same_bytes(before.photo_jpeg, after.photo_jpeg);
    assert_stack(&after.installed, "oat,ash,oat");
    assert_int_equal(before.charged_minor, after.charged_minor);
    assert_int_equal(wm_book_visit_restore(book, id, &err), WM_E_BOOK);
    assert_string_equal(err.text, "visit 1 of Anna is there");
    assert_int_equal(wm_book_visit_restore(book, 9, &err), WM_E_BOOK);
    assert_string_equal(err.text, "there is no visit 9; see weftmatch client history NAME");
    wm_visit_free(&before);
    wm_visit_free(&after);
    wm_book_close(book);
}

static void two_files_of_one_client_are_merged(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_error err = { 0 };
    int64_t anna = 0, again = 0;
    assert_int_equal(wm_book_client_add(&anna, book, "Anna Berg", "likes fern", "2025-05-01", NULL), WM_OK);
    assert_int_equal(wm_book_client_add(&again, book, "Anna Bergh", "allergic to nickel", "2024-01-01", NULL), WM_OK);
    visit_for(book, anna, "2025-05-01");
    visit_for(book, again, "2024-01-01");
    assert_int_equal(wm_book_client_merge(book, again, anna, NULL), WM_OK);
    wm_client client = find(book, "anna");
    assert_int_equal(client.visits, 2);
    assert_string_equal(client.note, "likes fern\nallergic to nickel");
    assert_string_equal(client.since, "2024-01-01");
    assert_int_equal(wm_book_client_merge(book, anna, anna, &err), WM_E_USAGE);
    assert_int_equal(wm_book_client_merge(book, 99, anna, &err), WM_E_BOOK);
    undo(book);
    assert_int_equal(find(book, "anna bergh").visits, 1);
    assert_string_equal(find(book, "anna bergh").note, "allergic to nickel");
    assert_string_equal(find(book, "anna berg").since, "2025-05-01");
    assert_true(sound(book));
    wm_book_close(book);
}

static void a_name_is_put_right(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_error err = { 0 };
    int64_t anna = add_client(book, "Ana Brg");
    add_client(book, "Bea");
    assert_int_equal(wm_book_client_rename(book, anna, " Anna Berg ", NULL), WM_OK);
    assert_string_equal(find(book, "1").name, "Anna Berg");
    assert_int_equal(find(book, "anna berg").id, anna);
    assert_int_equal(wm_book_client_rename(book, anna, "ANNA BERG", NULL), WM_OK); /* she herself is no obstacle */
    assert_int_equal(wm_book_client_rename(book, anna, "bea", &err), WM_E_BOOK);
    assert_string_equal(err.text, "a client named 'bea' is there already; add something that tells them apart");
    assert_int_equal(wm_book_client_rename(book, anna, "7", &err), WM_E_USAGE);
    undo(book);
    undo(book);
    assert_string_equal(find(book, "ana brg").name, "Ana Brg");
    wm_book_close(book);
}

/* A wrong date, a price of 150000, a label: set, and each step back gives what was before. */
static void every_step_back_gives_what_was_before(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_visit visit = { 0 };
    wm_change change = { 0 };
    wm_error err = { 0 };
    wm_book_set_day(book, DAY);
    int64_t anna = add_client(book, "Anna"), id = visit_for(book, anna, "2062-03-31");
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    snprintf(visit.date, sizeof visit.date, "2026-03-30");
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    visit.charged_minor = 15000000;
    wm_bytes_free(&visit.photo_jpeg);
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK);
    assert_int_equal(wm_book_visit_update(book, &visit, NULL), WM_OK); /* nothing new: no line in the log */
    wm_visit_free(&visit);
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    assert_int_equal(visit.photo_jpeg.size, 0);
    wm_visit_free(&visit);
    change = undo(book);
    assert_string_equal(change.told, "visit 1 of Anna changed: charged, photo");
    assert_string_equal(change.date, DAY);
    assert_int_equal(change.visit_id, id);
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    assert_int_equal(visit.charged_minor, 18050);
    assert_int_equal(visit.photo_jpeg.size, 100);
    assert_string_equal(visit.date, "2026-03-30");
    wm_visit_free(&visit);
    undo(book);
    undo(book); /* the visit itself */
    assert_int_equal(find(book, "anna").visits, 0);
    for (int i = 0; i < 3; i++)
        assert_int_equal(wm_book_redo(&change, book, &err), WM_OK);
    assert_int_equal(wm_book_redo(&change, book, &err), WM_E_BOOK);
    assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), WM_OK);
    assert_int_equal(visit.charged_minor, 15000000);
    assert_string_equal(visit.date, "2026-03-30");
    wm_visit_free(&visit);
    undo(book);
    add_client(book, "Bea");
    assert_int_equal(wm_book_redo(&change, book, &err), WM_E_BOOK); /* something else came between */
    for (int i = 0; i < 4; i++)
        undo(book);
    assert_int_equal(wm_book_undo(&change, book, &err), WM_E_BOOK);
    assert_string_equal(err.text, "there is no change to take back; see weftmatch book log");
    expect_find(book, "anna", "no client 'anna'; add her first: weftmatch client add \"anna\"");
    assert_true(sound(book));
    wm_book_close(book);
}

static void several_settings_are_one_change(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    char *value = NULL;
    assert_int_equal(wm_book_setting_set(book, "units", "cm", NULL), WM_OK);
    assert_int_equal(wm_book_begin(book, NULL), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "units", "in", NULL), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "row_fee", "180", NULL), WM_OK);
    assert_int_equal(wm_book_end(book, WM_OK, NULL), WM_OK);
    assert_string_equal(undo(book).told, "units=in, was cm; row_fee=180, was the default");
    assert_int_equal(wm_book_setting_get(&value, book, "units", NULL), WM_OK);
    assert_string_equal(value, "cm");
    free(value);
    assert_int_equal(wm_book_setting_get(&value, book, "row_fee", NULL), WM_OK);
    assert_null(value);
    /* what failed within is not done at all */
    assert_int_equal(wm_book_begin(book, NULL), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "units", "in", NULL), WM_OK);
    assert_int_equal(wm_book_end(book, WM_E_USAGE, NULL), WM_E_USAGE);
    assert_int_equal(wm_book_setting_get(&value, book, "units", NULL), WM_OK);
    assert_string_equal(value, "cm");
    free(value);
    wm_book_close(book);
}

static void the_log_tells_of_each_client(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_change *changes = NULL;
    size_t count = 0;
    int64_t anna = add_client(book, "Anna"), bea = add_client(book, "Bea"), id = visit_for(book, anna, DAY);
    wm_book_visit_move(book, id, bea, NULL, NULL);
    undo(book);
    static const char *const TOLD[] = { "client 1 added: Anna", ("visit 1 of Anna saved, " DAY),
                                        "visit 1 moved from Anna to Bea", "undo: visit 1 moved from Anna to Bea" };
    assert_int_equal(wm_book_changes(&changes, &count, book, anna, NULL), WM_OK);
    assert_int_equal(count, 4);
    for (size_t i = 0; i < count; i++)
        assert_string_equal(changes[i].told, TOLD[i]);
    assert_true(changes[2].undone && !changes[1].undone);
    free(changes);
    assert_int_equal(wm_book_changes(&changes, &count, book, 0, NULL), WM_OK);
    assert_int_equal(count, 5);
    free(changes);
    wm_book_close(book);
}

/* What was merged into her, moved out of her file, removed and taken back: nothing of it stays. */
static void forgetting_reaches_every_corner_of_the_log(void **state)
{
    (void)state;
    wm_book *book = open_book(WM_BOOK_CREATE);
    static unsigned char names_her[] = "{\"client\":\"Quillfeather\"}", names_nobody[] = "{}";
    wm_bytes named = { names_her, sizeof names_her - 1 }, plain = { names_nobody, sizeof names_nobody - 1 };
    int64_t one = add_client(book, "Ottoline Quillfeather"), two = add_client(book, "O. Quillfeather"),
            bea = add_client(book, "Bea Falk");
    wm_visit visit = visit_of(one, named);
    int64_t kept = save_visit(book, &visit), removed = save_visit(book, &visit);
    visit.client_id = two;
    int64_t other = save_visit(book, &visit), moved = save_visit(book, &visit);
    wm_book_client_rename(book, two, "Oda Quillfeather", NULL);
    wm_book_visit_remove(book, removed, NULL);
    wm_book_visit_move(book, moved, bea, &plain, NULL);
    wm_book_client_merge(book, two, one, NULL);
    wm_book_client_note(book, one, "Quillfeather is allergic", NULL);
    undo(book);
    assert_true(book_holds("Quillfeather"));
    assert_int_equal(wm_book_client_forget(book, one, NULL), WM_OK);
    assert_false(book_holds("Quillfeather"));
    assert_int_equal(find(book, "bea").visits, 1);
    for (int64_t id = kept; id <= moved; id++)
        assert_int_equal(wm_book_visit_load(&visit, book, id, NULL), id == moved ? WM_OK : WM_E_BOOK);
    wm_visit_free(&visit);
    assert_int_equal(wm_book_visit_restore(book, other, NULL), WM_E_BOOK);
    assert_true(sound(book));
    undo(book); /* what is left can still be taken back: Bea */
    wm_book_close(book);
}

/* In the gaps of live pages, too. */
static void five_hundred_are_forgotten_among_others(void **state)
{
    (void)state;
    enum { FORGOTTEN = 500, BATCH = 100 };
    char name[60], note[500], word[40];
    wm_book *book = open_book(WM_BOOK_CREATE);
    wm_error err = { 0 };
    long found = 0;
    for (int i = 0; i < FORGOTTEN; i++) {
        int64_t id = 0;
        snprintf(name, sizeof name, "Secret%04d Kept", i);
        snprintf(
            note, sizeof note, "Hush%04d %.*s Hush%04d", i, i % 400,
            "a long note of many words, each of which takes room on a page, so that rows of many lengths lie beside "
            "one another and leave gaps of many lengths when they go; a long note of many words, each of which takes "
            "room on a page, so that rows of many lengths lie beside one another and leave gaps of many lengths",
            i);
        assert_int_equal(wm_book_client_add(&id, book, name, note, DAY, NULL), WM_OK);
        wm_visit visit = visit_of(id, (wm_bytes){ (unsigned char *)note, strlen(note) });
        snprintf(visit.note, sizeof visit.note, "%s\n", note);
        save_visit(book, &visit);
        snprintf(name, sizeof name, "Other%04d", i);
        visit_for(book, add_client(book, name), DAY);
    }
    for (int i = 0; i < FORGOTTEN; i++) {
        snprintf(name, sizeof name, "Secret%04d", i);
        if (wm_book_client_forget(book, find(book, name).id, &err))
            fail_msg("%s", err.text);
        if (i % BATCH != BATCH - 1)
            continue;
        wm_bytes bytes = folder_read("salon.book");
        for (int k = 0; k <= i; k++)
            for (int which = 0; which < 2; which++) {
                snprintf(word, sizeof word, which ? "Hush%04d" : "Secret%04d", k);
                found += memmem(bytes.data, bytes.size, word, strlen(word)) != NULL;
            }
        wm_bytes_free(&bytes);
    }
    assert_false(book_holds("Hush0") || book_holds("Secret0"));
    printf("# %d clients forgotten, %ld traces\n", FORGOTTEN, found);
    assert_int_equal(found, 0);
    wm_book_close(book);
}

static void notes_gather_with_their_days(void **state)
{
    (void)state;
    wm_visit visit = { 0 };
    wm_error err = { 0 };
    char note[5000];
    assert_int_equal(wm_visit_add_note(&visit, "2026-03-31", "loves it", NULL), WM_OK);
    assert_int_equal(wm_visit_add_note(&visit, "2026-04-02", "itches behind the ear", NULL), WM_OK);
    assert_string_equal(visit.note, "2026-03-31  loves it\n2026-04-02  itches behind the ear\n");
    assert_int_equal(wm_visit_add_note(&visit, "2026-04-02", "two\nlines", &err), WM_E_USAGE);
    memset(note, 'n', sizeof note);
    note[sizeof note - 1] = '\0';
    assert_int_equal(wm_visit_add_note(&visit, "2026-04-02", note, &err), WM_E_USAGE);
    assert_string_equal(err.text, "the notes of a visit have room for 4095 bytes, 4040 are left; shorten it");
}

static void closing_nothing_is_fine(void **state)
{
    (void)state;
    wm_book_close(NULL);
    wm_visit_free(NULL);
    assert_true(strlen(wm_book_engine()) > 2);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(reading_creates_nothing),
        IN_FOLDER(creating_makes_folders_and_a_private_book),
        IN_FOLDER(has_id_version_and_promises),
        IN_FOLDER(reading_leaves_the_bytes_and_no_neighbours),
        IN_FOLDER(an_empty_file_becomes_a_book_only_when_asked),
        IN_FOLDER(refuses_what_is_not_a_book),
        IN_FOLDER(refuses_another_programs_database),
        IN_FOLDER(leaves_another_programs_log_alone),
        IN_FOLDER(refuses_a_newer_book),
        IN_FOLDER(names_with_the_marks_of_an_address_are_names),
        IN_FOLDER(refuses_a_folder_and_a_place_that_cannot_be),
        IN_FOLDER(an_older_book_is_copied_and_brought_up_to_date),
        IN_FOLDER(a_book_of_version_2_too),
        IN_FOLDER(a_thumbnail_is_of_the_picture_that_is_there),
        IN_FOLDER(a_step_that_fails_half_way_changes_nothing),
        IN_FOLDER(refuses_tables_that_we_did_not_make),
        cmocka_unit_test(steps_end_at_the_version),
        IN_FOLDER(the_digests_are_those_of_the_steps),
        IN_FOLDER(keeps_settings),
        IN_FOLDER(finds_clients_by_number_name_and_beginning),
        IN_FOLDER(offers_near_misses),
        IN_FOLDER(refuses_names_that_would_not_be_found_again),
        IN_FOLDER(finds_names_as_they_are_typed),
        IN_FOLDER(lists_by_name),
        IN_FOLDER(gives_back_the_bytes_as_they_were),
        IN_FOLDER(free_text_of_earlier_versions_stays),
        IN_FOLDER(updates_a_visit),
        IN_FOLDER(orders_visits_by_date_then_number),
        IN_FOLDER(forgetting_leaves_no_trace),
        IN_FOLDER(says_when_another_program_keeps_traces),
        IN_FOLDER(says_when_another_program_locks_it),
        IN_FOLDER(several_programs_save_at_once),
        IN_FOLDER(killed_while_saving_it_stays_sound),
        IN_FOLDER(without_room_it_says_so_and_keeps_what_it_had),
        IN_FOLDER(backs_up_a_verified_private_copy),
        IN_FOLDER(finds_damage_and_does_not_copy_it),
        IN_FOLDER(finds_lost_rows),
        IN_FOLDER(a_book_that_others_may_read_becomes_private),
        IN_FOLDER(a_book_with_two_names_is_only_read),
        IN_FOLDER(a_read_only_book_is_read_and_backed_up),
        IN_FOLDER(another_clients_visit_is_moved_and_moved_back),
        IN_FOLDER(a_visit_is_measured_anew),
        IN_FOLDER(what_she_wears_and_when_she_comes),
        IN_FOLDER(a_removed_visit_comes_back_whole),
        IN_FOLDER(two_files_of_one_client_are_merged),
        IN_FOLDER(a_name_is_put_right),
        IN_FOLDER(every_step_back_gives_what_was_before),
        IN_FOLDER(several_settings_are_one_change),
        IN_FOLDER(the_log_tells_of_each_client),
        IN_FOLDER(forgetting_reaches_every_corner_of_the_log),
        IN_FOLDER(five_hundred_are_forgotten_among_others),
        cmocka_unit_test(notes_gather_with_their_days),
        cmocka_unit_test(closing_nothing_is_fine),
    };
    return cmocka_run_group_tests_name("book", tests, NULL, NULL);
}
