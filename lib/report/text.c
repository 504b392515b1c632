#include "report/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "report/layout.h"
#include "report/phrase.h"

static wm_units units_of(const wm_layout *to)
{
    return to->style->inches ? WM_UNITS_IN : WM_UNITS_CM;
}

/* --- head
 * -----------------------------------------------------------------------------------------------------------------------
 */

static void write_head(wm_layout *to, const wm_report *r)
{
    char text[700], day[12], taken[sizeof r->photo.taken];
    snprintf(taken, sizeof taken, "%s", r->photo.taken);
    if (strlen(taken) > 10)
        taken[10] = ' '; /* of 2025-05-14T10:12:00 */
    snprintf(day, sizeof day, "%.10s", r->made_at);
    wm_layout_cell(to, *r->salon ? r->salon : "weftmatch", wm_layout_columns(to) - sizeof day);
    wm_layout_right(to, day, sizeof day);
    wm_buf_text(to->out, "\n");
    if (*r->client)
        wm_layout_labelled(to, "Client", r->client);
    snprintf(text, sizeof text, "%s, %d x %d, %s%s%s%s%s", r->photo.file, r->photo.width, r->photo.height,
             r->photo.profile, *r->photo.camera ? ", " : "", r->photo.camera, *taken ? ", taken " : "", taken);
    wm_layout_labelled(to, "Photo", text);
    snprintf(text, sizeof text, "against %s; light unknown", wm_phrase_aid(&r->calibration));
    wm_layout_labelled(to, "Measured", text);
    for (size_t i = 0; i < r->calibration.dropped_count; i++) {
        snprintf(text, sizeof text, "%s: %s", r->calibration.dropped[i].zone, r->calibration.dropped[i].why);
        wm_layout_labelled(to, i ? "" : "Left out", text);
    }
}

/* --- the hair
 * -------------------------------------------------------------------------------------------------------------------
 */

enum { WIDE_TABLES = 76 };

static bool is_narrow(const wm_layout *to)
{
    return wm_layout_columns(to) < WIDE_TABLES;
}

static void write_zone(wm_layout *to, const wm_report_zone *z)
{
    char gray[WM_PHRASE_SIZE], u[52];
    size_t chip = to->style->chips ? WM_LAYOUT_CHIP : 0;
    if (z->refused) {
        wm_layout_cell(to, "", chip);
        wm_layout_whole(to, z->name, 18, chip);
        wm_layout_line(to, "could not be measured");
        return;
    }
    wm_layout_chip(to, z->body.lab);
    wm_layout_whole(to, z->name, 18, chip);
    if (is_narrow(to)) { /* the numbers on a line of their own */
        wm_layout_wrapped(to, wm_phrase_gray(gray, z), chip + 18, chip + 18);
        wm_layout_cell(to, "", chip + 18);
    } else {
        wm_layout_cell(to, wm_phrase_gray(gray, z), 32);
    }
    wm_layout_number(to, z->body.lab.L, 5);
    wm_layout_number(to, z->body.lab.a, 6);
    wm_layout_number(to, z->body.lab.b, 6);
    wm_buf_text(to->out, "  ");
    wm_layout_line(to, wm_layout_plus_minus(u, z->body.u_de00));
}

static void write_zones(wm_layout *to, const wm_report *r)
{
    wm_layout_heading(to, "The hair");
    wm_layout_cell(to, "", (is_narrow(to) ? 18u : 50u) + (to->style->chips ? WM_LAYOUT_CHIP : 0));
    wm_layout_line(to, "   L*    a*    b*  dE00");
    for (size_t i = 0; i < r->zone_count; i++)
        write_zone(to, &r->zones[i]);
}

/* --- what to sew
 * ---------------------------------------------------------------------------------------------------------------- */

