#include "plan/plan.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define LOAD_PERCENT_MAX 1e6
enum { LONG_MOVEUP_WEEKS = 8 };

/* What the words are made from. */
typedef struct maker {
    wm_plan *plan;
    const wm_plan_input *input;
    const wm_plan_settings *settings;
} maker;

static void step(wm_plan *plan, const char *format, ...) WM_PRINTF(2, 3);
static void caution(wm_plan *plan, const char *format, ...) WM_PRINTF(2, 3);
static void append(char out[WM_PLAN_TEXT_SIZE], const char *format, ...) WM_PRINTF(2, 3);

static void step(wm_plan *plan, const char *format, ...)
{
    va_list args;
    if (plan->step_count == WM_PLAN_STEPS)
        return;
    va_start(args, format);
    vsnprintf(plan->steps[plan->step_count++], WM_PLAN_TEXT_SIZE, format, args);
    va_end(args);
}

static void caution(wm_plan *plan, const char *format, ...)
{
    va_list args;
    if (plan->caution_count == WM_PLAN_CAUTIONS)
        return;
    va_start(args, format);
    vsnprintf(plan->cautions[plan->caution_count++], WM_PLAN_TEXT_SIZE, format, args);
    va_end(args);
}

static void append(char out[WM_PLAN_TEXT_SIZE], const char *format, ...)
{
    va_list args;
    size_t used = strlen(out);
    va_start(args, format);
    vsnprintf(out + used, WM_PLAN_TEXT_SIZE - used, format, args);
    va_end(args);
}

static bool given(double cm)
{
    return cm > 0.0;
}

/* ---- what comes in ---- */

static wm_status check_length(double cm, const char *what, wm_error *err)
{
    if (cm < 0.0 || (cm > 0.0 && cm <= WM_LENGTH_MAX_CM))
        return WM_OK;
    return wm_fail(err, WM_E_USAGE, "the %s is not possible; give a length above 0 and up to 200 cm (78.7 in)", what);
}

static wm_status check_input(const maker *m, wm_error *err)
{
    const wm_plan_input *input = m->input;
    wm_status status = check_length(input->head.natural_length_cm, "natural length", err);
    if (status == WM_OK)
        status = check_length(input->to_length_cm, "wanted length", err);
    if (status != WM_OK)
        return status;
    if (input->arc_count < 1 || input->arc_count > WM_MAX_ROWS)
        return wm_fail(err, WM_E_USAGE, "a plan has 1 to %d rows, not %zu; give each row's arc once", WM_MAX_ROWS,
                       input->arc_count);
    if (input->stack.count < 1 || input->stack.count > WM_MAX_LAYERS)
        return wm_fail(err, WM_E_USAGE, "a row has 1 to %d layers, not %zu; give one code a layer, front first",
                       WM_MAX_LAYERS, input->stack.count);
    if (!(m->settings->load_caution_percent > 0.0 && m->settings->load_caution_percent <= LOAD_PERCENT_MAX))
        return wm_fail(err, WM_E_USAGE,
                       "load_caution_percent is not above 0; set it with `salon set load_caution_percent=1200`");
    return WM_OK;
}

/* ---- numbers ---- */

static wm_status plan_rows(const maker *m, wm_error *err)
{
    wm_plan *plan = m->plan;
    for (size_t i = 0; i < m->input->arc_count; i++) {
        wm_status status =
            wm_row_of(&plan->rows[i], m->input->arcs_cm[i], (int)m->input->stack.count, &m->settings->row, err);
        if (status != WM_OK)
            return status;
        plan->beads += plan->rows[i].beads;
    }
    plan->row_count = m->input->arc_count;
    plan->bead_reserve = wm_bead_reserve(plan->beads, m->settings->row.bead_reserve_percent);
    return WM_OK;
}

static int layers_of(const wm_plan_input *input, const char *code)
{
    int layers = 0;
    for (size_t i = 0; i < input->stack.count; i++)
        layers += strcmp(input->stack.layers[i].code, code) == 0;
    return layers;
}

