#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "client_pages.h"
#include "context.h"
#include "history.h"
#include "output.h"
#include "page/languages.h"
#include "say.h"
#include "verbs.h"

int verb_client_add(const args *a)
{
    clock_reading clock;
    wm_book *book = NULL;
    wm_error err;
    int64_t id = 0;
    wm_status status = context_clock(&clock, a, &err);
    if (!status)
        status = wm_book_client_check(a->operands[0], args_text(a, "note"), &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status)
        status = wm_book_client_add(&id, book, a->operands[0], args_text(a, "note"), clock.day, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    wm_buf out = { 0 };
    wm_buf_format(&out, "%lld  %s\n", (long long)id, a->operands[0]);
    int code = say_result(&out);
    wm_buf_free(&out);
    return code;
}

static const char *late(const char *next, const clock_reading *clock)
{
    return *next && strcmp(next, clock->day) < 0 ? " overdue" : "";
}

/* "   1   3 visits  last 2026-03-31  next 2026-05-12 overdue  Anna Berg", names below each other. */
static void list_line(wm_buf *out, const wm_client_latest *c, const wm_settings *settings, const clock_reading *clock)
{
    char next[WM_DATE_SIZE], last[40] = "", coming[40] = "";
    client_next_day(next, c, settings);
    if (*c->date)
        snprintf(last, sizeof last, "last %s", c->date);
    if (*next)
        snprintf(coming, sizeof coming, "next %s%s", next, late(next, clock));
    wm_buf_format(out, "%4lld  %3ld visit%s  %-15s  %-23s  %s\n", (long long)c->client.id, c->client.visits,
                  c->client.visits == 1 ? " " : "s", last, coming, c->client.name);
}

/* A page of its own beside what stdout gets. */
static wm_status write_page(const args *a, const wm_buf *page, wm_error *err)
{
    return args_has(a, "html") ? output_write_private(a, args_text(a, "html"), page, err) : WM_OK;
}

/* The book of a verb that shows and may write a page; nothing is read where that page can't be written. */
static wm_status open_to_show(wm_book **book, clock_reading *clock, const args *a, wm_error *err)
{
    wm_status status = context_clock(clock, a, err);
    if (!status)
        status = output_check(a, err);
    return status ? status : context_open_book(book, a, WM_BOOK_READ, err);
}

/* For the page the book is written too, where it can be: small pictures are made once. */
static wm_status write_gallery(wm_buf *page, const args *a, const clock_reading *clock, const wm_language *language,
                               wm_error *err)
{
    wm_book *book = NULL;
    wm_error none;
    say_progress progress = say_progress_start(a, "clients");
    const bool keeps = !context_open_book(&book, a, WM_BOOK_WRITE, &none);
    wm_status status = keeps ? WM_OK : context_open_book(&book, a, WM_BOOK_READ, err);
    if (!status)
        status = gallery_write(page, &(page_source){ book, clock, language }, keeps, &progress, err);
    say_progress_end(&progress);
    wm_book_close(book);
    return status;
}

int verb_client_list(const args *a)
{
    wm_book *book = NULL;
    wm_client_latest *clients = NULL;
    wm_settings settings;
    clock_reading clock;
    size_t count = 0;
    wm_error err;
    wm_buf out = { 0 }, page = { 0 };
    const wm_language *language = NULL;
    wm_status status = language_find(&language, args_text(a, "language"), &err);
    if (!status)
        status = open_to_show(&book, &clock, a, &err);
    if (!status)
        status = wm_settings_load(&settings, book, &err);
    if (!status)
        status = wm_book_client_latest(&clients, &count, book, &err);
    wm_book_close(book);
    if (!status && args_has(a, "html"))
        status = write_gallery(&page, a, &clock, language, &err);
    if (!status)
        status = write_page(a, &page, &err);
    for (size_t i = 0; !status && i < count; i++)
        list_line(&out, &clients[i], &settings, &clock);
    free(clients);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_buf_free(&out);
    wm_buf_free(&page);
    return code;
}

static void text_installed(wm_buf *out, const history *h, const history_line *line)
{
    char stack[WM_STACK_TEXT_SIZE];
    const history_line *by = history_as_proposed(h, line);
    if (!line->installed.count)
        return;
    if (by == line)
        wm_buf_text(out, "  installed as proposed");
    else if (by)
        wm_buf_format(out, "  installed as proposed on %s", by->at);
    else
        wm_buf_format(out, "  installed %s", wm_stack_text(stack, &line->installed, ","));
}

static void text_line(wm_buf *out, const history *h, const history_line *line)
{
    char number[48];
    const wm_report_zone *gray = history_gray_zone(line);
    wm_buf_format(out, "%4lld  %s  ", (long long)line->id, line->at);
    if (!line->measured)
        wm_buf_text(out, "no photo    ");
    else if (gray)
        wm_buf_format(out, "gray %3s %%  ", wm_number_text(number, 100 * gray->share, 0));
    else
        wm_buf_text(out, "gray   ?    ");
    if (line->report->proposal_count) {
        const wm_report_proposal *best = &line->report->proposals[0];
        wm_buf_format(out, "proposed %s%s%s", best->shades[0].code, best->shade_count > 1 ? " and " : "",
                      best->shade_count > 1 ? best->shades[1].code : "");
    }
    text_installed(out, h, line);
    if (line->judged != HISTORY_UNKNOWN)
        wm_buf_format(out, "  dE00 %s (%s)", wm_number_text(number, line->off, 1), HISTORY_JUDGED[line->judged]);
    wm_buf_text(out, "\n");
}

/* Each line of a text, indented. */
static void text_block(wm_buf *out, const char *text)
{
    for (const char *line = text; *line;) {
        const size_t n = strcspn(line, "\n");
        wm_buf_text(out, "      ");
        wm_buf_bytes(out, line, n);
        wm_buf_text(out, "\n");
        line += n + (line[n] == '\n');
    }
}

/* What was said about a visit: kind, price, reason, notes, photos, how near it came. */
static void text_record(wm_buf *out, const history_line *line, const char *currency)
{
    char price[WM_MONEY_SIZE];
    wm_buf told = { 0 };
    const wm_visit *v = &line->visit;
    if (v->kind || v->has_charged)
        wm_buf_format(out, "      %s%s%s\n", wm_visit_kind_name(v->kind), v->kind && v->has_charged ? ", " : "",
                      v->has_charged ? wm_money_text(price, v->charged_minor, currency) : "");
    if (*v->why)
        wm_buf_format(out, "      because: %s\n", v->why);
    text_block(out, v->note);
    if (v->has_photo || v->has_after)
        wm_buf_format(out, "      photo%s\n",
                      v->has_photo && v->has_after ? "s before and after"
                      : v->has_after               ? " after"
                                                   : " before");
    history_write_finished(&told, line->finished);
    text_block(out, told.data ? told.data : "");
    out->failed = out->failed || told.failed;
    wm_buf_free(&told);
}

static void text_trend(wm_buf *out, const wm_trend *trend)
{
    char words[WM_TREND_WORDS_SIZE];
    wm_buf_format(out, "Gray, the whole head: %s\n", wm_trend_words(words, trend));
    for (size_t i = 0; i < trend->left_out_count; i++)
        wm_buf_format(out, "      left out: %s\n", trend->left_out[i]);
}

static wm_status write_history(wm_buf *out, wm_book *book, const wm_client *client, const args *a, bool all,
                               wm_error *err)
{
    wm_settings settings;
    history h = { 0 };
    wm_status status = wm_settings_load(&settings, book, err);
    if (!status)
        status = history_load(&h, book, client->id, false, err);
    if (!status && args_has(a, "json"))
        history_write_json(out, &h, client->name);
    for (size_t i = 0; i < h.count && !args_has(a, "json"); i++) {
        text_line(out, &h, &h.lines[i]);
        if (all)
            text_record(out, &h.lines[i], settings.plan.currency);
    }
    if (!args_has(a, "json") && history_measured_count(&h) > 1)
        text_trend(out, &h.trend);
    history_free(&h);
    return status;
}

static wm_status write_head(wm_buf *out, wm_book *book, const wm_client *client, const clock_reading *clock,
                            wm_error *err)
{
    wm_settings settings;
    wm_client_latest latest;
    char next[WM_DATE_SIZE], wears[CLIENT_WEARS_SIZE];
    wm_status status = wm_settings_load(&settings, book, err);
    if (!status)
        status = wm_book_client_latest_of(&latest, book, client->id, err);
    if (status)
        return status;
    const bool agreed = client_next_day(next, &latest, &settings);
    wm_buf_format(out, "%s\nid %lld, since %s, %ld visit%s\n", client->name, (long long)client->id, client->since,
                  client->visits, client->visits == 1 ? "" : "s");
    if (latest.wears.count)
        wm_buf_format(out, "wears %s\n", client_wears(wears, &latest));
    if (*next)
        wm_buf_format(out, "next visit %s%s%s\n", next, late(next, clock), agreed ? "" : ", not agreed yet");
    if (*client->note)
        wm_buf_format(out, "%s\n", client->note);
    return WM_OK;
}

static int print_client(const args *a, bool with_head)
{
    wm_book *book = NULL;
    wm_client client;
    clock_reading clock;
    wm_error err;
    wm_buf out = { 0 }, page = { 0 };
    const wm_language *language = NULL;
    wm_status status = language_find(&language, args_text(a, "language"), &err);
    if (!status)
        status = open_to_show(&book, &clock, a, &err);
    if (!status)
        status = wm_book_client_find(&client, book, a->operands[0], &err);
    if (!status && args_has(a, "html"))
        status = client_page_write(&page, &(page_source){ book, &clock, language }, client.id, &err);
    if (!status && with_head && !args_has(a, "json"))
        status = write_head(&out, book, &client, &clock, &err);
    if (!status)
        status = write_history(&out, book, &client, a, with_head, &err);
    wm_book_close(book);
    if (!status)
        status = write_page(a, &page, &err);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_buf_free(&out);
    wm_buf_free(&page);
    return code;
}

int verb_client_history(const args *a)
{
    return print_client(a, false);
}

int verb_client_show(const args *a)
{
    return print_client(a, true);
}

int verb_client_rename(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_error err;
    wm_status status = context_open_client(&book, &client, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = wm_book_client_rename(book, client.id, a->operands[1], &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "%s is called %s now; book undo takes it back", client.name, a->operands[1]);
    return 0;
}

int verb_client_note(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_error err;
    wm_status status = context_open_client(&book, &client, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = wm_book_client_note(book, client.id, a->operands[1], &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "the note of %s is %s", client.name, *a->operands[1] ? "changed" : "gone");
    return 0;
}

int verb_client_coming(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_date day;
    wm_error err;
    wm_status status = WM_OK;
    if (*a->operands[1] && !wm_date_parse(&day, a->operands[1]))
        status = wm_fail(&err, WM_E_USAGE, "'%s' is no day; give one such as 2026-03-31", a->operands[1]);
    if (!status)
        status = context_open_client(&book, &client, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = wm_book_client_set_coming(book, client.id, a->operands[1], &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "next visit of %s: %s", client.name, *a->operands[1] ? a->operands[1] : "not agreed");
    return 0;
}

int verb_client_merge(const args *a)
{
    wm_book *book = NULL;
    wm_client from, into;
    wm_error err;
    wm_status status = context_open_client(&book, &from, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = wm_book_client_find(&into, book, a->operands[1], &err);
    if (!status)
        status = wm_book_client_merge(book, from.id, into.id, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "%ld visit%s of %s are in the file of %s now; book undo takes it back", from.visits,
             from.visits == 1 ? "" : "s", from.name, into.name);
    return 0;
}
