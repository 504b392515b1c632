#include "report/html_history.h"

#include <stdio.h>
#include <string.h>

#include "report/figure.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"

/* ---- the head ---- */

static void write_head(wm_buf *out, const wm_history_page *h)
{
    char since[WM_PHRASE_SIZE], next[WM_PHRASE_SIZE];
    wm_markup(
        out,
        "<header class=\"top\"><p class=\"salon\" translate=\"no\">%s</p><h1 translate=\"no\">%s</h1><p class=\"when\">Since %s; %z visit%s",
        *h->salon ? h->salon : "weftmatch", h->client, wm_phrase_date(since, h->since), h->visit_count,
        h->visit_count == 1 ? "" : "s");
    if (*h->next)
        wm_markup(out, "; next <time datetime=\"%s\">%s</time>%s", h->next, wm_phrase_date(next, h->next),
                  h->late          ? ", overdue"
                  : h->next_agreed ? ""
                                   : ", not agreed yet");
    wm_buf_text(out, "</p>\n");
    if (*h->note)
        wm_markup(out, "<p class=\"order\" translate=\"no\">%s</p>\n", h->note);
    wm_buf_text(out, "<nav aria-label=\"On this page\"><ul>");
    if (h->gray)
        wm_buf_text(out, "<li><a href=\"#gray\">Her gray</a></li>");
    for (size_t i = h->visit_count; i-- > 0;)
        wm_markup(out, "<li><a href=\"#visit-%d\">%s</a></li>", (int)h->visits[i].id, h->visits[i].item->at);
    wm_buf_text(out, "</ul></nav></header>\n<main class=\"client\">\n");
}

static void write_gray(wm_page *page, const wm_history_page *h)
{
    char words[WM_PHRASE_SIZE];
    if (!h->gray)
        return;
    snprintf(words, sizeof words, "%s", h->gray_words);
    wm_html__open(page, "gray", "Her gray", "Over all visits: how fast for the whole head, how much at each place.");
    wm_markup(page->out, "<p class=\"lead\">Gray, the whole head: %s</p>\n", wm_phrase_signs(words));
    wm_buf_text(page->out, "<figure>");
    wm_plot_gray_shares(page->out, h->gray);
    if (h->gray->count)
        wm_markup(page->out, "<figcaption class=\"aside\">%s</figcaption>",
                  h->gray->line_count ? "Bars and bands are twice the uncertainty: the truth is nearly always inside."
                                      : "Bars: each share with twice its uncertainty.");
    wm_buf_text(page->out, "</figure>\n");
    if (h->left_out_count)
        wm_buf_text(page->out, "<h3>Left out</h3><ul class=\"plain soft\">");
    for (size_t i = 0; i < h->left_out_count; i++)
        wm_markup(page->out, "<li>%s</li>", h->left_out[i]);
    wm_buf_text(page->out, h->left_out_count ? "</ul>\n" : "");
    wm_html__close(page);
}

/* ---- a visit ---- */

static void write_picture(wm_buf *out, const wm_bytes *jpeg, const char *what, const char *at)
{
    if (!jpeg || !jpeg->size)
        return;
    wm_markup(out, "<figure><img alt=\"%s, %s\" src=\"data:image/jpeg;base64,", what, at);
    wm_buf_base64(out, jpeg->data, jpeg->size);
    wm_markup(out, "\"/><figcaption>%s</figcaption></figure>\n", what);
}

static void write_pictures(wm_buf *out, const wm_history_visit *v)
{
    const bool after = v->after_jpeg && v->after_jpeg->size;
    if (!after && !(v->photo_jpeg && v->photo_jpeg->size))
        return;
    wm_buf_text(out, "<div class=\"shots\">");
    write_picture(out, v->photo_jpeg, after ? "Before" : "Photo", v->item->at);
    write_picture(out, v->after_jpeg, "After", v->item->at);
    wm_buf_text(out, "</div>\n");
}

/* Her hair as it was measured: a chip never stands without its words. */
static void write_hair(wm_buf *out, const wm_report *report)
{
    char gray[WM_PHRASE_SIZE];
    if (!report->zone_count) {
        wm_buf_text(out, "<p class=\"soft\">Without a photo: nothing was measured.</p>\n");
        return;
    }
    wm_buf_text(out, "<h3>Her hair</h3><ul class=\"shades\">");
    for (size_t i = 0; i < report->zone_count; i++) {
        const wm_report_zone *zone = &report->zones[i];
        wm_buf_text(out, "<li>");
        if (!zone->refused)
            wm_figure_chip(out, zone->body.lab, zone->name);
        wm_markup(out, "<span><b>%s</b><small>%s</small></span></li>", zone->name,
                  zone->refused ? "not measured" : wm_phrase_gray(gray, zone));
    }
    wm_buf_text(out, "</ul>\n");
}

/* The colour of a shade as the visit's own report knew it, else another visit's. */
static void write_shade(wm_buf *out, const wm_history_page *h, const wm_history_visit *v, const char *code)
{
    const char *name = "";
    wm_lab lab;
    bool known = wm_report_find_shade(&name, &lab, v->report, code);
    for (size_t i = 0; i < h->visit_count && !known; i++)
        known = wm_report_find_shade(&name, &lab, h->visits[i].report, code);
    wm_buf_text(out, "<span class=\"one\">");
    if (known)
        wm_figure_shade(out, lab, code);
    wm_markup(out, "<span><b translate=\"no\">%s</b><small translate=\"%s\">%s</small></span></span>", code,
              known ? "no" : "yes", known ? name : "colour not known");
}

