#include "match/design.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double PIECE_AT_MOST_CM = 4.0;                     /* M27 */
static const double FRACTIONS_IN_SIXTHS[5] = { 1, 2, 3, 4, 5 }; /* M27 */
enum { PIECES_AT_MOST = 8 };                                    /* M27 */
enum { PIECES_A_SEGMENT = 4 };                                  /* M27 */

enum { FRACTIONS = 5 };
#define ROUNDING 1e-9       /* a third of 6 cm is a piece of 2 cm */
#define SHARE_ROUNDING 0.01 /* a share that was saved in a few decimals */

static double fraction(int sixths)
{
    return sixths / (double)WM_PATTERN_WHOLE;
}

static bool layer_fits(int sixths, double length_cm)
{
    double least = fmin(fraction(sixths), 1 - fraction(sixths));
    return sixths == 0 || sixths == WM_PATTERN_WHOLE || least * length_cm >= WM_PIECE_AT_LEAST_CM - ROUNDING;
}

bool wm_pattern_fits(const wm_pattern *pattern, double length_cm)
{
    for (int i = 0; i < pattern->layers; i++)
        if (!layer_fits(pattern->sixths[i], length_cm))
            return false;
    return true;
}

bool wm_pattern_is_all(const wm_pattern *pattern, int sixths)
{
    for (int i = 0; i < pattern->layers; i++)
        if (pattern->sixths[i] != sixths)
            return false;
    return true;
}

bool wm_pattern_is_inside(const wm_pattern *pattern)
{
    return pattern->sixths[0] == 0 && (pattern->layers < WM_MAX_LAYERS || pattern->sixths[pattern->layers - 1] == 0);
}

int wm_layer_pieces(int sixths, double length_cm)
{
    if (sixths == 0 || sixths == WM_PATTERN_WHOLE)
        return sixths == 0 ? 0 : 1;
    return (int)ceil(fraction(sixths) * length_cm / PIECE_AT_MOST_CM - ROUNDING);
}

int wm_pattern_pieces(const wm_pattern *pattern, double length_cm)
{
    int pieces = 0;
    for (int i = 0; i < pattern->layers; i++)
        pieces += wm_layer_pieces(pattern->sixths[i], length_cm);
    return pieces;
}

int wm_pieces_limit(size_t segment_count)
{
    return segment_count > 2 ? PIECES_A_SEGMENT * (int)segment_count : PIECES_AT_MOST;
}

int wm_pattern_order(const wm_pattern *a, const wm_pattern *b, bool pieces)
{
    if (pieces && a->pieces != b->pieces)
        return a->pieces - b->pieces;
    for (int i = 0; i < a->layers; i++)
        if (a->sixths[i] != b->sixths[i])
            return a->sixths[i] - b->sixths[i];
    return 0;
}

bool wm_patterns_alike(const wm_pattern *patterns, size_t count)
{
    for (size_t i = 1; i < count; i++)
        if (wm_pattern_order(&patterns[0], &patterns[i], false) != 0)
            return false;
    return true;
}

static int compare_patterns(const void *a, const void *b)
{
    return wm_pattern_order(a, b, true);
}

/* The n-th way to give each layer one of `choices`. */
static wm_pattern nth_pattern(int layers, const unsigned char *choices, int choice_count, int n)
{
    wm_pattern pattern = { .layers = layers };
    for (int i = 0; i < layers; i++, n /= choice_count)
        pattern.sixths[i] = choices[n % choice_count];
    return pattern;
}

static bool holds(const wm_pattern *pattern, int sixths)
{
    bool found = false;
    for (int i = 0; i < pattern->layers && i < WM_MAX_LAYERS; i++)
        found |= pattern->sixths[i] == sixths;
    return found;
}

size_t wm_patterns_of(wm_pattern *out, int layers, double length_cm)
{
    size_t count = 0;
    for (int f = -1; f < FRACTIONS; f++) { /* first whole layers only, then one fraction a pattern */
        int sixths = f < 0 ? 0 : (int)FRACTIONS_IN_SIXTHS[f];
        const unsigned char choices[3] = { 0, WM_PATTERN_WHOLE, (unsigned char)sixths };
        int choice_count = f < 0 ? 2 : 3, ways = 1;
        for (int i = 0; i < layers; i++)
            ways *= choice_count;
        for (int n = 0; n < ways && layer_fits(sixths, length_cm); n++) {
            wm_pattern pattern = nth_pattern(layers, choices, choice_count, n);
            if (f >= 0 && !holds(&pattern, sixths))
                continue;
            pattern.pieces = wm_pattern_pieces(&pattern, length_cm);
            out[count++] = pattern;
        }
    }
    qsort(out, count, sizeof *out, compare_patterns);
    return count;
}

/* ---- as sewn ---- */

static void copy_code(char out[WM_CODE_SIZE], const char *code)
{
    size_t size = strlen(code);
    size = size < WM_CODE_SIZE - 1 ? size : WM_CODE_SIZE - 1;
    memcpy(out, code, size);
    out[size] = '\0';
}

wm_stack wm_pattern_stack(const wm_pattern *pattern, const char *first, const char *second, double length_cm)
{
    wm_stack stack = { .count = (size_t)pattern->layers };
    for (int i = 0; i < pattern->layers; i++) {
        wm_layer *layer = &stack.layers[i];
        int sixths = pattern->sixths[i];
        copy_code(layer->code, sixths == WM_PATTERN_WHOLE ? second : first);
        if (sixths == 0)
            continue;
        layer->pieces = wm_layer_pieces(sixths, length_cm);
        if (sixths == WM_PATTERN_WHOLE)
            continue;
        copy_code(layer->second, second);
        layer->second_share = fraction(sixths);
    }
    return stack;
}

static int layer_sixths(const wm_layer *layer, const char *first, const char *second)
{
    bool is_first = strcmp(layer->code, first) == 0, is_second = second && strcmp(layer->code, second) == 0;
    if (layer->second[0] == '\0')
        return is_first ? 0 : is_second ? WM_PATTERN_WHOLE : -1;
    if (!is_first || !second || strcmp(layer->second, second) != 0)
        return -1;
    double sixths = layer->second_share * WM_PATTERN_WHOLE;
    bool between = sixths > 1 - SHARE_ROUNDING && sixths < WM_PATTERN_WHOLE - 1 + SHARE_ROUNDING;
    return between && fabs(sixths - rint(sixths)) < SHARE_ROUNDING ? (int)rint(sixths) : -1;
}

bool wm_stack_pattern(wm_pattern *out, const wm_stack *stack, const char *first, const char *second, double length_cm)
{
    wm_pattern pattern = { .layers = (int)stack->count };
    for (size_t i = 0; i < stack->count; i++) {
        int sixths = layer_sixths(&stack->layers[i], first, second);
        if (sixths < 0)
            return false;
        pattern.sixths[i] = (unsigned char)sixths;
    }
    pattern.pieces = wm_pattern_pieces(&pattern, length_cm);
    *out = pattern;
    return stack->count > 0;
}
