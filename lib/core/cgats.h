/* cgats: reading CGATS.17 tables (ISO 28178), strictly, with line and column of every fault. Writing is done by
 * `swatch`. reference/cgats/expected.csv says which files are accepted.
 *
 * A file begins with a line CGATS.17, has one table, one row a line, and both counts; # begins a comment outside
 * quotes; a quote inside a quoted text is written twice. Refused besides what breaks the standard: a field named twice,
 * a SAMPLE_ID used twice, text that is not UTF-8, a # or a quote in the middle of an unquoted word (it could mean two
 * things). Columns count characters. */
#ifndef WM_CORE_CGATS_H
#define WM_CORE_CGATS_H

#include "core/status.h"

typedef struct wm_cgats {
    size_t fields, rows;
    char **field_names; /**< [fields] */
    char **cells;       /**< [rows * fields], row-major, quotes removed, doubled quotes made single */
    long *row_lines;    /**< [rows] 1-based line of each row */
    long *cell_columns; /**< [rows * fields] 1-based column of each cell */
    char *text;         /**< owns the names and cells */
} wm_cgats;

/** Parses data. `file` is for messages only. Private keywords without a KEYWORD line give a note
 * (`undeclared_keyword`). Accepts a table without LAB fields; wm_cgats_field and the number accessor check what a
 * caller needs. WM_E_INPUT on failure. */
wm_status wm_cgats_parse(wm_cgats *out, const char *data, size_t size, const char *file, wm_warnings *warnings,
                         wm_error *err);
void wm_cgats_free(wm_cgats *table); /**< NULL and zero-initialised are fine */

/** Index of a field by name (exact), or -1. */
long wm_cgats_field(const wm_cgats *table, const char *name);

/** A cell as a finite number; WM_E_INPUT with line and column when it is not one. */
wm_status wm_cgats_number(const wm_cgats *table, size_t row, size_t field, const char *file, double *out,
                          wm_error *err);

#endif
