#include "book/schema.h"

/* Columns of the tables whose changes are kept, once as they are named and once for the trigger's old row and for what
 * an upsert takes. */
#define CLIENT_COLUMNS "id, name, folded, sought, note, since"
#define CLIENT_OLD "old.id, old.name, old.folded, old.sought, old.note, old.since"
#define CLIENT_TAKEN                                                                                                   \
    "name = excluded.name, folded = excluded.folded, sought = excluded.sought, note = excluded.note, since = "         \
    "excluded.since"

#define VISIT_COLUMNS "id, client_id, date, photo_sha256, installed, why, note, charged_minor, kind, deposit_minor"
#define VISIT_OLD                                                                                                      \
    "old.id, old.client_id, old.date, old.photo_sha256, old.installed, old.why, old.note, old.charged_minor, "         \
    "old.kind, old.deposit_minor"
#define VISIT_TAKEN                                                                                                    \
    "client_id = excluded.client_id, date = excluded.date, photo_sha256 = excluded.photo_sha256, installed = "         \
    "excluded.installed, why = excluded.why, note = excluded.note, charged_minor = excluded.charged_minor, kind = "    \
    "excluded.kind, deposit_minor = excluded.deposit_minor"

#define ATTACHMENT_COLUMNS "visit_id, kind, bytes"
#define ATTACHMENT_OLD "old.visit_id, old.kind, old.bytes"

#define SETTING_COLUMNS "key, value"
#define SETTING_OLD "old.key, old.value"

#define COMING_COLUMNS "client_id, date"
#define COMING_OLD "old.client_id, old.date"

#define SEWN_COLUMNS "visit_id, code, lot, length_cm, width_cm, worn"
#define SEWN_OLD "old.visit_id, old.code, old.lot, old.length_cm, old.width_cm, old.worn"
#define SEWN_TAKEN                                                                                                     \
    "lot = excluded.lot, length_cm = excluded.length_cm, width_cm = excluded.width_cm, worn = excluded.worn"

#define CUT_COLUMNS "id, code, lot, length_cm, width_cm, date, from_visit, used_by"
#define CUT_OLD "old.id, old.code, old.lot, old.length_cm, old.width_cm, old.date, old.from_visit, old.used_by"
#define CUT_TAKEN                                                                                                      \
    "code = excluded.code, lot = excluded.lot, length_cm = excluded.length_cm, width_cm = excluded.width_cm, date = "  \
    "excluded.date, from_visit = excluded.from_visit, used_by = excluded.used_by"

#define MOVE_COLUMNS "id, date, code, length_cm, lot, packs, counted, visit_id"
#define MOVE_OLD "old.id, old.date, old.code, old.length_cm, old.lot, old.packs, old.counted, old.visit_id"
#define MOVE_TAKEN                                                                                                     \
    "date = excluded.date, code = excluded.code, length_cm = excluded.length_cm, lot = excluded.lot, packs = "         \
    "excluded.packs, counted = excluded.counted, visit_id = excluded.visit_id"

#define LOT_COLUMNS "code, lot, l, a, b, u, measured, source"
#define LOT_OLD "old.code, old.lot, old.l, old.a, old.b, old.u, old.measured, old.source"
#define LOT_TAKEN                                                                                                      \
    "l = excluded.l, a = excluded.a, b = excluded.b, u = excluded.u, measured = excluded.measured, source = "          \
    "excluded.source"

#define THIS_CHANGE "(SELECT max(id) FROM change)"

/* The twin of a table and the triggers that fill it; `key` its key, `new_key` and `old_key` the same of a new and an
 * old row, `same` when a twin's row is of the old row. Only the first image of a change counts. */
#define KEPT(table, columns, old_columns, key, new_key, same_new, same_old, definitions)                               \
    "CREATE TABLE " table "_was (change_id INTEGER NOT NULL REFERENCES change (id) ON DELETE CASCADE, "                \
    "existed INTEGER NOT NULL, " definitions ", PRIMARY KEY (change_id, " key ")) STRICT;"                             \
    "CREATE TRIGGER " table "_made AFTER INSERT ON " table " WHEN NOT EXISTS (SELECT 1 FROM " table                    \
    "_was WHERE change_id = " THIS_CHANGE " AND " same_new ") BEGIN "                                                  \
    "INSERT INTO " table "_was (change_id, existed, " key ") VALUES (" THIS_CHANGE ", 0, " new_key "); END;"           \
    "CREATE TRIGGER " table "_set BEFORE UPDATE ON " table " WHEN NOT EXISTS (SELECT 1 FROM " table                    \
    "_was WHERE change_id = " THIS_CHANGE " AND " same_old ") BEGIN "                                                  \
    "INSERT INTO " table "_was (change_id, existed, " columns ") VALUES (" THIS_CHANGE ", 1, " old_columns "); END;"   \
    "CREATE TRIGGER " table "_gone BEFORE DELETE ON " table " WHEN NOT EXISTS (SELECT 1 FROM " table                   \
    "_was WHERE change_id = " THIS_CHANGE " AND " same_old ") BEGIN "                                                  \
    "INSERT INTO " table "_was (change_id, existed, " columns ") VALUES (" THIS_CHANGE ", 1, " old_columns "); END;"

