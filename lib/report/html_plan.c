/* The page's plan, on a sheet of its own for the chair, and the client's visits. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"
#include "report/plot.h"

/* ---- what to lay out ---- */

static void length_fact(wm_page *page, const char *name, double cm, int decimals)
{
    char text[WM_LENGTH_SIZE];
    if (cm >= 0)
        wm_html__fact(page, name, wm_length_text(text, cm, page->units, decimals));
}

static void count_fact(wm_page *page, const char *name, int count, const char *more)
{
    char text[160];
    snprintf(text, sizeof text, "%d%s", count, more);
    if (count >= 0)
        wm_html__fact(page, name, text);
}

static void number_fact(wm_page *page, const char *name, double value, const char *unit)
{
    char number[48], text[80];
    snprintf(text, sizeof text, "%s %s", wm_number_text(number, value, 0), unit);
    if (value >= 0)
        wm_html__fact(page, name, text);
}

static void thread_fact(wm_page *page, const wm_row *row)
{
    char cut[WM_LENGTH_SIZE], doubled[WM_LENGTH_SIZE];
    wm_markup(page->out, "<div class=\"wide\"><dt>Thread</dt><dd>cut %s, doubled %s to work with</dd></div>",
              wm_length_range(cut, row->thread_cut_cm, page->units, 0),
              wm_length_range(doubled, row->thread_working_cm, page->units, 0));
}

static void load_fact(wm_page *page, double mg, double limit_mg)
{
    if (mg >= 0 && limit_mg > 0)
        wm_markup(page->out, "<div class=\"wide\"><dt>On each hair</dt><dd>%1 mg, limit %1 mg</dd></div>", mg,
                  limit_mg);
}

static void write_rows(wm_page *page, const wm_plan *plan)
{
    char title[40];
    for (size_t i = 0; i < plan->row_count; i++) {
        const wm_row *row = &plan->rows[i];
        snprintf(title, sizeof title, plan->row_count > 1 ? "Row %zu" : "Row", i + 1);
        wm_markup(page->out, "<h4>%s</h4><dl class=\"facts\">", title);
        length_fact(page, "Arc", row->arc_cm, 1);
        length_fact(page, "Row", row->row_cm, 1);
        count_fact(page, "Sections", row->sections, "");
        count_fact(page, "Beads", row->beads, "");
        number_fact(page, "Hair on it", row->grams, "g");
        thread_fact(page, row);
        load_fact(page, row->mg_per_hair, plan->limit_mg);
        wm_buf_text(page->out, "</dl>");
    }
}

static void write_weft(wm_page *page, const wm_weft *w)
{
    wm_markup(page->out, "<h4 translate=\"no\">%s%s%s</h4><dl class=\"facts\">", w->code, *w->name ? " " : "", w->name);
    length_fact(page, "Weft", w->needed_cm, 1);
    length_fact(page, "Length", w->length_cm, 0);
    count_fact(page, "Pieces", w->pieces, "");
    count_fact(page, "Packs", w->packs, "");
    count_fact(page, "To order", w->packs_to_order, w->packs_to_order == 1 ? " pack" : " packs");
    if (w->has_trim && w->trim_cm >= 0)
        length_fact(page, "To trim", w->trim_cm, 1);
    length_fact(page, "Left over", w->rest_cm, 1);
    wm_buf_text(page->out, "</dl>");
}

static void write_things(wm_page *page, const wm_plan *plan)
{
    char reserve[120];
    wm_buf_text(page->out, "<div class=\"things\"><div><h3>Row and thread</h3>");
    write_rows(page, plan);
    wm_buf_text(page->out, "</div><div><h3>Hair</h3>");
    for (size_t i = 0; i < plan->weft_count; i++)
        write_weft(page, &plan->wefts[i]);
    wm_buf_text(page->out, "</div><div><h3>Beads</h3><dl class=\"facts\">");
    snprintf(reserve, sizeof reserve, " + %d spare", plan->bead_reserve);
    count_fact(page, "Number", plan->beads, reserve);
    wm_html__fact(page, "Shade", plan->bead_code);
    wm_buf_text(page->out, "</dl><h3>Fullness</h3><dl class=\"facts\">");
    number_fact(page, "Own hair", plan->fullness.natural_grams, "g");
    number_fact(page, "Added", plan->fullness.added_grams, "g");
    number_fact(page, "That is", plan->fullness.added_percent, "% more");
    wm_buf_text(page->out, "</dl></div></div>\n");
}

