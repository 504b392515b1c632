/* The door of the command line: any words as a verb with its options and their values. What is refused gets one line;
 * what is taken lies within its limits, and what we print of it is read again as the same. One word a line. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "context.h"

enum { WORDS = 64 };

const fuzz_seed fuzz_seeds[] = {
    SEED(
        "match\na.jpg\n--arc\n29,5\n--row=crown=11.5in\n--to-length\n60\n--goal=volume\n--worn\nup\n-qn3\n--max-price\n89.90\n"),
    SEED(
        "match\na.jpg\n--zones\na.zones.json\n--natural-length=290mm\n--hair\nfine\n--amount=thick\n--shedding\n--cover\n2cm\n"
        "--color-line\n3\"\n--date\n2026-02-28\n--jobs\n2\n"),
    SEED("blend\n--layers\nmoth,frost,moth\n--over\n30,5,10\n--fineness\n0.5\n"),
    SEED(
        "visit set\n3\n--charged\n420,50\n--installed=moth with frost in 2 pieces / moth\n--kind\nmove-up\n--clear\nwhy\n"),
    SEED("plan\n--layers=moth\n--arc\n11\"\n--arc\n30 cm\n--\n-x\n"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "\n",
                                   "--",
                                   "-",
                                   "=",
                                   ",",
                                   ".",
                                   "\"",
                                   "cm",
                                   "mm",
                                   "in",
                                   " in",
                                   "29,5",
                                   "1e3",
                                   "nan",
                                   "inf",
                                   "0x1",
                                   "-0",
                                   "200",
                                   "200.0001",
                                   "0.0000001",
                                   "back",
                                   "nape=29",
                                   "side=11.5\"",
                                   "--arc\n",
                                   "--row\n",
                                   "-h",
                                   "-V",
                                   "both",
                                   "EUR ",
                                   " \xe2\x82\xac",
                                   "1,250",
                                   "9007199254740993",
                                   "--max-price\n",
                                   "2026-02-29",
                                   "0001-01-01",
                                   "9999-12-31",
                                   "--jobs=257",
                                   "\xff",
                                   "\xe2\x80\xae",
                                   " with ",
                                   " in 2 pieces",
                                   " / ",
                                   NULL };

/* Above 0 and within its limit; printed to a thousandth and read again, no further away than that. */
static void check_length(const char *text, wm_units units)
{
    double cm = -1, again = -1;
    char printed[WM_LENGTH_SIZE];
    wm_error err = { 0 };
    wm_status status = wm_length_parse(&cm, text, units, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_USAGE);
        fuzz_check(cm < 0, "a refusal leaves the output alone");
        return;
    }
    fuzz_check(cm > 0 && cm <= WM_LENGTH_MAX_CM, "a length is within its limit");
    wm_length_text(printed, cm, units, 3);
    if (cm > 0.01 && cm < WM_LENGTH_MAX_CM - 0.01)
        fuzz_check(wm_length_parse(&again, printed, units, NULL) == WM_OK && fabs(again - cm) < 0.002,
                   "a length that we print is read as the same");
}

static void check_money(const char *text, const char *currency)
{
    int64_t minor = -7, again = -7;
    char printed[WM_MONEY_SIZE];
    wm_error err = { 0 };
    wm_status status = wm_money_parse(&minor, text, currency, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_USAGE);
        fuzz_check(minor == -7, "a refusal leaves the output alone");
        return;
    }
    fuzz_check(minor >= 0 && minor < WM_MONEY_LIMIT, "an amount is within its limit");
    wm_money_text(printed, minor, currency);
    fuzz_check(wm_money_parse(&again, printed, currency, NULL) == WM_OK && again == minor,
               "an amount that we print is read as the same");
}

static void check_date(const char *text)
{
    wm_date date;
    char printed[WM_DATE_SIZE];
    if (!wm_date_parse(&date, text))
        return;
    fuzz_check(wm_date_valid(date) && strcmp(wm_date_text(printed, date), text) == 0, "a day is read as it is written");
    wm_date again;
    fuzz_check(wm_date_from_days(&again, wm_date_to_days(date)) && again.year == date.year &&
                   again.month == date.month && again.day == date.day,
               "days are counted there and back");
}

