/* rendered: a photo made by the renderer with everything that the truth file knows of it. */
#ifndef PHOTO_RENDERED_H
#define PHOTO_RENDERED_H

#include "colour/colour.h"
#include "match/swatch.h"
#include "measure/zones_file.h"
#include "photo/photo.h"

enum { RENDERED_ZONES = 8 };

typedef struct true_zone {
    char name[40];
    wm_lab lab, base, gray;
    double share;
} true_zone;

typedef struct rendered {
    wm_photo *photo;
    wm_zones zones;
    wm_catalogue catalogue;
    true_zone truth[RENDERED_ZONES];
    size_t count;
} rendered;

/** Runs `renderer` with the options (spaces between them) in `folder` and reads what it wrote. False with a message on
 * stdout. */
bool rendered_make(rendered *out, const char *renderer, const char *folder, const char *options);
void rendered_free(rendered *r);
const true_zone *rendered_truth(const rendered *r, const char *zone);

/** Makes and removes a folder for the pictures. */
bool scratch_make(char *path, size_t size);
void scratch_remove(const char *path);

#endif