static void write_layers(wm_buf *out, const wm_history_page *h, const wm_history_visit *v, const wm_stack *stack)
{
    wm_buf_text(out, "<ol class=\"layers\">");
    for (size_t i = 0; i < stack->count; i++) {
        const wm_layer *layer = &stack->layers[i];
        wm_markup(out, "<li><span class=\"place\">%s</span><span class=\"worn\">",
                  stack->count == 1       ? "one layer"
                  : i == 0                ? "front layer"
                  : i + 1 == stack->count ? "last layer"
                                          : "inner layer");
        write_shade(out, h, v, layer->code);
        if (*layer->second) {
            wm_markup(out, "<span class=\"soft\">with %d piece%s of</span>", layer->pieces,
                      layer->pieces == 1 ? "" : "s");
            write_shade(out, h, v, layer->second);
        }
        wm_buf_text(out, "</span></li>");
    }
    wm_buf_text(out, "</ol>\n");
}

/* As she wrote them. */
static void write_notes(wm_buf *out, const char *notes)
{
    char line[4096];
    wm_buf_text(out, "<h3>Notes</h3><ul class=\"plain\" translate=\"no\">");
    while (*notes) {
        notes = wm_phrase_line(line, sizeof line, notes);
        wm_markup(out, "<li>%s</li>", wm_phrase_signs(line));
    }
    wm_buf_text(out, "</ul>\n");
}

/* Each line of a text as an item. */
static void write_lines(wm_buf *out, const char *class, const char *text)
{
    char line[4096];
    if (!*text)
        return;
    wm_markup(out, "<ul class=\"%s\">", class);
    while (*text) {
        text = wm_phrase_line(line, sizeof line, text);
        wm_markup(out, "<li>%s</li>", wm_phrase_signs(line));
    }
    wm_buf_text(out, "</ul>\n");
}

static void write_off(wm_buf *out, const wm_history_visit *v)
{
    if (v->item->has_worst)
        wm_markup(out, "<p>dE00 %1 from her hair at the worst place, %s.</p>\n", v->item->worst_de00,
                  strcmp(v->off, "measured") == 0    ? "as measured on the photo after"
                  : strcmp(v->off, "installed") == 0 ? "as expected of what was sewn on"
                                                     : "as expected of what was proposed");
}

static void write_sewn(wm_buf *out, const wm_history_page *h, const wm_history_visit *v)
{
    wm_stack proposed = { 0 };
    if (v->item->installed.count) {
        wm_buf_text(out, "<h3>Sewn on</h3>");
        write_layers(out, h, v, &v->item->installed);
    } else if (v->report->proposal_count) {
        wm_report_stack(&proposed, &v->report->proposals[0]);
        wm_buf_text(out, "<h3>Proposed</h3><p class=\"soft\">Nothing is noted as sewn on.</p>");
        write_layers(out, h, v, &proposed);
    }
    write_lines(out, "plain", v->wefts);
    write_off(out, v);
    if (v->item->why && *v->item->why)
        wm_markup(out, "<p>Because: <span translate=\"no\">%s</span></p>\n", v->item->why);
    write_lines(out, "plain", v->after);
}

static void write_visit(wm_page *page, const wm_history_page *h, const wm_history_visit *v)
{
    char id[40], day[WM_PHRASE_SIZE], side[WM_PHRASE_SIZE], change[WM_PHRASE_SIZE];
    snprintf(id, sizeof id, "visit-%lld", (long long)v->id);
    snprintf(side, sizeof side, "Visit %lld%s%s%s%s", (long long)v->id, *v->kind ? ", " : "", v->kind,
             *v->money ? ", " : "", v->money);
    wm_html__open(page, id, wm_phrase_date(day, v->item->at), side);
    write_pictures(page->out, v);
    write_sewn(page->out, h, v);
    write_hair(page->out, v->report);
    if (*v->report->since_date)
        wm_markup(page->out, "<h3>Since %s</h3><ul class=\"plain\">", wm_phrase_date(day, v->report->since_date));
    for (size_t i = 0; *v->report->since_date && i < v->report->change_count; i++)
        wm_markup(page->out, "<li><b>%s</b>: %s</li>", v->report->changes[i].zone,
                  wm_phrase_change(change, &v->report->changes[i]));
    wm_buf_text(page->out, *v->report->since_date ? "</ul>\n" : "");
    wm_html__unpaired(page, &v->report->unpaired);
    if (v->item->note && *v->item->note)
        write_notes(page->out, v->item->note);
    wm_html__close(page);
}

static void add_names(wm_names *names, const wm_history_page *h)
{
    const char *codes[2 * WM_MAX_LAYERS];
    wm_names_add(names, h->client);
    for (size_t i = 0; i < h->visit_count; i++) {
        const size_t count = wm_stack_shades(codes, &h->visits[i].item->installed);
        for (size_t k = 0; k < count; k++)
            wm_names_add(names, codes[k]);
        wm_html__names(names, h->visits[i].report);
    }
}

wm_status wm_history_to_html(wm_buf *out, const wm_history_page *h, wm_error *err)
{
    wm_page page = { .out = out };
    wm_names names = { 0 };
    const size_t from = out->size;
    wm_html__begin(out, h->client, "all visits", NULL);
    write_head(out, h);
    write_gray(&page, h);
    for (size_t i = h->visit_count; i-- > 0;)
        write_visit(&page, h, &h->visits[i]);
    if (!h->visit_count)
        wm_buf_text(out, "<p class=\"lead\">No visit yet.</p>");
    wm_buf_text(
        out,
        "</main>\n<footer><p>Chips on a screen or on paper are for orientation: the swatch in your hand decides. This page "
        "is private: it holds her photos.</p></footer>\n</body>\n</html>\n");
    add_names(&names, h);
    wm_html__speak(out, from, h->language, &names);
    wm_names_free(&names);
    return wm_buf_status(out, err);
}
