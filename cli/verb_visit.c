/* visit add, set, move, remove, restore: a visit without a photo; what was done at a saved visit, and putting it right.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "client_pages.h"
#include "consult/finished.h"
#include "consult/hand_over.h"
#include "consult/noticed.h"
#include "consult/saved.h"
#include "consult/settle.h"
#include "context.h"
#include "core/plain.h"
#include "history.h"
#include "match/stack.h"
#include "photo/photo.h"
#include "say.h"
#include "verbs.h"

/* Copies an option's text into a field of the visit; unchanged when it is not given. */
static wm_status take_text(char *out, size_t size, const args *a, const char *option, wm_error *err)
{
    const char *text = args_text(a, option);
    if (!text)
        return WM_OK;
    if (strlen(text) >= size || !wm_plain_line(text))
        return wm_fail(err, WM_E_USAGE, "--%s is one line of plain text, at most %zu bytes; shorten it", option,
                       size - 1);
    snprintf(out, size, "%s", text);
    return WM_OK;
}

/* Codes are checked where there is a catalogue to check them against. A shade that is no longer sold was sewn on
 * before, or stands on paper: that is said, not refused. */
static wm_status check_codes(const wm_visit *visit, const wm_stack *stack, wm_book *book, const wm_catalogue *catalogue,
                             wm_error *err)
{
    const char *codes[2 * WM_MAX_LAYERS];
    const wm_swatch *shades[WM_MAX_LAYERS];
    const size_t count = wm_stack_shades(codes, stack);
    wm_status status = WM_OK;
    for (size_t i = 0; i < count && !status; i++) {
        bool sold_once = visit->id == 0;
        if (wm_catalogue_find(catalogue, codes[i]))
            continue;
        if (!sold_once)
            status = wm_book_was_sewn(&sold_once, book, codes[i], err);
        if (!status && !sold_once)
            status = wm_stack_swatches(shades, stack, catalogue, err);
        else if (!status)
            say_line("the catalogue has no shade '%s'; it is noted as given", codes[i]);
    }
    return status;
}

/* Where no catalogue is at hand: a code that is nearly the one of a shade that her photo was compared with is a slip.
 */
static wm_status check_against_report(const wm_visit *visit, const wm_stack *stack, wm_error *err)
{
    const char *codes[2 * WM_MAX_LAYERS], *near;
    const size_t count = wm_stack_shades(codes, stack);
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? wm_saved_report(report, visit, err) : wm_fail_memory(err);
    const size_t known = !status && report->ranking_count ? report->rankings[0].count : 0;
    const char **names = calloc(known + 1, sizeof *names); /* known may be 0 */
    if (!status && !names)
        status = wm_fail_memory(err);
    for (size_t i = 0; i < known && !status; i++)
        names[i] = report->rankings[0].items[i].code;
    for (size_t i = 0; i < count && !status; i++)
        if ((near = wm_near_miss(codes[i], names, known)) != NULL && strcmp(near, codes[i]) != 0)
            status = wm_fail(err, WM_E_INPUT,
                             "the visit's report knows no shade '%s'; did you mean '%s'? If not, name your catalogue "
                             "with --swatches",
                             codes[i], near);
    free(names);
    if (report)
        wm_report_free(report);
    free(report);
    return status;
}

/* The layers of what the visit proposes. */
static wm_status proposed_layers(wm_stack *out, const wm_visit *visit, wm_error *err)
{
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? wm_saved_report(report, visit, err) : wm_fail_memory(err);
    *out = (wm_stack){ 0 };
    if (!status && report->proposal_count)
        wm_report_stack(out, &report->proposals[0]);
    for (size_t i = 0; i < out->count; i++) /* told in codes alone */
        out->layers[i].pieces = 0, out->layers[i].second[0] = '\0', out->layers[i].second_share = 0;
    if (!status && !out->count)
        status =
            wm_fail(err, WM_E_BOOK, "visit %lld proposes nothing; say the codes, front first: --installed CODE,CODE",
                    (long long)visit->id);
    if (report)
        wm_report_free(report);
    free(report);
    return status;
}