/* C24: depth and warmth are what a photo tells that names no shade. */
static void write_depths(wm_layout *to, const wm_report *r)
{
    char depth[WM_PHRASE_SIZE], text[WM_PHRASE_SIZE + 200];
    for (size_t i = 0; i < r->zone_count; i++)
        if (!r->zones[i].refused) {
            snprintf(text, sizeof text, "%s: %s; %s", r->zones[i].name, wm_phrase_depth(depth, &r->zones[i]),
                     wm_phrase_warmth(&r->zones[i]));
            wm_layout_wrapped(to, text, 2, 0);
        }
}

/* M4: as many shades as the photo can choose among, and the gap behind the first (C26). */
static void write_named(wm_layout *to, const wm_report *r)
{
    char named[WM_PHRASE_SIZE], gap[WM_PHRASE_SIZE], text[2 * WM_PHRASE_SIZE];
    for (size_t i = 0; i < r->ranking_count; i++) {
        const wm_report_ranking *k = &r->rankings[i];
        if (!wm_phrase_leads(k) || !*wm_phrase_named(named, k))
            continue;
        snprintf(text, sizeof text, "%s %s", named, wm_phrase_gap(gap, k));
        wm_layout_wrapped(to, text, 0, 0);
    }
}

static void write_shades(wm_layout *to, const wm_report_proposal *p)
{
    const char *label = p->shade_count > 1 ? "Shades" : "Shade";
    char text[WM_PHRASE_SIZE];
    for (size_t i = 0; i < p->shade_count; i++) {
        const wm_report_shade *s = &p->shades[i];
        const char *role = wm_phrase_role(s);
        wm_layout_cell(to, i ? "" : label, 10);
        wm_layout_chip(to, s->lab);
        snprintf(text, sizeof text, "%s%s%s%s%s", s->code, *s->name ? " " : "", s->name, *role ? ", " : "", role);
        wm_layout_wrapped(to, text, 10, 10 + (to->style->chips ? WM_LAYOUT_CHIP : 0));
    }
}

static void write_choice(wm_layout *to, const wm_report *r)
{
    const wm_report_proposal *p = &r->proposals[0];
    char words[WM_DESIGN_WORDS_SIZE], text[WM_PHRASE_SIZE], line[WM_LAYOUT_TEXT];
    write_shades(to, p);
    snprintf(line, sizeof line, "%s: %s.", wm_phrase_layer_count(p), wm_phrase_design(words, p, units_of(to)));
    line[0] = (char)(line[0] - 'a' + 'A');
    wm_layout_labelled(to, "Where", line);
    if (*wm_phrase_target_zone(p)) {
        snprintf(text, sizeof text, "%s, all along", wm_phrase_target_zone(p));
        wm_layout_labelled(to, "Beside", text);
    }
    if (*wm_phrase_inside(text, r))
        wm_layout_labelled(to, "Inside", text);
    if (*wm_phrase_packs(text, r, units_of(to)))
        wm_layout_labelled(to, "Take", text);
    if (*wm_phrase_amount(text, r, units_of(to)))
        wm_layout_labelled(to, "Hair", text);
    if (!r->no_shade_named) { /* C24: a verdict would promise what the photo can't know */
        wm_layout_labelled(to, "Close?", wm_phrase_outlook(text, p));
        if (*wm_phrase_places(text, p))
            wm_layout_labelled(to, "", text);
        if (*wm_phrase_ties(text, p))
            wm_layout_labelled(to, "", text);
        if (*p->why)
            wm_layout_labelled(to, "Why", p->why);
    }
}

static void write_price(wm_layout *to, const wm_report *r)
{
    char text[300], amount[WM_MONEY_SIZE], day[WM_DATE_SIZE];
    const wm_quote *q = &r->plan.quote;
    if (!r->has_plan)
        return;
    if (q->line_count) {
        snprintf(text, sizeof text, "%s%s", wm_money_text(amount, q->total_minor, q->currency),
                 q->complete ? "" : " so far; the rest has no price yet");
        wm_layout_labelled(to, "Price", text);
    }
    if (wm_date_valid(r->plan.moveups.dates[0]))
        wm_layout_labelled(to, "Move-up", wm_date_text(day, r->plan.moveups.dates[0]));
}

