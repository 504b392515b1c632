#include "match/reason.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/buf.h"

static const double SMALLER_GAP = 0.05; /* M32 */

enum { NUMBER_SIZE = 40, MAX_WORDS = 3 };

/* No sentence gets near the end. Numbers come in as text, so that no locale shows. */
static void say(char out[WM_DECISION_TEXT_SIZE], const char *format, ...) WM_PRINTF(2, 3);
static void say(char out[WM_DECISION_TEXT_SIZE], const char *format, ...)
{
    size_t used = strlen(out);
    va_list args;
    va_start(args, format);
    vsnprintf(out + used, WM_DECISION_TEXT_SIZE - used, format, args);
    va_end(args);
}

static void say_number(char out[WM_DECISION_TEXT_SIZE], double value, int decimals)
{
    char number[NUMBER_SIZE];
    say(out, "%s", wm_number_text(number, value, decimals));
}

/* ---- where and what ---- */

void wm_segment_words(char out[WM_PLACE_WORDS_SIZE], const wm_design_segment *segment)
{
    const char *words = segment->place == WM_PLACE_SIDE    ? segment->sides == 2 ? "at both sides" : "at the side"
                        : segment->place == WM_PLACE_CROWN ? "at the crown"
                        : segment->place == WM_PLACE_NAPE  ? "at the nape"
                                                           : "at the back";
    if (segment->end[0])
        snprintf(out, WM_PLACE_WORDS_SIZE, segment->place == WM_PLACE_SIDE ? "on the side of %s" : "beside %s",
                 segment->end);
    else
        snprintf(out, WM_PLACE_WORDS_SIZE, "%s", words);
}

const char *wm_layers_words(char out[WM_LAYERS_WORDS_SIZE], const wm_stack *stack, const bool in[WM_MAX_LAYERS])
{
    size_t count = 0, used = 0;
    for (size_t i = 0; i < stack->count; i++)
        count += in[i];
    snprintf(out, WM_LAYERS_WORDS_SIZE, "%s",
             count == 1   ? "the layer"
             : count == 2 ? "both layers"
                          : "all three layers");
    if (count == stack->count)
        return out;
    for (size_t i = 0; i < stack->count; i++)
        if (in[i])
            used += (size_t)snprintf(out + used, WM_LAYERS_WORDS_SIZE - used, "%s %s", used ? " and" : "the",
                                     i == 0                  ? "front"
                                     : i + 1 == stack->count ? "back"
                                                             : "inner");
    snprintf(out + used, WM_LAYERS_WORDS_SIZE - used, count > 1 ? " layers" : " layer");
    return out;
}

static const char *share_words(double share)
{
    static const char *const SIXTHS[7] = { "none", "a sixth", "a third", "half", "two thirds", "five sixths", "all" };
    double sixths = rint(share * 6);
    return SIXTHS[sixths >= 0 && sixths <= 6 ? (int)sixths : 0];
}

/* The second shade of a layer: the one that lies in pieces, or the whole layer when it is not the first of the stack.
 */
static bool same_as(const wm_layer *a, const wm_layer *b)
{
    return strcmp(a->code, b->code) == 0 && strcmp(a->second, b->second) == 0 &&
           fabs(a->second_share - b->second_share) < 1e-6;
}

static void say_layers(char out[WM_DECISION_TEXT_SIZE], const wm_stack *stack, size_t first)
{
    const wm_layer *layer = &stack->layers[first];
    char layers[WM_LAYERS_WORDS_SIZE];
    bool in[WM_MAX_LAYERS] = { false };
    for (size_t i = first; i < stack->count; i++)
        in[i] = same_as(&stack->layers[i], layer);
    if (layer->second[0])
        say(out, "%s over %s of ", layer->second, share_words(layer->second_share));
    else
        say(out, "%s in ", layer->code);
    say(out, "%s", wm_layers_words(layers, stack, in));
}

void wm_stack_words(char out[WM_DECISION_TEXT_SIZE], const wm_stack *stack)
{
    const char *base = stack->count ? stack->layers[0].code : "";
    bool any = false;
    out[0] = '\0';
    for (size_t i = 0; i < stack->count; i++) /* the shade that holds the pieces is the base, else the outer one */
        if (stack->layers[i].second[0])
            base = stack->layers[i].code;
    for (size_t i = 0; i < stack->count; i++) {
        const wm_layer *layer = &stack->layers[i];
        bool said = !layer->second[0] && strcmp(layer->code, base) == 0;
        for (size_t j = 0; j < i && !said; j++)
            said = same_as(&stack->layers[j], layer);
        if (said)
            continue;
        say(out, "%s", any ? ", " : "");
        say_layers(out, stack, i);
        any = true;
    }
    say(out, any ? ", the rest %s" : "%s", base);
}

