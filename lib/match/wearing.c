#include "match/wearing.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const double ROW_DIFFERS_CM = 1.0; /* M31 */

static bool say(char said[WM_WEARING_WHY_SIZE], const char *format, ...) WM_PRINTF(2, 3);
static bool say(char said[WM_WEARING_WHY_SIZE], const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(said, WM_WEARING_WHY_SIZE, format, args);
    va_end(args);
    return false;
}

/* The stacks of all segments, in their order; false when the rows or segments were others. */
static bool stacks_of(const wm_stack **out, const wm_saved_wearing *saved, const wm_case *c)
{
    const wm_design *design = saved->design;
    for (size_t s = 0; s < c->segment_count && !design; s++)
        out[s] = saved->stack;
    if (!design)
        return true;
    size_t count = 0;
    if (design->row_count != c->row_count)
        return false;
    for (size_t r = 0; r < design->row_count; r++) {
        const wm_design_row *row = &design->rows[r];
        if (row->place != c->rows[r].place || fabs(row->row_cm - c->rows[r].row_cm) > ROW_DIFFERS_CM)
            return false;
        for (size_t s = 0; s < row->count; s++, count++) {
            if (count == c->segment_count || c->segments[count].row != r ||
                c->segments[count].sides != row->segments[s].sides ||
                c->segments[count].place != row->segments[s].place)
                return false;
            out[count] = &row->segments[s].stack;
        }
    }
    return count == c->segment_count;
}

/* The codes that are worn, at most two; pieces lie in the first. */
typedef struct codes {
    const char *first, *second;
    bool too_many, in_pieces;
} codes;

static void note_code(codes *worn, const char *code)
{
    if (!worn->first || strcmp(worn->first, code) == 0)
        worn->first = code;
    else if (!worn->second || strcmp(worn->second, code) == 0)
        worn->second = code;
    else
        worn->too_many = true;
}

static codes codes_of(const wm_stack *const *stacks, size_t count)
{
    codes worn = { NULL, NULL, false, false };
    for (size_t s = 0; s < count; s++) /* a layer with pieces says which is the first */
        for (size_t i = 0; i < stacks[s]->count && !worn.first; i++)
            if (stacks[s]->layers[i].second[0]) {
                worn.first = stacks[s]->layers[i].code;
                worn.in_pieces = true;
            }
    for (size_t s = 0; s < count; s++)
        for (size_t i = 0; i < stacks[s]->count; i++) {
            note_code(&worn, stacks[s]->layers[i].code);
            if (stacks[s]->layers[i].second[0])
                note_code(&worn, stacks[s]->layers[i].second);
        }
    return worn;
}

/* The row that the filters let through, if they do: its price and length are those that would be bought. */
static const wm_swatch *find(const char *code, const wm_saved_wearing *saved, const wm_case *c)
{
    for (size_t i = 0; i < c->shade_count; i++)
        if (strcmp(c->shades[i]->code, code) == 0)
            return c->shades[i];
    const wm_swatch *swatch = saved->catalogue ? wm_catalogue_find(saved->catalogue, code) : NULL;
    return swatch && swatch->kind == WM_SWATCH_HAIR ? swatch : NULL;
}

/* Of whole layers the shade that is nearer to her base is the first. */
static void sort_shades(wm_wearing *out, const wm_case *c)
{
    wm_drawn_shade first, second;
    wm_shade_draw(&first, out->first);
    wm_shade_draw(&second, out->second);
    wm_shade_measure(&first, c->head);
    wm_shade_measure(&second, c->head);
    if (second.to_base < first.to_base) {
        const wm_swatch *kept = out->first;
        out->first = out->second;
        out->second = kept;
    }
}

