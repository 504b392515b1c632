/* client_file: out of one book and into another, byte for byte; a damaged file changes nothing. Client and visits are
 * invented. */
#include "consult/client_file.h"
#include "core/digest.h"
#include "support/near.h"
#include "support/stack.h"
#include "support/folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wm_bytes lent(const char *text)
{
    return (wm_bytes){ (unsigned char *)(uintptr_t)text, strlen(text) };
}

static wm_book *book_at(const char *name)
{
    wm_book *book = NULL;
    wm_error err = { 0 };
    if (wm_book_open(&book, folder_file(name), WM_BOOK_CREATE, &err))
        fail_msg("%s", err.text);
    return book;
}

/* A book with one client and two visits; her file in `out`. */
static void write_one(wm_buf *out)
{
    wm_book *book = book_at("a.book");
    wm_client client;
    int64_t id = 0;
    wm_visit visit = { .date = "2025-05-14",
                       .report_json = lent("{\"format\":1,  \"made\":{\"at\":\"x\"}}"),
                       .photo_jpeg = lent("\377\330\377 no real photo"),
                       .installed = stack_of("oat,ash,oat"),
                       .why = "\"more volume\"",
                       .note = "gr\303\274n",
                       .has_charged = true,
                       .charged_minor = 54050 };
    assert_int_equal(wm_book_client_add(&id, book, "Anna Berg", "likes tea", "2025-05-01", NULL), WM_OK);
    visit.client_id = id;
    assert_int_equal(wm_book_visit_save(&id, book, &visit, NULL), WM_OK);
    visit.has_charged = false;
    assert_int_equal(wm_book_visit_save(&id, book, &visit, NULL), WM_OK);
    assert_int_equal(wm_book_client_find(&client, book, "anna", NULL), WM_OK);
    assert_int_equal(wm_client_file_write(out, book, &client, NULL), WM_OK);
    wm_book_close(book);
}

static void comes_back_as_it_was(void **state)
{
    (void)state;
    wm_buf file = { 0 };
    wm_client client;
    wm_visit visit = { 0 };
    int64_t *ids = NULL;
    size_t count = 0;
    write_one(&file);
    wm_book *book = book_at("b.book");
    assert_int_equal(wm_client_file_read(&client, book, file.data, file.size, "anna.json", NULL), WM_OK);
    assert_string_equal(client.name, "Anna Berg");
    assert_int_equal(wm_book_visit_ids(&ids, &count, book, client.id, NULL), WM_OK);
    assert_int_equal(count, 2);
    assert_int_equal(wm_book_visit_load(&visit, book, ids[0], NULL), WM_OK);
    assert_string_equal((const char *)visit.report_json.data, "{\"format\":1,  \"made\":{\"at\":\"x\"}}");
    assert_memory_equal(visit.photo_jpeg.data, "\377\330\377 no real photo", visit.photo_jpeg.size);
    assert_stack(&visit.installed, "oat,ash,oat");
    assert_string_equal(visit.note, "gr\303\274n");
    assert_true(visit.has_charged && visit.charged_minor == 54050);
    wm_visit_free(&visit);
    free(ids);
    wm_error err = { 0 };
    assert_int_equal(wm_client_file_read(&client, book, file.data, file.size, "anna.json", &err),
                     WM_E_BOOK); /* a second time */
    assert_non_null(strstr(err.text, "is there already"));
    wm_book_close(book);
    wm_buf_free(&file);
}

/* Every text cut short and every byte changed: refused or taken whole, and the book never holds a half client. */
static void a_damaged_file_changes_nothing(void **state)
{
    (void)state;
    wm_buf file = { 0 };
    wm_book *book = NULL;
    size_t refused = 0;
    write_one(&file);
    book = book_at("b.book");
    for (size_t cut = 0; cut + 1 < file.size; cut += 37) {
        wm_client client, *clients = NULL;
        size_t count = 0;
        wm_error err = { 0 };
        assert_int_not_equal(wm_client_file_read(&client, book, file.data, cut, "anna.json", &err), WM_OK);
        assert_true(err.code == WM_E_BOOK && err.text[0]);
        refused++;
        assert_int_equal(wm_book_client_list(&clients, &count, book, NULL), WM_OK);
        assert_int_equal(count, 0);
        free(clients);
    }
    assert_true(refused > 10);
    wm_book_close(book);
    wm_buf_free(&file);
}

/* One bit at a time, so that the file is JSON and base64 all the same more often than not. */
static void a_changed_byte_is_found(void **state)
{
    (void)state;
    wm_buf file = { 0 };
    wm_client client;
    write_one(&file);
    wm_book *book = book_at("b.book");
    for (size_t i = 0; i < file.size; i++) {
        wm_error err = { 0 };
        file.data[i] ^= 1;
        if (wm_client_file_read(&client, book, file.data, file.size, "anna.json", &err) != WM_E_BOOK)
            fail_msg("byte %zu changed and taken", i);
        file.data[i] ^= 1;
    }
    assert_int_equal(wm_client_file_read(&client, book, file.data, file.size, "anna.json", NULL), WM_OK);
    wm_book_close(book);
    wm_buf_free(&file);
}