void wm_shades_words(char out[WM_SHADES_WORDS_SIZE], const wm_decision_proposal *p)
{
    if (p->shade_count == 2)
        snprintf(out, WM_SHADES_WORDS_SIZE, "%s and %s", p->shades[0].code, p->shades[1].code);
    else
        snprintf(out, WM_SHADES_WORDS_SIZE, "%s alone", p->shades[0].code);
}

/* ---- M32: why ---- */

static int out_of_stock(const wm_decision_proposal *p)
{
    return !p->shades[0].in_stock + (p->shade_count == 2 && !p->shades[1].in_stock);
}

static double nearness(const wm_decision_proposal *p)
{
    return rint(p->shades[0].de00 + (p->shade_count == 2 ? p->shades[1].de00 : 0));
}

/* Of a pack of each; unknown: negative. */
static double price(const wm_decision_proposal *p)
{
    double sum = 0;
    for (int i = 0; i < p->shade_count; i++) {
        if (p->shades[i].pack_price_milli < 0)
            return -1;
        sum += (double)p->shades[i].pack_price_milli;
    }
    return sum;
}

static void say_gaps(wm_decision_proposal *choice, wm_decision_proposal *runner, const char *shades, const char *others)
{
    char a[NUMBER_SIZE], b[NUMBER_SIZE];
    wm_number_text(a, choice->gap, 1);
    wm_number_text(b, runner->gap, 1);
    bool alike = strcmp(a, b) == 0;
    say(choice->why,
        alike ? "A little nearer to her hair than %s."
              : "Nearer to her hair than %s, from afar and near together: %s against %s.",
        others, a, b);
    say(runner->why, alike ? "A little farther from her hair than %s." : "Farther from her hair than %s.", shades);
}

void wm_reason_why(wm_decision_proposal *choice, wm_decision_proposal *runner)
{
    char shades[WM_SHADES_WORDS_SIZE], others[WM_SHADES_WORDS_SIZE];
    if (!runner) {
        say(choice->why, "No other shade in the catalogue is near enough to try.");
        return;
    }
    wm_shades_words(shades, choice);
    wm_shades_words(others, runner);
    if (choice->pieces < runner->pieces) {
        say(choice->why, "Fewer pieces to cut and sew than with %s: %d against %d.", others, choice->pieces,
            runner->pieces);
        say(runner->why, "More pieces to cut and sew than with %s: %d against %d.", shades, runner->pieces,
            choice->pieces);
    } else if (choice->gap <= runner->gap - SMALLER_GAP) {
        say_gaps(choice, runner, shades, others);
    } else if (out_of_stock(choice) < out_of_stock(runner)) {
        say(choice->why, "As near as %s, and in stock.", others);
        say(runner->why, "As near as %s, but not in stock.", shades);
    } else if (nearness(choice) < nearness(runner)) {
        say(choice->why, "As near as %s, from shades nearer to her own colours.", others);
        say(runner->why, "As near as %s, from shades farther from her own colours.", shades);
    } else if (price(choice) >= 0 && price(choice) < price(runner)) {
        say(choice->why, "As near as %s, and cheaper.", others);
        say(runner->why, "As near as %s, but dearer.", shades);
    } else {
        say(choice->why, "%s would do as well.", others);
        say(runner->why, "As good as %s.", shades);
    }
}

/* ---- M24: what is missing ---- */

/* "lighter, softer and ashier" */
static void say_words(char out[WM_DECISION_TEXT_SIZE], wm_lab wanted, wm_lab shade)
{
    char all[WM_WORDS_SIZE];
    wm_words(all, wanted, shade);
    char *last = strrchr(all, ',');
    if (last)
        say(out, "%.*s and%s", (int)(last - all), all, last + 1);
    else
        say(out, "%s", all);
}

