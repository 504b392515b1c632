/* The door of `client import`: any bytes as a client's file, with the digest at its end as it should be, so that what
 * it guards is reached. What is refused gets one line and leaves the book as it was; what is taken is found in the book
 * and comes out again the same. */
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/client_file.h"

#define VISIT                                                                                                          \
    "{\"date\":\"2026-03-31\",\"installed\":\"moth,frost,moth\",\"why\":\"more volume\",\"note\":\"2026-03-31  loves " \
    "it\\n\",\"photo_sha256\":\"00ff\",\"kind\":\"installation\",\"charged_minor\":54050,\"deposit_minor\":100,"       \
    "\"report\":\"eyJmb3JtYXQiOjEsICJtYWRlIjp7ImF0IjoieCJ9fQ==\",\"photo\":\"/9j/\",\"gray_map\":\"iVBORyE=\","        \
    "\"zones\":\"eyJmb3JtYXQiOjEsInpvbmVzIjpbXX0=\",\"after\":\"\",\"after_zones\":\"\",\"after_report\":\"\"}"
const fuzz_seed fuzz_seeds[] = {
    SEED("{\"format\":2,\"kind\":\"weftmatch client\",\"name\":\"Anna Berg\",\"note\":\"likes tea\","
         "\"since\":\"2025-05-01\",\"currency\":\"EUR\",\"visits\":[" VISIT "," VISIT "],"
         "\"changes\":[{\"date\":\"2026-03-31\",\"verb\":\"visit set\",\"told\":\"charged 540.50\",\"undone\":false},"
         "{\"date\":\"\",\"verb\":\"match\",\"told\":\"\",\"undone\":true}]"),
    SEED("{\"format\":1,\"kind\":\"weftmatch client\",\"name\":\"Zo\303\253\",\"note\":\"\",\"since\":\"2025-05-01\","
         "\"visits\":[{\"date\":\"2025-05-14\",\"installed\":\"oat\",\"why\":\"\",\"note\":\"a note\","
         "\"report\":\"eyJmb3JtYXQiOjEsICJtYWRlIjp7ImF0IjoieCJ9fQ==\",\"photo\":\"\",\"gray_map\":\"\",\"zones\":\"\","
         "\"after\":\"\"}]"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "null",
                                   "true",
                                   "[]",
                                   "{}",
                                   "-1",
                                   "1e308",
                                   "9007199254740993",
                                   "\"\"",
                                   "\"\\u001b[2J\"",
                                   "\"\\u202e\"",
                                   "\"0000-00-00\"",
                                   "\"currency\":\"JPY\"",
                                   "\"format\":1",
                                   "\"changes\":",
                                   "\"visits\":",
                                   VISIT,
                                   "eyJmb3JtYXQiOjJ9",
                                   "====",
                                   "\\n",
                                   ",",
                                   "]",
                                   "}",
                                   "\xff",
                                   NULL };

static wm_book *the_book;

static void end(void)
{
    wm_book_close(the_book);
}

static wm_book *start(void)
{
    wm_error err = { 0 };
    wm_book *book = NULL;
    int64_t id = 0;
    if (wm_book_open(&book, fuzz_file("salon.book"), WM_BOOK_CREATE, &err) ||
        wm_book_client_add(&id, book, "Bea Falk", "", "2025-01-01", &err))
        fuzz_check(0, err.text);
    atexit(end);
    return book;
}

/* The input, closed by its digest as client export does. */
static void seal(wm_buf *out, const uint8_t *data, size_t size)
{
    char hex[65];
    wm_buf_bytes(out, data, size);
    wm_sha256_hex(hex, out->data ? out->data : "", out->size);
    wm_buf_format(out, ",\n\"sha256\":\"%s\"}\n", hex);
}

static size_t clients_in(wm_book *book)
{
    wm_client *clients = NULL;
    size_t count = 0;
    wm_error err = { 0 };
    if (wm_book_client_list(&clients, &count, book, &err))
        fuzz_check(0, err.text);
    free(clients);
    return count;
}

/* Out of the book as a file, and that into the book once more; the import is a change of its own. */
static void out_and_in(wm_book *book, const wm_client *client)
{
    wm_buf once = { 0 }, twice = { 0 };
    wm_client again;
    wm_error err = { 0 };
    if (wm_client_file_write(&once, book, client, &err) || wm_book_client_forget(book, client->id, &err) ||
        wm_client_file_read(&again, book, once.data, once.size, "again", &err) ||
        wm_client_file_write(&twice, book, &again, &err) || wm_book_client_forget(book, again.id, &err))
        fuzz_check(0, err.text);
    fuzz_check(again.visits == client->visits, "as many visits");
    const char *changes = strstr(once.data, "\n\"changes\":[");
    fuzz_check(changes && strncmp(once.data, twice.data, (size_t)(changes - once.data)) == 0,
               "a client comes out as she went in");
    wm_buf_free(&once);
    wm_buf_free(&twice);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wm_buf file = { 0 };
    wm_client client = { 0 };
    wm_error err = { 0 };
    the_book = the_book ? the_book : start();
    seal(&file, data, size);
    char *copy = fuzz_exact(file.data, file.size);
    wm_status status = wm_client_file_read(&client, the_book, copy, file.size, "anna.json", &err);
    free(copy);
    wm_buf_free(&file);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_BOOK, WM_E_USAGE);
        fuzz_check(clients_in(the_book) == 1, "a refusal leaves the book as it was");
    } else {
        fuzz_check(clients_in(the_book) == 2, "she is in the book");
        out_and_in(the_book, &client);
    }
    return 0;
}
