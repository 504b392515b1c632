/* calendar: dates, growth, move-ups, old colour growing out (M19), RFC 5545. tests/plan holds dates to Python's
 * datetime and the calendar to an independent parser. */
#include "plan/calendar.h"
#include "support/near.h"
#include "support/table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static wm_date date(const char *text)
{
    wm_date out = { 0 };
    assert_true(wm_date_parse(&out, text));
    return out;
}

static void is_date(wm_date got, const char *want)
{
    char out[WM_DATE_SIZE];
    assert_string_equal(wm_date_text(out, got), want);
}

static void dates_are_strict(void **state)
{
    (void)state;
    static const char *const bad[] = { "",           "2024-2-29",  "2023-02-29",  "1900-02-29",
                                       "2024-13-01", "2024-00-01", "2024-04-31",  "2024-04-00",
                                       "0000-01-01", "2024/04/01", "2024-04-01 ", " 2024-04-01",
                                       "24-04-01",   "2024-04-0x", "+024-04-01" };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        wm_date out = { 7, 7, 7 };
        assert_false(wm_date_parse(&out, bad[i]));
        assert_int_equal(out.year, 7);
    }
    assert_false(wm_date_parse(&(wm_date){ 0 }, NULL));
    is_date(date("2000-02-29"), "2000-02-29");
    is_date((wm_date){ 0, 0, 0 }, "");
}

static void days_count_over_leap_years_and_month_ends(void **state)
{
    (void)state;
    assert_int_equal(wm_date_to_days(date("1970-01-01")), 0);
    assert_int_equal(wm_date_to_days(date("2000-03-01")), 11017);
    assert_int_equal(wm_date_to_days(date("0001-01-01")), -719162);
    wm_date last = { 0 };
    assert_true(wm_date_from_days(&last, 2932896));
    is_date(last, "9999-12-31");
    assert_false(wm_date_from_days(&last, 2932897));
    assert_false(wm_date_from_days(&last, -719163));
    assert_false(wm_date_from_days(&last, INT64_MAX));
    assert_false(wm_date_from_days(&last, INT64_MIN));
    wm_date expected = date("0001-01-01"); /* every day of ten thousand years, there and back */
    for (int64_t day = -719162; day <= 2932896; day++) {
        wm_date got = { 0 };
        if (!wm_date_from_days(&got, day) || wm_date_to_days(got) != day || !wm_date_valid(got))
            fail_msg("day %ld", (long)day);
        if (day > -719162) {
            bool next_day = got.year == expected.year && got.month == expected.month && got.day == expected.day + 1;
            bool next_month =
                got.day == 1 && (got.month == expected.month + 1 || (got.month == 1 && got.year == expected.year + 1));
            if (!next_day && !next_month)
                fail_msg("day %ld doesn't follow the one before", (long)day);
        }
        expected = got;
    }
}

static void the_clock_gives_a_utc_day(void **state)
{
    (void)state;
    is_date(wm_date_of_epoch(0), "1970-01-01");
    is_date(wm_date_of_epoch(-1), "1969-12-31");
    is_date(wm_date_of_epoch(951868799), "2000-02-29");
    is_date(wm_date_of_epoch(951868800), "2000-03-01");
    is_date(wm_date_of_epoch(INT64_MAX), "");
    is_date(wm_date_of_epoch(INT64_MIN), "");
}

/* reference/hair_facts.csv: common practice, no source. */
static void growth_is_the_textbook_range(void **state)
{
    (void)state;
    double growth[2], month[2];
    table *facts = table_open("hair_facts.csv");
    wm_growth_cm(month, 30.4375);
    for (size_t i = 0; i < table_rows(facts); i++)
        if (strcmp(table_text(facts, i, "name"), "growth_per_month") == 0) {
            near("low", month[0], table_number(facts, i, "low"), 1e-12);
            near("high", month[1], table_number(facts, i, "high"), 1e-12);
        }
    table_free(facts);
    wm_growth_cm(growth, 42); /* M19: 1.38 to 1.72 */
    near("M19 low", growth[0], 42 / 30.4375, 1e-12);
    near("M19 low, printed", growth[0], 1.38, 0.005);
    near("M19 high, printed", growth[1], 1.72, 0.005);
}