#define A_DAY "'[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'"
/* What each step does, in pieces that end with NULL. */
static const char *const STEP_1[] = {
    /* clients, visits with their report and pictures, settings */
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
    NULL,
};

static const char *const STEP_2[] = {
    /* what belongs to a visit lies beside it, its report too */
    "CREATE TEMP TABLE old_client AS SELECT * FROM client;"
    "CREATE TEMP TABLE old_visit AS SELECT id, client_id, date, CASE WHEN json_valid(CAST(report AS TEXT)) THEN "
    "  coalesce(json_extract(CAST(report AS TEXT), '$.photo.sha256'), '') ELSE '' END AS photo_sha256,"
    "  installed, why, note, charged_minor FROM visit;"
    "CREATE TABLE attachment ("
    "  visit_id INTEGER NOT NULL REFERENCES visit (id) ON DELETE CASCADE,"
    "  kind TEXT NOT NULL CHECK (kind IN"
    "    ('report', 'photo', 'gray_map', 'zones', 'after', 'after_zones', 'after_report')),"
    "  bytes BLOB NOT NULL,"
    "  PRIMARY KEY (visit_id, kind)) STRICT;"
    "INSERT INTO attachment SELECT visit_id, kind, bytes FROM picture;"
    "INSERT INTO attachment SELECT id, 'report', report FROM visit;"
    "DROP TABLE picture; DROP TABLE visit; DROP TABLE client;",
    "CREATE TABLE client ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 127),"
    "  folded TEXT NOT NULL UNIQUE," /* name without case, for uniqueness */
    "  sought TEXT NOT NULL,"        /* without marks too, for look-up */
    "  note TEXT NOT NULL DEFAULT '',"
    "  since TEXT NOT NULL CHECK (since GLOB " A_DAY ")) STRICT;"
    "CREATE INDEX client_sought ON client (sought);"
    "CREATE TABLE visit ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  client_id INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,"
    "  date TEXT NOT NULL CHECK (date GLOB " A_DAY "),"
    "  photo_sha256 TEXT NOT NULL DEFAULT ''," /* of the photo as it came */
    "  installed TEXT NOT NULL DEFAULT '',"
    "  why TEXT NOT NULL DEFAULT '',"
    "  note TEXT NOT NULL DEFAULT ''," /* a line a note, each with its day */
    "  charged_minor INTEGER,"
    "  kind TEXT NOT NULL DEFAULT '' CHECK (kind IN ('', 'consultation', 'installation', 'move-up', 'removal')),"
    "  deposit_minor INTEGER) STRICT;"
    "CREATE INDEX visit_of_client ON visit (client_id, date, id);"
    "CREATE INDEX visit_of_photo ON visit (photo_sha256);"
    "INSERT INTO client SELECT id, name, folded, sought(name), note, since FROM temp.old_client;"
    "INSERT INTO visit SELECT id, client_id, date, photo_sha256, installed, why,"
    "  CASE note WHEN '' THEN '' ELSE date || '  ' || note || char(10) END, charged_minor,"
    "  CASE installed WHEN '' THEN '' ELSE 'installation' END, NULL FROM temp.old_visit;"
    "DROP TABLE temp.old_client; DROP TABLE temp.old_visit;",
    /* every change is kept with what takes it back */
    "CREATE TABLE change ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  date TEXT NOT NULL,"                                           /* '' where nobody said the day */
    "  verb TEXT NOT NULL,"                                           /* 'visit move'; 'undo', 'redo' */
    "  told TEXT NOT NULL,"                                           /* one line for people */
    "  client_id INTEGER, other_client_id INTEGER, visit_id INTEGER," /* no references: they may be gone */
    "  takes_back INTEGER,"                                           /* undo: the change; redo: the undo */
    /* told: came with an imported file, nothing is kept of it */
    "  state TEXT NOT NULL DEFAULT 'done' CHECK (state IN ('done', 'undone', 'told'))) STRICT;"
    "CREATE INDEX change_of_client ON change (client_id);",
    KEPT("client", CLIENT_COLUMNS, CLIENT_OLD, "id", "new.id", "id = new.id", "id = old.id",
         "id INTEGER NOT NULL, name TEXT, folded TEXT, sought TEXT, note TEXT, since TEXT"),
    KEPT("visit", VISIT_COLUMNS, VISIT_OLD, "id", "new.id", "id = new.id", "id = old.id",
         "id INTEGER NOT NULL, client_id INTEGER, date TEXT, photo_sha256 TEXT, installed TEXT, why TEXT, note TEXT, "
         "charged_minor INTEGER, kind TEXT, deposit_minor INTEGER"),
    KEPT("attachment", ATTACHMENT_COLUMNS, ATTACHMENT_OLD, "visit_id, kind", "new.visit_id, new.kind",
         "visit_id = new.visit_id AND kind = new.kind", "visit_id = old.visit_id AND kind = old.kind",
         "visit_id INTEGER NOT NULL, kind TEXT NOT NULL, bytes BLOB"),
    KEPT("setting", SETTING_COLUMNS, SETTING_OLD, "key", "new.key", "key = new.key", "key = old.key",
         "key TEXT NOT NULL, value TEXT"),
    NULL,
};