static bool planned(const wm_plan *plan, const char *code)
{
    for (size_t i = 0; i < plan->weft_count; i++)
        if (strcmp(plan->wefts[i].code, code) == 0)
            return true;
    return false;
}

static wm_status plan_wefts(const maker *m, wm_error *err)
{
    wm_plan *plan = m->plan;
    for (size_t i = 0; i < m->input->stack.count; i++) {
        const char *code = m->input->stack.layers[i].code;
        if (!planned(plan, code)) {
            wm_weft_request request = { m->input->catalogue, code, layers_of(m->input, code), plan->wanted_cm };
            wm_status status = wm_weft_of(&plan->wefts[plan->weft_count], &request, plan->rows, plan->row_count, err);
            if (status != WM_OK)
                return status;
            plan->weft_count++;
        }
    }
    plan->stack = m->input->stack;
    return WM_OK;
}

/* Beads, thread and the work are in the fee per row. */
static wm_status plan_quote(const maker *m, wm_error *err)
{
    wm_plan *plan = m->plan;
    wm_quote *quote = &plan->quote;
    wm_status status = wm_quote_open(quote, m->settings->currency, m->settings->tax_milli_percent, err);
    if (status == WM_OK && m->settings->row_fee_milli >= 0)
        status = wm_quote_add(quote, plan->row_count == 1 ? "row" : "rows", (int64_t)plan->row_count,
                              m->settings->row_fee_milli, err);
    else
        quote->complete = false;
    for (size_t i = 0; status == WM_OK && i < plan->weft_count; i++) {
        const wm_weft *weft = &plan->wefts[i];
        char label[WM_QUOTE_LABEL_SIZE], length[WM_LENGTH_SIZE];
        if (weft->packs < 0 || weft->pack_price_milli < 0) {
            quote->complete = false;
            continue;
        }
        if (weft->length_cm > 0.0)
            wm_length_text(length, weft->length_cm, plan->units, 1);
        snprintf(label, sizeof label, "%s of %s%s%.24s", weft->packs == 1 ? "pack" : "packs", weft->code,
                 weft->length_cm > 0.0 ? ", " : "", weft->length_cm > 0.0 ? length : "");
        status = wm_quote_add(quote, label, weft->packs, weft->pack_price_milli, err);
    }
    return status;
}

static wm_status plan_visits(const maker *m, wm_error *err)
{
    const wm_plan_input *input = m->input;
    wm_status status = wm_moveups_of(&m->plan->moveups, input->date, m->settings->moveup_weeks, err);
    m->plan->growout.line_cm = m->plan->growout.cover_cm = -1.0;
    if (status != WM_OK || input->line_cm < 0.0)
        return status;
    return wm_growout_of(&m->plan->growout, (const double[2]){ input->line_cm, input->cover_cm }, input->date,
                         m->plan->moveups.days, err);
}

/* ---- the work list ---- */

typedef void row_words(char out[WM_LENGTH_SIZE], const wm_row *row, wm_units units);

static void words_width(char out[WM_LENGTH_SIZE], const wm_row *row, wm_units units)
{
    wm_length_text(out, row->row_cm, units, 1);
}

static void words_beads(char out[WM_LENGTH_SIZE], const wm_row *row, wm_units units)
{
    (void)units;
    snprintf(out, WM_LENGTH_SIZE, "%d", row->beads);
}

static void words_sections(char out[WM_LENGTH_SIZE], const wm_row *row, wm_units units)
{
    char length[WM_LENGTH_SIZE];
    wm_length_text(length, row->row_cm / row->sections, units, 1);
    snprintf(out, WM_LENGTH_SIZE, row->sections == 1 ? "%d section of %.40s" : "%d sections of about %.40s",
             row->sections, length);
}

