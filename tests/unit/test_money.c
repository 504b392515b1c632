/* money: exact minor units of ISO 4217, half up a line. tests/plan holds random lines to Python's decimal. */
#include "plan/money.h"
#include "support/near.h"

#include <string.h>

static void currencies_have_their_exponent(void **state)
{
    (void)state; /* ISO 4217 */
    assert_int_equal(wm_currency_exponent("EUR"), 2);
    assert_int_equal(wm_currency_exponent("USD"), 2);
    assert_int_equal(wm_currency_exponent("JPY"), 0);
    assert_int_equal(wm_currency_exponent("KRW"), 0);
    assert_int_equal(wm_currency_exponent("XPF"), 0);
    assert_int_equal(wm_currency_exponent("KWD"), 3);
    assert_int_equal(wm_currency_exponent("TND"), 3);
    assert_int_equal(wm_currency_exponent("CLF"), -1);
    assert_int_equal(wm_currency_exponent("eur"), -1);
    assert_int_equal(wm_currency_exponent("EURO"), -1);
    assert_int_equal(wm_currency_exponent(""), -1);
    assert_int_equal(wm_currency_exponent(NULL), -1);
}

static void thousandths_are_exact(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t milli;
    } good[] = {
        { "0", 0 },         { "19", 19000 },       { "8.875", 8875 },
        { "8.8750", 8875 }, { "89.90000", 89900 }, { "89.9", 89900 },
        { "0.001", 1 },     { "007", 7000 },       { "1000000000", 1000000000000 },
    };
    static const char *const bad[] = { "",       ".5",  "5.",      "-1",         "+1",
                                       "1.0005", "1e3", "1.00050", "nan",        "1,5",
                                       " 1",     "1 ",  "1..2",    "1000000001", "99999999999999999999999999" };
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        int64_t milli = -7;
        assert_int_equal(wm_milli_parse(&milli, good[i].text, "row_fee", NULL), WM_OK);
        assert_int_equal(milli, good[i].milli);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        int64_t milli = -7;
        wm_error err = { 0 };
        assert_int_equal(wm_milli_parse(&milli, bad[i], "row_fee", &err), WM_E_USAGE);
        assert_int_equal(milli, -7);
        assert_non_null(strstr(err.text, "row_fee can't be '"));
    }
}

static void amounts_keep_to_their_currency(void **state)
{
    (void)state;
    int64_t minor = -7;
    assert_int_equal(wm_money_parse(&minor, "420.5", "EUR", NULL), WM_OK);
    assert_int_equal(minor, 42050);
    assert_int_equal(wm_money_parse(&minor, "42000", "JPY", NULL), WM_OK);
    assert_int_equal(minor, 42000);
    assert_int_equal(wm_money_parse(&minor, "42.125", "KWD", NULL), WM_OK);
    assert_int_equal(minor, 42125);
    assert_int_equal(wm_money_parse(&minor, "420.505", "EUR", NULL), WM_E_USAGE);
    assert_int_equal(wm_money_parse(&minor, "420.5", "JPY", NULL), WM_E_USAGE);
    assert_int_equal(wm_money_parse(&minor, "420.", "JPY", NULL), WM_E_USAGE);
    assert_int_equal(wm_money_parse(&minor, "420", "euro", NULL), WM_E_USAGE);
    assert_int_equal(minor, 42125);
}

static void amounts_are_read_as_they_are_said(void **state)
{
    (void)state;
    static const char *const SAID[] = {
        "540", "540,00", "540 \xe2\x82\xac", "\xe2\x82\xac 540", "540 EUR", "540.00EUR"
    };
    static const char *const REFUSED[] = { "1,250", "1.250",   "1.25,00", "12.50.00",     "1,250.000,00",
                                           "540 $", "540 USD", "5,4,0",   "\xe2\x82\xac", "EUR" };
    int64_t minor = -7;
    wm_error err = { 0 };
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++) {
        assert_int_equal(wm_money_parse(&minor, SAID[i], "EUR", NULL), WM_OK);
        assert_int_equal(minor, 54000);
    }
    for (size_t i = 0; i < sizeof REFUSED / sizeof REFUSED[0]; i++)
        assert_int_equal(wm_money_parse(&minor, REFUSED[i], "EUR", NULL), WM_E_USAGE);
    assert_int_equal(minor, 54000);
    wm_money_parse(&minor, "1,250", "EUR", &err);
    assert_string_equal(err.text, "'1,250' could be 1.25 or 1250; write it as one of these");
    static const char *const THOUSANDS[] = { "1.250,50", "1,250.50", "\xe2\x82\xac 1.250,50", "1250,5" };
    for (size_t i = 0; i < sizeof THOUSANDS / sizeof THOUSANDS[0]; i++) {
        assert_int_equal(wm_money_parse(&minor, THOUSANDS[i], "EUR", NULL), WM_OK);
        assert_int_equal(minor, 125050);
    }
    assert_int_equal(wm_money_parse(&minor, "1.250.000", "EUR", NULL), WM_OK);
    assert_int_equal(minor, 125000000);
}