static void money_of_another_currency_is_refused(void **state)
{
    (void)state;
    wm_buf file = { 0 };
    wm_client client, *clients = NULL;
    size_t count = 0;
    wm_error err = { 0 };
    write_one(&file);
    wm_book *book = book_at("b.book");
    assert_int_equal(wm_book_setting_set(book, "currency", "JPY", NULL), WM_OK);
    assert_int_equal(wm_client_file_read(&client, book, file.data, file.size, "anna.json", &err), WM_E_BOOK);
    assert_non_null(strstr(err.text, "charged in EUR and this book counts in JPY"));
    assert_int_equal(wm_book_client_list(&clients, &count, book, NULL), WM_OK);
    assert_int_equal(count, 0);
    free(clients);
    wm_book_close(book);
    wm_buf_free(&file);
}

/* `what` made `by`, and the file sealed again as its writer would. */
static void forge(wm_buf *out, const wm_buf *file, const char *what, const char *by)
{
    const char SEAL[] = ",\n\"sha256\":";
    const char *at = strstr(file->data, what), *end = strstr(file->data, SEAL);
    char hex[65];
    assert_true(at && end && at < end);
    wm_buf_bytes(out, file->data, (size_t)(at - file->data));
    wm_buf_text(out, by);
    wm_buf_bytes(out, at + strlen(what), (size_t)(end - at) - strlen(what));
    wm_sha256_hex(hex, out->data, out->size);
    wm_buf_format(out, "%s\"%s\"}\n", SEAL, hex);
}

/* Made by somebody who knows how a file is sealed: what no visit of our own holds gets into no book, and the line says
 * that it is the file. */
static void a_forged_file_changes_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *what, *by;
        wm_status status;
    } CASES[] = { { "likes tea", "likes coffee", WM_OK },    { "54050", "-54050", WM_E_BOOK },
                  { "54050", "540.5", WM_E_BOOK },           { "oat,ash,oat", "oat,\\u001b[31m,oat", WM_E_BOOK },
                  { "2025-05-14", "2025-02-30", WM_E_BOOK }, { "Anna Berg", "", WM_E_BOOK },
                  { "Anna Berg", "A\\u202enna", WM_E_BOOK } };
    wm_buf file = { 0 };
    write_one(&file);
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        wm_buf forged = { 0 };
        wm_client client;
        wm_error err = { 0 };
        wm_book *book = book_at(i ? "b.book" : "c.book");
        forge(&forged, &file, CASES[i].what, CASES[i].by);
        if (wm_client_file_read(&client, book, forged.data, forged.size, "anna.json", &err) != CASES[i].status)
            fail_msg("%s: %s", CASES[i].by, err.text);
        assert_true(CASES[i].status == WM_OK || strcmp(err.file, "anna.json") == 0);
        wm_book_close(book);
        wm_buf_free(&forged);
    }
    wm_buf_free(&file);
}

static void others_files_are_refused_by_what_they_are(void **state)
{
    (void)state;
    static const char *const FILES[][2] = {
        { "{}", "not an exported client" },
        { "[]", "not an exported client" },
        { "{\"format\":0.5,\"kind\":\"weftmatch client\"}", "does not exist" },
        { "{\"format\":3,\"kind\":\"weftmatch client\"}", "newer" },
        { "{\"format\":1,\"kind\":\"weftmatch client\"}", "damaged" },
        { "{\"format\":1,\"kind\":\"weftmatch client\",\"name\":\"A\",\"note\":\"\",\"since\":\"2025-02-30\"}",
          "damaged" }
    };
    wm_book *book = book_at("b.book");
    for (size_t i = 0; i < sizeof FILES / sizeof FILES[0]; i++) {
        wm_client client;
        wm_error err = { 0 };
        assert_int_equal(wm_client_file_read(&client, book, FILES[i][0], strlen(FILES[i][0]), "x.json", &err),
                         WM_E_BOOK);
        if (!strstr(err.text, FILES[i][1]))
            fail_msg("%s: %s", FILES[i][0], err.text);
    }
    wm_book_close(book);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_make, folder_remove)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(comes_back_as_it_was),          IN_FOLDER(a_damaged_file_changes_nothing),
        IN_FOLDER(a_changed_byte_is_found),       IN_FOLDER(money_of_another_currency_is_refused),
        IN_FOLDER(a_forged_file_changes_nothing), IN_FOLDER(others_files_are_refused_by_what_they_are)
    };
    return cmocka_run_group_tests_name("client_file", tests, NULL, NULL);
}
