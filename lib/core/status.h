/* status: what every fallible function returns, where its details go, and the coded warnings that travel into a report.
 *
 * Rules for the whole library: 0 is good; outputs are untouched on failure; whoever detects a fault writes the message,
 * whoever passes it on adds nothing. A message is one line: what is wrong; what to do. The library never prints, exits
 * or aborts. */
#ifndef WM_CORE_STATUS_H
#define WM_CORE_STATUS_H

#include "weftmatch/status.h"

#define WM_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))

/** Fills err (NULL allowed) and returns code, so that a detector can write `return wm_fail(err, WM_E_INPUT, "...")`. */
wm_status wm_fail(wm_error *err, wm_status code, const char *format, ...) WM_PRINTF(3, 4);

/** The same with the place: file may be NULL; line and column 0 where unknown. Control bytes and
 *  invalid UTF-8 in file and text become '?'. */
wm_status wm_fail_at(wm_error *err, wm_status code, const char *file, long line, long column, const char *format, ...)
    WM_PRINTF(6, 7);

/** The one message for a failed allocation; returns WM_E_MEMORY. */
wm_status wm_fail_memory(wm_error *err);

/** A warning: a stable code for scripts, a sentence for people. */
typedef struct wm_warning {
    char code[40];  /**< lower_snake */
    char text[400]; /**< UTF-8, one line: what is wrong; what to do at the chair; what it costs */
} wm_warning;

/** A growing list of warnings. Zero-initialise; free with wm_warnings_free. Adding the same code and text twice keeps
 * one. */
typedef struct wm_warnings {
    wm_warning *items;
    size_t count;
    bool failed; /**< an allocation failed: checked once, by whoever owns the list */
} wm_warnings;

void wm_warnings_add(wm_warnings *warnings, const char *code, const char *format, ...) WM_PRINTF(3, 4);
void wm_warnings_free(wm_warnings *warnings); /**< NULL and empty are fine */

#endif
