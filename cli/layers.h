/* layers: the option values that name shades: CODE,CODE,CODE, front first. */
#ifndef CLI_LAYERS_H
#define CLI_LAYERS_H

#include "match/layers.h"
#include "match/swatch.h"

typedef struct layer_list {
    const wm_swatch *shades[WM_MAX_LAYERS];
    size_t count;
} layer_list;

/** The shade of a code, or WM_E_INPUT with a near miss. */
wm_status layer_find(const wm_swatch **out, const wm_catalogue *catalogue, const char *code, wm_error *err);
/** One to three codes of at most two shades. */
wm_status layers_read(layer_list *out, const wm_catalogue *catalogue, const char *text, wm_error *err);

#endif
