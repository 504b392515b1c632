#include "client_pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "consult/orders.h"
#include "consult/pictures.h"
#include "consult/saved.h"
#include "report/html_gallery.h"
#include "report/html_history.h"

/* --- one client --- */

/* What a visit of the page is made of. */
typedef struct visit_texts {
    wm_buf money, wefts, after;
} visit_texts;

static void write_money(wm_buf *out, const wm_visit *v, const char *currency)
{
    char amount[WM_MONEY_SIZE];
    if (v->has_charged)
        wm_buf_text(out, wm_money_text(amount, v->charged_minor, currency));
    if (v->has_deposit)
        wm_buf_format(out, "%sdeposit %s", v->has_charged ? ", " : "",
                      wm_money_text(amount, v->deposit_minor, currency));
}

/* "moth, 50 cm, lot 2611: new" */
static void write_wefts(wm_buf *out, const wm_visit *v, wm_units units)
{
    char length[WM_LENGTH_SIZE];
    for (size_t i = 0; i < v->sewn_count; i++) {
        const wm_sewn *s = &v->sewn[i];
        wm_buf_text(out, s->code);
        if (s->length_cm > 0)
            wm_buf_format(out, ", %s", wm_length_text(length, s->length_cm, units, 0));
        if (*s->lot)
            wm_buf_format(out, ", lot %s", s->lot);
        if (s->worn)
            wm_buf_format(out, ": sewn on again, worn at %d visit%s before\n", s->worn, s->worn == 1 ? "" : "s");
        else
            wm_buf_text(out, ": new\n");
    }
}

static const char *text_of(wm_buf *buf, wm_buf *page)
{
    page->failed = page->failed || buf->failed;
    return buf->data && !buf->failed ? buf->data : "";
}

static void fill_visit(wm_history_visit *out, visit_texts *texts, const history_line *line, const wm_settings *s)
{
    write_money(&texts->money, &line->visit, s->plan.currency);
    write_wefts(&texts->wefts, &line->visit, s->plan.units);
    history_write_finished(&texts->after, line->finished);
    *out = (wm_history_visit){ .id = line->id,
                               .report = line->report,
                               .kind = wm_visit_kind_name(line->visit.kind),
                               .off = HISTORY_JUDGED[line->judged],
                               .photo_jpeg = &line->visit.photo_jpeg,
                               .after_jpeg = &line->visit.after_jpeg };
}

static wm_status write_visits(wm_buf *out, wm_history_page *page, const history *h, const wm_settings *settings,
                              wm_error *err)
{
    wm_history_item *items = history_items(h, settings->plan.currency);
    wm_history_visit *visits = calloc(h->count + 1, sizeof *visits);
    visit_texts *texts = calloc(h->count + 1, sizeof *texts);
    wm_status status = visits && texts && (items || !h->count) ? WM_OK : wm_fail_memory(err);
    for (size_t i = 0; i < h->count && !status; i++) {
        fill_visit(&visits[i], &texts[i], &h->lines[i], settings);
        visits[i].item = &items[i];
        visits[i].money = text_of(&texts[i].money, out);
        visits[i].wefts = text_of(&texts[i].wefts, out);
        visits[i].after = text_of(&texts[i].after, out);
    }
    page->visits = visits;
    page->visit_count = h->count;
    if (!status)
        status = wm_history_to_html(out, page, err);
    for (size_t i = 0; i < h->count && texts; i++) {
        wm_buf_free(&texts[i].money);
        wm_buf_free(&texts[i].wefts);
        wm_buf_free(&texts[i].after);
    }
    free(texts);
    free(visits);
    free(items);
    return status;
}

const char *client_wears(char out[CLIENT_WEARS_SIZE], const wm_client_latest *latest)
{
    const char *before = ", with pieces of ";
    wm_stack_text(out, &latest->wears, " / ");
    for (size_t i = 0; i < latest->shade_count; i++)
        if (!wm_stack_has_layer(&latest->wears, latest->shades[i])) {
            const size_t used = strlen(out);
            snprintf(out + used, CLIENT_WEARS_SIZE - used, "%s%s", before, latest->shades[i]);
            before = " and ";
        }
    return out;
}

bool client_next_day(char out[WM_DATE_SIZE], const wm_client_latest *latest, const wm_settings *settings)
{
    wm_date day;
    bool agreed = false;
    out[0] = '\0';
    if (latest->visit_id && (latest->kind != WM_VISIT_REMOVAL || *latest->coming) &&
        wm_next_visit_day(&day, &agreed, latest, settings->plan.moveup_weeks))
        wm_date_text(out, day);
    return agreed;
}

wm_status client_page_write(wm_buf *out, const page_source *from, int64_t client_id, wm_error *err)
{
    wm_settings settings;
    wm_client_latest latest;
    history h = { 0 };
    char words[WM_TREND_WORDS_SIZE], next[WM_DATE_SIZE];
    wm_status status = wm_settings_load(&settings, from->book, err);
    if (!status)
        status = wm_book_client_latest_of(&latest, from->book, client_id, err);
    if (!status)
        status = history_load(&h, from->book, client_id, true, err);
    if (!status) {
        wm_history_page page = { .salon = settings.salon_name,
                                 .client = latest.client.name,
                                 .since = latest.client.since,
                                 .note = latest.client.note,
                                 .next_agreed = client_next_day(next, &latest, &settings),
                                 .next = next,
                                 .gray = history_measured_count(&h) > 1 ? &h.gray : NULL,
                                 .gray_words = wm_trend_words(words, &h.trend),
                                 .left_out = h.trend.left_out,
                                 .left_out_count = h.trend.left_out_count,
                                 .language = from->language };
        page.late = *next && strcmp(next, from->clock->day) < 0;
        status = write_visits(out, &page, &h, &settings, err);
    }
    history_free(&h);
    return status;
}

