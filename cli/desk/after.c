/* The photo after the work: kept at its visit and, where it is marked, measured beside her own hair before. */
#include <stdlib.h>
#include <string.h>

#include "consult/finished.h"
#include "consult/noticed.h"
#include "desk/consultation.h"
#include "desk/resources.h"
#include "history.h"

/* Everything that lives as long as the request. */
typedef struct after_call {
    wm_settings settings;
    clock_reading clock;
    wm_consult_input in;
    wm_zones zones;
    wm_catalogue catalogue;
    bool marked, up, save;
    wm_after after;
    wm_warnings warnings;
    wm_visit visit;
    wm_finished finished;
} after_call;

static void after_call_free(after_call *c)
{
    if (c) {
        wm_visit_free(&c->visit);
        wm_warnings_free(&c->warnings);
        wm_after_free(&c->after);
        wm_catalogue_free(&c->catalogue);
        wm_zones_free(&c->zones);
    }
    free(c);
}

static wm_status gather(after_call *c, desk_call *call, const wm_json *body, wm_error *err)
{
    bool found = false;
    const char *worn = "", *zones = "";
    wm_status status = call_text(&worn, body, "worn", err);
    if (!status && *worn && strcmp(worn, "down") != 0 && strcmp(worn, "up") != 0)
        status = wm_fail(err, WM_E_USAGE, "a photo shows her hair worn one way; 'worn' is down or up");
    if (!status)
        status = call_text(&zones, body, "zones", err);
    if (!status)
        status = context_consult(&c->in, call->desk->a, &c->settings, &c->clock, err);
    c->up = strcmp(worn, "up") == 0;
    c->save = wm_json_kind_of(wm_json_get(body, "save")) == WM_JSON_TRUE;
    c->marked = *zones != '\0';
    if (!status && c->marked)
        status = consultation_zones(&c->zones, call, body, err);
    if (!status && c->marked)
        status = consultation_catalogue(&c->catalogue, &found, call->desk->a, err);
    c->in.zones = &c->zones;
    c->in.catalogue = found ? &c->catalogue : NULL;
    return status;
}

/* Without the book, which the command line may use meanwhile. */
static wm_status measure(after_call *c, desk_call *call, const wm_json *body, wm_error *err)
{
    shelf_photo *photo = NULL;
    int64_t id = 0;
    wm_status status = call_id(&id, body, "photo", err);
    if (!status)
        status = shelf_hold(&photo, call->desk->shelf, id, err);
    if (status)
        return status;
    c->in.photo = photo->photo;
    c->in.kept = photo->kept;
    if (c->marked)
        status = wm_after_measure(&c->after, &c->warnings, &c->in, err);
    if (!status && c->save)
        status = wm_after_keep(&c->after, photo->photo, c->marked ? &c->zones : NULL, err);
    shelf_release(call->desk->shelf, photo);
    return status;
}

static wm_status put(after_call *c, desk_call *call, wm_error *err)
{
    wm_book *book = NULL;
    wm_status status = call_book(&book, call, c->save ? WM_BOOK_WRITE : WM_BOOK_READ, err);
    if (!status && c->save)
        status = wm_book_begin(book, err); /* as patch_visit */
    const bool begun = !status && c->save;
    if (!status)
        status = wm_book_visit_load(&c->visit, book, call->id, err);
    if (!status)
        status = wm_after_put(&c->visit, &c->after, c->up, err);
    if (!status)
        status = history_finished(&c->finished, &c->visit, &c->settings, err);
    if (!status && c->marked)
        wm_noticed_after(&c->warnings, &c->finished, c->up);
    if (!status && c->save)
        status = wm_book_visit_update(book, &c->visit, err);
    if (begun)
        status = wm_book_end(book, status, err);
    wm_book_close(book);
    return status;
}

/* {"photo", "zones", "worn", "save"}: looked at, or kept. Without zones the photo alone is kept. */
wm_status post_visit_after(desk_call *call, wm_error *err)
{
    wm_json_document *body = NULL;
    after_call *c = calloc(1, sizeof *c);
    wm_status status = c ? call_body(&body, call, err) : wm_fail_memory(err);
    if (!status)
        status = gather(c, call, wm_json_root(body), err);
    if (!status)
        status = measure(c, call, wm_json_root(body), err);
    if (!status) {
        pthread_mutex_lock(&call->desk->lock);
        status = put(c, call, err);
        pthread_mutex_unlock(&call->desk->lock);
    }
    if (!status) {
        wm_buf *out = answer_json(call);
        wm_buf_text(out, "{\"warnings\":");
        answer_warnings(out, &c->warnings);
        history_write_finished_json(out, &c->finished);
        wm_buf_text(out, "}\n");
    }
    wm_json_free(body);
    after_call_free(c);
    return status;
}
