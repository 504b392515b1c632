#include "book/schema.h"

static const char *const STEPS[WM_BOOK_SCHEMA_VERSION] = {
    /* 1: clients, visits with their report and pictures, settings */
    "CREATE TABLE setting (key TEXT PRIMARY KEY NOT NULL, value TEXT NOT NULL) STRICT, WITHOUT ROWID;"
    "CREATE TABLE client ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 127),"
    "  folded TEXT NOT NULL UNIQUE," /* name without case, for look-up and uniqueness */
    "  note TEXT NOT NULL DEFAULT '',"
    "  since TEXT NOT NULL CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')) STRICT;"
    "CREATE TABLE visit ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  client_id INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,"
    "  date TEXT NOT NULL CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),"
    "  report BLOB NOT NULL,"
    "  installed TEXT NOT NULL DEFAULT '',"
    "  why TEXT NOT NULL DEFAULT '',"
    "  note TEXT NOT NULL DEFAULT '',"
    "  charged_minor INTEGER) STRICT;"
    "CREATE INDEX visit_of_client ON visit (client_id, date, id);"
    "CREATE TABLE picture ("
    "  visit_id INTEGER NOT NULL REFERENCES visit (id) ON DELETE CASCADE,"
    "  kind TEXT NOT NULL CHECK (kind IN ('photo', 'gray_map', 'zones', 'after')),"
    "  bytes BLOB NOT NULL,"
    "  PRIMARY KEY (visit_id, kind)) STRICT, WITHOUT ROWID;",
};

const char *wm_schema__step(int from)
{
    return from >= 0 && from < WM_BOOK_SCHEMA_VERSION ? STEPS[from] : 0;
}
