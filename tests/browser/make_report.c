/* make_report OUT.html KIND: a report page of a model filled by hand: full, small, rough, measured or hostile. */
#include <stdio.h>
#include <string.h>

#include "core/file.h"
#include "support/report_model.h"

int main(int argc, char **argv)
{
    static const char *const KINDS[] = { "full", "small", "rough", "measured", "hostile" };
    model m;
    wm_buf out = { 0 };
    wm_error err;
    size_t kind = 0;
    if (argc != 3)
        return 2;
    while (kind < 5 && strcmp(KINDS[kind], argv[2]) != 0)
        kind++;
    if (kind == 5)
        return 2;
    model_make(&m, (model_kind)kind);
    wm_html_input input = model_input(&m);
    wm_status status = wm_report_to_html(&out, &input, &err);
    if (!status)
        status = wm_file_write(argv[1], out.data, out.size, WM_FILE_FORCE, &err);
    if (status)
        fprintf(stderr, "%s\n", err.text);
    wm_buf_free(&out);
    model_free(&m);
    return (int)status;
}
