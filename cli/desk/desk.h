/* desk: what all requests share, and what a resource needs to answer one. A resource is one file with functions of the
 * type desk_route: they read the request, call the library as a verb of the command line would, and answer with its
 * JSON. The book is opened for each request and closed again, so that the command line can be used beside. */
#ifndef CLI_DESK_DESK_H
#define CLI_DESK_DESK_H

#include <pthread.h>

#include "context.h"
#include "core/json.h"
#include "desk/events.h"
#include "desk/guard.h"
#include "desk/http.h"
#include "desk/shelf.h"

typedef struct desk {
    const args *a; /* of `weftmatch desk`: book, catalogue, photo folder, date */
    guard guard;
    shelf *shelf; /* photos in work */
    desk_events events;
    pthread_mutex_t lock;   /* one request at a time changes the book or the catalogue */
    char folder[PATH_SIZE]; /* where photos arrive, "" for none */
} desk;

/** One request for a resource. `id` is the number in its path, 0 without one. */
typedef struct desk_call {
    desk *desk;
    const http_request *request;
    http_answer *answer;
    int64_t id;
} desk_call;

typedef wm_status desk_route(desk_call *call, wm_error *err);

/* Answering. A function that fails leaves the error; the caller of the route turns it into {"error": {..}}. */
wm_buf *answer_json(desk_call *call); /**< the body, to be written into */
void answer_error(http_answer *answer, int status, const wm_error *err);
int answer_status(wm_status status); /**< HTTP status of a library status */

/** The body as a JSON object; free with wm_json_free. */
wm_status call_body(wm_json_document **out, const desk_call *call, wm_error *err);
/** A text member of an object; "" when absent or null. WM_E_USAGE when it is something else. */
wm_status call_text(const char **out, const wm_json *object, const char *key, wm_error *err);
wm_status call_id(int64_t *out, const wm_json *object, const char *key, wm_error *err); /**< 0 when absent or null */

/** The book and settings of this call; *book NULL with the defaults when there is none yet. */
wm_status call_settings(wm_settings *out, const desk_call *call, wm_error *err);
wm_status call_book(wm_book **out, const desk_call *call, wm_book_mode mode, wm_error *err);
/** A list of warnings as [{"code", "text"}]. */
void answer_warnings(wm_buf *out, const wm_warnings *warnings);
/** One change of the book to what the path names, and an empty object as the answer. */
wm_status answer_change(desk_call *call, wm_status (*change)(wm_book *, int64_t, wm_error *), wm_error *err);
/** NULL and WM_OK when there is no book yet. */
wm_status call_book_if_any(wm_book **out, const desk_call *call, wm_error *err);

/** Words of `match` made from {"worn": "up", "arc": ["29"], "shedding": true}, checked as the command line checks them.
 * Lives as long as the document. */
typedef struct wish_list wish_list;
wm_status wishes_read(wish_list **out, const desk *d, const wm_json *object, wm_error *err);
const args *wishes_args(const wish_list *list);
void wishes_free(wish_list *list);

#endif
