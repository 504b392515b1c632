/* db: SQLite in a few words. A query remembers the first thing that went wrong, so that it is asked once, at its end.
 */
#ifndef WM_BOOK_DB_H
#define WM_BOOK_DB_H

#include <stdint.h>

#include "book/book.h"

struct sqlite3;
struct sqlite3_stmt;

enum { WM_LOG_TEXT_SIZE = 400 };

struct wm_book {
    struct sqlite3 *sqlite;
    char *path;
    wm_warnings warnings; /* what opening it had to mend */
    char day[12];         /* of the changes that are logged */
    int depth;            /* of changes within one another */
    char told[WM_LOG_TEXT_SIZE];
    long ticks;       /* left for the query that runs */
    bool out_of_room; /* something failed because the disk is full */
};

/** How a database is opened. */
typedef enum wm_db_access {
    WM_DB_LOOK,   /**< no lock, no log, no journal */
    WM_DB_WRITE,  /**< waits for others */
    WM_DB_MEMORY, /**< nothing on the disk */
} wm_db_access;
wm_status wm_db__open(wm_book *book, wm_db_access access, wm_error *err);
void wm_db__close(wm_book *book);
/** True when the last thing failed because the file, seen without its journal, made no sense. */
bool wm_db__looks_damaged(const wm_book *book);

/** The line for what SQLite said last, with what to do. */
wm_status wm_db__fail(wm_error *err, wm_book *book);
/** Statements without parameters or rows. */
wm_status wm_db__run(wm_book *book, const char *sql, wm_error *err);
/** From now on changes go to a log (WAL), so that others can read meanwhile. */
wm_status wm_db__use_log(wm_book *book, wm_error *err);
/** The number in the first column of the first row. */
wm_status wm_db__number(int64_t *out, wm_book *book, const char *sql, wm_error *err);
int64_t wm_db__last_id(const wm_book *book);
int64_t wm_db__changed(const wm_book *book); /**< rows, by the last statement */
/** All pages into an empty file, no log beside it; `named`: what the file is for a person, who gave that name. */
wm_status wm_db__copy(wm_book *book, const char *path, const char *named, wm_error *err);

typedef struct wm_query {
    wm_book *book;
    struct sqlite3_stmt *statement;
    int code; /* of the first thing that failed, SQLITE_OK before */
} wm_query;

wm_query wm_query__of(wm_book *book, const char *sql);
void wm_query__int(wm_query *q, int parameter, int64_t value);
void wm_query__text(wm_query *q, int parameter, const char *value); /**< NULL is NULL; value lives to the end */
void wm_query__bytes(wm_query *q, int parameter, const wm_bytes *value);
void wm_query__number(wm_query *q, int parameter, double value); /**< negative: unknown, NULL */
void wm_query__real(wm_query *q, int parameter, double value);   /**< as it is */
bool wm_query__row(wm_query *q);                                 /**< the next row is there */
bool wm_query__is_null(const wm_query *q, int column);
int64_t wm_query__get_int(const wm_query *q, int column);
double wm_query__get_number(const wm_query *q, int column); /**< NULL: -1 */
double wm_query__get_real(const wm_query *q, int column);   /**< as it is */
const char *wm_query__peek(const wm_query *q, int column);  /**< until the next row; never NULL */
void wm_query__get_text(char *out, size_t size, const wm_query *q, int column);
void wm_query__get_bytes(wm_bytes *out, wm_query *q, int column);
/** WM_OK, or what went wrong first. The query is over. */
wm_status wm_query__end(wm_query *q, wm_error *err);
/** Runs what gives no rows, and ends it. */
wm_status wm_query__finish(wm_query *q, wm_error *err);

/** An item that is made of a row. */
typedef struct wm_row_kind {
    size_t size;
    void (*read)(void *out, const wm_query *q);
} wm_row_kind;
/** Every row as an item, and ends the query. Free *items with free(). */
wm_status wm_query__all(void **items, size_t *count, wm_query *q, wm_row_kind kind, wm_error *err);

#endif
