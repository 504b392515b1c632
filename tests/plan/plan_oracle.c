/* plan_oracle: prints random dates, quotes and one calendar as this project makes them, for check.py to compare with
 * Python's datetime and decimal and with an independent iCalendar parser. */
#include "plan/plan.h"
#include "support/rng.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { CASES = 20000 };
static const char *const currencies[] = { "EUR", "JPY", "KWD" };

static int64_t whole(rng *r, int64_t low, int64_t high)
{
    return low + (int64_t)(rng_bits(r) % (uint64_t)(high - low + 1));
}

/* start, weeks, the three move-ups */
static void dates(rng *r)
{
    for (int i = 0; i < CASES; i++) {
        wm_date start = { 0, 0, 0 };
        wm_moveups moveups;
        char text[WM_DATE_SIZE];
        wm_date_from_days(&start, whole(r, -719162, 2932896 - 3 * 7 * 52));
        int weeks = (int)whole(r, 1, 52);
        if (wm_moveups_of(&moveups, start, weeks, NULL))
            continue;
        printf("date %s %d", wm_date_text(text, start), weeks);
        for (int k = 0; k < WM_MOVEUPS; k++)
            printf(" %s", wm_date_text(text, moveups.dates[k]));
        printf("\n");
    }
}

/* currency, tax, lines as quantity*milli=minor, net, tax, total */
static void quotes(rng *r)
{
    for (int i = 0; i < CASES; i++) {
        wm_quote quote;
        const char *currency = currencies[rng_bits(r) % 3];
        int64_t tax = whole(r, 0, 1) ? whole(r, 0, 100000) : 500 * whole(r, 0, 60);
        if (wm_quote_open(&quote, currency, tax, NULL))
            continue;
        int lines = (int)whole(r, 1, WM_QUOTE_LINES);
        for (int k = 0; k < lines; k++)
            wm_quote_add(&quote, "line", whole(r, 0, 20), whole(r, 0, 1) ? whole(r, 0, 500000) : 5 * whole(r, 0, 1000),
                         NULL);
        printf("quote %s %" PRId64, currency, tax);
        for (size_t k = 0; k < quote.line_count; k++)
            printf(" %" PRId64 "*%" PRId64 "=%" PRId64, quote.lines[k].quantity, quote.lines[k].each_milli,
                   quote.lines[k].total_minor);
        printf(" %" PRId64 " %" PRId64 " %" PRId64 "\n", quote.net_minor, quote.tax_minor, quote.total_minor);
    }
}

static int calendar(const char *client)
{
    wm_plan plan = { .row_count = 1, .beads = 25, .bead_reserve = 3, .sewn = "walnut; mist, light in front" };
    wm_plan_visit visit = { client, "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef", 1709208000 };
    wm_buf out = { 0 };
    int failed = wm_moveups_of(&plan.moveups, (wm_date){ 2024, 1, 18 }, 6, NULL) ||
                 wm_plan_calendar(&out, &plan, &visit, NULL) != WM_OK;
    if (!failed)
        fwrite(out.data, 1, out.size, stdout);
    wm_buf_free(&out);
    return failed;
}

int main(int argc, char **argv)
{
    rng r = { 20240229 };
    if (argc == 3 && strcmp(argv[1], "calendar") == 0)
        return calendar(argv[2]);
    if (argc == 2 && strcmp(argv[1], "dates") == 0)
        dates(&r);
    else if (argc == 2 && strcmp(argv[1], "quotes") == 0)
        quotes(&r);
    else
        return 2;
    return 0;
}
