/* Clients. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/client_file.h"
#include "consult/orders.h"
#include "core/plain.h"
#include "desk/resources.h"
#include "history.h"

static void write_client(wm_buf *out, const wm_client *client)
{
    wm_buf_format(out, "{\"id\":%lld,\"name\":", (long long)client->id);
    wm_buf_json_string(out, client->name);
    wm_buf_text(out, ",\"note\":");
    wm_buf_json_string(out, client->note);
    wm_buf_format(out, ",\"since\":\"%s\",\"visits\":%ld", client->since, client->visits);
}

/* Her last visit, what she wears, when the next is due. */
static void write_latest(wm_buf *out, const wm_client_latest *latest, const wm_settings *settings)
{
    char day[WM_DATE_SIZE], stack[WM_STACK_TEXT_SIZE];
    wm_date next;
    bool agreed = false;
    write_client(out, &latest->client);
    if (!latest->visit_id) {
        wm_buf_text(out, ",\"last\":null}");
        return;
    }
    wm_buf_format(out, ",\"last\":{\"id\":%lld,\"at\":\"%s\",\"installed\":", (long long)latest->visit_id,
                  latest->date);
    wm_buf_json_string(out, wm_stack_text(stack, &latest->wears, ","));
    wm_buf_text(out, ",\"sewn\":[");
    for (size_t i = 0; i < latest->shade_count; i++)
        wm_buf_json_text(out, i ? "," : "", latest->shades[i]);
    wm_buf_format(out, "],\"next\":\"%s\"}}",
                  wm_next_visit_day(&next, &agreed, latest, settings->plan.moveup_weeks) ? wm_date_text(day, next)
                                                                                         : "");
}

enum { SOUGHT_SIZE = 256 };

/* By a part of her name, as the command line finds her. */
static bool is_sought(const wm_client *client, const char *part)
{
    char name[SOUGHT_SIZE];
    return strstr(wm_plain_sought(name, sizeof name, client->name), part) != NULL;
}

/* ?q= PART OF A NAME */
wm_status get_clients(desk_call *call, wm_error *err)
{
    const char *asked = http_query(call->request, "q");
    char part[SOUGHT_SIZE];
    bool any = false;
    wm_book *book = NULL;
    wm_client_latest *clients = NULL;
    wm_settings settings;
    clock_reading clock;
    size_t count = 0;
    wm_buf *out = answer_json(call);
    wm_status status = context_clock(&clock, call->desk->a, err);
    if (!status)
        status = call_settings(&settings, call, err);
    if (!status)
        status = call_book_if_any(&book, call, err);
    if (!status && book)
        status = wm_book_client_latest(&clients, &count, book, err);
    wm_book_close(book);
    wm_plain_sought(part, sizeof part, asked ? asked : "");
    if (!status)
        wm_buf_format(out, "{\"today\":\"%s\",\"clients\":[", clock.day);
    for (size_t i = 0; i < count && !status; i++) {
        if (!is_sought(&clients[i].client, part))
            continue;
        wm_buf_text(out, any ? ",\n" : "\n");
        any = true;
        write_latest(out, &clients[i], &settings);
    }
    wm_buf_text(out, "]}\n");
    free(clients);
    return status;
}

wm_status post_client(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    wm_book *book = NULL;
    clock_reading clock;
    const char *name = "", *note = "";
    int64_t id = 0;
    wm_status status = call_body(&body, call, err);
    if (!status)
        status = call_text(&name, wm_json_root(body), "name", err);
    if (!status)
        status = call_text(&note, wm_json_root(body), "note", err);
    if (!status)
        status = context_clock(&clock, call->desk->a, err);
    if (!status)
        status = wm_book_client_check(name, note, err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = call_book(&book, call, WM_BOOK_CREATE, err);
    if (!status)
        status = wm_book_client_add(&id, book, name, note, clock.day, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status)
        wm_buf_format(answer_json(call), "{\"id\":%lld}\n", (long long)id);
    wm_json_free(body);
    return status;
}

static wm_status find_client(wm_client *out, wm_book *book, int64_t id, wm_error *err)
{
    char text[24];
    snprintf(text, sizeof text, "%lld", (long long)id);
    return wm_book_client_find(out, book, text, err);
}

wm_status get_client(desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_client_latest latest;
    wm_settings settings;
    wm_status status = call_settings(&settings, call, err);
    if (!status)
        status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_client_latest_of(&latest, book, call->id, err);
    wm_book_close(book);
    if (!status) {
        wm_buf *out = answer_json(call);
        write_latest(out, &latest, &settings);
        wm_buf_text(out, "\n");
    }
    return status;
}

wm_status get_client_visits(desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_client client;
    history past = { 0 };
    wm_buf *out = answer_json(call);
    wm_status status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = find_client(&client, book, call->id, err);
    if (!status)
        status = history_load(&past, book, client.id, false, err);
    if (!status)
        history_write_json(out, &past, client.name);
    history_free(&past);
    wm_book_close(book);
    return status;
}

/* All of her as one file, to be saved by the browser. */
wm_status get_client_export(desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_client client;
    wm_status status = call_book(&book, call, WM_BOOK_READ, err);
    if (!status)
        status = find_client(&client, book, call->id, err);
    if (!status)
        status = wm_client_file_write(answer_json(call), book, &client, err);
    wm_book_close(book);
    if (!status)
        snprintf(call->answer->download, sizeof call->answer->download, "attachment; filename=\"client-%lld.json\"",
                 (long long)call->id);
    return status;
}

/* Such a file back in: a client of another book, or of this one before she was forgotten. */
wm_status post_client_import(desk_call *call, wm_error *err)
{
    const char *name = http_query(call->request, "name");
    wm_book *book = NULL;
    wm_client client;
    const http_request *r = call->request;
    /* a bad file must not make a book */
    wm_status status = wm_client_file_read(&client, NULL, r->body, r->body_size, name ? name : "the file", err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = call_book(&book, call, WM_BOOK_CREATE, err);
    if (!status)
        status = wm_client_file_read(&client, book, r->body, r->body_size, name ? name : "the file", err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status)
        wm_buf_format(answer_json(call), "{\"id\":%lld}\n", (long long)client.id);
    return status;
}

/* Name and note; what is not given stays. */
static wm_status change(wm_book *book, const desk_call *call, const wm_json *body, wm_error *err)
{
    const char *name = "", *note = "";
    int64_t into = 0;
    wm_status status = call_text(&name, body, "name", err);
    if (!status)
        status = call_text(&note, body, "note", err);
    if (!status)
        status = call_id(&into, body, "into", err);
    if (!status && *name)
        status = wm_book_client_rename(book, call->id, name, err);
    if (!status && wm_json_get(body, "note"))
        status = wm_book_client_note(book, call->id, note, err);
    if (!status && into)
        status = wm_book_client_merge(book, call->id, into, err);
    return status;
}

wm_status patch_client(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    wm_book *book = NULL;
    wm_status status = call_body(&body, call, err);
    pthread_mutex_lock(&call->desk->lock);
    if (!status)
        status = call_book(&book, call, WM_BOOK_WRITE, err);
    if (!status)
        status = wm_book_begin(book, err);
    if (!status)
        status = wm_book_end(book, change(book, call, wm_json_root(body), err), err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status)
        wm_buf_text(answer_json(call), "{}\n");
    wm_json_free(body);
    return status;
}

wm_status delete_client(desk_call *call, wm_error *err)
{
    return answer_change(call, wm_book_client_forget, err);
}
