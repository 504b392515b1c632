/* desk: the whole job on one page that this machine serves to itself. */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <sys/signalfd.h>
#include <sys/stat.h>
#include <unistd.h>

#include "desk/desk.h"
#include "desk/routes.h"
#include "say.h"
#include "verbs.h"

enum { USUAL_PORT = 8642, ADDRESS_SIZE = 160 };

extern char **environ;

typedef struct running {
    desk desk;
    char book[PATH_SIZE], address[ADDRESS_SIZE];
    int lock_file, signals, watch; /* descriptors, -1: none */
    http_server *server;
} running;

static wm_status print_address(const char *address, wm_error *err)
{
    wm_buf out = { 0 };
    wm_buf_format(&out, "%s\n", address);
    int code = say_result(&out);
    wm_buf_free(&out);
    return code ? wm_fail(err, WM_E_OUTPUT, "the address can't be printed") : WM_OK;
}

/* The address with a ticket in place of its token. */
static void with_ticket(char out[ADDRESS_SIZE], const char *address)
{
    static const char TOKEN[] = "token=";
    char ticket[GUARD_TICKET];
    const char *token = strstr(address, TOKEN);
    if (!token) {
        snprintf(out, ADDRESS_SIZE, "%s", address);
        return;
    }
    token += sizeof TOKEN - 1;
    guard_ticket(ticket, token);
    snprintf(out, ADDRESS_SIZE, "%.*s%s", (int)(token - address), address, ticket);
}

/* The default browser, where there is a display; that there is none is no fault. */
static void open_browser(const args *a, const char *address)
{
    char opener[] = "xdg-open", copy[ADDRESS_SIZE];
    char *words[] = { opener, copy, NULL };
    pid_t pid;
    posix_spawn_file_actions_t quiet;
    const char *x = getenv("DISPLAY"), *wayland = getenv("WAYLAND_DISPLAY");
    if (args_has(a, "no-open") || !((x && *x) || (wayland && *wayland)))
        return;
    with_ticket(copy, address);
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&quiet, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    if (posix_spawnp(&pid, opener, &quiet, NULL, words, environ))
        say_hint(a, "no browser could be opened; open the address yourself");
    posix_spawn_file_actions_destroy(&quiet);
}

/* --- one desk a book --- */

/* The folder of a book that is not there yet, for its owner only. */
static wm_status make_folders(const char *file, wm_error *err)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "%s", file);
    for (char *p = path + 1; (p = strchr(p, '/')); *p++ = '/') {
        *p = '\0';
        if (mkdir(path, 0700) && errno != EEXIST)
            return wm_fail_at(err, WM_E_BOOK, path, 0, 0, "this folder can't be made: %s", strerror(errno));
    }
    return WM_OK;
}

/* *taken: another desk has the book; its address is in out->address. */
static wm_status take_book(running *out, bool *taken, wm_error *err)
{
    char path[PATH_SIZE + 8];
    snprintf(path, sizeof path, "%s.desk", out->book);
    out->lock_file = open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (out->lock_file < 0)
        return wm_fail_at(err, WM_E_BOOK, path, 0, 0,
                          "this file can't be made (%s); a desk needs to write beside its book", strerror(errno));
    *taken = flock(out->lock_file, LOCK_EX | LOCK_NB) != 0;
    if (!*taken)
        return WM_OK;
    ssize_t n = read(out->lock_file, out->address, sizeof out->address - 1);
    if (n <= 0 || strncmp(out->address, "http://", 7) != 0)
        return wm_fail_at(err, WM_E_BOOK, out->book, 0, 0, "another desk is starting on this book; try again");
    out->address[strcspn(out->address, "\n")] = '\0';
    return WM_OK;
}

static wm_status leave_address(const running *r, wm_error *err)
{
    size_t n = strlen(r->address);
    if (ftruncate(r->lock_file, 0) || pwrite(r->lock_file, r->address, n, 0) != (ssize_t)n)
        return wm_fail_at(err, WM_E_BOOK, r->book, 0, 0, "the address can't be left for a second start: %s",
                          strerror(errno));
    return WM_OK;
}

/* --- starting and ending --- */

static wm_status read_port(int *port, const args *a, wm_error *err)
{
    long number = USUAL_PORT;
    const char *text = args_text(a, "port");
    if (text && !wm_whole_parse(text, 1, 65535, &number))
        return wm_fail(err, WM_E_USAGE, "--port can't be '%s'; give a whole number from 1 to 65535", text);
    *port = (int)number;
    return WM_OK;
}

