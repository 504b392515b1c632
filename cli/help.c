/* Help, man pages and completion, all from the tables of verbs and options. */
#include <string.h>

#include "option.h"

enum { HELP_COLUMN = 30, HELP_WIDTH = 80 };

typedef void (*each_option)(void *user, const option_spec *option);

/* The verb's own options in the order of its list, then those that every verb takes. */
static void for_each_option(const verb_spec *verb, each_option call, void *user)
{
    static const char ALWAYS[] = "date color quiet jobs help version";
    const char *const lists[2] = { verb->options, ALWAYS };
    for (int i = 0; i < 2; i++)
        for (const char *p = lists[i]; *p; p += strspn(p, " ")) {
            char name[40];
            size_t n = strcspn(p, " ");
            memcpy(name, p, n);
            name[n] = '\0';
            p += n;
            call(user, option_find(name));
        }
}

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

/* The examples, each line begun alike; long ones go on behind a backslash, as a shell takes them. */
static void example_lines(wm_buf *out, const char *examples, const char *before)
{
    for (const char *p = examples; *p; p++) {
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
    example_lines(out, verb->examples, "  ");
    wm_buf_text(out, "\n");
    wrap(out, verb->summary, 0, 0);
    wm_buf_format(out, "\nUsage: weftmatch %s%s%s [OPTION..]\n\n", verb->name, *verb->operands ? " " : "", verb->operands);
    for_each_option(verb, option_line, out);
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
    wm_buf_text(out,
        "weftmatch measures a client's hair in a daylight photo and says which shades,\n"
        "in which layers, to sew so that they match.\n\n"
        "First steps:\n"
        "  1. Mark the hair:    weftmatch mark PHOTO -o page.html\n"
        "                       then open page.html, drag the zones, save.\n"
        "  2. Find the match:   weftmatch match PHOTO --zones PHOTO.zones.json\n"
        "                           --swatches swatches.csv --html report.html\n"
        "  3. Keep it:          weftmatch client add \"NAME\", then step 2 with\n"
        "                           --client \"NAME\"\n\n"
        "All verbs: weftmatch --help. One verb: weftmatch match --help.\n");
}

void help_program(wm_buf *out)
{
    help_first_steps(out);
    wm_buf_text(out, "\nVerbs:\n");
    verb_lines(out);
    wm_buf_text(out,
        "\nExit status: 0 done and a shade is named; 1 done, but not that (or: findings);\n"
        "2 usage; 3 zones, catalogue or target; 4 photo; 5 book or client; 6 output;\n"
        "70 our own bug or out of memory.\n");
}

/* troff: a hyphen is a minus, a leading point is text. */
static void troff(wm_buf *out, const char *text)
{
    for (const char *p = text; *p; p++) {
        if (*p == '-')
            wm_buf_text(out, "\\-");
        else if (*p == '\\')
            wm_buf_text(out, "\\e");
        else if ((*p == '.' || *p == '\'') && (p == text || p[-1] == '\n'))
            wm_buf_format(out, "\\&%c", *p);
        else
            wm_buf_bytes(out, p, 1);
    }
}

static void man_option(void *user, const option_spec *option)
{
    wm_buf *out = user;
    wm_buf_text(out, ".TP\n.B ");
    if (option->letter)
        wm_buf_format(out, "\\-%c, ", option->letter);
    wm_buf_text(out, "\\-\\-");
    troff(out, option->name);
    if (option->argument) {
        wm_buf_text(out, " ");
        troff(out, option->argument);
    }
    wm_buf_text(out, "\n");
    troff(out, option->help);
    wm_buf_text(out, "\n");
}

static void man_head(wm_buf *out, const char *page, const char *summary)
{
    wm_buf_format(out, ".TH \"%s\" 1 \"\" \"weftmatch %s\"\n.SH NAME\n", page, wm_version());
    troff(out, page);
    wm_buf_text(out, " \\- ");
    troff(out, summary);
    wm_buf_text(out, "\n");
}

static void man_program(wm_buf *out)
{
    man_head(out, "weftmatch", "match hair extensions to a client's hair from a daylight photo");
    wm_buf_text(out, ".SH VERBS\n");
    for (const verb_spec *verb = VERBS; verb->name; verb++) {
        wm_buf_format(out, ".TP\n.B %s %s\n", verb->name, verb->operands);
        troff(out, verb->summary);
        wm_buf_text(out, "\n");
    }
    wm_buf_text(out, ".SH EXIT STATUS\n0 done and a shade is named; 1 done, but not that; 2 usage; 3 zones, catalogue or target;\n"
                     "4 photo; 5 book or client; 6 output; 70 a bug or out of memory.\n");
}

/* "swatch add" is the page weftmatch-swatch-add. */
static void page_name(char *out, size_t size, const verb_spec *verb)
{
    size_t n = 0;
    for (const char *p = "weftmatch-"; *p && n + 1 < size; p++)
        out[n++] = *p;
    for (const char *p = verb->name; *p && n + 1 < size; p++)
        out[n++] = *p == ' ' ? '-' : *p;
    out[n] = '\0';
}

void help_man_page(wm_buf *out, const verb_spec *verb)
{
    char page[64];
    if (!verb) {
        man_program(out);
        return;
    }
    page_name(page, sizeof page, verb);
    man_head(out, page, verb->summary);
    wm_buf_format(out, ".SH SYNOPSIS\n.B weftmatch %s\n%s [OPTION..]\n.SH EXAMPLES\n.nf\n", verb->name, verb->operands);
    wm_buf example = { 0 };
    example_lines(&example, verb->examples, "");
    troff(out, example.data ? example.data : "");
    wm_buf_free(&example);
    wm_buf_text(out, ".fi\n.SH OPTIONS\n");
    for_each_option(verb, man_option, out);
    if (verb->notes) {
        wm_buf_text(out, ".SH NOTES\n");
        troff(out, verb->notes);
        wm_buf_text(out, "\n");
    }
    wm_buf_text(out, ".SH SEE ALSO\n.BR weftmatch (1)\n");
}

static void completion_option(void *user, const option_spec *option)
{
    wm_buf_format(user, " --%s", option->name);
}

void help_completion(wm_buf *out)
{
    wm_buf_text(out, "# bash completion for weftmatch; generated from the option tables, do not edit\n"
                     "_weftmatch()\n{\n    local cur=${COMP_WORDS[COMP_CWORD]} verb=\"${COMP_WORDS[1]}\" words\n"
                     "    case \"${COMP_WORDS[1]} ${COMP_WORDS[2]}\" in\n");
    for (const verb_spec *verb = VERBS; verb->name; verb++)
        if (strchr(verb->name, ' ')) {
            wm_buf_format(out, "        \"%s\") words=\"", verb->name);
            for_each_option(verb, completion_option, out);
            wm_buf_text(out, "\" ;;\n");
        }
    wm_buf_text(out, "        *) case $verb in\n");
    for (const verb_spec *verb = VERBS; verb->name; verb++)
        if (!strchr(verb->name, ' ')) {
            wm_buf_format(out, "            %s) words=\"", verb->name);
            for_each_option(verb, completion_option, out);
            wm_buf_text(out, "\" ;;\n");
        }
    wm_buf_text(out, "        esac ;;\n    esac\n    if [ \"$COMP_CWORD\" -eq 1 ]; then\n        words=\"");
    const char *last = " ";
    for (const verb_spec *verb = VERBS; verb->name; last = verb++->name) {
        size_t n = strcspn(verb->name, " ");
        if (strcspn(last, " ") != n || strncmp(last, verb->name, n) != 0) {
            wm_buf_bytes(out, verb->name, n);
            wm_buf_text(out, " ");
        }
    }
    wm_buf_text(out, "\"\n    elif [ \"$COMP_CWORD\" -eq 2 ]; then\n        case $verb in\n");
    for (const char *const *group = (const char *const[]){ "swatch", "client", "visit", "book", "salon", NULL }; *group; group++) {
        wm_buf_format(out, "            %s) words=\"", *group);
        for (const verb_spec *verb = VERBS; verb->name; verb++)
            if (strncmp(verb->name, *group, strlen(*group)) == 0 && verb->name[strlen(*group)] == ' ')
                wm_buf_format(out, "%s ", verb->name + strlen(*group) + 1);
        wm_buf_text(out, "\" ;;\n");
    }
    wm_buf_text(out, "        esac\n    fi\n    case $cur in\n"
                     "        -*) COMPREPLY=($(compgen -W \"$words\" -- \"$cur\")) ;;\n"
                     "        *) if [ \"$COMP_CWORD\" -le 2 ] && [ -n \"$words\" ]; then COMPREPLY=($(compgen -W \"$words\" -- \"$cur\")); fi\n"
                     "           [ -n \"$COMPREPLY\" ] || COMPREPLY=($(compgen -f -- \"$cur\")) ;;\n"
                     "    esac\n}\ncomplete -o filenames -F _weftmatch weftmatch\n");
}
