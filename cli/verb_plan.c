/* plan: the row that the stylist sews, for a saved visit or for given layers. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/saved.h"
#include "consult/settle.h"
#include "context.h"
#include "output.h"
#include "report/json_out.h"
#include "say.h"
#include "verbs.h"

#define SAME_CM 0.005 /* lengths are saved to two decimals */

typedef struct plan_job {
    const args *a;
    wm_consult_input in;
    wm_settings settings;
    clock_reading clock;
    wm_wishes wishes;
    wm_catalogue catalogue; /* with what is free as its stock */
    wm_reserved reserved;
    wm_visit visit;
    wm_report report; /* of the visit */
    char bead[WM_CODE_SIZE];
    wm_sewing sewing;
    wm_plan plan;
    wm_plan_again again;
} plan_job;

static wm_status take_given(plan_job *j, wm_error *err)
{
    wm_stack stack;
    wm_status status = wm_stack_parse_known(&stack, args_text(j->a, "layers"), &j->catalogue, err);
    if (!status)
        wm_sewing_of_stack(&j->sewing, &stack, &j->wishes);
    return status;
}

/* A design goes with its rows; what was proposed for the whole head, or for other rows, as the same layers in each. */
static void take_proposal(plan_job *j)
{
    const wm_report_proposal *p = &j->report.proposals[0];
    wm_stack stack;
    wm_report_stack(&stack, p);
    wm_sewing_of_stack(&j->sewing, &stack, &j->wishes);
    if (p->row_count != j->wishes.row_count || p->rows[0].row_cm < 0)
        return;
    wm_report_design(&j->sewing.design, p);
    for (size_t i = 0; i < p->row_count; i++)
        j->sewing.design.rows[i].arc_cm = j->wishes.rows[i].arc_cm;
}

/* What was installed, else what was proposed. */
static wm_status take_visit(plan_job *j, wm_error *err)
{
    if (j->visit.installed.count == 0 && j->report.proposal_count == 0)
        return wm_fail(
            err, WM_E_BOOK,
            "the visit has no proposal; say what was installed: weftmatch visit set %lld --installed CODE,CODE",
            (long long)j->visit.id);
    if (j->visit.installed.count)
        wm_sewing_of_stack(&j->sewing, &j->visit.installed, &j->wishes);
    else
        take_proposal(j);
    return WM_OK;
}

