#include "report/compare_out.h"

#include <stdlib.h>
#include <string.h>

#include "report/figure.h"
#include "report/html_internal.h"
#include "report/markup.h"
#include "report/phrase.h"

void wm_comparison_free(wm_comparison *comparison)
{
    wm_report_free(&comparison->before);
    wm_report_free(&comparison->now);
    wm_bytes_free(&comparison->before_jpeg);
    wm_bytes_free(&comparison->now_jpeg);
    free(comparison->changes);
    wm_warnings_free(&comparison->unpaired);
    *comparison = (wm_comparison){ 0 };
}

static const wm_report_zone *zone_of(const wm_report *report, const char *name)
{
    for (size_t i = 0; i < report->zone_count; i++)
        if (strcmp(report->zones[i].name, name) == 0)
            return &report->zones[i];
    return NULL;
}

/* When the photo was taken, else when it was measured. */
static const char *day_of(const wm_report *report)
{
    return *report->photo.taken ? report->photo.taken : report->made_at;
}

static const char *rule_of(const wm_comparison *c)
{
    return c->same_session ? "One camera within the hour: the uncertainty is that of two photos of one sitting."
                           : "Two sittings: the uncertainties of both photos count.";
}

static void text_photo(wm_buf *out, const char *label, const wm_report *report)
{
    char day[WM_PHRASE_SIZE];
    wm_buf_format(out, "%s%s, %s, measured by %s\n", label, report->photo.file, wm_phrase_date(day, day_of(report)),
                  wm_phrase_aid(&report->calibration));
}

wm_status wm_comparison_to_text(wm_buf *out, const wm_comparison *c, const wm_text_style *style, wm_error *err)
{
    text_photo(out, "Before  ", &c->before);
    text_photo(out, "Now     ", &c->now);
    wm_buf_text(out, "\n");
    for (size_t i = 0; i < c->change_count; i++) {
        const wm_report_change *change = &c->changes[i];
        wm_buf_format(out, "%-16s ", change->zone);
        wm_text_chip(out, zone_of(&c->before, change->then)->body.lab, style->chips);
        wm_text_chip(out, zone_of(&c->now, change->zone)->body.lab, style->chips);
        wm_buf_format(out, "%s\n", change->words);
    }
    for (size_t i = 0; i < c->unpaired.count; i++)
        wm_buf_format(out, "%s\n", c->unpaired.items[i].text);
    wm_buf_format(out, "\n%s\n", rule_of(c));
    return wm_buf_status(out, err);
}

/* --- JSON
 * ---------------------------------------------------------------------------------------------------------------------
 */

static void json_lab(wm_buf *out, const char *key, wm_lab lab)
{
    const double v[3] = { lab.L, lab.a, lab.b };
    wm_buf_format(out, ",\"%s\":", key);
    wm_buf_numbers(out, v, 3, 4);
}

static void json_photo(wm_buf *out, const char *key, const wm_report *report)
{
    wm_buf_format(out, ",\n\"%s\":{\"file\":", key);
    wm_buf_json_string(out, report->photo.file);
    wm_buf_format(out, ",\"sha256\":\"%s\",\"taken\":", report->photo.sha256);
    if (*report->photo.taken)
        wm_buf_json_string(out, report->photo.taken);
    else
        wm_buf_text(out, "null");
    wm_buf_format(out, ",\"aid\":\"%s\"}", wm_aid_set_name(report->calibration.aid));
}

wm_status wm_comparison_to_json(wm_buf *out, const wm_comparison *c, wm_error *err)
{
    wm_buf_text(out, "{\"format\":1");
    json_photo(out, "before", &c->before);
    json_photo(out, "now", &c->now);
    wm_buf_format(out, ",\n\"same_session\":%s,\n\"changes\":[", c->same_session ? "true" : "false");
    for (size_t i = 0; i < c->change_count; i++) {
        const wm_report_change *change = &c->changes[i];
        wm_buf_text(out, i ? ",\n  {\"zone\":" : "\n  {\"zone\":");
        wm_buf_json_string(out, change->zone);
        json_lab(out, "before_lab", zone_of(&c->before, change->then)->body.lab);
        json_lab(out, "now_lab", zone_of(&c->now, change->zone)->body.lab);
        wm_buf_json_number(out, ",\"de00\":", true, change->de00, 4);
        wm_buf_json_number(out, ",\"u_de00\":", true, change->u_de00, 4);
        wm_buf_json_number(out, ",\"d_share\":", change->has_share, change->d_share, 4);
        wm_buf_json_number(out, ",\"u_share\":", change->has_share, change->u_share, 4);
        wm_buf_text(out, ",\"words\":");
        wm_buf_json_string(out, change->words);
        wm_buf_text(out, "}");
    }
    wm_buf_text(out, "],\n\"unpaired\":[");
    for (size_t i = 0; i < c->unpaired.count; i++)
        wm_buf_json_text(out, i ? "," : "", c->unpaired.items[i].text);
    wm_buf_text(out, "]}\n");
    return wm_buf_status(out, err);
}

