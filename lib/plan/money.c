#include "plan/money.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "core/buf.h"

#define MILLI_LIMIT INT64_C(1000000000000)
#define MILLI_PERCENT_OF_ALL INT64_C(100000) /* 100 % in thousandths of a per cent */

static const int64_t powers_of_ten[] = { 1, 10, 100, 1000 };

/* ISO 4217: the codes whose minor unit is not the hundredth. Those with four decimals are units of account, nobody pays
 * in them. */
static const char without_minor_unit[][WM_CURRENCY_SIZE] = {
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG",
    "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF",
};
static const char with_thousandths[][WM_CURRENCY_SIZE] = { "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND" };
static const char with_four_decimals[][WM_CURRENCY_SIZE] = { "CLF", "UYW" };

#define LISTED(table, code) listed(table, sizeof table / sizeof table[0], code)

static bool listed(const char table[][WM_CURRENCY_SIZE], size_t count, const char *code)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(table[i], code) == 0)
            return true;
    return false;
}

int wm_currency_exponent(const char *currency)
{
    if (!currency || strlen(currency) != 3)
        return -1;
    for (int i = 0; i < 3; i++)
        if (currency[i] < 'A' || currency[i] > 'Z')
            return -1;
    if (LISTED(with_four_decimals, currency))
        return -1;
    return LISTED(without_minor_unit, currency) ? 0 : LISTED(with_thousandths, currency) ? 3 : 2;
}

static wm_status fail_currency(const char *currency, wm_error *err)
{
    return wm_fail(err, WM_E_USAGE,
                   "'%s' is not a currency people pay in; give its three capital letters of ISO 4217, such as EUR",
                   currency ? currency : "");
}

/* Whole digits, then at most `places` after a point and zeros behind them, as a whole number of 10^-places. False when
 * text is anything else or is above limit. */
static bool decimal(int64_t *out, const char *text, int places, int64_t limit)
{
    int64_t value = 0;
    int after = -1; /* digits seen after the point; -1 before it */
    bool digit = false;
    for (; text && *text; text++) {
        if (*text == '.' && digit && after < 0) {
            after = 0;
            digit = false;
            continue;
        }
        if (after == places && *text == '0' && places > 0)
            continue;
        if (*text < '0' || *text > '9' || after == places)
            return false;
        value = value * 10 + (*text - '0');
        digit = true;
        if (value > limit)
            return false;
        if (after >= 0)
            after++;
    }
    if (!digit)
        return false;
    value *= powers_of_ten[places - (after < 0 ? 0 : after)];
    if (value > limit)
        return false;
    *out = value;
    return true;
}

static void drop(char *text, char mark)
{
    char *to = text;
    for (const char *p = text; *p; p++)
        if (*p != mark)
            *to++ = *p;
    *to = '\0';
}

/* Groups of three between `mark`s, the first of one to three digits. */
static bool in_thousands(const char *text, size_t size, char mark)
{
    size_t digits = 0, groups = 0;
    for (size_t i = 0; i <= size; i++) {
        if (i < size && text[i] >= '0' && text[i] <= '9') {
            digits++;
            continue;
        }
        if ((i < size && text[i] != mark) || (groups ? digits != 3 : digits < 1 || digits > 3))
            return false;
        groups++;
        digits = 0;
    }
    return groups > 1;
}

/* Thousands go, and a point stands for the decimal comma, in place. What is neither stays as it is. */
static void plain_separators(char *text)
{
    char *point = strrchr(text, '.'), *comma = strrchr(text, ',');
    char *decimal = point && (!comma || point > comma) ? point : comma;
    const char mark = decimal == comma ? '.' : ',';
    if (decimal && strchr(text, *decimal) != decimal) { /* "1.250.000" */
        if (in_thousands(text, strlen(text), *decimal))
            drop(text, *decimal);
        return;
    }
    if (decimal && strchr(text, mark)) { /* "1.250,50" */
        if (!in_thousands(text, (size_t)(decimal - text), mark))
            return;
        drop(text, mark);
    }
    for (char *p = text; decimal == comma && *p; p++)
        *p = *p == ',' ? '.' : *p;
}

