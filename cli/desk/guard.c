#include "desk/guard.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>
#include <time.h>

#include "core/file.h"

#define TICKET_NS 300000000000LL /* a browser on a slow machine takes its time to open */

static bool secret(char out[GUARD_SECRET])
{
    unsigned char bytes[32];
    if (getrandom(bytes, sizeof bytes, 0) != (ssize_t)sizeof bytes)
        return false;
    for (size_t i = 0; i < sizeof bytes; i++)
        snprintf(out + 2 * i, 3, "%02x", bytes[i]);
    return true;
}

wm_status guard_start(guard *out, wm_error *err)
{
    if (!secret(out->token) || !secret(out->session))
        return wm_fail(err, WM_E_BUG, "the system gives no random numbers; try again");
    return WM_OK;
}

/* The time it takes tells nothing of where they differ. */
static bool same_secret(const char *a, size_t length, const char *b)
{
    unsigned char differ = 0;
    if (length != GUARD_SECRET - 1)
        return false;
    for (size_t i = 0; i < length; i++)
        differ |= (unsigned char)(a[i] ^ b[i]);
    return differ == 0;
}

/* Browsers keep cookies by host and not by port: the name tells two desks apart. */
static void cookie_name(const guard *g, char out[32])
{
    snprintf(out, 32, "weftmatch-%d", g->port);
}

void guard_cookie(const guard *g, char *out, size_t size)
{
    char name[32];
    cookie_name(g, name);
    snprintf(out, size, "%s=%s; Path=/; HttpOnly; SameSite=Strict", name, g->session);
}

static bool has_cookie(const guard *g, const http_request *request)
{
    char name[32];
    const char *p = http_header(request, "Cookie");
    cookie_name(g, name);
    size_t length = strlen(name);
    for (; p && *p; p += strspn(p, "; ")) {
        size_t n = strcspn(p, ";");
        if (n > length && strncmp(p, name, length) == 0 && p[length] == '=' &&
            same_secret(p + length + 1, n - length - 1, g->session))
            return true;
        p += n;
    }
    return false;
}

/* Of the clock that nobody can set: one set back would refuse every ticket until it has caught up. */
static long long now_ns(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (long long)t.tv_sec * 1000000000LL + t.tv_nsec;
}

/* The digest of token and time, then the time. */
static void ticket_of(char out[GUARD_TICKET], const char *token, long long made)
{
    char text[2 * GUARD_SECRET + 32];
    int length = snprintf(text, sizeof text, "%.64s.%lld.%.64s", token, made, token);
    wm_sha256_hex(out, text, (size_t)length);
    snprintf(out + GUARD_SECRET - 1, GUARD_TICKET - GUARD_SECRET + 1, "%lld", made);
}

void guard_ticket(char out[GUARD_TICKET], const char *token)
{
    ticket_of(out, token, now_ns());
}

/* When the ticket was made; 0: it is none, too old, or was used. */
static long long fresh_ticket(const guard *g, const char *text)
{
    char own[GUARD_TICKET];
    long long at = 0;
    if (strlen(text) < GUARD_SECRET || strlen(text) >= GUARD_TICKET)
        return 0;
    for (const char *p = text + GUARD_SECRET - 1; *p; p++) {
        if (*p < '0' || *p > '9' || at > (1LL << 62) / 10)
            return 0;
        at = 10 * at + (*p - '0');
    }
    ticket_of(own, g->token, at);
    long long age = now_ns() - at;
    return same_secret(text, GUARD_SECRET - 1, own) && age >= 0 && age < TICKET_NS && at > atomic_load(&g->last_ticket)
               ? at
               : 0;
}

static const char *token_of(const http_request *request)
{
    const char *token = strcmp(request->path, "/") == 0 ? http_query(request, "token") : NULL;
    return token ? token : "";
}

static bool is_token(const guard *g, const char *text)
{
    return same_secret(text, strlen(text), g->token);
}

bool guard_lets_in(guard *g, const http_request *request)
{
    const char *text = token_of(request);
    long long at = fresh_ticket(g, text), before = atomic_load(&g->last_ticket);
    while (at > before && !atomic_compare_exchange_weak(&g->last_ticket, &before, at)) {}
    return is_token(g, text) || at > before;
}

/* 127.0.0.1:PORT, localhost:PORT or [::1]:PORT */
static bool is_own_host(const guard *g, const char *host)
{
    static const char *const HOSTS[] = { "127.0.0.1", "localhost", "[::1]" };
    char own[64];
    for (size_t i = 0; host && i < sizeof HOSTS / sizeof HOSTS[0]; i++) {
        snprintf(own, sizeof own, "%s:%d", HOSTS[i], g->port);
        if (strcasecmp(host, own) == 0)
            return true;
    }
    return false;
}

/* The page that sends it must be the one that this very host has shown. */
static bool is_own_origin(const http_request *request)
{
    const char *origin = http_header(request, "Origin"), *host = http_header(request, "Host");
    return origin && strncmp(origin, "http://", 7) == 0 && host && strcasecmp(origin + 7, host) == 0;
}

static bool changes(const char *method)
{
    return strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0;
}

/* A plain link of another site brings no cookie; that an image or script of it asks is told by the browser itself. */
static bool is_foreign_fetch(const http_request *request)
{
    const char *site = http_header(request, "Sec-Fetch-Site");
    return site && strcmp(site, "same-origin") != 0 && strcmp(site, "none") != 0;
}

const char *guard_refuses(const guard *g, const http_request *request)
{
    if (!is_own_host(g, http_header(request, "Host")))
        return "this desk answers to 127.0.0.1 and localhost only; use the address that weftmatch desk printed";
    if (changes(request->method) && !is_own_origin(request))
        return "only the desk's own page may change anything; use the address that weftmatch desk printed";
    if (is_token(g, token_of(request)) || fresh_ticket(g, token_of(request)))
        return NULL;
    if (is_foreign_fetch(request))
        return "another site may not read the desk; use the address that weftmatch desk printed";
    if (!has_cookie(g, request))
        return "this browser has not been let in; open the address that weftmatch desk printed";
    return NULL;
}
