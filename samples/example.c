/* The library in one page: from a photo to what to sew.
 *   cc example.c -o example $(pkg-config --cflags --libs weftmatch)
 *   ./example client.jpg client.zones.json swatches.csv 2026-11-26 > client.json */
#include <weftmatch/weftmatch.h>

#include <stdio.h>

static int complain(const wm_error *err)
{
    if (err->file[0])
        fprintf(stderr, "%s:%ld:%ld: ", err->file, err->line, err->column);
    fprintf(stderr, "%s\n", err->text);
    return (int)err->code;
}

/* The warnings to the stylist, the whole report as JSON to whoever asked. */
static int print(const wm_consultation *consultation)
{
    const char *text, *code;
    size_t size;
    for (size_t i = 0; (text = wm_consultation_warning(consultation, i, &code)) != NULL; i++)
        fprintf(stderr, "%s: %s\n", code, text);
    const char *json = wm_consultation_json(consultation, &size);
    if (fwrite(json, 1, size, stdout) != size || fflush(stdout) != 0) {
        fprintf(stderr, "the report can't be written; is the disk full?\n");
        return WM_E_OUTPUT;
    }
    return wm_consultation_answers(consultation) ? 0 : 1;
}

int main(int argc, char *argv[])
{
    wm_photo *photo = NULL;
    wm_zones *zones = NULL;
    wm_catalogue *catalogue = NULL;
    wm_consultation *consultation = NULL;
    wm_consult_options options = WM_CONSULT_OPTIONS_INIT;
    wm_error err;
    if (argc != 5) {
        fprintf(stderr, "usage: example PHOTO ZONES CATALOGUE YYYY-MM-DD\n");
        return WM_E_USAGE;
    }
    wm_status status = wm_zones_open(&zones, &err);
    if (!status)
        status = wm_zones_load(zones, argv[2], &err);
    if (!status)
        status = wm_catalogue_open(&catalogue, argv[3], &err);
    if (!status)
        status = wm_photo_open(&photo, argv[1], NULL, &err);
    if (!status) {
        options.photo = photo;
        options.zones = zones;
        options.catalogue = catalogue;
        options.date = argv[4];
        options.arcs_cm[options.row_count++] = 29;
        status = wm_match(&consultation, &options, &err);
    }
    int code = status ? complain(&err) : print(consultation);
    wm_consultation_close(consultation);
    wm_photo_close(photo);
    wm_catalogue_close(catalogue);
    wm_zones_close(zones);
    return code;
}
