/* The page's answer: what to sew, the shades that are nearest, and what if the gray increases. */
#include <stdio.h>
#include <string.h>

#include "report/figure.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"
#include "report/plot.h"

enum { MOST_SHOWN = 5, MOST_FURTHER = 3 };

/* ---- what to sew ---- */

static void write_distance(wm_page *page, double de00, double u_de00)
{
    wm_markup(page->out, "<span class=\"number\">dE00 %1 \302\261 %1</span>", de00, u_de00);
}

/* A word and a mark, never a colour alone. A photo that names no shade has none: "match" would promise what it can't
 * know (C24). */
static void write_verdict(wm_page *page, wm_verdict verdict)
{
    static const char *const MARKS[] = { "\342\227\217", "\342\227\220", "\342\227\224", "\342\227\213" }; /* ● ◐ ◔ ○ */
    wm_markup(page->out, "<span class=\"verdict\"><span aria-hidden=\"true\">%s</span> %s</span> ", MARKS[verdict],
              wm_verdict_name(verdict));
}

static void write_shade_names(wm_page *page, const wm_report_proposal *p)
{
    wm_buf_text(page->out, "<ul class=\"shades\">");
    for (size_t i = 0; i < p->shade_count; i++) {
        wm_buf_text(page->out, "<li>");
        wm_figure_chip(page->out, p->shades[i].lab, p->shades[i].code);
        wm_markup(page->out, "<span><b>%s</b>%s%s", p->shades[i].code, *p->shades[i].name ? " " : "",
                  p->shades[i].name);
        if (p->stack.count > 1)
            wm_markup(page->out, "<small>%d of %d layers</small>", p->shades[i].layers, (int)p->stack.count);
        wm_buf_text(page->out, "</span></li>");
    }
    wm_buf_text(page->out, "</ul>\n");
}

static void write_drawings(wm_page *page, const wm_report_proposal *p)
{
    const wm_worn worn = page->report->worn;
    wm_buf_text(page->out, "<div class=\"drawings\">");
    for (int up = worn == WM_WORN_UP; up < (worn == WM_WORN_DOWN ? 1 : 2); up++) { /* M12: the views that count */
        wm_figure_row row = { p, page->hair, page->behind, up };
        wm_buf_text(page->out, "<figure>");
        wm_figure_strands(page->out, &row);
        wm_figure_pair(page->out, page->hair, up ? p->views.up : p->views.down,
                       up ? "Own hair beside the row, hair up" : "Own hair beside the row, worn down");
        wm_markup(page->out, "<figcaption><span>own hair</span><b>%s</b><span>the row</span></figcaption>",
                  up ? "hair up" : "worn down");
        wm_figure_section(page->out, &row);
        wm_markup(page->out, "<p class=\"number\">dE00 %1 %s</p></figure>\n", up ? p->up_de00 : p->down_de00,
                  up ? "with the hair up" : "worn down");
    }
    wm_buf_text(page->out, "</div>\n");
}

static void write_order_box(wm_page *page)
{
    const wm_report *r = page->report;
    char text[WM_PHRASE_SIZE], gap[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<div class=\"order\"><h3>Before you order</h3><ul>");
    if (!r->no_shade_named)
        wm_markup(page->out, "<li>%s</li>", wm_claim_sentence(r->proposals[0].claim));
    if (*wm_phrase_stability(text, r))
        wm_markup(page->out, "<li>%s</li>", text);
    for (size_t i = 0; i < r->ranking_count && !r->no_shade_named; i++)
        if (wm_phrase_leads(&r->rankings[i]) && *wm_phrase_named(text, &r->rankings[i]))
            wm_markup(page->out, "<li>%s %s</li>", text, wm_phrase_gap(gap, &r->rankings[i]));
    if (*r->missing && !r->no_shade_named)
        wm_markup(page->out, "<li>%s</li>", r->missing);
    for (size_t i = 0; i < r->filter_count; i++)
        if (r->filters[i].removed)
            wm_markup(page->out, "<li>%s</li>", wm_phrase_filter(text, &r->filters[i]));
    wm_buf_text(page->out,
                "<li>Hold the swatches to the dry, finished hair in daylight: the eye decides.</li></ul></div>\n");
}

