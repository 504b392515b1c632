/* stack: the layers sewn on top of each other in one row, by the codes of their shades, front first; as text and back.
 * A layer may hold pieces of a second shade, sewn in between those of its own. */
#ifndef WM_MATCH_STACK_H
#define WM_MATCH_STACK_H

#include "match/swatch.h"

enum { WM_MAX_LAYERS = 3, WM_STACK_TEXT_SIZE = 512 };

typedef struct wm_layer {
    char code[WM_CODE_SIZE];
    char second[WM_CODE_SIZE]; /**< shade of the pieces in between; "" for a layer of one shade */
    double second_share;       /**< of the layer's length, 0..1 */
    int pieces;                /**< of the second shade */
} wm_layer;

/** Zero-initialised: no layers, which stands for "not known". */
typedef struct wm_stack {
    size_t count; /**< 0 to WM_MAX_LAYERS */
    wm_layer layers[WM_MAX_LAYERS];
} wm_stack;

/** A further whole layer behind the others. False when there is no room or the code is empty or too long. */
bool wm_stack_add(wm_stack *stack, const char *code);

/** Whole layers from "moth,frost,moth", or as wm_stack_text writes them with " / " between; in a list with commas a
 * code that holds one stands in double quotes. WM_E_USAGE: an empty code, one that is too long, or more than
 * WM_MAX_LAYERS. */
wm_status wm_stack_parse(wm_stack *out, const char *text, wm_error *err);

/** The same, and "moth/frost/moth" where the catalogue has one of these shades and none of the whole as its code. */
wm_status wm_stack_parse_known(wm_stack *out, const char *text, const wm_catalogue *catalogue, wm_error *err);

/** "moth,frost,moth" with `between` ","; a layer with pieces reads "moth with frost in 2 pieces". Returns out. */
const char *wm_stack_text(char out[WM_STACK_TEXT_SIZE], const wm_stack *stack, const char *between);

/** Whether one of its layers is of that shade; pieces do not count. */
bool wm_stack_has_layer(const wm_stack *stack, const char *code);

/** The codes of the different shades in order of first appearance from the front, lent by the stack; returns how many.
 */
size_t wm_stack_shades(const char *out[2 * WM_MAX_LAYERS], const wm_stack *stack);

/** The shades of the layers in a catalogue, front first, lent by it. WM_E_INPUT: a code is unknown, near misses are
 * named. WM_E_USAGE: more than two different shades, which no row is sewn from. */
wm_status wm_stack_swatches(const wm_swatch *out[WM_MAX_LAYERS], const wm_stack *stack, const wm_catalogue *catalogue,
                            wm_error *err);

#endif
