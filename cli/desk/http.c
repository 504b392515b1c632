#include "desk/http.h"

#include <arpa/inet.h>
#include <microhttpd.h>
#include <netinet/in.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum {
    HEADER_BYTES = 32 << 10,
    IDLE_S = 20,              /* without a byte, in either direction; a live stream sends more often */
    SEND_S = 120,             /* for a whole request: the largest photo over the machine's own wire takes two */
    SENDERS = 16,             /* without a whole request at a time: two browsers keep six connections each */
    LAST_REQUESTS_MS = 20000, /* how long the end waits for requests in flight */
    LAST_BODIES_MS = 2000     /* and for those whose body is still coming */
};

typedef struct sender {
    int fd;        /* -1: free */
    time_t since;  /* on a clock that nobody sets */
    bool complete; /* its request has come */
    bool dropped;  /* told to go */
} sender;

struct http_server {
    http_handler handler;
    struct MHD_Daemon *daemons[2]; /* IPv4, IPv6 */
    int port;
    pthread_mutex_t lock; /* over what follows */
    sender senders[HTTP_CONNECTIONS];
    int coming, in_flight; /* requests let in: whose body is not whole; whose answer is not out */
};

/* One request on its way. */
typedef struct call {
    http_request request;
    wm_buf body;
    bool refused;
    int *counted; /* where it counts: coming or in flight; NULL: nowhere */
} call;

static const char *find(const http_pair *pairs, size_t count, const char *name)
{
    const char *found = NULL;
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(pairs[i].name, name) == 0) {
            if (found)
                return NULL;
            found = pairs[i].value;
        }
    return found;
}

const char *http_header(const http_request *request, const char *name)
{
    return find(request->headers, request->header_count, name);
}

const char *http_query(const http_request *request, const char *name)
{
    return find(request->query, request->query_count, name);
}

/* --- senders: who has not sent a whole request yet --- */

static sender *sender_of(http_server *server, int fd)
{
    for (size_t i = 0; i < HTTP_CONNECTIONS; i++)
        if (server->senders[i].fd == fd)
            return &server->senders[i];
    return NULL;
}

static int fd_of(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    return info ? info->connect_fd : -2;
}

static time_t now_s(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec;
}

/* Whoever opens connections and asks nothing must not keep out who asks: too many, and the oldest goes. */
static void drop_oldest(http_server *server)
{
    sender *oldest = NULL;
    int count = 0;
    for (sender *s = server->senders; s < server->senders + HTTP_CONNECTIONS; s++) {
        if (s->fd < 0 || s->complete || s->dropped)
            continue;
        count++;
        if (!oldest || s->since < oldest->since)
            oldest = s;
    }
    if (count <= SENDERS)
        return;
    oldest->dropped = true;
    shutdown(oldest->fd, SHUT_RDWR); /* its own thread closes it */
}

static void note_sender(http_server *server, int fd, bool open, bool complete)
{
    pthread_mutex_lock(&server->lock);
    sender *s = sender_of(server, fd);
    if (!s && open)
        s = sender_of(server, -1);
    if (s)
        *s = (sender){ .fd = open ? fd : -1, .since = now_s(), .complete = complete };
    if (open && !complete)
        drop_oldest(server);
    pthread_mutex_unlock(&server->lock);
}

static void on_connection(void *user, struct MHD_Connection *connection, void **context,
                          enum MHD_ConnectionNotificationCode code)
{
    (void)context;
    note_sender(user, fd_of(connection), code == MHD_CONNECTION_NOTIFY_STARTED, false);
}

void http_tick(http_server *server)
{
    time_t now = now_s();
    pthread_mutex_lock(&server->lock);
    for (size_t i = 0; i < HTTP_CONNECTIONS; i++) {
        sender *s = &server->senders[i];
        if (s->fd >= 0 && !s->complete && now - s->since > SEND_S)
            shutdown(s->fd, SHUT_RDWR); /* its own thread closes it */
    }
    pthread_mutex_unlock(&server->lock);
}

/* --- answers --- */

static ssize_t stream_read(void *user, uint64_t at, char *out, size_t most)
{
    const http_stream *stream = user;
    (void)at;
    size_t n = stream->next(stream->user, out, most);
    return n ? (ssize_t)n : MHD_CONTENT_READER_END_OF_STREAM;
}

static void stream_free(void *user)
{
    const http_stream *stream = user;
    if (stream->end)
        stream->end(stream->user);
    free(user);
}

static struct MHD_Response *stream_response(http_answer *answer)
{
    http_stream *stream = malloc(sizeof *stream);
    struct MHD_Response *response;
    if (!stream)
        return NULL;
    *stream = answer->stream;
    response = MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 4096, stream_read, stream, stream_free);
    if (!response)
        stream_free(stream);
    return response;
}

