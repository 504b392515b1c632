/* book check, backup, import, log, undo, redo. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "context.h"
#include "say.h"
#include "verbs.h"

int verb_book_check(const args *a)
{
    wm_book *book = NULL;
    wm_warnings findings = { 0 };
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_check(book, &findings, &err);
    wm_book_close(book);
    for (size_t i = 0; i < findings.count; i++)
        wm_buf_format(&out, "%s\n", findings.items[i].text);
    if (findings.count == 0)
        wm_buf_text(&out, "the book is whole\n");
    int code = status ? say_error(&err) : say_result(&out);
    if (!code && findings.count) {
        say_hint(a, "go back to the last backup; keep the damaged file");
        code = 1;
    }
    wm_buf_free(&out);
    wm_warnings_free(&findings);
    return code;
}

int verb_book_backup(const args *a)
{
    wm_book *book = NULL;
    wm_error err;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_book_backup(book, a->operands[0], &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "%s holds all of the book; it is readable by you only", a->operands[0]);
    return 0;
}

static wm_status count(size_t *clients, size_t *visits, const args *a, wm_error *err)
{
    wm_book *book = NULL;
    wm_client *list = NULL;
    int64_t *ids = NULL;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_client_list(&list, clients, book, err);
    if (!status)
        status = wm_book_visit_ids(&ids, visits, book, 0, err);
    wm_book_close(book);
    free(list);
    free(ids);
    return status;
}

int verb_book_import(const args *a)
{
    char path[PATH_SIZE];
    size_t clients = 0, visits = 0;
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = context_book_path(path, a, &err);
    if (!status)
        status = wm_book_import(path, a->operands[0], &err);
    if (!status)
        status = count(&clients, &visits, a, &err);
    if (status)
        return say_error(&err);
    wm_buf_format(&out, "%zu client%s, %zu visit%s\n", clients, clients == 1 ? "" : "s", visits,
                  visits == 1 ? "" : "s");
    int code = say_result(&out);
    wm_buf_free(&out);
    say_hint(a, "the book is %s; the catalogue is a file of its own: bring it along", path);
    return code;
}

/* "   7  2026-03-31  visit 3 of Anna Berg saved", what was taken back in brackets. */
static void write_change(wm_buf *out, const wm_change *c)
{
    wm_buf_format(out, "%4lld  %-10s  %s%s%s\n", (long long)c->id, c->date, c->undone ? "(" : "", c->told,
                  c->undone ? ")" : "");
}

int verb_book_log(const args *a)
{
    wm_book *book = NULL;
    wm_client client = { 0 };
    wm_change *changes = NULL;
    size_t count = 0;
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status && args_has(a, "client"))
        status = wm_book_client_find(&client, book, args_text(a, "client"), &err);
    if (!status)
        status = wm_book_changes(&changes, &count, book, client.id, &err);
    wm_book_close(book);
    for (size_t i = 0; i < count; i++)
        write_change(&out, &changes[i]);
    free(changes);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    wm_buf_free(&out);
    return code;
}

/* Says what will be done; only a plain "yes" does it. */
static wm_status ask(bool *go, const args *a, const char *what, const wm_change *c, wm_error *err)
{
    char answer[16] = "";
    *go = args_has(a, "yes");
    if (*go)
        return WM_OK;
    if (!isatty(STDIN_FILENO))
        return wm_fail(err, WM_E_USAGE, "this would %s: %.300s; say --yes", what, c->told);
    say_ask("%s %s%s%s? yes or no: ", what, c->told, *c->date ? ", of " : "", c->date);
    *go = fgets(answer, sizeof answer, stdin) && strcmp(answer, "yes\n") == 0;
    return WM_OK;
}

typedef wm_status take(wm_change *out, wm_book *book, wm_error *err);

static int take_back(const args *a, const char *what, take *next, take *run)
{
    wm_book *book = NULL;
    wm_change change;
    wm_error err;
    bool go = false;
    wm_status status = context_open_book(&book, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = next(&change, book, &err);
    if (!status)
        status = ask(&go, a, what, &change, &err);
    if (!status && go)
        status = run(&change, book, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, go ? "taken back: %s" : "left as it is: %s", change.told);
    return go ? 0 : 1;
}

int verb_book_undo(const args *a)
{
    return take_back(a, "take back", wm_book_next_undo, wm_book_undo);
}

int verb_book_redo(const args *a)
{
    return take_back(a, "take back", wm_book_next_redo, wm_book_redo);
}
