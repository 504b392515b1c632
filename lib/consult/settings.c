#include "consult/settings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/plain.h"
#include "plan/length.h"

typedef enum { TEXT, CURRENCY, UNITS, MONEY, PERCENT, WHOLE, NUMBERS } value_kind;

/* One row a setting: its kind, where it lives in the struct, how many numbers (comma separated), their range. */
typedef struct setting {
    const char *key;
    const char *help;
    value_kind kind;
    size_t offset;
    int count;
    double low, high;
} setting;

#define AT(field) offsetof(wm_settings, field)
enum { NUMBER_DECIMALS = 9 }; /* all that count: what is printed is taken again */
#define SETTING_COUNT (sizeof SETTINGS / sizeof SETTINGS[0])

static const setting SETTINGS[] = {
    { "salon_name", "the salon's name on reports", TEXT, AT(salon_name), 0, 0, 0 },
    { "currency", "ISO 4217 code", CURRENCY, AT(plan.currency), 0, 0, 0 },
    { "units", "cm or in", UNITS, AT(plan.units), 0, 0, 0 },
    { "row_fee", "fee for sewing one row, or none", MONEY, AT(plan.fee_milli[WM_WORK_INSTALLATION]), 0, 0, 0 },
    { "moveup_fee", "fee for moving up one row, or none", MONEY, AT(plan.fee_milli[WM_WORK_MOVEUP]), 0, 0, 0 },
    { "removal_fee", "fee for taking out one row, or none", MONEY, AT(plan.fee_milli[WM_WORK_REMOVAL]), 0, 0, 0 },
    { "consultation_fee", "fee for a consultation, or none", MONEY, AT(plan.fee_milli[WM_WORK_CONSULTATION]), 0, 0, 0 },
    { "tax_percent", "tax on the quote", PERCENT, AT(plan.tax_milli_percent), 0, 0, 0 },
    { "deposit_percent", "of the quote, when the day is agreed", PERCENT, AT(plan.deposit_milli_percent), 0, 0, 0 },
    { "quote_days", "days that a quote holds", WHOLE, AT(plan.quote_days), 1, 1, 365 },
    { "bead_spacing_cm", "distance of beads along the row", NUMBERS, AT(plan.row.bead_spacing_cm), 1, 0.2, 5 },
    { "bead_reserve_percent", "beads in reserve", NUMBERS, AT(plan.row.bead_reserve_percent), 1, 0, 100 },
    { "hairline_margin_cm", "kept free at each end of the arc", NUMBERS, AT(plan.row.hairline_margin_cm), 1, 0, 10 },
    { "thread_widths", "row widths of thread added, least,most", NUMBERS, AT(plan.row.thread_widths), 2, 0, 40 },
    { "moveup_weeks", "weeks until the row is re-set", WHOLE, AT(plan.moveup_weeks), 1, 1, 26 },
    { "weft_visits", "visits a weft is sewn on at, then replaced", WHOLE, AT(plan.weft_visits), 1, 1, 12 },
    { "order_days", "days from an order until it is there", WHOLE, AT(plan.order_days), 1, 0, 120 },
    { "verdict", "dE00 limits: match,close,visible", NUMBERS, AT(verdict), 3, 0.1, 50 },
    { "area_weights", "visible area of the stack: intact,moved,edge", NUMBERS, AT(area_weights), 3, 0, 1 },
    { "max_layers", "layers in one row, 1 to 3", WHOLE, AT(max_layers), 1, 1, 3 },
    { "blend_g", "light in hair; blend --calibrate fits it", NUMBERS, AT(blend_g), 1, 0.4, 0.9 },
    { "load_limit_mg", "most that each held hair carries, medium hair", NUMBERS, AT(plan.load_limit_mg), 1, 1, 1000 },
    { "avoided_shades", "codes that are never proposed, with commas", TEXT, AT(avoided_shades), 0, 0, 0 },
    { "max_megapixels", "largest photo", NUMBERS, AT(limits.max_megapixels), 1, 1, 2000 },
    { "max_file_mib", "largest photo file", NUMBERS, AT(limits.max_file_mib), 1, 1, 4096 },
};

