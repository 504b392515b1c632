#include "consult/orders.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/saved.h"
#include "match/shades.h"

/* Our own: who is that late is not waited for. */
enum { LAPSED_DAYS = 84 };

/* A coming visit with the plan that it needs. */
typedef struct coming {
    wm_coming_visit visit;
    wm_strips strips;
} coming;

typedef struct work {
    const wm_orders_input *in;
    wm_on_hand hand;
    double *left; /* packs of each row of the catalogue that nobody needs yet; negative: not known */
    coming **items;
    size_t count;
    wm_orders *out;
} work;

void wm_orders_free(wm_orders *orders)
{
    free(orders->visits);
    free(orders->lines);
    *orders = (wm_orders){ 0 };
}

/* --- what comes next for a client --- */

static const wm_weft *weft_of(const wm_report *report, const char *code)
{
    for (size_t i = 0; report->has_plan && i < report->plan.weft_count; i++)
        if (strcmp(report->plan.wefts[i].code, code) == 0)
            return &report->plan.wefts[i];
    return NULL;
}

static void add_weft(coming *c, const char *code, const wm_weft *planned)
{
    wm_coming_weft *w = &c->visit.wefts[c->visit.weft_count++];
    *w = (wm_coming_weft){ .length_cm = planned ? planned->length_cm : -1,
                           .width_cm = planned ? planned->needed_cm : -1,
                           .packs = -1,
                           .order = -1,
                           .row = -1 };
    snprintf(w->code, sizeof w->code, "%s", code);
}

static void installation(coming *c, const wm_report *report)
{
    for (size_t i = 0; report->has_plan && i < report->plan.weft_count; i++)
        add_weft(c, report->plan.wefts[i].code, &report->plan.wefts[i]);
    if (report->has_plan)
        c->strips = report->plan.strips;
    else
        snprintf(c->visit.why, sizeof c->visit.why, "no row is planned: measure from ear to ear and match her again");
}

/* What hangs there is sewn on again until it has been worn often enough. */
static void move_up(coming *c, const wm_visit *visit, const wm_report *report)
{
    const char *codes[2 * WM_MAX_LAYERS];
    const size_t shades = wm_stack_shades(codes, &visit->installed);
    for (size_t i = 0; i < visit->sewn_count; i++) {
        add_weft(c, visit->sewn[i].code, NULL);
        c->visit.wefts[i].length_cm = visit->sewn[i].length_cm;
        c->visit.wefts[i].width_cm = visit->sewn[i].width_cm;
        c->visit.wefts[i].worn = visit->sewn[i].worn + 1;
    }
    for (size_t i = 0; !visit->sewn_count && i < shades; i++) {
        add_weft(c, codes[i], weft_of(report, codes[i]));
        c->visit.wefts[i].worn = 1;
    }
    if (report->has_plan)
        c->strips = report->plan.strips;
}

static void set_again(wm_coming_visit *v, int weft_visits)
{
    for (size_t i = 0; i < v->weft_count; i++)
        v->wefts[i].again = v->wefts[i].worn > 0 && v->wefts[i].worn < weft_visits;
}

bool wm_next_visit_day(wm_date *out, bool *agreed, const wm_client_latest *latest, int moveup_weeks)
{
    wm_date day;
    *agreed = wm_date_parse(out, latest->coming) && strcmp(latest->coming, latest->date) > 0;
    if (*agreed)
        return true;
    if (!latest->wears_id || !wm_date_parse(&day, latest->wears_date))
        return false;
    wm_date_from_days(out, wm_date_to_days(day) + 7 * (int64_t)moveup_weeks);
    return true;
}

static void set_due(wm_coming_visit *v, const wm_client_latest *latest, const wm_orders_input *in)
{
    if (!wm_next_visit_day(&v->due, &v->agreed, latest, in->settings->plan.moveup_weeks))
        v->due = (wm_date){ 0 };
    v->late = v->due.year && wm_date_to_days(v->due) < wm_date_to_days(in->today);
}

