/* buf: text that depends on nothing but its input, whatever the locale. */
#include "core/buf.h"
#include "support/comma.h"
#include "support/near.h"
#include "support/rng.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int plain_locale(void **state)
{
    (void)state;
    setlocale(LC_ALL, "C");
    return 0;
}

static void expect(wm_buf *buf, const char *want)
{
    assert_int_equal(wm_buf_status(buf, NULL), WM_OK);
    assert_string_equal(buf->data, want);
    assert_int_equal(buf->size, strlen(want));
    wm_buf_free(buf);
}

static void expect_number(double value, int decimals, const char *want)
{
    wm_buf buf = { 0 };
    char text[40];
    wm_buf_number(&buf, value, decimals);
    if (strlen(want) < sizeof text)
        assert_string_equal(wm_number_text(text, value, decimals), want);
    expect(&buf, want);
}

static void expect_short(double value, int decimals, const char *want)
{
    wm_buf buf = { 0 };
    wm_buf_short_number(&buf, value, decimals);
    expect(&buf, want);
}

static void check_numbers(void)
{
    expect_short(0, 3, "0");
    expect_short(100, 0, "100");
    expect_short(-2.50, 6, "-2.5");
    expect_short(0.5201000001, 6, "0.5201");
    expect_short(-0.0000001, 6, "0");
    expect_number(0, 0, "0");
    expect_number(-0.0, 4, "0.0000");
    expect_number(-0.00004, 4, "0.0000"); /* never "-0" */
    expect_number(-0.00006, 4, "-0.0001");
    expect_number(1234567.891, 2, "1234567.89"); /* no grouping */
    expect_number(0.5, 0, "0");                  /* ties to even, as IEEE 754 has it */
    expect_number(1.5, 0, "2");
    expect_number(2.675, 2, "2.67"); /* the double is below the tie */
    expect_number(-12.25, 9, "-12.250000000");
    expect_number(1e22, 1, "10000000000000000000000.0");
}

/* Ties and their neighbours, and numbers of every size, against printf in the C locale. */
static void numbers_are_rounded_as_printf_does(void **state)
{
    (void)state;
    rng r = { 5 };
    char want[400];
    for (int i = 0; i < 200000; i++) {
        const int decimals = i % 8;
        double value = rng_between(&r, -1, 1) * pow(10, rng_between(&r, -8, 11));
        if (i % 3 == 0) { /* a tie, if it can be told, or the double beside it */
            value = (floor(rng_between(&r, -3000, 3000)) + 0.5) / pow(10, decimals);
            value = i % 2 ? value : nextafter(value, i % 4 ? 0 : 1e9);
        }
        snprintf(want, sizeof want, "%.*f", decimals, value);
        expect_number(value, decimals, *want == '-' && !strpbrk(want, "123456789") ? want + 1 : want);
    }
}

static void numbers(void **state)
{
    (void)state;
    check_numbers();
}

static void numbers_under_a_comma_locale(void **state)
{
    (void)state;
    if (!comma_locale())
        skip();
    check_numbers();
    double value;
    assert_true(wm_number_parse("41.5", &value));
    near("41.5", value, 41.5, 0);
    assert_false(wm_number_parse("41,5", &value));
    char text[8];
    snprintf(text, sizeof text, "%.1f", 1.5); /* the locale is as it was */
    assert_string_equal(text, "1,5");
}

static void no_nan_gets_out(void **state)
{
    (void)state;
    const double bad[] = { (double)NAN, (double)INFINITY, -(double)INFINITY };
    for (size_t i = 0; i < 3; i++) {
        wm_buf buf = { 0 };
        wm_buf_number(&buf, bad[i], 2);
        assert_true(buf.failed);
        wm_buf_text(&buf, "more"); /* sticks */
        assert_int_equal(buf.size, 0);
        assert_int_equal(wm_buf_status(&buf, NULL), WM_E_MEMORY);
        wm_buf_free(&buf);
        char text[40];
        assert_string_equal(wm_number_text(text, bad[i], 2), "?");
    }
}

static void the_largest_numbers_fit(void **state)
{
    (void)state;
    wm_buf buf = { 0 };
    wm_buf_number(&buf, -DBL_MAX, 9);
    assert_int_equal(buf.size, 1 + 309 + 1 + 9);
    wm_buf_free(&buf);
    char text[40];
    assert_string_equal(wm_number_text(text, -DBL_MAX, 9), "?");
    assert_int_equal(strlen(wm_number_text(text, -9.9e27, 9)), 39);
    assert_string_equal(wm_number_text(text, -9.9e28, 9), "?");
}

