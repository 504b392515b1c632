/* complete: what may be typed next, a line each, for the shell. */
#include <stdlib.h>
#include <string.h>

#include "context.h"
#include "core/file.h"
#include "core/plain.h"
#include "match/shades.h"
#include "say.h"
#include "verbs.h"

/* A name that begins as typed, case and marks of letters aside. One that would be read as an option is typed by hand,
 * behind --. */
static void offer(wm_buf *out, const char *name, const char *typed, const char *end)
{
    char sought[256], beginning[256];
    if (*name == '-')
        return;
    wm_plain_sought(sought, sizeof sought, name);
    wm_plain_sought(beginning, sizeof beginning, typed);
    if (strncmp(sought, beginning, strlen(beginning)) == 0)
        wm_buf_format(out, "%s%s\n", name, end);
}

/* No book is no fault: nobody is in it. */
static wm_status offer_clients(wm_buf *out, const args *a, const char *typed, wm_error *err)
{
    char path[PATH_SIZE];
    wm_book *book = NULL;
    wm_client *clients = NULL;
    size_t count = 0;
    wm_status status = context_book_path(path, a, err);
    if (status || !wm_file_exists(path))
        return status;
    status = context_open_book(&book, a, WM_BOOK_READ, err);
    if (!status)
        status = wm_book_client_list(&clients, &count, book, err);
    wm_book_close(book);
    for (size_t i = 0; i < count && !status; i++)
        offer(out, clients[i].name, typed, "");
    free(clients);
    return status;
}

/* Each code once, though it is there in several lengths. */
static wm_status offer_codes(wm_buf *out, const args *a, const char *typed, const char *end, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    wm_status status = context_catalogue(&catalogue, a, err);
    for (size_t i = 0; i < catalogue.count && !status; i++)
        if (wm_catalogue_find(&catalogue, catalogue.items[i].code) == &catalogue.items[i])
            offer(out, catalogue.items[i].code, typed, end);
    wm_catalogue_free(&catalogue);
    return status;
}

static void offer_settings(wm_buf *out, const char *typed)
{
    const char *key, *help;
    for (size_t i = 0; (key = wm_settings_key(i, &help)); i++)
        offer(out, key, typed, "=");
}

int verb_complete(const args *a)
{
    static const char *const WHAT[] = { "clients", "codes", "shares", "settings", NULL };
    const char *typed = a->operand_count > 1 ? a->operands[1] : "";
    unsigned what = 0;
    wm_buf out = { 0 };
    wm_error err;
    wm_status status = WM_OK;
    if (!wm_word_find(WHAT, a->operands[0], &what))
        status = wm_fail(&err, WM_E_USAGE, "'%.40s' can't be completed; give clients, codes, shares or settings",
                         a->operands[0]);
    else if (what == 0)
        status = offer_clients(&out, a, typed, &err);
    else if (what < 3)
        status = offer_codes(&out, a, typed, what == 2 ? "=" : "", &err);
    else
        offer_settings(&out, typed);
    int code = status ? say_error(&err) : say_result(&out);
    wm_buf_free(&out);
    return code;
}
