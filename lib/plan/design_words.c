#include "plan/design_words.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/buf.h"
#include "match/reason.h"

static void append(char out[WM_DESIGN_WORDS_SIZE], const char *format, ...) WM_PRINTF(2, 3);

static void append(char out[WM_DESIGN_WORDS_SIZE], const char *format, ...)
{
    va_list args;
    size_t used = strlen(out);
    va_start(args, format);
    vsnprintf(out + used, WM_DESIGN_WORDS_SIZE - used, format, args);
    va_end(args);
}

/* ---- the shade that the others are set into ---- */

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
    if (i == sizeof t->codes / sizeof t->codes[0])
        return;
    t->codes[i] = code;
    t->cm[i] += cm;
    t->count = i == t->count ? i + 1 : t->count;
}

/* The shade that the others are set into: of layers with pieces their own; of whole layers the one of the greatest
 * length between the ends, and with as much of both the one that has more in all. */
static const char *through_shade(const wm_design_row *rows, size_t row_count)
{
    const double ENDS = 1e-3;
    tally t = { .count = 0 };
    size_t most = 0;
    for (size_t r = 0; r < row_count; r++)
        for (size_t s = 0; s < rows[r].count; s++) {
            const wm_design_segment *segment = &rows[r].segments[s];
            bool end = rows[r].count > 1 && segment->place == WM_PLACE_SIDE;
            double cm = segment->sides * (segment->length_cm > 0 ? segment->length_cm : 1) * (end ? ENDS : 1);
            for (size_t i = 0; i < segment->stack.count; i++) {
                if (*segment->stack.layers[i].second)
                    return segment->stack.layers[i].code;
                count_length(&t, segment->stack.layers[i].code, cm);
            }
        }
    for (size_t i = 1; i < t.count; i++)
        most = t.cm[i] > t.cm[most] + 1e-9 ? i : most;
    return t.count ? t.codes[most] : "";
}

static bool runs_through(const wm_design_segment *segment, const char *code)
{
    for (size_t i = 0; i < segment->stack.count; i++)
        if (strcmp(segment->stack.layers[i].code, code) == 0)
            return true;
    return false;
}

static bool everywhere(const wm_design_row *rows, size_t row_count, const char *code)
{
    for (size_t r = 0; r < row_count; r++)
        for (size_t s = 0; s < rows[r].count; s++)
            if (!runs_through(&rows[r].segments[s], code))
                return false;
    return true;
}

/* "loam all along", "loam at the back"; of several rows where it is not everywhere, "loam but for what follows". */
static void append_through(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *rows, size_t row_count,
                           const char *through)
{
    char place[WM_PLACE_WORDS_SIZE];
    append(out, "%s", through);
    if (everywhere(rows, row_count, through)) {
        append(out, " all along");
        return;
    }
    if (row_count > 1)
        append(out, " but for what follows");
    for (size_t s = 0, named = 0; s < rows[0].count && row_count == 1; s++)
        if (runs_through(&rows[0].segments[s], through)) {
            wm_segment_words(place, &rows[0].segments[s]);
            append(out, "%s %s", named++ ? " and" : "", place);
        }
}

/* ---- what differs from it ---- */

static bool same_layer(const wm_layer *a, const wm_layer *b)
{
    return strcmp(a->code, b->code) == 0 && strcmp(a->second, b->second) == 0 &&
           fabs(a->second_share - b->second_share) < 1e-9 && a->pieces == b->pieces;
}

/* Layers that say the same. */
typedef struct alike {
    bool in[WM_MAX_LAYERS];
    size_t count;
} alike;

static alike alike_from(const wm_stack *stack, size_t first)
{
    alike a = { .count = 0 };
    for (size_t i = first; i < stack->count; i++) {
        a.in[i] = same_layer(&stack->layers[first], &stack->layers[i]);
        a.count += a.in[i];
    }
    return a;
}

/* " in the inner layer", of pieces " in each of the front and back layers", " in each layer"; nothing of a single one.
 */
static void append_layers(char out[WM_DESIGN_WORDS_SIZE], const wm_stack *stack, const alike *a, bool pieces)
{
    char layers[WM_LAYERS_WORDS_SIZE];
    bool each = pieces && a->count > 1;
    if (stack->count == 1)
        return;
    if (each && a->count == stack->count)
        append(out, " in each layer");
    else
        append(out, each ? " in each of %s" : " in %s", wm_layers_words(layers, stack, a->in));
}

static double along_cm(const wm_design_row *row, const wm_design_segment *segment)
{
    return wm_design_row_alike(row) ? wm_design_row_cm(row) : segment->length_cm;
}

