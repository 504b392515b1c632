#include "plan/design_words.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/buf.h"

static void append(char out[WM_DESIGN_WORDS_SIZE], const char *format, ...) WM_PRINTF(2, 3);

static void append(char out[WM_DESIGN_WORDS_SIZE], const char *format, ...)
{
    va_list args;
    size_t used = strlen(out);
    va_start(args, format);
    vsnprintf(out + used, WM_DESIGN_WORDS_SIZE - used, format, args);
    va_end(args);
}

const char *wm_layer_words(size_t layer, size_t count)
{
    return count == 1           ? "the layer"
           : layer == 0         ? "the front layer"
           : layer + 1 == count ? "the back layer"
                                : "the inner layer";
}

const char *wm_laid_words(char out[WM_HEAD_NAME_SIZE + 32], const wm_design_row *row, const wm_design_segment *segment)
{
    if (wm_design_row_alike(row) || row->count < 2)
        return "all along";
    if (*segment->end)
        snprintf(out, WM_HEAD_NAME_SIZE + 32, "on the side of %s", segment->end);
    else
        snprintf(out, WM_HEAD_NAME_SIZE + 32, segment->sides == 2 ? "at both sides" : "at the %s",
                 wm_place_name(segment->place));
    return out;
}

/* Lengths by shade. */
typedef struct tally {
    const char *codes[4 * WM_MAX_LAYERS];
    double cm[4 * WM_MAX_LAYERS];
    size_t count;
} tally;

static void count_length(tally *t, const char *code, double cm)
{
    size_t i = 0;
    while (i < t->count && strcmp(t->codes[i], code) != 0)
        i++;
    if (!*code || i == sizeof t->codes / sizeof t->codes[0])
        return;
    t->codes[i] = code;
    t->cm[i] += cm;
    t->count = i == t->count ? i + 1 : t->count;
}

/* The shade that the others are set into: of layers with pieces their own, else that of the greatest length; of rows
 * without one, of the most layers. */
static const char *through_shade(const wm_design_row *rows, size_t row_count)
{
    tally t = { .count = 0 };
    size_t most = 0;
    for (size_t r = 0; r < row_count; r++)
        for (size_t s = 0; s < rows[r].count; s++) {
            const wm_design_segment *segment = &rows[r].segments[s];
            double cm = segment->sides * (segment->length_cm > 0 ? segment->length_cm : 1);
            for (size_t i = 0; i < segment->stack.count; i++) {
                const wm_layer *layer = &segment->stack.layers[i];
                if (*layer->second)
                    return layer->code;
                double share = *layer->second ? layer->second_share : 0;
                count_length(&t, layer->code, cm * (1 - share));
                count_length(&t, layer->second, cm * share);
            }
        }
    for (size_t i = 1; i < t.count; i++)
        most = t.cm[i] > t.cm[most] + 1e-9 ? i : most;
    return t.count ? t.codes[most] : "";
}

/* " in the front layer and the back layer"; nothing of a single layer. */
static void append_layers(char out[WM_DESIGN_WORDS_SIZE], const wm_stack *stack, const bool in[WM_MAX_LAYERS])
{
    size_t named = 0, all = 0;
    if (stack->count == 1)
        return;
    append(out, " in ");
    for (size_t i = 0; i < stack->count; i++)
        all += in[i];
    if (all == stack->count && all > 1) {
        append(out, all == 2 ? "both layers" : "all three layers");
        return;
    }
    for (size_t i = 0; i < stack->count; i++)
        if (in[i])
            append(out, "%s%s", named++ ? " and " : "", wm_layer_words(i, stack->count));
}

static bool alike(const wm_layer *a, const wm_layer *b)
{
    return strcmp(a->code, b->code) == 0 && strcmp(a->second, b->second) == 0 &&
           fabs(a->second_share - b->second_share) < 1e-9 && a->pieces == b->pieces;
}

