#include "book/stock.h"

#include <stdlib.h>
#include <string.h>

#include "book/log.h"

static wm_status run_on(wm_book *book, const char *sql, int64_t id, wm_error *err)
{
    wm_query q = wm_query__of(book, sql);
    wm_query__int(&q, 1, id);
    return wm_query__finish(&q, err);
}

/* A number that is 0 for none. */
static void bind_id(wm_query *q, int parameter, int64_t id)
{
    if (id)
        wm_query__int(q, parameter, id);
}

/* --- packs --- */

static void read_move(void *row, const wm_query *q)
{
    wm_stock_move *out = row;
    out->id = wm_query__get_int(q, 0);
    wm_query__get_text(out->date, sizeof out->date, q, 1);
    wm_query__get_text(out->code, sizeof out->code, q, 2);
    wm_query__get_text(out->lot, sizeof out->lot, q, 3);
    out->length_cm = wm_query__get_number(q, 4);
    out->packs = wm_query__get_real(q, 5);
    out->counted = wm_query__get_number(q, 6);
    out->visit_id = wm_query__get_int(q, 7);
}

wm_status wm_book_moves(wm_stock_move **out, size_t *count, wm_book *book, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT id, date, code, lot, length_cm, packs, counted, coalesce(visit_id, 0) FROM "
                                    "stock_move ORDER BY id");
    void *items = NULL;
    wm_status status = wm_query__all(&items, count, &q, (wm_row_kind){ sizeof **out, read_move }, err);
    if (!status)
        *out = items;
    return status;
}

static wm_status insert_move(wm_book *book, const wm_stock_move *move, wm_error *err)
{
    wm_query q = wm_query__of(book, "INSERT INTO stock_move (date, code, lot, length_cm, packs, counted, visit_id) "
                                    "VALUES (?, ?, ?, ?, ?, ?, ?)");
    wm_query__text(&q, 1, move->date);
    wm_query__text(&q, 2, move->code);
    wm_query__text(&q, 3, move->lot);
    wm_query__number(&q, 4, move->length_cm);
    wm_query__real(&q, 5, move->packs);
    wm_query__number(&q, 6, move->counted);
    bind_id(&q, 7, move->visit_id);
    return wm_query__finish(&q, err);
}

wm_status wm_book_add_move(wm_book *book, const wm_stock_move *move, wm_error *err)
{
    wm_log_line line = { .verb = "stock add" };
    char packs[40];
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = insert_move(book, move, err);
    if (!status)
        status = wm_log__tell(book, &line, err, "packs of %s: %s%s", move->code, move->packs < 0 ? "" : "+",
                              wm_number_text(packs, move->packs, 0));
    return wm_book_end(book, status, err);
}

/* --- cut lengths --- */

static void read_cut(void *row, const wm_query *q)
{
    wm_cut_length *out = row;
    *out = (wm_cut_length){ .id = wm_query__get_int(q, 0) };
    wm_query__get_text(out->code, sizeof out->code, q, 1);
    wm_query__get_text(out->lot, sizeof out->lot, q, 2);
    out->length_cm = wm_query__get_number(q, 3);
    out->width_cm = wm_query__get_number(q, 4);
    wm_query__get_text(out->date, sizeof out->date, q, 5);
    out->from_visit = wm_query__get_int(q, 6);
}

wm_status wm_book_cut_lengths(wm_cut_length **out, size_t *count, wm_book *book, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT id, code, lot, length_cm, width_cm, date, coalesce(from_visit, 0) FROM "
                                    "cut_length WHERE used_by IS NULL ORDER BY code, width_cm, id");
    void *items = NULL;
    wm_status status = wm_query__all(&items, count, &q, (wm_row_kind){ sizeof **out, read_cut }, err);
    if (!status)
        *out = items;
    return status;
}

static wm_status insert_cut(wm_book *book, const wm_cut_length *cut, wm_error *err)
{
    wm_query q = wm_query__of(book, "INSERT INTO cut_length (code, lot, length_cm, width_cm, date, from_visit) VALUES "
                                    "(?, ?, ?, ?, ?, ?)");
    wm_query__text(&q, 1, cut->code);
    wm_query__text(&q, 2, cut->lot);
    wm_query__number(&q, 3, cut->length_cm);
    wm_query__number(&q, 4, cut->width_cm);
    wm_query__text(&q, 5, cut->date);
    bind_id(&q, 6, cut->from_visit);
    return wm_query__finish(&q, err);
}

wm_status wm_book_add_cut_length(int64_t *id, wm_book *book, const wm_cut_length *cut, wm_error *err)
{
    wm_log_line line = { .verb = "stock cut" };
    char width[40];
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = insert_cut(book, cut, err);
    const int64_t added = wm_db__last_id(book);
    if (!status)
        status = wm_log__tell(book, &line, err, "cut length %lld of %s, %s cm wide", (long long)added, cut->code,
                              wm_number_text(width, cut->width_cm, 1));
    status = wm_book_end(book, status, err);
    if (!status)
        *id = added;
    return status;
}

wm_status wm_book_drop_cut_length(wm_book *book, int64_t id, wm_error *err)
{
    wm_log_line line = { .verb = "stock remove" };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    status = run_on(book, "DELETE FROM cut_length WHERE id = ? AND used_by IS NULL", id, err);
    if (!status && wm_db__changed(book) == 0)
        status = wm_fail_at(err, WM_E_BOOK, book->path, 0, 0, "no cut length %lld lies ready; see weftmatch stock list",
                            (long long)id);
    if (!status)
        status = wm_log__tell(book, &line, err, "cut length %lld thrown away", (long long)id);
    return wm_book_end(book, status, err);
}

