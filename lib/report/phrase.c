#include "report/phrase.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/buf.h"
#include "match/reason.h"

enum { NUMBER_SIZE = 48 };
#define LEAST_SHOWN 0.05 /* one decimal is shown */

const char *wm_phrase_answer(const wm_report *report)
{
    static const char *const HEADINGS[] = { [WM_ANSWER_SEW] = "What to sew",
                                            [WM_ANSWER_TRY] = "What to try first",
                                            [WM_ANSWER_SIMPLE] = "Simplest, but likely to show: look at the runner-up",
                                            [WM_ANSWER_SHOWS] = "What comes nearest, but is likely to show",
                                            [WM_ANSWER_FAR] = "Nothing comes close: the nearest there is",
                                            [WM_ANSWER_ROUGH] = "Not enough to order from",
                                            [WM_ANSWER_NOTHING] = "Nothing to sew yet" };
    return HEADINGS[wm_report_answer(report)];
}

const char *wm_phrase_claim(const wm_report *report)
{
    const wm_answer answer = wm_report_answer(report);
    if (report->no_shade_named && *report->stability.mend)
        return "No shade is named yet: it hangs too much on where the zones lie.";
    if ((answer == WM_ANSWER_SHOWS || answer == WM_ANSWER_FAR) && report->decision.claim <= WM_CLAIM_RUNNER_UP)
        return "The photo is good enough to choose by; what is missing is a shade nearer to her hair.";
    return wm_claim_sentence(report->decision.claim);
}

const char *wm_phrase_stability(char out[WM_PHRASE_SIZE], const wm_report *report)
{
    const wm_report_stability *s = &report->stability;
    const bool mend = report->no_shade_named && *s->mend;
    out[0] = '\0';
    if (s->tries > 0 && report->proposal_count && (mend || !report->no_shade_named))
        snprintf(out, WM_PHRASE_SIZE,
                 "With the zones moved a little, the same shades come out in %d of %d tries.%s%.60s%s", s->held,
                 s->tries, mend ? " Mark " : "", mend ? s->mend : "", mend ? " again." : "");
    return out;
}

const char *wm_phrase_design(char out[WM_DESIGN_WORDS_SIZE], const wm_report_proposal *proposal, wm_units units)
{
    wm_design design;
    out[0] = '\0';
    wm_report_design(&design, proposal);
    const wm_design_segment *first = &design.rows[0].segments[0];
    if (proposal->u_de00 > 0) /* of format 1: whole layers, no place */
        wm_stack_text(out, &first->stack, " / ");
    else
        wm_design_words(out, design.rows, design.row_count, units);
    return out;
}

const char *wm_phrase_layer_count(const wm_report_proposal *proposal)
{
    return proposal->layers == 1 ? "one layer" : proposal->layers == 2 ? "two layers" : "three layers";
}

const char *wm_phrase_shades(char out[WM_PHRASE_SIZE], const wm_report_proposal *proposal)
{
    snprintf(out, WM_PHRASE_SIZE, "%s%s%s", proposal->shades[0].code, proposal->shade_count > 1 ? " and " : "",
             proposal->shade_count > 1 ? proposal->shades[1].code : "");
    return out;
}

const char *wm_phrase_layers(int layers)
{
    static const char *const WORDS[WM_MAX_LAYERS + 1] = { "No layer", "One layer", "Two layers", "Three layers" };
    return WORDS[layers > 0 && layers <= WM_MAX_LAYERS ? layers : 0];
}

const char *wm_phrase_role(const wm_report_shade *shade)
{
    switch (shade->role) {
    case WM_ROLE_BASE: return "for her own colour";
    case WM_ROLE_GRAY: return "for her gray";
    case WM_ROLE_BLEND: return "for both, pre-blended";
    case WM_ROLE_SINGLE: break;
    }
    return "";
}