wm_settings wm_settings_default(void)
{
    return (wm_settings){ .plan = WM_PLAN_SETTINGS_DEFAULT,
                          .verdict = WM_VERDICT_LIMITS_DEFAULT,
                          .area_weights = WM_VIEW_WEIGHTS_DEFAULT,
                          .max_layers = 3,
                          .blend_g = 0.75,
                          .limits = WM_PHOTO_LIMITS_DEFAULT };
}

static const setting *find(const char *key)
{
    for (size_t i = 0; i < SETTING_COUNT; i++)
        if (strcmp(SETTINGS[i].key, key) == 0)
            return &SETTINGS[i];
    return NULL;
}

static void *field(wm_settings *settings, const setting *s)
{
    return (char *)settings + s->offset;
}

static const void *field_of(const wm_settings *settings, const setting *s)
{
    return (const char *)settings + s->offset;
}

static wm_status apply_currency(wm_settings *settings, const char *value, wm_error *err)
{
    if (strlen(value) >= sizeof settings->plan.currency || wm_currency_exponent(value) < 0)
        return wm_fail(err, WM_E_USAGE,
                       "currency can't be '%s'; give an ISO 4217 code of three capital letters such as EUR", value);
    snprintf(settings->plan.currency, sizeof settings->plan.currency, "%s", value);
    return WM_OK;
}

static wm_status apply_units(wm_settings *settings, const char *value, wm_error *err)
{
    return wm_units_parse(value, &settings->plan.units)
               ? WM_OK
               : wm_fail(err, WM_E_USAGE, "units can't be '%s'; give cm or in", value);
}

static wm_status apply_fee(wm_settings *settings, const setting *s, const char *value, wm_error *err)
{
    int64_t *milli = field(settings, s);
    if (strcmp(value, "none") != 0)
        return wm_price_parse(milli, value, settings->plan.currency, s->key, err);
    *milli = -1;
    return WM_OK;
}

/* "1,2" as it is written in many a country; "1,200" could be either and stays. */
static void decimal_comma(char *number)
{
    char *comma = strchr(number, ',');
    if (comma && !strpbrk(comma + 1, ",.") && strlen(comma + 1) != 3)
        *comma = '.';
}

/* "19", "19 %", "19,5" */
static wm_status apply_percent(wm_settings *settings, const setting *s, const char *value, wm_error *err)
{
    char number[32];
    int64_t milli = 0;
    size_t length = strlen(value);
    while (length > 0 && strchr(" %", value[length - 1]))
        length--;
    snprintf(number, sizeof number, "%.*s", (int)(length < sizeof number ? length : sizeof number - 1), value);
    decimal_comma(number);
    wm_status status = wm_milli_parse(&milli, number, s->key, err);
    if (!status && milli > 100000)
        status = wm_fail(err, WM_E_USAGE, "%s can't be '%s'; give 0 to 100", s->key, value);
    if (!status)
        *(int64_t *)field(settings, s) = milli;
    return status;
}

static wm_status refuse_numbers(const setting *s, const char *value, wm_error *err)
{
    char low[40], high[40];
    wm_number_text(low, s->low, s->low < 1 && s->low > 0 ? 1 : 0);
    wm_number_text(high, s->high, s->high < 1 ? 1 : 0);
    if (s->count == 1)
        return wm_fail(err, WM_E_USAGE, "%s can't be '%s'; give a %snumber from %s to %s", s->key, value,
                       s->kind == WHOLE ? "whole " : "", low, high);
    return wm_fail(err, WM_E_USAGE, "%s can't be '%s'; give %d numbers from %s to %s with commas between%s", s->key,
                   value, s->count, low, high, strcmp(s->key, "area_weights") != 0 ? ", rising" : "");
}