/* --- what a visit takes --- */

wm_status wm_book_unsettle(wm_book *book, int64_t visit_id, wm_error *err)
{
    static const char *const AWAY[] = { "DELETE FROM stock_move WHERE visit_id = ?",
                                        "DELETE FROM cut_length WHERE from_visit = ? AND used_by IS NULL",
                                        "UPDATE cut_length SET used_by = NULL WHERE used_by = ?" };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    for (size_t i = 0; i < sizeof AWAY / sizeof AWAY[0] && !status; i++)
        status = run_on(book, AWAY[i], visit_id, err);
    return wm_book_end(book, status, err);
}

static wm_status use_cut(wm_book *book, int64_t id, int64_t visit_id, wm_error *err)
{
    wm_query q = wm_query__of(book, "UPDATE cut_length SET used_by = ?2 WHERE id = ?1 AND used_by IS NULL");
    wm_query__int(&q, 1, id);
    wm_query__int(&q, 2, visit_id);
    return wm_query__finish(&q, err);
}

/* "packs opened: 2 of moth, 1 of frost" */
static wm_status tell_settled(wm_book *book, const wm_settlement *s, wm_error *err)
{
    wm_log_line line = { .verb = "visit set", .visit_id = s->visit_id };
    wm_buf told = { 0 };
    char packs[40];
    int64_t client = 0;
    wm_query q = wm_query__of(book, "SELECT client_id FROM visit WHERE id = ?");
    wm_query__int(&q, 1, s->visit_id);
    if (wm_query__row(&q))
        client = wm_query__get_int(&q, 0);
    wm_status status = wm_query__end(&q, err);
    for (size_t i = 0; i < s->move_count; i++) {
        wm_buf_text(&told, i ? ", " : "packs opened: ");
        wm_buf_format(&told, "%s of %s", wm_number_text(packs, -s->moves[i].packs, 0), s->moves[i].code);
    }
    if (s->used_count)
        wm_buf_format(&told, "%scut lengths used: %zu", told.size ? "; " : "", s->used_count);
    if (!status)
        status = wm_buf_status(&told, err);
    line.client_id = client;
    if (!status && told.size)
        status = wm_log__tell(book, &line, err, "%s", told.data);
    wm_buf_free(&told);
    return status;
}

wm_status wm_book_settle(wm_book *book, const wm_settlement *s, wm_error *err)
{
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    for (size_t i = 0; i < s->move_count && !status; i++)
        status = insert_move(book, &s->moves[i], err);
    for (size_t i = 0; i < s->used_count && !status; i++)
        status = use_cut(book, s->used[i], s->visit_id, err);
    for (size_t i = 0; i < s->rest_count && !status; i++)
        status = insert_cut(book, &s->rests[i], err);
    if (!status)
        status = tell_settled(book, s, err);
    return wm_book_end(book, status, err);
}

/* --- lots --- */

static void read_lot(void *row, const wm_query *q)
{
    wm_lot *out = row;
    wm_query__get_text(out->code, sizeof out->code, q, 0);
    wm_query__get_text(out->lot, sizeof out->lot, q, 1);
    out->lab = (wm_lab){ wm_query__get_real(q, 2), wm_query__get_real(q, 3), wm_query__get_real(q, 4) };
    out->u = wm_query__get_number(q, 5);
    wm_query__get_text(out->measured, sizeof out->measured, q, 6);
    wm_query__get_text(out->source, sizeof out->source, q, 7);
}

wm_status wm_book_lots(wm_lot **out, size_t *count, wm_book *book, wm_error *err)
{
    wm_query q = wm_query__of(book, "SELECT code, lot, l, a, b, u, measured, source FROM lot ORDER BY code, lot");
    void *items = NULL;
    wm_status status = wm_query__all(&items, count, &q, (wm_row_kind){ sizeof **out, read_lot }, err);
    if (!status)
        *out = items;
    return status;
}

wm_status wm_book_put_lot(wm_book *book, const wm_lot *lot, wm_error *err)
{
    wm_log_line line = { .verb = "swatch add" };
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    wm_query q =
        wm_query__of(book, "INSERT INTO lot (code, lot, l, a, b, u, measured, source) VALUES (?, ?, ?, ?, ?, "
                           "?, ?, ?) ON CONFLICT (code, lot) DO UPDATE SET l = excluded.l, a = excluded.a, b "
                           "= excluded.b, u = excluded.u, measured = excluded.measured, source = excluded.source");
    wm_query__text(&q, 1, lot->code);
    wm_query__text(&q, 2, lot->lot);
    const double values[] = { lot->lab.L, lot->lab.a, lot->lab.b, lot->u };
    for (int i = 0; i < 4; i++)
        wm_query__real(&q, 3 + i, values[i]);
    wm_query__text(&q, 7, lot->measured);
    wm_query__text(&q, 8, lot->source);
    status = wm_query__finish(&q, err);
    if (!status)
        status = wm_log__tell(book, &line, err, "lot %s of %s measured", lot->lot, lot->code);
    return wm_book_end(book, status, err);
}