static bool lapsed(const wm_coming_visit *v, const wm_client_latest *latest, wm_date today)
{
    wm_date since = v->due, seen;
    if (wm_date_parse(&seen, latest->date) && (!since.year || wm_date_to_days(seen) > wm_date_to_days(since)))
        since = seen; /* who was here after that day has not stayed away */
    return since.year && wm_date_to_days(today) - wm_date_to_days(since) > LAPSED_DAYS;
}

/* Whether the visit itself says all of what comes: every weft is sewn on again. */
static bool needs_no_plan(const wm_visit *visit, int weft_visits)
{
    size_t again = 0;
    while (again < visit->sewn_count && visit->sewn[again].worn + 1 < weft_visits)
        again++;
    return visit->sewn_count > 0 && again == visit->sewn_count;
}

/* The rows that are planned for her: those that hang since the visit, else those of a photo that came later. */
static wm_status find_plan(wm_report *out, const wm_coming_visit *v, wm_book *book, wm_error *err)
{
    wm_visit planned = { 0 };
    int64_t id = 0;
    wm_status status = wm_book_visit_of_rows(&id, book, v->visit_id, err);
    if (!status && !id)
        status = wm_book_visit_last_measured(&id, book, v->client_id, err);
    if (!status && id)
        status = wm_book_visit_load_parts(&planned, book, id, WM_VISIT_REPORTS, err);
    if (!status)
        status = wm_saved_plan(out, &planned, err);
    wm_visit_free(&planned);
    return status;
}

static bool is_on_hand(const work *w, const char *code)
{
    for (size_t i = 0; i < w->in->catalogue->count; i++)
        if (w->left[i] > 0 && strcmp(w->in->catalogue->items[i].code, code) == 0)
            return true;
    return false;
}

/* Opening a report takes as long as ten visits without: where only what is on hand is asked for, hers is opened when
 * something new comes that is there. */
static bool takes_of_stock(const work *w, const wm_coming_visit *v)
{
    for (size_t i = 0; i < v->weft_count; i++)
        if (!v->wefts[i].again && is_on_hand(w, v->wefts[i].code))
            return true;
    return false;
}

static void foresee(coming *c, const wm_visit *visit, const wm_report *report, int weft_visits)
{
    c->visit.weft_count = 0;
    if (c->visit.kind == WM_VISIT_MOVEUP)
        move_up(c, visit, report);
    else
        installation(c, report);
    set_again(&c->visit, weft_visits);
}

/* A move-up without a plan names its wefts all the same. */
static bool wants_plan(const work *w, coming *c, const wm_visit *visit, const wm_report *no_report)
{
    const int weft_visits = w->in->settings->plan.weft_visits;
    if (c->visit.kind != WM_VISIT_MOVEUP)
        return true;
    foresee(c, visit, no_report, weft_visits);
    return w->in->only_reserved ? takes_of_stock(w, &c->visit) : !needs_no_plan(visit, weft_visits);
}

/* By the visit of what she wears, else by her latest. */
static wm_status look_ahead(coming *c, const wm_client_latest *latest, const work *w, wm_error *err)
{
    wm_visit visit = { 0 };
    const wm_orders_input *in = w->in;
    wm_report *report = calloc(1, sizeof *report);
    wm_coming_visit *v = &c->visit;
    v->client_id = latest->client.id;
    v->visit_id = latest->wears_id ? latest->wears_id : latest->visit_id;
    v->kind = latest->wears_id ? WM_VISIT_MOVEUP : WM_VISIT_INSTALLATION;
    snprintf(v->client, sizeof v->client, "%s", latest->client.name);
    wm_status status = report ? wm_book_visit_load_parts(&visit, in->book, v->visit_id, 0, err) : wm_fail_memory(err);
    if (!status && wants_plan(w, c, &visit, report))
        status = find_plan(report, v, in->book, err);
    memcpy(v->photo_sha256, visit.photo_sha256, sizeof v->photo_sha256);
    if (!status)
        foresee(c, &visit, report, in->settings->plan.weft_visits);
    if (report)
        wm_report_free(report);
    free(report);
    wm_visit_free(&visit);
    return status;
}

