/* The man page, from the tables of verbs, options and exit codes. */
#include <string.h>

#include "option.h"

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

static void line(wm_buf *out, const char *before, const char *text)
{
    wm_buf_text(out, before);
    troff(out, text);
    wm_buf_text(out, "\n");
}

static void option_name(void *user, const option_spec *option)
{
    wm_buf *out = user;
    wm_buf_text(out, out->size && out->data[out->size - 1] != '\n' ? " " : "");
    wm_buf_text(out, "\\-\\-");
    troff(out, option->name);
}

static void option_entry(void *user, const option_spec *option)
{
    wm_buf *out = user;
    wm_buf_text(out, ".TP\n\\fB");
    if (option->letter)
        wm_buf_format(out, "\\-%c\\fR, \\fB", option->letter);
    wm_buf_text(out, "\\-\\-");
    troff(out, option->name);
    wm_buf_text(out, "\\fR");
    if (option->argument)
        line(out, " ", option->argument);
    else
        wm_buf_text(out, "\n");
    line(out, "", option->help);
}

static void examples(wm_buf *out, const verb_spec *verb)
{
    wm_buf text = { 0 };
    help_examples(&text, verb, "");
    wm_buf_text(out, ".PP\n.nf\n");
    troff(out, text.data ? text.data : "");
    wm_buf_text(out, ".fi\n");
    wm_buf_free(&text);
}

static void verb_section(wm_buf *out, const verb_spec *verb)
{
    wm_buf_format(out, ".SS %s %s\n", verb->name, verb->operands);
    line(out, "", verb->summary);
    if (verb->notes)
        line(out, "", verb->notes);
    examples(out, verb);
    if (*verb->options) {
        wm_buf_text(out, ".PP\nOptions:\n");
        verb_each_option(verb, option_name, out);
        wm_buf_text(out, "\n");
    }
}

static void surroundings(wm_buf *out)
{
    static const char *const NAMES[][2] = {
        { "WEFTMATCH_BOOK", "the book, where --book is not given" },
        { "WEFTMATCH_SWATCHES", "the catalogue, where --swatches is not given" },
        { "XDG_DATA_HOME",
          "where the book lies by default: weftmatch/salon.book in it; else ~/.local/share/weftmatch/salon.book" },
        { "SOURCE_DATE_EPOCH",
          "the time it is, in seconds since 1970, for outputs that can be made again; --date beats it" },
        { "NO_COLOR", "when not empty: no chips of colour; --color beats it" },
    };
    wm_buf_text(out, ".SH ENVIRONMENT\n");
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++) {
        wm_buf_format(out, ".TP\n.B %s\n", NAMES[i][0]);
        line(out, "", NAMES[i][1]);
    }
}

void man_page(wm_buf *out)
{
    wm_buf_format(
        out,
        ".\\\" generated from the tables of the command line, do not edit\n.TH WEFTMATCH 1 \"\" \"weftmatch %s\"\n",
        wm_version());
    wm_buf_text(out, ".SH NAME\nweftmatch \\- match hair extensions to a client's hair from a daylight photo\n"
                     ".SH SYNOPSIS\n.B weftmatch\n.I VERB\n[\\fIOPERAND\\fR] [\\fIOPTION\\fR..]\n"
                     ".SH DESCRIPTION\n");
    line(
        out, "",
        "Measures a client's hair in a photo and says which of the salon's shades, in which layers, to sew so that they match; plans the "
        "row, and keeps it all in the client's file. The result goes to standard output, everything else to standard error.");
    line(out, ".PP\n",
         "Options may stand anywhere behind the verb; -- ends them; - as a file is standard input or output.");
    wm_buf_text(out, ".SH VERBS\n");
    for (const verb_spec *verb = VERBS; verb->name; verb++)
        verb_section(out, verb);
    wm_buf_text(out, ".SH OPTIONS\nEvery verb takes\n");
    common_each_option(option_name, out);
    wm_buf_text(out, "\nand those that its section names.\n");
    for (const option_spec *option = OPTIONS; option->name; option++)
        option_entry(out, option);
    wm_buf_text(out, ".SH EXIT STATUS\n");
    for (const exit_spec *e = EXIT_CODES; e->meaning; e++) {
        wm_buf_format(out, ".TP\n.B %d\n", e->code);
        line(out, "", e->meaning);
    }
    surroundings(out);
}
