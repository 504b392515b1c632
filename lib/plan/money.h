/* money: exact amounts and the quote. Prices and fees come in thousandths of the currency unit (milli), amounts that
 * are charged are whole minor units (cents) of ISO 4217; every line is rounded once, half up. All in int64, overflow is
 * an error, never a wrong number. */
#ifndef WM_PLAN_MONEY_H
#define WM_PLAN_MONEY_H

#include <stdint.h>

#include "core/status.h"
#include "plan/calendar.h"

enum {
    WM_CURRENCY_SIZE = 4,
    WM_MONEY_SIZE = 40,
    WM_QUOTE_LABEL_SIZE = 120,
    WM_QUOTE_LINES = 8,
    WM_QUOTE_NUMBER_SIZE = 24
};

/** Amounts stay below this, so that they pass through JSON's doubles unharmed: 2^53. */
#define WM_MONEY_LIMIT INT64_C(9007199254740992)

/** Decimals of the currency's minor unit: 0 (JPY ..), 2 (most) or 3 (KWD ..); -1 when it is not three capital letters
 * or has four. */
int wm_currency_exponent(const char *currency);

/** A decimal of at most three places, and zeros behind them, as exact thousandths ("19" is 19000, "8.875" is 8875); not
 * negative, at most 10^12 thousandths. `what` names the value in the message ("row_fee"). WM_E_USAGE. */
wm_status wm_milli_parse(int64_t *milli, const char *text, const char *what, wm_error *err);

/** The same for a price as typed, with the sign or code of its currency and a decimal comma; "1.250" and "1,250" could
 * be two prices each and are refused, but for a point in a currency of thousandths. */
wm_status wm_price_parse(int64_t *milli, const char *text, const char *currency, const char *what, wm_error *err);

/** An amount as typed ("420", "420.50", "420,50", "420 €", "EUR 420") in minor units; refused where a price
 * is; more decimals than the currency has are refused. WM_E_USAGE. */
wm_status wm_money_parse(int64_t *minor, const char *text, const char *currency, wm_error *err);

const char *wm_money_text(char out[WM_MONEY_SIZE], int64_t minor, const char *currency); /**< "420.50 EUR" */
/** A price in thousandths: with the currency's decimals, more only where they are not zero ("89.00 EUR", "0.125 EUR").
 */
const char *wm_price_text(char out[WM_MONEY_SIZE], int64_t milli, const char *currency);

/** quantity x each, rounded half up to minor units. Negative input or overflow: WM_E_USAGE. */
wm_status wm_money_line(int64_t *minor, int64_t quantity, int64_t each_milli, const char *currency, wm_error *err);

typedef struct wm_quote_line {
    char label[WM_QUOTE_LABEL_SIZE];
    int64_t quantity;
    int64_t each_milli;
    int64_t total_minor;
} wm_quote_line;

/** Prices are taken as net of tax; the tax is one line on their sum. */
typedef struct wm_quote {
    char currency[WM_CURRENCY_SIZE];
    wm_quote_line lines[WM_QUOTE_LINES];
    size_t line_count;
    int64_t net_minor;
    int64_t tax_milli_percent; /**< 19 % is 19000 */
    int64_t tax_minor;
    int64_t total_minor;
    char number[WM_QUOTE_NUMBER_SIZE]; /**< "20260331-3f2a9c"; "" none */
    wm_date until;                     /**< the last day on which it holds; none: not said */
    int64_t deposit_minor;             /**< of the total, when the day is agreed; 0: none */
    bool complete;                     /**< false: something that is needed has no price or no known quantity */
} wm_quote;

/** An empty quote. WM_E_USAGE for an unknown currency or a tax outside 0..100 %. */
wm_status wm_quote_open(wm_quote *out, const char *currency, int64_t tax_milli_percent, wm_error *err);
/** Adds a line and brings tax and total up to date; on failure the quote is as it was. */
wm_status wm_quote_add(wm_quote *quote, const char *label, int64_t quantity, int64_t each_milli, wm_error *err);
/** The deposit, rounded half up to minor units, and the day until which the quote holds: `days` after `made`.
 * WM_E_USAGE: a part outside 0..100 %, a day out of range. */
wm_status wm_quote_close(wm_quote *quote, int64_t deposit_milli_percent, wm_date made, int days, wm_error *err);

#endif