static void write_runner_up(wm_layout *to, const wm_report *r)
{
    char words[WM_DESIGN_WORDS_SIZE], far[48], near[80], text[2 * WM_DESIGN_WORDS_SIZE];
    for (size_t i = 1; i < r->proposal_count; i++) {
        const wm_report_proposal *p = &r->proposals[i];
        snprintf(near, sizeof near, ": %s, about dE00 %s off", wm_verdict_name(p->verdict),
                 wm_number_text(far, p->far, 1));
        snprintf(text, sizeof text, "%s%s. %s", wm_phrase_design(words, p, units_of(to)),
                 r->no_shade_named || p->far < 0 ? "" : near, p->why);
        wm_layout_labelled(to, i > 1 ? "" : "Or", text);
    }
}

static void write_assumed(wm_layout *to, const wm_report_decision *d)
{
    char text[WM_LAYOUT_TEXT] = "";
    size_t used = 0;
    for (size_t i = 0; i < d->assumed_count && used < sizeof text; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", used ? "; " : "", d->assumed[i]);
    if (used)
        wm_layout_labelled(to, "To add", text);
}

static void write_answer(wm_layout *to, const wm_report *r)
{
    char text[WM_PHRASE_SIZE];
    wm_layout_heading(to, wm_phrase_answer(r));
    if (r->proposal_count)
        wm_layout_wrapped(to, wm_phrase_claim(r), 0, 0);
    if (*wm_phrase_stability(text, r))
        wm_layout_wrapped(to, text, 0, 0);
    if (r->no_shade_named)
        write_depths(to, r);
    if (*r->decision.heavy)
        wm_layout_wrapped(to, r->decision.heavy, 0, 0);
    for (size_t i = 0; i < r->filter_count; i++)
        if (r->filters[i].removed)
            wm_layout_wrapped(to, wm_phrase_filter(text, &r->filters[i]), 0, 0);
    if (r->no_shade_named && r->proposal_count)
        wm_layout_line(to, "Nearest by the numbers, but not enough to order from:");
    if (r->proposal_count)
        write_choice(to, r);
    write_price(to, r);
    write_runner_up(to, r);
    if (*r->decision.worn)
        wm_layout_labelled(to, "Now", r->decision.worn);
    if (*r->decision.missing && (!r->no_shade_named || r->proposal_count == 0))
        wm_layout_labelled(to, "Missing", r->decision.missing);
    if (!r->no_shade_named && r->proposal_count && !to->style->settled)
        write_assumed(to, &r->decision);
    if (*r->note && to->style->full)
        wm_layout_wrapped(to, r->note, 0, 0);
}

/* --- nearest shades
 * ------------------------------------------------------------------------------------------------------------- */

static void write_match(wm_layout *to, const wm_report_match *m, const char *verdict, bool tied)
{
    size_t chip = to->style->chips ? WM_LAYOUT_CHIP : 0;
    char u[52];
    wm_buf_text(to->out, "  ");
    wm_layout_chip(to, m->lab);
    wm_layout_whole(to, m->code, 16, 2 + chip);
    wm_layout_cell(to, verdict, 8);
    if (!is_narrow(to)) /* else the words stand below */
        wm_layout_cell(to, wm_phrase_words(m), 30);
    wm_layout_number(to, m->de00, 5);
    wm_buf_text(to->out, " ");
    if (tied)
        wm_layout_cell(to, wm_layout_plus_minus(u, m->u_de00), 6);
    wm_layout_line(to, tied ? "tied" : wm_layout_plus_minus(u, m->u_de00));
    if (is_narrow(to))
        wm_layout_wrapped(to, wm_phrase_words(m), 4, 0);
}

/* With the gap behind the first (C26). */
static void write_ranking_title(wm_layout *to, const wm_report *r, const wm_report_ranking *k)
{
    char target[WM_PHRASE_SIZE], gap[48], text[2 * WM_PHRASE_SIZE];
    int n = snprintf(text, sizeof text, "To %s", wm_phrase_target(target, k));
    if (k->claim == WM_CLAIM_ROUGH)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %s", wm_phrase_too_rough(r));
    else if (k->count > 1)
        n += snprintf(text + n, sizeof text - (size_t)n, "; the second is %s farther off",
                      wm_number_text(gap, fmax(0, k->items[1].de00 - k->items[0].de00), 1));
    snprintf(text + n, sizeof text - (size_t)n, ":");
    wm_layout_wrapped(to, text, 0, 0);
}

static void write_rankings(wm_layout *to, const wm_report *r)
{
    wm_layout_heading(to, "Nearest shades");
    if (!r->no_shade_named)
        write_named(to, r);
    for (size_t i = 0; i < r->ranking_count; i++) {
        const wm_report_ranking *k = &r->rankings[i];
        if (!wm_phrase_is_role(k) && !to->style->zone_rankings)
            continue;
        size_t lines = k->count < (size_t)to->style->lines ? k->count : (size_t)to->style->lines;
        write_ranking_title(to, r, k);
        if (*k->said)
            wm_layout_wrapped(to, k->said, 2, 0);
        for (size_t n = 0; n < lines; n++)
            write_match(to, &k->items[n], k->claim == WM_CLAIM_ROUGH ? "" : wm_verdict_name(k->items[n].verdict),
                        n > 0 && k->items[n].tied_with_best);
    }
}

/* --- plan
 * -----------------------------------------------------------------------------------------------------------------------
 */

static const char *many(int count)
{
    return count == 1 ? "" : "s";
}

static void write_plan_weft(wm_layout *to, const wm_weft *w)
{
    char text[500], length[WM_LENGTH_SIZE];
    int n =
        snprintf(text, sizeof text, "%s: %s of weft", w->code, wm_length_text(length, w->needed_cm, units_of(to), 1));
    if (w->length_cm >= 0)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %s long",
                      wm_length_text(length, w->length_cm, units_of(to), 0));
    if (w->pieces >= 0)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %d piece%s", w->pieces, many(w->pieces));
    if (w->packs >= 0)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %d pack%s", w->packs, many(w->packs));
    if (w->packs_to_order >= 0)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %d to order", w->packs_to_order);
    if (w->rest_cm > 0)
        snprintf(text + n, sizeof text - (size_t)n, ", %s left over",
                 wm_length_text(length, w->rest_cm, units_of(to), 1));
    wm_layout_wrapped(to, text, 10, 10);
}