/* "a piece of fog 3.0 cm long", "2 pieces of fog 3.0 cm long"; without a length by their share. */
static void append_pieces(char out[WM_DESIGN_WORDS_SIZE], double along, const wm_layer *layer, wm_units units)
{
    char length[WM_LENGTH_SIZE], number[48];
    int pieces =
        along > 0 ? wm_layer_pieces((int)lround(WM_PATTERN_WHOLE * layer->second_share), along) : layer->pieces;
    if (!(along > 0 && pieces > 0)) {
        append(out, "pieces of %s over %s %% of the length", layer->second,
               wm_number_text(number, 100 * layer->second_share, 0));
        return;
    }
    wm_length_text(length, along * layer->second_share / pieces, units, 1);
    if (pieces == 1)
        append(out, "a piece of %s %s long", layer->second, length);
    else
        append(out, "%d pieces of %s %s long", pieces, layer->second, length);
}

/* "at both sides ", of pieces "at each side "; nothing where the row is the same all along. */
static void append_place(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *row, const wm_design_segment *segment,
                         bool pieces)
{
    char place[WM_PLACE_WORDS_SIZE];
    wm_segment_words(place, segment);
    if (wm_design_row_alike(row) || row->count < 2)
        return;
    if (segment->sides == 2 && pieces)
        append(out, "at each side ");
    else
        append(out, "%s ", place);
}

/* What in a segment differs from the shade that runs through, with what stands before it. */
static void append_segment(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *row, const wm_design_segment *segment,
                           const char *through, wm_units units)
{
    const wm_stack *stack = &segment->stack;
    bool told[WM_MAX_LAYERS] = { false }, first = true;
    for (size_t i = 0; i < stack->count; i++) {
        const wm_layer *layer = &stack->layers[i];
        bool pieces = *layer->second != '\0';
        if (told[i] || (!pieces && strcmp(layer->code, through) == 0))
            continue;
        alike a = alike_from(stack, i);
        for (size_t k = i; k < stack->count; k++)
            told[k] = told[k] || a.in[k];
        append(out, "%s", !first ? ", and " : *out ? "; " : "");
        if (first)
            append_place(out, row, segment, pieces);
        first = false;
        if (pieces)
            append_pieces(out, along_cm(row, segment), layer, units);
        else
            append(out, "%s", layer->code);
        append_layers(out, stack, &a, pieces);
    }
}

static void row_words(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *row, const char *through, wm_units units)
{
    size_t segments = wm_design_row_alike(row) ? 1 : row->count;
    out[0] = '\0';
    for (size_t s = 0; s < segments; s++)
        append_segment(out, row, &row->segments[s], through, units);
    if (!*out)
        append(out, "%s alone", through);
}

/* ---- rows ---- */

/* "Row 1 (back)", "Rows 1 and 2 (back)": those that say the same as the r-th; false when one before it does. */
static bool append_row_title(char out[WM_DESIGN_WORDS_SIZE], char said[][WM_DESIGN_WORDS_SIZE],
                             const wm_design_row *rows, size_t row_count, size_t r)
{
    size_t last = r, count = 0;
    for (size_t i = 0; i < row_count; i++) {
        if (rows[i].place != rows[r].place || strcmp(said[i], said[r]) != 0)
            continue;
        if (i < r)
            return false;
        last = i;
        count++;
    }
    append(out, count > 1 ? ". Rows %zu" : ". Row %zu", r + 1);
    for (size_t i = r + 1; i < row_count; i++)
        if (rows[i].place == rows[r].place && strcmp(said[i], said[r]) == 0)
            append(out, "%s%zu", i == last ? " and " : ", ", i + 1);
    append(out, " (%s): ", wm_place_name(rows[r].place));
    return true;
}

static bool all_the_same(char said[][WM_DESIGN_WORDS_SIZE], size_t count)
{
    for (size_t i = 1; i < count; i++)
        if (strcmp(said[0], said[i]) != 0)
            return false;
    return true;
}

const char *wm_design_words(char out[WM_DESIGN_WORDS_SIZE], const wm_design_row *rows, size_t row_count, wm_units units)
{
    char said[WM_MAX_ROWS][WM_DESIGN_WORDS_SIZE], nothing[WM_DESIGN_WORDS_SIZE] = "";
    const char *through = through_shade(rows, row_count);
    bool same = true;
    append(nothing, "%s alone", through);
    for (size_t r = 0; r < row_count; r++)
        row_words(said[r], &rows[r], through, units);
    same = row_count > 0 && all_the_same(said, row_count);
    out[0] = '\0';
    append_through(out, rows, same ? 1 : row_count, through);
    if (same && row_count > 1)
        append(out, ", in %s", row_count == 2 ? "both rows" : "every row");
    if (same && strcmp(said[0], nothing) != 0)
        append(out, "; %s", said[0]);
    for (size_t r = 0; r < row_count && !same; r++)
        if (append_row_title(out, said, rows, row_count, r))
            append(out, "%s", said[r]);
    return out;
}
