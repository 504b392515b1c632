/* Reading what a request brings and answering it: what all resources share. */
#include <stdlib.h>
#include <string.h>

#include "core/file.h"
#include "desk/desk.h"
#include "verbs.h"

int answer_status(wm_status status)
{
    switch (status) {
    case WM_OK: return 200;
    case WM_E_USAGE: return 400;
    case WM_E_INPUT:
    case WM_E_PHOTO: return 422;
    case WM_E_BOOK: return 409;
    case WM_E_OUTPUT: return 507;
    default: return 500;
    }
}

wm_buf *answer_json(desk_call *call)
{
    call->answer->type = "application/json";
    return &call->answer->body;
}

void answer_error(http_answer *answer, int status, const wm_error *err)
{
    wm_buf_free(&answer->body);
    answer->status = status;
    answer->type = "application/json";
    answer->constant = NULL;
    wm_buf *out = &answer->body;
    wm_buf_format(out, "{\"error\":{\"status\":%d,\"text\":", (int)err->code);
    wm_buf_json_string(out, err->text);
    wm_buf_format(out, ",\"line\":%ld,\"column\":%ld}}\n", err->line, err->column);
}

void answer_warnings(wm_buf *out, const wm_warnings *warnings)
{
    wm_buf_text(out, "[");
    for (size_t i = 0; i < warnings->count; i++) {
        wm_buf_text(out, i ? ",{\"code\":" : "{\"code\":");
        wm_buf_json_string(out, warnings->items[i].code);
        wm_buf_text(out, ",\"text\":");
        wm_buf_json_string(out, warnings->items[i].text);
        wm_buf_text(out, "}");
    }
    wm_buf_text(out, "]");
}

wm_status call_body(wm_json_document **out, const desk_call *call, wm_error *err)
{
    wm_json_document *document = NULL;
    wm_status status =
        wm_json_parse(&document, call->request->body, call->request->body_size, "the request", WM_E_USAGE, err);
    if (!status && wm_json_kind_of(wm_json_root(document)) != WM_JSON_OBJECT) {
        wm_json_free(document);
        status = wm_fail(err, WM_E_USAGE, "the request is not a JSON object");
    }
    if (!status)
        *out = document;
    return status;
}

wm_status call_text(const char **out, const wm_json *object, const char *key, wm_error *err)
{
    const wm_json *value = wm_json_get(object, key);
    if (value && wm_json_kind_of(value) != WM_JSON_NULL && !wm_json_text(value))
        return wm_fail(err, WM_E_USAGE, "'%s' of the request is %s; it must be text", key, wm_json_kind_name(value));
    *out = wm_json_text(value) ? wm_json_text(value) : "";
    return WM_OK;
}

wm_status call_id(int64_t *out, const wm_json *object, const char *key, wm_error *err)
{
    const wm_json *value = wm_json_get(object, key);
    double number = 0;
    if (value && wm_json_kind_of(value) != WM_JSON_NULL &&
        (!wm_json_number(value, &number) || !(number >= 1 && number <= 2147483647.0)))
        return wm_fail(err, WM_E_USAGE, "'%s' of the request is not a number", key);
    *out = (int64_t)number;
    return WM_OK;
}

wm_status call_settings(wm_settings *out, const desk_call *call, wm_error *err)
{
    return context_settings(out, call->desk->a, err);
}

wm_status call_book(wm_book **out, const desk_call *call, wm_book_mode mode, wm_error *err)
{
    clock_reading clock;
    wm_status status = context_clock(&clock, call->desk->a, err);
    if (!status)
        status = context_open_book(out, call->desk->a, mode, err);
    if (!status)
        wm_book_set_day(*out, clock.day);
    return status;
}

wm_status answer_change(desk_call *call, wm_status (*change)(wm_book *, int64_t, wm_error *), wm_error *err)
{
    wm_book *book = NULL;
    pthread_mutex_lock(&call->desk->lock);
    wm_status status = call_book(&book, call, WM_BOOK_WRITE, err);
    if (!status)
        status = change(book, call->id, err);
    wm_book_close(book);
    pthread_mutex_unlock(&call->desk->lock);
    if (!status)
        wm_buf_text(answer_json(call), "{}\n");
    return status;
}

