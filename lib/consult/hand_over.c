#include "consult/hand_over.h"

#include <stdlib.h>
#include <string.h>

#include "consult/saved.h"
#include "core/json.h"

/* Where in the text `"client":` has this value, NULL if nowhere; reports are written without spaces there. */
static const char *find_name(wm_buf *needle, const wm_bytes *json, const char *name)
{
    wm_buf_text(needle, "\"client\":");
    wm_buf_json_string(needle, name);
    return needle->failed ? NULL : strstr((const char *)json->data, needle->data);
}

wm_status wm_report_rename(wm_buf *out, const wm_bytes *report_json, const char *client, wm_error *err)
{
    wm_json_document *document = NULL;
    wm_buf needle = { 0 };
    const char *text = (const char *)report_json->data;
    wm_status status = wm_json_parse(&document, text, report_json->size, "the saved visit", WM_E_BOOK, err);
    if (status)
        return status;
    const char *name = wm_json_text(wm_json_get(wm_json_get(wm_json_root(document), "context"), "client"));
    const char *at = name ? find_name(&needle, report_json, name) : NULL;
    if (at) {
        wm_buf_bytes(out, text, (size_t)(at - text));
        wm_buf_text(out, "\"client\":");
        wm_buf_json_string(out, client);
        at += needle.size;
        wm_buf_bytes(out, at, report_json->size - (size_t)(at - text));
    } else {
        wm_buf_bytes(out, text, report_json->size);
    }
    status = wm_buf_status(&needle, err);
    wm_buf_free(&needle);
    wm_json_free(document);
    return status ? status : wm_buf_status(out, err);
}

wm_status wm_visit_hand_over(wm_book *book, int64_t visit_id, const wm_client *client, wm_error *err)
{
    wm_visit visit = { 0 };
    wm_buf report = { 0 };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = wm_book_visit_load_parts(&visit, book, visit_id, WM_VISIT_REPORTS, err);
    if (!status && wm_saved_measured(&visit))
        status = wm_report_rename(&report, &visit.report_json, client->name, err);
    if (!status) {
        wm_bytes bytes = { (unsigned char *)report.data, report.size };
        status = wm_book_visit_move(book, visit_id, client->id, report.size ? &bytes : NULL, err);
    }
    wm_buf_free(&report);
    wm_visit_free(&visit);
    return wm_book_end(book, status, err);
}
