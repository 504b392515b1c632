/* The door of the desk: any bytes as a request, from its first line to its body. Whoever is not let in gets 403 and
 * nothing else; every refusal is one line of JSON; whatever is answered is a whole document. The book and the catalogue
 * are of a folder that goes with the run. */
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/json.h"
#include "desk/routes.h"

#define HEAD "Host: 127.0.0.1:8642\nOrigin: http://127.0.0.1:8642\nCookie: weftmatch-8642=SESSION\n"
#define WRITE HEAD "Content-Type: application/json\n\n"
const fuzz_seed fuzz_seeds[] = {
    SEED("GET /clients\n" HEAD "\n"),
    SEED("POST /clients\n" WRITE "{\"name\":\"Anna Berg\",\"note\":\"mornings\"}"),
    SEED("PATCH /visits/1\n" WRITE "{\"installed\":\"oat,moth\",\"charged\":\"540\",\"after\":1}"),
    SEED("POST /visits\n" WRITE "{\"photo\":1,\"client\":1,\"shown\":\"00\",\"zones\":\"{}\",\"wishes\":{}}"),
    SEED("POST /photos/1/match\n" WRITE
         "{\"zones\":\"{\\\"format\\\":1,\\\"zones\\\":[{\\\"kind\\\":\\\"mid\\\",\\\"rect\\\":[1,1,2,2]}]}\","
         "\"wishes\":{\"arc\":[\"29\"],\"worn\":\"up\",\"shedding\":true},\"client\":null}"),
    SEED("PUT /catalogue\n" WRITE "{\"csv\":\"code,L,a,b\\noat,52,4,21\\n\",\"base\":\"\"}"),
    SEED("PATCH /settings\n" WRITE "{\"row_fee\":\"180\",\"units\":\"in\"}"),
    SEED("POST /photos?name=a.jpg\n" HEAD "Content-Type: application/octet-stream\n\nno photo"),
    SEED("GET /?token=TOKEN\nHost: localhost:8642\n\n"),
    SEED("GET /visits/1/report.html\n" HEAD "\n"),
    SEED("GET /visits/1/zones.json\nHost: salon.example\n\n"),
    SEED("POST /visits/1/after\n" WRITE "{\"photo\":1,\"zones\":\"{}\",\"worn\":\"up\",\"save\":true}"),
    SEED("POST /visits/1/move\n" WRITE "{\"client\":2}"),
    SEED("POST /photos/1/held\n" WRITE "{\"zones\":\"{}\",\"wishes\":{},\"zone\":\"mid\",\"codes\":[\"oat\"]}"),
    SEED("POST /photos/folder\n" WRITE "{\"name\":\"a.jpg\"}"),
    SEED("POST /catalogue/measure\n" WRITE
         "{\"photo\":1,\"zones\":\"{}\",\"grid\":\"3x4\",\"codes\":[\"oat\"],\"lot\":\"2611\",\"save\":true}"),
    SEED("POST /stock\n" WRITE "{\"code\":\"oat\",\"packs\":2,\"lot\":\"2611\"}"),
    SEED("POST /clients/import?name=a.json\n" HEAD
         "Content-Type: application/octet-stream\n\n{\"format\":2,\"kind\":\"weftmatch client\"}"),
    SEED("PATCH /clients/1\n" WRITE "{\"name\":\"Anna Lind\",\"note\":\"\",\"coming\":\"2030-05-12\"}"),
    SEED("GET /clients/1/export.json\n" HEAD "\n"),
    SEED("GET /visits/1/plan.ics\n" HEAD "\n"),
    SEED("GET /recheck\n" HEAD "\n"),
    SEED("GET /orders\n" HEAD "\n"),
    SEED("POST /undo\n" WRITE "{}"),
    SEED("POST /backup\n" WRITE "{}"),
    { NULL, 0 }
};
const char *const fuzz_words[] = { "GET ",
                                   "POST ",
                                   "PUT ",
                                   "PATCH ",
                                   "DELETE ",
                                   "/clients",
                                   "/clients/1/visits",
                                   "/visits/1",
                                   "/photos/1/preview",
                                   "/photos/folder",
                                   "/catalogue/measure",
                                   "/settings",
                                   "/orders",
                                   "/../../etc/passwd",
                                   "?token=",
                                   "SESSION",
                                   "TOKEN",
                                   "Host: ",
                                   "Origin: null\n",
                                   "Cookie: ",
                                   "Content-Length: 99999999999999999999\n",
                                   "Content-Type: application/json\n",
                                   "Sec-Fetch-Site: cross-site\n",
                                   "\n\n",
                                   "null",
                                   "true",
                                   "[]",
                                   "{}",
                                   "1e999",
                                   "-1",
                                   "\"\\u0000\"",
                                   "\xff",
                                   NULL };

static desk *the_desk;

static void end(void)
{
    shelf_free(the_desk->shelf);
    free(the_desk);
}

