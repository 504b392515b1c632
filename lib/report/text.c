#include "report/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WIDTH = 80, CHIP_WIDTH = 4 };

/* The writer's state: where it goes and how. */
typedef struct page {
    wm_buf *out;
    const wm_text_style *style;
} page;

/* --- small pieces --------------------------------------------------------------------------------------------------------------- */

/* Nearest colour of the 6 x 6 x 6 cube of 256-colour terminals (levels 0, 95, 135, 175, 215, 255). */
static int cube_level(int v)
{
    return v < 48 ? 0 : v < 115 ? 1 : (v - 35) / 40;
}

void wm_text_chip(wm_buf *out, wm_lab lab, wm_chips chips)
{
    wm_srgb8 c = wm_lab_to_srgb8(lab);
    if (chips == WM_CHIPS_24BIT)
        wm_buf_format(out, "\033[48;2;%d;%d;%dm   \033[0m ", c.r, c.g, c.b);
    else if (chips == WM_CHIPS_256)
        wm_buf_format(out, "\033[48;5;%dm   \033[0m ", 16 + 36 * cube_level(c.r) + 6 * cube_level(c.g) + cube_level(c.b));
}

/* Columns that UTF-8 text takes, one a character: our words need no more. */
static size_t columns_of(const char *text)
{
    size_t n = 0;
    for (; *text; text++)
        n += ((unsigned char)*text & 0xc0) != 0x80;
    return n;
}

static void spaces(page *p, size_t n)
{
    for (size_t i = 0; i < n; i++)
        wm_buf_text(p->out, " ");
}

/* Text cut or padded to exactly `width` columns. */
static void cell(page *p, const char *text, size_t width)
{
    size_t n = 0;
    const char *end = text;
    for (; *end && n < width; n++)
        for (end++; ((unsigned char)*end & 0xc0) == 0x80; end++)
            ;
    wm_buf_bytes(p->out, text, (size_t)(end - text));
    spaces(p, width - n);
}

static void cell_right(page *p, const char *text, size_t width)
{
    size_t n = columns_of(text);
    spaces(p, n < width ? width - n : 0);
    wm_buf_text(p->out, text);
}

static void number(page *p, double value, size_t width)
{
    char text[48];
    cell_right(p, wm_number_text(text, value, 1), width);
}

static const char *plus_minus(const page *p)
{
    return p->style->utf8 ? "\302\261" : "+-";
}

static void chip(page *p, wm_lab lab)
{
    wm_text_chip(p->out, lab, p->style->chips);
}

static void line(page *p, const char *text)
{
    wm_buf_text(p->out, text);
    wm_buf_text(p->out, "\n");
}

/* Words wrapped between `indent` and the page's width; the cursor stands at `column`. */
static void wrapped(page *p, const char *text, size_t indent, size_t column)
{
    spaces(p, column < indent ? indent - column : 0);
    column = column < indent ? indent : column;
    bool first = true;
    for (const char *s = text; *s; s += strspn(s, " \n")) {
        char word[512];
        size_t n = strcspn(s, " \n");
        snprintf(word, sizeof word, "%.*s", (int)(n < sizeof word ? n : sizeof word - 1), s);
        size_t wide = columns_of(word);
        if (!first && column + 1 + wide > WIDTH) {
            wm_buf_text(p->out, "\n");
            spaces(p, indent);
            column = indent;
        } else if (!first) {
            wm_buf_text(p->out, " ");
            column++;
        }
        wm_buf_text(p->out, word);
        column += wide;
        first = false;
        s += n;
    }
    wm_buf_text(p->out, "\n");
}

static void heading(page *p, const char *title)
{
    wm_buf_text(p->out, "\n");
    line(p, title);
    for (size_t i = 0; i < columns_of(title); i++)
        wm_buf_text(p->out, p->style->utf8 ? "\342\224\200" : "-");
    wm_buf_text(p->out, "\n");
}

static void labelled(page *p, const char *label, const char *text)
{
    cell(p, label, 10);
    wrapped(p, text, 10, 10);
}

/* --- sections ------------------------------------------------------------------------------------------------------------------- */

