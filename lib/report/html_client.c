/* The client's page, and her own hair held up to the shades: what both papers show of a photo besides the figures. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "match/reason.h"
#include "report/html_internal.h"
#include "report/figure.h"
#include "report/markup.h"
#include "report/phrase.h"

void wm_held_up_free(wm_held_up *held_up)
{
    for (size_t i = 0; i < held_up->count; i++)
        wm_bytes_free(&held_up->items[i].jpeg);
    held_up->count = 0;
}

static void write_jpeg(wm_buf *out, const wm_bytes *jpeg, const char *words)
{
    wm_markup(out, "<img alt=\"%s\" src=\"data:image/jpeg;base64,", words);
    wm_buf_base64(out, jpeg->data, jpeg->size);
    wm_buf_text(out, "\"/>");
}

void wm_html__held_up(wm_page *page)
{
    const wm_held_up *h = page->in->held_up;
    char words[2 * WM_CODE_SIZE + WM_LABEL_SIZE + 40];
    if (!h || h->count == 0)
        return;
    wm_html__open(page, "held-up", "Held up", "Drawn: her own hair in each shade, in the light of this photo.");
    wm_buf_text(page->out, "<div class=\"held\">");
    for (size_t i = 0; i < h->count; i++) {
        const wm_held_up_picture *p = &h->items[i];
        bool as_is = !*p->shade;
        snprintf(words, sizeof words, "%.90s %s%s", p->zone, as_is ? "as it is" : "drawn in ", p->shade);
        wm_markup(page->out, as_is ? "<figure class=\"own\">" : "<figure>");
        write_jpeg(page->out, &p->jpeg, words);
        wm_markup(page->out, "<figcaption><span translate=\"%s\">%s</span><small>%s</small></figcaption></figure>\n",
                  as_is ? "yes" : "no", as_is ? p->zone : p->shade, as_is ? "as it is" : "drawn");
    }
    wm_buf_text(page->out, "</div>\n");
    wm_html__close(page);
}

/* ---- the client's page ---- */

/* A shade by its name, without one by what it is for: no codes. */
static const char *plain_name(const wm_report_shade *shade)
{
    return *shade->name                    ? shade->name
           : shade->role == WM_ROLE_GRAY   ? "a shade for your gray"
           : shade->role == WM_ROLE_BLEND  ? "a shade of both"
           : shade->role == WM_ROLE_SINGLE ? "a shade for your hair"
                                           : "a shade for your own colour";
}

static bool holds(const wm_report_segment *segment, const char *code)
{
    for (size_t i = 0; i < segment->layer_count; i++)
        if (strcmp(segment->layers[i].layer.code, code) == 0 || strcmp(segment->layers[i].layer.second, code) == 0)
            return true;
    return false;
}

/* Each place once that holds the shade: "at both sides and at the nape"; "throughout" when all do. */
static void write_places(wm_page *page, const wm_design *design, const wm_report_proposal *p, const char *code)
{
    char places[WM_MAX_SEGMENTS][WM_PLACE_WORDS_SIZE];
    size_t count = 0;
    bool all = true;
    for (size_t r = 0; r < p->row_count; r++)
        for (size_t s = 0; s < p->rows[r].count; s++) {
            size_t i = 0;
            if (!holds(&p->rows[r].segments[s], code)) {
                all = false;
                continue;
            }
            wm_segment_words(places[count], &design->rows[r].segments[s]);
            while (strcmp(places[i], places[count]) != 0)
                i++;
            count += i == count;
        }
    if (all)
        wm_buf_text(page->out, "throughout");
    for (size_t i = 0; i < count && !all; i++)
        wm_markup(page->out, "%s%s", i == 0 ? "" : i + 1 == count ? " and " : ", ", places[i]);
}

/* "Three layers of hair in two rows: dark brown, with light gray at both sides." What is cut and sewn how is the
 * stylist's. */