static void words_thread(char out[WM_LENGTH_SIZE], const wm_row *row, wm_units units)
{
    wm_length_range(out, row->thread_cut_cm, units, 0);
}

static void words_working(char out[WM_LENGTH_SIZE], const wm_row *row, wm_units units)
{
    wm_length_range(out, row->thread_working_cm, units, 0);
}

/* "24.0 cm", or with several rows "24.0 cm (row 1), 26.0 cm (row 2)". */
static const char *each_row(char out[WM_PLAN_TEXT_SIZE], const wm_plan *plan, row_words *words)
{
    char one[WM_LENGTH_SIZE];
    out[0] = '\0';
    for (size_t i = 0; i < plan->row_count; i++) {
        words(one, &plan->rows[i], plan->units);
        append(out, "%s%s", i == 0 ? "" : ", ", one);
        if (plan->row_count > 1)
            append(out, " (row %zu)", i + 1);
    }
    return out;
}

static void steps_before_sewing(const maker *m)
{
    wm_plan *plan = m->plan;
    char rows[WM_PLAN_TEXT_SIZE], length[WM_LENGTH_SIZE];
    int decimals = plan->units == WM_UNITS_IN ? 2 : 1; /* of what is as small as a bead's step */
    wm_length_text(length, m->settings->row.hairline_margin_cm, plan->units, decimals);
    step(
        plan,
        "Feel the shape of the head, then comb the hair over the place of the row, down and up: it has to cover the row from every "
        "side. Stay %s off the hairline at both ends.",
        length);
    step(plan, "Draw clean partings: %s.", each_row(rows, plan, words_width));
    step(plan, "Take up %s, each combed smooth and held flat to the head.", each_row(rows, plan, words_sections));
    step(plan, "Keep fly-aways and baby hairs out of the beads, and let no hair cross over to the next bead.");
    wm_length_text(length, m->settings->row.bead_spacing_cm, plan->units, decimals);
    step(
        plan,
        "Set silicone-lined beads%s%s: %s, one every %s, at the base of the hair but not on the scalp. Keep %d in reserve.",
        plan->bead_code[0] ? " in shade " : "", plan->bead_code, each_row(rows, plan, words_beads), length,
        plan->bead_reserve);
}

static const wm_swatch *shade(const maker *m, size_t layer)
{
    return wm_catalogue_find(m->input->catalogue, m->plan->stack.layers[layer].code);
}

/* The gray of a sandwich is its lighter and less coloured shade. */
static bool gray_is_inside(const maker *m)
{
    const wm_plan *plan = m->plan;
    if (plan->stack.count != 3 || strcmp(plan->stack.layers[0].code, plan->stack.layers[2].code) != 0 ||
        strcmp(plan->stack.layers[0].code, plan->stack.layers[1].code) == 0)
        return false;
    wm_lab outer = shade(m, 0)->lab, inner = shade(m, 1)->lab;
    return inner.L > outer.L && hypot(inner.a, inner.b) < hypot(outer.a, outer.b);
}

static void append_pieces(char text[WM_PLAN_TEXT_SIZE], const wm_weft *weft, wm_units units)
{
    char length[WM_LENGTH_SIZE];
    if (weft->cuttable) {
        append(text, "%s", wm_length_text(length, weft->needed_cm, units, 1));
        append(text, weft->pieces == 1 ? " from %d piece." : " from %d pieces, joined where one ends.", weft->pieces);
    } else {
        append(text, weft->pieces == 1 ? "%d whole piece, not cut" : "%d whole pieces, not cut", weft->pieces);
        append(text, weft->folded_cm > 0.0 ? "; fold %s back into the row." : ".",
               wm_length_text(length, weft->folded_cm, units, 1));
    }
}