static void write_plan_rows(wm_layout *to, const wm_plan *plan)
{
    char label[32], text[400], arc[WM_LENGTH_SIZE], row[WM_LENGTH_SIZE], thread[WM_LENGTH_SIZE];
    for (size_t i = 0; i < plan->row_count; i++) {
        const wm_row *r = &plan->rows[i];
        snprintf(text, sizeof text, "%s arc, row %s, %d bead%s; thread %s, used doubled",
                 wm_length_text(arc, r->arc_cm, units_of(to), 1), wm_length_text(row, r->row_cm, units_of(to), 1),
                 r->beads, many(r->beads), wm_length_range(thread, r->thread_cut_cm, units_of(to), 0));
        snprintf(label, sizeof label, plan->row_count > 1 ? "Row %zu" : "Row", i + 1);
        wm_layout_labelled(to, label, text);
    }
    for (size_t i = 0; i < plan->weft_count; i++) {
        wm_layout_cell(to, i ? "" : "Hair", 10);
        write_plan_weft(to, &plan->wefts[i]);
    }
    snprintf(text, sizeof text, "%d and %d in reserve%s%s", plan->beads, plan->bead_reserve,
             *plan->bead_code ? ", shade " : "", plan->bead_code);
    wm_layout_labelled(to, "Beads", text);
}

