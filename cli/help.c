/* Help, from the tables of verbs and options. */
#include <string.h>

#include "option.h"

enum { HELP_COLUMN = 30, HELP_WIDTH = 80 };

static void pad(wm_buf *out, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++)
        wm_buf_text(out, " ");
}

/* Words of text, wrapped between column `indent` and the width; the cursor stands at `column`. */
static void wrap(wm_buf *out, const char *text, size_t indent, size_t column)
{
    pad(out, column, indent);
    column = indent;
    for (const char *p = text; *p; p += strspn(p, " ")) {
        size_t n = strcspn(p, " ");
        if (column > indent && column + 1 + n > HELP_WIDTH) {
            wm_buf_text(out, "\n");
            pad(out, 0, indent);
            column = indent;
        } else if (column > indent) {
            wm_buf_text(out, " ");
            column++;
        }
        wm_buf_bytes(out, p, n);
        column += n;
        p += n;
    }
    wm_buf_text(out, "\n");
}

static void option_line(void *user, const option_spec *option)
{
    wm_buf *out = user;
    size_t start = out->size;
    if (option->letter)
        wm_buf_format(out, "  -%c, --%s", option->letter, option->name);
    else
        wm_buf_format(out, "      --%s", option->name);
    if (option->argument)
        wm_buf_format(out, " %s", option->argument);
    size_t used = out->size - start;
    if (used + 1 > HELP_COLUMN) {
        wm_buf_text(out, "\n");
        used = 0;
    }
    wrap(out, option->help, HELP_COLUMN, used);
}

/* How far it is to the next option, or to the end of the line. */
static size_t piece_length(const char *p)
{
    size_t n = 1;
    while (p[n] && p[n] != '\n' && strncmp(p + n, " --", 3) != 0)
        n++;
    return n;
}

void help_examples(wm_buf *out, const verb_spec *verb, const char *before)
{
    for (const char *p = verb->examples; *p; p++) {
        wm_buf_format(out, "%sweftmatch ", before);
        size_t column = strlen(before) + strlen("weftmatch ");
        for (size_t n; *p && *p != '\n'; p += n) {
            n = piece_length(p);
            if (column + n + 2 > HELP_WIDTH) {
                wm_buf_format(out, " \\\n%s   ", before);
                column = strlen(before) + 3;
            }
            wm_buf_bytes(out, p, n);
            column += n;
        }
        wm_buf_text(out, "\n");
    }
}

void help_verb(wm_buf *out, const verb_spec *verb)
{
    help_examples(out, verb, "  ");
    wm_buf_text(out, "\n");
    wrap(out, verb->summary, 0, 0);
    wm_buf_format(out, "\nUsage: weftmatch %s%s%s [OPTION..]\n\n", verb->name, *verb->operands ? " " : "",
                  verb->operands);
    verb_each_option(verb, option_line, out);
    common_each_option(option_line, out);
    if (verb->notes) {
        wm_buf_text(out, "\n");
        wrap(out, verb->notes, 0, 0);
    }
}

static void verb_lines(wm_buf *out)
{
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        size_t start = out->size;
        wm_buf_format(out, "  %s", verb->name);
        wrap(out, verb->summary, 19, out->size - start);
    }
}

void help_first_steps(wm_buf *out)
{
    wm_buf_text(out, "weftmatch measures a client's hair in a daylight photo and says which shades,\n"
                     "in which layers, to sew so that they match.\n\n"
                     "First steps:\n"
                     "  In the browser:      weftmatch desk\n"
                     "  Or by commands, for a photo client.jpg:\n"
                     "  1. Mark the hair:    weftmatch mark client.jpg --swatches swatches.csv\n"
                     "                       then open client.page.html, drag the zones, save.\n"
                     "  2. Find the match:   weftmatch match client.jpg --zones client.zones.json\n"
                     "                           --swatches swatches.csv --html client.report.html\n"
                     "  3. Keep it:          weftmatch client add \"NAME\", then step 2 with\n"
                     "                           --client \"NAME\"\n\n"
                     "All verbs: weftmatch --help. One verb: weftmatch match --help.\n");
}

static void option_word(void *user, const option_spec *option)
{
    wm_buf_format(user, " --%s", option->name);
}

void help_program(wm_buf *out)
{
    help_first_steps(out);
    wm_buf_text(out, "\nVerbs:\n");
    verb_lines(out);
    wm_buf_text(out, "\nEvery verb takes");
    common_each_option(option_word, out);
    wm_buf_text(out, ".\n\nExit status:\n");
    for (const exit_spec *e = EXIT_CODES; e->meaning; e++) {
        size_t start = out->size;
        wm_buf_format(out, "  %2d", e->code);
        wrap(out, e->meaning, 6, out->size - start);
    }
}
