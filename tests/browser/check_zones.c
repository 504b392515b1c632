/* check_zones PHOTO WIDTHxHEIGHT FILE...: each zones file as the program reads it and checks it against the photo; one
 * line a file: "ok" with its warnings' codes, or the error's text. Ends with 1 when any file was refused. */
#include "measure/zones.h"
#include "measure/zones_file.h"

#include <stdio.h>

static wm_status check(const char *path, const char *photo, const int size[2], wm_warnings *warnings, wm_error *err)
{
    wm_zones zones = { 0 };
    wm_status status = wm_zones_add_file(&zones, path, warnings, err);
    if (!status)
        status = wm_zones_check(&zones, size[0], size[1], photo, warnings, err);
    wm_zones_free(&zones);
    return status;
}

int main(int argc, char **argv)
{
    int size[2], refused = 0;
    if (argc < 4 || sscanf(argv[2], "%dx%d", &size[0], &size[1]) != 2)
        return 2;
    for (int i = 3; i < argc; i++) {
        wm_warnings warnings = { 0 };
        wm_error err = { 0 };
        if (!check(argv[i], argv[1], size, &warnings, &err)) {
            printf("ok");
            for (size_t n = 0; n < warnings.count; n++)
                printf(" %s", warnings.items[n].code);
            printf("\n");
        } else {
            printf("%s\n", err.text);
            refused = 1;
        }
        wm_warnings_free(&warnings);
    }
    return refused;
}
