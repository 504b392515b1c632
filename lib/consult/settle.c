#include "consult/settle.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/consult.h"
#include "consult/saved.h"

typedef struct settler {
    wm_book *book;
    wm_visit *visit;
    const wm_settling *in;
    wm_warnings *out;
    wm_report *report;
    wm_plan *plan; /* of what was installed */
    bool planned;
    wm_visit before; /* her last visit at which something was sewn on or taken off */
    wm_on_hand hand;
    wm_stock_move *had; /* all moves as they were */
    size_t had_count;
    wm_stock_move moves[WM_SEWN_SHADES];
    size_t move_count;
    int64_t used[WM_SEWN_SHADES * WM_TAKEN_CUTS];
    size_t used_count;
    wm_cut_length rests[WM_MAX_STRIPS];
    size_t rest_count;
} settler;

/* --- what hangs there --- */

/* The same rows in the layers that were installed. */
static bool plan_anew(settler *s)
{
    const wm_plan *old = &s->report->plan;
    wm_plan_input input = WM_PLAN_INPUT_INIT;
    wm_design_row rows[WM_MAX_ROWS];
    wm_date day = { 2000, 1, 1 };
    wm_date_parse(&day, s->visit->date);
    for (size_t i = 0; i < old->row_count; i++) {
        const bool placed = s->report->proposal_count && i < s->report->proposals[0].row_count;
        rows[i] = wm_design_row_whole(placed ? s->report->proposals[0].rows[i].place : WM_PLACE_BACK,
                                      old->rows[i].row_cm, &s->visit->installed);
        rows[i].arc_cm = old->rows[i].arc_cm;
    }
    input.rows = rows;
    input.row_count = old->row_count;
    input.catalogue = s->in->catalogue;
    input.head = old->head;
    input.to_length_cm = old->wanted_cm;
    input.date = day;
    return wm_plan_make(s->plan, &input, &s->in->settings->plan, NULL) == WM_OK;
}

static void plan_installed(settler *s)
{
    s->planned = s->report->has_plan;
    if (s->planned && wm_report_as_proposed(s->report, &s->visit->installed))
        *s->plan = s->report->plan;
    else if (s->planned)
        s->planned = s->in->catalogue && plan_anew(s);
}

/* Of the visit; of one without a photo that of her last one before it that has one, whose rows she comes back with. */
static wm_status find_report(settler *s, wm_error *err)
{
    int64_t id = 0;
    if (wm_saved_measured(s->visit))
        return wm_saved_report(s->report, s->visit, err);
    wm_visit measured = { 0 };
    wm_status status = wm_book_visit_of_rows(&id, s->book, s->visit->id, err);
    if (!status && id)
        status = wm_book_visit_load_parts(&measured, s->book, id, WM_VISIT_REPORTS, err);
    if (!status)
        status = wm_saved_report(s->report, &measured, err);
    wm_visit_free(&measured);
    return status;
}

/* Her last visit before this one at which something was sewn on or taken off. */
static wm_status find_before(settler *s, wm_error *err)
{
    int64_t *ids = NULL;
    size_t count = 0;
    wm_status status = wm_book_visit_ids(&ids, &count, s->book, s->visit->client_id, err);
    for (size_t i = 0; i < count && !status; i++) {
        wm_visit visit = { 0 };
        status = wm_book_visit_load_parts(&visit, s->book, ids[i], 0, err);
        const int order = status ? 1 : strcmp(visit.date, s->visit->date);
        if (!status && (order < 0 || (order == 0 && visit.id < s->visit->id)) &&
            (visit.installed.count || visit.kind == WM_VISIT_REMOVAL)) {
            wm_visit_free(&s->before);
            s->before = visit;
            continue;
        }
        wm_visit_free(&visit);
    }
    free(ids);
    return status;
}

static const wm_sewn *worn_before(const settler *s, const char *code)
{
    for (size_t i = 0; s->before.kind != WM_VISIT_REMOVAL && i < s->before.sewn_count; i++)
        if (strcmp(s->before.sewn[i].code, code) == 0)
            return &s->before.sewn[i];
    return NULL;
}