/* Kept in the list unless nothing comes after it. Who has lapsed is told without opening her file. */
static wm_status add_client(work *w, const wm_client_latest *latest, wm_error *err)
{
    coming *c = calloc(1, sizeof *c);
    if (!c)
        return wm_fail_memory(err);
    set_due(&c->visit, latest, w->in);
    if (!latest->visit_id || (latest->kind == WM_VISIT_REMOVAL && !c->visit.agreed)) {
        free(c);
        return WM_OK;
    }
    if (lapsed(&c->visit, latest, w->in->today)) {
        w->out->lapsed++;
        free(c);
        return WM_OK;
    }
    w->items[w->count++] = c;
    return look_ahead(c, latest, w, err);
}

static int by_day(const void *left, const void *right)
{
    const wm_coming_visit *a = &(*(coming *const *)left)->visit, *b = &(*(coming *const *)right)->visit;
    const int64_t days[2] = { a->due.year ? wm_date_to_days(a->due) : INT64_MAX,
                              b->due.year ? wm_date_to_days(b->due) : INT64_MAX };
    if (days[0] != days[1])
        return days[0] < days[1] ? -1 : 1;
    return a->visit_id < b->visit_id ? -1 : a->visit_id > b->visit_id;
}

/* --- what it takes --- */

/* The row of that length; else the first of the code. */
static size_t row_of(const wm_catalogue *catalogue, const wm_coming_weft *weft)
{
    size_t first = catalogue->count;
    for (size_t i = 0; i < catalogue->count; i++) {
        const wm_swatch *s = &catalogue->items[i];
        if (s->kind != WM_SWATCH_HAIR || strcmp(s->code, weft->code) != 0)
            continue;
        if (weft->length_cm > 0 && wm_same_length(s->length_cm, weft->length_cm))
            return i;
        first = first < catalogue->count ? first : i;
    }
    return first;
}

static wm_order *line_of(wm_orders *out, const wm_swatch *s)
{
    for (size_t i = 0; i < out->line_count; i++)
        if (strcmp(out->lines[i].code, s->code) == 0 && wm_same_length(out->lines[i].length_cm, s->length_cm))
            return &out->lines[i];
    wm_order *line = &out->lines[out->line_count++];
    *line = (wm_order){ .length_cm = s->length_cm, .stock = -1, .pack_price_milli = s->pack_price_milli };
    memcpy(line->code, s->code, sizeof line->code);
    memcpy(line->name, s->name, sizeof line->name);
    memcpy(line->supplier, s->supplier, sizeof line->supplier);
    return line;
}

static void add_to_line(work *w, size_t row, const wm_coming_visit *v, const wm_coming_weft *weft)
{
    wm_order *line = line_of(w->out, &w->in->catalogue->items[row]);
    wm_date by = { 0 };
    const size_t said = strlen(line->whose);
    line->needed += weft->packs;
    line->order += weft->order;
    line->stock = wm_on_hand_packs(&w->hand, &w->in->catalogue->items[row]);
    if (weft->order > 0 && v->due.year)
        wm_date_from_days(&by, wm_date_to_days(v->due) - w->in->settings->plan.order_days);
    if (by.year && (!line->by.year || wm_date_to_days(by) < wm_date_to_days(line->by)))
        line->by = by;
    line->late = line->by.year && wm_date_to_days(line->by) < wm_date_to_days(w->in->today);
    if (said + strlen(v->client) + 3 < sizeof line->whose)
        snprintf(line->whose + said, sizeof line->whose - said, "%s%s", said ? ", " : "", v->client);
}