/* An amount without the sign or code of its currency before or behind it. */
static void plain_currency(char out[64], const char *text, const char *currency)
{
    static const char *const SIGNS[][2] = {
        { "EUR", "\xe2\x82\xac" }, { "USD", "$" }, { "GBP", "\xc2\xa3" }, { "JPY", "\xc2\xa5" }, { "CHF", "Fr." }
    };
    snprintf(out, 64, "%s", text ? text : "");
    for (size_t i = 0; i <= sizeof SIGNS / sizeof SIGNS[0]; i++) {
        bool is_code = i == sizeof SIGNS / sizeof SIGNS[0];
        const char *sign = is_code ? currency : SIGNS[i][1];
        size_t size = strlen(out), length = strlen(sign);
        if ((!is_code && strcmp(SIGNS[i][0], currency) != 0) || size <= length)
            continue;
        if (strcmp(out + size - length, sign) == 0)
            out[size - length] = '\0';
        else if (strncmp(out, sign, length) == 0)
            memmove(out, out + length, size - length + 1);
        else
            continue;
        size_t spaces = strspn(out, " ");
        memmove(out, out + spaces, strlen(out) - spaces + 1);
        for (size = strlen(out); size > 0 && out[size - 1] == ' ';)
            out[--size] = '\0';
        break;
    }
}

/* As digits and a point. WM_E_USAGE: it could be two amounts; in a currency of thousandths three decimals after a point
 * are usual. places: decimals that it may have. */
static wm_status plain_amount(char out[64], const char *text, const char *currency, int places, wm_error *err)
{
    char decimals[WM_TWO_WAYS_SIZE], thousands[WM_TWO_WAYS_SIZE];
    plain_currency(out, text, currency);
    const bool two_ways = wm_number_two_ways(decimals, thousands, out);
    char *point = two_ways ? strchr(decimals, '.') : NULL;
    if (point && places < 3) /* an amount that can be typed */
        point[places ? 1 + strnlen(point + 1, (size_t)places) : 0] = '\0';
    if (two_ways && (strchr(out, ',') || wm_currency_exponent(currency) != 3))
        return wm_fail(err, WM_E_USAGE, "'%s' could be %s or %s; write it as one of these", text, decimals, thousands);
    plain_separators(out);
    return WM_OK;
}

wm_status wm_milli_parse(int64_t *milli, const char *text, const char *what, wm_error *err)
{
    if (decimal(milli, text, 3, MILLI_LIMIT))
        return WM_OK;
    return wm_fail(err, WM_E_USAGE,
                   "%s can't be '%s'; give a number from 0 up with a point and at most three decimals, such as 89.50",
                   what, text ? text : "");
}

wm_status wm_price_parse(int64_t *milli, const char *text, const char *currency, const char *what, wm_error *err)
{
    char plain[64];
    wm_status status = plain_amount(plain, text, currency, 3, err);
    if (status || decimal(milli, plain, 3, MILLI_LIMIT))
        return status;
    return wm_milli_parse(milli, text, what, err); /* for its words */
}

wm_status wm_money_parse(int64_t *minor, const char *text, const char *currency, wm_error *err)
{
    int exponent = wm_currency_exponent(currency);
    if (exponent < 0)
        return fail_currency(currency, err);
    char plain[64];
    wm_status status = plain_amount(plain, text, currency, exponent, err);
    if (status || decimal(minor, plain, exponent, MILLI_LIMIT))
        return status;
    const char *decimals = exponent == 2 ? " with a point and at most two decimals, such as 420.50"
                                         : " with a point and at most three decimals, such as 42.500";
    return wm_fail(err, WM_E_USAGE, "'%s' is not an amount in %s; give a number from 0 up%s", text ? text : "",
                   currency, exponent == 0 ? " without decimals" : decimals);
}

/* value in units of 10^-places, with at least `least` decimals and no further zeros. */
static const char *decimal_text(char out[WM_MONEY_SIZE], int64_t value, int places, int least, const char *currency)
{
    uint64_t magnitude = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;
    while (places > least && magnitude % 10 == 0) {
        magnitude /= 10;
        places--;
    }
    char fraction[4] = "";
    for (int i = places; i > 0; i--, magnitude /= 10)
        fraction[i - 1] = (char)('0' + magnitude % 10);
    snprintf(out, WM_MONEY_SIZE, "%s%" PRIu64 "%s%.3s %.3s", value < 0 ? "-" : "", magnitude, places > 0 ? "." : "",
             fraction, currency);
    return out;
}

static int exponent_or_two(const char *currency)
{
    int exponent = wm_currency_exponent(currency);
    return exponent < 0 ? 2 : exponent;
}

