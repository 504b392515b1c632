#include "desk/routes.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "desk/assets.h"
#include "desk/resources.h"

enum { SMALL = 64 << 10, LARGE = 4 << 20, FILE_OF_CLIENT = 512 << 20, PHOTO = -1 /* as the photo setting allows */ };

/* `#` in a path is the number of one. */
static const struct route {
    const char *method, *path;
    desk_route *run;
    int body;         /* most bytes */
    const char *type; /* media type that the body must have */
} ROUTES[] = {
    { "GET", "/clients", get_clients, 0, NULL },
    { "POST", "/clients", post_client, SMALL, "application/json" },
    { "POST", "/clients/import", post_client_import, FILE_OF_CLIENT, "application/octet-stream" },
    { "GET", "/clients/#", get_client, 0, NULL },
    { "PATCH", "/clients/#", patch_client, SMALL, "application/json" },
    { "DELETE", "/clients/#", delete_client, 0, NULL },
    { "GET", "/clients/#/visits", get_client_visits, 0, NULL },
    { "GET", "/clients/#/export.json", get_client_export, 0, NULL },
    { "POST", "/visits", post_visit, LARGE, "application/json" },
    { "GET", "/visits/#", get_visit, 0, NULL },
    { "PATCH", "/visits/#", patch_visit, SMALL, "application/json" },
    { "DELETE", "/visits/#", delete_visit, 0, NULL },
    { "POST", "/visits/#/move", post_visit_move, SMALL, "application/json" },
    { "POST", "/undo", post_undo, SMALL, "application/json" },
    { "GET", "/visits/#/report.html", get_visit_report, 0, NULL },
    { "GET", "/visits/#/client.html", get_visit_client_page, 0, NULL },
    { "GET", "/visits/#/plan.ics", get_visit_calendar, 0, NULL },
    { "GET", "/visits/#/photo.jpg", get_visit_photo, 0, NULL },
    { "GET", "/visits/#/after.jpg", get_visit_after, 0, NULL },
    { "POST", "/visits/#/after", post_visit_after, LARGE, "application/json" },
    { "GET", "/visits/#/zones.json", get_visit_zones, 0, NULL },
    { "GET", "/photos", get_photos, 0, NULL },
    { "POST", "/photos", post_photo, PHOTO, "application/octet-stream" },
    { "POST", "/photos/folder", post_photo_of_folder, SMALL, "application/json" },
    { "GET", "/photos/#", get_photo, 0, NULL },
    { "GET", "/photos/#/preview", get_photo_preview, 0, NULL },
    { "POST", "/photos/#/match", post_photo_match, LARGE, "application/json" },
    { "POST", "/photos/#/held", post_photo_held, LARGE, "application/json" },
    { "GET", "/catalogue", get_catalogue, 0, NULL },
    { "PUT", "/catalogue", put_catalogue, LARGE, "application/json" },
    { "POST", "/catalogue/measure", post_catalogue_measure, LARGE, "application/json" },
    { "GET", "/orders", get_orders, 0, NULL },
    { "POST", "/stock", post_stock, SMALL, "application/json" },
    { "GET", "/recheck", get_recheck, 0, NULL },
    { "GET", "/settings", get_settings, 0, NULL },
    { "PATCH", "/settings", patch_settings, SMALL, "application/json" },
    { "POST", "/backup", post_backup, SMALL, "application/json" },
    { "GET", "/events", get_events, 0, NULL },
};
enum { ROUTE_COUNT = sizeof ROUTES / sizeof ROUTES[0] };

/* --- finding --- */

static bool path_fits(const char *pattern, const char *path, int64_t *id)
{
    const char *p = path;
    for (const char *q = pattern; *q; q++) {
        if (*q != '#') {
            if (*p++ != *q)
                return false;
            continue;
        }
        char digits[24];
        long number = 0;
        size_t n = strspn(p, "0123456789");
        snprintf(digits, sizeof digits, "%.*s", (int)(n < 20 ? n : 20), p);
        if (!wm_whole_parse(digits, 1, 2147483647L, &number))
            return false;
        *id = number;
        p += n;
    }
    return *p == '\0';
}

