/* context: what every verb needs before its own work: the day, the settings, the book, the catalogue, zones and wishes.
 */
#ifndef CLI_CONTEXT_H
#define CLI_CONTEXT_H

#include "book/book.h"
#include "consult/consult.h"
#include "consult/reserved.h"
#include "option.h"

enum { PATH_SIZE = 1024, STAMP_SIZE = 32 };

/** The day (--date, else $SOURCE_DATE_EPOCH, else today) and the RFC 3339 instant of the report. */
typedef struct clock_reading {
    wm_date date;
    char day[WM_DATE_SIZE];
    char made_at[STAMP_SIZE];
    int64_t seconds;
} clock_reading;
wm_status context_clock(clock_reading *out, const args *a, wm_error *err);
/** The same whatever --date says. */
wm_status context_today(clock_reading *out, wm_error *err);

wm_status context_book_path(char out[PATH_SIZE], const args *a, wm_error *err);
wm_status context_open_book(wm_book **out, const args *a, wm_book_mode mode, wm_error *err);

/** The book and the client named by the first operand. The book is the caller's, after a failure too. */
wm_status context_open_client(wm_book **book, wm_client *client, const args *a, wm_book_mode mode, wm_error *err);

/** The number of something in the book: `of` what, `see` the verb that lists them. */
wm_status context_number(int64_t *out, const char *text, const char *of, const char *see, wm_error *err);

/** The settings of the book if there is one, else the defaults. */
wm_status context_settings(wm_settings *out, const args *a, wm_error *err);

/** Path of the catalogue: --swatches, else $WEFTMATCH_SWATCHES, else swatches.csv beside the book. */
wm_status context_swatches_path(char out[PATH_SIZE], const args *a, wm_error *err);
wm_status context_catalogue(wm_catalogue *out, const args *a, wm_error *err);
/** What is free for a client (0: for nobody in particular) as its stock, where there is a book; not to be written after
 * that. Free `reserved` with wm_reserved_free. reserved NULL: all that is on hand, whosoever's, without the look at
 * what every client needs. */
wm_status context_count_free(wm_reserved *reserved, wm_catalogue *catalogue, const args *a, int64_t client_id,
                             wm_error *err);

/** The book, its settings and the catalogue, for a verb that reads them all. Zero-initialise; close it after a failure
 * too. */
typedef struct context_shop {
    wm_book *book;
    wm_settings settings;
    wm_catalogue catalogue;
} context_shop;
wm_status context_shop_open(context_shop *out, const args *a, wm_error *err);
void context_shop_close(context_shop *shop);

/** --zone, --card and --zones number `n` (all of them: n < 0); says what was odd in them. WM_E_INPUT when there are
 * none. */
wm_status context_zones(wm_zones *out, const args *a, long n, wm_error *err);
/** The zones file beside one photo of many: client.zones.json beside client.jpg. */
wm_status context_zones_beside(wm_zones *out, const args *a, const char *photo, wm_error *err);
bool zones_need_catalogue(const wm_zones *zones);

wm_status context_wishes(wm_wishes *out, const args *a, const wm_settings *settings, wm_error *err);
wm_status context_lab(wm_lab *out, const char *option, const char *text, wm_error *err);
/** --jobs, else the processors there are. */
wm_status context_jobs(int *out, const args *a, wm_error *err);
wm_status context_lines(int *out, const args *a, wm_error *err);

/** Day, settings and threads of a consultation, into `in`; settings and clock are the caller's and outlive it. */
wm_status context_consult(wm_consult_input *in, const args *a, wm_settings *settings, clock_reading *clock,
                          wm_error *err);

/** Writes out to the file (client data: mode 0600) or, path NULL, to stdout. Returns the exit status, 0 when written.
 */
int context_write(const args *a, const char *path, const wm_buf *out, bool private_data);

#endif