static void step_layers(const maker *m)
{
    wm_plan *plan = m->plan;
    char text[WM_PLAN_TEXT_SIZE] = "";
    append(text, plan->stack.count == 1 ? "Sew one layer." : "Sew the layers in this order, from the head outwards: ");
    for (size_t i = plan->stack.count; plan->stack.count > 1 && i-- > 0;)
        append(text, "%s%s", plan->stack.layers[i].code, i > 0 ? ", " : " in front.");
    if (gray_is_inside(m))
        append(text, " The gray stays inside.");
    for (size_t i = 0; i < plan->weft_count; i++) {
        append(text, " %s: ", plan->wefts[i].code);
        if (plan->wefts[i].pieces < 0)
            append(text, "count the pieces.");
        else
            append_pieces(text, &plan->wefts[i], plan->units);
    }
    step(plan, "%s", text);
}

static void step_cut(const maker *m)
{
    wm_plan *plan = m->plan;
    char text[WM_PLAN_TEXT_SIZE] = "", length[WM_LENGTH_SIZE];
    if (given(m->input->to_length_cm))
        append(text, "Cut to %s from the row, as wanted",
               wm_length_text(length, m->input->to_length_cm, plan->units, 1));
    else
        append(text, "Cut just below the natural length");
    if (given(plan->head.natural_length_cm)) {
        wm_length_text(length, plan->head.natural_length_cm, plan->units, 1);
        append(text, given(m->input->to_length_cm) ? "; the natural hair ends at %s" : " of %s", length);
    }
    append(text, ".");
    for (size_t i = 0; i < plan->weft_count; i++)
        if (plan->wefts[i].has_trim && plan->wefts[i].trim_cm > 0.0)
            append(text, " About %s come off %s.", wm_length_text(length, plan->wefts[i].trim_cm, plan->units, 1),
                   plan->wefts[i].code);
    step(plan, "%s", text);
}

static void write_steps(const maker *m)
{
    wm_plan *plan = m->plan;
    char cut[WM_PLAN_TEXT_SIZE], working[WM_PLAN_TEXT_SIZE];
    steps_before_sewing(m);
    step_layers(m);
    each_row(cut, plan, words_thread);
    each_row(working, plan, words_working);
    if (plan->row_count == 1)
        step(
            plan,
            "Cut %s of thread and use it doubled, %s to work with. Stitch left and right of each bead, never through it.",
            cut, working);
    else
        step(plan, "Cut the thread, %s, and use it doubled. Stitch left and right of each bead, never through it.",
             cut);
    step(plan, "Sew on flat to both edges: nothing may stand off at the ends.");
    step_cut(m);
    step(plan, "Soften the edge with texturising shears until new and natural hair run into each other.");
    step(plan, "Finish: a texture spray takes the shine of new hair down; only then style it.");
    step(plan, "Now judge the blend, and photograph it down and up in the same daylight as before.");
}

/* ---- cautions ---- */

static double highest_load(const wm_plan *plan)
{
    double highest = -1.0;
    for (size_t i = 0; i < plan->row_count; i++)
        highest = fmax(highest, plan->rows[i].bead_load_percent);
    return highest;
}

/* The load is too much above the salon's limit, and with more than two layers on hair that holds less. */
static void caution_load(const maker *m)
{
    wm_plan *plan = m->plan;
    char times[40], limit[40];
    const wm_head *head = &plan->head;
    double load = highest_load(plan);
    bool weak = head->hair == WM_HAIR_FINE || head->amount == WM_AMOUNT_THIN || head->shedding;
    if (load > m->settings->load_caution_percent)
        caution(
            plan,
            "Load: each bead carries %s times the natural hair that it holds; the limit set is %s times, a convention of ours and "
            "no measured bound. Leave out a layer, set the beads closer or take more hair into each.",
            wm_number_text(times, load / 100.0, 1),
            wm_number_text(limit, m->settings->load_caution_percent / 100.0, 1));
    else if (weak && plan->stack.count > 2)
        caution(plan, "Load: more than two layers are heavy for fine, thin or shedding hair. Leave out a layer.");
    else if (load < 0.0)
        caution(
            plan,
            "Load: it can't be worked out without the natural length and the weight and pieces of a pack. Weigh a piece in your "
            "hand before it is sewn on.");
}