static const char *const PROPOSED = "proposed";

static wm_status take_installed(wm_visit *visit, wm_book *book, const args *a, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    char path[PATH_SIZE];
    wm_stack stack;
    wm_error none;
    if (!args_has(a, "installed"))
        return WM_OK;
    bool named = args_has(a, "swatches") || context_swatches_path(path, a, &none) == WM_OK;
    wm_status status = named ? context_catalogue(&catalogue, a, err) : WM_OK;
    const char *text = args_text(a, "installed");
    const char *word = wm_catalogue_find(&catalogue, text) ? NULL : wm_near_miss(text, &PROPOSED, 1);
    if (!status && word && strcmp(text, word) != 0)
        status = wm_fail(err, WM_E_USAGE, "--installed can't be '%s'; did you mean '%s'?", text, word);
    else if (!status && word)
        status = proposed_layers(&stack, visit, err);
    else if (!status)
        status = wm_stack_parse_known(&stack, text, &catalogue, err);
    if (!status)
        status = named ? check_codes(visit, &stack, book, &catalogue, err) : check_against_report(visit, &stack, err);
    wm_catalogue_free(&catalogue);
    if (!status && !named && !word)
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

static wm_status measure_after(wm_after *out, const wm_photo *photo, const args *a, wm_settings *settings,
                               wm_error *err)
{
    wm_consult_input in = { 0 };
    clock_reading clock;
    wm_zones zones = { 0 };
    wm_catalogue catalogue = { 0 };
    wm_warnings warnings = { 0 };
    wm_status status = context_consult(&in, a, settings, &clock, err);
    if (!status)
        status = context_zones(&zones, a, -1, err);
    if (!status && zones_need_catalogue(&zones))
        status = context_catalogue(&catalogue, a, err);
    in.photo = photo;
    in.zones = &zones;
    in.catalogue = catalogue.count ? &catalogue : NULL;
    if (!status)
        status = wm_after_measure(out, &warnings, &in, err);
    if (!status)
        say_warnings(a, &warnings, args_text(a, "after"));
    if (!status)
        status = wm_after_keep(out, photo, &zones, err);
    wm_warnings_free(&warnings);
    wm_catalogue_free(&catalogue);
    wm_zones_free(&zones);
    return status;
}

static bool worn_up(const args *a)
{
    return args_has(a, "worn") && strcmp(args_text(a, "worn"), "up") == 0;
}

/* Before the book is open: it is not while a photo is read. */
static wm_status read_after(wm_after *out, const args *a, wm_settings *settings, wm_error *err)
{
    wm_photo *photo = NULL;
    const bool marked = args_has(a, "zones") || args_has(a, "zone");
    if (!args_has(a, "after"))
        return marked || args_has(a, "worn")
                   ? wm_fail(err, WM_E_USAGE, "zones and --worn go with the photo after; name it with --after")
                   : WM_OK;
    if (args_has(a, "worn") && strcmp(args_text(a, "worn"), "both") == 0)
        return wm_fail(err, WM_E_USAGE, "a photo shows her hair worn one way; give --worn down or --worn up");
    wm_status status = wm_photo_open(&photo, args_text(a, "after"), &settings->limits, err);
    if (!status)
        status = marked ? measure_after(out, photo, a, settings, err) : wm_after_keep(out, photo, NULL, err);
    wm_photo_close(photo);
    return status;
}

/* What set and add begin with. */
static wm_status read_given(wm_settings *settings, wm_after *after, const args *a, wm_error *err)
{
    wm_status status = context_settings(settings, a, err);
    return status ? status : read_after(after, a, settings, err);
}

/* How near the row came, worst first said. */
static wm_status say_finished(const wm_visit *visit, bool up, const wm_settings *settings, wm_error *err)
{
    wm_finished *finished = calloc(1, sizeof *finished);
    wm_warnings warnings = { 0 };
    wm_buf out = { 0 };
    wm_status status = finished ? history_finished(finished, visit, settings, err) : wm_fail_memory(err);
    if (!status) {
        wm_noticed_after(&warnings, finished, up);
        say_plain_warnings(&warnings, NULL);
        history_write_finished(&out, finished);
        status = say_result(&out) ? wm_fail(err, WM_E_OUTPUT, "the result can't be written") : WM_OK;
    }
    wm_buf_free(&out);
    wm_warnings_free(&warnings);
    free(finished);
    return status;
}

static wm_status take_day(wm_visit *visit, const args *a, wm_error *err)
{
    wm_date date;
    const char *text = args_text(a, "on");
    if (!text)
        return WM_OK;
    if (!wm_date_parse(&date, text))
        return wm_fail(err, WM_E_USAGE, "--on can't be '%s'; give a day such as 2026-03-31", text);
    wm_date_text(visit->date, date);
    return WM_OK;
}

static void take_kind(wm_visit *visit, const args *a)
{
    if (args_has(a, "kind"))
        wm_visit_kind_parse(args_text(a, "kind"), &visit->kind);
}

/* Before anything is set, so that both in one go replace. */
static void clear(wm_visit *visit, const char *what)
{
    if (strcmp(what, "installed") == 0)
        visit->installed = (wm_stack){ 0 };
    else if (strcmp(what, "why") == 0)
        visit->why[0] = '\0';
    else if (strcmp(what, "note") == 0)
        visit->note[0] = '\0';
    else if (strcmp(what, "charged") == 0)
        visit->has_charged = false;
    else if (strcmp(what, "kind") == 0)
        visit->kind = WM_VISIT_UNSAID;
    else {
        wm_bytes_free(&visit->after_jpeg);
        wm_bytes_free(&visit->after_zones_json);
        wm_bytes_free(&visit->after_report_json);
    }
}

static wm_status take_all(wm_visit *visit, wm_book *book, const args *a, const wm_settings *settings, wm_error *err)
{
    clock_reading clock;
    wm_status status = context_clock(&clock, a, err);
    for (size_t i = 0; i < args_count(a, "clear"); i++)
        clear(visit, args_nth(a, "clear", i));
    if (!status)
        status = take_day(visit, a, err);
    if (!status)
        status = take_installed(visit, book, a, err);
    if (!status)
        status = take_text(visit->why, sizeof visit->why, a, "why", err);
    if (!status && args_has(a, "note"))
        status = wm_visit_add_note(visit, clock.day, args_text(a, "note"), err);
    if (!status)
        status = take_charged(visit, a, settings->plan.currency, err);
    if (!status)
        take_kind(visit, a);
    return status;
}

/* What was sewn on was said, or anything that it follows from. */
static bool settles(const args *a)
{
    bool cleared = false;
    for (size_t i = 0; i < args_count(a, "clear"); i++)
        cleared = cleared || strcmp(args_nth(a, "clear", i), "installed") == 0;
    return cleared || args_has(a, "installed") || args_has(a, "kind") || args_has(a, "new") || args_has(a, "lot");
}

/* What was sewn on is taken from stock. */
static wm_status settle_visit(wm_warnings *warnings, wm_book *book, wm_visit *visit, const args *a,
                              const wm_settings *settings, wm_error *err)
{
    wm_catalogue catalogue = { 0 };
    wm_stack fresh = { 0 };
    char path[PATH_SIZE], lot[WM_LOT_SIZE] = "";
    wm_error none;
    const bool named = args_has(a, "swatches") || context_swatches_path(path, a, &none) == WM_OK;
    wm_status status = named ? context_catalogue(&catalogue, a, err) : WM_OK;
    if (!status && args_has(a, "new"))
        status = wm_stack_parse_known(&fresh, args_text(a, "new"), &catalogue, err);
    if (!status)
        status = take_text(lot, sizeof lot, a, "lot", err);
    wm_settling settling = { named ? &catalogue : NULL, settings, args_has(a, "new") ? &fresh : NULL, lot };
    if (!status)
        status = wm_settle(warnings, book, visit, &settling, err);
    wm_catalogue_free(&catalogue);
    return status;
}

static wm_status open_visit(int64_t *id, wm_book **book, const args *a, wm_error *err)
{
    wm_status status = context_number(id, a->operands[0], "visit", "client history NAME", err);
    return status ? status : context_open_book(book, a, WM_BOOK_WRITE, err);
}

int verb_visit_set(const args *a)
{
    wm_settings settings;
    wm_book *book = NULL;
    wm_visit visit = { 0 };
    wm_after after = { 0 };
    wm_warnings warnings = { 0 };
    wm_change before = { 0 }, change = { 0 };
    wm_error err, none;
    int64_t id = 0;
    wm_status status = context_number(&id, a->operands[0], "visit", "client history NAME", &err);
    if (!status)
        status = read_given(&settings, &after, a, &err);
    if (!status)
        status = context_open_book(&book, a, WM_BOOK_WRITE, &err);
    if (!status)
        wm_book_next_undo(&before, book, &none);
    if (!status)
        status = wm_book_begin(book, &err); /* read and written in one: others who set something else keep it */
    const bool begun = !status;
    if (!status)
        status = wm_book_visit_load(&visit, book, id, &err);
    if (!status)
        status = take_all(&visit, book, a, &settings, &err);
    if (!status)
        status = wm_after_put(&visit, &after, worn_up(a), &err);
    if (!status)
        status = settles(a) ? settle_visit(&warnings, book, &visit, a, &settings, &err)
                            : wm_book_visit_update(book, &visit, &err);
    if (begun)
        status = wm_book_end(book, status, &err);
    if (!status)
        wm_book_next_undo(&change, book, &none); /* as the log tells it */
    if (!status && args_has(a, "charged"))
        status = wm_noticed_price(&warnings, book, &visit, &err);
    say_plain_warnings(&warnings, NULL);
    wm_warnings_free(&warnings);
    if (!status && after.json.size)
        status = say_finished(&visit, worn_up(a), &settings, &err);
    wm_after_free(&after);
    wm_visit_free(&visit);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    if (change.id != before.id)
        say_hint(a, "%s", change.told);
    else
        say_hint(a, "nothing to change: visit %lld says so already", (long long)id);
    return 0;
}

/* --- a visit without a photo --- */

/* At a move-up of which nothing else is said, what she wore until then is sewn on again. */
static wm_status take_worn(wm_visit *visit, wm_book *book, const args *a, wm_error *err)
{
    wm_client_latest latest;
    char wears[CLIENT_WEARS_SIZE];
    if (visit->kind != WM_VISIT_MOVEUP || visit->installed.count)
        return WM_OK;
    wm_status status = wm_book_client_latest_of(&latest, book, visit->client_id, err);
    if (status)
        return status;
    if (!latest.wears_id || strcmp(latest.wears_date, visit->date) > 0) {
        say_hint(a,
                 "what she wears is not known, so her next visit can't be reckoned; say it with --installed CODE,CODE");
        return WM_OK;
    }
    visit->installed = latest.wears;
    say_hint(a, "sewn on again what she has worn since %s: %s", latest.wears_date, client_wears(wears, &latest));
    return WM_OK;
}

static bool has_words(const args *a)
{
    static const char *const SAID[] = { "installed", "kind", "why", "note", "charged", "after" };
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++)
        if (args_has(a, SAID[i]))
            return true;
    return false;
}

