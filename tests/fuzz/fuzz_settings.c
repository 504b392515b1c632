/* The door of the salon's settings: any KEY=VALUE, a line each. What is refused gets one line and changes nothing; what
 * is taken prints as something that is taken again and means the same. */
#include "fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "consult/settings.h"

const fuzz_seed fuzz_seeds[] = {
    SEED("salon_name=Weft & Willow\ncurrency=JPY\nunits=in\nrow_fee=180.50\ntax_percent=19\n"),
    SEED(
        "bead_spacing_cm=1.25\nbead_reserve_percent=10\nhairline_margin_cm=1.5\nthread_widths=2.5,3\nmoveup_weeks=7\n"),
    SEED("verdict=1,2,3.5\narea_weights=0.8,0.15,0.05\nmax_layers=3\nblend_g=0.75\nload_limit_mg=120.5\n"),
    SEED("currency=JPY\nrow_fee=1.8050\nmoveup_fee=1.540,50\n"),
    SEED("max_megapixels=100\nmax_file_mib=64\nrow_fee=none\n"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "=",
                                   "\n",
                                   ",",
                                   ".",
                                   "-0",
                                   "0",
                                   "none",
                                   "EUR",
                                   "KWD",
                                   "nan",
                                   "inf",
                                   "1e3",
                                   "1e-9",
                                   "0.005",
                                   "0.33333333",
                                   "1/3",
                                   "\xe2\x80\xae",
                                   "\x1b[2J",
                                   "\xff",
                                   "in",
                                   "cm",
                                   "1,250",
                                   "100.001",
                                   "9007199254740993",
                                   "area_weights=",
                                   "verdict=",
                                   NULL };

static void check_all(const wm_settings *s)
{
    fuzz_check(wm_currency_exponent(s->plan.currency) >= 0, "a currency is one");
    fuzz_check(s->max_layers >= 1 && s->max_layers <= 3, "layers are 1 to 3");
    fuzz_check(s->plan.moveup_weeks >= 1 && s->plan.moveup_weeks <= 52, "weeks are a year at most");
    fuzz_check(s->blend_g > 0 && s->blend_g < 1, "the law of light has its ranges");
    fuzz_check(s->plan.fee_milli[WM_WORK_INSTALLATION] >= -1 && s->plan.tax_milli_percent >= 0 &&
                   s->plan.tax_milli_percent <= 100000,
               "money is within its limits");
}

/* As `salon show` prints it, each is taken again; nothing moves by that. */
static void print_and_apply(const wm_settings *settings)
{
    const char *help;
    wm_settings again = wm_settings_default();
    for (size_t i = 0; wm_settings_key(i, &help); i++) {
        wm_buf once = { 0 }, twice = { 0 };
        wm_error err = { 0 };
        wm_settings_print(&once, settings, i);
        if (wm_settings_apply(&again, wm_settings_key(i, &help), once.data ? once.data : "", &err))
            fuzz_check(0, err.text);
        wm_settings_print(&twice, &again, i);
        fuzz_check(once.size == twice.size && (once.size == 0 || strcmp(once.data, twice.data) == 0),
                   "a setting that we print is taken again");
        wm_buf_free(&once);
        wm_buf_free(&twice);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *rest = text;
    wm_settings settings = wm_settings_default();
    while (*rest) {
        char *key = rest;
        rest += strcspn(rest, "\n");
        if (*rest)
            *rest++ = '\0';
        char *value = strchr(key, '=');
        if (!value)
            continue;
        *value++ = '\0';
        wm_settings before = settings;
        wm_error err = { 0 };
        wm_status status = wm_settings_apply(&settings, key, value, &err);
        if (status) {
            FUZZ_REFUSED(status, &err, WM_E_USAGE);
            fuzz_check(memcmp(&before, &settings, sizeof before) == 0, "a refusal changes nothing");
        }
        check_all(&settings);
    }
    print_and_apply(&settings);
    free(text);
    return 0;
}