static bool said_fresh(const settler *s, const char *code)
{
    for (size_t i = 0; s->in->fresh && i < s->in->fresh->count; i++)
        if (strcmp(s->in->fresh->layers[i].code, code) == 0)
            return true;
    return false;
}

/* --- one shade --- */

static const wm_weft *weft_of(const settler *s, const char *code)
{
    for (size_t i = 0; s->planned && i < s->plan->weft_count; i++)
        if (strcmp(s->plan->wefts[i].code, code) == 0)
            return &s->plan->wefts[i];
    return NULL;
}

/* The catalogue's count, as it was when the visit's packs were first taken: a count since then has seen them gone. */
static double counted(const settler *s, const wm_weft *weft)
{
    for (size_t i = 0; i < s->had_count; i++)
        if (s->had[i].visit_id == s->visit->id && strcmp(s->had[i].code, weft->code) == 0)
            return s->had[i].counted;
    for (size_t i = 0; i < s->in->catalogue->count; i++) {
        const wm_swatch *row = &s->in->catalogue->items[i];
        const double off = row->length_cm - weft->length_cm;
        if (strcmp(row->code, weft->code) == 0 && off < 0.5 && off > -0.5)
            return row->stock_packs;
    }
    return -1;
}

static void note_move(settler *s, const wm_weft *weft, int packs)
{
    wm_stock_move *move = &s->moves[s->move_count++];
    *move = (wm_stock_move){
        .length_cm = weft->length_cm, .packs = -packs, .counted = counted(s, weft), .visit_id = s->visit->id
    };
    memcpy(move->date, s->visit->date, sizeof move->date);
    memcpy(move->code, weft->code, sizeof move->code);
    snprintf(move->lot, sizeof move->lot, "%s", s->in->lot ? s->in->lot : "");
}

static void note_taken(settler *s, const wm_weft *weft, const wm_taken *taken)
{
    if (taken->packs > 0)
        note_move(s, weft, taken->packs);
    for (size_t i = 0; i < taken->cut_count; i++)
        s->used[s->used_count++] = s->hand.cuts[taken->cuts[i]].id;
    for (size_t i = 0; i < taken->rest_count && s->rest_count < WM_MAX_STRIPS; i++) {
        wm_cut_length *rest = &s->rests[s->rest_count++];
        *rest =
            (wm_cut_length){ .length_cm = weft->length_cm, .width_cm = taken->rests[i], .from_visit = s->visit->id };
        memcpy(rest->code, weft->code, sizeof rest->code);
        memcpy(rest->date, s->visit->date, sizeof rest->date);
        snprintf(rest->lot, sizeof rest->lot, "%s", s->in->lot ? s->in->lot : "");
    }
}

static wm_status take_new(settler *s, const wm_weft *weft, wm_error *err)
{
    wm_taken taken;
    wm_need need = { .length_cm = weft->length_cm,
                     .width_cm = weft->needed_cm,
                     .piece_width_cm = weft->piece_width_cm,
                     .pieces_per_pack = weft->pieces_per_pack,
                     .cuttable = weft->cuttable,
                     .strips = &s->plan->strips };
    memcpy(need.code, weft->code, sizeof need.code);
    memcpy(need.date, s->visit->date, sizeof need.date);
    wm_status status = wm_on_hand_take(&taken, &s->hand, &need, err);
    if (!status)
        note_taken(s, weft, &taken);
    return status;
}

