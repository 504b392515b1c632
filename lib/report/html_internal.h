/* html, inside: the page under way, and its parts. */
#ifndef WM_REPORT_HTML_INTERNAL_H
#define WM_REPORT_HTML_INTERNAL_H

#include "measure/zones.h"
#include "report/html.h"

typedef struct wm_page {
    wm_buf *out;
    const wm_html_input *in;
    const wm_report *report;
    wm_zones zones; /**< as marked; empty when the report comes without */
    wm_units units;
    wm_lab behind;        /**< what the row hangs over */
    bool picture_written; /**< its pixels are in the page, to be used again */
} wm_page;

/** Everything before the content of a page: head, title ("NAME, ABOUT"), style. script: the one that the page will hold
 * in <script>, NULL: none. */
void wm_html__begin(wm_buf *out, const char *name, const char *about, const char *script);
/** What was written since `from` in another language (NULL: English), in which these names stay. */
void wm_html__speak(wm_buf *out, size_t from, const wm_language *language, wm_names *names);
/** Those that a report holds: of its client and of shades. */
void wm_html__names(wm_names *out, const wm_report *report);
/** The end of a page that began at `from`, in the language that was asked for. */
wm_status wm_html__finish(wm_page *page, size_t from, wm_error *err);
/** A section: its title and a note in the margin, its content beside. Escapes both. */
void wm_html__open(wm_page *page, const char *id, const char *title, const char *note);
void wm_html__close(wm_page *page);
void wm_html__fact(wm_page *page, const char *name, const char *value); /**< a pair of a <dl class="facts"> */

/* html_client: what both papers share. */
void wm_html__held_up(wm_page *page);

/* html_match: what to sew and why, what else is near, what if. */
void wm_html__answer(wm_page *page);
void wm_html__rankings(wm_page *page);
void wm_html__scenarios(wm_page *page);
/* html_measure: the photo, its warnings, the hair in numbers, how the photo was read. */
bool wm_html__has_photo(const wm_page *page); /**< or anything to say of it */
void wm_html__photo(wm_page *page);
void wm_html__small_photo(wm_page *page); /**< beside the answer */
void wm_html__hair(wm_page *page);
void wm_html__reading(wm_page *page);
/* html_plan: the work list on a page of its own, visits. */
void wm_html__plan(wm_page *page);
void wm_html__visits(wm_page *page);
void wm_html__unpaired(wm_page *page, const wm_warnings *unpaired); /**< zones of one visit alone; nothing without */

#endif
