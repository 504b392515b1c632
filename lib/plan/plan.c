#include "plan/plan.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LOAD_LIMIT_MG_MAX 1e4
#define SHORT_TOLD 0.1 /* of what is sewn: less is a matter of the cut; our own */
enum { LONG_MOVEUP_WEEKS = 8, STRIPS_TOLD = 120 };

const char *const WM_WORK_WORDS[] = { "installation", "move-up", "removal", "consultation", NULL };

/* What the words are made from. */
typedef struct maker {
    wm_plan *plan;
    const wm_plan_input *input;
    const wm_plan_settings *settings;
    wm_design_row *designs; /* the rows' own, fitted to their widths */
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
    if (!status)
        status = check_length(input->to_length_cm, "wanted length", err);
    if (status)
        return status;
    if (input->row_count < 1 || input->row_count > WM_MAX_ROWS)
        return wm_fail(err, WM_E_USAGE, "a plan has 1 to %d rows, not %zu; give each row's arc once", WM_MAX_ROWS,
                       input->row_count);
    for (size_t i = 0; i < input->row_count; i++) {
        size_t layers = input->rows[i].count ? input->rows[i].segments[0].stack.count : 0;
        if (layers < 1 || layers > WM_MAX_LAYERS)
            return wm_fail(err, WM_E_USAGE, "a row has 1 to %d layers, not %zu; give one code a layer, front first",
                           WM_MAX_LAYERS, layers);
    }
    if (!(m->settings->load_limit_mg > 0.0 && m->settings->load_limit_mg <= LOAD_LIMIT_MG_MAX))
        return wm_fail(err, WM_E_USAGE, "load_limit_mg is not above 0; set it with `salon set load_limit_mg=35`");
    return WM_OK;
}

/* ---- numbers ---- */

static wm_status plan_row(const maker *m, size_t i, wm_error *err)
{
    wm_plan *plan = m->plan;
    wm_row *row = &plan->rows[i];
    wm_design_row *design = &m->designs[i];
    char length[WM_LENGTH_SIZE];
    wm_status status = wm_row_of(row, design->arc_cm, (int)design->segments[0].stack.count, &m->settings->row, err);
    if (status)
        return status;
    if (!wm_design_row_fit(design, row->row_cm))
        return wm_fail(err, WM_E_USAGE, "a row of %s is too short for this design; take one shade, or a longer row",
                       wm_length_text(length, row->row_cm, plan->units, 1));
    plan->beads += row->beads;
    return wm_strips_lay(&plan->strips, (int)i, design, err);
}

static wm_status plan_rows(const maker *m, wm_error *err)
{
    wm_status status = WM_OK;
    for (size_t i = 0; i < m->input->row_count && !status; i++) {
        m->designs[i] = m->input->rows[i];
        status = plan_row(m, i, err);
    }
    m->plan->row_count = m->input->row_count;
    m->plan->bead_reserve = wm_bead_reserve(m->plan->beads, m->settings->row.bead_reserve_percent);
    return status;
}

static bool planned(const wm_plan *plan, const char *code)
{
    for (size_t i = 0; i < plan->weft_count; i++)
        if (strcmp(plan->wefts[i].code, code) == 0)
            return true;
    return false;
}

static wm_status plan_weft(const maker *m, const char *code, wm_error *err)
{
    wm_plan *plan = m->plan;
    wm_weft_request request = { m->input->catalogue, code, m->input->filter };
    request.filter.wanted_cm = fmax(0, plan->wanted_cm);
    if (planned(plan, code))
        return WM_OK;
    if (plan->weft_count == WM_PLAN_WEFTS)
        return wm_fail(err, WM_E_USAGE, "a plan has at most %d shades; leave one out", WM_PLAN_WEFTS);
    wm_status status = wm_weft_of(&plan->wefts[plan->weft_count], &plan->strips, &request, err);
    plan->weft_count += status == WM_OK;
    return status;
}

static wm_status plan_wefts(const maker *m, wm_error *err)
{
    wm_status status = WM_OK;
    for (size_t i = 0; i < m->plan->strips.count && !status; i++) { /* cutting may add strips as it goes */
        char code[WM_CODE_SIZE];
        memcpy(code, m->plan->strips.items[i].code, sizeof code);
        status = plan_weft(m, code, err);
    }
    return status;
}