static void write_head(page *p, const wm_report *r)
{
    char text[700];
    cell(p, *r->salon ? r->salon : "weftmatch", 60);
    cell_right(p, (char[12]){ r->made_at[0], r->made_at[1], r->made_at[2], r->made_at[3], '-', r->made_at[5], r->made_at[6], '-',
                              r->made_at[8], r->made_at[9], 0 }, 20);
    wm_buf_text(p->out, "\n");
    if (*r->client)
        labelled(p, "Client", r->client);
    snprintf(text, sizeof text, "%s, %d x %d, %s%s%s%s%s", r->photo.file, r->photo.width, r->photo.height, r->photo.profile,
             *r->photo.camera ? ", " : "", r->photo.camera, *r->photo.taken ? ", taken " : "", r->photo.taken);
    labelled(p, "Photo", text);
    snprintf(text, sizeof text, "%s; light unknown", strcmp(r->calibration.aid, "none") == 0 ? "nothing to compare with in the photo"
                                                                                            : r->calibration.aid);
    labelled(p, "Measured", text);
    for (size_t i = 0; i < r->calibration.dropped_count; i++) {
        snprintf(text, sizeof text, "%s: %s", r->calibration.dropped[i].zone, r->calibration.dropped[i].why);
        labelled(p, i ? "" : "Left out", text);
    }
}

static void gray_words(char *out, size_t size, const wm_report_zone *z)
{
    double low = fmax(0, z->share - 1.65 * z->u_share), high = fmin(1, z->share + 1.65 * z->u_share);
    if (z->gray_status == WM_GRAY_LOW)
        snprintf(out, size, "little gray, under %.0f %%", 5 * ceil(20 * high));
    else if (z->gray_status != WM_GRAY_MEASURED)
        snprintf(out, size, "%s", z->gray_status == WM_GRAY_NONE_SEEN ? "no gray seen" : wm_gray_status_name(z->gray_status));
    else if (z->base_never_seen)
        snprintf(out, size, "gray %.0f to %.0f %%", 5 * floor(20 * low), 5 * ceil(20 * high));
    else
        snprintf(out, size, "gray %.0f %% (%.0f to %.0f)", 5 * round(20 * z->share), 5 * floor(20 * low), 5 * ceil(20 * high));
}

static void write_zone(page *p, const wm_report_zone *z)
{
    char text[96];
    if (z->refused) {
        cell(p, z->name, 20);
        line(p, "could not be measured");
        return;
    }
    cell(p, z->name, p->style->chips ? 20 - CHIP_WIDTH : 20);
    chip(p, z->lab);
    number(p, z->lab.L, 5);
    number(p, z->lab.a, 6);
    number(p, z->lab.b, 6);
    wm_number_text(text, z->u_de00, 1);
    wm_buf_format(p->out, "  %s", plus_minus(p));
    cell(p, text, 6);
    gray_words(text, sizeof text, z);
    line(p, text);
}

static void write_zones(page *p, const wm_report *r)
{
    heading(p, "Her hair");
    cell(p, "", 20);
    wm_buf_text(p->out, "   L*    a*    b*   dE00  gray\n");
    for (size_t i = 0; i < r->zone_count; i++)
        write_zone(p, &r->zones[i]);
}

static void layer_names(char *out, size_t size, const wm_report_proposal *m)
{
    out[0] = '\0';
    for (int i = 0; i < m->layer_count; i++) {
        size_t n = strlen(out);
        snprintf(out + n, size - n, "%s%s", i ? " / " : "", m->layers[i]);
    }
}

static void write_proposal(page *p, const wm_report_proposal *m, size_t rank)
{
    char names[240], worst[48], u[48], text[320];
    layer_names(names, sizeof names, m);
    wm_buf_format(p->out, rank ? "%zu. " : "%zu. ", rank + 1);
    for (int i = 0; i < m->shade_count; i++)
        chip(p, m->shades[i].lab);
    snprintf(text, sizeof text, "%s%s", m->layer_count == 1 ? "one shade: " : "layers, front first: ", names);
    line(p, text);
    snprintf(text, sizeof text, "%s, dE00 %s %s%s", wm_verdict_sentence(m->verdict), wm_number_text(worst, m->worst_de00, 1), plus_minus(p),
             wm_number_text(u, m->u_de00, 1));
    if (m->layer_count > 1) {
        char down[48], up[48];
        size_t n = strlen(text);
        snprintf(text + n, sizeof text - n, " (down %s, up %s)", wm_number_text(down, m->down_de00, 1), wm_number_text(up, m->up_de00, 1));
    }
    wrapped(p, text, 3, 0);
    wrapped(p, m->why, 3, 0);
}

