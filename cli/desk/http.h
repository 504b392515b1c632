/* http: HTTP/1.1 on this machine's own addresses; the only user of libmicrohttpd. A request is plain data, so that
 * everything behind it can be tested and fuzzed without a socket. */
#ifndef CLI_DESK_HTTP_H
#define CLI_DESK_HTTP_H

#include "core/buf.h"
#include "core/status.h"

enum { HTTP_PAIRS = 64, HTTP_CONNECTIONS = 48 };

typedef struct http_pair {
    const char *name, *value; /* value "" when there is none */
} http_pair;

typedef struct http_request {
    const char *method, *path; /* the path is decoded and has no query */
    http_pair headers[HTTP_PAIRS], query[HTTP_PAIRS];
    size_t header_count, query_count;
    const char *body; /* NUL-terminated; NULL until all of it has come */
    size_t body_size;
} http_request;

/** A header by its name whatever the case, or a member of the query; NULL when absent or given twice. */
const char *http_header(const http_request *request, const char *name);
const char *http_query(const http_request *request, const char *name);

/** An answer that goes on: `next` waits for bytes and writes at most `most`; 0 ends it. It is called from the
 * connection's own thread. */
typedef struct http_stream {
    size_t (*next)(void *user, char *out, size_t most);
    void (*end)(void *user);
    void *user;
} http_stream;

/** Zero-initialised: 200 with an empty body. What body holds is freed after sending. */
typedef struct http_answer {
    int status;
    const char *type; /* a media type; lent, static */
    wm_buf body;
    const void *constant; /* in place of body: bytes of the program itself */
    size_t constant_size;
    char location[64], cookie[160], download[160]; /* headers, "" for none */
    http_stream stream;                            /* next NULL: none */
} http_answer;

/** Asked on a thread of the connection. */
typedef struct http_handler {
    /* The headers have come, the body has not: false refuses with `answer` and nothing more is read; true sets the most
     * bytes that the body may have. */
    bool (*admit)(void *user, const http_request *request, http_answer *answer, size_t *most);
    void (*answer)(void *user, const http_request *request, http_answer *answer);
    void *user;
} http_handler;

typedef struct http_server http_server;

/** Listens on 127.0.0.1 and, where there is one, ::1; port 0: one that is free. WM_E_OUTPUT when the port is taken. */
wm_status http_start(http_server **out, int port, const http_handler *handler, wm_error *err);
int http_port(const http_server *server);
/** Closes connections that take too long to send their request. Called about once a second. */
void http_tick(http_server *server);
/** Takes no new request, lets those in flight end, closes. NULL is fine. */
void http_stop(http_server *server);

#endif