static wm_status load_visit(plan_job *j, wm_error *err)
{
    long id = 0;
    wm_book *book = NULL;
    if (!args_has(j->a, "visit"))
        return WM_OK;
    if (!wm_whole_parse(args_text(j->a, "visit"), 1, 2147483647L, &id))
        return wm_fail(err, WM_E_USAGE,
                       "--visit can't be '%s'; give the number of a visit, see weftmatch client history NAME",
                       args_text(j->a, "visit"));
    wm_status status = context_open_book(&book, j->a, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_visit_load(&j->visit, book, id, err);
    if (!status && j->in.work == WM_WORK_MOVEUP && !args_has(j->a, "new"))
        wm_settle_again(&j->again, &j->visit, j->settings.plan.weft_visits);
    wm_book_close(book);
    if (!status)
        status = wm_saved_report(&j->report, &j->visit, err);
    for (size_t i = 0; i < j->report.ranking_count; i++)
        if (strcmp(j->report.rankings[i].target, "bead") == 0 && !j->report.rankings[i].of_zone &&
            j->report.rankings[i].count)
            memcpy(j->bead, j->report.rankings[i].items[0].code, sizeof j->bead);
    return status;
}

/* --kind; a move-up sews on again what she wears, but for what --new names. */
static void take_kind(plan_job *j)
{
    unsigned work = WM_WORK_INSTALLATION;
    if (args_has(j->a, "kind"))
        wm_word_find(WM_WORK_WORDS, args_text(j->a, "kind"), &work);
    j->in.work = (wm_work)work;
    j->in.again = &j->again;
}

static bool holds(const wm_stack *stack, const char *code)
{
    for (size_t i = 0; i < stack->count; i++)
        if (strcmp(stack->layers[i].code, code) == 0)
            return true;
    return false;
}

/* With --new all the others are sewn on again, however often they were. */
static wm_status take_again(plan_job *j, wm_error *err)
{
    wm_stack fresh = { 0 };
    if (!args_has(j->a, "new"))
        return WM_OK;
    wm_status status = wm_stack_parse_known(&fresh, args_text(j->a, "new"), &j->catalogue, err);
    for (size_t i = 0; !status && i < j->visit.sewn_count; i++)
        if (!holds(&fresh, j->visit.sewn[i].code))
            memcpy(j->again.codes[j->again.count++], j->visit.sewn[i].code, WM_CODE_SIZE);
    return status;
}

/* What is not given is as it was at the visit: rows, lengths, her hair. */
static void take_wishes_of_visit(plan_job *j)
{
    const wm_plan *then = &j->report.plan;
    wm_wishes *now = &j->wishes;
    for (size_t i = 0; !args_has(j->a, "arc") && !args_has(j->a, "row") && j->report.has_plan && i < then->row_count;
         i++) {
        const wm_place place = j->report.proposal_count && i < j->report.proposals[0].row_count
                                   ? j->report.proposals[0].rows[i].place
                                   : WM_PLACE_BACK;
        now->rows[now->row_count++] = (wm_wished_row){ place, then->rows[i].arc_cm };
    }
    if (!j->report.has_plan)
        return;
    if (now->head.natural_length_cm < 0)
        now->head.natural_length_cm = then->head.natural_length_cm;
    if (!now->hair_given)
        now->head.hair = then->head.hair;
    if (!now->amount_given)
        now->head.amount = then->head.amount;
    now->head.shedding = now->head.shedding || then->head.shedding;
    if (now->to_length_cm < 0 && !args_has(j->a, "natural-length") && then->wanted_cm > 0 &&
        fabs(then->wanted_cm - then->head.natural_length_cm) > SAME_CM)
        now->to_length_cm = then->wanted_cm;
    wm_wishes_settle(now);
}

static wm_status check_rows(const plan_job *j, wm_error *err)
{
    return j->wishes.row_count ? WM_OK
                               : wm_fail(err, WM_E_USAGE,
                                         "--arc is missing; measure from ear to ear where the row will lie, and give "
                                         "it as --arc 29");
}

static wm_status check_question(const args *a, wm_error *err)
{
    if (args_has(a, "visit") && args_has(a, "layers"))
        return wm_fail(err, WM_E_USAGE, "--visit and --layers can't go together; give one of them");
    if (!args_has(a, "visit") && !args_has(a, "layers"))
        return wm_fail(err, WM_E_USAGE, "nothing to plan is given; give --visit ID, or --layers CODE,CODE,CODE");
    return WM_OK;
}

static wm_status make(plan_job *j, wm_error *err)
{
    const wm_swatch *shades[WM_MAX_LAYERS];
    wm_status status = check_question(j->a, err);
    if (!status)
        status = context_consult(&j->in, j->a, &j->settings, &j->clock, err);
    if (!status)
        status = context_wishes(&j->wishes, j->a, &j->settings, err);
    if (!status)
        status = output_check(j->a, err);
    take_kind(j);
    if (!status)
        status = load_visit(j, err);
    if (!status && args_has(j->a, "visit"))
        take_wishes_of_visit(j);
    if (!status)
        status = check_rows(j, err);
    if (!status)
        status = context_catalogue(&j->catalogue, j->a, err);
    if (!status)
        status = context_count_free(&j->reserved, &j->catalogue, j->a, j->visit.client_id, err);
    if (!status)
        status = take_again(j, err);
    if (!status)
        status = args_has(j->a, "layers") ? take_given(j, err) : take_visit(j, err);
    if (!status)
        status = wm_stack_swatches(shades, &j->sewing.design.rows[0].segments[0].stack, &j->catalogue, err);
    if (status)
        return status;
    j->sewing.bead_code = *j->bead ? j->bead : NULL;
    j->in.catalogue = &j->catalogue;
    j->in.wishes = &j->wishes;
    status = wm_consult_plan(&j->plan, &j->sewing, &j->in, err);
    if (!status && *j->visit.photo_sha256)
        wm_consult_number(&j->plan.quote, j->in.date, j->visit.photo_sha256);
    return status;
}

/* The UIDs come from the visit's photo where there is one, else from the plan. */
static wm_status write_calendar(const plan_job *j, const wm_buf *json, wm_error *err)
{
    output_hashed hashed = { j->visit.id ? j->report.photo.sha256 : NULL, json->data, json->size, j->clock.seconds };
    return output_calendar(j->a, &j->plan, j->report.client, &hashed, err);
}

static wm_status write_text(wm_buf *out, const plan_job *j, wm_error *err)
{
    wm_text_style style = say_style(j->a);
    style.inches = j->settings.plan.units == WM_UNITS_IN;
    return wm_plan_to_text(out, &j->plan, &style, err);
}

int verb_plan(const args *a)
{
    wm_error err;
    wm_buf json = { 0 }, text = { 0 };
    plan_job *j = calloc(1, sizeof *j);
    if (!j) {
        wm_fail_memory(&err);
        return say_error(&err);
    }
    j->a = a;
    wm_status status = make(j, &err);
    if (!status)
        status = wm_plan_to_json(&json, &j->plan, &err);
    if (!status && args_has(a, "ics"))
        status = write_calendar(j, &json, &err);
    if (!status && !args_has(a, "json"))
        status = write_text(&text, j, &err);
    if (!status)
        say_reserved(&j->reserved, &j->plan, false);
    int code =
        status ? say_error(&err) : context_write(a, args_text(a, "output"), args_has(a, "json") ? &json : &text, true);
    wm_buf_free(&json);
    wm_buf_free(&text);
    wm_report_free(&j->report);
    wm_visit_free(&j->visit);
    wm_catalogue_free(&j->catalogue);
    wm_reserved_free(&j->reserved);
    free(j);
    return code;
}