static void say_missing(char out[WM_DECISION_TEXT_SIZE], const char *what, const wm_role_list *list, wm_role role,
                        wm_lab wanted)
{
    const wm_drawn_shade *nearest = list->nearest;
    say(out, "%s shade within 5 of her %s", out[0] ? "; no" : "No", what);
    if (nearest) {
        int population = role == WM_ROLE_GRAY ? nearest->populations - 1 : 0;
        wm_lab lab = wm_cone_to_lab(nearest->population[population][0]);
        say(out, ": the nearest, %s, is ", nearest->swatch->code);
        say_number(out, role == WM_ROLE_GRAY ? nearest->to_gray : nearest->to_base, 1);
        say(out, " away in what the photo allows (");
        say_words(out, wanted, lab);
        say(out, ")");
    }
    say(out, "; look for about L* ");
    say_number(out, wanted.L, 1);
    say(out, ", a* ");
    say_number(out, wanted.a, 1);
    say(out, ", b* ");
    say_number(out, wanted.b, 1);
}

void wm_reason_missing(char out[WM_DECISION_TEXT_SIZE], const wm_decided *d)
{
    const wm_role_list *of = d->roles.of;
    const wm_drawn_head *head = d->the_case->head;
    out[0] = '\0';
    if (head->base_seen && of[WM_ROLE_BASE].lacking)
        say_missing(out, "own colour", &of[WM_ROLE_BASE], WM_ROLE_BASE, wm_wanted_base(head));
    if (head->gray_beyond_doubt && of[WM_ROLE_GRAY].lacking && of[WM_ROLE_BLEND].lacking)
        say_missing(out, "gray", &of[WM_ROLE_GRAY], WM_ROLE_GRAY, wm_cone_to_lab(head->gray[0]));
}

/* ---- M33: what changes ---- */

static void say_share(char out[WM_DECISION_TEXT_SIZE], double share)
{
    say(out, "about ");
    say_number(out, rint(20 * share) * 5, 0);
    say(out, " %% gray");
}

static bool same_stack(const wm_stack *a, const wm_stack *b)
{
    bool same = a->count == b->count;
    for (size_t i = 0; i < a->count && same; i++)
        same = same_as(&a->layers[i], &b->layers[i]);
    return same;
}

/* "at both sides pewter in the inner layer, the rest moth; at the back .."; "" when nothing changes in this row. */
static void say_row(char out[WM_DECISION_TEXT_SIZE], const wm_design_row *before, const wm_design_row *now)
{
    char where[WM_PLACE_WORDS_SIZE], what[WM_DECISION_TEXT_SIZE];
    out[0] = '\0';
    for (size_t s = 0; s < now->count; s++) {
        if (same_stack(&before->segments[s].stack, &now->segments[s].stack))
            continue;
        wm_segment_words(where, &now->segments[s]);
        wm_stack_words(what, &now->segments[s].stack);
        say(out, "%s%s %s", out[0] ? "; " : "", where, what);
    }
}

void wm_reason_change(char out[WM_DECISION_TEXT_SIZE], const wm_decision_proposal *before,
                      const wm_decision_proposal *after, double share, const char *zone)
{
    char rows[WM_MAX_ROWS][WM_DECISION_TEXT_SIZE];
    size_t row_count = after->design.row_count;
    out[0] = '\0';
    for (size_t r = 0; r < row_count; r++) {
        bool said = false;
        say_row(rows[r], &before->design.rows[r], &after->design.rows[r]);
        for (size_t i = 0; i < r; i++)
            said = said || strcmp(rows[i], rows[r]) == 0;
        if (said || rows[r][0] == '\0')
            continue;
        if (out[0]) {
            say(out, "; ");
        } else {
            say(out, "from ");
            say_share(out, share);
            say(out, " at %s: ", zone);
        }
        say(out, "%s", rows[r]);
    }
}

void wm_reason_falls(char out[WM_DECISION_TEXT_SIZE], const wm_decision_proposal *after,
                     const wm_decision_proposal *mended, double share)
{
    const char *verdict = after->verdict == WM_VERDICT_VISIBLE ? "visible" : "far";
    char shades[WM_SHADES_WORDS_SIZE], now[WM_SHADES_WORDS_SIZE];
    if (out[0]) {
        say(out, "; there the difference is %s", verdict);
    } else {
        say(out, "from ");
        say_share(out, share);
        say(out, " the difference is %s", verdict);
    }
    if (!mended) {
        say(out, ", and no shade in the catalogue would put that right");
        return;
    }
    wm_shades_words(shades, mended);
    wm_shades_words(now, after);
    say(out, strcmp(shades, now) == 0 ? "; %s laid out anew would be close again" : "; %s would be close again",
        shades);
}
