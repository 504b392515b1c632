/* settings: the defaults are those of the README and of the rules; every key takes what it promises and refuses the
 * rest in one line. */
#include "consult/settings.h"
#include "support/near.h"

#include "support/folder.h"

#include <stdlib.h>
#include <string.h>

static size_t index_of(const char *key)
{
    const char *help, *name;
    for (size_t i = 0; (name = wm_settings_key(i, &help)); i++)
        if (strcmp(name, key) == 0)
            return i;
    fail_msg("no key %s", key);
    return 0;
}

static void printed_as(const wm_settings *settings, const char *key, const char *want)
{
    wm_buf out = { 0 };
    wm_settings_print(&out, settings, index_of(key));
    assert_string_equal(out.size ? out.data : "", want);
    wm_buf_free(&out);
}

/* The contract's defaults, as text, so that this table is read beside it. */
static const char *const DEFAULTS[][2] = { { "salon_name", "" },
                                           { "currency", "EUR" },
                                           { "units", "cm" },
                                           { "row_fee", "none" },
                                           { "moveup_fee", "none" },
                                           { "removal_fee", "none" },
                                           { "consultation_fee", "none" },
                                           { "tax_percent", "0" },
                                           { "deposit_percent", "0" },
                                           { "quote_days", "30" },
                                           { "bead_spacing_cm", "1" },
                                           { "bead_reserve_percent", "10" },
                                           { "hairline_margin_cm", "2.5" },
                                           { "thread_widths", "8,10" },
                                           { "moveup_weeks", "6" },
                                           { "weft_visits", "3" },
                                           { "order_days", "10" },
                                           { "verdict", "1.8,3.6,7.2" },
                                           { "area_weights", "0.8,0.15,0.05" },
                                           { "max_layers", "3" },
                                           { "blend_g", "0.75" },
                                           { "max_megapixels", "200" },
                                           { "max_file_mib", "256" } };

static void defaults_are_those_promised(void **state)
{
    (void)state;
    wm_settings settings = wm_settings_default();
    for (size_t i = 0; i < sizeof DEFAULTS / sizeof DEFAULTS[0]; i++)
        printed_as(&settings, DEFAULTS[i][0], DEFAULTS[i][1]);
}

/* `salon show` gives what `salon set` takes: three thirds still sum to 1. */
static void no_decimal_is_lost(void **state)
{
    (void)state;
    wm_settings settings = wm_settings_default();
    assert_int_equal(wm_settings_apply(&settings, "area_weights", "0.3333333,0.3333333,0.3333334", NULL), WM_OK);
    printed_as(&settings, "area_weights", "0.3333333,0.3333333,0.3333334");
    assert_int_equal(wm_settings_apply(&settings, "blend_g", "0.7125", NULL), WM_OK);
    printed_as(&settings, "blend_g", "0.7125");
}

static void every_key_has_help_and_takes_its_own_default(void **state)
{
    (void)state;
    const char *help, *key;
    size_t count = 0;
    wm_settings settings = wm_settings_default();
    for (; (key = wm_settings_key(count, &help)); count++) {
        wm_buf out = { 0 };
        wm_error err = { 0 };
        assert_true(strlen(help) > 3 && strlen(help) < 50); /* one line of a terminal with its key */
        wm_settings_print(&out, &settings, count);
        if (wm_settings_apply(&settings, key, out.size ? out.data : "", &err))
            fail_msg("%s", err.text);
        wm_buf_free(&out);
    }
    assert_true(count >= sizeof DEFAULTS / sizeof DEFAULTS[0]);
}

static void takes_what_is_possible(void **state)
{
    (void)state;
    static const char *const GOOD[][3] = { { "salon_name", "Fern & Linen \xc3\xa9", NULL },
                                           { "currency", "JPY", NULL },
                                           { "units", "in", NULL },
                                           { "row_fee", "180.5", NULL },
                                           { "row_fee", "180,5", "180.5" },
                                           { "row_fee", "1.8050", NULL }, /* "1.805" typed again could be 1805 */
                                           { "moveup_fee", "80 \xe2\x82\xac", "80" },
                                           { "removal_fee", "EUR 30", "30" },
                                           { "consultation_fee", "25", NULL },
                                           { "tax_percent", "19 %", "19" },
                                           { "deposit_percent", "30%", "30" },
                                           { "quote_days", "14", NULL },
                                           { "bead_spacing_cm", "1,2", "1.2" },
                                           { "weft_visits", "2", NULL },
                                           { "order_days", "0", NULL },
                                           { "avoided_shades", "ember,rust", NULL },
                                           { "row_fee", "none", NULL },
                                           { "tax_percent", "19.25", NULL },
                                           { "bead_spacing_cm", "0.2", NULL },
                                           { "bead_spacing_cm", "1.50", "1.5" },
                                           { "hairline_margin_cm", "0", NULL },
                                           { "thread_widths", "0,40", NULL },
                                           { "thread_widths", "9,9", NULL },
                                           { "moveup_weeks", "26", NULL },
                                           { "verdict", "1,2,3", NULL },
                                           { "area_weights", "1,0,0", NULL },
                                           { "area_weights", "0.7,0.2,0.1", NULL },
                                           { "max_layers", "1", NULL },
                                           { "blend_g", "0.4", NULL },
                                           { "blend_g", "0.812", NULL },
                                           { "max_megapixels", "1.5", NULL },
                                           { "max_file_mib", "4096", NULL } };
    for (size_t i = 0; i < sizeof GOOD / sizeof GOOD[0]; i++) {
        wm_settings settings = wm_settings_default();
        wm_error err = { 0 };
        if (wm_settings_apply(&settings, GOOD[i][0], GOOD[i][1], &err))
            fail_msg("%s", err.text);
        if (strcmp(GOOD[i][0], "max_megapixels") == 0)
            near("max_megapixels", settings.limits.max_megapixels, 1.5, 0);
        else
            printed_as(&settings, GOOD[i][0], GOOD[i][2] ? GOOD[i][2] : GOOD[i][1]);
    }
}