static void write_words(wm_page *page)
{
    static const char *const ROWS[] = { "", "", " in two rows", " in three rows", " in four rows" };
    const wm_report_proposal *p = &page->report->proposals[0];
    wm_design design;
    wm_report_design(&design, p);
    wm_markup(page->out, "<p class=\"lead\">%s of hair%s: %s", wm_phrase_layers(p->layers),
              p->row_count < 5 ? ROWS[p->row_count] : " in several rows", plain_name(&p->shades[0]));
    if (p->shade_count > 1) {
        wm_markup(page->out, ", with %s ", plain_name(&p->shades[1]));
        write_places(page, &design, p, p->shades[1].code);
    }
    wm_buf_text(page->out, ".</p>\n");
}

static void write_promise(wm_page *page)
{
    static const char *const PROMISES[] = {
        "It should blend without a visible edge.", "It should come close: only a careful eye may see it.",
        "A difference will be visible; look at it held to your hair before you decide.",
        "It will look different from your own hair."
    };
    const wm_report *r = page->report;
    char added[48], more[48];
    wm_markup(page->out, "<p>%s%s</p>\n",
              wm_report_sure(r->proposals) ? PROMISES[r->proposals[0].verdict]
                                           : "It may come close; your hair beside the swatches will tell.",
              wm_report_answer(r) == WM_ANSWER_SEW ? "" : " The shades are settled with the swatches in your hair.");
    double grams = r->has_plan ? r->plan.fullness.added_grams : r->decision.added_g;
    if (grams > 0 && r->decision.own_g > 0)
        wm_markup(page->out, "<p>About %s g of hair are added, %s %% more than your own.</p>\n",
                  wm_number_text(added, grams, 0), wm_number_text(more, 100 * grams / r->decision.own_g, 0));
}

static void write_sewn(wm_page *page)
{
    const wm_report *r = page->report;
    wm_html__open(page, "sewn", "What will be sewn", "");
    wm_buf_text(page->out, "<div class=\"first-screen\"><div>");
    if (r->proposal_count && !r->no_shade_named && !*r->decision.heavy) {
        const wm_report_proposal *p = &r->proposals[0];
        write_words(page);
        write_promise(page);
        wm_buf_text(page->out, "<ul class=\"shades\">");
        for (size_t i = 0; i < p->shade_count; i++) {
            wm_buf_text(page->out, "<li>");
            wm_figure_chip(page->out, p->shades[i].lab, plain_name(&p->shades[i]));
            wm_markup(page->out, "<span><b translate=\"%s\">%s</b></span></li>", *p->shades[i].name ? "no" : "yes",
                      plain_name(&p->shades[i]));
        }
        wm_buf_text(page->out, "</ul>\n");
    } else {
        wm_buf_text(page->out, "<p class=\"lead\">Not decided yet: it is chosen with the swatches in your hair.</p>\n");
    }
    wm_buf_text(page->out, "</div>");
    if (page->in->with_face)
        wm_html__small_photo(page);
    else if (page->in->held_up && page->in->held_up->count) {
        wm_buf_text(page->out, "<figure class=\"hero\">");
        write_jpeg(page->out, &page->in->held_up->items[0].jpeg, "Your hair");
        wm_buf_text(page->out, "</figure>");
    }
    wm_buf_text(page->out, "</div>\n");
    wm_html__close(page);
}

