#include "report/html.h"

#include <stdio.h>
#include <string.h>

#include "measure/zones_file.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"
#include "style.h"

void wm_html__open(wm_page *page, const char *id, const char *title, const char *note)
{
    wm_markup(page->out, "<section id=\"%s\" aria-labelledby=\"%s-title\"><header><h2 id=\"%s-title\">%s</h2>", id, id,
              id, title);
    if (*note)
        wm_markup(page->out, "<p>%s</p>", note);
    wm_buf_text(page->out, "</header><div class=\"body\">\n");
}

void wm_html__close(wm_page *page)
{
    wm_buf_text(page->out, "</div></section>\n");
}

void wm_html__fact(wm_page *page, const char *name, const char *value)
{
    if (*value)
        wm_markup(page->out, "<div><dt>%s</dt><dd>%s</dd></div>", name, value);
}

/* ---- the frame ---- */

/* 'sha256-..' of what may apply. */
static void allow(wm_buf *out, const char *data, size_t size)
{
    char hex[65];
    unsigned char digest[32] = { 0 };
    wm_sha256_hex(hex, data, size);
    for (size_t i = 0; i < 64; i++)
        digest[i / 2] = (unsigned char)(digest[i / 2] << 4 | (hex[i] < 'a' ? hex[i] - '0' : hex[i] - 'a' + 10));
    wm_buf_text(out, "'sha256-");
    wm_buf_base64(out, digest, sizeof digest);
    wm_buf_text(out, "'");
}

/* Only this style sheet and script apply and nothing is ever fetched: what slipped in could neither run nor restyle the
 * page. */
static void write_style(wm_buf *out, const char *script)
{
    wm_buf style = { 0 };
    for (size_t i = 0; i < sizeof STYLE / sizeof STYLE[0]; i++)
        wm_buf_text(&style, STYLE[i]);
    out->failed = out->failed || style.failed;
    if (out->failed) {
        wm_buf_free(&style);
        return;
    }
    wm_buf_text(
        out,
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; base-uri 'none'; form-action 'none'; "
        "style-src ");
    allow(out, style.data, style.size);
    if (script) {
        wm_buf_text(out, "; script-src ");
        allow(out, script, strlen(script));
    }
    wm_buf_text(out, "\"/>\n<style>");
    wm_buf_bytes(out, style.data, style.size);
    wm_buf_text(out, "</style>\n");
    wm_buf_free(&style);
}

static const char *name_of(const wm_report *report)
{
    return *report->client ? report->client : report->photo.file;
}

void wm_html__begin(wm_buf *out, const char *name, const char *about, const char *script)
{
    wm_buf_text(
        out,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<meta name=\"color-scheme\" "
        "content=\"light dark\"/>\n<meta name=\"robots\" content=\"noindex\"/>\n<meta name=\"referrer\" content=\"no-referrer\"/>\n");
    wm_markup(out, "<title>%s, %s</title>\n", name, about);
    write_style(out, script);
    wm_buf_text(out, "</head>\n<body>\n");
}

void wm_html__names(wm_names *out, const wm_report *report)
{
    wm_names_add(out, report->client);
    for (size_t i = 0; i < report->ranking_count; i++)
        for (size_t k = 0; k < report->rankings[i].count; k++) {
            wm_names_add(out, report->rankings[i].items[k].code);
            wm_names_add(out, report->rankings[i].items[k].name);
        }
    for (size_t i = 0; i < report->proposal_count; i++)
        for (size_t k = 0; k < report->proposals[i].shade_count; k++) {
            wm_names_add(out, report->proposals[i].shades[k].code);
            wm_names_add(out, report->proposals[i].shades[k].name);
        }
}

void wm_html__speak(wm_buf *out, size_t from, const wm_language *language, wm_names *names)
{
    wm_buf spoken = { 0 };
    out->failed = out->failed || names->failed;
    if (!language || !language->count || out->failed)
        return;
    wm_language with_names = *language;
    wm_names_sort(names);
    with_names.kept = names;
    wm_spoken_page(&spoken, out->data + from, &with_names);
    out->failed = spoken.failed;
    out->size = from;
    wm_buf_bytes(out, spoken.data, spoken.size);
    wm_buf_free(&spoken);
}

wm_status wm_html__finish(wm_page *page, size_t from, wm_error *err)
{
    wm_names names = { 0 };
    wm_html__names(&names, page->report);
    wm_html__speak(page->out, from, page->in->language, &names);
    wm_names_free(&names);
    return wm_buf_status(page->out, err);
}

static void write_frame(wm_page *page)
{
    char date[WM_PHRASE_SIZE];
    wm_html__begin(page->out, name_of(page->report), wm_phrase_date(date, page->report->made_at), NULL);
}

static void link_to(wm_page *page, bool there, const char *id, const char *title)
{
    if (there)
        wm_markup(page->out, "<li><a href=\"#%s\">%s</a></li>", id, title);
}