/* ---- what to do ---- */

static void write_steps(wm_page *page, const wm_plan *plan)
{
    wm_buf_text(page->out, "<h3>Work list</h3><ol class=\"steps\">");
    for (size_t i = 0; i < plan->step_count; i++)
        wm_markup(page->out, "<li><label><input type=\"checkbox\"/> <span>%s</span></label></li>\n", plan->steps[i]);
    wm_buf_text(page->out, "</ol>\n");
}

/* ---- what it costs, and when next ---- */

static void write_quote(wm_page *page, const wm_quote *q)
{
    char each[WM_MONEY_SIZE], total[WM_MONEY_SIZE], percent[48], iso[WM_DATE_SIZE], until[WM_PHRASE_SIZE];
    if (q->line_count == 0)
        return;
    wm_buf_text(
        page->out,
        "<div><h3>Quote</h3><table class=\"quote\"><thead><tr><th scope=\"col\">What</th><th scope=\"col\">Each</th><th scope=\"col\">Amount</th>"
        "</tr></thead><tbody>");
    for (size_t i = 0; i < q->line_count; i++)
        wm_markup(page->out, "<tr><td>%d %s</td><td>%s</td><td>%s</td></tr>", (int)q->lines[i].quantity,
                  q->lines[i].label, wm_price_text(each, q->lines[i].each_milli, q->currency),
                  wm_money_text(total, q->lines[i].total_minor, q->currency));
    wm_markup(
        page->out,
        "<tr><td>Tax</td><td>%s %%</td><td>%s</td></tr></tbody><tfoot><tr><th scope=\"row\" colspan=\"2\">%s</th><td>%s</td></tr></tfoot></table>",
        wm_number_text(percent, (double)q->tax_milli_percent / 1000, q->tax_milli_percent % 1000 ? 3 : 0),
        wm_money_text(each, q->tax_minor, q->currency), q->complete ? "Total" : "Total so far",
        wm_money_text(total, q->total_minor, q->currency));
    if (wm_date_valid(q->until))
        wm_markup(page->out, "<p>%s%s%sholds until %s%s%s</p>", *q->number ? "Quote " : "", q->number,
                  *q->number ? " " : "The price ", wm_phrase_date(until, wm_date_text(iso, q->until)),
                  q->deposit_minor > 0 ? "; deposit " : "",
                  q->deposit_minor > 0 ? wm_money_text(each, q->deposit_minor, q->currency) : "");
    wm_buf_text(page->out, "</div>");
}

static void write_moveups(wm_page *page, const wm_plan *plan)
{
    char text[WM_PHRASE_SIZE], iso[WM_DATE_SIZE], growth[WM_LENGTH_SIZE];
    wm_buf_text(page->out, "<div><h3>Move-ups</h3><ul class=\"plain\">");
    for (size_t i = 0; i < WM_MOVEUPS; i++)
        if (wm_date_valid(plan->moveups.dates[i])) {
            wm_date_text(iso, plan->moveups.dates[i]);
            wm_markup(page->out, "<li><time datetime=\"%s\">%s</time></li>", iso, wm_phrase_date(text, iso));
        }
    wm_markup(page->out, "</ul><p>Every %d days; the hair grows %s in between.</p></div>\n", plan->moveups.days,
              wm_length_range(growth, plan->moveups.growth_cm, page->units, 2));
}

