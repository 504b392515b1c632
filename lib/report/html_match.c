/* The page's answer: what to sew, the shades that are nearest, and what if the gray increases. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "match/reason.h"
#include "report/figure.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"
#include "report/plot.h"

enum { MOST_SHOWN = 5, MOST_FURTHER = 3 };

/* ---- what to sew ---- */

static void write_distance(wm_page *page, double de00, double u_de00)
{
    if (u_de00 > 0)
        wm_markup(page->out, "<span class=\"number\">dE00 %1 \302\261 %1</span>", de00, u_de00);
    else if (de00 >= 0)
        wm_markup(page->out, "<span class=\"number\">dE00 %1</span>", de00);
}

static const char *const MARKS[] = { "\342\227\217", "\342\227\220", "\342\227\224", "\342\227\213" }; /* ● ◐ ◔ ○ */

/* A word and a mark, never a colour alone. A photo that names no shade has none: "match" would promise what it can't
 * know (C24). */
static void write_verdict(wm_page *page, wm_verdict verdict)
{
    wm_markup(page->out, "<span class=\"verdict\"><span aria-hidden=\"true\">%s</span> %s</span> ", MARKS[verdict],
              wm_verdict_name(verdict));
}

static void write_shade_names(wm_page *page, const wm_report_proposal *p)
{
    wm_buf_text(page->out, "<ul class=\"shades\">");
    for (size_t i = 0; i < p->shade_count; i++) {
        const wm_report_shade *s = &p->shades[i];
        wm_buf_text(page->out, "<li>");
        wm_figure_shade(page->out, s->lab, s->code);
        wm_markup(page->out, "<span><span translate=\"no\"><b>%s</b>%s%s</span>", s->code, *s->name ? " " : "",
                  s->name);
        if (*wm_phrase_role(s))
            wm_markup(page->out, "<small>%s</small>", wm_phrase_role(s));
        wm_buf_text(page->out, "</span></li>");
    }
    wm_buf_text(page->out, "</ul>\n");
}

static void write_part(wm_page *page, const wm_report_proposal *p, const wm_report_segment *segment, const char *place)
{
    const wm_worn worn = page->report->worn;
    for (int up = worn == WM_WORN_UP; up < (worn == WM_WORN_DOWN ? 1 : 2); up++) { /* M30: the views that count */
        wm_figure_part part = { p, segment, page->behind, up };
        wm_buf_text(page->out, "<figure>");
        wm_figure_strands(page->out, &part);
        wm_figure_pair(page->out, segment->target, up ? segment->seen.up : segment->seen.down,
                       up ? "Own hair beside the row, hair up" : "Own hair beside the row, worn down");
        wm_markup(page->out, "<figcaption><span>own hair</span><b>%s%s%s</b><span>the row</span></figcaption>", place,
                  *place ? ", " : "", up ? "hair up" : "worn down");
        wm_figure_section(page->out, &part);
        wm_buf_text(page->out, "</figure>\n");
    }
}

/* Rows that hang at the same place in the same design look the same. */
static bool drawn_before(const wm_report_proposal *p, size_t r, size_t s)
{
    const wm_report_segment *one = &p->rows[r].segments[s];
    for (size_t i = 0; i < r; i++)
        for (size_t k = 0; k < p->rows[i].count; k++) {
            const wm_report_segment *other = &p->rows[i].segments[k];
            bool same = other->place == one->place && strcmp(other->end, one->end) == 0 &&
                        other->layer_count == one->layer_count;
            for (size_t n = 0; same && n < one->layer_count; n++)
                same = strcmp(one->layers[n].layer.code, other->layers[n].layer.code) == 0 &&
                       strcmp(one->layers[n].layer.second, other->layers[n].layer.second) == 0 &&
                       fabs(one->layers[n].layer.second_share - other->layers[n].layer.second_share) < 1e-9;
            if (same)
                return true;
        }
    return false;
}

/* Each different place once; the rows from above first. */
static void write_drawings(wm_page *page, const wm_report_proposal *p)
{
    char place[WM_PLACE_WORDS_SIZE] = "";
    wm_design design;
    wm_report_design(&design, p);
    wm_buf_text(page->out, "<div class=\"rows\">");
    for (size_t r = 0; r < p->row_count; r++)
        wm_figure_row(page->out, p, r, page->units);
    wm_buf_text(page->out, "</div><div class=\"drawings\">");
    for (size_t r = 0; r < p->row_count; r++)
        for (size_t s = 0; s < p->rows[r].count; s++) {
            if (p->row_count > 1 || p->rows[r].count > 1)
                wm_segment_words(place, &design.rows[r].segments[s]);
            if (!drawn_before(p, r, s))
                write_part(page, p, &p->rows[r].segments[s], place);
        }
    wm_buf_text(page->out, "</div><p class=\"aside\">Drawn from the measured colours; this is not a photo.</p>\n");
}