static void moveups_follow_one_another(void **state)
{
    (void)state;
    wm_moveups plan;
    assert_int_equal(wm_moveups_of(&plan, date("2024-01-31"), 6, NULL), WM_OK); /* over a leap day */
    assert_int_equal(plan.days, 42);
    is_date(plan.dates[0], "2024-03-13");
    is_date(plan.dates[1], "2024-04-24");
    is_date(plan.dates[2], "2024-06-05");
    assert_int_equal(wm_moveups_of(&plan, date("2023-01-31"), 6, NULL), WM_OK);
    is_date(plan.dates[0], "2023-03-14");
    assert_int_equal(wm_moveups_of(&plan, date("2023-12-20"), 6, NULL), WM_OK); /* over the year's end */
    is_date(plan.dates[0], "2024-01-31");
    wm_error err = { 0 };
    assert_int_equal(wm_moveups_of(&plan, date("2024-01-31"), 0, &err), WM_E_USAGE);
    assert_int_equal(wm_moveups_of(&plan, date("2024-01-31"), 53, &err), WM_E_USAGE);
    assert_int_equal(wm_moveups_of(&plan, date("2024-01-31"), INT32_MAX, &err), WM_E_USAGE);
    assert_int_equal(wm_moveups_of(&plan, date("9999-12-01"), 6, &err), WM_E_USAGE);
    assert_int_equal(wm_moveups_of(&plan, (wm_date){ 0, 0, 0 }, 6, &err), WM_E_USAGE);
    is_date(plan.dates[0], "2024-01-31"); /* untouched */
}

static void m19_old_colour_passes_the_row(void **state)
{
    (void)state;
    wm_growout out;
    /* 5 cm to go: 5 / 1.25 x 30.4375 = 121.75 days at the earliest, 5 x 30.4375 = 152.19 at the latest; taken to whole
     * days outwards */
    assert_int_equal(wm_growout_of(&out, (const double[2]){ 3, 8 }, date("2024-01-01"), 42, NULL), WM_OK);
    assert_true(out.known && !out.past);
    is_date(out.passes[0], "2024-05-01"); /* + 121 */
    is_date(out.passes[1], "2024-06-02"); /* + 153 */
    near("at move-up, low", out.at_moveup_cm[0], 3 + 42 / 30.4375, 1e-12);
    near("at move-up, high", out.at_moveup_cm[1], 3 + 1.25 * 42 / 30.4375, 1e-12);
    assert_int_equal(wm_growout_of(&out, (const double[2]){ 9, 8 }, date("2024-01-01"), 42, NULL), WM_OK);
    assert_true(out.past);
    assert_int_equal(out.passes[0].year, 0);
    assert_int_equal(wm_growout_of(&out, (const double[2]){ 3, -1 }, date("2024-01-01"), 42, NULL), WM_OK);
    assert_true(!out.past && out.passes[0].year == 0);
    wm_error err = { 0 };
    assert_int_equal(wm_growout_of(&out, (const double[2]){ (double)NAN, 8 }, date("2024-01-01"), 42, &err),
                     WM_E_USAGE);
    assert_int_equal(wm_growout_of(&out, (const double[2]){ 3, (double)NAN }, date("2024-01-01"), 42, &err),
                     WM_E_USAGE);
    assert_int_equal(wm_growout_of(&out, (const double[2]){ 3, 1e9 }, date("2024-01-01"), 42, &err), WM_E_USAGE);
    assert_int_equal(wm_growout_of(&out, (const double[2]){ 0, 200 }, date("9990-01-01"), 42, &err), WM_E_USAGE);
}

static const char hash[] = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

static wm_moveups three(void)
{
    wm_moveups plan;
    assert_int_equal(wm_moveups_of(&plan, date("2024-01-31"), 6, NULL), WM_OK);
    return plan;
}

