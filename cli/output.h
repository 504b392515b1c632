/* output: a report's JSON bytes to what was asked for: text or JSON on stdout or -o, a page with --html, a calendar
 * with --ics. Text, page and calendar are made from the JSON alone, so that a saved report gives what it gave on the
 * day, but for what would have bettered it, once something was sewn on. */
#ifndef CLI_OUTPUT_H
#define CLI_OUTPUT_H

#include "history.h"
#include "option.h"
#include "report/report.h"

typedef struct output_input {
    const wm_bytes *json;
    wm_report *report;                  /**< read from json by output_open */
    const wm_report_pictures *pictures; /**< NULL: none */
    const history *past;                /**< NULL: none */
    int64_t stamp;                      /**< DTSTAMP of the calendar */
    bool settled;                       /**< something was sewn on since */
    bool inches;
    const char *currency; /**< of the book */
} output_input;

/** Refuses outputs that exist, and what could not be printed, before long work begins. */
wm_status output_check(const args *a, wm_error *err);
/** Reads the report from its bytes, for the next two: all of it for a page, as much as is printed for text. Free with
 * output_close. */
wm_status output_open(output_input *input, const args *a, wm_error *err);
void output_close(output_input *input);
/** Files first (--html, --ics, -o), so that a full disk is known before anything is saved. *exit_code: what
 * wm_report_exit says. */
wm_status output_files(const args *a, const output_input *input, int *exit_code, wm_error *err);
/** All of it, for verbs that save nothing between. Returns the exit status. */
int output_all(const args *a, output_input *input);
/** What the UIDs of a calendar are made from, and its DTSTAMP: the same photo gives the same entries, however the plan
 * was changed. */
typedef struct output_hashed {
    const char *photo_sha256; /**< NULL or "": of the bytes */
    const void *bytes;
    size_t size;
    int64_t stamp;
} output_hashed;
wm_status output_calendar(const args *a, const wm_plan *plan, const char *client, const output_hashed *hashed,
                          wm_error *err);
/** stdout, unless -o was given. Returns the exit status, 0 when written. */
int output_stdout(const args *a, const output_input *input);

/** A file of hers: readable by its owner only, over an existing one with --force alone. */
wm_status output_write_private(const args *a, const char *path, const wm_buf *out, wm_error *err);

#endif
