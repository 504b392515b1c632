/* The report as a page: what must be on it, what must never be, the same bytes each time. Its form and looks:
 * tests/browser. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "report/html.h"
#include "report/markup.h"
#include "support/comma.h"
#include "support/report_model.h"

static wm_buf page_of(const model *m)
{
    wm_buf out = { 0 };
    wm_error err;
    wm_html_input input = model_input(m);
    if (wm_report_to_html(&out, &input, &err))
        fail_msg("%s", err.text);
    return out;
}

static wm_buf written(model_kind kind)
{
    model m;
    model_make(&m, kind);
    wm_buf out = page_of(&m);
    model_free(&m);
    return out;
}

static void says(const wm_buf *out, const char *words)
{
    if (!strstr(out->data, words))
        fail_msg("nowhere: %s", words);
}

static void never_says(const wm_buf *out, const char *words)
{
    if (strstr(out->data, words))
        fail_msg("found: %s", words);
}

static void html_says_what_matters(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_FULL);
    static const char *const WANTED[] = {
        /* head */ "<title>Anna Berg, 14 March 2024</title>",
        "Fern and Linen",
        "<h1 translate=\"no\">Anna Berg</h1>",
        /* answer */ "Before you order",
        "The photo is good enough to name the shade.", /* C26: the gap */
        "Nearest to the base: fern. bark is 1.3 farther off",
        "fern and mist",
        "Three layers: fern all along",
        "for her gray",
        "The row from above, true to length",
        "worn down, seen from outside",
        "hair up, seen from beneath",
        "about dE00 1.3 off where it is farthest",
        "g added (as cut to ",
        "Nearer to her hair than dusk alone",
        "<h3>Or</h3>",
        "dusk",
        "For a better answer add how thick her single hairs are (assumed: medium).</li>",
        "The filter &#39;in stock&#39; left out 3 shades.",
        /* photo */ "data:image/jpeg;base64,/9j/",
        "left temple",
        "stroke-dasharray",
        "held at mid",
        "What would make it more certain",
        "To do: check its code",
        "swatch_mislabelled",
        /* shades */ "Hair at the left, bark at the right",
        "lighter, richer, redder",
        "tied with the first",
        "in stock",
        "Beads, by the root",
        "Zone left temple",
        /* care */ "Take care",
        "licensed practice",
        /* plan */ "Work list",
        "type=\"checkbox\"",
        "24.0 cm",
        "cut 216 to 264 cm",
        "52 + 6 spare",
        "180.00 EUR",
        "887.15 EUR",
        "25 April 2024",
        "6 June 2024",
        /* future, past */ "From about 50 % gray",
        "Since 20 December 2023",
        "no measurable change",
        "dE00 3.1 \302\261 1.4",
        "fern / mist / fern",
        "not noted",
        /* evidence */ "35.1 / 5.2 / 11.4",
        "\302\261 1.1 dE00, 15102 of 18000 pixels",
        "gray 30 % (25 to 40)",
        "little gray, under 10 %",
        "no gray seen",
        "can&#39;t be told from this photo",
        "data:image/png;base64,iVBOR",
        "sheen, left out",
        "a card and swatches",
        "swatch oat</b>: does not agree",
        /* provenance */ "3f2a90d1c4b58e77",
        "Display P3",
        "Meadow P4",
        "2024-03-14T10:20:00Z",
        "weftmatch 0.1.0, LittleCMS 2.14, SQLite 3.40.1"
    };
    for (size_t i = 0; i < sizeof WANTED / sizeof WANTED[0]; i++)
        says(&out, WANTED[i]);
    wm_buf_free(&out);
}

/* Where shades are named, a list that is too rough to rank says what to do with it. */
static void one_rough_list_is_held_to_her_hair(void **state)
{
    (void)state;
    model m;
    model_make(&m, MODEL_FULL);
    m.report.rankings[0].claim = WM_CLAIM_ROUGH;
    wm_buf out = page_of(&m);
    says(&out, "Base: too uncertain to rank by, hold these to her hair");
    never_says(&out, "not enough to order from");
    wm_buf_free(&out);
    model_free(&m);
}

/* C24: no shade is named large; lists are headed so; depth and warmth. */
static void c24_html_that_names_no_shade(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_ROUGH);
    says(&out, ">Not enough to order from</h2>");
    says(&out, "Nearest by the numbers, but not enough to order from");
    says(&out, "Base: not enough to order from");
    says(&out, "light, L* 35");
    says(&out, "warm, reddish");
    says(&out, "nothing of known colour in the photo");
    never_says(&out, "class=\"shade-name\"");
    never_says(&out, "class=\"drawings\"");
    never_says(&out, "Nearest to the");
    never_says(&out, "Short list");
    never_says(&out, "class=\"verdict\"");
    never_says(&out, "No colour service");
    wm_buf_free(&out);
}

static void html_of_little(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_SMALL);
    static const char *const NOT[] = { "id=\"plan\"", "id=\"visits\"", "id=\"grayer\"",       "id=\"photo\"",
                                       "<image",      "Other ways",    "What counts as what", "Left out" };
    for (size_t i = 0; i < sizeof NOT / sizeof NOT[0]; i++)
        never_says(&out, NOT[i]);
    says(&out, "<h1 translate=\"no\">spring.jpg</h1>"); /* nobody is named */
    says(&out, "Take care");
    wm_buf_free(&out);
    out = written(MODEL_MEASURED);
    never_says(&out, "id=\"answer\"");
    says(&out, "Hair measured from a photo");
    wm_buf_free(&out);
}