static void cautions_hair(const maker *m)
{
    wm_plan *plan = m->plan;
    const wm_head *head = &plan->head;
    if (head->hair == WM_HAIR_FINE || head->amount == WM_AMOUNT_THIN)
        caution(
            plan,
            "Traction: %s hair gives way sooner under a steady pull. Take enough hair into each bead, keep off weak and thinning "
            "places, and rather sew too little than too much.",
            head->hair != WM_HAIR_FINE       ? "thin"
            : head->amount == WM_AMOUNT_THIN ? "fine, thin"
                                             : "fine");
    if (head->shedding) {
        caution(
            plan,
            "Traction: the hair sheds more than usual, and a row pulls on every hair that it hangs on. Wait until the shedding "
            "has calmed, or leave thinning places out.");
        caution(plan, "Sudden or patchy loss of hair is for a doctor to look at first, before anything is sewn on.");
    }
    if (plan->stack.count == 3)
        caution(
            plan,
            "Three layers are bulky: see that they lie flat behind the ears and at the nape, with the hair up too.");
    caution_load(m);
}

static void cautions_weft(const maker *m, const wm_weft *weft)
{
    wm_plan *plan = m->plan;
    char length[WM_LENGTH_SIZE], tau[40], folded[40];
    if (weft->has_trim && weft->trim_cm < 0.0)
        caution(plan, "%s is not stocked long enough: it ends %s short of the length wanted.", weft->code,
                wm_length_text(length, -weft->trim_cm, plan->units, 1));
    if (weft->pieces < 0 || weft->packs < 0)
        caution(
            plan,
            "The catalogue doesn't say how wide the pieces of %s are or how many are in a pack: count them before you order.",
            weft->code);
    if (weft->folded_cm > 0.0)
        caution(
            plan,
            "%s is folded, not cut: over %s altogether it lies %s, thicker (its optical thickness of %s becomes %s) and heavier. The "
            "blend was judged for single layers: look at it where the fold lies.",
            weft->code, wm_length_text(length, weft->folded_cm, plan->units, 1),
            weft->fold_layers == 2 ? "double" : "several times", wm_number_text(tau, weft->tau, 2),
            wm_number_text(folded, weft->fold_layers * weft->tau, 2));
}

static void cautions_plan(const maker *m)
{
    wm_plan *plan = m->plan;
    char natural[WM_LENGTH_SIZE], wanted[WM_LENGTH_SIZE];
    if (!given(plan->wanted_cm))
        caution(plan,
                "No length is given: the shortest stocked is planned. Measure from the row down before you order.");
    if (given(m->input->to_length_cm) && given(plan->head.natural_length_cm) &&
        plan->wanted_cm < plan->head.natural_length_cm)
        caution(plan, "The wanted length (%s) ends above the natural hair (%s): the row's edge will show in it.",
                wm_length_text(wanted, plan->wanted_cm, plan->units, 1),
                wm_length_text(natural, plan->head.natural_length_cm, plan->units, 1));
    for (size_t i = 0; i < plan->weft_count; i++)
        cautions_weft(m, &plan->wefts[i]);
    if (!plan->quote.complete)
        caution(plan, "The quote is not complete: %s.",
                m->settings->row_fee_milli < 0 ? "no fee per row is set (`salon set row_fee=120`)"
                                               : "the price or the number of packs of a shade is not known");
    if (m->settings->moveup_weeks > LONG_MOVEUP_WEEKS)
        caution(plan, "%d weeks to the move-up are long: grown-out hair twists and mats under the beads.",
                m->settings->moveup_weeks);
}

