/* calendar: dates (proleptic Gregorian, years 1 to 9999), growth, move-ups, old colour growing out (M19), and iCalendar
 * (RFC 5545). The clock is always passed in. */
#ifndef WM_PLAN_CALENDAR_H
#define WM_PLAN_CALENDAR_H

#include <stdint.h>

#include "core/buf.h"
#include "core/status.h"

typedef struct wm_date {
    int year, month, day;
} wm_date; /**< year 0: none */

enum { WM_DATE_SIZE = 12, WM_MOVEUPS = 3 };

bool wm_date_valid(wm_date date);
bool wm_date_parse(wm_date *out, const char *text); /**< strictly YYYY-MM-DD; false and untouched otherwise */
const char *wm_date_text(char out[WM_DATE_SIZE], wm_date date); /**< "2024-02-29"; "" for none */
int64_t wm_date_to_days(wm_date date);                          /**< since 1970-01-01 */
bool wm_date_from_days(wm_date *out, int64_t days);             /**< false outside the years 1 to 9999 */
wm_date wm_date_of_epoch(int64_t seconds);                      /**< the UTC day; none outside the years */

/** Scalp hair grows 1.0 to 1.25 cm in a month of 30.4375 days (common practice, no source). out[0] low, out[1] high. */
void wm_growth_cm(double out[2], double days);

/** When the set row is moved up. */
typedef struct wm_moveups {
    wm_date dates[WM_MOVEUPS]; /**< the next ones, `days` apart */
    int days;
    double growth_cm[2]; /**< of the hair between two of them, low and high */
} wm_moveups;
/** weeks 1 to 52, else WM_E_USAGE; so is a date beyond the year 9999. */
wm_status wm_moveups_of(wm_moveups *out, wm_date start, int weeks, wm_error *err);

/** M19: the line between regrowth and old colour. It moves with the growth; the hair that hangs over the row shows it
 * there once it has gone down as far as the row lies below the parting. */
typedef struct wm_growout {
    bool known;
    double line_cm;         /**< from the scalp along the hair, on the day of the plan */
    double cover_cm;        /**< from the parting down to the row; negative: not known */
    double at_moveup_cm[2]; /**< where the line is at the first move-up */
    wm_date passes[2]; /**< first and last day on which it may pass the row; none where cover_cm is not known or it is
                          past */
    bool past;         /**< the line is below the row already */
} wm_growout;
wm_status wm_growout_of(wm_growout *out, const double line_and_cover_cm[2], wm_date start, int days_to_moveup,
                        wm_error *err);

/** A whole day in a calendar. */
typedef struct wm_event {
    const char *uid; /**< stays the same when the day or the words change, so that the entry is brought up to date */
    wm_date date;
    int64_t stamp;           /**< DTSTAMP, seconds since 1970 in UTC; SEQUENCE is its minutes, so that later is newer */
    const char *summary;     /**< any UTF-8 */
    const char *description; /**< any UTF-8, line feeds allowed; NULL or "": none */
    int remind_days;         /**< a reminder so many days before; 0: none */
} wm_event;
/** Its head, an event, its end; each appended. WM_E_USAGE for an impossible stamp, day or UID, or text that is not
 * UTF-8. */
void wm_calendar_begin(wm_buf *out);
wm_status wm_calendar_event(wm_buf *out, const wm_event *event, wm_error *err);
void wm_calendar_end(wm_buf *out);

enum { WM_REMIND_DAYS = 2 }; /**< before a visit; common practice, no source */

typedef struct wm_calendar_info {
    const char *report_hash; /**< hex digits of the photo's SHA-256; the UIDs are made from it */
    int64_t stamp;           /**< DTSTAMP, seconds since 1970 in UTC */
    const char *summary;     /**< "Move-up: Anna"; any UTF-8 */
    const char *description; /**< any UTF-8, line feeds allowed; NULL or "": none */
} wm_calendar_info;
enum { WM_UID_SIZE = 80 };
/** The UID of the move-up of that number (from 1) after the visit of a photo. */
const char *wm_moveup_uid(char out[WM_UID_SIZE], const char *hash, int which);

/** The move-ups as whole-day events. WM_E_USAGE for an impossible stamp, a hash that is not hex or text that is not
 * UTF-8. */
wm_status wm_calendar_write(wm_buf *out, const wm_moveups *moveups, const wm_calendar_info *info, wm_error *err);

#endif