static void parse_accepts(void **state)
{
    (void)state;
    const struct {
        const char *text;
        double value;
    } good[] = { { "0", 0 },         { "-0", -0.0 },  { "41", 41 },  { "+3.10", 3.1 },
                 { "2.05E1", 20.5 }, { "5.", 5 },     { ".5", .5 },  { "1e-3", .001 },
                 { "1e+3", 1000 },   { "1e-400", 0 }, { "0.1", .1 }, { "1.7976931348623157e308", DBL_MAX },
                 { "00012", 12 } };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double value = -1;
        assert_true(wm_number_parse(good[i].text, &value));
        near(good[i].text, value, good[i].value, 0);
    }
}

static void parse_refuses(void **state)
{
    (void)state;
    const char *const bad[] = { "",          " ",      "1 ",    " 1",  "1,5",   "1.5.2",    "nan", "NaN", "inf",
                                "-infinity", "0x10",   "1e",    "1e+", "e5",    ".",        "+",   "-",   "--1",
                                "1e999",     "-1e999", "1_000", "1\t", "4l.00", "\xd9\xa1", "1f" };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double value = 7;
        if (wm_number_parse(bad[i], &value))
            fail_msg("'%s' was taken for a number", bad[i]);
        near("untouched", value, 7, 0);
    }
    assert_false(wm_number_parse(NULL, &(double){ 0 }));
}