static wm_status notice_added(wm_warnings *out, wm_book *book, const wm_visit *visit, wm_error *err)
{
    static const wm_report NOTHING_MEASURED;
    clock_reading today;
    wm_status status = context_today(&today, err);
    const wm_noticing noticing = { &NOTHING_MEASURED, visit->date, NULL, today.date, visit->id };
    if (!status)
        wm_noticed_visit(out, &noticing);
    if (!status)
        status = wm_noticed_same_day(out, book, visit, err);
    return status ? status : wm_noticed_price(out, book, visit, err);
}

/* One change of the book, taken back at once. */
static wm_status add_visit(wm_warnings *warnings, wm_book *book, wm_visit *visit, const args *a,
                           const wm_settings *settings, wm_error *err)
{
    wm_stack installed = visit->installed;
    wm_status status = wm_book_begin(book, err);
    if (status)
        return status;
    visit->installed = (wm_stack){ 0 }; /* settled below, which is what takes it from stock */
    status = wm_book_visit_save(&visit->id, book, visit, err);
    visit->installed = installed;
    if (!status && installed.count)
        status = settle_visit(warnings, book, visit, a, settings, err);
    return wm_book_end(book, status, err);
}

int verb_visit_add(const args *a)
{
    wm_settings settings;
    clock_reading clock;
    wm_book *book = NULL;
    wm_client client;
    wm_visit visit = { 0 };
    wm_after after = { 0 };
    wm_warnings warnings = { 0 };
    wm_buf out = { 0 };
    wm_error err;
    wm_status status =
        has_words(a) ? context_clock(&clock, a, &err)
                     : wm_fail(&err, WM_E_USAGE,
                               "what was done at the visit? say --kind, --installed, --charged or --note; a visit with "
                               "a photo is saved by weftmatch match PHOTO --client NAME");
    if (!status)
        status = read_given(&settings, &after, a, &err);
    if (!status)
        status = context_open_client(&book, &client, a, WM_BOOK_WRITE, &err);
    if (!status) {
        visit.client_id = client.id;
        memcpy(visit.date, clock.day, sizeof visit.date);
        status = take_all(&visit, book, a, &settings, &err);
    }
    if (!status)
        status = wm_after_put(&visit, &after, worn_up(a), &err);
    if (!status)
        status = take_worn(&visit, book, a, &err);
    if (!status)
        status = add_visit(&warnings, book, &visit, a, &settings, &err);
    if (!status)
        status = notice_added(&warnings, book, &visit, &err);
    say_plain_warnings(&warnings, NULL);
    if (!status)
        wm_buf_format(&out, "%lld  %s  %s\n", (long long)visit.id, visit.date, client.name);
    int code = status ? say_error(&err) : say_result(&out);
    wm_buf_free(&out);
    wm_warnings_free(&warnings);
    wm_after_free(&after);
    wm_visit_free(&visit);
    wm_book_close(book);
    return code;
}