static void check_stack(const char *text)
{
    wm_stack stack = { 0 }, again = { 0 };
    char printed[WM_STACK_TEXT_SIZE];
    wm_error err = { 0 };
    wm_status status = wm_stack_parse(&stack, text, &err);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_USAGE);
        return;
    }
    fuzz_check(stack.count >= 1 && stack.count <= WM_MAX_LAYERS, "a stack has layers");
    wm_stack_text(printed, &stack, ",");
    fuzz_check(wm_stack_parse(&again, printed, NULL) == WM_OK && again.count == stack.count &&
                   memcmp(&again, &stack, sizeof stack) == 0,
               "layers that we keep are read again as the same");
}

static void check_word(const char *word)
{
    check_length(word, WM_UNITS_CM);
    check_length(word, WM_UNITS_IN);
    check_money(word, "EUR");
    check_money(word, "JPY");
    check_money(word, "KWD");
    check_date(word);
    check_stack(word);
}

static void check_wishes(const wm_wishes *w)
{
    fuzz_check(w->row_count <= WM_MAX_ROWS, "rows fit");
    for (size_t i = 0; i < w->row_count; i++)
        fuzz_check(w->rows[i].arc_cm > 0 && w->rows[i].arc_cm <= WM_LENGTH_MAX_CM, "an arc is within its limit");
    fuzz_check(isfinite(w->to_length_cm) && isfinite(w->head.natural_length_cm) && isfinite(w->filter.min_length_cm) &&
                   isfinite(w->line_cm) && isfinite(w->cover_cm),
               "wishes are finite");
    fuzz_check(w->filter.max_price_milli >= 0, "a price is none or an amount");
}

/* What every verb reads of its options before it begins. */
static void read_values(const args *a)
{
    wm_settings settings = wm_settings_default();
    wm_wishes wishes = WM_WISHES_INIT;
    wm_error err = { 0 };
    clock_reading clock;
    wm_lab lab;
    int number = 1;
    wm_status status = context_wishes(&wishes, a, &settings, &err);
    if (status)
        FUZZ_REFUSED(status, &err, WM_E_USAGE);
    else
        check_wishes(&wishes);
    if (args_has(a, "over")) {
        status = context_lab(&lab, "over", args_text(a, "over"), &err);
        if (status)
            FUZZ_REFUSED(status, &err, WM_E_USAGE);
        else
            fuzz_check(wm_lab_valid(lab), "a colour is one");
    }
    status = context_jobs(&number, a, &err);
    status = status ? status : context_lines(&number, a, &err);
    status = status ? status : context_clock(&clock, a, &err);
    if (status)
        FUZZ_REFUSED(status, &err, WM_E_USAGE);
    else
        fuzz_check(number >= 1 && wm_date_valid(clock.date), "numbers and the day are within their limits");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *argv[WORDS + 3] = { text }, *rest = text;
    int argc = 1, used = 0;
    static args a;
    wm_error err = { 0 };
    while (argc < WORDS && *rest) {
        argv[argc++] = rest;
        rest += strcspn(rest, "\n");
        if (*rest)
            *rest++ = '\0';
        check_word(argv[argc - 1]);
        if (argc == 2 && strchr(argv[1], ' ')) { /* the verb's second word */
            argv[2] = strchr(argv[1], ' ') + 1;
            argv[2][-1] = '\0';
            argc = 3;
        }
    }
    const verb_spec *verb = verb_find(argc, argv, &used);
    if (verb) {
        wm_status status = args_parse(&a, verb, argc - 1 - used, argv + 1 + used, &err);
        if (status)
            FUZZ_REFUSED(status, &err, WM_E_USAGE);
        else
            read_values(&a);
    }
    free(text);
    return 0;
}