/* M30: only the views that count are drawn. */
static void m12_html_draws_what_counts(void **state)
{
    (void)state;
    for (int worn = WM_WORN_BOTH; worn <= WM_WORN_UP; worn++) {
        model m;
        model_make(&m, MODEL_FULL);
        m.report.worn = (wm_worn)worn;
        wm_buf out = page_of(&m);
        assert_true((strstr(out.data, "worn down</b>") != NULL) == (worn != WM_WORN_UP));
        assert_true((strstr(out.data, "hair up</b>") != NULL) == (worn != WM_WORN_DOWN));
        wm_buf_free(&out);
        model_free(&m);
    }
}

static void html_without_pictures(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    wm_html_input input = model_input(&m);
    input.pictures = NULL;
    assert_int_equal(wm_report_to_html(&out, &input, NULL), WM_OK);
    never_says(&out, "<image");
    says(&out, "What to sew");
    wm_buf_free(&out);
    model_free(&m);
}

static void html_in_inches(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    wm_html_input input = model_input(&m);
    input.inches = true;
    assert_int_equal(wm_report_to_html(&out, &input, NULL), WM_OK);
    says(&out, "<dt>Row</dt><dd>9.4 in</dd>");
    says(&out, "0.54 to 0.68 in");
    wm_buf_free(&out);
    model_free(&m);
}

/* ---- nothing breaks out ---- */

static void html_escapes_everything(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_HOSTILE);
    static const char *const NEVER[] = { "<script", "</title></svg>", "<img", "\"'`", "onerror=alert(2)>" };
    for (size_t i = 0; i < sizeof NEVER / sizeof NEVER[0]; i++)
        never_says(&out, NEVER[i]);
    says(&out, "&lt;/title&gt;&lt;/svg&gt;&lt;script&gt;alert(1)&lt;/script&gt;&quot;&#39;`&amp;amp;");
    assert_true(wm_utf8_valid(out.data, out.size));
    wm_buf_free(&out);
}

static void html_fetches_and_runs_nothing(void **state)
{
    (void)state;
    for (int kind = MODEL_FULL; kind <= MODEL_HOSTILE; kind++) {
        wm_buf out = written((model_kind)kind);
        static const char *const NEVER[] = { "<script", "javascript:", "src=\"", "url(",   "@import",
                                             "<link",   "<iframe",     "http:",  "https:", " style=\"" };
        for (size_t i = 0; i < sizeof NEVER / sizeof NEVER[0]; i++)
            never_says(&out, NEVER[i]);
        says(
            &out,
            "Content-Security-Policy\" content=\"default-src 'none'; img-src data:; base-uri 'none'; form-action 'none'; style-src 'sha256-");
        wm_buf_free(&out);
    }
}

static void markup_holes(void **state)
{
    (void)state;
    wm_buf out = { 0 };
    wm_markup(&out, "<p title=\"%s\">%d %z %0 %2 %c %% %s</p>", "\"><b>", -3, (size_t)7, 2.5, 1.005,
              (wm_lab){ 100, 0, 0 }, "a\001&\xff");
    assert_string_equal(out.data, "<p title=\"&quot;&gt;&lt;b&gt;\">-3 7 2 1.00 #ffffff % a&amp;\xef\xbf\xbd</p>");
    wm_buf_free(&out);
    wm_markup(&out, "%q");
    assert_true(out.failed);
    wm_buf_free(&out);
    out = (wm_buf){ 0 };
    wm_markup(&out, "100 %");
    assert_true(out.failed);
    wm_buf_free(&out);
}

/* ---- bytes ---- */

static void html_is_the_same_each_time(void **state)
{
    (void)state;
    wm_buf first = written(MODEL_FULL), second = written(MODEL_FULL);
    assert_string_equal(first.data, second.data);
    wm_buf_free(&first);
    wm_buf_free(&second);
}

static void html_in_a_locale_with_commas(void **state)
{
    (void)state;
    if (!comma_locale())
        skip();
    wm_buf first = written(MODEL_FULL);
    setlocale(LC_ALL, "C");
    wm_buf second = written(MODEL_FULL);
    assert_string_equal(first.data, second.data);
    wm_buf_free(&first);
    wm_buf_free(&second);
}

static void html_never_nan(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_SMALL);
    m.report.zones[0].body.u_de00 = NAN;
    wm_html_input input = model_input(&m);
    assert_int_not_equal(wm_report_to_html(&out, &input, NULL), WM_OK);
    wm_buf_free(&out);
    model_free(&m);
}

static void html_of_damaged_zones(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    wm_error err;
    model_make(&m, MODEL_FULL);
    m.pictures.zones_json.data[20] = 'x';
    m.pictures.zones_json.data[1] = '!';
    wm_html_input input = model_input(&m);
    assert_int_equal(wm_report_to_html(&out, &input, &err), WM_E_BOOK);
    assert_int_equal(err.code, WM_E_BOOK);
    wm_buf_free(&out);
    model_free(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(html_says_what_matters),
                                        cmocka_unit_test(c24_html_that_names_no_shade),
                                        cmocka_unit_test(one_rough_list_is_held_to_her_hair),
                                        cmocka_unit_test(html_of_little),
                                        cmocka_unit_test(m12_html_draws_what_counts),
                                        cmocka_unit_test(html_without_pictures),
                                        cmocka_unit_test(html_in_inches),
                                        cmocka_unit_test(html_escapes_everything),
                                        cmocka_unit_test(html_fetches_and_runs_nothing),
                                        cmocka_unit_test(markup_holes),
                                        cmocka_unit_test(html_is_the_same_each_time),
                                        cmocka_unit_test(html_in_a_locale_with_commas),
                                        cmocka_unit_test(html_never_nan),
                                        cmocka_unit_test(html_of_damaged_zones) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
