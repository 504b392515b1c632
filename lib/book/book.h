/* book: clients, visits, reports, settings in one SQLite file that only its owner may read.
 * Application id, schema version (one step a version, in `schema`), foreign keys, WAL, synchronous FULL, mode 0600,
 * transactions. Newer and foreign files, and books whose tables are not as our steps make them, are refused and never
 * touched. Commands that only read open read-only; a typo creates nothing. Every change is kept with what takes it
 * back (`log`): nothing is gone for good but by wm_book_client_forget. */
#ifndef WM_BOOK_BOOK_H
#define WM_BOOK_BOOK_H

#include <stdint.h>

#include "core/file.h"
#include "core/status.h"
#include "match/stack.h"
#include "weftmatch/book.h"

const char *wm_book_engine(void); /**< SQLite's version */
/** Whether a book lies there, by its head; nothing is changed, and no other program's lock is asked. */
bool wm_book_lies_at(const char *path);
/** What opening it had to mend, each a line to be said; NULL book: none. */
const wm_warnings *wm_book_notes(const wm_book *book);
/** The day (YYYY-MM-DD) of the changes to come, for the log; without it they have none. */
void wm_book_set_day(wm_book *book, const char *day);

/* --- changes --- */

/** What is changed between these two is one change, taken back at once; for changes about the same client. They may
 * stand within each other. The second commits, or, given a failure, rolls all back and returns it. */
wm_status wm_book_begin(wm_book *book, wm_error *err);
wm_status wm_book_end(wm_book *book, wm_status status, wm_error *err);

/** One change of the book. */
typedef struct wm_change {
    int64_t id;
    char date[12];               /**< "" where nobody said the day */
    char verb[24];               /**< "visit move" */
    char told[400];              /**< one line for people */
    int64_t client_id, visit_id; /**< 0: none */
    bool undone;
} wm_change;
/** Oldest first; client_id 0: of all. free() the array. */
wm_status wm_book_changes(wm_change **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err);
/** What wm_book_undo, wm_book_redo would do; WM_E_BOOK when there is nothing. */
wm_status wm_book_next_undo(wm_change *out, wm_book *book, wm_error *err);
wm_status wm_book_next_redo(wm_change *out, wm_book *book, wm_error *err);
/** Takes back the last change that stands; again: the one before. */
wm_status wm_book_undo(wm_change *out, wm_book *book, wm_error *err);
/** Takes back the last undo, as long as nothing else has been changed since. */
wm_status wm_book_redo(wm_change *out, wm_book *book, wm_error *err);

/* --- settings: text values, checked by the caller (consult's settings table) --- */

wm_status wm_book_setting_get(char **out, wm_book *book, const char *key,
                              wm_error *err); /**< *out NULL when unset; caller frees */
wm_status wm_book_setting_set(wm_book *book, const char *key, const char *value,
                              wm_error *err); /**< value NULL: unset */

/* --- clients --- */

typedef struct wm_client {
    int64_t id;
    char name[128];
    char note[512];
    char since[12]; /**< YYYY-MM-DD: her file was begun, or her first visit if that was before */
    long visits;
} wm_client;

/** WM_E_USAGE when a client can't be called so; asked before a book is made for her. */
wm_status wm_book_client_check(const char *name, const char *note, wm_error *err);
/** By id ("7"), else by name, else by unique beginning; case and marks of letters don't count ("zoe muller" and "zoe
 * mueller" find Zoë Müller). Who was renamed is found by her old name too. Ambiguous or unknown is WM_E_BOOK with near
 * misses named. Who was renamed is found by her old name. */
wm_status wm_book_client_find(wm_client *out, wm_book *book, const char *name_or_id, wm_error *err);
/** By her number. */
wm_status wm_book_client_load(wm_client *out, wm_book *book, int64_t id, wm_error *err);
/** All clients by name, each since the day on which her file was begun; free() the array. */
wm_status wm_book_client_list(wm_client **out, size_t *count, wm_book *book, wm_error *err);
/** Another name; her reports keep the name of their day. */
wm_status wm_book_client_rename(wm_book *book, int64_t id, const char *name, wm_error *err);
wm_status wm_book_client_note(wm_book *book, int64_t id, const char *note, wm_error *err); /**< "": none */
/** All visits of `from` become `into`'s, her note is added to the other's, the earlier day since which she is a client
 * stays, and `from` is no more. */