int verb_visit_move(const args *a)
{
    wm_book *book = NULL;
    wm_client client;
    wm_error err;
    int64_t id = 0;
    wm_status status =
        args_has(a, "client") ? WM_OK : wm_fail(&err, WM_E_USAGE, "nobody is named; say whose it is: --client NAME");
    if (!status)
        status = open_visit(&id, &book, a, &err);
    if (!status)
        status = wm_book_client_find(&client, book, args_text(a, "client"), &err);
    if (!status)
        status = wm_visit_hand_over(book, id, &client, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "visit %lld is %s's now; book undo takes it back", (long long)id, client.name);
    return 0;
}

int verb_visit_remove(const args *a)
{
    wm_book *book = NULL;
    wm_error err;
    int64_t id = 0;
    wm_status status = open_visit(&id, &book, a, &err);
    if (!status)
        status = wm_book_visit_remove(book, id, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "visit %lld is removed; visit restore %lld brings it back", (long long)id, (long long)id);
    return 0;
}

int verb_visit_restore(const args *a)
{
    wm_book *book = NULL;
    wm_error err;
    int64_t id = 0;
    wm_status status = open_visit(&id, &book, a, &err);
    if (!status)
        status = wm_book_visit_restore(book, id, &err);
    wm_book_close(book);
    if (status)
        return say_error(&err);
    say_hint(a, "visit %lld is back as it was", (long long)id);
    return 0;
}