/* M19 */
static void caution_growout(const maker *m)
{
    wm_plan *plan = m->plan;
    const wm_growout *growout = &plan->growout;
    char length[WM_LENGTH_SIZE], first[WM_DATE_SIZE], last[WM_DATE_SIZE], text[WM_PLAN_TEXT_SIZE] = "";
    if (!growout->known)
        return;
    append(
        text,
        "Old colour grows out: root, mid-length and ends will differ, that is not a bad match. The line is %s from the scalp",
        wm_length_text(length, growout->line_cm, plan->units, 1));
    append(text, " and at the first move-up %s", wm_length_range(length, growout->at_moveup_cm, plan->units, 2));
    if (growout->past)
        append(text, "; it has passed the row already");
    else if (growout->passes[0].year > 0)
        append(text, "; it passes the row between %s and %s", wm_date_text(first, growout->passes[0]),
               wm_date_text(last, growout->passes[1]));
    caution(plan, "%s.", text);
}

static void write_cautions(const maker *m)
{
    wm_plan *plan = m->plan;
    cautions_hair(m);
    cautions_plan(m);
    caution_growout(m);
    caution(
        plan,
        "Beads pressed to the scalp and hairs crossed between beads pull and chafe: move the bead or free the hair before you "
        "sew.");
    caution(
        plan,
        "Pain, itching, burning or redness means that the row comes out, at once and not at the move-up; if it stays, a doctor "
        "should see it.");
    caution(plan, "Sew rows only as licensed practice and the local codes allow.");
}

/* ---- all of it ---- */

wm_status wm_plan_make(wm_plan *out, const wm_plan_input *input, const wm_plan_settings *settings, wm_error *err)
{
    wm_plan plan = { .units = settings->units, .head = input->head };
    maker m = { &plan, input, settings };
    wm_status status = check_input(&m, err);
    if (!given(plan.head.natural_length_cm))
        plan.head.natural_length_cm = -1.0;
    plan.wanted_cm = given(input->to_length_cm) ? input->to_length_cm : plan.head.natural_length_cm;
    if (status == WM_OK)
        status = plan_rows(&m, err);
    if (status == WM_OK)
        status = plan_wefts(&m, err);
    if (status == WM_OK)
        status = plan_visits(&m, err);
    if (status == WM_OK)
        status = plan_quote(&m, err);
    if (status != WM_OK)
        return status;
    if (input->bead_code)
        snprintf(plan.bead_code, sizeof plan.bead_code, "%s", input->bead_code);
    wm_fullness_of(&plan.fullness, &plan.head, settings->row.bead_spacing_cm);
    wm_fullness_add(&plan.fullness, plan.rows, plan.row_count, plan.wefts, plan.weft_count);
    write_steps(&m);
    write_cautions(&m);
    *out = plan;
    return WM_OK;
}

wm_status wm_plan_calendar(wm_buf *out, const wm_plan *plan, const wm_plan_visit *visit, wm_error *err)
{
    char growth[WM_LENGTH_SIZE], description[WM_PLAN_TEXT_SIZE] = "";
    bool named = visit->client && visit->client[0];
    wm_buf summary = { 0 };
    wm_buf_text(&summary, named ? "Move-up: " : "Move-up");
    wm_buf_text(&summary, named ? visit->client : "");
    append(description, "%zu row%s, %d beads, %d in reserve. Layers, front first:", plan->row_count,
           plan->row_count == 1 ? "" : "s", plan->beads, plan->bead_reserve);
    for (size_t i = 0; i < plan->stack.count; i++)
        append(description, "%s %s", i == 0 ? "" : ",", plan->stack.layers[i].code);
    append(description, ".\nGrown since the row was set: %s.",
           wm_length_range(growth, plan->moveups.growth_cm, plan->units, 2));
    wm_calendar_info info = { visit->report_hash, visit->stamp, summary.data, description };
    wm_status status = wm_buf_status(&summary, err);
    if (status == WM_OK)
        status = wm_calendar_write(out, &plan->moveups, &info, err);
    wm_buf_free(&summary);
    return status;
}
