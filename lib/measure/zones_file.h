/* zones_file: the zones file, format 1 (JSON): read and written. Limits: 2 MiB, 1000 zones, 20 000 points. */
#ifndef WM_MEASURE_ZONES_FILE_H
#define WM_MEASURE_ZONES_FILE_H

#include "core/buf.h"
#include "measure/zones.h"

/** Adds what a zones file (format 1) holds. Unknown keys give warnings `unknown_key`; wrong types, empty or
 * self-crossing shapes, unknown kinds, a duplicate name are WM_E_INPUT and name the zone. */
wm_status wm_zones_add_file(wm_zones *zones, const char *path, wm_warnings *warnings, wm_error *err);
wm_status wm_zones_add_json(wm_zones *zones, const char *json, size_t size, const char *file, wm_warnings *warnings,
                            wm_error *err);

/** The zones as a zones file (what the book keeps). */
void wm_zones_write_json(wm_buf *out, const wm_zones *zones, const char *photo_name);

#endif