/* --- page
 * ---------------------------------------------------------------------------------------------------------------------
 */

static void html_picture(wm_buf *out, const wm_bytes *jpeg, const char *when, const wm_report *report)
{
    char day[WM_PHRASE_SIZE];
    if (!jpeg->size)
        return;
    wm_markup(out, "<figure><img alt=\"%s: %s\" src=\"data:image/jpeg;base64,", when, report->photo.file);
    wm_buf_base64(out, jpeg->data, jpeg->size);
    wm_markup(out, "\"/><figcaption>%s: %s, %s</figcaption></figure>\n", when, report->photo.file,
              wm_phrase_date(day, day_of(report)));
}

static void html_change(wm_buf *out, const wm_comparison *c, const wm_report_change *change)
{
    char before[WM_PHRASE_SIZE], now[WM_PHRASE_SIZE];
    const wm_report_zone *old = zone_of(&c->before, change->then), *new = zone_of(&c->now, change->zone);
    wm_markup(out, "<tr><th scope=\"row\">%s</th><td class=\"pair\">", change->zone);
    wm_figure_pair(out, old->body.lab, new->body.lab, "before on the left, now on the right");
    wm_markup(out, "</td><td>%s</td><td>%s</td><td>%s</td></tr>\n", change->words, wm_phrase_gray(before, old),
              wm_phrase_gray(now, new));
}

wm_status wm_comparison_to_html(wm_buf *out, const wm_comparison *c, const wm_language *language, wm_error *err)
{
    char day[WM_PHRASE_SIZE];
    wm_page page = { .out = out, .report = &c->now };
    const char *name = *c->now.client ? c->now.client : c->now.photo.file;
    wm_names names = { 0 };
    const size_t from = out->size;
    wm_html__begin(out, name, wm_phrase_date(day, day_of(&c->now)), NULL);
    wm_markup(
        out,
        "<header class=\"top\"><p class=\"salon\" translate=\"no\">%s</p><h1 translate=\"no\">%s</h1><p class=\"when\">Before and now</p></header>\n<main>\n",
        *c->now.salon ? c->now.salon : "weftmatch", name);
    wm_html__open(&page, "pictures", "Photos",
                  "Brought to the same light as far as what was of known colour in them allows.");
    wm_buf_text(out, "<div class=\"two\">\n");
    html_picture(out, &c->before_jpeg, "Before", &c->before);
    html_picture(out, &c->now_jpeg, "Now", &c->now);
    wm_buf_text(out, "</div>\n");
    wm_html__close(&page);
    wm_html__open(&page, "changes", "Changes", rule_of(c));
    wm_buf_text(
        out,
        "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"Changes\"><table class=\"changes\"><thead><tr><th scope=\"col\">Zone</th><th scope=\"col\">Before, now</th><th scope=\"col\">Change</th>"
        "<th scope=\"col\">Gray before</th><th scope=\"col\">Gray now</th></tr></thead><tbody>\n");
    for (size_t i = 0; i < c->change_count; i++)
        html_change(out, c, &c->changes[i]);
    wm_buf_text(out, "</tbody></table></div>\n");
    wm_html__unpaired(&page, &c->unpaired);
    wm_html__close(&page);
    wm_buf_text(out, "</main>\n</body>\n</html>\n");
    wm_names_add(&names, c->before.photo.file);
    wm_names_add(&names, c->now.photo.file);
    wm_names_add(&names, name);
    wm_html__speak(out, from, language, &names);
    wm_names_free(&names);
    return wm_buf_status(out, err);
}