wm_status wm_book_client_merge(wm_book *book, int64_t from, int64_t into, wm_error *err);
/** The day that is agreed for her next visit; "": none. */
wm_status wm_book_client_set_coming(wm_book *book, int64_t id, const char *day, wm_error *err);
/** Removes the client with all visits, pictures, changes and whatever was merged into her, and overwrites what she left
 * in the book and its log. WM_E_BOOK: no such client, or another program has the book open and so keeps the log. */
wm_status wm_book_client_forget(wm_book *book, int64_t id, wm_error *err);

/* --- visits --- */

typedef enum wm_visit_kind {
    WM_VISIT_UNSAID,
    WM_VISIT_CONSULTATION,
    WM_VISIT_INSTALLATION,
    WM_VISIT_MOVEUP,
    WM_VISIT_REMOVAL
} wm_visit_kind;
const char *wm_visit_kind_name(wm_visit_kind kind); /**< "", "consultation", "installation", "move-up", .. */
bool wm_visit_kind_parse(const char *text, wm_visit_kind *out); /**< false and untouched when it is none */

enum { WM_LOT_SIZE = 40, WM_SEWN_SHADES = 2 * WM_MAX_LAYERS };

/** One shade as it was sewn on at a visit. */
typedef struct wm_sewn {
    char code[WM_CODE_SIZE];
    char lot[WM_LOT_SIZE];      /**< "" not known */
    double length_cm, width_cm; /**< of the weft, and over all rows; negative: not known */
    int worn;                   /**< visits at which it had been sewn on before; 0: new */
} wm_sewn;

/** One saved visit. Bytes are owned (wm_visit_free). On saving, id is ignored. */
typedef struct wm_visit {
    int64_t id, client_id;
    char date[12];         /**< YYYY-MM-DD */
    char photo_sha256[65]; /**< of the photo as it came; "" unknown */
    wm_visit_kind kind;
    wm_bytes report_json; /**< the bytes as they were */
    wm_bytes photo_jpeg, gray_map_png, zones_json;
    bool has_photo, has_after; /**< pictures that lie in the book, loaded or not */
    wm_bytes after_jpeg, after_zones_json,
        after_report_json;        /**< photo after and what was measured on it, empty if none */
    wm_stack installed;           /**< no layers: not known */
    wm_sewn sewn[WM_SEWN_SHADES]; /**< of these, a shade each; 0: not told */
    size_t sewn_count;
    char why[512];
    char note[4096]; /**< a line a note, each with its day before it: "2026-03-31  loves it\n" */
    bool has_charged, has_deposit;
    int64_t charged_minor, deposit_minor; /**< in the salon's currency */
} wm_visit;

/** A client with all visits and the lines of her changes, all or nothing; ids are ignored. The same name is WM_E_BOOK.
 */
typedef struct wm_client_record {
    wm_client client;
    wm_visit *visits;
    size_t visit_count;
    wm_change *changes; /**< date, verb and told count */
    size_t change_count;
} wm_client_record;
wm_status wm_book_client_put(int64_t *id, wm_book *book, const wm_client_record *record, wm_error *err);

wm_status wm_book_visit_save(int64_t *id, wm_book *book, const wm_visit *visit, wm_error *err);
wm_status wm_book_visit_load(wm_visit *out, wm_book *book, int64_t id, wm_error *err);
/** What lies beside a visit. */
enum { WM_VISIT_REPORTS = 1 /**< and of the photo after */, WM_VISIT_PICTURES = 2 /**< photo before and after */ };
/** Without what is not asked for, whose bytes stay empty; not to be saved again. `parts` 0: what was noted alone. */
wm_status wm_book_visit_load_parts(wm_visit *out, wm_book *book, int64_t id, unsigned parts, wm_error *err);
/** All but the client and the report becomes as given; empty bytes: that picture is gone. */
wm_status wm_book_visit_update(wm_book *book, const wm_visit *visit, wm_error *err);
/** Measured anew: report, photo, gray map and zones become `by`'s; what was noted, sewn on and photographed after
 * stays. */
