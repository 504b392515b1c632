/* make_report OUT.html KIND [sheet|client [LANGUAGE]]: a page of a model filled by hand: full, small, rough, measured
 * or hostile; the stylist's sheet, or the client's page. */
#include <stdio.h>
#include <string.h>

#include "core/file.h"
#include "page/languages.h"
#include "support/report_model.h"

static wm_status write_page(const char *path, model_kind kind, bool for_client, const char *language, wm_error *err)
{
    model m;
    wm_buf out = { 0 };
    model_make(&m, kind);
    wm_html_input input = model_input(&m);
    wm_status status = language_find(&input.language, language, err);
    if (!status)
        status = for_client ? wm_report_to_client_html(&out, &input, err) : wm_report_to_html(&out, &input, err);
    if (!status)
        status = wm_file_write(path, out.data, out.size, WM_FILE_FORCE, err);
    wm_buf_free(&out);
    model_free(&m);
    return status;
}

int main(int argc, char **argv)
{
    static const char *const KINDS[] = { "full", "small", "rough", "measured", "hostile" };
    wm_error err;
    size_t kind = 0;
    if (argc < 3 || argc > 5)
        return 2;
    while (kind < 5 && strcmp(KINDS[kind], argv[2]) != 0)
        kind++;
    if (kind == 5)
        return 2;
    wm_status status = write_page(argv[1], (model_kind)kind, argc > 3 && strcmp(argv[3], "client") == 0,
                                  argc > 4 ? argv[4] : NULL, &err);
    if (status)
        fprintf(stderr, "%s\n", err.text);
    return (int)status;
}