static struct MHD_Response *make_response(http_answer *answer)
{
    union {
        const void *constant;
        void *plain;
    } bytes = { answer->constant }; /* the library takes no const, and leaves the bytes alone */
    if (answer->stream.next)
        return stream_response(answer);
    if (answer->constant)
        return MHD_create_response_from_buffer(answer->constant_size, bytes.plain, MHD_RESPMEM_PERSISTENT);
    struct MHD_Response *response =
        MHD_create_response_from_buffer(answer->body.size, answer->body.data, MHD_RESPMEM_MUST_FREE);
    if (response)
        answer->body = (wm_buf){ 0 };
    return response;
}

/* Nothing is loaded from elsewhere, shown inside another page, guessed, told on or kept. */
static const http_pair ALWAYS[] = {
    { "Content-Security-Policy",
      "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
      "frame-ancestors 'none'; base-uri 'none'; form-action 'none'" },
    { "X-Content-Type-Options", "nosniff" },
    { "Referrer-Policy", "no-referrer" },
    { "Cache-Control", "no-store" },
    { "Cross-Origin-Opener-Policy", "same-origin" },
    { "Cross-Origin-Resource-Policy", "same-origin" },
};

/* A saved report brings its style along inside itself; it has no script. */
static const char REPORT_POLICY[] =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'; base-uri 'none'; "
    "form-action 'none'";

static void add_headers(struct MHD_Response *response, const http_answer *answer)
{
    bool page_alone = answer->type && strncmp(answer->type, "text/html", 9) == 0 && !answer->constant;
    for (size_t i = 0; i < sizeof ALWAYS / sizeof ALWAYS[0]; i++)
        MHD_add_response_header(response, ALWAYS[i].name, i == 0 && page_alone ? REPORT_POLICY : ALWAYS[i].value);
    if (answer->type)
        MHD_add_response_header(response, "Content-Type", answer->type);
    if (*answer->location)
        MHD_add_response_header(response, "Location", answer->location);
    if (*answer->cookie)
        MHD_add_response_header(response, "Set-Cookie", answer->cookie);
    if (*answer->download)
        MHD_add_response_header(response, "Content-Disposition", answer->download);
}

static enum MHD_Result send_answer(struct MHD_Connection *connection, http_answer *answer)
{
    struct MHD_Response *response = answer->body.failed ? NULL : make_response(answer);
    if (!response) {
        wm_buf_free(&answer->body);
        return MHD_NO;
    }
    add_headers(response, answer);
    enum MHD_Result result = MHD_queue_response(connection, answer->status ? (unsigned)answer->status : 200u, response);
    MHD_destroy_response(response);
    return result;
}

/* --- requests --- */

typedef struct collected {
    http_pair *pairs;
    size_t *count;
    bool too_many;
} collected;

static enum MHD_Result collect(void *user, enum MHD_ValueKind kind, const char *name, const char *value)
{
    collected *c = user;
    (void)kind;
    if (*c->count == HTTP_PAIRS) {
        c->too_many = true;
        return MHD_NO;
    }
    c->pairs[(*c->count)++] = (http_pair){ name, value ? value : "" };
    return MHD_YES;
}

static bool collect_all(http_request *request, struct MHD_Connection *connection)
{
    collected headers = { request->headers, &request->header_count, false };
    collected query = { request->query, &request->query_count, false };
    MHD_get_connection_values(connection, MHD_HEADER_KIND, collect, &headers);
    MHD_get_connection_values(connection, MHD_GET_ARGUMENT_KIND, collect, &query);
    return !headers.too_many && !query.too_many;
}

/* From where it counted to where it counts now. */
static void count_call(http_server *server, call *c, int *now)
{
    pthread_mutex_lock(&server->lock);
    if (c->counted)
        --*c->counted;
    if (now)
        ++*now;
    pthread_mutex_unlock(&server->lock);
    c->counted = now;
}

static enum MHD_Result first_call(http_server *server, struct MHD_Connection *connection, call *c)
{
    http_answer answer = { 0 };
    size_t most = 0;
    bool good = collect_all(&c->request, connection);
    if (!good) {
        answer.status = 431;
        answer.type = "text/plain; charset=utf-8";
        wm_buf_text(&answer.body, "too many headers\n");
    } else if (server->handler.admit(server->handler.user, &c->request, &answer, &most)) {
        c->body.limit = most + 1; /* a limit of none would be the default */
        count_call(server, c, &server->coming);
        return MHD_YES;
    }
    c->refused = true;
    return send_answer(connection, &answer);
}

static enum MHD_Result last_call(http_server *server, struct MHD_Connection *connection, call *c)
{
    http_answer answer = { 0 };
    note_sender(server, fd_of(connection), true, true);
    wm_buf_bytes(&c->body, "", 0);
    c->request.body = c->body.data ? c->body.data : "";
    c->request.body_size = c->body.size;
    count_call(server, c, &server->in_flight);
    server->handler.answer(server->handler.user, &c->request, &answer);
    return send_answer(connection, &answer);
}

