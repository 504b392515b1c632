/* book: clients and their visits in one file that only its owner may read. */
#ifndef WEFTMATCH_BOOK_H
#define WEFTMATCH_BOOK_H

#include <stdint.h>

#include "weftmatch/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wm_book wm_book;
struct wm_consultation;

typedef enum wm_book_mode {
    WM_BOOK_READ,
    WM_BOOK_WRITE,
    WM_BOOK_CREATE /**< makes file and folder where they are missing */
} wm_book_mode;

/** A book of an older version is copied beside itself and brought up to date, in any mode. WM_E_BOOK: missing or empty
 * (READ, WRITE), not a book, newer, locked by another program for over five seconds, damaged, under two names (hard
 * links; READ reads it), or not to be written. Close with wm_book_close. */
WM_PUBLIC wm_status wm_book_open(wm_book **out, const char *path, wm_book_mode mode, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_book_close(wm_book *book);

/** A new client, since `date` (YYYY-MM-DD); note may be NULL. WM_E_USAGE: an impossible name, note or date. WM_E_BOOK:
 * the name is taken, whatever its case. */
WM_PUBLIC wm_status wm_book_client_add(int64_t *id, wm_book *book, const char *name, const char *note, const char *date,
                                       wm_error *err);
/** By number, exact name or beginning of a name. WM_E_BOOK: none, or several; they are named. */
WM_PUBLIC wm_status wm_book_client_id(int64_t *id, wm_book *book, const char *name, wm_error *err);

/** Saves a consultation as a visit of the day it was made, with its pictures; *visit, which may be NULL, is its number.
 * WM_E_BOOK. */
WM_PUBLIC wm_status wm_book_save(int64_t *visit, wm_book *book, int64_t client_id,
                                 const struct wm_consultation *consultation, wm_error *err);
/** A saved visit, as it was. WM_E_BOOK: there is none of that number, it is without a photo, or it is damaged. Close
 * with wm_consultation_close. */
WM_PUBLIC wm_status wm_book_load(struct wm_consultation **out, wm_book *book, int64_t visit, wm_error *err);
/** Her last visit that was saved from a photo; 0 when she has none. */
WM_PUBLIC wm_status wm_book_last_visit(int64_t *visit, wm_book *book, int64_t client_id, wm_error *err);

#ifdef __cplusplus
}
#endif

#endif