static const char *const STEP_3[] = {
    /* the day that is agreed with her */
    "CREATE TABLE coming ("
    "  client_id INTEGER PRIMARY KEY REFERENCES client (id) ON DELETE CASCADE,"
    "  date TEXT NOT NULL CHECK (date GLOB " A_DAY ")) STRICT;",
    KEPT("coming", COMING_COLUMNS, COMING_OLD, "client_id", "new.client_id", "client_id = new.client_id",
         "client_id = old.client_id", "client_id INTEGER NOT NULL, date TEXT"),
    /* what was sewn on at a visit, a row a shade; NULL: not known */
    "CREATE TABLE sewn ("
    "  visit_id INTEGER NOT NULL REFERENCES visit (id) ON DELETE CASCADE,"
    "  code TEXT NOT NULL,"
    "  lot TEXT NOT NULL DEFAULT '',"
    "  length_cm REAL, width_cm REAL,"
    "  worn INTEGER NOT NULL," /* visits at which it had been sewn on before; 0: new */
    "  PRIMARY KEY (visit_id, code)) STRICT;",
    KEPT("sewn", SEWN_COLUMNS, SEWN_OLD, "visit_id, code", "new.visit_id, new.code",
         "visit_id = new.visit_id AND code = new.code", "visit_id = old.visit_id AND code = old.code",
         "visit_id INTEGER NOT NULL, code TEXT NOT NULL, lot TEXT, length_cm REAL, width_cm REAL, worn INTEGER"),
    /* pieces that are left of a pack and lie ready */
    "CREATE TABLE cut_length ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  code TEXT NOT NULL,"
    "  lot TEXT NOT NULL DEFAULT '',"
    "  length_cm REAL, width_cm REAL NOT NULL,"
    "  date TEXT NOT NULL,"
    "  from_visit INTEGER REFERENCES visit (id) ON DELETE CASCADE,"
    "  used_by INTEGER REFERENCES visit (id) ON DELETE SET NULL) STRICT;"
    "CREATE INDEX cut_length_from ON cut_length (from_visit); CREATE INDEX cut_length_by ON cut_length (used_by);",
    KEPT("cut_length", CUT_COLUMNS, CUT_OLD, "id", "new.id", "id = new.id", "id = old.id",
         "id INTEGER NOT NULL, code TEXT, lot TEXT, length_cm REAL, width_cm REAL, date TEXT, from_visit INTEGER, "
         "used_by INTEGER"),
    /* packs that came or were opened since the catalogue's count, which stands beside each */
    "CREATE TABLE stock_move ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  date TEXT NOT NULL,"
    "  code TEXT NOT NULL,"
    "  length_cm REAL,"
    "  lot TEXT NOT NULL DEFAULT '',"
    "  packs REAL NOT NULL,"
    "  counted REAL,"
    "  visit_id INTEGER REFERENCES visit (id) ON DELETE CASCADE) STRICT;"
    "CREATE INDEX stock_move_of ON stock_move (visit_id);",
    KEPT("stock_move", MOVE_COLUMNS, MOVE_OLD, "id", "new.id", "id = new.id", "id = old.id",
         "id INTEGER NOT NULL, date TEXT, code TEXT, length_cm REAL, lot TEXT, packs REAL, counted REAL, visit_id "
         "INTEGER"),
    /* the colour of each delivery of a shade */
    "CREATE TABLE lot ("
    "  code TEXT NOT NULL,"
    "  lot TEXT NOT NULL,"
    "  l REAL NOT NULL, a REAL NOT NULL, b REAL NOT NULL, u REAL NOT NULL,"
    "  measured TEXT NOT NULL,"
    "  source TEXT NOT NULL,"
    "  PRIMARY KEY (code, lot)) STRICT;",
    KEPT("lot", LOT_COLUMNS, LOT_OLD, "code, lot", "new.code, new.lot", "code = new.code AND lot = new.lot",
         "code = old.code AND lot = old.lot",
         "code TEXT NOT NULL, lot TEXT NOT NULL, l REAL, a REAL, b REAL, u REAL, measured TEXT, source TEXT"),
    NULL,
};

