#include "output.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "context.h"
#include "core/file.h"
#include "report/html.h"
#include "report/json_out.h"
#include "report/text.h"
#include "consult/held_up.h"
#include "page/languages.h"
#include "say.h"

wm_status output_check(const args *a, wm_error *err)
{
    static const char *const OUTPUTS[] = { "output", "html", "ics" };
    int lines = 0;
    wm_status status = context_lines(&lines, a, err);
    for (size_t i = 0; i < 3 && !status; i++)
        if (args_has(a, OUTPUTS[i]))
            status = wm_file_check_new(args_text(a, OUTPUTS[i]), args_has(a, "force"), err);
    return status;
}

wm_status output_write_private(const args *a, const char *path, const wm_buf *out, wm_error *err)
{
    wm_status status = wm_buf_status(out, err);
    unsigned flags = WM_FILE_PRIVATE | (args_has(a, "force") ? (unsigned)WM_FILE_FORCE : 0);
    return status ? status : wm_file_write(path, out->data ? out->data : "", out->size, flags, err);
}

/* Both papers come from the same pictures. */
static wm_status write_pages(const args *a, const output_input *input, wm_error *err)
{
    wm_buf sheet = { 0 }, client = { 0 };
    wm_held_up *held_up = calloc(1, sizeof *held_up);
    wm_history_item *items = input->past ? history_items(input->past, input->currency) : NULL;
    wm_html_input page = { .report = input->report,
                           .pictures = input->pictures,
                           .history = items,
                           .history_count = items ? input->past->count : 0,
                           .gray = input->past ? &input->past->gray : NULL,
                           .inches = input->inches,
                           .settled = input->settled,
                           .zone_rankings = args_has(a, "zone-rankings"),
                           .held_up = held_up,
                           .with_face = args_has(a, "with-face") };
    wm_status status = held_up ? language_find(&page.language, args_text(a, "language"), err) : wm_fail_memory(err);
    if (!status)
        status = wm_held_up_of(held_up, input->report, input->pictures, err);
    if (!status && args_has(a, "html"))
        status = wm_report_to_html(&sheet, &page, err);
    if (!status && args_has(a, "client-html"))
        status = wm_report_to_client_html(&client, &page, err);
    if (!status && args_has(a, "html"))
        status = output_write_private(a, args_text(a, "html"), &sheet, err);
    if (!status && args_has(a, "client-html"))
        status = output_write_private(a, args_text(a, "client-html"), &client, err);
    if (held_up)
        wm_held_up_free(held_up);
    free(held_up);
    free(items);
    wm_buf_free(&sheet);
    wm_buf_free(&client);
    return status;
}

wm_status output_calendar(const args *a, const wm_plan *plan, const char *client, const output_hashed *hashed,
                          wm_error *err)
{
    char hash[65];
    wm_buf out = { 0 };
    if (hashed->photo_sha256 && *hashed->photo_sha256)
        snprintf(hash, sizeof hash, "%.64s", hashed->photo_sha256);
    else
        wm_sha256_hex(hash, hashed->bytes, hashed->size);
    wm_plan_visit visit = { client, hash, hashed->stamp };
    wm_status status = wm_plan_calendar(&out, plan, &visit, err);
    if (!status)
        status = output_write_private(a, args_text(a, "ics"), &out, err);
    wm_buf_free(&out);
    return status;
}

static wm_status write_calendar(const args *a, const output_input *input, wm_error *err)
{
    output_hashed hashed = { input->report->photo.sha256, input->json->data, input->json->size, input->stamp };
    if (!input->report->has_plan)
        return wm_fail(err, WM_E_USAGE, "--ics needs a plan; give the arc of the row with --arc");
    return output_calendar(a, &input->report->plan, input->report->client, &hashed, err);
}

/* What stdout or -o gets. */
static wm_status result_text(wm_buf *out, const args *a, const output_input *input, wm_error *err)
{
    if (args_has(a, "json")) {
        wm_buf_bytes(out, input->json->data, input->json->size);
        return wm_buf_status(out, err);
    }
    wm_text_style style = say_style(a);
    if (args_has(a, "output") && !args_has(a, "color"))
        style.chips = WM_CHIPS_NONE;
    style.inches = input->inches;
    style.settled = input->settled;
    style.full = args_has(a, "full");
    style.zone_rankings = args_has(a, "zone-rankings");
    wm_status status = context_lines(&style.lines, a, err);
    return status ? status : wm_report_to_text(out, input->report, &style, err);
}

/* Text names the five nearest at most, and lists as many lines as are asked for. */
static wm_status read_report(wm_report *out, const args *a, const wm_bytes *json, wm_error *err)
{
    static const char *const NOTHING[] = { NULL }, *const RANKINGS[] = { "rankings", NULL };
    enum { NAMED = 5 };
    int lines = say_style(a).lines;
    const bool page = args_has(a, "html") || args_has(a, "client-html");
    const wm_status status = context_lines(&lines, a, err);
    const wm_report_part part = { .without = page ? NOTHING : RANKINGS,
                                  .nearest = (size_t)(lines > NAMED ? lines : NAMED) };
    return status ? status
                  : wm_report_from_json_part(out, (const char *)json->data, json->size, &part, "the report", err);
}

wm_status output_open(output_input *input, const args *a, wm_error *err)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? read_report(report, a, input->json, err) : wm_fail_memory(err);
    if (status)
        free(report);
    else
        input->report = report;
    return status;
}

void output_close(output_input *input)
{
    if (input->report)
        wm_report_free(input->report);
    free(input->report);
    input->report = NULL;
}

wm_status output_files(const args *a, const output_input *input, int *exit_code, wm_error *err)
{
    wm_buf out = { 0 };
    wm_status status = args_has(a, "html") || args_has(a, "client-html") ? write_pages(a, input, err) : WM_OK;
    if (!status && args_has(a, "ics"))
        status = write_calendar(a, input, err);
    if (!status && args_has(a, "output"))
        status = result_text(&out, a, input, err);
    if (!status && args_has(a, "output"))
        status = output_write_private(a, args_text(a, "output"), &out, err);
    if (!status)
        *exit_code = wm_report_exit(input->report);
    wm_buf_free(&out);
    return status;
}

int output_stdout(const args *a, const output_input *input)
{
    wm_error err;
    wm_buf out = { 0 };
    int code = 0;
    say_warnings(a, &input->report->warnings, input->report->photo.file);
    if (!args_has(a, "output"))
        code = result_text(&out, a, input, &err) ? say_error(&err) : say_result(&out);
    wm_buf_free(&out);
    return code;
}

int output_all(const args *a, output_input *input)
{
    wm_error err;
    int code = 0;
    wm_status status = output_open(input, a, &err);
    if (!status)
        status = output_files(a, input, &code, &err);
    int written = status ? say_error(&err) : output_stdout(a, input);
    output_close(input);
    return written ? written : code;
}
