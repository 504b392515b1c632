#include "say.h"

#include <langinfo.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "core/buf.h"
#include "core/plain.h"

int say_error(const wm_error *err)
{
    fputs("weftmatch: ", stderr);
    if (err->file[0])
        fprintf(stderr, "%s:", err->file);
    if (err->line > 0)
        fprintf(stderr, "%ld:", err->line);
    if (err->line > 0 && err->column > 0)
        fprintf(stderr, "%ld:", err->column);
    fprintf(stderr, "%s%s\n", err->file[0] || err->line > 0 ? " " : "", err->text);
    return err->code == WM_E_BUG ? 70 : (int)err->code;
}

/* What is said on the side goes through here: one line, whatever stands in the names of files. */
static void put(const char *end, const char *format, va_list list) __attribute__((format(printf, 2, 0)));
static void put(const char *end, const char *format, va_list list)
{
    char *text = NULL;
    size_t size = 0;
    FILE *line = open_memstream(&text, &size);
    if (!line)
        return;
    vfprintf(line, format, list);
    if (fclose(line) == 0) {
        wm_plain_make_line(text);
        fprintf(stderr, "weftmatch: %s%s", text, end);
    }
    free(text);
}

void say_line(const char *format, ...)
{
    va_list list;
    va_start(list, format);
    put("\n", format, list);
    va_end(list);
}

void say_hint(const args *a, const char *format, ...)
{
    if (args_has(a, "quiet"))
        return;
    va_list list;
    va_start(list, format);
    put("\n", format, list);
    va_end(list);
}

void say_ask(const char *format, ...)
{
    va_list list;
    va_start(list, format);
    put("", format, list);
    fflush(stderr);
    va_end(list);
}

/* A warning reads "what is wrong; what to do; what it costs": what to do first, what it costs on request. */
static void say_warning(const char *text, const char *file, bool explain)
{
    const char *action = strstr(text, "; "), *cost = action ? strstr(action + 2, "; ") : NULL;
    const int shown = cost && !explain ? (int)(cost - text) : (int)strlen(text);
    say_line("%s%s%.*s", file ? file : "", file ? ": " : "", shown, text);
}

void say_warnings(const args *a, const wm_warnings *warnings, const char *file)
{
    for (size_t i = 0; i < warnings->count; i++)
        say_warning(warnings->items[i].text, file, args_has(a, "explain"));
}

void say_plain_warnings(const wm_warnings *warnings, const char *file)
{
    for (size_t i = 0; i < warnings->count; i++)
        say_line("%s%s%s", file ? file : "", file ? ": " : "", warnings->items[i].text);
}

void say_reserved(const wm_reserved *reserved, const wm_plan *plan, bool in_stock)
{
    wm_warnings lines = { 0 };
    wm_reserved_tell(&lines, reserved, plan, in_stock);
    say_plain_warnings(&lines, NULL);
    wm_warnings_free(&lines);
}

static bool write_all(const wm_buf *result)
{
    return (!result->size || fwrite(result->data, 1, result->size, stdout) == result->size) && fflush(stdout) == 0 &&
           !ferror(stdout);
}

/* Files and pipes get the bytes as they are, a terminal what it can't be steered by. */
int say_result(const wm_buf *result)
{
    wm_error err;
    wm_buf shown = { 0 };
    bool terminal = isatty(STDOUT_FILENO);
    if (terminal && !result->failed && result->data)
        wm_plain_for_terminal(&shown, result->data, result->size);
    if (wm_buf_status(result, &err) || wm_buf_status(&shown, &err)) {
        wm_buf_free(&shown);
        return say_error(&err);
    }
    bool written = write_all(terminal ? &shown : result);
    wm_buf_free(&shown);
    if (written)
        return 0;
    wm_fail(&err, WM_E_OUTPUT, "the result could not be written to standard output; is the disk full?");
    return say_error(&err);
}

static bool environment_has(const char *name)
{
    const char *value = getenv(name);
    return value && *value;
}

static wm_chips chips_of_terminal(void)
{
    const char *term = getenv("TERM"), *depth = getenv("COLORTERM");
    if (depth && (strcmp(depth, "truecolor") == 0 || strcmp(depth, "24bit") == 0))
        return WM_CHIPS_24BIT;
    if (term && strstr(term, "direct"))
        return WM_CHIPS_24BIT;
    return WM_CHIPS_256;
}

/* $COLUMNS, else the terminal's own; a pipe or a file gets the usual. */
static size_t columns_of_terminal(void)
{
    struct winsize size;
    long columns = 0;
    const char *given = getenv("COLUMNS");
    if (given && wm_whole_parse(given, 1, 10000, &columns))
        return (size_t)columns;
    return isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 ? size.ws_col : 0;
}

wm_text_style say_style(const args *a)
{
    wm_text_style style = { .chips = WM_CHIPS_NONE, .lines = 10, .columns = columns_of_terminal() };
    const char *color = args_text(a, "color"), *term = getenv("TERM");
    bool dumb = !term || strcmp(term, "dumb") == 0;
    bool wanted = color && strcmp(color, "always") == 0;
    if (!color || strcmp(color, "auto") == 0)
        wanted = isatty(STDOUT_FILENO) && !environment_has("NO_COLOR") && !dumb &&
                 chips_of_terminal() == WM_CHIPS_24BIT; /* 256 colours can't show hair as it is */
    if (wanted)
        style.chips = chips_of_terminal();
    style.utf8 = strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
    return style;
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

say_progress say_progress_start(const args *a, const char *what)
{
    const char *term = getenv("TERM");
    bool dumb = !term || strcmp(term, "dumb") == 0;
    return (say_progress){ what, now_s(), 0, isatty(STDERR_FILENO) && !args_has(a, "quiet") && !dumb, false };
}

void say_progress_step(say_progress *p, size_t done, size_t total)
{
    double now = now_s(), spent = now - p->started_s;
    if (!p->on || spent < 1 || now - p->shown_s < 0.1 || total == 0)
        return;
    p->shown_s = now;
    p->drawn = true;
    fprintf(stderr, "\r\033[K%s: %zu of %zu", p->what, done, total);
    if (done)
        fprintf(stderr, ", about %.0f s left", spent / (double)done * (double)(total - done));
    fflush(stderr);
}

void say_progress_end(say_progress *p)
{
    if (p->drawn)
        fputs("\r\033[K", stderr);
    p->drawn = false;
}
