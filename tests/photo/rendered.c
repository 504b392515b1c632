#include "photo/rendered.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/file.h"
#include "core/json.h"

enum { LINE = 2000 };

static bool complain(const char *what, const char *options, const wm_error *err)
{
    printf("# %s: %s %s\n", options, what, err ? err->text : "");
    return false;
}

static wm_lab lab_at(const wm_json *array)
{
    wm_lab lab = { 0, 0, 0 };
    wm_json_number(wm_json_at(array, 0), &lab.L);
    wm_json_number(wm_json_at(array, 1), &lab.a);
    wm_json_number(wm_json_at(array, 2), &lab.b);
    return lab;
}

/* A salt-and-pepper swatch of the few fibres that a small picture has differs from its recipe by its luck with gray
 * ones, as no real hank of thousands does: the catalogue gets the colour of the swatch in the picture, as if the salon
 * had measured that one. */
static void measure_mixed_swatches(rendered *out, const wm_json *swatches)
{
    for (size_t i = 0; i < wm_json_count(swatches); i++) {
        const wm_json *own = wm_json_at(swatches, i);
        for (size_t k = 0; k < out->catalogue.count; k++) {
            wm_swatch *swatch = &out->catalogue.items[k];
            if (swatch->gray_share > 0 && strcmp(swatch->code, wm_json_text(wm_json_get(own, "true_code"))) == 0)
                swatch->lab = lab_at(wm_json_get(own, "lab"));
        }
    }
}

static bool read_truth(rendered *out, const char *path, wm_error *err)
{
    wm_bytes bytes = { 0 };
    wm_json_document *document = NULL;
    if (wm_file_read(&bytes, path, 1 << 20, WM_E_INPUT, err))
        return false;
    const bool good = !wm_json_parse(&document, (const char *)bytes.data, bytes.size, path, WM_E_INPUT, err);
    const wm_json *zones = good ? wm_json_get(wm_json_root(document), "zones") : NULL;
    for (size_t i = 0; i < wm_json_count(zones) && i < RENDERED_ZONES; i++) {
        const wm_json *zone = wm_json_at(zones, i);
        true_zone *t = &out->truth[out->count++];
        snprintf(t->name, sizeof t->name, "%s", wm_json_text(wm_json_get(zone, "name")));
        t->lab = lab_at(wm_json_get(zone, "lab"));
        t->base = lab_at(wm_json_get(zone, "base_lab"));
        t->gray = lab_at(wm_json_get(zone, "gray_lab"));
        wm_json_number(wm_json_get(zone, "gray_share"), &t->share);
    }
    if (good)
        measure_mixed_swatches(out, wm_json_get(wm_json_root(document), "swatches"));
    wm_json_free(document);
    wm_bytes_free(&bytes);
    return good && out->count > 0;
}

bool rendered_make(rendered *out, const char *renderer, const char *folder, const char *options)
{
    char command[LINE], path[LINE];
    wm_error err = { 0 };
    wm_warnings warnings = { 0 };
    *out = (rendered){ 0 };
    snprintf(command, sizeof command, "'%s' out='%s/photo' catalogue_file='%s/catalogue.csv' format=jpeg %s", renderer,
             folder, folder, options);
    if (system(command) != 0)
        return complain("can't be rendered", options, NULL);
    snprintf(path, sizeof path, "%s/photo.jpg", folder);
    bool good = !wm_photo_open(&out->photo, path, NULL, &err);
    snprintf(path, sizeof path, "%s/photo.zones.json", folder);
    good = good && !wm_zones_add_file(&out->zones, path, &warnings, &err);
    snprintf(path, sizeof path, "%s/catalogue.csv", folder);
    good = good && !wm_catalogue_load(&out->catalogue, path, &warnings, &err);
    snprintf(path, sizeof path, "%s/photo.truth.json", folder);
    good = good && read_truth(out, path, &err);
    wm_warnings_free(&warnings);
    return good || complain("can't be read:", options, &err);
}

void rendered_free(rendered *r)
{
    wm_photo_close(r->photo);
    wm_zones_free(&r->zones);
    wm_catalogue_free(&r->catalogue);
    *r = (rendered){ 0 };
}

const true_zone *rendered_truth(const rendered *r, const char *zone)
{
    for (size_t i = 0; i < r->count; i++)
        if (strcmp(r->truth[i].name, zone) == 0)
            return &r->truth[i];
    return NULL;
}

bool scratch_make(char *path, size_t size)
{
    const char *parent = getenv("TMPDIR");
    snprintf(path, size, "%s/weftmatch-photo-XXXXXX", parent ? parent : "/tmp");
    return mkdtemp(path) != NULL;
}

void scratch_remove(const char *path)
{
    static const char *const FILES[] = { "photo.jpg", "photo.zones.json", "photo.truth.json", "photo.target.txt",
                                         "catalogue.csv" };
    char name[LINE];
    for (size_t i = 0; i < sizeof FILES / sizeof *FILES; i++) {
        snprintf(name, sizeof name, "%s/%s", path, FILES[i]);
        unlink(name);
    }
    rmdir(path);
}
