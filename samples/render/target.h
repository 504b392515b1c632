/* target: gray, white and black cards, and the colour target of our own design. */
#ifndef RENDER_TARGET_H
#define RENDER_TARGET_H

#include "scene.h"

/** A card of a reflectance at 550 nm, nearly flat. */
spectrum card_reflectance(double level);

/** The target's patches, row by row: neutrals, hair tones, a few colours. */
spectrum patch_reflectance(int patch);
const char *patch_name(int patch);

/** Where the centres of the corner patches lie, first patch first, clockwise; layout units. */
void target_centres(const scene *s, point corner[4]);

void target_draw(scene *s, const item *i);
void target_draw_card(scene *s, const item *i);

#endif
