/* csv: reading RFC 4180 row by row, with line and column of every cell, and writing cells. Lines may end in CR LF, LF
 * or CR, a byte order mark is skipped, rows without any text are skipped, spaces around a cell are dropped unless they
 * are quoted. Text must be UTF-8. */
#ifndef WM_MATCH_CSV_H
#define WM_MATCH_CSV_H

#include "core/buf.h"
#include "core/status.h"

enum { WM_CSV_CELLS = 200, WM_CSV_CELL_BYTES = 4096 }; /**< limits of a row and of a cell */

typedef struct wm_csv_cell {
    const char *text;  /**< without its quotes; lives as long as the reader */
    long line, column; /**< 1-based, in characters, of its first character */
} wm_csv_cell;

/** The reader. cells and count are the row that wm_csv_next read. */
typedef struct wm_csv {
    const char *file;
    char *data, *at; /**< a copy, cut up in place */
    long line, column;
    char separator; /**< a comma; a semicolon where the first line has semicolons and no comma, or says "sep=;" */
    wm_csv_cell cells[WM_CSV_CELLS];
    size_t count;
} wm_csv;

/** Copies data; `file` is lent for messages. WM_E_INPUT when it is not UTF-8. Free with wm_csv_close, also after a
 * failure. */
wm_status wm_csv_open(wm_csv *csv, const char *data, size_t size, const char *file, wm_error *err);
void wm_csv_close(wm_csv *csv);

/** Reads the next row that is not empty; count 0 at the end. WM_E_INPUT with line and column for a quote out of place.
 */
wm_status wm_csv_next(wm_csv *csv, wm_error *err);

/** text as a cell, quoted where it must be. */
void wm_csv_write(wm_buf *out, const char *text);

#endif