static enum MHD_Result on_request(void *user, struct MHD_Connection *connection, const char *path, const char *method,
                                  const char *version, const char *upload, size_t *upload_size, void **context)
{
    http_server *server = user;
    call *c = *context;
    (void)version;
    if (!c) {
        c = calloc(1, sizeof *c);
        if (!c)
            return MHD_NO;
        *context = c;
        c->request.method = method;
        c->request.path = path;
        return first_call(server, connection, c);
    }
    if (c->refused)
        return MHD_NO;
    if (*upload_size == 0)
        return last_call(server, connection, c);
    wm_buf_bytes(&c->body, upload, *upload_size);
    *upload_size = 0;
    return c->body.failed ? MHD_NO : MHD_YES;
}

static void on_completed(void *user, struct MHD_Connection *connection, void **context,
                         enum MHD_RequestTerminationCode code)
{
    call *c = *context;
    (void)code;
    note_sender(user, fd_of(connection), true, false); /* the next request of a kept connection starts now */
    if (c) {
        count_call(user, c, NULL);
        wm_buf_free(&c->body);
    }
    free(c);
    *context = NULL;
}

/* --- listening --- */

static int listen_on(int family, int *port)
{
    struct sockaddr_in v4 = { .sin_family = AF_INET,
                              .sin_port = htons((uint16_t)*port),
                              .sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
    struct sockaddr_in6 v6 = { .sin6_family = AF_INET6,
                               .sin6_port = htons((uint16_t)*port),
                               .sin6_addr = IN6ADDR_LOOPBACK_INIT };
    bool six = family == AF_INET6;
    int on = 1, fd = socket(family, SOCK_STREAM | SOCK_CLOEXEC, 0);
    socklen_t size = six ? sizeof v6 : sizeof v4;
    struct sockaddr *address = six ? (struct sockaddr *)&v6 : (struct sockaddr *)&v4;
    if (fd < 0)
        return -1;
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (six)
        setsockopt(fd, IPPROTO_IPV6, IPV6_V6ONLY, &on, sizeof on);
    if (bind(fd, address, size) || listen(fd, HTTP_CONNECTIONS) || getsockname(fd, address, &size)) {
        close(fd);
        return -1;
    }
    *port = ntohs(six ? v6.sin6_port : v4.sin_port);
    return fd;
}

static struct MHD_Daemon *start_daemon(http_server *server, int fd)
{
    if (fd < 0)
        return NULL;
    struct MHD_Daemon *d =
        MHD_start_daemon(MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_POLL | MHD_USE_ITC,
                         0, NULL, NULL, on_request, server, MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT,
                         (unsigned)HTTP_CONNECTIONS / 2, MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)IDLE_S,
                         MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)HEADER_BYTES, MHD_OPTION_NOTIFY_COMPLETED,
                         on_completed, server, MHD_OPTION_NOTIFY_CONNECTION, on_connection, server, MHD_OPTION_END);
    if (!d)
        close(fd);
    return d;
}

wm_status http_start(http_server **out, int port, const http_handler *handler, wm_error *err)
{
    http_server *server = calloc(1, sizeof *server);
    if (!server)
        return wm_fail_memory(err);
    server->handler = *handler;
    server->port = port;
    for (size_t i = 0; i < HTTP_CONNECTIONS; i++)
        server->senders[i].fd = -1;
    pthread_mutex_init(&server->lock, NULL);
    server->daemons[0] = start_daemon(server, listen_on(AF_INET, &server->port));
    if (!server->daemons[0]) {
        pthread_mutex_destroy(&server->lock);
        free(server);
        return wm_fail(err, WM_E_OUTPUT, "port %d is taken by another program; give another one with --port", port);
    }
    int same = server->port;
    server->daemons[1] = start_daemon(server, listen_on(AF_INET6, &same)); /* none on a machine without IPv6 */
    *out = server;
    return WM_OK;
}

int http_port(const http_server *server)
{
    return server->port;
}

static bool still_waits(http_server *server, int waited_ms)
{
    pthread_mutex_lock(&server->lock);
    bool waits = (server->in_flight && waited_ms < LAST_REQUESTS_MS) || (server->coming && waited_ms < LAST_BODIES_MS);
    pthread_mutex_unlock(&server->lock);
    return waits;
}

void http_stop(http_server *server)
{
    const struct timespec step = { 0, 20000000 };
    if (!server)
        return;
    for (size_t i = 0; i < 2; i++) {
        int fd = server->daemons[i] ? MHD_quiesce_daemon(server->daemons[i]) : -1;
        if (fd >= 0)
            close(fd);
    }
    for (int waited = 0; still_waits(server, waited); waited += 20)
        nanosleep(&step, NULL);
    for (size_t i = 0; i < 2; i++)
        if (server->daemons[i])
            MHD_stop_daemon(server->daemons[i]);
    pthread_mutex_destroy(&server->lock);
    free(server);
}
