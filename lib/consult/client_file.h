/* client_file: a client with all visits and pictures as one JSON file, to carry from one book to another. Reports are
 * kept as bytes. Its end is a digest of all before it: a changed byte anywhere is found. */
#ifndef WM_CONSULT_CLIENT_FILE_H
#define WM_CONSULT_CLIENT_FILE_H

#include "book/book.h"
#include "core/buf.h"

wm_status wm_client_file_write(wm_buf *out, wm_book *book, const wm_client *client, wm_error *err);

/** Adds the client of such a file, all or nothing; book NULL: only sees whether the file could be taken. WM_E_BOOK:
 * damaged, newer, the client is there already, or she was charged in another currency than the book's. */
wm_status wm_client_file_read(wm_client *out, wm_book *book, const char *json, size_t size, const char *file,
                              wm_error *err);

#endif
