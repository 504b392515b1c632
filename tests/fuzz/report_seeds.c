/* Writes the seeds of fuzz_report as a C table on stdout: reports filled by hand, and one saved by the format before.
 */
#include <stdio.h>
#include <stdlib.h>

#include "core/file.h"
#include "report/json_out.h"
#include "support/report_model.h"

static void put(int number, const char *bytes, size_t size)
{
    printf("static const char seed_%d[] = {", number);
    for (size_t i = 0; i < size; i++)
        printf(i % 32 ? "%d," : "\n    %d,", bytes[i]);
    printf("\n};\n");
}

int main(int argc, char **argv)
{
    enum { COUNT = 4 };
    static const model_kind KINDS[COUNT] = { MODEL_SMALL, MODEL_FULL, MODEL_ROUGH, MODEL_MEASURED };
    wm_bytes old = { 0 };
    wm_error err;
    if (argc != 2 || wm_file_read(&old, argv[1], 1 << 20, WM_E_BOOK, &err))
        return EXIT_FAILURE;
    printf("/* made by report_seeds.c; do not edit */\n");
    for (int i = 0; i < COUNT; i++) {
        model m;
        wm_buf out = { 0 };
        model_make(&m, KINDS[i]);
        if (wm_report_to_json(&out, &m.report, &err))
            return EXIT_FAILURE;
        put(i, out.data, out.size);
        wm_buf_free(&out);
        model_free(&m);
    }
    put(COUNT, (const char *)old.data, old.size);
    printf("const fuzz_seed fuzz_seeds[] = {\n");
    for (int i = 0; i <= COUNT; i++)
        printf("    { seed_%d, sizeof seed_%d },\n", i, i);
    printf("    { NULL, 0 }\n};\n");
    wm_bytes_free(&old);
    return EXIT_SUCCESS;
}