/* Cut lengths, then packs that are there, then packs to be ordered. What is not counted counts as not there. */
static wm_status serve(work *w, coming *c, wm_coming_weft *weft, wm_error *err)
{
    wm_taken taken;
    const size_t row = row_of(w->in->catalogue, weft);
    if (weft->again)
        return WM_OK;
    if (row == w->in->catalogue->count) {
        snprintf(c->visit.why, sizeof c->visit.why, "the catalogue has no %.60s any more: match her again", weft->code);
        return WM_OK;
    }
    const wm_swatch *s = &w->in->catalogue->items[row];
    weft->row = (int)row;
    wm_need need = { .length_cm = weft->length_cm,
                     .width_cm = weft->width_cm,
                     .piece_width_cm = s->piece_width_cm,
                     .pieces_per_pack = s->pieces_per_pack,
                     .cuttable = s->cuttable,
                     .strips = &c->strips };
    memcpy(need.code, weft->code, sizeof need.code);
    wm_status status = wm_on_hand_take(&taken, &w->hand, &need, err);
    if (status)
        return status;
    weft->cut_cm = taken.cut_cm;
    weft->packs = taken.packs;
    if (taken.packs < 0)
        return WM_OK;
    const int there = (int)fmin(fmax(0, floor(w->left[row])), taken.packs);
    weft->order = taken.packs - there;
    w->left[row] -= there;
    if (weft->packs > 0)
        add_to_line(w, row, &c->visit, weft);
    return WM_OK;
}

static int by_supplier(const void *left, const void *right)
{
    const wm_order *a = left, *b = right;
    const int64_t days[2] = { a->by.year ? wm_date_to_days(a->by) : INT64_MAX,
                              b->by.year ? wm_date_to_days(b->by) : INT64_MAX };
    int order = strcmp(a->supplier, b->supplier);
    if (!order && days[0] != days[1])
        return days[0] < days[1] ? -1 : 1;
    if (!order)
        order = strcmp(a->code, b->code);
    return order ? order : a->length_cm < b->length_cm ? -1 : a->length_cm > b->length_cm;
}

/* --- all of it --- */

static wm_status serve_all(work *w, wm_error *err)
{
    wm_status status = WM_OK;
    qsort(w->items, w->count, sizeof *w->items, by_day);
    for (size_t i = 0; i < w->count && !status; i++) {
        coming *c = w->items[i];
        for (size_t k = 0; k < c->visit.weft_count && !status; k++)
            status = serve(w, c, &c->visit.wefts[k], err);
        w->out->visits[w->out->visit_count++] = c->visit;
    }
    qsort(w->out->lines, w->out->line_count, sizeof *w->out->lines, by_supplier);
    return status;
}

static wm_status make_room(work *w, size_t clients, wm_error *err)
{
    w->items = calloc(clients + 1, sizeof *w->items);
    w->left = calloc(w->in->catalogue->count + 1, sizeof *w->left);
    w->out->visits = calloc(clients + 1, sizeof *w->out->visits);
    w->out->lines = calloc(w->in->catalogue->count + 1, sizeof *w->out->lines);
    if (!w->items || !w->left || !w->out->visits || !w->out->lines)
        return wm_fail_memory(err);
    for (size_t i = 0; i < w->in->catalogue->count; i++)
        w->left[i] = wm_on_hand_packs(&w->hand, &w->in->catalogue->items[i]);
    return WM_OK;
}

wm_status wm_orders_of(wm_orders *out, const wm_orders_input *input, wm_error *err)
{
    wm_orders orders = { 0 };
    work w = { .in = input, .out = &orders };
    wm_client_latest *clients = NULL;
    size_t count = 0;
    wm_status status = wm_on_hand_load(&w.hand, input->book, err);
    if (!status)
        status = wm_book_client_latest(&clients, &count, input->book, err);
    if (!status)
        status = make_room(&w, count, err);
    for (size_t i = 0; i < count && !status; i++)
        status = add_client(&w, &clients[i], err);
    if (!status)
        status = serve_all(&w, err);
    for (size_t i = 0; i < w.count; i++)
        free(w.items[i]);
    free(w.items);
    free(w.left);
    free(clients);
    wm_on_hand_free(&w.hand);
    if (status)
        wm_orders_free(&orders);
    else
        *out = orders;
    return status;
}

