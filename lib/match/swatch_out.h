/* swatch_out: changing a catalogue and writing it as CSV (RFC 4180) or CGATS.17 (ISO 28178). What we write, we read
 * back the same. */
#ifndef WM_MATCH_SWATCH_OUT_H
#define WM_MATCH_SWATCH_OUT_H

#include "match/swatch.h"

/** Adds a row behind the others (`swatch add`). A code that is there already is WM_E_INPUT; with replace its rows take
 * over the new colour, u, gray share, date and source and keep what the stylist wrote about packs. */
wm_status wm_catalogue_put(wm_catalogue *catalogue, const wm_swatch *swatch, bool replace, wm_error *err);

/** Writes the columns that hold anything, then the columns that we do not know. Lengths are in cm. */
void wm_catalogue_write_csv(wm_buf *out, const wm_catalogue *catalogue);
/** lossy false: WM_E_INPUT when the catalogue holds what CGATS.17 can't carry (names it); true: one row a code, colours
 * and names only. */
wm_status wm_catalogue_write_cgats(wm_buf *out, const wm_catalogue *catalogue, bool lossy, wm_error *err);
/** The format by the ending of path. WM_E_USAGE for an ending that is neither. */
wm_status wm_catalogue_write(wm_buf *out, const wm_catalogue *catalogue, const char *path, bool lossy, wm_error *err);

#endif