static wm_status settle_shade(settler *s, const char *code, wm_error *err)
{
    const wm_sewn *worn = worn_before(s, code);
    const wm_weft *weft = weft_of(s, code);
    const int weft_visits = s->in->settings->plan.weft_visits;
    wm_sewn *sewn = &s->visit->sewn[s->visit->sewn_count++];
    const bool again = s->visit->kind == WM_VISIT_MOVEUP && worn && !said_fresh(s, code) &&
                       (s->in->fresh || worn->worn + 1 < weft_visits);
    if (again) {
        *sewn = *worn;
        sewn->worn++;
        return WM_OK;
    }
    *sewn = (wm_sewn){ .length_cm = weft ? weft->length_cm : -1, .width_cm = weft ? weft->needed_cm : -1 };
    snprintf(sewn->code, sizeof sewn->code, "%s", code);
    snprintf(sewn->lot, sizeof sewn->lot, "%s", s->in->lot ? s->in->lot : "");
    if (!s->in->catalogue)
        return WM_OK; /* said once, for all */
    if (weft)
        return take_new(s, weft, err);
    wm_warnings_add(s->out, "stock_not_told",
                    "how much %s was sewn on is not known, so nothing is taken from stock; plan the row first: match "
                    "with --arc",
                    code);
    return WM_OK;
}

/* --- the visit --- */

static wm_status settle_all(settler *s, wm_error *err)
{
    const char *codes[2 * WM_MAX_LAYERS];
    wm_status status = find_before(s, err);
    if (!status)
        status = find_report(s, err);
    if (!status)
        status = wm_on_hand_load(&s->hand, s->book, err);
    if (status)
        return status;
    if (s->visit->kind == WM_VISIT_UNSAID)
        s->visit->kind =
            s->before.installed.count && s->before.kind != WM_VISIT_REMOVAL ? WM_VISIT_MOVEUP : WM_VISIT_INSTALLATION;
    plan_installed(s);
    size_t count = 0;
    if (s->planned &&
        wm_report_as_proposed(s->report, &s->visit->installed)) /* pieces have shades that layers don't name */
        for (; count < s->plan->weft_count; count++)
            codes[count] = s->plan->wefts[count].code;
    else
        count = wm_stack_shades(codes, &s->visit->installed);
    if (!s->in->catalogue)
        wm_warnings_add(s->out, "stock_not_told",
                        "without a catalogue nothing is taken from stock; name it with --swatches");
    for (size_t i = 0; i < count && !status; i++)
        status = settle_shade(s, codes[i], err);
    return status;
}

static wm_status save(settler *s, wm_error *err)
{
    const wm_settlement settlement = { s->visit->id,  s->moves, s->move_count, s->used,
                                       s->used_count, s->rests, s->rest_count };
    wm_status status = wm_book_visit_update(s->book, s->visit, err);
    return status ? status : wm_book_settle(s->book, &settlement, err);
}

wm_status wm_settle(wm_warnings *out, wm_book *book, wm_visit *visit, const wm_settling *input, wm_error *err)
{
    settler *s = calloc(1, sizeof *s);
    wm_status status = s ? wm_book_begin(book, err) : wm_fail_memory(err);
    if (status) {
        free(s);
        return status;
    }
    *s = (settler){ .book = book, .visit = visit, .in = input, .out = out };
    s->report = calloc(1, sizeof *s->report);
    s->plan = calloc(1, sizeof *s->plan);
    visit->sewn_count = 0;
    status = s->report && s->plan ? wm_book_moves(&s->had, &s->had_count, book, err) : wm_fail_memory(err);
    if (!status)
        status = wm_book_unsettle(book, visit->id, err);
    if (!status && visit->installed.count && visit->kind != WM_VISIT_REMOVAL)
        status = settle_all(s, err);
    if (!status)
        status = save(s, err);
    status = wm_book_end(book, status, err);
    if (s->report)
        wm_report_free(s->report);
    free(s->report);
    free(s->plan);
    free(s->had);
    wm_visit_free(&s->before);
    wm_on_hand_free(&s->hand);
    free(s);
    return status;
}

bool wm_settle_again(wm_plan_again *out, const wm_visit *last, int weft_visits)
{
    *out = (wm_plan_again){ .count = 0 };
    if (!last->installed.count || last->kind == WM_VISIT_REMOVAL)
        return false;
    for (size_t i = 0; i < last->sewn_count; i++)
        if (last->sewn[i].worn + 1 < weft_visits)
            memcpy(out->codes[out->count++], last->sewn[i].code, WM_CODE_SIZE);
    return true;
}