/* Grams, what each hair carries, and whether the goal is reached (M25). */
static void plan_amount(const maker *m)
{
    wm_plan *plan = m->plan;
    wm_hung hanging = { &plan->strips, plan->wefts, plan->weft_count };
    wm_load_input asked = { .head = plan->head,
                            .goal = m->input->goal,
                            .weft_g_per_cm = -1,
                            .row_cm = -1,
                            .medium_limit_mg = m->settings->load_limit_mg,
                            .max_layers = WM_MAX_LAYERS };
    wm_fullness_of(&plan->fullness, plan->rows, plan->row_count, &hanging, &plan->head);
    double needed = wm_load_of(&asked).needed_g, added = plan->fullness.added_grams;
    plan->limit_mg = wm_load_limit(&plan->head, m->settings->load_limit_mg);
    plan->short_g = needed < 0.0 || added < 0.0 ? -1.0 : fmax(0.0, needed - added);
}

static bool is_again(const maker *m, const char *code)
{
    const wm_plan_again *again = m->input->work == WM_WORK_MOVEUP ? m->input->again : NULL;
    for (size_t i = 0; again && i < again->count; i++)
        if (strcmp(again->codes[i], code) == 0)
            return true;
    return false;
}

/* Beads, thread and the work are in the fee per row. */
static wm_status quote_fee(const maker *m, wm_error *err)
{
    static const char *const LABELS[WM_WORKS][2] = { { "row", "rows" },
                                                     { "row moved up", "rows moved up" },
                                                     { "row taken out", "rows taken out" },
                                                     { "consultation", "consultation" } };
    wm_plan *plan = m->plan;
    const wm_work work = m->input->work;
    const size_t count = work == WM_WORK_CONSULTATION ? 1 : plan->row_count;
    if (m->settings->fee_milli[work] >= 0)
        return wm_quote_add(&plan->quote, LABELS[work][count != 1], (int64_t)count, m->settings->fee_milli[work], err);
    plan->quote.complete = false;
    return WM_OK;
}

/* Only what is bought: at a move-up what she wears is sewn on again. */
static wm_status quote_packs(const maker *m, const wm_weft *weft, wm_error *err)
{
    wm_quote *quote = &m->plan->quote;
    char label[WM_QUOTE_LABEL_SIZE], length[WM_LENGTH_SIZE];
    if (m->input->work > WM_WORK_MOVEUP || is_again(m, weft->code))
        return WM_OK;
    if (weft->packs < 0 || weft->pack_price_milli < 0) {
        quote->complete = false;
        return WM_OK;
    }
    if (weft->length_cm > 0.0)
        wm_length_text(length, weft->length_cm, m->plan->units, 1);
    snprintf(label, sizeof label, "%s of %s%s%.24s", weft->packs == 1 ? "pack" : "packs", weft->code,
             weft->length_cm > 0.0 ? ", " : "", weft->length_cm > 0.0 ? length : "");
    return wm_quote_add(quote, label, weft->packs, weft->pack_price_milli, err);
}

static wm_status plan_quote(const maker *m, wm_error *err)
{
    wm_plan *plan = m->plan;
    wm_status status = wm_quote_open(&plan->quote, m->settings->currency, m->settings->tax_milli_percent, err);
    if (!status)
        status = quote_fee(m, err);
    for (size_t i = 0; !status && i < plan->weft_count; i++)
        status = quote_packs(m, &plan->wefts[i], err);
    return !status ? wm_quote_close(&plan->quote, m->settings->deposit_milli_percent, m->input->date,
                                    m->settings->quote_days, err)
                   : status;
}

