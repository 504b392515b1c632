/* figure: pictures of a report: chips, drawn strands, sections of layers, the colours of the gray map.
 * (plot: the drawn numbers; raster: JPEG and PNG.)
 * Every drawing is one <svg> with a title for those who can't see it, needs no style sheet, takes the text colour
 * around it where it writes, and is the same bytes for the same report. */
#ifndef WM_REPORT_FIGURE_H
#define WM_REPORT_FIGURE_H

#include "core/buf.h"
#include "report/report.h"

/** The gray map: colour and pattern of a class at a place, so that no class is told by its hue alone; transparent
 * outside. */
void wm_figure_class(unsigned char rgba[4], wm_pixel_class class, int x, int y);
/** Its legend: "own colour", "gray", ... */
const char *wm_figure_class_words(wm_pixel_class class);
void wm_figure_class_chip(wm_buf *out, wm_pixel_class class);

void wm_figure_chip(wm_buf *out, wm_lab lab, const char *title);
void wm_figure_shade(wm_buf *out, wm_lab lab, const char *code); /**< a chip of that name, in any language */
void wm_figure_pair(wm_buf *out, wm_lab hair, wm_lab swatch,
                    const char *title); /**< chips that touch: hair left, swatch right */

/** A part of a row beside her own hair. */
typedef struct wm_figure_part {
    const wm_report_proposal *proposal;
    const wm_report_segment *segment; /**< of it */
    wm_lab behind;                    /**< her own hair that it hangs over */
    bool up;                          /**< seen with the hair up, else worn down */
} wm_figure_part;
/** Its layers cut across, outside on top, pieces as wide as their part of the length. */
void wm_figure_section(wm_buf *out, const wm_figure_part *part);
/** Strands of her hair, own colour and gray by their share, running into strands of the row. */
void wm_figure_strands(wm_buf *out, const wm_figure_part *part);

/** A row from above with its strips, true to length; row from 0. */
void wm_figure_row(wm_buf *out, const wm_report_proposal *proposal, size_t row, wm_units units);

#endif
