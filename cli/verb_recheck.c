/* recheck: who would be better served by another catalogue. */
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
    char a[48], held[WM_STACK_TEXT_SIZE], best[WM_STACK_TEXT_SIZE];
    rechecked_codes(held, &r->held);
    rechecked_codes(best, &r->best);
    wm_buf_format(out, "%s, visit %lld of %s: ", r->client, (long long)r->visit_id, r->date);
    if (r->held_by == WM_HELD_UNKNOWN)
        wm_buf_format(out, "%s; best is now %s, dE00 %s\n", r->said, best, wm_number_text(a, r->best_de00, 1));
    else if (r->earned) {
        wm_buf_format(out, "better served by %s\n    dE00 %s instead of ", best, wm_number_text(a, r->best_de00, 1));
        wm_buf_format(out, "%s with %s (%s); better in %d of 100 tries\n", wm_number_text(a, r->held_de00, 1), held,
                      wm_recheck_held_name(r->held_by), (int)(100 * r->better_in + 0.5));
    } else
        wm_buf_format(out, "nothing better than %s by a clear margin\n    dE00 %s (%s)\n", held,
                      wm_number_text(a, r->held_de00, 1), wm_recheck_held_name(r->held_by));
}

static wm_status write_gains(wm_buf *out, const wm_rechecked *items, size_t count, bool latest, wm_error *err)
{
    wm_recheck_gain *gains = NULL;
    size_t n = 0;
    wm_status status = wm_recheck_gains(&gains, &n, items, count, err);
    if (n)
        wm_buf_text(out, "Shades that would serve most\n");
    for (size_t i = 0; i < n && i < 5; i++)
        wm_buf_format(out, "    %s: %zu %s%s\n", gains[i].code, gains[i].clients, latest ? "client" : "visit",
                      gains[i].clients == 1 ? "" : "s");
    wm_buf_text(out, n ? "\n" : "");
    free(gains);
    return status;
}

static wm_status write_text(wm_buf *out, const wm_rechecked *items, size_t count, bool latest, wm_error *err)
{
    size_t earned = 0;
    for (size_t i = 0; i < count; i++)
        earned += items[i].earned;
    wm_buf_format(out, "%zu of %zu saved visit%s would be better served\n\n", earned, count, count == 1 ? "" : "s");
    wm_status status = write_gains(out, items, count, latest, err);
    for (size_t i = 0; i < count; i++)
        text_line(out, &items[i]);
    return status;
}

int verb_recheck(const args *a)
{
    context_shop shop = { 0 };
    wm_rechecked *items = NULL;
    size_t count = 0;
    wm_buf out = { 0 };
    wm_error err;
    wm_recheck_input input = { .settings = &shop.settings, .catalogue = &shop.catalogue, .progress = show_progress };
    say_progress progress = say_progress_start(a, "visits");
    input.user = &progress;
    input.latest = args_has(a, "latest");
    wm_status status = context_jobs(&input.jobs, a, &err);
    if (!status)
        status = context_shop_open(&shop, a, &err);
    input.book = shop.book;
    if (!status)
        status = wm_recheck(&items, &count, &input, &err);
    say_progress_end(&progress);
    if (!status && args_has(a, "json"))
        status = rechecked_write_json(&out, items, count, &err);
    else if (!status)
        status = write_text(&out, items, count, input.latest, &err);
    int code = status ? say_error(&err) : context_write(a, args_text(a, "output"), &out, true);
    free(items);
    wm_buf_free(&out);
    context_shop_close(&shop);
    return code;
}