static bool find_shades(wm_wearing *out, char *said, const codes *worn, const wm_saved_wearing *saved, const wm_case *c)
{
    if (worn->too_many || !worn->first)
        return say(said, "what she wears is not of one or two shades; decided afresh");
    out->first = find(worn->first, saved, c);
    out->second = worn->second ? find(worn->second, saved, c) : NULL;
    if (!out->first || (worn->second && !out->second))
        return say(said, "%s, which she wears, is no longer in the catalogue; decided afresh",
                   out->first ? worn->second : worn->first);
    if (out->second && !worn->in_pieces)
        sort_shades(out, c);
    return true;
}

/* Layers that are the same in every segment are cut along whole rows. */
static bool lie_along(const wm_wearing *w, const wm_case *c)
{
    return w->second && c->segment_count > 1 && wm_patterns_alike(w->patterns, c->segment_count);
}

/* M27 */
static bool can_be_sewn(const wm_wearing *w, const wm_case *c)
{
    bool each = true, along = lie_along(w, c);
    for (size_t s = 0; s < c->segment_count; s++)
        each = each && wm_pattern_fits(&w->patterns[s], c->segments[s].length_cm);
    for (size_t r = 0; r < c->row_count; r++)
        along = along && wm_pattern_fits(&w->patterns[0], c->rows[r].row_cm);
    return each || along;
}

static int pieces_of(const wm_wearing *w, const wm_case *c)
{
    int pieces = 0;
    if (lie_along(w, c))
        return wm_pieces_along(&w->patterns[0], c->rows, c->row_count);
    for (size_t s = 0; s < c->segment_count && w->second; s++)
        pieces += w->patterns[s].pieces;
    return pieces;
}

static bool find_patterns(wm_wearing *out, char *said, const wm_stack *const *stacks, const wm_case *c)
{
    bool read = true;
    for (size_t s = 0; s < c->segment_count; s++)
        read = read && wm_stack_pattern(&out->patterns[s], stacks[s], out->first->code,
                                        out->second ? out->second->code : NULL, c->segments[s].length_cm);
    if (!read || !can_be_sewn(out, c))
        return say(said, "what she wears has pieces that can't be sewn in these rows; decided afresh");
    const int pieces = pieces_of(out, c);
    if (pieces > wm_pieces_limit(c->segment_count))
        return say(said, "what she wears has %d pieces, more than can be asked for; decided afresh", pieces);
    return true;
}

/* The second shade alone is one shade. */
static void drop_unused(wm_wearing *out, const wm_case *c)
{
    bool all = out->second != NULL;
    for (size_t s = 0; s < c->segment_count && all; s++)
        all = wm_pattern_is_all(&out->patterns[s], WM_PATTERN_WHOLE);
    if (!all)
        return;
    out->first = out->second;
    out->second = NULL;
    for (size_t s = 0; s < c->segment_count; s++)
        out->patterns[s] = (wm_pattern){ .layers = out->patterns[s].layers };
}

bool wm_wearing_of(wm_wearing *out, char said[WM_WEARING_WHY_SIZE], const wm_saved_wearing *saved, const wm_case *c,
                   int layers)
{
    const wm_stack *stacks[WM_MAX_SEGMENTS];
    wm_wearing wearing = { .stays = true };
    said[0] = '\0';
    if (!saved->design && (!saved->stack || saved->stack->count == 0))
        return false;
    if (!stacks_of(stacks, saved, c))
        return say(said, "what she wears was sewn in other rows; decided afresh");
    for (size_t s = 0; s < c->segment_count; s++)
        if ((int)stacks[s]->count != layers)
            return say(said, "what she wears has %zu layer%s, and %d %s called for now; decided afresh",
                       stacks[s]->count, stacks[s]->count == 1 ? "" : "s", layers, layers == 1 ? "is" : "are");
    codes worn = codes_of(stacks, c->segment_count);
    if (!find_shades(&wearing, said, &worn, saved, c) || !find_patterns(&wearing, said, stacks, c))
        return false;
    drop_unused(&wearing, c);
    *out = wearing;
    return true;
}
