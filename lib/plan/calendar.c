#include "plan/calendar.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { FIRST_YEAR = 1, LAST_YEAR = 9999, FOLD_OCTETS = 75, SECONDS_A_DAY = 86400 };
#define DAYS_TO_1970 INT64_C(719162) /* 0001-01-01 to 1970-01-01 */
#define MONTH_DAYS 30.4375           /* M19 */
/* cm a month: common practice, no source */
#define GROWTH_LOW 1.0   /* M19 */
#define GROWTH_HIGH 1.25 /* M19 */

static bool leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static int month_length(int year, int month)
{
    static const int lengths[12] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    return lengths[month - 1] + (month == 2 && leap(year) ? 1 : 0);
}

bool wm_date_valid(wm_date date)
{
    return date.year >= FIRST_YEAR && date.year <= LAST_YEAR && date.month >= 1 && date.month <= 12 && date.day >= 1 &&
           date.day <= month_length(date.year, date.month);
}

static bool digits(int *out, const char *text, int count)
{
    *out = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        *out = *out * 10 + (text[i] - '0');
    }
    return true;
}

bool wm_date_parse(wm_date *out, const char *text)
{
    wm_date date;
    if (!text || strlen(text) != 10 || text[4] != '-' || text[7] != '-' || !digits(&date.year, text, 4) ||
        !digits(&date.month, text + 5, 2) || !digits(&date.day, text + 8, 2) || !wm_date_valid(date))
        return false;
    *out = date;
    return true;
}

const char *wm_date_text(char out[WM_DATE_SIZE], wm_date date)
{
    out[0] = '\0';
    if (wm_date_valid(date)) /* the remainders only tell the compiler that it fits */
        snprintf(out, WM_DATE_SIZE, "%04u-%02u-%02u", (unsigned)date.year % 10000, (unsigned)date.month % 100,
                 (unsigned)date.day % 100);
    return out;
}

/* Days from 0001-01-01 to 1 January of year (proleptic Gregorian). */
static int64_t days_before_year(int year)
{
    int64_t full = year - 1;
    return full * 365 + full / 4 - full / 100 + full / 400;
}

int64_t wm_date_to_days(wm_date date)
{
    int64_t days = days_before_year(date.year) + date.day - 1 - DAYS_TO_1970;
    for (int month = 1; month < date.month; month++)
        days += month_length(date.year, month);
    return days;
}

bool wm_date_from_days(wm_date *out, int64_t days)
{
    if (days < -DAYS_TO_1970 || days >= days_before_year(LAST_YEAR + 1) - DAYS_TO_1970)
        return false;
    int64_t left = days + DAYS_TO_1970;
    int year = (int)(left / 366) + 1; /* never too late */
    while (days_before_year(year + 1) <= left)
        year++;
    left -= days_before_year(year);
    int month = 1;
    while (left >= month_length(year, month))
        left -= month_length(year, month++);
    *out = (wm_date){ year, month, (int)left + 1 };
    return true;
}

static int64_t day_of(int64_t seconds)
{
    return seconds / SECONDS_A_DAY - (seconds % SECONDS_A_DAY < 0 ? 1 : 0);
}

wm_date wm_date_of_epoch(int64_t seconds)
{
    wm_date date = { 0, 0, 0 };
    wm_date_from_days(&date, day_of(seconds));
    return date;
}

void wm_growth_cm(double out[2], double days)
{
    out[0] = GROWTH_LOW * days / MONTH_DAYS;
    out[1] = GROWTH_HIGH * days / MONTH_DAYS;
}

static bool date_after(wm_date *out, wm_date start, int64_t days)
{
    return wm_date_from_days(out, wm_date_to_days(start) + days);
}

static wm_status fail_date(wm_error *err)
{
    return wm_fail(err, WM_E_USAGE, "the dates of the plan leave the years 1 to 9999; check --date");
}