wm_status wm_book_visit_measured(wm_book *book, int64_t id, const wm_visit *by, wm_error *err);
/** Adds a line to visit->note; WM_E_USAGE when it is no note or there is no room. */
wm_status wm_visit_add_note(wm_visit *visit, const char *day, const char *note, wm_error *err);
/** To another client; `report` becomes its report, since that names her (NULL: it stays). */
wm_status wm_book_visit_move(wm_book *book, int64_t id, int64_t client_id, const wm_bytes *report, wm_error *err);
/** Away, and back again as it was. */
wm_status wm_book_visit_remove(wm_book *book, int64_t id, wm_error *err);
wm_status wm_book_visit_restore(wm_book *book, int64_t id, wm_error *err);
void wm_visit_free(wm_visit *visit);

/** Ids of a client's visits, oldest first (date, then id); client_id 0: of all clients. free() the array. */
wm_status wm_book_visit_ids(int64_t **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err);
/** The same of those at which a photo was measured. */
wm_status wm_book_visits_measured(int64_t **out, size_t *count, wm_book *book, int64_t client_id, wm_error *err);
/** Her latest of these; 0: none. */
wm_status wm_book_visit_last_measured(int64_t *id, wm_book *book, int64_t client_id, wm_error *err);
/** The visit whose report tells how the rows lie that hang after a visit: itself, else her last one before it at which
 * a photo was measured. 0: none. */
wm_status wm_book_visit_of_rows(int64_t *id, wm_book *book, int64_t visit_id, wm_error *err);
/** The latest of these of each client that has one, by the clients' names. free() the array. */
wm_status wm_book_visit_latest(int64_t **out, size_t *count, wm_book *book, wm_error *err);
/** Whether a shade was sewn on at any visit: it was sold once. */
wm_status wm_book_was_sewn(bool *out, wm_book *book, const char *code, wm_error *err);
/** The first visit that was saved from the same photo bytes; 0: none. */
wm_status wm_book_visit_of_photo(int64_t *id, wm_book *book, const char *photo_sha256, wm_error *err);

/** A client, her latest visit and what she wears. */
typedef struct wm_client_latest {
    wm_client client;
    int64_t visit_id; /**< 0: none yet */
    char date[12];
    wm_visit_kind kind;
    int64_t wears_id; /**< the visit of what is sewn on; 0: nothing is, or it was removed */
    char wears_date[12];
    wm_stack wears;
    char shades[WM_SEWN_SHADES][WM_CODE_SIZE]; /**< of its wefts, those of pieces too */
    size_t shade_count;                        /**< 0: not known */
    char coming[12];                           /**< the day agreed for her next visit; "" */
} wm_client_latest;
/** All clients by name, each since the day on which her file was begun, without opening a report. free() the array. */
wm_status wm_book_client_latest(wm_client_latest **out, size_t *count, wm_book *book, wm_error *err);
/** The same of one. */
wm_status wm_book_client_latest_of(wm_client_latest *out, wm_book *book, int64_t id, wm_error *err);
/** Her newest picture as it was kept, of after the work rather than before; empty: there is none. */
wm_status wm_book_client_picture(wm_bytes *out, wm_book *book, int64_t id, wm_error *err);

/** A small copy of a visit's picture. */
typedef struct wm_thumbnail {
    int64_t visit_id;
    wm_bytes jpeg; /**< owned; empty: none was kept */
} wm_thumbnail;
/** Of the visit with her newest picture; visit_id 0: there is none. */
wm_status wm_book_client_thumbnail(wm_thumbnail *out, wm_book *book, int64_t client_id, wm_error *err);
/** Keeps what was made of them until the pictures change. No change of the book: it can be made again. */
wm_status wm_book_keep_thumbnails(wm_book *book, const wm_thumbnail *items, size_t count, wm_error *err);

/* --- care --- */

/** `book check`: integrity and foreign keys; WM_OK and *findings empty when sound (one note a finding). */
wm_status wm_book_check(wm_book *book, wm_warnings *findings, wm_error *err);
/** `book backup`: written beside, verified, put in its place; mode 0600, never over an existing file. */
wm_status wm_book_backup(wm_book *book, const char *path, wm_error *err);
/** `book import`: such a copy, from another machine say, becomes the book at `path`; checked first, written beside,
 * verified, put in its place, never over a book. `from` is only read. WM_E_BOOK: it is not a book, newer, damaged, or
 * has changes that lie in a log beside it; WM_E_OUTPUT: there is a book already. */
wm_status wm_book_import(const char *path, const char *from, wm_error *err);

#endif
