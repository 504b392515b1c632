#include "report/html_gallery.h"

#include <stdio.h>

#include "core/plain.h"
#include "gallery_script.h"
#include "report/figure.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"

/* The form in which she is sought: name, note and shades without case and marks. */
static void write_sought(wm_buf *out, const wm_gallery_client *c)
{
    char text[1024], sought[1024];
    snprintf(text, sizeof text, "%s %s %s", c->name, c->note, c->layers);
    wm_markup(out, "%s", wm_plain_sought(sought, sizeof sought, text));
}

static void write_picture(wm_buf *out, const wm_gallery_client *c)
{
    if (!c->picture_jpeg.size) {
        wm_buf_text(out, "<div class=\"none\">no picture</div>");
        return;
    }
    wm_markup(out, "<img loading=\"lazy\" alt=\"%s, newest picture\" src=\"data:image/jpeg;base64,", c->name);
    wm_buf_base64(out, c->picture_jpeg.data, c->picture_jpeg.size);
    wm_buf_text(out, "\"/>");
}

static void write_day(wm_buf *out, const char *name, const char *day, const char *more)
{
    char words[WM_PHRASE_SIZE];
    if (*day)
        wm_markup(out, "<div><dt>%s</dt><dd><time datetime=\"%s\">%s</time>%s</dd></div>", name, day,
                  wm_phrase_date(words, day), more);
}

static void write_worn(wm_buf *out, const wm_gallery_client *c)
{
    if (!c->shade_count)
        return;
    wm_buf_text(out, "<div><dt>Wears</dt><dd class=\"worn\" translate=\"no\">");
    for (size_t i = 0; i < c->shade_count; i++)
        if (c->shades[i].known)
            wm_figure_chip(out, c->shades[i].lab, c->shades[i].code);
    wm_markup(out, "<span>%s</span></dd></div>", c->layers);
}

static void write_client(wm_buf *out, const wm_gallery_client *c)
{
    wm_buf_text(out, "<li data-sought=\"");
    write_sought(out, c);
    wm_markup(out, "\" data-last=\"%s\" data-next=\"%s\">", c->last, c->next);
    write_picture(out, c);
    wm_markup(out, "<h2 translate=\"no\">%s</h2><p class=\"soft\">No. %d, %d visit%s</p>", c->name, (int)c->id,
              (int)c->visits, c->visits == 1 ? "" : "s");
    if (*c->note)
        wm_markup(out, "<p translate=\"no\">%s</p>", c->note);
    wm_buf_text(out, "<dl>");
    write_day(out, "Last visit", c->last, "");
    write_day(out, "Next", c->next, c->late ? ", overdue" : c->next_agreed ? "" : ", not agreed yet");
    write_worn(out, c);
    wm_buf_text(out, "</dl></li>\n");
}

static const char *script(wm_buf *out)
{
    for (size_t i = 0; i < sizeof SCRIPT / sizeof SCRIPT[0]; i++)
        wm_buf_text(out, SCRIPT[i]);
    return out->data ? out->data : "";
}

/* Hidden until the script runs: without one it would do nothing. */
static void write_search(wm_buf *out)
{
    wm_buf_text(
        out,
        "<form class=\"search\" role=\"search\" hidden=\"hidden\"><p><label for=\"sought\">Find a client</label>"
        "<input id=\"sought\" type=\"search\" autocomplete=\"off\" spellcheck=\"false\"/><small>by name, note or shade</small></p>"
        "<p><label for=\"order\">In order of</label><select id=\"order\"><option value=\"\">name</option>"
        "<option value=\"next\">next visit</option><option value=\"last\">last visit</option></select></p>"
        "<p id=\"found\" role=\"status\"></p><span id=\"of\" hidden=\"hidden\">of</span></form>\n");
}

wm_status wm_gallery_to_html(wm_buf *out, const wm_gallery *g, wm_error *err)
{
    char day[WM_PHRASE_SIZE];
    wm_buf code = { 0 };
    wm_names names = { 0 };
    const size_t from = out->size;
    wm_html__begin(out, *g->salon ? g->salon : "weftmatch", "clients", script(&code));
    wm_markup(
        out,
        "<header class=\"top\"><p class=\"salon\" translate=\"no\">%s</p><h1>Clients</h1><p class=\"when\">%z in the book on %s</p>"
        "</header>\n<main class=\"client\">\n",
        *g->salon ? g->salon : "weftmatch", g->count, wm_phrase_date(day, g->today));
    write_search(out);
    wm_buf_text(out, "<ul class=\"gallery\">\n");
    for (size_t i = 0; i < g->count; i++)
        write_client(out, &g->clients[i]);
    wm_buf_text(
        out, "</ul>\n</main>\n<footer><p>This page is private: it holds your clients' photos.</p></footer>\n<script>");
    wm_buf_bytes(out, code.data, code.size);
    wm_buf_text(out, "</script>\n</body>\n</html>\n");
    out->failed = out->failed || code.failed;
    wm_buf_free(&code);
    wm_names_add(&names, g->salon);
    for (size_t i = 0; i < g->count; i++)
        wm_names_add(&names, g->clients[i].name);
    wm_html__speak(out, from, g->language, &names);
    wm_names_free(&names);
    return wm_buf_status(out, err);
}