static void write_alternative(wm_page *page, const wm_report_proposal *p)
{
    char names[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<li>");
    wm_figure_pair(page->out, page->hair, p->views.down, "Own hair beside this row, worn down");
    wm_markup(page->out, "<div><p><b>%s</b> (%s)</p><p>", wm_phrase_stack(names, &p->stack), wm_phrase_arrangement(p));
    if (p->claim != WM_CLAIM_ROUGH)
        write_verdict(page, p->verdict);
    write_distance(page, p->worst_de00, p->u_de00);
    wm_markup(page->out, "</p><p>%s</p></div></li>\n", p->claim == WM_CLAIM_ROUGH ? "" : p->why);
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

static void write_ideal(wm_page *page)
{
    const wm_report *r = page->report;
    if (r->has_ideal_mix)
        wm_markup(
            page->out,
            "<p class=\"aside\">For orientation only, it can't be sewn: hair mixed fibre by fibre, %0 %% %s in %s, would come to dE00 %1. "
            "Layers of the same shades look different.</p>\n",
            100 * r->ideal[1].share, r->ideal[1].code, r->ideal[0].code, r->ideal_de00);
}

static void write_best(wm_page *page)
{
    const wm_report_proposal *best = &page->report->proposals[0];
    char names[WM_PHRASE_SIZE];
    wm_markup(page->out, "<p class=\"shade-name\">%s</p><p class=\"lead\">%s%s: %s.</p>\n<p>",
              wm_phrase_stack(names, &best->stack),
              best->stack.count == 1   ? "One shade"
              : best->stack.count == 2 ? "Two layers"
                                       : "Three layers",
              best->stack.count == 1 ? "" : ", front first", wm_verdict_sentence(best->verdict));
    write_verdict(page, best->verdict);
    write_distance(page, best->worst_de00, best->u_de00);
    wm_buf_text(page->out, "</p>\n");
    write_shade_names(page, best);
    wm_markup(page->out, "<p>%s</p>\n", best->why);
    write_order_box(page);
    write_drawings(page, best);
    write_others(page, 1, "Other ways");
    write_ideal(page);
}

/* C24: depth and warmth, no shade. */
static void write_rough(wm_page *page)
{
    const wm_report *r = page->report;
    char depth[WM_PHRASE_SIZE];
    wm_markup(page->out, "<p class=\"lead\">%s</p>\n<dl class=\"facts\">", wm_claim_sentence(WM_CLAIM_ROUGH));
    for (size_t i = 0; i < r->zone_count; i++)
        if (!r->zones[i].refused)
            wm_markup(page->out, "<div><dt>%s</dt><dd>%s; %s</dd></div>", r->zones[i].name,
                      wm_phrase_depth(depth, &r->zones[i]), wm_phrase_warmth(&r->zones[i]));
    wm_buf_text(page->out, "</dl>\n");
    if (r->proposal_count)
        write_order_box(page);
    write_others(page, 0, "Nearest by numbers, not enough to order from");
}

void wm_html__answer(wm_page *page)
{
    const wm_report *r = page->report;
    char note[200];
    if (r->measured_only || (r->proposal_count == 0 && !*r->missing))
        return;
    if (r->no_shade_named) {
        wm_html__open(page, "answer", wm_phrase_answer(r), "Depth and warmth only.");
        write_rough(page);
    } else {
        snprintf(note, sizeof note, "For %s, matched to %.100s.",
                 r->worn == WM_WORN_DOWN ? "hair worn down"
                 : r->worn == WM_WORN_UP ? "hair worn up"
                                         : "hair worn down and up",
                 *r->target_zone ? r->target_zone : "the hair");
        wm_html__open(page, "answer", wm_phrase_answer(r), note);
        if (r->proposal_count)
            write_best(page);
        else
            wm_markup(page->out, "<p class=\"lead\">%s</p>", r->missing);
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
    wm_markup(page->out, "<div class=\"who\"><p><b>%s</b>%s%s</p><p>%s</p></div><div class=\"how\"><p>", m->code,
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
    if (strcmp(k->target, "bead") == 0)
        return "Beads, by the root";
    snprintf(out, WM_PHRASE_SIZE, "Zone %s", k->target);
    return out;
}

static void write_ranking(wm_page *page, const wm_report_ranking *k)
{
    size_t most = wm_phrase_leads(k) ? MOST_SHOWN : MOST_FURTHER;
    char text[WM_PHRASE_SIZE];
    wm_markup(page->out, "<section class=\"ranking\"><h3>%s%s</h3>", title_of(text, k),
              k->claim == WM_CLAIM_ROUGH ? ": not enough to order from" : "");
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
        page, "shades", r->no_shade_named ? "Nearest by numbers, not enough to order from" : "Nearest shades",
        "Hair left, swatch right; they touch, as the eye compares. The lines show where the swatch lies, with the hair in the middle: "
        "depth, richness, tone.");
    for (size_t i = 0; i < r->ranking_count; i++)
        write_ranking(page, &r->rankings[i]);
    wm_html__close(page);
}

/* ---- scenarios ---- */

void wm_html__scenarios(wm_page *page)
{
    const wm_report *r = page->report;
    char names[WM_PHRASE_SIZE], share[WM_PHRASE_SIZE];
    if (r->scenario_count == 0)
        return;
    wm_html__open(page, "grayer", "If the gray increases", "No forecast: what would fit then, from the same swatches.");
    wm_buf_text(page->out, "<ul class=\"others\">");
    for (size_t i = 0; i < r->scenario_count; i++) {
        const wm_report_scenario *s = &r->scenarios[i];
        wm_buf_text(page->out, "<li>");
        wm_figure_pair(page->out, s->target, s->best.views.down, "The hair then, beside the row worn down");
        wm_markup(page->out, "<div><p>Gray %s: <b>%s</b> (%s)</p><p>", wm_phrase_scenario(share, r, i),
                  wm_phrase_stack(names, &s->best.stack), wm_phrase_arrangement(&s->best));
        if (s->best.claim != WM_CLAIM_ROUGH)
            write_verdict(page, s->best.verdict);
        write_distance(page, s->best.worst_de00, s->best.u_de00);
        wm_buf_text(page->out, "</p></div></li>\n");
    }
    wm_buf_text(page->out, "</ul>");
    wm_html__close(page);
}