static wm_status plan_visits(const maker *m, wm_error *err)
{
    const wm_plan_input *input = m->input;
    wm_status status = wm_moveups_of(&m->plan->moveups, input->date, m->settings->moveup_weeks, err);
    m->plan->growout.line_cm = m->plan->growout.cover_cm = -1.0;
    if (status || input->line_cm < 0.0)
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

/* ---- cutting and sewing ---- */

/* "piece 1 into 18.0 cm + 6.0 cm". */
static void append_piece(char text[WM_PLAN_TEXT_SIZE], const maker *m, const char *code, int piece)
{
    const wm_strips *strips = &m->plan->strips;
    char length[WM_LENGTH_SIZE];
    bool first = true;
    for (size_t i = 0; i < strips->count; i++) {
        const wm_strip *s = &strips->items[i];
        if (s->piece != piece || strcmp(s->code, code) != 0)
            continue;
        if (first)
            append(text, "piece %d into ", piece);
        append(text, "%s%s", first ? "" : " + ", wm_length_text(length, s->length_cm, m->plan->units, 1));
        first = false;
    }
}

static int strips_of(const wm_plan *plan, const char *code)
{
    int count = 0;
    for (size_t i = 0; i < plan->strips.count; i++)
        count += strcmp(plan->strips.items[i].code, code) == 0;
    return count;
}

/* A long list stands apart (the plan's strips). */
static void step_cut_weft(const maker *m, const wm_weft *weft)
{
    char text[WM_PLAN_TEXT_SIZE] = "", length[WM_LENGTH_SIZE];
    append(text, "Cut %s: ", weft->code);
    if (strips_of(m->plan, weft->code) > STRIPS_TOLD)
        append(text, "%d strips from %d pieces, by the cutting list", strips_of(m->plan, weft->code), weft->pieces);
    for (int piece = 1; piece <= weft->pieces && strips_of(m->plan, weft->code) <= STRIPS_TOLD; piece++) {
        append(text, "%s", piece > 1 ? "; " : "");
        append_piece(text, m, weft->code, piece);
    }
    append(text, weft->rest_cm > 0.0 ? "; %s are left over." : ".",
           wm_length_text(length, weft->rest_cm, m->plan->units, 1));
    step(m->plan, "%s", text);
}

static void step_weft(const maker *m, const wm_weft *weft)
{
    char text[WM_PLAN_TEXT_SIZE] = "", length[WM_LENGTH_SIZE];
    if (is_again(m, weft->code)) {
        step(m->plan, "Take the weft of %s that she wears: wash, brush and look it over, and sew it on again.",
             weft->code);
    } else if (weft->pieces < 0) {
        step(m->plan, "Measure off %s of %s; count the pieces that it takes.",
             wm_length_text(length, weft->needed_cm, m->plan->units, 1), weft->code);
    } else if (weft->cuttable) {
        step_cut_weft(m, weft);
    } else {
        append(text, weft->pieces == 1 ? "%s: %d whole piece, not cut" : "%s: %d whole pieces, not cut", weft->code,
               weft->pieces);
        append(text, weft->folded_cm > 0.0 ? "; fold %s back into the row." : ".",
               wm_length_text(length, weft->folded_cm, m->plan->units, 1));
        step(m->plan, "%s", text);
    }
}

/* "loam 24.0 cm", or "fog 3.0, loam 18.0, fog 3.0 cm" from the left. */
static void append_layer(char text[WM_PLAN_TEXT_SIZE], const maker *m, int row, int layer)
{
    const wm_strips *strips = &m->plan->strips;
    char length[WM_LENGTH_SIZE];
    const char *between = "";
    for (size_t i = 0; i < strips->count; i++) {
        const wm_strip *s = &strips->items[i];
        if (s->row != row || s->layer != layer)
            continue;
        append(text, "%s%s%s %s", between, s->code, s->joined ? " joined on," : "",
               wm_length_text(length, s->length_cm, m->plan->units, 1));
        between = ", ";
    }
}

static const char *layer_name(size_t layer, size_t layers)
{
    if (layer + 1 == layers)
        return "Back layer";
    return layer == 0 ? "Front layer" : "Inner layer";
}

static void step_sew_row(const maker *m, size_t row)
{
    wm_plan *plan = m->plan;
    char text[WM_PLAN_TEXT_SIZE] = "";
    size_t layers = m->designs[row].segments[0].stack.count;
    if (plan->row_count > 1)
        append(text, "Row %zu. ", row + 1);
    append(text,
           layers == 1 ? "Sew the layer, from the left: " : "Sew from the head outwards, each layer from the left. ");
    for (size_t layer = layers; layer-- > 0;) {
        if (layers > 1)
            append(text, "%s: ", layer_name(layer, layers));
        append_layer(text, m, (int)row, (int)layer);
        append(text, layer == 0 ? "." : ". ");
    }
    step(plan, "%s", text);
}

static void steps_sewing(const maker *m)
{
    for (size_t i = 0; i < m->plan->weft_count; i++)
        step_weft(m, &m->plan->wefts[i]);
    for (size_t row = 0; row < m->plan->row_count; row++)
        step_sew_row(m, row);
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
    steps_sewing(m);
    each_row(cut, plan, words_thread);
    each_row(working, plan, words_working);
    if (plan->row_count == 1)
        step(
            plan,
            "Cut %s of thread and use it doubled, %s to work with. Stitch to the left and right of each bead, never through it.",
            cut, working);
    else
        step(plan,
             "Cut the thread, %s, and use it doubled. Stitch to the left and right of each bead, never through it.",
             cut);
    step(plan, "Sew flat right to both edges: nothing may stick out at the ends.");
    step_cut(m);
    step(plan, "Soften the edge with texturising shears until new and natural hair run into each other.");
    step(plan, "Finish: a texture spray takes down the shine of new hair; only then style it.");
    step(plan, "Now judge the blend. With her consent, photograph it down and up in the same daylight as before.");
}

/* ---- cautions ---- */

static double highest_load(const wm_plan *plan)
{
    double highest = -1.0;
    for (size_t i = 0; i < plan->row_count; i++)
        highest = fmax(highest, plan->rows[i].mg_per_hair);
    return highest;
}

/* M25 */
static void caution_load(const maker *m)
{
    static const char *const WANTED[] = { [WM_GOAL_COVERAGE] = "the gray to be covered",
                                          [WM_GOAL_VOLUME] = "the volume she wants",
                                          [WM_GOAL_LENGTH] = "the length she wants" };
    wm_plan *plan = m->plan;
    char mg[40], limit[40];
    double load = highest_load(plan);
    if (load > plan->limit_mg)
        caution(plan,
                "Too heavy: %s mg on each hair that holds the row; the limit is %s mg, our own convention and not a "
                "measured bound. Leave out a layer or take a lighter weft.",
                wm_number_text(mg, load, 1), wm_number_text(limit, plan->limit_mg, 1));
    else if (load < 0.0)
        caution(plan,
                "Load: it can't be worked out without the weight and pieces of a pack. Weigh a piece in your hand "
                "before it is sewn on.");
    if (plan->short_g > SHORT_TOLD * plan->fullness.added_grams)
        caution(plan, "Too little hair for %s: %s g short. Plan another row, or tell her before you begin.",
                WANTED[m->input->goal], wm_number_text(mg, plan->short_g, 0));
}

static void cautions_hair(const maker *m)
{
    wm_plan *plan = m->plan;
    const wm_head *head = &plan->head;
    const char *fine = head->amount == WM_AMOUNT_THIN ? "fine, thin" : "fine";
    if (head->hair == WM_HAIR_FINE || head->amount == WM_AMOUNT_THIN)
        caution(
            plan,
            "Traction: %s hair gives way sooner under a steady pull. Take enough hair into each bead, keep off weak and thinning "
            "places, and rather sew too little than too much.",
            head->hair == WM_HAIR_FINE ? fine : "thin");
    if (head->shedding) {
        caution(
            plan,
            "Traction: the hair sheds more than usual, and a row pulls on every hair that it hangs on. Wait until the shedding "
            "has calmed, or leave thinning places out.");
        caution(plan, "Sudden or patchy loss of hair is for a doctor to look at first, before anything is sewn on.");
    }
    if (m->designs[0].segments[0].stack.count == 3)
        caution(
            plan,
            "Three layers are bulky: see that they lie flat behind the ears and at the nape, with the hair up too.");
    caution_load(m);
}

/* Pieces are cut, or they are none. */
static bool in_pieces(const maker *m, const wm_weft *weft)
{
    const wm_strips *strips = &m->plan->strips;
    for (size_t i = 0; i < strips->count; i++)
        if (strcmp(strips->items[i].code, weft->code) == 0 &&
            strips->items[i].length_cm < m->plan->rows[strips->items[i].row].row_cm - 1e-9)
            return true;
    return false;
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
    if (!weft->cuttable && in_pieces(m, weft))
        caution(plan,
                "%s is not to be cut, and this design needs it in pieces. Take a weft of that shade that may be cut.",
                weft->code);
    else if (weft->folded_cm > 0.0)
        caution(
            plan,
            "%s is folded, not cut: over %s altogether it lies %s, thicker (its optical thickness of %s becomes %s) and heavier. The "
            "blend was judged for single layers: look at it where the fold lies.",
            weft->code, wm_length_text(length, weft->folded_cm, plan->units, 1),
            weft->fold_layers == 2 ? "double" : "several times", wm_number_text(tau, weft->tau, 2),
            wm_number_text(folded, weft->fold_layers * weft->tau, 2));
    if (weft->joins > 0)
        caution(plan, "%s is joined in %d place%s: lay the ends edge to edge, never over each other.", weft->code,
                weft->joins, weft->joins == 1 ? "" : "s");
}

static void cautions_plan(const maker *m)
{
    static const char *const NO_FEE[WM_WORKS] = {
        "no fee per row is set (in the desk under Salon, or `salon set row_fee=120`)",
        "no fee for a move-up is set (in the desk under Salon, or `salon set moveup_fee=80`)",
        "no fee for taking a row out is set (in the desk under Salon, or `salon set removal_fee=30`)",
        ("no fee for a consultation is set (in the desk under Salon, or `salon set "
         "consultation_fee=25`)")
    };
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
                m->settings->fee_milli[m->input->work] < 0
                    ? NO_FEE[m->input->work]
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
    size_t special = plan->caution_count;
    caution(
        plan,
        "Beads pressed to the scalp and hairs crossed between beads pull and chafe: move the bead or free the hair before you "
        "sew.");
    caution(plan, "Where a product touches skin (cleanser, spray, remover), try it on her skin two days before.");
    caution(
        plan,
        "Photos and measurements are hers: take and keep them with her consent alone. At the next visit photograph her "
        "with the old row out, or mark the zones above it.");
    caution(
        plan,
        "Pain, itching, burning or redness means that the row comes out, at once and not at the move-up; if it stays, a doctor "
        "should see it.");
    caution(plan, "Sew rows only as licensed practice and the local codes allow.");
    plan->general_cautions = plan->caution_count - special;
}

/* ---- all of it ---- */

static wm_status make(const maker *m, wm_error *err)
{
    wm_plan *plan = m->plan;
    const wm_plan_input *input = m->input;
    wm_status status = check_input(m, err);
    if (!given(plan->head.natural_length_cm))
        plan->head.natural_length_cm = -1.0;
    plan->wanted_cm = given(input->to_length_cm) ? input->to_length_cm : plan->head.natural_length_cm;
    if (!status)
        status = plan_rows(m, err);
    if (!status)
        status = plan_wefts(m, err);
    if (!status)
        status = plan_visits(m, err);
    if (!status)
        status = plan_quote(m, err);
    if (status)
        return status;
    if (input->bead_code)
        snprintf(plan->bead_code, sizeof plan->bead_code, "%s", input->bead_code);
    plan_amount(m);
    wm_design_words(plan->sewn, m->designs, plan->row_count, plan->units);
    write_steps(m);
    write_cautions(m);
    return WM_OK;
}

wm_status wm_plan_make(wm_plan *out, const wm_plan_input *input, const wm_plan_settings *settings, wm_error *err)
{
    wm_design_row designs[WM_MAX_ROWS];
    wm_plan *plan = calloc(1, sizeof *plan); /* too large for a small stack */
    if (!plan)
        return wm_fail_memory(err);
    plan->units = settings->units;
    plan->head = input->head;
    const wm_status status = make(&(maker){ plan, input, settings, designs }, err);
    if (!status)
        *out = *plan;
    free(plan);
    return status;
}

wm_status wm_plan_calendar(wm_buf *out, const wm_plan *plan, const wm_plan_visit *visit, wm_error *err)
{
    char growth[WM_LENGTH_SIZE], description[WM_PLAN_TEXT_SIZE] = "";
    bool named = visit->client && visit->client[0];
    wm_buf summary = { 0 };
    wm_buf_text(&summary, named ? "Move-up: " : "Move-up");
    wm_buf_text(&summary, named ? visit->client : "");
    append(description, "%zu row%s, %d beads, %d in reserve. Sewn: %.500s", plan->row_count,
           plan->row_count == 1 ? "" : "s", plan->beads, plan->bead_reserve, plan->sewn);
    append(description, ".\nGrown since the row was set: %s.",
           wm_length_range(growth, plan->moveups.growth_cm, plan->units, 2));
    wm_calendar_info info = { visit->report_hash, visit->stamp, summary.data, description };
    wm_status status = wm_buf_status(&summary, err);
    if (!status)
        status = wm_calendar_write(out, &plan->moveups, &info, err);
    wm_buf_free(&summary);
    return status;
}