static void amounts_are_shown_with_their_decimals(void **state)
{
    (void)state;
    char out[WM_MONEY_SIZE];
    assert_string_equal(wm_money_text(out, 42050, "EUR"), "420.50 EUR");
    assert_string_equal(wm_money_text(out, 5, "EUR"), "0.05 EUR");
    assert_string_equal(wm_money_text(out, -5, "EUR"), "-0.05 EUR");
    assert_string_equal(wm_money_text(out, 42000, "JPY"), "42000 JPY");
    assert_string_equal(wm_money_text(out, 42125, "KWD"), "42.125 KWD");
    assert_string_equal(wm_money_text(out, INT64_MIN, "KWD"), "-9223372036854775.808 KWD");
    assert_string_equal(wm_price_text(out, 89000, "EUR"), "89.00 EUR");
    assert_string_equal(wm_price_text(out, 125, "EUR"), "0.125 EUR");
    assert_string_equal(wm_price_text(out, 1500, "JPY"), "1.5 JPY");
    assert_string_equal(wm_price_text(out, 2000, "JPY"), "2 JPY");
}

static int64_t line(int64_t quantity, int64_t milli, const char *currency)
{
    int64_t minor = -7;
    assert_int_equal(wm_money_line(&minor, quantity, milli, currency, NULL), WM_OK);
    return minor;
}

static void lines_round_half_up_once(void **state)
{
    (void)state;
    assert_int_equal(line(1, 5, "EUR"), 1); /* 0.005 */
    assert_int_equal(line(1, 4, "EUR"), 0);
    assert_int_equal(line(3, 5, "EUR"), 2); /* 0.015: the line, not each pack */
    assert_int_equal(line(2, 1005, "EUR"), 201);
    assert_int_equal(line(1, 1500, "JPY"), 2);
    assert_int_equal(line(1, 1499, "JPY"), 1);
    assert_int_equal(line(3, 12345, "KWD"), 37035);
    assert_int_equal(line(0, 12345, "EUR"), 0);
}

static void tax_is_a_line_of_its_own(void **state)
{
    (void)state;
    wm_quote quote;
    assert_int_equal(wm_quote_open(&quote, "EUR", 19000, NULL), WM_OK);
    assert_int_equal(wm_quote_add(&quote, "rows", 2, 120000, NULL), WM_OK);            /* 240.00 */
    assert_int_equal(wm_quote_add(&quote, "packs of walnut", 2, 119000, NULL), WM_OK); /* 238.00 */
    assert_int_equal(wm_quote_add(&quote, "pack of mist", 1, 104500, NULL), WM_OK);    /* 104.50 */
    assert_int_equal(quote.net_minor, 58250);
    assert_int_equal(quote.tax_minor, 11068); /* 110.675, half up */
    assert_int_equal(quote.total_minor, 69318);
    assert_int_equal(quote.line_count, 3);
    assert_string_equal(quote.lines[2].label, "pack of mist");
    assert_int_equal(quote.lines[1].total_minor, 23800);
    assert_true(quote.complete);
}

static void overflow_and_nonsense_are_errors(void **state)
{
    (void)state;
    wm_quote quote;
    wm_error err = { 0 };
    assert_int_equal(wm_quote_open(&quote, "EU", 0, &err), WM_E_USAGE);
    assert_int_equal(wm_quote_open(&quote, "EUR", -1, &err), WM_E_USAGE);
    assert_int_equal(wm_quote_open(&quote, "EUR", 100001, &err), WM_E_USAGE);
    assert_int_equal(wm_quote_open(&quote, "KWD", 19000, &err), WM_OK);
    int64_t minor = -7;
    assert_int_equal(wm_money_line(&minor, INT64_MAX, 2, "KWD", &err), WM_E_USAGE);
    assert_int_equal(wm_money_line(&minor, INT64_MAX, 1, "KWD", &err),
                     WM_E_USAGE); /* fits in int64, not in JSON's doubles */
    assert_int_equal(wm_money_line(&minor, WM_MONEY_LIMIT, 1, "KWD", &err), WM_E_USAGE);
    assert_int_equal(wm_money_line(&minor, -1, 5, "EUR", &err), WM_E_USAGE);
    assert_int_equal(wm_money_line(&minor, 1, -5, "EUR", &err), WM_E_USAGE);
    assert_int_equal(minor, -7);
    assert_int_equal(wm_quote_add(&quote, "much", WM_MONEY_LIMIT - 1, 1, &err), WM_E_USAGE); /* its tax leaves int64 */
    assert_int_equal(quote.line_count, 0);
    assert_int_equal(quote.total_minor, 0);
    for (int i = 0; i < WM_QUOTE_LINES; i++)
        assert_int_equal(wm_quote_add(&quote, "one", 1, 1, &err), WM_OK);
    assert_int_equal(wm_quote_add(&quote, "one too many", 1, 1, &err), WM_E_BUG);
}

