/* layout: lines of a terminal: cells, wrapped words, headings, chips. What comes from outside is cleaned on its way: no
 * control bytes, and plain ASCII where the terminal knows nothing else. */
#ifndef WM_REPORT_LAYOUT_H
#define WM_REPORT_LAYOUT_H

#include "report/text.h"

enum { WM_LAYOUT_CHIP = 4, WM_LAYOUT_TEXT = 2048 };

typedef struct wm_layout {
    wm_buf *out;
    const wm_text_style *style;
} wm_layout;

size_t wm_layout_columns(const wm_layout *to); /**< of the page: 48 to 80 */

/** Cut or padded to exactly `width` columns. */
void wm_layout_cell(wm_layout *to, const char *text, size_t width);
/** The same, but text that is too long gets a line of its own and the cell goes on below, from column `indent`. */
void wm_layout_whole(wm_layout *to, const char *text, size_t width, size_t indent);
void wm_layout_right(wm_layout *to, const char *text, size_t width);
void wm_layout_number(wm_layout *to, double value, size_t width); /**< one decimal, at the right */
/** "±1.2"; out has room for 52. */
const char *wm_layout_plus_minus(char out[52], double value);
void wm_layout_chip(wm_layout *to, wm_lab lab);
void wm_layout_line(wm_layout *to, const char *text);
/** Words wrapped between `indent` and the page's width; the cursor stands at `column`. Ends the line. */
void wm_layout_wrapped(wm_layout *to, const char *text, size_t indent, size_t column);
void wm_layout_heading(wm_layout *to, const char *title);
void wm_layout_labelled(wm_layout *to, const char *label,
                        const char *text); /**< label in 10 columns, text wrapped beside */

#endif
