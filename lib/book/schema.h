/* schema: the book's tables, one step a version, and how a change of them is kept. A step is never changed once
 * released: add the next one.
 *
 * Every table that people's changes reach has a twin <table>_was: the rows as they were before each change, written by
 * triggers so that no change can be made without them. `existed` 0: the row was made by that change. */
#ifndef WM_BOOK_SCHEMA_H
#define WM_BOOK_SCHEMA_H

#include <stddef.h>

enum {
    WM_BOOK_APPLICATION_ID = 0x77656674, /* "weft" */
    WM_BOOK_SCHEMA_VERSION = 4
};

/** SQL that leads from version `from` to `from + 1`, piece by piece; NULL after the last. */
const char *wm_schema__step(int from, size_t piece);

/** Of all that a book of that version consists of (type, name, table and SQL of each item, a line each, by type and
 * name), as hex digits. tests/unit/test_book says what it is after a step was added. */
const char *wm_schema__sha256(int version);

/** A table whose changes are kept: how a change `?1` of it is taken back. */
typedef struct wm_kept_table {
    const char *name;
    const char *take_out; /* the rows that the change made */
    const char *put_back; /* the rows that it changed or removed, as they were */
} wm_kept_table;
/** In the order in which rows are put back; NULL after the last. They are taken out in reverse. */
const wm_kept_table *wm_schema__kept(size_t i);

#endif
