/* light: how bright it is where; the colour of light is one for the whole picture and belongs to the sensor. */
#ifndef RENDER_LIGHT_H
#define RENDER_LIGHT_H

#include "scene.h"

/** Draws the light of a laid-out scene: a smooth field over the head, and the small differences of each thing in it. */
void light_choose(scene *s);

/** Factor on hair at a place of the head, 1 = the mean of the client zones. */
double light_at(const scene *s, point p);

#endif
