/* figure: pictures of a report: SVG chips, strands, sections of layers, plots; the small JPEG and the gray map PNG.
 * The only user of stb_image_write. */
#ifndef WM_REPORT_FIGURE_H
#define WM_REPORT_FIGURE_H

#include "core/buf.h"
#include "photo/photo.h"
#include "report/report.h"

/** JPEG of a reduced picture (quality 85). */
WM_API wm_status wm_figure_jpeg(wm_bytes *out, const wm_picture *picture, wm_error *err);
/** RGBA PNG. */
WM_API wm_status wm_figure_png_rgba(wm_bytes *out, const unsigned char *rgba, int width, int height, wm_error *err);

/** Each draws one self-contained <svg> with a title for those who can't see it. */
WM_API void wm_figure_pair(wm_buf *out, wm_lab hair, wm_lab swatch, const char *title);          /**< chips that touch */
WM_API void wm_figure_section(wm_buf *out, const wm_report_proposal *proposal);                  /**< layers in section, down and up */
WM_API void wm_figure_strands(wm_buf *out, const wm_report_proposal *proposal, bool up);         /**< drawn strands as worn */
WM_API void wm_figure_difference(wm_buf *out, const wm_report_match *match);                     /**< lightness, chroma, hue bars */

#endif