/* The usual port may be taken, by the desk of another book say: then any that is free. */
static wm_status start_server(running *r, int port, wm_error *err)
{
    http_handler handler = { routes_admit, routes_answer, &r->desk };
    wm_status status = http_start(&r->server, port, &handler, err);
    if (status == WM_E_OUTPUT && !args_has(r->desk.a, "port"))
        status = http_start(&r->server, 0, &handler, err);
    if (!status) {
        port = http_port(r->server);
        r->desk.guard.port = port;
        snprintf(r->address, sizeof r->address, "http://127.0.0.1:%d/?token=%s", port, r->desk.guard.token);
    }
    return status;
}

static wm_status watch_folder(running *r, wm_error *err)
{
    const char *folder = args_text(r->desk.a, "photos");
    struct stat info;
    if (!folder)
        return WM_OK;
    if (stat(folder, &info) || !S_ISDIR(info.st_mode))
        return wm_fail_at(err, WM_E_USAGE, folder, 0, 0, "this is not a folder; give the one where photos arrive");
    if (snprintf(r->desk.folder, sizeof r->desk.folder, "%s", folder) >= PATH_SIZE)
        return wm_fail(err, WM_E_USAGE, "the path of --photos is too long; give a shorter one");
    r->watch = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    if (r->watch < 0 || inotify_add_watch(r->watch, folder, IN_CLOSE_WRITE | IN_MOVED_TO | IN_DELETE) < 0)
        return wm_fail_at(err, WM_E_USAGE, folder, 0, 0, "this folder can't be watched: %s", strerror(errno));
    return WM_OK;
}

static wm_status hold_signals(running *r, wm_error *err)
{
    sigset_t ends;
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    sigaddset(&ends, SIGHUP);
    signal(SIGPIPE, SIG_IGN);
    pthread_sigmask(SIG_BLOCK, &ends, NULL); /* before any thread is made: all inherit it */
    r->signals = signalfd(-1, &ends, SFD_CLOEXEC);
    return r->signals < 0 ? wm_fail(err, WM_E_BUG, "signals can't be waited for: %s", strerror(errno)) : WM_OK;
}

static wm_status start(running *r, wm_error *err)
{
    int port = 0;
    wm_settings settings; /* asked now: a book that can't be read is told before the page is */
    wm_status status = read_port(&port, r->desk.a, err);
    if (!status)
        status = context_settings(&settings, r->desk.a, err);
    if (!status)
        status = watch_folder(r, err);
    if (!status)
        status = hold_signals(r, err);
    if (!status)
        status = guard_start(&r->desk.guard, err);
    if (!status)
        status = shelf_start(&r->desk.shelf, err);
    if (!status)
        status = start_server(r, port, err);
    return status ? status : leave_address(r, err);
}

/* Something came into or left the folder: the page asks what. */
static void tell_of_photos(running *r)
{
    char events[4096];
    while (read(r->watch, events, sizeof events) > 0)
        ;
    events_send(&r->desk.events, "photos", "{}");
}

static void serve(running *r)
{
    struct pollfd on[2] = { { r->signals, POLLIN, 0 }, { r->watch, POLLIN, 0 } };
    while (!(on[0].revents & POLLIN)) {
        on[0].revents = on[1].revents = 0;
        if (poll(on, r->watch < 0 ? 1 : 2, 1000) > 0 && (on[1].revents & POLLIN))
            tell_of_photos(r);
        http_tick(r->server);
    }
}

static void end(running *r)
{
    events_end(&r->desk.events);
    http_stop(r->server);
    shelf_free(r->desk.shelf);
    if (r->server && r->lock_file >= 0 && ftruncate(r->lock_file, 0) == 0)
        r->server = NULL;
    if (r->signals >= 0)
        close(r->signals);
    if (r->watch >= 0)
        close(r->watch);
    if (r->lock_file >= 0)
        close(r->lock_file);
    events_free(&r->desk.events);
    pthread_mutex_destroy(&r->desk.lock);
    free(r);
}

int verb_desk(const args *a)
{
    wm_error err;
    bool taken = false;
    running *r = calloc(1, sizeof *r);
    if (!r) {
        wm_fail_memory(&err);
        return say_error(&err);
    }
    r->desk.a = a;
    r->lock_file = r->signals = r->watch = -1;
    pthread_mutex_init(&r->desk.lock, NULL);
    events_start(&r->desk.events);
    wm_status status = context_book_path(r->book, a, &err);
    if (!status)
        status = make_folders(r->book, &err);
    if (!status)
        status = take_book(r, &taken, &err);
    if (!status && !taken)
        status = start(r, &err);
    if (!status)
        status = print_address(r->address, &err);
    if (!status && taken)
        say_hint(a, "the desk is running already; this is its address");
    if (!status)
        open_browser(a, r->address);
    if (!status && !taken) {
        say_hint(a, "the desk is open; Ctrl-C ends it");
        serve(r);
    }
    end(r);
    return status ? say_error(&err) : 0;
}
