/* The report on a terminal: what must be said, 80 columns, chips, ASCII, nothing that a terminal would obey. */
#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "report/text.h"
#include "support/report_model.h"

static const wm_text_style PLAIN = {
    .chips = WM_CHIPS_NONE, .utf8 = true, .lines = 10, .full = true, .zone_rankings = true
};

static wm_buf written(model_kind kind, const wm_text_style *style)
{
    model m;
    wm_buf out = { 0 };
    model_make(&m, kind);
    assert_int_equal(wm_report_to_text(&out, &m.report, style, NULL), WM_OK);
    model_free(&m);
    return out;
}

static void says(const wm_buf *out, const char *words)
{
    if (!strstr(out->data, words))
        fail_msg("nowhere: %s\n%s", words, out->data);
}

/* Breaks and the spaces after them become one space. */
static void in_one_line(char *text)
{
    char *to = text;
    for (const char *p = text; *p; p++)
        if (*p != ' ' && *p != '\n')
            *to++ = *p;
        else if (to == text || to[-1] != ' ')
            *to++ = ' ';
    *to = '\0';
}

static void never_says(const wm_buf *out, const char *words)
{
    if (strstr(out->data, words))
        fail_msg("found: %s", words);
}

static void text_says_what_matters(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_FULL, &PLAIN);
    static const char *const WANTED[] = { "Fern and Linen",
                                          "2024-03-14",
                                          "Client    Anna Berg",
                                          "Display P3",
                                          "light unknown",
                                          "swatch oat: does not agree",
                                          "What to sew",
                                          "The photo is good enough to name the shade.",
                                          "Nearest to the base: fern.",
                                          "Shades    fern",
                                          ", for her own colour",
                                          "          mist",
                                          ", for her gray",
                                          "Where     Three layers: fern all along",
                                          "at each side a piece of",
                                          "g added (as cut to ",
                                          "mg on each hair",
                                          "Close?    blends without a visible edge, about dE00 1.3 off where it is",
                                          "close in 10 of 10 tries",
                                          "Why       Nearer to her hair than dusk alone",
                                          "Or        dusk all along: ",
                                          "To add    how thick her single hairs are",
                                          "The filter 'in stock' left out 3 shades.",
                                          "gray 30 % (25 to 40)",
                                          "little gray, under 10 %",
                                          "no gray seen",
                                          "can't be told from this photo",
                                          "To the base; the second is",
                                          "tied",
                                          "Row 2",
                                          "25 beads",
                                          "216 to 264 cm, used doubled",
                                          "52 and 6 in reserve, shade bark",
                                          "Quote",
                                          "2 rows, 180.00 EUR each",
                                          "tax 19 %",
                                          "total",
                                          "2024-04-25, 2024-06-06, 2024-07-18",
                                          "Work list",
                                          "10.",
                                          "From about 50 % gray at left temple",
                                          "Since 2023-12-20",
                                          "crown: no measurable change",
                                          "dE00 3.1 \302\261 1.4",
                                          "Take care",
                                          "licensed practice" };
    for (size_t i = 0; i < sizeof WANTED / sizeof WANTED[0]; i++)
        says(&out, WANTED[i]);
    never_says(&out, "To do"); /* what warnings say in full goes to standard error */
    wm_buf_free(&out);
}

/* C24: depth and warmth; every list is headed so. */
static void c24_text_that_names_no_shade(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_ROUGH, &PLAIN);
    says(&out, "\nNot enough to order from\n");
    says(&out, "left temple: light, L* 35 (");
    says(&out, "warm, reddish");
    says(&out, "Nearest by the numbers, but not enough to order from:\nShades ");
    says(&out, "To the base, not enough to order from:");
    never_says(&out, "What to sew");
    never_says(&out, "Nearest to");
    never_says(&out, "Short list");
    never_says(&out, "match ");
    never_says(&out, "blends");
    wm_buf_free(&out);
}