/* *known: the path is one of ours, if by another method. */
static const struct route *route_of(const http_request *request, int64_t *id, bool *known)
{
    *known = false;
    for (size_t i = 0; i < ROUTE_COUNT; i++) {
        if (!path_fits(ROUTES[i].path, request->path, id))
            continue;
        *known = true;
        if (strcmp(ROUTES[i].method, request->method) == 0)
            return &ROUTES[i];
    }
    return NULL;
}

/* --- refusing, before anything is read --- */

static bool refuse(http_answer *answer, int status, const char *text)
{
    wm_error err = { .code = WM_E_USAGE };
    snprintf(err.text, sizeof err.text, "%s", text);
    answer_error(answer, status, &err);
    return false;
}

static bool type_fits(const http_request *request, const char *type)
{
    const char *given = http_header(request, "Content-Type");
    size_t n = given ? strcspn(given, "; ") : 0;
    return n == strlen(type) && strncasecmp(given, type, n) == 0;
}

static wm_status most_of_photo(size_t *most, desk *d, wm_error *err)
{
    wm_settings settings;
    wm_status status = context_settings(&settings, d->a, err);
    if (!status)
        *most = (size_t)(settings.limits.max_file_mib * 1024 * 1024);
    return status;
}

static bool admit_body(desk *d, const struct route *route, const http_request *request, http_answer *answer,
                       size_t *most)
{
    const char *length = http_header(request, "Content-Length");
    long bytes = 0;
    wm_error err;
    *most = route->body > 0 ? (size_t)route->body : 0;
    if (route->type && !type_fits(request, route->type))
        return refuse(answer, 415, "the body is of another kind than this address takes");
    if (route->body == PHOTO && most_of_photo(most, d, &err)) {
        answer_error(answer, answer_status(err.code), &err);
        return false;
    }
    if (length && (!wm_whole_parse(length, 0, LONG_MAX, &bytes) || (size_t)bytes > *most))
        return refuse(answer, 413,
                      route->body == PHOTO ? "the photo's file is larger than the setting max_file_mib allows"
                                           : "this is too large");
    return true;
}

bool routes_admit(void *user, const http_request *request, http_answer *answer, size_t *most)
{
    desk *d = user;
    int64_t id = 0;
    bool known = false;
    const char *why = guard_refuses(&d->guard, request);
    if (why)
        return refuse(answer, 403, why);
    *most = 0;
    if (strcmp(request->method, "GET") == 0 && assets_find(request->path))
        return true;
    const struct route *route = route_of(request, &id, &known);
    if (!route && known)
        return refuse(answer, 405, "this address does not do that");
    if (!route)
        return refuse(answer, 404, "there is nothing at this address");
    return admit_body(d, route, request, answer, most);
}

/* --- answering --- */

/* The token has done its work: it is dropped from the address, where it could be seen or bookmarked. */
static void let_in(const desk *d, http_answer *answer)
{
    answer->status = 303;
    answer->type = "text/plain; charset=utf-8";
    snprintf(answer->location, sizeof answer->location, "/");
    guard_cookie(&d->guard, answer->cookie, sizeof answer->cookie);
}

void routes_answer(void *user, const http_request *request, http_answer *answer)
{
    desk *d = user;
    desk_call call = { d, request, answer, 0 };
    wm_error err = { 0 };
    bool known;
    const asset *page = assets_find(request->path);
    if (page && guard_lets_in(&d->guard, request)) {
        let_in(d, answer);
        return;
    }
    if (page) {
        answer->type = page->type;
        answer->constant = page->bytes;
        answer->constant_size = page->size;
        return;
    }
    const struct route *route = route_of(request, &call.id, &known);
    wm_status status = route ? route->run(&call, &err) : wm_fail(&err, WM_E_USAGE, "there is nothing at this address");
    if (!status)
        status = wm_buf_status(&answer->body, &err);
    if (status)
        answer_error(answer, answer->status >= 400 ? answer->status : answer_status(status), &err);
}