/* As it hangs, cut to her length. A plan also counts what is folded back. */
const char *wm_phrase_amount(char out[WM_PHRASE_SIZE], const wm_report *report, wm_units units)
{
    const wm_report_decision *d = &report->decision;
    const wm_plan *plan = &report->plan;
    char grams_text[NUMBER_SIZE], own[NUMBER_SIZE], percent[NUMBER_SIZE], mg[NUMBER_SIZE], limit[NUMBER_SIZE];
    char cut[WM_LENGTH_SIZE];
    bool planned = report->has_plan && plan->fullness.added_grams >= 0 && plan->limit_mg > 0;
    double grams = planned ? plan->fullness.added_grams : d->added_g, load = planned ? 0 : d->mg_per_hair;
    size_t n = 0;
    for (size_t i = 0; planned && i < plan->row_count; i++)
        load = fmax(load, plan->rows[i].mg_per_hair);
    out[0] = '\0';
    if (grams >= 0)
        n += (size_t)snprintf(out, WM_PHRASE_SIZE, "%s g added", wm_number_text(grams_text, grams, 0));
    if (grams >= 0 && planned && plan->wanted_cm > 0)
        n += (size_t)snprintf(out + n, WM_PHRASE_SIZE - n, " (as cut to %s)",
                              wm_length_text(cut, plan->wanted_cm, units, 0));
    if (grams >= 0 && d->own_g > 0)
        n += (size_t)snprintf(out + n, WM_PHRASE_SIZE - n, " to about %s g of her own, %s %% more",
                              wm_number_text(own, d->own_g, 0), wm_number_text(percent, 100 * grams / d->own_g, 0));
    if (load >= 0 && d->mg_limit > 0)
        snprintf(out + n, WM_PHRASE_SIZE - n, "%s%s mg on each hair that holds it, limit %s", n ? "; " : "",
                 wm_number_text(mg, load, 1), wm_number_text(limit, d->mg_limit, 1));
    return out;
}

const char *wm_phrase_outlook(char out[WM_PHRASE_SIZE], const wm_report_proposal *p)
{
    char far[NUMBER_SIZE], u[NUMBER_SIZE];
    const bool sure = wm_report_sure(p);
    size_t n = (size_t)snprintf(out, WM_PHRASE_SIZE, "%s", wm_verdict_sentence(p->verdict, sure));
    if (p->u_de00 > 0)
        n += (size_t)snprintf(out + n, WM_PHRASE_SIZE - n, ", dE00 %s \302\261%s", wm_number_text(far, p->far, 1),
                              wm_number_text(u, p->u_de00, 1));
    else if (p->far >= 0)
        n += (size_t)snprintf(out + n, WM_PHRASE_SIZE - n, ", about dE00 %s off where it is farthest",
                              wm_number_text(far, p->far, 1));
    if (p->p[1] >= 0)
        n += (size_t)snprintf(out + n, WM_PHRASE_SIZE - n,
                              "; close in %.0f of 10 tries, allowing for what the photo can't tell",
                              nearbyint(10 * p->p[1]));
    if (!sure)
        snprintf(out + n, WM_PHRASE_SIZE - n, "; hold it up to be sure");
    return out;
}

const char *wm_phrase_capital(char out[WM_PHRASE_SIZE], const char *text)
{
    snprintf(out, WM_PHRASE_SIZE, "%s", text);
    if (*out >= 'a' && *out <= 'z')
        *out = (char)(*out - 'a' + 'A');
    return out;
}

const char *wm_phrase_assumed(char out[WM_PHRASE_SIZE], const char *assumed)
{
    const char *option = strstr(assumed, "(--"), *rest = option ? strstr(option, ", ") : NULL;
    if (!rest)
        return assumed;
    snprintf(out, WM_PHRASE_SIZE, "%.*s(%s", (int)(option - assumed), assumed, rest + 2);
    return out;
}

const char *wm_phrase_inside(char out[WM_PHRASE_SIZE], const wm_report *report)
{
    const wm_report_proposal *p = report->proposals;
    double costs = report->decision.inside_costs;
    char number[NUMBER_SIZE];
    out[0] = '\0';
    if (costs < 0 || report->proposal_count == 0)
        return out;
    if (p->layers == 1)
        snprintf(out, WM_PHRASE_SIZE, "One layer has no inner one: it is of one shade.");
    else if (costs < LEAST_SHOWN)
        snprintf(out, WM_PHRASE_SIZE, "The second shade is kept inside, and that costs nothing here.");
    else
        snprintf(out, WM_PHRASE_SIZE, "The second shade is kept inside: %s farther from her hair than without.",
                 wm_number_text(number, costs, 1));
    return out;
}

const char *wm_phrase_target_zone(const wm_report_proposal *proposal)
{
    const wm_report_segment *first = &proposal->rows[0].segments[0];
    return first->place == WM_PLACE_SIDE ? "" : first->end;
}