/* Where shades are named, a list that is too rough to rank says what to do with it. */
static void one_rough_list_is_held_to_her_hair(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    m.report.rankings[0].claim = WM_CLAIM_ROUGH;
    assert_int_equal(wm_report_to_text(&out, &m.report, &PLAIN, NULL), WM_OK);
    in_one_line(out.data);
    says(&out, "To the base, too uncertain to rank by, hold these to her hair:");
    never_says(&out, "not enough to order from");
    wm_buf_free(&out);
    model_free(&m);
}

/* M32: by claim and verdict, and by how many of the draws bear the verdict out: 47 of 64 are too few, 49 enough. */
static void m32_an_answer_is_called_by_claim_and_verdict(void **state)
{
    (void)state;
    static const struct {
        wm_claim claim;
        wm_verdict verdict;
        double close;
        const char *heading, *close_words;
    } CASES[] = { { WM_CLAIM_NAME, WM_VERDICT_MATCH, 1, "What to sew", "blends without" },
                  { WM_CLAIM_RUNNER_UP, WM_VERDICT_CLOSE, 49.0 / 64, "What to sew", "Close? close; a careful eye" },
                  { WM_CLAIM_NAME, WM_VERDICT_CLOSE, 47.0 / 64, "What to try first", "Close? perhaps close, about" },
                  { WM_CLAIM_THREE, WM_VERDICT_MATCH, 1, "What to try first", "blends without" },
                  { WM_CLAIM_FIVE, WM_VERDICT_CLOSE, 0.6, "What to try first", "hold it up to be sure" },
                  { WM_CLAIM_NAME, WM_VERDICT_VISIBLE, 0.2, "What comes nearest, but is likely to show",
                    "what is missing is a shade" },
                  { WM_CLAIM_THREE, WM_VERDICT_VISIBLE, 0.2, "What comes nearest, but is likely to show",
                    "narrows it down to three" },
                  { WM_CLAIM_NAME, WM_VERDICT_FAR, 0, "Nothing comes close: the nearest there is", "far off" } };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        model m;
        wm_buf out = { 0 };
        model_make(&m, MODEL_FULL);
        m.report.decision.claim = CASES[i].claim;
        m.report.proposals[0].verdict = CASES[i].verdict;
        m.report.proposals[0].p[1] = CASES[i].close;
        assert_int_equal(wm_report_to_text(&out, &m.report, &PLAIN, NULL), WM_OK);
        in_one_line(out.data);
        says(&out, CASES[i].heading);
        says(&out, CASES[i].close_words);
        wm_buf_free(&out);
        model_free(&m);
    }
}

/* The row with the least work may show where the runner-up does not: then the catalogue lacks nothing. */
static void m32_a_close_runner_up_is_pointed_at(void **state)
{
    (void)state;
    static const struct {
        wm_verdict verdict;
        double close;
        int further;
        bool pointed_at;
    } CASES[] = { { WM_VERDICT_CLOSE, 48.0 / 64, 1, true },
                  { WM_VERDICT_CLOSE, 47.0 / 64, 1, false },
                  { WM_VERDICT_CLOSE, 48.0 / 64, 0, false },
                  { WM_VERDICT_VISIBLE, 48.0 / 64, 1, false } };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        model m;
        model_make(&m, MODEL_FULL);
        m.report.decision.claim = WM_CLAIM_NAME;
        m.report.proposals[0].verdict = WM_VERDICT_FAR;
        m.report.proposals[1].verdict = CASES[i].verdict;
        m.report.proposals[1].p[1] = CASES[i].close;
        m.report.proposals[1].pieces = m.report.proposals[0].pieces + CASES[i].further;
        assert_int_equal(wm_report_answer(&m.report), CASES[i].pointed_at ? WM_ANSWER_SIMPLE : WM_ANSWER_FAR);
        model_free(&m);
    }
}