/* --- as a calendar --- */

/* The first move-up is the same entry as in the plan's own calendar. */
static const char *uid_of(char out[WM_UID_SIZE], const wm_coming_visit *visit)
{
    if (visit->kind == WM_VISIT_MOVEUP && *visit->photo_sha256)
        return wm_moveup_uid(out, visit->photo_sha256, 1);
    snprintf(out, WM_UID_SIZE, "visit-%lld-next@weftmatch", (long long)visit->visit_id);
    return out;
}

static void describe(wm_buf *out, const wm_coming_visit *visit)
{
    for (size_t i = 0; i < visit->weft_count; i++) {
        const wm_coming_weft *w = &visit->wefts[i];
        wm_buf_format(out, "%s%s: ", i ? "\n" : "", w->code);
        if (w->again)
            wm_buf_text(out, "sewn on again");
        else if (w->packs >= 0)
            wm_buf_format(out, "%d pack%s, %d of them to order", w->packs, w->packs == 1 ? "" : "s", w->order);
        else
            wm_buf_text(out, "new");
    }
    if (*visit->why)
        wm_buf_format(out, "%s%s", out->size ? "\n" : "", visit->why);
}

static wm_status put_visit(wm_buf *out, const wm_coming_visit *visit, int64_t stamp, wm_error *err)
{
    char uid[WM_UID_SIZE], summary[WM_NAME_SIZE + 40];
    wm_buf description = { 0 };
    describe(&description, visit);
    snprintf(summary, sizeof summary, "%s: %s", visit->kind == WM_VISIT_MOVEUP ? "Move-up" : "Installation",
             visit->client);
    const wm_event event = { uid_of(uid, visit), visit->due, stamp, summary, description.data, WM_REMIND_DAYS };
    wm_status status = wm_buf_status(&description, err);
    if (!status)
        status = wm_calendar_event(out, &event, err);
    wm_buf_free(&description);
    return status;
}

static wm_status put_order(wm_buf *out, const wm_order *line, int64_t stamp, wm_error *err)
{
    char hex[65], uid[WM_UID_SIZE], summary[WM_CODE_SIZE + 60], key[WM_CODE_SIZE + 40], length[40];
    char description[sizeof line->whose + WM_NAME_SIZE + 20];
    snprintf(key, sizeof key, "%s %s", line->code, wm_number_text(length, line->length_cm, 1));
    wm_sha256_hex(hex, key, strlen(key)); /* a code may hold what a UID may not */
    snprintf(uid, sizeof uid, "order-%.32s@weftmatch", hex);
    snprintf(summary, sizeof summary, "Order %d pack%s of %s", line->order, line->order == 1 ? "" : "s", line->code);
    snprintf(description, sizeof description, "%s%sFor %s", line->supplier, *line->supplier ? "\n" : "", line->whose);
    const wm_event event = { uid, line->by, stamp, summary, description, 1 };
    return wm_calendar_event(out, &event, err);
}

wm_status wm_orders_calendar(wm_buf *out, const wm_orders *orders, int64_t stamp, wm_error *err)
{
    wm_status status = WM_OK;
    wm_calendar_begin(out);
    for (size_t i = 0; i < orders->visit_count && !status; i++)
        if (orders->visits[i].due.year)
            status = put_visit(out, &orders->visits[i], stamp, err);
    for (size_t i = 0; i < orders->line_count && !status; i++)
        if (orders->lines[i].order > 0 && orders->lines[i].by.year)
            status = put_order(out, &orders->lines[i], stamp, err);
    wm_calendar_end(out);
    return status ? status : wm_buf_status(out, err);
}