const char *wm_phrase_ties(char out[WM_PHRASE_SIZE], const wm_report_proposal *p)
{
    out[0] = '\0';
    if (p->best_in_10 >= 0 && p->best_in_10 <= 5)
        snprintf(out, WM_PHRASE_SIZE,
                 "Others would do as well: this one is the best, or as good as the best, in %d of 10 tries.",
                 p->best_in_10);
    return out;
}

const char *wm_phrase_stack(char out[WM_PHRASE_SIZE], const wm_stack *stack)
{
    char text[WM_STACK_TEXT_SIZE];
    snprintf(out, WM_PHRASE_SIZE, "%.*s", WM_PHRASE_SIZE - 1,
             stack->count ? wm_stack_text(text, stack, " / ") : "not noted");
    return out;
}

const char *wm_phrase_gray(char out[WM_PHRASE_SIZE], const wm_report_zone *zone)
{
    double low = 0, high = 0;
    if (zone->has_share)
        wm_gray_interval(zone->share, zone->u_share, &low, &high);
    switch (zone->gray_status) {
    case WM_GRAY_NOT_MEASURED: return "not measured";
    case WM_GRAY_NOT_RESOLVED: return "can't be told from this photo";
    case WM_GRAY_ALL_OVER: return "gray all over (or bleached: ask)";
    case WM_GRAY_NONE_SEEN: return "no gray seen";
    case WM_GRAY_LOW: snprintf(out, WM_PHRASE_SIZE, "little gray, under %.0f %%", 100 * high); return out;
    case WM_GRAY_MEASURED: break;
    }
    if (zone->base_never_seen)
        snprintf(out, WM_PHRASE_SIZE, "gray %.0f to %.0f %%", 100 * low, 100 * high);
    else
        snprintf(out, WM_PHRASE_SIZE, "gray %.0f %% (%.0f to %.0f)", 5 * round(20 * zone->share), 100 * low,
                 100 * high);
    return out;
}

const char *wm_phrase_target(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking)
{
    const bool apart = !*ranking->said; /* else the body colour stands in: a shade for her gray is not chosen by it */
    const char *const FIXED[][2] = { { "base", apart ? "the base" : "her hair as a whole" },
                                     { "gray_fibres", apart ? "the gray" : "the gray zone as a whole" },
                                     { "bead", "the root, for beads" } };
    for (size_t i = 0; i < sizeof FIXED / sizeof FIXED[0]; i++)
        if (!ranking->of_zone && strcmp(ranking->target, FIXED[i][0]) == 0)
            return FIXED[i][1];
    snprintf(out, WM_PHRASE_SIZE, "the zone %s", ranking->target);
    return out;
}

bool wm_phrase_leads(const wm_report_ranking *ranking)
{
    return !ranking->of_zone && (strcmp(ranking->target, "base") == 0 || strcmp(ranking->target, "gray_fibres") == 0);
}

bool wm_phrase_is_role(const wm_report_ranking *ranking)
{
    return wm_phrase_leads(ranking) || (!ranking->of_zone && strcmp(ranking->target, "bead") == 0);
}

const char *wm_phrase_words(const wm_report_match *match)
{
    return *match->words ? match->words : "no difference worth naming";
}

const char *wm_phrase_too_rough(const wm_report *report)
{
    return report->no_shade_named ? "not enough to order from" : "too uncertain to rank by, hold these to her hair";
}

const char *wm_phrase_named(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking)
{
    char target[WM_PHRASE_SIZE];
    size_t named = (size_t)wm_claim_shades(ranking->claim), used = 0;
    out[0] = '\0';
    if (named > ranking->count)
        named = ranking->count;
    for (size_t i = 0; i < named && used < WM_PHRASE_SIZE; i++) {
        if (i == 0)
            used +=
                (size_t)snprintf(out, WM_PHRASE_SIZE,
                                 "%s %.80s%s: ", ranking->claim <= WM_CLAIM_RUNNER_UP ? "Nearest to" : "Short list for",
                                 wm_phrase_target(target, ranking), named > 2 ? ", nearest first" : "");
        used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, "%s%s%s", i ? ", " : "", ranking->items[i].code,
                                 i + 1 == named ? "." : "");
    }
    return out;
}