/* M4: as many shades as the claim. */
static void m4_text_names_as_many_as_the_claim(void **state)
{
    (void)state;
    static const struct {
        wm_claim claim;
        const char *words;
    } CASES[] = { { WM_CLAIM_NAME, "Nearest to the base: fern. bark is" },
                  { WM_CLAIM_RUNNER_UP, "Nearest to the base: fern, bark. bark" },
                  { WM_CLAIM_THREE, "Short list for the base, nearest first: fern, bark, dusk. bark" },
                  { WM_CLAIM_FIVE, "Short list for the base, nearest first: fern, bark, dusk, rust, slate. bark" } };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        model m;
        wm_buf out = { 0 };
        model_make(&m, MODEL_FULL);
        m.report.rankings[0].claim = CASES[i].claim;
        assert_int_equal(wm_report_to_text(&out, &m.report, &PLAIN, NULL), WM_OK);
        for (char *p = out.data; *p; p++)
            *p = *p == '\n' ? ' ' : *p;
        says(&out, CASES[i].words);
        wm_buf_free(&out);
        model_free(&m);
    }
}

/* One screen: what to sew, where, is it close, price, the runner-up, what changes something; the rest on demand. */
static void text_fits_one_screen(void **state)
{
    (void)state;
    wm_text_style style = PLAIN;
    style.full = style.zone_rankings = false;
    wm_buf out = written(MODEL_FULL, &style);
    size_t lines = 0;
    for (const char *p = out.data; *p; p++)
        lines += *p == '\n';
    print_message("# %zu lines\n", lines);
    assert_true(lines <= 40);
    says(&out, "Where     Three layers: fern all along");
    says(&out, "Price     ");
    says(&out, "--full");
    never_says(&out, "Work list");
    never_says(&out, "Nearest shades");
    never_says(&out, "licensed practice"); /* holds always: it changes nothing here */
    wm_buf_free(&out);
}

static void text_measured_and_small(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_MEASURED, &PLAIN);
    says(&out, "left temple");
    never_says(&out, "What to sew");
    never_says(&out, "Nearest shades");
    wm_buf_free(&out);
    out = written(MODEL_SMALL, &PLAIN);
    never_says(&out, "Client");
    never_says(&out, "Plan");
    wm_buf_free(&out);
}

static void text_lines_and_inches(void **state)
{
    (void)state;
    wm_text_style short_lists = PLAIN, inches = PLAIN;
    short_lists.lines = 1, inches.inches = true;
    wm_buf out = written(MODEL_FULL, &short_lists);
    never_says(&out, "tied"); /* the second of a list can be, the first is not */
    wm_buf_free(&out);
    out = written(MODEL_FULL, &inches);
    says(&out, "11.4 in arc, row 9.4 in");
    wm_buf_free(&out);
}

/* ---- columns ---- */

static size_t longest_line(const wm_buf *out)
{
    size_t longest = 0, columns = 0;
    for (const char *p = out->data; *p; p++) {
        if (*p == '\033')
            p = strchr(p, 'm') + 1; /* a chip's colour takes no room */
        if (*p == '\n')
            columns = 0;
        else if (((unsigned char)*p & 0xc0) != 0x80)
            columns++;
        longest = columns > longest ? columns : longest;
    }
    return longest;
}

static void text_within_80_columns(void **state)
{
    (void)state;
    static const wm_chips CHIPS[] = { WM_CHIPS_NONE, WM_CHIPS_256, WM_CHIPS_24BIT };
    for (int kind = MODEL_FULL; kind <= MODEL_MEASURED; kind++)
        for (size_t i = 0; i < 3; i++) {
            const wm_text_style style = { .chips = CHIPS[i], .utf8 = true, .lines = 10, .full = i > 0 };
            wm_buf out = written((model_kind)kind, &style);
            if (longest_line(&out) > 80)
                fail_msg("model %d has a line of %zu columns:\n%s", kind, longest_line(&out), out.data);
            assert_null(strstr(out.data, " \n"));
            wm_buf_free(&out);
        }
}

static void text_long_codes_stay_whole(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    strcpy(m.report.rankings[0].items[0].code, "oat-milk-of-the-early-summer-number-2");
    assert_int_equal(wm_report_to_text(&out, &m.report, &PLAIN, NULL), WM_OK);
    says(&out, "\n  oat-milk-of-the-early-summer-number-2\n                  match   ");
    wm_buf_free(&out);
    model_free(&m);
}

/* ---- chips ---- */

