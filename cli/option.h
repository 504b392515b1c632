/* option: one declarative table a verb gives parsing, usage, help, man page and completion. */
#ifndef CLI_OPTION_H
#define CLI_OPTION_H

#include <stdbool.h>
#include <stddef.h>

#include "core/buf.h"
#include "core/status.h"

/** An option; the same option has the same row wherever it is used (option_table.c). */
typedef struct option_spec {
    const char *name;     /**< without "--" */
    char letter;          /**< '\0' if none */
    const char *argument; /**< "FILE", "down|up|both" (a choice) or NULL for a flag */
    bool repeat;          /**< may be given several times */
    const char *help;
} option_spec;

struct args;

typedef struct verb_spec {
    const char *name;     /**< "match", "swatch add" */
    const char *operands; /**< "PHOTO", "[FILE]", "KEY=VALUE.." */
    int min_operands, max_operands;
    const char *summary;
    const char *options;  /**< names from the table, space separated */
    const char *examples; /**< one command a line, without the leading "weftmatch " */
    const char *notes;    /**< further lines for help and man page, or NULL */
    int (*run)(const struct args *args);
} verb_spec;

enum { ARGS_MAX = 1024 };

/** A parsed command line. Values are lent by argv. */
typedef struct args {
    const verb_spec *verb;
    struct {
        const option_spec *option;
        const char *value;
    } given[ARGS_MAX];
    size_t given_count;
    const char *operands[ARGS_MAX];
    size_t operand_count;
} args;

/** Looks a verb up in argv[1] (and argv[2]); *used words it took. NULL: unknown. */
const verb_spec *verb_find(int argc, char *const argv[], int *used);
const option_spec *option_find(const char *name);

/** Parses what follows the verb. WM_E_USAGE with one line; near misses are offered. help or version asked: stops there,
 * WM_OK. */
wm_status args_parse(args *out, const verb_spec *verb, int argc, char *const argv[], wm_error *err);

bool args_has(const args *a, const char *option);
const char *args_text(const args *a, const char *option); /**< the last value, or NULL */
size_t args_count(const args *a, const char *option);
const char *args_nth(const args *a, const char *option, size_t n);

/** The table of verbs, ended by a row without name (verbs.c). */
extern const verb_spec VERBS[];
/** The table of options, ended by a row without name. */
extern const option_spec OPTIONS[];

/** What an exit status means, the last has code -1. */
typedef struct exit_spec {
    int code;
    const char *meaning;
} exit_spec;
extern const exit_spec EXIT_CODES[];

typedef void (*each_option)(void *user, const option_spec *option);
void verb_each_option(const verb_spec *verb, each_option call,
                      void *user);                     /**< the verb's own, in the order of its list */
void common_each_option(each_option call, void *user); /**< those that every verb takes */

/* Written from the tables. */
void help_program(wm_buf *out);                     /**< `weftmatch --help` */
void help_verb(wm_buf *out, const verb_spec *verb); /**< starts with examples */
void help_first_steps(wm_buf *out);                 /**< `weftmatch` alone */
void help_examples(wm_buf *out, const verb_spec *verb,
                   const char *before); /**< long ones wrapped as a shell takes them */
void man_page(wm_buf *out);             /**< weftmatch(1), troff */

#endif