const char *wm_phrase_gap(char out[WM_PHRASE_SIZE], const wm_report_ranking *ranking)
{
    char gap[NUMBER_SIZE];
    out[0] = '\0';
    if (ranking->count < 2)
        return out;
    const wm_report_match *next = &ranking->items[1];
    wm_number_text(gap, fmax(0, next->de00 - ranking->items[0].de00), 1);
    if (next->tied_with_best && strcmp(gap, "0.0") == 0) {
        snprintf(out, WM_PHRASE_SIZE, "%s is just as near: hold both to the hair.", next->code);
        return out;
    }
    snprintf(out, WM_PHRASE_SIZE, "%s is %s farther off%s", next->code, gap,
             next->tied_with_best ? ": too little for this photo to tell; hold both to the hair."
                                  : ", enough to tell.");
    return out;
}

const char *wm_phrase_depth(char out[WM_PHRASE_SIZE], const wm_report_zone *zone)
{
    /* between the medians of what is called black 19, dark brown 17, medium 28, light brown 38, blond 64 by eye, on
     * photos without aid; our own */
    static const struct {
        double below;
        const char *word;
    } DEPTHS[] = { { 12, "very dark" }, { 23, "dark" }, { 33, "medium" }, { 51, "light" }, { 200, "very light" } };
    size_t i = 0;
    while (zone->body.lab.L >= DEPTHS[i].below)
        i++;
    snprintf(out, WM_PHRASE_SIZE, "%s, L* %.0f (%.0f to %.0f)", DEPTHS[i].word, zone->body.lab.L,
             fmax(0, zone->body.lab.L - 2 * zone->body.sigma.L), fmin(100, zone->body.lab.L + 2 * zone->body.sigma.L));
    return out;
}

const char *wm_phrase_warmth(const wm_report_zone *zone)
{
    double chroma = hypot(zone->body.lab.a, zone->body.lab.b);
    return chroma < 4                                  ? "cool, nearly without colour"
           : chroma < 10                               ? "soft"
           : zone->body.lab.b > 2.5 * zone->body.lab.a ? "warm, golden"
                                                       : "warm, reddish";
}

const char *wm_phrase_aid(const wm_report_calibration *calibration)
{
    static const char *const AIDS[] = { [WM_AIDS_NONE] = "nothing of known colour",
                                        [WM_AIDS_CARD] = "a card",
                                        [WM_AIDS_CARDS] = "white, gray and black cards",
                                        [WM_AIDS_TARGET] = "a colour target",
                                        [WM_AIDS_SWATCHES] = "swatches",
                                        [WM_AIDS_CARD_SWATCHES] = "a card and swatches",
                                        [WM_AIDS_CARDS_SWATCHES] = "white, gray and black cards and swatches",
                                        [WM_AIDS_TARGET_SWATCHES] = "a colour target and swatches" };
    return AIDS[calibration->aid];
}

const char *wm_phrase_scenario(char out[WM_DECISION_TEXT_SIZE], const wm_report_scenario *scenario)
{
    snprintf(out, WM_DECISION_TEXT_SIZE, "%s", scenario->change);
    if (out[0] >= 'a' && out[0] <= 'z')
        out[0] = (char)(out[0] - 'a' + 'A');
    return out;
}

/* "at both sides 1.9, at the back 0.9"; a row of one place has its name in the title. */
static void say_places(char out[WM_PHRASE_SIZE], const wm_design_row *row, const wm_report_row *seen)
{
    char place[WM_PLACE_WORDS_SIZE], far[NUMBER_SIZE];
    size_t used = 0;
    out[0] = '\0';
    for (size_t s = 0; s < seen->count && used < WM_PHRASE_SIZE; s++) {
        wm_segment_words(place, &row->segments[s]);
        used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, "%s%s %s", s ? ", " : "", place,
                                 wm_number_text(far, seen->segments[s].far, 1));
    }
}

/* "rows 1 and 2: "; "" when an earlier row says the same. */
static void say_rows(char out[WM_PHRASE_SIZE], char said[][WM_PHRASE_SIZE], size_t count, size_t r)
{
    size_t used = 0, last = r;
    out[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        if (strcmp(said[i], said[r]) != 0)
            continue;
        if (i < r)
            return;
        last = i;
    }
    used = (size_t)snprintf(out, WM_PHRASE_SIZE, last > r ? "rows %zu" : "row %zu", r + 1);
    for (size_t i = r + 1; i < count; i++)
        if (strcmp(said[i], said[r]) == 0)
            used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, "%s%zu", i == last ? " and " : ", ", i + 1);
    snprintf(out + used, WM_PHRASE_SIZE - used, ": ");
}

