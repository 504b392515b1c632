/* What the public face calls objects: the library's own structs on the heap, and what may be asked of them. */
#include <stdlib.h>

#include "consult/settings.h"
#include "match/swatch.h"
#include "measure/zones_file.h"
#include "weftmatch/weftmatch.h"

/* ---- zones ---- */

wm_status wm_zones_open(wm_zones **out, wm_error *err)
{
    wm_zones *zones = calloc(1, sizeof *zones);
    if (!zones)
        return wm_fail_memory(err);
    *out = zones;
    return WM_OK;
}

void wm_zones_close(wm_zones *zones)
{
    if (zones)
        wm_zones_free(zones);
    free(zones);
}

wm_status wm_zones_load(wm_zones *zones, const char *path, wm_error *err)
{
    wm_warnings unknown_keys = { 0 };
    wm_status status = wm_zones_add_file(zones, path, &unknown_keys, err);
    wm_warnings_free(&unknown_keys);
    return status;
}

wm_status wm_zones_add(wm_zones *zones, const char *zone, wm_error *err)
{
    return wm_zones_add_option(zones, zone, NULL, err);
}

size_t wm_zones_count(const wm_zones *zones)
{
    return zones->count;
}

/* ---- catalogue ---- */

wm_status wm_catalogue_open(wm_catalogue **out, const char *path, wm_error *err)
{
    wm_catalogue *catalogue = calloc(1, sizeof *catalogue);
    wm_status status = catalogue ? wm_catalogue_load(catalogue, path, NULL, err) : wm_fail_memory(err);
    if (status)
        free(catalogue);
    else
        *out = catalogue;
    return status;
}

void wm_catalogue_close(wm_catalogue *catalogue)
{
    if (catalogue)
        wm_catalogue_free(catalogue);
    free(catalogue);
}

size_t wm_catalogue_count(const wm_catalogue *catalogue)
{
    return catalogue->count;
}

const char *wm_catalogue_code(const wm_catalogue *catalogue, size_t i)
{
    return i < catalogue->count ? catalogue->items[i].code : NULL;
}

const char *wm_catalogue_name(const wm_catalogue *catalogue, size_t i)
{
    return i < catalogue->count ? catalogue->items[i].name : NULL;
}

bool wm_catalogue_lab(const wm_catalogue *catalogue, size_t i, wm_lab *out)
{
    if (i < catalogue->count)
        *out = catalogue->items[i].lab;
    return i < catalogue->count;
}

/* ---- settings ---- */

wm_status wm_settings_open(wm_settings **out, wm_book *book, wm_error *err)
{
    wm_settings *settings = calloc(1, sizeof *settings);
    wm_status status = settings ? wm_settings_load(settings, book, err) : wm_fail_memory(err);
    if (status)
        free(settings);
    else
        *out = settings;
    return status;
}

void wm_settings_close(wm_settings *settings)
{
    free(settings);
}

const wm_photo_limits *wm_settings_photo_limits(const wm_settings *settings)
{
    return &settings->limits;
}
