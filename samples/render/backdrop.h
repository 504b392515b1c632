/* backdrop: the room, the client's face and shoulders, tags and shadows. Only there to look right; nothing is measured
 * on it. */
#ifndef RENDER_BACKDROP_H
#define RENDER_BACKDROP_H

#include "scene.h"

bool backdrop_person(scene *s);
bool backdrop_table(scene *s);
void backdrop_under_swatch(scene *s, point at, point size);
void backdrop_tag(scene *s, point at, point size);
void backdrop_under_board(scene *s, const point corner[4]);

#endif
