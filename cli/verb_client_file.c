/* client export, import, forget: a client out of the book, into it, gone. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "consult/client_file.h"
#include "context.h"
#include "core/file.h"
#include "output.h"
#include "say.h"
#include "verbs.h"

#define IMPORT_LIMIT ((size_t)1 << 30)

int verb_client_export(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = WM_OK;
    if (!args_has(a, "output"))
        status = wm_fail(&err, WM_E_USAGE, "no file is given; say where hers goes with -o client.json");
    if (!status)
        status = output_check(a, &err);
    if (!status)
        status = context_open_client(&book, &client, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_client_file_write(&out, book, &client, &err);
    wm_book_close(book);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    if (!code)
        say_hint(a, "%s with %ld visit%s is in %s; it is private", client.name, client.visits,
                 client.visits == 1 ? "" : "s", args_text(a, "output"));
    wm_buf_free(&out);
    return code;
}

int verb_client_import(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_bytes bytes = { 0 };
    wm_error err;
    wm_status status = wm_file_read(&bytes, a->operands[0], IMPORT_LIMIT, WM_E_BOOK, &err);
    if (!status) /* a bad file must not make a book */
        status = wm_client_file_read(&client, NULL, (const char *)bytes.data, bytes.size, a->operands[0], &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_CREATE, &err);
    if (!status)
        status = wm_client_file_read(&client, book, (const char *)bytes.data, bytes.size, a->operands[0], &err);
    wm_book_close(book);
    wm_bytes_free(&bytes);
    if (status)
        return say_error(&err);
    wm_buf out = { 0 };
    wm_buf_format(&out, "%lld  %s\n", (long long)client.id, client.name);
    int code = say_result(&out);
    wm_buf_free(&out);
    return code;
}

/* Only a plain "yes" forgets her. */
static bool agreed(const args *a, const wm_client *client)
{
    char answer[16] = "";
    if (args_has(a, "yes"))
        return true;
    say_ask("forget %s and %ld visit%s for good? yes or no: ", client->name, client->visits,
            client->visits == 1 ? "" : "s");
    return fgets(answer, sizeof answer, stdin) && strcmp(answer, "yes\n") == 0;
}

int verb_client_forget(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_error err;
    wm_status status = context_open_client(&book, &client, a, WM_BOOK_WRITE, &err);
    if (!status && !args_has(a, "yes") && !isatty(STDIN_FILENO))
        status = wm_fail(&err, WM_E_USAGE, "forgetting %s can't be undone; to do it add --yes", client.name);
    bool go = !status && agreed(a, &client);
    if (go)
        status = wm_book_client_forget(book, client.id, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    if (go)
        say_hint(a, "%s is forgotten; backups and exported files still hold her", client.name);
    else
        say_hint(a, "%s is kept", client.name);
    return go ? 0 : 1;
}