static void write_filters(wm_page *page, const char *line)
{
    const wm_report *r = page->report;
    char text[WM_PHRASE_SIZE];
    for (size_t i = 0; i < r->filter_count; i++)
        if (r->filters[i].removed)
            wm_markup(page->out, line, wm_phrase_filter(text, &r->filters[i]));
}

static void write_order_box(wm_page *page)
{
    const wm_report *r = page->report;
    char text[WM_PHRASE_SIZE], gap[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<div class=\"order\"><h3>Before you order</h3><ul>");
    wm_markup(page->out, "<li>%s</li>", wm_phrase_claim(r));
    if (*wm_phrase_stability(text, r))
        wm_markup(page->out, "<li>%s</li>", text);
    for (size_t i = 0; i < r->ranking_count; i++)
        if (wm_phrase_leads(&r->rankings[i]) && *wm_phrase_named(text, &r->rankings[i]))
            wm_markup(page->out, "<li>%s %s %s</li>", text, wm_phrase_gap(gap, &r->rankings[i]), r->rankings[i].said);
    if (*r->decision.missing)
        wm_markup(page->out, "<li>%s.</li>", r->decision.missing);
    const size_t assumed = page->in->settled || !r->proposal_count ? 0 : r->decision.assumed_count;
    for (size_t i = 0; i < assumed; i++) {
        wm_buf_text(page->out, i ? "; " : "<li>For a better answer add ");
        wm_markup(page->out, "%s", wm_phrase_assumed(text, r->decision.assumed[i]));
    }
    wm_buf_text(page->out, assumed ? ".</li>" : "");
    if (*r->decision.worn)
        wm_markup(page->out, "<li>%s</li>", wm_phrase_capital(text, r->decision.worn));
    write_filters(page, "<li>%s</li>");
    wm_buf_text(page->out,
                "<li>Hold the swatches to the dry, finished hair in daylight: the eye decides.</li></ul></div>\n");
}

static void write_alternative(wm_page *page, const wm_report_proposal *p)
{
    char words[WM_DESIGN_WORDS_SIZE], shades[WM_PHRASE_SIZE];
    const wm_report_segment *first = &p->rows[0].segments[0];
    wm_buf_text(page->out, "<li>");
    wm_figure_pair(page->out, first->target, first->seen.down, "Own hair beside this row, worn down");
    wm_markup(page->out, "<div><p><b>%s</b>: %s.</p><p>", wm_phrase_shades(shades, p),
              wm_phrase_design(words, p, page->units));
    if (!page->report->no_shade_named)
        write_verdict(page, p->verdict);
    write_distance(page, p->far, p->u_de00);
    wm_markup(page->out, "</p><p>%s</p></div></li>\n", page->report->no_shade_named ? "" : p->why);
}

static void write_others(wm_page *page, size_t from, const char *title)
{
    const wm_report *r = page->report;
    if (r->proposal_count <= from)
        return;
    wm_markup(page->out, "<h3>%s</h3><ul class=\"others\">", title);
    for (size_t i = from; i < r->proposal_count; i++)
        write_alternative(page, &r->proposals[i]);
    wm_buf_text(page->out, "</ul>\n");
}

/* What it costs and when next, where the decision is read. */
static void write_terms(wm_page *page)
{
    const wm_report *r = page->report;
    char amount[WM_MONEY_SIZE], iso[WM_DATE_SIZE], date[WM_PHRASE_SIZE], text[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<dl class=\"facts terms\">");
    if (r->has_plan && r->plan.quote.line_count)
        wm_html__fact(page, r->plan.quote.complete ? "Price" : "Price so far",
                      wm_money_text(amount, r->plan.quote.total_minor, r->plan.quote.currency));
    if (r->has_plan && wm_date_valid(r->plan.moveups.dates[0]))
        wm_html__fact(page, "First move-up", wm_phrase_date(date, wm_date_text(iso, r->plan.moveups.dates[0])));
    if (*wm_phrase_packs(text, r, page->units))
        wm_markup(page->out, "<div class=\"wide\"><dt>Take</dt><dd>%s</dd></div>", text);
    if (*wm_phrase_amount(text, r, page->units))
        wm_markup(page->out, "<div class=\"wide\"><dt>Hair</dt><dd>%s</dd></div>", text);
    wm_buf_text(page->out, "</dl>\n");
}