static void text_chips(void **state)
{
    (void)state;
    static const struct {
        wm_lab lab;
        const char *wide, *narrow;
    } CASES[] = {
        { { 0, 0, 0 }, "\033[48;2;0;0;0m   \033[0m ", "\033[48;5;16m   \033[0m " },
        { { 100, 0, 0 }, "\033[48;2;255;255;255m   \033[0m ", "\033[48;5;231m   \033[0m " },
        { { 53.5850, 0, 0 }, "\033[48;2;128;128;128m   \033[0m ", "\033[48;5;244m   \033[0m " }
    }; /* sRGB 128, by D50 grays alike in all three */
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        wm_buf out = { 0 };
        wm_text_chip(&out, CASES[i].lab, WM_CHIPS_24BIT);
        assert_string_equal(out.data, CASES[i].wide);
        wm_buf_free(&out);
        wm_text_chip(&out, CASES[i].lab, WM_CHIPS_256);
        assert_string_equal(out.data, CASES[i].narrow);
        wm_buf_free(&out);
        wm_text_chip(&out, CASES[i].lab, WM_CHIPS_NONE);
        assert_null(out.data);
    }
}

/* ---- terminals that know less, and texts that want more ---- */

static void text_in_ascii(void **state)
{
    (void)state;
    const wm_text_style ascii = { .chips = WM_CHIPS_NONE, .lines = 10, .full = true };
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    strcpy(m.report.client, "Zo\xc3\xab \xd7\xa9");
    assert_int_equal(wm_report_to_text(&out, &m.report, &ascii, NULL), WM_OK);
    for (const char *p = out.data; *p; p++)
        assert_true((unsigned char)*p < 0x80);
    says(&out, "dE00 3.1 +- 1.4");
    says(&out, "Zo? ?");
    says(&out, "\n-----------\n");
    wm_buf_free(&out);
    model_free(&m);
}

static void text_obeys_nobody(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    strcpy(m.report.client, "A\033]0;title\007\x7f\xc2\x9b"
                            "31mB\r\n\tC\xff");
    strcpy(m.report.zones[0].name, "crown\033[2J");
    strcpy(m.report.proposals[0].why, "why\033[31m\b\b");
    assert_int_equal(wm_report_to_text(&out, &m.report, &PLAIN, NULL), WM_OK);
    for (const char *p = out.data; *p; p++)
        assert_true((unsigned char)*p >= 0x20 ? *p != 0x7f : *p == '\n');
    assert_null(strstr(out.data, "\xc2\x9b"));
    says(&out, "Client    A]0;title31mB C?");
    wm_buf_free(&out);
    model_free(&m);
}

static void text_hostile_is_text(void **state)
{
    (void)state;
    wm_buf out = written(MODEL_HOSTILE, &PLAIN);
    assert_true(wm_utf8_valid(out.data, out.size));
    wm_buf_free(&out);
}

static void text_of_a_plan_alone(void **state)
{
    (void)state;
    model m;
    wm_buf out = { 0 };
    model_make(&m, MODEL_FULL);
    assert_int_equal(wm_plan_to_text(&out, &m.report.plan, &PLAIN, NULL), WM_OK);
    says(&out, "Work list");
    says(&out, "Take care");
    never_says(&out, "What to sew");
    wm_buf_free(&out);
    model_free(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(text_says_what_matters),
                                        cmocka_unit_test(c24_text_that_names_no_shade),
                                        cmocka_unit_test(one_rough_list_is_held_to_her_hair),
                                        cmocka_unit_test(m32_a_close_runner_up_is_pointed_at),
                                        cmocka_unit_test(m32_an_answer_is_called_by_claim_and_verdict),
                                        cmocka_unit_test(m4_text_names_as_many_as_the_claim),
                                        cmocka_unit_test(text_fits_one_screen),
                                        cmocka_unit_test(text_measured_and_small),
                                        cmocka_unit_test(text_lines_and_inches),
                                        cmocka_unit_test(text_within_80_columns),
                                        cmocka_unit_test(text_long_codes_stay_whole),
                                        cmocka_unit_test(text_chips),
                                        cmocka_unit_test(text_in_ascii),
                                        cmocka_unit_test(text_obeys_nobody),
                                        cmocka_unit_test(text_hostile_is_text),
                                        cmocka_unit_test(text_of_a_plan_alone) };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