/* --- all clients --- */

enum { THUMBNAIL_SIDE = 320, KEPT_ONCE = 50 };

/* Of the visit at which they were sewn on; where no photo was measured then, of the last one that was. */
static wm_status load_colours(wm_report *out, wm_book *book, const wm_client_latest *latest, wm_error *err)
{
    wm_visit visit = { 0 };
    int64_t id = 0;
    wm_status status = wm_book_visit_load_parts(&visit, book, latest->wears_id, WM_VISIT_REPORTS, err);
    if (!status && !wm_saved_measured(&visit)) {
        wm_visit_free(&visit);
        status = wm_book_visit_last_measured(&id, book, latest->client.id, err);
        if (!status && id)
            status = wm_book_visit_load_parts(&visit, book, id, WM_VISIT_REPORTS, err);
        visit.installed = latest->wears;
    }
    if (!status)
        status = wm_saved_brief(out, &visit, err);
    wm_visit_free(&visit);
    return status;
}

/* The shades' colours, as a report of hers knew them. */
static wm_status fill_shades(wm_gallery_client *out, wm_book *book, const wm_client_latest *latest, wm_error *err)
{
    const char *codes[2 * WM_MAX_LAYERS], *name;
    if (!latest->wears.count)
        return WM_OK;
    wm_report *report = calloc(1, sizeof *report);
    wm_status status = report ? load_colours(report, book, latest, err) : wm_fail_memory(err);
    if (!status) {
        out->shade_count = wm_stack_shades(codes, &latest->wears);
        wm_stack_text(out->layers, &latest->wears, " / ");
    }
    for (size_t i = 0; i < out->shade_count; i++) {
        snprintf(out->shades[i].code, sizeof out->shades[i].code, "%s", codes[i]);
        out->shades[i].known = wm_report_find_shade(&name, &out->shades[i].lab, report, codes[i]);
    }
    if (report)
        wm_report_free(report);
    free(report);
    return status;
}

/* A page on its way. */
typedef struct gallery_work {
    wm_book *book;
    const wm_settings *settings;
    const char *today;
    bool keeps;                   /* what is made is kept in the book */
    wm_thumbnail made[KEPT_ONCE]; /* not yet; their bytes are the page's */
    size_t made_count;
} gallery_work;

/* Where the book takes none, being full or another's just then, they are made again next time. */
static void keep_made(gallery_work *w)
{
    wm_error none;
    if (w->keeps && w->made_count)
        w->keeps = !wm_book_keep_thumbnails(w->book, w->made, w->made_count, &none);
    w->made_count = 0;
}

/* A picture that can't be read is left out: the page is about more than that one. */
static wm_status make_thumbnail(wm_bytes *out, gallery_work *w, const wm_thumbnail *of, int64_t client_id,
                                wm_error *err)
{
    wm_bytes picture = { 0 };
    wm_status status = wm_book_client_picture(&picture, w->book, client_id, err);
    if (!status)
        status = wm_pictures_thumbnail(out, &picture, THUMBNAIL_SIDE, err);
    wm_bytes_free(&picture);
    if (status)
        return status == WM_E_PHOTO ? WM_OK : status;
    w->made[w->made_count++] = (wm_thumbnail){ of->visit_id, *out };
    if (w->made_count == KEPT_ONCE)
        keep_made(w);
    return WM_OK;
}

static wm_status fill_picture(wm_gallery_client *out, gallery_work *w, wm_error *err)
{
    wm_thumbnail kept = { 0 };
    wm_status status = wm_book_client_thumbnail(&kept, w->book, out->id, err);
    out->picture_jpeg = kept.jpeg;
    return status || kept.jpeg.size || !kept.visit_id ? status
                                                      : make_thumbnail(&out->picture_jpeg, w, &kept, out->id, err);
}

static wm_status fill_client(wm_gallery_client *out, gallery_work *w, const wm_client_latest *latest, wm_error *err)
{
    out->id = latest->client.id;
    out->name = latest->client.name;
    out->note = latest->client.note;
    out->visits = latest->client.visits;
    out->last = latest->date;
    out->next_agreed = client_next_day(out->next, latest, w->settings);
    out->late = *out->next && strcmp(out->next, w->today) < 0;
    wm_status status = fill_shades(out, w->book, latest, err);
    return status ? status : fill_picture(out, w, err);
}

wm_status gallery_write(wm_buf *out, const page_source *from, bool keeps, say_progress *progress, wm_error *err)
{
    wm_settings settings;
    wm_client_latest *latest = NULL;
    wm_gallery gallery = { .today = from->clock->day, .language = from->language };
    gallery_work w = { .book = from->book, .settings = &settings, .today = from->clock->day, .keeps = keeps };
    wm_status status = wm_settings_load(&settings, from->book, err);
    if (!status)
        status = wm_book_client_latest(&latest, &gallery.count, from->book, err);
    if (!status && !(gallery.clients = calloc(gallery.count + 1, sizeof *gallery.clients)))
        status = wm_fail_memory(err);
    for (size_t i = 0; i < gallery.count && !status; i++) {
        status = fill_client(&gallery.clients[i], &w, &latest[i], err);
        say_progress_step(progress, i + 1, gallery.count);
    }
    keep_made(&w);
    if (!status) {
        gallery.salon = settings.salon_name;
        status = wm_gallery_to_html(out, &gallery, err);
    }
    for (size_t i = 0; gallery.clients && i < gallery.count; i++)
        wm_bytes_free(&gallery.clients[i].picture_jpeg);
    free(gallery.clients);
    free(latest);
    return status;
}
