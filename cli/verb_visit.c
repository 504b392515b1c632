/* visit set: what was done at a saved visit. */
#include <stdio.h>
#include <string.h>

#include "context.h"
#include "match/stack.h"
#include "photo/photo.h"
#include "report/raster.h"
#include "say.h"
#include "verbs.h"

enum { AFTER_SIDE = 1200 };

/* Copies an option's text into a field of the visit; unchanged when it is not given. */
static wm_status take_text(char *out, size_t size, const args *a, const char *option, wm_error *err)
{
    const char *text = args_text(a, option);
    if (!text)
        return WM_OK;
    if (strlen(text) >= size || !wm_utf8_valid(text, strlen(text)))
        return wm_fail(err, WM_E_USAGE, "--%s is too long or no UTF-8; at most %zu bytes", option, size - 1);
    snprintf(out, size, "%s", text);
    return WM_OK;
}

/* Codes are checked where there is a catalogue to check them against. */
static wm_status take_installed(wm_visit *visit, const args *a, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    char path[PATH_SIZE];
    wm_stack stack;
    const wm_swatch *shades[WM_MAX_LAYERS];
    wm_error none;
    if (!args_has(a, "installed"))
        return WM_OK;
    wm_status status = wm_stack_parse(&stack, args_text(a, "installed"), err);
    if (status)
        return status;
    bool named = args_has(a, "swatches") || context_swatches_path(path, a, &none) == WM_OK;
    if (named)
        status = context_catalogue(&catalogue, a, err);
    if (!status && named)
        status = wm_stack_swatches(shades, &stack, &catalogue, err);
    wm_catalogue_free(&catalogue);
    if (!status && !named)
        say_hint(a, "no catalogue to check the codes against; they are saved as given");
    if (!status)
        visit->installed = stack;
    return status;
}

static wm_status take_charged(wm_visit *visit, const args *a, const char *currency, wm_error *err)
{
    const char *text = args_text(a, "charged");
    wm_status status = text ? wm_money_parse(&visit->charged_minor, text, currency, err) : WM_OK;
    if (text && !status)
        visit->has_charged = true;
    return status;
}

/* Before the book is open: it is not while a photo is read. */
static wm_status read_after(wm_bytes *jpeg, const args *a, const wm_settings *settings, wm_error *err)
{
    wm_photo *photo = NULL;
    wm_picture picture = { 0 };
    if (!args_has(a, "after"))
        return WM_OK;
    wm_status status = wm_photo_open(&photo, args_text(a, "after"), &settings->limits, err);
    if (!status)
        status = wm_photo_reduce(&picture, photo, AFTER_SIDE, err);
    if (!status)
        status = wm_raster_jpeg(jpeg, &picture, err);
    wm_picture_free(&picture);
    wm_photo_free(photo);
    return status;
}

int verb_visit_set(const args *a)
{
    wm_settings settings;
    wm_book *book = NULL;
    wm_visit visit = { 0 };
    wm_bytes after = { 0 };
    wm_error err;
    long id = 0;
    wm_status status = WM_OK;
    if (!wm_whole_parse(a->operands[0], 1, 2147483647L, &id))
        status = wm_fail(&err, WM_E_USAGE, "'%s' is no visit; give its number, see weftmatch client history NAME",
                         a->operands[0]);
    if (!status)
        status = context_settings(&settings, a, &err);
    if (!status)
        status = read_after(&after, a, &settings, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_WRITE, &err);
    if (!status)
        status = wm_book_visit_load(&visit, book, id, &err);
    if (!status)
        status = take_installed(&visit, a, &err);
    if (!status)
        status = take_text(visit.why, sizeof visit.why, a, "why", &err);
    if (!status)
        status = take_text(visit.note, sizeof visit.note, a, "note", &err);
    if (!status)
        status = take_charged(&visit, a, settings.plan.currency, &err);
    if (!status && after.size) {
        wm_bytes_free(&visit.after_jpeg);
        visit.after_jpeg = after;
        after = (wm_bytes){ 0 };
    }
    if (!status)
        status = wm_book_visit_update(book, &visit, &err);
    wm_bytes_free(&after);
    wm_visit_free(&visit);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "visit %ld is up to date", id);
    return 0;
}
