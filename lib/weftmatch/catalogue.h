/* catalogue: the shades of hair and beads that can be ordered, each with its measured colour. */
#ifndef WEFTMATCH_CATALOGUE_H
#define WEFTMATCH_CATALOGUE_H

#include "weftmatch/colour.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wm_catalogue wm_catalogue;

/** Reads a .csv or a .txt (CGATS.17). WM_E_INPUT with file, line and column: missing columns, duplicates, a code with
 * two colours, numbers out of range, no rows; WM_E_MEMORY. Close with wm_catalogue_close. */
WM_PUBLIC wm_status wm_catalogue_open(wm_catalogue **out, const char *path, wm_error *err);
/** NULL is fine. */
WM_PUBLIC void wm_catalogue_close(wm_catalogue *catalogue);

/** Rows, in the file's order: one for each length of a shade. */
WM_PUBLIC size_t wm_catalogue_count(const wm_catalogue *catalogue);
/** Code and name of row i. Lent; NULL beyond the last; the name is "" where none is given. */
WM_PUBLIC const char *wm_catalogue_code(const wm_catalogue *catalogue, size_t i);
WM_PUBLIC const char *wm_catalogue_name(const wm_catalogue *catalogue, size_t i);
/** Colour of row i. False, and *out untouched, beyond the last. */
WM_PUBLIC bool wm_catalogue_lab(const wm_catalogue *catalogue, size_t i, wm_lab *out);

#ifdef __cplusplus
}
#endif

#endif