static void write_fullness(wm_layout *to, const wm_fullness *f)
{
    char text[200], own[48], added[48], percent[48];
    if (f->added_grams < 0)
        return;
    int n = snprintf(text, sizeof text, "%s g added", wm_number_text(added, f->added_grams, 0));
    if (f->natural_grams >= 0)
        snprintf(text + n, sizeof text - (size_t)n, " to about %s g of own hair, %s %% more",
                 wm_number_text(own, f->natural_grams, 0), wm_number_text(percent, f->added_percent, 0));
    wm_layout_labelled(to, "Fullness", text);
}

static void quote_line(wm_layout *to, const char *label, const char *text, const char *amount)
{
    const size_t columns = wm_layout_columns(to);
    wm_layout_cell(to, label, 10);
    if (is_narrow(to)) /* the amount below */
        wm_layout_wrapped(to, text, 10, 10);
    else
        wm_layout_cell(to, text, columns - 30);
    wm_layout_right(to, amount, is_narrow(to) ? columns : 20);
    wm_buf_text(to->out, "\n");
}

static void write_quote(wm_layout *to, const wm_quote *q)
{
    char amount[WM_MONEY_SIZE], each[WM_MONEY_SIZE], text[240];
    if (q->line_count == 0)
        return;
    for (size_t i = 0; i < q->line_count; i++) {
        const wm_quote_line *l = &q->lines[i];
        snprintf(text, sizeof text, "%lld %s, %s each", (long long)l->quantity, l->label,
                 wm_price_text(each, l->each_milli, q->currency));
        quote_line(to, i ? "" : "Quote", text, wm_money_text(amount, l->total_minor, q->currency));
    }
    snprintf(text, sizeof text, "tax %s %%",
             wm_number_text(each, (double)q->tax_milli_percent / 1000, q->tax_milli_percent % 1000 ? 3 : 0));
    quote_line(to, "", text, wm_money_text(amount, q->tax_minor, q->currency));
    quote_line(to, "", q->complete ? "total" : "total so far", wm_money_text(amount, q->total_minor, q->currency));
    if (q->deposit_minor > 0)
        quote_line(to, "", "of it the deposit", wm_money_text(amount, q->deposit_minor, q->currency));
    if (wm_date_valid(q->until)) {
        snprintf(text, sizeof text, "%s%sholds until %s", q->number, *q->number ? " " : "",
                 wm_date_text(each, q->until));
        wm_layout_labelled(to, "", text);
    }
}

static void write_moveups(wm_layout *to, const wm_moveups *m)
{
    char text[240], day[WM_DATE_SIZE], growth[WM_LENGTH_SIZE];
    int n = 0;
    for (size_t i = 0; i < WM_MOVEUPS; i++)
        if (wm_date_valid(m->dates[i]))
            n += snprintf(text + n, sizeof text - (size_t)n, "%s%s", n ? ", " : "", wm_date_text(day, m->dates[i]));
    snprintf(text + n, sizeof text - (size_t)n, "; %s of growth in between",
             wm_length_range(growth, m->growth_cm, units_of(to), 2));
    wm_layout_labelled(to, "Move-ups", text);
}

/* M25: the row that pulls most. */
static void write_load(wm_layout *to, const wm_plan *plan)
{
    double most = -1;
    char text[160], mg[48], limit[48];
    for (size_t i = 0; i < plan->row_count; i++)
        most = fmax(most, plan->rows[i].mg_per_hair);
    snprintf(text, sizeof text, "%s mg on each hair that holds it, limit %s", wm_number_text(mg, most, 1),
             wm_number_text(limit, plan->limit_mg, 1));
    if (most >= 0 && plan->limit_mg > 0)
        wm_layout_labelled(to, "Load", text);
}

static void write_plan(wm_layout *to, const wm_plan *plan)
{
    wm_layout_heading(to, "Plan");
    if (*plan->sewn)
        wm_layout_labelled(to, "Where", plan->sewn);
    write_plan_rows(to, plan);
    write_fullness(to, &plan->fullness);
    write_load(to, plan);
    write_quote(to, &plan->quote);
    write_moveups(to, &plan->moveups);
    wm_layout_heading(to, "Work list");
    for (size_t i = 0; i < plan->step_count; i++) {
        char label[24];
        snprintf(label, sizeof label, "%zu.", i + 1);
        wm_layout_cell(to, label, 4);
        wm_layout_wrapped(to, plan->steps[i], 4, 4);
    }
}

