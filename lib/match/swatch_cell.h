/* swatch_cell: the columns of a catalogue, and reading one cell of them with its ranges. */
#ifndef WM_MATCH_SWATCH_CELL_H
#define WM_MATCH_SWATCH_CELL_H

#include "match/swatch.h"

/** Columns in the order in which we write them; the `_in` ones are only read. */
typedef enum wm_swatch_column {
    WM_SWATCH_CODE,
    WM_SWATCH_NAME,
    WM_SWATCH_KIND,
    WM_SWATCH_L,
    WM_SWATCH_A,
    WM_SWATCH_B,
    WM_SWATCH_LENGTH_CM,
    WM_SWATCH_LENGTH_IN,
    WM_SWATCH_PIECES,
    WM_SWATCH_WIDTH_CM,
    WM_SWATCH_WIDTH_IN,
    WM_SWATCH_WEIGHT,
    WM_SWATCH_PRICE,
    WM_SWATCH_CUTTABLE,
    WM_SWATCH_STOCK,
    WM_SWATCH_U,
    WM_SWATCH_GRAY,
    WM_SWATCH_FRAME,
    WM_SWATCH_U_FRAME,
    WM_SWATCH_PHOTOS,
    WM_SWATCH_MEASURED,
    WM_SWATCH_SOURCE,
    WM_SWATCH_SUPPLIER,
    WM_SWATCH_COLUMNS
} wm_swatch_column;

/** Their names in a CSV. */
extern const char *const WM_SWATCH_NAMES[WM_SWATCH_COLUMNS];

/** code, L, a, b: without them a row is none. */
bool wm_swatch_column_required(wm_swatch_column column);

/** A cell under a known column, with its place; title is the column's name in this file. */
typedef struct wm_swatch_cell {
    wm_swatch_column column;
    const char *text, *file, *title;
    long line, at;
    bool decimal_comma; /**< of a file with semicolons between its columns: numbers may have either */
} wm_swatch_cell;

/** Reads a cell that is not empty into swatch. WM_E_INPUT with the place, what is wrong and what to do. */
wm_status wm_swatch_read_cell(wm_swatch *swatch, const wm_swatch_cell *cell, wm_error *err);

#endif