void wm_html__plan(wm_page *page)
{
    const wm_report *r = page->report;
    char note[WM_NAME_SIZE + 80], date[WM_PHRASE_SIZE];
    if (!r->has_plan)
        return;
    snprintf(note, sizeof note, "%s%s%.40s", r->client, *r->client ? ", " : "", wm_phrase_date(date, r->made_at));
    wm_html__open(page, "plan", "Plan", note);
    write_things(page, &r->plan);
    write_steps(page, &r->plan);
    wm_buf_text(page->out, "<div class=\"things last\">");
    write_quote(page, &r->plan.quote);
    write_moveups(page, &r->plan);
    wm_buf_text(page->out, "</div>\n");
    wm_html__close(page);
}

/* ---- visits ---- */

void wm_html__unpaired(wm_page *page, const wm_warnings *unpaired)
{
    if (unpaired->count)
        wm_buf_text(page->out, "<ul class=\"plain soft\">");
    for (size_t i = 0; i < unpaired->count; i++)
        wm_markup(page->out, "<li>%s</li>", unpaired->items[i].text);
    wm_buf_text(page->out, unpaired->count ? "</ul>\n" : "");
}

static void write_changes(wm_page *page)
{
    const wm_report *r = page->report;
    char date[WM_PHRASE_SIZE], words[WM_PHRASE_SIZE];
    wm_markup(page->out, "<h3>Since %s</h3><ul class=\"plain\">", wm_phrase_date(date, r->since_date));
    for (size_t i = 0; i < r->change_count; i++)
        wm_markup(page->out, "<li><b>%s</b>: %s</li>\n", r->changes[i].zone, wm_phrase_change(words, &r->changes[i]));
    wm_buf_text(page->out, "</ul>\n");
    wm_html__unpaired(page, &r->unpaired);
}

static void write_shares(wm_page *page)
{
    const wm_plot_gray *gray = page->in->gray;
    if (!gray || !gray->line_count)
        return;
    wm_buf_text(page->out, "<figure>");
    wm_plot_gray_shares(page->out, gray);
    wm_buf_text(page->out, "<figcaption class=\"aside\">Gray share over the visits; bars and band are twice the "
                           "uncertainty</figcaption></figure>\n");
}

/* Price, reason and notes; what the stylist wrote stays in her words. */
static void write_said(wm_buf *out, const wm_history_item *h)
{
    char line[4096];
    if (*h->money)
        wm_markup(out, "<small>%s</small>", h->money);
    if (h->why && *h->why)
        wm_markup(out, "<small>because: <span translate=\"no\">%s</span></small>", h->why);
    for (const char *text = h->note ? h->note : ""; *text;) {
        text = wm_phrase_line(line, sizeof line, text);
        wm_markup(out, "<small translate=\"no\">%s</small>", line);
    }
}

static void write_history(wm_page *page)
{
    char date[WM_PHRASE_SIZE], installed[WM_PHRASE_SIZE];
    wm_buf_text(page->out, "<h3>All visits</h3>");
    write_shares(page);
    wm_buf_text(
        page->out,
        "<table class=\"history\"><thead><tr><th scope=\"col\">Date</th><th scope=\"col\">Installed</th><th scope=\"col\">Off by</th>"
        "<th scope=\"col\">Gray</th></tr></thead><tbody>");
    for (size_t i = 0; i < page->in->history_count; i++) {
        const wm_history_item *h = &page->in->history[i];
        wm_markup(page->out, "<tr><th scope=\"row\">%s</th><td>%s", wm_phrase_date(date, h->at),
                  wm_phrase_stack(installed, &h->installed));
        write_said(page->out, h);
        wm_buf_text(page->out, "</td>");
        wm_markup(page->out, h->has_worst ? "<td>dE00 %1</td>" : "<td>-</td>", h->worst_de00);
        wm_markup(page->out, h->has_share ? "<td>%0 %%</td></tr>" : "<td>-</td></tr>", 5 * round(20 * h->gray_share));
    }
    wm_buf_text(page->out, "</tbody></table>\n");
}

void wm_html__visits(wm_page *page)
{
    bool since = *page->report->since_date != '\0';
    if (!since && page->in->history_count == 0)
        return;
    wm_html__open(page, "visits", "Visits", "What changed, and what was sewn.");
    if (since)
        write_changes(page);
    if (page->in->history_count)
        write_history(page);
    wm_html__close(page);
}
