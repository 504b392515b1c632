/* recheck: who would be served better by another catalogue. */
#include <stdlib.h>

#include "consult/recheck.h"
#include "context.h"
#include "rechecked.h"
#include "say.h"
#include "verbs.h"

static void show_progress(void *user, size_t done, size_t total)
{
    say_progress_step(user, done, total);
}

static void text_line(wm_buf *out, const wm_rechecked *r)
{
    char a[48], b[48], held[WM_STACK_TEXT_SIZE], best[WM_STACK_TEXT_SIZE];
    wm_stack_text(held, &r->held, ",");
    wm_stack_text(best, &r->best, ",");
    wm_buf_format(out, "%s, visit %lld of %s: ", r->client, (long long)r->visit_id, r->date);
    if (r->held_by == WM_HELD_UNKNOWN)
        wm_buf_format(out, "what was installed is not known; now best %s, dE00 %s\n", best,
                      wm_number_text(a, r->best_de00, 1));
    else if (r->gain.earned) {
        wm_buf_format(out, "served better by %s\n    dE00 %s instead of ", best, wm_number_text(a, r->best_de00, 1));
        wm_buf_format(out, "%s with %s (%s); ", wm_number_text(a, r->held_de00, 1), held,
                      wm_recheck_held_name(r->held_by));
        wm_buf_format(out, "gain %s +- %s\n", wm_number_text(a, r->gain.de00, 1), wm_number_text(b, r->gain.u_de00, 1));
    } else {
        wm_buf_format(out, "nothing better than %s\n    gain %s", held, wm_number_text(a, r->gain.de00, 1));
        wm_buf_format(out, " +- %s, it would take %s\n", wm_number_text(a, r->gain.u_de00, 1),
                      wm_number_text(b, r->gain.needed, 1));
    }
}

static void write_text(wm_buf *out, const wm_rechecked *items, size_t count)
{
    size_t earned = 0;
    for (size_t i = 0; i < count; i++)
        earned += items[i].gain.earned;
    wm_buf_format(out, "%zu of %zu saved visit%s would be served better\n\n", earned, count, count == 1 ? "" : "s");
    for (size_t i = 0; i < count; i++)
        text_line(out, &items[i]);
}

int verb_recheck(const args *a)
{
    wm_settings settings;
    wm_catalogue catalogue = { 0 };
    wm_book *book = NULL;
    wm_rechecked *items = NULL;
    size_t count = 0;
    wm_buf out = { 0 };
    wm_error err;
    wm_recheck_input input = { .settings = &settings, .catalogue = &catalogue, .progress = show_progress };
    say_progress progress = say_progress_start(a, "visits");
    input.user = &progress;
    wm_status status = context_jobs(&input.jobs, a, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_READ, &err);
    if (!status)
        status = wm_settings_load(&settings, book, &err);
    if (!status)
        status = context_catalogue(&catalogue, a, &err);
    input.book = book;
    if (!status)
        status = wm_recheck(&items, &count, &input, &err);
    say_progress_end(&progress);
    wm_book_close(book);
    if (!status && args_has(a, "json"))
        rechecked_write_json(&out, items, count);
    else if (!status)
        write_text(&out, items, count);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    free(items);
    wm_buf_free(&out);
    wm_catalogue_free(&catalogue);
    return code;
}