static void write_best(wm_page *page)
{
    const wm_report_proposal *best = &page->report->proposals[0];
    char shades[WM_PHRASE_SIZE], words[WM_DESIGN_WORDS_SIZE], outlook[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<div class=\"first-screen\"><div>");
    wm_markup(page->out, "<p class=\"shade-name\">%s</p><p class=\"lead\">%s: %s.</p>\n",
              wm_phrase_shades(shades, best), wm_phrase_layers(best->layers),
              wm_phrase_design(words, best, page->units));
    if (*page->report->decision.heavy)
        wm_markup(page->out, "<p class=\"order\">%s</p>", page->report->decision.heavy);
    wm_phrase_outlook(outlook, best);
    outlook[0] = (char)(outlook[0] - 'a' + 'A');
    wm_markup(page->out, "<p><span class=\"verdict\" aria-hidden=\"true\">%s</span> %s.</p>\n", MARKS[best->verdict],
              outlook);
    if (*wm_phrase_places(outlook, best))
        wm_markup(page->out, "<p>Off by place: %s.</p>\n", outlook);
    if (*wm_phrase_ties(outlook, best))
        wm_markup(page->out, "<p>%s</p>\n", outlook);
    if (*wm_phrase_target_zone(best))
        wm_markup(page->out, "<p>Beside %s, all along.</p>\n", wm_phrase_target_zone(best));
    if (*wm_phrase_inside(outlook, page->report))
        wm_markup(page->out, "<p>%s</p>\n", outlook);
    write_shade_names(page, best);
    write_terms(page);
    wm_buf_text(page->out, "</div>");
    wm_html__small_photo(page);
    wm_buf_text(page->out, "</div>\n");
    wm_markup(page->out, "<p>%s</p>\n", best->why);
    write_order_box(page);
    write_drawings(page, best);
    write_others(page, 1, "Or");
    if (*page->report->note)
        wm_markup(page->out, "<p class=\"aside\">%s</p>\n", page->report->note);
}

/* C24: depth and warmth, no shade. */
static void write_rough(wm_page *page)
{
    const wm_report *r = page->report;
    char depth[WM_PHRASE_SIZE], mend[WM_PHRASE_SIZE];
    wm_markup(page->out, "<p class=\"lead\">%s</p>\n", wm_phrase_claim(r));
    if (*wm_phrase_stability(mend, r))
        wm_markup(page->out, "<p>%s</p>\n", mend);
    wm_markup(page->out, "<dl class=\"facts\">");
    for (size_t i = 0; i < r->zone_count; i++)
        if (!r->zones[i].refused)
            wm_markup(page->out, "<div><dt>%s</dt><dd>%s; %s</dd></div>", r->zones[i].name,
                      wm_phrase_depth(depth, &r->zones[i]), wm_phrase_warmth(&r->zones[i]));
    wm_buf_text(page->out, "</dl>\n");
    write_filters(page, "<p>%s</p>\n");
    write_others(page, 0, "Nearest by the numbers, but not enough to order from");
}

void wm_html__answer(wm_page *page)
{
    const wm_report *r = page->report;
    char note[200];
    if (r->measured_only || (r->proposal_count == 0 && !*r->decision.missing))
        return;
    if (r->no_shade_named) {
        wm_html__open(page, "answer", wm_phrase_answer(r), "Depth and warmth only.");
        write_rough(page);
    } else {
        snprintf(note, sizeof note, "For hair worn %s.",
                 r->worn == WM_WORN_BOTH ? "down and up" : WM_WORN_WORDS[r->worn]);
        wm_html__open(page, "answer", wm_phrase_answer(r), note);
        if (r->proposal_count)
            write_best(page);
        else
            wm_markup(page->out, "<p class=\"lead\">%s</p>", r->decision.missing);
    }
    wm_html__close(page);
}

/* ---- nearest shades ---- */