static const char *const STEP_4[] = {
    /* a small copy of a visit's newest picture, made when a page shows it first and gone when the picture changes; it
     * follows from the picture, so that no change of it is kept */
    "CREATE TABLE thumbnail ("
    "  visit_id INTEGER PRIMARY KEY REFERENCES visit (id) ON DELETE CASCADE,"
    "  bytes BLOB NOT NULL) STRICT;"
    "CREATE TRIGGER thumbnail_of_made AFTER INSERT ON attachment WHEN new.kind IN ('photo', 'after') BEGIN "
    "DELETE FROM thumbnail WHERE visit_id = new.visit_id; END;"
    "CREATE TRIGGER thumbnail_of_set AFTER UPDATE ON attachment WHEN new.kind IN ('photo', 'after') BEGIN "
    "DELETE FROM thumbnail WHERE visit_id = new.visit_id; END;"
    "CREATE TRIGGER thumbnail_of_gone AFTER DELETE ON attachment WHEN old.kind IN ('photo', 'after') BEGIN "
    "DELETE FROM thumbnail WHERE visit_id = old.visit_id; END;",
    NULL,
};

static const char *const *const STEPS[WM_BOOK_SCHEMA_VERSION] = { STEP_1, STEP_2, STEP_3, STEP_4 };

const char *wm_schema__step(int from, size_t piece)
{
    return from >= 0 && from < WM_BOOK_SCHEMA_VERSION ? STEPS[from][piece] : NULL;
}

const char *wm_schema__sha256(int version)
{
    static const char *const DIGESTS[WM_BOOK_SCHEMA_VERSION + 1] = {
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855", /* of nothing */
        "888a947d065e25a3382a80ecfb6f364d8ddad09749d244f9b06e7b05a85feaf4",
        "6e61cfb622a9957adcc7b60d005498d6e7d1a09e9379ebcd0985cb98fe345099",
        "76b15403c184d2030a9c89065c59c34e10a4c34479156b94ca1b05b183951c3d",
        "6fbee850b521700f83e6a0f9757c691ca32f3072aa98638db16cdecc67a24efd",
    };
    return DIGESTS[version];
}

#define TAKE_OUT(table, key)                                                                                           \
    "DELETE FROM " table " WHERE (" key ") IN (SELECT " key " FROM " table "_was WHERE change_id = ?1 AND existed = 0)"
#define PUT_BACK(table, columns, key, taken)                                                                           \
    "INSERT INTO " table " (" columns ") SELECT " columns " FROM " table                                               \
    "_was WHERE change_id = ?1 AND existed = 1 ON CONFLICT (" key ") DO UPDATE SET " taken

const wm_kept_table *wm_schema__kept(size_t i)
{
    static const wm_kept_table TABLES[] = {
        { "client", TAKE_OUT("client", "id"), PUT_BACK("client", CLIENT_COLUMNS, "id", CLIENT_TAKEN) },
        { "visit", TAKE_OUT("visit", "id"), PUT_BACK("visit", VISIT_COLUMNS, "id", VISIT_TAKEN) },
        { "attachment", TAKE_OUT("attachment", "visit_id, kind"),
          PUT_BACK("attachment", ATTACHMENT_COLUMNS, "visit_id, kind", "bytes = excluded.bytes") },
        { "setting", TAKE_OUT("setting", "key"),
          PUT_BACK("setting", SETTING_COLUMNS, "key", "value = excluded.value") },
        { "coming", TAKE_OUT("coming", "client_id"),
          PUT_BACK("coming", COMING_COLUMNS, "client_id", "date = excluded.date") },
        { "sewn", TAKE_OUT("sewn", "visit_id, code"), PUT_BACK("sewn", SEWN_COLUMNS, "visit_id, code", SEWN_TAKEN) },
        { "cut_length", TAKE_OUT("cut_length", "id"), PUT_BACK("cut_length", CUT_COLUMNS, "id", CUT_TAKEN) },
        { "stock_move", TAKE_OUT("stock_move", "id"), PUT_BACK("stock_move", MOVE_COLUMNS, "id", MOVE_TAKEN) },
        { "lot", TAKE_OUT("lot", "code, lot"), PUT_BACK("lot", LOT_COLUMNS, "code, lot", LOT_TAKEN) },
    };
    return i < sizeof TABLES / sizeof TABLES[0] ? &TABLES[i] : NULL;
}