/* --- over time
 * ------------------------------------------------------------------------------------------------------------------ */

static void write_scenarios(wm_layout *to, const wm_report *r)
{
    char change[WM_DECISION_TEXT_SIZE];
    wm_layout_heading(to, "If the gray increases");
    for (size_t i = 0; i < r->scenario_count; i++)
        if (*wm_phrase_scenario(change, &r->scenarios[i]))
            wm_layout_wrapped(to, change, 2, 0);
    if (!wm_phrase_scenario_changes(r))
        wm_layout_line(to, "Nothing changes up to the gray share looked at: the same hair stays right.");
}

static void write_changes(wm_layout *to, const wm_report *r)
{
    char title[64], words[WM_PHRASE_SIZE], text[WM_PHRASE_SIZE + 200];
    snprintf(title, sizeof title, "Since %s", r->since_date);
    wm_layout_heading(to, title);
    for (size_t i = 0; i < r->change_count; i++) {
        snprintf(text, sizeof text, "%s: %s", r->changes[i].zone, wm_phrase_change(words, &r->changes[i]));
        wm_layout_wrapped(to, text, 2, 0);
    }
    for (size_t i = 0; i < r->unpaired.count; i++)
        wm_layout_wrapped(to, r->unpaired.items[i].text, 2, 0);
}

/* --- all of it
 * ------------------------------------------------------------------------------------------------------------------ */

static const char TAKE_CARE[] = "Take care";

static void write_caution(wm_layout *to, const char *text)
{
    wm_buf_text(to->out, "- ");
    wm_layout_wrapped(to, text, 2, 2);
}

/* In short: those that change something; in full: all. */
static void write_cautions(wm_layout *to, const wm_report *r)
{
    size_t count = r->cautions.count;
    if (!to->style->full)
        count -= r->general_cautions < count ? r->general_cautions : count;
    if (count)
        wm_layout_heading(to, TAKE_CARE);
    for (size_t i = 0; i < count; i++)
        write_caution(to, r->cautions.items[i].text);
}

static void write_evidence(wm_layout *to, const wm_report *r)
{
    write_zones(to, r);
    if (r->ranking_count)
        write_rankings(to, r);
    if (r->has_plan)
        write_plan(to, &r->plan);
    if (r->scenario_count && !r->no_shade_named)
        write_scenarios(to, r);
    if (*r->since_date)
        write_changes(to, r);
}

wm_status wm_report_to_text(wm_buf *out, const wm_report *report, const wm_text_style *style, wm_error *err)
{
    wm_text_style plain = *style;
    if (report->no_shade_named || (report->measured_only && wm_report_exit(report) != 0))
        plain.chips = WM_CHIPS_NONE; /* C24: a colour on the screen would promise what the photo can't know */
    wm_layout to = { out, &plain };
    bool full = style->full || report->measured_only;
    write_head(&to, report);
    if (report->proposal_count || *report->decision.missing)
        write_answer(&to, report);
    if (full)
        write_evidence(&to, report);
    write_cautions(&to, report);
    if (!full)
        wm_layout_wrapped(
            &to,
            "\nFor figures, rankings, cutting list, work list and all cautions add --full; for a page add --html FILE.",
            0, 0);
    return wm_buf_status(out, err);
}

wm_status wm_plan_to_text(wm_buf *out, const wm_plan *plan, const wm_text_style *style, wm_error *err)
{
    wm_layout to = { out, style };
    write_plan(&to, plan);
    if (plan->caution_count)
        wm_layout_heading(&to, TAKE_CARE);
    for (size_t i = 0; i < plan->caution_count; i++)
        write_caution(&to, plan->cautions[i]);
    return wm_buf_status(out, err);
}
