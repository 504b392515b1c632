/* plain: what prints as it is written, what goes to a terminal, how names are sought. */
#include "core/plain.h"
#include "support/near.h"

#include <string.h>

static void lines_print_as_they_are_written(void **state)
{
    (void)state;
    static const char *const GOOD[] = { "Anna Berg", "Zo\xc3\xab M\xc3\xbcller", "\xe6\x9d\x8e", "540 \xe2\x82\xac",
                                        "" };
    static const char *const BAD[] = {
        "\033[2J",
        "a\tb",
        "a\nb",
        "a\x7f",
        "a\xc2\x85" /* next line */,
        "\xe2\x80\xae"
        "x" /* override */,
        "\xe2\x81\xa6"
        "x" /* isolate */,
        "\xe2\x80\xa8" /* line separator */,
        "\xef\xbb\xbf"
        "x" /* byte order mark */,
        "\xff",
        "\xc0\xaf" /* overlong */,
        "\xed\xa0\x80" /* surrogate */
    };
    for (size_t i = 0; i < sizeof GOOD / sizeof GOOD[0]; i++)
        assert_true(wm_plain_line(GOOD[i]));
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++)
        if (wm_plain_line(BAD[i]))
            fail_msg("line %zu is taken", i);
    assert_true(wm_plain_note("two\nlines\tof it"));
    assert_false(wm_plain_note("two\rlines"));
}

static void a_terminal_gets_colours_and_nothing_else(void **state)
{
    (void)state;
    static const char TEXT[] = "\033[48;2;1;2;3m  \033[0m \033[2J\033]0;x\a caf\xc3\xa9 \xe2\x80\xae\xff\r\n";
    wm_buf out = { 0 };
    wm_plain_for_terminal(&out, TEXT, sizeof TEXT - 1);
    assert_string_equal(out.data, "\033[48;2;1;2;3m  \033[0m ?[2J?]0;x? caf\xc3\xa9 ???\n");
    wm_buf_free(&out);
}

static void names_are_sought_without_case_and_marks(void **state)
{
    (void)state;
    static const char *const NAMES[][2] = { { "  Zo\xc3\xab   M\xc3\xbcller ", "zoe muller" },
                                            { "Stra\xc3\x9f"
                                              "e",
                                              "strasse" },
                                            { "\xc5\x81ucja \xc5\xbb\xc3\xb3\xc5\x82\xc4\x87", "lucja zolc" },
                                            { "\xc3\x86sa \xc3\x98st", "aesa ost" },
                                            { "Zo\xcc\x88"
                                              "e",
                                              "zoe" },
                                            { "\xe6\x9d\x8e", "\xe6\x9d\x8e" } };
    char out[40], small[4];
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++)
        assert_string_equal(wm_plain_sought(out, sizeof out, NAMES[i][0]), NAMES[i][1]);
    assert_string_equal(wm_plain_sought(small, sizeof small, "annabel"), "ann");
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(lines_print_as_they_are_written),
                                        cmocka_unit_test(a_terminal_gets_colours_and_nothing_else),
                                        cmocka_unit_test(names_are_sought_without_case_and_marks) };
    return cmocka_run_group_tests_name("plain", tests, NULL, NULL);
}
