/* markup: writes HTML and SVG from templates whose holes are always escaped, so that nothing from outside becomes
 * markup. Elements are closed as in XML, so that the page is well-formed either way. */
#ifndef WM_REPORT_MARKUP_H
#define WM_REPORT_MARKUP_H

#include "colour/colour.h"
#include "core/buf.h"

/** Holes: %s text (const char *, escaped, for content and quoted attributes), %d int, %z size_t, %0 to %4 double with
 * so many decimals, %c wm_lab as "#rrggbb", %% a per cent sign. Anything else fails the buffer. */
void wm_markup(wm_buf *out, const char *template, ...);

#endif