static void write_proposals(page *p, const wm_report *r)
{
    char text[400];
    heading(p, r->no_shade_named ? "Nearest, but not enough to order from" : "What to sew");
    if (r->proposal_count)
        wrapped(p, wm_claim_sentence(r->proposals[0].claim), 0, 0);
    if (*r->missing)
        wrapped(p, r->missing, 0, 0);
    for (size_t i = 0; i < r->proposal_count; i++)
        write_proposal(p, &r->proposals[i], i);
    if (r->has_ideal_mix) {
        char q[48], d[48];
        snprintf(text, sizeof text, "For orientation, can't be sewn: a fibre mix with %s %% %s in %s, dE00 %s.",
                 wm_number_text(q, 100 * r->ideal[1].share, 0), r->ideal[1].code, r->ideal[0].code, wm_number_text(d, r->ideal_de00, 1));
        wrapped(p, text, 3, 0);
    }
    for (size_t i = 0; i < r->filter_count; i++)
        if (r->filters[i].removed) {
            snprintf(text, sizeof text, "The filter '%s' left out %zu shades.", r->filters[i].name, r->filters[i].removed);
            wrapped(p, text, 3, 0);
        }
}

static const char *ranking_title(const char *target)
{
    return strcmp(target, "base") == 0 ? "her base" : strcmp(target, "gray_fibres") == 0 ? "her gray" : strcmp(target, "bead") == 0 ? "beads"
                                                                                                                                : target;
}

static void write_match(page *p, const wm_report_match *m)
{
    char number_text[48];
    wm_buf_text(p->out, "  ");
    chip(p, m->lab);
    cell(p, m->code, p->style->chips ? 14 : 18);
    cell(p, wm_verdict_name(m->verdict), 9);
    number(p, m->de00, 5);
    wm_buf_format(p->out, " %s", plus_minus(p));
    cell(p, wm_number_text(number_text, m->u_de00, 1), 5);
    cell(p, m->tied_with_best ? "tied " : "", 5);
    line(p, m->words);
}

static void write_rankings(page *p, const wm_report *r)
{
    heading(p, "Nearest shades");
    for (size_t i = 0; i < r->ranking_count; i++) {
        const wm_report_ranking *k = &r->rankings[i];
        size_t lines = k->count < (size_t)p->style->lines ? k->count : (size_t)p->style->lines;
        char title[160];
        snprintf(title, sizeof title, "To %s%s:", ranking_title(k->target), k->claim == WM_CLAIM_ROUGH ? " (not enough to order from)" : "");
        line(p, title);
        if (*k->said)
            wrapped(p, k->said, 2, 0);
        for (size_t n = 0; n < lines; n++)
            write_match(p, &k->items[n]);
    }
}

static void write_plan_weft(page *p, const wm_weft *w, wm_units units)
{
    char text[400], a[WM_LENGTH_SIZE], b[WM_LENGTH_SIZE];
    int n = snprintf(text, sizeof text, "%s: %s of weft", w->code, wm_length_text(a, w->needed_cm, units, 1));
    if (w->length_cm >= 0)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %s long", wm_length_text(b, w->length_cm, units, 0));
    if (w->pieces >= 0)
        n += snprintf(text + n, sizeof text - (size_t)n, ", %d pieces", w->pieces);
    if (w->packs >= 0)
        snprintf(text + n, sizeof text - (size_t)n, ", %d packs", w->packs);
    wrapped(p, text, 10, 10);
}

static void write_plan_rows(page *p, const wm_plan *plan)
{
    char text[300], a[WM_LENGTH_SIZE], b[WM_LENGTH_SIZE];
    for (size_t i = 0; i < plan->row_count; i++) {
        snprintf(text, sizeof text, "%s arc, row %s, %d beads; thread %s, used doubled", wm_length_text(a, plan->rows[i].arc_cm, plan->units, 1),
                 wm_length_text(b, plan->rows[i].row_cm, plan->units, 1), plan->rows[i].beads,
                 wm_length_range((char[WM_LENGTH_SIZE]){ 0 }, plan->rows[i].thread_cut_cm, plan->units, 0));
        labelled(p, i ? "" : "Rows", text);
    }
    for (size_t i = 0; i < plan->weft_count; i++) {
        cell(p, i ? "" : "Hair", 10);
        write_plan_weft(p, &plan->wefts[i], plan->units);
    }
    snprintf(text, sizeof text, "%d and %d in reserve%s%s", plan->beads, plan->bead_reserve, *plan->bead_code ? ", shade " : "", plan->bead_code);
    labelled(p, "Beads", text);
}

