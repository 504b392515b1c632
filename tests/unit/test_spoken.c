/* spoken: sentences, what stays in them, days and numbers; of pages their texts alone. */
#include "support/near.h"

#include "report/spoken.h"

static const wm_sentence ROWS[] = {
    { "the row", "die Reihe" },
    { "fine", "feines" },
    { "{a} over {b}", "{a} auf {b}" },
    { "Row {A}", "Reihe {A}" },
    { "Sew {a}. Keep {b} in reserve", "{a} nähen. {b} als Reserve" },
    { "on {a}", "am {a}" },
    { "{A} May {B}", "{A}. Mai {B}" },
    { "edge", "über" },
    { "{A} edge", "{A} Kante" },
    { "{a} by {A}", "{A} an {a}" },
};
static const wm_language TEST = { "xx", ',', ROWS, sizeof ROWS / sizeof ROWS[0], NULL };
static const wm_language NONE = { "en", '.', NULL, 0, NULL };

static void says(const wm_language *language, const char *text, const char *expected)
{
    wm_buf out = { 0 };
    wm_spoken(&out, text, language);
    assert_false(out.failed);
    assert_string_equal(out.data ? out.data : "", expected);
    wm_buf_free(&out);
}

static void spoken_sentences(void **state)
{
    (void)state;
    says(&TEST, "The row.", "Die Reihe.");                  /* begins as the English one does, and ends so */
    says(&TEST, "Edge", "\303\234ber");                     /* a letter of two bytes too */
    says(&TEST, "moth over the row", "moth auf die Reihe"); /* what stays is said as well, where a row knows it */
    says(&TEST, "Sew moth. Keep 3 in reserve.", "moth nähen. 3 als Reserve.");
    says(&TEST, "Row 2: moth over oat; the row.", "Reihe 2: moth auf oat; die Reihe."); /* parts that are known */
    says(&TEST, "Row 2 a", "Row 2 a");                                                  /* one word */
    says(&TEST, "nobody knows this. Nor, this", "nobody knows this. Nor, this");
    says(&TEST, "a. b over c", "a. b auf c");            /* what stays never goes on into the next sentence */
    says(&TEST, "the row by moth", "moth an die Reihe"); /* a word beside a hole of the same letter */
    says(&TEST, "", "");
    says(&TEST, ".", ".");
    says(&NONE, "The row of 1.5 on 2026-05-14", "The row of 1.5 on 2026-05-14");
}

/* A shade that is called like a word of the language stays a shade where it is spoken of. */
static void spoken_names_stay(void **state)
{
    (void)state;
    wm_names names = { 0 };
    wm_language with_names = TEST;
    const char *const given[] = { "the row", "oat", "fine", "oat", "", NULL, "the" };
    for (size_t i = 0; i < sizeof given / sizeof given[0]; i++)
        wm_names_add(&names, given[i]);
    wm_names_sort(&names);
    assert_int_equal(names.count, 4);
    with_names.kept = &names;
    says(&with_names, "fine over the row", "fine auf the row");
    says(&with_names, "Sew fine. Keep 3 in reserve.", "fine nähen. 3 als Reserve.");
    says(&with_names, "fine, edge", "fine, über"); /* in a list too */
    says(&with_names, "Fine", "Feines");           /* alone it is the word */
    says(&with_names, "The row.", "Die Reihe.");
    says(&TEST, "fine, edge", "feines, über"); /* no word of a row ends in a comma */
    says(&TEST, "fine over the row", "feines auf die Reihe");
    wm_names_free(&names);
}

static void spoken_days_and_numbers(void **state)
{
    (void)state;
    says(&TEST, "on 2026-05-14", "am 14. Mai 2026");
    says(&TEST, "on 2026-13-14", "am 2026-13-14");
    says(&TEST, "2026-05-14T10:00:00Z", "2026-05-14T10:00:00Z");
    says(&TEST, "1.5 over -0.25", "1,5 auf -0,25");
    says(&TEST, "v0.1.0, a1.5, 1.5b, 12. 5, 887.15 EUR", "v0.1.0, a1.5, 1.5b, 12. 5, 887,15 EUR");
}

static void page_says(const char *page, const char *expected)
{
    wm_buf out = { 0 };
    wm_spoken_page(&out, page, &TEST);
    assert_false(out.failed);
    assert_string_equal(out.data, expected);
    wm_buf_free(&out);
}

static void spoken_pages(void **state)
{
    (void)state;
    page_says("<html lang=\"en\"><p class=\"the row\"> The row\n</p></html>",
              "<html lang=\"xx\"><p class=\"the row\"> Die Reihe\n</p></html>");
    page_says("<img alt=\"the row\" src=\"the row\"/>the row", "<img alt=\"die Reihe\" src=\"the row\"/>die Reihe");
    page_says("<style>the row</style><path d=\"M1.5\"/>1.5", "<style>the row</style><path d=\"M1.5\"/>1,5");
    /* what is named stays, with all that lies in it */
    page_says("<p translate=\"no\">fine <b>fine</b><br/>fine</p><p>fine</p>",
              "<p translate=\"no\">fine <b>fine</b><br/>fine</p><p>feines</p>");
    page_says("<b>a &amp; &lt;i&gt; over &#39;b&#39;</b>", "<b>a &amp; &lt;i&gt; auf &#39;b&#39;</b>");
    page_says("no end <b", "no end &lt;b"); /* no markup comes of it */
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(spoken_sentences), cmocka_unit_test(spoken_names_stay),
                                        cmocka_unit_test(spoken_days_and_numbers), cmocka_unit_test(spoken_pages) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