static void whole_numbers(void **state)
{
    (void)state;
    long value = 7;
    assert_true(wm_whole_parse("-12", -12, 5, &value));
    assert_int_equal(value, -12);
    const char *const bad[] = {
        "", "+", "1.0", "1e2", " 1", "1 ", "0x1", "6", "-13", "99999999999999999999", "-99999999999999999999"
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (wm_whole_parse(bad[i], -12, 5, &value))
            fail_msg("'%s' was taken for a whole number", bad[i]);
    assert_false(wm_whole_parse(NULL, 0, 1, &value));
    assert_int_equal(value, -12);
}

static void json_strings(void **state)
{
    (void)state;
    wm_buf buf = { 0 };
    wm_buf_json_string(&buf, "a\"\\/\b\f\n\r\t\x01\x1f\x7f caf\xc3\xa9 \xf0\x9f\x92\x87");
    expect(&buf, "\"a\\\"\\\\/\\b\\f\\n\\r\\t\\u0001\\u001f\x7f caf\xc3\xa9 \xf0\x9f\x92\x87\"");
    wm_buf_json_string(&buf, "");
    expect(&buf, "\"\"");
    wm_buf_json_string(&buf, "\xff\xc3");
    expect(&buf, "\"\xef\xbf\xbd\xef\xbf\xbd\"");
}

static void html_text(void **state)
{
    (void)state;
    wm_buf buf = { 0 };
    wm_buf_html(&buf, "<b a=\"x\" c='y'> & caf\xc3\xa9\n\t\x01\x0b\x7f\xc2\x85\xff\xef\xbf\xbe");
    expect(&buf, "&lt;b a=&quot;x&quot; c=&#39;y&#39;&gt; &amp; caf\xc3\xa9\n\t\xef\xbf\xbd\xef\xbf\xbd");
}

/* Test vectors of RFC 4648, section 10. */
static void base64(void **state)
{
    (void)state;
    const char *const want[] = { "", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy" };
    for (size_t i = 0; i <= 6; i++) {
        wm_buf buf = { 0 };
        wm_buf_base64(&buf, "foobar", i);
        expect(&buf, want[i]);
    }
    wm_buf buf = { 0 };
    wm_buf_base64(&buf, "\xfb\xff\xfe", 3);
    expect(&buf, "+//+");
}

static void utf8(void **state)
{
    (void)state;
    const char *const good[] = { "",
                                 "a",
                                 "\xc2\x80",
                                 "\xdf\xbf",
                                 "\xe0\xa0\x80",
                                 "\xed\x9f\xbf",
                                 "\xee\x80\x80",
                                 "\xf0\x90\x80\x80",
                                 "\xf4\x8f\xbf\xbf" };
    const char *const bad[] = { "\x80",
                                "\xc0\x80",
                                "\xc1\xbf",
                                "\xc2",
                                ("\xc2"
                                 "a"),
                                "\xe0\x9f\xbf",
                                "\xed\xa0\x80",
                                "\xe2\x82",
                                "\xf0\x8f\xbf\xbf",
                                "\xf4\x90\x80\x80",
                                "\xf5\x80\x80\x80",
                                "\xff",
                                "a\xc3" };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        assert_true(wm_utf8_valid(good[i], strlen(good[i])));
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_false(wm_utf8_valid(bad[i], strlen(bad[i])));
    assert_false(wm_utf8_valid("a\0b", 3));
    assert_int_equal(wm_utf8_step("\xe2\x82\xac", 2), 0);
    assert_int_equal(wm_utf8_step("\xe2\x82\xac", 3), 3);
}

static void limit_is_kept(void **state)
{
    (void)state;
    wm_buf buf = { .limit = 10 };
    wm_buf_text(&buf, "12345");
    wm_buf_format(&buf, "%s", "67890");
    assert_int_equal(wm_buf_status(&buf, NULL), WM_OK);
    wm_buf_text(&buf, "x");
    wm_error err = { 0 };
    assert_int_equal(wm_buf_status(&buf, &err), WM_E_MEMORY);
    assert_true(err.text[0] != '\0');
    assert_string_equal(buf.data, "1234567890"); /* what was there stays */
    wm_buf_free(&buf);
    assert_int_equal(buf.limit, 10);
    assert_false(buf.failed);
    wm_buf_base64(&buf, "123456789", 9);
    assert_true(buf.failed);
    wm_buf_free(&buf);
}

static void growth(void **state)
{
    (void)state;
    wm_buf buf = { 0 };
    for (int i = 0; i < 100000; i++)
        wm_buf_bytes(&buf, "ab", 2);
    wm_buf_bytes(&buf, NULL, 0);
    assert_int_equal(buf.size, 200000);
    assert_int_equal(buf.data[200000], '\0');
    wm_buf_free(&buf);
    wm_buf_bytes(&buf, "\0x", 2); /* bytes, not text */
    assert_int_equal(buf.size, 2);
    wm_buf_free(&buf);
}

static void text_copy(void **state)
{
    (void)state;
    char *copy = wm_text_copy("oat");
    assert_string_equal(copy, "oat");
    free(copy);
    assert_null(wm_text_copy(NULL));
}

static void near_misses(void **state)
{
    (void)state;
    const char *const words[] = { "measure", "match", "mark", "swatch", "plan", "ab" };
    const struct {
        const char *text, *want;
    } cases[] = { { "mesure", "measure" }, { "macth", "match" }, { "MATCH", "match" }, { "mrak", "mark" },
                  { "swach", "swatch" },   { "plain", "plan" },  { "report", NULL },   { "", NULL },
                  { "b", NULL },           { "xy", NULL },       { "pxxn", NULL },     { "mmeeasure", "measure" } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const char *got = wm_near_miss(cases[i].text, words, 6);
        if (cases[i].want ? !got || strcmp(got, cases[i].want) != 0 : got != NULL)
            fail_msg("'%s': want %s, got %s", cases[i].text, cases[i].want ? cases[i].want : "none",
                     got ? got : "none");
    }
    const char *const equals[] = { "oat-2", "oat-3" };
    assert_string_equal(wm_near_miss("oat-1", equals, 2), "oat-2"); /* the first of equals */
    assert_null(wm_near_miss("oat", equals, 0));
    char endless[500];
    memset(endless, 'a', sizeof endless);
    endless[499] = '\0';
    const char *const one[] = { endless };
    assert_null(wm_near_miss(endless, words, 6));
    assert_null(wm_near_miss("aaa", one, 1));
}

static void json_members(void **state)
{
    (void)state;
    wm_buf out = { 0 };
    wm_buf_json_text(&out, "{\"why\":", "sold \"out\"");
    wm_buf_json_number(&out, ",\"a\":", true, -1.5, 1);
    wm_buf_json_number(&out, ",\"b\":", false, 7, 1);
    assert_string_equal(out.data, "{\"why\":\"sold \\\"out\\\"\",\"a\":-1.5,\"b\":null");
    wm_buf_free(&out);
}

static void kept_text(void **state)
{
    (void)state;
    char room[] = "........";
    wm_text_keep(room, 8, "seven77");
    assert_string_equal(room, "seven77");
    wm_text_keep(room, 8, "eight888");
    assert_string_equal(room, "eight88");
    wm_text_keep(room, 1, "none");
    assert_string_equal(room, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(kept_text),
                                        cmocka_unit_test(json_members),
                                        cmocka_unit_test(numbers),
                                        cmocka_unit_test(numbers_are_rounded_as_printf_does),
                                        cmocka_unit_test_teardown(numbers_under_a_comma_locale, plain_locale),
                                        cmocka_unit_test(no_nan_gets_out),
                                        cmocka_unit_test(the_largest_numbers_fit),
                                        cmocka_unit_test(parse_accepts),
                                        cmocka_unit_test(parse_refuses),
                                        cmocka_unit_test(whole_numbers),
                                        cmocka_unit_test(json_strings),
                                        cmocka_unit_test(html_text),
                                        cmocka_unit_test(base64),
                                        cmocka_unit_test(utf8),
                                        cmocka_unit_test(limit_is_kept),
                                        cmocka_unit_test(growth),
                                        cmocka_unit_test(text_copy),
                                        cmocka_unit_test(near_misses) };
    return cmocka_run_group_tests_name("buf", tests, NULL, NULL);
}