static void write_match(wm_page *page, const wm_report_ranking *k, size_t i)
{
    const wm_report_match *m = &k->items[i];
    char title[WM_PHRASE_SIZE];
    snprintf(title, sizeof title, "Hair at the left, %s at the right", m->code);
    bool large = i == 0 && wm_phrase_leads(k);
    wm_buf_text(page->out, large ? "<li class=\"first\">" : "<li>");
    wm_figure_pair(page->out, k->lab, m->lab, title);
    wm_markup(page->out,
              "<div class=\"who\"><p translate=\"no\"><b>%s</b>%s%s</p><p>%s</p></div><div class=\"how\"><p>", m->code,
              *m->name ? " " : "", m->name, wm_phrase_words(m));
    if (k->claim != WM_CLAIM_ROUGH)
        write_verdict(page, m->verdict);
    write_distance(page, m->de00, m->u_de00);
    wm_markup(page->out, "</p><p>%s%s%s</p></div>", i && m->tied_with_best ? "tied with the first" : "",
              i && m->tied_with_best && m->in_stock ? ", " : "", m->in_stock ? "in stock" : "");
    wm_plot_difference(page->out, m, large);
    wm_buf_text(page->out, "</li>\n");
}

static const char *title_of(char out[WM_PHRASE_SIZE], const wm_report_ranking *k)
{
    if (wm_phrase_leads(k))
        return strcmp(k->target, "base") == 0 ? "Base" : "Gray";
    if (wm_phrase_is_role(k))
        return "Beads, by the root";
    snprintf(out, WM_PHRASE_SIZE, "Zone %s", k->target);
    return out;
}

static void write_ranking(wm_page *page, const wm_report_ranking *k)
{
    size_t most = wm_phrase_leads(k) ? MOST_SHOWN : MOST_FURTHER;
    const char *rough = k->claim == WM_CLAIM_ROUGH ? wm_phrase_too_rough(page->report) : "";
    char text[WM_PHRASE_SIZE];
    wm_markup(page->out, "<section class=\"ranking\"><h3>%s%s%s</h3>", title_of(text, k), *rough ? ": " : "", rough);
    if (*k->said)
        wm_markup(page->out, "<p>%s</p>", k->said);
    wm_buf_text(page->out, "<ol class=\"matches\">");
    for (size_t i = 0; i < k->count && i < most; i++)
        write_match(page, k, i);
    wm_buf_text(page->out, "</ol>");
    if (k->claim != WM_CLAIM_ROUGH && *wm_phrase_gap(text, k))
        wm_markup(page->out, "<p class=\"gap\">%s</p>", text);
    wm_buf_text(page->out, "</section>\n");
}

void wm_html__rankings(wm_page *page)
{
    const wm_report *r = page->report;
    if (r->ranking_count == 0)
        return;
    wm_html__open(
        page, "shades", r->no_shade_named ? "Nearest by the numbers, but not enough to order from" : "Nearest shades",
        "Hair left, swatch right; they touch, as the eye compares. The lines show where the swatch lies, with the hair in the middle: "
        "depth, richness, tone.");
    for (size_t i = 0; i < r->ranking_count; i++)
        if (page->in->zone_rankings || wm_phrase_is_role(&r->rankings[i]))
            write_ranking(page, &r->rankings[i]);
    wm_html__close(page);
}

/* ---- scenarios ---- */

void wm_html__scenarios(wm_page *page)
{
    const wm_report *r = page->report;
    char change[WM_DECISION_TEXT_SIZE];
    if (r->scenario_count == 0 || r->no_shade_named)
        return;
    wm_html__open(page, "grayer", "If the gray increases",
                  "Not a forecast: what would suit her then, from the same swatches.");
    wm_buf_text(page->out, "<ul class=\"others\">");
    for (size_t i = 0; i < r->scenario_count; i++) {
        const wm_report_scenario *s = &r->scenarios[i];
        const wm_report_segment *first = &s->proposal.rows[0].segments[0];
        if (!*s->change)
            continue;
        wm_buf_text(page->out, "<li>");
        wm_figure_pair(page->out, first->target, first->seen.down, "The hair then, beside the row worn down");
        wm_markup(page->out, "<div><p>%s.</p></div></li>\n", wm_phrase_scenario(change, s));
    }
    wm_buf_text(page->out, "</ul>");
    if (!wm_phrase_scenario_changes(r))
        wm_buf_text(page->out, "<p>Nothing changes up to the gray share looked at: the same hair stays right.</p>");
    wm_html__close(page);
}
