/* old_book FILE: a book as version 1 left it, with one client and her visit. Invented. */
#include <sqlite3.h>
#include <stdio.h>

#include "book/schema.h"

int main(int argc, char **argv)
{
    sqlite3 *db = NULL;
    char numbers[128];
    int good = argc == 2 && sqlite3_open(argv[1], &db) == SQLITE_OK;
    for (size_t i = 0; good && wm_schema__step(0, i); i++)
        good = sqlite3_exec(db, wm_schema__step(0, i), NULL, NULL, NULL) == SQLITE_OK;
    snprintf(numbers, sizeof numbers, "PRAGMA application_id = %d; PRAGMA user_version = 1; PRAGMA journal_mode = WAL",
             WM_BOOK_APPLICATION_ID);
    good = good && sqlite3_exec(db, numbers, NULL, NULL, NULL) == SQLITE_OK &&
           sqlite3_exec(db,
                        "INSERT INTO client (name, folded, since) VALUES ('Anna Berg', 'anna berg', '2025-05-01');"
                        "INSERT INTO visit (client_id, date, report, installed, note) VALUES "
                        "(1, '2025-05-14', x'7b22666f726d6174223a317d', 'oat,ash', 'loves it')",
                        NULL, NULL, NULL) == SQLITE_OK;
    sqlite3_close(db);
    return good ? 0 : 1;
}