static desk *start(void)
{
    static args a;
    static char book[128], swatches[128];
    snprintf(book, sizeof book, "%s", fuzz_file("salon.book"));
    snprintf(swatches, sizeof swatches, "%s", fuzz_file("swatches.csv"));
    a.given[a.given_count].option = option_find("book");
    a.given[a.given_count++].value = book;
    a.given[a.given_count].option = option_find("swatches");
    a.given[a.given_count++].value = swatches;
    desk *d = calloc(1, sizeof *d);
    d->a = &a;
    d->guard.port = 8642;
    snprintf(d->guard.session, sizeof d->guard.session, "%064d", 1);
    snprintf(d->guard.token, sizeof d->guard.token, "%064d", 2);
    pthread_mutex_init(&d->lock, NULL);
    events_start(&d->events);
    fuzz_check(shelf_start(&d->shelf, NULL) == WM_OK, "a shelf");
    atexit(end);
    return d;
}

/* "SESSION" and "TOKEN" stand for the secrets, so that seeds are let in. */
static char *with_secrets(const desk *d, const char *data, size_t size)
{
    char *out = malloc(size + 66 * 64 + 1), *p = out;
    int left = 64;
    for (size_t i = 0; i < size;) {
        const char *secret = strncmp(data + i, "SESSION", size - i < 7 ? size - i : 7) == 0 && size - i >= 7
                                 ? d->guard.session
                             : size - i >= 5 && strncmp(data + i, "TOKEN", 5) == 0 ? d->guard.token
                                                                                   : NULL;
        if (secret && left-- > 0) {
            memcpy(p, secret, 64);
            p += 64;
            i += secret == d->guard.session ? 7 : 5;
        } else
            *p++ = data[i++];
    }
    *p = '\0';
    return out;
}

static void read_pairs(http_pair *pairs, size_t *count, char *text, const char *between, const char *parts)
{
    char *rest = NULL;
    for (char *one = strtok_r(text, between, &rest); one && *count < HTTP_PAIRS; one = strtok_r(NULL, between, &rest)) {
        char *value = strstr(one, parts);
        if (value) {
            *value = '\0';
            value += strlen(parts);
        }
        pairs[(*count)++] = (http_pair){ one, value ? value : "" };
    }
}

/* METHOD PATH?QUERY, headers, an empty line, the body. */
static void read_request(http_request *r, char *text)
{
    char *body = strstr(text, "\n\n"), *line = strchr(text, '\n');
    if (body)
        *body = '\0';
    if (line)
        *line++ = '\0';
    char *path = strchr(text, ' '), *query = path ? strchr(path, '?') : NULL;
    if (path)
        *path++ = '\0';
    if (query)
        *query++ = '\0';
    r->method = text;
    r->path = path ? path : "";
    if (query)
        read_pairs(r->query, &r->query_count, query, "&", "=");
    if (line && (!body || line <= body))
        read_pairs(r->headers, &r->header_count, line, "\n", ": ");
    r->body = body ? body + 2 : "";
    r->body_size = strlen(r->body);
}

static void check_answer(const http_request *r, const http_answer *answer)
{
    wm_json_document *document = NULL;
    int status = answer->status ? answer->status : 200;
    fuzz_check(status == 200 || status == 303 || (status >= 400 && status < 600), "a status of HTTP");
    if (!answer->type || strcmp(answer->type, "application/json") != 0 || !answer->body.data)
        return;
    bool kept_as_it_came = status == 200 && strcmp(r->path, "/visits/1/zones.json") == 0;
    fuzz_check(kept_as_it_came ||
                   wm_json_parse(&document, answer->body.data, answer->body.size, "answer", WM_E_BUG, NULL) == WM_OK,
               "what is called JSON is JSON");
    const char *error = wm_json_text(wm_json_get(wm_json_get(wm_json_root(document), "error"), "text"));
    fuzz_check(status < 400 || (error && *error && !strpbrk(error, "\r\n")), "a refusal is one line");
    fuzz_check(status != 500, "nothing is our own fault");
    wm_json_free(document);
}

static void done_with(http_answer *answer)
{
    if (answer->stream.end)
        answer->stream.end(answer->stream.user);
    wm_buf_free(&answer->body);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    http_request *r = calloc(1, sizeof *r);
    http_answer answer = { 0 };
    size_t most = 0;
    the_desk = the_desk ? the_desk : start();
    char *text = with_secrets(the_desk, (const char *)data, size);
    read_request(r, text);
    bool let_in = guard_refuses(&the_desk->guard, r) == NULL;
    bool admitted = routes_admit(the_desk, r, &answer, &most);
    fuzz_check(let_in || (!admitted && answer.status == 403), "whoever is not let in gets 403");
    check_answer(r, &answer);
    if (admitted && r->body_size <= most) {
        routes_answer(the_desk, r, &answer);
        check_answer(r, &answer);
    }
    done_with(&answer);
    free(text);
    free(r);
    return 0;
}
