/* events: what the page is told without asking: server-sent events, a short line of JSON each. */
#ifndef CLI_DESK_EVENTS_H
#define CLI_DESK_EVENTS_H

#include <pthread.h>

#include "desk/http.h"

enum { EVENT_SIZE = 400, EVENTS_KEPT = 32 };

typedef struct desk_events {
    pthread_mutex_t lock;
    pthread_cond_t came;
    char kept[EVENTS_KEPT][EVENT_SIZE]; /* the last ones, event number n at n % EVENTS_KEPT */
    unsigned long count;
    bool ending;
} desk_events;

void events_start(desk_events *e);
/** name is a plain word, json one line. Longer ones are dropped: an event only says that there is something to ask. */
void events_send(desk_events *e, const char *name, const char *json);
/** Ends all streams. */
void events_end(desk_events *e);
void events_free(desk_events *e);

/** A stream of what comes from now on. */
wm_status events_stream(http_stream *out, desk_events *e, wm_error *err);

#endif