static double along_cm(const wm_design_row *row, const wm_design_segment *segment)
{
    return wm_design_row_alike(row) ? wm_design_row_cm(row) : segment->length_cm;
}

static int pieces_of(const wm_design_row *row, const wm_design_segment *segment, const wm_layer *layer)
{
    double along = along_cm(row, segment);
    return along > 0 ? wm_layer_pieces((int)lround(WM_PATTERN_WHOLE * layer->second_share), along) : layer->pieces;
}

/* The pieces of one layer, and in how many layers alike. */
static void append_pieces(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *row, const wm_design_segment *segment,
                          const wm_layer *layer, wm_units units)
{
    char length[WM_LENGTH_SIZE];
    double along = along_cm(row, segment);
    int pieces = pieces_of(row, segment, layer);
    bool one = pieces == 1 && (segment->sides == 1 || wm_design_row_alike(row));
    if (along > 0 && pieces > 0)
        append(out, "%s of %s %s long", one ? "a piece" : "pieces", layer->second,
               wm_length_text(length, along * layer->second_share / pieces, units, 1));
    else
        append(out, "pieces of %s over %s %% of its length", layer->second,
               wm_number_text(length, 100 * layer->second_share, 0));
}

/* What in a segment differs from the shade that runs through. */
static void append_segment(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *row, const wm_design_segment *segment,
                           const char *through, wm_units units)
{
    char place[WM_HEAD_NAME_SIZE + 32];
    const wm_stack *stack = &segment->stack;
    bool told[WM_MAX_LAYERS] = { false }, first = true;
    for (size_t i = 0; i < stack->count; i++) {
        const wm_layer *layer = &stack->layers[i];
        bool in[WM_MAX_LAYERS] = { false };
        if (told[i] || (!*layer->second && strcmp(layer->code, through) == 0))
            continue;
        for (size_t k = i; k < stack->count; k++)
            if (alike(layer, &stack->layers[k]))
                in[k] = told[k] = true;
        append(out, first ? "; %s " : ", ", wm_laid_words(place, row, segment));
        first = false;
        bool several = false;
        for (size_t k = i + 1; k < stack->count; k++)
            several = several || in[k];
        if (*layer->second)
            append_pieces(out, row, segment, layer, units);
        else
            append(out, "%s", layer->code);
        append_layers(out, stack, in);
        if (*layer->second && segment->sides == 2 && !wm_design_row_alike(row))
            append(out, ", %d a side%s", pieces_of(row, segment, layer), several ? " in each" : "");
        else if (*layer->second && (pieces_of(row, segment, layer) > 1 || several))
            append(out, ", %d%s", pieces_of(row, segment, layer), several ? " in each" : "");
    }
}

/* Some layer of it at every place. */
static bool everywhere(const wm_design_row *rows, size_t row_count, const char *code)
{
    for (size_t r = 0; r < row_count; r++)
        for (size_t s = 0; s < rows[r].count; s++) {
            bool here = false;
            for (size_t i = 0; i < rows[r].segments[s].stack.count; i++)
                here = here || strcmp(rows[r].segments[s].stack.layers[i].code, code) == 0;
            if (!here)
                return false;
        }
    return true;
}

const char *wm_design_words(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *rows, size_t row_count, wm_units units)
{
    const char *through = through_shade(rows, row_count);
    out[0] = '\0';
    append(out, everywhere(rows, row_count, through) ? "%s all along" : "%s", through);
    for (size_t r = 0; r < row_count; r++) {
        const wm_design_row *row = &rows[r];
        size_t segments = wm_design_row_alike(row) ? 1 : row->count;
        if (row_count > 1)
            append(out, ". Row %zu, %s", r + 1, wm_place_name(row->place));
        size_t before = strlen(out);
        for (size_t s = 0; s < segments; s++)
            append_segment(out, row, &row->segments[s], through, units);
        if (row_count > 1 && strlen(out) == before)
            append(out, ": nothing else");
    }
    return out;
}
