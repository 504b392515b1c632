#include "report/html.h"

wm_status wm_report_to_html(wm_buf *out, const wm_html_input *input, wm_error *err)
{
    const wm_report *r = input->report;
    wm_buf_text(out, "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>");
    wm_buf_html(out, *r->client ? r->client : r->photo.file);
    wm_buf_text(out, "</title></head><body><h1>");
    wm_buf_html(out, *r->salon ? r->salon : "weftmatch");
    wm_buf_text(out, "</h1>\n<ol>");
    for (size_t i = 0; i < r->proposal_count; i++) {
        wm_buf_text(out, "<li>");
        wm_buf_html(out, r->proposals[i].why);
        wm_buf_text(out, "</li>\n");
    }
    wm_buf_text(out, "</ol></body></html>\n");
    return wm_buf_status(out, err);
}
