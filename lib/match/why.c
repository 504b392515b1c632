#include "match/why.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/buf.h"

enum { NUMBER_SIZE = 40, MAX_WORDS = 3 };

/* No sentence gets near the end: at most five codes and 280 bytes of our own. Numbers come in as text, so that no
 * locale shows. */
static void say(char out[WM_WHY_SIZE], const char *format, ...) WM_PRINTF(2, 3);
static void say(char out[WM_WHY_SIZE], const char *format, ...)
{
    size_t used = strlen(out);
    va_list args;
    va_start(args, format);
    vsnprintf(out + used, WM_WHY_SIZE - used, format, args);
    va_end(args);
}

static const char *one_decimal(char out[NUMBER_SIZE], double value)
{
    return wm_number_text(out, fabs(value), 1);
}

/* "oat / mist / oat" */
static void say_layers(char out[WM_WHY_SIZE], const wm_proposal *p)
{
    for (int i = 0; i < p->layer_count; i++)
        say(out, "%s%s", i ? " / " : "", p->layers[i]->code);
}

/* ---- the words of M1 in a sentence ---- */

typedef struct word_list {
    char text[MAX_WORDS][16];
    int count;
} word_list;

static word_list words_between(wm_lab from, wm_lab to)
{
    char all[WM_WORDS_SIZE];
    word_list list = { .count = 0 };
    wm_words(all, from, to);
    for (const char *p = all; *p && list.count < MAX_WORDS;) {
        size_t size = strcspn(p, ",");
        snprintf(list.text[list.count++], sizeof list.text[0], "%.*s", (int)size, p);
        p += size + strspn(p + size, ", ");
    }
    return list;
}

/* "darker, softer and redder" */
static void say_words(char out[WM_WHY_SIZE], const word_list *words)
{
    for (int i = 0; i < words->count; i++)
        say(out, "%s%s", i == 0 ? "" : i == words->count - 1 ? " and " : ", ", words->text[i]);
}

/* The view that decides, and what it is called. */
static bool up_decides(const wm_proposal *p, wm_worn worn)
{
    return worn == WM_WORN_UP || (worn == WM_WORN_BOTH && p->up_de00 > p->down_de00);
}

static const wm_lab *deciding_view(const wm_proposal *p, wm_worn worn)
{
    return up_decides(p, worn) ? &p->views.up : &p->views.down;
}

/* "the row is darker and softer than her hair, worn down" */
static void say_look(char out[WM_WHY_SIZE], const wm_proposal *p, const wm_layers_goal *goal, wm_worn worn)
{
    word_list words = words_between(goal->target.lab, *deciding_view(p, worn));
    if (words.count) {
        say(out, ": the row is ");
        say_words(out, &words);
        say(out, " than her hair, %s", up_decides(p, worn) ? "with the hair up" : "worn down");
    }
    say(out, ".");
}

/* ---- what the layers do ---- */

static const char *compare_depth(const wm_swatch *shade, const wm_swatch *with)
{
    return shade->lab.L > with->lab.L ? "lighter" : "darker";
}

static void say_arrangement(char out[WM_WHY_SIZE], const wm_proposal *p)
{
    const char *front = p->layers[0]->code;
    if (p->layer_count == 1)
        return;
    if (p->shade_count == 1) {
        say(out, "%s layers of %s, so that the hair behind does not shine through.",
            p->layer_count == 2 ? "Two" : "Three", front);
        return;
    }
    const wm_swatch *last = p->layers[p->layer_count - 1];
    if (last == p->layers[0])
        say(out, "%s in front and behind covers the %s %s between; it shows where the hair moves and at the edge.",
            front, compare_depth(p->layers[1], p->layers[0]), p->layers[1]->code);
    else
        say(out, "Worn down %s is seen, with the hair up %s; each shows a little of the other where the hair moves.",
            front, last->code);
}

/* The nearest of those that are simpler than p, or NULL. */
static const wm_proposal *best_simpler(const wm_proposals *all, const wm_proposal *p)
{
    const wm_proposal *best = NULL;
    for (size_t i = 0; i < all->count; i++)
        if (all->items[i].layer_count < p->layer_count && (!best || all->items[i].worst_de00 < best->worst_de00))
            best = &all->items[i];
    return best;
}

/* The nearest of those with more layers than p, or NULL. */
static const wm_proposal *best_further(const wm_proposals *all, const wm_proposal *p)
{
    const wm_proposal *best = NULL;
    for (size_t i = 0; i < all->count; i++)
        if (all->items[i].layer_count > p->layer_count && (!best || all->items[i].worst_de00 < best->worst_de00))
            best = &all->items[i];
    return best;
}

/* Why further layers did not earn their place (M13). */
static void say_too_little(char out[WM_WHY_SIZE], const wm_gain *gain)
{
    char by[NUMBER_SIZE], needed[NUMBER_SIZE];
    if (gain->de00 < 0.05)
        say(out, "would come no nearer.");
    else if (gain->de00 <= 0.5)
        say(out, "would come only %s nearer, too little to be seen.", one_decimal(by, gain->de00));
    else
        say(out, "would come %s nearer, but this photo can't tell less than %s.", one_decimal(by, gain->de00),
            one_decimal(needed, gain->needed));
}