static void refuses_the_rest_and_stays_as_it_was(void **state)
{
    (void)state;
    static const char *const BAD[][3] = {
        { "unit", "cm", "no setting is called 'unit'; did you mean 'units'?" },
        { "colour", "red", "no setting is called 'colour'; see weftmatch salon show" },
        { "", "x", "no setting is called ''; see weftmatch salon show" },
        { "salon_name", "two\nlines", "salon_name is one line of plain text, at most 127 bytes; shorten it" },
        { "salon_name", "\xff", "salon_name is one line of plain text, at most 127 bytes; shorten it" },
        { "currency", "eur", "currency can't be 'eur'; give an ISO 4217 code of three capital letters such as EUR" },
        { "currency", "EURO", "currency can't be 'EURO'; give an ISO 4217 code of three capital letters such as EUR" },
        { "units", "CM", "units can't be 'CM'; give cm or in" },
        { "row_fee", "-1",
          "row_fee can't be '-1'; give a number from 0 up with a point and at most three decimals, such as 89.50" },
        { "row_fee", "1,250", "'1,250' could be 1.25 or 1250; write it as one of these" },
        { "row_fee", "1.200", "'1.200' could be 1.2 or 1200; write it as one of these" },
        { "moveup_fee", "12 USD",
          "moveup_fee can't be '12 USD'; give a number from 0 up with a point and at most three decimals, such as 89.50" },
        { "tax_percent", "101", "tax_percent can't be '101'; give 0 to 100" },
        { "bead_spacing_cm", "0.1", "bead_spacing_cm can't be '0.1'; give a number from 0.2 to 5" },
        { "bead_spacing_cm", "nan", "bead_spacing_cm can't be 'nan'; give a number from 0.2 to 5" },
        { "bead_spacing_cm", "inf", "bead_spacing_cm can't be 'inf'; give a number from 0.2 to 5" },
        { "bead_spacing_cm", "1,250", "bead_spacing_cm can't be '1,250'; give a number from 0.2 to 5" },
        { "deposit_percent", "30 per cent",
          "deposit_percent can't be '30 per cent'; give a number from 0 up with a point and at most three decimals, such as 89.50" },
        { "bead_spacing_cm", "", "bead_spacing_cm can't be ''; give a number from 0.2 to 5" },
        { "thread_widths", "10,8",
          "thread_widths can't be '10,8'; give 2 numbers from 0 to 40 with commas between, rising" },
        { "thread_widths", "8", "thread_widths can't be '8'; give 2 numbers from 0 to 40 with commas between, rising" },
        { "moveup_weeks", "0", "moveup_weeks can't be '0'; give a whole number from 1 to 26" },
        { "moveup_weeks", "6.5", "moveup_weeks can't be '6.5'; give a whole number from 1 to 26" },
        { "verdict", "1,2", "verdict can't be '1,2'; give 3 numbers from 0.1 to 50 with commas between, rising" },
        { "verdict", "1,2,3,4",
          "verdict can't be '1,2,3,4'; give 3 numbers from 0.1 to 50 with commas between, rising" },
        { "verdict", "1,2,3,", "verdict can't be '1,2,3,'; give 3 numbers from 0.1 to 50 with commas between, rising" },
        { "area_weights", "0.5,0.4,0.2", "area_weights can't be '0.5,0.4,0.2'; give three numbers that sum to 1" },
        { "area_weights", "1.5,-0.5,0",
          "area_weights can't be '1.5,-0.5,0'; give 3 numbers from 0 to 1 with commas between" },
        { "max_layers", "4", "max_layers can't be '4'; give a whole number from 1 to 3" },
        { "blend_g", "1", "blend_g can't be '1'; give a number from 0.4 to 0.9" }
    };
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        wm_settings settings = wm_settings_default(), before = settings;
        wm_error err = { 0 };
        assert_int_equal(wm_settings_apply(&settings, BAD[i][0], BAD[i][1], &err), WM_E_USAGE);
        assert_string_equal(err.text, BAD[i][2]);
        assert_memory_equal(&settings, &before, sizeof settings);
        assert_int_equal(wm_settings_apply(&settings, BAD[i][0], BAD[i][1], NULL), WM_E_USAGE);
    }
    char long_value[300];
    wm_settings settings = wm_settings_default();
    memset(long_value, '1', sizeof long_value);
    long_value[299] = '\0';
    assert_int_equal(wm_settings_apply(&settings, "verdict", long_value, NULL), WM_E_USAGE);
    assert_int_equal(wm_settings_apply(&settings, "salon_name", long_value, NULL), WM_E_USAGE);
}