static void rfc5545_calendar_is_written_line_by_line(void **state)
{
    (void)state;
    wm_buf out = { 0 };
    wm_moveups plan = three();
    wm_calendar_info info = { hash, 1706702400, "Move-up: Ida", NULL };
    assert_int_equal(wm_calendar_write(&out, &plan, &info, NULL), WM_OK);
    assert_memory_equal(out.data, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//weftmatch//weftmatch ", 58);
    assert_non_null(strstr(
        out.data,
        "\r\nBEGIN:VEVENT\r\nUID:00112233445566778899aabbccddeeff-moveup-1@weftmatch\r\nSEQUENCE:28445040\r\nDTSTAMP:20240131T120000Z\r\n"
        "DTSTART;VALUE=DATE:20240313\r\nSUMMARY:Move-up: Ida\r\n"
        "BEGIN:VALARM\r\nACTION:DISPLAY\r\nTRIGGER:-P2D\r\nDESCRIPTION:Move-up: Ida\r\nEND:VALARM\r\nEND:VEVENT\r\n"));
    assert_non_null(strstr(out.data, "DTSTART;VALUE=DATE:20240605\r\n"));
    assert_string_equal(out.data + out.size - 15, "END:VCALENDAR\r\n");
    wm_buf_free(&out);
}

static void rfc5545_lines_fold_at_75_octets_and_never_inside_a_character(void **state)
{
    (void)state;
    static const char *const letters[] = { "x", "\xC3\xA9", "\xE2\x82\xAC", "\xF0\x9F\x92\x87" };
    wm_moveups plan = three();
    for (int length = 1; length < 200; length++)
        for (int kind = 0; kind < 4; kind++) {
            char name[900] = "", unfolded[12000] = "";
            for (int i = 0; i < length; i++)
                strcat(name, letters[kind]);
            wm_buf out = { 0 };
            wm_calendar_info info = { hash, 0, name, NULL };
            assert_int_equal(wm_calendar_write(&out, &plan, &info, NULL), WM_OK);
            size_t used = 0;
            for (char *line = out.data; *line;) {
                char *end = strstr(line, "\r\n");
                assert_non_null(end);
                assert_true(end - line <= 75);
                assert_true(((unsigned char)*line & 0xC0) != 0x80);
                assert_true(wm_utf8_valid(line, (size_t)(end - line)));
                if (*line == ' ')
                    used -= 1, line++; /* joins the line before: its line feed goes */
                memcpy(unfolded + used, line, (size_t)(end - line));
                used += (size_t)(end - line);
                unfolded[used++] = '\n';
                line = end + 2;
            }
            unfolded[used] = '\0';
            char want[1000] = "\nSUMMARY:";
            strcat(want, name);
            strcat(want, "\n");
            assert_non_null(strstr(unfolded, want));
            wm_buf_free(&out);
        }
}

static void rfc5545_text_is_escaped(void **state)
{
    (void)state;
    wm_buf out = { 0 };
    wm_moveups plan = three();
    wm_calendar_info info = { hash, 0, "a,b;c\\d:\"e\"\nEND:VEVENT\r\x01\x7F|", "x\ty" };
    assert_int_equal(wm_calendar_write(&out, &plan, &info, NULL), WM_OK);
    assert_non_null(strstr(out.data, "SUMMARY:a\\,b\\;c\\\\d:\"e\"\\nEND:VEVENT|\r\n"));
    assert_non_null(strstr(out.data, "DESCRIPTION:x\ty\r\n"));
    wm_buf_free(&out);
}

static void impossible_calendars_are_refused(void **state)
{
    (void)state;
    wm_buf out = { 0 };
    wm_moveups plan = three();
    wm_calendar_info bad[] = {
        { "xyz", 0, "a", NULL },        { NULL, 0, "a", NULL },    { "0011223344556677\r\nX:1", 0, "a", NULL },
        { hash, INT64_MAX, "a", NULL }, { hash, 0, "\xC3", NULL }, { hash, 0, NULL, NULL },
        { hash, 0, "a", "\xFF" }
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        wm_error err = { 0 };
        assert_int_equal(wm_calendar_write(&out, &plan, &bad[i], &err), WM_E_USAGE);
        assert_int_equal(out.size, 0);
        assert_true(err.text[0] != '\0');
    }
    wm_buf_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dates_are_strict),
        cmocka_unit_test(days_count_over_leap_years_and_month_ends),
        cmocka_unit_test(the_clock_gives_a_utc_day),
        cmocka_unit_test(growth_is_the_textbook_range),
        cmocka_unit_test(moveups_follow_one_another),
        cmocka_unit_test(m19_old_colour_passes_the_row),
        cmocka_unit_test(rfc5545_calendar_is_written_line_by_line),
        cmocka_unit_test(rfc5545_lines_fold_at_75_octets_and_never_inside_a_character),
        cmocka_unit_test(rfc5545_text_is_escaped),
        cmocka_unit_test(impossible_calendars_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
