#include "consult/noticed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Our own: a photo is sent and used within the week; a card index goes back twenty years; hair that moved farther than
 * both is another head's, or coloured. */
enum { PHOTO_DAYS = 7, LONG_AGO_YEARS = 20 };
static const double JUMP_U = 3, JUMP_DE00 = 10, PRICE_FACTOR = 3;

wm_status wm_noticed_photo(wm_same_photo *out, wm_book *book, const char *photo_sha256, wm_error *err)
{
    wm_same_photo found = { 0 };
    wm_visit visit = { 0 };
    wm_status status = wm_book_visit_of_photo(&found.visit_id, book, photo_sha256, err);
    if (!status && found.visit_id)
        status = wm_book_visit_load_parts(&visit, book, found.visit_id, 0, err);
    if (!status && found.visit_id)
        status = wm_book_client_load(&found.client, book, visit.client_id, err);
    wm_visit_free(&visit);
    if (!status)
        *out = found;
    return status;
}

enum { NUMBER_SIZE = 24 };

/* As the command line takes it; "ID" before the visit has a number. */
static const char *number_of(char out[NUMBER_SIZE], int64_t id)
{
    snprintf(out, NUMBER_SIZE, "%lld", (long long)id);
    return id ? out : "ID";
}

static void notice_day(wm_warnings *out, const wm_noticing *in)
{
    wm_date day, last, taken;
    char start[WM_DATE_SIZE], id[NUMBER_SIZE];
    if (!wm_date_parse(&day, in->date))
        return;
    if (wm_date_valid(in->today) && wm_date_to_days(day) > wm_date_to_days(in->today))
        wm_warnings_add(out, "day_to_come",
                        "the visit is of %s, which is still to come; visit set %s --on DAY puts it right", in->date,
                        number_of(id, in->visit_id));
    if (wm_date_valid(in->today) && in->today.year - day.year > LONG_AGO_YEARS)
        wm_warnings_add(out, "day_long_ago", "the visit is of %s, %d years ago; visit set %s --on DAY puts it right",
                        in->date, in->today.year - day.year, number_of(id, in->visit_id));
    if (in->last_date && wm_date_parse(&last, in->last_date) && wm_date_to_days(day) < wm_date_to_days(last))
        wm_warnings_add(out, "day_before_last",
                        "the visit is of %s, before her last one of %s; visit set %s --on DAY puts it right", in->date,
                        in->last_date, number_of(id, in->visit_id));
    snprintf(start, sizeof start, "%.10s", in->report->photo.taken);
    if (wm_date_parse(&taken, start) && llabs(wm_date_to_days(day) - wm_date_to_days(taken)) > PHOTO_DAYS)
        wm_warnings_add(out, "photo_of_another_day",
                        "the photo was taken on %s and the visit is of %s; if that was the day: visit set %s --on %s",
                        start, in->date, number_of(id, in->visit_id), start);
}

static bool is_far(double de00, double u_de00)
{
    return de00 > JUMP_DE00 && de00 > JUMP_U * u_de00;
}

/* Most of the zones that pair did, and far: one alone may have been toned. */
static void notice_jump(wm_warnings *out, const wm_report *report, int64_t visit_id)
{
    size_t jumped = 0;
    double worst = 0;
    char number[40], id[NUMBER_SIZE];
    for (size_t i = 0; i < report->change_count; i++) {
        const wm_report_change *c = &report->changes[i];
        bool far = is_far(c->de00, c->u_de00);
        jumped += far;
        worst = far && c->de00 > worst ? c->de00 : worst;
    }
    if (jumped && 2 * jumped > report->change_count)
        wm_warnings_add(
            out, "hair_jumped",
            "her hair is up to dE00 %s from her last visit's, far more than the photos' uncertainty; was it "
            "coloured, or is it another client's photo? visit move %s --client NAME",
            wm_number_text(number, worst, 1), number_of(id, visit_id));
}

void wm_noticed_visit(wm_warnings *out, const wm_noticing *input)
{
    notice_day(out, input);
    notice_jump(out, input->report, input->visit_id);
}

void wm_noticed_after(wm_warnings *out, const wm_finished *finished, bool up)
{
    size_t compared = 0, far = 0;
    double worst = 0;
    char number[40];
    for (size_t i = 0; i < finished->count; i++) {
        const wm_finished_zone *zone = &finished->zones[i];
        if (zone->up != up || !*zone->beside)
            continue;
        compared++;
        if (is_far(zone->de00, zone->u_de00)) {
            far++;
            worst = fmax(worst, zone->de00);
        }
    }
    if (far && 2 * far > compared)
        wm_warnings_add(out, "after_unlike",
                        "the row is up to dE00 %s from her hair before, and far at most of its places; check that it "
                        "is her photo, and that it was taken in daylight",
                        wm_number_text(number, worst, 1));
}

wm_status wm_noticed_same_day(wm_warnings *out, wm_book *book, const wm_visit *visit, wm_error *err)
{
    int64_t *ids = NULL;
    size_t count = 0;
    wm_status status = wm_book_visit_ids(&ids, &count, book, visit->client_id, err);
    for (size_t i = 0; i < count && !status; i++) {
        wm_visit other = { 0 };
        status = ids[i] == visit->id ? WM_OK : wm_book_visit_load_parts(&other, book, ids[i], 0, err);
        if (!status && strcmp(other.date, visit->date) == 0)
            wm_warnings_add(out, "same_day",
                            "she has visit %lld on %s already; if that is the same one: visit remove %lld",
                            (long long)ids[i], visit->date, (long long)visit->id);
        wm_visit_free(&other);
    }
    free(ids);
    return status;
}

/* An installation and a move-up have prices of their own. */
static bool alike(wm_visit_kind one, wm_visit_kind other)
{
    return one == other || one == WM_VISIT_UNSAID || other == WM_VISIT_UNSAID;
}

/* What the client was charged last before this visit, for work of its kind. */
static wm_status last_price(int64_t *minor, wm_book *book, const wm_visit *visit, wm_error *err)
{
    int64_t *ids = NULL;
    size_t count = 0;
    wm_status status = wm_book_visit_ids(&ids, &count, book, visit->client_id, err);
    for (size_t i = 0; i < count && !status && ids[i] != visit->id; i++) {
        wm_visit other = { 0 };
        status = wm_book_visit_load_parts(&other, book, ids[i], 0, err);
        if (!status && other.has_charged && other.charged_minor > 0 && alike(other.kind, visit->kind))
            *minor = other.charged_minor;
        wm_visit_free(&other);
    }
    free(ids);
    return status;
}

wm_status wm_noticed_price(wm_warnings *out, wm_book *book, const wm_visit *visit, wm_error *err)
{
    int64_t last = 0;
    wm_status status = visit->has_charged ? last_price(&last, book, visit, err) : WM_OK;
    char id[NUMBER_SIZE];
    double ratio = last > 0 ? (double)visit->charged_minor / (double)last : 1;
    if (!status && (ratio > PRICE_FACTOR || ratio < 1 / PRICE_FACTOR))
        wm_warnings_add(
            out, "price_far_off",
            "what is charged is far from her last price; visit set %s --charged AMOUNT, or book undo, puts it right",
            number_of(id, visit->id));
    return status;
}