static void say_held(wm_proposal *held, const wm_proposals *all, const wm_layers_goal *goal,
                     const wm_layers_settings *settings)
{
    char by[NUMBER_SIZE];
    const wm_proposal *simpler = best_simpler(all, held), *further = best_further(all, held);
    say_arrangement(held->why, held);
    if (simpler && simpler->worst_de00 > held->worst_de00) {
        say(held->why, " ");
        say_layers(held->why, simpler);
        say(held->why, simpler->layer_count == 1 ? " alone would be %s farther off." : " would be %s farther off.",
            one_decimal(by, simpler->worst_de00 - held->worst_de00));
    }
    if (held->layer_count == 1 && further) {
        wm_gain gain = wm_layers_gain(held, further, goal, settings);
        say(held->why, "One shade is enough: more layers ");
        say_too_little(held->why, &gain);
    }
    const char *gap = held->why[0] ? " " : "";
    if (held->verdict <= WM_VERDICT_CLOSE) { /* M15 */
        say(held->why, "%sNo colour service is needed for the blend.", gap);
    } else {
        say(held->why, "%sA difference stays", gap);
        say_look(held->why, held, goal, settings->worn);
    }
}

static void say_lost(wm_proposal *lost, const wm_proposal *held, const wm_layers_goal *goal,
                     const wm_layers_settings *settings)
{
    char by[NUMBER_SIZE];
    if (lost->layer_count > held->layer_count) {
        wm_gain gain = wm_layers_gain(held, lost, goal, settings);
        say(lost->why, lost->layer_count - held->layer_count == 1 ? "One layer more " : "Two layers more ");
        say_too_little(lost->why, &gain);
    } else if (lost->worst_de00 > held->worst_de00) {
        say(lost->why, "Simpler to sew, but %s farther off", one_decimal(by, lost->worst_de00 - held->worst_de00));
        say_look(lost->why, lost, goal, settings->worn);
    } else {
        say(lost->why, "Simpler to sew and as near, but less certain to be so.");
    }
}

/* ---- M15: what is missing ---- */

/* True when T goes beyond every shade in this direction. */
static bool beyond_all(const char *word, wm_lab target, const wm_shades *shades)
{
    for (size_t i = 0; i < shades->count; i++) {
        wm_lab lab = shades->items[i]->lab;
        wm_difference d = wm_difference_between(lab, target);
        double part = strcmp(word, "lighter") == 0  ? d.d_lightness
                      : strcmp(word, "darker") == 0 ? -d.d_lightness
                      : strcmp(word, "richer") == 0 ? d.d_chroma
                      : strcmp(word, "softer") == 0 ? -d.d_chroma
                      : strcmp(word, "warmer") == 0 ? target.b - lab.b
                      : strcmp(word, "cooler") == 0 ? lab.b - target.b
                      : strcmp(word, "redder") == 0 ? -d.d_hue
                                                    : d.d_hue;
        if (!(part > 0))
            return false;
    }
    return true;
}

/* "five lighter": the number is of lightness. */
static void add_direction(word_list *list, const char *word, double lightness)
{
    static const char *const numbers[] = { "",     "one ",   "two ",   "three ", "four ", "five ",
                                           "six ", "seven ", "eight ", "nine ",  "ten " };
    bool depth = strcmp(word, "lighter") == 0 || strcmp(word, "darker") == 0;
    long steps = lround(fabs(lightness));
    snprintf(list->text[list->count++], sizeof list->text[0], "%s%s",
             !depth       ? ""
             : steps > 10 ? "much "
                          : numbers[steps],
             word);
}

static void say_missing(wm_proposals *all, const wm_shades *shades, const wm_layers_goal *goal, wm_worn worn)
{
    const wm_proposal *held = &all->items[0];
    char *out = all->missing, by[NUMBER_SIZE];
    wm_lab target = goal->target.lab, view = *deciding_view(held, worn);
    word_list words = words_between(view, target), beyond = { .count = 0 }, rest = { .count = 0 };
    for (int i = 0; i < words.count; i++)
        add_direction(beyond_all(words.text[i], target, shades) ? &beyond : &rest, words.text[i], target.L - view.L);
    say(out, "Nothing here is close");
    if (beyond.count) {
        say(out, ": the hair is ");
        say_words(out, &beyond);
        say(out, " than anything in the catalogue");
    }
    if (rest.count) {
        say(out, beyond.count ? ", and " : ": the hair is ");
        say_words(out, &rest);
        say(out, " than the nearest");
    }
    say(out, ". Nearest is ");
    say_layers(out, held);
    say(out, ", %s off.", one_decimal(by, held->worst_de00));
}

void wm_why_proposals(wm_proposals *proposals, const wm_shades *shades, const wm_layers_goal *goal,
                      const wm_layers_settings *settings)
{
    wm_proposal *held = &proposals->items[0];
    say_held(held, proposals, goal, settings);
    for (size_t i = 1; i < proposals->count; i++)
        say_lost(&proposals->items[i], held, goal, settings);
    if (held->verdict > WM_VERDICT_CLOSE)
        say_missing(proposals, shades, goal, settings->worn);
}