const char *wm_phrase_places(char out[WM_PHRASE_SIZE], const wm_report_proposal *p)
{
    char said[WM_MAX_ROWS][WM_PHRASE_SIZE], rows[WM_PHRASE_SIZE];
    size_t used = 0;
    wm_design design;
    out[0] = '\0';
    if (p->row_count == 1 && p->rows[0].count < 2)
        return out;
    wm_report_design(&design, p);
    for (size_t r = 0; r < p->row_count; r++)
        say_places(said[r], &design.rows[r], &p->rows[r]);
    for (size_t r = 0; r < p->row_count && used < WM_PHRASE_SIZE; r++) {
        say_rows(rows, said, p->row_count, r);
        if (*rows)
            used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, "%s%s%s", used ? "; " : "",
                                     p->row_count > 1 ? rows : "", said[r]);
    }
    return out;
}

const char *wm_phrase_packs(char out[WM_PHRASE_SIZE], const wm_report *report, wm_units units)
{
    const wm_plan *plan = &report->plan;
    char length[WM_LENGTH_SIZE];
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; report->has_plan && i < plan->weft_count && used < WM_PHRASE_SIZE - 1; i++) {
        const wm_weft *w = &plan->wefts[i];
        const char *between = used ? "; " : "";
        if (w->packs >= 0)
            used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, "%s%d pack%s of %s", between, w->packs,
                                     w->packs == 1 ? "" : "s", w->code);
        else
            used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, "%s%s of %s", between,
                                     wm_length_text(length, w->needed_cm, units, 1), w->code);
        if (w->length_cm > 0 && used < WM_PHRASE_SIZE)
            used += (size_t)snprintf(out + used, WM_PHRASE_SIZE - used, ", %s long",
                                     wm_length_text(length, w->length_cm, units, 0));
        if (w->packs_to_order >= 0 && used < WM_PHRASE_SIZE)
            used += (size_t)(w->packs_to_order
                                 ? snprintf(out + used, WM_PHRASE_SIZE - used, ", %d to order", w->packs_to_order)
                                 : snprintf(out + used, WM_PHRASE_SIZE - used, ", in stock"));
    }
    return out;
}

bool wm_phrase_scenario_changes(const wm_report *report)
{
    for (size_t i = 0; i < report->scenario_count; i++)
        if (*report->scenarios[i].change)
            return true;
    return false;
}

const char *wm_phrase_filter(char out[WM_PHRASE_SIZE], const wm_report_filter *filter)
{
    if (strcmp(filter->name, "sheet") == 0) { /* C32 */
        snprintf(out, WM_PHRASE_SIZE,
                 "%zu shade%s measured on another sheet or by an instrument: not comparable, left out.",
                 filter->removed, filter->removed == 1 ? " was" : "s were");
        return out;
    }
    snprintf(out, WM_PHRASE_SIZE, "The filter '%s' left out %zu shade%s.", filter->name, filter->removed,
             filter->removed == 1 ? "" : "s");
    return out;
}

char *wm_phrase_signs(char *text)
{
    for (char *sign = text; (sign = strstr(sign, "+-"));) { /* as long in UTF-8 */
        sign[0] = '\302';
        sign[1] = '\261';
    }
    return text;
}

const char *wm_phrase_line(char *line, size_t size, const char *text)
{
    const size_t length = strcspn(text, "\n"), kept = length < size ? length : size - 1;
    memcpy(line, text, kept);
    line[kept] = '\0';
    return text + length + (text[length] == '\n');
}

const char *wm_phrase_change(char out[WM_PHRASE_SIZE], const wm_report_change *change)
{
    snprintf(out, WM_PHRASE_SIZE, "%s", change->words);
    return wm_phrase_signs(out);
}

const char *wm_phrase_date(char out[WM_PHRASE_SIZE], const char *at)
{
    static const char *const MONTHS[] = { "January", "February", "March",     "April",   "May",      "June",
                                          "July",    "August",   "September", "October", "November", "December" };
    char day[WM_DATE_SIZE] = "";
    wm_date date;
    memcpy(day, at, strnlen(at, WM_DATE_SIZE - 2));
    if (!wm_date_parse(&date, day))
        return at;
    snprintf(out, WM_PHRASE_SIZE, "%d %s %d", date.day, MONTHS[date.month - 1], date.year);
    return out;
}