wm_status wm_moveups_of(wm_moveups *out, wm_date start, int weeks, wm_error *err)
{
    wm_moveups plan = { 0 };
    if (weeks < 1 || weeks > 52)
        return wm_fail(err, WM_E_USAGE, "moveup_weeks is %d; it has to be a whole number from 1 to 52", weeks);
    if (!wm_date_valid(start))
        return fail_date(err);
    plan.days = weeks * 7;
    for (int i = 0; i < WM_MOVEUPS; i++)
        if (!date_after(&plan.dates[i], start, (int64_t)plan.days * (i + 1)))
            return fail_date(err);
    wm_growth_cm(plan.growth_cm, plan.days);
    *out = plan;
    return WM_OK;
}

wm_status wm_growout_of(wm_growout *out, const double line_and_cover_cm[2], wm_date start, int days_to_moveup,
                        wm_error *err)
{
    double line = line_and_cover_cm[0], cover = line_and_cover_cm[1], growth[2];
    wm_growout result = { .known = true, .line_cm = line, .cover_cm = cover < 0.0 ? -1.0 : cover };
    if (!(line >= 0.0 && line <= 200.0) || isnan(cover) || cover > 200.0)
        return wm_fail(err, WM_E_USAGE,
                       "the line of the old colour or the way down to the row is not between 0 and 200 cm; measure it "
                       "again");
    if (!wm_date_valid(start))
        return fail_date(err);
    wm_growth_cm(growth, days_to_moveup);
    result.at_moveup_cm[0] = line + growth[0];
    result.at_moveup_cm[1] = line + growth[1];
    if (cover >= 0.0) {
        result.past = line >= cover;
        double way = cover - line;
        if (!result.past && (!date_after(&result.passes[0], start, (int64_t)floor(way / GROWTH_HIGH * MONTH_DAYS)) ||
                             !date_after(&result.passes[1], start, (int64_t)ceil(way / GROWTH_LOW * MONTH_DAYS))))
            return fail_date(err);
    }
    *out = result;
    return WM_OK;
}

static bool continues(char byte)
{
    return ((unsigned char)byte & 0xC0) == 0x80;
}

/* RFC 5545, 3.1: no line longer than 75 octets without its CRLF; a further line starts with a space, which counts. */
static void put_line(wm_buf *out, const char *line)
{
    size_t size = strlen(line), room = FOLD_OCTETS;
    while (size > room) {
        size_t cut = room;
        while (continues(line[cut]))
            cut--;
        wm_buf_bytes(out, line, cut);
        wm_buf_text(out, "\r\n ");
        line += cut;
        size -= cut;
        room = FOLD_OCTETS - 1;
    }
    wm_buf_bytes(out, line, size);
    wm_buf_text(out, "\r\n");
}

/* RFC 5545, 3.3.11 TEXT: backslash, semicolon and comma escaped, a line feed as \n; control bytes that it forbids are
 * dropped. */
static void put_escaped(wm_buf *line, const char *text)
{
    for (; *text; text++) {
        unsigned char byte = (unsigned char)*text;
        if (byte == '\n')
            wm_buf_text(line, "\\n");
        else if (byte == '\\' || byte == ';' || byte == ',')
            wm_buf_bytes(line, (const char[2]){ '\\', (char)byte }, 2);
        else if (byte == '\t' || (byte >= 0x20 && byte != 0x7F))
            wm_buf_bytes(line, text, 1);
    }
}

static void put_text(wm_buf *out, const char *name, const char *text)
{
    wm_buf line = { 0 };
    wm_buf_text(&line, name);
    put_escaped(&line, text);
    if (line.failed)
        out->failed = true;
    else
        put_line(out, line.data);
    wm_buf_free(&line);
}

static void put_date(wm_buf *out, wm_date date)
{
    wm_buf_format(out, "%04d%02d%02d", date.year, date.month, date.day);
}

static void put_stamp(wm_buf *out, int64_t stamp)
{
    int64_t rest = stamp - day_of(stamp) * SECONDS_A_DAY;
    wm_buf_text(out, "DTSTAMP:");
    put_date(out, wm_date_of_epoch(stamp));
    wm_buf_format(out, "T%02d%02d%02dZ\r\n", (int)(rest / 3600), (int)(rest / 60 % 60), (int)(rest % 60));
}