static void write_price(wm_page *page)
{
    const wm_quote *q = &page->report->plan.quote;
    char amount[WM_MONEY_SIZE], iso[WM_DATE_SIZE], until[WM_PHRASE_SIZE];
    if (!page->report->has_plan || q->line_count == 0)
        return;
    wm_html__open(page, "price", "Price", "");
    wm_markup(page->out, "<p class=\"lead\">%s%s</p>\n", wm_money_text(amount, q->total_minor, q->currency),
              q->complete ? "" : " so far; you will be told the rest before you decide");
    if (q->tax_minor > 0)
        wm_markup(page->out, "<p>Includes %s tax.</p>\n", wm_money_text(amount, q->tax_minor, q->currency));
    wm_markup(
        page->out,
        "<dl class=\"facts sign\"><div><dt>This price holds until</dt><dd>%s</dd></div><div><dt>Deposit</dt><dd>%s</dd></div>",
        wm_date_valid(q->until) ? wm_phrase_date(until, wm_date_text(iso, q->until)) : "",
        q->deposit_minor > 0 ? wm_money_text(amount, q->deposit_minor, q->currency) : "");
    if (*q->number)
        wm_markup(page->out, "<div><dt>Quote</dt><dd translate=\"no\">%s</dd></div>", q->number);
    wm_buf_text(page->out, "<div><dt>Date and signature</dt><dd></dd></div></dl>\n");
    wm_html__close(page);
}

static void write_dates(wm_page *page)
{
    const wm_moveups *m = &page->report->plan.moveups;
    char iso[WM_DATE_SIZE], date[WM_PHRASE_SIZE];
    if (!page->report->has_plan || !wm_date_valid(m->dates[0]))
        return;
    wm_html__open(page, "dates", "Your next visits",
                  "The row moves down as your hair grows; it is moved back up on these days.");
    wm_buf_text(page->out, "<ul class=\"plain\">");
    for (size_t i = 0; i < WM_MOVEUPS; i++)
        if (wm_date_valid(m->dates[i]))
            wm_markup(page->out, "<li>%s</li>", wm_phrase_date(date, wm_date_text(iso, m->dates[i])));
    wm_buf_text(page->out, "</ul>\n");
    wm_html__close(page);
}

/* Common practice, no source. */
static void write_care(wm_page *page)
{
    static const char *const CARE[] = {
        "Brush from the ends up, holding the hair above; never tear at the row.",
        "Wash head up, dry the row well; don't go to bed with it wet, and tie long hair loosely for the night.",
        "Keep oil and conditioner off the beads; no chlorine or salt water without rinsing.",
        "Pain, itching, burning or redness: have the row taken out at once. If it stays, or hair comes out in patches, see a doctor.",
        "Don't wait longer than agreed for the next visit: grown-out hair twists and mats.",
    };
    wm_html__open(page, "care", "Care", "");
    wm_buf_text(page->out, "<ul class=\"plain\">");
    for (size_t i = 0; i < sizeof CARE / sizeof CARE[0]; i++)
        wm_markup(page->out, "<li>%s</li>\n", CARE[i]);
    wm_buf_text(page->out, "</ul>");
    wm_html__close(page);
}

wm_status wm_report_to_client_html(wm_buf *out, const wm_html_input *input, wm_error *err)
{
    wm_page page = {
        .out = out, .in = input, .report = input->report, .units = input->inches ? WM_UNITS_IN : WM_UNITS_CM
    };
    const wm_report *r = input->report;
    size_t from = out->size;
    char date[WM_PHRASE_SIZE];
    wm_html__begin(out, *r->client ? r->client : "Your hair", wm_phrase_date(date, r->made_at), NULL);
    wm_markup(
        out,
        "<header class=\"top\"><p class=\"salon\" translate=\"no\">%s</p><h1 translate=\"%s\">%s</h1><p class=\"when\">%s</p></header>\n<main class=\"client\">\n",
        r->salon, *r->client ? "no" : "yes", *r->client ? r->client : "Your hair", date);
    write_sewn(&page);
    write_price(&page);
    write_dates(&page);
    write_care(&page);
    wm_buf_text(
        out,
        "</main>\n<footer><p>Colours on a screen or on paper are for orientation: the swatch in your hair decides. Your photo and "
        "measurements are kept by the salon alone, and only as long as you agree.</p></footer>\n</body>\n</html>\n");
    return wm_html__finish(&page, from, err);
}