const char *wm_money_text(char out[WM_MONEY_SIZE], int64_t minor, const char *currency)
{
    int exponent = exponent_or_two(currency);
    return decimal_text(out, minor, exponent, exponent, currency);
}

const char *wm_price_text(char out[WM_MONEY_SIZE], int64_t milli, const char *currency)
{
    return decimal_text(out, milli, 3, exponent_or_two(currency), currency);
}

static wm_status fail_too_large(wm_error *err)
{
    return wm_fail(err, WM_E_USAGE, "the sum of money is too large; check prices, row_fee and the number of packs");
}

/* round(a x b / divisor), half up, of numbers that are not negative. False when it leaves the range. */
static bool scaled(int64_t *out, int64_t a, int64_t b, int64_t divisor)
{
    int64_t product, quotient;
    if (__builtin_mul_overflow(a, b, &product))
        return false;
    quotient = product / divisor;
    int64_t rest = product % divisor;
    if (rest >= divisor - rest)
        quotient++;
    if (quotient >= WM_MONEY_LIMIT)
        return false;
    *out = quotient;
    return true;
}

wm_status wm_money_line(int64_t *minor, int64_t quantity, int64_t each_milli, const char *currency, wm_error *err)
{
    int exponent = wm_currency_exponent(currency);
    if (exponent < 0)
        return fail_currency(currency, err);
    if (quantity < 0 || each_milli < 0)
        return wm_fail(err, WM_E_USAGE,
                       "a price or a quantity is below 0; correct it in the catalogue or the settings");
    return scaled(minor, quantity, each_milli, powers_of_ten[3 - exponent]) ? WM_OK : fail_too_large(err);
}

wm_status wm_quote_open(wm_quote *out, const char *currency, int64_t tax_milli_percent, wm_error *err)
{
    if (wm_currency_exponent(currency) < 0)
        return fail_currency(currency, err);
    if (tax_milli_percent < 0 || tax_milli_percent > MILLI_PERCENT_OF_ALL)
        return wm_fail(err, WM_E_USAGE, "tax_percent is not between 0 and 100; set it with `salon set tax_percent=19`");
    memset(out, 0, sizeof *out);
    memcpy(out->currency, currency, WM_CURRENCY_SIZE);
    out->tax_milli_percent = tax_milli_percent;
    out->complete = true;
    return WM_OK;
}

wm_status wm_quote_add(wm_quote *quote, const char *label, int64_t quantity, int64_t each_milli, wm_error *err)
{
    int64_t line = 0, net, tax, total;
    wm_status status = wm_money_line(&line, quantity, each_milli, quote->currency, err);
    if (status)
        return status;
    if (quote->line_count == WM_QUOTE_LINES)
        return wm_fail(err, WM_E_BUG, "a quote has room for %d lines only", WM_QUOTE_LINES);
    net = quote->net_minor + line; /* both are below 2^53 */
    if (!scaled(&tax, net, quote->tax_milli_percent, MILLI_PERCENT_OF_ALL))
        return fail_too_large(err);
    total = net + tax;
    if (total >= WM_MONEY_LIMIT)
        return fail_too_large(err);
    wm_quote_line *slot = &quote->lines[quote->line_count++];
    snprintf(slot->label, sizeof slot->label, "%s", label);
    slot->quantity = quantity;
    slot->each_milli = each_milli;
    slot->total_minor = line;
    quote->net_minor = net;
    quote->tax_minor = tax;
    quote->total_minor = total;
    return WM_OK;
}

wm_status wm_quote_close(wm_quote *quote, int64_t deposit_milli_percent, wm_date made, int days, wm_error *err)
{
    int64_t deposit = 0;
    wm_date until = { 0 };
    if (deposit_milli_percent < 0 || deposit_milli_percent > MILLI_PERCENT_OF_ALL)
        return wm_fail(err, WM_E_USAGE,
                       "deposit_percent is not between 0 and 100; set it with `salon set deposit_percent=30`");
    if (!scaled(&deposit, quote->total_minor, deposit_milli_percent, MILLI_PERCENT_OF_ALL))
        return fail_too_large(err);
    if (!wm_date_valid(made) || !wm_date_from_days(&until, wm_date_to_days(made) + days))
        return wm_fail(err, WM_E_USAGE, "the quote's dates leave the years 1 to 9999; check --date");
    quote->deposit_minor = deposit;
    quote->until = until;
    return WM_OK;
}