static void the_largest_line_passes(void **state)
{
    (void)state;
    assert_true(line(WM_MONEY_LIMIT - 1, 1, "KWD") == WM_MONEY_LIMIT - 1);
}

/* 30 % of 249.78 EUR are 74.934; of 0.05 EUR half are 0.025, half up 0.03. Thirty days after the last of January are in
 * March. */
static void a_quote_closes_with_its_deposit_and_day(void **state)
{
    (void)state;
    wm_quote quote;
    const wm_date made = { 2026, 1, 31 };
    char day[WM_DATE_SIZE];
    assert_int_equal(wm_quote_open(&quote, "EUR", 0, NULL), WM_OK);
    assert_int_equal(wm_quote_add(&quote, "row", 1, 249780, NULL), WM_OK);
    assert_int_equal(wm_quote_close(&quote, 30000, made, 30, NULL), WM_OK);
    assert_int_equal(quote.deposit_minor, 7493);
    assert_string_equal(wm_date_text(day, quote.until), "2026-03-02");
    assert_int_equal(wm_quote_close(&quote, 0, made, 30, NULL), WM_OK);
    assert_int_equal(quote.deposit_minor, 0);
    wm_quote before = quote;
    assert_int_equal(wm_quote_close(&quote, 100001, made, 30, NULL), WM_E_USAGE);
    assert_int_equal(wm_quote_close(&quote, 0, (wm_date){ 9999, 12, 31 }, 30, NULL), WM_E_USAGE);
    assert_memory_equal(&quote, &before, sizeof quote);
    assert_int_equal(wm_quote_open(&quote, "EUR", 0, NULL), WM_OK);
    assert_int_equal(wm_quote_add(&quote, "row", 1, 50, NULL), WM_OK);
    assert_int_equal(wm_quote_close(&quote, 50000, made, 1, NULL), WM_OK);
    assert_int_equal(quote.deposit_minor, 3);
}

static void prices_are_read_as_they_are_said(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t milli;
    } GOOD[] = { { "540", 540000 },
                 { "540 \xe2\x82\xac", 540000 },
                 { "\xe2\x82\xac 89,50", 89500 },
                 { "89,5 EUR", 89500 },
                 { "0.125", 125 },
                 { "0,125", 125 },
                 { "8.8750", 8875 },
                 { "1200.5", 1200500 },
                 { "1.200,00", 1200000 },
                 { "EUR 12", 12000 } };
    int64_t milli = 7;
    wm_error err = { 0 };
    for (size_t i = 0; i < sizeof GOOD / sizeof GOOD[0]; i++) {
        assert_int_equal(wm_price_parse(&milli, GOOD[i].text, "EUR", "row_fee", &err), WM_OK);
        assert_int_equal(milli, GOOD[i].milli);
    }
    milli = 7;
    assert_int_equal(wm_price_parse(&milli, "1,250", "EUR", "row_fee", &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "could be 1.25 or 1250"));
    assert_int_equal(wm_price_parse(&milli, "1.200 \xe2\x82\xac", "EUR", "row_fee", &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "could be 1.2 or 1200; write it as one of these"));
    assert_int_equal(wm_price_parse(&milli, "8.875", "EUR", "row_fee", &err), WM_E_USAGE);
    assert_non_null(strstr(err.text, "could be 8.8750 or 8875"));
    assert_int_equal(wm_price_parse(&milli, "540 $", "EUR", "row_fee", &err), WM_E_USAGE);
    assert_int_equal(milli, 7);
    assert_int_equal(wm_price_parse(&milli, "1.250", "KWD", "row_fee", &err), WM_OK); /* its usual decimals */
    assert_int_equal(milli, 1250);
    assert_int_equal(wm_price_parse(&milli, "1,250", "KWD", "row_fee", &err), WM_E_USAGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(currencies_have_their_exponent),
        cmocka_unit_test(thousandths_are_exact),
        cmocka_unit_test(amounts_keep_to_their_currency),
        cmocka_unit_test(amounts_are_read_as_they_are_said),
        cmocka_unit_test(amounts_are_shown_with_their_decimals),
        cmocka_unit_test(lines_round_half_up_once),
        cmocka_unit_test(tax_is_a_line_of_its_own),
        cmocka_unit_test(overflow_and_nonsense_are_errors),
        cmocka_unit_test(the_largest_line_passes),
        cmocka_unit_test(a_quote_closes_with_its_deposit_and_day),
        cmocka_unit_test(prices_are_read_as_they_are_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