/* The rules that tie the numbers of one setting together. */
static bool numbers_agree(const setting *s, const double *v)
{
    if (strcmp(s->key, "area_weights") == 0)
        return fabs(v[0] + v[1] + v[2] - 1) < 1e-6;
    for (int i = 1; i < s->count; i++)
        if (v[i] < v[i - 1])
            return false;
    return true;
}

/* "6 weeks", "10 mm": the unit that the key ends with may be said, and another length instead of centimetres. */
static void take_unit(const setting *s, char copy[128])
{
    const char *unit = strrchr(s->key, '_');
    size_t length = strlen(copy);
    double cm = 0;
    if (s->count != 1 || !unit || !length || (copy[length - 1] >= '0' && copy[length - 1] <= '9'))
        return;
    if (strcmp(unit, "_cm") == 0 && !wm_length_parse(&cm, copy, WM_UNITS_CM, NULL)) {
        wm_number_text(copy, cm, 4);
        return;
    }
    const size_t tail = strcmp(unit, "_percent") == 0 ? 1 : strlen(unit + 1);
    if (length > tail && strcmp(copy + length - tail, tail == 1 ? "%" : unit + 1) == 0)
        for (copy[length -= tail] = '\0'; length > 0 && copy[length - 1] == ' ';)
            copy[--length] = '\0';
}

static wm_status apply_numbers(wm_settings *settings, const setting *s, const char *value, wm_error *err)
{
    double v[3] = { 0 };
    char copy[128];
    int n = 0;
    if (snprintf(copy, sizeof copy, "%s", value) >= (int)sizeof copy)
        return refuse_numbers(s, value, err);
    take_unit(s, copy);
    if (s->count == 1)
        decimal_comma(copy);
    else if (strchr(copy, ';')) /* "1,8;3,6;7,2" */
        for (char *p = copy; *p; p++)
            *p = *p == ',' ? '.' : *p == ';' ? ',' : *p;
    for (char *p = copy, *next = copy; next; p = next) {
        next = strchr(p, ',');
        if (next)
            *next++ = '\0';
        if (n == s->count || !wm_number_parse(p, &v[n]) || v[n] < s->low || v[n] > s->high)
            return refuse_numbers(s, value, err);
        n++;
    }
    if (n != s->count)
        return refuse_numbers(s, value, err);
    if (!numbers_agree(s, v))
        return strcmp(s->key, "area_weights") == 0
                   ? wm_fail(err, WM_E_USAGE, "area_weights can't be '%s'; give three numbers that sum to 1", value)
                   : refuse_numbers(s, value, err);
    if (s->kind == NUMBERS) {
        memcpy(field(settings, s), v, sizeof v[0] * (size_t)n);
        return WM_OK;
    }
    if (fabs(v[0] - floor(v[0])) > 0)
        return refuse_numbers(s, value, err);
    *(int *)field(settings, s) = (int)v[0];
    return WM_OK;
}

static wm_status apply_text(wm_settings *settings, const setting *s, const char *value, wm_error *err)
{
    if (strlen(value) >= sizeof settings->salon_name || !wm_plain_line(value))
        return wm_fail(err, WM_E_USAGE, "%s is one line of plain text, at most %zu bytes; shorten it", s->key,
                       sizeof settings->salon_name - 1);
    snprintf(field(settings, s), sizeof settings->salon_name, "%s", value);
    return WM_OK;
}

static wm_status unknown_key(const char *key, wm_error *err)
{
    const char *keys[SETTING_COUNT];
    for (size_t i = 0; i < SETTING_COUNT; i++)
        keys[i] = SETTINGS[i].key;
    const char *near = wm_near_miss(key, keys, SETTING_COUNT);
    if (near)
        return wm_fail(err, WM_E_USAGE, "no setting is called '%s'; did you mean '%s'?", key, near);
    return wm_fail(err, WM_E_USAGE, "no setting is called '%s'; see weftmatch salon show", key);
}

