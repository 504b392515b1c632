/* truth: the files that go with a picture. */
#ifndef RENDER_TRUTH_H
#define RENDER_TRUTH_H

#include "scene.h"

/** NAME.truth.json: everything that a test may want to know. photo is the base name of the picture. */
bool truth_write(const scene *s, const char *path, const char *photo);
/** NAME.zones.json of the contract; target is the base name of the target's reference. */
bool zones_write(const scene *s, const char *path, const char *photo, const char *target);
/** NAME.codes.txt of a sheet: its codes row by row, one a line. */
bool codes_write(const scene *s, const char *path);
/** The target's reference, CGATS.17. */
bool target_write(const scene *s, const char *path);

#endif
