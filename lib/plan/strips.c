#include "plan/strips.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A piece that falls short of its length, or reaches over its end, by rounding alone. */
#define ROUNDING 1e-9

/* One layer's part of a row, as it is laid. */
typedef struct run {
    int row, layer;
    double start_cm, length_cm;
    bool mirrored; /* the right end of a row */
} run;

wm_design_row wm_design_row_whole(wm_place place, double row_cm, const wm_stack *stack)
{
    wm_design_row row = { .place = place, .arc_cm = -1, .row_cm = row_cm, .count = 1 };
    row.segments[0] = (wm_design_segment){ .place = place, .length_cm = row_cm, .sides = 1, .stack = *stack };
    return row;
}

static bool at_end(const wm_design_row *design, const wm_design_segment *segment)
{
    return design->count > 1 && segment->place == WM_PLACE_SIDE;
}

bool wm_design_row_fit(wm_design_row *design, double row_cm)
{
    wm_design_segment *middle = NULL;
    for (size_t i = 0; i < design->count; i++) {
        wm_design_segment *s = &design->segments[i];
        if (at_end(design, s))
            row_cm -= s->sides * s->length_cm;
        else
            middle = s;
    }
    if (!middle || row_cm < WM_PIECE_AT_LEAST_CM - ROUNDING)
        return false;
    middle->length_cm = row_cm;
    design->row_cm = wm_design_row_cm(design);
    return true;
}

/* A strip that goes on in the same shade is one strip. */
static bool add(wm_strips *strips, const run *r, const char *code, const double from_to[2])
{
    double from = r->mirrored ? r->length_cm - from_to[1] : from_to[0], length = from_to[1] - from_to[0];
    if (length <= ROUNDING)
        return true;
    wm_strip *last = strips->count ? &strips->items[strips->count - 1] : NULL;
    if (last && last->row == r->row && last->layer == r->layer && strcmp(last->code, code) == 0) {
        last->length_cm += length;
        return true;
    }
    if (strips->count == WM_MAX_STRIPS)
        return false;
    wm_strip *strip = &strips->items[strips->count++];
    *strip = (wm_strip){ .row = r->row, .layer = r->layer, .start_cm = r->start_cm + from, .length_cm = length };
    snprintf(strip->code, sizeof strip->code, "%s", code);
    return true;
}

/* Where the first piece begins within its period, by how many layers with pieces lie in front of it. */
static double offset_of(size_t staggered, double gap_cm)
{
    bool between = gap_cm / 2.0 >= WM_PIECE_AT_LEAST_CM - ROUNDING;
    return staggered == 0 ? 0.0 : staggered == 1 ? gap_cm : between ? gap_cm / 2.0 : 0.0;
}

static bool alike(const wm_stack *a, const wm_stack *b)
{
    for (size_t i = 0; i < a->count; i++)
        if (strcmp(a->layers[i].code, b->layers[i].code) != 0 ||
            strcmp(a->layers[i].second, b->layers[i].second) != 0 ||
            fabs(a->layers[i].second_share - b->layers[i].second_share) > ROUNDING)
            return false;
    return a->count == b->count;
}

bool wm_design_row_alike(const wm_design_row *design)
{
    for (size_t i = 1; i < design->count; i++)
        if (!alike(&design->segments[0].stack, &design->segments[i].stack))
            return false;
    return design->count > 1;
}

/* Pieces in turn, none closer to the next than a strip can be narrow: those run together. */
static bool lay_pieces(wm_strips *strips, const run *r, const wm_layer *layer, size_t staggered)
{
    double free_cm = r->length_cm * (1.0 - layer->second_share);
    int most = (int)floor(free_cm / WM_PIECE_AT_LEAST_CM + ROUNDING);
    int pieces = wm_layer_pieces((int)lround(WM_PATTERN_WHOLE * layer->second_share), r->length_cm);
    int periods = pieces < most ? pieces : most;
    periods = periods < 1 ? 1 : periods;
    double period = r->length_cm / periods, piece = period * layer->second_share;
    double offset = offset_of(staggered, period - piece);
    for (int n = 0; n < periods; n++) {
        int i = r->mirrored ? periods - 1 - n : n; /* strips are added from the left */
        double at[4] = { i * period, i * period + offset, i * period + offset + piece, (i + 1) * period };
        bool good = r->mirrored ? add(strips, r, layer->code, at + 2) && add(strips, r, layer->second, at + 1) &&
                                      add(strips, r, layer->code, at)
                                : add(strips, r, layer->code, at) && add(strips, r, layer->second, at + 1) &&
                                      add(strips, r, layer->code, at + 2);
        if (!good)
            return false;
    }
    return true;
}

static bool lay(wm_strips *strips, const run *r, const wm_stack *stack)
{
    size_t staggered = 0;
    const wm_layer *layer = &stack->layers[r->layer];
    for (int i = 0; i < r->layer; i++)
        staggered += *stack->layers[i].second != '\0';
    if (*layer->second)
        return lay_pieces(strips, r, layer, staggered);
    return add(strips, r, layer->code, (const double[2]){ 0, r->length_cm });
}

/* From the left: the ends as they are named, what lies between them, the right end mirrored. */
static size_t order_of(const wm_design_segment *out[WM_ROW_SEGMENTS], const wm_design_row *design)
{
    const wm_design_segment *middle = NULL, *ends[2] = { NULL, NULL };
    size_t end_count = 0, count = 0;
    for (size_t i = 0; i < design->count; i++) {
        const wm_design_segment *s = &design->segments[i];
        if (!at_end(design, s))
            middle = s;
        for (int side = 0; at_end(design, s) && side < s->sides && end_count < 2; side++)
            ends[end_count++] = s;
    }
    if (ends[0])
        out[count++] = ends[0];
    if (middle)
        out[count++] = middle;
    if (ends[1])
        out[count++] = ends[1];
    return count;
}

double wm_design_row_cm(const wm_design_row *design)
{
    double length = 0.0;
    for (size_t i = 0; i < design->count; i++)
        length += design->segments[i].sides * design->segments[i].length_cm;
    return length;
}

wm_status wm_strips_lay(wm_strips *strips, int row, const wm_design_row *design, wm_error *err)
{
    const wm_design_segment *segments[WM_ROW_SEGMENTS];
    size_t count = order_of(segments, design);
    bool good = true;
    for (size_t layer = 0; good && count && layer < segments[0]->stack.count; layer++) {
        run r = { .row = row, .layer = (int)layer };
        if (wm_design_row_alike(design)) {
            r.length_cm = wm_design_row_cm(design);
            good = lay(strips, &r, &segments[0]->stack);
            continue;
        }
        for (size_t i = 0; good && i < count; i++) {
            r.length_cm = segments[i]->length_cm;
            r.mirrored = i == 2;
            good = lay(strips, &r, &segments[i]->stack);
            r.start_cm += r.length_cm;
        }
    }
    return good ? WM_OK
                : wm_fail(err, WM_E_USAGE, "the design has more than %d strips of weft; take fewer rows or pieces",
                          WM_MAX_STRIPS);
}
