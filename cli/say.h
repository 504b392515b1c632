/* say: everything that is printed. stdout has the result only; warnings, progress and hints go to stderr. */
#ifndef CLI_SAY_H
#define CLI_SAY_H

#include "consult/reserved.h"
#include "core/buf.h"
#include "core/status.h"
#include "option.h"
#include "report/text.h"

/** Prints `weftmatch: FILE:LINE:COLUMN: text` and returns the exit status of the error. */
int say_error(const wm_error *err);
/** Prints each note as `weftmatch: FILE: text`; file may be NULL. Also with --quiet: a warning changes what may be
 * believed. */
/** Warnings of a report: what is wrong and what to do; with --explain what it costs. */
void say_warnings(const args *a, const wm_warnings *warnings, const char *file);
void say_plain_warnings(const wm_warnings *warnings, const char *file);
/** Whose the packs are that a plan (NULL: none) or --in-stock would have taken. */
void say_reserved(const wm_reserved *reserved, const wm_plan *plan, bool in_stock);
/** A line on stderr, also with --quiet. */
void say_line(const char *format, ...) WM_PRINTF(1, 2);
/** A hint on stderr, unless --quiet. */
void say_hint(const args *a, const char *format, ...) WM_PRINTF(2, 3);

/** A question on stderr, without a line end. */
void say_ask(const char *format, ...) WM_PRINTF(1, 2);

/** Writes the result to stdout, checks and flushes it. Returns 0 or 6. Frees nothing. */
int say_result(const wm_buf *result);

/** Style of text for stdout: chips by --color, NO_COLOR, TERM and COLORTERM; UTF-8 by locale. */
wm_text_style say_style(const args *a);

/** Progress on stderr's terminal: one line rewritten, after the first second; wiped by say_progress_end. */
typedef struct say_progress {
    const char *what;
    double started_s, shown_s;
    bool on, drawn;
} say_progress;
say_progress say_progress_start(const args *a, const char *what);
void say_progress_step(say_progress *p, size_t done, size_t total);
void say_progress_end(say_progress *p);

#endif
