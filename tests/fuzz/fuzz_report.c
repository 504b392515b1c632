/* The door of saved reports: any bytes as the JSON of a report, format 1 or 2, as a book from elsewhere may hold it.
 * What is refused gets one line; what is taken gives text, pages and JSON, and that JSON is taken again and says the
 * same. */
#include "fuzz.h"

#include <stdlib.h>
#include <string.h>

#include "report/html.h"
#include "report/json_out.h"
#include "report/text.h"

#include "report_seeds.h"
const char *const fuzz_words[] = { "null",
                                   "true",
                                   "false",
                                   "[]",
                                   "{}",
                                   "-1",
                                   "0",
                                   "1e308",
                                   "-1e308",
                                   "1e-308",
                                   "2147483647",
                                   "-2147483648",
                                   "9007199254740993",
                                   "\"\"",
                                   "\"<script>\"",
                                   "\"\\u001b[2J\\u202e\"",
                                   "\"\\u0000\"",
                                   "\"0000-00-00\"",
                                   "\"9999-12-31\"",
                                   "\"format\":1",
                                   "\"format\":2",
                                   "\"format\":3",
                                   "\"plan\":",
                                   "\"zones\":",
                                   "\"proposals\":",
                                   "\"rankings\":",
                                   "\"count\":",
                                   "\"layers\":",
                                   "\"segments\":",
                                   ",",
                                   ":",
                                   "[",
                                   "]",
                                   "{",
                                   "}",
                                   "\xff",
                                   NULL };

/* Both papers; a page ends, and holds no tag that a text could have brought. */
static void write_pages(const wm_report *report)
{
    static const wm_sentence SENTENCES[] = { { "{a} in {b}", "{b} in {a}" },
                                             { "{a} of {b} and {c}", "{a} {b} {c}" },
                                             { "{A}", "1" } };
    static const wm_language LANGUAGE = { "de", ',', SENTENCES, sizeof SENTENCES / sizeof SENTENCES[0], NULL };
    const wm_html_input input = { .report = report, .zone_rankings = true, .inches = true, .language = &LANGUAGE };
    wm_status (*const papers[])(wm_buf *, const wm_html_input *, wm_error *) = { wm_report_to_html,
                                                                                 wm_report_to_client_html };
    for (size_t i = 0; i < 2; i++) {
        wm_buf page = { 0 };
        wm_error err = { 0 };
        if (papers[i](&page, &input, &err))
            fuzz_check(0, err.text);
        fuzz_check(page.data && strstr(page.data, "</html>"), "a page is whole");
        fuzz_check(!strstr(page.data, "<script"), "no text becomes a tag");
        fuzz_check(!strstr(page.data, "=\"nan") && !strstr(page.data, "=\"-nan"), "no drawing stands nowhere");
        fuzz_check(wm_utf8_valid(page.data, page.size), "a page is UTF-8");
        wm_buf_free(&page);
    }
}

static void write_texts(const wm_report *report)
{
    static const wm_text_style STYLES[] = { { WM_CHIPS_NONE, false, 10, false, false, true, false, 0 },
                                            { WM_CHIPS_24BIT, true, 3, true, true, false, true, 50 } };
    for (size_t i = 0; i < 2; i++) {
        wm_buf text = { 0 };
        wm_error err = { 0 };
        if (wm_report_to_text(&text, report, &STYLES[i], &err))
            fuzz_check(0, err.text);
        wm_buf_free(&text);
    }
}

/* One of format 1 is read, shown and never written: its proposals' uncertainty has no place in the newest. */
static void write_json(wm_report *report)
{
    for (size_t i = 0; i < report->proposal_count; i++)
        report->proposals[i].u_de00 = 0;
    wm_buf once = { 0 }, twice = { 0 };
    wm_error err = { 0 };
    static wm_report again;
    if (wm_report_to_json(&once, report, &err) || wm_report_from_json(&again, once.data, once.size, "again", &err) ||
        wm_report_to_json(&twice, &again, &err))
        fuzz_check(0, err.text);
    fuzz_check(strcmp(once.data, twice.data) == 0, "our own JSON comes back the same");
    wm_report_free(&again);
    wm_buf_free(&once);
    wm_buf_free(&twice);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static wm_report report;
    wm_error err = { 0 };
    char *copy = fuzz_exact(data, size);
    wm_status status = wm_report_from_json(&report, copy, size, "visit 1", &err);
    free(copy);
    if (status) {
        FUZZ_REFUSED(status, &err, WM_E_BOOK);
        return 0;
    }
    write_texts(&report);
    write_pages(&report);
    write_json(&report);
    wm_report_free(&report);
    return 0;
}