static void write_plan_quote(page *p, const wm_quote *q)
{
    char amount[WM_MONEY_SIZE], each[WM_MONEY_SIZE], text[220];
    if (q->line_count == 0)
        return;
    for (size_t i = 0; i < q->line_count; i++) {
        const wm_quote_line *l = &q->lines[i];
        snprintf(text, sizeof text, "%lld x %s, %s each", (long long)l->quantity, l->label, wm_price_text(each, l->each_milli, q->currency));
        cell(p, i ? "" : "Quote", 10);
        cell(p, text, 50);
        cell_right(p, wm_money_text(amount, l->total_minor, q->currency), 20);
        wm_buf_text(p->out, "\n");
    }
    snprintf(text, sizeof text, "tax");
    cell(p, "", 10);
    cell(p, text, 50);
    cell_right(p, wm_money_text(amount, q->tax_minor, q->currency), 20);
    wm_buf_text(p->out, "\n");
    cell(p, "", 10);
    cell(p, q->complete ? "total" : "total of what has a price", 50);
    cell_right(p, wm_money_text(amount, q->total_minor, q->currency), 20);
    wm_buf_text(p->out, "\n");
}

static void write_plan(page *p, const wm_plan *plan)
{
    char text[200], day[WM_DATE_SIZE];
    heading(p, "Plan");
    write_plan_rows(p, plan);
    write_plan_quote(p, &plan->quote);
    wm_length_range(text, plan->moveups.growth_cm, plan->units, 2);
    size_t n = strlen(text);
    snprintf(text + n, sizeof text - n, " of growth by then");
    cell(p, "Move-up", 10);
    wm_buf_format(p->out, "%s, %s\n", wm_date_text(day, plan->moveups.dates[0]), text);
    heading(p, "Work list");
    for (size_t i = 0; i < plan->step_count; i++) {
        char label[24];
        snprintf(label, sizeof label, "%zu.", i + 1);
        cell(p, label, 4);
        wrapped(p, plan->steps[i], 4, 4);
    }
}

static void write_scenarios(page *p, const wm_report *r)
{
    char names[240], share[48], d[48], text[400];
    heading(p, "When she is grayer");
    for (size_t i = 0; i < r->scenario_count; i++) {
        const wm_report_scenario *s = &r->scenarios[i];
        layer_names(names, sizeof names, &s->best);
        snprintf(text, sizeof text, "gray %s %%: %s, dE00 %s", wm_number_text(share, 100 * s->share, 0), names,
                 wm_number_text(d, s->best.worst_de00, 1));
        wrapped(p, text, 2, 0);
    }
}

static void write_changes(page *p, const wm_report *r)
{
    char title[64], text[400];
    snprintf(title, sizeof title, "Since %s", r->since_date);
    heading(p, title);
    for (size_t i = 0; i < r->change_count; i++) {
        snprintf(text, sizeof text, "%s: %s", r->changes[i].zone, r->changes[i].words);
        wrapped(p, text, 2, 0);
    }
}

static const char TAKE_CARE[] = "Take care";

static void write_caution(page *p, const char *text)
{
    wm_buf_text(p->out, "- ");
    wrapped(p, text, 2, 2);
}

wm_status wm_report_to_text(wm_buf *out, const wm_report *report, const wm_text_style *style, wm_error *err)
{
    page p = { out, style };
    write_head(&p, report);
    write_zones(&p, report);
    if (report->proposal_count || *report->missing)
        write_proposals(&p, report);
    if (report->ranking_count)
        write_rankings(&p, report);
    if (report->has_plan)
        write_plan(&p, &report->plan);
    if (report->scenario_count)
        write_scenarios(&p, report);
    if (*report->since_date)
        write_changes(&p, report);
    if (report->cautions.count)
        heading(&p, TAKE_CARE);
    for (size_t i = 0; i < report->cautions.count; i++)
        write_caution(&p, report->cautions.items[i].text);
    return wm_buf_status(out, err);
}

wm_status wm_plan_to_text(wm_buf *out, const wm_plan *plan, const wm_text_style *style, wm_error *err)
{
    page p = { out, style };
    write_plan(&p, plan);
    if (plan->caution_count)
        heading(&p, TAKE_CARE);
    for (size_t i = 0; i < plan->caution_count; i++)
        write_caution(&p, plan->cautions[i]);
    return wm_buf_status(out, err);
}