static void the_book_overlays_the_defaults(void **state)
{
    (void)state;
    wm_book *book = NULL;
    wm_settings settings;
    wm_error err = { 0 };
    assert_int_equal(wm_settings_load(&settings, NULL, &err), WM_OK);
    printed_as(&settings, "currency", "EUR");
    assert_int_equal(wm_book_open(&book, folder_file("salon.book"), WM_BOOK_CREATE, &err), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "currency", "USD", &err), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "verdict", "1,2,3", &err), WM_OK);
    assert_int_equal(wm_book_setting_set(book, "of_a_later_version", "x", &err), WM_OK); /* not ours to judge */
    assert_int_equal(wm_settings_load(&settings, book, &err), WM_OK);
    printed_as(&settings, "currency", "USD");
    printed_as(&settings, "max_layers", "3");
    near("match", settings.verdict.match, 1, 0);
    near("visible", settings.verdict.visible, 3, 0);
    assert_int_equal(wm_book_setting_set(book, "max_layers", "9", &err), WM_OK);
    assert_int_equal(wm_settings_load(&settings, book, &err), WM_E_BOOK);
    assert_string_equal(err.text,
                        "the book holds max_layers=9, which is not possible; set it again with weftmatch salon set");
    printed_as(&settings, "currency", "USD"); /* untouched */
    wm_book_close(book);
}

/* 540 euro stay 540 when the salon counts in dollars later. */
static void it_keeps_what_was_understood(void **state)
{
    (void)state;
    wm_book *book = NULL;
    wm_settings settings = wm_settings_default();
    wm_buf value = { 0 };
    assert_int_equal(wm_book_open(&book, folder_file("salon.book"), WM_BOOK_CREATE, NULL), WM_OK);
    assert_int_equal(wm_settings_apply(&settings, "row_fee", "1.540,50 \xe2\x82\xac", NULL), WM_OK);
    assert_int_equal(wm_settings_keep(&value, book, &settings, "row_fee", NULL), WM_OK);
    assert_string_equal(value.data, "1540.5");
    assert_int_equal(wm_book_setting_set(book, "moveup_fee", "8.875", NULL), WM_OK); /* as it was kept, not as typed */
    assert_int_equal(wm_book_setting_set(book, "currency", "USD", NULL), WM_OK);
    assert_int_equal(wm_settings_load(&settings, book, NULL), WM_OK);
    printed_as(&settings, "row_fee", "1540.5");
    printed_as(&settings, "moveup_fee", "8.8750");
    wm_buf_free(&value);
    wm_book_close(book);
}

/* As they are said: the unit that the key names, another length, decimal commas. */
static void units_may_be_said(void **state)
{
    (void)state;
    static const char *const SAID[][3] = {
        { "moveup_weeks", "6 weeks", "6" },      { "bead_spacing_cm", "12 mm", "1.2" },
        { "bead_spacing_cm", "1,2cm", "1.2" },   { "tax_percent", "19,5 %", "19.5" },
        { "tax_percent", "19%", "19" },          { "load_limit_mg", "35 mg", "35" },
        { "bead_reserve_percent", "10%", "10" }, { "verdict", "1,8;3,6;7,2", "1.8,3.6,7.2" }
    };
    static const char *const REFUSED[][2] = { { "moveup_weeks", "6 days" },
                                              { "bead_spacing_cm", "1 kg" },
                                              { "tax_percent", "1,200" },
                                              { "load_limit_mg", "mg" } };
    wm_settings settings = wm_settings_default();
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++) {
        assert_int_equal(wm_settings_apply(&settings, SAID[i][0], SAID[i][1], NULL), WM_OK);
        printed_as(&settings, SAID[i][0], SAID[i][2]);
    }
    for (size_t i = 0; i < sizeof REFUSED / sizeof REFUSED[0]; i++)
        assert_int_equal(wm_settings_apply(&settings, REFUSED[i][0], REFUSED[i][1], NULL), WM_E_USAGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(defaults_are_those_promised),
        cmocka_unit_test(no_decimal_is_lost),
        cmocka_unit_test(every_key_has_help_and_takes_its_own_default),
        cmocka_unit_test(takes_what_is_possible),
        cmocka_unit_test(refuses_the_rest_and_stays_as_it_was),
        cmocka_unit_test(units_may_be_said),
        cmocka_unit_test_setup_teardown(it_keeps_what_was_understood, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(the_book_overlays_the_defaults, folder_make, folder_remove)
    };
    return cmocka_run_group_tests_name("settings", tests, NULL, NULL);
}
