/* book: clients, visits, reports, settings in one SQLite file that only its owner may read; the only user of SQLite.
 * Application id, schema version (one step a version, in `schema`), foreign keys, WAL, synchronous FULL, mode 0600,
 * transactions. Newer and foreign files are refused and never touched. Commands that only read open read-only; a typo
 * creates nothing. */
#ifndef WM_BOOK_BOOK_H
#define WM_BOOK_BOOK_H

#include <stdint.h>

#include "core/file.h"
#include "core/status.h"
#include "match/stack.h"

typedef struct wm_book wm_book;
typedef enum wm_book_mode {
    WM_BOOK_READ,
    WM_BOOK_WRITE,
    WM_BOOK_CREATE
} wm_book_mode; /**< CREATE makes file and folder when missing */

/** WM_E_BOOK: missing or empty (READ, WRITE), not a book, newer, locked by another program for over five seconds,
 * read-only, damaged. */
WM_API wm_status wm_book_open(wm_book **out, const char *path, wm_book_mode mode, wm_error *err);
WM_API void wm_book_close(wm_book *book); /**< NULL is fine */
WM_API const char *wm_book_engine(void);  /**< SQLite's version */

/* Settings: text values, checked by the caller (consult's settings table). */
WM_API wm_status wm_book_setting_get(char **out, wm_book *book, const char *key,
                                     wm_error *err); /**< *out NULL when unset; caller frees */
WM_API wm_status wm_book_setting_set(wm_book *book, const char *key, const char *value,
                                     wm_error *err); /**< value NULL: unset */

typedef struct wm_client {
    int64_t id;
    char name[128];
    char note[512];
    char since[12]; /**< YYYY-MM-DD */
    long visits;
} wm_client;

/** WM_E_USAGE when a client can't be called so; asked before a book is made for her. */
WM_API wm_status wm_book_client_check(const char *name, const char *note, wm_error *err);
/** A new client; the same name (ignoring case and surrounding space) is WM_E_BOOK. */
WM_API wm_status wm_book_client_add(int64_t *id, wm_book *book, const char *name, const char *note, const char *date,
                                    wm_error *err);
/** By id ("7"), else by exact name, else by unique case-insensitive beginning; ambiguous or unknown is WM_E_BOOK with
 * near misses named. */
WM_API wm_status wm_book_client_find(wm_client *out, wm_book *book, const char *name_or_id, wm_error *err);
/** All clients by name; free() the array. */
WM_API wm_status wm_book_client_list(wm_client **out, size_t *count, wm_book *book, wm_error *err);
/** Removes the client with all visits and pictures, and overwrites what she left in the book and its log. WM_E_BOOK: no
 * such client, or another program has the book open and so keeps the log. */
WM_API wm_status wm_book_client_forget(wm_book *book, int64_t id, wm_error *err);

/** One saved visit. Bytes are owned (wm_visit_free). On saving, id is ignored. */
typedef struct wm_visit {
    int64_t id, client_id;
    char date[12];        /**< YYYY-MM-DD */
    wm_bytes report_json; /**< the bytes as they were */
    wm_bytes photo_jpeg, gray_map_png, zones_json;
    wm_bytes after_jpeg; /**< photo after, empty if none */
    wm_stack installed;  /**< no layers: not known; on updating, what is saved stays */
    char why[512], note[512];
    bool has_charged;
    int64_t charged_minor; /**< in the salon's currency */
} wm_visit;

/** A client with all visits, all or nothing; ids of client and visits are ignored. The same name is WM_E_BOOK. */
WM_API wm_status wm_book_client_put(int64_t *id, wm_book *book, const wm_client *client, const wm_visit *visits,
                                    size_t count, wm_error *err);
WM_API wm_status wm_book_visit_save(int64_t *id, wm_book *book, const wm_visit *visit, wm_error *err);
WM_API wm_status wm_book_visit_load(wm_visit *out, wm_book *book, int64_t id, wm_error *err);
WM_API wm_status wm_book_visit_update(wm_book *book, const wm_visit *visit,
                                      wm_error *err); /**< installed, why, note, after, charged */
WM_API void wm_visit_free(wm_visit *visit);

/** Ids of a client's visits, oldest first (date, then id); client_id 0: of all clients. free() the array. */
WM_API wm_status wm_book_visit_ids(int64_t **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err);

/** `book check`: integrity, foreign keys, privacy; WM_OK and *findings empty when sound (one note a finding). */
WM_API wm_status wm_book_check(wm_book *book, wm_notes *findings, wm_error *err);
/** `book backup`: a verified copy, mode 0600, never over an existing file. */
WM_API wm_status wm_book_backup(wm_book *book, const char *path, wm_error *err);

#endif