static void write_head(wm_page *page)
{
    const wm_report *r = page->report;
    char date[WM_PHRASE_SIZE], taken[WM_PHRASE_SIZE];
    wm_markup(
        page->out,
        "<header class=\"top\"><p class=\"salon\" translate=\"no\">%s</p><h1 translate=\"no\">%s</h1><p class=\"when\">%s, <time datetime=\"%s\">%s</time>",
        *r->salon ? r->salon : "weftmatch", name_of(r),
        r->measured_only ? "Hair measured from a photo" : "Hair match from a photo", r->made_at,
        wm_phrase_date(date, r->made_at));
    if (*r->photo.taken)
        wm_markup(page->out, "; photo taken %s", wm_phrase_date(taken, r->photo.taken));
    wm_buf_text(page->out, "</p>\n<nav aria-label=\"On this page\"><ul>");
    link_to(page, !r->measured_only, "answer", wm_phrase_answer(r));
    link_to(page, page->in->held_up && page->in->held_up->count, "held-up", "Held up");
    link_to(page, r->has_plan, "plan", "Plan");
    link_to(page, r->scenario_count > 0 && !r->no_shade_named, "grayer", "If the gray increases");
    link_to(page, *r->since_date || page->in->history_count, "visits", "Visits");
    link_to(page, wm_html__has_photo(page), "photo", "Photo");
    link_to(page, r->ranking_count > 0, "shades", "Nearest shades");
    link_to(page, true, "hair", "Measured");
    wm_buf_text(page->out, "</ul></nav></header>\n<main>\n");
}

static void write_cautions(wm_page *page)
{
    const wm_warnings *cautions = &page->report->cautions;
    if (cautions->count == 0)
        return;
    wm_html__open(page, "care", "Take care", "For stylist and client alike.");
    wm_buf_text(page->out, "<ul class=\"plain\">");
    for (size_t i = 0; i < cautions->count; i++)
        wm_markup(page->out, "<li>%s</li>\n", cautions->items[i].text);
    wm_buf_text(page->out, "</ul>");
    wm_html__close(page);
}

/* ---- provenance ---- */

static const char *worn_words(wm_worn worn)
{
    return worn == WM_WORN_DOWN ? "down only" : worn == WM_WORN_UP ? "up only" : "down and up";
}

static void write_provenance(wm_page *page)
{
    const wm_report *r = page->report;
    char text[300];
    wm_buf_text(page->out, "</main>\n<footer><h2>Made from</h2><dl class=\"facts\">");
    snprintf(text, sizeof text, "%s, %d x %d pixels", r->photo.file, r->photo.width, r->photo.height);
    wm_html__fact(page, "Photo", text);
    wm_html__fact(page, "Colour profile", r->photo.profile);
    wm_html__fact(page, "Camera", r->photo.camera);
    wm_html__fact(page, "Photo taken", r->photo.taken);
    wm_html__fact(page, "Report made", r->made_at);
    snprintf(text, sizeof text, "weftmatch %s, LittleCMS %s, SQLite %s", r->version, r->lcms, r->sqlite);
    wm_html__fact(page, "Program", text);
    if (!r->measured_only)
        wm_html__fact(page, "Worn", worn_words(r->worn));
    wm_markup(page->out, "<div class=\"wide\"><dt>SHA-256 of the photo</dt><dd>%s</dd></div>", r->photo.sha256);
    wm_buf_text(
        page->out,
        "</dl><p>Colours are CIELAB, D50, 2 degree observer; differences are CIEDE2000 (dE00), \302\261 one standard uncertainty. "
        "The light of the photo is unknown. Chips on a screen or on paper are for orientation: order by the swatch in your "
        "hand.</p></footer>\n</body>\n</html>\n");
}

/* ---- all of it ---- */

/* What hangs behind the row: mid, else ends, root, gray (M26). */
static void choose_colours(wm_page *page)
{
    static const wm_zone_kind ORDER[] = { WM_ZONE_GRAY, WM_ZONE_ROOT, WM_ZONE_ENDS, WM_ZONE_MID };
    const wm_report *r = page->report;
    page->behind = (wm_lab){ 50, 0, 0 };
    for (size_t k = 0; k < sizeof ORDER / sizeof ORDER[0]; k++)
        for (size_t i = r->zone_count; i-- > 0;)
            if (!r->zones[i].refused && r->zones[i].kind == ORDER[k])
                page->behind = r->zones[i].body.lab;
}

wm_status wm_report_to_html(wm_buf *out, const wm_html_input *input, wm_error *err)
{
    wm_page page = {
        .out = out, .in = input, .report = input->report, .units = input->inches ? WM_UNITS_IN : WM_UNITS_CM
    };
    const wm_report_pictures *pictures = input->pictures;
    wm_warnings not_shown = { 0 };
    size_t from = out->size;
    wm_status status = WM_OK;
    if (pictures && pictures->zones_json.size)
        status = wm_zones_add_json(&page.zones, (const char *)pictures->zones_json.data, pictures->zones_json.size,
                                   "the saved zones", &not_shown, err);
    wm_warnings_free(&not_shown);
    if (status == WM_E_INPUT && err)
        err->code = WM_E_BOOK; /* nobody typed them: it is the book that is damaged */
    if (status) {
        wm_zones_free(&page.zones);
        return status == WM_E_INPUT ? WM_E_BOOK : status;
    }
    choose_colours(&page);
    write_frame(&page);
    write_head(&page);
    wm_html__answer(&page);
    wm_html__held_up(&page);
    wm_html__plan(&page);
    write_cautions(&page);
    wm_html__scenarios(&page);
    wm_html__visits(&page);
    wm_buf_text(out,
                page.report->measured_only
                    ? "<div class=\"evidence\">"
                    : "<details class=\"evidence\"><summary>The evidence: photo, nearest shades, figures</summary>");
    wm_html__photo(&page);
    wm_html__rankings(&page);
    wm_html__hair(&page);
    wm_html__reading(&page);
    wm_buf_text(out, page.report->measured_only ? "</div>" : "</details>\n");
    write_provenance(&page);
    wm_zones_free(&page.zones);
    return wm_html__finish(&page, from, err);
}