wm_status wm_settings_apply(wm_settings *settings, const char *key, const char *value, wm_error *err)
{
    const setting *s = find(key);
    if (!s)
        return unknown_key(key, err);
    switch (s->kind) {
    case TEXT: return apply_text(settings, s, value, err);
    case CURRENCY: return apply_currency(settings, value, err);
    case UNITS: return apply_units(settings, value, err);
    case MONEY: return apply_fee(settings, s, value, err);
    case PERCENT: return apply_percent(settings, s, value, err);
    case WHOLE:
    case NUMBERS: return apply_numbers(settings, s, value, err);
    }
    return wm_fail(err, WM_E_BUG, "a setting of an unknown kind; please report this fault");
}

/* As wm_settings_print wrote it: a fee has a point for its decimals, three of them too. */
static wm_status apply_kept(wm_settings *settings, const setting *s, const char *value, wm_error *err)
{
    if (s->kind == MONEY && !wm_milli_parse(field(settings, s), value, s->key, NULL))
        return WM_OK;
    return wm_settings_apply(settings, s->key, value, err);
}

wm_status wm_settings_load(wm_settings *out, wm_book *book, wm_error *err)
{
    wm_settings settings = wm_settings_default();
    for (size_t i = 0; book && i < SETTING_COUNT; i++) {
        char *value = NULL;
        wm_status status = wm_book_setting_get(&value, book, SETTINGS[i].key, err);
        if (!status && value)
            status = apply_kept(&settings, &SETTINGS[i], value, err);
        if (status == WM_E_USAGE)
            status = wm_fail(err, WM_E_BOOK,
                             "the book holds %s=%.100s, which is not possible; set it again with weftmatch salon set",
                             SETTINGS[i].key, value);
        free(value);
        if (status)
            return status;
    }
    *out = settings;
    return WM_OK;
}

const char *wm_settings_key(size_t i, const char **help)
{
    if (i >= SETTING_COUNT)
        return NULL;
    *help = SETTINGS[i].help;
    return SETTINGS[i].key;
}

void wm_settings_print(wm_buf *out, const wm_settings *settings, size_t i)
{
    const setting *s = &SETTINGS[i];
    const void *at = field_of(settings, s);
    switch (s->kind) {
    case TEXT:
    case CURRENCY: wm_buf_text(out, at); break;
    case UNITS: wm_buf_text(out, wm_units_name(settings->plan.units)); break;
    case MONEY:
        if (*(const int64_t *)at < 0)
            wm_buf_text(out, "none");
        else
            wm_buf_short_number(out, (double)*(const int64_t *)at / 1000, 3);
        if (*(const int64_t *)at % 10 > 0)
            wm_buf_text(out, "0"); /* "1.805" typed again could be 1805 */
        break;
    case PERCENT: wm_buf_short_number(out, (double)*(const int64_t *)at / 1000, 3); break;
    case WHOLE: wm_buf_format(out, "%d", *(const int *)at); break;
    case NUMBERS:
        for (int k = 0; k < s->count; k++) {
            wm_buf_text(out, k ? "," : "");
            wm_buf_short_number(out, ((const double *)at)[k], NUMBER_DECIMALS);
        }
        break;
    }
}

wm_status wm_settings_keep(wm_buf *value, wm_book *book, const wm_settings *settings, const char *key, wm_error *err)
{
    const size_t start = value->size;
    for (size_t i = 0; i < SETTING_COUNT; i++)
        if (strcmp(SETTINGS[i].key, key) == 0)
            wm_settings_print(value, settings, i);
    wm_status status = wm_buf_status(value, err);
    return status ? status : wm_book_setting_set(book, key, value->data ? value->data + start : "", err);
}
