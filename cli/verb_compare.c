/* compare: two photos or two saved visits of one head. */
#include <stdlib.h>
#include <string.h>

#include "consult/compare.h"
#include "context.h"
#include "output.h"
#include "page/languages.h"
#include "say.h"
#include "verbs.h"

/* One of the two photos with all that measuring it needs. */
typedef struct side {
    wm_consult_input in;
    wm_zones zones;
    wm_photo *photo;
} side;

typedef struct compare_job {
    const args *a;
    wm_settings settings;
    clock_reading clock;
    wm_catalogue catalogue;
    side sides[2];
    wm_visit visits[2];
    wm_comparison comparison;
} compare_job;

static wm_status open_side(compare_job *j, size_t i, wm_error *err)
{
    side *s = &j->sides[i];
    wm_status status = context_zones(&s->zones, j->a, args_count(j->a, "zones") > 1 ? (long)i : -1, err);
    if (!status && zones_need_catalogue(&s->zones) && j->catalogue.count == 0)
        status = context_catalogue(&j->catalogue, j->a, err);
    if (!status)
        status = wm_photo_open(&s->photo, j->a->operands[i], &j->settings.limits, err);
    s->in.photo = s->photo;
    s->in.zones = &s->zones;
    s->in.catalogue = &j->catalogue;
    return status;
}

static wm_status compare_photos(compare_job *j, wm_error *err)
{
    if (j->a->operand_count != 2)
        return wm_fail(err, WM_E_USAGE,
                       "nothing to compare with; give two photos with --zones for each, in order, or --visits OLD NEW");
    wm_status status = WM_OK;
    for (size_t i = 0; i < 2 && !status; i++)
        status = context_consult(&j->sides[i].in, j->a, &j->settings, &j->clock, err);
    for (size_t i = 0; i < 2 && !status; i++)
        status = open_side(j, i, err);
    return status ? status : wm_compare_photos(&j->comparison, &j->sides[0].in, &j->sides[1].in, err);
}

/* `--visits 3 5` leaves the second as an operand; `--visits 3 --visits 5` works too. */
static wm_status visit_number(int64_t *id, const char *text, wm_error *err)
{
    long number = 0;
    if (!text || !wm_whole_parse(text, 1, 2147483647L, &number))
        return wm_fail(err, WM_E_USAGE,
                       "--visits needs two numbers of visits, such as --visits 3 5; see weftmatch client history NAME");
    *id = number;
    return WM_OK;
}

static wm_status compare_visits(compare_job *j, wm_error *err)
{
    wm_book *book = NULL;
    int64_t ids[2] = { 0, 0 };
    bool both = args_count(j->a, "visits") == 2 && j->a->operand_count == 0;
    bool pair = args_count(j->a, "visits") == 1 && j->a->operand_count == 1;
    const char *other = pair ? j->a->operands[0] : NULL;
    wm_status status = visit_number(&ids[0], args_nth(j->a, "visits", 0), err);
    if (!status)
        status = visit_number(&ids[1], both ? args_nth(j->a, "visits", 1) : other, err);
    if (!status && ids[0] == ids[1])
        status = wm_fail(err, WM_E_USAGE, "both are visit %lld; name two", (long long)ids[0]);
    if (!status)
        status = context_open_book(&book, j->a, WM_BOOK_READ, err);
    for (size_t i = 0; i < 2 && !status; i++)
        status = wm_book_visit_load(&j->visits[i], book, ids[i], err);
    wm_book_close(book);
    if (!status && strcmp(j->visits[0].date, j->visits[1].date) > 0) { /* whichever was named first */
        const wm_visit later = j->visits[0];
        j->visits[0] = j->visits[1];
        j->visits[1] = later;
    }
    if (!status && j->visits[0].client_id != j->visits[1].client_id)
        say_hint(j->a, "these visits belong to two clients");
    return status ? status : wm_compare_visits(&j->comparison, &j->visits[0], &j->visits[1], err);
}

static int write_result(compare_job *j)
{
    wm_error err;
    wm_buf page = { 0 }, out = { 0 };
    wm_text_style style = say_style(j->a);
    const wm_language *language = NULL;
    int code = 0;
    wm_status status = language_find(&language, args_text(j->a, "language"), &err);
    if (!status && args_has(j->a, "html"))
        status = wm_comparison_to_html(&page, &j->comparison, language, &err);
    if (!status && args_has(j->a, "json"))
        status = wm_comparison_to_json(&out, &j->comparison, &err);
    else if (!status)
        status = wm_comparison_to_text(&out, &j->comparison, &style, &err);
    if (status)
        code = say_error(&err);
    else if (args_has(j->a, "html"))
        code = context_write(j->a, args_text(j->a, "html"), &page, true);
    if (!code)
        code = context_write(j->a, args_text(j->a, "output"), &out, true);
    wm_buf_free(&page);
    wm_buf_free(&out);
    return code;
}

int verb_compare(const args *a)
{
    wm_error err;
    compare_job *j = calloc(1, sizeof *j);
    if (!j) {
        wm_fail_memory(&err);
        return say_error(&err);
    }
    j->a = a;
    wm_status status = output_check(a, &err);
    if (!status)
        status = args_has(a, "visits") ? compare_visits(j, &err) : compare_photos(j, &err);
    int code = status ? say_error(&err) : write_result(j);
    wm_comparison_free(&j->comparison);
    for (size_t i = 0; i < 2; i++) {
        wm_visit_free(&j->visits[i]);
        wm_zones_free(&j->sides[i].zones);
        wm_photo_close(j->sides[i].photo);
    }
    wm_catalogue_free(&j->catalogue);
    free(j);
    return code;
}
