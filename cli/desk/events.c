#include "desk/events.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "desk/desk.h"
#include "desk/resources.h"

enum { ALIVE_S = 10 }; /* a line at least so often, so that a closed page is noticed */

void events_start(desk_events *e)
{
    pthread_mutex_init(&e->lock, NULL);
    pthread_cond_init(&e->came, NULL);
}

void events_free(desk_events *e)
{
    pthread_cond_destroy(&e->came);
    pthread_mutex_destroy(&e->lock);
}

void events_send(desk_events *e, const char *name, const char *json)
{
    char line[EVENT_SIZE];
    if (snprintf(line, sizeof line, "event: %s\ndata: %s\n\n", name, json) >= (int)sizeof line)
        return;
    pthread_mutex_lock(&e->lock);
    memcpy(e->kept[e->count++ % EVENTS_KEPT], line, sizeof line);
    pthread_cond_broadcast(&e->came);
    pthread_mutex_unlock(&e->lock);
}

void events_end(desk_events *e)
{
    pthread_mutex_lock(&e->lock);
    e->ending = true;
    pthread_cond_broadcast(&e->came);
    pthread_mutex_unlock(&e->lock);
}

typedef struct listener {
    desk_events *events;
    unsigned long next;
    bool greeted;
} listener;

static size_t next_line(void *user, char *out, size_t most)
{
    listener *l = user;
    desk_events *e = l->events;
    struct timespec until;
    size_t n = 0;
    clock_gettime(CLOCK_REALTIME, &until);
    until.tv_sec += ALIVE_S;
    pthread_mutex_lock(&e->lock);
    if (e->count - l->next > EVENTS_KEPT)
        l->next = e->count - EVENTS_KEPT;
    while (l->greeted && !e->ending && l->next == e->count)
        if (pthread_cond_timedwait(&e->came, &e->lock, &until) == ETIMEDOUT)
            break;
    if (!e->ending) {
        const char *line = l->next < e->count ? e->kept[l->next++ % EVENTS_KEPT] : ":\n\n";
        n = strlen(line) < most ? strlen(line) : most;
        memcpy(out, line, n);
    }
    pthread_mutex_unlock(&e->lock);
    l->greeted = true;
    return n;
}

wm_status events_stream(http_stream *out, desk_events *e, wm_error *err)
{
    listener *l = calloc(1, sizeof *l);
    if (!l)
        return wm_fail_memory(err);
    pthread_mutex_lock(&e->lock);
    *l = (listener){ e, e->count, false };
    pthread_mutex_unlock(&e->lock);
    *out = (http_stream){ next_line, free, l };
    return WM_OK;
}

wm_status get_events(desk_call *call, wm_error *err)
{
    call->answer->type = "text/event-stream";
    return events_stream(&call->answer->stream, &call->desk->events, err);
}
