/* weftmatch: verbs to functions, nothing else. */
#include <fcntl.h>
#include <locale.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "book/book.h"
#include "core/file.h"
#include "guard_files.h"
#include "option.h"
#include "photo/photo.h"
#include "photo/profile_make.h"
#include "say.h"

static int print_version(void)
{
    wm_buf out = { 0 };
    wm_buf_format(
        &out,
        "weftmatch %s\nLittleCMS %s, SQLite %s\nPhotos are %s\nCopyright (c) 2026 The weftmatch authors. MIT licence; no warranty.\n",
        wm_version(), wm_profile_engine(), wm_book_engine(), wm_photo_wall());
    int code = say_result(&out);
    wm_buf_free(&out);
    return code;
}

static int print_help(const verb_spec *verb)
{
    wm_buf out = { 0 };
    if (verb)
        help_verb(&out, verb);
    else
        help_program(&out);
    int code = say_result(&out);
    wm_buf_free(&out);
    return code;
}

static const char *near_verb(const char *words)
{
    const char *names[64];
    size_t count = 0;
    for (const verb_spec *verb = VERBS; verb->name && count < 64; verb++)
        names[count++] = verb->name;
    return wm_near_miss(words, names, count);
}

/* "client" for "clients": the first word of verbs of two; "" when none is near. */
static void near_group(char out[40], const char *word)
{
    out[0] = '\0';
    for (const verb_spec *verb = VERBS; verb->name && !*out; verb++) {
        const char *space = strchr(verb->name, ' ');
        snprintf(out, 40, "%.*s", space ? (int)(space - verb->name) : 0, verb->name);
        if (*out && !wm_near_miss(word, (const char *const[]){ out }, 1))
            out[0] = '\0';
    }
}

/* "add, list or check": what may follow the first word of verbs of two. */
static void verbs_of_group(char *out, size_t size, const char *group)
{
    const char *last = NULL;
    size_t length = strlen(group), used = 0;
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        if (strncmp(verb->name, group, length) != 0 || verb->name[length] != ' ')
            continue;
        if (last)
            used += (size_t)snprintf(out + used, size - used, "%s%s", used ? ", " : "", last);
        last = verb->name + length + 1;
    }
    if (last)
        snprintf(out + used, size - used, "%s%s", used ? " or " : "", last);
}

static int unknown_verb(int argc, char *const argv[])
{
    wm_error err;
    char group[200] = "", two[100], meant[40];
    const char *second = argc > 2 && argv[2][0] != '-' ? argv[2] : "";
    verbs_of_group(group, sizeof group, argv[1]);
    snprintf(two, sizeof two, "%s%s%s", argv[1], *second ? " " : "", second);
    const char *near = *second ? near_verb(two) : NULL;
    if (!near && !*group)
        near = near_verb(argv[1]);
    near_group(meant, argv[1]);
    if (argv[1][0] == '-')
        wm_fail(&err, WM_E_USAGE, "unknown option '%s'; give the verb first, see weftmatch --help", argv[1]);
    else if (near)
        wm_fail(&err, WM_E_USAGE, "unknown verb '%s'; did you mean '%s'?", *group ? two : argv[1], near);
    else if (*group && *second)
        wm_fail(&err, WM_E_USAGE, "unknown verb '%s'; '%s' is followed by %s", two, argv[1], group);
    else if (*group)
        wm_fail(&err, WM_E_USAGE, "'%s' alone is not a verb; it is followed by %s", argv[1], group);
    else if (*meant) {
        verbs_of_group(group, sizeof group, meant);
        wm_fail(&err, WM_E_USAGE, "unknown verb '%s'; did you mean '%s'? It is followed by %s", argv[1], meant, group);
    } else if (wm_file_exists(argv[1]))
        wm_fail(&err, WM_E_USAGE, "'%s' is a file, not a verb; for a photo write weftmatch match %s", argv[1], argv[1]);
    else
        wm_fail(&err, WM_E_USAGE, "unknown verb '%s'; see weftmatch --help", argv[1]);
    return say_error(&err);
}

/* `weftmatch help`, `weftmatch help match` */
static int help_for(int argc, char *const argv[])
{
    int words = 0;
    const verb_spec *verb = argc > 1 ? verb_find(argc, argv, &words) : NULL;
    return argc > 1 && !verb ? unknown_verb(argc, argv) : print_help(verb);
}

static int first_steps(void)
{
    wm_buf out = { 0 };
    help_first_steps(&out);
    int code = say_result(&out);
    wm_buf_free(&out);
    return code;
}

static int run_verb(int argc, char *argv[])
{
    int words = 0;
    const verb_spec *verb = verb_find(argc, argv, &words);
    if (!verb)
        return unknown_verb(argc, argv);
    args *a = calloc(1, sizeof *a);
    wm_error err;
    if (!a) {
        wm_fail_memory(&err);
        return say_error(&err);
    }
    int code;
    if (args_parse(a, verb, argc - 1 - words, argv + 1 + words, &err))
        code = say_error(&err);
    else if (args_has(a, "help"))
        code = print_help(verb);
    else if (args_has(a, "version"))
        code = print_version();
    else
        code = guard_files(a, &err) ? say_error(&err) : verb->run(a);
    free(a);
    return code;
}

/* With a closed standard stream the next file opened, the book say, would get its number and our output. Reading only
 * on stdout, so that writing to it still fails. */
static void hold_standard_streams(void)
{
    for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
        if (fcntl(fd, F_GETFD) < 0 && open("/dev/null", fd == STDERR_FILENO ? O_WRONLY : O_RDONLY) < 0)
            return;
}

/* Windows of pixels come and go by megabytes; given back each time, their pages would be cleared by the system anew. */
static void keep_freed_memory(void)
{
#ifdef __GLIBC__
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
    mallopt(M_TRIM_THRESHOLD, 64 << 20);
#endif
}

int main(int argc, char *argv[])
{
    hold_standard_streams();
    keep_freed_memory();
    setlocale(LC_CTYPE, "");  /* numbers keep their point */
    signal(SIGPIPE, SIG_DFL); /* a closed pipe ends us quietly */
    signal(SIGXFSZ, SIG_IGN); /* a file that may not grow is a full disk, told as one */
    if (argc < 2)
        return first_steps();
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
        return print_help(NULL);
    if (strcmp(argv[1], "help") == 0)
        return help_for(argc - 1, argv + 1);
    if (strcmp(argv[1], "--version") == 0 || strcmp(argv[1], "-V") == 0)
        return print_version();
    return run_verb(argc, argv);
}