static wm_status check_info(const wm_calendar_info *info, wm_error *err)
{
    const char *hash = info->report_hash ? info->report_hash : "",
               *description = info->description ? info->description : "";
    if (strlen(hash) < 16 || strspn(hash, "0123456789abcdef") != strlen(hash))
        return wm_fail(err, WM_E_USAGE, "'%s' is not the hash of a report; a calendar needs one for its events' names",
                       hash);
    if (!wm_date_valid(wm_date_of_epoch(info->stamp)))
        return fail_date(err);
    if (!info->summary || !wm_utf8_valid(info->summary, strlen(info->summary)) ||
        !wm_utf8_valid(description, strlen(description)))
        return wm_fail(err, WM_E_USAGE, "the text for the calendar is not UTF-8; correct the client's name");
    return WM_OK;
}

void wm_calendar_begin(wm_buf *out)
{
    wm_buf_format(out, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//weftmatch//weftmatch %s//EN\r\n", wm_version());
}

void wm_calendar_end(wm_buf *out)
{
    wm_buf_text(out, "END:VCALENDAR\r\n");
}

static wm_status check_event(const wm_event *event, wm_error *err)
{
    const char *description = event->description ? event->description : "";
    if (!event->uid || !*event->uid || strpbrk(event->uid, " \r\n"))
        return wm_fail(err, WM_E_USAGE, "a calendar's entry needs a name of its own");
    if (!wm_date_valid(event->date) || !wm_date_valid(wm_date_of_epoch(event->stamp)))
        return fail_date(err);
    if (!event->summary || !wm_utf8_valid(event->summary, strlen(event->summary)) ||
        !wm_utf8_valid(description, strlen(description)))
        return wm_fail(err, WM_E_USAGE, "the text for the calendar is not UTF-8; correct the client's name");
    return WM_OK;
}

/* RFC 5545, 3.6.6: shown so many days before the day begins. */
static void put_alarm(wm_buf *out, const wm_event *event)
{
    wm_buf_format(out, "BEGIN:VALARM\r\nACTION:DISPLAY\r\nTRIGGER:-P%dD\r\n", event->remind_days);
    put_text(out, "DESCRIPTION:", event->summary);
    wm_buf_text(out, "END:VALARM\r\n");
}

wm_status wm_calendar_event(wm_buf *out, const wm_event *event, wm_error *err)
{
    enum { MINUTE = 60 };
    wm_status status = check_event(event, err);
    if (status)
        return status;
    wm_buf_format(out, "BEGIN:VEVENT\r\nUID:%s\r\nSEQUENCE:%lld\r\n", event->uid,
                  event->stamp > 0 ? (long long)(event->stamp / MINUTE) : 0);
    put_stamp(out, event->stamp);
    wm_buf_text(out, "DTSTART;VALUE=DATE:");
    put_date(out, event->date);
    wm_buf_text(out, "\r\n");
    put_text(out, "SUMMARY:", event->summary);
    if (event->description && *event->description)
        put_text(out, "DESCRIPTION:", event->description);
    if (event->remind_days > 0)
        put_alarm(out, event);
    wm_buf_text(out, "END:VEVENT\r\n");
    return WM_OK;
}

wm_status wm_calendar_write(wm_buf *out, const wm_moveups *moveups, const wm_calendar_info *info, wm_error *err)
{
    wm_status status = check_info(info, err);
    if (status)
        return status;
    wm_calendar_begin(out);
    for (int i = 0; i < WM_MOVEUPS && !status; i++) {
        char uid[WM_UID_SIZE];
        const wm_event event = { wm_moveup_uid(uid, info->report_hash, i + 1),
                                 moveups->dates[i],
                                 info->stamp,
                                 info->summary,
                                 info->description,
                                 WM_REMIND_DAYS };
        status = wm_calendar_event(out, &event, err);
    }
    wm_calendar_end(out);
    return status ? status : wm_buf_status(out, err);
}

const char *wm_moveup_uid(char out[WM_UID_SIZE], const char *hash, int which)
{
    snprintf(out, WM_UID_SIZE, "%.32s-moveup-%d@weftmatch", hash, which);
    return out;
}