wm_status call_book_if_any(wm_book **out, const desk_call *call, wm_error *err)
{
    char path[PATH_SIZE];
    *out = NULL;
    wm_status status = context_book_path(path, call->desk->a, err);
    return status || !wm_file_exists(path) ? status : wm_book_open(out, path, WM_BOOK_READ, err);
}

/* --- wishes: the options of `match`, by their names --- */

/* What a request may ask; the rest of match's options name files of this machine or belong to the desk itself. */
static const char *const WISHES[] = { "gray-inside", "worn",  "goal",     "to-length", "natural-length",
                                      "arc",         "row",   "hair",     "amount",    "shedding",
                                      "color-line",  "cover", "in-stock", "max-price" };
enum { WISH_COUNT = sizeof WISHES / sizeof WISHES[0], WORDS_MOST = 64 };

struct wish_list {
    args a;
    char *words[WORDS_MOST];
    int count;
};

void wishes_free(wish_list *list)
{
    for (int i = 0; list && i < list->count; i++)
        free(list->words[i]);
    free(list);
}

const args *wishes_args(const wish_list *list)
{
    return &list->a;
}

static wm_status add_word(wish_list *list, const char *name, const char *value, wm_error *err)
{
    wm_buf word = { 0 };
    if (list->count == WORDS_MOST)
        return wm_fail(err, WM_E_USAGE, "the request has too many wishes");
    wm_buf_format(&word, "--%s", name);
    if (value)
        wm_buf_format(&word, "=%s", value);
    if (word.failed) {
        wm_buf_free(&word);
        return wm_fail_memory(err);
    }
    list->words[list->count++] = word.data;
    return WM_OK;
}

static wm_status add_wish(wish_list *list, const char *name, const wm_json *value, wm_error *err)
{
    wm_status status = WM_OK;
    switch (wm_json_kind_of(value)) {
    case WM_JSON_NULL:
    case WM_JSON_FALSE: return WM_OK;
    case WM_JSON_TRUE: return add_word(list, name, NULL, err);
    case WM_JSON_STRING: return add_word(list, name, wm_json_text(value), err);
    case WM_JSON_ARRAY:
        for (size_t i = 0; i < wm_json_count(value) && !status; i++)
            status = wm_json_text(wm_json_at(value, i))
                         ? add_word(list, name, wm_json_text(wm_json_at(value, i)), err)
                         : wm_fail(err, WM_E_USAGE, "the wish '%s' must be a list of texts", name);
        return status;
    default: return wm_fail(err, WM_E_USAGE, "the wish '%s' must be text", name);
    }
}

static bool is_wish(const char *name)
{
    for (size_t i = 0; i < WISH_COUNT; i++)
        if (strcmp(WISHES[i], name) == 0)
            return true;
    return false;
}

static wm_status parse_words(wish_list *list, const desk *d, wm_error *err)
{
    char program[] = "weftmatch", name[] = "match", photo[] = "";
    char *match[] = { program, name, photo };
    static const char *const OURS[] = { "book", "swatches", "date" };
    int used = 0;
    wm_status status = WM_OK;
    for (size_t i = 0; i < 3 && !status; i++)
        if (args_has(d->a, OURS[i]))
            status = add_word(list, OURS[i], args_text(d->a, OURS[i]), err);
    if (status)
        return status;
    if (list->count == WORDS_MOST || !(list->words[list->count] = wm_text_copy("photo"))) /* match wants one */
        return wm_fail_memory(err);
    list->count++;
    return args_parse(&list->a, verb_find(3, match, &used), list->count, list->words, err);
}

wm_status wishes_read(wish_list **out, const desk *d, const wm_json *object, wm_error *err)
{
    wish_list *list = calloc(1, sizeof *list);
    const char *name;
    wm_status status = list ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; !status && (name = wm_json_key_at(object, i)); i++)
        status = is_wish(name) ? add_wish(list, name, wm_json_get(object, name), err)
                               : wm_fail(err, WM_E_USAGE, "'%.40s' is not a wish this desk knows", name);
    if (!status)
        status = parse_words(list, d, err);
    if (status)
        wishes_free(list);
    else
        *out = list;
    return status;
}
