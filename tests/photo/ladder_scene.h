/* ladder_scene: the scenes of ladder and floor. */
#ifndef PHOTO_LADDER_SCENE_H
#define PHOTO_LADDER_SCENE_H

#include <stddef.h>

/** Even light; light that differs over the head; what is hard on calibration. */
enum { EVEN, DIFFERING, HARD, CONDITIONS };

/** The renderer's options for scene i, a picture so wide. */
void ladder_scene(char *out, size_t size, int i, int condition, int width);
const char *ladder_base(int i, int condition); /**< the client's base there */

#endif
